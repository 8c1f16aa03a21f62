"""``tradestudy card``: what to hold today, where to turn back, when to land, and the alarms to set."""

from __future__ import annotations

from typing import Annotated

import typer

from . import folders, session
from .completion import unit_choices
from .options import Anyway, AsJson, OutFolder, study_keys
from .output import print_json
from .study_request import StudyRequest
from .terminal import say, show

_Wing = Annotated[
    str | None,
    typer.Option("--wing", metavar="NAME", help="stock or a built wing; the one that flew last if left out."),
]
_Wind = Annotated[
    str | None,
    typer.Option(
        "--wind", metavar="SPEED", autocompletion=unit_choices("speed"), help='Wind along the track, such as "4 m/s".'
    ),
]
_Temperature = Annotated[
    str | None,
    typer.Option(
        "--temperature",
        metavar="TEMPERATURE",
        autocompletion=unit_choices("temperature"),
        help='Of the air and of the pack, such as "2 C"; as in the study if left out.',
    ),
]
_Pack = Annotated[
    str,
    typer.Option("--pack", metavar="NAME", help="A pack of the logbook, or old; that of the study if left out."),
]


@study_keys
def card(
    study: StudyRequest,
    wing: _Wing = None,
    wind: _Wind = None,
    temperature: _Temperature = None,
    pack: _Pack = "",
    as_json: AsJson = False,
    out: OutFolder = None,
    anyway: Anyway = False,
) -> None:
    """Print today's card: hold, turn back, land by, and alarms for this pack in this cold; with a page for a phone."""
    from tradestudy.commands.kept_results import results_folder
    from tradestudy.commands.logbook.card import RequestedDay
    from tradestudy.commands.logbook.card import card as day_card
    from tradestudy.report.first_flight import reminders
    from tradestudy.report.logbook.card_page import save_day_page
    from tradestudy.report.logbook.card_words import day_lines
    from tradestudy.results.json_form import json_data

    day = RequestedDay(wind, temperature, pack, wing, anyway)
    with (
        session.progress() as report,
        session.open_session(study, f"tradestudy card {study.name}", report, out, for_one_wing=True) as opened,
    ):
        result = day_card(opened, day)
        folder = out or results_folder(opened.study)
        written = None
        if out or not as_json:
            with folders.after_the_answer(folder):
                folders.make_folder(folder)
                written = save_day_page(result, study.path.as_posix(), folder)
    if as_json:
        print_json(json_data(result) | {"reminders": reminders(result.flown)})
        return
    show("\n".join(day_lines(result)))
    if written:
        show()
        say(f"For the phone, and to print as a strip: {written}.")
