"""``tradestudy front``: the best value of one quantity at each level of another quantity."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from tradestudy.report.builds_words import front_build_heads, front_build_rows, front_build_words
from tradestudy.report.words.gains import distinct_wings, front_words, is_as_today, is_no_change, knee_words, named_wing
from tradestudy.report.words.phrases import comma_list, design_number, letter_of, stopping_limits, violated_limits
from tradestudy.report.words.purpose import front_axes

from . import output, result_tables, session
from .completion import optimised, quantities
from .options import AsJson, ClusterAddress, Everything, FittedFile, OutFolder, Search, Workers, study_keys
from .study_request import StudyRequest
from .terminal import print_table, say, show

if TYPE_CHECKING:
    from tradestudy.results.design import Design
    from tradestudy.results.result import Result

_MOST_WINGS = 9  # wings of the front that are listed without --all
_Of = Annotated[
    str | None,
    typer.Option(
        "--of",
        metavar="QUANTITY",
        autocompletion=optimised,
        help=(
            "Quantity to optimise; the study's purpose if left out. More is better: range, out_and_home, "
            "usual_flight, endurance, cruise_speed, failure_load_factor, climb. Less is better: flying_weight, span, "
            "wing_loading, "
            "stall_speed."
        ),
    ),
]
_Against = Annotated[
    list[str],
    typer.Option(
        "--against",
        metavar="QUANTITY",
        autocompletion=quantities,
        help=(
            "What it is traded against: one of the same, pack_energy, price or payload. Give it twice for a front of "
            "three quantities."
        ),
    ),
]
_Points = Annotated[
    int,
    typer.Option(
        "--points",
        min=2,
        max=200,
        metavar="N",
        help=("About how many wings, evenly spaced in the second quantity; of three, how many combinations of levels."),
    ),
]


_BY_WEIGHT = ["flying_weight"]


@study_keys
def front(
    study: StudyRequest,
    of: _Of = None,
    against: _Against = _BY_WEIGHT,
    points: _Points = 25,
    everything: Everything = False,
    as_json: AsJson = False,
    out: OutFolder = None,
    workers: Workers = None,
    cluster: ClusterAddress = None,
    fitted: FittedFile = None,
) -> None:
    """Show the best wing at each flying weight, or at each level of one or two other quantities."""
    from tradestudy.commands import trade

    trade.traded_in(study.read(fitted), of, against)  # what cannot be traded is told before the model is made
    search = Search(out, workers, cluster, fitted)
    result = session.compute_search("front", study, search, lambda opened: trade.front(opened, of, against, points))
    if as_json:
        output.print_document(
            result,
            points=[design.summary() for design in result.front or result.builds],
            steps=[design.summary() for design in result.steps],
            conflict=result.conflict,
            advice=result.advice,
            traded=result.traded or result.builds_traded,
        )
        output.exit_unless(result.success)
        return

    if result.conflict:
        result_tables.print_conflict(result)
    for words in named_wing(result):
        say(words)
    if result.builds_traded:
        show()
        print_builds(result)
        say(f"\n{output.CAUTION}")
        output.exit_unless(result.success)
        return
    shown = distinct_wings(result)
    for words in knee_words(result):
        say(words)
    show()
    if not everything:
        shown = output.some(shown, _MOST_WINGS, lambda design: design.label == "knee")
    built = result.recommended
    apart = built and not is_as_today(built, result.stock) and not any(is_same(wing, built) for wing in shown)
    rows = [
        ("stock wing", result.stock),
        *([("recommended", built)] if built and apart else []),
        *((step_name(d), d) for d in result.steps if not is_no_change(d, result.stock)),
        *(("recommended" if is_same(d, built) else "knee" if d.label == "knee" else "", d) for d in shown),
    ]
    up, along = front_axes(result)
    print_table(
        [
            "",
            *(f"{axis.words} {axis.unit}" for axis in (along, up)),
            "span mm",
            "built with",
            *(["what limits it"] if everything else []),
        ],
        [
            (
                label,
                *(design_number(d, axis.key, axis.digits) for axis in (along, up)),
                design_number(d, "span_mm"),
                d.choices.words,
                *([comma_list(stopping_limits(d, result))] if everything else []),
            )
            for label, d in rows
        ],
    )
    for words in front_words(result, shown):
        say(f"\n{words}")
    output.say_end(f"run {study}", "every wing, and what limits it", everything)
    output.exit_unless(result.success)


def is_same(wing: Design, other: Design | None) -> bool:
    """Return whether two wings of a result are one: the same parts and numbers."""
    return other is not None and (wing.choices, wing.numbers) == (other.choices, other.numbers)


def step_name(step: Design) -> str:
    """Return the name of a single change, and whether it breaks a limit."""
    return f"{step.label}, breaks a limit" if violated_limits(step) else step.label


def print_builds(result: Result) -> None:
    """Print the builds of a front of several quantities: their numbers, then what each is built with, and the words."""
    letters = [letter_of(index) for index in range(len(result.builds))]
    heads = [head.replace("[", "").replace("]", "") for head in front_build_heads(result)]
    rows, first = front_build_rows(result, letters), heads.index("Built with")
    print_table(heads[:first], [row[:first] for row in rows])
    show()
    for row in rows:
        built, limits, *ends = row[first:]
        more = f" Its payload is ended by: {ends[0]}." if ends and ends[0] else ""
        say(f"{row[0]}: {built}. Limited by: {limits}.{more}", hanging="   ")
    for words in front_build_words(result):
        show()
        say(words)
