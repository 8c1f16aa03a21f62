"""Fins by hand, and in the lattice against limits: extensions, mirror images, fins of several parts."""

import numpy as np
import pytest
from helpers.references.lateral_answers import sideways
from helpers.wings.wings import FLAT, answer, outline, tapered

from tradestudy.physics.aero import lattice, viscous_drag
from tradestudy.physics.air import equal_friction_chord
from tradestudy.physics.flight import trimmed_flight
from tradestudy.physics.geometry import fins
from tradestudy.physics.geometry.fins import SheetFin
from tradestudy.physics.geometry.mesh import half_wing_mesh
from tradestudy.physics.weights import inertia, mass

ROUNDING = 1e-12
SWEPT = tapered(6, 0.5, 25)
UP = SheetFin(0.2, 0.2, 0.12, 0.1, 0.03)
DOWN = SheetFin(0.0, 0.2, 0.12, 0.1, 0.03, 0.2, 0.12, 0.1)


def test_fin_volume():
    # two fins of 1.5 dm2 each, 0.25 m behind the balance point, wing 0.3 m2 and 1.5 m: 0.03 x 0.25 / 0.45
    assert fins.fin_volume(0.03, 0.25, 0.3, 1.5) == pytest.approx(0.0166667, rel=1e-5)


def test_demonstration_wing_lies_in_the_usual_range(godwit_anchor):
    # swept tailless foam models have some 0.01 to 0.03; common practice, no source
    assert 0.01 < godwit_anchor.reference.fin_volume < 0.03


def test_demonstration_wing_has_a_usual_static_margin(godwit_anchor):
    # 2-5 % for experts and racing, 5-10 % usual, 10-15 % first flights; common practice, no source
    assert 0.02 < godwit_anchor.reference.static_margin < 0.15


@pytest.mark.parametrize("span", [1.0, 1.5])
@pytest.mark.parametrize("aspect_ratio", [5, 8])
def test_arm_of_tip_fins_is_proportional_to_span(span, aspect_ratio):
    """Check that the arm of tip fins is (tan sweep) / 2 (1 - 2 y_MAC / b) of the span at any size: volume follows area.

    The fins have nearly no chord and are on the wing's quarter-chord line. The margin is 0 about the quarter chord of
    the mean chord. The neutral point of a tapered wing is within 2.5 % of that chord, which is 1 % of the span.
    """
    wing = tapered(aspect_ratio, 0.5, 25, span=span)
    result = answer(wing)
    spot = SheetFin(0.1, 1e-9, 1e-9, 0.0, 0.25 * wing.chord[-1])
    place = float(fins.fin_totals((spot,), wing).quarter_chord)
    tangent, mean_station = np.tan(np.radians(25)), span / 6 * (1 + 2 * 0.5) / 1.5
    expected = 0.5 * tangent * (1 - 2 * mean_station / span)
    quarter = result.areas.mean_aerodynamic_chord_leading_edge + 0.25 * result.areas.mean_aerodynamic_chord
    assert (place - quarter) / span == pytest.approx(expected, rel=1e-7)  # the fin has a chord of a nanometre
    assert (place - result.neutral_point) / span == pytest.approx(expected, abs=0.01)
    # from the centre line: quarter of the root chord and the sweep of the line
    assert place == pytest.approx(0.25 * wing.chord[0] + 0.5 * span * tangent, rel=1e-7)


def test_areas_and_places_by_hand():
    """Compare one fin on the tip, above and below, and one inboard with a cant of 60 degrees.

    Seen from the side, the second has half its area.
    """
    wing = outline([0, 0.5, 1], [0, 0.2, 0.4], [0.3, 0.25, 0.2])
    tip = SheetFin(0.2, 0.15, 0.09, 0.06, 0.02, 0.1, 0.12, 0.03)
    inboard = SheetFin(0.1, 0.1, 0.1, 0.0, 0.05, cant=np.pi / 3, stands_on=1)
    above, below, canted = 0.12 * 0.2, 0.135 * 0.1, 0.1 * 0.1
    assert fins.sheet_area((tip, inboard)) == pytest.approx(2 * (above + below + canted), rel=ROUNDING)
    whole = fins.fin_totals((tip, inboard), wing)
    assert whole.side_area == pytest.approx(2 * (above + below + 0.5 * canted), rel=ROUNDING)
    # quarters of the mean chords: 0.42 + 0.03 + 0.03, 0.42 + 0.015 + 0.03375, 0.25 + 0.025
    place = (above * 0.48 + below * 0.46875 + 0.5 * canted * 0.275) / (above + below + 0.5 * canted)
    assert whole.quarter_chord == pytest.approx(place, rel=ROUNDING)
    # sheets on both sides: edge at mid-height and half the mean chord there
    heavy = tip._replace(areal_mass=0.5), inboard._replace(areal_mass=0.2)
    result = mass.total_lump([mass.fin_lump(one, wing) for one in heavy])
    assert result.mass == pytest.approx(2 * (0.5 * (above + below) + 0.2 * canted), rel=ROUNDING)
    by_hand = 2 * (0.5 * (above * 0.51 + below * (0.42 + 0.015 + 0.0675)) + 0.2 * canted * 0.30)
    assert result.moment == pytest.approx(by_hand, rel=ROUNDING)


