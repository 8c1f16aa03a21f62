"""Phrases used by all other texts: numbers and limits in words, and the main results in sentences."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from tradestudy.quantities.limits import LIMITS
from tradestudy.quantities.quantities import DESIGN_QUANTITIES
from tradestudy.quantities.variables import VARIABLE_BOUNDS
from tradestudy.report.placed import fill, join, mark_up
from tradestudy.results.design import Design, LimitState
from tradestudy.results.result import Result

from .purpose import FrontAxis, by_weight, front_axes, knee_wing, measure

Rows = list[tuple[str, ...]]  # rows of a table

_MOST_LISTED = 3  # most violated limits of one wing named in a sentence, worst first; a table has them all
_LEAST_SPREAD = 0.03  # least range of weights along a front, as a share of the lightest, for gains per gram
_LEAST_GAIN = 0.05  # km or min; a smaller gain along a front is called none
_ONE_STEP = 0.8  # if one step gives a larger share of the gain along a front, no gain per gram is given
_SAME = 0.01  # share of the best value: wings of the same parts that differ by less are one for a builder
_LEAST_TIP_WEIGHT = 0.5  # g; a smaller weight for the lighter tip is not mentioned
_KNOWN_UNITS = ("km/h", "g", "mm", "A", "deg")  # units of limits whose value is told in a sentence
_MOST_OF_IT = 0.8  # share of the whole gain that counts as most of it; judgement
_FLAT = 0.03  # share of the whole gain that is not worth a longer span; judgement
_SAME_SPAN = 1.0  # mm
_FEW = 9.95  # km or min; smaller numbers are shown with one decimal

MEDIANS_ONLY = "At the medians of all inputs: run and bands add what to expect and its band."
# stands wherever a range does
ENERGY_ONLY = "Energy only: the radio link and the law end most flights earlier."

CONDITION_WORDS = {
    "pull_up": "pull-up at full speed",
    "push_over": "push-over at full speed",
    "gust_cruise": "gust at cruise",
    "gust_full_speed": "gust at full speed",
}

# How the numbers of a design are shown: key -> (words, unit, decimals), in the order of the page's table.
NUMBER_WORDS = {each.key: (each.words, each.suffix, each.decimals) for each in DESIGN_QUANTITIES}


def stretched_wing(result: Result) -> Design | None:
    """Return the wing that the report is about: the recommended one, or else the best one."""
    return result.recommended or result.best


def stock_and_stretched(result: Result) -> list[tuple[str, Design]]:
    """Return the stock wing and, if there is one, the stretched wing, each with its name."""
    wings = [("stock", result.stock), ("stretched", stretched_wing(result))]
    return [(name, design) for name, design in wings if design is not None]


def limit_words(name: str, *designs: Design | None) -> str:
    """Return the words for a limit or for a bound of a variable.

    They are taken from the first design that has the limit, since some depend on the study.
    """
    if name in VARIABLE_BOUNDS:
        return VARIABLE_BOUNDS[name].words
    states = (state for design in designs if design for state in design.limits)
    own_words = next((state.words for state in states if state.name == name), "")
    known = LIMITS.get(name)  # None for a limit from another version of the program
    return own_words or (known.words if known else name.replace("_", " "))


def stopping_limits(design: Design, result: Result) -> list[str]:
    """Return the words for the limits that keep a design from being better, most important first, each once."""
    known = (design, result.recommended, result.best, result.stock)
    return list(dict.fromkeys(limit_words(name, *known) for name in design.active_limits))


def limiting_words(design: Design, result: Result) -> str:
    """Return one phrase on what limits a design."""
    return comma_list(stopping_limits(design, result)) or "nothing"


def violated_limits(design: Design | None) -> list[LimitState]:
    """Return the limits that a wing breaks, worst first. No limit applies to the stock wing."""
    states = design.limits if design else []
    return sorted((state for state in states if not state.met), key=lambda state: state.margin)


def violated_limit_words(design: Design) -> list[str]:
    """Return the words for the limits that a wing breaks, worst first, each once."""
    return list(dict.fromkeys(limit_words(state.name, design) for state in violated_limits(design)))


def comma_list(phrases: list[str]) -> str:
    """Return the phrases as one text, such as "a, b and c"."""
    if len(phrases) < 2:
        return join("", phrases)
    return join(", ", phrases[:-1]) + " and " + phrases[-1]


def number_text(value: Any, decimals: int = 0) -> str:
    """Return a number as text with a true minus sign. Text is returned unchanged, and None becomes a dash."""
    if value is None:
        return "–"
    if isinstance(value, str):
        return value or "–"
    text = f"{float(value):.{decimals}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return mark_up(value, text.replace("-", "\N{MINUS SIGN}"))


def short_number(value: float) -> str:
    """Return a number as text with two or three significant digits. All digits before the decimal point are kept."""
    size = abs(value)
    return number_text(value, 0 if size >= 100 or size == 0 else 1 if size >= 10 else 2 if size >= 0.1 else 4)


def design_number(design: Design, key: str, decimals: int | None = None) -> str:
    """Return one number of a design as text without its unit."""
    if decimals is None:
        decimals = NUMBER_WORDS[key][2] if key in NUMBER_WORDS else 1
    return number_text(getattr(design.numbers, key), decimals)


def expected_band(result: Result, design: Design, key: str) -> list[float]:
    """Return [low, value to expect, high] of one number from the draws, or an empty list if this wing has no draws.

    Eight of ten such wings lie between low and high. The middle is the number that the wing itself carries.
    """
    if result.spread is None or design is not stretched_wing(result):
        return []
    return getattr(result.spread.percentiles, key)


def bracketed_band(result: Result, design: Design, key: str, decimals: int = 0) -> str:
    """Return the ends of the band of one number in brackets, after a blank, or an empty text if it has no band."""
    band = expected_band(result, design, key)
    return fill(" ({} to {})", number_text(band[0], decimals), number_text(band[2], decimals)) if band else ""


def weight_text(design: Design) -> str:
    """Return the flying weight. [g]"""
    return design_number(design, "auw_g")


def complete_designs(designs: Sequence[Design], *keys: str) -> list[Design]:
    """Return the designs that have all numbers named by ``keys``, sorted by these numbers."""
    complete = [design for design in designs if all(getattr(design.numbers, key) is not None for key in keys)]
    return sorted(complete, key=lambda design: tuple(getattr(design.numbers, key) for key in keys))


def choice_words(design: Design) -> str:
    """Return one phrase on the parts to buy for a design."""
    return design.choices.words


def search_words(result: Result) -> str:
    """Return sentences on how many combinations of parts were optimised, and why the others were excluded."""
    excluded = result.pruned
    first = "One combination of parts was optimised"
    if result.solved > 1:
        first = fill("{} combinations of parts were optimised", result.solved)
    if not excluded:
        return fill("{}; there are no others.", first)
    return fill(
        "{}. The other {} cannot be among the best: with any rods in the range of those to try, they reach at most "
        "{} {}.",
        first,
        len(excluded),
        number_text(max(row.at_most for row in excluded)),
        measure(result).unit,
    )


def cruise_words(result: Result) -> str:
    """Return how fast to cruise, in numbers that the pilot can read in flight."""
    design = stretched_wing(result) or result.stock
    return fill(
        "Cruise at {} km/h: hold about {} A, {} mAh/km ({} Wh/km).",
        design_number(design, "cruise_speed_kmh"),
        design_number(design, "cruise_current_a"),
        design_number(design, "mah_per_km"),
        design_number(design, "wh_per_km"),
    )


def gain_words(design: Design, result: Result) -> str:
    """Return the study's measure of a design with its unit, such as 81 km."""
    known = measure(result)
    return fill("{} {}{}", gain_text(getattr(design.numbers, known.key)), known.unit, known.suffix)


