"""What must hold: every limit as a scaled margin that is positive when met, with words for a builder."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import reduce
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.flight.control import LEAST_CONTROL_SHARE, MOST_FEEDBACK
from tradestudy.physics.flight.trimmed_flight import LEVEL_CONDITIONS, LOAD_CONDITIONS
from tradestudy.physics.structure.wing_beam import SAFETY_FACTOR
from tradestudy.physics.weights.pack_dimensions import PLAY, least_cells_across, pack_outside_size
from tradestudy.quantities import with_unit
from tradestudy.quantities.limits import (
    LIMITS,
    MAKER,
    PRACTICE,
    STOCK,
    STUDY,
    FixedBound,
    KeyBound,
    LimitDeclaration,
    StockShareBound,
)
from tradestudy.study.schema.study import Study

from .choices import CELLS_ACROSS, WHATEVER_FITS, Choice, study_with_choice

STRONG_ENOUGH = 2 * SAFETY_FACTOR  # times the pull-up asked for; more than that is no yardstick. Common practice
STIFF_ENOUGH = 0.015  # tip deflection over semi-span in that pull-up; less is no yardstick. Common practice
ACTIVE_BELOW = 2e-3  # scaled margin under which a limit counts as the one that stops the design
LEAST_ELEVON = np.radians(1.0)  # a stock wing that trims with none sets no bound: that is under 1 mm on most elevons
MET_ABOVE = -1e-4  # scaled margin over which a limit counts as met: a hundredth of a per cent

CRUISE = LEVEL_CONDITIONS.index("cruise")
PULL_UP = LOAD_CONDITIONS.index("pull_up")
AT_LAUNCH = "stall at launch speed"
BY_STRIP = ("stall_margin",)  # outputs with one value for every strip in every level condition


@dataclass(frozen=True)
class Limit:
    """One limit on one output: ``sign * (output - bound) / scale`` must not be negative.

    ``index`` picks elements of a vector output (None: the whole, every element is a limit of its own). ``origin`` says
    who asks for it.
    """

    name: str
    words: str
    output: str
    bound: float
    scale: float
    sign: int  # +1: at least the bound, -1: at most
    index: slice | None = None
    origin: str = ""

    @property
    def declared(self) -> LimitDeclaration:
        """Its entry in the table of limits: how it is told, and what it gives way by."""
        return LIMITS[self.name]

    def margin(self, value) -> np.ndarray:
        """Return scaled margins (n,), negative where the limit is broken."""
        return self.sign * (self.elements(np.atleast_1d(value)) - self.bound) / self.scale

    def margin_slope(self, slope: np.ndarray) -> np.ndarray:
        """Return slopes (n,) of the margins from slopes of the output (flattened)."""
        return self.sign * self.elements(slope) / self.scale

    def elements(self, flat):
        """Return the elements (n,) that this limit is about."""
        flat = np.asarray(flat).reshape(-1)
        return flat if self.index is None else flat[self.index]


@dataclass(frozen=True)
class StockReference:
    """What the stock wing does, as the yardstick of the stretched one. SI."""

    static_margin: float
    elevon: float
    stall_speed: float
    failure_load_factor: float
    utilisation: np.ndarray
    deflection_share: float
    fin_volume: float
    yaw_stiffness: float
    roll_per_metre: float
    twist_off_share: float
    control_speed: float  # where twist has taken all but 0.4 of its roll control [m/s]


def slowest_speed(study: Study, reference: StockReference) -> tuple[float, str]:
    """Return the speed at which no strip may stall, and which rule set it."""
    by_ratio = study.limits.stall_speed_ratio * reference.stall_speed
    launch = study.fly.launch_speed
    if launch is not None and launch < by_ratio:
        return launch, AT_LAUNCH
    return by_ratio, "stall speed against stock"


def least_control_speed(study: Study, reference: StockReference) -> float:
    """Return the airspeed up to which elevons must keep their say: a share of the stock wing's. [m/s]"""
    return study.limits.control_speed_share * reference.control_speed


class Bound(NamedTuple):
    """Where a limit lies, and who asks for it; ``scale`` and ``words`` where they are not those of its declaration."""

    value: float
    origin: str
    scale: float | None = None
    words: str | None = None


