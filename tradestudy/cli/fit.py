"""``tradestudy fit``: the model of the stock wing fitted to what was weighed, loaded, glided and flown."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from . import shared
from .app import CAUTION, AsJson, OutFolder, StudyPath, print_json, print_table, say

MeasurementsFile = Annotated[
    Path, typer.Argument(metavar="MEASUREMENTS", help="A TOML file: what was measured, and the columns of the logs.")
]
Logs = Annotated[list[Path] | None, typer.Argument(metavar="[LOG]...", help="Flight logs (CSV), any number.")]
Output = Annotated[
    Path | None,
    typer.Option("--output", metavar="FILE", help=("Where to write the factors, for --fitted of other commands.")),
]


def fit(
    study: StudyPath,
    measurements: MeasurementsFile,
    logs: Logs = None,
    output: Output = None,
    out: OutFolder = None,
    as_json: AsJson = False,
) -> None:
    """Fit the model to measurements; say what they tell, and what to measure next."""
    from tradestudy.commands.fit import fit_of
    from tradestudy.files import write_atomically
    from tradestudy.report.figures.fit import save_fit

    with shared.progress() as tell:
        found = fit_of(study, measurements, logs or [], tell)
        if output:
            shared.writable(output.parent)
            write_atomically(output, found.overlay.encode("utf-8"))
        if out:
            shared.writable(out)
            save_fit(found.told, out)
    if as_json:
        print_json(found.told)
        return
    print_fit(found.told)
    if output:
        say(f"Written: {output}. Use it with --fitted {output}.")
    say(CAUTION)


def print_fit(told: dict[str, Any]) -> None:
    """Print what a fit has to tell."""
    from tradestudy.report.fit_tables import (
        FACTOR_HEADS,
        NEXT_HEADS,
        READING_HEADS,
        factor_table,
        next_table,
        next_words,
        range_words,
        reading_table,
    )

    for note in told["notes"]:
        say(note)
    if told["readings"]:
        print_table(READING_HEADS, reading_table(told))
        print()
    print_table(FACTOR_HEADS, factor_table(told))
    print()
    for line in (*range_words(told), *told["kept"], *told["checks"]):
        say(line)
    print()
    print_table(NEXT_HEADS, next_table(told))
    say(next_words(told))
