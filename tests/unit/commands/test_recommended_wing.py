"""The recommended wing: the best span to build, or the panels of the stock wing where new ones gain hardly anything."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from tradestudy.commands import recommended_wing as command
from tradestudy.results.trade import SpanBand
from tradestudy.search.search_task import SearchResult


@pytest.fixture
def session(turnstone_space, monkeypatch):
    """Return a session whose best wing goes 100 km at a longer span, and the searches for kept panels."""
    anchor, asked = turnstone_space.anchor, []
    best = SearchResult(anchor.choice, anchor.variables | {"extension": 0.1}, 1e5, 1e5, {}, [], True)
    monkeypatch.setattr(command, "span_trade", lambda *given: [best])
    monkeypatch.setattr(
        command, "flat_band_and_ends", lambda *given: (SpanBand(1300, 1290.0, 1310.0, 1300.0, "the best span"), [])
    )
    monkeypatch.setattr(command, "run_tasks", lambda space, tasks, progress: [best for _ in tasks])
    kept = replace(best, variables=anchor.variables, gain=9.6e4)

    def kept_panels(space, best, least):
        asked.append(least)
        return kept if kept.gain >= least else None

    monkeypatch.setattr(command, "kept_panels", kept_panels)
    record = SimpleNamespace(keep=lambda rows: None)
    return SimpleNamespace(
        space=turnstone_space, anchor=anchor, record=record, ranked=lambda: [best], report_progress=None, asked=asked
    )


def test_panels_that_fly_are_kept_where_new_ones_gain_hardly_anything(session):
    found = command.recommended_search(session)
    assert session.asked == [pytest.approx(0.95e5)]
    assert found.recommended.variables["extension"] == 0.0
    stock_span = 1e3 * session.anchor.data.layout.stock.span
    assert found.band == SpanBand(round(stock_span), 1290.0, 1310.0, 1300.0, "new panels gain less than 5 %")


def test_new_panels_that_gain_enough_are_built(session, monkeypatch):
    monkeypatch.setattr(command, "kept_panels", lambda *given: None)
    found = command.recommended_search(session)
    assert found.recommended.variables["extension"] == 0.1
    assert found.band.reason == "the best span"
