"""What breaks where the foam is cut through for bays, at the centre line, where the moment is greatest."""

from __future__ import annotations

import numpy as np

from .foam_bed import BUCKLING_KNOCKDOWN, centre_buckling_load, joiner_bearing
from .rods import (
    has_uneven_sets,
    neutral_axis,
    rod_area,
    rod_lever,
    rod_rigidity,
    rods_per_place,
    squared_levers,
    with_station_axis,
)


def centre_section(
    stiffness, foam, rods, joiner, bed, shear, bending_moment, bay_half_width, remaining_foam, added_shear=0.0
):
    """Return the utilisations where the foam is cut through for bays, at the centre line.

    The largest moment is carried by the rods that cross, the joiner and the share of foam that is
    left, all at one curvature; the shear by the foam that is left and by dividers. Lids carry nothing.

    Parameters
    ----------
    stiffness, foam, rods, joiner
        From ``stiffness``.
    bed : (..., n_set) array
        ``foundation_modulus``. [Pa]
    shear, bending_moment : (..., n_condition, n_station) array
        [N], [N m]
    bay_half_width, remaining_foam : (...) array
        Half the width of the cut, share of the foam section left (above 0). [m], [-]
    added_shear : (...) array
        Shear force that dividers between bays carry beyond the foam. [N]

    Returns
    -------
    by_rod : (..., n_condition, n_set) array
    by_joiner, by_foam, by_shear, by_bearing : (..., n_condition) arrays
        Utilisations, signed. [-]

    Notes
    -----
    Rods: crushing and buckling together by the Rankine-Gordon formula, 1/N = 1/(A strength) + 1/N_cr.
    """
    crossing = np.asarray(rods.crosses_centre) * rods.pairs
    bending = np.asarray(joiner.youngs_modulus) * np.pi * np.asarray(joiner.diameter) ** 4 / 64.0
    of_foam = np.asarray(remaining_foam) * stiffness.foam_rigidity[..., 0]
    pair, reach, off = _crossing_caps(stiffness, foam, rods, crossing, remaining_foam)
    rigidity = (crossing * pair).sum(axis=-1) + bending + of_foam
    curvature = bending_moment[..., 0] / rigidity[..., None]
    buckling = BUCKLING_KNOCKDOWN * centre_buckling_load(bed, rods, 2.0 * np.asarray(bay_half_width), remaining_foam)
    crushing = rods.compressive_strength * rod_area(rods)
    exists = crossing / (crossing + 1e-6)
    force = rods.youngs_modulus * rod_area(rods) * reach
    by_rod = curvature[..., None] * (force * exists * (1.0 / buckling + 1.0 / crushing))[..., None, :]
    fibre = 0.5 * np.asarray(joiner.youngs_modulus) * joiner.diameter / joiner.strength
    shape = stiffness.shape
    outer = np.asarray(foam.youngs_modulus) * (0.5 * shape.thickness[..., 0] + off) / foam.compressive_strength
    holding = np.asarray(remaining_foam) * shape.area[..., 0] * foam.shear_strength + 1.5 * np.asarray(added_shear)
    bearing = (
        bending * joiner_bearing(foam, joiner) / (foam.compressive_strength * (np.asarray(joiner.diameter) + 1e-6))
    )
    return (
        by_rod,
        curvature * np.asarray(fibre)[..., None],
        curvature * np.asarray(outer)[..., None],
        1.5 * shear[..., 0] / np.asarray(holding)[..., None],
        curvature * np.asarray(bearing)[..., None],
    )


def _crossing_caps(stiffness, foam, rods, crossing, remaining_foam):
    """Return EI of a place of rods, their lever and how far off the neutral axis lies, of what crosses the cut centre.

    (..., n_set) [N m^2], (..., n_set) [m], (...) [m].
    """
    if not has_uneven_sets(rods):
        return stiffness.pair_rigidity[..., 0], stiffness.lever[..., 0], 0.0
    column = with_station_axis(rods)
    spacing = stiffness.spacing[..., :1]
    axial = (np.asarray(remaining_foam) * foam.youngs_modulus * stiffness.shape.area[..., 0])[..., None]
    axis = neutral_axis(crossing[..., None], column, spacing, axial)
    levers = squared_levers(column, spacing, axis)[..., 0]
    pair = rods.youngs_modulus * rod_area(rods) * levers + rods_per_place(rods) * rod_rigidity(rods)
    # the foam's own share, axial times axis squared, is left out: on the safe side
    return pair, rod_lever(column, spacing, axis)[..., 0], rounded_distance(axis)[..., 0]


def rounded_distance(distance):
    """Return the size of a distance (...) with a rounded corner; exactly zero where it is the number zero. [m]"""
    return np.sqrt(distance * distance + 1e-10) if np.ndim(distance) else 0.0
