"""Local failures that are reported, not constrained: spliced rods, foam under a rod, pockets, the film's pressed side.

Every one is an estimate with a weak number in it, marked as such next to the number.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from .rods import RodSets, rod_area
from .stiffness import Stiffness
from .wing_parts import Covering, Foam

# Epoxy in a roughened, wiped joint. Data sheets print 15 to 25 MPa of lap shear (from memory). A third to a half of it
# allows for the stress peaks at the ends and for workshop conditions: common practice, no source.
GLUE_SHEAR_STRENGTH = 8e6  # [Pa]
USUAL_SPLICE_LENGTH = 25.0  # diameters of a sleeve or an overlap, 20 to 30; common practice, no source [-]


def splice_strength(diameter: Any, length: Any, is_sleeve: bool) -> Any:
    """Return the axial force that the glue of a splice carries.

    Parameters
    ----------
    diameter, length : (...) array
        Of the rod, and of the complete sleeve or overlap. [m]
    is_sleeve : bool
        True for a tube over both ends, False for an overlap.

    Returns
    -------
    splice_strength : (...) array
        [N]

    Notes
    -----
    Mean shear over the glued area: pi d L/2 where each end fills half the sleeve, d L where two parallel rods
    overlap in a fillet as wide as one (judgement). The sleeve's wall is assumed as strong as the rod.
    """
    return GLUE_SHEAR_STRENGTH * diameter * length * (0.5 * np.pi if is_sleeve else 1.0)


def rod_force(stiffness: Stiffness, rods: RodSets, bending_moment: np.ndarray) -> np.ndarray:
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
        Statics: E A lever M/EI, as if the rod were present everywhere, with the sign of the moment. [N]
    """
    curvature = (bending_moment / stiffness.bending_rigidity)[:, None, :]
    axial = np.broadcast_to(rods.youngs_modulus * rod_area(rods), np.shape(rods.pairs))
    return axial[None, :, None] * stiffness.lever[None] * curvature


def foam_under_rod(stiffness: Stiffness, rods: RodSets, foam: Foam, bending_moment: np.ndarray) -> np.ndarray:
    """Return the pressure of a bent wing's rods on the foam, over its compressive strength.

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


def wrinkling_strain(foam: Foam, covering: Covering) -> Any:
    """Return the strain at which a film bonded to foam wrinkles on the pressed side.

    Parameters
    ----------
    foam, covering : Foam, Covering
        Fields (...). The film's Poisson ratio follows from its two moduli.

    Returns
    -------
    wrinkling_strain : (...) array
        [-]

    Notes
    -----
    (1/4) (3 E_f'/E_s')^(2/3) with plane-strain moduli E/(1 - nu^2) of foam and skin: a stiff film on a deep,
    soft bed (H. G. Allen, Analysis and Design of Structural Sandwich Panels, 1969; from memory). A film that
    is slack, or that its adhesive releases, wrinkles earlier.
    """
    skin_ratio = covering.youngs_modulus / (2.0 * covering.shear_modulus) - 1.0
    soft = foam.youngs_modulus / (1.0 - foam.poisson_ratio**2)
    stiff = covering.youngs_modulus / (1.0 - skin_ratio**2)
    return 0.25 * (3.0 * soft / stiff) ** (2.0 / 3.0)


def splice_places(inner_end: float, outer_end: float, length: float, sold: float) -> list[float]:
    """Return the stations at which a rod is joined from pieces as sold, between its ends; geometry. [m]

    ``inner_end``, ``outer_end`` from the centre line [m], total ``length`` of the rod and the length ``sold`` [m].

    >>> splice_places(inner_end=0.0, outer_end=1.5, length=1.5, sold=1.0)
    [1.0]
    """
    joints = int(np.ceil(length / sold - 1e-6)) - 1
    return [float(inner_end + (outer_end - inner_end) * sold * (index + 1) / length) for index in range(joints)]


class FoamPocket(NamedTuple):
    """One pocket cut into the foam from one skin, of one half wing."""

    inner_end: float  # from the centre line [m]
    outer_end: float  # from the centre line [m]
    front: float  # behind the leading edge there [m]
    length: float  # fore and aft [m]
    depth: float  # below the skin [m]


def remaining_web(pocket: FoamPocket, rod_place: Any, web_width: Any, thickness: Any) -> Any:
    """Return the share of the foam web between a pair of rods that a pocket leaves.

    Parameters
    ----------
    pocket : FoamPocket
        Without a batch.
    rod_place, web_width, thickness : (...) array
        Position behind the leading edge; equivalent width of the web, ``Stiffness.web_factor`` times ``spacing``;
        section thickness at the rods. [m]

    Returns
    -------
    remaining_web : (...) array
        One less the share that the pocket removes: the cut share of the web's width, times its depth over the section.
        A bound on the safe side where the web's field could spread around it: judgement, no source. [-]
    """
    first = np.maximum(rod_place - 0.5 * web_width, pocket.front)
    last = np.minimum(rod_place + 0.5 * web_width, pocket.front + pocket.length)
    return 1.0 - np.maximum(last - first, 0.0) / web_width * np.minimum(pocket.depth / thickness, 1.0)


def pocket_crosses_rod(
    pocket: FoamPocket, rod_place: Any, radius: Any, slot_depth: Any, from_same_side: Any = True
) -> Any:
    """Return whether a rod (...) runs through the pocket, its slot opened over the pocket's span; geometry. [bool]

    ``rod_place`` behind the leading edge, ``radius``, ``slot_depth`` (...) [m]; ``from_same_side`` (...) [bool] says
    whether pocket and slot are cut from the same skin.
    """
    overlaps = (rod_place + radius > pocket.front) & (rod_place - radius < pocket.front + pocket.length)
    return overlaps & (pocket.depth > slot_depth - 2.0 * radius) & from_same_side


def free_rod_load(pocket: FoamPocket, rigidity: Any) -> Any:
    """Return the force (...) at which a rod without foam around it buckles across a pocket. [N]

    Statics: Euler's column between two hinges, pi^2 EI / L^2, because the foam at the walls is softer than a clamp.
    ``rigidity`` is E I of one rod (...) [N m^2].
    """
    return np.pi**2 * rigidity / (pocket.outer_end - pocket.inner_end) ** 2