def test_inertia_of_a_canted_sheet_by_hand():
    """Compare an even sheet of 0.1 x 0.2 m, canted 30 degrees, with a bar from foot to top.

    It is on the tip of a 1 m half wing.
    """
    wing = outline([0, 1], [0, 0.3], [0.2, 0.2], height=[0, 0.05])
    standing = SheetFin(0.2, 0.1, 0.1, 0.0, 0.0, cant=np.pi / 6, areal_mass=0.5)
    result = inertia.fin_moments((standing,), wing)
    weight, out, up = 2 * 0.5 * 0.02, 0.1, 0.2 * np.cos(np.pi / 6)
    assert result.mass == pytest.approx(weight, rel=ROUNDING)
    assert result.yy == pytest.approx(weight * (1 + out + out**2 / 3), rel=ROUNDING)
    assert result.zz == pytest.approx(weight * (0.05**2 + 0.05 * up + up**2 / 3), rel=ROUNDING)
    assert result.xx == pytest.approx(weight * (0.35**2 + 0.1**2 / 12), rel=ROUNDING)


def test_equal_friction_chord_gives_the_sum_of_drags():
    areas, chords, speed, air = np.array([0.02, 0.005]), np.array([0.12, 0.05]), 15.0, 1.5e-5
    each = sum(viscous_drag.fin_drag_area(area, chord, speed, air) for area, chord in zip(areas, chords, strict=True))
    one = viscous_drag.fin_drag_area(areas.sum(), equal_friction_chord(areas, chords), speed, air)
    assert one == pytest.approx(each, rel=ROUNDING)
    assert equal_friction_chord([0.02], [0.12]) == pytest.approx(0.12, rel=ROUNDING)


def test_fin_canted_flat_continues_the_wing():
    """Check that a fin canted by 90 degrees equals a wing with a break there, to rounding.

    Compared with one straight panel it is within mesh error: 0.3 % in lift, 0.5 % in span efficiency.
    """
    wing, flat = outline([0, 0.8], [0, 0.32], [0.3, 0.22]), SheetFin(0.2, 0.22, 0.2, 0.08, 0.0, cant=np.pi / 2)
    result = answer(wing, flat)
    broken = answer(outline([0, 0.8, 1], [0, 0.32, 0.4], [0.3, 0.22, 0.2]), counts=[12, 6])
    straight = answer(outline([0, 1], [0, 0.4], [0.3, 0.2]), counts=[36], n_panel=8)
    assert result.unit.lift_area == pytest.approx(broken.unit.lift_area, rel=1e-9, abs=1e-12)
    assert result.unit.drag_area_matrix == pytest.approx(broken.unit.drag_area_matrix, rel=1e-9, abs=1e-12)

    def efficiency(one):
        lift = one.unit.lift_area[1]
        return lift**2 / (np.pi * 2.0**2 * one.unit.drag_area_matrix[1, 1])

    assert result.unit.lift_area[1] == pytest.approx(straight.unit.lift_area[1], rel=0.003)
    assert efficiency(result) == pytest.approx(efficiency(straight), rel=0.005)


