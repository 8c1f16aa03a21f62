"""A search is told by the values to expect, unless it found nothing, is robust, or has its draws already."""

from contextlib import nullcontext
from dataclasses import replace
from types import SimpleNamespace

import pytest
from helpers.invented.invented_draws import OVER, invented_draws
from helpers.invented.invented_result import sample_result

import tradestudy as ts
from tradestudy.cli import session as command_line
from tradestudy.cli.options import Search
from tradestudy.cli.study_request import StudyRequest
from tradestudy.commands import assess, flips, optimise, trade
from tradestudy.commands.study_session import StudySession
from tradestudy.results.trade import Flip, Flips
from tradestudy.uncertainty.expected import expected_result


@pytest.fixture
def plain(monkeypatch):
    """Return a result without draws. Draws and the values to expect leave a mark in its note."""
    monkeypatch.setattr(assess, "with_input_effects", lambda session, result: replace(result, note="drawn"))
    monkeypatch.setattr(assess, "to_expect", lambda session, result: replace(result, note=f"{result.note}, expected"))
    return replace(sample_result(), spread=None, robust=None, conflict=[], note="")


def test_a_search_is_drawn_and_told_as_expected(plain):
    assert assess.drawn_result(None, plain).note == "drawn, expected"


def test_a_search_is_told_by_the_draws_of_the_recommended_wing(plain, monkeypatch):
    """Check that a search that compared no spans still has the wing of `assess`, and is drawn with it."""
    drawn, wings = [], {"one to build": plain.stock}
    monkeypatch.setattr(
        assess, "with_input_effects", lambda session, result: drawn.append(result.recommended) or result
    )
    monkeypatch.setattr(assess, "recommended_wing", lambda session: SimpleNamespace(result="one to build"))
    session = SimpleNamespace(design=lambda result, label: replace(wings[result], label=label))
    found = assess.drawn_result(session, replace(plain, recommended=None))
    assert drawn == [found.recommended] == [replace(plain.stock, label="recommended")]
    assert found.best is plain.best


@pytest.mark.parametrize("name", ["spread", "robust", "conflict"])
def test_others_stay_as_they_are(plain, name):
    given = replace(plain, **{name: ["stall speed"] if name == "conflict" else object()})
    assert assess.drawn_result(None, given) is given


@pytest.mark.parametrize("name", ["optimise", "stretch", "front", "flips"])
def test_python_tells_the_number_of_the_command_line(name, monkeypatch, godwit_study):
    """Check that a search is told by its draws, once, and that the command line hands on what Python returns."""
    at_medians = replace(sample_result(), spread=None, robust=None, conflict=[])
    monkeypatch.setattr(
        assess, "with_input_effects", lambda session, result: replace(result, spread=invented_draws(over=OVER))
    )
    monkeypatch.setattr(assess, "to_expect", lambda session, result: expected_result(result))
    for module in (optimise, trade, flips):
        monkeypatch.setattr(module, "best_at_medians", lambda session, **named: at_medians)
    monkeypatch.setattr(trade, "span_trade_at_medians", lambda session: at_medians)
    monkeypatch.setattr(trade, "_with_front", lambda session, result, *more: result)
    monkeypatch.setattr(flips, "_searched_flips", lambda session: Flips([], 1, 0))
    session = StudySession(godwit_study, "test")
    found = getattr(ts, name)(session)
    assert found.recommended.numbers.range_km == pytest.approx(OVER * at_medians.recommended.numbers.range_km)
    monkeypatch.setattr(command_line, "open_session", lambda *given, **more: nullcontext(session))
    asked = name, StudyRequest(godwit_study.path), Search(None, None, None, None)
    assert command_line.compute_search(*asked, getattr(ts, name)) == found


def test_flips_are_told_from_the_number_to_expect():
    """Check that the gain after a flip follows the headline, so that both differ by what is told."""
    rows = [flip_of(gain=40.0, change=-5.0, lost=2.0)]
    told = expected_result(replace(sample_result(), spread=invented_draws(), flips=Flips(rows, 9, 0))).flips.rows[0]
    assert (told.gain, told.change, told.lost) == pytest.approx((40 * OVER, -5 * OVER, 2 * OVER))


def flip_of(**numbers):
    words = {"at": "", "step_share_pct": None, "differences": [], "span_mm": None, "parts": "", "breaks": ""}
    return Flip(name="climb", kind="limit", words="", relaxes=False, in_full=True, **words, **numbers)
