"""Out and home in the wind, and the usual flight: closed forms, flights by small steps, discharges by many points."""

import numpy as np
import pytest
from helpers.references.differences import slopes_that_agree

from tradestudy.physics.endurance.cruise_range import (
    charge_after,
    cruise_at_thrust,
    cruise_time,
    quadrature_charges,
    steady_cruise,
    time_between,
)
from tradestudy.physics.endurance.mission import (
    radius_out_and_home,
    turn_back,
    usual_flight_from_cruise,
    usual_flight_time,
)
from tradestudy.physics.propulsion.drive_train import Powertrain, full_throttle, match, operating_point, shaft_demand
from tradestudy.physics.propulsion.motor import Controller, Motor
from tradestudy.physics.propulsion.pack import LITHIUM_ION, LITHIUM_POLYMER, Pack, pack_capacity
from tradestudy.physics.propulsion.propeller_table import table_from_rows

_J = np.linspace(0, 0.78, 30)  # an invented propeller, similar to a sport propeller
TABLE = table_from_rows(0.2286, _J, 0.115 * (1 - 0.3 * _J - 1.15 * _J**2), 0.052 * (1 + 0.3 * _J - 1.5 * _J**2))
SPEED, THRUST, DENSITY, OTHER = 15.0, 2.0, 1.2, 8.0


def _powertrain(curve=LITHIUM_ION, parallel=2.0):
    return Powertrain(TABLE, Motor(104.7, 0.085, 1.0), Controller(), Pack(curve, 4.0, parallel, 18000.0, 0.03))


# --- out and home ------------------------------------------------------------------------------------------


def usual_flight(train, airspeed, thrust, density, reserve, share, other):
    return usual_flight_from_cruise(
        train, shaft_demand(train, airspeed, thrust, density), density, reserve, share, other
    )


def test_without_wind_half_the_range():
    assert radius_out_and_home(15.0, 7200.0, 0.0) == 0.5 * 15.0 * 7200.0


@pytest.mark.parametrize("wind", [-6.0, 3.0, 6.0, 11.0])
def test_legs_in_small_time_steps(wind):
    """Check that a flight to the radius against (or with) the wind and back takes exactly the endurance."""
    speed, endurance, step = 15.0, 3600.0, 0.01
    radius = radius_out_and_home(speed, endurance, wind)
    out = np.arange(1, 400_000) * step * (speed - wind)
    turned = step * (1 + np.searchsorted(out, radius))
    home = radius - np.arange(1, 1_000_000) * step * (speed + wind)
    duration = turned + step * (1 + np.searchsorted(-home, 0.0))
    assert duration == pytest.approx(endurance, abs=3 * step)  # each leg ends within one step


def test_wind_as_fast_as_the_wing_does_not_come_home():
    assert radius_out_and_home(12.0, 3600.0, 12.0) == 0.0
    assert radius_out_and_home(12.0, 3600.0, 15.0) < 0
    slope = radius_out_and_home(12.0 + 1e-20j, 3600.0, 15.0).imag / 1e-20
    assert slope == pytest.approx(3600 * (1 + (15 / 12) ** 2) / 2)  # derivative by V of T (V - w^2 / V) / 2


def _legs(train=None):
    train = train or _powertrain()
    return train, shaft_demand(train, 16.0, 2.2, DENSITY), shaft_demand(train, 13.0, 1.9, DENSITY)


@pytest.mark.parametrize("wind", [4.0, 15.9, -15.9])
def test_one_airspeed_both_ways_is_the_radius_known(wind):
    """Compare with one airspeed both ways, within 5e-5.

    The sixteen nodes on the cells' curve of forty pieces are split at the turn.
    """
    train, shaft, _ = _legs()
    turn = turn_back(train, shaft, shaft, (16.0 - wind, 16.0 + wind), 0.2, OTHER)
    endurance = steady_cruise(train, shaft, 0.2, OTHER).endurance
    assert turn.radius == pytest.approx(radius_out_and_home(16.0, endurance, wind), rel=5e-5)
    assert turn.time == pytest.approx(endurance, rel=5e-5)


