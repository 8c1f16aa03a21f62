"""The sections of root and tip blended into one table for all strips."""

from __future__ import annotations

import numpy as np

from .polar import SectionTable
from .tensor_spline import blended_spline


def strip_table(root: SectionTable, tip: SectionTable, share: np.ndarray) -> SectionTable:
    """Return a single SectionTable for all strips from the tables of root and tip. This is a definition.

    ``share`` (n_strip,) [-] is the share of the tip's section. Largest lift, smallest lift and ln(drag) at the same
    share of the usable lift are blended. So a section half way between root and tip has its stall half way, and neither
    table is used beyond its own stall.
    """
    column = share[:, None]
    highest = root.highest + (tip.highest - root.highest) * column
    lowest = root.lowest + (tip.lowest - root.lowest) * column
    return root._replace(log_drag=blended_spline(root.log_drag, tip.log_drag, share), highest=highest, lowest=lowest)


def mean_table(table: SectionTable) -> SectionTable:
    """Return a SectionTable whose lift limits are the mean of all strips' limits. This is a definition.

    The table of a single section is returned unchanged.
    """
    if table.highest.ndim == 1:
        return table
    return table._replace(highest=table.highest.mean(0), lowest=table.lowest.mean(0))
