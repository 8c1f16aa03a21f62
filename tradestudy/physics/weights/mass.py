"""Masses and their places: foam, covering, rods, elevons, fins, wiring and pack.

"(...)" means arrays of any batch shape.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.body.straight_rods import PlanLine
from tradestudy.physics.geometry.fins import SheetFin, fin_parts
from tradestudy.physics.geometry.planform import Planform, interpolated, tip_section_share

FOAM_CENTROID = 0.42  # area centroid of a streamlined section over foam chord (0.418 for a NACA 00xx)
COVERING_CENTROID = 0.48  # centroid of both skins over total chord, ahead of the middle because of the nose's curvature
COVERING_OVERLAP = 1.08  # covering with seams and folds over bare surface; common practice, no source
WIRING_PER_METRE = (
    0.014  # mass of a servo lead in kg per metre of added semi-span, one lead in each half; common practice
)


class WingMaterials(NamedTuple):
    """Materials of the bare wing. Constants of the section hold for a foam chord of 1 (see airfoil.SectionShape).

    They are those of the root's section. ``tip_..._change`` is the tip's value minus the root's; it is 0 if both
    sections are the same.
    """

    section_area: float  # [-]
    section_perimeter: float  # [-]
    foam_density: float  # [kg/m^3]
    covering_areal_mass: float  # mass of film and glue per area [kg/m^2]
    elevon_density: float  # [kg/m^3]
    elevon_thickness: float  # [m]
    tip_area_change: float = 0.0  # [-]
    tip_perimeter_change: float = 0.0  # [-]


class Lump(NamedTuple):
    """A mass [kg] with its first moment about the nose datum [kg m]. Each field is (...)."""

    mass: Any
    moment: Any


@lru_cache(maxsize=8)
def gauss_points(order: int) -> tuple[np.ndarray, np.ndarray]:
    """Return places (order,) [-] and weights (order,) [-] of Gauss-Legendre integration from 0 to 1.

    ``order`` [-] is the number of points. The integration is exact for polynomials up to degree 2 order - 1.
    """
    node, weight = np.polynomial.legendre.leggauss(order)
    return 0.5 * (node + 1), 0.5 * weight


def gauss_stations(planform: Planform, order: int = 3) -> tuple[np.ndarray, np.ndarray]:
    """Return stations (..., n) [m] and weights (..., n) [m] that integrate along the half span.

    ``order`` [-] is the number of points on each straight piece. The method is Gauss-Legendre integration, see
    ``gauss_points``. The default order is exact for cubics.
    """
    share, weight = gauss_points(order)
    left, width = planform.station[..., :-1, None], np.diff(planform.station, axis=-1)[..., None]
    station = left + width * share
    return station.reshape(*station.shape[:-2], -1), (width * weight).reshape(*station.shape[:-2], -1)


def section_share(planform: Planform, materials: WingMaterials, station: np.ndarray) -> float | np.ndarray:
    """Return the share of the tip's section at each ``station`` (..., n) [m]; 0 if root and tip have the same section.
    [-]

    Geometry, see ``planform.tip_section_share``.
    """
    if not (materials.tip_area_change or materials.tip_perimeter_change):
        return 0.0
    return tip_section_share(planform, planform.foam_chord, station)


def mass_per_length(
    materials: WingMaterials, foam_chord: np.ndarray, elevon_chord: np.ndarray, share: float | np.ndarray = 0.0
) -> dict[str, np.ndarray]:
    """Return the mass per metre of half span of foam, covering and trailing strip, by name. [kg/m]

    ``foam_chord`` and ``elevon_chord`` are (..., n) [m], and ``share`` (..., n) is the share of the tip's section [-].
    The results have shape (..., n). The covering wraps the elevon too. Geometry: the trailing strip is a wedge whose
    thickness falls to a third. The foam's area is exactly linear in the share, the perimeter nearly so.
    """
    area = materials.section_area + materials.tip_area_change * share
    perimeter = materials.section_perimeter + materials.tip_perimeter_change * share
    wrapped = perimeter * foam_chord + 2 * elevon_chord
    return {
        "foam": materials.foam_density * area * foam_chord**2,
        "covering": materials.covering_areal_mass * COVERING_OVERLAP * wrapped,
        "elevons": materials.elevon_density * materials.elevon_thickness * (2 / 3) * elevon_chord,
    }


def centroids(leading_edge: np.ndarray, foam_chord: np.ndarray, elevon_chord: np.ndarray) -> dict[str, np.ndarray]:
    """Return the centroids of foam, covering and trailing strip behind the nose datum, by name. [m]

    ``leading_edge``, ``foam_chord``, ``elevon_chord`` and the results have shape (..., n) [m]. Geometry, no source
    needed.
    """
    return {
        "foam": leading_edge + FOAM_CENTROID * foam_chord,
        "covering": leading_edge + COVERING_CENTROID * (foam_chord + elevon_chord),
        "elevons": leading_edge + foam_chord + 0.4 * elevon_chord,
    }


def bare_wing_lumps(planform: Planform, materials: WingMaterials) -> dict[str, Lump]:
    """Return the Lumps of foam, covering and elevons of the total wing by name, by exact integration."""
    station, weight = gauss_stations(planform)
    edge, foam_chord, elevon_chord = interpolated(
        planform, (planform.leading_edge, planform.foam_chord, planform.elevon_chord), station
    )
    place = centroids(edge, foam_chord, elevon_chord)
    per_length = mass_per_length(materials, foam_chord, elevon_chord, section_share(planform, materials, station))
    parts = {name: 2 * density * weight for name, density in per_length.items()}
    return {name: Lump(part.sum(-1), (part * place[name]).sum(-1)) for name, part in parts.items()}


def rod_lump(linear_mass: float | np.ndarray, lines: Sequence[PlanLine]) -> Lump:
    """Return the Lump of straight rods on ``lines`` (...) in both half wings. Statics, no source needed.

    ``linear_mass`` (...) is the mass per length of all rods in one half wing [kg/m].
    """
    parts = [(2 * linear_mass * line.length, 0.5 * (line.inner_x + line.outer_x)) for line in lines]
    return total_lump([Lump(mass, mass * place) for mass, place in parts])


def fin_lump(fins: tuple[SheetFin, ...], planform: Planform) -> Lump:
    """Return the Lump of all fins of both half wings. A fin is a flat trapezoidal sheet. Geometry, no source needed."""
    lumps = []
    for fin, part in ((one, part) for one in fins for part in fin_parts(one)):
        mass = 2 * fin.areal_mass * part.area
        middle = fin.behind_leading_edge + 0.5 * part.set_back + 0.25 * (part.root_chord + part.tip_chord)
        lumps.append(Lump(mass, mass * (planform.leading_edge[..., fin.stands_on] + middle)))
    return total_lump(lumps)


def wiring_growth(extension: np.ndarray, place: float) -> Lump:
    """Return the Lump of the added length of the servo leads; common practice, no source.

    ``extension`` (...) is the added semi-span [m]. ``place`` is that of the leads behind the nose datum [m]. A negative
    extension removes mass in the same way.
    """
    mass = 2 * WIRING_PER_METRE * extension
    return Lump(mass, mass * place)


def total_lump(lumps: list[Lump]) -> Lump:
    """Return the sum of Lumps. This is a definition.

    >>> total_lump([Lump(0.3, 0.03), Lump(0.2, 0.01)])
    Lump(mass=0.5, moment=0.04)
    """
    return Lump(sum(lump.mass for lump in lumps), sum(lump.moment for lump in lumps))


def pack_position(
    centre_of_gravity: np.ndarray, all_up_mass: np.ndarray, moment_without_pack: np.ndarray, pack_mass: np.ndarray
) -> np.ndarray:
    """Return the place (...) of the pack's centre behind the nose datum at which the wing balances. [m]

    ``centre_of_gravity`` [m], ``all_up_mass`` [kg], ``moment_without_pack`` [kg m] and ``pack_mass`` [kg] have shape
    (...). Statics, no source needed.
    """
    return (centre_of_gravity * all_up_mass - moment_without_pack) / pack_mass
