"""Pitch damping, small motions and roll rate: closed forms, invariants, derivatives."""

import numpy as np
import pytest
from helpers.references.lateral_answers import sideways
from helpers.wings.typical_section import layers_by_hand, materials
from helpers.wings.wings import answer, outline, tapered

from tradestudy.physics.aero import small_motions
from tradestudy.physics.aero.lateral import roll_per_metre
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.body.straight_rods import straight_rod
from tradestudy.physics.geometry.fins import SheetFin
from tradestudy.physics.geometry.planform import Areas
from tradestudy.physics.weights import inertia, mass

FIN = SheetFin(*(np.asarray(length) for length in (0.13, 0.15, 0.09, 0.06, 0.02)))


def flight_of(speed=15.0, lift_coefficient=0.45, drag_coefficient=0.03, drag_slope=0.2):
    pressure = 0.5 * 1.225 * speed**2
    return small_motions.FlightState(
        *(np.asarray(value) for value in (speed, pressure, lift_coefficient, drag_coefficient, drag_slope))
    )


def areas_of(weight, flight):
    """Return the areas of a wing of aspect ratio 6 that carries ``weight`` [kg] in this flight."""
    area = weight * GRAVITY / (flight.dynamic_pressure * flight.lift_coefficient)
    span = np.sqrt(6 * area)
    return Areas(span, area, area / span * 1.04, np.asarray(0.1), np.asarray(6.0))


def inertia_of(weight=1.4, roll=0.026, pitch=0.012, yaw=0.037, product=0.0):
    return inertia.Inertia(*(np.asarray(value) for value in (weight, 0.14, 0.0, roll, pitch, yaw, product)))


PITCH = small_motions.PitchDerivatives(*(np.asarray(value) for value in (4.2, -0.34, 4.8, -1.4)))


@pytest.mark.parametrize("lift_over_drag", [8.0, 15.0, 40.0])
def test_phugoid_of_lanchester(lift_over_drag):
    """Compare with a period of pi sqrt(2) V / g and a damping ratio of 1 / (sqrt(2) L/D) at constant thrust.

    These are from Lanchester 1908 (any text). They require a constant angle of attack, so the pitch moment is a
    thousand times ours. Terms of order (D/L)^2 are left: 2 % at 8.
    """
    flight = flight_of(drag_coefficient=0.45 / lift_over_drag, drag_slope=0.0)
    stiff = PITCH._replace(moment_alpha=np.asarray(-340.0), moment_rate=np.asarray(-140.0), lift_rate=np.asarray(0.0))
    areas = areas_of(1.4, flight)
    phugoid = small_motions.pitch_motions(small_motions.longitudinal_matrix(stiff, areas, inertia_of(), flight)).phugoid
    assert phugoid.period == pytest.approx(np.pi * np.sqrt(2) * 15.0 / GRAVITY, rel=0.02)
    assert phugoid.damping_ratio == pytest.approx(1 / (np.sqrt(2) * lift_over_drag), rel=0.02)


def test_constant_power_damps_the_phugoid_half_as_much_again():
    # thrust D/V falling with speed: 3 D in place of 2 D against a gain in speed (exact in the same limit, 2 %)
    flight = flight_of(drag_coefficient=0.03, drag_slope=0.0)
    stiff = PITCH._replace(moment_alpha=np.asarray(-340.0), moment_rate=np.asarray(-140.0))
    areas = areas_of(1.4, flight)
    constant, power = (
        small_motions.pitch_motions(
            small_motions.longitudinal_matrix(stiff, areas, inertia_of(), flight, k)
        ).phugoid.damping_ratio
        for k in (0.0, -1.0)
    )
    assert power / constant == pytest.approx(1.5, rel=0.02)