def gain_text(value: float | None) -> str:
    """Return a number of kilometres or minutes as text, with one decimal if it is small. None becomes a dash."""
    return number_text(value, 1 if value is not None and 0 < value < _FEW else 0)


def step_words(result: Result) -> list[str]:
    """Return a sentence for each single change: what it gives when made alone, and the limits that it breaks."""
    lines = []
    for step in result.steps:
        if _same_as_stock(step, result.stock):
            lines.append(fill("{}: no gain within the limits.", with_capital(step.label)))
            continue
        violated = violated_limit_words(step)
        if len(violated) > _MOST_LISTED:
            violated[_MOST_LISTED - 1 :] = [fill("{} more", len(violated) - _MOST_LISTED + 1)]
        if violated:
            violated[0] += _worst(step)
        lines.append(
            fill(
                "{}: {}, {} at {} g",
                with_capital(step.label),
                _more(step, result),
                gain_words(step, result),
                weight_text(step),
            )
            + (fill(", but it breaks the {} on {}.", _limit(violated), comma_list(violated)) if violated else ".")
        )
    design = stretched_wing(result)
    if lines and design is not None:
        lines.append(fill("All together: {}.", _more(design, result)))
    return [*_what_brings_it(result), *lines]


def _what_brings_it(result: Result) -> list[str]:
    """Return one sentence on whether pack or span brings the gain, or none if neither brings most of it alone."""
    design = stretched_wing(result)
    steps = {step.label: step for step in result.steps}
    if design is None or "pack only" not in steps:
        return []
    total, pack = _gain(design, result), _gain(steps["pack only"], result)
    span = _gain(steps["span only"], result) if "span only" in steps else 0.0
    if total <= 0:
        return []
    if pack > _MOST_OF_IT * total:
        broken = violated_limit_words(steps["pack only"])
        if broken:
            words = (
                "The pack brings the gain. The longer span carries it: at the stock span the pack breaks the {} on {}."
            )
            return [fill(words, _limit(broken), comma_list(broken[:_MOST_LISTED]))]
        if design.numbers.span_mm > result.stock.numbers.span_mm + _SAME_SPAN and total - pack < _FLAT * total:
            return ["The pack brings the gain, and the stock span carries it: leave the span as it is."]
        return ["The pack brings the gain, at the stock span too."]
    if span > _MOST_OF_IT * total:
        return ["The longer span brings most of the gain, with today's pack too."]
    return []


