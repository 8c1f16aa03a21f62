"""A study with an elevon outlined by points, an inboard fin with cant and toe, and tip fins that extend below."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.edited import edited
from helpers.places import STUDIES
from helpers.references.differences import slopes_that_agree
from helpers.wings.surfaced import surfaced

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.aircraft.balance import handling
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.model_data import model_data
from tradestudy.aircraft.workshop import outline
from tradestudy.physics.flight import layout, strength, trimmed_flight
from tradestudy.physics.geometry import fins as fin
from tradestudy.physics.geometry import planform
from tradestudy.physics.weights import mass
from tradestudy.study.reader import read_study
from tradestudy.uncertainty import inputs_with_bands

SCHEMES = ("scaled", "plug", "tip")


@pytest.fixture(scope="module")
def study(tmp_path_factory):
    file = tmp_path_factory.mktemp("surfaced") / "godwit.toml"
    file.write_text(surfaced((STUDIES / "godwit.toml").read_text(encoding="utf-8")), encoding="utf-8")
    return read_study(file)


@pytest.fixture(scope="module")
def anchor(study):
    return anchor_of(study)


def laid(anchor, scheme, **changes):
    return anchor.data.layout._replace(scheme=scheme, keep="sweep_angle", fins_rule="hold_volume", **changes)


def test_fins_and_elevon_as_given(anchor):
    """Check that the part of a fin below is the mirrored part above, cut off, and that lengths and angles are in SI."""
    tip, inboard = anchor.data.layout.fins
    assert (tip.from_centre, inboard.from_centre) == (None, 0.21)
    share = 50 / 130
    assert tip[5:8] == pytest.approx((0.05, 0.15 - 0.06 * share, 0.06 * share), rel=1e-12)
    assert (inboard.cant, inboard.toe, inboard.depth_below) == pytest.approx(np.radians([20, 2, 0]))
    stock = anchor.data.layout.stock
    assert np.array(stock.elevon_outline) == pytest.approx(np.array([[0.07, 0.045], [0.30, 0.045], [0.60, 0.022]]))
    ends = stock.elevon_root_chord, stock.elevon_tip_chord, stock.elevon_inner_end, stock.elevon_outer_end
    assert ends == pytest.approx((0.045, 0.022, 0.07, 0.60))


def arrays(record, place=""):
    """Yield place and value of every array and number in a nested record."""
    for name, value in zip(getattr(record, "_fields", range(len(record))), record, strict=True):
        if isinstance(value, tuple):
            yield from arrays(value, f"{place}{name}.")
        elif isinstance(value, (np.ndarray, float)):
            yield f"{place}{name}", value


@pytest.mark.parametrize("scheme", SCHEMES)
def test_lattices_solved_at_once_are_what_each_is_alone(anchor, scheme):
    flight = anchor.data.flight._replace(layout=laid(anchor, scheme))
    wings = np.array([[0.0, 0.45, 0.03, 0.16], [0.1, 0.42, 0.04, 0.18], [0.2, 0.5, 0.02, 0.15]])
    many = dict(arrays(trimmed_flight.unit_solution(flight, *wings.T[:3], strips=True, tip_chord=wings[:, 3])))
    for index, wing in enumerate(wings):
        alone = dict(arrays(trimmed_flight.unit_solution(flight, *wing[:3], strips=True, tip_chord=wing[3])))
        for name, value in many.items():
            if isinstance(value, np.ndarray):  # without the first axis it would be cut along its strips
                assert len(value) == len(wings)
                np.testing.assert_allclose(value[index], alone[name], rtol=1e-11, atol=1e-13, err_msg=name)


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("extension", [0.0, 0.2])
def test_all_fins_keep_their_combined_volume(anchor, scheme, extension):
    def volume(data, extension):
        wing = layout.wing_outline(data, np.asarray(extension), np.asarray(data.stock.sweep), np.asarray(0.04))
        areas = planform.areas(wing)
        fins = layout.fins_on(data, wing, areas)
        quarter = areas.mean_aerodynamic_chord_leading_edge + 0.25 * areas.mean_aerodynamic_chord
        whole = fin.fin_totals(fins, wing)
        return fin.fin_volume(whole.side_area, whole.quarter_chord - quarter, areas.area, areas.span), fins

    stock, was = volume(laid(anchor, "scaled")._replace(keep="set_back", fins_rule="keep"), 0.0)
    result, now = volume(laid(anchor, scheme), extension)
    assert result == pytest.approx(stock, rel=1e-9)
    growth = now[0].height / was[0].height
    for one, other in zip(now, was, strict=True):  # lengths have one common factor, places and angles do not change
        assert (one.tip_chord, one.depth_below) == pytest.approx((growth * other.tip_chord, growth * other.depth_below))
        assert (one.from_centre, one.cant, one.toe) == (other.from_centre, other.cant, other.toe)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_exact_slopes(study, anchor, scheme):
    """Compare derivatives of layout, flow and structure with differences. They are by complex step and by tangents."""
    data = laid(anchor, scheme)
    stretch = study.stretch.model_copy(update={"scheme": scheme})
    drawn = model_data(replace(study, stretch=stretch), data.unlisted)  # the tables belong to the strips of the scheme
    flying = anchor.data.flight._replace(layout=data, table=drawn.flight.table)
    strong = anchor.data.strength._replace(layout=data, section=drawn.strength.section)

    def one(x):
        e, s, w, speed = np.moveaxis(x, -1, 0)
        o = np.ones(e.shape)
        weights = layout.design_shape(data, e, s, w, 0.004 * o, 2 * o, 4 * o, 2 * o, 0.19 * o)
        solution = trimmed_flight.unit_solution(flying, e, s, w)
        trimmed = trimmed_flight.trim_conditions(flying, solution, weights.all_up_mass, 0.08 * o, speed)
        sideways = [value[..., None] for value in trimmed_flight.lateral_handling(flying, solution, trimmed)]
        fixed = strength.wing_structure(
            strong,
            strength.WingChoice(e, s, w, 0.004 * o, 2 * o),
            strength.StripForces(trimmed.load_factor[..., 4:], trimmed.strip_lift, trimmed.strip_moment),
        ).beam
        names = ("fin_area", "fin_mean_chord", "fin_side_area", "fin_quarter_chord", "moment_without_pack")
        parts = [getattr(weights, name)[..., None] for name in names]
        parts += [trimmed.neutral_point[..., None], trimmed.centre_of_gravity[..., None], trimmed.elevon]
        parts += [
            trimmed.induced_drag_area,
            trimmed.strip_area,
            trimmed.lift_coefficient[..., 0, :],
            fixed.bending_moment[..., 0, :-1],
        ]
        return np.concatenate(parts + sideways, axis=-1)

    def outputs(x):
        return one(x) if np.iscomplexobj(x) else np.stack([one(row) for row in x])

    # Of some 60 numbers. The scheme "plug" fixes sweep and washout. Area and fins do not depend on twist and speed.
    assert slopes_that_agree(outputs, np.array([0.15, 0.42, 0.04, 15.0])) > (60 if scheme == "plug" else 100)


@pytest.fixture(scope="module")
def stock(study, anchor):
    return EvaluatedDesign(study, anchor.data, anchor.choice, anchor.variables)


def test_weights_include_all_fins(study, anchor, stock):
    values = stock.evaluation.by_name()
    result = dict(zip(layout.mass_item_names(anchor.data.layout), stock.shape.mass_items, strict=True))
    tip, inboard = anchor.data.layout.fins
    below = 0.5 * (0.15 + tip.tip_chord_below) * 0.05
    by_hand = 2 * tip.areal_mass * (0.12 * 0.13 + below) + 2 * inboard.areal_mass * 0.09 * 0.09
    assert result["fins"] == pytest.approx(by_hand, rel=1e-12)
    stated = handling.inertia_of(stock, float(values["pack_position"]))
    assert stated.mass == pytest.approx(float(values["all_up_mass"]), rel=1e-12)
    assert stated.centre_of_gravity == pytest.approx(
        float(values["centre_of_gravity"]), abs=1e-4
    )  # tested in test_design_handling


def test_elevons_weigh_what_their_outline_covers(anchor):
    """Check the mass of elevons, with fixed strips of 45 and 22 mm inside and outside of the outline's points."""
    data = anchor.data.layout
    wing = layout.wing_outline(data, np.asarray(0.0), np.asarray(data.stock.sweep), np.asarray(data.stock.washout))
    area = 2 * (0.045 * 0.30 + 0.5 * (0.045 + 0.022) * 0.30 + 0.022 * 0.05)
    materials = data.materials
    result = mass.bare_wing(wing, materials).lumps["elevons"].mass
    assert result == pytest.approx(materials.elevon_density * materials.elevon_thickness * 2 / 3 * area, rel=1e-9)


