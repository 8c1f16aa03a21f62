"""The curve over speed on the live page: SVG paths in a square of 1000 by 1000, and labels at places in per cent.

The speed axis is that of the study, not of one wing, so that curves move while a slider does, and the axis does not.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from tradestudy.quantities import printed, printed_axis
from tradestudy.report.words.phrases import number_text
from tradestudy.report.words.purpose import measure_of_number
from tradestudy.results.look.look import WingLook

_SIDE = 1000.0  # length of both sides of the drawing
_BELOW, _ABOVE = 0.8, 1.1  # ends of the speed axis over the lowest and the highest speed of the stock wing
_HEADROOM = 1.12  # top of the other axis over the highest value shown
_TICKS = 5  # about so many steps on each axis
_STEPS = (1.0, 2.0, 5.0, 10.0)

CurveLabel = dict[str, Any]


def speed_axis(stock: WingLook) -> tuple[float, float]:
    """Return both ends of the speed axis of a study. [km/h]"""
    speeds = stock.curves.speed_kmh or [40.0, 100.0]
    return 10.0 * math.floor(_BELOW * speeds[0] / 10.0), 10.0 * math.ceil(_ABOVE * speeds[-1] / 10.0)


def speed_curve(stock: WingLook, look: WingLook, pinned: WingLook | None) -> dict[str, Any]:
    """Return the paths and labels of one wing beside the stock wing and a pinned one."""
    known, ends = measure_of_number(look.purpose), speed_axis(stock)
    wings = {"stock": stock, "pinned": pinned, "line": look}
    heights = {name: getattr(wing.curves, known.key) if wing else [] for name, wing in wings.items()}
    upright, along_words = f"{known.axis} [{known.unit}]", "airspeed [km/h]"
    rows, top = _rows(_HEADROOM * max((value for each in heights.values() for value in each), default=1.0), upright)

    def across(speed: float) -> float:
        return _SIDE * (speed - ends[0]) / (ends[1] - ends[0])

    def down(value: float) -> float:
        return _SIDE * (1.0 - value / top)

    paths = {
        name: _line([(across(v), down(h)) for v, h in zip(wing.curves.speed_kmh, heights[name], strict=False)])
        for name, wing in wings.items()
        if wing
    }
    paths["grid"] = "".join(f"M0 {down(place):.0f}H{_SIDE:.0f}" for place, _ in rows)
    labels = [_label("up", 0.0, down(place), words) for place, words in rows[:-1]]
    labels += [_label("along", across(place), _SIDE, words) for place, words in _ticks(ends, along_words)]
    labels.append(_label("axis-up", 0.0, 0.0, printed(upright)))
    labels.append(_label("axis-along", _SIDE, _SIDE, printed(along_words)))
    numbers, speed = look.numbers, look.numbers.cruise_speed_kmh
    at, value = across(speed), getattr(numbers, known.key)
    paths["at"] = "" if look.cannot_fly else f"M{at:.0f} {_SIDE:.0f}V{down(value):.0f}"
    paths["ends"], paths["beyond"] = "", ""
    if numbers.stall_speed_kmh is not None:
        stall = across(numbers.stall_speed_kmh)
        paths["ends"] += f"M{stall:.0f} 0V{_SIDE:.0f}"
        labels.append(_label("end", stall, _SIDE, _speed_words("stall ", numbers.stall_speed_kmh)))
        if look.least_cruise_kmh:
            paths["beyond"] = f"M0 0H{across(look.least_cruise_kmh):.0f}V{_SIDE:.0f}H0Z"
    if not look.cannot_fly:
        labels.append(_label("here", at, down(value), printed(f"{number_text(speed)} km/h")))
    return {"paths": paths, "labels": labels}


def advised_end(stock: WingLook, advised_kmh: float | None) -> dict[str, Any]:
    """Return path and label of the highest advised speed; both are empty where none is advised."""
    if advised_kmh is None:
        return {"path": "", "labels": []}
    low, high = speed_axis(stock)
    at = _SIDE * (advised_kmh - low) / (high - low)
    if not 0.0 < at < _SIDE:
        return {"path": "", "labels": []}
    words, side = _speed_words("advised highest ", advised_kmh), "before" if at > 0.5 * _SIDE else "behind"
    return {"path": f"M{at:.0f} 0V{_SIDE:.0f}", "labels": [_label(f"end advised {side}", at, 0.0, words)]}


def _speed_words(words: str, speed: float) -> str:
    """Return words with a speed, whose unit stands at the axis."""
    return words + printed(f"{number_text(speed)} km/h").partition(" ")[0]


def _rows(reach: float, label: str) -> tuple[list[tuple[float, str]], float]:
    """Return the steps of the upright axis with their words, and its top."""
    scale = printed_axis(label)
    there, back = (scale.there, scale.back) if scale else (float, float)
    step = _step(there(reach))
    steps = [step * count for count in range(1, math.ceil(there(reach) / step) + 1)]
    return [(back(each), f"{each:.4g}") for each in steps], back(steps[-1])


def _ticks(ends: tuple[float, float], label: str) -> list[tuple[float, str]]:
    """Return the steps of the speed axis with their words."""
    scale = printed_axis(label)
    there, back = (scale.there, scale.back) if scale else (float, float)
    low, high = there(ends[0]), there(ends[1])
    step = _step(high - low)
    steps = [step * count for count in range(math.ceil(low / step), math.floor(high / step) + 1)]
    return [(back(each), f"{each:.4g}") for each in steps]


def _label(look: str, x: float, y: float, text: str) -> CurveLabel:
    return {"look": look, "left": round(0.1 * x, 2), "top": round(0.1 * y, 2), "text": text}


def _line(points: Sequence[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points) if points else ""


def _step(reach: float) -> float:
    """Return a round step that divides an axis into about `_TICKS` parts."""
    raw = max(reach, 1e-9) / _TICKS
    size = 10.0 ** math.floor(math.log10(raw))
    return size * next(step for step in _STEPS if step * size >= raw * 0.999)
