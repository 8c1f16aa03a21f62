"""Verdicts on how the stretched wing handles compared with the stock wing, one sentence for each property.

Thresholds are common practice without a source, unless a line says otherwise.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from tradestudy.quantities import in_unit
from tradestudy.quantities.balance_practice import LEAST_STATIC_MARGIN, MOST_CRUISE_ELEVON, MOST_DOWN_ELEVON
from tradestudy.quantities.floors import LEAST_TIPS_LEFT
from tradestudy.report.balance_words import is_empty, is_narrow
from tradestudy.report.placed import fill
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from .phrases import design_number, number_text, stretched_wing
from .structure import TAKE_CARE

_SAME_MARGIN = 0.5  # largest change of static margin that nobody feels, % of the mean chord
# least share of the stock wing's value, where no limit of the study sets another
_LEAST_SHARE = {"yaw_stiffness": 0.8, "roll_per_metre": 0.7}
_SAME_SHARE = 0.05  # largest relative change that nobody feels
# least damping ratio of the yaw and roll swing, required of crewed aircraft: MIL-F-8785C, level 1, category B (from
# memory)
_LEAST_WAG_DAMPING = 0.08
_SHORTEST_DOUBLING = 4.0  # s, least time in which a bank left alone may double: MIL-F-8785C, level 3 (from memory)
_OUTER_HALF, _TIP = 0.5, 0.7  # where the outer half and the tip begin, as shares of the half span
_MOST_TRAVEL = 0.85  # largest share of the elevon throw that the stall may need
_LEAST_TIPS = in_unit(LEAST_TIPS_LEFT, "%")
_SAME_TIPS = 1.0  # %, largest change of that lift that nobody feels
_SAME_ELEVON = in_unit(MOST_DOWN_ELEVON, "deg")  # as near as a club builder sets elevons
_MOST_ELEVON = in_unit(MOST_CRUISE_ELEVON, "deg")
_LEAST_MARGIN = in_unit(LEAST_STATIC_MARGIN, "%")

HANDLING_NOTE = (
    "Estimates, each wing at its own cruise. The wing is taken as stiff, except in the row on roll control left. That "
    "one depends on how well the film is bonded (known to a factor of two). The thresholds are common practice or from "
    "memory. The search holds limits on static margin, elevon, stall speed, fins, yaw, roll rate at equal speed "
    "and the top speed with control. Wagging, a bank left alone and where the stall begins are "
    "reported, not constrained."
)


class Verdict(NamedTuple):
    """One verdict: the property, its value for both wings with unit, a sentence, and whether it is a warning."""

    what: str
    stock: str
    stretched: str
    words: str
    warns: bool


def verdicts(result: Result) -> list[Verdict]:
    """Return the verdicts on the stretched wing compared with the stock wing, or none without a stretched wing."""
    design = stretched_wing(result)
    if design is None:
        return []
    rows = []
    for what, shown, judge in _ROWS:
        warns, words = judge(result.stock, design)
        rows.append(Verdict(what, shown(result.stock), shown(design), (TAKE_CARE if warns else "") + words, warns))
    return rows


_Judgement = tuple[bool, str]


def _trim(stock: Design, design: Design) -> _Judgement:
    now, before = design.numbers.elevon_deg, stock.numbers.elevon_deg
    if abs(now) > _MOST_ELEVON:
        side = "up" if now < 0 else "down"
        return True, fill(
            "{} deg {} in cruise leaves little for control and costs drag.", number_text(abs(now), 1), side
        )
    if now > _SAME_ELEVON:
        return True, "it cruises with the elevons down, which a tailless wing should not: check balance and washout."
    if abs(now - before) < _SAME_ELEVON:
        return False, "Elevons in cruise as today."
    more = "more" if now < before else "less"
    return False, fill("Needs {} deg {} up-elevon in cruise than today.", number_text(abs(now - before), 1), more)


def _pitch(stock: Design, design: Design) -> _Judgement:
    now, before = design.numbers.static_margin_pct, stock.numbers.static_margin_pct
    against = fill("margin {} % of the mean chord against {}.", number_text(now, 1), number_text(before, 1))
    if now <= 0:
        return True, fill("unstable in pitch, it cannot be flown by hand; {}", against)
    if design.numbers.short_period_damping <= 0:
        return True, fill("its quick pitch oscillation grows by itself; {}", against)
    if now < min(_LEAST_MARGIN, before):
        return True, fill("very sensitive in pitch; {}", against)
    if abs(now - before) < _SAME_MARGIN:
        return False, "As stable in pitch as today."
    return False, fill("{} in pitch: {}", "More stable" if now > before else "More sensitive", against)


def _balance(stock: Design, design: Design) -> _Judgement:
    numbers = design.numbers
    front, back = numbers.cg_mm - numbers.cg_front_mm, numbers.cg_back_mm - numbers.cg_mm
    if is_empty(design):
        return True, fill("no balance window: {} in front, and behind {}.", numbers.cg_front_why, numbers.cg_back_why)
    if front < 0:
        return True, fill("the balance mark is ahead of the balance window: {}.", numbers.cg_front_why)
    if back < 0:
        return True, fill("the balance mark is behind the balance window: {}.", numbers.cg_back_why)
    ends = fill(
        "the balance can move {} mm ahead of the mark (then {}) and {} mm behind it (then {}).",
        number_text(front),
        numbers.cg_front_why,
        number_text(back),
        numbers.cg_back_why,
    )
    if is_narrow(design):
        return True, fill("a narrow window: {}", ends)
    return False, fill("Good: {}", ends)


def _flare(stock: Design, design: Design) -> _Judgement:
    share = -design.numbers.stall_elevon_deg / design.numbers.up_travel_deg
    if share > 1:
        return True, "full up-elevon does not bring it to the stall: it lands fast and cannot flare."
    if share > _MOST_TRAVEL:
        used = number_text(in_unit(share, "%"))
        return True, fill("{} % of the throw is used at the stall: hardly any is left for the flare.", used)
    return False, fill("{} % of the throw is left at the stall for the flare.", number_text(in_unit(1 - share, "%")))


def _yaw(stock: Design, design: Design) -> _Judgement:
    now, before = design.numbers.yaw_stiffness, stock.numbers.yaw_stiffness
    if now <= 0:
        return True, "it does not turn back into the wind by itself: give it more fin."
    if before <= 0:
        return False, "Turns back into the wind, which the stock wing does not."
    share, least = now / before, _least_share(design, "yaw_stiffness", before)
    if share < least:
        shares = fill("{} of today's and below {}", number_text(share, 2), number_text(least, 2))
        return True, fill("weaker in yaw, {}: give it more fin.", shares)
    if abs(share - 1) < _SAME_SHARE:
        return False, "As stable in yaw as today."
    return False, fill("{} in yaw: {} of today's.", "Weaker" if share < 1 else "Stronger", number_text(share, 2))


def _roll(stock: Design, design: Design) -> _Judgement:
    now, before = design.numbers.roll_rate_deg_s, stock.numbers.roll_rate_deg_s
    if now <= 0:
        return True, "the elevons do not roll it."
    by_metre = stock.numbers.roll_deg_per_m
    share = design.numbers.roll_deg_per_m / by_metre  # degrees per metre of flight compare the wings at equal speed
    rates = fill("{} deg/s against {}", number_text(now), number_text(before))
    if abs(share - 1) < _SAME_SHARE:
        return False, "Rolls as fast as today."
    if share > 1:
        return False, fill("Rolls faster: {}.", rates)
    slower = fill("{}, at equal speed {} % less.", rates, number_text(in_unit(1 - share, "%")))
    if share < _least_share(design, "roll_per_metre", by_metre):
        return True, fill("rolls much slower: {} More throw or longer elevons help.", slower)
    return False, fill("Rolls slower: {}", slower)


def _least_share(design: Design, name: str, before: float) -> float:
    """Return the least share of the stock wing's value ``before`` that a limit requires, or else common practice."""
    bound = next((state.bound for state in design.limits if state.name == name), None)
    return _LEAST_SHARE[name] if bound is None else bound / before