def test_inboard_fin_loads_the_beam_at_its_station(anchor):
    """Check that without the fin the beam carries less from the strip inside of its foot inward, and the same
    outside."""
    data, given = anchor.data.strength, (0.0, anchor.variables["sweep"], anchor.variables["washout"], 0.003, 1.0)
    given = strength.WingChoice(*(np.asarray(value) for value in given))
    fins = tuple(one._replace(areal_mass=0.0) if one.from_centre else one for one in data.layout.fins)
    built, bare = (
        strength.half_wing(one, given) for one in (data, data._replace(layout=data.layout._replace(fins=fins)))
    )
    more = built.strip_mass - bare.strip_mass
    at = np.flatnonzero(more)
    assert len(at) == 1 and built.strip_y[at[0]] < 0.21 < built.strip_y[at[0] + 1]
    assert more.sum() == pytest.approx(data.layout.fins[1].areal_mass * 0.09 * 0.09, rel=1e-9)
    moment = (built.strip_mass * built.mass_x - bare.strip_mass * bare.mass_x).sum()
    edge = 0.305 * (0.21 - 0.04) / 0.61
    assert moment / more.sum() == pytest.approx(edge + 0.12 + 0.02 + 0.045, rel=1e-9)


def test_drawing_matches_the_fins(study, anchor, stock):
    drawn = outline.design_outline(stock)
    tip, inboard = drawn.fins
    assert tip.y_mm == [650, 650] and tip.x_mm == [325, 475]
    assert (tip.height_mm, tip.depth_below_mm, len(tip.ends)) == (130, 50, 2)
    front, back = inboard.y_mm
    assert front < 210 < back  # the leading edge is inward
    assert back - front == pytest.approx(110 * np.sin(np.radians(2)), abs=0.002)
    (top,) = inboard.ends
    assert np.mean(top.y_mm) == pytest.approx(210 + 90 * np.sin(np.radians(20)), abs=0.002)
    # closed outline: along the hinge from the inner to the outer end, then back to the inner end
    half = len(drawn.elevon_y_mm) // 2
    hinge = dict(zip(drawn.elevon_y_mm[:half], drawn.elevon_x_mm[:half], strict=True))
    back = dict(zip(drawn.elevon_y_mm[half:-1], drawn.elevon_x_mm[half:-1], strict=True))
    assert {y: back[y] - hinge[y] for y in (70, 300, 600)} == pytest.approx({70: 45, 300: 45, 600: 22}, abs=0.01)


