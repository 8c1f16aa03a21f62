"""Cutting data of a wing against plane geometry, the study's own lengths, and the model's own masses."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.model_data import model_data
from tradestudy.aircraft.shape import stock_shape
from tradestudy.aircraft.workshop.cutting import cutting
from tradestudy.aircraft.workshop.template_sections import foam_outline, without_film
from tradestudy.physics.body import skin
from tradestudy.physics.body.straight_rods import PAIRS_APART
from tradestudy.physics.flight import layout, rod_sets
from tradestudy.physics.geometry import fins as fin
from tradestudy.physics.geometry import planform
from tradestudy.physics.sections import airfoil
from tradestudy.physics.weights import mass
from tradestudy.physics.weights.unlisted import NOTHING_UNLISTED
from tradestudy.results.body import Body
from tradestudy.results.cutting import Mark
from tradestudy.results.outline import Outline, OutlineItem, PackBox

CHOICE = Choice(4, 2, 0.003, 2, "10x6")
ROUNDED = 6e-4  # mm: coordinates are rounded to a thousandth


@pytest.fixture(scope="module")
def data(godwit_study):
    """Return the Godwit's data without the mass not itemised, which geometry does not need."""
    return model_data(godwit_study, NOTHING_UNLISTED)


def built(study, data, scheme, extension=0.15, washout=0.0524, keeps_panels=False, **choice):
    """Return the wing (planform.Planform) stretched by a scheme, and its data for building."""
    laid = data.layout._replace(scheme=scheme)
    level = data.level._replace(flight=data.flight._replace(layout=laid))
    data = replace(data, level=level)
    stock = laid.stock
    wing = layout.wing_outline(laid, np.asarray(extension), np.asarray(stock.sweep), np.asarray(washout))
    fins = layout.fins_on(laid, wing, planform.areas(wing))
    design = SimpleNamespace(
        study=study,
        data=data,
        choice=replace(CHOICE, **choice),
        variables={"extension": extension},
        elevon_chord=stock.elevon_chord,
        keeps_panels=keeps_panels,
        solution=SimpleNamespace(wing=wing, fins=fins),
    )
    drawn = Outline(
        pack=PackBox(x_mm=96.0, length_mm=70.0, width_mm=60.0),
        equipment=[OutlineItem("motor", x_mm=272.0, length_mm=0.0, width_mm=0.0, mass_g=60.0)],
    )
    numbers = SimpleNamespace(cg_mm=150.0, first_flight_cg_mm=149.0, cg_front_mm=147.0, cg_back_mm=153.0, auw_g=1840.0)
    told = cutting(design, numbers, drawn, Body())
    return wing, fins, laid, told


def area_of(x, z):
    return 0.5 * abs(np.sum(x * np.roll(z, -1) - z * np.roll(x, -1)))


def flat_wing(section, foam=0.2, elevon=0.04, twist=-0.07):
    """Return a wing of constant chord with its tip turned nose down, and its skin. [m]"""
    edge, chord = np.array([0.0, 0.1]), np.array([foam, foam])
    wing = planform.Planform(
        station=np.array([0.0, 0.5]),
        leading_edge=edge,
        height=np.array([0.0, 0.03]),
        foam_chord=chord,
        elevon_chord=np.array([elevon, elevon]),
        twist=np.array([0.0, twist]),
        elevon_inner_end=0.1,
        elevon_outer_end=0.4,
        stock_part_start=0.0,
        stock_part_end=0.5,
    )
    outline = airfoil.coordinates_by_name(section)
    points = skin.section_points(outline, outline, (foam, foam), (elevon, elevon), None)
    return wing, skin.wing_skin(wing, points)


@pytest.mark.parametrize("index", [0, 1])
def test_outline_of_a_four_digit_section_is_that_of_its_formula(index):
    # Thickness of NACA 0012 by the four-digit polynomial (E. N. Jacobs, K. E. Ward, R. M. Pinkerton, NACA report 460,
    # 1933, eq. 6.2 there in the form with 0.2969, 0.1260, 0.3516, 0.2843, 0.1015)
    def half(x):
        return 0.6 * (0.2969 * np.sqrt(x) - 0.126 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4)

    chord, foam = 240.0, 200.0
    wing, outer = flat_wing("naca0012")
    x, z = foam_outline(outer, index, wing).T
    assert (x[0], x[-1]) == pytest.approx((foam, foam)) and x.min() == pytest.approx(0.0, abs=1e-9)
    fine = np.linspace(0, foam / chord, 20001)
    # the points of the skin are on straight lines between the points of the coordinates, 0.03 mm inside the curve
    curve = chord * np.column_stack([fine, half(fine)])
    assert max(np.hypot(*(curve - point).T).min() for point in zip(x, np.abs(z), strict=True)) < 0.03
    exact = 2 * chord**2 * np.trapezoid(half(fine), fine)
    assert area_of(x, z) == pytest.approx(exact, rel=2e-3)  # chords of the polygon are inside the curve


