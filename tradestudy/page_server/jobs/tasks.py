"""The jobs: functions that a job process runs. Each is called with a callback for progress and its arguments.

They call the same commands as the command line, with the same record, so results are equal.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from tradestudy.commands import trade
from tradestudy.commands.assess import remembered_effects, with_recommended
from tradestudy.commands.log import log as read_log
from tradestudy.commands.log import log_document
from tradestudy.commands.logbook.card import RequestedDay
from tradestudy.commands.logbook.card import card as day_card
from tradestudy.commands.logbook.note import note as note_flight
from tradestudy.commands.logbook.season import season as season_of
from tradestudy.commands.look import looks
from tradestudy.commands.look.bands import RelativeBand
from tradestudy.commands.look.found import best_so_far, found_wings
from tradestudy.commands.look.shown_wing import shown_wing
from tradestudy.commands.optimise import best_at_medians
from tradestudy.commands.recommended_wing import recommended_wing
from tradestudy.commands.study_session import StudySession
from tradestudy.report.folder import save, save_bench_files
from tradestudy.report.logbook.card_page import save_day_page
from tradestudy.report.logbook.card_words import day_lines
from tradestudy.report.logbook.log_words import log_lines
from tradestudy.report.logbook.note_words import note_lines, season_lines, seen_changes
from tradestudy.results.inputs import SpreadResult
from tradestudy.results.json_form import json_data
from tradestudy.results.look.look import AfterRelease, LookBand
from tradestudy.results.look.sliders import FoundWings
from tradestudy.study.schema.study import Study

from .job_process import JobStopped
from .sessions import close_session, folder_of, session_of, work_of

_SEARCHES = {
    "best": ("optimise", best_at_medians),
    "spans": ("stretch", trade.span_trade_at_medians),
    "front": ("front", trade.weight_front_at_medians),
}


def search_job(report: Any, study: Study, kind: str) -> FoundWings:
    """Return the wings of a search, with the values to expect as `assess` gives them for each.

    If it is stopped, return the best so far. Every design that it finished is in the record.
    """
    command, searched = _SEARCHES[kind]
    session = session_of(study, report, command)
    try:
        result = with_recommended(session, searched(session))
        _find_what_to_expect(session, report)
    except JobStopped:
        found = best_so_far(work_of(study), kind, session.ranking.known)
        close_session()  # a search that was left half way is not gone on with
        return found
    report("looking at the wings that were found")
    return found_wings(work_of(study), kind, result)


def expected_job(report: Any, study: Study) -> dict[str, Any]:
    """Find the recommended wing and its draws, as `assess` does first, so that looks show the values to expect."""
    _find_what_to_expect(session_of(study, report, "assess"), report)
    return {"words": "The numbers are those to expect now."}


def _find_what_to_expect(session: StudySession, report: Any) -> None:
    """Let the record hold the recommended wing and its draws."""
    wing = recommended_wing(session).result
    report("working out what to expect of the recommended wing")
    remembered_effects(session, wing.choice, wing.variables)


def warm_job(report: Any, study: Study) -> None:
    """Open a study, so that the first question about it is answered soon."""
    work_of(study)


def after_job(
    report: Any, study: Study, wing: Mapping[str, Any], best_speed: bool, draws: SpreadResult | None
) -> AfterRelease:
    """Return what follows a look: handling, flutter, balance range, mission and warnings.

    ``draws`` are those of the page, which an edited study takes from the one that was edited.
    """
    work = work_of(study)
    if not work.draws_are_own:
        work.draws = draws
    return looks.after_release(work, wing, best_speed)


def bands_job(
    report: Any, study: Study, wing: Mapping[str, Any], best_speed: bool
) -> tuple[list[LookBand], dict[str, RelativeBand]]:
    """Return the bands of a wing, and the same over its numbers."""
    report("working out how sure the numbers of this wing are")
    work = work_of(study)
    return looks.wing_bands(work, wing, best_speed), work.bands


def report_job(report: Any, study: Study, anyway: bool) -> dict[str, Any]:
    """Run the whole study, write its report into ``results/<study>``, and return the paths of all files."""
    session = session_of(study, report, "run")
    result = replace(trade.run(session), units=study.study.units)
    report("drawing the figures and the page")
    folder = folder_of(session)
    written = save(result, folder, anyway)
    if anyway or result.success:
        report("drawing the build sheet")
        written += save_bench_files(result, folder, anyway=anyway)
    return {"files": list(map(str, written)), "page": str(folder / "report.html"), "words": result.message}


def sheet_job(report: Any, study: Study, wing: Mapping[str, Any], paper: str, anyway: bool) -> dict[str, Any]:
    """Write the build sheet of a wing into a folder within ``results/<study>``, and return the paths of all files."""
    look = looks.look(work_of(study), wing)
    session = session_of(study, report, "buildsheet")
    result = shown_wing(session, look)
    report("drawing the build sheet")
    folder = folder_of(session) / f"wing_{look.numbers.span_mm:.0f}_mm"
    result = replace(result, units=study.study.units)
    written = save_bench_files(result, folder, paper, with_result=True, anyway=anyway)
    return {"files": list(map(str, written)), "words": result.message}


def card_job(report: Any, study: Study, day: RequestedDay) -> dict[str, Any]:
    """Return today's card with its lines, and write its page for the phone."""
    session = session_of(study, report, "card")
    result = day_card(session, day)
    file = save_day_page(result, study.path.as_posix(), folder_of(session))
    words = f"For the phone, and to print as a strip: {file}."
    return {"card": json_data(result), "lines": day_lines(result), "file": str(file), "words": words}


def note_job(report: Any, path: Path, wing: str, text: str, options: Mapping[str, str]) -> dict[str, Any]:
    """Write one flight into the logbook, and return what it says."""
    document = note_flight(path, wing, text, options, report_progress=report).document
    lines = [*document["notes"], *note_lines(document), *seen_changes(document)]
    return {**document, "lines": lines, "words": f"Noted in {document['logbook']}."}


def season_job(report: Any, path: Path) -> dict[str, Any]:
    """Return what all flights of a logbook say."""
    found = season_of(path, report)
    return {**found, "lines": [*found["notes"], *season_lines(found)], "words": f"From {found['logbook']}."}


def log_job(report: Any, path: Path, description: Path) -> dict[str, Any]:
    """Return the steady stretches of a log that was put beside the study."""
    report(f"reading {path.name}")
    document = log_document(read_log(path, description))
    return {**document, "lines": log_lines(document), "words": f"Kept as {path}, its columns in {description.name}."}
