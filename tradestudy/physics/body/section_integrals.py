"""Area and outline of a foam section, with their moments along the chord, for the masses of foam and covering."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .skin import SectionPoints


class SectionIntegrals(NamedTuple):
    """Integrals over the foam section for a foam chord of 1. Places are behind its leading edge.

    The outline is the upper side, the lower side and the face at the hinge.
    """

    area: float  # [-]
    area_moment: float  # integral of the place over the area [-]
    area_second: float  # integral of the place squared over the area [-]
    outline: float  # length of the outline [-]
    outline_moment: float  # integral of the place along the outline [-]
    outline_second: float  # integral of the place squared along the outline [-]


def section_integrals(points: SectionPoints) -> tuple[SectionIntegrals, SectionIntegrals]:
    """Return the SectionIntegrals of the root, and those of the tip less the root's; exact for straight panels.

    Geometry, no source needed.
    """
    foam = slice(points.hinge + 1)
    x = points.foam_share[foam]
    root = _integrals(x, points.upper[foam], points.lower[foam])
    tip = _integrals(x, (points.upper + points.upper_change)[foam], (points.lower + points.lower_change)[foam])
    return root, SectionIntegrals._make(ours - other for ours, other in zip(tip, root, strict=True))


def _integrals(x: np.ndarray, upper: np.ndarray, lower: np.ndarray) -> SectionIntegrals:
    thickness, step = upper - lower, np.diff(x)
    area = [0.0, 0.0, 0.0]
    for share in 0.5 + np.array([-0.5, 0.5]) / np.sqrt(3):  # two Gauss points are exact to the third degree
        place, depth = x[:-1] + step * share, thickness[:-1] + np.diff(thickness) * share
        area = [total + float(0.5 * step @ (depth * place**power)) for power, total in enumerate(area)]
    lengths = np.hypot(step, np.diff(upper)) + np.hypot(step, np.diff(lower))
    middle, face = 0.5 * (x[1:] + x[:-1]), float(thickness[-1])  # the face is at x = 1
    return SectionIntegrals(
        area=area[0],
        area_moment=area[1],
        area_second=area[2],
        outline=float(lengths.sum()) + face,
        outline_moment=float(lengths @ middle) + face,
        outline_second=float(lengths @ (middle**2 + step**2 / 12)) + face,
    )
