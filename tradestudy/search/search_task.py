"""One search task and its result. Both are simple data that can be sent to workers and stored in the record."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.quantities import to_si, with_unit
from tradestudy.quantities.objectives import SEARCHED, WITHOUT_RODS

_SAME_SPAN = to_si(0.5, "mm", "length")  # on each side; a shorter piece is none

VariableValues = dict[str, float]  # name of a variable -> SI value
Level = tuple[str, float]  # a name in `objectives.TRADED` and its worst allowed value, SI


@dataclass
class SearchResult:
    """One solved design in SI values, with scaled margins.

    ``gain`` is the value of the maximised quantity, with its sign such that greater is better. This quantity is the
    study's own, unless ``aim`` of the task names another.
    """

    choice: Choice
    variables: VariableValues
    range: float
    gain: float
    margins: dict[str, np.ndarray]
    at_bound: list[str]
    feasible: bool
    evaluations: int = 0
    all_up_mass: float = 0.0
    traded: dict[str, float] = field(default_factory=dict)  # values of the quantities in `objectives.TRADED`, SI

    @property
    def worst_margin(self) -> float:
        """The smallest scaled margin."""
        return min(float(value.min()) for value in self.margins.values())


@dataclass(frozen=True)
class SearchTask:
    """A search among the designs of one choice (set of parts).

    ``kind`` is one of four. "solve" maximises the study's own quantity, or the quantity ``aim``. "least_violation"
    maximises the worst margin. "least_change" finds the design with which the study's keys change least. "extreme"
    maximises the quantity ``extreme``, and then ``aim`` among equally good designs.

    Searches begin at ``starts``. ``fixed`` holds variables of fixed value. If ``level`` is given, it adds a limit on
    one quantity, and each of ``levels`` adds another. ``relaxed`` turns numbers of the choice into variables, each
    between two bounds. ``let_go`` and ``moved_bounds`` change the space of this search alone (see `SearchSpace`).
    """

    kind: str
    choice: Choice
    starts: list[VariableValues]
    fixed: VariableValues | None = None
    level: Level | None = None
    aim: str | None = None
    extreme: str | None = None
    relaxed: dict[str, tuple[float, float]] | None = None
    levels: tuple[Level, ...] = ()
    let_go: tuple[str, ...] = ()
    moved_bounds: tuple[tuple[str, tuple[float, float]], ...] = ()

    @property
    def key(self) -> tuple:
        """The key of the result in the record."""
        choice = asdict(self.choice)
        more = [self.levels] if self.levels else []
        return self.kind, choice, self.starts, self.fixed, self.level, self.aim, self.extreme, self.relaxed, *more

    @property
    def words(self) -> str:
        """The task in words for the user."""
        prefix = {
            "solve": "",
            "least_violation": "how far off: ",
            "least_change": "what would let it in: ",
            "extreme": f"best {'price' if self.extreme == WITHOUT_RODS else self.extreme}: ",
        }[self.kind]
        words = prefix.replace("_", " ") + self.choice.words
        if self.fixed and "extension" in self.fixed:
            longer = self.fixed["extension"]
            words += f", each side {with_unit(longer, 'mm')} longer" if longer >= _SAME_SPAN else ", at the stock span"
        if self.relaxed:
            words += ", any rods between those to try"
        return words + "".join(_level_words(*each) for each in (self.level, *self.levels) if each is not None)


def _level_words(name: str, value: float) -> str:
    """Return the limit of a level in words for the user. ``value`` is SI."""
    quantity = SEARCHED[name]
    if quantity.is_proxy:
        return f", {quantity.words} held"
    side = "at least" if quantity.sense > 0 else "at most"
    words = "price without rods" if name == WITHOUT_RODS else quantity.words
    return f", {words} {side} {quantity.quantity.in_unit(value):.4g} {quantity.quantity.suffix}".rstrip()


def merit(result: SearchResult) -> tuple[bool, float]:
    """Return the key for ranking results. Feasible results rank first, by gain. The others rank by worst margin."""
    return result.feasible, result.gain if result.feasible else result.worst_margin


def to_json(result: SearchResult) -> dict[str, Any]:
    """Return a result as values that JSON can store."""
    return {
        **asdict(result),
        "choice": asdict(result.choice),
        "margins": {name: np.asarray(value).tolist() for name, value in result.margins.items()},
    }


def from_json(raw: dict[str, Any]) -> SearchResult:
    """Return the result from the values that `to_json` returned."""
    margins = {name: np.asarray(value) for name, value in raw["margins"].items()}
    return SearchResult(**{**raw, "choice": Choice(**raw["choice"]), "margins": margins})
