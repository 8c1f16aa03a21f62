"""Endurance and range: closed forms, convergence of the quadrature, smoothness, derivatives."""

import numpy as np
import pytest
from helpers.references.constant_power import constant_power_cruise
from helpers.references.differences import slopes_that_agree

from tradestudy.physics.endurance.cruise_range import charge_after, cruise_at_thrust, steady_cruise
from tradestudy.physics.propulsion.drive_train import Powertrain, match, shaft_demand
from tradestudy.physics.propulsion.motor import Controller, Motor
from tradestudy.physics.propulsion.pack import LITHIUM_ION, LITHIUM_POLYMER, Pack, open_circuit_voltage, voltage_curve
from tradestudy.physics.propulsion.propeller_table import table_from_rows

_J = np.linspace(0, 0.78, 30)  # an invented propeller, similar to a sport propeller
TABLE = table_from_rows(0.2286, _J, 0.115 * (1 - 0.3 * _J - 1.15 * _J**2), 0.052 * (1 + 0.3 * _J - 1.5 * _J**2))

FLAT = voltage_curve([3.7, 3.7 + 1e-12, 3.7 + 2e-12])  # a cell of constant voltage


def _powertrain(**pack):
    cells = {"series": 4.0, "parallel": 2.0, "cell_capacity": 5 * 3600.0, "cell_resistance": 0.03, **pack}
    return Powertrain(TABLE, Motor(104.7, 0.085, 1.0), Controller(), Pack(LITHIUM_ION, **cells))


def _thrust(airspeed):
    """Return the drag of a 1.5 kg wing, 0.5 rho V^2 S CD0 plus induced drag. [N]"""
    return 0.5 * 1.2 * airspeed**2 * 0.3 * 0.025 + 2 * 0.06 * 14.7**2 / (1.2 * airspeed**2 * 0.3)


def test_cell_of_constant_voltage_by_hand():
    """Compare a cell without resistance and slope: endurance is charge x voltage x share / power."""
    pack = Pack(FLAT, 4.0, 2.0, 18000.0, 0.0, 0.0)
    used = constant_power_cruise(pack, 50.0, 0.2)
    assert used.endurance == pytest.approx(0.8 * 36000 * 14.8 / 50, rel=1e-10)
    assert used.charge_per_metre * used.range == pytest.approx(28800)
    assert (used.mean_current, used.end_current) == pytest.approx((50 / 14.8, 50 / 14.8), rel=1e-10)


def test_energy_without_sag_is_the_area_under_the_curve():
    """Compare with a trapezoid over 20 001 points, within 1e-4 (10 m in 100 km).

    The quadrature has 16 nodes on a curve of 20 to 40 pieces.
    """
    for curve in (LITHIUM_ION, LITHIUM_POLYMER):
        pack = Pack(curve, 1.0, 1.0, 18000.0, 0.0, 0.0)
        charge = np.linspace(0.2, 1, 20001)
        area = np.trapezoid(open_circuit_voltage(pack, charge), charge) * 18000
        used = constant_power_cruise(pack, 10.0, 0.2)
        assert used.energy_per_metre * used.range == pytest.approx(area, rel=1e-4)


def test_power_times_endurance_is_the_terminal_energy():
    """Check that the quadratures of 1/I and of V agree, since V I is the power at every node. Tolerance: rounding."""
    pack = Pack(LITHIUM_ION, 4.0, 2.0, 18000.0, 0.03)
    power = np.array([20.0, 60.0, 120.0])
    used = constant_power_cruise(pack, power, 0.1)
    assert used.energy_per_metre * used.range == pytest.approx(power * used.endurance, rel=1e-12)


def test_sixteen_nodes_against_small_time_steps():
    """Compare with Runge-Kutta steps in time, 4000 of them, for the same drive train, within 1e-4 as above."""
    powertrain = _powertrain()
    flight = cruise_at_thrust(powertrain, 15.0, 2.0, 1.2, 0.2, 8.0)
    step = float(flight.endurance) / 4000
    capacity = 2 * 18000.0

    def current(charge):
        return float(match(powertrain, 15.0, 2.0, 1.2, charge, 8.0).pack_current)

    table = np.linspace(0.15, 1.0, 3401)
    currents = match(powertrain, 15.0, 2.0, 1.2, table, 8.0).pack_current
    assert np.interp(0.6, table, currents) == pytest.approx(current(0.6), rel=1e-8)
    charge = 1.0
    for _ in range(4000):
        half = charge - 0.5 * step * np.interp(charge, table, currents) / capacity
        charge -= step * np.interp(half, table, currents) / capacity
    assert charge == pytest.approx(0.2, abs=0.8 * 1e-4)


def test_figures_of_a_flight_are_consistent():
    powertrain = _powertrain()
    airspeed = np.array([11.0, 14.0, 18.0])
    flight = cruise_at_thrust(powertrain, airspeed, _thrust(airspeed), 1.2, 0.2, 8.0)
    assert flight.range == pytest.approx(airspeed * flight.endurance)
    assert flight.charge_per_metre * flight.range == pytest.approx(np.full(3, 0.8 * 36000))
    assert flight.mean_current * flight.endurance == pytest.approx(np.full(3, 0.8 * 36000))
    start, end = (match(powertrain, airspeed, _thrust(airspeed), 1.2, charge, 8.0) for charge in (1.0, 0.2))
    assert flight.end_current == pytest.approx(end.pack_current)
    assert flight.end_voltage == pytest.approx(end.pack_voltage)
    assert flight.end_throttle == pytest.approx(end.throttle)
    assert (start.pack_current < flight.mean_current).all()
    assert (flight.mean_current < flight.end_current).all()
    # energy per metre is mean voltage under load x charge per metre
    mean = flight.energy_per_metre / flight.charge_per_metre
    assert (end.pack_voltage < mean).all() and (mean < start.pack_voltage).all()


