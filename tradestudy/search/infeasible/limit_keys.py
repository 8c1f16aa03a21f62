"""The keys of a study that move the bounds of its limits: their values, rounded as a builder would type them.

Which key moves a limit is declared in `quantities.limit_remedies`. Values are SI until they become text.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, NamedTuple, Protocol

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import Limit, StockReference, launch_speed
from tradestudy.aircraft.shape.pack_bay import pack_bay
from tradestudy.physics.flight.control import LEAST_CONTROL_SHARE
from tradestudy.physics.flight.launch import LAUNCH_OVER_STALL
from tradestudy.quantities import in_unit, parse_quantity, short_with_unit
from tradestudy.quantities.limit_remedies import REMEDIES, LimitKey
from tradestudy.study.line_numbers import dotted
from tradestudy.study.schema.key_types import LeastCruise
from tradestudy.study.schema.study import Study, key_type

_ROUNDING = 1e-6  # of a step
_KILOGRAM = 1000.0  # g; greater masses are typed in kg
_LAUNCH = LimitKey("fly.launch_speed", "bound", 0.1, "m/s")


class Change(Protocol):
    """One change of a study: a key, the value to type, and what it replaces."""

    @property
    def key(self) -> str:
        """The key, as in ``limits.climb`` or ``bay[1].length``."""

    @property
    def text(self) -> str:
        """The value as it is typed in the study file."""

    @property
    def now_text(self) -> str:
        """The value of today, as it is typed in the study file; empty if there is none."""

    def made_in(self, study: Study) -> Study:
        """Return the study with this change."""


class KeyChange(NamedTuple):
    """A key with the value that it should take, rounded to the side that suffices, and its value today, both SI."""

    typed: LimitKey
    value: float
    now: float | None

    @property
    def key(self) -> str:
        """The key, as in ``limits.climb``."""
        return self.typed.key

    @property
    def text(self) -> str:
        """The value as it is typed in the study file."""
        return _typed(self.typed, self.value)

    @property
    def now_text(self) -> str:
        """The value of today, as it is typed in the study file."""
        return "" if self.now is None else _typed(self.typed, self.now, exact=True)

    def made_in(self, study: Study) -> Study:
        """Return the study with this key changed."""
        table, _, name = self.key.partition(".")
        if table.startswith("bay["):
            bays = list(study.bay)
            place = int(table[4:-1]) - 1
            bays[place] = bays[place].model_copy(update={name: self.value})
            return replace(study, bay=tuple(bays))
        value: Any = LeastCruise(self.value) if name == "cruise_at_least" else self.value
        return replace(study, **{table: getattr(study, table).model_copy(update={name: value})})


class PartChange(NamedTuple):
    """A part to try besides those of the study: ``field`` of the choices, with the values of its list, SI."""

    field: str
    values: tuple[float, ...]
    now: tuple[float, ...]

    @property
    def key(self) -> str:
        """The key of the list."""
        return f"choices.{self.field}"

    @property
    def text(self) -> str:
        """The list as it is typed in the study file."""
        return self._listed(self.values)

    @property
    def now_text(self) -> str:
        """The list of today; empty if there is none."""
        return self._listed(self.now) if self.now else ""

    def _listed(self, values: tuple[float, ...]) -> str:
        unit = {"rod_diameter": "mm", "throttle_cap": "%"}.get(self.field)
        texts = [str(value) if unit is None else f'"{short_with_unit(value, unit)}"' for value in values]
        return f"[{', '.join(texts)}]"

    def made_in(self, study: Study) -> Study:
        """Return the study with this list."""
        return replace(study, choices=study.choices.model_copy(update={self.field: self.values}))


class WayChange(NamedTuple):
    """A key whose value is a word, such as another way to launch."""

    key: str
    word: str
    now: str

    @property
    def text(self) -> str:
        """The word as it is typed in the study file."""
        return f'"{self.word}"'

    @property
    def now_text(self) -> str:
        """The word of today."""
        return f'"{self.now}"'

    def made_in(self, study: Study) -> Study:
        """Return the study with this word."""
        table, _, name = self.key.partition(".")
        return replace(study, **{table: getattr(study, table).model_copy(update={name: self.word})})


class RangeChange(NamedTuple):
    """A key with the least and greatest value of a variable, SI, whose least value gives."""

    typed: LimitKey
    values: tuple[float, float]
    now: tuple[float, float]

    @property
    def key(self) -> str:
        """The key, as in ``limits.static_margin``."""
        return self.typed.key

    @property
    def text(self) -> str:
        """The two values as they are typed in the study file."""
        return f"[{_typed(self.typed, self.values[0])}, {_typed(self.typed, self.values[1], exact=True)}]"

    @property
    def now_text(self) -> str:
        """The two values of today."""
        return f"[{', '.join(_typed(self.typed, value, exact=True) for value in self.now)}]"

    def made_in(self, study: Study) -> Study:
        """Return the study with this range."""
        table, _, name = self.key.partition(".")
        return replace(study, **{table: getattr(study, table).model_copy(update={name: self.values})})


_LEAST = {
    "static_margin": LimitKey("limits.static_margin", "least", 0.1, "%"),
    "extension": LimitKey("stretch.span", "least", 5.0, "mm"),
}


def range_change(study: Study, variable: str, least: float, steps_beyond: int = 0) -> RangeChange:
    """Return the change of the key that sets the least value of a variable to ``least`` [SI], rounded down."""
    typed = _LEAST[variable]
    now = study.limits.static_margin if variable == "static_margin" else study.stretch.span
    assert now is not None
    if variable == "extension":
        least = study.stock.span + 2 * least
    low = _rounded(typed, least, up=False, steps_beyond=steps_beyond)
    if variable == "extension":
        low = max(low, study.stock.span)
    return RangeChange(typed, (low, now[1]), now)


def key_changes(
    study: Study, reference: StockReference, choice: Choice, limit: Limit, bound: float, steps_beyond: int = 0
) -> list[KeyChange]:
    """Return the keys that move a limit to a bound that would do, or an empty list if no allowed value does.

    ``bound`` is SI; that of the stall is a speed, that of cruise a multiple of the stall speed. Values are rounded
    outward, and moved ``steps_beyond`` steps farther.
    """
    known = REMEDIES.get(limit.name)
    if known is None or known.key is None or not has_key(limit, choice):
        return []
    changes = []
    for typed, now, value in KEY_RULES[known.key.rule](known.key, _Case(study, reference, choice, limit), bound):
        up = limit.sign < 0 if now is None else value > now
        changes.append(KeyChange(typed, _rounded(typed, value, up, steps_beyond), now))
    return changes if all(_allowed(study, change) for change in changes) else []


def has_key(limit: Limit, choice: Choice) -> bool:
    """Return whether a key of the study moves a limit. The ends of a bay that is cut to its pack have none."""
    known = REMEDIES.get(limit.name)
    return known is not None and known.key is not None and not (known.key.rule == "bay" and choice.layout)


def with_changes(study: Study, changes: Sequence[Change]) -> Study:
    """Return the study with keys changed."""
    given = {change.key for change in changes}
    for change in changes:
        study = change.made_in(study)
    return replace(study, defaults_used=tuple(used for used in study.defaults_used if used.key not in given))


def moves_bay(changes: Sequence[Change]) -> bool:
    """Return whether a bay changes. The stock wing has it too, so the model is calibrated again."""
    return any(change.key.startswith("bay[") for change in changes)


# --- how a key follows from a bound ------------------------------------------------------------------------


class _Case(NamedTuple):
    study: Study
    reference: StockReference
    choice: Choice
    limit: Limit

    def now(self, key: str) -> Any:
        table, _, name = key.partition(".")
        return getattr(getattr(self.study, table), name)


_Moved = list[tuple[LimitKey, float | None, float]]  # key, value of today, exact value that would do


def _bound(typed: LimitKey, case: _Case, bound: float) -> _Moved:
    return [(typed, abs(case.limit.bound), abs(bound))]


def _share(typed: LimitKey, case: _Case, bound: float) -> _Moved:
    return [(typed, case.now(typed.key), bound / case.limit.scale)]  # the scale is the stock wing's value


def _stall(typed: LimitKey, case: _Case, bound: float) -> _Moved:
    """Return the ratio to the stock wing's stall, the launch speed, or both: the lower of the two is the limit."""
    ratio, launched = case.study.limits.stall_speed_ratio, launch_speed(case.study, case.reference)
    moved: _Moved = []
    if ratio * case.reference.stall_speed < bound:
        moved.append((typed, ratio, bound / case.reference.stall_speed))
    if launched is not None and launched / LAUNCH_OVER_STALL < bound:
        moved.append((_LAUNCH, launched, LAUNCH_OVER_STALL * bound))
    return moved


