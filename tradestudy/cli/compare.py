"""``tradestudy compare``: a comparison of two studies, or of two wings from earlier runs."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tradestudy.errors import CommandError, near_match
from tradestudy.report.words import comparison
from tradestudy.report.words.comparison import Side
from tradestudy.report.words.phrases import set_key_words

from . import output, session
from .completion import settable_keys, studies_and_results, wing_names
from .folders import stored_result
from .options import AsJson, FittedFile, Settings, Units, system_of, wing_options
from .study_request import StudyRequest
from .terminal import print_table, say, show, use_units

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
_Second = Annotated[
    Path | None,
    typer.Argument(
        metavar="[B]", autocompletion=studies_and_results, help="The same; A again if left out, with keys of --with."
    ),
]
_With = Annotated[
    list[str] | None,
    typer.Option(
        "--with",
        metavar="KEY=VALUE",
        autocompletion=settable_keys,
        help='Set one key of the study in B alone, such as "fly.wind=8 m/s"; may be repeated. --set is for A and B.',
    ),
]
_Wing = Annotated[
    str,
    typer.Option(
        "--wing",
        metavar="WHICH",
        autocompletion=wing_names,
        help=("Which wing of each: recommended (or the best one where none is), best, or stock."),
    ),
]
_Everything = Annotated[bool, typer.Option("--all", help="Print everything, equal numbers too.")]
_MOST_ROWS, _MOST_KEYS = 20, 10  # differences of numbers, and of keys, that are listed without --all


@wing_options
def compare(
    a: _First,
    b: _Second = None,
    with_keys: _With = None,
    settings: Settings = None,
    wing: _Wing = "recommended",
    everything: _Everything = False,
    as_json: AsJson = False,
    fitted: FittedFile = None,
    units: Units = None,
    requested: Any = None,
) -> None:
    """Compare two wings: in words, number by number, and the differences between the study files.

    For a study file it is the wing that `run` recommends, with the changes that options request. --fitted and --set
    apply to each study file. Two variants of one study: tradestudy compare STUDY --with "KEY=VALUE".
    """
    if b is None and not with_keys:
        raise CommandError('Nothing to compare with. Name B, or give what differs: --with "fly.wind=8 m/s".')
    if wing not in _WINGS:
        raise CommandError(f'--wing "{wing}" is not known.{near_match(wing, list(_WINGS))} Wings: {", ".join(_WINGS)}.')
    one = StudyRequest(a, settings or ())
    other = StudyRequest(b or a, settings or (), [("--with", each) for each in with_keys or ()])
    for request in (one, other):
        if not _is_stored(request.path):
            request.read(fitted)  # a mistake in B is told before A is computed
    first, second = (_side(request, wing, requested, fitted) for request in (one, other))
    use_units(system_of(units) if units else first.result.units, as_json)
    changed = _key_differences(first.result, second.result)
    if as_json:
        output.print_json(
            {
                "first": _document(one, first),
                "second": _document(other, second),
                "words": comparison.difference_sentences(first, second),
                "numbers": comparison.differences(first, second),
                "keys": [each._asdict() for each in changed],
            }
        )
        return
    for line in comparison.difference_sentences(first, second):
        say(line)
    show()
    for name, request, side in (("A", one, first), ("B", other, second)):
        say(f"{comparison.wing_name(side)}, from {request.path}", f"{name}: ", "   ")
        if side.result.set_keys:
            say(set_key_words(side.result.set_keys), "   ", "   ")
        if side.result.which_wing:
            say(side.result.which_wing, "   ", "   ")
    show()
    rows = comparison.difference_rows(first, second, everything)
    if rows:
        print_table(["", "A", "B", "B less A"], rows if everything else rows[:_MOST_ROWS])
        show()
    _print_keys(changed, everything)
    say(comparison.COMMON)
    output.say_end("", "every number and key", everything)


def _side(request: StudyRequest, wing: str, requested: Any, fitted: Path | None) -> Side:
    """Return the wing of a study file, a folder of results or a file of results.

    Raise CommandError if there is no such wing.
    """
    from tradestudy.commands.requested_wing import RequestedWing

    path = request.path
    stored = _is_stored(path)
    if stored and (requested != RequestedWing() or request.changes):
        what = "a wing can only be requested" if requested != RequestedWing() else "keys can only be set"
        raise CommandError(f"{path} holds results of an earlier run; {what} with a study file.")
    result = stored_result(path) if stored else _study_result(request, wing, requested, fitted)
    design = (
        result.stock
        if wing == "stock"
        else (result.best if wing == "best" else result.recommended or result.best or result.stock)
    )
    if design is None:
        raise CommandError(f"{path} holds no {wing} wing.")
    return Side(result, design)


def _is_stored(path: Path) -> bool:
    """Return whether a path names results, and no study file."""
    return os.path.isdir(path) or path.suffix.lower() == ".json"


def _study_result(study: StudyRequest, wing: str, requested: Any, fitted: Path | None) -> Result:
    from tradestudy.commands.kept_results import kept_result, results_folder
    from tradestudy.commands.requested_wing import RequestedWing

    if requested == RequestedWing():
        read = study.read(fitted)
        kept = kept_result(results_folder(read), read)
        if kept is not None:
            return kept
        if wing == "best":
            raise CommandError(f"{study} has no kept results yet; tradestudy run {study} finds its best wing.")
    # imported here, since it imports OpenMDAO, which is not needed for results that exist already
    from tradestudy.commands import assess as command

    with (
        session.progress() as report,
        session.open_session(
            study, f"tradestudy compare {study.name}", report, for_one_wing=True, fitted=fitted
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


def _print_keys(changed: list[KeyDifference], everything: bool) -> None:
    from tradestudy.study.study_comparison import ASSUMED

    given = [each for each in changed if not (each.first.endswith(ASSUMED) and each.second.endswith(ASSUMED))]
    follows = [each for each in changed if each not in given]
    if not changed:
        say("The study files have equal keys and values.")
    if given:
        show("Differences between the study files:")
        print_table(
            ["key", "A", "B", "meaning"],
            given if everything else given[:_MOST_KEYS],
            indent=2,
        )
    if follows and everything:
        show("Left open in both and assumed differently:")
        print_table(
            ["key", "A", "B"],
            [(each.key, *(text.removesuffix(ASSUMED) for text in each[1:3])) for each in follows],
            indent=2,
        )
    show()


def _document(request: StudyRequest, side: Side) -> dict[str, Any]:
    from tradestudy.results.json_form import json_data

    design = side.design
    return {
        "from": str(request.path),
        "set_keys": json_data(side.result.set_keys),
        "study": side.result.study_name,
        "command": side.result.command,
        "wing": side.result.which_wing,
        **design.summary(),
        "variables": json_data(design.variables),
        "limits": json_data(design.limits),
    }
