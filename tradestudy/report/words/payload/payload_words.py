"""Sentences and table rows of the command payload, for terminal and page."""

from __future__ import annotations

from collections.abc import Sequence

from tradestudy.report.words.phrases import gain_text
from tradestudy.report.words.purpose import measure_of_number
from tradestudy.results.payload.payload_result import PayloadCurve, PayloadPoint, PayloadResult

POINT_HEADS = (
    "wing",
    "payload g",
    "range km",
    "flying weight g",
    "cruise km/h",
    "span mm",
    "nearest limit",
    "built with",
)
TRADE_HEADS = ("pack", "payload g", "range km", "cruise km/h", "limit")
_LEAST = 0.5  # g; a wing whose largest payload is smaller carries nothing
_WINGS = {"recommended": "recommended wing", "stock": "stock wing", "best": "best wing at each payload"}


def payload_verdict(result: PayloadResult, mass_g: float | None = None) -> list[str]:
    """Return the answer in a few sentences: what each wing carries how far, and what ends it.

    ``mass_g`` is the payload to tell, by default half of the largest.
    """
    lines = _wing_words(result)
    for curve in result.curves:
        lines += _of_wing(curve, result, mass_g)
    if result.let_go:
        lines.append(f"The stock wing is not held to what it breaks without a payload: {', '.join(result.let_go)}.")
    lines += _of_trade(result)
    drawn = f" and draws {result.watts:g} W" if result.watts else ""
    lines.append(f"The payload lies {result.place}{drawn}. Ranges are those to expect.")
    return lines


def _wing_words(result: PayloadResult) -> list[str]:
    """Return a sentence that names the recommended wing, which is that of `run`, by the wing without a payload."""
    curve = result.curve("recommended")
    wing = curve.points[0] if curve and curve.points else None
    if wing is None or wing.span_mm is None:
        return []
    return [f"The recommended wing, as in tradestudy run: span {wing.span_mm:.0f} mm, {wing.parts}."]


def gain_between(curve: PayloadCurve, mass_g: float) -> float | None:
    """Return the study's measure at a payload, between points of a curve; None beyond it."""
    points = [(point.payload_g, point.gain) for point in curve.points if point.gain is not None]
    for (low, first), (high, second) in zip(points, points[1:], strict=False):
        if low <= mass_g <= high:
            return first + (second - first) * (mass_g - low) / (high - low)
    return points[0][1] if points and points[0][0] == mass_g else None


def _of_wing(curve: PayloadCurve, result: PayloadResult, mass_g: float | None) -> list[str]:
    name, known = _WINGS[curve.wing], measure_of_number(result.gain)
    far = f"{known.unit}{known.suffix}"
    subject = "With parts and shape chosen for it, a wing" if curve.wing == "best" else f"The {name}"
    if curve.most_g is None or not curve.points:
        return [f"{subject} carries nothing: it is stopped by {curve.end_words}."]
    if curve.most_g < _LEAST and curve.end_words:
        return [f"{subject} carries nothing more: it is stopped by {curve.end_words}."]
    shown = min(mass_g if mass_g is not None else round(0.5 * curve.most_g, -1) or curve.most_g, curve.most_g)
    empty, full = curve.points[0], curve.points[-1]
    gain = gain_between(curve, shown)
    end = f"beyond {curve.most_g:.0f} g it is stopped by {curve.end_words}" if curve.end_words else "more was not tried"
    words = f"{subject} carries {shown:.0f} g over {_gain(gain, far)}; {end}."
    if curve.wing == "best":
        return [words, *_changes(curve)]
    if empty.gain is not None and full.gain is not None and full.payload_g > 0:
        each = 100 * (empty.gain - full.gain) / full.payload_g
        words += f" Without payload it is {_gain(empty.gain, far)}; each 100 g costs {each:.1f} {known.unit}."
    return [words]


def _gain(value: float | None, unit: str) -> str:
    return "an unknown distance" if value is None else f"{gain_text(value)} {unit}"


def _changes(curve: PayloadCurve) -> list[str]:
    """Return a sentence on the payloads from which other parts are best."""
    changes = [
        f"from {point.payload_g:.0f} g {point.parts}"
        for before, point in zip(curve.points, curve.points[1:], strict=False)
        if point.parts != before.parts
    ]
    return [f"Its parts change: {'; '.join(changes)}."] if changes else []


def _of_trade(result: PayloadResult) -> list[str]:
    rows = [each for each in result.trade[1:] if each.point.met and each.point.gain is not None]
    if not rows:
        return []
    known = measure_of_number(result.gain)
    far = f"{known.unit}{known.suffix}"
    shown = "; ".join(
        f"{each.pack} carries {each.point.payload_g:.0f} g over {_gain(each.point.gain, far)}" for each in rows
    )
    return [f"Cells out, payload in, at {result.trade_weight_g:.0f} g: {shown}."]


def point_rows(result: PayloadResult) -> list[tuple[str, ...]]:
    """Return a row for each point of every curve, with the columns of POINT_HEADS."""
    return [
        (
            curve.wing,
            f"{point.payload_g:.0f}",
            *_numbers(point, ("gain", "auw_g", "cruise_speed_kmh", "span_mm"), (1, 0, 1, 0)),
            point.limit_words,
            point.parts,
        )
        for curve in result.curves
        for point in curve.points
    ]


def trade_rows(result: PayloadResult) -> list[tuple[str, ...]]:
    """Return a row for each pack at the fixed flying weight, with the columns of TRADE_HEADS."""
    return [
        (
            each.pack,
            f"{each.point.payload_g:.0f}",
            *_numbers(each.point, ("gain", "cruise_speed_kmh"), (1, 1)),
            each.point.limit_words if each.point.met else f"breaks: {each.point.limit_words}",
        )
        for each in result.trade
    ]


def heads(result: PayloadResult, names: Sequence[str]) -> list[str]:
    """Return heads of a table, with the study's measure in place of the range."""
    return [f"{result.gain_words} {result.gain_unit}" if name == "range km" else name for name in names]


def _numbers(point: PayloadPoint, names: Sequence[str], digits: Sequence[int]) -> list[str]:
    values = [getattr(point, name) for name in names]
    return ["" if value is None else f"{value:.{count}f}" for value, count in zip(values, digits, strict=True)]
