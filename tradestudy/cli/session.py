"""A study opened for one command: its session, progress on standard error, and the result of the command."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from tradestudy.errors import CommandError

from . import folders
from .options import Search

if TYPE_CHECKING:
    from tradestudy.commands.study_session import StudySession
    from tradestudy.results.result import Result

_RECORD = "record.sqlite"  # in the folder of the results: the designs that are solved already
_QUIET_SECONDS = 5.0  # between two lines of progress outside a terminal


class ProgressPrinter:
    """Prints progress on standard error when called, and with ``warn`` what must not be missed."""

    def __init__(self, report: Callable[[str], None], warn: Callable[[str], None]):
        self._report, self.warn = report, warn

    def __call__(self, words: str) -> None:
        self._report(words)


@contextmanager
def progress() -> Iterator[ProgressPrinter]:
    """Yield what prints progress: one changing line in a terminal, a line every few seconds elsewhere."""
    from rich.console import Console
    from rich.text import Text

    console = Console(stderr=True, highlight=False)
    if console.is_terminal:
        with console.status("reading the study") as status:
            yield ProgressPrinter(lambda words: status.update(Text(words)), lambda words: console.print(Text(words)))
        return
    last = [0.0]

    def report(words: str) -> None:
        if time.monotonic() - last[0] > _QUIET_SECONDS:
            last[0] = time.monotonic()
            print(f"... {words}", file=sys.stderr, flush=True)

    yield ProgressPrinter(report, lambda words: print(words, file=sys.stderr, flush=True))


@contextmanager
def open_session(
    study: Path,
    command: str,
    report: ProgressPrinter,
    out: Path | None = None,
    *,
    keep: bool = True,
    workers: int | None = 1,
    cluster: str | None = None,
    tasks: int | None = None,
    fitted: Path | None = None,
) -> Iterator[StudySession]:
    """Read a study and yield its session, which is closed afterwards. Raises CommandError.

    With a folder and ``keep``, designs are kept in its record and used again. ``workers``, ``cluster`` and ``tasks``
    are those of `StudySession`; ``fitted`` is a file of fitted factors.
    """
    from tradestudy.commands.study_session import StudySession
    from tradestudy.study.reader import read_study

    if cluster is not None and workers is not None:
        raise CommandError("--workers and --cluster do not go together: a cluster has workers of its own.")
    read = read_study(study, fitted)
    folders.make_folder(out)
    record = out / _RECORD if out and keep else None
    session = StudySession(read, command, report, record, workers, cluster, tasks)
    try:
        yield session
    except KeyboardInterrupt:
        if record:
            report.warn(f"What was finished is kept in {record}: the same command goes on from there.")
        raise
    finally:
        session.close()


def compute_design(
    command: str,
    study: Path,
    out: Path | None,
    fitted: Path | None,
    compute: Callable[[StudySession], Result],
    anyway: bool = False,
) -> Result:
    """Return the result for one design, and write it into the folder if there is one. Progress is printed."""
    with (
        progress() as report,
        open_session(study, f"tradestudy {command} {study.name}", report, out, keep=False, fitted=fitted) as session,
    ):
        result = compute(session)
        if out:
            folders.write_results(result, out, anyway)
    return result


def compute_search(command: str, study: Path, search: Search, compute: Callable[[StudySession], Result]) -> Result:
    """Return the result of a search, and write it into the folder if there is one. Progress is printed."""
    with (
        progress() as report,
        open_session(study, f"tradestudy {command} {study.name}", report, **search._asdict()) as session,
    ):
        result = compute(session)
        if search.out:
            folders.write_results(result, search.out)
    return result
