"""Every limit of a study with its bound, as a scaled margin that is positive when met.

Limits are declared in `quantities.limits`. This module computes their bounds and applies them to the model's outputs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import reduce
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.shape.pack_bay import bays_clear_of_rods
from tradestudy.physics.aeroelastic.elevon_hinge import TORQUE_RESERVE
from tradestudy.physics.flight.control import LEAST_CONTROL_SHARE, MOST_FEEDBACK
from tradestudy.physics.flight.launch import BUNGEE_SPEED, LAUNCH_OVER_STALL, LEAST_HEIGHT_LEFT
from tradestudy.physics.flight.trimmed_flight import FULL_SPEED_SHARE, LEVEL_CONDITIONS, LOAD_CONDITIONS
from tradestudy.physics.structure.wing_beam import SAFETY_FACTOR
from tradestudy.quantities import floors, with_unit
from tradestudy.quantities.balance_practice import most_up_elevon
from tradestudy.quantities.limits import (
    LIMITS,
    MAKER,
    OF_MODEL,
    OF_PRACTICE,
    PRACTICE,
    RATING,
    ROOM,
    STOCK,
    STOCK_WINGS,
    STUDY,
    YOURS,
    FixedBound,
    KeyBound,
    LimitDeclaration,
    StockShareBound,
)
from tradestudy.study.schema.study import Study
from tradestudy.study.tip_chords import tip_chords

from .choices import Choice, study_with_choice
from .pack_fit import pack_reach, words_at_ends

ACTIVE_BELOW = 2e-3  # scaled margin below which a limit counts as active: it stops the design
MET_ABOVE = -1e-4  # scaled margin above which a limit counts as met
_STRONG_ENOUGH = 2 * SAFETY_FACTOR  # times the pull-up: highest bound that a strong stock wing sets. Common practice
# Tip deflection over semi-span up to which beam and lattice hold: both take the wing as flat. A tip that rises by a
# tenth stands at about 10 degrees; its lift tilts as much and loses 2 %. Below it, bend alone breaks nothing:
# strength, control and twisting off are limits of their own.
_STILL_FLAT = 0.10
_LEAST_ELEVON = np.radians(1.0)  # lowest bound on elevon in cruise: under 1 mm at most trailing edges

CRUISE = LEVEL_CONDITIONS.index("cruise")
PULL_UP = LOAD_CONDITIONS.index("pull_up")
_AT_LAUNCH = "stall speed against launch speed"
_BY_STRIP = ("stall_margin",)  # outputs with one value for every strip in every level condition


@dataclass(frozen=True)
class Limit:
    """One limit on one output: its margin ``sign * (output - bound) / scale`` must not be negative.

    ``index`` selects elements of a vector output. None selects all, and each must meet the bound. ``origin`` says in
    words where the bound comes from, and ``whose`` whose rule it is.
    """

    name: str
    words: str
    output: str
    bound: float
    scale: float
    sign: int  # +1: output at least the bound, -1: at most
    index: slice | None = None
    origin: str = ""
    whose: str = ""

    @property
    def declared(self) -> LimitDeclaration:
        """The limit's entry in the table of limits."""
        return LIMITS[self.name]

    def margin(self, value) -> np.ndarray:
        """Return the scaled margins (n,). A negative margin means that the limit is violated."""
        return self.sign * (self.elements(np.atleast_1d(value)) - self.bound) / self.scale

    def least_margins(self, values: np.ndarray) -> np.ndarray:
        """Return the least scaled margin (n,) of each of many designs, whose outputs are ``values`` (n, ...)."""
        flat = values.reshape(len(values), -1)
        elements = flat if self.index is None else flat[:, self.index]
        return (self.sign * (elements - self.bound) / self.scale).min(axis=-1)

    def margin_slope(self, slope: np.ndarray) -> np.ndarray:
        """Return the derivatives (n,) of the margins from those of the output. ``slope`` is flattened."""
        return self.sign * self.elements(slope) / self.scale

    def elements(self, flat):
        """Return the elements (n,) that this limit applies to."""
        flat = np.asarray(flat).reshape(-1)
        return flat if self.index is None else flat[self.index]


