"""Read a section's coordinate file. It imports nothing but math: a study is checked before numpy is loaded.

Two orders of points are understood: once round the section from the trailing edge over the nose and back, in either
direction; or both surfaces from the nose to the trailing edge, one after the other. Title lines and a line of two
counts may come first.
"""

from __future__ import annotations

import math

_FEWEST = 12  # points of an outline
_LARGEST_GAP = 0.02  # of the chord between the two ends at the trailing edge: a blunt edge, not a gap
_END_TOLERANCE = 0.05  # of the chord by which nose and trailing edge may miss 0 and 1
_BACKWARD_TOLERANCE = 1e-6  # of the chord by which x may turn back

OutlinePoints = list[tuple[float, float]]


def read_outline(text: str) -> OutlinePoints:
    """Return the points (x, z) per unit chord, from the trailing edge round the nose and back; bookkeeping. [-]

    Raises ValueError with a sentence that continues after the name of the file.

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
    return [point for _, point in numbered]


def _rows(text: str) -> list[tuple[int, tuple[float, float]]]:
    """Return (row counted from 1, point); lines before the first point and after the last may hold any text."""
    rows: list[tuple[int, tuple[float, float]]] = []
    remark = ""
    for row, line in enumerate(text.splitlines(), start=1):
        words = line.replace(",", " ").replace(";", " ").split()
        numbers = _numbers(words)
        if not rows:
            if numbers is None or len(numbers) != 2 or min(numbers) > 1.5:
                continue  # a title, or how many points each surface has
        elif not words:
            continue
        elif numbers is None:
            remark = remark or f'has "{line.strip()[:30]}" in row {row}; two numbers are needed'
            continue
        if remark:
            raise ValueError(remark)  # more points follow it
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
    """Return the points once round the section, also where two surfaces were given from the nose on."""
    stations = [x for _, (x, _) in numbered]
    if stations[0] > 0.5:
        return numbered
    second = next((place for place in range(1, len(stations)) if stations[place] < stations[place - 1] - 0.5), None)
    if second is None:
        return numbered
    top, bottom = numbered[:second], numbered[second:]
    if top[0][1] == bottom[0][1]:
        bottom = bottom[1:]  # the nose is in both
    return [*reversed(top), *bottom]