def test_short_period_by_two_degrees_of_freedom():
    """Compare at constant speed: frequency^2 = Zw Mq - V Mw, damping -(Mq + Zw) (closed form, Nelson chapter 4, from
    memory).

    Zw is vertical acceleration by vertical speed, Mq and Mw are pitching acceleration by pitch rate and vertical speed.
    """
    flight = flight_of()
    areas = areas_of(1.4, flight)
    matrix = small_motions.longitudinal_matrix(PITCH, areas, inertia_of(), flight)
    result = small_motions.pitch_motions(matrix).short_period
    frequency = np.sqrt(matrix[1, 1] * matrix[2, 2] - matrix[1, 2] * matrix[2, 1])
    damping = -(matrix[1, 1] + matrix[2, 2]) / (2 * frequency)
    # tolerance 1 %: speed changes little in a twentieth of the phugoid's period
    assert result.damping_ratio == pytest.approx(damping, rel=0.01)
    assert result.period == pytest.approx(2 * np.pi / (frequency * np.sqrt(1 - damping**2)), rel=0.01)
    # the same from the coefficients by hand
    force = flight.dynamic_pressure * areas.area / (1.4 * 15.0)
    turn = flight.dynamic_pressure * areas.area * areas.mean_aerodynamic_chord / 0.012
    rate = areas.mean_aerodynamic_chord / 30.0
    by_hand = force * 4.23 * turn * rate * 1.4 + turn * 0.34 * (1 - force * rate * 4.8)
    assert frequency**2 == pytest.approx(by_hand, rel=1e-9)


def test_unstable_wing_has_a_growing_motion():
    """Check that with balance far enough behind the neutral point, one pitch motion grows without oscillation."""
    flight = flight_of()
    tail_heavy = PITCH._replace(moment_alpha=np.asarray(0.5))
    matrix = small_motions.longitudinal_matrix(tail_heavy, areas_of(1.4, flight), inertia_of(), flight)
    result = small_motions.pitch_motions(matrix).short_period
    assert result.time_to_half < 0 and np.isinf(result.period) and result.damping_ratio == -1


def solved(lift=0.45, dihedral=0.03):
    wing = outline([0, 0.05, 0.62], [0, 0, 0.265], [0.28, 0.28, 0.18], height=[0, 0, dihedral])
    return sideways(wing, lift, FIN, profile_drag=0.012)


def lateral_case(dihedral=0.03, **changes):
    case = solved(dihedral=dihedral)
    flight = flight_of()
    result = case.derivatives._replace(**changes)
    return (
        small_motions.lateral_matrix(result, case.plain.areas, inertia_of(), flight),
        result,
        case.plain.areas,
        flight,
    )


def test_roll_subsidence_by_one_degree_of_freedom():
    """Compare with roll alone, which grows at the rate Lp, within 15 % (handbooks: 10 to 20 %).

    Lp is rolling acceleration by roll rate. Sideslip of a tailless wing changes it a little.
    """
    matrix, result, areas, flight = lateral_case()
    alone = flight.dynamic_pressure * areas.area * areas.span**2 / 30.0 * result.roll_roll / 0.026
    assert small_motions.lateral_motions(matrix).roll.growth == pytest.approx(alone, rel=0.15)
    assert small_motions.lateral_motions(matrix).roll.damping_ratio == 1


def test_spiral_stability_changes_at_the_closed_form():
    """Check that the spiral is neutral at Cl_beta Cn_r = Cl_r Cn_beta (determinant zero; any text), and near it."""
    _, result, *_ = lateral_case()
    neutral = result.roll_yaw * result.yaw_sideslip / result.roll_sideslip
    for share, sign in ((0.9, 1), (1.1, -1)):
        matrix, *_ = lateral_case(yaw_yaw=neutral * share)
        assert np.sign(small_motions.lateral_motions(matrix).spiral.growth) == sign
    matrix, *_ = lateral_case(yaw_yaw=neutral)
    assert small_motions.lateral_motions(matrix).spiral.growth == pytest.approx(0.0, abs=1e-6)