class Case(NamedTuple):
    """What bounds hang on: the study with what a choice puts in place, and what its stock wing does."""

    study: Study
    reference: StockReference
    choice: Choice

    def value(self, key: str) -> Any:
        """Return what stands under a key of the study, such as "limits.climb"."""
        return reduce(getattr, key.split("."), self.study)

    def assumed(self, key: str) -> bool:
        """Whether a key was left out of the study."""
        return any(used.key == key for used in self.study.defaults_used)


def limits_of(study: Study, reference: StockReference, choice: Choice, n_strip: int) -> list[Limit]:
    """Return every limit of one choice. What the study leaves out is set from the stock wing."""
    case = Case(study_with_choice(study, choice), reference, choice)
    found = []
    for each in LIMITS.values():
        bound = _bound(case, each)
        if bound is not None:
            found.append(
                Limit(
                    each.name,
                    bound.words or each.words,
                    each.output,
                    bound.value,
                    bound.scale or each.scale or bound.value,
                    each.sense,
                    _slice_of(each, n_strip),
                    bound.origin,
                )
            )
    return found


def _slice_of(declared: LimitDeclaration, n_strip: int) -> slice | None:
    """Which elements of its output a limit is about."""
    place = condition_place(declared.condition)
    if place is None:
        return None
    size = n_strip if declared.output in BY_STRIP else 1
    return slice(place * size, (place + 1) * size)


def condition_place(condition: str) -> int | None:
    """Return where a condition stands among the level ones, or among those that load the wing; None without one."""
    conditions = LOAD_CONDITIONS if condition in LOAD_CONDITIONS else LEVEL_CONDITIONS
    return conditions.index(condition) if condition else None


def _bound(case: Case, declared: LimitDeclaration) -> Bound | None:
    """The bound of one limit; None where the study knows no such limit."""
    rule = declared.bound
    if isinstance(rule, KeyBound):
        value, given = case.value(rule.key), rule.given or rule.key
        origin = (rule.assumed or f"{given}, assumed") if case.assumed(rule.key) else given
        return None if value is None else Bound(value, origin)
    if isinstance(rule, StockShareBound):
        has, share = getattr(case.reference, rule.stock), case.value(rule.share)
        return Bound(share * has, f"{share:g} of the stock wing's", has) if has > 0 else None
    if isinstance(rule, FixedBound):
        return Bound(rule.bound, rule.assumed if rule.assumed and case.assumed(rule.key) else rule.given)
    return WORKED_OUT[rule.rule](case, declared)


# --- bounds that take more than a key ----------------------------------------------------------------------


def _elevon(case: Case, declared: LimitDeclaration) -> Bound:
    """As much elevon as asked for, or as the stock wing has, to either side."""
    asked = case.study.limits.up_elevon
    most = max(abs(case.reference.elevon), LEAST_ELEVON) if asked is None else asked
    return Bound(-declared.sense * most, _asked_for(case, "limits.up_elevon"))


def _strength(case: Case, _: LimitDeclaration) -> Bound:
    """As strong as asked for, or as the stock wing; a wing far stronger than anybody asks for need not stay so."""
    asked, enough = case.study.limits.failure_load_factor, STRONG_ENOUGH * case.study.fly.pull_up
    least = min(case.reference.failure_load_factor, enough) if asked is None else asked
    return Bound(least, _asked_for(case, "limits.failure_load_factor", least == enough))


def _bend(case: Case, _: LimitDeclaration) -> Bound:
    """As stiff as asked for, or as the stock wing; a wing far stiffer than anybody asks for need not stay so."""
    asked = case.study.limits.tip_deflection
    most = max(case.reference.deflection_share, STIFF_ENOUGH) if asked is None else asked
    return Bound(most, _asked_for(case, "limits.tip_deflection", most == STIFF_ENOUGH))


def _asked_for(case: Case, key: str, enough: bool = False) -> str:
    if not case.assumed(key):
        return STUDY
    return "enough; the stock wing bears more" if enough else STOCK


def _slowest_flight(case: Case, _: LimitDeclaration) -> Bound:
    words = slowest_speed(case.study, case.reference)[1]
    share = f"{case.study.limits.stall_speed_ratio:g} times the stock wing's"
    return Bound(0.0, "fly.launch_speed" if words == AT_LAUNCH else share, words=words)


