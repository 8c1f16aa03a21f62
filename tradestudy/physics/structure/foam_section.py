"""Foam sections square to the swept axis: area, second moments, torsion, and what the covering adds to them.

All lengths of sections are measured along the flight direction; ``axis_sweep`` turns them square to the swept axis.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.sections import airfoil

from .wing_parts import Covering, Foam, FoamSection, StationSections

SOLID_SHEAR_CENTRE = 0.3646  # chord fraction, solid NACA 00xx section, closed trailing edge [-]


class SectionConstants(NamedTuple):
    """Foam section square to the swept axis; every field (..., n_station)."""

    area: Any  # [m^2]
    inertia: Any  # second moment [m^4]
    torsion_constant: Any  # of the solid section [m^4]
    perimeter: Any  # [m]
    skin_inertia: Any  # second moment of the outline [m^3]
    thickness: Any  # greatest [m]


def section_constants(
    section: FoamSection | StationSections, chord: Any, axis_sweep: Any, thickness_scale: Any
) -> SectionConstants:
    """Return the section constants at each station, square to the swept axis, geometry.

    Parameters
    ----------
    section : FoamSection or StationSections
        Coefficients, of one section or station by station.
    chord : (..., n_station) array
        Foam chord along the flight direction. [m]
    axis_sweep, thickness_scale : (..., n_station) array or float
        Sweep of the structural axis, local thickness ratio over that of ``section``. [rad], [-]

    Returns
    -------
    section_constants : SectionConstants
        Square to the axis the chord shrinks by cos(sweep) and the thickness stays.
    """
    width = chord * np.cos(axis_sweep)
    height = chord * thickness_scale
    cubed = width * height * height * height
    placed = np.asarray if isinstance(section, StationSections) else with_station
    return SectionConstants(
        area=placed(section.area_coefficient) * width * height,
        inertia=placed(section.inertia_coefficient) * cubed,
        torsion_constant=placed(section.torsion_coefficient) * cubed,
        perimeter=placed(section.perimeter_coefficient) * width,
        skin_inertia=placed(section.skin_inertia_coefficient) * width * height * height,
        thickness=placed(section.thickness_coefficient) * height,
    )


def torsional_rigidity(shape: SectionConstants, foam: Foam, covering: Covering) -> np.ndarray:
    """Return the torsional rigidity of foam and covering, twisted as one.

    Parameters
    ----------
    shape, foam, covering : SectionConstants, Foam, Covering
        Section constants and materials.

    Returns
    -------
    torsional_rigidity : (..., n_station) array
        G J. [N m^2]

    Notes
    -----
    Solid foam G J plus the film as a closed cell, G 4 A^2 t / perimeter, times the bond factor. Source: Bredt and
    Batho; Megson, Aircraft Structures for Engineering Students, single-cell torsion. The sum is 12 to 14 % below the
    field solution of foam and film as one. A bonded film gives 85 to 95 % of the total, so the bond is the largest
    unknown; a slack or hot film gives next to nothing.
    """
    return with_station(foam.shear_modulus) * shape.torsion_constant + covering_torsional_rigidity(shape, covering)


def covering_torsional_rigidity(shape: SectionConstants, covering: Covering) -> np.ndarray:
    """Return what the covering adds to GJ (..., n_station), source as for ``torsional_rigidity``. [N m^2]

    A closed cell times the bond factor.
    """
    film = with_station(covering.bond * covering.shear_modulus * covering.thickness)
    return film * 4.0 * shape.area**2 / shape.perimeter


def covering_rigidity(shape: SectionConstants, covering: Covering) -> np.ndarray:
    """Return what the covering adds to EI (..., n_station): the stretched side only, statics. [N m^2]

    Half of E t times the outline's second moment, times the bond factor. The pressed side wrinkles at
    about the strain where a glass rod buckles, and is left out at any load.
    """
    return 0.5 * with_station(covering.bond * covering.youngs_modulus * covering.thickness) * shape.skin_inertia


def with_station(value: Any) -> np.ndarray:
    """Return a value (...) as an array with a last axis for stations (..., 1), bookkeeping. [as given]

    The ``value`` may be in any unit [as given].
    """
    return np.asarray(value)[..., None]


def blended_outline(root: np.ndarray, tip: np.ndarray, share: float) -> np.ndarray:
    """Return the outline (n, 2) between two resampled ones by linear interpolation. [-]

    ``root`` and ``tip`` (n, 2) are on unit chord [-]; ``share`` [-] is that of the tip's.
    """
    return root + (tip - root) * share


def foam_sections(
    root: np.ndarray, tip: np.ndarray, share: np.ndarray, front_fraction: float, rod_fractions: Any
) -> StationSections:
    """Return the StationSections of stations whose tip ``share`` (n_station,) [-] is given, geometry.

    ``root`` and ``tip`` are outlines (n, 2) on their own chord [-], ``front_fraction`` [-] is foam over that chord,
    ``rod_fractions`` (n_set,) [-] are of the foam chord.
    """
    outlines = [blended_outline(root, tip, one) for one in share]
    shapes = [airfoil.section_shape(outline, front_fraction) for outline in outlines]
    area, perimeter, second_moment, torsion, thickness = np.array(shapes, float).T
    places = np.asarray(rod_fractions, float) * front_fraction
    at_rods = np.array([airfoil.section_thickness(outline, places) / front_fraction for outline in outlines]).T
    return StationSections(
        area_coefficient=area,
        inertia_coefficient=second_moment,
        torsion_coefficient=torsion,
        perimeter_coefficient=perimeter,
        thickness_coefficient=thickness,
        thickness_fraction=at_rods,
    )
