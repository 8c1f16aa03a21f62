"""``tradestudy grid``: a table and a map of all combinations of the values of one to three variables."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tradestudy.commands.key_grid.axes import read_axes
from tradestudy.errors import CommandError
from tradestudy.files import as_typed
from tradestudy.quantities import exactly
from tradestudy.study.edits.key_axis import KeyAxis

from . import folders, output, session
from .completion import axes
from .options import AsJson, ClusterAddress, FittedFile, OutFolder, Workers, study_keys, wing_options
from .study_request import StudyRequest
from .terminal import print_table, say, show

if TYPE_CHECKING:
    from tradestudy.results.grid_result import GridPoint, GridResult

_CHUNKS_A_TASK = 2  # number of chunks of a grid that take as long as one search
_LONGEST = 900.0  # s; a grid that takes longer needs --yes
_MOST_ROWS = 12  # designs that the terminal lists

_Axes = Annotated[
    list[str],
    typer.Argument(
        metavar="AXIS...",
        autocompletion=axes,
        help=(
            "One to three of span, sweep, washout, tip_chord, static_margin, cruise_speed, parallel, rod_diameter, "
            "rod_pairs, propeller, or any key of the study, such as fly.wind: name=first:last:step or name=a,b,c, in "
            'mm, deg, %, km/h or a unit of your own, as in "span=44:60:1 in".'
        ),
    ),
]
_Yes = Annotated[
    bool, typer.Option("--yes", help="Go on even if the grid takes more than a quarter of an hour at its first pace.")
]
_Best = Annotated[
    bool,
    typer.Option(
        "--best/--as-stock",
        help="At every point, search all that is on no axis, parts too; or leave it as on the stock wing, much faster.",
    ),
]


@study_keys
@wing_options
def grid(
    study: StudyRequest,
    axes: _Axes,
    best: _Best = True,
    yes: _Yes = False,
    as_json: AsJson = False,
    out: OutFolder = None,
    workers: Workers = None,
    cluster: ClusterAddress = None,
    fitted: FittedFile = None,
    requested: Any = None,
) -> None:
    """Compute every combination of a few values: the range of each wing, and the limit that stops it; with a map."""
    values = read_axes(axes, study.read)
    for name in values:
        if getattr(requested, name, None) is not None:
            raise CommandError(f"{name} is an axis of the grid and given as --{name.replace('_', '-')} as well.")
    from tradestudy.commands.design_grid import CHUNK
    from tradestudy.commands.design_grid import grid as compute_grid
    from tradestudy.commands.kept_results import results_folder
    from tradestudy.commands.key_grid.study_grid import study_grid

    folder = out or results_folder(study.read())
    keyed = any(isinstance(each, KeyAxis) for each in values.values())
    count = math.prod(len(each.values if isinstance(each, KeyAxis) else each) for each in values.values())
    command = f"tradestudy grid {study.name} {' '.join(map(as_typed, axes))}{'' if best else ' --as-stock'}"
    tasks = count if best or keyed else count // (_CHUNKS_A_TASK * CHUNK)
    with session.progress() as report:
        with session.open_session(
            study, command, report, folder, workers=workers, cluster=cluster, tasks=tasks, fitted=fitted
        ) as opened:
            compute = study_grid if keyed else compute_grid
            result = compute(opened, values, requested, best, math.inf if yes else _LONGEST)
        report("drawing the map")
        written: list[Path] = []
        with folders.after_the_answer(folder):
            written = save_grid(result, folder)
    if as_json:
        output.print_json_text(result.to_json())
        return
    _print(exactly(result), best)
    show()
    for path in written:
        show(f"Written: {path}")
    say(f"\n{output.CAUTION}")


def _print(result: GridResult, best: bool) -> None:
    """Print the number of designs that meet every limit, the best of them, and the limits that stop the others."""
    from collections import Counter

    met = sorted((p for p in result.points if p.met), key=lambda point: -(point.gain or 0.0))
    if met:
        say(f"{_point_words(result, met[0])}.")
    designs = "1 design" if len(result.points) == 1 else f"{len(result.points)} designs"
    say(f"{designs}, {len(met)} meet every limit; {result.others}.")
    if not best:
        say("Without --as-stock, all that is on no axis is searched for each design instead.")
    if met:
        shown = met[:_MOST_ROWS]
        if len(shown) < len(met):
            say(f"The best {len(shown)} of the {len(met)}; the table that is written has them all:")
        heads = [f"{axis.words} {axis.unit}".strip() for axis in result.axes]
        built = ["built with"] if best else []
        print_table(
            [*heads, f"{result.gain_words} {result.gain_unit}", "weight g", "cruise km/h", *built, "nearest limit"],
            [
                (
                    *(value if isinstance(value, str) else f"{value:g}" for value in point.values),
                    f"{point.gain:.1f}",
                    f"{point.auw_g:.0f}",
                    f"{point.cruise_speed_kmh:.1f}",
                    *([point.parts] if best else []),
                    point.limit_words,
                )
                for point in shown
            ],
        )
    if parts := result.winning_parts() if best else []:
        say("Which parts win where every limit is met:")
        for line in parts:
            say(line, "  ", "    ")
    stopped = Counter(point.limit_words for point in result.points if not point.met)
    for words, count in stopped.most_common():
        say(f"{count} stopped most by {words}", "  ", "    ")


def _point_words(result: GridResult, best: GridPoint) -> str:
    """Return one sentence on the best design of a grid."""
    at = ", ".join(
        f"{axis.words} {value if isinstance(value, str) else f'{value:g}'} {axis.unit}".strip()
        for axis, value in zip(result.axes, best.values, strict=True)
    )
    return f"Best within every limit: {at} gives {best.gain or 0.0:.0f} {result.gain_unit} at {best.auw_g:.0f} g"


def save_grid(result: GridResult, folder: Path) -> list[Path]:
    """Write table, JSON, map and page of a grid, and return the files."""
    from tradestudy.files import write_atomically
    from tradestudy.report.figures.all_figures import save_figure
    from tradestudy.report.figures.maps.grid_map import grid_map
    from tradestudy.report.page.map_page import grid_page
    from tradestudy.report.tables import grid_table

    name = "grid_" + "_".join(re.sub(r"[^\w.-]+", "-", axis.name) for axis in result.axes)
    return [
        write_atomically(folder / f"{name}.json", result.to_json().encode("utf-8")),
        write_atomically(folder / f"{name}.csv", grid_table(result).encode("utf-8")),
        *save_figure(grid_map(result), folder / "figures" / name),
        write_atomically(folder / f"{name}.html", grid_page(result).encode("utf-8")),
    ]
