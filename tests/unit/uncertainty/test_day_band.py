"""The band of a day: that of the draws, narrowed by flights and widened by pack and cold."""

import pytest
from helpers.invented.invented_draws import LOW, OVER, invented_draws

from tradestudy.uncertainty.day_band import FlownRange, day_band, flown_range
from tradestudy.uncertainty.fit.next_measurement import RangeBand


def test_without_flights_and_doubt_it_is_that_of_the_draws():
    band = day_band(invented_draws())
    assert band.turns == pytest.approx(LOW * OVER, rel=1e-4) and band.over["range_km"] == pytest.approx(OVER)
    assert band.current == pytest.approx(LOW / OVER, rel=1e-4)


def test_flights_narrow_and_doubt_widens():
    usual = day_band(invented_draws())
    flown = day_band(invented_draws(), FlownRange(before=0.16, after=0.06))
    assert LOW * OVER < flown.turns < flown.over["radius_by_charge_km"] and OVER < flown.over["range_km"] < 1
    assert day_band(invented_draws(), FlownRange(0.16, 0.16)).turns == pytest.approx(usual.turns, rel=1e-6)
    # more than the fit has factors for stays: a perfect fit leaves the rest of the draws
    perfect = day_band(invented_draws(), FlownRange(before=0.10, after=0.0))
    assert perfect.turns < perfect.over["radius_by_charge_km"] * 0.9
    # a fit cannot widen what was drawn
    assert day_band(invented_draws(), FlownRange(0.1, 0.3)).turns == pytest.approx(usual.turns, rel=1e-6)
    assert day_band(invented_draws(), doubt=0.1).turns < usual.turns


def test_range_after_flights():
    prior = RangeBand(80e3, 100e3, 125e3)
    unflown = OVER * 1e5
    # without a flight: what the study tells, whatever the factors of the fit say alone
    for said in (0.9 * unflown, unflown):
        told = flown_range(invented_draws(), said, prior, prior)
        assert told == pytest.approx((LOW * said, said, said / LOW))
    flown = RangeBand(85.5e3, 90e3, 90e3 * 90 / 85.5)
    told = flown_range(invented_draws(), unflown, prior, flown)
    # the shift of the middle and the variance go with what the flights leave of that of the factors
    assert 0.93 * 90e3 < told.middle < 90e3 and 0.8 < told.low / told.middle < 0.96
    assert told.middle / told.low == pytest.approx(told.high / told.middle)
    # draws wider than the factors: their rest stays, whatever flights say
    narrow = RangeBand(90e3, 100e3, 1e10 / 90e3)
    perfect = flown_range(invented_draws(), unflown, narrow, RangeBand(100e3, 100e3, 100e3))
    assert perfect.middle == pytest.approx(100e3) and perfect.low < 0.85 * perfect.middle
