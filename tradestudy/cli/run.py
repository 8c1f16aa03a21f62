"""``tradestudy run``: all of it, into a folder."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from . import shared
from .app import CAUTION, Anyway, AsJson, StudyPath, print_json, print_table, say
from .optimise import raise_exit

if TYPE_CHECKING:
    from tradestudy.results.result import Result


NEITHER = "speed card and no build sheet"


@shared.searches
def run(study: StudyPath, as_json: AsJson = False, anyway: Anyway = False, how: Any = None) -> None:
    """Run the whole study: best design, span trade, weight-range line; tables, figures and one page are written."""
    from tradestudy.commands import trade
    from tradestudy.study.reader import read_study

    folder = how.out or shared.results_folder(read_study(study).study.name)
    with shared.progress() as tell:
        with shared.many_designs(
            study, f"tradestudy run {study.name}", tell, folder, how.workers, how.cluster, fitted=how.fitted
        ) as work:
            result = trade.run(work)
        tell("drawing the figures and the page")
        written = shared.write_results(result, folder, anyway)
        sheets: list[Path] = []
        if anyway or result.success:
            tell("drawing the build sheet")
            sheets = shared.write_build_sheet(result, folder, anyway=anyway)
    if as_json:
        print_json(
            shared.document(
                result,
                best=(result.recommended or result.best).summary() if result.best else None,
                conflict=result.conflict,
                club=result.club,
                shopping=result.shopping,
                files=[str(path) for path in written + sheets],
            )
        )
        shared.refuse(result, anyway, NEITHER, study, how.fitted)
        raise_exit(result.success)
        return
    shared.print_first_screen(result)
    if result.club:
        print_club(result)
    print()
    say(f"The page: {folder / 'report.html'} (tables, figures and summary.json beside it)", hanging="  ")
    if sheets:
        say(f"For the bench: {folder / 'build_sheet.pdf'} (full-size drawings in {folder / 'templates'})", hanging="  ")
    elif (folder / "build_sheet.pdf").exists():
        say(f"Not of this run: {folder / 'build_sheet.pdf'} and the templates were drawn earlier, of another wing.")
    print()
    say(CAUTION)
    shared.refuse(result, anyway, NEITHER, study, how.fitted)
    raise_exit(result.success)


def print_club(result: Result) -> None:
    """Print each member's wing: a short table, and how each meets its balance mark."""
    from tradestudy.report.words.club import balance_lines, club_heads, club_rows

    print()
    print_table(club_heads(short=True), club_rows(result, short=True))
    for line in balance_lines(result):
        say(line)
