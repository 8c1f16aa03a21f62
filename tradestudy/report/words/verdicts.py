"""What the numbers mean at the sticks: stretched wing against stock, one plain sentence each.

Thresholds are common practice without a source, unless a line says otherwise.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from tradestudy.quantities import in_unit
from tradestudy.report.placed import fill
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from .phrases import design_number, number_text, stretched_wing

LEAST_MARGIN = 4.0  # % of the mean chord
SAME_MARGIN = 0.5  # points of the mean chord: nobody feels less
LEAST_SHARE = {"yaw_stiffness": 0.8, "roll_per_metre": 0.7}  # of the stock wing, where no limit says otherwise
SAME_SHARE = 0.05  # a change that nobody feels
LEAST_WAG_DAMPING = 0.08  # asked of crewed aircraft: MIL-F-8785C, level 1, category B (from memory)
SHORTEST_DOUBLING = 4.0  # s, of a bank left alone: MIL-F-8785C, level 3 (from memory)
OUTER_HALF, TIP = 0.5, 0.7  # of the half span, from the centre line
MOST_TRAVEL = 0.85  # of the throw, used at the stall
MOST_ELEVON = 8.0  # deg in cruise
LEAST_TIPS = 5.0  # % of lift in hand at the tips when the stall begins
SAME_TIPS = 1.0  # points of that lift: nobody feels less
LEAST_ROOM = 3.0  # mm from the mark to an end of where it flies
SAME_ELEVON = 0.5  # deg: less than a club builder sets

HANDLING_NOTE = (
    "Estimates, each in its own cruise and of a stiff wing but for the row that says what twist leaves, which hangs on "
    "how well the film is stuck (known to a factor of two); the marks are common practice or from memory. The search "
    "holds static margin, elevon, stall speed, fin volume, turning into the wind, roll rate at equal speed and the "
    "speed up to which control is left; wagging, a bank left alone and where the stall begins are told here and not "
    "held."
)
WARNING = "Take care: "


class Verdict(NamedTuple):
    """One row: what, stock and stretched with their units, the sentence and whether it is a warning."""

    what: str
    stock: str
    stretched: str
    words: str
    warns: bool


def verdicts(result: Result) -> list[Verdict]:
    """Return how the stretched wing will handle beside the stock one; nothing when nothing was stretched."""
    design = stretched_wing(result)
    if design is None:
        return []
    rows = []
    for what, shown, judge in _ROWS:
        warns, words = judge(result.stock, design)
        rows.append(Verdict(what, shown(result.stock), shown(design), (WARNING if warns else "") + words, warns))
    return rows


Judged = tuple[bool, str]


def _trim(stock: Design, design: Design) -> Judged:
    now, before = design.numbers.elevon_deg, stock.numbers.elevon_deg
    if abs(now) > MOST_ELEVON:
        side = "up" if now < 0 else "down"
        return True, fill(
            "{} deg {} in cruise leaves little to steer with and costs drag.", number_text(abs(now), 1), side
        )
    if now > SAME_ELEVON:
        return True, "it cruises with the elevons down, which a tailless wing should not: check balance and washout."
    if abs(now - before) < SAME_ELEVON:
        return False, "Elevons in cruise as today."
    more = "more" if now < before else "less"
    return False, fill("Needs {} deg {} up-elevon in cruise than today.", number_text(abs(now - before), 1), more)


def _pitch(stock: Design, design: Design) -> Judged:
    now, before = design.numbers.static_margin_pct, stock.numbers.static_margin_pct
    against = fill("margin {} % of the mean chord against {}.", number_text(now, 1), number_text(before, 1))
    if now <= 0:
        return True, fill("unstable in pitch, it cannot be flown by hand; {}", against)
    if design.numbers.short_period_damping <= 0:
        return True, fill("its nodding grows by itself; {}", against)
    if now < LEAST_MARGIN:
        return True, fill("very lively in pitch; {}", against)
    if abs(now - before) < SAME_MARGIN:
        return False, "As steady in pitch as today."
    return False, fill("{} in pitch: {}", "Steadier" if now > before else "Livelier", against)


def _balance(stock: Design, design: Design) -> Judged:
    numbers = design.numbers
    front, back = numbers.cg_mm - numbers.foremost_cg_mm, numbers.rearmost_cg_mm - numbers.cg_mm
    why = numbers.foremost_cg_why
    if front < 0:
        return True, fill("the balance mark lies ahead of where it still flies, for {}.", why)
    if back < 0:
        return True, "the balance mark lies where these wings hunt in pitch."
    ends = fill(
        "flies up to {} mm ahead of the mark (then {}) and {} mm behind it.", number_text(front), why, number_text(back)
    )
    if min(front, back) < LEAST_ROOM:
        return True, fill("little room: {}", ends)
    return False, fill("Still {}", ends)


def _flare(stock: Design, design: Design) -> Judged:
    share = -design.numbers.stall_elevon_deg / design.numbers.up_travel_deg
    if share > 1:
        return True, "full up-elevon does not bring it to the stall: it lands fast and does not round out."
    if share > MOST_TRAVEL:
        return True, fill(
            "{} % of the throw is used at the stall: hardly any left to round out.", number_text(in_unit(share, "%"))
        )
    return False, fill(
        "{} % of the throw is left at the stall to round out with.", number_text(in_unit(1 - share, "%"))
    )


def _yaw(stock: Design, design: Design) -> Judged:
    now, before = design.numbers.yaw_stiffness, stock.numbers.yaw_stiffness
    if now <= 0:
        return True, "it does not turn back into the wind by itself: give it more fin."
    if before <= 0:
        return False, "Turns back into the wind, which the stock wing does not."
    share, least = now / before, _least_share(design, "yaw_stiffness", before)
    if share < least:
        told_shares = fill("{} of today's and below {}", number_text(share, 2), number_text(least, 2))
        return True, fill("weaker in yaw, {}: give it more fin.", told_shares)
    if abs(share - 1) < SAME_SHARE:
        return False, "As firm in yaw as today."
    return False, fill("{} in yaw: {} of today's.", "Weaker" if share < 1 else "Firmer", number_text(share, 2))


def _roll(stock: Design, design: Design) -> Judged:
    now, before = design.numbers.roll_rate_deg_s, stock.numbers.roll_rate_deg_s
    if now <= 0:
        return True, "the elevons do not roll it."
    by_metre = stock.numbers.roll_deg_per_m
    share = design.numbers.roll_deg_per_m / by_metre  # at equal speed: what the wing does, not how fast it is flown
    told_rates = fill("{} deg/s against {}", number_text(now), number_text(before))
    if abs(share - 1) < SAME_SHARE:
        return False, "Rolls as fast as today."
    if share > 1:
        return False, fill("Rolls faster: {}.", told_rates)
    slower = fill("{}, at equal speed {} % less.", told_rates, number_text(in_unit(1 - share, "%")))
    if share < _least_share(design, "roll_per_metre", by_metre):
        return True, fill("rolls much slower: {} More throw or longer elevons help.", slower)
    return False, fill("Rolls slower: {}", slower)


def _least_share(design: Design, name: str, before: float) -> float:
    """What the search held, as a share of the stock wing's ``before``."""
    held = next((state.bound for state in design.limits if state.name == name), None)
    return LEAST_SHARE[name] if held is None else held / before