def _gain(design: Design, result: Result) -> float:
    """Return how much more a design has than the stock wing of what the study maximises."""
    key = measure(result).key
    return float((getattr(design.numbers, key) or 0.0) - (getattr(result.stock.numbers, key) or 0.0))


def _more(design: Design, result: Result) -> str:
    """Return what a design gives more than the stock wing, such as "+12 km"."""
    gain = _gain(design, result)
    return fill("{}{} {}", "\N{MINUS SIGN}" if gain < 0 else "+", gain_text(abs(gain)), measure(result).unit)


def _same_as_stock(step: Design, stock: Design) -> bool:
    """Return whether a single change is none: the same pack, propeller, motor and span as the stock wing."""
    chosen, own = step.choices, stock.choices
    parts = ("series", "parallel", "pack", "propeller", "motor")
    same = all(getattr(chosen, name) == getattr(own, name) for name in parts)
    return same and abs(step.numbers.span_mm - stock.numbers.span_mm) < 1


def _worst(step: Design) -> str:
    """Return value and bound of the limit that a wing breaks worst, if both are numbers a person knows."""
    state = violated_limits(step)[0]
    if state.unit not in _KNOWN_UNITS:
        return ""
    value, bound = short_number(state.value), short_number(state.bound)
    return fill(" ({} {}, {} {})", value, state.unit, state.side, bound) if value != bound else ""


def _limit(violated: list[str]) -> str:
    return "limit" if len(violated) == 1 else "limits"


def axis_words(axis: FrontAxis, design: Design) -> str:
    """Return the number of a design on one axis of the front, with its unit."""
    return fill("{} {}", number_text(getattr(design.numbers, axis.key), axis.digits), axis.unit)


def knee_words(result: Result) -> list[str]:
    """Return a sentence on the knee of the front and the rule by which it is chosen."""
    bend = knee_wing(result)
    if bend is None:
        return []
    up, along = front_axes(result)
    return [
        fill(
            "Its knee is at {} and {} ({}): the point farthest from the straight line between the ends, both axes "
            "scaled to 1.",
            axis_words(along, bend),
            axis_words(up, bend),
            choice_words(bend),
        )
    ]


def distinct_wings(result: Result) -> list[Design]:
    """Return the wings of the front without those of the same parts that are hardly better than the one before.

    Both ends and the knee are always among them.
    """
    key = front_axes(result)[0].key
    values = [getattr(design.numbers, key) for design in result.front]
    if len(values) < 3 or None in values:
        return list(result.front)
    least, shown = _SAME * max(map(abs, values)), [0]
    for place, (design, value) in enumerate(zip(result.front, values, strict=True)):
        other = choice_words(design) != choice_words(result.front[shown[-1]])
        if place and (other or design.label == "knee" or abs(value - values[shown[-1]]) >= least):
            shown.append(place)
    if shown[-1] != len(values) - 1:
        shown.append(len(values) - 1)
    return [result.front[place] for place in shown]


