"""How foam holds a rod that lies in it, and what the rod then bears: beams on an elastic bed."""

from __future__ import annotations

import numpy as np

from .rods import rod_rigidity

BUCKLING_KNOCKDOWN = 0.6  # waviness and glue gaps; judgement, no source: 0.5 to 0.7 [-]


def foundation_modulus(foam, rods):
    """Return how stiffly foam holds a rod sideways, per metre of rod.

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
    in a slab the load it leads to is 17 to 24 % below finite elements, so on the safe side.
    """
    modulus = np.asarray(foam.youngs_modulus)[..., None]
    ratio = 64.0 * modulus / (np.pi * rods.youngs_modulus * (1.0 - rods.bore**4))
    return 0.65 * ratio ** (1.0 / 12.0) * modulus / (1.0 - np.asarray(foam.poisson_ratio)[..., None] ** 2)


def rod_buckling_load(bed, rods):
    """Return the axial load at which a long, straight rod buckles in its foam bed.

    Parameters
    ----------
    bed : (..., n_set) array
        ``foundation_modulus``. [Pa]
    rods : RodSets
        Rods.

    Returns
    -------
    rod_buckling_load : (..., n_set) array
        Before any knock-down. [N]

    Notes
    -----
    2 sqrt(k E I): Hetenyi, Beams on Elastic Foundation (1946). EI grows as d^4 and area as d^2, so the
    buckling stress does not depend on the diameter.
    """
    return 2.0 * np.sqrt(bed * rod_rigidity(rods))


def centre_buckling_load(bed, rods, bay_width, remaining_foam):
    """Return the axial load at which a rod buckles across the cut centre.

    Parameters
    ----------
    bed, rods
        As for ``rod_buckling_load``. [Pa]
    bay_width : (...) array
        Whole width of the cut. [m]
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
    than a half wave; the two meet with equal slope. What holds a rod there, and over which width, is
    each set's own: nothing (``bed_share`` and ``bed_added`` 0) leaves Euler's column.
    """
    rigidity = rod_rigidity(rods)
    bed = bed * (np.asarray(remaining_foam)[..., None] * rods.bed_share + rods.bed_added)
    width = np.asarray(bay_width)[..., None] * rods.bay_share + 1e-3  # a millimetre: no bay, no fault
    squared_width = (width / np.pi) ** 2
    column, spring = rigidity / squared_width, bed * squared_width
    short = (column - spring).real > 0.0
    return np.where(short, column + spring, 2.0 * np.sqrt(bed * rigidity))


def joiner_bearing(foam, joiner):
    """Return the greatest push of the joiner on its channel, per newton metre it carries at the centre.

    Parameters
    ----------
    foam, joiner : Foam, Joiner
        From ``stiffness``.

    Returns
    -------
    joiner_bearing : (...) array
        Force per metre of joiner over moment. [1/m^2]

    Notes
    -----
    Beam of half the joiner's length on a bed (``foundation_modulus``), both ends free, moment at one:
    2 b^2 (sinh^2 x + sin^2 x)/(sinh^2 x - sin^2 x), x = b L/2, b = (k/4EI)^(1/4) (Hetenyi, finite
    beams); 6/(L/2)^2 for a rigid joiner. The glue that fills the channel counts as foam.
    """
    diameter = np.asarray(joiner.diameter) + 1e-6  # no joiner, no fault
    modulus = np.asarray(foam.youngs_modulus)
    bed = (
        0.65
        * (64.0 * modulus / (np.pi * joiner.youngs_modulus)) ** (1.0 / 12.0)
        * modulus
        / (1.0 - np.asarray(foam.poisson_ratio) ** 2)
    )
    root = (16.0 * bed / (np.pi * joiner.youngs_modulus * diameter**4)) ** 0.25
    reach = root * (0.5 * np.asarray(joiner.length) + 1e-4)
    decay = np.exp(-reach)
    ratio = (2.0 * decay * np.sin(reach) / (1.0 - decay * decay)) ** 2  # (sin / sinh)^2, without overflow
    return 2.0 * root * root * (1.0 + ratio) / (1.0 - ratio)
