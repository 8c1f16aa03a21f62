"""``tradestudy compare``: two studies, or two wings kept from earlier runs, side by side."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tradestudy.errors import CommandError, near_match

from . import shared
from .app import CAUTION, AsJson, print_json, print_table, say
from .completion import studies_and_results, wings

if TYPE_CHECKING:
    from tradestudy.report.words.comparison import Side
    from tradestudy.results.result import Result
    from tradestudy.study.study_comparison import KeyDifference

WINGS = ("recommended", "best", "stock")
KEPT = ("summary.json", "build_sheet.json")  # in a folder of results, in this order
A = Annotated[
    Path,
    typer.Argument(
        metavar="A",
        autocompletion=studies_and_results,
        help=("A study file, or a folder of results or the summary.json in it."),
    ),
]
B = Annotated[Path, typer.Argument(metavar="B", autocompletion=studies_and_results, help="The same.")]
Wing = Annotated[
    str,
    typer.Option(
        "--wing",
        metavar="WHICH",
        autocompletion=wings,
        help=("Which wing of each: recommended (or the best one where none is), best, or stock."),
    ),
]
Everything = Annotated[bool, typer.Option("--all", help="List numbers that are alike as well.")]


@partial(shared.asks_for_a_design)
def compare(
    a: A, b: B, wing: Wing = "recommended", everything: Everything = False, as_json: AsJson = False, asked: Any = None
) -> None:
    """Compare two studies or two kept wings: in words, number by number, and what differs in the study files.

    Of a study file it is the wing that `run` recommended, where its results are kept and of this very file; else, or
    where options ask for one, that of `assess`.
    """
    from tradestudy.report.words import comparison

    if wing not in WINGS:
        raise CommandError(f'--wing "{wing}" is not known.{near_match(wing, list(WINGS))} Wings: {", ".join(WINGS)}.')
    first, second = (side_of(path, wing, asked) for path in (a, b))
    changed = differing_keys(first.result, second.result)
    if as_json:
        print_json(
            {
                "first": _told(a, first),
                "second": _told(b, second),
                "words": comparison.difference_sentences(first, second),
                "numbers": comparison.differences(first, second),
                "keys": [each._asdict() for each in changed],
            }
        )
        return
    for name, path, side in (("A", a, first), ("B", b, second)):
        say(f"{comparison.wing_name(side)}, from {path}", f"{name}: ", "   ")
    print()
    for line in comparison.difference_sentences(first, second):
        say(line)
    print()
    rows = comparison.difference_rows(first, second, everything)
    if rows:
        print_table(["", "A", "B", "B less A"], rows)
        print()
    _print_keys(changed)
    say(f"{comparison.COMMON}\n\n{CAUTION}")


def side_of(path: Path, wing: str, asked: Any) -> Side:
    """Return the wing that a study file, a folder of results or a file of results stands for. Raises CommandError."""
    from tradestudy.commands.requested_wing import RequestedWing
    from tradestudy.report.words.comparison import Side

    stored = path.is_dir() or path.suffix.lower() == ".json"
    if stored and asked != RequestedWing():
        raise CommandError(f"{path} holds results of an earlier run; a wing can only be asked for of a study file.")
    result = stored_result(path) if stored else _result_of_study(path, wing, asked, asked == RequestedWing())
    design = (
        result.stock
        if wing == "stock"
        else (result.best if wing == "best" else result.recommended or result.best or result.stock)
    )
    if design is None:
        raise CommandError(f"{path} holds no {wing} wing.")
    return Side(result, design)


def stored_result(path: Path) -> Result:
    """Return the result kept in a file, or in a folder. Raises CommandError where there is none."""
    from tradestudy.results.result import result_from_json

    file = next((path / name for name in KEPT if (path / name).is_file()), None) if path.is_dir() else path
    if file is None:
        raise CommandError(f"{path} holds no results: {KEPT[0]} is wanted in it, which tradestudy run writes.")
    try:
        return result_from_json(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise CommandError(f"{file} cannot be read: {error.strerror or error}.") from None
    except (CommandError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise CommandError(
            f"{file} is not the summary.json of a run, or only part of one, or of another version."
        ) from None


def _result_of_study(path: Path, wing: str, asked: Any, may_be_kept: bool) -> Result:
    from tradestudy.study.reader import read_study

    from .buildsheet import kept_result

    read = read_study(path)
    kept = kept_result(shared.results_folder(read.study.name), read.text) if may_be_kept else None
    if kept is not None:
        return kept
    if wing == "best" and may_be_kept:
        raise CommandError(f"{path} has no kept results yet; tradestudy run {path} finds its best wing.")
    from tradestudy.commands import assess as command  # OpenMDAO, which kept results do without

    with shared.progress() as tell:
        return command.assess(shared.open_work(path, f"tradestudy compare {path.name}", tell, keep=False), asked)


def differing_keys(first: Result, second: Result) -> list[KeyDifference]:
    """Return what differs in the study files of two results."""
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
        say("The study files tell the same.")
    if given:
        print("What differs in the study files:")
        print_table(
            ["key", "A", "B", "meaning"],
            given,
            indent=2,
        )
    if follows:
        print("Left open in both and assumed differently:")
        print_table(
            ["key", "A", "B"],
            [(each.key, *(text.removesuffix(ASSUMED) for text in each[1:3])) for each in follows],
            indent=2,
        )
    print()


def _told(path: Path, side: Side) -> dict[str, Any]:
    from tradestudy.results.json_form import json_data

    design = side.design
    return {
        "from": str(path),
        "study": side.result.study_name,
        "command": side.result.command,
        **design.summary(),
        "variables": json_data(design.variables),
        "limits": json_data(design.limits),
    }
