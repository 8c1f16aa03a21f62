"""Failure at the centre line where bays for equipment cut through the foam. The bending moment is greatest there.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from .foam_bed import BUCKLING_KNOCKDOWN, centre_buckling_load, joiner_bearing
from .foam_section import crushing_reserve, with_station
from .rods import (
    has_uneven_sets,
    neutral_axis,
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
    """Signed utilisations at the cut centre under one newton of shear or one newton metre. Lift makes them positive."""

    rod: Any  # rods crushed or buckling (..., n_set) [1/N m]
    lap: Any  # laps of rods tearing out of the foam (..., n_set) [1/N m]
    joiner: Any  # joiner bending (...) [1/N m]
    foam: Any  # remaining foam crushed in bending (...) [1/N m]
    foam_shear: Any  # remaining foam and dividers in shear (...) [1/N]
    bearing: Any  # foam crushed by the joiner in its channel (...) [1/N m]


def centre_utilisations(stiffness: Stiffness, parts: WingParts, cut: CutCentre, bed: np.ndarray) -> CentreUtilisations:
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

    Returns
    -------
    centre_utilisations : CentreUtilisations
        Rod values have the shape (..., n_set), the others (...). [1/N m], [1/N]

    Notes
    -----
    Statics. The Rankine-Gordon formula combines crushing and buckling of a rod: 1/N = 1/(A strength) + 1/N_cr. Here N
    is the force that the rod can carry, A its cross-section and N_cr its buckling load.
    """
    foam, rods, joiner, shape = parts.foam, parts.rods, parts.joiner, stiffness.shape
    remaining, crossing = cut.remaining_foam, rods.continuity * rods.pairs
    pair, reach, off = _crossing_caps(stiffness, parts, crossing, remaining)
    bending = joiner_rigidity(joiner)
    of_foam = remaining * stiffness.foam_rigidity[..., 0]
    of_film = cut.remaining_film * stiffness.covering_rigidity[..., 0]
    rigidity = np.add.reduce(crossing * pair, axis=-1) + bending + of_foam + of_film
    curvature = 1.0 / rigidity
    by_rod = by_lap = 0.0 * crossing
    if crossing.any():
        slant = np.asarray(stiffness.axis_cosine)
        strained = slant[..., 0] ** 2 if slant.ndim else slant
        exists = rods.pairs / (rods.pairs + 1e-6)
        force = curvature[..., None] * exists * rods.continuity * stiffness.rod_axial * reach * strained
        width = 2.0 * np.asarray(cut.bay_half_width)
        buckling = BUCKLING_KNOCKDOWN * centre_buckling_load(bed, rods, width, remaining)
        crushing = rods.compressive_strength * stiffness.rod_axial / rods.youngs_modulus
        by_rod, by_lap = force * (1.0 / buckling + 1.0 / crushing), force * rods.lap_weakness
    strain, farthest = curvature / foam.compressive_strength, 0.5 * shape.thickness[..., 0] + off
    return CentreUtilisations(
        rod=by_rod,
        lap=by_lap,
        joiner=curvature * (0.5 * joiner.youngs_modulus * joiner.diameter / joiner.strength),
        foam=strain * foam.youngs_modulus * farthest / crushing_reserve(of_foam * curvature),
        foam_shear=1.5 / (remaining * shape.area[..., 0] * foam.shear_strength + 1.5 * cut.added_shear),
        bearing=strain * (bending / (joiner_bearing(joiner) + 1e-9)),
    )


def _crossing_caps(
    stiffness: Stiffness, parts: WingParts, crossing: np.ndarray, remaining_foam: Any
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
    slant = np.asarray(stiffness.axis_cosine)
    along = slant[..., 0] ** 3 if slant.ndim else slant
    axial = with_station(remaining_foam * parts.foam.youngs_modulus * stiffness.shape.area[..., 0])
    axis = neutral_axis(crossing[..., None], column, spacing, stiffness.rod_axial[..., None], axial)
    levers = squared_levers(column, spacing, axis)[..., 0]
    pair = along * (stiffness.rod_axial * levers + rods_per_place(rods) * rod_rigidity(rods))
    # The shift of the neutral axis adds EI of the foam (axial times axis squared). It is left out, on the safe side.
    return pair, rod_lever(column, spacing, axis)[..., 0], rounded_distance(axis)[..., 0]


def rounded_distance(distance: Any) -> Any:
    """Return the size of a distance (...) [m], with a rounded corner at zero. [m]

    A plain number gives zero. This is our own definition.
    """
    return 0.0 if isinstance(distance, float) else np.sqrt(distance * distance + 1e-10)
