"""The sections of root and tip blended into one table for all strips."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .polar import SectionTable
from .tensor_spline import blended_spline


def strip_table(root: SectionTable, tip: SectionTable, share: np.ndarray) -> SectionTable:
    """Return a single SectionTable for all strips from the tables of root and tip. This is a definition.

    ``share`` (n_strip,) [-] is the share of the tip's section. Largest lift, smallest lift and ln(drag) at the same
    share of the usable lift are blended. So a section half way between root and tip has its stall half way, and neither
    table is used beyond its own stall.
    """
    limits = root.limits[..., None] + (tip.limits - root.limits)[..., None] * share
    return replace(root, log_drag=blended_spline(root.log_drag, tip.log_drag, share), limits=limits)
