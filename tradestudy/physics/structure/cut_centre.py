"""Failure at the centre line where bays for equipment cut through the foam. The bending moment is greatest there.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from .foam_bed import BUCKLING_KNOCKDOWN, centre_buckling_load, joiner_bearing
from .foam_section import covering_rigidity, crushing_reserve
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
from .stiffness import Stiffness
from .wing_parts import WingParts, joiner_rigidity


class CutCentre(NamedTuple):
    """What the bays leave of the wing at the centre line. Fields are (...) or float; the defaults mean no cut."""

    bay_half_width: Any = 0.0  # half the width of the cut [m]
    remaining_foam: Any = 1.0  # share of the foam section left, above 0 [-]
    added_shear: Any = 0.0  # shear force that dividers between bays carry in addition to the foam [N]
    remaining_film: Any = 1.0  # share of the film that runs past the bays, along the chord [-]


class CentreUtilisations(NamedTuple):
    """Signed utilisations at the cut centre. Lift makes them positive."""

    rod: Any  # rods crushed or buckling (..., n_condition, n_set) [-]
    lap: Any  # laps of rods tearing out of the foam (..., n_condition, n_set) [-]
    joiner: Any  # joiner bending (..., n_condition) [-]
    foam: Any  # remaining foam crushed in bending (..., n_condition) [-]
    foam_shear: Any  # remaining foam and dividers in shear (..., n_condition) [-]
    bearing: Any  # foam crushed by the joiner in its channel (..., n_condition) [-]


def centre_utilisations(
    stiffness: Stiffness,
    parts: WingParts,
    cut: CutCentre,
    bed: np.ndarray,
    shear: np.ndarray,
    bending_moment: np.ndarray,
) -> CentreUtilisations:
    """Return the CentreUtilisations where the foam is cut through for bays.

    The bending moment is carried by the rods that cross the centre, the joiner, and the foam and film that are left.
    They all have the same curvature. Rods that cross over carry the share ``RodSets.continuity`` of what they would in
    one piece. Rods beside a transverse rod carry nothing here. The foam that is left and the dividers carry the shear.
    Lids carry nothing.

    Parameters
    ----------
    stiffness, parts, cut : Stiffness, WingParts, CutCentre
        The wing and its cut.
    bed : (..., n_set) array
        Stiffness of the foam bed from ``foam_bed.foundation_modulus``. [Pa]
    shear, bending_moment : (..., n_condition, n_station) array
        Internal loads. [N], [N m]

    Returns
    -------
    centre_utilisations : CentreUtilisations
        Rod values have the shape (..., n_condition, n_set), the others (..., n_condition). [-]

    Notes
    -----
    Statics. The Rankine-Gordon formula combines crushing and buckling of a rod: 1/N = 1/(A strength) + 1/N_cr. Here N
    is the force that the rod can carry, A its cross-section and N_cr its buckling load.
    """
    foam, rods, joiner = parts.foam, parts.rods, parts.joiner
    remaining = np.asarray(cut.remaining_foam)
    passed = np.asarray(rods.continuity)
    crossing = passed * rods.pairs
    bending = joiner_rigidity(joiner)
    pair, reach, off = _crossing_caps(stiffness, parts, crossing, remaining)
    of_foam = remaining * stiffness.foam_rigidity[..., 0]
    of_film = np.asarray(cut.remaining_film) * covering_rigidity(stiffness.shape, parts.covering)[..., 0]
    rigidity = (crossing * pair).sum(axis=-1) + bending + of_foam + of_film
    curvature = bending_moment[..., 0] / rigidity[..., None]
    buckling = BUCKLING_KNOCKDOWN * centre_buckling_load(bed, rods, 2.0 * np.asarray(cut.bay_half_width), remaining)
    crushing = rods.compressive_strength * rod_area(rods)
    exists = rods.pairs / (rods.pairs + 1e-6)
    slant = np.asarray(stiffness.axis_cosine)
    strained = slant[..., 0] ** 2 if slant.ndim else slant
    force = exists * passed * rods.youngs_modulus * rod_area(rods) * reach * strained
    by_rod = curvature[..., None] * (force * (1.0 / buckling + 1.0 / crushing))[..., None, :]
    tearing = curvature[..., None] * (force * rods.lap_weakness)[..., None, :]
    fibre = 0.5 * np.asarray(joiner.youngs_modulus) * joiner.diameter / joiner.strength
    shape = stiffness.shape
    outer = np.asarray(foam.youngs_modulus) * (0.5 * shape.thickness[..., 0] + off) / foam.compressive_strength
    outer = outer / crushing_reserve(of_foam / rigidity)
    shear_strength = remaining * shape.area[..., 0] * foam.shear_strength + 1.5 * np.asarray(cut.added_shear)
    bearing = bending / (foam.compressive_strength * (joiner_bearing(joiner) + 1e-9))
    return CentreUtilisations(
        rod=by_rod,
        lap=tearing,
        joiner=curvature * np.asarray(fibre)[..., None],
        foam=curvature * np.asarray(outer)[..., None],
        foam_shear=1.5 * shear[..., 0] / np.asarray(shear_strength)[..., None],
        bearing=curvature * np.asarray(bearing)[..., None],
    )


def _crossing_caps(
    stiffness: Stiffness, parts: WingParts, crossing: np.ndarray, remaining_foam: np.ndarray
) -> tuple[Any, Any, Any]:
    """Return three properties of the rods that cross the cut centre.

    They are EI of the rods at one place (..., n_set) [N m^2], and the distance of the farthest rod from the neutral
    axis (..., n_set) [m]. The third is the distance of the neutral axis from the mid-plane (...) [m].
    """
    rods = parts.rods
    if not has_uneven_sets(rods):
        return stiffness.pair_rigidity[..., 0], stiffness.lever[..., 0], 0.0
    column = with_station_axis(rods)
    spacing = stiffness.spacing[..., :1]
    axial = (remaining_foam * parts.foam.youngs_modulus * stiffness.shape.area[..., 0])[..., None]
    axis = neutral_axis(crossing[..., None], column, spacing, axial)
    levers = squared_levers(column, spacing, axis)[..., 0]
    slant = np.asarray(stiffness.axis_cosine)
    along = slant[..., 0] ** 3 if slant.ndim else slant
    pair = along * (rods.youngs_modulus * rod_area(rods) * levers + rods_per_place(rods) * rod_rigidity(rods))
    # The shift of the neutral axis adds EI of the foam (axial times axis squared). It is left out, on the safe side.
    return pair, rod_lever(column, spacing, axis)[..., 0], rounded_distance(axis)[..., 0]


def rounded_distance(distance: Any) -> Any:
    """Return the size of a distance (...) [m], with a rounded corner at zero. [m]

    A plain number gives zero. This is our own definition.
    """
    return np.sqrt(distance * distance + 1e-10) if np.ndim(distance) else 0.0
