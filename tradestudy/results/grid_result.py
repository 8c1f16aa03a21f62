"""The result of a grid: for every design its range and its nearest limit."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import asdict, dataclass, field, replace
from typing import Any, NamedTuple

import numpy as np

from tradestudy.notebook import as_html, as_text, data_frame, data_set
from tradestudy.quantities.units import unit_of_name

from .inputs import SetKey

SHAPE_KEYS = ("span_mm", "sweep_deg", "washout_deg", "tip_chord_mm", "static_margin_pct")


@dataclass(frozen=True)
class GridAxis:
    """One axis of a grid: its words, its values, and the unit of these values, which may be empty."""

    name: str
    words: str
    unit: str
    values: list[Any]
    steps: bool  # True if only the listed values exist, as for parts that are bought

    @property
    def column(self) -> str:
        """Return the heading of the axis in a table."""
        return f"{self.name}_{self.unit.replace('/', '').replace('%', 'pct')}" if self.unit else self.name


class GridPoint(NamedTuple):
    """One design of a grid. Its numbers are None if no such design exists."""

    values: list[Any]  # one value for each axis, in the order and units of the axes
    cruise_speed_kmh: float | None
    range_km: float | None
    gain: float | None  # objective of the study, in the unit `GridResult.gain_unit`; None if it does not exist
    auw_g: float | None
    met: bool  # True if every limit is met
    limit: str  # name of the nearest limit, or of the limit that is violated most
    limit_words: str
    margin: float | None  # scaled margin of that limit; negative if the limit is violated
    parts: str  # what it is built with; empty if no such design exists
    shape: dict[str, float | None]  # its span, sweep, washout, tip chord and static margin, by SHAPE_KEYS


class GridStock(NamedTuple):
    """The numbers of the stock wing in the columns of a grid."""

    values: list[Any]
    range_km: float
    gain: float
    auw_g: float


@dataclass(frozen=True)
class GridResult:
    """The result of a grid over one to three variables.

    ``points`` has one entry for each design; the value on the last axis changes fastest. ``gain`` is the name of the
    column with the study's objective. ``others`` describes the variables that are on no axis.
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
    points: list[GridPoint]
    stock: GridStock
    recommended: GridStock | None = None  # the recommended wing, if it was searched
    notes: list[str] = field(default_factory=list)
    set_keys: list[SetKey] = field(default_factory=list)

    def __repr__(self) -> str:
        return as_text(*self._rows())

    def _repr_html_(self) -> str:
        return as_html(*self._rows())

    def _rows(self) -> tuple[str, list[tuple[str, str]]]:
        """Return a title and (head, words) rows that describe the grid."""
        best, met = self.best, sum(point.met for point in self.points)
        reach = []
        if best is not None:
            values = [f"{value:g}" if isinstance(value, float) else value for value in best.values]
            named = zip(self.axes, values, strict=True)
            place = [f"{axis.words} {value} {axis.unit}".strip() for axis, value in named]
            reach = [f"{best.gain:.1f} {self.gain_unit} {self.gain_words}", *place, best.parts]
        return f"Result of {self.command} ({self.study_name})", [
            ("axes", "; ".join(f"{axis.words} ({len(axis.values)})" for axis in self.axes)),
            ("designs", f"{len(self.points)}, of which {met} meet every limit"),
            ("best", ", ".join(reach)),
            ("all else", self.others),
        ]

    @property
    def best(self) -> GridPoint | None:
        """Return the best point that meets every limit, or None."""
        met = [point for point in self.points if point.met and point.gain is not None]
        return max(met, key=lambda point: point.gain or 0.0) if met else None

    def winning_parts(self) -> list[str]:
        """Return a phrase for each set of parts that is the best at some point, the most frequent first.

        The list is empty if one set wins wherever every limit is met, or if parts are an axis, so that none can win.
        """
        if any(axis.steps and "." not in axis.name for axis in self.axes):
            return []
        met = [point for point in self.points if point.met and point.gain is not None]
        counts = Counter(point.parts for point in met)
        if len(counts) < 2:
            return []
        rows = []
        for parts, count in counts.most_common():
            gains = [point.gain or 0.0 for point in met if point.parts == parts]
            low, high = f"{min(gains):.0f}", f"{max(gains):.0f}"
            span = low if low == high else f"{low} to {high}"
            rows.append(f"{parts}: at {count} of {len(met)}, {span} {self.gain_unit}")
        return rows

    def row(self, point: GridPoint | GridStock) -> dict[str, Any]:
        """Return a point as one row of a table: first the values on the axes, then the numbers."""
        row = point._asdict()
        shape = row.pop("shape", {})
        places = dict(zip((axis.column for axis in self.axes), row.pop("values"), strict=True))
        named = {self.gain if name == "gain" else name: value for name, value in row.items()}
        return places | named | {name: value for name, value in shape.items() if name not in places}

    def to_dataframe(self) -> Any:
        """Return the points as rows of a pandas DataFrame."""
        return data_frame([self.row(point) for point in self.points])

    def to_xarray(self) -> Any:
        """Return the grid as an xarray Dataset with a dimension for each axis. Units are in ``attrs["units"]``.

        Variables are the numbers of a design, ``met``, ``limit_words`` and ``parts``. Unknown numbers are nan.
        """
        shape = [len(axis.values) for axis in self.axes]
        names = [name for name in ("cruise_speed_kmh", "range_km", "auw_g", "margin") if name != self.gain]
        numbers: dict[str, Any] = {}
        for name in [self.gain, *names]:
            column = [getattr(point, "gain" if name == self.gain else name) for point in self.points]
            values = np.array([np.nan if value is None else value for value in column], dtype=float).reshape(shape)
            numbers[name] = values, {"units": unit_of_name(name)[1]}
        numbers[self.gain][1]["long_name"] = self.gain_words
        for name in ("met", "limit_words", "parts"):
            numbers[name] = np.array([getattr(point, name) for point in self.points]).reshape(shape), {}
        coordinates = {
            axis.name: (axis.values, {"long_name": axis.words} | ({"units": axis.unit} if axis.unit else {}))
            for axis in self.axes
        }
        attributes = {"study": self.study_name, "command": self.command, "others": self.others}
        return data_set([axis.name for axis in self.axes], coordinates, numbers, attributes)

    def to_json(self) -> str:
        """Return the grid as JSON text."""
        rows: dict[str, Any] = {"points": [self.row(point) for point in self.points], "stock": self.row(self.stock)}
        rows["recommended"] = self.recommended and self.row(self.recommended)
        return json.dumps(asdict(replace(self, points=[])) | rows, indent=1, ensure_ascii=False, allow_nan=False)


def grid_from_json(text: str) -> GridResult:
    """Return the GridResult in a text that ``GridResult.to_json`` wrote."""
    raw = json.loads(text)
    axes = [GridAxis(**axis) for axis in raw["axes"]]

    def record(kind: Any, row: dict[str, Any]) -> Any:
        shape = {}
        if "shape" in kind._fields:  # a design that does not exist has none
            shape = {"shape": {name: row[name] if row["parts"] else None for name in SHAPE_KEYS}}
        numbers = {name: row[raw["gain"] if name == "gain" else name] for name in kind._fields[1:] if name != "shape"}
        return kind([row[axis.column] for axis in axes], **numbers, **shape)

    points = [record(GridPoint, row) for row in raw["points"]]
    keys = [SetKey(**each) for each in raw.get("set_keys", [])]
    marked = {name: raw[name] and record(GridStock, raw[name]) for name in ("stock", "recommended")}
    return GridResult(**{**raw, "axes": axes, "points": points, "set_keys": keys, **marked})
