"""Which build gives how far, at what weight and price, carrying what: a table of builds, and sentences."""

from __future__ import annotations

from collections.abc import Iterable

from tradestudy.report.placed import fill, join
from tradestudy.results.design import Design
from tradestudy.results.result import Result
from tradestudy.results.trade import FrontQuantity

from .words.phrases import (
    choice_words,
    comma_list,
    design_number,
    gain_text,
    limiting_words,
    number_text,
    short_limit,
    stretched_wing,
    with_capital,
)
from .words.purpose import PRICES, WITH_PAYLOAD, FrontAxis, measure

CARRYING_RULE = (
    "Carries: the largest payload, as weight at the balance mark, with which the wing as built meets every limit. "
    "Cruise, mark and pack are set for it. Whether it fits inside, the command payload tells with its size."
)
CARRYING_CAUTION = (
    "It is a middle value: with it a limit is only just met, and about half of such wings miss that limit. Carry less."
)
KNEE_RULE = (
    "The rule of the knee: scale each quantity from 0, the worst of these builds, to 1, the best. The knee has the "
    "greatest sum."
)


def front_build_axes(result: Result) -> list[FrontAxis]:
    """Return the quantities of the front: the one that is optimised, then those it is traded against."""
    traded = result.builds_traded
    return [_axis(each) for each in (traded.of, *traded.against)] if traded else []


def _axis(each: FrontQuantity) -> FrontAxis:
    return FrontAxis(each.number, each.words, each.unit)


def front_build_heads(result: Result) -> list[str]:
    """Return the column heads of `front_build_rows`."""
    up, *against = front_build_axes(result)
    band = [fill("8 of 10 [{}]", up.unit)] if _band(result, up) else []
    each = [with_capital(axis.named()) for axis in against]
    more = ["Each km gained"] if _has_gains(result) else []
    carries = carries_anything(result.builds)
    ends = ["What ends its payload"] if carries else []
    more += carrying_heads(result) if carries else []
    return ["Build", with_capital(up.named()), *band, *each, *more, "Span [mm]", "Built with", "What limits it", *ends]


def front_build_rows(result: Result, letters: list[str]) -> list[tuple[str, ...]]:
    """Return one row for each build with its letter, with the columns of `front_build_heads`."""
    up, *against = front_build_axes(result)
    shares, carries = _band(result, up), carries_anything(result.builds)
    return [
        (
            fill("{}, knee", letter) if design.label == "knee" else letter,
            design_number(design, up.key, up.digits),
            *([_scaled_band(design, up, shares)] if shares else []),
            *(design_number(design, axis.key, axis.digits) for axis in against),
            *([number_text(design.numbers.price_per_km_gained, 2)] if _has_gains(result) else []),
            *(carrying_cells(design, result) if carries else []),
            design_number(design, "span_mm"),
            build_with_panels(design, result),
            limiting_words(design, result),
            *([payload_end(design)] if carries else []),
        )
        for letter, design in zip(letters, result.builds, strict=True)
    ]


def build_with_panels(design: Design, result: Result) -> str:
    """Return the parts of a build, and whether it keeps the panels of the stock wing."""
    same = ("span_mm", "sweep_deg", "tip_chord_mm", "rod_length_mm")
    kept = all(abs(getattr(design.numbers, key) - getattr(result.stock.numbers, key)) < 0.5 for key in same)
    return choice_words(design) + (", stock panels and span" if kept else "")


def _has_gains(result: Result) -> bool:
    return any(design.numbers.price_per_km_gained is not None for design in result.builds)


def _band(result: Result, up: FrontAxis) -> list[float]:
    """Return the ends of the band of the proposed wing over its middle [-], or an empty list if it is not known."""
    if result.spread is None or stretched_wing(result) is None:
        return []
    low, middle, high = getattr(result.spread.percentiles, up.key, None) or (0.0, 0.0, 0.0)
    return [float(low) / float(middle), float(high) / float(middle)] if middle else []


