"""The drive train: energy balance, agreement of its two solutions, exact derivatives, impossible demands."""

from types import SimpleNamespace

import numpy as np
import pytest
from helpers.references.differences import slopes_that_agree
from scipy.optimize import brentq

from tradestudy.physics.propulsion import drive_train
from tradestudy.physics.propulsion.drive_train import (
    Powertrain,
    full_throttle,
    losses,
    match,
    operating_point,
    shaft_demand,
)
from tradestudy.physics.propulsion.motor import Controller, Motor, motor_current, motor_voltage
from tradestudy.physics.propulsion.pack import (
    LITHIUM_ION,
    LITHIUM_POLYMER,
    Pack,
    open_circuit_voltage,
    pack_resistance,
)
from tradestudy.physics.propulsion.propeller_table import propeller_coefficients, table_from_rows

RPM = 2 * np.pi / 60


def _table(diameter=0.2286, pitch_ratio=0.67):
    """Return an invented propeller at three speeds, similar to a sport propeller."""
    advance_ratio, rpm = (
        grid.ravel() for grid in np.meshgrid(np.linspace(0, 1.15, 30) * pitch_ratio, [4000.0, 6000.0, 9000.0])
    )
    u = advance_ratio / (1.2 * pitch_ratio)
    thrust = (0.0525 + 0.0938 * pitch_ratio) * (1 - 0.25 * u - 0.75 * u**2) * (rpm / 6000) ** 0.06
    power = (0.0885 * pitch_ratio - 0.007) * (1 + 0.25 * u - 0.95 * u**2) * (rpm / 6000) ** -0.05
    return table_from_rows(diameter, advance_ratio, thrust, power, rpm * RPM)


TABLE = _table()


def _powertrain(curve=LITHIUM_ION, **pack):
    cells = {"series": 4.0, "parallel": 2.0, "cell_capacity": 5 * 3600.0, "cell_resistance": 0.03, **pack}
    return Powertrain(TABLE, Motor(1000 * RPM, 0.085, 1.0), Controller(), Pack(curve, **cells))


def _random_powertrain(seed, count):
    uniform = np.random.default_rng(seed).uniform
    return Powertrain(
        _table(uniform(0.2, 0.28), uniform(0.5, 0.8)),
        Motor(
            uniform(75, 130, count),
            uniform(0.04, 0.25, count),
            uniform(0.3, 1.7, count),
            uniform(1, 2, count),
            uniform(0, 1, count),
        ),
        Controller(
            uniform(0.003, 0.03, count), uniform(0.01, 0.05, count), uniform(0.02, 0.1, count), uniform(0.1, 1, count)
        ),
        Pack(
            LITHIUM_ION if seed % 2 else LITHIUM_POLYMER,
            uniform(3, 6, count),
            uniform(1, 4, count),
            uniform(7e3, 2e4, count),
            uniform(0.005, 0.06, count),
            uniform(0.002, 0.02, count),
        ),
        uniform(1.0, 1.2, count),
        uniform(0.5, 1.0, count),
    )


