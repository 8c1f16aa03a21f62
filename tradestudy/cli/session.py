"""Shared steps of commands: open a study, print progress on standard error, and return the result."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from tradestudy.commands.kept_results import RECORD, results_folder
from tradestudy.errors import CommandError, EngineLost

from . import folders
from .options import Search
from .study_request import StudyRequest
from .terminal import show, shown

if TYPE_CHECKING:
    from tradestudy.commands.study_session import StudySession
    from tradestudy.results.result import Result

_QUIET_SECONDS = 5.0  # shortest time between two lines of progress in a file or a pipe


class ProgressPrinter:
    """A printer of progress on standard error.

    A call prints progress, which may be overwritten or skipped. ``warn`` prints a line that is always shown.
    """

    def __init__(self, report: Callable[[str], None], warn: Callable[[str], None]):
        self._report, self.warn = report, warn

    def __call__(self, words: str) -> None:
        self._report(words)


@contextmanager
def progress() -> Iterator[ProgressPrinter]:
    """Yield a ProgressPrinter. In a terminal it changes one line; elsewhere it adds a line every few seconds."""
    from rich.console import Console
    from rich.text import Text

    console = Console(stderr=True, highlight=False)
    if console.is_terminal:
        with console.status("reading the study") as status:
            yield ProgressPrinter(
                lambda words: status.update(Text(shown(words))), lambda words: console.print(Text(shown(words)))
            )
        return
    last = [0.0]

    def report(words: str) -> None:
        if time.monotonic() - last[0] > _QUIET_SECONDS:
            last[0] = time.monotonic()
            show(f"... {words}", to=sys.stderr)

    yield ProgressPrinter(report, lambda words: show(words, to=sys.stderr))


@contextmanager
def open_session(
    study: StudyRequest,
    command: str,
    report: ProgressPrinter,
    out: Path | None = None,
    *,
    for_one_wing: bool = False,
    workers: int | None = None,
    cluster: str | None = None,
    tasks: int | None = None,
    fitted: Path | None = None,
) -> Iterator[StudySession]:
    """Read a study and yield its session, which is closed afterwards.

    If ``out`` is a folder, solved designs are saved in its record and used again. A session ``for_one_wing`` uses the
    record in ``results/<study>`` otherwise. ``workers``, ``cluster`` and ``tasks`` are passed to `StudySession`.
    ``fitted`` is a file of fitted factors. Raise CommandError if both ``workers`` and ``cluster`` are given, or a file
    or folder cannot be used.
    """
    from tradestudy.commands.study_session import StudySession

    refuse_workers_of_two_kinds(workers, cluster)
    read = study.read(fitted)
    folders.make_folder(out)
    folder = out or (results_folder(read) if for_one_wing else None)
    record = folder / RECORD if folder else None
    session = StudySession(read, command, report, record, workers, cluster, tasks, for_one_wing)
    try:
        with announced_keeping(record, report):
            yield session
    finally:
        session.close()


def refuse_workers_of_two_kinds(workers: int | None, cluster: str | None) -> None:
    """Raise CommandError if both a number of processes and a cluster are given."""
    if cluster is not None and workers is not None:
        raise CommandError("--workers and --cluster do not go together: a cluster has workers of its own.")


@contextmanager
def announced_keeping(place: Path | None, report: ProgressPrinter) -> Iterator[None]:
    """If work is stopped, or its workers are lost, tell in which file or folder ``place`` the finished part is kept."""
    try:
        yield
    except (KeyboardInterrupt, EngineLost):
        if place:
            report.warn(f"What was finished is kept in {place}: the same command goes on from there.")
        raise


def compute_design(
    command: str,
    study: StudyRequest,
    out: Path | None,
    fitted: Path | None,
    compute: Callable[[StudySession], Result],
    anyway: bool = False,
) -> Result:
    """Return the result for one design, and print progress.

    If ``out`` is a folder, write the result into it, or into a folder within if the results of a run are there.
    """
    with (
        progress() as report,
        open_session(
            study, f"tradestudy {command} {study.name}", report, out, for_one_wing=True, fitted=fitted
        ) as session,
    ):
        result = compute(session)
        if out:
            _write_results(result, out, command, report, anyway)
    return result


def compute_search(
    command: str, study: StudyRequest, search: Search, compute: Callable[[StudySession], Result]
) -> Result:
    """Return the result of a search, and print progress.

    If ``search.out`` is a folder, write the result into it, or into a folder within if the results of a run are there.
    """
    with (
        progress() as report,
        open_session(study, f"tradestudy {command} {study.name}", report, **search._asdict()) as session,
    ):
        result = compute(session)
        if search.out:
            _write_results(result, search.out, command, report)
    return result


def _write_results(result: Result, out: Path, command: str, report: ProgressPrinter, anyway: bool = False) -> None:
    """Write the result of a command into a folder, or into a folder within if the results of a run are there."""
    folder = folders.folder_of_results(out, command)
    if folder != out:
        report.warn(f"{out} keeps the results of run; these are in {folder}")
    with folders.after_the_answer(folder):
        folders.write_results(result, folder, anyway)
