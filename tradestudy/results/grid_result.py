"""The result of a grid, as plain data: the range and the nearest limit of every design."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field
from typing import Any

from tradestudy.notebook import data_frame


@dataclass(frozen=True)
class GridAxis:
    """One axis of a grid: its words, its unit at the edges (empty without one), and its values in that unit."""

    name: str
    words: str
    unit: str
    values: list[Any]
    steps: bool  # bought in steps, with nothing in between

    @property
    def column(self) -> str:
        """Return its heading in a table."""
        return f"{self.name}_{self.unit.replace('/', '').replace('%', 'pct')}" if self.unit else self.name


@dataclass(frozen=True)
class GridResult:
    """A grid over one to three variables. ``points`` has one dict for each design, the last axis running fastest.

    The keys of a point are the columns of the axes, ``cruise_speed_kmh``, ``range_km``, ``auw_g``, the objective of the
    study (under the name in ``gain``), ``met`` (whether every limit is), ``limit`` and ``limit_words`` (the nearest
    limit, or the worst violated one), and ``margin`` (scaled; negative is violated). Values are None where no such
    design exists. ``others`` describes the variables that are on no axis. ``stock`` has the same keys.
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
        """Return the best point that meets every limit, or None."""
        met = [point for point in self.points if point["met"] and point[self.gain] is not None]
        return max(met, key=lambda point: point[self.gain]) if met else None

    def to_dataframe(self) -> Any:
        """Return the points as rows of a pandas DataFrame."""
        return data_frame(self.points)

    def to_json(self) -> str:
        """Return the grid as JSON text."""
        return json.dumps(asdict(self), indent=1, ensure_ascii=False, allow_nan=False)


def grid_from_json(text: str) -> GridResult:
    """Return the GridResult that ``GridResult.to_json`` wrote."""
    raw = json.loads(text)
    return GridResult(**{**raw, "axes": [GridAxis(**axis) for axis in raw["axes"]]})
