"""The wing from above as SVG paths for the page, one set of paths for each wing of the slider."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from tradestudy.report.figures.wing_plan import open_at_root
from tradestudy.report.words.phrases import stretched_wing
from tradestudy.results.design import Design
from tradestudy.results.look.look import WingLook
from tradestudy.results.outline import FinEdge, FinOutline, PlanPart
from tradestudy.results.result import Result

_TAPE = 24.0  # mm, width of the measuring tape
_AWAY = 26.0  # mm between the widest wing and the tape
_MARK = 11.0  # mm, radius of the balance mark
_DEPTH = 34.0  # mm from the rearmost point of all wings to the dimension line of the span
_TICK = 9.0  # mm, half the length of the strokes that end the dimension line
_SYMMETRIC = 0.01  # mm; how exactly a part on the centre line is its own mirror image
_SAME = 0.5  # mm; the slider treats wings that differ less in span as the same wing

Point = tuple[float, float]  # (y across, x aft) in mm


class Frame(NamedTuple):
    """The half span and the length of the space that all wings of a drawing fit into. [mm]"""

    half: float
    length: float

    @property
    def view_box(self) -> str:
        """Return left, top, width and height of the drawing, as SVG needs them."""
        left, right = self.half + _AWAY + _TAPE + 4.0, self.half + 12.0
        return f"{-left:.0f} -14 {left + right:.0f} {self.length + _DEPTH + _TICK + 20.0:.0f}"


def wings_along_span(result: Result) -> list[Design]:
    """Return the wings of the slider: the stock wing, then the best of each span and the recommended one, by span."""
    known = stretched_wing(result)
    others = [
        wing for wing in result.span_trade if known is None or abs(wing.numbers.span_mm - known.numbers.span_mm) > _SAME
    ]
    wings = sorted([*others, *([known] if known else [])], key=lambda wing: wing.numbers.span_mm)
    return [wing for wing in (result.stock, *wings) if wing.outline.x_mm and wing.outline.y_mm]


def frame_of(wings: Sequence[Design | WingLook]) -> Frame:
    """Return the frame that all of these wings fit into."""
    across, aft = [], []
    for wing in wings:
        outline = wing.outline
        fins = [(one.y_mm, one.x_mm) for fin in outline.fins for one in (FinEdge(fin.x_mm, fin.y_mm), *fin.ends)]
        across += [*outline.y_mm, *(y for places, _ in fins for y in places)]
        aft += [*outline.x_mm, *(x for _, places in fins for x in places)]
    return Frame(max(across), max(aft))


def paths_of(wing: Design | WingLook, frame: Frame) -> dict[str, str]:
    """Return the SVG path of each part of a wing, by the name of the part."""
    outline, numbers = wing.outline, wing.numbers
    balance, neutral = numbers.cg_mm, numbers.neutral_point_mm
    half, under = max(outline.y_mm), frame.length + _DEPTH
    gear = [_diamond(y, thing.x_mm, 5.0) for thing in outline.equipment for y in thing.across_mm]
    return {
        "shape": outline_path(wing),
        "elevons": _both_closed(outline.elevon_y_mm, outline.elevon_x_mm),
        "rods": "".join(
            _line((side * rod.from_y_mm, rod.from_x_mm), (side * rod.to_y_mm, rod.to_x_mm))
            for rod in outline.rods
            for side in (1, -1)
        ),
        "fins": _fins(outline.fins),
        "joiner": _parts(outline.parts, ("joiner",)),
        "pockets": _parts(outline.parts, ("pocket", "slot", "board", "motor")),
        "bays": "".join(
            _box(y - 0.5 * bay.width_mm, bay.x_mm, bay.width_mm, bay.length_mm)
            for bay in outline.bays
            for y in bay.across_mm
        ),
        "pack": "".join(
            _box(y - 0.5 * pack.width_mm, pack.x_mm - 0.5 * pack.length_mm, pack.width_mm, pack.length_mm)
            for pack in outline.packs
            for y in pack.across_mm
        ),
        "gear": "".join(gear),
        "neutral": "" if neutral is None else _diamond(0.0, neutral, 8.0),
        "tape": "" if balance is None else _box(-_tape_at(frame) - _TAPE, 0.0, _TAPE, balance),
        "ticks": "" if balance is None else _ticks(frame, balance),
        "leads": ""
        if balance is None
        else "".join(_line((-_tape_at(frame) - _TAPE, x), (0.06 * half, x)) for x in (0.0, balance)),
        "mark": ""
        if balance is None
        else _circle(0.0, balance, _MARK)
        + _line((-_MARK, balance), (_MARK, balance))
        + _line((0.0, balance - _MARK), (0.0, balance + _MARK)),
        "span": _line((-half, under), (half, under))
        + "".join(_line((y, under - _TICK), (y, under + _TICK)) for y in (-half, 0.0, half)),
    }


def _parts(parts: Iterable[PlanPart], kinds: tuple[str, ...]) -> str:
    """Return the outlines of parts of these kinds, with the mirror image of those that are not on the centre line."""
    return "".join(
        _closed([(side * y, x) for y, x in zip(part.y_mm, part.x_mm, strict=True)])
        for part in parts
        if part.kind in kinds
        for side in ((1,) if abs(min(part.y_mm) + max(part.y_mm)) < _SYMMETRIC else (1, -1))
    )


def outline_path(wing: Design | WingLook) -> str:
    """Return both halves of a wing as one closed path."""
    across, aft = open_at_root(wing.outline, 1)
    right = list(zip(across, aft, strict=True))
    return _closed([*right, *((-y, x) for y, x in reversed(right))])


def _tape_at(frame: Frame) -> float:
    return frame.half + _AWAY


def _ticks(frame: Frame, length: float) -> str:
    """Return the ticks of the tape: one every 10 mm, and a longer one every 50 mm."""
    left = -_tape_at(frame) - _TAPE
    return "".join(
        _line((left, tick), (left + _TAPE * (0.62 if tick % 50 == 0 else 0.3), tick))
        for tick in range(10, math.ceil(length), 10)
    )


def _fins(fins: Iterable[FinOutline]) -> str:
    lines = []
    for fin in fins:
        for side in (1, -1):
            foot = [(side * y, x) for y, x in zip(fin.y_mm, fin.x_mm, strict=True)]
            lines.append(_line(*foot))
            for end in fin.ends:
                edge = [(side * y, x) for y, x in zip(end.y_mm, end.x_mm, strict=True)]
                lines.append(_closed([foot[0], *edge, foot[1]]))
    return "".join(lines)


def _both_closed(across: Sequence[float], aft: Sequence[float]) -> str:
    return "".join(_closed([(side * y, x) for y, x in zip(across, aft, strict=True)]) for side in (1, -1))


def _points(points: Iterable[Point]) -> str:
    return "L".join(f"{y:.1f} {x:.1f}" for y, x in points)


def _closed(points: Iterable[Point]) -> str:
    words = _points(points)
    return f"M{words}Z" if words else ""


def _line(*points: Point) -> str:
    return f"M{_points(points)}"


def _box(left: float, top: float, width: float, height: float) -> str:
    return f"M{left:.1f} {top:.1f}h{width:.1f}v{height:.1f}h{-width:.1f}Z"


def _diamond(y: float, x: float, size: float) -> str:
    return _closed([(y, x - size), (y + size, x), (y, x + size), (y - size, x)])


def _circle(y: float, x: float, radius: float) -> str:
    arc = f"a{radius:g} {radius:g} 0 1 0 "
    return f"M{y - radius:.1f} {x:.1f}{arc}{2 * radius:g} 0{arc}{-2 * radius:g} 0Z"
