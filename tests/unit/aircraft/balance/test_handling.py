"""Handling numbers of a design, against the physics called by hand and against the sums of the mass model."""

import numpy as np
import pytest

from tradestudy.aircraft.balance.handling import Handling, cruise_handling, handling_numbers, inertia_of
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.physics.aero import lateral, lattice, small_motions
from tradestudy.physics.flight import trimmed_flight
from tradestudy.physics.weights import inertia


@pytest.fixture(scope="module")
def stock(godwit_study, godwit_anchor):
    """Return the stock Godwit as an evaluated design."""
    return EvaluatedDesign(godwit_study, godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables)


@pytest.fixture(scope="module")
def found(stock):
    return cruise_handling(stock)


def test_weight_and_balance_of_the_inertias_are_the_designs_own(stock, found):
    values = stock.evaluation.by_name()
    assert found.inertia.mass == pytest.approx(float(values["all_up_mass"]), rel=1e-12)  # tolerance: rounding
    # here a fin is an exact trapezoid, in the mass list the middle of its mean chord; 0.1 mm is below any ruler
    assert found.inertia.centre_of_gravity == pytest.approx(float(values["centre_of_gravity"]), abs=1e-4)


def test_roll_inertia_is_that_of_wing_rods_fins_and_what_lies_along_the_span(stock, found):
    """Check roll inertia by its parts: numbers of the study file in the formulas of a bar and a sheet."""
    study, data, sweep = stock.study, stock.data, stock
    wing = inertia.bare_wing_moments(sweep.solution.wing, data.layout.materials)
    joiner = study.joiner
    carbon = 1500 * np.pi / 4 * joiner.diameter**2 * joiner.length * joiner.length**2 / 12  # density of the catalogue
    fins = float(sweep.shape.mass_items[5]) * 0.65**2  # both fins, at the tips
    front, rear = sweep.shape.mass_items[3:5].tolist()  # bars from 92 and 0 mm to 610 mm
    rear /= 1 + 0.075 / 0.61  # without the rods across the centre, which reach 75 mm to either side
    rods = front * (0.092**2 + 0.092 * 0.61 + 0.61**2) / 3 + rear * 0.61**2 / 3
    unlisted = data.layout.unlisted.in_stock.mass * (0.9 * 1.30) ** 2 / 12
    pack = float(sweep.shape.pack_mass) * (4 * 0.0212) ** 2 / 12  # four 21 mm cells abreast, in two rows
    small = 0.49 * 0.04**2 / 6  # everything else, within 40 mm
    by_hand = float(wing.yy) + carbon + fins + rods + unlisted + pack + small
    assert found.inertia.roll == pytest.approx(by_hand, rel=0.02)  # heights and the exact pack are neglected


def test_numbers_are_those_of_direct_calls_without_friction_and_height(stock, found):
    data, sweep, variables, values = stock.data, stock, stock.variables, stock.evaluation.by_name()
    wing, areas, _, mesh, unit, *_ = sweep.solution
    angles, camber = trimmed_flight.strip_angles(wing, mesh), data.flight.camber
    symmetric = lattice.symmetric_circulations(mesh, angles, camber)
    antisymmetric = lateral.antisymmetric_circulations(mesh, angles, camber)
    alpha, elevon = values["alpha"][0], values["elevon"][0]
    amplitude = np.array([1, alpha, 0.8 * elevon, 0])  # the study's elevon effectiveness
    # the amplitude is the trimmed one: its lift equals the weight
    lift = float(values["dynamic_pressure"][0] * (unit.lift_area @ amplitude))
    assert lift == pytest.approx(1.84 * 9.80665, rel=1e-9)  # tolerance: rounding
    sideways = lateral.derivatives(
        mesh, areas, symmetric, antisymmetric, amplitude, values["centre_of_gravity"], 0.0, 0.8
    )  # without friction and height
    numbers = handling_numbers(found)
    # tolerance: side force of friction
    assert numbers["yaw_stiffness"] == pytest.approx(float(sideways.yaw_sideslip), abs=5e-4)
    assert numbers["dihedral_effect"] == pytest.approx(float(sideways.roll_sideslip), abs=5e-4)
    # friction damps rolling by its coefficient over six: 0.01 / 6 or so
    assert numbers["roll_damping"] == pytest.approx(float(sideways.roll_roll), abs=4e-3)
    rate = -float(sideways.roll_elevon / sideways.roll_roll) * np.radians(15) * 2 * variables["cruise_speed"] / 1.30
    assert numbers["roll_rate_deg_s"] == pytest.approx(np.degrees(rate), rel=0.01)  # tolerance: friction in the damping


