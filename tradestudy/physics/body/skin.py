"""The outer skin of half a wing, with its film: upper and lower surface at every place.

A skin has one section at each break of the outline. Between two breaks, equal points of the two sections are joined by
straight lines, as a hot wire cuts them. On the panel the sections blend from the root's template to that of the tip.
Beyond the panel the tip's section keeps its shape, and the flat centre piece has the root's. Each section is turned by
its twist about its leading edge.

x is the distance behind the nose datum, y that from the centre line, and z points up from the nose datum. In shapes,
``...`` means any batch axes.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.arrays import stacked
from tradestudy.physics.geometry.planform import Planform, break_shares, section_chords
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
        """Weights (2 n, 5) of the vectors of a frame in all points, first those of the upper surface. Definition. [-]

        The vectors are in the order of ``Skin.frames``.
        """
        one, along = np.ones(len(self.upper)), (self.foam_share, self.elevon_share)
        sides = (self.upper, self.upper_change), (self.lower, self.lower_change)
        return np.concatenate([np.column_stack([one, *along, *side]) for side in sides])

    @cached_property
    def inner_weights(self) -> np.ndarray:
        """The ``weights`` as columns (5, n_point), without those of nose and trailing edge, by definition. [-]"""
        return self.weights.reshape(2, -1, 5)[:, 1:-1].reshape(-1, 5).T.copy()

    @cached_property
    def panels(self) -> np.ndarray:
        """Rows of ``weights`` (n_panel, 2, 5) at both ends of every panel, by definition. [-]"""
        sides = self.weights.reshape(2, -1, 5)
        return np.stack([sides[:, :-1], sides[:, 1:]], axis=2).reshape(-1, 2, 5)


class Skin(NamedTuple):
    """Sections of half a wing at its breaks, each from the nose to the trailing edge. Lengths are in [m].

    The frame of a section holds five vectors. The first is the place of its leading edge. The others are multiplied by
    the numbers of a point in ``SectionPoints`` and added: chord of the foam, chord of the elevon, and the upward
    directions for the root's height and for the change. Frames are linear between breaks.
    """

    station: Any  # distance of each section from the centre line (..., n_break)
    frames: Any  # x and z of each vector (..., n_break, 5, 2)
    points: SectionPoints

    @property
    def hinge(self) -> int:
        """Index of the last point of the foam, by definition. [-]"""
        return self.points.hinge

    @property
    def upper_x(self) -> Any:
        """Distances of the upper surface behind the nose datum (..., n_break, n), by definition. [m]"""
        return self._drawn(0, 0)

    @property
    def upper_z(self) -> Any:
        """Heights of the upper surface (..., n_break, n), by definition. [m]"""
        return self._drawn(0, 1)

    @property
    def lower_x(self) -> Any:
        """Distances of the lower surface behind the nose datum (..., n_break, n), by definition. [m]"""
        return self._drawn(1, 0)

    @property
    def lower_z(self) -> Any:
        """Heights of the lower surface (..., n_break, n), by definition. [m]"""
        return self._drawn(1, 1)

    def _drawn(self, side: int, axis: int) -> Any:
        return self.frames[..., axis] @ self.points.weights.reshape(2, -1, 5)[side].T


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


def wing_skin(wing: Planform, points: SectionPoints, chords: np.ndarray | None = None) -> Skin:
    """Return the Skin of an outline (...) with sections from SectionPoints. Geometry, no source needed.

    ``chords`` (3, ..., n_break) [m] are its ``planform.section_chords``, if they are known already.
    """
    chords = section_chords(wing) if chords is None else chords
    (level, elevon_level, tip_level), turned = chords * np.cos(wing.twist), chords * np.sin(wing.twist)
    # nose up is positive: a point behind the leading edge goes down
    down, elevon_down, _ = -turned
    vectors = [wing.leading_edge, wing.height, level, down, elevon_level, elevon_down, turned[0], level]
    frames = stacked([*vectors, turned[2], tip_level])
    return Skin(wing.station, frames.reshape(*frames.shape[:-1], 5, 2), points)


def section_at(skin: Skin, y: Any) -> Skin:
    """Return a Skin whose sections (..., m) are those at the stations ``y`` (..., m) [m]. Geometry, no source.

    Outside the half wing the sections of its last piece continue in a straight line.
    """
    return blended_section(skin, y, break_shares(skin.station, y))


def blended_section(skin: Skin, y: Any, shares: Any) -> Skin:
    """Return the Skin of ``section_at`` at the stations ``y`` (..., m) [m] from the ``shares`` of its breaks.

    They are the result of ``planform.break_shares`` (..., m, n_break) [-]. Geometry, no source.
    """
    frames = shares @ skin.frames.reshape(*skin.frames.shape[:-2], 10)
    return Skin(y, frames.reshape(*frames.shape[:-1], 5, 2), skin.points)


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
    frames, points = sections.frames, sections.points
    inner = frames[..., 0].real @ points.inner_weights
    inner = inner.reshape(*inner.shape[:-1], 2, 1, -1)
    panel = (x.real[..., None, :, None] > inner).sum(-1)
    panel[..., 1, :] += len(points.panels) // 2  # those of the lower surface come after all of the upper one
    ends = points.panels.take(panel, axis=0)
    (*rows, _, _), pairs = panel.shape, ends.shape[:-1]
    x0, z0, x1, z1 = (ends.reshape(*rows, -1, 5) @ frames).reshape(*pairs[:-1], 4).transpose(-1, *range(len(pairs) - 1))
    return z0 + (z1 - z0) * ((x[..., None, :] - x0) / (x1 - x0))
