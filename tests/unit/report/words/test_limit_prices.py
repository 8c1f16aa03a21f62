"""What each rule costs, in words, for invented costs."""

from dataclasses import replace

import pytest
from helpers.invented.invented_result import sample_result

from tradestudy.report.words.limit_prices import deciding_words, rule_rows, rule_words
from tradestudy.results.design import LimitState
from tradestudy.results.trade import RuleCost

STALL = LimitState("slowest_flight", "stall speed against stock", 38, 38, "km/h", 0, True, True, "at most", "", "you")
BREAKS = LimitState("failure_load_factor", "strength", 6, 6, "", 0, True, True, "at least", "", "your stock wing")
PULL_UP = LimitState("strength_pull_up", "strength", 0.6, 0.6, "", 0, True, True, "at most", "", "practice")


def with_costs(*costs, longer=0.0):
    """Return an invented result whose best wing is ``longer`` [mm] than the stock wing, with these costs."""
    result = sample_result()
    best = replace(
        result.best,
        limits=[STALL, BREAKS, PULL_UP],
        numbers=replace(result.best.numbers, span_mm=result.stock.numbers.span_mm + longer),
    )
    return replace(result, best=best, recommended=best, rule_costs=list(costs))


def cost(limit="slowest_flight", gain=12.0, more_span=140.0, moved_to="", longer=0.0, words=None):
    result = sample_result()
    span = result.stock.numbers.span_mm + longer + more_span
    limits = [limit] if isinstance(limit, str) else limit
    return RuleCost(limits, moved_to, gain, span, 1500.0, words or result.best.choices.words)


@pytest.mark.parametrize(
    ("one", "row"),
    [
        (cost(), ("stall speed against stock", "you", "+140 mm span, +12 km")),
        (cost(more_span=-40), ("stall speed against stock", "you", "\N{MINUS SIGN}40 mm span, +12 km")),
        (cost(more_span=1, words="4S4P"), ("stall speed against stock", "you", "+12 km, with 4S4P")),
        (cost(gain=0.01), ("stall speed against stock", "you", "no gain")),
        (
            cost(["strength_pull_up", "failure_load_factor"], 3.21, 0),
            ("strength", "your stock wing and practice", "+3.2 km"),
        ),
        (
            cost("smallest_static_margin", moved_to="4 %"),
            ("least static margin allowed", "you", "at 4 % instead +140 mm span, +12 km"),
        ),
    ],
)
def test_a_row(one, row):
    assert rule_rows(with_costs(one)) == [row]


def test_a_bound_that_nobody_wrote_is_not_said_to_be_the_builders():
    one = replace(cost("smallest_static_margin", moved_to="4 %"), whose="your stock wing")
    assert rule_rows(with_costs(one))[0][1] == "your stock wing"


def test_rules_that_cost_nothing_are_not_listed_in_the_phrase():
    assert rule_words(with_costs(cost(gain=0.0), cost("smallest_static_margin", moved_to="4 %"))) == (
        "least static margin allowed (from you): at 4 % instead +140 mm span, +12 km"
    )
    assert rule_words(with_costs(cost(gain=0.0))) == "dropping any one of them gains nothing"
    assert rule_words(with_costs()) == ""


def test_the_rule_that_keeps_the_span_short_is_named():
    found = deciding_words(with_costs(cost(gain=9.0, more_span=100), cost("smallest_static_margin", 20.0)))
    assert found == [
        "One rule keeps the span short: least static margin allowed (from you). Without it: +140 mm span, +20 km."
    ]


def test_without_such_a_rule_the_span_is_left_alone():
    words = "No rule keeps the span short: more span gains hardly anything here, so leave it."
    assert deciding_words(with_costs(cost(gain=0.5))) == [words]
    # one that lets other parts in at the same span is named all the same
    assert deciding_words(with_costs(cost(gain=12, more_span=7, words="4S4P"))) == [
        words,
        "One rule keeps the range short: stall speed against stock (from you). Without it: +7 mm span, +12 km, with "
        "4S4P.",
    ]


def test_what_takes_the_room_is_named():
    result = with_costs(cost("pack_aft"))
    back = LimitState("pack_aft", "pack", 1, 1, "mm", 0, True, True, "at most", "the hinge", "the room there is")
    told = replace(result, best=replace(result.best, limits=[back]))
    assert rule_rows(told)[0][1] == "the room there is: the hinge"


def test_a_wing_that_is_stretched_needs_no_such_sentence():
    assert deciding_words(with_costs(cost(longer=300), longer=300)) == []
    assert deciding_words(with_costs()) == []