def front_words(result: Result, shown: list[Design]) -> list[str]:
    """Return sentences on a front that is one wing, and on wings that the table leaves out."""
    up, along = front_axes(result)
    if len(result.front) == 1:
        (wing,) = result.front
        return [
            fill(
                "One wing is best in both: {} {} and {} {}. There is nothing to trade.",
                along.words,
                axis_words(along, wing),
                up.words,
                axis_words(up, wing),
            )
        ]
    left = len(result.front) - len(shown)
    if not left:
        return []
    return [
        fill(
            "The table leaves out {} {} of the same parts and within 1 % of the {} of the one above; --json has "
            "them all.",
            left,
            "wing" if left == 1 else "wings",
            up.words,
        )
    ]


def weight_prices(result: Result) -> list[str]:
    """Return sentences on the gain per weight along the front, on where most is gained, and on the knee."""
    known = measure(result)
    key, unit = known.key, known.unit
    points = complete_designs(result.front, "auw_g", key) if by_weight(result) else []
    if len(points) < 2:
        return []

    def rise(pair: Sequence[Design], number: str) -> float:
        return getattr(pair[1].numbers, number) - getattr(pair[0].numbers, number)

    ends = points[0], points[-1]
    if rise(ends, "auw_g") < max(_LEAST_SPREAD * ends[0].numbers.auw_g, 1.0):
        return []  # all wings have nearly the same weight
    total, steepest = rise(ends, key), max(pairwise(points), key=lambda pair: rise(pair, key))
    if total < _LEAST_GAIN:
        return [fill("Along the {}, from {} to {} g, more weight gains nothing.", known.line, *map(weight_text, ends))]
    jump = rise(steepest, key)
    sentence = fill("Along the {}, from {} to {} g, ", known.line, *map(weight_text, ends))
    if jump <= _ONE_STEP * total:
        sentence += fill("each 100 g more gives about {} {}; ", number_text(100 * total / rise(ends, "auw_g"), 1), unit)
    if len(points) == 2 or jump > 0.5 * total:
        light, heavy = (choice_words(design).split(", ") for design in steepest)
        changed = [words for words in heavy if words and words not in light]
        if len(points) == 2:
            sentence += fill("all {} {} come in one step", number_text(total), unit)
        else:
            sentence += fill(
                "{} of the {} {} come in one step from {} to {} g",
                number_text(jump),
                number_text(total),
                unit,
                *map(weight_text, steepest),
            )
        sentence += fill(" ({})", join(", ", changed)) if changed else ""
    return [sentence.removesuffix("; ") + ".", *knee_words(result)]


def elevon_words(result: Result) -> str:
    """Return a sentence on the elevon position in cruise, in mm at the trailing edge."""
    millimetres = (stretched_wing(result) or result.stock).numbers.elevon_mm
    side = "up" if millimetres <= 0 else "down"
    return fill("{} mm {} at the trailing edge", number_text(abs(millimetres), 1), side)


def side_words(design: Design) -> str:
    """Return how far a wing balances to one side, and the weight for its lighter tip. It is empty if that is little."""
    aside, weight = design.numbers.side_balance_mm, design.numbers.tip_weight_g
    if aside is None or weight is None or weight < _LEAST_TIP_WEIGHT:
        return ""
    heavy, light = ("right", "left") if aside > 0 else ("left", "right")
    return fill(
        "{} mm to the {}: {} g in the {} tip bring it to the middle",
        number_text(abs(aside), 1),
        heavy,
        number_text(weight),
        light,
    )


def band_words(low: float | None, high: float | None, decimals: int = 0) -> str:
    """Return a band as text, or an empty text if it is not known."""
    return (
        "" if low is None or high is None else fill("{} to {}", number_text(low, decimals), number_text(high, decimals))
    )


def from_centre(millimetres: float) -> str:
    """Return the words for a place along the half span [mm]."""
    return "at the centre line" if millimetres < 1 else fill("{} mm from the centre line", number_text(millimetres))


def with_capital(words: str) -> str:
    """Return the words with a capital first letter. Markup stays markup."""
    return words[:1].upper() + words[1:]
