"""``tradestudy club``: one span for all members of a club."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from . import session
from .options import AsJson, StudyPath, search_options
from .output import CAUTION, print_json
from .terminal import print_table, say, show

_ByNumber = Annotated[
    bool, typer.Option("--by-number", help="Maximise the mean of all members, not the worst share of one.")
]


@search_options
def club(study: StudyPath, by_number: _ByNumber = False, as_json: AsJson = False, search: Any = None) -> None:
    """Find the span that serves all members of a club best."""
    from tradestudy.commands.club.span import club_span
    from tradestudy.report.logbook.club_span_words import MEMBER_HEADS, member_rows, span_lines

    name = f"tradestudy club {study.name}"
    with (
        session.progress() as report,
        session.open_session(study, name, report, **search._asdict()) as opened,
    ):
        found = club_span(opened, by_number)
    if as_json:
        print_json(found)
        return
    print_table(MEMBER_HEADS, member_rows(found))
    show()
    for line in span_lines(found):
        say(line)
    say(f"\n{CAUTION}")
