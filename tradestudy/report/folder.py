"""The files that report a Result, written into one folder: summary, tables, speed cards, figures and page."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path

from tradestudy.files import unwritable, write_atomically
from tradestudy.quantities import printed_in
from tradestudy.results.result import Result


def save(result: Result, folder: str | os.PathLike[str], anyway: bool = False) -> list[Path]:
    """Write summary, tables, speed cards, figures and page into a folder, and return the paths of the files.

    A wing that breaks a limit gets a speed card only with ``anyway``, and the card then says so. Raises CommandError
    if a file cannot be written.

    ::

        ts.save(ts.stretch(study), "results/mine")
    """
    from tradestudy.report.figures.all_figures import draw_all, save_all
    from tradestudy.report.page.page import page
    from tradestudy.report.words.pilot_card import all_cards

    from .tables import save_tables

    folder = Path(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        # What takes seconds comes first. So a run that is killed seldom leaves files of two results side by side.
        with printed_in(result.units):
            drawn = draw_all(result)
            text, card = page(result, anyway, drawn), all_cards(result, anyway)
            figures = save_all(drawn, folder / "figures")
            written = [write_atomically(folder / "summary.json", result.to_json().encode("utf-8"))]
            written += save_tables(result, folder)
        written.append(write_atomically(folder / "pilot_card.txt", card.encode("utf-8")))
        written += figures
        written.append(write_atomically(folder / "report.html", text.encode("utf-8")))
    except OSError as error:
        raise unwritable(folder, error) from error
    return written


def left_by_earlier_runs(folder: Path, written: Sequence[Path]) -> list[str]:
    """Return the files in a folder of results that an earlier run has left: of such names, but not in ``written``.

    A figure is named once for all its formats, and the templates as a folder if none of them is of this run.
    """
    from tradestudy.report.build_sheet.body_file import BODY_FILE
    from tradestudy.report.figures.all_figures import FIGURES

    from .tables import TABLES

    names = ["build_sheet.pdf", "acceptance.pdf", BODY_FILE, *(f"{name}.csv" for name in TABLES)]
    left = [name for name in names if (folder / name).is_file() and folder / name not in written]
    drawings = sorted(file for form in ("svg", "dxf") for file in (folder / "templates").glob(f"*.{form}"))
    old = [each for each in drawings if each not in written]
    left += ["templates"] if old and len(old) == len(drawings) else [f"templates/{each.name}" for each in old]
    figures = [file for name in FIGURES for file in (folder / "figures").glob(f"{name}.*") if file not in written]
    return left + list(dict.fromkeys(f"figures/{file.stem}" for file in figures))


def save_bench_files(
    result: Result,
    folder: Path,
    paper: str = "a4",
    *,
    with_dxf: bool = False,
    with_result: bool = False,
    anyway: bool = False,
    sheet: Callable[[], bytes | None] | None = None,
) -> list[Path]:
    """Write the build sheet, its templates and the acceptance form, and return the files.

    A wing that keeps its panels has no such form. With ``with_result``, also write the result itself. For the other
    arguments and the errors see `save_build_sheet`.
    """
    from tradestudy.report.build_sheet.sheet import save_build_sheet
    from tradestudy.report.logbook.acceptance_form import acceptance_form

    written = save_build_sheet(result, folder, paper, with_dxf, anyway, sheet)
    if written and (form := acceptance_form(result, paper, anyway)):
        written.insert(1, write_atomically(folder / "acceptance.pdf", form))
    if written and with_result:
        written.append(write_atomically(folder / "build_sheet.json", result.to_json().encode("utf-8")))
    return written
