"""Rods as they lie in half a wing: sets of solid rods and tubes near both skins, one skin or the middle.

The axis of z is up, counted from the section's mid-plane. Where all sets have a rod near either skin, the
neutral axis is the mid-plane; rods near one skin alone draw it towards them.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

_LEAST_GAP = 1e-4  # rounds the corner where two rods of a pair would touch; 0.003 % of EI otherwise [m]
_WEB_FIT = (0.893, 0.362, 17.1, 1.48, 0.262)  # see web_factor [-]


def rod_depth(slot_depth, diameter):
    """Return how deep below the skin a rod's centre lies: it rests on the bottom of its slot.

    Slot depth and diameter (...) [m] give a depth (...) [m]: a 3 mm rod in a 5 mm slot lies 3.5 mm deep.
    """
    return slot_depth - 0.5 * diameter


def cap_spacing(thickness, slot_depth, diameter):
    """Return the distance between the centres of the rods of a pair.

    Parameters
    ----------
    thickness, slot_depth, diameter : (...) array
        Section thickness at the rods, slot, rod. [m]

    Returns
    -------
    cap_spacing : (...) array
        Thickness less twice the rod depth; never less than a diameter, where the rods touch. [m]
    """
    free = thickness - 2.0 * rod_depth(slot_depth, diameter) - diameter
    return diameter + 0.5 * (free + np.sqrt(free * free + _LEAST_GAP**2))


def least_thickness(thickness, diameter):
    """Return the thickness at a rod, never less than two diameters, where a pair no longer fits. [m]"""
    free = thickness - 2.0 * diameter
    return 2.0 * diameter + 0.5 * (free + np.sqrt(free * free + _LEAST_GAP**2))


def web_factor(thickness, slot_depth, diameter, spacing, film_length):
    r"""Return the equivalent width of foam web of one rod pair, over the rod spacing.

    Parameters
    ----------
    thickness, slot_depth, diameter, spacing : (...) array
        Section thickness at the rods, slot, rod, distance between rod centres. [m]
    film_length : (...) array
        Bonded film's shear modulus times thickness over the foam's shear modulus. [m]

    Returns
    -------
    web_factor : (...) array
        K in S = G K h^2. [-]

    Notes
    -----
    The rod's shear spreads through the foam like an electrostatic (Laplace) field between the two
    rods; K is the conductance of that field. Bare: image sources of a slab, in closed form,

    .. math:: K_b = \pi / [\ln\frac{\tan(\pi h/2T)}{\sin(\pi d/4T)} - 0.235 (d/2z)^{1.33}]

    with T the thickness, z the rod depth; the last term, for a rod near its own image, is fitted.
    Film: a membrane of length r = film_length, reached through the cover c of foam over the rod,

    .. math:: K_f = [\sqrt{T/2r} + a/r + b]^{-1}

    where the first term is an endless membrane on the slab and a, b are fitted. Within 1 % of the
    tabulated finite-element values for flush rods (2 to 4 mm rods, 18 to 30 mm slabs) and within
    4 % of finite-difference fields for slots up to 3.5 mm deeper than the rod (7 % once the rods of
    a pair are closer than 2.5 diameters). A deep slot costs: 5 mm for a 3 mm rod loses a quarter of
    the filmed web of a flush rod, because the film no longer touches the rod.
    """
    cover = slot_depth - diameter
    cover = 0.5 * (cover + np.sqrt(cover * cover + 1e-12))  # never negative; half a um at zero
    depth_ratio = diameter / (diameter + 2.0 * cover)
    image = np.tan(0.5 * np.pi * spacing / thickness) / np.sin(0.25 * np.pi * diameter / thickness)
    bare = np.pi / (np.log(image) - 0.235 * depth_ratio**1.33)
    slimness = diameter / thickness
    reach = _WEB_FIT[0] * thickness * slimness ** _WEB_FIT[1] * (1.0 + _WEB_FIT[2] * cover / thickness)
    share = cover / diameter
    through_cover = _WEB_FIT[3] * share / (share + 0.02) ** _WEB_FIT[4]
    film = film_length / (np.sqrt(0.5 * thickness * film_length) + reach + through_cover * film_length)
    return bare + film


_PAIRS = (1.0, 1.0, 0.0)  # top, bottom, middle of a set that is nothing but pairs [-]
_AXIS_ROUNDING = 1e-5  # rounds the corner of a distance at zero, where sets are uneven [m]


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


def rods_per_place(rods):
    """Return how many rods one of ``pairs`` holds (..., n_set): two, or one where only one skin has them. [-]"""
    return rods.top + rods.bottom + rods.middle


def has_uneven_sets(rods):
    """Return whether any set lacks a rod near either skin, so that the neutral axis leaves the mid-plane. [bool]"""
    if isinstance(rods.top, float) and (rods.top, rods.bottom, rods.middle) == _PAIRS:  # as left out
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
    return first / ((each * rods_per_place(rods)).sum(axis=-2) + axial)


def rod_lever(rods, spacing, axis):
    """Return how far the farthest rod of a set lies from the neutral axis (..., n_set, n). [m]

    Of a rod near one skin alone exactly; of pairs and middle rods with a corner rounded by EVEN.
    """
    axis = axis[..., None, :]
    off = np.sqrt(axis * axis + _AXIS_ROUNDING**2)
    half = 0.5 * spacing
    top, bottom = np.asarray(rods.top), np.asarray(rods.bottom)
    return (
        top * bottom * (half + off)
        + top * (1.0 - bottom) * (half - axis)
        + bottom * (1.0 - top) * (half + axis)
        + (1.0 - top) * (1.0 - bottom) * off
    )


def squared_levers(rods, spacing, axis):
    """Return the sum of squared distances of one place's rods from the neutral axis (..., n_set, n). [m^2]"""
    axis, half = axis[..., None, :], 0.5 * spacing
    return rods.top * (half - axis) ** 2 + rods.bottom * (half + axis) ** 2 + rods.middle * axis**2


def pressed_when_lifted(rods):
    """Return 1 for sets whose rods lift presses, -1 for those it stretches, 0 for any others (n_set,). [-]"""
    top, bottom = (np.broadcast_to(np.real(side) > 0.5, np.shape(rods.pairs)[-1:]) for side in (rods.top, rods.bottom))
    return 1.0 * top - 1.0 * bottom


def with_station_axis(rods):
    """Return RodSets with a last axis for stations; what was left out stays a number."""
    return RodSets(*(field if isinstance(field, float) else np.asarray(field)[..., None] for field in rods))
