"""Plain words for a builder: what a limit is called, and what the study recommends, in sentences."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tradestudy.quantities.limits import LIMITS
from tradestudy.quantities.quantities import DESIGN_QUANTITIES
from tradestudy.quantities.variables import VARIABLE_BOUNDS
from tradestudy.report.placed import fill, join, mark_up
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from .purpose import by_weight, front_axes, knee, measure

MOST_BROKEN_TOLD = 3  # of one wing in a sentence, worst first; the table of other wings tells them all
LEAST_SPREAD = 0.03  # of the lightest weight: over less, kilometres per gram say nothing
ONE_STEP = 0.8  # of the gain in one step: then there is a step to buy and no rate

CONDITION_WORDS = {
    "pull_up": "pull-up at full speed",
    "push_over": "push-over at full speed",
    "gust_cruise": "gust at cruise",
    "gust_full_speed": "gust at full speed",
}

# How a person reads what `numbers` holds: key -> (words, unit, decimals). Order is that of the page's table.
NUMBER_WORDS = {each.key: (each.words, each.suffix, each.decimals) for each in DESIGN_QUANTITIES}


def stretched_wing(result: Result) -> Design | None:
    """Return the wing the report is about: the recommended one, else the best found."""
    return result.recommended or result.best


def limit_words(name: str, *designs: Design | None) -> str:
    """Return a limit, or an end of what is free, in a builder's words; where they vary, a design knows best."""
    if name in VARIABLE_BOUNDS:
        return VARIABLE_BOUNDS[name].words
    states = (state for design in designs if design for state in design.limits)
    own_words = next((state.words for state in states if state.name == name), "")
    known = LIMITS.get(name)  # none for a limit of results kept from another version
    if own_words and (known is None or known.study_decides_words):
        return own_words
    return known.report_words if known else name.replace("_", " ")


def stopping_limits(design: Design, result: Result) -> list[str]:
    """Return in words what stops a design, most pressing first, nothing said twice."""
    known = (design, result.recommended, result.best, result.stock)
    return list(dict.fromkeys(limit_words(name, *known) for name in design.active_limits))


def comma_list(phrases: list[str]) -> str:
    """Return phrases as a person lists them: a, b and c."""
    if len(phrases) < 2:
        return join("", phrases)
    return join(", ", phrases[:-1]) + " and " + phrases[-1]


def number_text(value: Any, decimals: int = 0) -> str:
    """Return a number as text, with a proper minus; text as it is, a dash for what is not known."""
    if value is None:
        return "–"
    if isinstance(value, str):
        return value or "–"
    text = f"{float(value):.{decimals}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return mark_up(value, text.replace("-", "\N{MINUS SIGN}"))


def short_number(value: float) -> str:
    """Return a number with the digits that matter."""
    size = abs(value)
    return number_text(value, 0 if size >= 100 or size == 0 else 1 if size >= 10 else 2 if size >= 0.1 else 4)


def design_number(design: Design, key: str, decimals: int | None = None) -> str:
    """Return one of the numbers of a design as text without its unit."""
    if decimals is None:
        decimals = NUMBER_WORDS[key][2] if key in NUMBER_WORDS else 1
    return number_text(getattr(design.numbers, key), decimals)


def weight_text(design: Design) -> str:
    """Return the flying weight to 5 g: finer than that no build comes out. [g]"""
    weight = design.numbers.auw_g
    return mark_up(weight, number_text(5 * round(float(weight) / 5)), step=5)


def complete_designs(designs: Sequence[Design], *keys: str) -> list[Design]:
    """Return the designs that have all of these numbers, in the order of the numbers."""
    found = [design for design in designs if all(getattr(design.numbers, key) is not None for key in keys)]
    return sorted(found, key=lambda design: tuple(getattr(design.numbers, key) for key in keys))


def choice_words(design: Design) -> str:
    """Return what is bought for a design in one phrase."""
    return design.choices.words


def search_words(result: Result) -> str:
    """Return how many combinations were solved, and which could not win."""
    left = result.pruned
    told = "One combination was solved"
    if result.solved > 1:
        told = fill("{} combinations of parts were solved", result.solved)
    if not left:
        return fill("{}, all there are.", told)
    most, known = max(row.at_most for row in left), measure(result)
    return fill(
        "{}. The other {} cannot come near: with any rods between those to try they reach no more than {} {}.",
        told,
        len(left),
        number_text(most),
        known.unit,
    )


