"""The recommended wing where no run left one: it is searched once, kept, and taken from the record from then on."""

from functools import partial

import pytest
from helpers.wings import greenshank

from tradestudy.commands import recommended_wing
from tradestudy.commands.study_session import StudySession
from tradestudy.search.branch_and_bound import Ranking
from tradestudy.search.span_trade import span_trade
from tradestudy.study.reader import read_study

# one set of parts, and no more variables than a study of a few lines has
FEWER = (('sweep = ["16 deg", "28 deg"]\n', ""), ('washout = ["1.5 deg", "4 deg"]\n', ""))


@pytest.fixture()
def session(tmp_path, monkeypatch):
    """Return a function that opens a session on the same small wing and record."""
    monkeypatch.chdir(tmp_path)  # no results folder of another test is found
    study = read_study(greenshank.written(tmp_path, *FEWER))
    monkeypatch.setattr(recommended_wing, "span_trade", partial(span_trade, points=3))
    return lambda: StudySession(study, "test", record=tmp_path / "record.sqlite")


@pytest.mark.thorough
def test_it_is_searched_on_the_spot_and_kept(session, monkeypatch, tmp_path):
    first = session()
    found = recommended_wing.recommended_wing(first)
    best = first.ranked()[0]
    first.close()
    assert found.words == "the one that tradestudy run recommends, found now"
    assert found.result.feasible and found.result.choice == best.choice
    assert (1 - recommended_wing.FLAT_SHARE) * best.gain <= found.result.gain <= best.gain * (1 + 1e-6)
    stock = first.anchor.data.layout.stock.span
    span = stock + 2 * found.result.variables["extension"]
    assert span == pytest.approx(round(span, 2), abs=1e-6) and span >= stock  # a whole centimetre

    def searched(*asked):
        raise AssertionError("the wing is kept: nothing is searched")

    monkeypatch.setattr(Ranking, "complete", searched)
    again = session()
    kept = recommended_wing.recommended_wing(again)
    again.close()
    assert kept.result.variables == found.result.variables and kept.result.choice == found.result.choice
    assert kept.words == f"the one that tradestudy run recommends, kept in {tmp_path}"
