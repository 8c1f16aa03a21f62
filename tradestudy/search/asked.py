"""One search asked for, and the design that answers it: plain data that travels to workers and into the record."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from .problem import Choice


@dataclass
class Answer:
    """One solved design: SI values, scaled margins, and how it came about. ``gain`` is what the study wants most of."""

    choice: Choice
    variables: dict[str, float]
    range: float
    gain: float
    margins: dict[str, np.ndarray]
    at_bound: list[str]
    feasible: bool
    evaluations: int = 0
    all_up_mass: float = 0.0

    @property
    def worst(self) -> float:
        """Smallest scaled margin."""
        return min(float(value.min()) for value in self.margins.values())


@dataclass(frozen=True)
class Asked:
    """A search to be made among the designs of one choice.

    ``kind``: "solve", the best design; "relaxed", the least broken one; "lightest". It begins at ``starts``; ``held``
    fixes variables, ``most_mass`` [kg] caps the flying weight.
    """

    kind: str
    choice: Choice
    starts: list[dict[str, float]]
    held: dict[str, float] | None = None
    most_mass: float | None = None

    @property
    def key(self) -> tuple:
        """What the record keeps the answer under."""
        return self.kind, self.choice.words, self.starts, self.held, self.most_mass

    @property
    def words(self) -> str:
        """What is looked for, to a person."""
        held = self.held or {}
        what = "" if "extension" not in held else f", each side {1e3 * held['extension']:.0f} mm longer"
        cap = "" if self.most_mass is None else f", at most {1e3 * self.most_mass:.0f} g"
        kind = {"solve": "", "relaxed": "how far off: ", "lightest": "lightest: "}[self.kind]
        return kind + self.choice.words + what + cap


def merit(answer: Answer) -> tuple[bool, float]:
    """Feasible answers rank by what the study wants most of, ahead of the rest, which rank by how little they break."""
    return answer.feasible, answer.gain if answer.feasible else answer.worst


def plain(answer: Answer) -> dict[str, Any]:
    """Return an answer as JSON can hold it."""
    return {**asdict(answer), "choice": asdict(answer.choice),
            "margins": {name: np.asarray(value).tolist() for name, value in answer.margins.items()}}


def from_plain(raw: dict[str, Any]) -> Answer:
    """Return the answer that `plain` told."""
    margins = {name: np.asarray(value) for name, value in raw["margins"].items()}
    return Answer(**{**raw, "choice": Choice(**raw["choice"]), "margins": margins})
