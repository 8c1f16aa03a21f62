"""One search asked for, and the design that answers it: plain data that travels to workers and into the record."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.quantities import with_unit
from tradestudy.quantities.objectives import TRADED


@dataclass
class Answer:
    """One solved design: SI values, scaled margins, and how it came about.

    ``gain`` is what was asked for, greater when better: what the study wants most of, unless `Asked` aims elsewhere.
    """

    choice: Choice
    variables: dict[str, float]
    range: float
    gain: float
    margins: dict[str, np.ndarray]
    at_bound: list[str]
    feasible: bool
    evaluations: int = 0
    all_up_mass: float = 0.0
    traded: dict[str, float] = field(default_factory=dict)  # quantities of `objectives.TRADED`, SI

    @property
    def worst(self) -> float:
        """Smallest scaled margin."""
        return min(float(value.min()) for value in self.margins.values())


@dataclass(frozen=True)
class Asked:
    """A search to be made among the designs of one choice.

    ``kind``: "solve", the best design; "relaxed", the least broken one; "utmost", the best in ``utmost`` and, of those
    equally good in it, the best. It begins at ``starts``; ``held`` fixes variables, ``level`` is a quantity and the
    worst value of it [SI] allowed. Best is what the study wants most of, or most of the quantity ``aim``. ``loose``
    lets numbers of the choice move between two ends as if they were variables.
    """

    kind: str
    choice: Choice
    starts: list[dict[str, float]]
    held: dict[str, float] | None = None
    level: tuple[str, float] | None = None
    aim: str | None = None
    utmost: str | None = None
    loose: dict[str, tuple[float, float]] | None = None

    @property
    def key(self) -> tuple:
        """What the record keeps the answer under."""
        return self.kind, self.choice.words, self.starts, self.held, self.level, self.aim, self.utmost, self.loose

    @property
    def words(self) -> str:
        """What is looked for, to a person."""
        held = self.held or {}
        what = "" if "extension" not in held else f", each side {with_unit(held['extension'], 'mm')} longer"
        kind = {"solve": "", "relaxed": "how far off: ", "utmost": f"best {self.utmost}: "}[self.kind].replace("_", " ")
        what += ", any rods between those to try" if self.loose else ""
        return kind + self.choice.words + what + ("" if self.level is None else level_words(*self.level))


def level_words(name: str, value: float) -> str:
    """Return what holding a quantity at a level [SI] means, to a person."""
    quantity = TRADED[name]
    if quantity.is_proxy:
        return f", {quantity.words} held"
    side = "at least" if quantity.sense > 0 else "at most"
    return f", {quantity.words} {side} {quantity.quantity.in_unit(value):.4g} {quantity.quantity.suffix}"


def merit(answer: Answer) -> tuple[bool, float]:
    """Feasible answers rank by what the study wants most of, ahead of the rest, which rank by how little they break."""
    return answer.feasible, answer.gain if answer.feasible else answer.worst


def plain(answer: Answer) -> dict[str, Any]:
    """Return an answer as JSON can hold it."""
    return {
        **asdict(answer),
        "choice": asdict(answer.choice),
        "margins": {name: np.asarray(value).tolist() for name, value in answer.margins.items()},
    }


def from_plain(raw: dict[str, Any]) -> Answer:
    """Return the answer that `plain` told."""
    margins = {name: np.asarray(value) for name, value in raw["margins"].items()}
    return Answer(**{**raw, "choice": Choice(**raw["choice"]), "margins": margins})