def test_film_comes_off_all_round_but_at_the_hinge():
    wing, outer = flat_wing("naca2412")
    whole = foam_outline(outer, 1, wing)
    bare = without_film(whole, 0.5)
    # each point is 0.5 mm off its neighbours' line, on a parallel, except at the two hinge corners
    gap = np.hypot(*(whole - bare).T)
    assert gap[1:-1] == pytest.approx(0.5, abs=1e-12)
    assert bare[[0, -1], 0] == pytest.approx([200.0, 200.0], abs=1e-12)
    along = np.hypot(*np.diff(whole, axis=0).T).sum()
    # lost area: film times length, less the overlap at corners and nose (of the order of film squared)
    assert area_of(*whole.T) - area_of(*bare.T) == pytest.approx(0.5 * along, rel=0.01)
    sharp = without_film(np.array([[100.0, 0.1], [50.0, 5.0], [0.0, 0.0], [50.0, -5.0], [100.0, -0.1]]), 0.5)
    assert sharp[0] == pytest.approx(sharp[-1], abs=1e-12)  # thinner than two films: closed, not crossed


@pytest.mark.parametrize("scheme", ["scaled", "plug", "tip"])
def test_templates_hold_chord_thickness_and_area_of_the_model(scheme, godwit_study, data):
    wing, _, laid, told = built(godwit_study, data, scheme)
    sections = stock_shape.wing_sections(godwit_study, laid.stock)
    root, *_, tip = told.sections
    names = ["root", "joint", "tip"] if scheme == "tip" else ["root", "tip"]
    assert [one.name for one in told.sections] == names
    # by callipers, from the study; between its points, the skin lies up to 0.05 mm inside on either side
    assert 54.4 <= root.thickness_mm <= 54.5
    assert root.foam_chord_mm == pytest.approx(328.0, abs=1e-3)  # by ruler, from the study
    assert tip.foam_chord_mm == pytest.approx(1e3 * wing.foam_chord[-1], abs=1e-3)
    for one in told.sections:
        x, z = np.array(one.x_mm), np.array(one.z_mm)
        count = len(x) // 2
        assert (x[0], x[-1]) == pytest.approx((one.foam_chord_mm, one.foam_chord_mm), abs=ROUNDED)
        assert x[count] == pytest.approx(x.min()) == pytest.approx(one.film_mm, abs=ROUNDED)
        assert one.foam_area_cm2 == pytest.approx(area_of(x, z) / 100, rel=1e-5)
        # the model's own integral of the section up to this hinge, less a film along it; the polygon is 0.1 % off
        # beyond the panel the section keeps the shape that it has at the panel's end
        end = told.sections[1] if one is tip else one
        outline = (sections.root if one is root else sections.tip).foam
        shape = airfoil.section_shape(outline, end.foam_chord_mm / end.section_chord_mm)
        around = (shape.perimeter - 0.05) * one.foam_chord_mm  # about: without the face at the hinge
        wanted = shape.area * one.foam_chord_mm**2 - one.film_mm * around
        assert 100 * one.foam_area_cm2 == pytest.approx(wanted, rel=1e-3)
        assert one.thickness_mm - one.foam_thickness_mm == pytest.approx(2 * one.film_mm, abs=2e-3)


