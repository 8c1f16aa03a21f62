"""Balance, side balance and distances of the Dotterel in full, by hand; the search moves and places its equipment."""

import numpy as np
import pytest
from helpers.wings.dotterel import written

from tradestudy.aircraft.model.designs import one_design
from tradestudy.aircraft.model.evaluation import evaluate
from tradestudy.aircraft.workshop import gear_list
from tradestudy.commands.assess import assess
from tradestudy.commands.optimise import best_at_medians
from tradestudy.commands.study_session import opened
from tradestudy.physics.flight import layout
from tradestudy.search import optimum
from tradestudy.search.search_space import starting_points
from tradestudy.study.reader import read_study

TAN = 240 / 560  # of the sweep of the panel, which starts 80 mm from the centre line
# thing -> mass in g, place behind the nose and from the centre line in mm, positive to the right
PARTS = {
    "motor": (105, 362, 0),
    "controller": (36, 282, 0),
    "propeller": (16, 392, 0),
    "camera": (70, 14, 0),
    "autopilot": (28, 252, 0),
    "satellites": (16, 186, 300),
    "sender": (34, 196, -420),
    "control link": (14, 232, 470),
    "servos": (40, 205, 270),  # one half on each side
}
FOAM = 0.030  # g/cm3
HOLES = {"satellites": 2.5 * 2.5 * 0.9, "sender": 3.8 * 2.6 * 0.9, "control link": 3.0 * 2.0 * 0.8}  # cm3


@pytest.fixture(scope="module")
def result(tmp_path_factory):
    """Return the Dotterel assessed with a span 100 mm longer on each side, and its session."""
    with opened(written(tmp_path_factory.mktemp("dotterel")), "assess", None) as session:
        return assess(session, span="1480 mm"), session


def listed_by_hand(added):
    """Return mass [g] and moment [g mm] of all parts but the joiner in a wing with ``added`` [mm] on each side."""
    mass = moment = 0.0
    for weight, place, out in PARTS.values():
        share = 1 + 2 * added / 1280  # redrawn panels: the same share of the span, and as far behind the leading edge
        aft = TAN * abs(out) * (share - 1) if abs(out) > 80 else 0.0
        mass, moment = mass + weight, moment + weight * (place + aft)
    return mass, moment


@pytest.mark.parametrize("added", [0.0, 100.0])
def test_a_list_of_parts_by_hand(result, added):
    laid = result[1].space.data(result[1].anchor.choice).layout
    joiner = laid.fixed.mass - sum(weight for weight, _, _ in PARTS.values()) * 1e-3
    one = layout.WingChoice(np.array(1e-3 * added), laid.stock.sweep, laid.stock.washout, 0.003, 2)
    lump = layout.design_lumps(layout.StretchedWing(laid, one), np.array(0.0)).lumps["listed parts"]
    mass, moment = listed_by_hand(added)
    assert 1e3 * (lump.mass - joiner) == pytest.approx(mass, abs=1)  # g
    assert 1e6 * (lump.moment - joiner * 0.224) / mass == pytest.approx(moment / mass, abs=1)  # mm
    assert joiner == pytest.approx(1500 * np.pi / 4 * 0.008**2 * 0.360)  # carbon of 1500 kg/m3


def side_by_hand(added):
    """Return the moment about the centre line in g mm, with the foam that gives way to things in one half."""
    share = 1 + 2 * added / 1280
    return sum((weight - FOAM * HOLES[name]) * out * share for name, (weight, _, out) in PARTS.items() if name in HOLES)


def test_left_and_right_by_hand(result):
    for design, added in ((result[0].stock, 0.0), (result[0].best, 100.0)):
        numbers, moment = design.numbers, side_by_hand(added)
        assert numbers.side_balance_mm == pytest.approx(moment / numbers.auw_g, abs=0.02)
        assert numbers.tip_weight_g == pytest.approx(abs(moment) / (640 + added), abs=0.05)
        assert numbers.side_balance_mm < -1  # to the left


def test_the_weight_in_the_tip_brings_it_to_the_middle(tmp_path, result):
    """Check by adding the weight at the right tip as a thing: the balance is then within 0.1 mm of the middle."""
    weight = result[0].stock.numbers.tip_weight_g
    thing = (
        f'[[equipment]]\nname = "tip weight"\nmass = "{weight:.3f} g"\nfrom_nose = "330 mm"\nfrom_centre = "640 mm"\n'
        'side = "right"\n'
    )
    study = read_study(written(tmp_path, ('[stretch]\nscheme = "scaled"', thing + '[stretch]\nscheme = "scaled"')))
    stock = assess(study).stock
    assert stock.numbers.side_balance_mm is None or abs(stock.numbers.side_balance_mm) < 0.02


def test_places_and_distances_of_a_stretched_wing(result):
    outline = result[0].best.outline
    things = {thing.name: thing for thing in outline.equipment}
    share = 1 + 200 / 1280
    assert things["sender"].from_centre_mm == pytest.approx(420 * share)
    assert things["sender"].x_mm == pytest.approx(196 + TAN * 420 * (share - 1))
    assert things["sender"].across_mm == [-things["sender"].from_centre_mm]
    assert (things["autopilot"].x_mm, things["autopilot"].bay, things["autopilot"].spare_mm) == (252, "rear", None)
    assert things["control link"].fits_out_to_mm > things["control link"].from_centre_mm
    apart = {(pair.one, pair.other): pair for pair in outline.kept_apart}
    # rods run over satellites and sender: the search gives it the room that the body has
    holes = result[1].space.data(result[1].anchor.choice).layout.gear
    assert [one.above for one in holes if one.size is not None] == pytest.approx([0.006, 0.006, 0.002])
    assert apart["satellites", "sender"].distance_mm == pytest.approx(720 * share - 25.5, abs=0.01)
    assert all(pair.kept for pair in outline.kept_apart) and not gear_list.gear_flags(outline)


