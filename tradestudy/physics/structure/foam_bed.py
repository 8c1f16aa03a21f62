"""Rods as beams on an elastic bed, the foam: stiffness and buckling loads; and what foam bears of a joiner.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from .foam_section import with_station
from .rods import RodSets, rod_rigidity
from .wing_parts import Foam, Joiner

# Real over ideal buckling load, for waviness and glue gaps: 0.5 to 0.7, judgement, no source [-]
BUCKLING_KNOCKDOWN = 0.6


def foundation_modulus(foam: Foam, rods: RodSets) -> np.ndarray:
    """Return the stiffness of the foam bed against sideways motion of a rod.

    Parameters
    ----------
    foam, rods : Foam, RodSets
        Foam and rods of the wing.

    Returns
    -------
    foundation_modulus : (..., n_set) array
        Force on each metre of rod, over the displacement. [Pa]

    Notes
    -----
    k = 0.65 (E_f d^4 / EI)^(1/12) E_f / (1 - nu^2), where E_f and nu are Young's modulus and Poisson ratio of the foam.
    EI is the rigidity of the rod, and its diameter d is the width of the beam. Source: Vesic, Journal of the
    Engineering Mechanics Division ASCE 87 (1961), beam resting on a half-space. For a rod flush in a slab the buckling
    load that follows is 17 to 24 % below finite elements. So it is on the safe side.
    """
    modulus = with_station(foam.youngs_modulus)
    ratio = (64.0 / np.pi) * modulus / (rods.youngs_modulus * (1.0 - rods.bore**4))
    return ratio ** (1.0 / 12.0) * (0.65 * modulus / with_station(1.0 - foam.poisson_ratio**2))


def rod_buckling_load(bed: Any, rods: RodSets) -> np.ndarray:
    """Return the axial load at which a long, straight rod buckles in its foam bed.

    Parameters
    ----------
    bed : (..., n_set) array
        Bed stiffness k from ``foundation_modulus``. [Pa]
    rods : RodSets
        Rods with fields (..., n_set).

    Returns
    -------
    rod_buckling_load : (..., n_set) array
        Ideal load, not yet multiplied by BUCKLING_KNOCKDOWN. [N]

    Notes
    -----
    The load is 2 sqrt(k E I): Hetenyi, Beams on Elastic Foundation (1946). EI grows as the fourth power of the
    diameter and area as its square. So the buckling stress is independent of the diameter.
    """
    return 2.0 * np.sqrt(bed * rod_rigidity(rods))


def centre_buckling_load(bed: Any, rods: RodSets, bay_width: Any, remaining_foam: Any) -> np.ndarray:
    """Return the axial load at which a rod buckles across the cut centre.

    Parameters
    ----------
    bed, rods
        Arguments as for ``rod_buckling_load``. [Pa]
    bay_width : (...) array
        Total width of the cut. [m]
    remaining_foam : (...) array
        Share of the foam bed left at the cut. [-]

    Returns
    -------
    centre_buckling_load : (..., n_set) array
        Ideal load, not yet multiplied by BUCKLING_KNOCKDOWN. [N]

    Notes
    -----
    The rod is a hinged beam of length L, the width of the bay. It lies on a bed of stiffness k', the remaining share of
    k. Its load is pi^2 EI/L^2 + k' L^2/pi^2 for one half wave (Timoshenko and Gere, Theory of Elastic Stability, 1961).
    Once the bay is longer than a half wave it is 2 sqrt(k' EI). The two formulas meet with equal slope. Support and
    width differ between sets. Without support (``bed_share`` and ``bed_added`` 0) the load is that of Euler's column.
    """
    rigidity = rod_rigidity(rods)
    bed = bed * (with_station(remaining_foam) * rods.bed_share + rods.bed_added)
    # one millimetre avoids a division by zero without a bay
    width = np.asarray(bay_width)[..., None] * rods.bay_share + 1e-3
    squared_width = (width / np.pi) ** 2
    column, spring = rigidity / squared_width, bed * squared_width
    short = (column - spring).real > 0.0
    return np.where(short, column + spring, 2.0 * np.sqrt(bed * rigidity))


def joiner_bearing(joiner: Joiner) -> np.ndarray:
    """Return the greatest moment that the channel can pass to the joiner, over the strength of the foam in compression.

    Parameters
    ----------
    joiner : Joiner
        Joiner with fields (...).

    Returns
    -------
    joiner_bearing : (...) array
        Moment over strength. [m^3]

    Notes
    -----
    The result is b L^2 / 16, with the width b of the channel and the length L of the joiner. Half the joiner is pressed
    up over its inner half and down over its outer half, everywhere with the foam's strength. These forces are in
    equilibrium, so this is a lower bound of limit analysis. Crushing foam keeps its stress up to large strains, so it
    can spread the load in this way. B. B. Broms, Journal of the Soil Mechanics and Foundations Division ASCE 90 (1964),
    uses the same limit for short piles; from memory. The glue in the channel is stiffer than foam and spreads the load
    over its width.
    """
    return joiner.channel * joiner.length**2 / 16.0
