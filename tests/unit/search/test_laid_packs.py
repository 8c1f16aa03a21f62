"""Ways to lay a pack in a bay that is cut to it, against a search of every way; packs in practice."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.places import STUDIES
from helpers.references.body_checks import BodyChecks
from helpers.wings.laid_wings import cut_anew, high_brick, high_brick_in_a_bay_that_stays, two_bricks

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.aircraft.body.assembly import design_body
from tradestudy.aircraft.model.choices import study_with_choice
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.evaluation import margin_of_pack_place
from tradestudy.aircraft.model.pack_fit import pack_reach
from tradestudy.aircraft.shape.stock_shape import bay_box
from tradestudy.physics.body.clearance import box_heights, box_margins
from tradestudy.physics.flight import layout
from tradestudy.physics.flight.room import room
from tradestudy.physics.weights.pack_layouts import layouts
from tradestudy.search.laid_packs import laid_packs, widest_side
from tradestudy.search.optimum import run_search
from tradestudy.search.search_space import in_stock_bay, search_space, starting_points
from tradestudy.search.search_task import SearchTask, merit
from tradestudy.study.reader import read_study

MM = 1e-3


@pytest.fixture(scope="module")
def opened(tmp_path_factory):
    """Return a function that reads a study, calibrates it and returns both."""
    known = {}

    def open_study(write, *edits, **more):
        key = write, edits, tuple(more.items())
        if key not in known:
            study = read_study(write(tmp_path_factory.mktemp("laid"), *edits, **more))
            known[key] = study, anchor_of(study)
        return known[key]

    return open_study


ROOMY = (  # so that a wing carries twelve cells
    ('launch_speed = "12.1 m/s"', 'launch_speed = "14.3 m/s"'),
    ('root_thickness = "50 mm"', 'root_thickness = "55 mm"'),
    ('maximum_current = "30 A"', 'maximum_current = "45 A"'),
    ('never_exceed_speed = "145 km/h"', 'never_exceed_speed = "170 km/h"'),
)
WEAKER = '[limits]\nfailure_load_factor = 3.0\nup_elevon = "15 deg"\n'


@pytest.mark.thorough
def test_the_way_tried_is_the_best_of_all_ways(opened):
    """Search the shorter ways to lay twelve cells by brute force. None may beat the way that is tried.

    The tolerance is that to which a search repeats. tests/bench/checks/laid_packs.py searches every way.
    """
    study, anchor = opened(cut_anew, *ROOMY, more=WEAKER)
    lists = study.choices.model_copy(update={"parallel": (3,)})
    space = search_space(replace(study, choices=lists), anchor)
    start = starting_points(space)[0]

    def solved(choice):
        return run_search(space, SearchTask("solve", choice, [start]))

    tried = [solved(choice) for choice in space.choices]
    ways = []
    for laid in layouts(12, study.pack.piece):
        choice = replace(space.choices[0], layout=laid.text, raised_lid=0.0)
        bay = study_with_choice(study, choice).bay[0]
        if bay.depth < 48 * MM and bay.length < 200 * MM and 100 * MM < bay.width < 195 * MM:
            ways.append(choice)
    assert len(ways) >= 4
    best = max((solved(choice) for choice in ways), key=merit)
    assert best.feasible and max(result.gain for result in tried if result.feasible) >= best.gain * (1 - 1e-3)


def test_ways_with_another_fault_are_not_tried(opened):
    """Check that a way that rods would run over is passed over, and that the fault is told if all ways have one."""
    study, anchor = opened(cut_anew)
    space = search_space(study, anchor)
    choice = replace(space.choices[0], layout="", raised_lid=0.0)
    about = study, anchor, choice, space.bounds_of(choice), space.slowest_speed
    best = laid_packs(*about, lambda laid: None).tried[0]
    others = laid_packs(*about, lambda laid: "rods run over it" if laid.layout == best[0] else None)
    assert others.tried and best not in others.tried
    none = laid_packs(*about, lambda laid: "rods run over it")
    assert not none.tried and none.fault.endswith("pack has room, but rods run over it")


def test_a_bay_is_no_wider_than_the_widest_in_practice(opened):
    """Check 15 % of the span by hand, unless the wing's own bay is wider."""
    study, _ = opened(cut_anew)
    assert study.stock.span == pytest.approx(1.25) and widest_side(study) == pytest.approx(0.5 * 0.1875)
    wide = study.bay[0].model_copy(update={"width": 0.240})
    assert widest_side(replace(study, bay=(wide, *study.bay[1:]))) == pytest.approx(0.120)