def test_outer_panels_make_it_slower_to_roll_and_are_drawn_in_the_body(result, tmp_path):
    """Check the moment of inertia by hand, against things in the same place on the centre line."""
    best = result[0].best
    solids = {solid.name: solid for solid in best.body.solids}
    sender = solids["equipment sender"]
    assert sender.single and sender.inside == "hole of sender"
    assert sender.centroid_mm[1] == pytest.approx(-420 * (1 + 200 / 1280), abs=0.01)
    assert not solids["equipment autopilot"].single and solids["equipment autopilot"].inside == "bay rear"


@pytest.mark.thorough
def test_a_hole_weakens_the_wing_as_a_pocket_of_its_size_does(tmp_path):
    """Check the sender's hole against a pocket of its size in its place; the leading edge is 340 x 240/560 mm aft."""
    twin = (
        '[[bay]]\nname = "nose"',
        '[[pocket]]\nname = "twin"\nfrom_centre = "420 mm"\nalong_span = "26 mm"\n'
        f'from_leading_edge = "{196 - 19 - 340 * 240 / 560:.4f} mm"\nlength = "38 mm"\ndepth = "9 mm"\n'
        '[[bay]]\nname = "nose"',
    )
    nowhere = 'size = ["38 mm", "26 mm", "9 mm"]', 'size = "none"'
    rows = {}
    for edits in ((), (nowhere, twin)):
        design = assess(read_study(written(tmp_path, *edits)), span="1480 mm").best
        rows |= {one.what: one for one in design.structure_checks}
    assert {"hole, sender", "hole, satellites", "hole, control link", "pocket, twin"} <= rows.keys()
    hole, pocket = rows["hole, sender"], rows["pocket, twin"]
    assert hole.mode == pocket.mode and hole.at_mm == pytest.approx(pocket.at_mm)
    assert hole.failure_load_factor == pytest.approx(pocket.failure_load_factor, rel=2e-3)  # a gram of foam apart
    # how little such holes matter: the wing breaks far earlier
    assert hole.failure_load_factor > 5 * design.numbers.failure_load_factor


MOVING = 'from_nose = "232 mm"\n', 'from_nose = "232 mm"\nmay_move = ["218 mm", "250 mm"]\n'


def test_the_search_moves_a_buried_thing_where_it_fits(tmp_path):
    """Check the room of a movable thing: it is the same as for one that was put there."""
    with opened(written(tmp_path, MOVING), "assess", None) as session:
        space, choice, anchor = session.space, session.anchor.choice, session.anchor
        assert space.bounds["equipment_position"] == pytest.approx((0.218, 0.250))
        data = space.data(choice)
        rooms, moments = [], []
        for place in (0.232, 0.235):
            design = one_design(choice, anchor.variables | {"equipment_position": place})
            found = evaluate(data, design)
            rooms.append(np.min(found.room.clearance[-32:]))
            moments.append(float(found.shape.moment_without_pack))
    still = read_study(written(tmp_path, ('from_nose = "232 mm"', 'from_nose = "235 mm"')))
    put = next(each for each in assess(still).stock.outline.equipment if each.name == "control link")
    assert 1e3 * rooms[1] == pytest.approx(put.spare_mm, abs=0.01)
    assert rooms[0] != pytest.approx(rooms[1], abs=1e-5)
    assert 1e6 * (moments[1] - moments[0]) == pytest.approx(14 * 3, abs=1)  # 14 g by 3 mm, less foam of 4.8 cm3


@pytest.mark.thorough
def test_a_camera_in_the_nose_against_gear_far_back(tmp_path):
    """Check the choice of a bay by hand: the pack moves by the moment of what moves, and the best choice is taken."""
    choice_of_bay = 'name = "autopilot"\n', 'name = "autopilot"\nbays = ["rear", "nose"]\n'
    heavy = (
        'mass = "28 g"\nfrom_nose = "252 mm"\nsize = ["22 mm", "36 mm", "10 mm"]',
        ('mass = "60 g"\nfrom_nose = "252 mm"\nsize = ["12 mm", "36 mm", "10 mm"]'),
    )
    with opened(written(tmp_path, choice_of_bay, heavy), "optimise", None) as session:
        rear, nose = session.space.choices
        assert (rear.bays, nose.bays) == ("", "autopilot in the bay nose")
        places = []
        for choice in (rear, nose):
            design = one_design(choice, session.anchor.variables)
            places.append(float(evaluate(session.space.data(choice), design).balance.pack_position))
        pack = 1e3 * float(evaluate(session.space.data(rear), design).shape.pack_mass)
        # in the nose bay it stands behind the pack, in the middle of 195 to 210 mm: 202.5 instead of 252 mm
        assert 1e3 * (places[1] - places[0]) == pytest.approx(60 * (252 - 202.5) / pack, abs=1)
        found = best_at_medians(session)
        solved = [optimum.solve(session.space, choice, starting_points(session.space)) for choice in (rear, nose)]
        best = max((each for each in solved if each.feasible), key=lambda each: each.gain)
        assert found.best.choices.bays == (best.choice.bays or None)
    # things in the outer panels go with them, each still has its room, and the limit of the search counts it
    things, share = found.best.outline.equipment, found.best.numbers.span_mm / 1280
    out = {thing.name: thing.from_centre_mm / share for thing in things if thing.side}
    assert out == pytest.approx({"satellites": 300, "sender": 420, "control link": 470, "servos": 270})
    spare = [thing.spare_mm for thing in things if thing.spare_mm is not None]
    assert len(spare) == 3 and min(spare) >= found.best.numbers.clearance_mm - 0.01
