"""Rods and joiner as beams on an elastic bed, the foam: stiffness of the bed, buckling loads and bearing pressure.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any

import numpy as np

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
    modulus, poisson = np.asarray(foam.youngs_modulus)[..., None], np.asarray(foam.poisson_ratio)[..., None]
    return _vesic_modulus(modulus, poisson, rods.youngs_modulus, rods.bore)


def _vesic_modulus(foam_modulus: np.ndarray, poisson_ratio: np.ndarray, rod_modulus: Any, bore: Any) -> np.ndarray:
    """Return the result of ``foundation_modulus``. The modulus of a tube is multiplied by 1 - bore^4. [Pa]"""
    ratio = 64.0 * foam_modulus / (np.pi * rod_modulus * (1.0 - bore**4))
    return 0.65 * ratio ** (1.0 / 12.0) * foam_modulus / (1.0 - poisson_ratio**2)


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
    bed = bed * (np.asarray(remaining_foam)[..., None] * rods.bed_share + rods.bed_added)
    width = (
        np.asarray(bay_width)[..., None] * rods.bay_share + 1e-3
    )  # one millimetre avoids a division by zero without a bay
    squared_width = (width / np.pi) ** 2
    column, spring = rigidity / squared_width, bed * squared_width
    short = (column - spring).real > 0.0
    return np.where(short, column + spring, 2.0 * np.sqrt(bed * rigidity))


def joiner_bearing(foam: Foam, joiner: Joiner) -> np.ndarray:
    """Return the greatest line load of the joiner on its channel, over the moment that it carries at the centre.

    Parameters
    ----------
    foam, joiner : Foam, Joiner
        Foam and joiner with fields (...).

    Returns
    -------
    joiner_bearing : (...) array
        Force on each metre of joiner, over the moment. [1/m^2]

    Notes
    -----
    The beam is half the joiner, on a bed of stiffness k (``foundation_modulus``). Both ends are free and one of them
    carries the moment. The result is 2 b^2 (sinh^2 x + sin^2 x)/(sinh^2 x - sin^2 x), with x = b L/2 and
    b = (k/(4 EI))^(1/4). Here L is the length of the joiner and EI its rigidity. Source: Hetenyi, finite beams.
    A rigid joiner gives 6/(L/2)^2. The glue that fills the channel is treated as foam.
    """
    diameter = np.asarray(joiner.diameter) + 1e-6  # avoids a division by zero without a joiner
    hollow = 1.0 - np.asarray(joiner.bore) ** 4
    bed = _vesic_modulus(
        np.asarray(foam.youngs_modulus), np.asarray(foam.poisson_ratio), joiner.youngs_modulus, joiner.bore
    )
    root = (16.0 * bed / (np.pi * joiner.youngs_modulus * hollow * diameter**4)) ** 0.25
    reach = root * (0.5 * np.asarray(joiner.length) + 1e-4)
    decay = np.exp(-reach)
    ratio = (
        2.0 * decay * np.sin(reach) / (1.0 - decay * decay)
    ) ** 2  # (sin x / sinh x)^2, written so that nothing overflows
    return 2.0 * root * root * (1.0 + ratio) / (1.0 - ratio)
