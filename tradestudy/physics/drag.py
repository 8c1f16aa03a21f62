"""Drag that the lattice does not see: section drag summed over strips, fins, and the itemised parts."""

from __future__ import annotations

import numpy as np

FRICTION_POWER = -0.2  # of the Reynolds number, turbulent


def profile_drag_area(section_drag_coefficient, strip_area):
    """Return profile drag over dynamic pressure of the whole wing, (..., n_strip) summed to (...). [m^2]

    ``strip_area`` [m^2] is that of the half wing's strips.
    """
    return 2 * np.sum(section_drag_coefficient * strip_area, axis=-1)


def turbulent_plate_friction(reynolds):
    """Return the friction coefficient of one side of a flat plate, turbulent from the edge. [-]

    Prandtl's one-fifth power law, 0.074 Re^(-1/5) (any text; from memory). Good to 10 % for Re 1e5 to 1e7.
    """
    return 0.074 * reynolds**FRICTION_POWER


def equal_chord(areas, chords):
    """Return the one chord at which all of the areas rub as much as each does at its own. (...) [m]"""
    rubbing = sum(area * turbulent_plate_friction(chord) for area, chord in zip(areas, chords, strict=True))
    return (rubbing / turbulent_plate_friction(1.0) / sum(areas)) ** (1 / FRICTION_POWER)


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
