"""What a grid found, as plain data: every design of it, how far it flies and which limit stands nearest."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field
from typing import Any

from tradestudy.notebook import data_frame


@dataclass(frozen=True)
class GridAxis:
    """One variable of a grid: its word, its unit at the edge ("" without), and its values in that unit."""

    name: str
    words: str
    unit: str
    values: list[Any]
    steps: bool  # bought in steps, nothing lies between

    @property
    def column(self) -> str:
        """Its heading in a table."""
        return f"{self.name}_{self.unit.replace('/', '').replace('%', 'pct')}" if self.unit else self.name


@dataclass(frozen=True)
class GridResult:
    """A grid over one to three variables. ``points``: one dict a design, the last axis running fastest.

    Of every point: the axes' columns, ``cruise_speed_kmh``, ``range_km``, the column ``gain`` names (what the study
    wants most of), ``auw_g``, ``met`` (every limit), ``limit`` (name of the nearest or worst broken one),
    ``limit_words``, ``margin`` (scaled; negative is broken); None where a design cannot be at all.
    ``others`` says what the variables outside the axes are at. ``stock``: the stock wing, the same columns.
    """

    study_name: str
    study_text: str
    command: str
    versions: dict[str, str]
    axes: list[GridAxis]
    gain: str
    gain_words: str
    gain_unit: str
    others: str
    points: list[dict[str, Any]]
    stock: dict[str, Any]
    notes: list[str] = field(default_factory=list)

    @property
    def best(self) -> dict[str, Any] | None:
        """The point that meets every limit and serves the study's purpose best."""
        met = [point for point in self.points if point["met"] and point[self.gain] is not None]
        return max(met, key=lambda point: point[self.gain]) if met else None

    def to_dataframe(self) -> Any:
        """Return the points as a pandas DataFrame, a row each."""
        return data_frame(self.points)

    def to_json(self) -> str:
        """Return the whole grid as JSON text."""
        return json.dumps(asdict(self), indent=1, ensure_ascii=False, allow_nan=False)


def grid_from_json(text: str) -> GridResult:
    """Rebuild a GridResult from ``GridResult.to_json``."""
    raw = json.loads(text)
    return GridResult(**{**raw, "axes": [GridAxis(**axis) for axis in raw["axes"]]})
