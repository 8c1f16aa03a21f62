"""Steady stretches of an invented flight: each leg is detected with its kind and its numbers."""

import numpy as np
import pytest

from tradestudy.physics.flight_log.steady_stretches import (
    CLIMB,
    GLIDE,
    LEVEL,
    TURN,
    LogSteps,
    steady_stretches,
    stretch_means,
)


def flight(parts, wind=(0.0, 0.0), noise=0.0, seed=5, heading=0.4, step=1.0):
    """Return LogSteps of parts (seconds, airspeed, turn rate, climb, amps) with sudden changes between them."""
    random = np.random.default_rng(seed)
    columns = np.concatenate([np.tile(part[1:], (int(part[0] / step), 1)) for part in parts]).astype(float).T
    airspeed, turn_rate, climb, amps = columns
    way = heading + (np.cumsum(turn_rate) - 0.5 * turn_rate) * step
    velocity = airspeed * np.stack([np.cos(way), np.sin(way)]) + np.array(wind)[:, None]
    velocity += noise * random.standard_normal(velocity.shape)
    count = len(airspeed)
    unknown = np.full(count, np.nan)
    return LogSteps(
        (np.arange(count) + 0.5) * step,
        velocity,
        climb + 0.4 * noise * random.standard_normal(count),
        amps * (1 + 0.1 * noise * random.standard_normal(count)),
        np.full(count, 15.0),
        unknown,
        unknown,
    )


STRAIGHT, ROUND, RISE, DOWN = (30, 14, 0, 0, 5), (24, 14, 0.26, 0, 6), (20, 13, 0, 2.0, 12), (30, 12, 0, -1.1, 0.4)
PARTS = [RISE, STRAIGHT, ROUND, STRAIGHT, DOWN, STRAIGHT]
KINDS = [CLIMB, LEVEL, TURN, LEVEL, GLIDE, LEVEL]


@pytest.mark.parametrize("wind", [(0.0, 0.0), (5.0, -6.0)], ids=["still", "windy"])
@pytest.mark.parametrize("noise", [0.0, 0.5])
def test_each_leg_is_detected_within_two_windows(wind, noise):
    log_steps = flight(PARTS, wind, noise)
    stretches = steady_stretches(log_steps)
    assert [stretch.kind for stretch in stretches] == KINDS
    ends = np.cumsum([part[0] for part in PARTS])
    for stretch, end, part in zip(stretches, ends, PARTS, strict=True):
        start = end - part[0]
        # half a window of five seconds at either end, and one more where noise touches a bound
        assert start - 1 <= stretch.first <= start + 5 and end - 5 <= stretch.end <= end + 1


def test_means_are_those_of_the_invented_flight():
    wind = np.array([3.0, -4.0])
    log_steps = flight(PARTS, wind)
    blowing = np.tile(wind[:, None], len(log_steps.time))
    stretches = steady_stretches(log_steps, wind=blowing)
    means = [stretch_means(log_steps, stretch, wind=blowing) for stretch in stretches]
    # steps of one second, from the start of the first to the end of the last
    assert [(each.start, each.end) for each in means] == [(each.first, each.end) for each in stretches]
    for segment, (_, airspeed, turn_rate, climb, amps) in zip(means, PARTS, strict=True):
        inner = segment.kind != TURN
        # sudden changes affect the end of a turn
        assert segment.airspeed == pytest.approx(airspeed, abs=1e-9 if inner else 1e-3)
        assert segment.climb_rate == pytest.approx(climb, abs=0.1)  # at most the step of the next leg
        assert segment.amps == pytest.approx(amps, rel=0.06)  # tolerance as above
        # the slope through five samples of a circle is low by 1 - (2 sin a + 4 sin 2a)/(10 a), 4 % at a = 0.26
        assert segment.turn_rate == pytest.approx(turn_rate, rel=0.15, abs=0.01)  # and the start and end of the turn
        assert segment.watts == pytest.approx(15 * segment.amps)
    still = stretch_means(log_steps, steady_stretches(log_steps)[1])
    assert np.isnan(still.airspeed) and np.isnan(still.wind).all()


def test_a_step_of_throttle_parts_a_leg_and_noise_does_not():
    for before, after in ((5, 6.5), (6.5, 5)):
        log_steps = flight([(40, 14, 0, 0, before), (40, 14, 0, 0, after)], noise=0.5)
        assert [(stretch.first, stretch.end) for stretch in steady_stretches(log_steps)] == [(2, 40), (40, 78)]
    even = flight([(80, 14, 0, 0, 5)], noise=0.5)
    assert [(stretch.first, stretch.end) for stretch in steady_stretches(even)] == [(2, 78)]


UNSTEADY = {
    "speeding up": (40, lambda n: 12 + 0.4 * n, 0.0),
    "sinking": (40, lambda n: 14 + 0 * n, -0.5),
    "standing": (40, lambda n: 0.5 + 0 * n, 0.0),
    "too short": (9, lambda n: 14 + 0 * n, 0.0),
}


@pytest.mark.parametrize("name", UNSTEADY)
def test_unsteady_flight_is_rejected(name):
    count, speed, climb = UNSTEADY[name]
    log_steps = flight([(count, 14, 0, climb, 5)])
    log_steps = log_steps._replace(velocity=np.stack([speed(np.arange(count)), np.zeros(count)]))
    assert steady_stretches(log_steps) == []


