"""Positions, velocities and spikes, against degrees of the ellipsoid and cases by hand."""

import numpy as np
import pytest

from tradestudy.physics.flight_log.track import (
    bridged,
    is_spike,
    local_metres,
    moving_slope,
    step_means,
    velocity_of_course,
    velocity_of_positions,
)

# length of one degree on the WGS 84 ellipsoid, from memory of geodesy tables [m]
DEGREES = [
    (0, 110574, 111320),
    (15, 110649, 107550),
    (30, 110852, 96486),
    (45, 111132, 78847),
    (60, 111412, 55800),
    (75, 111618, 28902),
]


@pytest.mark.parametrize(("latitude", "along_meridian", "along_parallel"), DEGREES)
def test_lengths_of_a_degree(latitude, along_meridian, along_parallel):
    half = 0.5e-3  # half a thousandth of a degree, so that the radius is that of the latitude itself
    places = np.radians([latitude - half, latitude, latitude + half])
    north, _ = local_metres(places, np.zeros(3))
    _, east = local_metres(np.radians([latitude] * 2), np.radians([179.9995, -179.9995]))  # across the date line
    assert 1e3 * (north[2] - north[0]) == pytest.approx(along_meridian, abs=1.0)  # tolerance: given to a metre
    assert 1e3 * east[1] == pytest.approx(along_parallel, abs=1.0)  # tolerance: given to a metre


def test_a_log_without_any_fix_has_no_position():
    assert np.isnan(local_metres(np.full(4, np.nan), np.full(4, np.nan))).all()


def test_course_is_clockwise_from_north():
    velocity = velocity_of_course(np.array([10.0, 10.0, 10.0]), np.radians([0, 90, 225]))
    assert velocity.T == pytest.approx(np.array([[10, 0], [0, 10], [-7.0711, -7.0711]]), abs=1e-4)  # print rounding


def test_velocity_of_even_flight_is_exact_and_unknown_next_to_a_gap():
    time = np.arange(9.0) * 0.5
    position = np.stack([3 * time, 7 - 2 * time])
    position[:, 4] = np.nan
    velocity = velocity_of_positions(position, 0.5)
    known = [1, 2, 6, 7]
    # straight line; tolerance: rounding
    assert velocity[:, known] == pytest.approx(np.outer([3, -2], np.ones(4)), abs=1e-12)
    assert np.isnan(velocity[:, [0, 3, 4, 5, 8]]).all()


def test_slope_of_a_parabola_is_its_tangent():
    time = np.arange(20) * 0.2
    slope = moving_slope(time**2, 0.2, 5)
    assert slope[2:-2] == pytest.approx(2 * time[2:-2], abs=1e-12)  # symmetric formula; tolerance: rounding


def test_means_of_steps_and_short_gaps():
    time = np.array([0.1, 0.6, 1.2, 3.5, 3.9, 7.2])
    means = step_means(time, np.array([1.0, 3.0, 5.0, np.nan, 8.0, 9.0]), 0.0, 1.0, 8)
    assert means == pytest.approx([2, 5, np.nan, 8, np.nan, np.nan, np.nan, 9], nan_ok=True)
    assert bridged(means, 1) == pytest.approx([2, 5, 6.5, 8, np.nan, np.nan, np.nan, 9], nan_ok=True)


def test_spikes_are_one_or_two_samples_and_steps_are_none(random):
    quiet = random.normal(0, 0.1, 200)
    signal = quiet + np.where(np.arange(200) > 120, 20.0, 0.0)  # throttle opened
    signal[150:] += np.linspace(0, 30, 50)  # and a ramp
    spiked = signal.copy()
    spiked[[40, 80, 81]] += [15.0, -9.0, -9.0]
    assert not is_spike(signal, 2.0).any()
    assert np.flatnonzero(is_spike(spiked, 2.0)).tolist() == [40, 80, 81]
    blip = signal.copy()
    blip[60:63] += 15.0  # three samples: a real burst
    assert not is_spike(blip, 2.0).any()
