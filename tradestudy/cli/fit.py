"""``tradestudy fit``: a fit of the model's factors to measurements of the stock wing on the bench and in flight."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from tradestudy.files import as_typed
from tradestudy.quantities import exactly

from . import folders, session
from .options import AsJson, Everything, OutFolder, StudyPath, Units, use_chosen_units
from .output import CAUTION, print_json
from .terminal import print_table, say, show

_MOST_NEXT = 4  # measurements to make next that are listed without --all
_MeasurementsFile = Annotated[
    Path, typer.Argument(metavar="MEASUREMENTS", help="A TOML file of measurements, with the columns of the logs.")
]
_Logs = Annotated[list[Path] | None, typer.Argument(metavar="[LOG]...", help="Flight logs (CSV), any number.")]
_Output = Annotated[
    Path | None,
    typer.Option(
        "--output", metavar="FILE", help=("Where to write the factors, for the option --fitted of other commands.")
    ),
]


def fit(
    study: StudyPath,
    measurements: _MeasurementsFile,
    logs: _Logs = None,
    output: _Output = None,
    out: OutFolder = None,
    everything: Everything = False,
    as_json: AsJson = False,
    units: Units = None,
) -> None:
    """Fit factors of the model to measurements, and show what to measure next."""
    from tradestudy.commands.fit import fit as fit_study
    from tradestudy.files import write_atomically
    from tradestudy.report.logbook.fit_figure import save_fit

    use_chosen_units(units, study, as_json)
    written: Path | None = None
    folders.make_folder(output.parent if output else None)
    folders.make_folder(out)
    with session.progress() as report:
        result = fit_study(study, measurements, logs or [], report)
        if output:
            with folders.after_the_answer(output.parent):
                written = write_atomically(output, result.overlay.encode("utf-8"))
        if out:
            with folders.after_the_answer(out):
                save_fit(result.document, out)
    if as_json:
        print_json(result.document)
        return
    print_fit(exactly(result.document), everything)
    if written:
        say(f"Written: {written}. Use it with --fitted {as_typed(written)}.")
    say(CAUTION)


def print_fit(fit: dict[str, Any], everything: bool = True) -> None:
    """Print the tables and sentences of a fit. Without ``everything``, the answer, the factors and what is next."""
    from tradestudy.report.fit_tables import (
        FACTOR_HEADS,
        NEXT_HEADS,
        READING_HEADS,
        doubt_words,
        factor_table,
        next_table,
        next_words,
        range_words,
        reading_table,
    )

    for line in range_words(fit):
        say(line)
    show()
    print_table(FACTOR_HEADS, factor_table(fit))
    for line in doubt_words(fit):
        say(line)
    show()
    if everything:
        for line in (*fit["kept"], *fit["checks"], *fit["notes"]):
            say(line)
        show()
        if fit["readings"]:
            print_table(READING_HEADS, reading_table(fit))
            show()
    following = next_table(fit)
    print_table(NEXT_HEADS, following if everything else following[:_MOST_NEXT])
    say(next_words(fit))
    if not everything:
        say("--all prints every reading, what was kept, and what to check.")
