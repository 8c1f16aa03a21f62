"""What the job processes do, done here: results equal those of the commands, and go into the same record."""

import json
from types import SimpleNamespace

import pytest
from helpers.wings import dotterel
from helpers.wings.half_way import half_way

from tradestudy.commands import assess
from tradestudy.commands.kept_results import RECORD, results_folder
from tradestudy.commands.look.looks import after_release, look
from tradestudy.commands.look.work import Work
from tradestudy.commands.optimise import best_at_medians
from tradestudy.commands.study_session import StudySession
from tradestudy.errors import LimitsViolated
from tradestudy.page_server.jobs import sessions, tasks
from tradestudy.page_server.jobs.job_process import JobStopped
from tradestudy.results.result import result_from_json
from tradestudy.search.engines.progress import no_progress
from tradestudy.study.reader import read_study

WING = {"choice": {}, "variables": {"span_mm": 1350.0}}


class Report:
    """A callback for progress that keeps its sentences, and raises JobStopped at the given one."""

    def __init__(self, stop_at=None):
        self.sentences, self.stop_at = [], stop_at

    def __call__(self, words):
        self.sentences.append(words)
        if self.stop_at and self.stop_at in words:
            raise JobStopped

    def warn(self, words):
        self.sentences.append(words)


@pytest.fixture()
def study(tmp_path, monkeypatch):
    """Return the Dotterel, in a folder of its own for the results."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(tasks, "recommended_wing", half_way)
    monkeypatch.setattr(assess, "recommended_wing", half_way)
    monkeypatch.setattr(tasks, "remembered_effects", lambda *given: None)
    yield read_study(dotterel.written(tmp_path))
    sessions.close_session()


@pytest.mark.thorough
def test_a_search_finds_what_its_command_finds_and_shares_its_record(study):
    found = tasks.search_job(no_progress, study, "best")
    record = results_folder(study) / RECORD
    again = StudySession(study, "tradestudy optimise dotterel.toml", no_progress, record, workers=1)
    try:
        result = assess.with_recommended(again, best_at_medians(again))
        assert again.record.reused > 0
        first, second = found.wings[:2]  # the recommended wing comes first
        assert (first.label, second.label) == ("recommended", "best")
        assert result.best.choices == second.look.choices
        assert result.best.variables == second.look.variables
        assert result.best.numbers.range_km == pytest.approx(second.look.numbers.range_km, rel=1e-6)
        assert found.sentence == result.message
    finally:
        again.close()


def test_a_search_that_is_stopped_gives_the_best_so_far_and_keeps_it(study):
    found = tasks.search_job(Report("looking at the best design in full"), study, "best")
    assert found.stopped and len(found.wings) == 1
    whole = tasks.search_job(no_progress, study, "best")  # from the record
    assert whole.wings[1].look.numbers == found.wings[0].look.numbers
    assert not whole.stopped and len(whole.wings) >= 1


def test_what_follows_a_look_takes_the_draws_of_the_page(study):
    after = tasks.after_job(no_progress, study, WING, False, None)
    assert after == after_release(Work(study), WING)
    draws = SimpleNamespace()
    work = sessions.work_of(study)
    with pytest.raises(AttributeError):  # draws of the page are used, and these hold nothing
        tasks.after_job(no_progress, study, WING, False, draws)
    assert work.draws is draws
    assert sessions.work_of(study) is work


@pytest.mark.thorough
def test_the_sheet_of_the_wing_on_the_page_holds_its_numbers(study, monkeypatch):
    monkeypatch.setattr(
        tasks, "save_bench_files", lambda result, folder, paper, **more: written.append((result, folder)) or []
    )
    written = []
    assert tasks.sheet_job(no_progress, study, WING, "letter", False)["words"]
    (result, folder), seen = written[0], look(Work(study), WING)
    assert folder == results_folder(study) / "wing_1350_mm"
    assert result.best.numbers.range_km == pytest.approx(seen.numbers.range_km)
    assert result.best.numbers.auw_g == pytest.approx(seen.numbers.auw_g)
    assert result.shopping and result.which_wing == "The stretched wing is the one on the page."
    assert result_from_json(result.to_json()) == result


def test_a_wing_that_breaks_a_limit_gets_no_sheet_unless_asked(study):
    broken = {"choice": {}, "variables": {"span_mm": 1280.0, "cruise_speed_kmh": 200.0}}
    with pytest.raises(LimitsViolated):
        tasks.sheet_job(no_progress, study, broken, "a4", False)
    assert not results_folder(study).exists() or not list(results_folder(study).glob("wing_*"))


@pytest.mark.thorough
def test_a_flight_is_noted_as_the_command_notes_it(study):
    document = tasks.note_job(no_progress, study.path, "stock", "34 min, 4000 mAh", {})
    assert document["flights"] == 1 and document["lines"] and json.dumps(document)
    assert study.path.with_name("dotterel.logbook.csv").exists()
    season = tasks.season_job(no_progress, study.path)
    assert len(season["flights"]) == 1 and season["lines"][0].startswith("1 flight")


def test_a_session_is_kept_for_the_next_job_on_the_same_study_and_closed_for_another(study, tmp_path):
    one = sessions.session_of(study, no_progress, "optimise")
    assert sessions.session_of(read_study(study.path), no_progress, "stretch") is one
    assert one.command == "tradestudy stretch dotterel.toml"
    other = read_study(dotterel.written(tmp_path, ('name = "Dotterel"', 'name = "Other"')))
    assert sessions.session_of(other, no_progress) is not one
    assert one.record._database is None
