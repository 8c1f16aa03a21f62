"""An objective and limits of the user's own, as plain functions of an evaluated wing, with slopes for the search.

The model gives its outputs with exact slopes, by complex steps. A function of the outputs is called with the same
complex numbers. Where that fails, or disagrees with differences, differences of the function are used. The model is not
evaluated again for them, since the slopes of its outputs are known.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.errors import CommandError, near_match
from tradestudy.physics.flight.records import STEP

_SHARE = 1e-5  # of the width of a variable's bounds: the step of a difference
_AGREES = 1e-6  # scaled slopes closer than this are the same
Values = dict[str, Any]  # outputs and variables of one design by name, complex or real


class EvaluatedWing:
    """One wing, as an objective or limit of the user's own sees it. All values are SI, angles in radians.

    Every output of the model is an attribute, such as ``range``, ``all_up_mass``, ``climb_speed``, ``span``, and
    ``failure_load_factor`` with one value for each load condition. So is every variable, such as ``sweep``, ``washout``
    or ``cruise_speed``. ``choice`` holds its parts. ``dir(wing)`` lists all names.
    """

    def __init__(self, values: Mapping[str, Any], choice: Choice):
        self._values, self.choice = values, choice

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_") or name not in self._values:
            known = [] if name.startswith("_") else list(self._values)
            raise AttributeError(f"A wing has no {name}.{near_match(name, known)}")
        return self._values[name]

    def __dir__(self) -> list[str]:
        return sorted(["choice", *self._values])


@dataclass(frozen=True)
class OwnLimit:
    """A limit of the user's own on a function of an `EvaluatedWing`.

    >>> ts.OwnLimit("wing loading", lambda wing: wing.all_up_mass / wing.area, at_most=6.0)
    """

    name: str
    function: Callable[[EvaluatedWing], Any]
    at_least: float | None = None
    at_most: float | None = None

    def __post_init__(self) -> None:
        """Raise CommandError unless there is one bound."""
        if (self.at_least is None) == (self.at_most is None):
            raise CommandError(f"The limit {self.name} needs one of at_least and at_most.")

    @property
    def bound(self) -> float:
        """The bound."""
        return float(self.at_least if self.at_least is not None else self.at_most or 0.0)

    @property
    def sense(self) -> int:
        """+1 if the function must be at least the bound, -1 if at most."""
        return 1 if self.at_least is not None else -1


@dataclass
class OwnFunctions:
    """What a user's functions say of a design.

    ``objective`` is maximised; None leaves that of the study. ``scales`` are the usual sizes of the functions by name,
    found at the first design. ``by_differences`` names the functions whose slopes are differences.
    """

    objective: Callable[[EvaluatedWing], Any] | None
    limits: tuple[OwnLimit, ...] = ()
    scales: dict[str, float] = field(default_factory=dict)
    by_differences: set[str] = field(default_factory=set)

    def gain(self, rows: Sequence[Values], choice: Choice, widths: np.ndarray) -> tuple[float, np.ndarray]:
        """Return the scaled objective and its slopes (k,) along scaled variables; see `_value_and_slopes`."""
        assert self.objective is not None
        value, slopes = self._value_and_slopes("objective", self.objective, rows, choice, widths, 0.0)
        return value / self.scales["objective"], slopes / self.scales["objective"]

    def margins(self, rows: Sequence[Values], choice: Choice, widths: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the scaled margins (m,) of all limits and their slopes (m, k). Margins are positive when met."""
        margins, all_slopes = np.zeros(len(self.limits)), np.zeros((len(self.limits), len(widths)))
        for index, limit in enumerate(self.limits):
            value, slopes = self._value_and_slopes(limit.name, limit.function, rows, choice, widths, limit.bound)
            scale = limit.sense / self.scales[limit.name]
            margins[index], all_slopes[index] = scale * (value - limit.bound), scale * slopes
        return margins, all_slopes

    def _value_and_slopes(
        self,
        name: str,
        function: Callable[[EvaluatedWing], Any],
        rows: Sequence[Values],
        choice: Choice,
        widths: np.ndarray,
        bound: float,
    ) -> tuple[float, np.ndarray]:
        """Return the value of a function and its slopes (k,) along scaled variables.

        ``rows`` hold one design k times, with a complex step along each variable; of k = 0 there is one real row.
        """
        plain = _moved(rows[0], 0.0)
        value = _number(name, function, EvaluatedWing(plain, choice))
        if name not in self.scales:
            self.scales[name] = abs(bound) or abs(value) or 1.0
        if not len(widths):
            return value, np.zeros(0)
        differences = np.array(
            [_difference(name, function, row, choice, _SHARE * width) for row, width in zip(rows, widths, strict=True)]
        )
        exact = _complex_slopes(function, rows, choice)
        scale = self.scales[name]
        if exact is None or np.any(
            np.abs(exact - differences) * widths > _AGREES * (scale + np.abs(differences) * widths)
        ):
            self.by_differences.add(name)
            exact = differences
        return value, exact * widths


def _moved(row: Values, step: float) -> Values:
    """Return the real values of a row, moved by a step along its variable, with the slopes of all values."""
    return {
        name: np.real(value) + step * np.imag(value) / STEP if np.iscomplexobj(value) else value
        for name, value in row.items()
    }


def _difference(name: str, function: Callable[[EvaluatedWing], Any], row: Values, choice: Choice, step: float) -> float:
    ahead, behind = (_number(name, function, EvaluatedWing(_moved(row, at), choice)) for at in (step, -step))
    return (ahead - behind) / (2 * step)


def _complex_slopes(
    function: Callable[[EvaluatedWing], Any], rows: Sequence[Values], choice: Choice
) -> np.ndarray | None:
    """Return the slopes by complex steps, or None if the function does not take complex numbers."""
    try:
        return np.array([complex(function(EvaluatedWing(row, choice))).imag / STEP for row in rows])
    except (TypeError, ValueError, ArithmeticError):
        return None


def _number(name: str, function: Callable[[EvaluatedWing], Any], wing: EvaluatedWing) -> float:
    """Return the value of a function. Raise CommandError if it fails, or if the value is no finite number."""
    try:
        value = float(function(wing))
    except AttributeError as error:
        raise CommandError(f"{name}: {error}") from error
    except (TypeError, ValueError, ArithmeticError, LookupError) as error:
        raise CommandError(f"{name} cannot be computed of a wing: {error}. It must return one number.") from error
    if not math.isfinite(value):
        raise CommandError(f"{name} is {value} for one of the wings; return a finite number for every wing.")
    return value
