"""Where a section of unknown shape is thick enough for a bay, from a few lengths of the wing.

It imports nothing but math, so that a study is read without loading numpy. The skin itself is in `physics.body`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

# Thickness along the chord as in `physics.sections.unnamed_section`: sqrt(x) (1 - x)^n, largest at x = 1 / (1 + 2 n).
_FULLNESS = 1.25
_THICKEST = 1 / (1 + 2 * _FULLNESS)
# A bay is level and straight, and a section has camber and reflex. Share of the thickness that is left: judgement, no
# source; it is 0.97 to 1 on the generic section, and 0.86 to 1 on a dozen named reflexed sections.
_LEVEL_SHARE = 0.92
_STEP = 0.001  # lengths in a study are whole millimetres [m]
_ROUNDING = 1e-6  # m


class WingMiddle(NamedTuple):
    """The lengths of a wing that decide what fits into its middle. [m]"""

    half_span: float
    half_centre: float  # half of the flat middle piece
    root_chord: float  # of the section
    tip_chord: float
    tip_set_back: float
    root_thickness: float
    tip_thickness: float
    foam_chord: float  # at the root
    foremost: float  # least distance of a bay from the nose

    def room(self, behind_nose: float, half_width: float) -> float:
        """Return the height of a level box that has its corner at this place. [m]

        The place is ``behind_nose`` [m] and ``half_width`` [m] from the centre line; the box reaches inward from there.
        """
        return min(self._level_height(behind_nose, station) for station in (0.0, half_width))

    def _level_height(self, behind_nose: float, station: float) -> float:
        # a middle piece as wide as the wing is refused later, with its line
        panel = max(self.half_span - self.half_centre, _ROUNDING)
        share = min(max(station - self.half_centre, 0.0) / panel, 1.0)
        chord = self.root_chord + share * (self.tip_chord - self.root_chord)
        thickness = self.root_thickness + share * (self.tip_thickness - self.root_thickness)
        x = (behind_nose - share * self.tip_set_back) / chord
        if not 0 < x < 1:
            return 0.0
        return _LEVEL_SHARE * thickness * math.sqrt(x / _THICKEST) * ((1 - x) / (1 - _THICKEST)) ** _FULLNESS

    def stretch(self, half_width: float, height: float) -> tuple[float, float]:
        """Return the foremost and rearmost place of a box of this half width and height, in whole millimetres. [m]

        Both are the same if the box fits nowhere.
        """
        places = [place for place in self._places() if self.room(place, half_width) >= height]
        return (places[0], places[-1]) if places else (self.foremost, self.foremost)

    def roomiest(self, half_width: float, length: float) -> float:
        """Return the front of a box of this half width and length where it has most height. [m]"""
        fronts = [place for place in self._places() if place + length <= self.foam_chord] or [self.foremost]
        return max(fronts, key=lambda front: min(self.room(end, half_width) for end in (front, front + length)))

    def _places(self) -> list[float]:
        first, last = math.ceil(self.foremost / _STEP - 1e-6), math.floor(self.foam_chord / _STEP + 1e-6)
        return [_STEP * place for place in range(first, last + 1)]


class CellArrangement(NamedTuple):
    """The outside of one arrangement of a pack. [m]"""

    across: int  # cells side by side [-]
    length: float
    width: float
    height: float


class BayBox(NamedTuple):
    """An assumed bay, and the arrangement of the stock pack in it. [m]"""

    pack: CellArrangement
    from_nose: float
    length: float
    width: float
    depth: float
    shortest: float  # least length for the stock pack
    rearmost: float  # rearmost place where the section is high enough
    fits: bool


class BayNeeds(NamedTuple):
    """What a bay must hold besides the pack, and which of its lengths the study gives. [m]"""

    room: float  # left on each side of a pack
    play: float  # length beyond that of the longest pack
    walls: float  # foam above and below, together
    from_nose: float | None
    length: float | None
    width: float | None
    depth: float | None


@lru_cache(maxsize=64)
def least_bay(middle: WingMiddle, needs: BayNeeds, packs: tuple[tuple[CellArrangement, ...], ...]) -> BayBox:
    """Return the bay for the packs on trial, with its front at the foremost place.

    ``packs`` has one tuple for each pack, the stock pack first: its arrangements, from the narrowest and longest to the
    widest and shortest. A pack for which there is no bay that also holds the stock pack is left out.
    """
    stock = _arranged(middle, needs, packs[0]) or packs[0][-1]
    chosen = [stock]
    for arrangements in packs[1:]:
        arranged = _arranged(middle, needs, [pack for pack in arrangements if pack.across >= stock.across])
        if arranged and _bay(middle, needs, [*chosen, arranged]).fits:
            chosen.append(arranged)
    return _bay(middle, needs, chosen)


def _arranged(middle: WingMiddle, needs: BayNeeds, arrangements: Iterable[CellArrangement]) -> CellArrangement | None:
    """Return the narrowest arrangement that fits, or None."""
    return next((pack for pack in arrangements if _bay(middle, needs, [pack]).fits), None)


def _bay(middle: WingMiddle, needs: BayNeeds, packs: list[CellArrangement]) -> BayBox:
    """Return the bay that holds all of ``packs``, if there is one. The first is the stock pack."""
    least_width, least_depth, least_length = (
        max(getattr(pack, side) for pack in packs) + 2 * needs.room for side in ("width", "height", "length")
    )
    if needs.length is None:
        least_length += _STEP  # the middle of the pack is written in whole millimetres
    width = _whole(least_width) if needs.width is None else needs.width
    depth = _whole(least_depth) if needs.depth is None else needs.depth
    foremost, rearmost = middle.stretch(0.5 * width, depth + needs.walls)
    front = foremost if needs.from_nose is None else needs.from_nose
    space = rearmost - front if needs.length is None else needs.length
    fits = (
        space >= least_length - _ROUNDING
        and front >= foremost - _ROUNDING
        and front + least_length <= rearmost + _ROUNDING
        and width >= least_width - _ROUNDING
        and depth >= least_depth - _ROUNDING
    )
    shortest = packs[0].length + 2 * needs.room + _STEP
    if not fits:
        length = _whole(shortest) if needs.length is None else needs.length
        front = middle.roomiest(0.5 * width, length) if needs.from_nose is None else needs.from_nose
        return BayBox(packs[0], front, length, width, depth, shortest, front + length, False)
    with_play = max(pack.length for pack in packs) + needs.play
    length = math.floor(min(with_play, space) / _STEP + 1e-6) * _STEP if needs.length is None else needs.length
    return BayBox(packs[0], front, length, width, depth, shortest, max(rearmost, front + length), True)


def _whole(length: float) -> float:
    """Return a length rounded up to whole millimetres. [m]"""
    return math.ceil(length / _STEP - 1e-6) * _STEP
