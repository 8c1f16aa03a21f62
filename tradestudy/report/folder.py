"""The files that report a Result, written into one folder: summary, tables, speed cards, figures and page."""

from __future__ import annotations

import os
from collections.abc import Callable
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
