"""The charge of a mixed flight against a discharge in small steps, and what a distance says about the speed."""

import numpy as np
import pytest
from helpers.places import GODWIT

from tradestudy.aircraft.anchor import mixed_flight
from tradestudy.aircraft.anchor.calibration import calibrated_wing, stock_choice
from tradestudy.aircraft.anchor.mixed_flight import Habits, WingInFlight, flight_notes
from tradestudy.aircraft.model.speed_sweep import SpeedSweep, best_speed
from tradestudy.errors import StudyFileError
from tradestudy.physics.propulsion import drive_train, pack
from tradestudy.quantities import parse_quantity
from tradestudy.study.logbook.flights import Flight
from tradestudy.study.reader import read_study
from tradestudy.study.schema.built import BAND_END
from tradestudy.uncertainty.built_inputs import flight_inputs
from tradestudy.uncertainty.fit.mixed_flight import WingFactors
from tradestudy.uncertainty.logbook.flown_wings import FlownWings, factor_bands


@pytest.fixture(scope="module")
def wing(godwit_anchor):
    sweep = SpeedSweep(godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables)
    best, power = best_speed(sweep), godwit_anchor.data.power
    return WingInFlight(
        train=sweep.powertrain,
        drag=lambda speed: sweep.drag(np.ravel(speed)).reshape(np.shape(speed)),
        density=power.air_density,
        avionics=power.avionics_power,
        best_speed=best,
        top_speed=sweep.top_speed(best),
        label_capacity=float(pack.pack_capacity(sweep.powertrain.pack)),
        usual_share=0.1,
    )


def notes(**values):
    return flight_notes([Flight("", None, "stock", "", 2040.0, **values)])


def discharge(wing, speed, share, time, steps=400):
    """Return the charge used [C] by adding up small steps: cruise at a speed, bursts half way to the top speed."""
    train, used, capacity = wing.train, 0.0, wing.label_capacity
    at = np.array([speed])
    shaft = drive_train.shaft_demand(train, at, wing.drag(at), wing.density)
    for _ in range(steps):
        left = 1 - used / capacity
        level = drive_train.operating_point(train, shaft, left, wing.avionics).pack_current[0]
        fast = 0.5 * (at + wing.top_speed)
        burst = drive_train.full_throttle(train, fast, wing.density, left, wing.avionics).pack_current[0]
        used += time / steps * ((1 - share) * level + share * burst)
    return used


@pytest.mark.parametrize("share", [0.1, 1 / 3])
def test_charge_is_that_of_a_discharge_in_steps(wing, share):
    true = discharge(wing, 1.15 * wing.best_speed, share, 2040.0)
    charge = mixed_flight.charges(wing, notes(charge=true, full_throttle=share), Habits())
    assert charge[0] == pytest.approx(true, rel=2e-3)


def test_no_noted_share_means_the_usual_one_with_more_doubt(wing):
    usual, said = notes(charge=14000.0), notes(charge=14000.0, full_throttle=0.1)
    assert mixed_flight.charges(wing, usual, Habits()) == pytest.approx(mixed_flight.charges(wing, said, Habits()))
    assert mixed_flight.charge_spreads(wing, usual) > 1.3 * mixed_flight.charge_spreads(wing, said)


def test_a_launch_is_flown_even_without_full_throttle(wing):
    none = mixed_flight.shares(wing, notes(full_throttle=0.0))
    assert none == pytest.approx(15 / 2040)


def test_a_distance_narrows_the_charge_and_moves_the_speed(wing):
    without = notes(charge=14000.0, full_throttle=0.0, wind=0.0)
    fast = notes(charge=14000.0, full_throttle=0.0, wind=0.0, distance=1.4 * wing.best_speed * 2040)
    assert mixed_flight.charge_spreads(wing, fast) < 0.85 * mixed_flight.charge_spreads(wing, without)
    assert mixed_flight.charges(wing, fast, Habits()) > 1.15 * mixed_flight.charges(wing, without, Habits())


def test_wind_leaves_more_doubt_and_a_higher_airspeed(wing):
    calm, windy = (notes(charge=14000.0, distance=30e3, full_throttle=0.0, wind=wind) for wind in (0.0, 8.0))
    assert mixed_flight.charge_spreads(wing, windy) > mixed_flight.charge_spreads(wing, calm)
    ground, wind = 30e3 / 2040, 8.0
    air = mixed_flight.mean_air_speed(windy)[0]
    # there and back along the wind: the mean ground speed is (V^2 - w^2) / V
    assert (air**2 - wind**2) / air == pytest.approx(ground)


def test_one_steady_flight_has_the_scatter_of_a_known_flight():
    # both parts together are FLIGHT_SPREAD, of charger, map, wind, turns and climbs
    from tradestudy.aircraft.anchor.drag_calibration import FLIGHT_SPREAD

    assert np.hypot(mixed_flight.AIR_HABIT, mixed_flight.AIR_OWN) == pytest.approx(FLIGHT_SPREAD, rel=0.02)


def study_with(tmp_path, flight):
    path = tmp_path / "heron.toml"
    path.write_text(f"{GODWIT.read_text(encoding='utf-8')}\n[known_flight]\n{flight}\n", encoding="utf-8")
    return read_study(path)


def test_a_mixed_known_flight_calibrates_the_drag_as_the_logbook_does(tmp_path):
    study = study_with(tmp_path, 'time = "34 min"\ncharge_used = "6400 mAh"\nfull_throttle = "33 %"')
    calibrated = calibrated_wing(study)
    drag = calibrated.drag
    assert drag.unit == "mAh" and drag.measured == 6400 * 3.6 > drag.after > drag.before
    assert 0.15 < drag.spread < 0.3
    wings = FlownWings(study, {})
    fitted = factor_bands(wings.fit([]), WingFactors())
    for name, value in zip(("drag", "induced", "drive_power"), drag.factors, strict=True):
        assert fitted[name].middle == pytest.approx(value, rel=0.01)  # the fit has the motor's resistance besides


def test_a_mixed_flight_as_expected_changes_nothing(tmp_path):
    flight = 'time = "34 min"\ncharge_used = "{:.3f} mAh"\nfull_throttle = "20 %"'
    expected = calibrated_wing(study_with(tmp_path, flight.format(4000))).drag.before / 3.6
    again = calibrated_wing(study_with(tmp_path, flight.format(expected))).drag
    assert again.factors == pytest.approx((1, 1, 1), abs=0.005)  # the mean voltage moves a little with the charge


def test_the_doubt_of_a_mixed_known_flight_is_an_input_of_the_bands(tmp_path):
    study = study_with(tmp_path, 'time = "34 min"\ncharge_used = "4200 mAh"\nfull_throttle = "20 %"')
    ((used, (low, high)),) = flight_inputs(study, stock_choice(study))
    spread = calibrated_wing(study).drag.spread
    assert used.key == "known_flight.charge_used" and set(low) == {("known_flight", "time")}
    longest, shortest = (parse_quantity(end["known_flight", "time"], "time") for end in (low, high))
    assert np.log(longest / 2040) == pytest.approx(BAND_END * spread, rel=1e-6)
    assert np.log(shortest / 2040) == pytest.approx(-BAND_END * spread, rel=1e-6)


def test_a_known_flight_says_how_fast_or_how_mixed_it_was(tmp_path):
    with pytest.raises(StudyFileError, match="has neither distance nor full_throttle; give distance for a steady"):
        study_with(tmp_path, 'time = "34 min"\ncharge_used = "4200 mAh"')