def _cruise(typed: LimitKey, case: _Case, bound: float) -> _Moved:
    return [(typed, case.study.fly.cruise_over_stall, bound)]


def _control(typed: LimitKey, case: _Case, bound: float) -> _Moved:
    """Return the share of speed: what twist takes grows with the square of the speed."""
    share = case.now(typed.key)
    return [(typed, share, share * math.sqrt((1 - LEAST_CONTROL_SHARE) / (1 - bound)))]


def _bay(typed: LimitKey, case: _Case, bound: float) -> _Moved:
    """Return the bay's length, and its front wall if it grows forward."""
    bay = pack_bay(case.study)
    place = next(index for index, each in enumerate(case.study.bay) if each.name == bay.name)
    more = abs(bound - case.limit.bound)
    step = _si(typed.step, typed.unit)
    more = step * math.ceil(more / step - _ROUNDING)
    length, front = (typed._replace(key=f"{dotted(('bay', place))}.{name}") for name in ("length", "from_nose"))
    moved: _Moved = [(length, bay.length, bay.length + more)]
    return [*moved, (front, bay.from_nose, bay.from_nose - more)] if case.limit.sign > 0 else moved


# rule named in `quantities.limit_remedies.LimitKey` -> the function that returns keys and values
KEY_RULES: dict[str, Callable[[LimitKey, _Case, float], _Moved]] = {
    "bound": _bound,
    "share": _share,
    "stall": _stall,
    "cruise": _cruise,
    "control": _control,
    "bay": _bay,
}