def test_short_period_follows_its_two_equations(found, stock):
    """Compare with the short-period approximation of Nelson 1998, chapter 4 (two equations, from memory)."""
    sweep, variables, values = stock, stock.variables, stock.evaluation.by_name()
    areas, unit = sweep.solution.areas, sweep.solution.unit
    pitch = small_motions.pitch_derivatives(unit, areas, values["centre_of_gravity"])
    speed, pressure = variables["cruise_speed"], float(values["dynamic_pressure"][0])
    chord, area = float(areas.mean_aerodynamic_chord), float(areas.area)
    moment = pressure * area * chord / found.inertia.pitch
    stiffness, damping = moment * float(pitch.moment_alpha), moment * chord / (2 * speed) * float(pitch.moment_rate)
    heave = -pressure * area / (1.84 * speed) * float(pitch.lift_alpha)
    natural = np.sqrt(heave * damping - stiffness)
    ratio = -(heave + damping) / (2 * natural)
    numbers = handling_numbers(found)
    assert numbers["short_period_damping"] == pytest.approx(ratio, rel=0.06)  # tolerance: two of four equations
    assert numbers["short_period_s"] == pytest.approx(2 * np.pi / (natural * np.sqrt(1 - ratio**2)), rel=0.06)


def test_what_does_not_swing_has_no_period():
    swing = small_motions.Motion(np.array(-1.0), np.array(6.0))
    dies, grows = (
        small_motions.Motion(np.array(-2.0), np.array(0.0)),
        small_motions.Motion(np.array(0.05), np.array(0.0)),
    )
    derivatives = lateral.LateralDerivatives(*np.linspace(0.1, 1.2, 12))
    numbers = handling_numbers(
        Handling(
            derivatives,
            None,
            small_motions.PitchMotions(dies, swing),
            small_motions.LateralMotions(swing, dies, grows),
            2.0,
            -1.3,
        )
    )
    assert numbers["pitch_damping"] == -1.3
    assert numbers["short_period_s"] is None and numbers["short_period_damping"] == 1.0
    assert numbers["dutch_roll_period_s"] == pytest.approx(2 * np.pi / 6)
    assert numbers["dutch_roll_damping"] == pytest.approx(1 / np.sqrt(37))
    assert numbers["spiral_time_s"] == pytest.approx(-np.log(2) / 0.05)  # negative: it doubles
    assert numbers["roll_rate_deg_s"] == pytest.approx(np.degrees(2.0))


def test_a_longer_wing_is_lazier_in_roll_and_heavier_to_turn(stock, found):
    longer = stock.variables | {"extension": 0.2}
    slow = cruise_handling(EvaluatedDesign(stock.study, stock.data, stock.choice, longer))
    assert slow.roll_rate < found.roll_rate and slow.inertia.roll > 1.5 * found.inertia.roll
    # by strip theory at one speed, roll rate is proportional to one over span if elevons keep their share of it
    assert slow.roll_rate / found.roll_rate == pytest.approx(1.24 / 1.64, rel=0.05)  # tolerance: effect of aspect ratio


def test_the_pack_pulls_the_inertia_in_pitch(stock):
    place = float(stock.evaluation.balance.pack_position)
    moved = [inertia_of(stock, place + step) for step in (0.0, -0.05)]
    pack, whole = float(stock.shape.pack_mass), float(stock.shape.all_up_mass)
    arm = place - moved[0].centre_of_gravity
    # parallel axes: moving mass m by d adds m (2 a d + d^2) - (m d)^2 / M, with arm a and total mass M
    added = pack * (2 * arm * -0.05 + 0.05**2) - (pack * 0.05) ** 2 / whole
    assert moved[1].pitch - moved[0].pitch == pytest.approx(added, rel=1e-9)  # tolerance: rounding