def _control(stock: Design, design: Design) -> Judged:
    numbers, before = design.numbers, stock.numbers.control_speed_kmh
    now, top, gone = numbers.control_speed_kmh, numbers.top_speed_kmh, numbers.roll_reversal_kmh
    if gone is not None and gone < top:
        return True, (
            fill(
                "the wing twists under its elevons: roll control is gone at {} km/h, and full throttle "
                "reaches {}. Stay well below, or stiffen it: tougher film, more rods.",
                number_text(gone),
                number_text(top),
            )
        )
    if now is None:
        return False, "Keeps its roll control up to top speed and beyond."
    if now < top:
        return True, (
            fill(
                "above {} km/h less than 0.4 of its roll control is left, and full throttle reaches {}: "
                "slow down before steering hard.",
                number_text(now),
                number_text(top),
            )
        )
    if before is not None and abs(now - before) < SAME_SHARE * before:
        return False, "Keeps its roll control up to top speed, as today."
    return False, fill("Keeps its roll control up to top speed: 0.4 of it is left at {} km/h.", number_text(now))


def _wag(stock: Design, design: Design) -> Judged:
    now, before = design.numbers.dutch_roll_damping, stock.numbers.dutch_roll_damping
    if now <= 0:
        return True, "it wags and rocks more and more by itself."
    if design.numbers.dutch_roll_period_s is None:
        return False, "Does not wag: what starts it dies out without a swing."
    if now < LEAST_WAG_DAMPING:
        return True, fill(
            "wagging lasts, damping {}: long in rough air, hard on video and autopilot.", number_text(now, 2)
        )
    if abs(now - before) < 0.1 * abs(before):
        return False, "Wags and rocks as today, and it dies out."
    return False, fill("Wagging dies out {} than today.", "sooner" if now > before else "later")


