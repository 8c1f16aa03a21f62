"""What flips the answer, in words, for invented flips."""

from dataclasses import replace

import pytest
from helpers.invented.invented_result import sample_result

from tradestudy.report.words.limit_prices import flip_phrase, flip_rows, flip_words, nearest_flip, slack_words
from tradestudy.results.trade import Flip, Flips, Price, Prices

FLIP = Flip(
    name="smallest_static_margin",
    kind="bound",
    words="least static margin allowed 8 % instead of 5 %",
    relaxes=False,
    at="7 %",
    step_share_pct=66.0,
    differences=["pack 4S2P"],
    span_mm=1412.4,
    parts="4S2P",
    gain=75.0,
    change=-45.2,
    lost=12.3,
    breaks="",
    in_full=True,
)
NEAR = replace(FLIP, name="climb", words="climb 2.1 m/s instead of 2 m/s", at="2.01 m/s", step_share_pct=10.0)


def with_flips(*rows, **more):
    return replace(sample_result(), flips=Flips(list(rows), 80, 2), **more)


def test_a_row_says_where_it_flips_and_what_follows():
    (row,) = flip_rows(with_flips(FLIP))
    minus = "\N{MINUS SIGN}"
    assert row == (FLIP.words, "7 %", "pack 4S2P and span 1412 mm", f"{minus}45 km", "loses 12 km")


@pytest.mark.parametrize(
    ("change", "cell"),
    [
        ({"breaks": "climb", "lost": None}, "breaks: climb"),
        ({"lost": None}, "cannot be built"),
        ({"lost": 0.01}, "as good"),
    ],
)
def test_the_last_cell_tells_of_todays_wing(change, cell):
    assert flip_rows(with_flips(replace(FLIP, **change)))[0][-1] == cell


def test_the_verdict_comes_first_with_the_costliest_and_the_nearest():
    lines = flip_words(with_flips(FLIP, NEAR))
    assert lines[0] == "80 changes were tried, and 2 of them change the answer."
    assert FLIP.words in lines[1] and "flips at about 7 %" in lines[1] and NEAR.words in lines[2]
    assert nearest_flip(with_flips(FLIP, NEAR)) == NEAR


def test_where_nothing_flips_the_verdict_says_so():
    said = "Nothing within one step changes the answer: 80 changes were tried, each with the likeliest parts."
    assert flip_words(with_flips()) == [said] and flip_phrase(with_flips()) == said.partition(":")[0].lower()


def test_who_did_not_ask_is_told_nothing():
    assert flip_words(sample_result()) == flip_rows(sample_result()) == [] and flip_phrase(sample_result()) == ""


def test_flips_that_were_not_searched_in_full_are_no_rows():
    rest = [replace(NEAR, words=f"change {number}", in_full=False, step_share_pct=None) for number in range(6)]
    result = with_flips(FLIP, *rest)
    assert len(flip_rows(result)) == 1
    (line,) = [line for line in flip_words(result) if "change 0" in line]
    assert "change 3" in line and "change 4" not in line and line.endswith("and 2 more.")


def test_a_price_ends_where_relaxing_its_limit_flips_the_answer():
    prices = Prices([Price("climb", "0.1 m/s less climb", 1.0)], [], 1.0, 0.0)
    relaxed = replace(NEAR, relaxes=True, at="1.95 m/s")
    said = " ".join(slack_words(with_flips(relaxed, prices=prices)))
    assert "holds to about 1.95 m/s" in said and "pack 4S2P" in said
    assert "holds to about" not in " ".join(slack_words(with_flips(NEAR, prices=prices)))  # tightened: no price of it
