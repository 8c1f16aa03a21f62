"""The balance window in words: its ends with their reasons, the first flight, and what moves the balance.

Every text about the balance of a wing is made here, so that terminal, page, sheet and card say the same.
"""

from __future__ import annotations

from tradestudy.quantities import in_unit
from tradestudy.quantities.balance_practice import NARROW
from tradestudy.report.placed import fill, join
from tradestudy.results.design import Design
from tradestudy.results.numbers import BalanceMove

from .words.phrases import Rows, design_number, number_text, with_capital

_ROUNDING = 0.05  # mm; a search leaves exactly the room that is asked, to its tolerance
MOVE_HEADS = ("Moves the balance, cheapest first", "by mm", "needed", "room")
MOVE_NOTE = (
    "Each line alone, by statics. \u201cBy mm\u201d is for 10 mm or 10 g; back is positive. The study counts weights "
    "and places as listed: weigh and balance again after each move."
)


def width_mm(design: Design) -> float:
    """Return the width of the balance window. It is negative if no place is left. [mm]"""
    return design.numbers.cg_back_mm - design.numbers.cg_front_mm


def is_empty(design: Design) -> bool:
    """Return whether no place is left. A window that is one place is none for a builder, but it is not empty."""
    return width_mm(design) < 0


def is_narrow(design: Design) -> bool:
    """Return whether there is a window that is narrower than a builder can be sure of."""
    return 0 <= width_mm(design) < in_unit(NARROW, "mm") - _ROUNDING


def balance_mark_words(design: Design) -> str:
    """Return the balance mark from both datums."""
    return _from_both(design, "cg_mm", "cg_from_trailing_edge_mm")


def first_flight_words(design: Design) -> str:
    """Return where to balance for the first flight, from both datums, or why there is no such place."""
    if design.numbers.first_flight_cg_mm is None:
        return "no first flight: no place at or ahead of the mark lies in the balance window"
    return fill("first flight at {}", _from_both(design, "first_flight_cg_mm", "first_flight_cg_from_trailing_edge_mm"))


def window_words(design: Design) -> str:
    """Return the window from both datums in one phrase. It says so if the window is narrow or empty."""
    if is_empty(design):
        return "no balance window: nothing is left between its ends"
    words = fill(
        "balance window {} to {} mm behind the nose, {} to {} mm ahead of the root trailing edge",
        design_number(design, "cg_front_mm"),
        design_number(design, "cg_back_mm"),
        design_number(design, "cg_front_from_trailing_edge_mm"),
        design_number(design, "cg_back_from_trailing_edge_mm"),
    )
    return fill("{}: narrow, {} mm", words, number_text(width_mm(design), 1)) if is_narrow(design) else words


def balance_sentences(design: Design) -> list[str]:
    """Return all sentences on the balance of one wing: mark, window, first flight, ends, and how it is reached."""
    heads = (fill("Balance mark {}", balance_mark_words(design)), window_words(design), first_flight_words(design))
    return [*(fill("{}.", with_capital(one)) for one in heads), *end_words(design), *reach_words(design)]


def end_words(design: Design) -> list[str]:
    """Return one sentence for each end of the window with its reason, and what a narrow or empty window means."""
    lines = [
        fill("In front it ends at {}. The reason is {}.", _end(design, "front"), design.numbers.cg_front_why),
        fill("Behind it ends at {}. The reason is {}.", _end(design, "back"), design.numbers.cg_back_why),
    ]
    if not (is_narrow(design) or is_empty(design)):
        return lines
    if is_empty(design):
        lines.append("These two leave no place: the wing as it is cannot be balanced well.")
    return lines + _without_limits(design)


def _end(design: Design, end: str) -> str:
    return _from_both(design, f"cg_{end}_mm", f"cg_{end}_from_trailing_edge_mm")


def room_in_flight_words(design: Design) -> list[str]:
    """Return a phrase on the window without limits, for a window that they make narrow or empty, or none."""
    if not (room := _room_in_flight(design)):
        return []
    return [
        fill(
            "by limits of the study or the stock wing alone; in flight {} to {} mm behind the nose would do", *room[:2]
        )
    ]


def _without_limits(design: Design) -> list[str]:
    """Return a sentence on the room that limits take, for a window that they make narrow or empty."""
    if not (room := _room_in_flight(design)):
        return []
    return [
        fill(
            "That is by limits of the study or the stock wing, not by flight: without them {} to {} mm behind the nose "
            "would do, {} to {} mm ahead of the root trailing edge.",
            *room,
        )
    ]


def _room_in_flight(design: Design) -> list[str]:
    """Return both ends of the window without limits, behind the nose and ahead of the trailing edge [mm].

    The list is empty if the window is wide, if no limit ends it, or if nothing is left without them either.
    """
    reasons = design.balance.reasons if design.balance and (is_narrow(design) or is_empty(design)) else []
    front = next((one for one in reasons if one.side == "front" and not one.is_limit), None)
    back = next((one for one in reasons if one.side == "back" and not one.is_limit), None)
    binds = [next((one for one in reasons if one.side == side), None) for side in ("front", "back")]
    if front is None or back is None or not any(one and one.is_limit for one in binds):
        return []
    if back.behind_nose_mm <= front.behind_nose_mm:
        return []
    places = (front.behind_nose_mm, back.behind_nose_mm, front.ahead_mm, back.ahead_mm)
    return [number_text(place) for place in places]


def _from_both(design: Design, nose: str, edge: str) -> str:
    return fill(
        "{} mm behind the nose, {} mm ahead of the root trailing edge",
        design_number(design, nose),
        design_number(design, edge),
    )


def reach_words(design: Design) -> list[str]:
    """Return sentences on how the mark is reached: how much the pack gives, or what is missing with it at its end."""
    if design.balance is None or not design.balance.moves:
        return []
    missing, (pack, *_) = design.balance.missing_mm, design.balance.moves
    step = fill("10 mm of {} move the balance by {} mm", pack.what, number_text(pack.mark_per_ten_mm, 1))
    if not missing:
        return [fill("The pack reaches the mark; {}.", step)]
    return [
        fill(
            "The mark cannot be reached with the parts as they stand. With the pack at the {} of its bay the wing "
            "balances {} mm {} the mark; {}. What helps, cheapest first:",
            "back" if missing > 0 else "front",
            number_text(abs(missing), 1),
            "ahead of" if missing > 0 else "behind",
            step,
        )
    ]


def move_rows(design: Design) -> Rows:
    """Return a row for each way to move the balance, the cheapest first, with the columns of MOVE_HEADS."""
    return [_row(one) for one in (design.balance.moves if design.balance else [])]


def _row(move: BalanceMove) -> tuple[str, ...]:
    needed = "" if move.needed is None else fill("{} {}", number_text(move.needed), move.unit)
    if move.needed is not None and not move.enough:
        needed = fill("{}, not enough room alone", needed)
    room = "" if move.most is None else fill("{} {}", number_text(move.most), move.unit)
    return (
        move.what,
        number_text(move.mark_per_ten_mm, 1),
        needed,
        join("; ", [one for one in (room, move.words) if one]),
    )