def test_a_way_with_room_at_no_other_place_is_not_tried(opened):
    """Check eight cells in a deep wing: in two layers, 45 mm high, they have room at fewer places than side by side."""
    study, anchor = opened(cut_anew, (ROOMY[1][0], 'root_thickness = "60 mm"'), *(ROOMY[at] for at in (0, 2, 3)))
    space = search_space(study, anchor)
    choice = replace(space.choices[0], layout="", raised_lid=0.0)
    assert choice.series * choice.parallel == 8
    found = laid_packs(study, anchor, choice, space.bounds_of(choice), space.slowest_speed, lambda laid: None)
    assert found.tried == [("1 x 8 x 1 fore and aft", 0.0)]


def test_a_bay_lies_where_its_pack_balances(opened):
    """Check the balance of a design by hand: the bay's foam moves with the pack."""
    study, anchor = opened(cut_anew)
    space = search_space(study, anchor)
    choice, start = space.choices[0], starting_points(space)[0]
    design = EvaluatedDesign(study, space.data(choice), choice, start)
    shape, place = design.evaluation.shape, float(design.evaluation.balance.pack_position)
    bay, foam = design.study.bay[0], 30.0
    # 4 x 2 cells of 21700, 1 mm round them, 5 mm of travel each way, 25 mm for the leads behind
    assert bay.name == "main" and bay.cut_to_pack
    length, width, depth = (side / MM for side in (bay.length, bay.width, bay.depth))
    pack_length = length - 2 - 10 - 25
    assert bay.from_nose == pytest.approx(place - (0.5 * pack_length + 1 + 5) * MM, abs=1e-9)
    assert sorted([pack_length, width - 2, depth - 2])[0] == pytest.approx(23.5 if depth < 40 else 45.0)
    removed = foam * bay.length * bay.width * bay.depth
    board = foam * 2 * MM * bay.width * bay.depth
    centre = float(design.evaluation.flow.trimmed.centre_of_gravity)
    moment = float(shape.moment_without_pack)
    fixed = (
        moment
        + removed * (bay.from_nose + 0.5 * bay.length - place)
        + board * (bay.from_nose + bay.length + MM - place)
    )
    by_hand = fixed + float(shape.pack_mass) * place
    by_hand -= removed * (bay.from_nose + 0.5 * bay.length) + board * (bay.from_nose + bay.length + MM)
    assert by_hand == pytest.approx(float(shape.all_up_mass) * centre, rel=1e-9)


def test_the_model_weighs_the_foam_of_the_body(opened):
    study, anchor = opened(cut_anew)
    space = search_space(study, anchor)
    choice, start = space.choices[0], starting_points(space)[0]
    design = EvaluatedDesign(study, space.data(choice), choice, start)
    names = ["foam", "covering"]
    weighed = float(design.evaluation.shape.mass_items[names.index("foam")])
    body = design_body(design)
    assert weighed == pytest.approx(30.0 * body.foam_cm3 * 1e-6, rel=2e-4)


def test_a_brick_too_high_gets_a_raised_lid(opened):
    """Check that lids are tried as listed, cost range, and give the brick the room that it lacks."""
    study, anchor = opened(high_brick)
    space = search_space(study, anchor)
    brick = [choice for choice in space.choices if choice.pack == "brick"]
    assert brick and max(choice.raised_lid for choice in brick) > 0.0
    raised = max(brick, key=lambda choice: choice.raised_lid)
    flush = replace(raised, raised_lid=0.0)
    start = starting_points(space)[0]
    designs = [EvaluatedDesign(study, space.data(choice), choice, start) for choice in (flush, raised)]
    lid = raised.raised_lid
    low, high = (design.evaluation for design in designs)
    place = float(low.balance.pack_position)
    rooms = [room(one.wings.drawn, place, 0.0, one.data.tip_lack).pack_clearance for one in designs]
    assert rooms[1] - rooms[0] == pytest.approx(lid, abs=1e-9)
    drag = [float(one.section.drag_area[0]) for one in (low, high)]
    bay = designs[1].study.bay[0]
    # a rounded bump on a wall at 0.2 to 0.8 of its front, at a local pressure up to twice that of the stream
    assert 0.2 * lid * bay.width < drag[1] - drag[0] < 1.6 * lid * bay.width
    heavier = float(high.shape.all_up_mass - low.shape.all_up_mass)
    slab = 30.0 * lid * bay.length * bay.width
    assert slab < heavier < 3 * slab


