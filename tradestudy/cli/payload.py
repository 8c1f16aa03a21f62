"""``tradestudy payload``: how far a wing flies with a payload, and what ends it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tradestudy.errors import CommandError

from . import folders, output, session
from .completion import unit_choices
from .options import AsJson, ClusterAddress, FittedFile, OutFolder, Workers, study_keys
from .study_request import StudyRequest
from .terminal import print_table, say, show

if TYPE_CHECKING:
    from tradestudy.results.payload.payload_result import PayloadResult

_Mass = Annotated[
    str | None,
    typer.Option(
        "--mass", metavar="WEIGHT", autocompletion=unit_choices("mass"), help='Payload to tell, such as "250 g".'
    ),
]
_Most = Annotated[
    str | None,
    typer.Option(
        "--to",
        metavar="WEIGHT",
        autocompletion=unit_choices("mass"),
        help="Largest payload to look at; if left out, the one at which a limit is broken.",
    ),
]
_Watts = Annotated[
    str | None,
    typer.Option("--watts", metavar="POWER", help='What the payload draws in flight, such as "5 W".'),
]
_At = Annotated[
    str | None,
    typer.Option(
        "--at",
        metavar="LENGTH",
        autocompletion=unit_choices("length"),
        help="Its middle behind the nose; if left out, it lies at the balance mark of each wing.",
    ),
]
_Bay = Annotated[str | None, typer.Option("--bay", metavar="NAME", help="Bay in which it lies.")]
_Size = Annotated[
    str | None,
    typer.Option("--size", metavar="SIZE", help='Length, width, height, such as "80x60x40 mm"; then it must fit.'),
]
_Quick = Annotated[bool, typer.Option("--quick", help="Do not search the best wing for each payload.")]


@study_keys
def payload(
    study: StudyRequest,
    mass: _Mass = None,
    to: _Most = None,
    watts: _Watts = None,
    at: _At = None,
    bay: _Bay = None,
    size: _Size = None,
    quick: _Quick = False,
    as_json: AsJson = False,
    out: OutFolder = None,
    workers: Workers = None,
    cluster: ClusterAddress = None,
    fitted: FittedFile = None,
) -> None:
    """Show how far the wing flies with a payload, what stops it, and what fewer cells leave for the payload."""
    if at is not None and bay is not None:
        raise CommandError("--at and --bay do not go together: a bay has a place of its own.")
    place, power = _read("--at", at, "length"), _read("--watts", watts, "power")
    heaviest, shown = _read("--to", to, "mass"), _read("--mass", mass, "mass")
    if heaviest is not None and shown is not None and shown > heaviest:
        raise CommandError(f"--mass {mass} is above --to {to}, the largest payload to look at.")
    outside = _size(size)
    from tradestudy.commands.kept_results import results_folder
    from tradestudy.commands.payload.curves import Payload
    from tradestudy.commands.payload.curves import payload as compute_payload
    from tradestudy.quantities import exactly, in_unit
    from tradestudy.report.words.payload.payload_words import TRADE_HEADS, heads, payload_verdict, trade_rows

    folder = out or results_folder(study.read(fitted))
    carried = Payload(place, bay or "", outside, power or 0.0)
    with session.progress() as report:
        with session.open_session(
            study, f"tradestudy payload {study.name}", report, folder, workers=workers, cluster=cluster, fitted=fitted
        ) as opened:
            result = compute_payload(opened, carried, heaviest, best=not quick)
        report("drawing the figure")
        written: list[Path] = []
        with folders.after_the_answer(folder):
            written = _save(result, folder, None if shown is None else in_unit(shown, "g"))
    if as_json:
        output.print_json_text(result.to_json())
        return
    result = exactly(result)
    for words in payload_verdict(result, None if shown is None else in_unit(shown, "g")):
        say(words)
    show()
    print_table(heads(result, TRADE_HEADS), trade_rows(result))
    show(f"Written: {', '.join(file.name for file in written)} in {folder}")
    say(output.CAUTION)


def _save(result: PayloadResult, folder: Path, mass_g: float | None) -> list[Path]:
    """Write table, JSON, figure and page, and return the files."""
    from tradestudy.files import write_atomically
    from tradestudy.report.figures.all_figures import save_figure
    from tradestudy.report.figures.maps.payload import payload_figure
    from tradestudy.report.page.map_page import payload_page
    from tradestudy.report.tables import payload_table

    return [
        write_atomically(folder / "payload.json", result.to_json().encode("utf-8")),
        write_atomically(folder / "payload.csv", payload_table(result).encode("utf-8")),
        *save_figure(payload_figure(result), folder / "figures" / "payload"),
        write_atomically(folder / "payload.html", payload_page(result, mass_g).encode("utf-8")),
    ]


def _read(option: str, text: str | None, kind: str) -> float | None:
    """Return the SI value of an option, above zero. Raise CommandError if it cannot be read."""
    from tradestudy.quantities import parse_quantity

    if text is None:
        return None
    try:
        value = parse_quantity(text, kind)
    except ValueError as error:
        raise CommandError(f"{option} {error}.") from None
    if not value > 0:
        raise CommandError(f"{option} {text} is not above zero.")
    if not value < 100:
        raise CommandError(f"{option} {text} is beyond what these wings can carry.")
    return value


def _size(text: str | None) -> tuple[float, float, float] | None:
    """Return length, width and height [m] from a text such as "80x60x40 mm"."""
    if text is None:
        return None
    numbers, _, unit = text.strip().partition(" ")
    sides = numbers.split("x")
    if len(sides) != 3:
        raise CommandError(f'--size {text}: give length, width and height, such as "80x60x40 mm".')
    length, width, height = (_read("--size", f"{side} {unit}", "length") or 0.0 for side in sides)
    return length, width, height
