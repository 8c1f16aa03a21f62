"""Ways to lay the cells of a pack: in rows, side by side and in layers, lying, on edge or on end.

It imports nothing but the standard library, so that a study is read without loading numpy.
"""

from __future__ import annotations

import math
from typing import NamedTuple

# Which side of a cell (length, width, thickness) points aft, to the side and up.
FORE_AND_AFT = "fore and aft"
POINTING = {
    FORE_AND_AFT: (0, 1, 2),
    "across": (1, 0, 2),
    "on end": (2, 1, 0),
    "fore and aft on edge": (0, 2, 1),
    "across on edge": (2, 0, 1),
    "on end, turned": (1, 2, 0),
}
_WRAP = 0.002  # allowance for the wrap in width and in height, in m; common practice
_TERMINALS = 0.010  # allowance along lying cells for strips, tabs and leads, in m; common practice
_END_STRIPS = 0.004  # the same with cells on end, their leads beside them: 72 to 75 mm for 21700 cells; common practice
_ROUNDING = 1e-9
_MOST_LAYERS = 3
_MOST_ACROSS = 16

Size = tuple[float, float, float]


class PackPiece(NamedTuple):
    """What a pack is laid from."""

    size: Size  # length, width and thickness [m]
    wrapped: bool  # True for bare cells, which get terminals and a wrap; False for packs that are ready to use
    stack: int = 1  # cells that are sold as one brick, flat on each other: they cannot be laid anew one by one [-]


class PackLayout(NamedTuple):
    """How the cells of a pack lie."""

    along: int  # behind each other [-]
    across: int  # side by side [-]
    high: int  # on top of each other [-]
    pointing: str = FORE_AND_AFT  # where the length of a cell points, a key of ``POINTING`` [words]

    @property
    def text(self) -> str:
        """The layout as text, such as "2 x 8 x 1 fore and aft", by definition. `layout_from_text` reads it. [words]"""
        return f"{self.along} x {self.across} x {self.high} {self.pointing}"

    @property
    def words(self) -> str:
        """The layout in words for a builder, without commas, by definition. [words]"""
        lying = self.pointing.replace(",", "")
        if (self.along, self.across, self.high) == (1, 1, 1):
            return f"laid {lying}"
        before = "" if self.pointing == FORE_AND_AFT else f"{lying}: "
        return f"laid {before}{self._arrangement}"

    @property
    def _arrangement(self) -> str:
        if (self.along, self.across) == (1, 1):
            return f"{self.high} on top of each other"
        flat = f"in {self.along} rows of {self.across}"
        if 1 in (self.along, self.across):
            flat = f"{self.across} side by side" if self.along == 1 else f"{self.along} one behind the other"
        return flat if self.high == 1 else f"{flat} in {self.high} layers"


def layout_from_text(text: str) -> PackLayout:
    """Return the PackLayout of a ``text`` [words], by definition as in `PackLayout.text`."""
    along, _, across, _, high, pointing = text.split(" ", 5)
    return PackLayout(int(along), int(across), int(high), pointing)


def laid_size(layout: PackLayout, piece: PackPiece) -> Size:
    """Return outside length, width and height of a pack. [m]

    Geometry with allowances of common practice for the terminals and the wrap of bare cells.

    >>> [round(1e3 * side, 1) for side in laid_size(PackLayout(2, 8, 1), PackPiece((0.0702, 0.0215, 0.0215), True))]
    [150.4, 174.0, 23.5]
    """
    counts = layout.along, layout.across, layout.high
    sides = POINTING[layout.pointing]
    spare = [_WRAP * piece.wrapped] * 3
    if piece.wrapped:
        length_points = sides.index(0)  # 0 aft, 1 to the side, 2 up
        spare[length_points] = (_TERMINALS, _TERMINALS, _END_STRIPS)[length_points]
    length, width, height = (
        count * piece.size[side] + more for count, side, more in zip(counts, sides, spare, strict=True)
    )
    return length, width, height


def layouts(count: int, piece: PackPiece) -> list[PackLayout]:
    """Return every way to lay ``count`` pieces [-] that leaves no row, column or layer empty. Counting, no source.

    Of two ways with the same outside size one is kept. A way that is larger than another in every direction is left
    out. Pieces that come in bricks (``PackPiece.stack``) are turned and put together brick by brick.
    """
    found: dict[tuple[float, ...], PackLayout] = {}
    for pointing, sides in POINTING.items():
        for high in range(1, max(_MOST_LAYERS, piece.stack) + 1):
            for across in range(1, min(count, _MOST_ACROSS) + 1):
                along = math.ceil(count / (across * high) - _ROUNDING)
                one = PackLayout(along, across, high, pointing)
                if _is_full(one, count) if piece.stack == 1 else _is_of_bricks(one, count, piece.stack, sides.index(2)):
                    found.setdefault(tuple(round(side, 6) for side in laid_size(one, piece)), one)
    sizes = list(found)
    return [found[size] for size in sizes if not any(_is_smaller(other, size) for other in sizes)]


def _is_full(layout: PackLayout, count: int) -> bool:
    """Return whether no row, column or layer could be left out."""
    numbers = layout.along, layout.across, layout.high
    places = math.prod(numbers)
    return places >= count > places - min(places // number for number in numbers)


def _is_of_bricks(layout: PackLayout, count: int, stack: int, thickness_points: int) -> bool:
    """Return whether whole bricks fill the layout. ``thickness_points``: 0 aft, 1 to the side, 2 up."""
    numbers = layout.along, layout.across, layout.high
    return math.prod(numbers) == count and numbers[thickness_points] % stack == 0


def _is_smaller(size: tuple[float, ...], than: tuple[float, ...]) -> bool:
    return size != than and all(a <= b + _ROUNDING for a, b in zip(size, than, strict=True))
