"""Read a section's coordinate file. It imports nothing but math, so that a study is read without loading numpy.

The points may have either of two orders. In the first they run once round the section, from the trailing edge over the
nose and back, in either direction. In the second one surface follows the other, each from the nose to the trailing
edge. The file may begin with title lines and a line that gives the number of points on each surface.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from itertools import pairwise

_FEWEST = 12  # least number of points in an outline
_LARGEST_GAP = 0.02  # largest gap between first and last point, over chord; up to here it is a blunt trailing edge
_END_TOLERANCE = 0.05  # largest distance of nose and trailing edge from x = 0 and x = 1, over chord
# The 2160 sections of a public database that can be read lie within these bounds. They are 2 to 80 % thick (above 40 %
# struts only), no two surfaces meet from 2 to 98 % of the chord, and no step is steeper than 1.3.
_THICKNESS = (0.01, 0.9)  # least and greatest thickness of a section, over chord
_OPEN_PART = (0.02, 0.98)  # part of the chord in which the bottom lies below the top
_SMALL_STEP = 0.01  # change of z between two points, over chord, from which on its steepness counts
_STEEPEST = 2.0  # greatest change of z over change of x, between 5 and 97 % of the chord
_BACKWARD_TOLERANCE = 1e-6  # largest step of x in the wrong direction, over chord

OutlinePoints = list[tuple[float, float]]


def read_outline(text: str) -> OutlinePoints:
    """Return the points (x, z) over the chord, from the trailing edge round the nose and back. [-]

    Bookkeeping, no source needed. Raises ValueError with a message that the caller puts after the file's name.

    >>> from tradestudy.physics.sections.naca import naca_outline
    >>> text = "NACA 0012\\n" + "\\n".join(f"{x:.5f} {z:.5f}" for x, z in naca_outline("naca0012"))
    >>> len(read_outline(text)), read_outline(text)[0]
    (801, (1.0, 0.00126))
    """
    numbered = _rows(text)
    if len(numbered) < _FEWEST:
        raise ValueError(f"holds {len(numbered)} rows of two numbers; {_FEWEST} or more are needed")
    stations = [x for _, (x, _) in numbered]
    if not (
        -_END_TOLERANCE <= min(stations) <= _END_TOLERANCE and 1 - _END_TOLERANCE <= max(stations) <= 1 + _END_TOLERANCE
    ):
        raise ValueError(f"has x from {min(stations):g} to {max(stations):g}; 0 to 1 is needed, per unit chord")
    for (_, first), (row, second) in zip(numbered, numbered[1:], strict=False):
        if first == second:
            raise ValueError(f"gives the same point twice, in row {row}; take one out")
    numbered = _in_one_round(numbered)
    nose = min(range(len(numbered)), key=lambda place: numbered[place][1][0])
    for place, (row, (x, _)) in enumerate(numbered[1:], start=1):
        before = numbered[place - 1][1][0]
        if (x > before + _BACKWARD_TOLERANCE) if place <= nose else (x < before - _BACKWARD_TOLERANCE):
            raise ValueError(
                f"turns back in row {row} (x {x:g} after {before:g}); give the points in order, from the "
                "trailing edge over the nose and back"
            )
    if nose < 4 or len(numbered) - nose < 5:
        raise ValueError("covers one surface only; both are needed")
    (_, first), (_, last) = numbered[0], numbered[-1]
    gap = math.hypot(first[0] - last[0], first[1] - last[1])
    if gap > _LARGEST_GAP:
        raise ValueError(
            f"is open at the trailing edge by {100 * gap:.1f} % of the chord; {100 * _LARGEST_GAP:g} % at most"
        )
    points = [point for _, point in numbered]
    _refuse_thickness(points[nose::-1], points[nose:])
    _refuse_steps(numbered)
    return points


def _refuse_steps(numbered: list[tuple[int, tuple[float, float]]]) -> None:
    """Raise ValueError if a surface has a step between two points."""
    for (_, (before, low)), (row, (x, high)) in pairwise(numbered):
        step = abs(high - low)
        if 0.05 < 0.5 * (before + x) < 0.97 and step > _SMALL_STEP and step > _STEEPEST * abs(x - before):
            raise ValueError(f"has a step in row {row}: z goes from {low:g} to {high:g} at x = {x:g}")


def _refuse_thickness(one: OutlinePoints, other: OutlinePoints) -> None:
    """Raise ValueError if two surfaces, each from the nose back, cross or are too near or too far from each other."""
    stations = sorted({x for x, _ in (*one, *other) if _OPEN_PART[0] <= x <= _OPEN_PART[1]})
    apart = [(_height(one, x) - _height(other, x), x) for x in stations]
    side = math.copysign(1.0, sum(gap for gap, _ in apart))
    least, at = min((side * gap, x) for gap, x in apart)
    thickest = max(side * gap for gap, _ in apart)
    if not _THICKNESS[0] <= thickest <= _THICKNESS[1]:
        raise ValueError(
            f"is {100 * thickest:.3g} % thick; {100 * _THICKNESS[0]:g} to {100 * _THICKNESS[1]:g} % of the chord is "
            "possible"
        )
    if least < 0.0:
        raise ValueError(f"crosses itself: at x = {at:g} the bottom lies above the top")


def _height(surface: OutlinePoints, x: float) -> float:
    """Return z of a surface (points from the nose back) at x, between its points by a straight line."""
    place = min(max(bisect_right(surface, x, key=lambda point: point[0]), 1), len(surface) - 1)
    (first, low), (second, high) = surface[place - 1], surface[place]
    return low if second <= first else low + (high - low) * (x - first) / (second - first)


def _rows(text: str) -> list[tuple[int, tuple[float, float]]]:
    """Return the rows of two numbers as (row number from 1, point).

    Any text may precede the first point or follow the last one.
    """
    rows: list[tuple[int, tuple[float, float]]] = []
    remark = ""
    for row, line in enumerate(text.splitlines(), start=1):
        words = line.replace(",", " ").replace(";", " ").split()
        numbers = _numbers(words)
        if not rows:
            if numbers is None or len(numbers) != 2 or min(numbers) > 1.5:
                continue  # a title line, or the numbers of points on the surfaces
        elif not words:
            continue
        elif numbers is None:
            remark = remark or f'has "{line.strip()[:30]}" in row {row}; two numbers are needed'
            continue
        if remark:
            raise ValueError(remark)  # text between points is an error
        if numbers is None or len(numbers) != 2:
            count = len(numbers or ())
            raise ValueError(f"holds {count} number{'' if count == 1 else 's'} in row {row}; two are needed, x and z")
        if not all(map(math.isfinite, numbers)):
            raise ValueError(f"holds {line.strip()[:30]} in row {row}, which is no point")
        rows.append((row, (numbers[0], numbers[1])))
    return rows


def _numbers(words: list[str]) -> list[float] | None:
    try:
        return [float(word) for word in words]
    except ValueError:
        return None


def _in_one_round(numbered: list[tuple[int, tuple[float, float]]]) -> list[tuple[int, tuple[float, float]]]:
    """Return the points in an order once round the section.

    If the file gives two surfaces that both start at the nose, the first one is reversed.
    """
    stations = [x for _, (x, _) in numbered]
    if stations[0] > 0.5:
        return numbered
    second = next((place for place in range(1, len(stations)) if stations[place] < stations[place - 1] - 0.5), None)
    if second is None:
        return numbered
    top, bottom = numbered[:second], numbered[second:]
    if top[0][1] == bottom[0][1]:
        bottom = bottom[1:]  # both surfaces contain the nose
    return [*reversed(top), *bottom]
