"""``tradestudy run``: computes the complete study and writes it into a folder."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from . import folders, output, result_tables, session
from .options import Anyway, AsJson, Everything, search_options, study_keys
from .study_request import StudyRequest
from .terminal import chosen_units, print_table, say, show

if TYPE_CHECKING:
    from tradestudy.commands.kept_results import KeptRun
    from tradestudy.results.result import Result


_REFUSED = "speed card and no build sheet"


@study_keys
@search_options
def run(
    study: StudyRequest,
    everything: Everything = False,
    as_json: AsJson = False,
    anyway: Anyway = False,
    search: Any = None,
) -> None:
    """Run the whole study: best design, span trade, weight-range line; write tables, figures and one page."""
    from tradestudy.commands.kept_results import kept_run, results_folder

    read, command = study.read(search.fitted), f"tradestudy run {study.name}"
    folder = search.out or results_folder(read)
    with session.progress() as report:
        # workers of a cluster may run other code, so a run on one always asks them
        kept = None if search.cluster else kept_run(folder, read, _line(command), anyway, report.warn)
        result, written, sheets = kept or _computed(study, command, anyway, search._replace(out=folder), report)
        if kept:
            report.warn(f"Nothing has changed since {folder} was written: these are its results.")
    if as_json:
        output.print_document(
            result,
            best=(result.recommended or result.best).summary() if result.best else None,
            conflict=result.conflict,
            advice=result.advice,
            club=result.club,
            club_spans=result.club_spans,
            shopping=result.shopping,
            files=[str(path) for path in written + sheets],
        )
    else:
        _print(result, folder, written, sheets, study, everything)
    folders.refuse_violations(result, anyway, _REFUSED, study)
    output.exit_unless(result.success)


def _line(command: str) -> str:
    """Return a command line with the units of its files."""
    return f"{command} --units {chosen_units()}"


def _computed(study: Any, command: str, anyway: bool, search: Any, report: Any) -> KeptRun:
    """Return a run that is computed and written now."""
    from tradestudy.commands import trade
    from tradestudy.commands.kept_results import KeptRun, keep_run
    from tradestudy.files import noting_hashes
    from tradestudy.report.build_sheet.sheet import build_sheet

    with session.open_session(study, command, report, **search._asdict()) as opened, noting_hashes() as hashes:
        result = trade.run(opened)
        report("drawing the figures and the page")
        with_sheet = anyway or result.success
        shown = folders.in_chosen_units(result)
        # all figures take this process about as long as the sheet takes another one
        sheet = opened.started(build_sheet, shown, "a4", anyway) if with_sheet else None
        written: list[Path] = []
        sheets: list[Path] = []
        with folders.after_the_answer(search.out):
            written = folders.write_results(result, search.out, anyway)
            if with_sheet:
                report("drawing the build sheet")
                sheets = folders.write_build_sheet(result, search.out, anyway=anyway, sheet=sheet)
            keep_run(opened.record, search.out, _line(command), anyway, written, sheets, hashes)
    return KeptRun(result, written, sheets)


def _print(result: Result, folder: Path, written: list[Path], drawn: list[Path], study: Any, everything: bool) -> None:
    from tradestudy.report.build_sheet.body_file import BODY_FILE, BODY_FILE_MISSING, body_file_is_possible
    from tradestudy.report.folder import left_by_earlier_runs

    result_tables.print_decision(result)
    if everything:
        show()
        result_tables.print_first_screen(result)
    if result.club:
        print_club(result)
    show()
    if written:
        say(f"The page: {folder / 'report.html'} (tables, figures and summary.json beside it)", hanging="  ")
    sheet = folder / "build_sheet.pdf"
    if drawn:
        templates = any(path.parent.name == "templates" for path in drawn)
        more = f"full-size drawings in {folder / 'templates'}" if templates else "no templates, since no panel is cut"
        say(f"For the bench: {sheet} ({more})", hanging="  ")
        if body_file_is_possible():
            say(f"For a viewer of solids: {folder / BODY_FILE}", hanging="  ")
        else:
            say(BODY_FILE_MISSING)
    if left := left_by_earlier_runs(folder, [*written, *drawn]):
        say(f"Not of this run, but of an earlier one for another wing, in {folder}: {'; '.join(left)}.", hanging="  ")
    output.say_end("", "equipment, twist test, what weight gives and what each rule costs", everything)


def print_club(result: Result) -> None:
    """Print the wing of each member of a club, and the changes that bring it to its balance mark."""
    from tradestudy.report.words.club import balance_lines, club_heads, club_rows, cutting_lines

    show()
    print_table(club_heads(short=True), club_rows(result, short=True))
    for line in [*balance_lines(result), *cutting_lines(result)]:
        say(line)
    result_tables.print_club_spans(result)
