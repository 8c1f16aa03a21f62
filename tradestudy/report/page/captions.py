"""The title and the caption of every figure. A screen reader reads the caption in place of the figure."""

from __future__ import annotations

from collections.abc import Callable

from tradestudy.quantities import in_unit
from tradestudy.report.builds_words import front_build_words
from tradestudy.report.figures import style
from tradestudy.report.placed import fill, join
from tradestudy.report.words.gains import axis_words, knee_words
from tradestudy.report.words.input_effects import bar_words
from tradestudy.report.words.phrases import (
    comma_list,
    complete_designs,
    design_number,
    from_centre,
    gain_words,
    number_text,
    stretched_wing,
)
from tradestudy.report.words.purpose import air_words, by_weight, front_axes, measure
from tradestudy.results.design import Design
from tradestudy.results.result import Result

TITLES = {
    "planform": "The wing from above",
    "side_view": "The centre from the side",
    "pack_section": "A section through the pack",
    "span_trade": "What more span gives",
    "handling": "How handling changes with span",
    "weight_range": "The weight-range line",
    "builds": "Which build gives what",
    "speed": "How fast to fly",
    "watts": "Where the power goes",
    "drag": "Drag by part",
    "masses": "Weight by part",
    "loading": "Lift along the half span",
    "structure_span": "What the structure carries",
    "control": "How much control twist leaves",
    "tornado": "What moves the range most",
}
_FASTER = 1.2  # times cruise speed; the faster flight that the caption of the speed figure describes


def title(name: str, result: Result) -> str:
    """Return the title of a figure."""
    if name != "weight_range":
        return TITLES[name]
    up, along = front_axes(result)
    if by_weight(result):
        return "The " + measure(result).line
    return f"{up.words} against {along.words}".capitalize()


def caption(name: str, result: Result) -> str:
    """Return the caption of a figure."""
    return _CAPTIONS[name](result, stretched_wing(result) or result.stock)


def _planform(result: Result, design: Design) -> str:
    words = fill(
        "Both halves of the {} wing, true to scale. The tape runs from the nose datum to the balance mark at "
        "{} mm; the neutral point is at {} mm.",
        design.label,
        design_number(design, "cg_mm"),
        design_number(design, "neutral_point_mm"),
    )
    return words if design is result.stock else words + " The stock wing is drawn dashed."


def _side_view(result: Result, design: Design) -> str:
    words = fill(
        "The {} wing cut along its centre line, true to scale, with the nose on the left. Diamonds are pieces of "
        "equipment. Places are in mm behind the nose; the balance mark is at {} mm.",
        design.label,
        design_number(design, "cg_mm"),
    )
    if not (design.outline.pack and design.outline.pack.from_centre_mm):
        return words
    return words + fill(
        " Pack and bay lie in each half wing, {} mm from the centre line, and are seen through.",
        number_text(design.outline.pack.from_centre_mm),
    )


def _span_trade(result: Result, design: Design) -> str:
    points = complete_designs(result.span_trade, "span_mm", measure(result).key)
    first, last = points[0], points[-1]
    words = fill(
        "Every dot is the best wing of its span, from {} at {} mm to {} at {} mm.",
        gain_words(first, result),
        design_number(first, "span_mm"),
        gain_words(last, result),
        design_number(last, "span_mm"),
    )
    if result.band:
        words += fill(
            " The shaded band, {} to {} mm, is within 2 % of the best; {} mm is recommended: {}.",
            number_text(result.band.low_mm),
            number_text(result.band.high_mm),
            design_number(stretched_wing(result) or result.stock, "span_mm"),
            result.band.reason,
        )
    return words + " Every pack has a line of its own."


def _handling(result: Result, design: Design) -> str:
    points = complete_designs(result.span_trade, "span_mm", "yaw_stiffness", "roll_rate_deg_s")
    last, stock = points[-1], result.stock
    return fill(
        "What the pilot feels, each wing at its own cruise, divided by the stock wing's value. Where the stall begins "
        "is in half spans from the centre line, strip by strip, so that line moves in steps. Below: the up-elevon in "
        "trim, in cruise and at the stall. At {} mm it rolls at {} deg/s, the stock wing at {} deg/s.",
        design_number(last, "span_mm"),
        design_number(last, "roll_rate_deg_s"),
        design_number(stock, "roll_rate_deg_s"),
    )


def _control(result: Result, design: Design) -> str:
    numbers = design.numbers
    gone = numbers.roll_reversal_kmh
    ends = "some is left at 360 km/h" if gone is None else fill("none is left at {} km/h", number_text(gone))
    return (
        "Deflected elevons twist the wing against them, more at higher speed. The line is for well-bonded film, the "
        "band below it reaches down to debonded film. Roll control of the "
        + design.label
        + fill(
            " wing falls to 0.4 at {} km/h, and {}; full throttle reaches {} km/h. This is no proof that the wing "
            "holds at any speed.",
            design_number(design, "control_speed_kmh"),
            ends,
            design_number(design, "top_speed_kmh"),
        )
    )


