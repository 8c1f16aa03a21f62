"""``tradestudy assess``: one stretched design in full, beside the stock wing."""

from __future__ import annotations

from typing import Any

from . import shared
from .app import CAUTION, Anyway, AsJson, FittedFile, OutFolder, StudyPath, print_json, print_table, say


@shared.asks_for_a_design
def assess(
    study: StudyPath,
    as_json: AsJson = False,
    out: OutFolder = None,
    anyway: Anyway = False,
    fitted: FittedFile = None,
    asked: Any = None,
) -> None:
    """Assess one stretched design in full, beside the stock wing; without options, half way to the longest span."""
    from tradestudy.commands import assess as command
    from tradestudy.report.words.load_test import BAG_HEADS, LOAD_TEST_HEADS, bag_rows, load_test_rows, load_test_words
    from tradestudy.report.words.number_table import section_heads, section_notes, section_rows
    from tradestudy.report.words.verdicts import HANDLING_NOTE, verdicts

    result = shared.one_design("assess", study, out, fitted, lambda opened: command.assess(opened, asked), anyway)
    designs = [design for design in (result.stock, result.best) if design]
    if as_json:
        print_json(
            shared.document(
                result,
                designs=[
                    {
                        **design.summary(),
                        "drag_breakdown": design.drag_breakdown,
                        "load_test": design.load_test,
                        "structure": design.structure,
                        "structure_checks": design.structure_checks,
                    }
                    for design in designs
                ],
                handling=[row._asdict() for row in verdicts(result)],
                calibration=result.calibration,
                calibration_notes=result.calibration_notes,
                sections=result.sections,
            )
        )
        if out:
            shared.refuse(result, anyway, "speed card", study, fitted)
        return
    print_table(*shared.side_by_side(result))
    print()
    handled = verdicts(result)
    print("How it will handle:")
    print_table(["", "stock", "stretched", "verdict"], [row[:4] for row in handled])
    say(HANDLING_NOTE, "  ")
    print()
    shared.print_drag(result)
    print()
    print_table(["limit", "now", "asked", "", "asked by"], shared.limit_rows(designs[-1]))
    print()
    shared.print_structure(result)
    print()
    print_table(["load test on the bench", *(head.lower() for head in LOAD_TEST_HEADS[1:])], load_test_rows(result))
    print_table(
        [
            "proof load, each side",
            *(head[:1].lower() + head[1:].replace("[", "").replace("]", "") for head in BAG_HEADS[1:]),
        ],
        bag_rows(result),
    )
    for line in load_test_words(result):
        say(line, "  ")
    print()
    print("The stock wing, measured and modelled:")
    print_table(["", "measured", "model before", "model after", "", "tied by"], shared.tie_rows(result))
    for line in result.calibration_notes:
        say(line, "  ")
    print()
    print_table(
        ["the section", *section_heads(result), ""],
        [(words, *figures, unit) for words, unit, figures in section_rows(result)],
    )
    for line in section_notes(result):
        say(line, "  ")
    print()
    for line in dict.fromkeys([*result.notes, *(flag for design in designs for flag in design.flags)]):
        say(f"Note: {line}.")
    print()
    say(f"{shared.verdict(result)} Next: tradestudy optimise {study}")
    print()
    say(CAUTION)
    if out:
        shared.refuse(result, anyway, "speed card", study, fitted)
