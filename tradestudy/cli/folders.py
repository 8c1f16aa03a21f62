"""Folders of results: their paths, the files that commands write into them, and results of earlier commands."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tradestudy.errors import CommandError, LimitsViolated
from tradestudy.quantities import printed_in

from .terminal import chosen_units, show

if TYPE_CHECKING:
    from tradestudy.results.result import Result


def make_folder(folder: Path | None) -> None:
    """Make the folder of the results before any work is done. Raise CommandError if it cannot be written."""
    if folder is None:
        return
    if os.path.lexists(folder) and not os.path.isdir(folder):
        what = "a file, not a folder" if os.path.exists(folder) else "a symbolic link that leads to no folder"
        raise CommandError(f"Cannot write into {folder}: it is {what}.")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError as error:
        raise CommandError(f"Cannot write into {folder}: {error.strerror or error}.") from error


@contextmanager
def file_errors(folder: Path) -> Iterator[None]:
    """Raise CommandError in place of an OSError that occurs while writing into a folder.

    A file that another program has open stays as it is, and is named on standard error.
    """
    from tradestudy.files import passing_over_files_in_use, unwritable

    try:
        with passing_over_files_in_use() as passed_over, printed_in(chosen_units()):
            yield
        if passed_over:
            names = ", ".join(file.name for file in passed_over)
            show(
                f"Not written, since another program has {'it' if len(passed_over) == 1 else 'them'} open: {names} in "
                f"{folder}. Close the program and give the command again.",
                to=sys.stderr,
            )
    except OSError as error:
        raise unwritable(folder, error) from error


# failures to write results that are told after the answer; None where nothing gathers them
_unwritten: ContextVar[list[CommandError] | None] = ContextVar("unwritten", default=None)


@contextmanager
def answer_first() -> Iterator[None]:
    """Context in which results that cannot be written, as on a full disk, are raised only once the answer is printed.

    If the command itself ends with an error, they are printed on standard error before it.
    """
    gathered: list[CommandError] = []
    before = _unwritten.set(gathered)
    try:
        yield
    except BaseException:
        for error in gathered:
            show(str(error), to=sys.stderr)
        raise
    finally:
        _unwritten.reset(before)
    if gathered:
        raise gathered[0]


@contextmanager
def after_the_answer(folder: Path) -> Iterator[None]:
    """Context for writing results into a folder. As `file_errors`, but the command goes on and prints its answer.

    What could not be written is raised by `answer_first`, around the command.
    """
    try:
        with file_errors(folder):
            yield
    except CommandError as error:
        gathered = _unwritten.get()
        if gathered is None:
            raise
        gathered.append(error)


def in_chosen_units(result: Result) -> Result:
    """Return a result as its page and figures show it: in the units that the user chose."""
    return replace(result, units=chosen_units())


def write_results(result: Result, folder: Path, anyway: bool = False) -> list[Path]:
    """Write summary, tables, figures and page into a folder, and return the files.

    Raise CommandError if the folder cannot be written.
    """
    from tradestudy.report.folder import save

    with file_errors(folder):
        return save(in_chosen_units(result), folder, anyway)


def folder_of_results(folder: Path, command: str) -> Path:
    """Return the folder for the results of a command: a folder within, named as the command, if a run is kept there.

    A run takes minutes, and its page holds what no other command writes.
    """
    try:
        kept = stored_result(folder / "summary.json").command
    except CommandError:
        return folder
    return folder / command if kept.split()[1:2] == ["run"] else folder


def write_build_sheet(
    result: Result,
    folder: Path,
    paper: str = "a4",
    *,
    with_dxf: bool = False,
    with_result: bool = False,
    anyway: bool = False,
    sheet: Any = None,
) -> list[Path]:
    """Write the build sheet, its templates and the acceptance form, and return the files.

    A wing that keeps its panels has no such form.
    ``sheet`` returns the build sheet, if another process draws it. With ``with_result``, also write the result itself.
    For a result without a wing to build, write nothing. Raise LimitsViolated if the wing violates a limit, unless
    ``anyway`` is True. Raise CommandError if writing fails.
    """
    from tradestudy.report.folder import save_bench_files

    result = in_chosen_units(result)
    with file_errors(folder):
        return save_bench_files(
            result, folder, paper, with_dxf=with_dxf, with_result=with_result, anyway=anyway, sheet=sheet
        )


def refuse_violations(result: Result, anyway: bool, what: str, study: object) -> None:
    """Raise LimitsViolated if the proposed wing violates a limit, unless ``anyway`` is True.

    ``what`` names the document that is refused, such as "speed card".
    """
    from tradestudy.report.words.phrases import stretched_wing, violated_limits
    from tradestudy.report.words.violated_limits import refusal

    if violated_limits(stretched_wing(result)) and not anyway:
        raise LimitsViolated(refusal(result, what, str(study)))


def stored_result(path: Path) -> Result:
    """Return the result in a file or in a folder of results. Raise CommandError if there is none."""
    from tradestudy.results.result import result_from_json

    names = ("summary.json", "build_sheet.json")
    within = [path / name for name in names if os.path.isfile(path / name)]
    file = next(iter(within), None) if os.path.isdir(path) else path
    if file is None:
        raise CommandError(f"{path} holds no results: it has no {names[0]}, which tradestudy run writes.")
    if os.path.exists(file) and not os.path.isfile(file):  # unlike those of a Path, these never raise
        raise CommandError(f"{file} is no file.")
    try:
        return result_from_json(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise CommandError(f"{file} cannot be read: {error.strerror or error}.") from None
    except CommandError as error:
        raise CommandError(f"{file}: {error}") from None
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise CommandError(f"{file} is not the summary.json of a run, or only part of one.") from None
