"""Masses and their places: foam, covering, rods, elevons, fins, wiring and pack.

"(...)" means arrays of any batch shape.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.body.section_integrals import SectionIntegrals
from tradestudy.physics.body.straight_rods import PlanLine
from tradestudy.physics.geometry.fins import SheetFin, fin_parts
from tradestudy.physics.geometry.planform import Planform, section_chords, tip_section_share

_WEDGE_CENTROID = 5 / 12  # centroid of a wedge over its chord, if its thickness falls to a third
_WEDGE_RADIUS = (1 / 4 - 25 / 144) ** 0.5  # its radius of gyration over its chord
COVERING_OVERLAP = 1.08  # covering with seams and folds over bare surface; common practice, no source
WIRING_PER_METRE = (
    0.014  # mass of a servo lead in kg per metre of added semi-span, one lead in each half; common practice
)


class WingMaterials(NamedTuple):
    """Materials of the bare wing, and the integrals of its sections."""

    section: SectionIntegrals  # of the root's foam section
    foam_density: float  # [kg/m^3]
    covering_areal_mass: float  # mass of film and glue per area [kg/m^2]
    elevon_density: float  # [kg/m^3]
    elevon_thickness: float  # at the hinge [m]
    tip_change: SectionIntegrals | None = None  # integrals of the tip's section less the root's; None if both are alike


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
    n_break = planform.station.shape[-1]
    return planform.station @ gauss_shares(n_break, order), planform.station @ _gauss_weights(n_break, order)


@lru_cache(maxsize=32)
def _gauss_weights(n_break: int, order: int = 3) -> np.ndarray:
    """Return the weights (n_break, n) of the stations of ``n_break`` breaks in the weights of ``gauss_stations``."""
    _, weight = gauss_points(order)
    return np.kron(np.diff(np.eye(n_break), axis=0).T, weight)


@lru_cache(maxsize=32)
def gauss_shares(n_break: int, order: int = 3) -> np.ndarray:
    """Return the weights (n_break, n) of values at ``n_break`` breaks [-] in those at ``gauss_stations``. Geometry. [-]

    ``order`` [-] is the number of points on each piece; values are linear between breaks.
    """
    share, _ = gauss_points(order)
    inner, outer = np.eye(n_break)[:-1, :, None], np.eye(n_break)[1:, :, None]
    return np.concatenate(list(inner + (outer - inner) * share), axis=-1)


def section_share(planform: Planform, materials: WingMaterials, station: np.ndarray) -> float | np.ndarray:
    """Return the share of the tip's section at each ``station`` (..., n) [m]; 0 if root and tip have the same section.
    [-]

    Geometry, see ``planform.tip_section_share``.
    """
    if materials.tip_change is None:
        return 0.0
    return tip_section_share(planform, planform.foam_chord, station)


class Strip(NamedTuple):
    """One layer of a strip of the half wing, per metre of span. Each field is (..., n)."""

    mass: Any  # [kg/m]
    place: Any  # distance of its centroid behind the nose datum [m]
    radius: Any  # radius of gyration along the chord about the centroid [m]


def mass_per_length(
    materials: WingMaterials, foam_chord: np.ndarray, elevon_chord: np.ndarray, share: float | np.ndarray = 0.0
) -> dict[str, np.ndarray]:
    """Return the mass per metre of half span of foam, covering and trailing strip, by name. [kg/m]

    ``foam_chord`` and ``elevon_chord`` are (..., n) [m], and ``share`` (..., n) is the share of the tip's section [-].
    The results have shape (..., n). Geometry, as in ``strip_layers``.
    """
    foam, film, wedge = _densities(materials)
    area, covered, elevon = _sizes(materials, foam_chord, elevon_chord, share)
    return {"foam": foam * area, "covering": film * covered, "elevons": wedge * elevon}


def _densities(materials: WingMaterials) -> tuple[float, float, float]:
    """Return the density of the foam [kg/m^3], and mass over covered area and over elevon area [kg/m^2]."""
    film = materials.covering_areal_mass * COVERING_OVERLAP
    return materials.foam_density, film, materials.elevon_density * materials.elevon_thickness * (2 / 3)


def _sizes(materials: WingMaterials, c: np.ndarray, e: np.ndarray, share: Any) -> tuple[Any, Any, Any]:
    """Return foam area [m^2], covered length [m] and elevon chord [m] of a section, each (..., n)."""
    root, change = materials.section, materials.tip_change
    area, outline = root.area, root.outline
    if change is not None:
        area, outline = area + change.area * share, outline + change.outline * share
    return area * c * c, outline * c + 2 * e, e


def _size_moments(materials: WingMaterials, c: np.ndarray, e: np.ndarray, share: Any) -> tuple[Any, Any, Any]:
    """Return the moments of ``_sizes`` about the leading edge, each (..., n). [m^3], [m^2], [m^2]"""
    root, change = materials.section, materials.tip_change
    area, outline = root.area_moment, root.outline_moment
    if change is not None:
        area, outline = area + change.area_moment * share, outline + change.outline_moment * share
    squared = c * c
    return area * squared * c, outline * squared + e * (2 * c + e), e * (c + _WEDGE_CENTROID * e)


def strip_layers(
    materials: WingMaterials,
    leading_edge: np.ndarray,
    foam_chord: np.ndarray,
    elevon_chord: np.ndarray,
    share: float | np.ndarray = 0.0,
) -> dict[str, Strip]:
    """Return the Strip of foam, covering and trailing strip, by name. Foam is that of the solid section.

    ``leading_edge``, ``foam_chord`` and ``elevon_chord`` are (..., n) [m]. ``share`` (..., n) is the share of the tip's
    section [-]. The covering wraps the elevon too. Geometry: the trailing strip is a wedge whose thickness falls to a
    third. The integrals of the foam's area are exactly linear in the share, those of the outline nearly so.
    """
    c, e = foam_chord, elevon_chord
    root, change = materials.section, materials.tip_change
    area: Any = root.area_second
    outline: Any = root.outline_second
    if change is not None:
        area, outline = area + change.area_second * share, outline + change.outline_second * share
    middle = c + 0.5 * e  # of the elevon's two sides
    second = area * c**4, outline * c**3 + 2 * e * (middle**2 + e**2 / 12)
    masses = mass_per_length(materials, c, e, share)
    sizes, moments = _sizes(materials, c, e, share), _size_moments(materials, c, e, share)
    layers = {}
    for at, name in enumerate(("foam", "covering")):
        centre = moments[at] / sizes[at]
        layers[name] = Strip(masses[name], leading_edge + centre, np.sqrt(second[at] / sizes[at] - centre**2))
    return layers | {"elevons": Strip(masses["elevons"], leading_edge + c + _WEDGE_CENTROID * e, _WEDGE_RADIUS * e)}


class BareWing(NamedTuple):
    """Foam, covering and elevons of the total wing. Fields of a Lump are (...)."""

    lumps: dict[str, Lump]  # by name [kg], [kg m]
    surface: Lump  # of wing and elevons that is covered, without overlaps: its area and first moment [m^2], [m^3]


def bare_wing(planform: Planform, materials: WingMaterials, chords: np.ndarray | None = None) -> BareWing:
    """Return the BareWing (...) by exact integration.

    ``chords`` (3, ..., n_break) [m] are the wing's ``planform.section_chords``, if they are known already.
    """
    n_break = planform.station.shape[-1]
    shares, weight = gauss_shares(n_break), planform.station @ _gauss_weights(n_break)
    edge = planform.leading_edge @ shares
    foam_chord, elevon_chord, tip_chord = (section_chords(planform) if chords is None else chords) @ shares
    tip_share = tip_chord / foam_chord
    sizes = _sizes(materials, foam_chord, elevon_chord, tip_share)
    firsts = _size_moments(materials, foam_chord, elevon_chord, tip_share)
    along = [*sizes, *(size * edge + first for size, first in zip(sizes, firsts, strict=True))]
    volume, surface, elevons, *moments = np.add.reduce(np.array(along) * (2 * weight), axis=-1)
    foam, film, wedge = _densities(materials)
    lumps = {
        "foam": Lump(foam * volume, foam * moments[0]),
        "covering": Lump(film * surface, film * moments[1]),
        "elevons": Lump(wedge * elevons, wedge * moments[2]),
    }
    return BareWing(lumps, Lump(surface, moments[1]))


def rod_lump(linear_mass: float | np.ndarray, lines: Sequence[PlanLine]) -> Lump:
    """Return the Lump of straight rods on ``lines`` (...) in both half wings. Statics, no source needed.

    ``linear_mass`` (...) is the mass per length of all rods in one half wing [kg/m].
    """
    parts = [(2 * linear_mass * line.length, 0.5 * (line.inner_x + line.outer_x)) for line in lines]
    return total_lump([Lump(mass, mass * place) for mass, place in parts])


def fin_lump(fin: SheetFin, planform: Planform) -> Lump:
    """Return the Lump (...) of a fin and its like in the other half wing, flat trapezoidal sheets.

    Geometry, no source needed.
    """
    foot = planform.leading_edge[..., fin.stands_on] + fin.behind_leading_edge
    lumps = []
    for part in fin_parts(fin):
        mass = 2 * fin.areal_mass * part.area
        place = foot + 0.5 * part.set_back + 0.25 * (part.root_chord + part.tip_chord)
        lumps.append(Lump(mass, mass * place))
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
    mass, moment = lumps[0] if lumps else (0.0, 0.0)
    for lump in lumps[1:]:
        mass, moment = mass + lump.mass, moment + lump.moment
    return Lump(mass, moment)


def scaled_lump(lump: Lump, factor: Any) -> Lump:
    """Return a Lump times a ``factor`` (...), such as a density. This is bookkeeping. [as given]"""
    return Lump(factor * lump.mass, factor * lump.moment)


def pack_position(
    centre_of_gravity: np.ndarray, all_up_mass: np.ndarray, moment_without_pack: np.ndarray, sliding_mass: np.ndarray
) -> np.ndarray:
    """Return the place (...) of the pack's centre behind the nose datum at which the wing balances. [m]

    ``centre_of_gravity`` [m], ``all_up_mass`` [kg], ``moment_without_pack`` [kg m] and ``sliding_mass`` [kg] have
    shape (...). The last is the mass that moves with the pack. Statics, no source needed.
    """
    return (centre_of_gravity * all_up_mass - moment_without_pack) / sliding_mass