@pytest.mark.parametrize("cant", [0.0, 0.5])
def test_fin_below_is_the_mirror_image_of_one_above(cant):
    """Check that lift, drag and yaw are equal. The dihedral effect of the fins alone (no lift) changes its sign."""
    up, down = (sideways(SWEPT, 0.0, one._replace(cant=turn), centre=0.3) for one, turn in ((UP, cant), (DOWN, -cant)))
    assert up.plain.lift_slope == pytest.approx(down.plain.lift_slope, rel=1e-10)
    assert up.plain.span_efficiency() == pytest.approx(down.plain.span_efficiency(), rel=1e-10)
    assert up.derivatives.yaw_sideslip == pytest.approx(down.derivatives.yaw_sideslip, rel=1e-9)
    assert up.derivatives.roll_sideslip < -0.03  # fins above roll the wing out of the wind
    assert up.derivatives.roll_sideslip == pytest.approx(-down.derivatives.roll_sideslip, rel=1e-9)


def test_fins_on_one_foot_equal_one_fin():
    total = sideways(SWEPT, 0.4, UP._replace(depth_below=0.1, tip_chord_below=0.16, set_back_below=0.05))
    parts = sideways(SWEPT, 0.4, (DOWN._replace(depth_below=0.1, tip_chord_below=0.16, set_back_below=0.05), UP))
    assert np.array(parts.derivatives) == pytest.approx(np.array(total.derivatives), rel=1e-9, abs=1e-12)
    assert parts.plain.span_efficiency() == pytest.approx(total.plain.span_efficiency(), rel=1e-10)


def test_two_half_heights_equal_one_fin():
    """Compare a fin with two half heights: the lower one as a wing part turned up, the upper one as a fin on it.

    With 6 strips against 4 + 6, measured differences are 1.1 % in yaw and side force and 0.25 % in lift. Allowed are
    1.5 and 0.5 %.
    """
    root, tip, edge = SWEPT.chord[0], SWEPT.chord[-1], SWEPT.leading_edge[-1]
    one = sideways(SWEPT, 0.0, SheetFin(0.3, tip, 0.6 * tip, 0.1, 0.0), centre=0.4)
    bent = outline([0, 1, 1 + 1e-7], [0, edge, edge + 0.05], [root, tip, 0.8 * tip], height=[0, 0, 0.15])
    stacked = sideways(bent, 0.0, SheetFin(0.15, 0.8 * tip, 0.6 * tip, 0.05, 0.0), counts=[12, 6], centre=0.4)
    assert stacked.plain.lift_slope == pytest.approx(one.plain.lift_slope, rel=0.005)
    for name in ("side_sideslip", "yaw_sideslip"):
        assert getattr(stacked.derivatives, name) == pytest.approx(getattr(one.derivatives, name), rel=0.015)


def test_a_close_pair_tends_to_one_fin():
    """Check that the side force of a close pair of fins tends to that of one fin alone, from nearly two."""
    alone = answer(outline([0, 0.5], [0, 0], [0.2, 0.2])).lift_slope
    pair = SheetFin(0.5, 0.2, 0.2, 0.0, 0.0, 0.5, 0.2, 0.0, stands_on=1)
    shares = []
    for apart in (0.2, 0.1, 0.05, 0.025, 0.0125, 0.00625):
        # a very small wing to carry them
        wing = outline([0, apart, 0.2 + apart], [0, 0, 0], [0.02, 0.02, 0.02])
        result = sideways(wing, 0.0, pair, counts=[3, 3], centre=0.0)
        shares.append(-result.derivatives.side_sideslip * result.plain.areas.area / 0.2 / alone)
    assert np.all(np.diff(shares) < 0) and 1.7 < shares[0] < 2
    assert shares[-1] == pytest.approx(1.0, abs=0.05)  # 12.5 mm apart, a sixteenth of the chord


def test_toe_equals_twist():
    """Check that toe of a flat fin equals twist of a wing. On an upright fin, an inward edge gives an inward force."""
    toe = 0.05
    flat = answer(
        outline([0, 0.8], [0, 0.32], [0.3, 0.2]), SheetFin(0.2, 0.2, 0.16, 0.08, 0.0, cant=np.pi / 2, toe=toe)
    )
    long = outline([0, 0.8, 1], [0, 0.32, 0.4], [0.3, 0.2, 0.16])
    mesh = half_wing_mesh(long, counts=[12, 6])
    angles = trimmed_flight.strip_angles(long, mesh)
    angles = angles._replace(twist=toe * (np.arange(18) >= 12))
    twisted = lattice.symmetric_circulations(mesh, angles, FLAT)
    assert flat.circulation == pytest.approx(twisted, rel=1e-9, abs=1e-12)
    upright = answer(SWEPT, UP._replace(toe=toe))
    on_fin = upright.circulation[upright.mesh.n_wing :, :, 0].sum(-1)
    leg = upright.mesh.outer_edge[-1] - upright.mesh.inner_edge[-1]
    side_force = np.cross([1.0, 0.0, 0.0], leg)[1] * on_fin  # density and speed one, free stream along x
    assert np.all(side_force < 0)  # on the right wing, inward is to the left
    straight = answer(SWEPT, UP)
    assert np.all(straight.circulation[..., 0] == 0)  # flat and straight ahead: no load
    assert upright.unit.drag_area_matrix[0, 0] > 0