@pytest.mark.parametrize("scheme", ["scaled", "plug", "tip"])
def test_cores_fill_the_wing_and_hold_the_models_foam(scheme, godwit_study, data):
    wing, _, laid, told = built(godwit_study, data, scheme)
    cores = told.cores
    assert cores[0].from_mm == 0.0 and cores[-1].to_mm == pytest.approx(1e3 * wing.semi_span, abs=1e-3)
    for inner, outer in zip(cores, cores[1:], strict=False):
        # a tenth of a millimetre replaces a piece of no width
        assert inner.to_mm == pytest.approx(outer.from_mm, abs=0.11)
    weight = float(mass.bare_wing(wing, laid.materials).lumps["foam"].mass)
    # litres of bare foam; the model includes the thickness of film and uses one hinge share: together 0.6 %
    assert sum(core.litres for core in cores) == pytest.approx(1e3 * weight / laid.materials.foam_density, rel=8e-3)
    new = {core.name for core in cores if core.new}
    assert new == {"scaled": {"panel"}, "plug": {"plug"}, "tip": {"tip piece"}}[scheme]
    assert told.joint_mm == {"scaled": None, "plug": 40.0, "tip": 650.0}[scheme]
    if scheme != "scaled":
        added = next(core for core in cores if core.new)
        assert added.width_mm == pytest.approx(150.0, abs=0.11) and added.count == 2


def test_blocks_hold_their_cores(godwit_study, data):
    _, _, _, told = built(godwit_study, data, "scaled")
    panel = told.cores[-1]
    root, tip = told.sections
    assert panel.block_chord_mm == pytest.approx(tip.leading_edge_mm + tip.foam_chord_mm + 20.0)
    heights = []
    for one in (root, tip):
        turn = np.radians(one.washout_deg)
        heights += [z * np.cos(turn) + x * np.sin(turn) for x, z in zip(one.x_mm, one.z_mm, strict=True)]
    assert panel.block_thickness_mm == pytest.approx(max(heights) - min(heights) + 10.0, abs=2e-3)


def test_jig_turns_the_tip_by_its_washout(godwit_study, data):
    _, _, _, told = built(godwit_study, data, "scaled", washout=np.radians(3.0))
    root, tip = told.jig
    # the foam's edge at the hinge is higher by sin(3 deg) of its chord; at the root it is not
    assert tip.foam_raised_mm == pytest.approx(172.0 * np.sin(np.radians(3.0)), abs=2e-3)
    assert tip.trailing_edge_raised_mm == pytest.approx(198.0 * np.sin(np.radians(3.0)), abs=2e-3)
    assert root.foam_raised_mm == root.trailing_edge_raised_mm == 0.0
    # the leading-edge line is the same: block and nose are at the same height above the table
    noses = []
    for row, one in zip((root, tip), told.sections, strict=True):
        turn, count = np.radians(one.washout_deg), len(one.x_mm) // 2
        bottom = np.array([one.x_mm[count:], one.z_mm[count:]])
        under = np.interp(row.front_block_behind_edge_mm, *bottom)
        noses.append(row.front_block_mm - under * np.cos(turn) - row.front_block_behind_edge_mm * np.sin(turn))
        corner = bottom[:, -1]
        assert row.hinge_block_mm - corner[1] * np.cos(turn) - corner[0] * np.sin(turn) == pytest.approx(
            noses[-1], abs=2e-3
        )
    assert noses[0] == pytest.approx(noses[1], abs=2e-3)
    lowest = min(one.lowest_mm for one in told.sections)
    assert noses[0] + lowest == pytest.approx(0.0, abs=2e-3)  # the lowest part lies on the table


