"""Rods cut from lengths: a published instance, brute force, and a saw cut by hand."""

import math
from collections import Counter

import pytest
from hypothesis import given, seed, settings
from hypothesis import strategies as st

from tradestudy.aircraft.workshop import stock_lengths
from tradestudy.aircraft.workshop.stock_lengths import lengths_to_buy

# A paper machine's rolls of 5600 mm; widths and numbers as in encyclopaedias under "Cutting stock problem",
# with the answer: 308 patterns, 73 rolls, 0.401 % waste
ROLLS = {1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20, 2000: 10, 2050: 12, 2100: 14, 2140: 16,
         2150: 18, 2200: 20}  # fmt: skip


def fewest(pieces, room):
    """Return the fewest lengths that hold all pieces, by trying every way of sharing them out."""
    best = len(pieces)

    def place(index, rooms):
        nonlocal best
        if len(rooms) >= best:
            return
        if index == len(pieces):
            best = len(rooms)
            return
        for at, left in enumerate(rooms):
            if pieces[index] <= left:
                place(index + 1, [*rooms[:at], left - pieces[index], *rooms[at + 1 :]])
        place(index + 1, [*rooms, room - pieces[index]])

    place(0, [])
    return best


def test_published_rolls_need_no_more_than_in_print():
    pieces = [1e-3 * width for width, count in ROLLS.items() for _ in range(count)]
    plan = lengths_to_buy(pieces, 5.6)
    assert len(plan.lengths) == 73 and plan.is_proven
    assert 1 - sum(pieces) / (73 * 5.6) == pytest.approx(0.00401, abs=5e-6)
    assert Counter(round(1e3 * piece) for cut in plan.lengths for piece in cut) == Counter(ROLLS)
    assert max(map(sum, plan.lengths)) < 5.6 + 1e-9
    sizes = sorted((10 * width for width, count in ROLLS.items() for _ in range(count)), reverse=True)
    assert len(stock_lengths._first_fit(sizes, 56000)) > 73  # so the integer program did the work


@seed(20261)
@settings(max_examples=60, deadline=None, database=None)
@given(st.lists(st.integers(90, 1000), min_size=1, max_size=8), st.integers(0, 30))
def test_no_way_of_sharing_out_needs_fewer(pieces, cut):
    plan = lengths_to_buy([1e-3 * piece for piece in pieces], 1.0, 1e-4 * cut)
    assert Counter(round(1e3 * piece) for length in plan.lengths for piece in length) == Counter(pieces)
    assert all(sum(length) + 1e-4 * cut * (len(length) - 1) <= 1.0 + 1e-6 for length in plan.lengths)
    assert len(plan.lengths) == plan.least == fewest([10 * piece + cut for piece in pieces], 10000 + cut)


def test_first_fit_alone_would_waste_a_length():
    """Check by hand: first fit leaves 250 alone, while 450 + 300 + 250 and 350 + 350 + 300 fit."""
    plan = lengths_to_buy([0.45, 0.35, 0.35, 0.3, 0.3, 0.25], 1.0)
    assert len(plan.lengths) == 2 == plan.least
    cuts = sorted(sorted(round(1e3 * piece) for piece in cut) for cut in plan.lengths)
    assert cuts == [[250, 300, 450], [300, 350, 350]]


def test_a_saw_cut_stands_between_two_pieces_only():
    assert len(lengths_to_buy([0.5, 0.499], 1.0, 0.001).lengths) == 1
    assert len(lengths_to_buy([0.5, 0.4992], 1.0, 0.001).lengths) == 2
    assert len(lengths_to_buy([1.0], 1.0, 0.001).lengths) == 1


@pytest.mark.parametrize(
    "pieces, lengths",
    [
        ([1.0], 1),
        ([1.0, 1.0], 2),
        ([2.0], 2),
        ([2.001], 3),
        ([0.5] * 5, 3),
        ([0.6, 0.4, 0.7, 0.3], 2),
        ([], 0),
        ([0.1 + 0.2, 0.7], 1),
    ],
)  # the last is 1.0000000000000002 in floating point
def test_lengths_at_the_edges(pieces, lengths):
    assert len(lengths_to_buy(pieces, 1.0).lengths) == lengths


def test_too_many_ways_leave_first_fit_with_its_bound(monkeypatch):
    """Check that a plan is not said to be proven where the integer program was left out."""
    monkeypatch.setattr(stock_lengths, "_MOST_WAYS", 1)
    plan = lengths_to_buy([0.45, 0.35, 0.35, 0.3, 0.3, 0.25], 1.0)
    assert len(plan.lengths) == 3 and plan.least == 2 and not plan.is_proven


def test_the_bound_counts_pieces_that_cannot_share():
    sizes = [600, 600, 600, 300, 300]
    assert stock_lengths._least(sizes, 1000) == 3 and math.ceil(sum(sizes) / 1000) == 3
    assert stock_lengths._least([600] * 4, 1000) == 4
    assert stock_lengths._least([700, 700, 350, 350], 1000) == 3