def test_dutch_roll_without_roll():
    """Compare with yaw alone, without dihedral effect: frequency^2 = N_beta + Y N_r, damping -(Y + N_r) (closed form).

    N_beta and N_r are yawing acceleration by sideslip and yaw rate, and Y is that of side force. Rolling moment by yaw
    and yawing moment by roll are set to zero, so it is exact.
    """
    matrix, result, areas, flight = lateral_case(
        roll_sideslip=0.0, roll_yaw=0.0, yaw_roll=0.0, side_roll=0.0, side_yaw=0.0
    )
    turn = flight.dynamic_pressure * areas.area * areas.span
    stiffness, damping = turn * result.yaw_sideslip / 0.037, turn * areas.span / 30.0 * result.yaw_yaw / 0.037
    side = flight.dynamic_pressure * areas.area / (1.4 * 15.0) * result.side_sideslip
    frequency = np.sqrt(stiffness + side * damping)
    dutch = small_motions.lateral_motions(matrix).dutch_roll
    assert np.hypot(dutch.growth, dutch.frequency) == pytest.approx(frequency, rel=1e-9)
    assert dutch.growth == pytest.approx(0.5 * (side + damping), rel=1e-9)


def test_more_fin_oscillates_faster():
    little, much = (lateral_case(yaw_sideslip=value)[0] for value in (0.02, 0.08))
    # frequency is about proportional to the root of yaw stiffness; coupling with roll reduces it
    ratio = (
        small_motions.lateral_motions(little).dutch_roll.period / small_motions.lateral_motions(much).dutch_roll.period
    )
    assert 1.3 < ratio < 2.1


def test_motions_of_a_wing_without_yaw_stiffness():
    matrix, *_ = lateral_case(yaw_sideslip=-0.1)
    result = small_motions.lateral_motions(matrix)
    assert result.dutch_roll.growth > 0 and np.isinf(result.dutch_roll.period)
    growths = sorted(float(motion.growth) for motion in result)
    assert growths[0] == pytest.approx(np.linalg.eigvals(matrix).real.min())


def test_batch_equals_loop():
    matrices = np.stack([lateral_case(yaw_sideslip=value)[0] for value in (-0.1, 0.02, 0.05, 0.08)])
    batch = small_motions.lateral_motions(matrices)
    for index, matrix in enumerate(matrices):
        for all_at_once, alone in zip(batch, small_motions.lateral_motions(matrix), strict=True):
            assert all_at_once.growth[index] == pytest.approx(alone.growth, rel=1e-12)
            assert all_at_once.frequency[index] == pytest.approx(alone.frequency, rel=1e-12)


@pytest.mark.parametrize("kind", ["pitch", "lateral"])
def test_slopes_of_motions(kind):
    """Compare complex step with fourth-order differences, within 1e-6 of the largest (step 1e-3: truncation 1e-10)."""

    def stated(value):
        if kind == "pitch":
            flight = flight_of(speed=15 + 0 * value)
            weight = 1.4 + 0.3 * value
            matrix = small_motions.longitudinal_matrix(
                PITCH._replace(moment_alpha=-0.34 - 0.2 * value, moment_rate=-1.4 + 0.5 * value),
                areas_of(1.4, flight_of()),
                inertia_of()._replace(mass=weight),
                flight,
                -1.0,
            )
            result = small_motions.pitch_motions(matrix)
        else:
            matrix, *_ = lateral_case(yaw_yaw=-0.2)  # a damped spiral, not close to neutral
            result = small_motions.lateral_motions(matrix * (1 + value * np.cos(np.arange(16).reshape(4, 4))))
        return np.stack(
            [
                part
                for motion in result
                for part in (motion.growth, motion.frequency, motion.damping_ratio, motion.time_to_half)
            ]
        )

    exact = stated(np.asarray(1e-20j)).imag / 1e-20
    difference = np.array([1, -8, 8, -1]) @ [stated(np.asarray(k * 1e-3)) for k in (-2, -1, 1, 2)] / 12e-3
    assert np.abs(exact).max() > 0.1
    assert exact == pytest.approx(difference, rel=1e-6, abs=1e-6 * np.abs(exact).max())


