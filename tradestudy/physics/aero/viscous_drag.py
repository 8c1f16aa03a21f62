"""Drag that the lattice does not include: section drag summed over strips, drag of fins and of the middle.

"(...)" means arrays of any batch shape.
"""

from __future__ import annotations

import numpy as np

from tradestudy.physics.air import turbulent_plate_friction


def section_drag_area(section_drag_coefficient: np.ndarray, strip_area: np.ndarray) -> np.ndarray:
    """Return the profile drag over dynamic pressure of the total wing (...), the sum of all strips. [m^2]

    ``section_drag_coefficient`` [-] and ``strip_area`` of the half wing's strips [m^2] are (..., n_strip). This is a
    definition.
    """
    return 2 * np.sum(section_drag_coefficient * strip_area, axis=-1)


def fin_drag_area(
    fin_area: np.ndarray, mean_chord: np.ndarray, speed: np.ndarray, kinematic_viscosity: float
) -> np.ndarray:
    """Return the drag over dynamic pressure of all sheet fins (...). [m^2]

    It is turbulent friction on both sides of a flat sheet, plus a quarter for the square edges (common practice, no
    source). ``fin_area`` of one face [m^2], ``mean_chord`` [m] and ``speed`` [m/s] are (...); ``kinematic_viscosity``
    is in [m^2/s].

    >>> round(fin_drag_area(0.02, 0.1, 15.0, 1.5e-5), 6)
    0.00037
    """
    reynolds = speed * mean_chord / kinematic_viscosity
    return 1.25 * 2 * turbulent_plate_friction(reynolds) * fin_area