def test_rods_are_as_long_as_the_model_has_them_and_cut_from_what_is_sold(godwit_study, data):
    wing, _, laid, told = built(godwit_study, data, "scaled", extension=0.28)
    front, rear = told.rods
    for rod in told.rods:
        (y0, y1), (x0, x1) = (rod.from_mm, rod.to_mm), rod.behind_nose_mm
        assert rod.length_mm == pytest.approx(np.hypot(y1 - y0, x1 - x0), abs=2e-3)  # Pythagoras
    longest = max(rod.length_mm for rod in told.rods)
    assert longest == pytest.approx(1e3 * float(rod_sets.longest_rod(laid, wing)), abs=1e-3)
    # the rod across the centre overlaps each rear rod by 25 diameters; the front rods end beside the bay
    turn = np.cos(np.arctan(np.diff(rear.behind_nose_mm) / (rear.to_mm - rear.from_mm)))
    assert rear.across_mm == pytest.approx(2 * 25 * rear.diameter_mm * turn[0], abs=2e-3)
    assert front.across_mm == 0.0 and front.from_mm == pytest.approx(92.0)
    assert {piece.name: piece.count for piece in told.lengths[0].pieces} == {"front": 8, "rear": 8, "rear, across": 4}
    # two pairs of each; 0.93 m from 1 m lengths
    assert [rod.each_half for rod in told.rods] == [4, 4] and [rod.splices_at_mm for rod in told.rods] == [[], []]
    for kind in told.lengths:
        pieces = sum(piece.length_mm * piece.count for piece in kind.pieces)
        bought = len(kind.cuts_mm) * kind.sold_mm
        assert sum(map(sum, kind.cuts_mm)) == pytest.approx(pieces, abs=0.01)
        assert kind.waste_mm == pytest.approx(bought - pieces, abs=0.01)
        assert all(sum(cut) <= kind.sold_mm + 1e-3 for cut in kind.cuts_mm)
    root, tip = told.sections
    inside = {
        name: [slot.inside for slot in root.rods if slot.name == name] for name in ("front", "rear", "rear across")
    }
    assert inside == {"front": [False, False], "rear": [True, True], "rear across": [True, True]}
    assert [slot.inside for slot in tip.rods] == [False] * 4  # they end 40 mm before the tip
    first, second = (slot.behind_leading_edge_mm for slot in root.rods if slot.name == "front")
    assert second - first == pytest.approx(1e3 * PAIRS_APART) and 0.5 * (first + second) == pytest.approx(0.25 * 328)
    # behind the bay there is room for 6 % of the foam chord on either side, up to 90 % of it
    first, second = (slot.behind_leading_edge_mm for slot in root.rods if slot.name == "rear")
    assert 0.5 * (first + second) == pytest.approx(0.84 * 328) and second == pytest.approx(0.90 * 328, abs=1e-3)


def test_throws_fins_and_places(godwit_study, data):
    wing, fins, _, told = built(godwit_study, data, "scaled")
    throws = told.throws
    # mean chord of the elevon (46 + 26) / 2 mm, 20 deg of up-travel, both from the study file
    assert throws.up_mm == pytest.approx(36.0 * np.sin(np.radians(20.0)), abs=1e-3)
    assert throws.down_mm == pytest.approx(36.0 * np.sin(np.radians(10.0)), abs=1e-3)
    (one,) = told.fins
    drawn = area_of(np.array(one.x_mm), np.array(one.z_mm))
    assert 2e-6 * drawn == pytest.approx(float(fin.sheet_area(fins)), rel=1e-4)  # both sides; rounded to 1e-3 mm
    for row in told.stations:
        assert row.leading_edge_mm + row.leading_edge_ahead_mm == pytest.approx(374.0, abs=2e-3)
        assert row.trailing_edge_mm - row.trailing_edge_behind_mm == pytest.approx(374.0, abs=2e-3)
        # from above, a section turned by its washout looks shorter; half the heights of its hinge corners adds to that
        share = max(row.station_mm - 40.0, 0.0) / (told.stations[-1].station_mm - 40.0)
        seen = row.foam_chord_mm * np.cos(0.0524 * share)
        assert row.hinge_mm == pytest.approx(row.leading_edge_mm + seen, abs=0.1)
        assert share > 0 or row.hinge_mm == pytest.approx(row.leading_edge_mm + row.foam_chord_mm, abs=2e-3)
    assert told.marks[0] == Mark("balance mark", behind_nose_mm=150.0, ahead_mm=224.0)
    assert told.gear[0] == Mark("pack", behind_nose_mm=96.0, ahead_mm=278.0)
    (servo,) = told.pockets  # at its share of the redrawn span: 240 of 650 mm, now of 800
    assert servo.middle_mm == pytest.approx(240.0 * 800 / 650, abs=1e-3)


@pytest.mark.parametrize(
    ("scheme", "extension", "joint"), [("plug", 0.05, True), ("plug", 2e-4, False), ("tip", 2e-4, False)]
)
def test_a_panel_is_cut_apart_only_for_a_piece_to_glue_in(godwit_study, data, scheme, extension, joint):
    """Check that a wing that hardly grows, and so has no new piece, is not cut apart either."""
    told = built(godwit_study, data, scheme, extension)[-1]
    assert (told.joint_mm is not None) is joint is any(core.new for core in told.cores)


@pytest.mark.parametrize("kept", [True, False])
def test_redrawn_panels_that_are_those_of_the_stock_wing_are_not_cut(godwit_study, data, kept):
    told = built(godwit_study, data, "scaled", 0.0, keeps_panels=kept)[-1]
    assert told.panels_kept is kept
    assert [core.new for core in told.cores if core.name == "panel"] == [not kept]
