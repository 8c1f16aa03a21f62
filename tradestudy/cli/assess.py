"""``tradestudy assess``: all results of one stretched design, compared with the stock wing."""

from __future__ import annotations

from typing import Any

from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.quantities import in_unit
from tradestudy.report import balance_words
from tradestudy.report.words import load_test
from tradestudy.report.words.gains import is_as_today, why_not_words
from tradestudy.report.words.number_table import section_heads, section_notes, section_rows
from tradestudy.report.words.structure import TAKE_CARE
from tradestudy.report.words.verdicts import HANDLING_NOTE, verdicts

from . import folders, output, result_tables, session
from .options import Anyway, AsJson, Everything, FittedFile, OutFolder, study_keys, wing_option_words, wing_options
from .study_request import StudyRequest
from .terminal import print_table, say, show

AS_RECOMMENDED = RequestedWing()
_BRIEF = (
    "span_mm",
    "wing_area_dm2",
    "auw_g",
    "cg_mm",
    "cg_front_mm",
    "cg_back_mm",
    "pack_position_mm",
    "cruise_speed_kmh",
    "range_km",
    "radius_km",
    "endurance_min",
    "cruise_current_a",
    "stall_speed_kmh",
    "top_speed_kmh",
    "advised_speed_kmh",
    "climb_ms",
    "failure_load_factor",
)  # the numbers that stand without --all


@study_keys
@wing_options
def assess(
    study: StudyRequest,
    everything: Everything = False,
    as_json: AsJson = False,
    out: OutFolder = None,
    anyway: Anyway = False,
    fitted: FittedFile = None,
    requested: Any = None,
) -> None:
    """Assess the wing that `run` recommends, or one that options change, in full beside the stock wing."""
    from tradestudy.commands import assess as command

    result = session.compute_design(
        "assess", study, out, fitted, lambda opened: command.assess(opened, requested), anyway
    )
    if as_json:
        _print_document(result)
    else:
        result_tables.print_decision(result)
        same = ["It is today's wing, so both columns are the same."] if _is_todays_wing(result) else []
        say("\n" + " ".join([result.which_wing, *same, *why_not_words(result)]) + "\n")
        if everything:
            _print(result)
        else:
            _print_brief(result)
        output.say_end(
            _next_command(result, study, requested),
            "every number, limit, load and test of both wings",
            everything,
        )
    if out:
        folders.refuse_violations(result, anyway, "speed card", study)


def _next_command(result: Any, study: StudyRequest, requested: RequestedWing = AS_RECOMMENDED) -> str:
    """Return what to ask next: what to build, or what stops a wing that breaks a limit or is not worth building.

    A wing of another span keeps all else as recommended, its bay too. So what stops it may be gone with all searched.
    """
    if result.violated_limits:
        span = requested.span
        return f'grid {study} "span={in_unit(span, "mm"):.6g} mm"' if span else f"optimise {study}"
    return f"stretch {study}" if _is_todays_wing(result) else f"buildsheet {study}{wing_option_words(requested)}"


def _is_todays_wing(result: Any) -> bool:
    return result.best is not None and is_as_today(result.best, result.stock)


def _print_document(result: Any) -> None:

    output.print_document(
        result,
        wing=result.which_wing,
        why_not=why_not_words(result),
        designs=[
            {
                **design.summary(),
                "drag_breakdown": design.drag_breakdown,
                "balance": design.balance,
                "load_test": design.load_test,
                "structure": design.structure,
                "structure_checks": design.structure_checks,
            }
            for design in (result.stock, result.best)
        ],
        handling=[row._asdict() for row in verdicts(result)],
        calibration=result.calibration,
        calibration_notes=result.calibration_notes,
        sections=result.sections,
        as_built=result.as_built,
        checks=result.best.cutting.checks if result.best and result.best.cutting else [],
    )


def _print_brief(result: Any) -> None:
    """Print the numbers that a builder compares, and what to watch in the air."""
    result_tables.print_numbers(result, _BRIEF)
    warned = [row for row in verdicts(result) if row.warns]
    for row in warned:
        say(f"{TAKE_CARE}{row.words.removeprefix(TAKE_CARE)}")
    if not warned:
        say("It handles much as the stock wing does.")


def _print(result: Any) -> None:
    """Print the tables of the command. An empty line follows each table."""
    result_tables.print_numbers(result)
    show("\nHow it will handle:")
    print_table(["", "stock", "stretched", "verdict"], [row[:4] for row in verdicts(result)])
    say(f"{HANDLING_NOTE}\n", "  ")
    show("Balance of the stretched wing:")
    for line in balance_words.balance_sentences(result.best):
        say(line, "  ")
    print_table(balance_words.MOVE_HEADS, balance_words.move_rows(result.best))
    say(f"{balance_words.MOVE_NOTE}\n", "  ")
    result_tables.print_drag(result)
    show()
    result_tables.print_limits(result.best)
    show()
    result_tables.print_as_built(result)
    result_tables.print_structure(result)
    show()
    print_table(
        ["load test on the bench", *(head.lower() for head in load_test.LOAD_TEST_HEADS[1:])],
        load_test.load_test_rows(result),
    )
    print_table(
        [
            "proof load, each side",
            *(head[:1].lower() + head[1:].replace("[", "").replace("]", "") for head in load_test.BAG_HEADS[1:]),
        ],
        load_test.bag_rows(result),
    )
    for line in load_test.load_test_words(result):
        say(line, "  ")
    show()
    result_tables.print_calibration(result)
    show()
    print_table(
        ["the section", *section_heads(result), ""],
        [(words, *figures, unit) for words, unit, figures in section_rows(result)],
    )
    for line in section_notes(result):
        say(line, "  ")
    show()
    for line in dict.fromkeys([*result.notes, *result.stock.flags, *result.best.flags]):
        say(f"Note: {line.rstrip('.')}.")
    show()
