"""What a job process keeps open: a session with its record of the study of the last search, and studies for looks."""

from __future__ import annotations

from collections import OrderedDict
from pathlib import Path
from typing import Any

from tradestudy.commands.kept_results import RECORD, inputs_text, results_folder
from tradestudy.commands.look.work import Work
from tradestudy.commands.study_session import StudySession
from tradestudy.files import as_typed
from tradestudy.study.schema.study import Study

_MOST_WORKS = 4
_open: list[StudySession] = []  # at most one
_works: OrderedDict[tuple[Path, str], Work] = OrderedDict()


def session_of(study: Study, report: Any, command: str = "open") -> StudySession:
    """Return a session of a study with the record of ``results/<study>``, where commands keep what they find.

    It searches in this process alone, so it uses one core.
    """
    if _open and _open[0].study.path == study.path and _open[0].inputs == inputs_text(study):
        _open[0].command = _command(command, study)
        return _open[0]
    close_session()
    record = results_folder(study) / RECORD
    _open.append(StudySession(study, _command(command, study), report, record, workers=1))
    return _open[0]


def close_session() -> None:
    """Close the session, and with it the record."""
    while _open:
        _open.pop().close()


def work_of(study: Study) -> Work:
    """Return a study opened for looks, with the draws that the record holds by now."""
    key = study.path, inputs_text(study)  # a file that it names may have changed
    work = _works.pop(key, None) or Work(study)
    _works[key] = work
    while len(_works) > _MOST_WORKS:
        _works.popitem(last=False)
    work.read_draws()
    return work


def folder_of(session: StudySession) -> Path:
    """Return the folder of the results of a session's study."""
    return results_folder(session.study)


def _command(command: str, study: Study) -> str:
    return f"tradestudy {command} {as_typed(study.path.name)}"
