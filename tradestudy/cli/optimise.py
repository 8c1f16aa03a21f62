"""``tradestudy optimise``: the best design, and the next best."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from . import shared
from .app import CAUTION, AsJson, StudyPath, print_json, print_table, say

Robust = Annotated[
    bool,
    typer.Option(
        "--robust",
        help="Hold every limit in most of the ways the wing may come out, by the bands of what is not known.",
    ),
]
Chance = Annotated[str, typer.Option("--chance", help="With --robust: in how many of 100 ways, such as 95 %.")]


@shared.searches
def optimise(
    study: StudyPath, as_json: AsJson = False, robust: Robust = False, chance: Chance = "90 %", how: Any = None
) -> None:
    """Find the design that serves the study's purpose best within every limit, and name the limits that stop it."""
    from tradestudy.commands import optimise as command

    share = shared.share_asked("--chance", chance)
    result = shared.searched(
        "optimise", study, how, lambda work: command.robust(work, share) if robust else command.optimise(work)
    )
    best = result.best
    if as_json:
        print_json(
            shared.document(
                result,
                best=best.summary() if best else None,
                variables=best.variables if best else {},
                active_limits=best.active_limits if best else [],
                conflict=result.conflict,
                solved=result.solved,
                pruned=result.pruned,
                robust=result.robust,
                alternatives=[design.summary() for design in result.alternatives],
                prices=result.prices,
            )
        )
        raise_exit(result.success)
        return
    from tradestudy.report.words.phrases import comma_list, design_number, search_words, stopping_limits
    from tradestudy.report.words.purpose import measure

    print_table(*shared.side_by_side(result))
    print()
    shared.print_first_screen(result)
    if result.alternatives:
        print("\nNext best:")
        known = measure(result)
        print_table(
            ["what is bought", "span mm", f"{known.axis} {known.unit}", "weight g", "what stops it"],
            [
                (
                    d.choices.words,
                    design_number(d, "span_mm"),
                    design_number(d, known.key, 1),
                    design_number(d, "auw_g"),
                    comma_list(stopping_limits(d, result)),
                )
                for d in result.alternatives
            ],
        )
    shared.print_sureness(result)
    if result.success:
        say(f"\n{search_words(result)}")
    shared.print_slack(result)
    print()
    say(CAUTION)
    raise_exit(result.success)


def raise_exit(success: bool) -> None:
    """End with exit code 1 when no design meets every limit."""
    if not success:
        import typer

        raise typer.Exit(1)
