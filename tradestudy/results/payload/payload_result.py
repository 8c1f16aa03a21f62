"""The result of the command payload: how far a wing flies with a payload, and what ends it."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field
from typing import Any, NamedTuple

from tradestudy.notebook import as_html, as_text, data_frame


class PayloadPoint(NamedTuple):
    """One wing with one payload. Its numbers are None where no such wing exists."""

    payload_g: float
    auw_g: float | None
    range_km: float | None
    gain: float | None  # objective of the study, in the unit `PayloadResult.gain_unit`
    cruise_speed_kmh: float | None
    span_mm: float | None
    balance_mm: float | None  # balance mark behind the nose
    pack_mm: float | None  # middle of the pack behind the nose
    met: bool  # True if every limit is met
    limit: str  # name of the nearest limit, or of the limit that is violated most
    limit_words: str
    parts: str


@dataclass(frozen=True)
class PayloadCurve:
    """The payloads of one wing, lightest first, up to the largest that it carries.

    ``most_g`` is the largest payload that was found to meet every limit, None if there is none. ``end_words`` name the
    limit that is violated just beyond it; they are empty if the curve ends at the largest payload that was looked at.
    """

    wing: str  # "recommended", "stock" or "best"
    points: list[PayloadPoint]
    most_g: float | None
    end_words: str


class PackTrade(NamedTuple):
    """One pack of a wing at a fixed flying weight: what it leaves for the payload, and how far it flies."""

    pack: str
    point: PayloadPoint


@dataclass(frozen=True)
class PayloadResult:
    """How far each wing flies with a payload. ``place`` says where it lies, ``let_go`` what the stock wing breaks."""

    study_name: str
    study_text: str
    command: str
    versions: dict[str, str]
    gain: str
    gain_words: str
    gain_unit: str
    place: str
    watts: float
    curves: list[PayloadCurve]
    trade: list[PackTrade]
    trade_weight_g: float
    let_go: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def __repr__(self) -> str:
        return as_text(*self._rows())

    def _repr_html_(self) -> str:
        return as_html(*self._rows())

    def _rows(self) -> tuple[str, list[tuple[str, str]]]:
        """Return a title and (head, words) rows that describe what each wing carries."""
        carried = [
            (each.wing, f"{each.most_g:.0f} g, then: {each.end_words or 'more was not tried'}")
            if each.most_g is not None
            else (each.wing, f"nothing: {each.end_words}")
            for each in self.curves
        ]
        return f"Result of {self.command} ({self.study_name})", [
            *carried,
            ("payload", f"{self.place}, {self.watts:g} W"),
        ]

    def curve(self, wing: str) -> PayloadCurve | None:
        """Return the curve of a wing, or None."""
        return next((curve for curve in self.curves if curve.wing == wing), None)

    def rows(self) -> list[dict[str, Any]]:
        """Return every point as one row of a table."""
        curves = [(curve.wing, point) for curve in self.curves for point in curve.points]
        trade = [(f"fixed weight, {each.pack}", each.point) for each in self.trade]
        return [
            {"wing": wing} | {self.gain if name == "gain" else name: value for name, value in point._asdict().items()}
            for wing, point in (*curves, *trade)
        ]

    def to_dataframe(self) -> Any:
        """Return every point as a row of a pandas DataFrame."""
        return data_frame(self.rows())

    def to_json(self) -> str:
        """Return the result as JSON text. Points are objects."""
        document = asdict(self)
        document["curves"] = [
            asdict(curve) | {"points": [point._asdict() for point in curve.points]} for curve in self.curves
        ]
        document["trade"] = [{"pack": each.pack} | each.point._asdict() for each in self.trade]
        return json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False)
