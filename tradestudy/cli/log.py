"""``tradestudy log``: the steady parts of a flight log, with which the model can be compared."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tradestudy.quantities import in_unit

from .completion import logs, studies
from .options import AsJson, Everything
from .output import print_json
from .terminal import say, show

if TYPE_CHECKING:
    from tradestudy.commands.log import StretchMeans

_LogPath = Annotated[Path, typer.Argument(metavar="LOG", autocompletion=logs, help="A flight log (CSV).")]
_MeasurementsPath = Annotated[
    Path,
    typer.Argument(
        metavar="MEASUREMENTS", autocompletion=studies, help="A TOML file whose [columns] name the columns of the log."
    ),
]
_COLUMNS = (
    ("from", "min:s", 6),
    ("lasts", "s", 6),
    ("amps", "A", 7),
    ("volts", "V", 7),
    ("watts", "W", 7),
    ("over", "km/h", 7),
    ("through", "km/h", 8),
    ("climb", "m/s", 6),
    ("turn", "deg/s", 6),
)  # (heading, unit, width in characters) of each column
_MOST_STRETCHES = 25  # stretches that are listed without --all
_KIND = 15  # width of the longest kind, in characters


def log(
    log: _LogPath, measurements: _MeasurementsPath, everything: Everything = False, as_json: AsJson = False
) -> None:
    """Show the steady stretches of a flight log, and the wind; a flight without a log is for the command note."""
    from tradestudy.commands.log import log as read_flight_log
    from tradestudy.commands.log import log_document
    from tradestudy.report.logbook.log_words import log_lines

    flight = read_flight_log(log, measurements)
    if as_json:
        print_json(log_document(flight))
        return
    sentence, *notes = log_lines(log_document(flight))
    say(sentence)
    for note in notes:
        say(note, "  ", "    ")
    show(f" no  {'kind':{_KIND}}" + "".join(f"{head:>{width}}" for head, _, width in _COLUMNS))
    show(" " * (5 + _KIND) + "".join(f"{unit:>{width}}" for _, unit, width in _COLUMNS))
    numbered = list(enumerate(zip(flight.segments, flight.used, strict=True), start=1))
    for number, (segment, counts) in numbered if everything else numbered[:_MOST_STRETCHES]:
        show(_row(number, segment, counts))
    if not everything and len(numbered) > _MOST_STRETCHES:
        show(f"and {len(numbered) - _MOST_STRETCHES} more; --all lists them")
    show("over: ground speed. through: airspeed, where the wind is known.")
    show("To leave stretches out: leave_out = [3, 5] below [segments] in the measurements.")


def _row(number: int, segment: StretchMeans, used: bool) -> str:
    def shown(value: float, digits: int) -> str:
        return f"{value:.{digits}f}" if math.isfinite(value) else "-"

    kind = segment.kind if used else f"({segment.kind[: _KIND - 2]})"
    minutes, seconds = divmod(int(segment.start), 60)
    cells = (
        f"{minutes}:{seconds:02d}",
        shown(segment.duration, 0),
        shown(segment.amps, 2),
        shown(segment.volts, 2),
        shown(segment.watts, 1),
        shown(in_unit(segment.ground_speed, "km/h"), 1),
        shown(in_unit(segment.airspeed, "km/h"), 1),
        shown(segment.climb_rate, 1),
        shown(in_unit(segment.turn_rate, "deg/s"), 1),
    )
    return f"{number:3d}  {kind:{_KIND}}" + "".join(
        f"{cell:>{width}}" for cell, (_, _, width) in zip(cells, _COLUMNS, strict=True)
    )
