"""The table of a front: wings that are hardly better are left out, and a front that is one wing says so."""

from dataclasses import replace

import pytest
from helpers.invented.invented_result import sample_result
from helpers.invented.invented_wing import design

from tradestudy.report.decision_words import decision
from tradestudy.report.words.gains import distinct_wings, front_words
from tradestudy.report.words.limit_prices import robust_heads, robust_rows, robust_words, sure_rows
from tradestudy.results.trade import LimitConfidence, RobustComparison, SureWing


def along(*ranges, parallel=2, label="front"):
    """Return wings of rising weight with these ranges [km]."""
    return [
        replace(design("front", 1400.0, 1200.0 + 40.0 * place, each, parallel, ()), label=label)
        for place, each in enumerate(ranges)
    ]


def ranges(wings):
    return [wing.numbers.range_km for wing in wings]


def test_wings_that_are_hardly_better_are_left_out():
    flat = sample_result(front=along(50.0, 60.0, 80.0, 80.1, 80.15, 80.2, 80.25))
    shown = distinct_wings(flat)
    assert ranges(shown) == [50.0, 60.0, 80.0, 80.25]
    (words,) = front_words(flat, shown)
    assert words.startswith("The table leaves out 3 wings of the same parts and within 1 % of the range")


def test_both_ends_the_knee_and_other_parts_stay():
    line = along(80.0, 80.1, 80.2, 80.3)
    line[1] = replace(line[1], label="knee")
    assert ranges(distinct_wings(sample_result(front=line))) == [80.0, 80.1, 80.3]
    other = [*along(80.0, 80.1), *along(80.2, 80.3, parallel=3)]
    assert ranges(distinct_wings(sample_result(front=other))) == [80.0, 80.2, 80.3]
    steep = sample_result(front=along(50.0, 60.0, 70.0))
    assert ranges(distinct_wings(steep)) == [50.0, 60.0, 70.0] and front_words(steep, steep.front) == []


def test_a_front_of_one_wing_says_so():
    one = sample_result(front=along(80.0))
    assert front_words(one, distinct_wings(one)) == [
        "One wing is best in both: flying weight 1200 g and range 80.0 km. There is nothing to trade."
    ]


def asked(chance, reached, share):
    """Return a result of a robust search that found no other wing than the best one."""
    wing = LimitConfidence("4S2P", 1571.0, 1517.0, 81.3, 70.1, "climb", "climb at full throttle", share, {})
    return sample_result(robust=RobustComparison(chance, 4, reached, wing, wing))


@pytest.mark.parametrize("chance", [80.0, 95.0])
def test_the_chance_is_the_one_that_was_asked_for(chance):
    told = [*sum(robust_rows(asked(chance, True, 99.0)), ()), *robust_words(asked(chance, True, 99.0))]
    assert any(f"{chance:g} of 100 draws reach" in each for each in told)
    assert not any("nine of ten" in each or "90 of 100" in each for each in told)


def test_what_sureness_costs_is_told_where_there_is_a_choice():
    wings = [SureWing("4S4P", 1457.0, 172.1, 2.6), SureWing("4S2P", 1440.0, 104.6, 65.2)]
    known = asked(70.0, False, 51.0)
    told = replace(known, robust=replace(known.robust, trade=wings))
    assert sure_rows(told) == [("4S4P", "1457", "172", "3"), ("4S2P", "1440", "105", "65")]
    assert sure_rows(known) == sure_rows(sample_result()) == []
    lead = decision(told).lines[:2]
    assert lead == [
        "No wing was found that meets every limit in 70 of 100 draws.",
        "The surest one found meets them in 0.",
    ]
    assert "need not be the wing that tradestudy run recommends" in decision(told).lines[2]


def test_a_wing_that_is_not_sure_is_not_called_so():
    missed = asked(90.0, False, 51.0)
    assert robust_heads(missed) == ["", "best as assumed", "most robust found"]
    words, _ = robust_words(missed)
    assert words.startswith("No wing that was found meets every limit at once in 90 of 100") and "in 51." in words
    assert "which is the best one as assumed" in words
    assert robust_heads(asked(90.0, True, 95.0))[2] == "robust wing"