@dataclass(frozen=True)
class StockReference:
    """The stock wing's own values, SI. They set bounds for the stretched wings."""

    static_margin: float
    elevon: float
    stall_speed: float
    failure_load_factor: float
    utilisation: np.ndarray
    fin_volume: float
    yaw_stiffness: float
    roll_per_metre: float
    twist_off_share: float
    servo_load: float | None  # the greater torque for full elevon at full speed [N m]; None without a linkage
    tips_left: float  # lift left at the tips when the stall begins, over their largest [-]
    launch_height_left: float | None  # height after a throw by hand; None if it is not thrown [m]
    control_speed: float  # speed at which twist leaves 0.4 of its roll control [m/s]


def launch_way(study: Study, reference: StockReference) -> str:
    """Return how the wing is launched: the study's way, or else what the stock wing allows."""
    if study.fly.launch is not None:
        return study.fly.launch
    left = reference.launch_height_left
    thrown = study.fly.launch_speed is None and left is not None and left >= LEAST_HEIGHT_LEFT
    return "hand" if thrown else "bungee"


def launch_speed(study: Study, reference: StockReference) -> float | None:
    """Return the airspeed [m/s] that a bungee, a dolly or wheels give, or None for a throw or if nothing limits it."""
    way = launch_way(study, reference)
    if way == "hand":
        return None
    return study.fly.launch_speed or (BUNGEE_SPEED if way == "bungee" else None)


def slowest_speed(study: Study, reference: StockReference) -> tuple[float, str]:
    """Return the speed [m/s] at which no strip may stall, and the rule that sets it, in words.

    A throw sets none: below its stall a wing sinks, and the height that is left is a limit of its own.
    """
    by_ratio = study.limits.stall_speed_ratio * reference.stall_speed
    launched = launch_speed(study, reference)
    if launched is not None and launched / LAUNCH_OVER_STALL < by_ratio:
        return launched / LAUNCH_OVER_STALL, _AT_LAUNCH
    return by_ratio, "stall speed against stock"


def least_control_speed(study: Study, reference: StockReference) -> float:
    """Return the airspeed up to which elevons must keep control. It is a share of the stock wing's. [m/s]"""
    return study.limits.control_speed_share * reference.control_speed


class Bound(NamedTuple):
    """A bound, where it comes from, and whose rule it is.

    If ``scale`` or ``words`` is given, it replaces that of the declaration.
    """

    value: float
    origin: str
    whose: str
    scale: float | None = None
    words: str | None = None


class _Inputs(NamedTuple):
    """The inputs of all bounds: the study with its choice, and the reference values of the stock wing."""

    study: Study
    reference: StockReference
    choice: Choice

    @property
    def bay_follows(self) -> bool:
        """Whether the pack's bay moves with the pack."""
        return bool(self.choice.layout)

    def value(self, key: str) -> Any:
        """Return the value of a key of the study, such as "limits.climb"."""
        return reduce(getattr, key.split("."), self.study)

    def assumed(self, key: str) -> bool:
        """Return whether a key was left out of the study."""
        return any(used.key == key for used in self.study.defaults_used)


def limits_of(study: Study, reference: StockReference, choice: Choice, n_strip: int) -> list[Limit]:
    """Return every limit of one choice. A bound that the study leaves out is set from the stock wing."""
    inputs = _Inputs(study_with_choice(study, choice), reference, choice)
    limits = []
    for each in LIMITS.values():
        bound = _bound(inputs, each)
        if bound is not None:
            limits.append(
                Limit(
                    each.name,
                    bound.words or each.words,
                    each.output,
                    bound.value,
                    bound.scale or each.scale or bound.value,
                    each.sense,
                    _slice_of(each, n_strip),
                    bound.origin,
                    bound.whose,
                )
            )
    return limits


def _slice_of(declared: LimitDeclaration, n_strip: int) -> slice | None:
    """Return the elements of its output that a limit applies to."""
    place = condition_place(declared.condition)
    if place is None:
        return None
    size = n_strip if declared.output in _BY_STRIP else 1
    return slice(place * size, (place + 1) * size)


def condition_place(condition: str) -> int | None:
    """Return the index of a condition among the level or the load conditions. An empty name returns None."""
    conditions = LOAD_CONDITIONS if condition in LOAD_CONDITIONS else LEVEL_CONDITIONS
    return conditions.index(condition) if condition else None


