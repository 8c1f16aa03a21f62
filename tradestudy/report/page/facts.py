"""The first view of the page: the decision, and what to build and to fly in one line each.

Everything that these lines leave out is in the fold `The answer in full`.
"""

from __future__ import annotations

from collections.abc import Callable

from tradestudy.report.balance_words import balance_mark_words, first_flight_words
from tradestudy.report.decision_words import decision
from tradestudy.report.placed import fill, join
from tradestudy.report.words import gains
from tradestudy.report.words.first_screen import cautious_turn, first_screen, tip_chord_words
from tradestudy.report.words.load_test import until_tested_words
from tradestudy.report.words.phrases import Rows, design_number, number_text, stretched_wing
from tradestudy.results.design import Design
from tradestudy.results.result import Result

_LEAD = 2  # sentences that say what to build


def lead(result: Result) -> list[str]:
    """Return the decision in one or two sentences, and what to do first.

    Where nothing fits, the section on the conflict says more.
    """
    if result.conflict:
        return []
    found = decision(result)
    return [*found.lines[:_LEAD], *found.measure]


def facts(result: Result) -> list[tuple[str, Rows]]:
    """Return groups of (head, words): what to build, and how to fly it."""
    design = stretched_wing(result) or result.stock
    return [
        (title, [(head, words) for head, of in rows.items() if (words := of(result, design))])
        for title, rows in _GROUPS.items()
    ]


def _row(head: str) -> Callable[[Result, Design], str]:
    """Return a function that gives a row of the terminal's main results, or an empty text if it has no such row."""
    return lambda result, design: next((words for name, words in first_screen(result) if name == head), "")


def _pack_words(result: Result, design: Design) -> str:
    pack, today = design.outline.pack, result.stock.outline.pack
    if not pack:
        return ""
    words = fill("its middle {} mm behind the nose", number_text(pack.x_mm))
    return words + fill(", today {} mm", number_text(today.x_mm)) if today else words


def _balance_words(result: Result, design: Design) -> str:
    first = "" if gains.is_as_today(design, result.stock) else first_flight_words(design)
    return join("; ", [each for each in (balance_mark_words(design), first) if each])


def _hold_words(result: Result, design: Design) -> str:
    return fill(
        "about {} A at {} km/h",
        design_number(design, "cruise_current_a", 1),
        design_number(design, "cruise_speed_kmh"),
    )


def _fastest_words(result: Result, design: Design) -> str:
    if design.numbers.advised_speed_kmh is None:
        return ""
    words = fill("{} km/h", design_number(design, "advised_speed_kmh"))
    until = until_tested_words(design)
    return fill("{}; {}", words, until) if until else words


def _turn_words(result: Result, design: Design) -> str:
    turn = cautious_turn(result, design)
    if not turn:
        return ""
    wind = fill("wind of {:.3g} m/s", result.purposes.wind_ms)
    return fill("by {} km or {} minutes out, against {}", number_text(turn[0]), number_text(turn[1]), wind)


_GROUPS: dict[str, dict[str, Callable[[Result, Design], str]]] = {
    "Build it": {
        "Tip chord": lambda result, design: tip_chord_words(design, result.stock),
        "Pack": _pack_words,
        "Balance mark": _balance_words,
        "Price": _row("Price"),
        "Measure first": lambda result, design: join(" ", decision(result).measure),
    },
    "Fly it": {
        "Hold": _hold_words,
        "Never exceed": _fastest_words,
        "Turn back": _turn_words,
        "Elevons in cruise": _row("Elevons in cruise"),
    },
}
HEADS = [head for rows in _GROUPS.values() for head in rows]
