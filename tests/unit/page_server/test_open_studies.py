"""Open studies are told apart by all that their numbers depend on, also in the processes that do jobs."""

from types import SimpleNamespace

import pytest
from helpers.edited import edited
from helpers.wings import plover

from tradestudy.commands.kept_results import inputs_text
from tradestudy.page_server.jobs import sessions
from tradestudy.page_server.live.open_studies import OpenStudies
from tradestudy.study.reader import read_study

UPPER = "0.9 0.018\n0.75 0.04\n0.6 {y}\n0.45 {y}\n0.3 {y}\n0.1 0.04\n0.03 0.025\n"
LOWER = "\n".join(line.replace(" ", " -") for line in reversed(UPPER.splitlines()))
OWN = f"own\n1 0\n{UPPER}0 0\n{LOWER}\n1 0\n"  # a section by hand


@pytest.fixture()
def file(tmp_path):
    """Return the file of a study that names a section of its own beside it."""
    (tmp_path / "own.dat").write_text(OWN.format(y=0.06), encoding="utf-8")
    file = plover.written(tmp_path)
    text = file.read_text(encoding="utf-8")
    named = next(line for line in text.splitlines() if line.startswith("airfoil ="))
    file.write_text(edited(text, (named, 'airfoil = "own.dat"')), encoding="utf-8")
    return file


def change_the_section(file):
    file.with_name("own.dat").write_text(OWN.format(y=0.065), encoding="utf-8")


def test_a_study_whose_section_changes_on_the_disk_is_another_one(file):
    opened = OpenStudies(file.parent)
    first = opened.read(file.name)
    assert opened.read(file.name) == first
    change_the_section(file)
    assert opened.read(file.name) != first


def test_jobs_open_a_study_anew_once_its_section_has_changed(file, monkeypatch):
    monkeypatch.setattr(sessions, "Work", lambda study: SimpleNamespace(read_draws=lambda: None))
    monkeypatch.setattr(
        sessions,
        "StudySession",
        lambda study, *_, **__: SimpleNamespace(study=study, inputs=inputs_text(study), close=lambda: None),
    )
    study = read_study(file)
    before = sessions.work_of(study), sessions.session_of(study, None)
    assert (sessions.work_of(study), sessions.session_of(study, None)) == before
    change_the_section(file)
    after = sessions.work_of(study), sessions.session_of(study, None)
    sessions.close_session()
    sessions._works.clear()
    assert after[0] is not before[0] and after[1] is not before[1]
