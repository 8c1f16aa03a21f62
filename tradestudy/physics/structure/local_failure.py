"""Local failures that are reported, not constrained: splices, foam under a rod, pockets, wrinkling of the film.

Each is an estimate that contains an uncertain number, marked where it is defined.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from .rods import RodSets, rod_area
from .stiffness import Stiffness
from .wing_parts import Covering, Foam

# Shear strength of epoxy in a roughened, wiped joint. Data sheets state a lap shear strength of 15 to 25 MPa (from
# memory). Stress peaks at the ends and workshop conditions leave a third to a half of it: common practice, no source.
GLUE_SHEAR_STRENGTH = 8e6  # [Pa]
USUAL_SPLICE_LENGTH = 25.0  # length of a sleeve or an overlap in diameters, 20 to 30; common practice, no source [-]


def splice_strength(diameter: Any, length: Any, is_sleeve: bool) -> Any:
    """Return the axial force that the glue of a splice carries.

    Parameters
    ----------
    diameter, length : (...) array
        Diameter d of the rod, and length L of the complete sleeve or overlap. [m]
    is_sleeve : bool
        True for a tube over both ends, False for an overlap.

    Returns
    -------
    splice_strength : (...) array
        Axial force at failure. [N]

    Notes
    -----
    The force is the mean shear strength times the glued area. That area is pi d L/2 in a sleeve, where each end fills
    half of it. It is d L where two parallel rods overlap in a fillet as wide as a rod (judgement). The wall of the
    sleeve is assumed to be as strong as the rod.
    """
    return GLUE_SHEAR_STRENGTH * diameter * length * (0.5 * np.pi if is_sleeve else 1.0)


def rod_force(stiffness: Stiffness, rods: RodSets, bending_moment: np.ndarray) -> np.ndarray:
    """Return the axial force in the farthest rod of each set at every station.

    Parameters
    ----------
    stiffness, rods : Stiffness, RodSets
        Stiffness and rods of the wing.
    bending_moment : (n_condition, n_station) array
        Bending moment M. [N m]

    Returns
    -------
    rod_force : (n_condition, n_set, n_station) array
        Statics: E A times lever times M/EI, with the sign of the moment, as if the rod were present everywhere. A rod
        at an angle to the axis is strained by the squared cosine of that. [N]
    """
    curvature = (bending_moment / stiffness.bending_rigidity)[:, None, :]
    axial = np.broadcast_to(rods.youngs_modulus * rod_area(rods), np.shape(rods.pairs))
    return axial[None, :, None] * (stiffness.lever * np.asarray(stiffness.axis_cosine) ** 2)[None] * curvature


def foam_under_rod(stiffness: Stiffness, rods: RodSets, foam: Foam, bending_moment: np.ndarray) -> np.ndarray:
    """Return the pressure of the rods on the foam of a bent wing, over the foam's compressive strength.

    Parameters
    ----------
    stiffness, rods, foam : Stiffness, RodSets, Foam
        Stiffness, rods and foam of the wing.
    bending_moment : (n_condition, n_station) array
        Bending moment. [N m]

    Returns
    -------
    foam_under_rod : (n_condition, n_set, n_station) array
        Utilisation, which grows with the square of the load. [-]

    Notes
    -----
    A rod with the axial force N and the curvature kappa presses inward with the force N kappa on each metre. Here that
    force is distributed over the rod's diameter. Source: L. G. Brazier, Proceedings of the Royal Society A 116 (1927),
    for tubes. The same equilibrium crushes the core of a bent sandwich.
    """
    curvature = (bending_moment / stiffness.bending_rigidity)[:, None, :]
    push = np.abs(rod_force(stiffness, rods, bending_moment) * curvature)
    return push / (np.asarray(rods.diameter)[None, :, None] * foam.compressive_strength) * stiffness.presence[None]


def wrinkling_strain(foam: Foam, covering: Covering) -> Any:
    """Return the strain at which a film bonded to foam wrinkles on the pressed side.

    Parameters
    ----------
    foam, covering : Foam, Covering
        Materials with fields (...). The film's Poisson ratio follows from its two moduli.

    Returns
    -------
    wrinkling_strain : (...) array
        Compressive strain at wrinkling. [-]

    Notes
    -----
    The strain is (1/4) (3 E_f'/E_s')^(2/3), for a stiff film on a deep, soft bed. E_f' and E_s' are the plane-strain
    moduli E/(1 - nu^2) of foam and film, with Young's modulus E and Poisson ratio nu. Source: H. G. Allen, Analysis and
    Design of Structural Sandwich Panels, 1969; from memory. A film that is slack or comes off wrinkles earlier.
    """
    skin_ratio = covering.youngs_modulus / (2.0 * covering.shear_modulus) - 1.0
    soft = foam.youngs_modulus / (1.0 - foam.poisson_ratio**2)
    stiff = covering.youngs_modulus / (1.0 - skin_ratio**2)
    return 0.25 * (3.0 * soft / stiff) ** (2.0 / 3.0)


def splice_places(inner_end: float, outer_end: float, length: float, sold: float) -> list[float]:
    """Return the stations at which the pieces of a rod are joined. [m]

    ``inner_end`` and ``outer_end`` are its distances from the centre line [m], and ``length`` is its total length [m].
    Rods are sold in pieces of the length ``sold`` [m]. This is geometry and needs no source.

    >>> splice_places(inner_end=0.0, outer_end=1.5, length=1.5, sold=1.0)
    [1.0]
    """
    joints = int(np.ceil(length / sold - 1e-6)) - 1
    return [float(inner_end + (outer_end - inner_end) * sold * (index + 1) / length) for index in range(joints)]


class FoamPocket(NamedTuple):
    """A pocket that is cut into the foam of a half wing from one skin."""

    inner_end: float  # distance of the inner end from the centre line [m]
    outer_end: float  # distance of the outer end from the centre line [m]
    front: float  # distance of the front behind the leading edge there [m]
    length: float  # length along the chord [m]
    depth: float  # depth below the skin [m]


def remaining_web(pocket: FoamPocket, rod_place: Any, web_width: Any, thickness: Any) -> Any:
    """Return the share of the foam web between a pair of rods that a pocket leaves.

    Parameters
    ----------
    pocket : FoamPocket
        Pocket without batch axes.
    rod_place, web_width, thickness : (...) array
        Distance of the rods behind the leading edge; equivalent width of the web, ``Stiffness.web_factor`` times
        ``spacing``; section thickness at the rods. [m]

    Returns
    -------
    remaining_web : (...) array
        1 less the removed share. That share is the part of the web's width in the pocket, times the pocket's depth over
        the section thickness. The result is on the safe side, since shear can spread around the pocket: judgement, no
        source. [-]
    """
    first = np.maximum(rod_place - 0.5 * web_width, pocket.front)
    last = np.minimum(rod_place + 0.5 * web_width, pocket.front + pocket.length)
    return 1.0 - np.maximum(last - first, 0.0) / web_width * np.minimum(pocket.depth / thickness, 1.0)


def pocket_crosses_rod(
    pocket: FoamPocket, rod_place: Any, radius: Any, slot_depth: Any, from_same_side: Any = True
) -> Any:
    """Return whether the pocket opens the slot of a rod (...) over its span. [bool]

    ``rod_place`` is the distance of the rod behind the leading edge, ``radius`` its radius and ``slot_depth`` the depth
    of its slot, all (...) [m]. ``from_same_side`` (...) [bool] says whether pocket and slot are cut from the same skin.
    This is geometry and needs no source.
    """
    overlaps = (rod_place + radius > pocket.front) & (rod_place - radius < pocket.front + pocket.length)
    return overlaps & (pocket.depth > slot_depth - 2.0 * radius) & from_same_side


def free_rod_load(pocket: FoamPocket, rigidity: Any) -> Any:
    """Return the force (...) at which a rod without foam around it buckles across a pocket. [N]

    Statics: Euler's column of the pocket's length L between two hinges, pi^2 EI / L^2. The ends are hinges because the
    foam at the walls is softer than a clamp. ``rigidity`` is E I of one rod (...) [N m^2].
    """
    return np.pi**2 * rigidity / (pocket.outer_end - pocket.inner_end) ** 2
