"""Tables of a result that several commands print, with the sentences that belong to them."""

from __future__ import annotations

from collections.abc import Sequence

from tradestudy.report.decision_words import decision
from tradestudy.report.tolerance_words import (
    LIMIT_HEADS,
    MEASURE_HEADS,
    TOLERANCE_HEADS,
    as_built_lines,
    as_built_rows,
    measure_rows,
    tolerance_rows,
)
from tradestudy.report.words import structure
from tradestudy.report.words.club import SPAN_NOTE, club_span_heads, club_span_rows, club_span_words
from tradestudy.report.words.first_screen import first_screen
from tradestudy.report.words.flight_tables import DRAG_NOTE, drag_heads, drag_rows, glide_words
from tradestudy.report.words.limit_prices import (
    SURE_TITLE,
    robust_heads,
    robust_rows,
    robust_words,
    slack_heads,
    slack_rows,
    slack_words,
    sure_heads,
    sure_rows,
)
from tradestudy.report.words.number_table import number_rows
from tradestudy.report.words.phrases import comma_list, limit_words, number_text, short_number, violated_limit_words
from tradestudy.report.words.violated_limits import advice_blocks, conflict_lines
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from .terminal import print_table, say, show

_MOST_ADVISED = 4  # changes that are listed where nothing fits and each of them would do alone


def print_decision(result: Result) -> None:
    """Print the decision, what limits the wing, and what to measure first: a dozen lines in all."""
    found = decision(result)
    for line in found.lines:
        say(line)
    for block in advice_blocks(result) if result.conflict else []:
        say(block.lead)
        _say_all(block.lines[:_MOST_ADVISED] if block.each_alone else block.lines)
        if block.each_alone and len(block.lines) > _MOST_ADVISED:
            say(f"  and {len(block.lines) - _MOST_ADVISED} more (--all)")
    for line in (*found.limits, *found.measure):
        say(line)


def print_first_screen(result: Result) -> None:
    """Print the main results for a builder, then the excluded sets of parts and the notes on the proposed wing."""
    if result.conflict:
        print_conflict(result)
        say("\nWhat follows is the nearest wing.\n")
    print_table(["", ""], first_screen(result))
    show()
    for reason in result.excluded:
        say(f"Excluded: {reason}.")
    design = result.recommended or result.best
    for line in design.flags if design else []:
        say(f"Note: {line.rstrip('.')}.")


def print_club_spans(result: Result) -> None:
    """Print the wing of each member of a club at each span, and which span suits most. Without a club print nothing."""
    if not result.club_spans:
        return
    show()
    print_table(club_span_heads(result), club_span_rows(result))
    _say_all([SPAN_NOTE, *club_span_words(result)])


def print_conflict(result: Result) -> None:
    """Print which limits conflict, and what to change in the study."""
    say(f"No design meets every limit: {'; '.join(conflict_lines(result))}.")
    for block in advice_blocks(result):
        say(f"\n{block.lead}")
        _say_all(block.lines)


def print_numbers(result: Result, keys: Sequence[str] = ()) -> None:
    """Print the numbers of the stock wing and the proposed wing, all of them or those of ``keys``."""
    designs = [design for design in (result.stock, result.recommended or result.best) if design]
    rows: list[tuple[str, ...]] = [
        (f"{words} [{unit}]" if unit else words, *figures)
        for words, unit, figures in (
            row for key, row in number_rows(result, designs).items() if not keys or key in keys
        )
    ]
    print_table(["", *(design.label for design in designs)], rows)


def print_limits(design: Design) -> None:
    """Print value, bound and origin of the bound of every limit."""
    rows = [
        (
            limit_words(state.name, design),
            f"{short_number(state.value)} {state.unit}".strip(),
            f"{state.side} {short_number(state.bound)} {state.unit}".strip(),
            "broken" if not state.met else "at its limit" if state.active else "met",
            state.whose,
            state.origin,
        )
        for state in design.limits
    ]
    print_table(["limit", "now", "required", "", "from", "required by"], rows)


def print_as_built(result: Result) -> None:
    """Print how often the wing meets its limits as it comes out of the shop. An empty line follows.

    Print nothing if that was not computed.
    """
    if lines := as_built_lines(result):
        show("Out of the shop:")
        _say_all(lines)
        print_table(_lower(LIMIT_HEADS), as_built_rows(result))
        print_table(_lower(TOLERANCE_HEADS), tolerance_rows(result))
        design = result.recommended or result.best
        if design and design.cutting and design.cutting.checks:
            print_table(_lower(MEASURE_HEADS), measure_rows(design))
        show()


def _lower(heads: Sequence[str]) -> list[str]:
    return [head[:1].lower() + head[1:].replace("[", "").replace("]", "") for head in heads]


def print_structure(result: Result) -> None:
    """Print the first failures, the further checks, and the speeds up to which the controls are effective."""
    _say_all(structure.structure_words(result))
    print_table([head.lower() for head in structure.LOAD_HEADS], structure.load_rows(result))
    show()
    print_table([head[:1].lower() + head[1:] for head in structure.CHECK_HEADS], structure.check_rows(result))
    _say_all(structure.check_notes(result))
    show()
    rows = [(f"{words} [{unit}]", *values) for words, unit, values in structure.control_rows(result)]
    print_table(["control at speed", "stock", "stretched"], rows)
    _say_all(structure.control_words(result))


def print_drag(result: Result) -> None:
    """Print the drag of each part of the wings in cruise, and the glide with the motor off."""
    print_table(drag_heads(result)[:-1], [row[:-1] for row in drag_rows(result)])
    _say_all([*glide_words(result), DRAG_NOTE])


def print_calibration(result: Result) -> None:
    """Print measured numbers of the stock wing, and the numbers of the model before and after calibration."""
    show("The stock wing, measured and modelled:")
    rows = [
        (row.what, *(number_text(value, 1) for value in (row.measured, row.before, row.after)), row.unit, row.how)
        for row in result.calibration
    ]
    print_table(["", "measured", "model before", "model after", "", "calibrated by"], rows)
    _say_all(result.calibration_notes)


def print_robust(result: Result) -> None:
    """Print the robust wing and the nominal best. Print nothing if no robust wing was requested."""
    if rows := robust_rows(result):
        show("\nRobust wing:" if result.robust and result.robust.reached else "\nNo wing is as sure as asked:")
        print_table(robust_heads(result), rows)
        _say_all(robust_words(result))
        if more := sure_rows(result):
            show(f"\n{SURE_TITLE}:")
            print_table(sure_heads(result), more)


def print_prices(result: Result) -> None:
    """Print the gain from relaxing each active limit of the best wing. Print nothing if no limit is active."""
    if rows := slack_rows(result):
        show("\nWhat relaxing a limit would gain:")
        print_table(slack_heads(result), rows)
        _say_all(slack_words(result))


def verdict(result: Result) -> str:
    """Return one sentence that says whether the stretched wing meets every limit."""
    violated = violated_limit_words(result.best) if result.best else []
    if not violated:
        return "This wing meets every limit."
    limits = "limits" if len(violated) > 1 else "limit"
    return f"Not to be built like this: it breaks the {limits} on {comma_list(violated)}."


def _say_all(lines: list[str]) -> None:
    for line in lines:
        say(line, "  ")