def test_a_pack_with_nothing_else_to_feed_gives_the_controller_its_power():
    """Check current times voltage of the pack, in level flight and at full throttle, where no other power is named."""
    drive = _powertrain()
    shaft = shaft_demand(drive, 14.0, 1.5, 1.2)
    for point in (
        match(drive, 14.0, 1.5, 1.2, 0.5),
        operating_point(drive, shaft, 0.5),
        full_throttle(drive, 14.0, 1.2, 0.5),
    ):
        assert point.pack_current * point.pack_voltage == pytest.approx(point.electric_power, rel=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_energy_adds_up(seed):
    """Check that cell energy is thrust work plus all losses, each by its own formula, to 1e-9 over random parts."""
    uniform = np.random.default_rng(100 + seed).uniform
    powertrain = _random_powertrain(seed, 100)
    airspeed, charge, other = uniform(8, 25, 100), uniform(0.1, 1, 100), uniform(0, 15, 100)
    for point in (
        match(powertrain, airspeed, uniform(0.5, 4, 100), 1.2, charge, other),
        full_throttle(powertrain, airspeed, 1.2, charge, other),
    ):
        assert point.shaft.converged.all()
        feasible = point.power_reserve > 0.02
        assert feasible.mean() > 0.9
        parts = losses(powertrain, point, charge, other)
        assert sum(parts[1:])[feasible] == pytest.approx(parts.cells[feasible], rel=1e-9)
        assert (np.array(parts[3:]) >= 0).all() or (point.throttle > 1).any()
        assert point.shaft.thrust.shape == (100,)


def test_full_throttle_and_match_agree():
    """Check that the thrust of full throttle, given to match, needs throttle 1 and the same currents, to rounding."""
    powertrain = _powertrain()
    airspeed, charge = np.linspace(0, 24, 9)[:, None], np.array([0.1, 0.5, 1.0])
    full = full_throttle(powertrain, airspeed, 1.2, charge, 8.0)
    again = match(powertrain, airspeed, full.shaft.thrust, 1.2, charge, 8.0)
    assert full.shaft.converged.all() and again.shaft.converged.all()
    assert again.throttle == pytest.approx(np.ones((9, 3)), rel=1e-9)
    for name in ("pack_current", "pack_voltage", "electric_power"):
        assert getattr(again, name) == pytest.approx(getattr(full, name), rel=1e-9)
    assert again.shaft.motor_current == pytest.approx(full.shaft.motor_current, rel=1e-9)


def test_a_throttle_cap_is_what_full_throttle_means():
    """Check that the thrust at a throttle cap, given to match, needs that throttle and the same currents.

    Pack and motor current differ.
    """
    powertrain = _powertrain()._replace(throttle_cap=0.7)
    airspeed, charge = np.linspace(0, 18, 7)[:, None], np.array([0.1, 0.5, 1.0])
    capped = full_throttle(powertrain, airspeed, 1.2, charge, 8.0)
    again = match(powertrain, airspeed, capped.shaft.thrust, 1.2, charge, 8.0)
    assert capped.throttle == pytest.approx(np.full((7, 3), 0.7)) == again.throttle
    for name in ("pack_current", "pack_voltage", "electric_power"):
        assert getattr(again, name) == pytest.approx(getattr(capped, name), rel=1e-9)
    free = full_throttle(_powertrain(), airspeed, 1.2, charge, 8.0)
    assert (capped.shaft.thrust < 0.7 * free.shaft.thrust).all()
    assert (capped.pack_current < 0.85 * capped.shaft.motor_current).all()  # 0.7, and losses of the controller


def test_static_full_throttle_by_bisection():
    """Compare one static point with a separate solution by scalars and a general root finder."""
    powertrain = _powertrain()
    pack, motor, controller = powertrain.pack, powertrain.motor, powertrain.controller
    resting, resistance = open_circuit_voltage(pack, 0.8), pack_resistance(pack, 0.8)

    def pack_side(revolutions):
        _, power_coefficient = propeller_coefficients(TABLE, 0.0, revolutions)
        torque = power_coefficient * 1.2 * (revolutions / (2 * np.pi)) ** 2 * 0.2286**5 / (2 * np.pi)
        current = motor_current(motor, torque, revolutions)
        voltage = motor_voltage(motor, current, revolutions)
        bus = voltage + current * controller.resistance
        power = voltage * current * 1.025 + current**2 * 0.010 + 0.3 + 5.0
        return resting - resistance * power / bus - bus, power / bus, current

    revolutions = brentq(lambda w: pack_side(w)[0], 300, 1400, xtol=1e-12)
    point = full_throttle(powertrain, 0.0, 1.2, 0.8, 5.0)
    assert point.shaft.revolutions == pytest.approx(revolutions, rel=1e-10)
    currents = point.pack_current, point.shaft.motor_current
    assert currents == pytest.approx(pack_side(revolutions)[1:], rel=1e-9)
    assert point.shaft.advance_ratio == 0
    turns = revolutions / (2 * np.pi)
    thrust = propeller_coefficients(TABLE, 0.0, revolutions)[0] * 1.2 * turns**2 * 0.2286**4
    assert point.shaft.thrust == pytest.approx(thrust, rel=1e-9)


def test_motor_and_pack_current_meet_only_at_full_throttle():
    """Check that motor current is larger at part throttle. At full throttle they differ by the controller's losses."""
    powertrain = _powertrain()
    cruise = match(powertrain, 15.0, 1.5, 1.2, 0.9)
    assert cruise.throttle < 0.7
    assert cruise.shaft.motor_current > 1.4 * cruise.pack_current
    full = full_throttle(powertrain, 15.0, 1.2, 1.0)
    assert full.shaft.motor_current == pytest.approx(full.pack_current, rel=0.03)  # 2.5 % and 0.3 W


def test_drive_as_built_takes_its_factor_more_power_at_the_same_thrust():
    """Check cruise with a factor of 1.1: the motor turns as before, and the controller takes 1.1 times the power.

    The pack sags a little more, which takes off part of the switching loss; hence 0.1 %. Where the power goes still
    sums to what the cells give.
    """
    clean, built = _powertrain(), _powertrain()._replace(drive_power_factor=1.1)
    one, other = (match(each, 15.0, 2.0, 1.2, 0.5, 6.0) for each in (clean, built))
    assert other.shaft.motor_current == one.shaft.motor_current
    assert other.electric_power == pytest.approx(1.1 * one.electric_power, rel=1e-3)
    parts = losses(built, other, 0.5, 6.0)
    assert parts.built == pytest.approx(other.electric_power / 11, rel=1e-12)
    assert sum(parts[1:]) == pytest.approx(parts.cells, rel=1e-12)
    assert losses(clean, one, 0.5, 6.0).built == 0


def test_drive_as_built_at_full_throttle_draws_more_and_pulls_less():
    clean, built = (
        full_throttle(_powertrain()._replace(drive_power_factor=each), 0.0, 1.2, 0.8) for each in (1.0, 1.1)
    )
    assert built.shaft.thrust < clean.shaft.thrust and built.pack_current > 1.05 * clean.pack_current


def test_hopeless_demands_are_finite_and_flagged():
    powertrain = _powertrain(parallel=1.0)
    thrust = np.linspace(2, 200, 400)
    point = match(powertrain, 20.0, thrust, 1.2, 0.2)
    for values in (point.throttle, point.pack_current, point.pack_voltage, point.power_reserve):
        assert np.isfinite(values).all()
    assert point.shaft.converged.all()
    assert point.throttle[0] < 1 < point.throttle[-1] and point.power_reserve[-1] < 0 < point.power_reserve[0]
    assert (np.diff(point.power_reserve) < 0).all() and (np.diff(point.throttle) > 0).all()
    assert point.shaft.outside_data[-1] and not point.shaft.outside_data[0]


def test_batch_equals_loop():
    powertrain = _powertrain()
    airspeed, thrust = np.array([12.0, 15.0, 18.0]), np.array([[1.0], [2.5]])
    batch = match(powertrain, airspeed, thrust, 1.2, 0.6, 8.0)
    assert batch.pack_current.shape == (2, 3)
    for i in range(2):
        for j in range(3):
            one = match(powertrain, airspeed[j], thrust[i, 0], 1.2, 0.6, 8.0)
            assert batch.pack_current[i, j] == pytest.approx(one.pack_current, rel=1e-12)
            assert batch.shaft.revolutions[i, j] == pytest.approx(one.shaft.revolutions, rel=1e-12)


NAMES = (
    "airspeed",
    "thrust",
    "density",
    "charge",
    "other",
    "speed_constant",
    "resistance",
    "factor",
    "series",
    "parallel",
    "cell_resistance",
    "switch",
    "cap",
    "no_load_voltage",
)
MIDDLE = np.array([15.0, 2.0, 1.2, 0.53, 8.0, 104.7, 0.085, 0.95, 4.0, 2.0, 0.03, 0.065, 0.85, 10.0])


def _outputs(values, question):
    at = dict(zip(NAMES, np.moveaxis(values, -1, 0), strict=True))
    powertrain = Powertrain(
        TABLE,
        Motor(at["speed_constant"], at["resistance"], 1.0, no_load_rise=0.4, no_load_voltage=at["no_load_voltage"]),
        Controller(part_throttle_loss=at["switch"]),
        Pack(LITHIUM_ION, at["series"], at["parallel"], 18000.0, at["cell_resistance"]),
        at["factor"],
        at["cap"],
    )
    if question == "match":
        point = match(powertrain, at["airspeed"], at["thrust"], at["density"], at["charge"], at["other"])
    else:
        point = full_throttle(powertrain, at["airspeed"], at["density"], at["charge"], at["other"])
    parts = losses(powertrain, point, at["charge"], at["other"])
    return np.stack(
        [
            point.shaft.thrust,
            point.shaft.revolutions,
            point.shaft.motor_current,
            point.shaft.motor_voltage,
            point.throttle,
            point.electric_power,
            point.pack_current,
            point.pack_voltage,
            point.power_reserve,
            parts.propeller,
            parts.pack,
        ],
        axis=-1,
    )


@pytest.mark.parametrize("question", ["match", "full throttle"])
@pytest.mark.parametrize("seed", [11, 12, 13])
def test_complex_step_is_the_slope(question, seed):
    """Compare derivatives of all inputs, as a batch of complex directions, with fourth-order differences, rtol 1e-6.

    Values below 1e-8 of the output per relative step are rounding of the differences.
    """
    values = MIDDLE * np.random.default_rng(seed).uniform(0.93, 1.07, len(MIDDLE))
    assert slopes_that_agree(lambda at: _outputs(at, question), values, 2e-4) > 60  # derivatives are not lost


def test_charge_does_not_move_the_shaft():
    """Check that the motor side of a match is one solution for a complete discharge."""
    powertrain = _powertrain()
    shaft = shaft_demand(powertrain, 15.0, 2.0, 1.2)
    charge = np.linspace(0.1, 1.0, 7)
    assert operating_point(powertrain, shaft, charge, 8.0).pack_current == pytest.approx(
        match(powertrain, 15.0, 2.0, 1.2, charge, 8.0).pack_current, rel=1e-12
    )


@pytest.mark.parametrize("airspeed", [0.0, 8.0, 25.0])
def test_the_search_for_a_thrust_starts_at_its_root_where_thrust_falls_as_a_line(airspeed):
    # CT = 0.1 (1 - J / 0.8): the start is the root itself, but for the 1/s^2 that keeps it above zero without thrust
    table = SimpleNamespace(diameter=0.25, zero_thrust_advance_ratio=0.8, parabolas=[(0.1, -0.125, 0.0)])
    turns = drive_train._demand_start(SimpleNamespace(propeller=table), airspeed, 1.2, 4.0) / (2 * np.pi)
    thrust = 1.2 * turns**2 * 0.25**4 * 0.1 * (1 - airspeed / (turns * 0.25) / 0.8)
    assert thrust == pytest.approx(4.0, rel=1e-3)


@pytest.mark.parametrize("airspeed", [0.0, 8.0, 25.0, 80.0])
def test_the_search_for_full_throttle_starts_at_its_root_without_losses(airspeed):
    # CP = 0.04 + 0.02 J - 0.06 J^2, and no current but that of the torque
    table = SimpleNamespace(diameter=0.25, parabolas=[None, (0.04, 0.02, -0.06)])
    drive = Powertrain(table, Motor(100.0, 0.1, 0.0, resistance_factor=1.2), Controller(0.01), None, 1.0, 0.9, 1.1)
    speed = drive_train._throttle_start(drive, airspeed, 1.2, 16.0, 0.05, 9.0)
    turns = speed / (2 * np.pi)
    ratio = airspeed / (turns * 0.25)
    torque = 1.1 * 1.2 * turns**2 * 0.25**5 * (0.04 + 0.02 * ratio - 0.06 * ratio**2) / (2 * np.pi)
    assert speed / 100.0 + 100.0 * torque * (0.1 * 1.2 + 0.01 + 0.05) == pytest.approx(0.9 * 16.0, rel=1e-12)


def test_parabolas_of_a_table_pass_through_it_and_never_bend_upwards():
    end = TABLE.zero_thrust_advance_ratio
    middle = np.sqrt(4000.0 * 9000.0) * RPM
    for parabola, curve in zip(TABLE.parabolas, (0, 1), strict=True):
        for ratio in (0.0, 0.5 * end, end):
            value = sum(weight * ratio**power for power, weight in enumerate(parabola))
            assert value == pytest.approx(propeller_coefficients(TABLE, ratio, middle)[curve], abs=1e-12)
    ratio = np.linspace(0, 1, 30)
    hollow = table_from_rows(0.25, ratio, 0.1 * (1.1 - ratio) ** 2 - 0.002, 0.05 * (1.2 - ratio) ** 2).parabolas
    for static, rise, bend in hollow:
        assert static > 0 > rise and bend == 0