def test_pitch_damping_by_strips():
    """Compare an unswept wing balanced at its quarter chord: lift is 2 CL_alpha arm, moment is the section's own -pi/4.

    By thin-airfoil theory, a section that rotates about its quarter chord has downwash q c / 2 at its three-quarter
    point. So CL_q = CL_alpha, and curvature gives a moment of -pi/4 per q c / 2V about the quarter chord. Bound
    vortices on n panels give -pi/4 (1 - 1/n^2) of it. The wing is long, with 3 % for its tips.
    """
    result = answer(tapered(60, 1, 0), counts=[24])
    chord = result.areas.mean_aerodynamic_chord
    pitch = small_motions.pitch_derivatives(result.unit, result.areas, np.asarray(0.25 * chord))
    assert pitch.lift_rate == pytest.approx(pitch.lift_alpha, rel=0.03)
    assert pitch.moment_rate == pytest.approx(-np.pi / 4 * (1 - 1 / 16), rel=0.03)


def test_pitch_damping_grows_with_sweep_and_ignores_the_datum():
    damping = [
        float(small_motions.pitch_derivatives(one.unit, one.areas, np.asarray(one.neutral_point)).moment_rate)
        for one in (answer(tapered(6, 0.5, sweep)) for sweep in (0, 15, 30))
    ]
    assert damping[2] < damping[1] < damping[0] < 0
    here = answer(tapered(6, 0.5, 25))
    wing = tapered(6, 0.5, 25)
    there = answer(wing._replace(leading_edge=wing.leading_edge + 0.7))
    values = [
        small_motions.pitch_derivatives(one.unit, one.areas, np.asarray(one.neutral_point)) for one in (here, there)
    ]
    assert np.array(values[0]) == pytest.approx(np.array(values[1]), rel=1e-8, abs=1e-10)


def test_roll_rate():
    """Compare the helix angle p b / 2V = -Cl_delta delta / Cl_p by hand, with roll rate p, span b, deflection delta."""
    result = lateral_case()[1]._replace(roll_elevon=0.3, roll_roll=-0.45)
    assert roll_per_metre(result, 0.2, 1.1) == pytest.approx(0.3 * 0.2 / 0.45 * 2 / 1.1)


MATERIALS = materials(0.068, 2.05, 30.0, 0.05, 150.0, 0.006)


def test_inertia_of_a_plain_wing():
    """Compare constant chord without sweep: m b^2 / 12 in roll, and across the chord each layer by its stated
    radius."""
    wing = outline([0, 0.6], [0, 0], [0.25, 0.25], elevon_chord=[0.04, 0.04])
    result = inertia.about_centre(inertia.bare_wing_moments(wing, MATERIALS))
    lumps = mass.bare_wing(wing, MATERIALS).lumps
    assert result.mass == pytest.approx(sum(lump.mass for lump in lumps.values()), rel=1e-12)
    assert result.roll == pytest.approx(result.mass * 1.2**2 / 12, rel=1e-12)
    own = {name: radius for name, (_, _, radius) in layers_by_hand(MATERIALS, 0.21, 0.04).items()}
    pitch = sum(
        lump.mass * ((lump.moment / lump.mass - result.centre_of_gravity) ** 2 + own[name] ** 2)
        for name, lump in lumps.items()
    )
    assert result.pitch == pytest.approx(pitch, rel=1e-12)
    # a flat body: yaw inertia is roll plus pitch
    assert result.yaw == pytest.approx(result.roll + result.pitch, rel=1e-12)