def _control(stock: Design, design: Design) -> _Judgement:
    numbers, before = design.numbers, stock.numbers.control_speed_kmh
    now, top, gone = numbers.control_speed_kmh, numbers.top_speed_kmh, numbers.roll_reversal_kmh
    if gone is not None and gone < top:
        return True, fill(
            "the elevons twist the wing: no roll control is left at {} km/h, and full throttle reaches {} km/h. Stay "
            "well below, or stiffen the wing: tougher film, more rods.",
            number_text(gone),
            number_text(top),
        )
    if now is None:
        return False, "Keeps its roll control up to top speed and beyond."
    if now < top:
        return True, fill(
            "above {} km/h less than 0.4 of its roll control is left, and full throttle reaches {} km/h: slow down "
            "before hard turns.",
            number_text(now),
            number_text(top),
        )
    if before is not None and abs(now - before) < _SAME_SHARE * before:
        return False, "Keeps its roll control up to top speed, as today."
    return False, fill("Keeps its roll control up to top speed: 0.4 of it is left at {} km/h.", number_text(now))


def _wagging(stock: Design, design: Design) -> _Judgement:
    now, before = design.numbers.dutch_roll_damping, stock.numbers.dutch_roll_damping
    if now <= 0:
        return True, "its wagging grows by itself."
    if design.numbers.dutch_roll_period_s is None:
        return False, "Does not wag: a disturbance dies out without swinging."
    if now < _LEAST_WAG_DAMPING:
        return True, fill(
            "wagging lasts long in rough air, damping {}: bad for video and autopilot.", number_text(now, 2)
        )
    if abs(now - before) < 0.1 * abs(before):
        return False, "Wagging as today, and it dies out."
    return False, fill("Wagging dies out {} than today.", "sooner" if now > before else "later")


