"""The outer skin of half a wing, with its film: upper and lower surface at every place.

A skin has one section at each break of the outline. Between two breaks, equal points of the two sections are joined by
straight lines, as a hot wire cuts them. On the panel the sections blend from the root's template to that of the tip.
Beyond the panel the tip's section keeps its shape, and the flat centre piece has the root's. Each section is turned by
its twist about its leading edge.

x is the distance behind the nose datum, y that from the centre line, and z points up from the nose datum. In shapes,
``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.geometry.planform import Planform, piece_shares, tip_section_chord
from tradestudy.physics.sections import airfoil

_FOAM_PANELS, _ELEVON_PANELS = 80, 6  # panels of a section on foam and on elevon; 0.02 mm from a finer one
_PLATE_END = 1 / 3  # thickness of a plate elevon at its trailing edge over that at its hinge; common practice
_PLATE_STEP = 1e-3  # share of the elevon's chord over which the foam's thickness changes to that of a plate elevon


class SectionPoints(NamedTuple):
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

    @property
    def hinge(self) -> int:
        """Index of the last point of the foam, by definition. [-]"""
        return int(np.flatnonzero(self.elevon_share <= 0.0)[-1])


class Skin(NamedTuple):
    """Sections of half a wing at its breaks, each from the nose to the trailing edge. Lengths are in [m]."""

    station: Any  # distance of each section from the centre line (..., n_break)
    upper_x: Any  # (..., n_break, n)
    upper_z: Any  # (..., n_break, n)
    lower_x: Any  # (..., n_break, n)
    lower_z: Any  # (..., n_break, n)
    hinge: int  # index of the last point of the foam


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


def wing_skin(wing: Planform, points: SectionPoints, out_to: float = np.inf) -> Skin:
    """Return the Skin of an outline (...) with sections from SectionPoints. Geometry, no source needed.

    Sections beyond the first one at or outside ``out_to`` [m] from the centre line are left out.
    """
    inside = int((np.real(wing.station) < out_to).sum(-1).max())
    kept = np.s_[..., : max(inside + 1, 2)]
    chord, tip_chord = wing.foam_chord[kept], tip_section_chord(wing, wing.foam_chord)[kept]
    x = chord[..., None] * points.foam_share + wing.elevon_chord[kept][..., None] * points.elevon_share
    cosine, sine = np.cos(wing.twist[kept])[..., None], np.sin(wing.twist[kept])[..., None]
    edge, height = wing.leading_edge[kept][..., None], wing.height[kept][..., None]

    def placed(root: np.ndarray, change: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        z = chord[..., None] * root
        if change.any():
            z = z + tip_chord[..., None] * change
        # nose up is positive: a point behind the leading edge goes down
        along = edge + x * cosine + z * sine
        return along, height + z * cosine - x * sine

    upper_x, upper_z = placed(points.upper, points.upper_change)
    lower_x, lower_z = placed(points.lower, points.lower_change)
    return Skin(wing.station[kept], upper_x, upper_z, lower_x, lower_z, points.hinge)


def section_at(skin: Skin, y: Any) -> Skin:
    """Return a Skin whose sections (..., m, n) are those at the stations ``y`` (..., m) [m]. Geometry, no source.

    Outside the half wing the sections of its last piece continue in a straight line.
    """
    shares = piece_shares(skin.station, y)
    sides = (skin.upper_x, skin.upper_z, skin.lower_x, skin.lower_z)
    upper_x, upper_z, lower_x, lower_z = (shares.of(side) for side in sides)
    return Skin(y, upper_x, upper_z, lower_x, lower_z, skin.hinge)


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
    here = section_at(skin, y)
    return heights_on(here.upper_x, here.upper_z, x), heights_on(here.lower_x, here.lower_z, x)


def heights_on(side_x: np.ndarray, side_z: np.ndarray, x: Any) -> Any:
    """Return the height (..., m) of one surface at ``x`` (..., m) [m]. [m]

    ``side_x`` and ``side_z`` (..., m, n) are its points [m].

    It is linear between points, and beyond the outer points it continues in a straight line. Geometry, no source.
    """
    panel: Any = (np.real(x)[..., None] > np.real(side_x)[..., 1:-1]).sum(-1)[..., None]
    panel = np.broadcast_to(panel, (*np.broadcast_shapes(panel.shape[:-1], side_x.shape[:-1]), 1))
    full = (*panel.shape[:-1], side_x.shape[-1])
    side_x, side_z = np.broadcast_to(side_x, full), np.broadcast_to(side_z, full)
    (x0, x1), (z0, z1) = (
        [np.take_along_axis(side, index, axis=-1)[..., 0] for index in (panel, panel + 1)] for side in (side_x, side_z)
    )
    return z0 + (z1 - z0) * ((x - x0) / (x1 - x0))
