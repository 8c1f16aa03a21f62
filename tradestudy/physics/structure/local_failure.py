"""What is checked beside the modes that a search sees: spliced rods, foam under a rod, the film's pressed side.

Every one is an estimate with a weak number in it, told so beside the number.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .rods import rod_area

# Epoxy in a roughened, wiped joint. Data sheets print 15 to 25 MPa of lap shear (from memory); a third to a half of
# it stands for the peaks at the ends and for a bench that is no laboratory: common practice, no source.
GLUE_SHEAR_STRENGTH = 8e6  # [Pa]
USUAL_SPLICE_LENGTH = 25.0  # diameters of a sleeve or an overlap, 20 to 30; common practice, no source [-]


def splice_strength(diameter, length, is_sleeve):
    """Return the axial force that the glue of a splice carries.

    Parameters
    ----------
    diameter, length : (...) array
        Rod, and whole sleeve or overlap. [m]
    is_sleeve : bool
        A tube over both ends, or the ends side by side.

    Returns
    -------
    splice_strength : (...) array
        [N]

    Notes
    -----
    Mean shear over the glued area: pi d L/2 where each end fills half the sleeve, d L where two rods lie
    side by side in a fillet as wide as one (judgement). The sleeve's wall counts as no weaker than the rod.
    """
    return GLUE_SHEAR_STRENGTH * diameter * length * (0.5 * np.pi if is_sleeve else 1.0)


def rod_force(stiffness, rods, bending_moment):
    """Return the axial force in the farthest rod of each set at every station.

    Parameters
    ----------
    stiffness, rods : Stiffness, RodSets
        Of one wing.
    bending_moment : (n_condition, n_station) array
        [N m]

    Returns
    -------
    rod_force : (n_condition, n_set, n_station) array
        E A lever M/EI, as if the rod were there, with the sign of the moment. [N]
    """
    curvature = (bending_moment / stiffness.bending_rigidity)[:, None, :]
    axial = np.broadcast_to(rods.youngs_modulus * rod_area(rods), np.shape(rods.pairs))
    return axial[None, :, None] * stiffness.lever[None] * curvature


def foam_under_rod(stiffness, rods, foam, bending_moment):
    """Return how hard a bent wing's rods press on the foam, over its compressive strength.

    Parameters
    ----------
    stiffness, rods, foam : Stiffness, RodSets, Foam
        Of one wing.
    bending_moment : (n_condition, n_station) array
        [N m]

    Returns
    -------
    foam_under_rod : (n_condition, n_set, n_station) array
        Grows with the square of the load. [-]

    Notes
    -----
    A cap of force N on a curve kappa presses inward with N kappa per metre (L. G. Brazier, Proceedings of
    the Royal Society A 116 (1927), for tubes; the same equilibrium crushes a bent sandwich's core), here over
    the rod's diameter.
    """
    curvature = (bending_moment / stiffness.bending_rigidity)[:, None, :]
    push = np.abs(rod_force(stiffness, rods, bending_moment) * curvature)
    return push / (np.asarray(rods.diameter)[None, :, None] * foam.compressive_strength) * stiffness.presence[None]


def wrinkling_strain(foam, covering):
    """Return the strain at which a film bonded to foam wrinkles on the pressed side.

    Parameters
    ----------
    foam, covering : Foam, Covering
        The film's Poisson ratio follows from its two moduli.

    Returns
    -------
    wrinkling_strain : float
        [-]

    Notes
    -----
    (1/4) (3 E_f'/E_s')^(2/3) with plane-strain moduli E/(1 - nu^2) of foam and skin: a stiff film on a deep,
    soft bed (H. G. Allen, Analysis and Design of Structural Sandwich Panels, 1969; from memory). A film that
    is slack, or pulled off by its adhesive, gives up earlier.
    """
    skin_ratio = covering.youngs_modulus / (2.0 * covering.shear_modulus) - 1.0
    soft = foam.youngs_modulus / (1.0 - foam.poisson_ratio**2)
    stiff = covering.youngs_modulus / (1.0 - skin_ratio**2)
    return 0.25 * (3.0 * soft / stiff) ** (2.0 / 3.0)


def splice_places(inner_end, outer_end, length, sold):
    """Return where a rod of a length [m] is joined from pieces as sold [m]: stations between its ends. [m]"""
    joints = int(np.ceil(length / sold - 1e-6)) - 1
    return [float(inner_end + (outer_end - inner_end) * sold * (index + 1) / length) for index in range(joints)]


class FoamPocket(NamedTuple):
    """One hole cut into the foam from one skin, of one half wing."""

    inner_end: float  # from the centre line [m]
    outer_end: float  # from the centre line [m]
    front: float  # behind the leading edge there [m]
    length: float  # fore and aft [m]
    depth: float  # below the skin [m]


def remaining_web(pocket, rod_place, web_width, thickness):
    """Return the share of the foam web between a pair of rods that a pocket leaves.

    Parameters
    ----------
    pocket : Pocket
        See there.
    rod_place, web_width, thickness : (...) array
        Behind the leading edge; equivalent width of the web, ``Stiffness.web_factor`` times ``spacing``; section at the
        rods. [m]

    Returns
    -------
    web_left : (...) array
        One less what the pocket takes: the share of the web's width it cuts into, times its depth over the section.
        A bound on the safe side where the web's field could spread around it: judgement, no source. [-]
    """
    first = np.maximum(rod_place - 0.5 * web_width, pocket.front)
    last = np.minimum(rod_place + 0.5 * web_width, pocket.front + pocket.length)
    return 1.0 - np.maximum(last - first, 0.0) / web_width * np.minimum(pocket.depth / thickness, 1.0)


def pocket_crosses_rod(pocket, rod_place, radius, slot_depth, from_same_side=True):
    """Return whether a rod (...) runs through the pocket, its slot opened over the pocket's span. [bool]

    Place and radius of the rod, depth of its slot (...) [m].
    """
    beside = (rod_place + radius > pocket.front) & (rod_place - radius < pocket.front + pocket.length)
    return beside & (pocket.depth > slot_depth - 2.0 * radius) & from_same_side


def free_rod_load(pocket, rigidity):
    """Return the force at which a rod with no foam around it buckles across a pocket.

    Euler's column between two hinges, pi^2 EI / L^2: the foam at the walls holds less than a clamp does. E I of one
    rod (...) [N m^2]; free_rod_load (...) [N].
    """
    return np.pi**2 * rigidity / (pocket.outer_end - pocket.inner_end) ** 2
