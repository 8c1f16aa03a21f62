"""Rods and joiner supported by the foam they lie in, as beams on an elastic bed: stiffness, buckling, bearing."""

from __future__ import annotations

from typing import Any

import numpy as np

from .rods import RodSets, rod_rigidity
from .wing_parts import Foam, Joiner

BUCKLING_KNOCKDOWN = 0.6  # waviness and glue gaps; judgement, no source: 0.5 to 0.7 [-]


def foundation_modulus(foam: Foam, rods: RodSets) -> np.ndarray:
    """Return the sideways stiffness of the foam bed, force per metre of rod and metre of displacement.

    Parameters
    ----------
    foam, rods : Foam, RodSets
        Materials and rods.

    Returns
    -------
    foundation_modulus : (..., n_set) array
        [Pa]

    Notes
    -----
    k = 0.65 (E_f d^4 / EI)^(1/12) E_f / (1 - nu^2), width taken as the diameter: Vesic, Journal of
    the Engineering Mechanics Division ASCE 87 (1961), beam resting on a half-space. For a rod flush
    in a slab the buckling load that follows is 17 to 24 % below finite elements, so on the safe side.
    """
    modulus, poisson = np.asarray(foam.youngs_modulus)[..., None], np.asarray(foam.poisson_ratio)[..., None]
    return _vesic_modulus(modulus, poisson, rods.youngs_modulus, rods.bore)


def _vesic_modulus(foam_modulus: np.ndarray, poisson_ratio: np.ndarray, rod_modulus: Any, bore: Any) -> np.ndarray:
    """Return the bed modulus of ``foundation_modulus``; a tube counts with E (1 - bore^4). [Pa]"""
    ratio = 64.0 * foam_modulus / (np.pi * rod_modulus * (1.0 - bore**4))
    return 0.65 * ratio ** (1.0 / 12.0) * foam_modulus / (1.0 - poisson_ratio**2)


def rod_buckling_load(bed: Any, rods: RodSets) -> np.ndarray:
    """Return the axial load at which a long, straight rod buckles in its foam bed.

    Parameters
    ----------
    bed : (..., n_set) array
        ``foundation_modulus``. [Pa]
    rods : RodSets
        Fields (..., n_set).

    Returns
    -------
    rod_buckling_load : (..., n_set) array
        Before any knock-down. [N]

    Notes
    -----
    2 sqrt(k E I): Hetenyi, Beams on Elastic Foundation (1946). EI grows as d^4 and area as d^2, so the
    buckling stress is independent of the diameter.
    """
    return 2.0 * np.sqrt(bed * rod_rigidity(rods))


def centre_buckling_load(bed: Any, rods: RodSets, bay_width: Any, remaining_foam: Any) -> np.ndarray:
    """Return the axial load at which a rod buckles across the cut centre.

    Parameters
    ----------
    bed, rods
        As for ``rod_buckling_load``. [Pa]
    bay_width : (...) array
        Total width of the cut. [m]
    remaining_foam : (...) array
        Share of the foam bed left there. [-]

    Returns
    -------
    centre_buckling_load : (..., n_set) array
        Before any knock-down. [N]

    Notes
    -----
    Hinged beam of the bay's width on a bed of k' = remaining k: pi^2 EI/L^2 + k' L^2/pi^2 for one half
    wave (Timoshenko and Gere, Theory of Elastic Stability, 1961), 2 sqrt(k' EI) once the bay is longer
    than a half wave; the two meet with equal slope. Support and width differ by set; without support
    (``bed_share`` and ``bed_added`` 0) this is Euler's column.
    """
    rigidity = rod_rigidity(rods)
    bed = bed * (np.asarray(remaining_foam)[..., None] * rods.bed_share + rods.bed_added)
    width = np.asarray(bay_width)[..., None] * rods.bay_share + 1e-3  # a millimetre: no bay, no fault
    squared_width = (width / np.pi) ** 2
    column, spring = rigidity / squared_width, bed * squared_width
    short = (column - spring).real > 0.0
    return np.where(short, column + spring, 2.0 * np.sqrt(bed * rigidity))


def joiner_bearing(foam: Foam, joiner: Joiner) -> np.ndarray:
    """Return the greatest line load of the joiner on its channel, per newton metre it carries at the centre.

    Parameters
    ----------
    foam, joiner : Foam, Joiner
        Fields (...).

    Returns
    -------
    joiner_bearing : (...) array
        Force per metre of joiner over moment. [1/m^2]

    Notes
    -----
    Beam of half the joiner's length on a bed (``foundation_modulus``), both ends free, moment at one:
    2 b^2 (sinh^2 x + sin^2 x)/(sinh^2 x - sin^2 x), x = b L/2, b = (k/4EI)^(1/4). Source: Hetenyi, finite
    beams. 6/(L/2)^2 for a rigid joiner. The glue that fills the channel counts as foam.
    """
    diameter = np.asarray(joiner.diameter) + 1e-6  # no joiner, no fault
    bed = _vesic_modulus(np.asarray(foam.youngs_modulus), np.asarray(foam.poisson_ratio), joiner.youngs_modulus, 0.0)
    root = (16.0 * bed / (np.pi * joiner.youngs_modulus * diameter**4)) ** 0.25
    reach = root * (0.5 * np.asarray(joiner.length) + 1e-4)
    decay = np.exp(-reach)
    ratio = (2.0 * decay * np.sin(reach) / (1.0 - decay * decay)) ** 2  # (sin / sinh)^2, without overflow
    return 2.0 * root * root * (1.0 + ratio) / (1.0 - ratio)
