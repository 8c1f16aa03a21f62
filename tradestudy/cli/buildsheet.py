"""``tradestudy buildsheet``: the build sheet of one wing, with templates at full size."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from tradestudy.errors import CommandError
from tradestudy.quantities import exactly

from . import folders, output, session
from .completion import papers
from .options import Anyway, AsJson, FittedFile, OutFolder, study_keys, wing_options
from .study_request import StudyRequest
from .terminal import say, show

_Paper = Annotated[str, typer.Option("--paper", metavar="SIZE", autocompletion=papers, help="a4 or letter.")]
_WithDxf = Annotated[bool, typer.Option("--dxf", help="Write DXF files too; needs the library ezdxf.")]

_WingName = Annotated[
    str | None,
    typer.Option("--name", metavar="NAME", help="Name of this wing in the logbook, for the flights after it is built."),
]


@study_keys
@wing_options
def buildsheet(
    study: StudyRequest,
    paper: _Paper = "a4",
    with_dxf: _WithDxf = False,
    anyway: Anyway = False,
    as_json: AsJson = False,
    out: OutFolder = None,
    fitted: FittedFile = None,
    wing_name: _WingName = None,
    requested: Any = None,
) -> None:
    """Write the build sheet of one wing: the one that `run` recommends, with the changes that options request.

    If `run` has left its results, the wing is taken from there. Otherwise it is found now.
    """
    from tradestudy.commands import assess as command
    from tradestudy.commands.kept_results import RECORD, kept_result, results_folder
    from tradestudy.commands.logbook.built_wing import built_from_design, refuse_wing_name
    from tradestudy.commands.requested_wing import RequestedWing
    from tradestudy.report.build_sheet.body_file import BODY_FILE_MISSING, body_file_is_possible
    from tradestudy.report.build_sheet.sheet import PAPERS, SHEETS
    from tradestudy.report.build_sheet.template_files import DXF_MISSING, dxf_is_possible
    from tradestudy.report.words.gains import advice_words, keeps_panels
    from tradestudy.study.logbook.wings_file import write_wing

    paper = paper.lower()
    if paper not in PAPERS:
        raise CommandError(f'--paper "{paper}" is not known; papers: {", ".join(PAPERS)}.')
    if with_dxf and not dxf_is_possible():
        raise CommandError(f"--dxf: {DXF_MISSING}")
    read = study.read(fitted)
    if wing_name is not None:
        refuse_wing_name(read, wing_name)
    folder = out or results_folder(read)
    as_recommended = requested == RequestedWing()
    places = dict.fromkeys([folder, results_folder(read)] if as_recommended else [])
    kept = next(filter(None, (kept_result(place, read) for place in places)), None)
    with session.progress() as report:
        if kept is None:
            name = f"tradestudy buildsheet {study.name}"
            searched = out if out and (out / RECORD).is_file() else None  # no folder is made for a wing that is refused
            with session.open_session(study, name, report, searched, for_one_wing=True, fitted=fitted) as opened:
                result = command.assess(opened, requested)
        else:
            result = kept
        design = result.recommended or result.best
        assert design is not None
        folders.refuse_violations(result, anyway, SHEETS, study)  # checked before any folder is made
        if not as_recommended and out is None:
            folder = folder / f"wing_{design.numbers.span_mm:.0f}_mm"
        folders.make_folder(folder)
        report("drawing the build sheet")
        written = folders.write_build_sheet(
            result, folder, paper, with_dxf=with_dxf, with_result=kept is None, anyway=anyway
        )
        if wing_name is not None:
            with folders.file_errors(read.path.parent):
                written.append(write_wing(read.path, built_from_design(wing_name, design)))
    if as_json:
        output.print_document(
            result,
            wing=result.which_wing,
            design=design.summary(),
            cutting=design.cutting,
            files=[str(path) for path in written],
        )
        return
    for line in advice_words(result):
        say(line)
    say(f"A wing of {exactly(design.numbers.span_mm):.0f} mm span. {result.which_wing}")
    if result.violated_limits:
        say(result.message)
    for path in written:
        show(f"  {path}")
    if not body_file_is_possible():
        say(BODY_FILE_MISSING)
    print_first = "" if keeps_panels(design) else "Print at 100 % and measure the check square first.\n"
    say(f"{print_first}\n{output.CAUTION}")