def _bank(stock: Design, design: Design) -> Judged:
    time = design.numbers.spiral_time_s
    if time is None:
        return False, "Left alone it holds its bank."
    if time > 0:
        return False, "Left alone it levels its wings by itself."
    if -time < SHORTEST_DOUBLING:
        return True, fill("left alone it rolls into a turn quickly: a bank doubles in {} s.", number_text(-time, 1))
    return False, fill(
        "Left alone it slowly tightens its turn: a bank doubles in {} s, easily flown.", number_text(-time)
    )


def _stall(stock: Design, design: Design) -> Judged:
    share, left, before = (_stall_share(design), design.numbers.tips_left_pct, stock.numbers.tips_left_pct)
    if share > TIP:
        return True, "the tips stall first: it may drop a wing or pitch up. More washout, and keep it fast in turns."
    if left < LEAST_TIPS:
        follows = fill("tips follow at once, with {} % of their lift in hand", number_text(left))
        if left < before - SAME_TIPS:
            return True, fill("{} against {}: more washout, and keep it fast in turns.", follows, number_text(before))
        return False, fill("As today or better, but {}: keep speed in turns.", follows)
    if share > OUTER_HALF:
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


def _swing(design: Design) -> str:
    period = design.numbers.dutch_roll_period_s
    swing = fill(", {} s a swing", number_text(period, 1)) if period is not None else ""
    return fill("damping {}{}", design_number(design, "dutch_roll_damping"), swing)


def _bank_time(design: Design) -> str:
    time = design.numbers.spiral_time_s
    if time is None:
        return "stays"
    return fill("{} in {} s", "halves" if time > 0 else "doubles", number_text(abs(time), 1))


def _stall_place(design: Design) -> str:
    return fill(
        "{} mm out, tips keep {} %", design_number(design, "stall_starts_at_mm"), design_number(design, "tips_left_pct")
    )


def _range(design: Design) -> str:
    return fill(
        "{} to {} mm, mark {}",
        design_number(design, "foremost_cg_mm"),
        design_number(design, "rearmost_cg_mm"),
        design_number(design, "cg_mm"),
    )


def _stall_elevon(design: Design) -> str:
    up, throw = -design.numbers.stall_elevon_deg, design.numbers.up_travel_deg
    return fill("{} of {} deg up", number_text(up), number_text(throw))


# what, how one wing stands, stretched judged against stock
_ROWS: tuple[tuple[str, Callable[[Design], str], Callable[[Design, Design], Judged]], ...] = (
    ("Elevons in cruise", _elevon, _trim),
    ("Up-elevon at the stall", _stall_elevon, _flare),
    ("Where it may balance and fly", _range, _balance),
    ("Steadiness in pitch", _number("static_margin_pct", "% of mean chord"), _pitch),
    ("Turning back into the wind", _number("yaw_stiffness", "per rad"), _yaw),
    ("Roll rate, full stick in cruise", _number("roll_rate_deg_s", "deg/s"), _roll),
    ("0.4 of its roll control left at", _number("control_speed_kmh", "km/h"), _control),
    ("Wagging and rocking", _swing, _wag),
    ("A bank left alone", _bank_time, _bank),
    ("Where the stall begins", _stall_place, _stall),
)
