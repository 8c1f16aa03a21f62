"""Rods in half a wing: sets of solid rods or tubes near both skins, near one skin or at the middle.

The z axis points up from the section's mid-plane. Where all sets have a rod near each skin, the neutral axis is the
mid-plane. Rods near one skin alone shift it towards them. In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

_LEAST_GAP = 1e-4  # rounding of the corner where two rods would touch; elsewhere it changes EI by 0.003 % [m]
_PAIRS = (1.0, 1.0, 0.0)  # fields top, bottom and middle of a set of pairs [-]
_AXIS_ROUNDING = 1e-5  # rounding of the corner of a distance at zero, for sets that are not pairs [m]
_WEB_FIT = (0.893, 0.362, 17.1, 1.48, 0.262)  # fitted constants of ``web_factor`` [-]


def rod_depth(slot_depth: Any, diameter: Any) -> Any:
    """Return the depth (...) of a rod's centre below the skin. [m]

    The rod rests on the bottom of its slot. Slot depth and diameter are (...) in [m]. This is geometry and needs no
    source.

    >>> round(rod_depth(slot_depth=0.005, diameter=0.003), 4)
    0.0035
    """
    return slot_depth - 0.5 * diameter


def cap_spacing(thickness: Any, slot_depth: Any, diameter: Any) -> Any:
    """Return the distance between the centres of the two rods of a pair.

    This is geometry and needs no source.

    Parameters
    ----------
    thickness, slot_depth, diameter : (...) array
        Section thickness at the rods, depth of the slot, diameter of the rod. [m]

    Returns
    -------
    cap_spacing : (...) array
        Thickness less twice the rod depth. It is at least one diameter, at which the rods touch. [m]
    """
    free = thickness - 2.0 * slot_depth  # distance of the centres less one diameter
    return diameter + 0.5 * (free + np.sqrt(free * free + _LEAST_GAP**2))


def least_thickness(thickness: Any, diameter: Any) -> Any:
    """Return the thickness (...) at a rod, raised to at least two diameters. [m]

    No pair fits below two diameters. Thickness and diameter are (...) in [m]. This is geometry and needs no source.
    """
    least = 2.0 * diameter
    free = thickness - least
    return least + 0.5 * (free + np.sqrt(free * free + _LEAST_GAP**2))


def web_factor(thickness: Any, slot_depth: Any, diameter: Any, spacing: Any, film_length: Any) -> Any:
    r"""Return the equivalent width of foam web of one rod pair, over the rod spacing.

    Parameters
    ----------
    thickness, slot_depth, diameter, spacing : (...) array
        Thickness T of the section at the rods, depth of the slot, rod diameter d, distance h between rod centres. [m]
    film_length : (...) array
        Shear modulus times thickness of the bonded film, over the shear modulus of the foam. [m]

    Returns
    -------
    web_factor : (...) array
        Factor K in the shear stiffness S = G K h^2, where G is the shear modulus of the foam. [-]

    Notes
    -----
    The formula is our own derivation (algebra). The shear of a rod spreads through the foam like an electrostatic field
    between the two rods (Laplace's equation). K is the conductance of that field. Without film, image sources of a slab
    give in closed form

    .. math:: K_b = \frac{\pi}{\ln[\tan(\pi h/(2T)) / \sin(\pi d/(4T))] - 0.235 (d/(2z))^{1.33}}

    where z is the rod depth. The last term is fitted and matters for a rod near the skin. A film adds a membrane of the
    length r = film_length, which the shear reaches through the foam over the rod:

    .. math:: K_f = [\sqrt{T/(2r)} + a/r + b]^{-1}

    Its first term is that of an endless membrane on the slab. The fitted a and b depend on T, d and the thickness of
    foam over the rod. K is the sum of K_b and K_f.

    K is within 1 % of tabulated finite-element values for flush rods (2 to 4 mm rods, 18 to 30 mm slabs). It is within
    4 % of finite-difference fields for slots up to 3.5 mm deeper than the rod. The error becomes 7 % where the rods of
    a pair are closer than 2.5 diameters.

    A deep slot separates film and rod. A 5 mm slot for a 3 mm rod loses a quarter of the filmed web of a flush rod.
    """
    cover = slot_depth - diameter
    cover = 0.5 * (cover + np.sqrt(cover * cover + 1e-12))  # never negative; half a micrometre at zero
    depth_ratio = diameter / (diameter + 2.0 * cover)
    slimness = diameter / thickness
    image = np.tan(0.5 * np.pi * spacing / thickness) / np.sin(0.25 * np.pi * slimness)
    bare = np.pi / (np.log(image) - 0.235 * depth_ratio**1.33)
    reach = _WEB_FIT[0] * slimness ** _WEB_FIT[1] * (thickness + _WEB_FIT[2] * cover)
    share = cover / diameter
    through_cover = _WEB_FIT[3] * share / (share + 0.02) ** _WEB_FIT[4]
    film = film_length / (np.sqrt(0.5 * film_length * thickness) + reach + through_cover * film_length)
    return bare + film


class RodSets(NamedTuple):
    """Rods by set. Every field has the shape (..., n_set). A pair is one rod near the top and one near the bottom."""

    youngs_modulus: Any  # Young's modulus along the rod [Pa]
    density: Any  # density of the material [kg/m^3]
    tensile_strength: Any  # strength in tension [Pa]
    compressive_strength: Any  # strength in compression [Pa]
    diameter: Any  # outside diameter [m]
    pairs: Any  # number of parallel places in each half wing; may be a fraction inside a search [-]
    chord_fraction: Any  # place as a share of the foam chord, unless there are RodPlaces [-]
    inner_end: Any  # distance of the inner end from the centre line [m]
    outer_end: Any  # distance of the outer end from the centre line [m]
    slot_depth: Any  # depth from the skin to the bottom of the slot, where the rod lies [m]
    continuity: Any  # share of its force that a rod passes across the centre: 1 in one piece, 0 if it ends there [-]
    thickness_fraction: Any  # section thickness at the rod over foam chord, unless there are RodPlaces [-]
    bore: Any = 0.0  # inside over outside diameter; 0 means solid [-]
    shear_modulus: Any = 0.0  # shear modulus of tubes; torsion of solid rods, 1 % of a wing's, is left out [Pa]
    top: Any = 1.0  # rods near the top at each place, 0 or 1 [-]
    bottom: Any = 1.0  # rods near the bottom at each place, 0 or 1 [-]
    middle: Any = 0.0  # rods at the mid-plane at each place, 0 or 1 [-]
    bed_share: Any = 1.0  # share of the foam left at the cut centre that supports the rod [-]
    bed_added: Any = 0.0  # support of the rod there by floor or divider, over that of the uncut foam [-]
    bay_share: Any = 1.0  # bay width that the rod crosses, over the widest bay [-]
    lap_weakness: Any = 0.0  # one over the force at which its lap at the centre tears out; 0 without a lap [1/N]


def rod_area(rods: RodSets) -> Any:
    """Return the cross-section (..., n_set) of one rod or tube. [m^2]

    This is geometry and needs no source.
    """
    return 0.25 * np.pi * rods.diameter**2 * (1.0 - rods.bore**2)


def rod_rigidity(rods: RodSets) -> Any:
    """Return E I (..., n_set) of one rod or tube about its own centre. This is a definition. [N m^2]"""
    squared = rods.diameter * rods.diameter  # a fourth power costs five times as much
    return rods.youngs_modulus * (np.pi / 64.0) * squared * squared * (1.0 - rods.bore**4)


def rods_per_place(rods: RodSets) -> Any:
    """Return the number of rods (..., n_set) at each place of a set: two for pairs, one otherwise. [-]

    This is a definition and needs no source.
    """
    return rods.top + rods.bottom + rods.middle


def has_uneven_sets(rods: RodSets) -> bool:
    """Return whether any set is not made of pairs, so that the neutral axis leaves the mid-plane. [bool]

    This is a definition.
    """
    if isinstance(rods.top, float) and (rods.top, rods.bottom, rods.middle) == _PAIRS:  # the defaults
        return False
    return bool(np.any(np.real(rods.middle)) or np.any(np.real(rods.top) != np.real(rods.bottom)))


def neutral_axis(
    count: np.ndarray, rods: RodSets, spacing: np.ndarray, stretch: np.ndarray, axial: np.ndarray
) -> np.ndarray:
    """Return the height of the neutral axis above the mid-plane.

    Parameters
    ----------
    count : (..., n_set, n) array
        Number of places that hold rods. [-]
    rods : RodSets
        Rods from ``with_station_axis``.
    spacing : (..., n_set, n) array
        Distance between the rods of a pair. [m]
    stretch : (..., n_set, n) array
        Part of a rod's E A that acts along the axis. [N]
    axial : (..., n) array
        E A of foam and film, centred on the mid-plane. [N]

    Returns
    -------
    neutral_axis : (..., n) array
        Statics: first moment of E A over total E A. [m]
    """
    each = count * stretch
    first = (each * (rods.top - rods.bottom) * (0.5 * spacing)).sum(axis=-2)
    return first / ((each * rods_per_place(rods)).sum(axis=-2) + axial)


def rod_lever(rods: RodSets, spacing: np.ndarray, axis: np.ndarray) -> np.ndarray:
    """Return the distance (..., n_set, n) of the farthest rod of a set from the neutral axis. [m]

    ``spacing`` (..., n_set, n) is that of a pair and ``axis`` (..., n) comes from ``neutral_axis``, both in [m]. The
    result is exact for a rod near one skin alone. For pairs and middle rods the corner is rounded by _AXIS_ROUNDING.
    This is geometry and needs no source.
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


def squared_levers(rods: RodSets, spacing: np.ndarray, axis: np.ndarray) -> np.ndarray:
    """Return the sum (..., n_set, n) of squared distances from the neutral axis, over the rods at one place. [m^2]

    Geometry. ``spacing`` (..., n_set, n) is that of a pair and ``axis`` (..., n) comes from ``neutral_axis``, both in
    [m].
    """
    axis, half = axis[..., None, :], 0.5 * spacing
    return rods.top * (half - axis) ** 2 + rods.bottom * (half + axis) ** 2 + rods.middle * axis**2


def pressed_when_lifted(rods: RodSets) -> np.ndarray:
    """Return 1 for sets whose rods are pressed by lift, -1 for sets stretched by lift, 0 for others. [-]

    The result has the shape (n_set,). This is a definition.
    """
    top, bottom = (np.broadcast_to(np.real(side) > 0.5, np.shape(rods.pairs)[-1:]) for side in (rods.top, rods.bottom))
    return 1.0 * top - 1.0 * bottom


def with_station_axis(rods: RodSets) -> RodSets:
    """Return RodSets with a last axis for stations. Fields at their default stay numbers. This is bookkeeping."""
    return RodSets._make(field if isinstance(field, float) else np.asarray(field)[..., None] for field in rods)