@pytest.mark.parametrize(("height", "lid"), [("24 mm", 0.0), ("27 mm", 3.0), ("29.5 mm", 6.0)])
def test_a_brick_too_high_for_a_bay_that_stays_gets_the_lowest_lid(opened, height, lid):
    """Check a bay of 26 mm with a millimetre over and under the brick: what is on board, drag and the foam of the body.

    The bay is deeper by what its lid is raised, as far as there is foam: the slab above the skin weighs as much.
    """
    study, anchor = opened(high_brick_in_a_bay_that_stays, height=height)
    space = search_space(study, anchor)
    (brick,) = [choice for choice in space.choices if choice.pack == "brick"]
    assert (brick.layout, brick.raised_lid) == ("", pytest.approx(lid * MM))
    assert (f"(the lid raised {lid:.0f} mm)" in brick.words) == bool(lid)
    start = starting_points(space)[0]
    wings = EvaluatedDesign(study, space.data(brick), brick, start).wings
    start = start | {"static_margin": float(margin_of_pack_place(wings, 0.123))}  # in the middle of its bay
    flush, made = (
        EvaluatedDesign(study, space.data(choice), choice, start) for choice in (replace(brick, raised_lid=0.0), brick)
    )
    bay = made.study.bay[0]
    assert bay.depth == pytest.approx((26 + lid) * MM) and study_with_choice(made.study, brick) == made.study
    body = BodyChecks(design_body(made))
    assert not body.mesh_faults() and not body.sticks_out("pack")
    assert [each for each in body.crossings() if "pack" in each] == []
    # in grams: the film on its four sides, 3 mm or 6 mm high, at 42 g/m2 and 15 g/m2 of adhesive
    sides = 1e3 * 0.057 * 2 * (0.170 + 0.120) * lid * MM
    heavier = 1e3 * float(made.shape.all_up_mass - flush.shape.all_up_mass)
    assert heavier == pytest.approx(sides, abs=0.15)
    drag = [float(one.evaluation.section.drag_area[0]) for one in (flush, made)]
    assert (drag[1] > drag[0] + 0.2 * lid * MM * bay.width) if lid else drag[0] == drag[1]
    weighed = float(made.shape.mass_items[0])  # of the foam inside the skin
    assert weighed == pytest.approx(30.0 * design_body(made).foam_cm3 * 1e-6, rel=4e-4)


def test_a_pack_too_high_says_which_lid_it_needs(opened):
    study, anchor = opened(high_brick_in_a_bay_that_stays, height="32 mm")
    assert [each for each in search_space(study, anchor).excluded if "brick" in each] == [
        'the 4S1P pack "brick" is 32 mm high and needs 1 mm of room on each side, the main bay has 26 mm: 8 mm too '
        "little; laid fore and aft it would fit under a lid raised by 8 mm (choices.raised_lid)"
    ]


def test_two_bricks_in_two_bays(opened):
    """Check that each half wing has a bay with one brick, and that the body holds both."""
    study, anchor = opened(two_bricks)
    space = search_space(study, anchor)
    choice = space.choices[0]
    design = EvaluatedDesign(study, space.data(choice), choice, anchor.variables)
    body = BodyChecks(design_body(design))
    assert not body.mesh_faults()
    pack = body.records["pack"]
    corners = np.array(pack.vertices_mm)
    assert np.ptp(corners, axis=0) == pytest.approx([138, 44, 25], abs=0.01)
    assert corners[:, 1].mean() == pytest.approx(45.0, abs=0.01) and pack.inside == "bay main"
    assert not body.sticks_out("pack")
    assert [each for each in body.crossings() if "pack" in each] == []
    volume, centroid = body.foam()
    assert volume / 1e3 == pytest.approx(design_body(design).foam_cm3, rel=1e-3) and abs(centroid[1]) < 0.05


def test_room_for_a_bay_is_that_in_the_whole_skin(opened):
    """Check that leaving out the outer sections changes nothing, for a bay at the place of the pack."""
    study, anchor = opened(cut_anew)
    space = search_space(study, anchor)
    choice, start = space.choices[0], starting_points(space)[0]
    design = EvaluatedDesign(study, space.data(choice), choice, start)
    boxes = [bay_box(design.study.bay[0])]
    whole = layout.outer_skin(design.data.layout, design.solution.wing)
    expected = box_margins(box_heights(whole, boxes), boxes)
    assert design.evaluation.room.pack_clearance == pytest.approx(expected, abs=1e-12)


def test_the_stock_wings_bay_is_offered_where_its_pack_may_lie_farther():
    """Check the Lapwing, whose bay ends 10 mm ahead of its joiner, with two rows of cells."""
    study = read_study(STUDIES / "lapwing.toml")
    space = search_space(study, anchor_of(study))
    choice = next(each for each in space.choices if each.parallel == 2 and each.layout)
    held = in_stock_bay(space, choice)
    assert held == replace(choice, layout="", raised_lid=0.0)
    assert pack_reach(study, held)[1] > pack_reach(study, choice)[1] + 0.002
    assert in_stock_bay(space, held) is None  # it lies there already
    # a pack that the stock wing's bay does not hold stays in its own
    assert in_stock_bay(space, replace(choice, parallel=4)) is None
