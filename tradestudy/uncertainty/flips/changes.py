"""Changes that may flip the answer: one step of one limit, of one bound, of a decision, or one end of an input's band.

A change turns a search space into a changed one, in full or in part. Limits and bounds move inside the search space.
Decisions and inputs are written into the study, which is then calibrated against the stock wing again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from tradestudy.aircraft.anchor.calibration import anchor_of, stock_choice
from tradestudy.aircraft.anchor.full_throttle_defaults import with_full_throttle_defaults
from tradestudy.aircraft.model.limit_bounds import ACTIVE_BELOW, Limit, launch_speed, launch_way
from tradestudy.aircraft.model.speed_sweep import NeverFlies
from tradestudy.errors import CatalogueError, RunFailed, StudyFileError
from tradestudy.physics.flight.launch import LAUNCH_OVER_STALL
from tradestudy.quantities import in_unit, kind_of_unit, parse_quantity, split_quantity
from tradestudy.quantities.balance_practice import LEAST_STATIC_MARGIN
from tradestudy.quantities.variables import VARIABLES
from tradestudy.search.search_space import SearchSpace, search_space
from tradestudy.search.search_task import SearchResult
from tradestudy.study.line_numbers import Place
from tradestudy.study.reader import study_from_tables
from tradestudy.study.schema.study import Study
from tradestudy.study.value_text import is_quantity_text, unquoted
from tradestudy.uncertainty.inputs_with_bands import inputs_of
from tradestudy.uncertainty.variants import Input, given_tables, put

# Sizes of steps, larger than those of prices, which hold for a small step only. Judgement.
_BOUND_SHARE = 0.05  # least step of a limit, as a share of its bound
_RANGE_SHARE = 0.2  # least step of a variable's bound, as a share of the variable's range
_MOST_INWARD = 0.4  # most that a bound moves inward, as a share of that range
_ONE_SCHEME = ("sweep", "washout", "tip_chord")  # variables whose bounds differ between stretch schemes
_SAME_SPEED = 1e-9  # m/s
_SEARCH_ONLY = ("cruise_speed",)  # variables whose bounds are no rule of anybody


@dataclass(frozen=True)
class ShiftedLimit:
    """One limit, tightened (``shift`` above 0) or relaxed by a scaled margin."""

    limit: Limit
    shift: float
    kind: str = "limit"
    divisible: bool = True
    band_end: str = ""

    @property
    def name(self) -> str:
        """The name of the limit."""
        return self.limit.name

    @property
    def relaxes(self) -> bool:
        """Whether the change relaxes the limit."""
        return self.shift < 0.0

    def value(self, share: float) -> str:
        """Return the bound after a share of the step, in words."""
        declared, quantity = self.limit.declared, self.limit.declared.quantity
        bound = quantity.in_unit(self.limit.bound + share * self.limit.sign * self.limit.scale * self.shift)
        number = f"{-bound + 0.0 if declared.reported_negated else bound:.3g}"
        return f"{number} {quantity.unit}".strip()

    @property
    def words(self) -> str:
        """The change in words."""
        return f"{self.limit.words} {self.limit.declared.side} {self.value(1.0)} instead of {self.value(0.0)}"

    def at(self, space: SearchSpace, share: float) -> SearchSpace | None:
        """Return the search space with a share of the change. None if the change is impossible."""
        return replace(space, required_margins={**space.required_margins, self.name: share * self.shift})


@dataclass(frozen=True)
class MovedBound:
    """One bound of a variable, moved by ``step`` [SI]. ``bounds`` are those of the study."""

    variable: str
    high: bool
    step: float
    bounds: tuple[float, float]
    stock_span: float
    kind: str = "bound"
    divisible: bool = True
    band_end: str = ""

    @property
    def name(self) -> str:
        """The name of the bound."""
        return VARIABLES[self.variable].bound_name(self.high)

    @property
    def relaxes(self) -> bool:
        """Whether the bound moves outward."""
        return self.high == (self.step > 0.0)

    def value(self, share: float) -> str:
        """Return the bound after a share of the step, in words. A span is that of the whole wing."""
        place = self.bounds[self.high] + share * self.step
        if self.variable == "extension":
            return f"{in_unit(self.stock_span + 2 * place, 'mm'):.0f} mm"
        return VARIABLES[self.variable].text(place)

    @property
    def words(self) -> str:
        """The change in words."""
        return f"{VARIABLES[self.variable].bound(self.high).words} {self.value(1.0)} instead of {self.value(0.0)}"

    def at(self, space: SearchSpace, share: float) -> SearchSpace | None:
        """Return the search space with a share of the change. None if the change is impossible."""
        ends = list(self.bounds)
        ends[self.high] += share * self.step
        return replace(space, moved_bounds={**space.moved_bounds, self.variable: (ends[0], ends[1])})


@dataclass(frozen=True)
class EditedStudy:
    """Values of a study, each from ``before`` to ``after``, as they are written in its file.

    ``usual`` and ``end`` are the values in words. ``band_end`` says which end of an input's band it is: low or high.
    """

    name: str
    kind: str
    before: dict[Place, Any]
    after: dict[Place, Any]
    usual: str
    end: str
    relaxes: bool = False  # nobody can say of an input, or of most decisions, which way relaxes
    band_end: str = ""

    @property
    def divisible(self) -> bool:
        """Whether a share of the change can be written."""
        return all(_between(self.before.get(place), value, 0.5) is not None for place, value in self.after.items())

    def value(self, share: float) -> str:
        """Return the value after a share of the change, in words."""
        if share >= 1.0 or len(self.after) > 1:
            return self.end
        ((place, value),) = self.after.items()
        return str(_between(self.before.get(place), value, share, digits=3))

    @property
    def words(self) -> str:
        """The change in words."""
        return f"{self.name} {self.end} instead of {self.usual}"

    def at(self, space: SearchSpace, share: float) -> SearchSpace | None:
        """Return the search space with a share of the change. None if the change is impossible."""
        tables = given_tables(space.study)
        for place, value in self.after.items():
            tables = put(tables, place, value if share >= 1.0 else _between(self.before.get(place), value, share))
        try:
            study = with_full_throttle_defaults(study_from_tables(tables, space.study.path, space.study.text))
            if stock_choice(study) != space.anchor.choice:
                return None  # the value is one of the parts, which the search chooses itself
            changed = search_space(study, anchor_of(study))
        except (StudyFileError, CatalogueError, RunFailed, NeverFlies):
            return None
        return changed if changed.choices else None


FlipChange = ShiftedLimit | MovedBound | EditedStudy


def _between(before: Any, after: Any, share: float, digits: int = 9) -> Any:
    """Return the value at a share of the way between two values of a study file, or None if there is none.

    Whole numbers are counts, which have nothing between them.
    """
    if isinstance(before, int | float) and isinstance(after, float):
        return float(f"{before + share * (after - before):.{digits}g}")
    if not (isinstance(before, str) and isinstance(after, str)):
        return None
    try:
        (start, unit), (stop, other) = split_quantity(before), split_quantity(after)
    except ValueError:
        return None
    if unit != other:
        try:
            start = in_unit(parse_quantity(before, kind_of_unit(other)), other)
        except (ValueError, KeyError):
            return None
    return f"{start + share * (stop - start):.{digits}g} {other}".strip()


def changes_of(space: SearchSpace, best: SearchResult, ranked: list[SearchResult]) -> list[FlipChange]:
    """Return every change that may flip the answer.

    Left out is what provably cannot: a tighter limit or bound that the best wing still meets, and a relaxed one that
    stops no set of parts.
    """
    decisions = list(_decisions(space.study, space))
    inputs = [
        each
        for one in inputs_of(space.study, space.anchor, best.choice)
        for each in _ends(space.study, one)
        if each.name not in {decision.name for decision in decisions}
    ]
    return [*_limit_changes(space, best, ranked), *_bound_changes(space, best, ranked), *decisions, *inputs]


def _limit_changes(space: SearchSpace, best: SearchResult, ranked: list[SearchResult]) -> Iterator[ShiftedLimit]:
    """Yield limits to tighten and to relax. Those that compare two speeds are keys of the study instead."""
    for limit in space.limits(best.choice):
        if limit.declared.speeds:
            continue
        step = limit.declared.step
        declared = step.size if step.of_scale else step.size / limit.scale
        shift = max(declared, _BOUND_SHARE * abs(limit.bound) / limit.scale)
        if float(best.margins[limit.name].min()) < shift:
            yield ShiftedLimit(limit, shift)
        if any(limit.name in each.margins and each.margins[limit.name].min() < ACTIVE_BELOW for each in ranked):
            yield ShiftedLimit(limit, -shift)


def _bound_changes(space: SearchSpace, best: SearchResult, ranked: list[SearchResult]) -> Iterator[MovedBound]:
    """Yield bounds of variables to move inward and outward."""
    several = any(choice.scheme for choice in space.choices)
    span = space.anchor.data.layout.stock.span
    for name, (low, high) in space.bounds.items():
        if high <= low or name in _SEARCH_ONLY or (several and name in _ONE_SCHEME):
            continue
        size = max(VARIABLES[name].step, _RANGE_SHARE * (high - low))
        value, inward = best.variables[name], min(size, _MOST_INWARD * (high - low))
        if value < low + inward and name != "extension":
            yield MovedBound(name, False, inward, (low, high), span)
        if value > high - inward:
            yield MovedBound(name, True, -inward, (low, high), span)
        reached = {
            each.variables[name] > 0.5 * (low + high) for each in ranked if name in each.at_bound
        }  # ends of the range at which some set of parts is best
        least = {"extension": low, "static_margin": min(low, LEAST_STATIC_MARGIN)}.get(name, low - size)
        if False in reached and least < low:
            yield MovedBound(name, False, max(low - size, least) - low, (low, high), span)
        if True in reached:
            yield MovedBound(name, True, size, (low, high), span)


class _Decision(NamedTuple):
    """A decision of the builder or pilot: a key of the study, and the size of a step in its unit."""

    key: str
    unit: str
    step: float


# Decisions that are no limit of their own. Steps that a person would take: judgement.
_DECISIONS = (
    _Decision("fly.launch_speed", "km/h", 2.0),
    _Decision("limits.stall_speed_ratio", "", 0.05),
    _Decision("fly.cruise_at_least", "", 0.1),
    _Decision("fly.never_exceed_speed", "km/h", 7.0),
    _Decision("fly.pull_up", "", 0.5),
    _Decision("fly.gust_cruise", "m/s", 1.0),
    _Decision("fly.reserve", "%", 5.0),
    _Decision("controller.throttle_cap", "%", 5.0),
    _Decision("limits.balance_room", "mm", 5.0),
    _Decision("limits.control_speed_share", "", 0.05),
)


def _decisions(study: Study, space: SearchSpace) -> Iterator[EditedStudy]:
    """Yield each decision, one step to either side. Of launch speed and stall speed ratio, only the one that counts."""
    reference = space.anchor.reference
    launched, way = launch_speed(study, reference), launch_way(study, reference)
    counts = launched is not None and abs(launched / LAUNCH_OVER_STALL - space.slowest_speed) < _SAME_SPEED
    idle = "limits.stall_speed_ratio" if counts else "fly.launch_speed"
    place = "fly", "launch"
    for other in ("hand", "bungee"):
        if way != other:
            yield EditedStudy("fly.launch", "decision", {place: way}, {place: other}, way, other)
    for key, unit, step in _DECISIONS:
        table, name = key.split(".")
        known = getattr(getattr(study, table), name)
        if name == "cruise_at_least":
            if study.fly.least_cruise_speed > 0.0:
                continue  # a speed, with a multiple of the stall speed besides it
            known = study.fly.cruise_over_stall
        if key == idle:
            continue
        if name == "launch_speed":
            known = launched
        value = in_unit(known, unit) if unit else float(known)
        for side in (-1, 1):
            before, after = (f"{each:.6g} {unit}" if unit else float(each) for each in (value, value + side * step))
            usual, end = (short_text(each) for each in (before, after))
            yield EditedStudy(key, "decision", {(table, name): before}, {(table, name): after}, usual, end)


def short_text(value: Any) -> str:
    """Return a value of a study file with three or four digits."""
    if isinstance(value, str):
        if not is_quantity_text(value) or value.startswith("x"):  # a name, such as that of a cell, or a factor
            return value
        number, unit = split_quantity(value)
        return f"{number:.4g} {unit}".strip()
    return f"{value:.4g}"


def _ends(study: Study, one: Input) -> Iterator[EditedStudy]:
    """Yield both ends of an input's band. An end that is the value in use is left out."""
    tables, used = given_tables(study), one.used
    for which, words, side in zip(("low", "high"), (used.low, used.high), one.sides, strict=True):
        alone = len(side) == 1
        first = next(iter(side.values()))
        if alone and unquoted(first) == used.value:
            continue
        before = {place: _written(tables, place, used.value if alone else None) for place in side}
        shown = side.get(used.place)
        end = short_text(shown) if isinstance(shown, str | int | float) else str(words)
        yield EditedStudy(used.key, "input", before, side, used.value, end, band_end=which)


def _written(tables: dict[str, Any], place: Place, otherwise: str | None) -> Any:
    """Return the value at a place of a study's tables as a number or a text, or else the value that was assumed."""
    value: Any = tables
    for step in place:
        try:
            value = value[step]
        except (KeyError, IndexError, TypeError):
            value = otherwise
            break
    if isinstance(value, str):
        try:
            number, unit = split_quantity(value)
        except ValueError:
            return value
        return value if unit else number
    return value
