"""A search is told by the values to expect, unless it found nothing, is robust, or has its draws already."""

from dataclasses import replace

import pytest
from invented_result import sample_result

from tradestudy.commands import assess


@pytest.fixture
def plain(monkeypatch):
    """Return a result without draws. Draws and the values to expect leave a mark in its note."""
    monkeypatch.setattr(assess, "with_input_effects", lambda session, result: replace(result, note="drawn"))
    monkeypatch.setattr(assess, "to_expect", lambda session, result: replace(result, note=f"{result.note}, expected"))
    return replace(sample_result(), spread=None, robust=None, conflict=[], note="")


def test_a_search_is_drawn_and_told_as_expected(plain):
    assert assess.drawn_result(None, plain).note == "drawn, expected"


@pytest.mark.parametrize("name", ["spread", "robust", "conflict"])
def test_others_stay_as_they_are(plain, name):
    given = replace(plain, **{name: ["stall speed"] if name == "conflict" else object()})
    assert assess.drawn_result(None, given) is given