# --- values as text ----------------------------------------------------------------------------------------


def _rounded(typed: LimitKey, value: float, up: bool, steps_beyond: int) -> float:
    """Return a value rounded up or down to a step of its key, and moved some steps farther."""
    steps = value / _si(typed.step, typed.unit)
    whole = math.ceil(steps - _ROUNDING) + steps_beyond if up else math.floor(steps + _ROUNDING) - steps_beyond
    return _si(whole * typed.step, typed.unit)


def _si(number: float, unit: str) -> float:
    """Return a number in a unit as an SI value; without a unit, the number."""
    return parse_quantity(f"{number!r} {unit}") if unit else number


def _typed(typed: LimitKey, value: float, exact: bool = False) -> str:
    if not typed.unit:
        return f"{value:.4g}"
    number, unit = in_unit(value, typed.unit), typed.unit
    if unit == "g" and number >= _KILOGRAM:
        number, unit = number / _KILOGRAM, "kg"
    digits = 4 if exact else 6
    return f'"{number:.{digits}g} {unit}"'


def _allowed(study: Study, change: KeyChange) -> bool:
    """Return whether the study file allows the value."""
    table, _, name = change.key.partition(".")
    holder = study.bay[0] if table.startswith("bay[") else getattr(study, table)
    try:
        key_type(type(holder).model_fields[name]).read(tomllib.loads(f"value = {change.text}")["value"])
    except ValueError:
        return False
    return True
