"""Why a requested wing is not the recommended one: the limits it breaks, the range it lacks, and what costs that."""

from dataclasses import replace

import pytest
from helpers.invented.invented_result import sample_result
from helpers.invented.invented_wing import design

from tradestudy.report.words.gains import why_not_words
from tradestudy.results.design import LimitState

STALL = LimitState("slowest_flight", "stall speed", 41.2, 38.0, "km/h", -0.18, False, False, "at most")


def wing(range_km, *, weight=1500.0, energy=150.0, glide=12.0, broken=()):
    made = design("stretched", 1400.0, weight, range_km, 2, ())
    made.limits[:] = list(broken)
    drag = replace(made.drag_breakdown, lift_to_drag=glide)
    return replace(made, drag_breakdown=drag, numbers=replace(made.numbers, pack_energy_wh=energy))


def why_not(asked, other):
    return why_not_words(replace(sample_result(), best=asked, instead=other))


def test_the_recommended_wing_itself_needs_no_words():
    assert why_not_words(sample_result()) == []


def test_a_broken_limit_comes_first():
    words = why_not(wing(90.0, broken=[STALL]), wing(80.0))
    assert words[0] == "Not the recommended wing: it breaks the limit on stall speed (41.2 km/h, at most 38.0)."
    assert words[1].startswith("The recommended wing, 80 km at 1400 mm span with ") and len(words) == 2


@pytest.mark.parametrize(
    ("changes", "cause"),
    [
        ({"energy": 120.0}, "less energy in its pack"),
        ({"weight": 1875.0}, "more weight"),
        ({"glide": 9.6}, "more drag for its lift"),
        ({}, "a drive that wastes more, or more power for the equipment"),
    ],
)
def test_what_costs_it_most(changes, cause):
    """Check wings that fly 64 instead of 80 km, for one reason each: every change is a factor of 0.8."""
    words = why_not(wing(64.0, **changes), wing(80.0))
    assert words[0].startswith("It is 16 km behind the recommended wing: 80 km at 1400 mm span with ")
    assert words[1:] == [f"What costs it most: {cause}."]
