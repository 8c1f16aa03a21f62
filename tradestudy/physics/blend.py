"""From the root's section to the tip's: how much of each a place along the span has, and what follows from it.

A hot wire runs straight between the two templates of a panel, so heights at one chord fraction are linear along the
panel and the tip's share in a local section is the tip's share in the local chord. Shares hang on nothing that a study
frees: chords at the panel's ends stay, and lattice strips keep their places in the panel. Pieces inboard of the panel
have the root's section, those outboard of it the tip's.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.interpolate import NdBSpline

from . import airfoil
from .planform import interpolated
from .stiffness import StationSections


def tip_share(wing, chord, where):
    """Return the tip section's share at stations (..., n). [-]

    ``wing`` a planform.Planform, ``chord`` (..., n_break) its chord that the section covers [m], stations [m].
    """
    part, whole = interpolated(wing, (tip_part(wing, chord), chord), where)
    return part / whole


def tip_part(wing, chord):
    """Return the tip section's share times the chord at the breaks (..., n_break): straight between them. [m]

    ``wing`` a planform.Planform, ``chord`` (..., n_break) its chord that the section covers [m].
    """
    start, end = _panel_breaks(wing.pieces)
    station = wing.station
    along = (station - station[..., start, None]) / (station[..., end, None] - station[..., start, None])
    zero = 0 * along
    # inside the panel the tip's template counts with the chord it has there, beyond with the local one
    return np.concatenate([zero[..., :start], along[..., start: end + 1] * chord[..., end, None],
                           chord[..., end + 1:] + zero[..., end + 1:]], axis=-1)


def _panel_breaks(pieces):
    """First and last break of the tapered panel."""
    panels = [index for index, piece in enumerate(pieces) if piece == "panel"]
    return panels[0], panels[-1] + 1


class StripSpline(NamedTuple):
    """Two splines of one grid in one, weighted strip by strip. Values [-]."""

    both: NdBSpline  # last axis: root, tip
    tip_share: np.ndarray  # (n_strip,) [-]

    def __call__(self, points, nu):
        """Return the weighted value (..., n_strip) at points (..., n_strip, 3)."""
        value = self.both(points, nu=nu)
        return value[..., 0] + (value[..., 1] - value[..., 0]) * self.tip_share


def strip_table(root, tip, share):
    """Return one polar.SectionTable for all strips from the tables of root and tip and the tip's share (n_strip,) [-].

    Largest and smallest lift, and ln(drag) at the same share of the usable lift, are blended: a section half way
    stalls half way, and neither parent is asked beyond its own stall.
    """
    both = NdBSpline(root.log_drag.t, np.stack([root.log_drag.c, tip.log_drag.c], axis=-1), root.log_drag.k)
    column = share[:, None]
    highest = root.highest + (tip.highest - root.highest) * column
    lowest = root.lowest + (tip.lowest - root.lowest) * column
    return root._replace(log_drag=StripSpline(both, share), highest=highest, lowest=lowest)


def mean_table(table):
    """Return a polar.SectionTable whose lift limits are the mean of all strips'; that of one section as it is."""
    if table.highest.ndim == 1:
        return table
    return table._replace(highest=table.highest.mean(0), lowest=table.lowest.mean(0))


def blended(root, tip, share):
    """Return the outline (n, 2) between two resampled ones, ``share`` of the tip's. [-]"""
    return root + (tip - root) * share


def foam_sections(root, tip, share, front_fraction, rod_fractions):
    """Return stiffness.StationSections of stations whose tip share is ``share`` (n_station,) [-].

    ``root`` and ``tip`` are outlines (n, 2) on their own chord, ``front_fraction`` is foam over that chord,
    ``rod_fractions`` (n_set,) are of the foam chord. [-]
    """
    outlines = [blended(root, tip, one) for one in share]
    shapes = [airfoil.section_shape(outline, front_fraction) for outline in outlines]
    area, perimeter, second_moment, torsion, thickness = np.array(shapes, float).T
    places = np.asarray(rod_fractions, float) * front_fraction
    at_rods = np.array([airfoil.thickness_at(outline, places) / front_fraction for outline in outlines]).T
    return StationSections(area, second_moment, torsion, perimeter, thickness, at_rods)