def test_inertia_against_many_points():
    """Compare a swept, tapered wing with dihedral, rods and fins with sums over 4000 strips, accurate to 1e-6."""
    wing = outline([0, 0.1, 0.7], [0, 0, 0.3], [0.28, 0.28, 0.17], height=[0, 0, 0.06], elevon_chord=[0.04, 0.04, 0.02])
    result = inertia.total_moments(
        [
            inertia.bare_wing_moments(wing, MATERIALS),
            inertia.rod_moments(wing, 0.02, straight_rod(wing, 0.3, 0.3, np.asarray(0.1), np.asarray(0.6))),
            inertia.fin_moments((FIN._replace(areal_mass=1.2),), wing),
        ]
    )
    y = (np.arange(70000) + 0.5) * 1e-5
    edge, foam, elevon, height = (
        np.interp(y, wing.station, value)
        for value in (wing.leading_edge, wing.foam_chord, wing.elevon_chord, wing.height)
    )
    layers = layers_by_hand(MATERIALS, foam, elevon)
    sums = np.zeros(7)

    def add(weight, x, side, z, spread):
        sums[:] += 2 * np.array(
            [(weight * part).sum() for part in (1 + 0 * x, x, z, x * x + spread, side * side, z * z, x * z)]
        )

    for per_length, place, radius in layers.values():
        add(per_length * 1e-5, edge + place, y, height, radius**2)
    run = (y > 0.1) & (y < 0.6)
    ends = [np.interp(end, wing.station, wing.leading_edge + 0.3 * wing.foam_chord) for end in (0.1, 0.6)]
    slope = (ends[1] - ends[0]) / 0.5
    add(
        0.02 * 1e-5 * np.sqrt(1 + slope**2),
        ends[0] + slope * (y[run] - 0.1),
        y[run],
        np.interp(y[run], [0.1, 0.6], np.interp([0.1, 0.6], wing.station, wing.height)),
        0.0,
    )
    up = (np.arange(13000) + 0.5) * 1e-5
    chord = 0.15 - 0.06 * up / 0.13
    add(1.2 * chord * 1e-5, 0.3 + 0.02 + 0.06 * up / 0.13 + 0.5 * chord, 0.7 + 0 * up, 0.06 + up, chord**2 / 12)
    assert np.array(result) == pytest.approx(sums, rel=1e-6)


def test_box_and_parallel_axes():
    """Compare two boxes by hand: the inertia of each plus the reduced mass times their distance squared."""
    parts = [
        inertia.box_moments(0.6, 0.1, 0.02, length=0.2, width=0.12, depth=0.03),
        inertia.box_moments(0.6, 0.3, -0.02),
    ]
    result = inertia.about_centre(inertia.total_moments(parts))
    assert (result.centre_of_gravity, result.centre_height) == pytest.approx((0.2, 0.0))
    assert result.roll == pytest.approx(1.2 * 0.02**2 + 0.6 * (0.12**2 + 0.03**2) / 12)
    assert result.pitch == pytest.approx(1.2 * (0.1**2 + 0.02**2) + 0.6 * (0.2**2 + 0.03**2) / 12)
    assert result.yaw == pytest.approx(1.2 * 0.1**2 + 0.6 * (0.2**2 + 0.12**2) / 12)
    assert result.roll_yaw == pytest.approx(-1.2 * 0.1 * 0.02)


def test_turned_axes():
    """Check that the principal angle removes the product of inertia, traces stay, and turned points agree."""
    body = inertia_of(roll=0.03, yaw=0.05, product=0.004)
    turned = small_motions.turned_inertia(body, np.asarray(0.2))
    assert turned.roll + turned.yaw == pytest.approx(0.08)
    assert turned.roll * turned.yaw - turned.roll_yaw**2 == pytest.approx(0.03 * 0.05 - 0.004**2)
    x, z, alpha = 0.3, 0.05, 0.2  # a point mass of 1 kg, in axes along a stream from below
    along, above = x * np.cos(alpha) + z * np.sin(alpha), z * np.cos(alpha) - x * np.sin(alpha)
    point = small_motions.turned_inertia(inertia_of(roll=z * z, yaw=x * x, product=x * z), np.asarray(alpha))
    assert (point.roll, point.yaw, point.roll_yaw) == pytest.approx((above**2, along**2, along * above))


def test_product_of_inertia_couples_roll_and_yaw():
    """Check that rows two and three times the inertia tensor give the moments."""
    result, areas, flight = lateral_case()[1:]
    matrix = small_motions.lateral_matrix(result, areas, inertia_of(product=0.006), flight)
    moments = np.array([[0.026, -0.006], [-0.006, 0.037]]) @ matrix[1:3, :3]
    turn = flight.dynamic_pressure * areas.area * areas.span * np.array([1, areas.span / 30, areas.span / 30])
    assert moments == pytest.approx(
        np.array(
            [
                [result.roll_sideslip, result.roll_roll, result.roll_yaw],
                [result.yaw_sideslip, result.yaw_roll, result.yaw_yaw],
            ]
        )
        * turn,
        rel=1e-12,
    )
