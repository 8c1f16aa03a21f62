"""Drag that the lattice does not see: section drag summed over strips, fins, and the itemised parts."""

from __future__ import annotations

import numpy as np

from tradestudy.physics.air import turbulent_plate_friction


def section_drag_area(section_drag_coefficient, strip_area):
    """Return profile drag over dynamic pressure of the whole wing, (..., n_strip) summed to (...). [m^2]

    ``strip_area`` [m^2] is that of the half wing's strips.
    """
    return 2 * np.sum(section_drag_coefficient * strip_area, axis=-1)


def fin_drag_area(fin_area, mean_chord, speed, kinematic_viscosity):
    """Return the drag over dynamic pressure of all sheet fins. (...) [m^2]

    Two rubbed sides of a flat sheet, turbulent, plus a quarter for the square edges (common practice, no source).
    """
    reynolds = speed * mean_chord / kinematic_viscosity
    return 1.25 * 2 * turbulent_plate_friction(reynolds) * fin_area


def centre_body_drag_area(planform_area):
    """Return drag over dynamic pressure of the thick, hatch-ridden middle, as a share of wing area. [m^2]

    0.0010 of the wing area for humps, cooling and the wing's own roughness; common practice, no source.
    """
    return 0.0010 * planform_area
