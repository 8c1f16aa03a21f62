"""``tradestudy club``: the register of a club's builds, or one span for all members of a study."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from tradestudy.errors import CommandError
from tradestudy.files import as_typed
from tradestudy.quantities import exactly

from . import folders, session
from .options import AsJson, Search, Units, search_options, use_chosen_units
from .output import CAUTION, print_json
from .study_request import StudyRequest
from .terminal import print_table, say, show

_Source = Annotated[
    Path,
    typer.Argument(
        metavar="FOLDER|STUDY",
        help="A folder of members' studies and logbooks, or a study with several sets of equipment.",
    ),
]
_Next = Annotated[
    Path | None, typer.Option("--next", metavar="STUDY", help="Of a folder: the study of the next builder.")
]
_Output = Annotated[
    Path | None,
    typer.Option(
        "--output", metavar="FILE", help="Of a folder: where to write the next builder's factors, for --fitted."
    ),
]
_Span = Annotated[
    bool,
    typer.Option("--common-span", help="Of a folder: search one span for all its studies. A study needs no such word."),
]
_ByNumber = Annotated[
    bool, typer.Option("--by-number", help="For one span: the mean of all members counts, not the worst share of one.")
]


@search_options
def club(
    source: _Source,
    next_study: _Next = None,
    output: _Output = None,
    common_span: _Span = False,
    by_number: _ByNumber = False,
    as_json: AsJson = False,
    units: Units = None,
    search: Any = None,
) -> None:
    """Show all builds of a club and what they say of the next wing, or the one span that serves all members."""
    use_chosen_units(units, None if source.is_dir() else source, as_json)
    if source.is_dir():
        _refuse_unused(common_span, by_number, search)
    if source.is_dir() and not common_span:
        _show_register(source, next_study, output, search.out, as_json)
        return
    if next_study or output:
        raise CommandError(
            f"--next and --output are for the register of a folder of members' studies, not for {source}."
        )
    _show_span(source, by_number, as_json, search)


def _refuse_unused(common_span: bool, by_number: bool, search: Search) -> None:
    """Raise CommandError for an option that has no effect on the register, or on the common span, of a folder."""
    if search.fitted is not None:
        raise CommandError("--fitted holds the factors of one wing, and a folder holds several; leave it out.")
    given = {"--by-number": by_number, "--workers": search.workers, "--cluster": search.cluster}
    if unused := [] if common_span else [name for name, value in given.items() if value]:
        raise CommandError(f"{unused[0]} is for one span: add --common-span, or leave it out.")


def _show_register(folder: Path, next_study: Path | None, output: Path | None, out: Path | None, as_json: bool) -> None:
    from tradestudy.commands.club.register import register
    from tradestudy.files import write_atomically
    from tradestudy.report.logbook.register_sheet import register_sheet
    from tradestudy.report.logbook.register_words import (
        BUILD_HEADS,
        TYPE_HEADS,
        build_rows,
        factor_rows,
        register_lines,
    )

    if output and next_study is None:
        raise CommandError("--output writes factors for one study; name it with --next.")
    written: list[Path] = []
    folders.make_folder(output.parent if output else None)
    folders.make_folder(out)
    with session.progress() as report:
        found = register(folder, next_study, report)
        if output:
            with folders.after_the_answer(output.parent):
                written.append(write_atomically(output, found.overlay.encode("utf-8")))
        if out:
            with folders.after_the_answer(out):
                written.append(write_atomically(out / "club.pdf", register_sheet(found.document)))
    if as_json:
        print_json(found.document)
        return
    document = exactly(found.document)
    for line in register_lines(document):
        say(line)
    show()
    print_table(BUILD_HEADS, build_rows(document))
    show()
    print_table(TYPE_HEADS, factor_rows(document))
    show()
    if out and out / "club.pdf" in written:
        say(f"To print: {out / 'club.pdf'}.")
    if output in written:
        say(f"Written: {output}. Use it with --fitted {as_typed(output)}.")
    say(CAUTION)


def _show_span(source: Path, by_number: bool, as_json: bool, search: Search) -> None:
    from tradestudy.commands.club.span import club_span, folder_span
    from tradestudy.report.logbook.club_span_words import MEMBER_HEADS, member_rows, span_lines

    name = f"tradestudy club {as_typed(source.name)}"
    with session.progress() as report:
        if source.is_dir():
            session.refuse_workers_of_two_kinds(search.workers, search.cluster)
            folders.make_folder(search.out)
            with session.announced_keeping(search.out, report):
                found = folder_span(source, by_number, report, search.out, search.workers, search.cluster)
        else:
            with session.open_session(StudyRequest(source), name, report, **search._asdict()) as opened:
                found = club_span(opened, by_number)
    if as_json:
        print_json(found)
        return
    found = exactly(found)
    for line in span_lines(found):
        say(line)
    show()
    print_table(MEMBER_HEADS, member_rows(found))
    show()
    say(CAUTION)