# seconds, airspeed, turn rate, climb and amps of flights within a criterion, and of flights beyond it, with the kinds
# found in both; circles at 14 m/s have an acceleration of 14 times their turn rate
LONG = (60, 14, 0, 0, 5)
EDGES = {
    "straight, 0.8 m/s2": ([(40, 14, 0.052, 0, 5)], [LEVEL], [(40, 14, 0.063, 0, 5)], []),
    "turning, 1.2 m/s2": ([(40, 14, 0.092, 0, 5)], [TURN], [(40, 14, 0.08, 0, 5)], []),
    "level at any moment, 0.7 m/s": (
        [(20, 14, 0, 0.65, 5), (20, 14, 0, -0.65, 5)],
        [LEVEL],
        [(20, 14, 0, 0.77, 5), (20, 14, 0, -0.77, 5)],
        [],
    ),
    "level on the whole, 0.3 m/s": ([(40, 14, 0, 0.27, 5)], [LEVEL], [(40, 14, 0, -0.33, 5)], []),
    "climbing, 0.8 m/s": ([(40, 14, 0, 0.85, 9)], [CLIMB], [(40, 14, 0, 0.75, 9)], []),
    "motor off, 0.15 of 5 A": (
        [LONG, (15, 14, 0, -1.1, 0.7)],
        [LEVEL, GLIDE],
        [LONG, (15, 14, 0, -1.1, 0.8)],
        [LEVEL],
    ),
    "moving, 3 m/s": ([(40, 3.2, 0, 0, 5)], [LEVEL], [(40, 2.8, 0, 0, 5)], []),
    "step of the current, 0.1": (
        [(40, 14, 0, 0, 5), (40, 14, 0, 0, 5.47)],
        [LEVEL],
        [(40, 14, 0, 0, 5), (40, 14, 0, 0, 5.6)],
        [LEVEL, LEVEL],
    ),
    "straight for 8 s": ([(12, 14, 0, 0, 5)], [LEVEL], [(11, 14, 0, 0, 5)], []),  # half a window is lost at either end
    "turning for 4 s": ([(8, 14, 0.2, 0, 5)], [TURN], [(7, 14, 0.2, 0, 5)], []),
}


@pytest.mark.parametrize("name", EDGES)
def test_each_criterion_holds_at_its_number(name):
    """Check flights some 10 % to either side of each number of judgement."""
    within, found, beyond, found_beyond = EDGES[name]
    assert [stretch.kind for stretch in steady_stretches(flight(within))] == found
    assert [stretch.kind for stretch in steady_stretches(flight(beyond))] == found_beyond


@pytest.mark.parametrize(("gain", "kinds"), [(0.13, [LEVEL]), (0.17, [])])
def test_speeding_up_counts_from_15_cm_per_second_squared(gain, kinds):
    log_steps = flight([(40, 14, 0, 0, 5)])
    log_steps.velocity[:] = [12 + gain * np.arange(40), np.zeros(40)]
    assert [stretch.kind for stretch in steady_stretches(log_steps)] == kinds


@pytest.mark.parametrize(("throttle", "kinds"), [(0.019, [GLIDE]), (0.022, [])])
def test_throttle_is_off_up_to_two_per_cent(throttle, kinds):
    log_steps = flight([DOWN])._replace(throttle=np.full(30, throttle))
    assert [stretch.kind for stretch in steady_stretches(log_steps)] == kinds


def test_changes_are_evaluated_over_five_seconds():
    """Check steps of half a second: 11 lie within 2.5 s of their middle one, so five are lost at either end."""
    found = steady_stretches(flight([(60, 14, 0, 0, 5)], step=0.5))
    assert [(stretch.first, stretch.end) for stretch in found] == [(5, 115)]


@pytest.mark.parametrize(("scatter", "count"), [(0.8, 2), (1.0, 1)])
def test_a_step_of_the_current_must_be_three_standard_errors(scatter, count):
    """Check a step of 0.6 A between two halves of 39 values. Its error is the scatter times the root of 2/39, 0.226.

    Three errors are 0.54 A with a scatter of 0.8 A, and 0.68 A with 1.0 A; two would be 0.45 A.
    """
    log_steps = flight([(41, 14, 0, 0, 5), (41, 14, 0, 0, 5.6)])
    log_steps.amps[:] += scatter * np.tile([1, -1], 41)
    assert len(steady_stretches(log_steps)) == count


def test_an_uneven_turn_is_rejected():
    """Check a turn of which a third turns 65 % less than its median, and a third 75 % more."""
    wide, usual, tight = ((10, 20, rate, 0, 6) for rate in (0.07, 0.2, 0.35))
    assert steady_stretches(flight([tight, wide, usual] * 4 + [tight])) == []
    assert [stretch.kind for stretch in steady_stretches(flight([usual] * 13))] == [TURN]


def test_a_gap_ends_a_stretch():
    log_steps = flight([(60, 14, 0, 0, 5)])
    log_steps.velocity[:, 30:34] = np.nan
    assert [(stretch.first, stretch.end) for stretch in steady_stretches(log_steps)] == [(2, 28), (36, 58)]


def test_throttle_decides_before_current_whether_the_motor_runs():
    log_steps = flight([STRAIGHT, DOWN])
    assert [stretch.kind for stretch in steady_stretches(log_steps)] == [LEVEL, GLIDE]
    running = log_steps._replace(throttle=np.full(len(log_steps.time), 0.3))
    assert [stretch.kind for stretch in steady_stretches(running)] == [LEVEL]


def test_with_the_wind_known_speeding_up_is_no_turn():
    # acceleration along the track in a dive: as large as in a turn, but not sideways
    count = 12
    log_steps = flight([(count, 10, 0, 0, 5)])
    log_steps = log_steps._replace(velocity=np.stack([10 + 2.0 * np.arange(count), np.zeros(count)]))
    assert [stretch.kind for stretch in steady_stretches(log_steps)] == [TURN]
    assert steady_stretches(log_steps, wind=np.zeros((2, count))) == []