def _weight_range(result: Result, design: Design) -> str:
    known = measure(result)
    up, along = front_axes(result)
    points = complete_designs(result.front, along.key, up.key)
    if not by_weight(result):
        first, last = (
            fill("{} at {}", axis_words(up, design), axis_words(along, design)) for design in (points[0], points[-1])
        )
        words = fill(
            "Every letter is the wing with the best {} for its {}, from {} to {}. Nothing lies between two steps.",
            up.words,
            along.words,
            first,
            last,
        )
        return join(" ", [words, *knee_words(result)])
    return fill(
        "Every letter is the wing that {} for its weight, from {} at {} g to {} at {} g. Nothing lies between two "
        "steps. A crossed mark breaks a limit; grey marks are other wings.",
        known.best,
        gain_words(points[0], result),
        design_number(points[0], "auw_g"),
        gain_words(points[-1], result),
        design_number(points[-1], "auw_g"),
    )


def _builds(result: Result, design: Design) -> str:
    return join(" ", front_build_words(result))


def _speed(result: Result, design: Design) -> str:
    cruise, known = design.numbers.cruise_speed_kmh, measure(result)
    faster = style.interpolate(design.curves.speed_kmh, getattr(design.curves, known.key), _FASTER * cruise)
    words = fill(
        "Cruise is {} km/h, stall {} km/h. Power and {} at each airspeed, {}, reserve kept. Faded: not for cruise.",
        design_number(design, "cruise_speed_kmh"),
        design_number(design, "stall_speed_kmh"),
        known.noun,
        air_words(result),
    )
    if faster == faster:
        verb = "reaches" if known.unit == "km" else "stays"
        words += fill(
            " Flown 20 % faster, the wing still {} {} {}{}.", verb, number_text(faster), known.unit, known.suffix
        )
    return words


def _watts(result: Result, design: Design) -> str:
    total, largest = sum(design.watts.values()), max(design.watts, key=lambda part: design.watts[part])
    words = fill(
        "Of {} W out of the cells in cruise, {} W go to {}. Every bar starts where the one above it ends.",
        number_text(total, 1),
        number_text(design.watts[largest], 1),
        largest,
    )
    if design.full_throttle_watts:
        words += fill(
            " At full throttle, level on a full pack, it is {} W at {} km/h.",
            number_text(sum(design.full_throttle_watts.values())),
            design_number(design, "top_speed_kmh"),
        )
    return words


def _largest(parts: dict[str, float], unit: str, decimals: int, words: str) -> str:
    order = sorted(parts, key=lambda part: -parts[part])[:3]
    largest = comma_list([fill("{} {} {}", part, number_text(parts[part], decimals), unit) for part in order])
    return fill("{}: {}.", words, largest)


def _drag(result: Result, design: Design) -> str:
    words = _largest(design.drag_cm2, "cm²", 1, "The largest shares of the drag")
    breakdown = design.drag_breakdown
    if not breakdown:
        return words
    return fill(
        "{} The parts of the drag list make {} cm² of the {} cm², with a band of {} to {} cm². Thin black lines show "
        "the band of each part.",
        words,
        number_text(breakdown.items_cm2, 1),
        number_text(breakdown.total_cm2, 1),
        number_text(breakdown.items_low_cm2, 1),
        number_text(breakdown.items_high_cm2, 1),
    )


def _loading(result: Result, design: Design) -> str:
    lift, most = design.curves.section_lift, design.curves.section_lift_limit
    words = "Lift in cruise for each metre of span, and the lift coefficient of the section."
    if most:
        gaps = [limit - value for value, limit in zip(lift, most, strict=True)]
        place = gaps.index(min(gaps))
        words += fill(
            " The smallest margin to the stall is {}: lift coefficient {} of {}.",
            from_centre(design.curves.station_mm[place]),
            number_text(lift[place], 2),
            number_text(most[place], 2),
        )
    return words


def _structure(result: Result, design: Design) -> str:
    used = design.curves.utilisation
    place = used.index(max(used))
    return fill(
        "In the hardest pull-up the structure uses at most {} % of its strength, {}; the tips rise {} mm.",
        number_text(in_unit(used[place], "%")),
        from_centre(design.curves.edge_mm[place]),
        number_text(design.curves.deflection_mm[-1]),
    )


_CAPTIONS: dict[str, Callable[[Result, Design], str]] = {
    "planform": _planform,
    "side_view": _side_view,
    "pack_section": lambda result, design: (
        "The wing cut across at that end of the pack where the foam has less room for it. It is true to scale and seen "
        "from the front, so the right half wing is on the left. Thick strokes show what is free above and below the "
        "pack, up to the skin."
    ),
    "span_trade": _span_trade,
    "handling": _handling,
    "weight_range": _weight_range,
    "builds": _builds,
    "speed": _speed,
    "watts": _watts,
    "drag": _drag,
    "masses": lambda result, design: _largest(design.masses_g, "g", 0, "The heaviest parts"),
    "loading": _loading,
    "structure_span": _structure,
    "control": _control,
    "tornado": lambda result, design: join(" ", bar_words(result)),
}