def test_more_fins_increase_yaw_stiffness(godwit_study, godwit_anchor, study, anchor, stock):
    """Compare with the Godwit: more yaw stiffness, and fins below reduce the dihedral effect per side force."""
    result = handling.cruise_handling(stock).lateral
    plain = EvaluatedDesign(godwit_study, godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables)
    was = handling.cruise_handling(plain).lateral
    assert result.yaw_sideslip > was.yaw_sideslip and result.side_sideslip < was.side_sideslip


def test_short_form_of_an_elevon(tmp_path):
    """Check that stock.elevon_chord still gives a straight elevon, and that an outline replaces it."""
    text = (STUDIES / "lapwing.toml").read_text(encoding="utf-8")
    short = tmp_path / "lapwing.toml"
    short.write_text(text, encoding="utf-8")
    study = read_study(short)
    assert study.elevon.root_chord == study.elevon.tip_chord == study.stock.elevon_chord
    assert study.elevon.outline is None
    line = next(row for row in text.splitlines() if row.startswith("elevon_chord"))
    points = '\n[elevon]\noutline = [["60 mm", "40 mm"], ["400 mm", "30 mm"]]\n'
    short.write_text(edited(text, (line + "\n", "")) + points, encoding="utf-8")
    stated = read_study(short).elevon
    assert (stated.root_chord, stated.tip_chord, stated.inner_end, stated.outer_end) == pytest.approx(
        (0.04, 0.03, 0.06, 0.4)
    )


def test_ruler_error_is_common_to_all_chords_of_an_outline(study):
    result = {one.used.key: one for one in inputs_with_bands.measured_inputs(study)}
    assert {"elevon.root_chord", "stock.elevon_chord"}.isdisjoint(result)
    less, more = (side["elevon", "outline"] for side in result["elevon.outline"].sides)
    first, last = (
        np.array([[float(text.removesuffix(" mm")) for text in point] for point in side]) for side in (less, more)
    )
    assert 0.5 * (first + last) == pytest.approx(np.array([[70, 45], [300, 45], [600, 22]]))
    assert last - first == pytest.approx(np.array([[0, 2e3 * inputs_with_bands.RULER]] * 3), abs=1e-9)
