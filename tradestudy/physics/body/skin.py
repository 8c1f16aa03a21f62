"""The outer skin of half a wing, with its film: upper and lower surface at every place.

A skin has one section at each break of the outline. Between two breaks, equal points of the two sections are joined by
straight lines, as a hot wire cuts them. On the panel the sections blend from the root's template to that of the tip.
Beyond the panel the tip's section keeps its shape, and the flat centre piece has the root's. Each section is turned by
its twist about its leading edge.

x is the distance behind the nose datum, y that from the centre line, and z points up from the nose datum. In shapes,
``...`` means any batch axes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.arrays import stacked
from tradestudy.physics.geometry.planform import Planform, break_shares, tip_section_chord
from tradestudy.physics.sections import airfoil

_FOAM_PANELS, _ELEVON_PANELS = 80, 6  # panels of a section on foam and on elevon: 0.02 to 0.14 mm from finer ones
_PLATE_END = 1 / 3  # thickness of a plate elevon at its trailing edge over that at its hinge; common practice
_PLATE_STEP = 1e-3  # share of the elevon's chord over which the foam's thickness changes to that of a plate elevon


@dataclass(frozen=True)
class SectionPoints:
    """Points of the sections of root and tip, in order from the nose to the trailing edge.

    A point lies at ``foam_share`` foam chords plus ``elevon_share`` elevon chords behind the leading edge. Heights are
    over the foam chord. A change is the tip's value less the root's.
    """

    foam_share: np.ndarray  # (n,) [-]
    elevon_share: np.ndarray  # (n,) [-]
    upper: np.ndarray  # height of the upper surface at the root (n,) [-]
    lower: np.ndarray  # height of the lower surface at the root (n,) [-]
    upper_change: np.ndarray  # (n,) [-]
    lower_change: np.ndarray  # (n,) [-]

    @cached_property
    def hinge(self) -> int:
        """Index of the last point of the foam, by definition. [-]"""
        return int(np.flatnonzero(self.elevon_share <= 0.0)[-1])

    @cached_property
    def weights(self) -> np.ndarray:
        """Weights (8, 4 n) of eight lengths of a section in x and z of all its points, by definition. [-]

        The points are in the order of ``Skin.sides``, the lengths in that of ``wing_skin``.
        """
        one, none = np.ones(len(self.upper)), np.zeros(len(self.upper))
        rows = []
        for height, change in ((self.upper, self.upper_change), (self.lower, self.lower_change)):
            # nose up is positive: a point behind the leading edge goes down
            along = one, none, self.foam_share, self.elevon_share, none, height, none, change
            up = none, one, height, none, change, -self.foam_share, -self.elevon_share, none
            rows += [along, up]
        return np.concatenate(rows, axis=-1)


class Skin(NamedTuple):
    """Sections of half a wing at its breaks, each from the nose to the trailing edge. Lengths are in [m]."""

    station: Any  # distance of each section from the centre line (..., n_break)
    sides: Any  # x and z of the upper surface, then x and z of the lower one (..., n_break, 4, n)
    hinge: int  # index of the last point of the foam

    @property
    def upper_x(self) -> Any:
        """Distances of the upper surface behind the nose datum (..., n_break, n), by definition. [m]"""
        return self.sides[..., 0, :]

    @property
    def upper_z(self) -> Any:
        """Heights of the upper surface (..., n_break, n), by definition. [m]"""
        return self.sides[..., 1, :]

    @property
    def lower_x(self) -> Any:
        """Distances of the lower surface behind the nose datum (..., n_break, n), by definition. [m]"""
        return self.sides[..., 2, :]

    @property
    def lower_z(self) -> Any:
        """Heights of the lower surface (..., n_break, n), by definition. [m]"""
        return self.sides[..., 3, :]


def section_points(
    root: np.ndarray, tip: np.ndarray, foam_chords: tuple[float, float], elevon_chords: tuple[float, float], plate: Any
) -> SectionPoints:
    """Return the SectionPoints of a wing. Geometry, no source needed.

    Parameters
    ----------
    root, tip : (m, 2) array
        Resampled outlines on a chord of 1. [-]
    foam_chords, elevon_chords : tuple of float
        Chords at root and tip. [m]
    plate : float or None
        Thickness of a flat elevon at its hinge; the outlines then cover the foam alone. None means that they cover the
        elevon too. [m]
    """
    foam_share = 0.5 * (1.0 - np.cos(np.pi * np.arange(_FOAM_PANELS + 1) / _FOAM_PANELS))
    elevon_share = np.arange(1, _ELEVON_PANELS + 1) / _ELEVON_PANELS
    if plate is not None:
        elevon_share = np.concatenate([[_PLATE_STEP], elevon_share])
    sides = [
        _heights(outline, foam, elevon, foam_share, elevon_share, plate)
        for outline, foam, elevon in zip((root, tip), foam_chords, elevon_chords, strict=True)
    ]
    (upper, lower), (tip_upper, tip_lower) = sides
    return SectionPoints(
        foam_share=np.concatenate([foam_share, np.ones(len(elevon_share))]),
        elevon_share=np.concatenate([np.zeros(len(foam_share)), elevon_share]),
        upper=upper,
        lower=lower,
        upper_change=tip_upper - upper,
        lower_change=tip_lower - lower,
    )


def _heights(
    outline: np.ndarray, foam: float, elevon: float, foam_share: np.ndarray, elevon_share: np.ndarray, plate: Any
) -> tuple[np.ndarray, np.ndarray]:
    """Return the heights of upper and lower surface over the foam chord, at the points of one section."""
    x, upper, lower = airfoil.surfaces(outline)
    if plate is None:
        drawn = (foam + elevon) / foam
        place = np.concatenate([foam_share, 1.0 + elevon_share * elevon / foam]) / drawn
        return drawn * np.interp(place, x, upper), drawn * np.interp(place, x, lower)
    ahead = [np.interp(foam_share, x, side) for side in (upper, lower)]
    camber = 0.5 * (ahead[0] + ahead[1])
    slope = (camber[-1] - np.interp(0.9, foam_share, camber)) / 0.1  # the plate continues the mean line
    middle = camber[-1] + slope * elevon_share * elevon / foam
    half = 0.5 * plate / foam * (1.0 - (1.0 - _PLATE_END) * elevon_share)
    return np.concatenate([ahead[0], middle + half]), np.concatenate([ahead[1], middle - half])


def wing_skin(wing: Planform, points: SectionPoints) -> Skin:
    """Return the Skin of an outline (...) with sections from SectionPoints. Geometry, no source needed."""
    chord, elevon, tip = wing.foam_chord, wing.elevon_chord, tip_section_chord(wing, wing.foam_chord)
    cosine, sine = np.cos(wing.twist), np.sin(wing.twist)
    level, turned = [part * cosine for part in (chord, elevon, tip)], [part * sine for part in (chord, elevon, tip)]
    sides = stacked([wing.leading_edge, wing.height, *level, *turned]) @ points.weights
    return Skin(wing.station, sides.reshape(*sides.shape[:-1], 4, -1), points.hinge)


def section_at(skin: Skin, y: Any) -> Skin:
    """Return a Skin whose sections (..., m, n) are those at the stations ``y`` (..., m) [m]. Geometry, no source.

    Outside the half wing the sections of its last piece continue in a straight line.
    """
    return blended_section(skin, y, break_shares(skin.station, y))


def blended_section(skin: Skin, y: Any, shares: Any) -> Skin:
    """Return the Skin of ``section_at`` at the stations ``y`` (..., m) [m] from the ``shares`` of its breaks.

    They are the result of ``planform.break_shares`` (..., m, n_break) [-]. Geometry, no source.
    """
    *breaks, four, count = skin.sides.shape
    sides = shares @ skin.sides.reshape(*breaks, four * count)
    return Skin(y, sides.reshape(*sides.shape[:-1], four, count), skin.hinge)


def surface_heights(skin: Skin, x: Any, y: Any) -> tuple[Any, Any]:
    """Return the heights (..., m) of upper and lower surface at places ``x``, ``y`` (..., m) [m]. [m]

    Ahead of the nose and behind the trailing edge both surfaces continue in a straight line. So ahead of the nose the
    upper one lies below the lower one. The result keeps the slopes of a complex step. Geometry, no source.

    A flat slab, 0.1 m long and 10 mm thick:

    >>> slab = SectionPoints(*np.array([[0.0, 1.0], [0.0, 0.0], [0.05, 0.05], [-0.05, -0.05], [0.0, 0.0], [0.0, 0.0]]))
    >>> from tradestudy.physics.geometry.planform import StockWing
    >>> from tradestudy.physics.geometry.stretch_schemes import stock_planform
    >>> stock = StockWing(span=1.0, centre_width=0.0, root_chord=0.1, tip_chord=0.1, tip_set_back=0.0, washout=0.0,
    ...                   dihedral=0.0, elevon_root_chord=0.02, elevon_tip_chord=0.02, elevon_inner_end=0.1,
    ...                   elevon_outer_end=0.5)
    >>> upper, lower = surface_heights(wing_skin(stock_planform(stock), slab), np.array([0.03]), np.array([0.2]))
    >>> [round(float(height), 4) for height in (upper[0], lower[0])]
    [0.005, -0.005]
    """
    found = heights_on(section_at(skin, y), x[..., None])[..., 0]
    return found[..., 0], found[..., 1]


def heights_on(sections: Skin, x: Any) -> Any:
    """Return the heights (..., m, 2, p) of upper and lower surface of m ``sections`` at ``x`` (..., m, p) [m]. [m]

    They are linear between points, and beyond the outer points they continue in a straight line. Geometry, no source.
    """
    sides, x = sections.sides, x[..., None, :]
    if sides.shape[:-3] != x.shape[:-3]:
        batch = np.broadcast_shapes(sides.shape[:-3], x.shape[:-3])
        sides, x = np.broadcast_to(sides, (*batch, *sides.shape[-3:])), np.broadcast_to(x, (*batch, *x.shape[-3:]))
    panel = (x.real[..., None] > sides.real[..., 0::2, None, 1:-1]).sum(-1)
    *rows, count = sides.shape
    # index of the point before each place, in all points one after the other: first those of x, then those of z
    before = panel + count * np.arange(math.prod(rows)).reshape(*rows, 1)[..., 0::2, :]
    offsets = np.array([0, 1, count, count + 1]).reshape(-1, *(1,) * before.ndim)
    x0, x1, z0, z1 = sides.reshape(-1).take(before + offsets)  # one look-up is faster than four
    return z0 + (z1 - z0) * ((x - x0) / (x1 - x0))