def _cell_current(case: Case, _: LimitDeclaration) -> Bound:
    most = case.study.pack.cell_numbers["maximum_current"] * case.choice.parallel
    if case.study.pack.maximum_current is None:
        return Bound(most, _maker(case))
    return Bound(most, "pack.maximum_current" + (", assumed" if case.assumed("pack.maximum_current") else ""))


def _cell_voltage(case: Case, _: LimitDeclaration) -> Bound:
    series = case.choice.series
    origin = _maker(case) if case.study.pack.cut_off is None else "pack.cut_off"
    return Bound(case.study.pack.cell_numbers["minimum_voltage"] * series, origin, 3.0 * series)


def _maker(case: Case) -> str:
    return "the maker of pack.cell, which is assumed" if case.assumed("pack.cell") else MAKER


def _utilisation(case: Case, declared: LimitDeclaration) -> Bound:
    """The safety factor, or what the stock wing has been living with where that is more; never past breaking."""
    lived_with = float(case.reference.utilisation[LOAD_CONDITIONS.index(declared.condition)])
    most = min(1.0, max(1 / SAFETY_FACTOR, lived_with))
    return Bound(most, "what the stock wing uses" if most > 1 / SAFETY_FACTOR + 1e-9 else "safety factor of 1.5")


def _control(case: Case, declared: LimitDeclaration) -> Bound:
    speed = with_unit(least_control_speed(case.study, case.reference), "km/h")
    return Bound(
        LEAST_CONTROL_SHARE,
        f"{case.study.limits.control_speed_share:g} of the stock wing's speed",
        words=f"{declared.words} at {speed}",
    )


def _twist_off(case: Case, _: LimitDeclaration) -> Bound:
    most = max(MOST_FEEDBACK, case.reference.twist_off_share)
    return Bound(most, PRACTICE if most <= MOST_FEEDBACK else STOCK)


def _pack(case: Case, declared: LimitDeclaration) -> Bound:
    low, high = pack_reach(case.study, case.choice)
    return Bound(low if declared.sense > 0 else high, f"the bay {pack_bay(case.study).name}")


# rule of `quantities.limits.ComputedBound` -> the function that returns the bound
WORKED_OUT: dict[str, Callable[[Case, LimitDeclaration], Bound]] = {
    "elevon": _elevon,
    "strength": _strength,
    "bend": _bend,
    "slowest_flight": _slowest_flight,
    "cell_current": _cell_current,
    "cell_voltage": _cell_voltage,
    "utilisation": _utilisation,
    "control": _control,
    "twist_off": _twist_off,
    "pack": _pack,
}


# --- where the pack may lie --------------------------------------------------------------------------------


def pack_box(study: Study, choice: Choice) -> tuple[float, float, float]:
    """Return outside length, width and height of the chosen pack. [m]"""
    study = study_with_choice(study, choice)
    cell = study.pack.cell_numbers
    cells, across, high = choice.series * choice.parallel, study.pack.cells_across or 1, study.pack.cells_high
    if study.pack.cells_across == WHATEVER_FITS or any(used.key == CELLS_ACROSS for used in study.defaults_used):
        across = least_cells_across(cell["length"], cells, across, high, pack_bay(study).length - PLAY)
    return pack_outside_size(cell["length"], cell["width"], cell["thickness"], cells, across, high)


def pack_bay(study: Study):
    """Return the bay that holds the pack."""
    return next(bay for bay in study.bay if bay.name == study.pack.bay)


def pack_reach(study: Study, choice: Choice) -> tuple[float, float]:
    """Return the foremost and rearmost place of the pack's centre in its bay. [m]"""
    bay, (length, _, _) = pack_bay(study), pack_box(study, choice)
    return bay.from_nose + 0.5 * length, bay.from_nose + bay.length - 0.5 * length


def pack_fault(study: Study, choice: Choice) -> str | None:
    """Return why the chosen pack cannot go into its bay at all, or None."""
    bay, sizes = pack_bay(study), pack_box(study, choice)
    for have, need, word in zip((bay.length, bay.width, bay.depth), sizes, ("long", "wide", "high"), strict=True):
        if need > have + 1e-6:
            return (
                f"the {choice.series}S{choice.parallel}P pack is {with_unit(need, 'mm')} {word}, "
                f"the {bay.name} bay {with_unit(have, 'mm')}"
            )
    return None