def cruise_words(result: Result) -> str:
    """Return how fast to cruise, in terms of what the pilot sees."""
    design = stretched_wing(result) or result.stock
    return fill(
        "Cruise at {} km/h: hold about {} A, {} mAh/km ({} Wh/km).",
        design_number(design, "cruise_speed_kmh"),
        design_number(design, "cruise_current_a"),
        design_number(design, "mah_per_km"),
        design_number(design, "wh_per_km"),
    )


def gain_words(design: Design, result: Result) -> str:
    """Return how much a design has of what the study wants most of, such as 81 km."""
    known = measure(result)
    return fill("{} {}{}", gain_text(getattr(design.numbers, known.key)), known.unit, known.suffix)


def gain_text(value: float | None) -> str:
    """Return kilometres or minutes as text, a decimal where they are few; a dash for what is not known."""
    return number_text(value, 1 if value is not None and 0 < value < 9.95 else 0)


def step_words(result: Result) -> list[str]:
    """Return what each single change would give by itself, broken limits told."""
    found = []
    for step in result.steps:
        states = sorted((state for state in step.limits if not state.met), key=lambda state: state.margin)
        broken = list(dict.fromkeys(limit_words(state.name, step) for state in states))
        if len(broken) > MOST_BROKEN_TOLD:
            broken[MOST_BROKEN_TOLD - 1 :] = [fill("{} more", len(broken) - MOST_BROKEN_TOLD + 1)]
        limit = "limit" if len(broken) == 1 else "limits"
        if not broken and abs(step.numbers.span_mm - result.stock.numbers.span_mm) < 1 and "span" in step.label:
            found.append("Span only: no longer wing with today's pack flies further within the limits.")
            continue
        found.append(
            fill("{}: {} at {} g", step.label.capitalize(), gain_words(step, result), weight_text(step))
            + (fill(", but it breaks the {} on {}.", limit, comma_list(broken)) if broken else ".")
        )
    return found


def knee_words(result: Result) -> list[str]:
    """Return where the front bends most, and by which rule."""
    bend = knee(result)
    if bend is None:
        return []
    up, along = front_axes(result)
    return [
        fill(
            "Its knee, farthest from the straight line between both ends with both axes scaled to one, is at {} "
            "{} and {} {} ({}).",
            number_text(getattr(bend.numbers, along.key), along.digits),
            along.unit,
            number_text(getattr(bend.numbers, up.key), up.digits),
            up.unit,
            choice_words(bend),
        )
    ]


def weight_prices(result: Result) -> list[str]:
    """Return how much the front gives for weight, where along it most is gained, and its knee."""
    if not by_weight(result):
        return []
    known = measure(result)
    key, unit = known.key, known.unit
    points = complete_designs(result.front, "auw_g", key)
    if len(points) < 2 or points[-1].numbers.auw_g - points[0].numbers.auw_g < 1:
        return []
    first, last = points[0], points[-1]
    more, further = (getattr(last.numbers, name) - getattr(first.numbers, name) for name in ("auw_g", key))
    if more < LEAST_SPREAD * first.numbers.auw_g:
        return []  # all of one weight: there is no price to tell
    light, heavy = max(
        zip(points, points[1:], strict=False),
        key=lambda pair: getattr(pair[1].numbers, key) - getattr(pair[0].numbers, key),
    )
    jump = getattr(heavy.numbers, key) - getattr(light.numbers, key)
    sentence = fill("Along the {}, from {} to {} g, ", known.line, weight_text(first), weight_text(last))
    if jump <= ONE_STEP * further:
        sentence += fill("100 g more buy about {} {}; ", number_text(100 * further / more, 1), unit)
    if len(points) > 2 and jump > 0.5 * further:
        changed = [words for words in choice_words(heavy).split(", ") if words not in choice_words(light).split(", ")]
        sentence += fill(
            "{} of the {} {} come in one step from {} to {} g",
            number_text(jump),
            number_text(further),
            unit,
            weight_text(light),
            weight_text(heavy),
        ) + (fill(" ({})", join(", ", changed)) if changed and changed != [""] else "")
    return [sentence.removesuffix("; ") + ".", *knee_words(result)]


def elevon_words(result: Result) -> str:
    """Return the elevon in cruise as a ruler finds it."""
    millimetres = (stretched_wing(result) or result.stock).numbers.elevon_mm
    side = "up" if millimetres <= 0 else "down"
    return fill("{} mm {} at the trailing edge", number_text(abs(millimetres), 1), side)
