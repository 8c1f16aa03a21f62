"""Ground speed and the airspeed of best ground range: vector sums, random wings and winds."""

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from tradestudy.physics.endurance.ground_speed import best_airspeeds, ground_speed


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_wing_and_wind_add_up_to_the_track(seed):
    """Compare with a heading turned into the wind until the sum of both vectors is along the track."""
    rng = np.random.default_rng(seed)
    airspeed, wind, angle = rng.uniform(10, 25), rng.uniform(0, 9), rng.uniform(0, np.pi)
    blowing = -wind * np.array([np.cos(angle), np.sin(angle)])  # the track is along the first axis
    crab = np.arcsin(-blowing[1] / airspeed)
    over_ground = airspeed * np.array([np.cos(crab), np.sin(crab)]) + blowing
    assert over_ground[1] == pytest.approx(0, abs=1e-12)
    assert ground_speed(airspeed, wind, angle) == pytest.approx(over_ground[0], rel=1e-12)


def test_no_progress_is_zero_or_less():
    assert ground_speed(12.0, 12.0) == 0 and ground_speed(12.0, 15.0) == pytest.approx(-3.0)
    assert ground_speed(12.0, 15.0, np.pi / 2) == pytest.approx(-3.0)  # the wing drifts off its track
    assert ground_speed(12.0, 15.0, np.pi) == pytest.approx(27.0)


def test_slope_by_complex_step():
    """Compare with central differences, 1e-8 of rounding over the step."""
    for angle in (0.0, 0.7, 2.0):
        slope = ground_speed(14.0 + 1e-20j, 5.0, angle).imag / 1e-20
        assert slope == pytest.approx(
            (ground_speed(14.001, 5.0, angle) - ground_speed(13.999, 5.0, angle)) / 0.002, rel=1e-7
        )


def polar(seed):
    """Return speeds and endurance of a random wing. Power has a parasite part, a lift part and avionics."""
    rng = np.random.default_rng(seed)
    best, other = rng.uniform(11, 18), rng.uniform(0, 0.4)
    speed = np.linspace(0.72 * best, 3.2 * best, 60)

    def endurance(speed):
        x = speed / best
        return 9000.0 / (0.5 * (x**3 + 1 / x) + other)

    return speed, endurance, best


@pytest.mark.parametrize("seed", [11, 12, 13, 14])
def test_sixty_points_find_the_best_of_all_speeds(seed):
    """Compare with a search on the smooth curve. Required are 0.1 m/s; the tolerance is 0.01, and 1e-6 of distance."""
    speed, endurance, best = polar(seed)
    rng = np.random.default_rng(seed + 100)
    wind, angle = rng.uniform(0, 0.6, 6) * best, rng.uniform(0, np.pi, 6)
    best, distance = best_airspeeds(speed, endurance(speed), wind, angle)
    for one, two, here, far in zip(wind, angle, best, distance, strict=True):
        exact = minimize_scalar(
            lambda v, w=one, a=two: -endurance(v) * ground_speed(v, w, a),
            bounds=(speed[0], speed[-1]),
            method="bounded",
            options={"xatol": 1e-8},
        )
        assert here == pytest.approx(exact.x, abs=0.01)
        assert far == pytest.approx(-exact.fun, rel=1e-6)


@pytest.mark.parametrize("seed", range(20, 30))
def test_the_harder_it_blows_against_it_the_faster_it_should_fly(seed):
    speed, endurance, best = polar(seed)
    wind = np.linspace(-0.8, 1.2, 41) * best
    best, distance = best_airspeeds(speed, endurance(speed), np.abs(wind), np.where(wind < 0, np.pi, 0.0))
    assert (np.diff(best) > 0).all() and (np.diff(distance) < 0).all()


@pytest.mark.parametrize("seed", range(30, 40))
def test_out_and_home_is_never_farther_than_in_still_air(seed):
    """Check out and home in wind, each leg at its own best speed: radius = 1 / (1/D1 + 1/D2) of one-way distances D."""
    speed, endurance, best = polar(seed)
    rng = np.random.default_rng(seed)
    wind, angle = rng.uniform(0.02, 0.9, 50) * best, rng.uniform(0, np.pi, 50)
    still = best_airspeeds(speed, endurance(speed), 0.0)[1]
    out, home = (best_airspeeds(speed, endurance(speed), wind, each)[1] for each in (angle, np.pi - angle))
    assert (1 / (1 / out + 1 / home) < 0.5 * still).all()


def test_best_speed_stays_within_the_permitted_speeds():
    speed, endurance, best = polar(5)
    slow = speed[speed > 1.1 * best]
    assert best_airspeeds(slow, endurance(slow), 0.0)[0] == slow[0]
    few = speed[speed < 0.95 * best]
    assert best_airspeeds(few, endurance(few), 0.0)[0] == few[-1]
    assert best_airspeeds(few, endurance(few), 40.0)[1] < 0  # faster than any of the speeds: no progress
