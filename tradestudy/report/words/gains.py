"""Whether to build at all, what single changes of the stock wing give, and what weight gives along a front."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from tradestudy.quantities import in_unit
from tradestudy.report.placed import fill, join
from tradestudy.results.design import Design
from tradestudy.results.result import Result
from tradestudy.results.trade import WORTH_BUILDING

from .phrases import (
    choice_words,
    comma_list,
    complete_designs,
    design_number,
    gain_text,
    gain_words,
    number_text,
    printed_gain,
    short_limit,
    stretched_wing,
    violated_limit_words,
    violated_limits,
    weight_text,
    with_capital,
)
from .purpose import FrontAxis, by_weight, front_axes, knee_wing, measure
from .violated_limits import HARDLY_MISSED, distinct_texts, is_hardly_missed, key_of_limit

_MOST_LISTED = 3  # most violated limits of one wing named in a sentence, worst first; a table has them all
_LEAST_SPREAD = 0.03  # least range of weights along a front, as a share of the lightest, for gains per gram
_LEAST_GAIN = 0.05  # km or min; a smaller gain along a front is called none
_ONE_STEP = 0.8  # if one step gives a larger share of the gain along a front, no gain per gram is given
_SAME = 0.01  # share of the best value: wings of the same parts that differ by less are one for a builder
_KNOWN_UNITS = ("km/h", "g", "mm", "A", "deg")  # units of limits whose value is told in a sentence
_MOST_OF_IT = 0.8  # share of the whole gain that counts as most of it; judgement
_FLAT = 0.03  # share of the whole gain that is not worth a longer span; judgement
_SAME_SPAN = 1.0  # mm
_WORTH_NAMING = 0.3  # share of the loss of range from which its cause is named; judgement


def keeps_panels(design: Design) -> bool:
    """Return whether a wing has the panels and rods of the stock wing, so that nothing is cut for it."""
    return design.cutting is not None and design.cutting.panels_kept


def changed_parts(design: Design, stock: Design) -> list[str]:
    """Return a phrase for each part to change on the stock wing, such as "the pack (4S3P)"."""
    chosen, own = design.choices, stock.choices
    parts = []
    if (chosen.series, chosen.parallel, chosen.pack) != (own.series, own.parallel, own.pack):
        parts.append(fill("the pack ({}S{}P{})", chosen.series, chosen.parallel, f" {chosen.pack}" * bool(chosen.pack)))
    for name, new, old in (
        ("propeller", chosen.propeller, own.propeller),
        ("motor", chosen.motor, own.motor),
    ):
        if new != old:
            parts.append(fill("the {} ({})", name, new))
    if chosen.throttle_cap_pct != own.throttle_cap_pct:
        parts.append("the throttle cap")
    return [*parts, *(["where equipment lies"] if chosen.bays != own.bays else [])]


def is_as_today(design: Design, stock: Design) -> bool:
    """Return whether a wing is the stock wing itself: the same panels, rods and parts."""
    return keeps_panels(design) and not changed_parts(design, stock)


def advice_words(result: Result) -> list[str]:
    """Return one sentence that says not to build new panels, or none if they are worth their work.

    It is the same after every command. What new panels would gain stands beside it: `best_found_words`. A search that
    did not compare the panels that fly today says where that is told.
    """
    design, stock = stretched_wing(result), result.stock
    if design is None or result.conflict or violated_limits(design):
        return []
    known, parts, gain = measure(result), changed_parts(design, stock), _gain(design, result)
    most, little = getattr(design.numbers, known.key) or 0.0, number_text(in_unit(WORTH_BUILDING, "%"))
    panels = fill("new panels gain less than {} %", little)
    if keeps_panels(design):
        if not parts:
            return [fill("Leave the wing as it is: {}.", panels)]
        return [fill("Keep the panels, and change only {}: {}. More is not worth it: {}.",
                     comma_list(parts), _more(design, result), panels)]  # fmt: skip
    longer = design.numbers.span_mm - stock.numbers.span_mm
    if design.label == "best" and result.recommended is None and parts and longer < _SAME_SPAN:  # no spans compared
        return ["The span stays. Whether the panels that fly today will do, tradestudy run tells."]
    if parts or gain >= WORTH_BUILDING * most:
        return []
    if gain < _LEAST_GAIN:
        return [fill("Leave the wing as it is: this one goes no farther than the stock wing.")]
    return [
        fill(
            "Leave the wing as it is, unless you build new panels anyway: they gain only {} {} on {} {}.",
            gain_text(gain),
            known.unit,
            gain_text(getattr(stock.numbers, known.key)),
            known.unit,
        )
    ]


def named_wing(result: Result) -> list[str]:
    """Return sentences that name the recommended wing, for a command that shows other wings or one number of it."""
    design = stretched_wing(result)
    if design is None or result.conflict:
        return []
    name = "The recommended wing, as in tradestudy run" if result.instead is None else "The wing asked for"
    span, parts = design_number(design, "span_mm"), choice_words(design)
    return [*advice_words(result), fill("{}: span {} mm, {}, {}.", name, span, parts, gain_words(design, result))]


def best_found_words(result: Result) -> list[str]:
    """Return one sentence on the best wing of a search where the wing to build is another one that keeps its panels."""
    design, best = result.recommended, result.best
    if design is None or best is None or result.conflict or not keeps_panels(design):
        return []
    known = measure(result)
    more = printed_gain(getattr(best.numbers, known.key) or 0.0, getattr(design.numbers, known.key) or 0.0)
    if more < _LEAST_GAIN:
        return []
    return [
        fill(
            "With new panels the best wing found has a span of {} mm and {}: {} {} more.",
            design_number(best, "span_mm"),
            choice_words(best),
            gain_text(more),
            known.unit,
        )
    ]


def step_words(result: Result) -> list[str]:
    """Return a sentence for each single change: what it gives when made alone, and the limits that it breaks."""
    lines = []
    for step in result.steps:
        if is_no_change(step, result.stock):
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
    return [*what_brings_it(result), *lines]


def what_brings_it(result: Result) -> list[str]:
    """Return one sentence on whether pack or span brings the gain, or none if neither brings most of it alone."""
    design = stretched_wing(result)
    steps = {step.label: step for step in result.steps}
    if design is None or "pack only" not in steps:
        return []
    total, pack = _gain(design, result), _gain(steps["pack only"], result)
    span = _gain(steps["span only"], result) if "span only" in steps else 0.0
    if total <= 0:
        return []
    longer = design.numbers.span_mm > result.stock.numbers.span_mm + _SAME_SPAN
    if pack > _MOST_OF_IT * total:
        broken = list(dict.fromkeys(map(short_limit, violated_limit_words(steps["pack only"]))))
        states = violated_limits(steps["pack only"])
        if states and total - pack < _FLAT * total and all(map(is_hardly_missed, states)):
            keys = list(dict.fromkeys(filter(None, map(key_of_limit, states))))
            return [
                fill(
                    "The pack brings the gain, at the stock span. With it today's panels miss the {}: {}. They miss "
                    "by {}: you may keep them instead, and allow that little more ({}).",
                    _limit(broken),
                    join("; ", broken[:_MOST_LISTED]),
                    HARDLY_MISSED,
                    comma_list(keys),
                )
            ]
        if broken:
            words = (
                "The pack brings the gain, and a longer span carries it. At the stock span it would break the {}: {}."
                if longer
                else "The pack brings the gain, at the stock span. Panels or balance must change with it: in the stock "
                "wing the pack breaks the {}: {}."
            )
            return [fill(words, _limit(broken), join("; ", broken[:_MOST_LISTED]))]
        if longer and total - pack < _FLAT * total:
            return ["The pack brings the gain, and the stock span carries it: leave the span as it is."]
        return ["The pack brings the gain, at the stock span too."]
    if span > _MOST_OF_IT * total:
        return ["The longer span brings most of the gain, with today's pack too."]
    return []


def _gain(design: Design, result: Result) -> float:
    """Return how much more a design has than the stock wing of what the study maximises."""
    key = measure(result).key
    return printed_gain(getattr(design.numbers, key) or 0.0, getattr(result.stock.numbers, key) or 0.0)


def _more(design: Design, result: Result) -> str:
    """Return what a design gives more than the stock wing, such as "+12 km"."""
    gain = _gain(design, result)
    return fill("{}{} {}", "\N{MINUS SIGN}" if gain < 0 else "+", gain_text(abs(gain)), measure(result).unit)


def is_no_change(step: Design, stock: Design) -> bool:
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
    value, bound = distinct_texts(state.value, state.bound)
    return fill(" ({} {}, {} {})", value, state.unit, state.side, bound) if value != bound else ""


def _limit(violated: list[str]) -> str:
    return "limit" if len(violated) == 1 else "limits"


def axis_words(axis: FrontAxis, design: Design) -> str:
    """Return the number of a design on one axis of the front, with its unit."""
    return fill("{} {}", number_text(getattr(design.numbers, axis.key), axis.digits), axis.unit)


def knee_words(result: Result) -> list[str]:
    """Return sentences on the knee of the front.

    The knee is the point farthest from the straight line between the ends, with both axes scaled to 1.
    """
    bend = knee_wing(result)
    if bend is None:
        return []
    up, along = front_axes(result)
    return [
        fill(
            "The best bargain is at {} and {}, with {}. Beyond it, more {} gives less for each step.",
            axis_words(along, bend),
            axis_words(up, bend),
            choice_words(bend),
            along.words,
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
        if len(points) == 2 or number_text(jump) == number_text(total):
            sentence += fill("all {} {} come in one step", number_text(total), unit)
        else:
            sentence += fill(
                "{} of the {} {} come in one step from {} to {} g",
                number_text(jump),
                number_text(total),
                unit,
                *map(weight_text, steepest),
            )
        sentence += fill(", with {}", join(", ", changed)) if changed else ""
    return [sentence.removesuffix("; ") + ".", *knee_words(result)]


def why_not_words(result: Result) -> list[str]:
    """Return sentences on why a requested wing is not the recommended one, or none if it is."""
    requested, other = result.best, result.instead
    if requested is None or other is None:
        return []
    lines = []
    violated = violated_limit_words(requested)
    if violated:
        violated[0] += _worst(requested)
        listed = comma_list(violated[:_MOST_LISTED])
        lines.append(fill("Not the recommended wing: it breaks the {} on {}.", _limit(violated), listed))
    known = measure(result)
    behind = (getattr(other.numbers, known.key) or 0.0) - (getattr(requested.numbers, known.key) or 0.0)
    at_best = fill(
        "{} at {} mm span with {}", gain_words(other, result), number_text(other.numbers.span_mm), choice_words(other)
    )
    if behind <= 0:
        return [*lines, fill("The recommended wing, {}, goes no farther.", at_best)]
    words = fill("It is {} {} behind the recommended wing: {}.", gain_text(behind), known.unit, at_best)
    return [*lines, words, *_what_costs_it(requested, other)]


def _what_costs_it(requested: Design, other: Design) -> list[str]:
    """Return a sentence on what costs a wing most of its range: pack, weight, drag for its lift, or drive."""
    if not (requested.drag_breakdown and other.drag_breakdown):
        return []
    ratio = {
        "less energy in its pack": requested.numbers.pack_energy_wh / other.numbers.pack_energy_wh,
        "more weight": other.numbers.auw_g / requested.numbers.auw_g,
        "more drag for its lift": requested.drag_breakdown.lift_to_drag / other.drag_breakdown.lift_to_drag,
    }
    shares = {name: -math.log(each) for name, each in ratio.items()}
    total = math.log(other.numbers.range_km / requested.numbers.range_km)
    shares["a drive that wastes more, or more power for the equipment"] = total - sum(shares.values())
    name, most = max(shares.items(), key=lambda pair: pair[1])
    return [fill("What costs it most: {}.", name)] if most > _WORTH_NAMING * abs(total) else []
