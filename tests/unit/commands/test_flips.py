"""The command that finds flips: its rows, and the list that it keeps for a later run."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from helpers.invented.invented_result import sample_result
from helpers.wings.turnstone import answer_of

from tradestudy.aircraft.model.choices import Choice
from tradestudy.commands import flips as command
from tradestudy.commands.kept_results import kept_flips
from tradestudy.commands.study_session import StudySession
from tradestudy.search.engines.record import Record
from tradestudy.uncertainty.flips.changed_answer import ChangedAnswer
from tradestudy.uncertainty.flips.changes import ShiftedLimit
from tradestudy.uncertainty.flips.find_flips import FlipSearch, FoundFlip

TODAY, RIVAL = Choice(3, 2, 2e-3, 2, "8x6"), Choice(3, 2, 3e-3, 1, "8x5")


class Ready(StudySession):
    """A session that has searched already."""

    def __init__(self, space, best):
        self.space, self.best, self.report_progress = space, best, print
        self.record = Record(None, "invented")

    def ranked(self):
        return [self.best]


@pytest.fixture()
def session(turnstone_space, monkeypatch):
    """Return a session in which a climb of 5 % more takes 4 km, and today's wing then misses the climb."""
    at = {"extension": 0.1}
    best, winner = answer_of(turnstone_space, TODAY, at, 48e3), answer_of(turnstone_space, RIVAL, at, 44e3)
    missed = {name: margin + (-0.2 if name == "climb" else 0.1) for name, margin in best.margins.items()}
    built = replace(best, margins=missed, feasible=False)
    limit = next(limit for limit in turnstone_space.limits(TODAY) if limit.name == "climb")
    answer = ChangedAnswer(None, winner, ["8x5 propeller"], built, 0.5, True)
    found = FlipSearch([FoundFlip(ShiftedLimit(limit, 0.026), answer)], 7, 1)
    monkeypatch.setattr(command, "best_at_medians", lambda session: sample_result(conflict=[]))
    monkeypatch.setattr(command, "drawn_result", lambda session, result: result)
    monkeypatch.setattr(command, "span_trade", lambda *given: [])
    monkeypatch.setattr(command, "flat_band", lambda *given: SimpleNamespace(low_mm=1100.0, high_mm=1200.0))
    monkeypatch.setattr(command, "find_flips", lambda space, ranked, flat, progress: found if flat[1] == 1.2 else None)
    return Ready(turnstone_space, best)


def test_a_flip_in_the_units_of_a_reader(session):
    found = command.flips(session).flips
    (row,) = found.rows
    assert (found.examined, found.impossible) == (7, 1)
    assert (row.name, row.at, row.step_share_pct, row.relaxes) == ("climb", "2.67 m/s", 50.0, False)
    assert (row.gain, row.change, row.lost) == (44.0, -4.0, None)
    assert row.breaks == "climb at full throttle" and row.span_mm == pytest.approx(1180.0)


def test_a_later_run_finds_them_in_the_record(session):
    assert kept_flips(session.record) is None
    found = command.flips(session).flips
    assert kept_flips(session.record) == found
