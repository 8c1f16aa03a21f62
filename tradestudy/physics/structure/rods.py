"""Rods as they lie in half a wing: sets of solid rods and tubes near both skins, near one skin or at the middle.

The z axis points up from the section's mid-plane. Where all sets have a rod near each skin, the neutral axis is the
mid-plane; rods near one skin alone shift it towards them.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

_LEAST_GAP = 1e-4  # rounds the corner where two rods of a pair would touch; 0.003 % of EI otherwise [m]
_PAIRS = (1.0, 1.0, 0.0)  # top, bottom, middle of a set of pairs [-]
_AXIS_ROUNDING = 1e-5  # rounds the corner of a distance at zero, where sets are uneven [m]
_WEB_FIT = (0.893, 0.362, 17.1, 1.48, 0.262)  # see web_factor [-]


def rod_depth(slot_depth: Any, diameter: Any) -> Any:
    """Return the depth (...) of a rod's centre below the skin; the rod rests on the bottom of its slot, geometry. [m]

    Slot depth and diameter (...) in [m].

    >>> round(rod_depth(slot_depth=0.005, diameter=0.003), 4)
    0.0035
    """
    return slot_depth - 0.5 * diameter


def cap_spacing(thickness: Any, slot_depth: Any, diameter: Any) -> Any:
    """Return the distance between the centres of the rods of a pair, geometry.

    Parameters
    ----------
    thickness, slot_depth, diameter : (...) array
        Section thickness at the rods, depth of the slot, diameter of the rod. [m]

    Returns
    -------
    cap_spacing : (...) array
        Thickness less twice the rod depth; at least one diameter, where the rods touch. [m]
    """
    free = thickness - 2.0 * rod_depth(slot_depth, diameter) - diameter
    return diameter + 0.5 * (free + np.sqrt(free * free + _LEAST_GAP**2))


def least_thickness(thickness: Any, diameter: Any) -> Any:
    """Return the thickness (...) at a rod, raised to at least two diameters, below which no pair fits; geometry. [m]

    Thickness and diameter (...) in [m].
    """
    free = thickness - 2.0 * diameter
    return 2.0 * diameter + 0.5 * (free + np.sqrt(free * free + _LEAST_GAP**2))


def web_factor(thickness: Any, slot_depth: Any, diameter: Any, spacing: Any, film_length: Any) -> Any:
    r"""Return the equivalent width of foam web of one rod pair, over the rod spacing.

    Parameters
    ----------
    thickness, slot_depth, diameter, spacing : (...) array
        Section thickness at the rods, depth of the slot, diameter of the rod, distance between rod centres. [m]
    film_length : (...) array
        Bonded film's shear modulus times thickness over the foam's shear modulus. [m]

    Returns
    -------
    web_factor : (...) array
        K in S = G K h^2. [-]

    Notes
    -----
    Own derivation (algebra): the rod's shear spreads through the foam like an electrostatic (Laplace)
    field between the two rods; K is the conductance of that field. Without film: image sources of a
    slab, in closed form,

    .. math:: K_b = \pi / [\ln\frac{\tan(\pi h/2T)}{\sin(\pi d/4T)} - 0.235 (d/2z)^{1.33}]

    with T the thickness, z the rod depth; the last term, for a rod near its own image, is fitted.
    With film: a membrane of length r = film_length, reached through the cover c of foam over the rod,

    .. math:: K_f = [\sqrt{T/2r} + a/r + b]^{-1}

    where the first term is an endless membrane on the slab and a, b are fitted. Within 1 % of the
    tabulated finite-element values for flush rods (2 to 4 mm rods, 18 to 30 mm slabs). Within 4 % of
    finite-difference fields for slots up to 3.5 mm deeper than the rod. That becomes 7 % where the rods
    of a pair are closer than 2.5 diameters.

    A deep slot separates film and rod: 5 mm for a 3 mm rod loses a quarter of the filmed web of a flush rod.
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


