"""``tradestudy buildsheet``: what the bench needs of one wing, on paper, with templates at full size."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tradestudy.errors import CommandError

from . import shared
from .app import CAUTION, Anyway, AsJson, OutFolder, StudyPath, print_json, say
from .completion import papers

if TYPE_CHECKING:
    from tradestudy.results.result import Result

Paper = Annotated[str, typer.Option("--paper", metavar="SIZE", autocompletion=papers, help="a4 or letter.")]
WithDxf = Annotated[bool, typer.Option("--dxf", help="Write DXF files too; needs the library ezdxf.")]


@shared.asks_for_a_design
def buildsheet(
    study: StudyPath,
    paper: Paper = "a4",
    with_dxf: WithDxf = False,
    anyway: Anyway = False,
    as_json: AsJson = False,
    out: OutFolder = None,
    asked: Any = None,
) -> None:
    """Write the build sheet of one wing: the one `run` recommended, or the one that options ask for.

    Without options and without kept results it is that of `assess`: half way to the longest span.
    """
    from tradestudy.commands import assess as command
    from tradestudy.commands.requested_wing import RequestedWing
    from tradestudy.report.build_sheet.sheet import PAPERS, SHEETS
    from tradestudy.report.build_sheet.template_files import DXF_MISSING, dxf_is_possible
    from tradestudy.study.reader import read_study

    paper = paper.lower()
    if paper not in PAPERS:
        raise CommandError(f'--paper "{paper}" is not known; papers: {", ".join(PAPERS)}.')
    if with_dxf and not dxf_is_possible():
        raise CommandError(f"--dxf: {DXF_MISSING}")
    read = read_study(study)
    folder = out or shared.results_folder(read.study.name)
    result = kept_result(folder, read.text) if asked == RequestedWing() else None
    by_hand = result is None
    with shared.progress() as tell:
        if result is None:
            result = command.assess(shared.open_work(study, f"tradestudy buildsheet {study.name}", tell), asked)
        design = result.recommended or result.best
        assert design is not None
        shared.refuse(result, anyway, SHEETS, study)  # before there is so much as a folder
        if by_hand and out is None:
            folder = folder / f"wing_{design.numbers.span_mm:.0f}_mm"
        shared.writable(folder)
        tell("drawing the build sheet")
        written = shared.write_build_sheet(result, folder, paper, with_dxf, beside=by_hand, anyway=anyway)
    if as_json:
        print_json(
            shared.document(
                result, design=design.summary(), cutting=design.cutting, files=[str(path) for path in written]
            )
        )
        return
    which = f"the {design.label} one of the results kept here"
    if by_hand:
        which = (
            "half way to the longest span; run the study for the one it recommends"
            if asked == RequestedWing()
            else "as asked for"
        )
    say(f"A wing of {design.numbers.span_mm:.0f} mm span, {which}.")
    if result.violated_limits:
        say(result.message)
    for path in written:
        print(f"  {path}")
    say(f"Print at 100 % and measure the check square first.\n\n{CAUTION}")


def kept_result(folder: Path, study_text: str) -> Result | None:
    """Return the results that `run` kept in a folder; None unless they are whole and of this very study."""
    from tradestudy import __version__
    from tradestudy.results.result import result_from_json

    file = folder / "summary.json"
    try:
        result = result_from_json(file.read_text(encoding="utf-8"))
    except (OSError, ValueError, TypeError, KeyError):  # none there, half of one, or of another make
        return None
    same = result.study_text == study_text and result.versions.get("tradestudy") == __version__
    design = result.recommended
    return result if same and design is not None and design.cutting else None