def _bank(stock: Design, design: Design) -> _Judgement:
    time = design.numbers.spiral_time_s
    if time is None:
        return False, "Left alone it keeps its bank."
    if time > 0:
        return False, "Left alone it levels its wings by itself."
    if -time < _SHORTEST_DOUBLING:
        return True, fill("left alone it rolls into a turn quickly: a bank doubles in {} s.", number_text(-time, 1))
    return False, fill(
        "Left alone it slowly tightens its turn: a bank doubles in {} s, easy to fly.", number_text(-time)
    )


def _stall(stock: Design, design: Design) -> _Judgement:
    share, left, before = (_stall_share(design), design.numbers.tips_left_pct, stock.numbers.tips_left_pct)
    if share > _TIP:
        return True, "the tips stall first: it may drop a wing or pitch up. More washout, and keep it fast in turns."
    if round(left, 1) < _LEAST_TIPS:
        follows = fill("the tips stall soon after, with {} % of their lift left", number_text(left))
        if left < before - _SAME_TIPS:
            return True, fill("{} against {}: more washout, and keep it fast in turns.", follows, number_text(before))
        return False, fill("As today or better, but {}: keep speed in turns.", follows)
    if share > _OUTER_HALF:
        return False, "The stall begins in the outer half: one wing may drop, so keep speed in turns."
    return False, "The stall begins in the inner half: the tips and most of the elevons still work."


def _stall_share(design: Design) -> float:
    return float(design.numbers.stall_starts_at_mm / (0.5 * design.numbers.span_mm))


def _number(key: str, unit: str) -> Callable[[Design], str]:
    return lambda design: fill("{} {}", design_number(design, key), unit).strip()


def _elevon(design: Design) -> str:
    angle, length = design.numbers.elevon_deg, design.numbers.elevon_mm
    side = "up" if angle < 0 else "down"
    return fill("{} deg {} ({} mm)", number_text(abs(angle), 1), side, number_text(abs(length), 1))


def _damping(design: Design) -> str:
    period = design.numbers.dutch_roll_period_s
    each = fill(", period {} s", number_text(period, 1)) if period is not None else ""
    return fill("damping {}{}", design_number(design, "dutch_roll_damping"), each)


def _bank_time(design: Design) -> str:
    time = design.numbers.spiral_time_s
    if time is None:
        return "constant"
    return fill("{} in {} s", "halves" if time > 0 else "doubles", number_text(abs(time), 1))


def _stall_place(design: Design) -> str:
    return fill(
        "{} mm out, {} % of lift left at the tips",
        design_number(design, "stall_starts_at_mm"),
        design_number(design, "tips_left_pct"),
    )


def _window(design: Design) -> str:
    if is_empty(design):
        return fill("none, mark {} mm", design_number(design, "cg_mm"))
    return fill(
        "{} to {} mm, mark {} mm",
        design_number(design, "cg_front_mm"),
        design_number(design, "cg_back_mm"),
        design_number(design, "cg_mm"),
    )


def _stall_elevon(design: Design) -> str:
    up, throw = -design.numbers.stall_elevon_deg, design.numbers.up_travel_deg
    return fill("{} of {} deg up", number_text(up), number_text(throw))


# each row: property, function for its value for one wing, function that judges the stretched wing
_ROWS: tuple[tuple[str, Callable[[Design], str], Callable[[Design, Design], _Judgement]], ...] = (
    ("Elevons in cruise", _elevon, _trim),
    ("Up-elevon at the stall", _stall_elevon, _flare),
    ("Balance window", _window, _balance),
    ("Stability in pitch", _number("static_margin_pct", "% of mean chord"), _pitch),
    ("Yaw stiffness (turns into the wind)", _number("yaw_stiffness", "per rad"), _yaw),
    ("Roll rate, full stick in cruise", _number("roll_rate_deg_s", "deg/s"), _roll),
    ("Speed with 0.4 of roll control left", _number("control_speed_kmh", "km/h"), _control),
    ("Wagging (yaw and roll swing)", _damping, _wagging),
    ("A bank left alone", _bank_time, _bank),
    ("Where the stall begins", _stall_place, _stall),
)
