"""``tradestudy optimise``: the best design, and the next best designs."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from tradestudy.errors import CommandError
from tradestudy.report.words.phrases import comma_list, design_number, search_words, stopping_limits
from tradestudy.report.words.purpose import measure

from . import output, result_tables, session
from .options import AsJson, Everything, search_options, share_of_draws, study_keys
from .study_request import StudyRequest
from .terminal import print_table, say, show

_Robust = Annotated[
    bool,
    typer.Option(
        "--robust", help="Meet all limits in most draws of the uncertain inputs and of the shop, not only as assumed."
    ),
]
_Chance = Annotated[
    str | None,
    typer.Option(
        "--chance", metavar="PERCENT", help="With --robust: the share of the draws, such as 95 %; 90 % if left out."
    ),
]
_USUAL_CHANCE = "90 %"


@study_keys
@search_options
def optimise(
    study: StudyRequest,
    everything: Everything = False,
    as_json: AsJson = False,
    robust: _Robust = False,
    chance: _Chance = None,
    search: Any = None,
) -> None:
    """Find the wing to build for the study's purpose, as run does, and the best wings within every limit."""
    from tradestudy.commands import optimise as command

    if chance is not None and not robust:
        raise CommandError("--chance goes with --robust, which asks for a wing that meets its limits that surely.")
    share = share_of_draws("--chance", chance or _USUAL_CHANCE)
    result = session.compute_search(
        "optimise",
        study,
        search,
        lambda opened: command.robust(opened, share) if robust else command.optimise(opened),
    )
    if as_json:
        _print_document(result)
    else:
        _print(result, study, everything)
    output.exit_unless(result.success)


def _print_document(result: Any) -> None:
    best, built = result.best, result.recommended
    output.print_document(
        result,
        recommended=built.summary() if built else None,
        best=best.summary() if best else None,
        variables=best.variables if best else {},
        active_limits=best.active_limits if best else [],
        conflict=result.conflict,
        advice=result.advice,
        solved=result.solved,
        pruned=result.pruned,
        robust=result.robust,
        alternatives=[design.summary() for design in result.alternatives],
        prices=result.prices,
    )


def _heading(result: Any) -> str:
    """Return the head of the table of the wings that go farthest, which are not the wing to build."""
    found = "The best wings found, best first" if result.alternatives else "The best wing found"
    return found if result.recommended is None else f"{found}; the wing to build is told above"


def _print(result: Any, study: StudyRequest, everything: bool) -> None:
    result_tables.print_decision(result)
    if everything:
        show()
        result_tables.print_numbers(result)
        show()
        result_tables.print_first_screen(result)
    if result.best and not result.conflict:
        show(f"\n{_heading(result)}:")
        objective = measure(result)
        print_table(
            ["built with", "span mm", f"{objective.axis} {objective.unit}", "weight g", "what limits it"][
                : None if everything else -1
            ],
            [
                (
                    design.choices.words,
                    design_number(design, "span_mm"),
                    design_number(design, objective.key, 1),
                    design_number(design, "auw_g"),
                    comma_list(stopping_limits(design, result)),
                )[: None if everything else -1]
                for design in (result.best, *result.alternatives)
            ],
        )
    result_tables.print_robust(result)
    if result.success and everything:
        say(f"\n{search_words(result)}")
    if everything:
        result_tables.print_prices(result)
    output.say_end(
        f"stretch {study}",
        "every number, and what each limit costs",
        everything,
    )
