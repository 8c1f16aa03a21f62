"""The sections of root and tip blended into one table for all strips."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.interpolate import NdBSpline

from .polar import SectionTable


class StripSpline(NamedTuple):
    """The splines of root and tip on a common grid, blended for each strip. Values are pure numbers [-]."""

    both: NdBSpline  # spline whose last axis holds root and tip
    tip_share: np.ndarray  # share of the tip's section (n_strip,) [-]

    def __call__(self, points: np.ndarray, nu: list[int]) -> np.ndarray:
        """Return the blended value (..., n_strip) at points (..., n_strip, 3).

        ``nu`` holds the orders of derivatives along the three axes of the spline.
        """
        value = self.both(points, nu=nu)
        return value[..., 0] + (value[..., 1] - value[..., 0]) * self.tip_share


def strip_table(root: SectionTable, tip: SectionTable, share: np.ndarray) -> SectionTable:
    """Return a single SectionTable for all strips from the tables of root and tip. This is a definition.

    ``share`` (n_strip,) [-] is the share of the tip's section. Largest lift, smallest lift and ln(drag) at the same
    share of the usable lift are blended. So a section half way between root and tip has its stall half way, and neither
    table is used beyond its own stall.
    """
    both = NdBSpline(root.log_drag.t, np.stack([root.log_drag.c, tip.log_drag.c], axis=-1), root.log_drag.k)
    column = share[:, None]
    highest = root.highest + (tip.highest - root.highest) * column
    lowest = root.lowest + (tip.lowest - root.lowest) * column
    return root._replace(log_drag=StripSpline(both, share), highest=highest, lowest=lowest)


def mean_table(table: SectionTable) -> SectionTable:
    """Return a SectionTable whose lift limits are the mean of all strips' limits. This is a definition.

    The table of a single section is returned unchanged.
    """
    if table.highest.ndim == 1:
        return table
    return table._replace(highest=table.highest.mean(0), lowest=table.lowest.mean(0))
