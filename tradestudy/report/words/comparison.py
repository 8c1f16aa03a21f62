"""A comparison of two wings from any results: sentences on what a builder notices, and every number that differs."""

from __future__ import annotations

from typing import Any, NamedTuple

from tradestudy.quantities import in_unit
from tradestudy.results.design import Design
from tradestudy.results.numbers import KEYS
from tradestudy.results.result import Result

from .phrases import (
    NUMBER_WORDS,
    choice_words,
    comma_list,
    design_number,
    limit_list,
    number_text,
    stopping_limits,
    violated_limit_words,
)
from .purpose import PRICES, measure

COMMON = (
    "Both are estimates of one model, and most uncertain inputs change both in the same way. Even so, no model of such "
    "wings can confirm a difference of a few per cent."
)


class Side(NamedTuple):
    """One of the two compared wings, with the Result that it is part of."""

    result: Result
    design: Design


class _Noticed(NamedTuple):
    """The words for a second wing that has more of a number, and for one that has less."""

    key: str
    more: str
    less: str
    in_per_cent: bool = False


_NOTICED = (
    _Noticed("span_mm", "has {} more span", "has {} less span"),
    _Noticed("tip_chord_mm", "has {} more foam chord at the tips", "has {} less foam chord at the tips"),
    _Noticed(
        "range_km", "flies {} further on one charge in still air", "flies {} less far on one charge in still air", True
    ),
    _Noticed("radius_km", "flies {} further out and home in its wind", "flies {} less far out and home in its wind"),
    _Noticed("usual_flight_min", "stays up {} longer on a usual flight", "stays up {} less on a usual flight"),
    _Noticed("auw_g", "weighs {} more", "weighs {} less", True),
    _Noticed("build_price", "costs {} more to build", "costs {} less to build"),
    _Noticed("cg_mm", "has its balance mark {} further back from the nose", "has its balance mark {} further forward"),
    _Noticed("cruise_speed_kmh", "cruises {} faster", "cruises {} slower"),
    _Noticed("cruise_current_a", "draws {} more in cruise", "draws {} less in cruise"),
    _Noticed("stall_speed_kmh", "stalls {} faster", "stalls {} slower"),
    _Noticed("climb_ms", "climbs {} faster", "climbs {} slower"),
    _Noticed("failure_load_factor", "bears {} more before something breaks", "bears {} less before something breaks"),
    _Noticed("advised_speed_kmh", "has an advised maximum speed {} higher", "has an advised maximum speed {} lower"),
)


def difference_sentences(first: Side, second: Side) -> list[str]:
    """Return sentences on how the second wing, B, differs from the first, A. The last ones say what limits each."""
    lines = [sentence for each in _NOTICED if (sentence := _noticed(each, first, second.design))]
    lines = lines or ["In span, tip chord, range, weight, balance, speeds and strength both are the same."]
    built = choice_words(first.design), choice_words(second.design)
    lines.append(
        f"Both are built with {built[0]}."
        if built[0] == built[1]
        else f"A is built with {built[0]}; B with {built[1]}."
    )
    nouns = [measure(side.result).noun for side in (first, second)]
    if nouns[0] != nouns[1]:
        lines.append(f"They were optimised for different things: A for {nouns[0]}, B for {nouns[1]}.")
    return [*lines, *(_limits(name, side) for name, side in (("A", first), ("B", second)))]


def difference_rows(first: Side, second: Side, everything: bool = False) -> list[tuple[str, str, str, str]]:
    """Return (name with unit, A, B, B minus A) for every number that differs, or with ``everything`` for all."""
    rows = []
    for key, (name, unit, digits) in NUMBER_WORDS.items():
        figures = design_number(first.design, key), design_number(second.design, key)
        if (
            everything
            and any(getattr(design.numbers, key) is not None for design in (first.design, second.design))
            or (figures[0] != figures[1])
        ):
            rows.append(
                (
                    f"{name} [{unit}]" if unit else name,
                    *figures,
                    _signed(_difference(key, first.design, second.design), digits),
                )
            )
    return rows


def differences(first: Side, second: Side) -> dict[str, dict[str, Any]]:
    """Return every number of both wings and the difference B minus A, which may be None, for JSON output."""
    return {
        key: {
            "first": getattr(first.design.numbers, key),
            "second": getattr(second.design.numbers, key),
            "difference": _difference(key, first.design, second.design),
        }
        for key in KEYS
    }


def wing_name(side: Side) -> str:
    """Return a phrase that identifies a wing."""
    return f"{side.result.study_name}, {side.design.label} wing, {design_number(side.design, 'span_mm')} mm"


def _noticed(each: _Noticed, side: Side, other: Design) -> str:
    one, (unit, digits) = side.design, NUMBER_WORDS[each.key][1:]
    unit = side.result.currency if each.key in PRICES else unit
    change, figures = _difference(each.key, one, other), (design_number(one, each.key), design_number(other, each.key))
    if change is None or figures[0] == figures[1]:
        return ""
    gap = f"{number_text(abs(change), digits)} {unit}".rstrip()
    share = ""
    if each.in_per_cent and getattr(one.numbers, each.key):
        share = f", {number_text(in_unit(abs(change) / getattr(one.numbers, each.key), '%'))} %"
    phrase = (each.more if change > 0 else each.less).format(gap)
    return f"B {phrase} ({figures[1]} against {figures[0]} {unit}{share})."


def _limits(name: str, side: Side) -> str:
    design = side.design
    if not design.limits:
        is_stock = design is side.result.stock
        return (
            f"{name} is the wing as it flies today; no limit applies." if is_stock else f"No limit applies to {name}."
        )
    if violated := violated_limit_words(design):
        limits = "limit" if len(violated) == 1 else "limits"
        return f"{name} breaks the {limits} on {comma_list(violated)}: not to be built."
    limiting = stopping_limits(design, side.result)
    return f"{name} meets every limit" + (f"; limited by: {limit_list(limiting)}." if limiting else ".")


def _difference(key: str, one: Design, other: Design) -> float | None:
    values = getattr(one.numbers, key), getattr(other.numbers, key)
    if any(isinstance(value, bool) or not isinstance(value, int | float) for value in values):
        return None
    return values[1] - values[0]  # type: ignore[operator]


def _signed(value: float | None, digits: int) -> str:
    if value is None:
        return ""
    if float(f"{value:.{digits}f}") == 0:
        digits += 1  # the difference of the two texts is only rounding
    return f"+{number_text(value, digits)}" if value > 0 else number_text(value, digits)