def _scaled_band(design: Design, up: FrontAxis, shares: list[float]) -> str:
    value = float(getattr(design.numbers, up.key))
    return fill("{} to {}", *(number_text(share * value) for share in shares))


def front_build_words(result: Result) -> list[str]:
    """Return sentences on what the front shows, what it leaves out, its knee, and how sure it is."""
    if not result.builds_traded or not result.builds:
        return []
    axes = front_build_axes(result)
    lines = [
        fill(
            "No other build that was found beats one of these in {} at once. The search tried every set of parts, "
            "every number of rod lengths, and the stock panels.",
            comma_list([axis.words for axis in axes]),
        )
    ]
    if result.builds_traded.carried_g:
        lines.append(fill("Each carries the same equipment, {} g.", number_text(result.builds_traded.carried_g)))
    knee = result.builds_traded.knee
    if knee is not None:
        design = result.builds[knee]
        values = [fill("{} {}", design_number(design, axis.key, axis.digits), axis.unit) for axis in axes]
        lines += [fill("The knee is at {} ({}).", comma_list(values), choice_words(design)), KNEE_RULE]
    priced = [design for design in result.builds if design.numbers.price_per_km_gained is not None]
    if priced:
        best = min(priced, key=lambda design: float(design.numbers.price_per_km_gained or 0.0))
        lines.append(
            fill(
                "A kilometre is gained most cheaply, at {}, with {}.",
                fill("{} {}", number_text(best.numbers.price_per_km_gained, 2), result.currency),
                build_with_panels(best, result),
            )
        )
    if _band(result, axes[0]):
        lines.append(
            "The column 8 of 10 is the band of the proposed wing, scaled to each build: eight of ten such wings lie "
            "in it. Most doubts are common to all builds, so their order is surer than their numbers."
        )
    if carries_anything(result.builds):
        lines += [CARRYING_RULE, CARRYING_CAUTION]
    if any(axis.key in PRICES for axis in axes):
        lines.append("Prices are those of the study, less what it says is owned. What has no price counts as free.")
    return lines


# --- what a wing carries as it is built ------------------------------------------------------------------


def carries_anything(wings: Iterable[Design]) -> bool:
    """Return whether it was computed what these wings carry."""
    return any(wing.numbers.most_payload_g is not None for wing in wings)


def carrying_heads(result: Result) -> list[str]:
    """Return the column heads of `carrying_cells`."""
    known = measure(result)
    return ["Carries [g]", fill("{} with it [{}]", with_capital(known.axis), known.unit)]


def carrying_cells(wing: Design, result: Result) -> list[str]:
    """Return the largest payload of a wing, and what the study measures with it."""
    loaded = getattr(wing.numbers, WITH_PAYLOAD[measure(result).key])
    return [design_number(wing, "most_payload_g"), number_text(loaded, 1)]


def payload_end(wing: Design) -> str:
    """Return what ends the payload of a wing."""
    if wing.numbers.most_payload_g is None and wing.numbers.payload_end:
        return fill("breaks without any: {}", short_limit(wing.numbers.payload_end))
    return short_limit(wing.numbers.payload_end)


def carrying_words(result: Result) -> str:
    """Return what the proposed wing and the stock wing carry, or an empty text if it was not computed."""
    design = stretched_wing(result)
    parts = [_of_wing(design, result, "")] if design is not None else []
    parts.append(_of_wing(result.stock, result, "the stock wing "))
    return join("; ", [part for part in parts if part])


def _of_wing(wing: Design, result: Result, name: str) -> str:
    numbers, known = wing.numbers, measure(result)
    if numbers.most_payload_g is None:
        return ""
    if numbers.most_payload_g < 0.5:
        return fill("{}nothing more: it is stopped by {}", name, short_limit(numbers.payload_end))
    far = gain_text(getattr(numbers, WITH_PAYLOAD[known.key]))
    ends = fill(", beyond it stopped by {}", short_limit(numbers.payload_end)) if numbers.payload_end else ""
    words = "{}{} g at the balance mark over {} {}{}{}"
    return fill(words, name, design_number(wing, "most_payload_g"), far, known.unit, known.suffix, ends)
