"""How far the skin bends a rod that lies at a constant depth below it."""

from __future__ import annotations

import numpy as np

from .skin import Skin, surface_heights
from .straight_rods import PlanLine, x_at

_KINK_LENGTH = 0.025  # length over which a rod rounds a kink of the skin, on each side; judgement, no source [m]


def skin_bend_radius(skin: Skin, line: PlanLine) -> tuple[float, float]:
    """Return the least radius to which the skin bends a rod at a constant depth below it, and its station. [m], [m]

    The line and the skin have no batch axes. Heights of both surfaces are taken along the line at steps of
    _KINK_LENGTH. The curvature is their second difference. A rod too short for three steps is straight. Geometry; the
    length over which a kink is rounded is a judgement.
    """
    count = int(np.real(line.length) / _KINK_LENGTH) + 1
    if count < 3:
        return np.inf, float(np.real(line.inner_y))
    y = np.linspace(line.inner_y, line.outer_y, count)
    # in the other half wing the skin is that of this half
    heights = surface_heights(skin, x_at(line, y), np.sqrt(y * y))
    step = line.length / (count - 1)
    bent = np.abs([np.diff(height, 2) for height in heights]) / step**2
    at = int(bent.max(0).argmax())
    return float(1.0 / max(bent.max(), 1e-9)), float(np.sqrt(y[at + 1] ** 2))
