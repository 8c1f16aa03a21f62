"""Rods as they lie in half a wing: sets of solid rods and tubes near both skins, one skin or the middle.

The axis of z is up, counted from the section's mid-plane. Where all sets have a rod near either skin, the
neutral axis is the mid-plane; rods near one skin alone draw it towards them.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

PAIRS = (1.0, 1.0, 0.0)  # top, bottom, middle of a set that is nothing but pairs [-]
EVEN = 1e-5  # rounds the corner of a distance at zero, where sets are uneven [m]


class RodSets(NamedTuple):
    """Rods by set; every field (..., n_set). A pair is one rod near the top, one near the bottom."""

    youngs_modulus: Any  # [Pa]
    density: Any  # [kg/m^3]
    tensile_strength: Any  # [Pa]
    compressive_strength: Any  # [Pa]
    diameter: Any  # outside [m]
    pairs: Any  # places side by side in each half wing, may be a fraction inside a search [-]
    chord_fraction: Any  # of the foam chord, at the inner end [-]
    inner_end: Any  # from the centre line [m]
    outer_end: Any  # from the centre line [m]
    slot_depth: Any  # from the skin to the bottom of the slot, where the rod lies [m]
    crosses_centre: Any  # 1 runs through or is sleeved at the centre line, 0 is cut [-]
    thickness_fraction: Any  # section thickness at the rod's inner end over foam chord [-]
    bore: Any = 0.0  # inside over outside diameter; 0 is solid [-]
    shear_modulus: Any = 0.0  # of tubes; a solid rod's own torsion, a hundredth of a wing's, is left out [Pa]
    chord_change: Any = 0.0  # chord fraction at the outer end less that at the inner one [-]
    thickness_change: Any = 0.0  # and the same of thickness_fraction [-]
    top: Any = 1.0  # rods near the top at each place, 0 or 1 [-]
    bottom: Any = 1.0  # near the bottom [-]
    middle: Any = 0.0  # at the mid-plane [-]
    bed_share: Any = 1.0  # of the foam left at the cut centre, how much holds the rod there [-]
    bed_added: Any = 0.0  # bed that floor or divider give it there, over the uncut foam's [-]
    bay_share: Any = 1.0  # bay width that the rod crosses over the widest bay [-]


def rod_area(rods):
    """Return the cross-section of one rod or tube (..., n_set). [m^2]"""
    return 0.25 * np.pi * rods.diameter**2 * (1.0 - rods.bore**2)


def rod_rigidity(rods):
    """Return E I of one rod or tube about itself (..., n_set). [N m^2]"""
    return rods.youngs_modulus * np.pi * rods.diameter**4 / 64.0 * (1.0 - rods.bore**4)


def rods_at_a_place(rods):
    """Return how many rods one of ``pairs`` holds (..., n_set): two, or one where only one skin has them. [-]"""
    return rods.top + rods.bottom + rods.middle


def uneven(rods):
    """Return whether any set lacks a rod near either skin, so that the neutral axis leaves the mid-plane. [bool]"""
    if isinstance(rods.top, float) and (rods.top, rods.bottom, rods.middle) == PAIRS:  # as left out
        return False
    return bool(np.any(np.real(rods.middle)) or np.any(np.real(rods.top) != np.real(rods.bottom)))


def along_rod(station_y, rods):
    """Return how far each station lies between a rod's ends: 0 inner, 1 outer, straight (..., n_set, n_station). [-]

    ``rods`` carry the station axis already; stations (..., n_station) [m].
    """
    return (station_y[..., None, :] - rods.inner_end) / (rods.outer_end - rods.inner_end)


def neutral_axis(count, rods, spacing, axial):
    """Return how far the neutral axis lies above the mid-plane. [m]

    Parameters
    ----------
    count : (..., n_set, n) array
        Places that hold rods. [-]
    rods : RodSets
        With a last axis that goes with ``count``.
    spacing : (..., n_set, n) array
        Of the rods of a pair. [m]
    axial : (..., n) array
        E A of foam and film, centred on the mid-plane. [N]

    Returns
    -------
    neutral_axis : (..., n) array
        [m]
    """
    each = count * rods.youngs_modulus * rod_area(rods)
    first = (each * (rods.top - rods.bottom) * (0.5 * spacing)).sum(axis=-2)
    return first / ((each * rods_at_a_place(rods)).sum(axis=-2) + axial)


def lever(rods, spacing, axis):
    """Return how far the farthest rod of a set lies from the neutral axis (..., n_set, n). [m]

    Of a rod near one skin alone exactly; of pairs and middle rods with a corner rounded by EVEN.
    """
    axis = axis[..., None, :]
    off = np.sqrt(axis * axis + EVEN**2)
    half = 0.5 * spacing
    top, bottom = np.asarray(rods.top), np.asarray(rods.bottom)
    return (top * bottom * (half + off) + top * (1.0 - bottom) * (half - axis)
            + bottom * (1.0 - top) * (half + axis) + (1.0 - top) * (1.0 - bottom) * off)


def squared_levers(rods, spacing, axis):
    """Return the sum of squared distances of one place's rods from the neutral axis (..., n_set, n). [m^2]"""
    axis, half = axis[..., None, :], 0.5 * spacing
    return rods.top * (half - axis) ** 2 + rods.bottom * (half + axis) ** 2 + rods.middle * axis**2


def pressed_when_lifted(rods):
    """Return 1 for sets whose rods lift presses, -1 for those it stretches, 0 for any others (n_set,). [-]"""
    top, bottom = (np.broadcast_to(np.real(side) > 0.5, np.shape(rods.pairs)[-1:]) for side in (rods.top, rods.bottom))
    return 1.0 * top - 1.0 * bottom


def column_of(rods):
    """Return RodSets with a last axis for stations; what was left out stays a number."""
    return RodSets(*(field if isinstance(field, float) else np.asarray(field)[..., None] for field in rods))
