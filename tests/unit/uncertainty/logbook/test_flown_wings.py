"""Flights of stock and built wings in one fit: hidden wings, contradictions, and what another build has of its own."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.invented.hidden_flights import season

from tradestudy.study.logbook.flights import Flight
from tradestudy.uncertainty.fit.least_squares import slopes_of
from tradestudy.uncertainty.fit.mixed_flight import HABITS, WingFactors
from tradestudy.uncertainty.logbook.flown_wings import FlownWings, WingDesign, factor_bands

MAH, MIN = 3.6, 60.0
STOCK_FACTORS = WingFactors()


def flight(minutes=34.0, used=5100.0, **values):
    return Flight(
        id="", date=None, pack="", **({"wing": "stock", "time": minutes * MIN, "charge": used * MAH} | values)
    )


@pytest.fixture(scope="module")
def wings(godwit_study, godwit_anchor):
    longer = dict(godwit_anchor.variables, extension=0.1)
    choice = godwit_anchor.choice
    return FlownWings(
        godwit_study,
        {
            "long": WingDesign(choice, longer),
            "heavy": WingDesign(choice, godwit_anchor.variables, 1.1 * godwit_study.stock.flying_weight),
            "same": WingDesign(choice, godwit_anchor.variables),
            "geared": WingDesign(replace(choice, propeller="11x7"), longer),
        },
    )


def width(wings, flights):
    band = wings.range_band(wings.fit(flights), wings.stock, STOCK_FACTORS)
    return np.log(band.high / band.low)


@pytest.mark.thorough
def test_bands_of_hidden_wings_shrink_and_hold_the_truth(wings):
    """The bench tests/bench/truth/logbook.py measures this with 400 wings; six show a gross mistake."""
    seasons = [season(wings, seed, stages=(1, 4)) for seed in range(6)]
    widths = [
        np.median([(one[count].high - one[count].low) / one[count].middle for one in seasons]) for count in (0, 1, 4)
    ]
    assert widths[0] > widths[1] > widths[2] > 0.5 * widths[0]
    assert sum(one[count].holds for one in seasons for count in (0, 1, 4)) >= 10  # 18 times 0.8, less two deviations
    assert sum(one[4].set_aside for one in seasons) <= 1


def test_slopes_by_complex_step_are_those_of_differences(wings):
    by_share, far = flight(charge=None, used_share=0.4), flight(distance=31e3, wind=3.0, full_throttle=0.1)
    flights = [flight(full_throttle=1 / 3), flight(), far, by_share]
    groups = wings.flights_of("geared", flights).groups()
    assert [len(group.measured) for group in groups] == [4, 1]
    for group in groups:
        names = tuple(dict.fromkeys([*group.uses, *group.own_priors]))
        logs = 0.05 * np.cos(np.arange(len(names)))
        by_differences = slopes_of(replace(group, is_complex_safe=False), names, logs)
        assert slopes_of(group, names, logs) == pytest.approx(by_differences, abs=2e-4)


def test_a_built_wing_that_is_the_stock_wing_flies_alike(wings):
    noted = [flight(full_throttle=0.2), flight(distance=30e3)]
    ones = {}
    stock, same, heavy = (wings.flights_of(name, noted).charges(ones) for name in ("stock", "same", "heavy"))
    assert same == pytest.approx(stock, rel=1e-6)
    assert (heavy > 1.01 * stock).all()


def test_a_heavy_wing_has_more_drag_due_to_lift(wings):
    speed = np.array([16.0])
    same, heavy = (wings.wing(name)[0].air(speed) for name in ("same", "heavy"))
    assert heavy.induced / same.induced == pytest.approx(1.1**2, rel=0.03)  # lift at 1.1, untwisted part alone
    # at equal speed, and the elevon that trims it hardly changes


def test_another_build_shares_most_of_its_drag_and_other_parts_share_nothing(wings):
    few = [flight(full_throttle=0.0, used=4300, distance=31e3, wind=2.0)] * 6
    before, after = wings.fit([]), wings.fit(few)
    stock, long, geared = (
        [factor_bands(fit, wings.wing(name)[1]) for fit in (before, after)] for name in ("stock", "long", "geared")
    )
    spreads = [[np.log(one["drag"].high / one["drag"].low) for one in each] for each in (stock, long)]
    assert spreads[0][0] == pytest.approx(spreads[1][0])  # before any flight each build is in doubt alike
    assert spreads[0][1] < spreads[1][1] < spreads[1][0]
    assert stock[1]["drag"].middle > long[1]["drag"].middle > 1
    assert "propeller_power of geared" not in after.names
    assert np.log(geared[1]["drive_power"].middle) < np.log(stock[1]["drive_power"].middle)


def test_habits_keep_many_flights_from_ending_all_doubt(wings):
    few, many = ([flight(full_throttle=0.2)] * count for count in (4, 60))
    assert width(wings, few) > width(wings, many) > 0.6 * width(wings, few)
    assert set(HABITS) <= set(wings.fit(many).names)


def test_a_contradicting_flight_is_set_aside_and_changes_nothing(wings):
    true = [flight(full_throttle=0.2, used=4200), flight(full_throttle=0.1, used=3600)]
    wrong = flight(full_throttle=0.3, used=600)
    impossible = flight(used=84_000)
    kept, aside = wings.believed([true[0], wrong, true[1], impossible])
    assert kept == true and {id(one) for one, _ in aside} == {id(wrong), id(impossible)}
    reasons = " ".join(why for _, why in aside)
    assert "84000 mAh were used, but the pack holds 10000 mAh." in reasons and "hard to believe: 600 mAh" in reasons


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"distance": 330e3}, "Distance over time is 582 km/h, but the wing reaches 112 km/h."),
        ({"distance": 5e3}, "Distance over time is 9 km/h, but the wing stalls at"),
        ({"distance": 31e3}, ""),
        ({"used": 10_700}, ""),  # a charger reads high, and cells hold more than their label
    ],
)
def test_what_no_wing_can_have_flown(wings, values, words):
    assert words in " ".join(wings.impossible(flight(**values))) and bool(words) == bool(
        wings.impossible(flight(**values))
    )


def test_a_flight_is_as_likely_as_a_normal_deviate(wings):
    fit = wings.fit([])
    (one,) = wings.expected(fit, flight(full_throttle=0.2))
    at = [one._replace(measured=one.middle * np.exp(off * one.spread)) for off in (0.0, 1.0, -1.2815516, 1.959964)]
    # tail areas of the normal distribution, Abramowitz and Stegun, table 26.1 (from memory: 0.3173, 0.20, 0.05)
    assert [each.share_as_far for each in at] == pytest.approx([1.0, 0.3173, 0.2, 0.05], abs=1e-4)
    assert one.ends[0] == pytest.approx(at[2].measured)