class RodSets(NamedTuple):
    """Rods by set; every field (..., n_set). A pair is one rod near the top, one near the bottom."""

    youngs_modulus: Any  # [Pa]
    density: Any  # [kg/m^3]
    tensile_strength: Any  # [Pa]
    compressive_strength: Any  # [Pa]
    diameter: Any  # outside [m]
    pairs: Any  # parallel places in each half wing, may be a fraction inside a search [-]
    chord_fraction: Any  # of the foam chord, at the inner end [-]
    inner_end: Any  # from the centre line [m]
    outer_end: Any  # from the centre line [m]
    slot_depth: Any  # from the skin to the bottom of the slot, where the rod lies [m]
    crosses_centre: Any  # 1 runs through or is sleeved at the centre line, 0 is cut [-]
    thickness_fraction: Any  # section thickness at the rod's inner end over foam chord [-]
    bore: Any = 0.0  # inside over outside diameter; 0 is solid [-]
    shear_modulus: Any = 0.0  # of tubes; a solid rod's own torsion, a hundredth of a wing's, is left out [Pa]
    chord_change: Any = 0.0  # chord fraction at the outer end less that at the inner one [-]
    thickness_change: Any = 0.0  # thickness_fraction at the outer end less that at the inner one [-]
    top: Any = 1.0  # rods near the top at each place, 0 or 1 [-]
    bottom: Any = 1.0  # near the bottom [-]
    middle: Any = 0.0  # at the mid-plane [-]
    bed_share: Any = 1.0  # share of the foam left at the cut centre that supports the rod [-]
    bed_added: Any = 0.0  # support there by floor or divider, over that of the uncut foam [-]
    bay_share: Any = 1.0  # bay width that the rod crosses, over the widest bay [-]


def rod_area(rods: RodSets) -> Any:
    """Return the cross-section of one rod or tube (..., n_set), geometry. [m^2]"""
    return 0.25 * np.pi * rods.diameter**2 * (1.0 - rods.bore**2)


def rod_rigidity(rods: RodSets) -> Any:
    """Return E I of one rod or tube about its own centre (..., n_set), a definition. [N m^2]"""
    return rods.youngs_modulus * np.pi * rods.diameter**4 / 64.0 * (1.0 - rods.bore**4)


def rods_per_place(rods: RodSets) -> Any:
    """Return the rods in one of ``pairs`` (..., n_set), by definition: two, or one near a single skin. [-]"""
    return rods.top + rods.bottom + rods.middle


def has_uneven_sets(rods: RodSets) -> bool:
    """Return whether any set lacks a rod near one skin, so that the neutral axis leaves the mid-plane. [bool]

    A definition.
    """
    if isinstance(rods.top, float) and (rods.top, rods.bottom, rods.middle) == _PAIRS:  # the defaults
        return False
    return bool(np.any(np.real(rods.middle)) or np.any(np.real(rods.top) != np.real(rods.bottom)))


def along_rod(station_y: np.ndarray, rods: RodSets) -> np.ndarray:
    """Return how far each station lies between a rod's ends, 0 inner, 1 outer, linear (..., n_set, n_station). [-]

    Geometry. ``station_y`` (..., n_station) in [m]; ``rods`` come from ``with_station_axis``.
    """
    return (station_y[..., None, :] - rods.inner_end) / (rods.outer_end - rods.inner_end)


def neutral_axis(count: np.ndarray, rods: RodSets, spacing: np.ndarray, axial: np.ndarray) -> np.ndarray:
    """Return the height of the neutral axis above the mid-plane: first moment of E A over total E A, statics.

    Parameters
    ----------
    count : (..., n_set, n) array
        Places that hold rods. [-]
    rods : RodSets
        From ``with_station_axis``.
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


def rod_lever(rods: RodSets, spacing: np.ndarray, axis: np.ndarray) -> np.ndarray:
    """Return the distance of the farthest rod of a set from the neutral axis (..., n_set, n), geometry. [m]

    ``spacing`` (..., n_set, n) of a pair and ``axis`` (..., n), from ``neutral_axis``, in [m]. Exact for a rod near one
    skin alone; for pairs and middle rods the corner is rounded by _AXIS_ROUNDING.
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
    """Return the sum of squared distances of one place's rods from the neutral axis (..., n_set, n), geometry. [m^2]

    ``spacing`` (..., n_set, n) of a pair and ``axis`` (..., n), from ``neutral_axis``, in [m].
    """
    axis, half = axis[..., None, :], 0.5 * spacing
    return rods.top * (half - axis) ** 2 + rods.bottom * (half + axis) ** 2 + rods.middle * axis**2


def pressed_when_lifted(rods: RodSets) -> np.ndarray:
    """Return 1 for sets whose rods lift presses, -1 for those it stretches, 0 for others (n_set,), a definition. [-]"""
    top, bottom = (np.broadcast_to(np.real(side) > 0.5, np.shape(rods.pairs)[-1:]) for side in (rods.top, rods.bottom))
    return 1.0 * top - 1.0 * bottom


def with_station_axis(rods: RodSets) -> RodSets:
    """Return RodSets with a last axis for stations; fields left at their default stay numbers; bookkeeping."""
    return RodSets._make(field if isinstance(field, float) else np.asarray(field)[..., None] for field in rods)