def test_two_halves_of_a_discharge_add_up():
    """Check that discharge to 60 % plus discharge from there to the reserve is the total, within 5e-5.

    Nodes are at other places on a curve of 40 pieces.
    """
    powertrain = _powertrain()
    complete, first, second = (
        cruise_at_thrust(powertrain, 15.0, 2.0, 1.2, end, 8.0, start)
        for end, start in ((0.2, 1.0), (0.6, 1.0), (0.2, 0.6))
    )
    assert first.endurance + second.endurance == pytest.approx(complete.endurance, rel=5e-5)
    assert first.end_current < second.end_current == pytest.approx(complete.end_current, rel=1e-12)


@pytest.mark.parametrize("start", [1.0, 0.7])
def test_charge_after_a_time_inverts_a_discharge(start):
    powertrain = _powertrain()
    shaft = shaft_demand(powertrain, np.array([13.0, 18.0]), np.array([1.7, 3.0]), 1.2)
    time = steady_cruise(powertrain, shaft, np.array([0.3, 0.5]), 8.0, start).endurance
    assert charge_after(powertrain, shaft, time, 8.0, start) == pytest.approx([0.3, 0.5], abs=1e-11)
    assert charge_after(powertrain, shaft, 0.0, 8.0, start) == pytest.approx([start, start])


def test_a_pack_that_does_not_last_ends_below_zero():
    """Check that the charge left falls below zero with time, without a jump where the pack is empty."""
    powertrain = _powertrain()
    shaft = shaft_demand(powertrain, 15.0, 2.0, 1.2)
    empty = float(steady_cruise(powertrain, shaft, 0.0, 8.0).endurance)
    left = charge_after(powertrain, shaft, empty * np.array([0.5, 1 - 1e-6, 1 + 1e-6, 2.0, 50.0]), 8.0)
    assert (np.diff(left) < 0).all()
    assert left[0] > 0 and left[1:3] == pytest.approx([0, 0], abs=2e-6)
    current = float(match(powertrain, 15.0, 2.0, 1.2, 0.0, 8.0).pack_current)
    assert left[3:] == pytest.approx(-current * empty * np.array([1.0, 49.0]) / (2 * 18000.0))


def test_range_rises_to_one_best_speed_and_falls():
    """Check that there is one change of slope over 200 speeds."""
    airspeed = np.linspace(8, 26, 200)
    slope = np.diff(cruise_at_thrust(_powertrain(), airspeed, _thrust(airspeed), 1.2, 0.2, 8.0).range)
    assert (np.diff(np.sign(slope)) != 0).sum() == 1


def test_smooth_in_airspeed():
    """Check that noise over 200 speeds is below 1e-5 km, a hundredth of a metre in fifty kilometres."""
    airspeed = np.linspace(10, 20, 200)
    kilometres = cruise_at_thrust(_powertrain(), airspeed, _thrust(airspeed), 1.2, 0.2, 8.0).range / 1000
    assert kilometres.max() > 30
    # eighth differences of noise s have a root mean square of s sqrt(12870); those of smooth curves are near zero
    noise = np.diff(kilometres, 8) / np.sqrt(12870)
    assert np.abs(noise).max() < 1e-5


def _outputs(values):
    (airspeed, thrust, density, reserve, other, speed_constant, resistance, factor, series, parallel, cell, switch) = (
        np.moveaxis(values, -1, 0)
    )
    powertrain = Powertrain(
        TABLE,
        Motor(speed_constant, resistance, 1.0),
        Controller(part_throttle_loss=switch),
        Pack(LITHIUM_ION, series, parallel, 18000.0, cell),
        factor,
    )
    return np.stack(cruise_at_thrust(powertrain, airspeed, thrust, density, reserve, other), axis=-1)


@pytest.mark.parametrize("seed", [21, 22, 23])
def test_complex_step_is_the_slope(seed):
    """Compare derivatives of all inputs, as a batch of complex directions, with fourth-order differences, rtol 1e-6.

    Steps are small, since at a knot of the voltage curve the third derivative jumps.
    """
    middle = np.array([15.0, 2.0, 1.2, 0.2, 8.0, 104.7, 0.085, 0.95, 4.0, 2.0, 0.03, 0.065])
    values = middle * np.random.default_rng(seed).uniform(0.93, 1.07, len(middle))
    assert slopes_that_agree(_outputs, values) > 60


def test_empty_pack_is_flagged_not_raised():
    flight = cruise_at_thrust(_powertrain(parallel=0.5, cell_resistance=0.3), 20.0, 8.0, 1.2, 0.1, 8.0)
    assert all(np.isfinite(value) for value in flight)
    assert flight.end_power_reserve < 0 and flight.end_throttle > 1