def _bound(inputs: _Inputs, declared: LimitDeclaration) -> Bound | None:
    """Return the bound of one limit, or None if the study has no such limit."""
    rule = declared.bound
    if isinstance(rule, KeyBound):
        value, given = inputs.value(rule.key), rule.given or rule.key
        assumed = inputs.assumed(rule.key)
        origin = (rule.assumed or f"{given}, assumed") if assumed else given
        whose = OF_PRACTICE if assumed and rule.whose == YOURS else rule.whose
        return None if value is None else Bound(value, origin, whose)
    if isinstance(rule, StockShareBound):
        stock, share = getattr(inputs.reference, rule.stock), inputs.value(rule.share)
        words = f"{share:g} of the stock wing's"
        return Bound(share * stock, words, _share_whose(inputs, rule.share), stock) if stock > 0 else None
    if isinstance(rule, FixedBound):
        assumed = not rule.key or inputs.assumed(rule.key)
        origin = rule.assumed if rule.assumed and assumed else rule.given
        return Bound(rule.bound, origin, OF_PRACTICE if assumed else YOURS)
    return COMPUTED_BOUNDS[rule.rule](inputs, declared)


def _share_whose(inputs: _Inputs, share: str) -> str:
    """Return whose rule a share of a stock value is: the builder's if the study gives it, else the stock wing's."""
    return STOCK_WINGS if inputs.assumed(share) else YOURS


# --- bounds that are computed ------------------------------------------------------------------------------


def _elevon(inputs: _Inputs, declared: LimitDeclaration) -> Bound:
    """Return the bound on elevon deflection in one direction, from the study or else the stock wing's own elevon.

    Trailing edge up, a stretched wing may have a little more than the stock wing.
    """
    given, own = inputs.study.limits.up_elevon, max(abs(inputs.reference.elevon), _LEAST_ELEVON)
    most = given or (most_up_elevon(own) if declared.sense > 0 else own)
    origin, whose = (STOCK, STOCK_WINGS) if inputs.assumed("limits.up_elevon") else (STUDY, YOURS)
    return Bound(-declared.sense * most, origin, whose)


def _strength(inputs: _Inputs, _: LimitDeclaration) -> Bound:
    given, own = inputs.study.limits.failure_load_factor, inputs.reference.failure_load_factor
    needed, enough = (factor * inputs.study.fly.pull_up for factor in (SAFETY_FACTOR, _STRONG_ENOUGH))
    return Bound(*floors.least_strength(own, needed, enough)) if given is None else Bound(given, STUDY, YOURS)


def _bend(inputs: _Inputs, _: LimitDeclaration) -> Bound:
    """Return the study's bound, or else the bend up to which the model holds."""
    given = inputs.study.limits.tip_deflection
    return Bound(_STILL_FLAT, "it takes the wing as flat", OF_MODEL) if given is None else Bound(given, STUDY, YOURS)


def _slowest_flight(inputs: _Inputs, _: LimitDeclaration) -> Bound:
    words = slowest_speed(inputs.study, inputs.reference)[1]
    share = f"{inputs.study.limits.stall_speed_ratio:g} times the stock wing's"
    room = inputs.study.limits.balance_room
    named = words + (f" with the balance {with_unit(room, 'mm')} ahead of its mark" if room else "")
    if words != _AT_LAUNCH:
        return Bound(0.0, share, _share_whose(inputs, "limits.stall_speed_ratio"), words=named)
    given = inputs.study.fly.launch_speed is not None
    speed = "fly.launch_speed" if given else "that of a bungee, assumed,"
    return Bound(
        0.0, f"{speed} over {LAUNCH_OVER_STALL:g}, common practice", YOURS if given else OF_PRACTICE, words=named
    )


def _tips_left(inputs: _Inputs, _: LimitDeclaration) -> Bound:
    given = inputs.study.limits.tips_left
    return Bound(*floors.least_tips_left(inputs.reference.tips_left)) if given is None else Bound(given, STUDY, YOURS)


def _launch(inputs: _Inputs, _: LimitDeclaration) -> Bound | None:
    thrown = launch_way(inputs.study, inputs.reference) == "hand"
    return Bound(LEAST_HEIGHT_LEFT, PRACTICE, OF_PRACTICE) if thrown else None


def _least_cruise(inputs: _Inputs, _: LimitDeclaration) -> Bound:
    """Return the bound on lift left at the cruise speed over its least multiple of the stall speed."""
    fly = inputs.study.fly
    words = f"cruise at {fly.cruise_over_stall:g} times stall"
    assumed = inputs.assumed("fly.cruise_at_least")
    return Bound(0.0, *((PRACTICE, OF_PRACTICE) if assumed else ("fly.cruise_at_least", YOURS)), words=words)


