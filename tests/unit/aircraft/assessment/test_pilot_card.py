"""The speed card of a real model: best speeds against a search on the model itself, its numbers, and its size."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.invented.invented_result import sample_result
from helpers.places import GODWIT
from scipy.optimize import minimize_scalar

from tradestudy.aircraft.anchor.calibration import calibrated_wing
from tradestudy.aircraft.assessment.pilot_card import pilot_card
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.speed_sweep import best_speed
from tradestudy.physics.endurance.ground_speed import ground_speed
from tradestudy.report.words.pilot_card import COLUMNS, LINES, card_lines
from tradestudy.study.reader import read_study

STUDY = read_study(GODWIT)


@pytest.fixture(scope="module")
def sweep():
    return calibrated_wing(STUDY).speed_sweep


def design(study, sweep, cruise_speed):
    """Return the same wing and lattice with another study and cruise speed."""
    variables = sweep.variables | {"cruise_speed": cruise_speed}
    return EvaluatedDesign(study, sweep.data, sweep.choice, variables, sweep.wings)


@pytest.fixture(scope="module")
def speeds(sweep):
    return sweep.speed_card


@pytest.fixture(scope="module")
def card(sweep, speeds):
    return pilot_card(design(STUDY, sweep, best_speed(sweep)))


@pytest.fixture(scope="module")
def result():
    """Return an invented Result with the same wing names."""
    return sample_result()


def with_card(study, **changed):
    return replace(study, card=study.card.model_copy(update=changed))


def test_stall_and_top_speed_are_where_margin_and_thrust_end(sweep, speeds):
    """Check stall and top speed at zero margin and zero excess thrust.

    Slopes are some 0.1 in lift and 0.3 N for each m/s, so an error of 1e-4 m/s is less than 1e-4.
    """
    assert sweep.level(speeds.stall_speed).stall_margin.min() == pytest.approx(0, abs=1e-4)
    assert sweep.surplus_thrust(speeds.top_speed)[0] == pytest.approx(0, abs=1e-3)
    half = sweep.top_speed(1.02 * speeds.stall_speed, 0.5)
    assert half < speeds.top_speed and sweep.surplus_thrust(half, 0.5)[0] == pytest.approx(0, abs=1e-3)


def test_best_speeds_are_those_of_the_model_itself(sweep, speeds, card):
    """Compare best speeds of the card, from sixty speeds, with a search that runs the model at every step.

    Required are 0.1 m/s.
    """
    slowest = 1.5 * speeds.stall_speed
    ends = slowest, 2.2 * slowest
    for row in card.legs:
        angle = np.pi if row.direction == "with" else 0.0
        exact = minimize_scalar(
            lambda v, w=row.wind_kmh / 3.6, a=angle: -float(sweep.power_at(v).endurance[0] * ground_speed(v, w, a)),
            bounds=ends,
            method="bounded",
            options={"xatol": 1e-3},
        )
        assert row.speed_kmh / 3.6 == pytest.approx(exact.x, abs=0.1)
        assert row.full_km == pytest.approx(-1e-3 * exact.fun, rel=1e-4)
    longest = minimize_scalar(lambda v: -float(sweep.power_at(v).endurance[0]), bounds=ends, method="bounded")
    assert card.longest_kmh / 3.6 == pytest.approx(longest.x, abs=0.1)
    assert card.speed_kmh == pytest.approx(card.legs[0].speed_kmh, abs=0.36)


def test_its_numbers_agree_with_each_other(card):
    still = card.legs[0]
    for row in card.legs:
        assert row.hold_a / row.ground_kmh * 1e3 == pytest.approx(
            row.mah_per_km, rel=1e-4
        )  # tolerance: digits of the result
        usable = card.capacity_mah - card.reserve_mah
        assert row.full_km * row.mah_per_km == pytest.approx(usable, rel=1e-4)
        assert 0.3 < row.half_km / row.full_km < 3 / 8  # 30 of 80 % of the charge, at the lower voltage
    for row, against in zip(card.turns[1:], card.legs[1::2], strict=True):
        assert row.full_km < 0.5 * still.full_km and row.half_km < 0.5 * still.half_km
        # the way out costs as much as the opposite leg, at the higher voltage of a fresh pack
        assert row.full_mah == pytest.approx(row.full_km * against.mah_per_km, rel=0.06)
        assert card.half_mah < row.half_mah < card.capacity_mah - card.reserve_mah
    volts = [row.full_v for row in card.turns]
    assert card.fresh_v > volts[0] > volts[1] > volts[2] > card.end_v


def test_ends_of_the_band_give_two_per_cent_less(sweep, card):
    """Check that range at the ends of the band is two per cent less. They are read among 2000 speeds.

    So an end may be inside by the change over one step. The low end may be 1.3 times stall.
    """
    best = float(sweep.power_at(card.speed_kmh / 3.6).range[0])
    high = sweep.power_at(card.band_high_kmh / 3.6)
    speeds = sweep.speed_card.speed
    one_on = sweep.power_at(card.band_high_kmh / 3.6 + (speeds[-1] - speeds[0]) / 1999)
    # the curve is a spline through 60 of them, and the end is given in 1e-4 km/h: hence 1e-5
    assert float(one_on.range[0]) / best - 1e-5 < 0.98 < float(high.range[0]) / best + 1e-5
    assert float(high.mean_current[0]) == pytest.approx(card.band_high_a, rel=1e-4)
    low = sweep.power_at(card.band_low_kmh / 3.6)
    assert float(low.range[0]) / best > 0.98 - 1e-4
    assert card.band_low_a < card.hold_a < card.band_high_a


def test_range_over_speed_is_smooth_and_has_one_top(sweep, speeds):
    """Check one change of slope over 200 speeds and noise below 1e-5 km, for the complete model."""
    speed = np.linspace(1.05 * speeds.stall_speed, 0.9 * speeds.top_speed, 200)
    kilometres = sweep.power_at(speed).range / 1e3
    assert (np.diff(np.sign(np.diff(kilometres))) != 0).sum() == 1
    # eighth differences of noise s have a root mean square of s sqrt(12870); those of a smooth curve are far smaller
    noise = np.diff(kilometres, 8) / np.sqrt(12870)
    assert np.sqrt(np.mean(noise**2)) < 1e-5


def test_a_wind_faster_than_the_wing_has_no_numbers(sweep, speeds, result):
    study = with_card(STUDY, winds=(0.0, 60.0))
    card = pilot_card(design(study, sweep, 14.0))
    still, against, behind = card.legs
    assert against.hold_a is None and against.full_km is None and against.direction == "against"
    assert behind.ground_kmh > 200 and still.hold_a > 0
    assert set(vars(card.turns[1]).values()) == {216.0, None}
    lines = card_lines(result, replace(result.stock, pilot_card=card))
    assert [line for line in lines if line.endswith("makes no headway")] == [lines[9], lines[-4]]
    assert not any("nan" in line or "inf" in line or "-" in line.replace("one-way", "") for line in lines)


def test_half_a_pack_of_reserve_leaves_nothing_in_a_half_used_one(sweep, speeds, result):
    held = replace(sweep.data, power=sweep.data.power._replace(reserve=0.55))
    card = pilot_card(EvaluatedDesign(STUDY, held, sweep.choice, sweep.variables | {"cruise_speed": 14.0}))
    assert card.legs[0].half_km is None and card.turns[0].half_mah is None
    assert card.turns[0].full_mah < 0.45 * card.capacity_mah
    lines = card_lines(result, replace(result.stock, pilot_card=card))
    assert lines[8].split() == ["still", *lines[8].split()[1:5]]


@pytest.mark.parametrize("unit", ["km/h", "mph"])
def test_it_fits_a_card_and_leads_with_the_amps(result, card, unit):
    lines = card_lines(result, replace(result.stock, pilot_card=replace(card, unit=unit)))
    assert len(lines) <= LINES and max(map(len, lines)) <= COLUMNS
    assert lines[1].startswith(f"HOLD ABOUT {card.hold_a:.1f} A") and lines[1].endswith(f"{unit} in still air")
    long_name = replace(result, study_name="Long distance wing of the club by the sea, second")
    assert len(card_lines(long_name, replace(result.stock, pilot_card=card))[0]) <= COLUMNS


def test_miles_are_miles(result, card):
    """Check that charge per mile is 1.609344 times that per km, exactly. Both are read as whole numbers."""
    km, miles = (
        card_lines(result, replace(result.stock, pilot_card=replace(card, unit=unit))) for unit in ("km/h", "mph")
    )
    (_, _, ground, each, far, _), (_, amps, slower, more, fewer, _) = (lines[8].split() for lines in (km, miles))
    assert float(slower) == pytest.approx(float(ground) / 1.609344, abs=0.9)
    assert float(more) == pytest.approx(float(each) * 1.609344, abs=1.4)
    assert float(fewer) == pytest.approx(float(far) / 1.609344, abs=0.9)
    assert amps == f"{card.legs[0].hold_a:.1f}"


def test_no_card_where_nothing_can_be_cruised_at(sweep, speeds):
    weak = design(STUDY, sweep, 14.0)
    weak.speed_card = replace(speeds, columns=speeds.columns | {"throttle": np.full(len(speeds.speed), 1.2)})
    assert pilot_card(weak) is None
