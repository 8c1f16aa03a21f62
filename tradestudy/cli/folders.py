"""Folders of results: where they are, what is written into them, and what an earlier command left there."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from tradestudy.errors import CommandError, LimitsViolated

if TYPE_CHECKING:
    from tradestudy.results.result import Result


def results_folder(name: str) -> Path:
    """Return ``results/<study>`` for the name of a study, which may hold any characters."""
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60]
    return Path("results") / (plain or "study")


def make_folder(folder: Path | None) -> None:
    """Make the folder of the results before any work is done. Raises CommandError where it cannot be written."""
    if folder is None:
        return
    if folder.exists() and not folder.is_dir():
        raise CommandError(f"Cannot write into {folder}: it is a file, not a folder.")
    with file_errors(folder):
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass


@contextmanager
def file_errors(folder: Path) -> Iterator[None]:
    """Raise CommandError for an OSError in writing into a folder."""
    try:
        yield
    except OSError as error:
        raise CommandError(f"Cannot write into {folder}: {error.strerror or error}.") from error


def write_results(result: Result, folder: Path, anyway: bool = False) -> list[Path]:
    """Write summary, tables, figures and page into a folder, and return the files. Raises CommandError."""
    from tradestudy.report.folder import save

    return save(result, folder, anyway)


def write_build_sheet(
    result: Result,
    folder: Path,
    paper: str = "a4",
    *,
    with_dxf: bool = False,
    with_result: bool = False,
    anyway: bool = False,
) -> list[Path]:
    """Write the build sheet and its templates, optionally with the result itself, and return the files.

    There are none for a result without a wing to build. Raises LimitsViolated for a wing that breaks a limit, unless
    ``anyway``, and CommandError.
    """
    from tradestudy.files import write_atomically
    from tradestudy.report.build_sheet.sheet import save_build_sheet

    with file_errors(folder):
        written = save_build_sheet(result, folder, paper, with_dxf, anyway)
        if written and with_result:
            written.append(write_atomically(folder / "build_sheet.json", result.to_json().encode("utf-8")))
    return written


def refuse_violations(result: Result, anyway: bool, what: str, study: Path, fitted: Path | None = None) -> None:
    """Raise LimitsViolated, unless ``anyway``, where the proposed wing breaks a limit and so gets no ``what``."""
    from tradestudy.report.words.phrases import stretched_wing, violated_limits
    from tradestudy.report.words.violated_limits import refusal

    if violated_limits(stretched_wing(result)) and not anyway:
        raise LimitsViolated(refusal(result, what, f"{study}{f' --fitted {fitted}' if fitted else ''}"))


def kept_result(folder: Path, study_text: str) -> Result | None:
    """Return the result that ``run`` left in a folder; None unless it is complete and of this very study."""
    from tradestudy import __version__
    from tradestudy.results.result import result_from_json

    try:
        result = result_from_json((folder / "summary.json").read_text(encoding="utf-8"))
    except (OSError, ValueError, TypeError, KeyError):  # missing, incomplete, or of another version
        return None
    same = result.study_text == study_text and result.versions.get("tradestudy") == __version__
    design = result.recommended
    return result if same and design is not None and design.cutting else None


def stored_result(path: Path) -> Result:
    """Return the result in a file, or in a folder of results. Raises CommandError where there is none."""
    from tradestudy.results.result import result_from_json

    names = ("summary.json", "build_sheet.json")
    file = next((path / name for name in names if (path / name).is_file()), None) if path.is_dir() else path
    if file is None:
        raise CommandError(f"{path} holds no results: it has no {names[0]}, which tradestudy run writes.")
    try:
        return result_from_json(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise CommandError(f"{file} cannot be read: {error.strerror or error}.") from None
    except (CommandError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise CommandError(
            f"{file} is not the summary.json of a run, or only part of one, or of another version."
        ) from None
