"""``tradestudy flips``: which limit, decision or input, one step on, changes the answer."""

from __future__ import annotations

from typing import Any

from tradestudy.report.words.limit_prices import FLIP_HEADS, flip_rows, flip_words

from . import output, result_tables, session
from .options import AsJson, Everything, search_options, study_keys
from .study_request import StudyRequest
from .terminal import print_table, say, show

_MOST_FLIPS = 5  # changes that are listed without --all, greatest loss first
_MANY = 64  # tasks: enough for a process on every core


@study_keys
@search_options
def flips(study: StudyRequest, everything: Everything = False, as_json: AsJson = False, search: Any = None) -> None:
    """Show what flips the answer: limits, decisions and inputs that change parts or span one step on."""
    from tradestudy.commands import flips as command
    from tradestudy.commands.kept_results import results_folder

    folder = search.out or results_folder(study.read())
    with session.progress() as report:
        options = search._replace(out=folder)._asdict()
        with session.open_session(study, f"tradestudy flips {study.name}", report, tasks=_MANY, **options) as opened:
            result = command.flips(opened)
    if as_json:
        output.print_document(
            result, best=result.best.summary() if result.best else None, conflict=result.conflict, flips=result.flips
        )
    elif result.flips is None:
        result_tables.print_decision(result)
    else:
        for line in flip_words(result):
            say(line)
        if rows := flip_rows(result):
            show()
            print_table(FLIP_HEADS, rows if everything else rows[:_MOST_FLIPS])
        output.say_end("", f"all {len(rows)} changes that flip the answer", everything)
    output.exit_unless(result.success)