@pytest.mark.parametrize("start", [1.0, 0.5])
def test_turned_there_the_charge_is_at_the_reserve_at_home(start):
    """Compare with both legs at ten thousand charges by trapezoid, within 2e-4 as for the dense discharge below."""
    train, out, home = _legs()
    turn = turn_back(train, out, home, (11.0, 17.0), 0.2, OTHER, start)
    for shaft, ground, high, low in ((out, 11.0, start, turn.state_of_charge), (home, 17.0, turn.state_of_charge, 0.2)):
        charge = np.linspace(float(low), float(high), 10001)
        time = pack_capacity(train.pack) * np.trapezoid(
            1 / operating_point(train, shaft, charge, OTHER).pack_current, charge
        )
        assert ground * time == pytest.approx(turn.radius, rel=2e-4)
    assert turn.voltage == operating_point(train, out, turn.state_of_charge, OTHER).pack_voltage


def test_a_leg_without_progress_has_no_radius():
    train, out, home = _legs()
    for grounds in ((-1.0, 27.0), (0.0, 26.0), (20.0, -2.0)):
        turn = turn_back(train, out, home, grounds, 0.2, OTHER)
        assert (turn.radius, turn.state_of_charge, turn.time) == (0.0, 1.0, 0.0)


@pytest.mark.parametrize("seed", range(40, 46))
def test_no_wind_carries_out_and_home_farther_than_still_air(seed):
    """Check random packs, speeds and winds: without wind the same two speeds go at least as far."""
    rng = np.random.default_rng(seed)
    train = _powertrain(parallel=rng.uniform(1, 4))
    speed, wind = rng.uniform(12, 17), rng.uniform(0.5, 9)
    shaft = shaft_demand(train, speed, rng.uniform(1.5, 2.5), DENSITY)
    windy = turn_back(train, shaft, shaft, (speed - wind, speed + wind), 0.2, OTHER)
    assert windy.radius < 0.5 * steady_cruise(train, shaft, 0.2, OTHER).range
    assert windy.state_of_charge < turn_back(train, shaft, shaft, (speed, speed), 0.2, OTHER).state_of_charge


# --- what is not named -------------------------------------------------------------------------------------


def test_where_nothing_else_is_named_a_full_pack_feeds_the_drive_alone():
    """Check that no power to others and a full pack are what every flight takes if neither is given."""
    train, shaft, homeward = _legs()
    currents = full_throttle(train, SPEED, DENSITY, np.array([1.0, 0.6, 0.2]), 0.0).pack_current
    alone, full = {"other_power": 0.0}, {"other_power": 0.0, "start": 1.0}
    for flight, given, named in (
        (cruise_at_thrust, (train, SPEED, THRUST, DENSITY, 0.2), full),
        (steady_cruise, (train, shaft, 0.2), full),
        (cruise_time, (train, shaft, 0.2), full),
        (charge_after, (train, shaft, 900.0), full),
        (turn_back, (train, shaft, homeward, (12.0, 17.0), 0.2), full),
        (usual_flight_time, (train, shaft, currents, 0.2, 0.3), alone),
        (usual_flight_from_cruise, (train, shaft, DENSITY, 0.2, 0.3), alone),
    ):
        assert flight(*given) == flight(*given, **named), flight.__name__
        assert flight(*given) != flight(*given, other_power=1.0), flight.__name__


# --- the usual flight --------------------------------------------------------------------------------------


@pytest.mark.parametrize("reserve", [0.1, 0.2, 0.5])
def test_no_full_throttle_is_the_cruise(reserve):
    steady = cruise_at_thrust(_powertrain(), SPEED, THRUST, DENSITY, reserve, OTHER)
    assert usual_flight(_powertrain(), SPEED, THRUST, DENSITY, reserve, 0.0, OTHER) == steady.endurance


