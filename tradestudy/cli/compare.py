"""``tradestudy compare``: a comparison of two studies, or of two wings from earlier runs."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tradestudy.errors import CommandError, near_match
from tradestudy.report.words import comparison
from tradestudy.report.words.comparison import Side

from . import output, session
from .completion import studies_and_results, wing_names
from .folders import stored_result
from .options import AsJson, FittedFile, wing_options
from .terminal import print_table, say, show

if TYPE_CHECKING:
    from tradestudy.results.result import Result
    from tradestudy.study.study_comparison import KeyDifference

_WINGS = ("recommended", "best", "stock")

_First = Annotated[
    Path,
    typer.Argument(
        metavar="A",
        autocompletion=studies_and_results,
        help=("A study file, or a folder of results or the summary.json in it."),
    ),
]
_Second = Annotated[Path, typer.Argument(metavar="B", autocompletion=studies_and_results, help="The same.")]
_Wing = Annotated[
    str,
    typer.Option(
        "--wing",
        metavar="WHICH",
        autocompletion=wing_names,
        help=("Which wing of each: recommended (or the best one where none is), best, or stock."),
    ),
]
_Everything = Annotated[bool, typer.Option("--all", help="List equal numbers too.")]


@wing_options
def compare(
    a: _First,
    b: _Second,
    wing: _Wing = "recommended",
    everything: _Everything = False,
    as_json: AsJson = False,
    fitted: FittedFile = None,
    requested: Any = None,
) -> None:
    """Compare two wings: in words, number by number, and the differences between the study files.

    For a study file it is the wing that `run` recommends, with the changes that options request. --fitted applies to
    each study file.
    """
    if wing not in _WINGS:
        raise CommandError(f'--wing "{wing}" is not known.{near_match(wing, list(_WINGS))} Wings: {", ".join(_WINGS)}.')
    first, second = (_side(path, wing, requested, fitted) for path in (a, b))
    changed = _key_differences(first.result, second.result)
    if as_json:
        output.print_json(
            {
                "first": _document(a, first),
                "second": _document(b, second),
                "words": comparison.difference_sentences(first, second),
                "numbers": comparison.differences(first, second),
                "keys": [each._asdict() for each in changed],
            }
        )
        return
    for name, path, side in (("A", a, first), ("B", b, second)):
        say(f"{comparison.wing_name(side)}, from {path}", f"{name}: ", "   ")
        if side.result.which_wing:
            say(side.result.which_wing, "   ", "   ")
    show()
    for line in comparison.difference_sentences(first, second):
        say(line)
    show()
    rows = comparison.difference_rows(first, second, everything)
    if rows:
        print_table(["", "A", "B", "B less A"], rows)
        show()
    _print_keys(changed)
    say(f"{comparison.COMMON}\n\n{output.CAUTION}")


def _side(path: Path, wing: str, requested: Any, fitted: Path | None) -> Side:
    """Return the wing of a study file, a folder of results or a file of results.

    Raise CommandError if there is no such wing.
    """
    from tradestudy.commands.requested_wing import RequestedWing

    stored = os.path.isdir(path) or path.suffix.lower() == ".json"
    if stored and requested != RequestedWing():
        raise CommandError(f"{path} holds results of an earlier run; a wing can only be requested with a study file.")
    result = stored_result(path) if stored else _study_result(path, wing, requested, fitted)
    design = (
        result.stock
        if wing == "stock"
        else (result.best if wing == "best" else result.recommended or result.best or result.stock)
    )
    if design is None:
        raise CommandError(f"{path} holds no {wing} wing.")
    return Side(result, design)


def _study_result(path: Path, wing: str, requested: Any, fitted: Path | None) -> Result:
    from tradestudy.commands.kept_results import kept_result, results_folder
    from tradestudy.commands.requested_wing import RequestedWing
    from tradestudy.study.reader import read_study

    if requested == RequestedWing():
        read = read_study(path, fitted)
        kept = kept_result(results_folder(read.study.name), read)
        if kept is not None:
            return kept
        if wing == "best":
            raise CommandError(f"{path} has no kept results yet; tradestudy run {path} finds its best wing.")
    # imported here, since it imports OpenMDAO, which is not needed for results that exist already
    from tradestudy.commands import assess as command

    with (
        session.progress() as report,
        session.open_session(
            path, f"tradestudy compare {path.name}", report, for_one_wing=True, fitted=fitted
        ) as opened,
    ):
        return command.assess(opened, requested)


def _key_differences(first: Result, second: Result) -> list[KeyDifference]:
    """Return the differences between the study files of two results."""
    from tradestudy.study.study_comparison import study_differences

    assumed = [{used.key: used.value for used in result.defaults_used} for result in (first, second)]
    try:
        return study_differences(first.study_text, second.study_text, *assumed)
    except ValueError:
        raise CommandError("The results hold a study text that cannot be read.") from None


def _print_keys(changed: list[KeyDifference]) -> None:
    from tradestudy.study.study_comparison import ASSUMED

    given = [each for each in changed if not (each.first.endswith(ASSUMED) and each.second.endswith(ASSUMED))]
    follows = [each for each in changed if each not in given]
    if not changed:
        say("The study files have equal keys and values.")
    if given:
        show("Differences between the study files:")
        print_table(
            ["key", "A", "B", "meaning"],
            given,
            indent=2,
        )
    if follows:
        show("Left open in both and assumed differently:")
        print_table(
            ["key", "A", "B"],
            [(each.key, *(text.removesuffix(ASSUMED) for text in each[1:3])) for each in follows],
            indent=2,
        )
    show()


def _document(path: Path, side: Side) -> dict[str, Any]:
    from tradestudy.results.json_form import json_data

    design = side.design
    return {
        "from": str(path),
        "study": side.result.study_name,
        "command": side.result.command,
        "wing": side.result.which_wing,
        **design.summary(),
        "variables": json_data(design.variables),
        "limits": json_data(design.limits),
    }