def test_canted_fins_load_the_wing_strip_inside_of_their_foot():
    wing = outline([0, 0.5, 1], [0, 0.1, 0.2], [0.3, 0.25, 0.2])
    leaning = SheetFin(0.2, 0.15, 0.1, 0.05, 0.02, cant=0.8)
    result = answer(wing, (leaning._replace(stands_on=1), leaning))
    strips = trimmed_flight.wing_strips(result.mesh, result.unit)
    assert result.mesh.fin_feet == (2, 14)  # 3 + 12 strips
    assert strips.strip_lift.sum(0) * 2 == pytest.approx(result.unit.lift_area, rel=1e-10)
    assert strips.strip_moment.sum(0) * 2 == pytest.approx(result.unit.moment_volume, rel=1e-10)
    inboard = result.mesh.surfaces[1]
    added = strips.strip_lift[2] - result.unit.strip_lift[2]
    assert added == pytest.approx(result.unit.strip_lift[inboard].sum(0), rel=1e-12)


def test_dihedral_outside_a_flat_centre_piece():
    """Compare with strips of section slope 2 pi, each with the angle dihedral x sideslip outside the centre piece.

    The roll moment is -2 pi x angle x (1 - 0.2^2) / 2 x span / 4 over span, on an infinite constant chord. Side force
    is twice the angle squared. The difference is of order ln(A)/A, with aspect ratio A: four times A leaves 0.31 to
    0.34 of it, and 0.36 is allowed.
    """
    angle, gaps = 0.05, []
    for aspect_ratio in (50, 200, 800):
        chord = 2 / aspect_ratio
        wing = outline([0, 0.2, 1], [0, 0, 0], [chord] * 3, height=[0, 0, 0.8 * np.tan(angle)])
        result = sideways(wing, 0.0, counts=[10, 40], centre=0.0).derivatives
        roll = -2 * np.pi * angle * 0.5 * (1 - 0.2**2) / 2
        side = -2 * np.pi * angle**2 * 0.8
        gaps.append([1 - result.roll_sideslip / roll, 1 - result.side_sideslip / side])
    gaps = np.array(gaps)
    assert np.all(gaps > 0) and np.all(gaps[1:] < 0.36 * gaps[:-1]) and np.all(gaps[-1] < 0.02)


def test_a_canted_fin_is_an_outer_panel_of_that_dihedral():
    """Check that a fin canted to 20 degrees above the horizon equals a wing bent up there.

    It has a centre piece and dihedral inside of it.
    """
    rise, lean = 0.03, np.radians(20)
    inner, edge, chord = [0, 0.1, 0.8], [0, 0, 0.25], [0.3, 0.3, 0.22]
    wing = outline(inner, edge, chord, height=[0, 0, rise])
    leaning = SheetFin(0.2, 0.22, 0.15, 0.09, 0.0, cant=np.pi / 2 - lean)
    bent = outline(
        [*inner, 0.8 + 0.2 * np.cos(lean)],
        [*edge, 0.34],
        [*chord, 0.15],
        height=[0, 0, rise, rise + 0.2 * np.sin(lean)],
    )
    fin_, panel = (
        sideways(*one, centre=0.3, **how)
        for one, how in (((wing, 0.0, leaning), {}), ((bent, 0.0), {"counts": [3, 12, 6]}))
    )
    ratio = float(panel.plain.areas.area / fin_.plain.areas.area), float(panel.plain.areas.span / 1.6)
    assert fin_.derivatives.side_sideslip == pytest.approx(panel.derivatives.side_sideslip * ratio[0], rel=1e-9)
    assert fin_.derivatives.roll_sideslip == pytest.approx(
        panel.derivatives.roll_sideslip * ratio[0] * ratio[1], rel=1e-9
    )
    assert fin_.derivatives.roll_sideslip < sideways(wing, 0.0, centre=0.3).derivatives.roll_sideslip < 0