@pytest.mark.parametrize("curve", [LITHIUM_ION, LITHIUM_POLYMER])
@pytest.mark.parametrize(("share", "parallel", "reserve"), [(1.0, 1.0, 0.1), (1.0, 2.0, 0.2), (0.3, 3.0, 0.2)])
def test_against_a_dense_discharge(curve, share, parallel, reserve):
    """Compare with currents at 4001 charges by trapezoid, within 2e-4.

    The 16 nodes on the cells' kinked curve are 1.3e-4 off, the parabola in the open-circuit voltage 4e-5.
    """
    train = _powertrain(curve, parallel)
    charge = np.linspace(reserve, 1, 4001)
    full = full_throttle(train, np.full(4001, SPEED), DENSITY, charge, OTHER).pack_current
    steady = match(train, SPEED, THRUST, DENSITY, charge, OTHER).pack_current
    dense = pack_capacity(train.pack) * np.trapezoid(1 / ((1 - share) * steady + share * full), charge)
    assert usual_flight(train, SPEED, THRUST, DENSITY, reserve, share, OTHER) == pytest.approx(dense, rel=2e-4)


@pytest.mark.parametrize("curve", [LITHIUM_ION, LITHIUM_POLYMER])
def test_three_solutions_replace_every_node(curve):
    """Check that three solutions replace all nodes, at full throttle throughout.

    Errors were measured over packs of 1 to 6 and 9 to 20 m/s. They are at most 6.1e-5 with a reserve of 5 % or more,
    and 3.8e-4 without, where voltage falls fastest. The tolerances are these values rounded up.
    """
    for parallel, reserve, allowed in ((1.0, 0.05, 1e-4), (2.0, 0.2, 1e-4), (4.0, 0.05, 1e-4), (2.0, 0.0, 5e-4)):
        train = _powertrain(curve, parallel)
        charge = quadrature_charges(reserve, 0)
        every = full_throttle(train, np.full(len(charge), SPEED), DENSITY, charge, OTHER).pack_current
        time = usual_flight(train, SPEED, THRUST, DENSITY, reserve, 1.0, OTHER)
        assert time == pytest.approx(time_between(train.pack, reserve, every), rel=allowed)


def test_full_throttle_at_cruise_speed_draws_more_than_run_level():
    """Check that full throttle draws less at higher speed. This is why the climb at cruise speed is the hard case."""
    speed = np.linspace(SPEED, 28.0, 14)
    current = full_throttle(_powertrain(), speed, DENSITY, 0.6, OTHER).pack_current
    assert (np.diff(current) < 0).all()


def test_time_falls_with_every_share():
    share = np.linspace(0, 0.6, 13)
    time = usual_flight(_powertrain(), SPEED, THRUST, DENSITY, 0.2, share, OTHER)
    assert time.shape == (13,) and (np.diff(time) < 0).all() and (np.diff(time, 2) > 0).all()


def _outputs(values):
    airspeed, thrust, density, reserve, share, other, series, parallel, wind = np.moveaxis(values, -1, 0)
    train = _powertrain()
    train = train._replace(pack=train.pack._replace(series=series, parallel=parallel))
    time = usual_flight(train, airspeed, thrust, density, reserve, share, other)
    shaft = shaft_demand(train, airspeed, thrust, density)
    turn = turn_back(train, shaft, shaft, (airspeed - wind, airspeed + wind), reserve, other)
    return np.stack(
        [time, radius_out_and_home(airspeed, time, wind), turn.radius, turn.state_of_charge, turn.voltage], axis=-1
    )


@pytest.mark.parametrize("seed", [3, 4, 5])
def test_complex_step_is_the_slope(seed):
    """Compare derivatives of all inputs, as a batch of complex directions, with fourth-order differences, rtol 1e-6.

    Steps are small, since at a knot of the voltage curve the third derivative jumps.
    """
    middle = np.array([15.0, 2.0, 1.2, 0.2, 0.1, 8.0, 4.0, 2.0, 5.0])
    values = middle * np.random.default_rng(seed).uniform(0.93, 1.07, len(middle))
    # exceptions: time by the wind along the track, and the place of the turn by the share
    assert slopes_that_agree(_outputs, values) == 41
