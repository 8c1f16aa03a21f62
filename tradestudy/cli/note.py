"""``tradestudy note``: one flight into the logbook of a study, and what it says, or what all say."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated, Any

import typer

from tradestudy.quantities import exactly

from . import folders, session
from .options import AsJson, StudyPath, Units, use_chosen_units, wing_options, with_options
from .output import print_json
from .terminal import say

_Words = Annotated[
    str,
    typer.Argument(
        metavar="[WORDS]", help='What you remember, such as "34 min, 5100 mAh, a third at full throttle, wind 4 m/s".'
    ),
]
_Wing = Annotated[
    str, typer.Option("--wing", metavar="NAME", help="The wing that flew: stock, or the name of a built wing.")
]


def _text(flag: str, metavar: str, text: str) -> Any:
    return Annotated[str | None, typer.Option(flag, metavar=metavar, help=text)]


_Out = Annotated[
    Path | None,
    typer.Option("--out", metavar="FOLDER", help="Where to write a figure of all flights, expected against flown."),
]
_OPTIONS = {
    "minutes": _text("--minutes", "TIME", 'Time in the air, such as "34" or "1h05".'),
    "used": _text("--used", "CHARGE", 'Charge put back, such as "5100 mAh", or "78 % left".'),
    "distance": _text("--distance", "LENGTH", 'Distance over the ground, such as "31 km".'),
    "full_throttle": _text("--full-throttle", "SHARE", 'Share of the time, such as "33 %" or "1/3".'),
    "wind": _text("--wind", "SPEED", 'Mean wind, such as "4 m/s".'),
    "temperature": _text("--temperature", "DEGREES", 'Air temperature, such as "2 C".'),
    "pack": _text("--pack", "NAME", "The pack, if the wing has several: a name of your own."),
    "log": _text("--log", "FILE", "A flight log (CSV); a measurements file beside it names its columns."),
    "date": _text("--date", "DATE", "Day of the flight, such as 2026-05-17; today if left out."),
}
_New = Annotated[
    bool, typer.Option("--new", help="The name is that of a new wing, although it is like that of another.")
]


@wing_options
@partial(with_options, options=_OPTIONS, argument="options", convert=dict)
def note(
    study: StudyPath,
    words: _Words = "",
    wing: _Wing = "stock",
    new: _New = False,
    out: _Out = None,
    as_json: AsJson = False,
    units: Units = None,
    options: Any = None,
    requested: Any = None,
) -> None:
    """Write one flight into the logbook beside a study, and show what it says. Without words, show what all say."""
    from tradestudy.commands.logbook.noted_flight import noted_flight
    from tradestudy.report.logbook.note_words import note_lines, season_lines, seen_changes

    use_chosen_units(units, study, as_json)
    given = {name: text for name, text in options.items() if text is not None}
    is_new = bool(words.strip() or given)
    if is_new and "log" not in given:
        noted_flight(wing, words, given)  # faults are told before the model is loaded
    folders.make_folder(out)
    with session.progress() as report:
        document = _noted(study, wing, words, given, requested, new, report) if is_new else None
        season = _season(study, out, report) if out or not document else None
    if as_json:
        print_json((document or {}) | ({"season": season} if season else {}))
        return
    document, season = exactly(document), exactly(season)
    for line in [*document["notes"], *note_lines(document), *seen_changes(document)] if document else []:
        say(line)
    for line in [*season["notes"], *season_lines(season)] if season and not document else []:
        say(line)


def _noted(study: Path, *given: Any) -> dict[str, Any]:
    from tradestudy.commands.logbook.note import note as note_flight

    with folders.file_errors(study.parent):
        return note_flight(study, *given).document


def _season(study: Path, out: Path | None, report: Any) -> dict[str, Any]:
    """Return what all flights say, and write the figure into a folder."""
    from tradestudy.commands.logbook.season import season as season_of
    from tradestudy.report.logbook.season_figure import save_season

    found = season_of(study, report)
    if out:
        with folders.after_the_answer(out):
            save_season(found, out)
    return found
