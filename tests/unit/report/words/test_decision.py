"""The decision tells the gain as a difference of the two numbers that stand beside it."""

from dataclasses import replace

import pytest
from helpers.invented.invented_result import sample_result

from tradestudy.quantities.printed import printed, printed_in
from tradestudy.report.decision_words import decision


def with_ranges(stock_km, wing_km):
    sample = sample_result()
    ranges = (stock_km, wing_km)
    wings = (sample.stock, sample.recommended)
    stock, wing = (
        replace(each, numbers=replace(each.numbers, range_km=km)) for each, km in zip(wings, ranges, strict=True)
    )
    return decision(replace(sample, stock=stock, recommended=wing)).lines


@pytest.mark.parametrize(
    ("stock_km", "wing_km", "told"),
    [
        # the reader subtracts what is printed: 73, though 73.8 km more would be told as 74
        (99.6, 239.8, "That is 140 km more than the stock wing, which flies 100 km."),
        (98.6, 172.4, "That is 73 km more than the stock wing, which flies 99 km."),
        (172.4, 98.6, "The stock wing flies 172 km."),
        (None, 98.6, "The stock wing flies – km."),
    ],
)
def test_gain_is_the_difference_of_the_numbers_printed(stock_km, wing_km, told):
    assert told in with_ranges(stock_km, wing_km)


def test_gain_is_told_in_miles_too():
    with printed_in("imperial"):
        told = printed(with_ranges(98.6, 172.4))
    # 98.6, 172.4 and 73.8 km in miles of 1.609344 km
    assert "That is 46 miles more than the stock wing, which flies 61 miles." in told


def test_a_distance_says_that_it_is_of_energy_alone():
    assert "Energy only: the radio link and the law end most flights earlier." in with_ranges(98.6, 172.4)