def _cell_current(inputs: _Inputs, _: LimitDeclaration) -> Bound:
    most = inputs.study.pack.cell_numbers["maximum_current"] * inputs.choice.parallel
    if inputs.study.pack.maximum_current is None:
        return Bound(most, _maker(inputs), RATING)
    assumed = ", assumed" if inputs.assumed("pack.maximum_current") else ""
    return Bound(most, f"pack.maximum_current{assumed}", RATING)


def _cell_voltage(inputs: _Inputs, _: LimitDeclaration) -> Bound:
    series = inputs.choice.series
    origin = _maker(inputs) if inputs.study.pack.cut_off is None else "pack.cut_off"
    return Bound(inputs.study.pack.cell_numbers["minimum_voltage"] * series, origin, RATING, 3.0 * series)


def _maker(inputs: _Inputs) -> str:
    return "the maker of pack.cell, which is assumed" if inputs.assumed("pack.cell") else MAKER


def _utilisation(inputs: _Inputs, declared: LimitDeclaration) -> Bound:
    stock = float(inputs.reference.utilisation[LOAD_CONDITIONS.index(declared.condition)])
    return Bound(*floors.most_strength_used(stock, 1 / SAFETY_FACTOR))


def _control(inputs: _Inputs, declared: LimitDeclaration) -> Bound:
    speed = with_unit(least_control_speed(inputs.study, inputs.reference), "km/h")
    return Bound(
        LEAST_CONTROL_SHARE,
        f"{inputs.study.limits.control_speed_share:g} of the stock wing's speed",
        _share_whose(inputs, "limits.control_speed_share"),
        words=f"{declared.words} at {speed}",
    )


def _twist_off(inputs: _Inputs, _: LimitDeclaration) -> Bound:
    return Bound(*floors.most_twist(inputs.reference.twist_off_share, MOST_FEEDBACK))


def _servo(inputs: _Inputs, declared: LimitDeclaration) -> Bound | None:
    linkage, own = inputs.study.linkage, inputs.reference.servo_load
    if linkage is None or own is None:
        return None
    words = f"{declared.words} at {with_unit(FULL_SPEED_SHARE * inputs.study.fly.never_exceed_speed, 'km/h')}"
    assumed = inputs.assumed("linkage.servo_torque")
    return Bound(*floors.most_servo_torque(own, linkage.servo_torque, TORQUE_RESERVE, assumed), words=words)


def _pack(inputs: _Inputs, declared: LimitDeclaration) -> Bound:
    end = 0 if declared.sense > 0 else 1
    return Bound(pack_reach(inputs.study, inputs.choice)[end], words_at_ends(inputs.study, inputs.choice)[end], ROOM)


def _room(where: str, applies: Callable[[_Inputs], Any]) -> Callable[[_Inputs, LimitDeclaration], Bound | None]:
    """Return the function of a bound on room: what lies there may lack none, where a study asks for it."""
    return lambda inputs, _: Bound(0.0, where, ROOM) if applies(inputs) else None


def _fixed_boxes(inputs: _Inputs) -> bool:
    fixed = [bay for bay in inputs.study.bay if not (inputs.bay_follows and bay.name == inputs.study.pack.bay)]
    return bool(fixed or inputs.study.joiner)


def _free_tips(inputs: _Inputs) -> bool:
    """Return whether the tip chord is free and something lies or stands at the tips."""
    study, (low, high) = inputs.study, tip_chords(inputs.study)
    return low < high and bool(study.rods or study.fin or study.pocket)


# rule named in `quantities.limits.ComputedBound` -> the function that returns its bound
COMPUTED_BOUNDS: dict[str, Callable[[_Inputs, LimitDeclaration], Bound | None]] = {
    "elevon": _elevon,
    "strength": _strength,
    "bend": _bend,
    "least_cruise": _least_cruise,
    "slowest_flight": _slowest_flight,
    "tips_left": _tips_left,
    "launch": _launch,
    "cell_current": _cell_current,
    "cell_voltage": _cell_voltage,
    "utilisation": _utilisation,
    "control": _control,
    "twist_off": _twist_off,
    "servo": _servo,
    "pack": _pack,
    "fit": _room("the section", _fixed_boxes),
    "pack_fit": _room("the section", lambda inputs: inputs.bay_follows),
    "rods_clear": _room("the bays", lambda inputs: bays_clear_of_rods(inputs.study, inputs.bay_follows)),
    "tips": _room("the tips", _free_tips),
}
