"""Foam sections square to the swept axis: area, second moments, torsion, and what the covering adds to them.

Lengths of sections are measured along the flight direction. ``axis_sweep`` converts them to the direction square to the
swept axis. In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from scipy.interpolate import CubicSpline

from tradestudy.physics.sections import airfoil

from .wing_parts import Covering, FoamSection, StationSections

CRUSHED_STRAIN = 2.0  # strain of the foam's outer fibre where a wing gives way, over that at yield; judgement [-]
SOLID_SHEAR_CENTRE = 0.3646  # chord fraction of the shear centre, solid NACA 00xx section, closed trailing edge [-]
_CURVE_PIECES = 24  # pieces of the splines of the thickness; within 0.1 % of the outline
_NOSE = 0.002  # foremost share of the foam chord at which the thickness is computed; there is no rod ahead of it [-]


class SectionConstants(NamedTuple):
    """Foam section square to the swept axis. Every field has the shape (..., n_station)."""

    area: Any  # area of the foam [m^2]
    inertia: Any  # second moment of area [m^4]
    torsion_constant: Any  # torsion constant of the solid section [m^4]
    perimeter: Any  # length of the outline [m]
    skin_inertia: Any  # second moment of the outline [m^3]
    thickness: Any  # greatest thickness [m]


def section_constants(
    section: FoamSection | StationSections, chord: Any, axis_sweep: Any, thickness_scale: Any
) -> SectionConstants:
    """Return the section constants at each station, square to the swept axis.

    Parameters
    ----------
    section : FoamSection or StationSections
        Coefficients of one section, or of a section at each station.
    chord : (..., n_station) array
        Foam chord along the flight direction. [m]
    axis_sweep, thickness_scale : (..., n_station) array or float
        Sweep of the structural axis, and local thickness ratio over that of ``section``. [rad], [-]

    Returns
    -------
    section_constants : SectionConstants
        Geometry: square to the axis the chord is shorter by cos(sweep) and the thickness is the same.
    """
    width = chord * np.cos(axis_sweep)
    height = chord * thickness_scale
    box = width * height
    squared = box * height
    cubed = squared * height
    if not isinstance(section, StationSections):
        section = FoamSection._make(map(with_station, section))
    return SectionConstants(
        area=section.area_coefficient * box,
        inertia=section.inertia_coefficient * cubed,
        torsion_constant=section.torsion_coefficient * cubed,
        perimeter=section.perimeter_coefficient * width,
        skin_inertia=section.skin_inertia_coefficient * squared,
        thickness=section.thickness_coefficient * height,
    )


def covering_torsional_rigidity(shape: SectionConstants, covering: Covering) -> np.ndarray:
    """Return what the covering adds to the torsional rigidity GJ, with shape (..., n_station). [N m^2]

    Parameters
    ----------
    shape, covering : SectionConstants, Covering
        Section constants and material.

    Notes
    -----
    4 G A^2 t / perimeter of the film as a closed cell, times the bond factor. G and t are shear modulus and thickness
    of the film, and A is the area inside it. Source: Bredt and Batho; Megson, Aircraft Structures for Engineering
    Students, single-cell torsion. The sum with G J of the solid foam is 12 to 14 % below the field solution of foam and
    film together. A bonded film gives 85 to 95 % of the total, so the bond is the largest unknown. A slack or hot film
    gives almost nothing.
    """
    film = with_station(4.0 * covering.bond * covering.shear_modulus * covering.thickness)
    return film * shape.area * shape.area / shape.perimeter


def covering_rigidity(shape: SectionConstants, covering: Covering) -> np.ndarray:
    """Return what the covering adds to EI, with shape (..., n_station). [N m^2]

    Statics: half of E t times the second moment of the outline, times the bond factor. E and t are Young's modulus and
    thickness of the film. Only the stretched side is included. The pressed side wrinkles at about the strain where a
    glass rod buckles, and is left out at any load.
    """
    return with_station(0.5 * covering.bond * covering.youngs_modulus * covering.thickness) * shape.skin_inertia


def crushing_reserve(foam_share: Any) -> Any:
    """Return the bending moment at which foam gives way over that at which its outer fibre starts to crush. [-]

    ``foam_share`` (...) [-] is the foam's share of the bending rigidity.

    Crushing is no break. Bead foam keeps its stress while it is crushed further; EN 826 measures its strength at 10 %
    strain. The wing is taken to give way at CRUSHED_STRAIN times the strain where crushing starts. For the foams of the
    catalogue that is 4 to 6 %.

    The moment of the foam is then 3/2 (1 - 1/(3 k^2)) times that at the start, with k = CRUSHED_STRAIN. All other parts
    are taken to carry no more than at the start, on the safe side. Source: elastic and perfectly plastic rectangular
    beam, Timoshenko, Strength of Materials, part II. A section that is thinner at its ends has a greater ratio.

    >>> crushing_reserve(1.0), crushing_reserve(0.0)
    (1.375, 1.0)
    """
    return 1.0 + foam_share * (0.5 - 0.5 / CRUSHED_STRAIN**2)


def with_station(value: Any) -> Any:
    """Return a value (...) as an array (..., 1) with a last axis for stations. [as given]

    This is bookkeeping. The ``value`` may be in any unit [as given]. A float stays a float, which broadcasts as well.
    """
    return value if isinstance(value, float) else np.asarray(value)[..., None]


def blended_outline(root: np.ndarray, tip: np.ndarray, share: float) -> np.ndarray:
    """Return an outline (n, 2) by linear interpolation between the outlines at root and tip. [-]

    ``root`` and ``tip`` (n, 2) have unit chord and points at the same places [-]. ``share`` [-] is the weight of the
    tip.
    """
    return root + (tip - root) * share


def foam_sections(root: np.ndarray, tip: np.ndarray, share: np.ndarray, front_fraction: float) -> StationSections:
    """Return the StationSections of a wing whose section changes from root to tip.

    ``root`` and ``tip`` are outlines (n, 2) with unit chord [-]. ``share`` (n_station,) [-] is the weight of the tip
    outline at each station. ``front_fraction`` [-] is the foam chord over the complete chord. This is geometry and
    needs no source.
    """
    outlines = [blended_outline(root, tip, one) for one in share]
    shapes = [airfoil.section_shape(outline, front_fraction) for outline in outlines]
    area, perimeter, second_moment, torsion, thickness, skin_inertia = np.array(shapes, float).T
    return StationSections(
        area_coefficient=area,
        inertia_coefficient=second_moment,
        torsion_coefficient=torsion,
        perimeter_coefficient=perimeter,
        thickness_coefficient=thickness,
        skin_inertia_coefficient=skin_inertia,
    )


class ThicknessCurve(NamedTuple):
    """Thickness over foam chord, at every place along it and every station. Splines over the root of the place.

    Each row is for one of n equal pieces. It has the coefficients of the root's spline, lowest power first, for the
    share of the piece behind its start. If the tip has another section, the tip's coefficients less these follow.
    """

    pieces: np.ndarray  # coefficients (n, 4) or (n, 8) [-]


def thickness_curve(root: np.ndarray, tip: np.ndarray, front_fraction: float) -> ThicknessCurve:
    """Return the ThicknessCurve of a wing.

    ``root`` and ``tip`` are outlines (n, 2) with unit chord [-]. ``front_fraction`` [-] is the foam chord over the
    complete chord. At a round nose the thickness grows with the root of the distance behind it, so the splines are
    smooth there too. Geometry, no source needed.
    """
    step = np.arange(_CURVE_PIECES + 1.0)
    place = (step / _CURVE_PIECES) ** 2 * front_fraction
    inner, outer = (
        CubicSpline(step, airfoil.section_thickness(outline, place) / front_fraction).c[::-1].T
        for outline in (root, tip)
    )
    change = outer - inner
    return ThicknessCurve(np.hstack([inner, change]) if change.any() else inner)


def thickness_at(curve: ThicknessCurve, fraction: np.ndarray, tip_share: np.ndarray) -> np.ndarray:
    """Return the thickness over foam chord (..., n_set, n_station) at places along the foam chord. [-]

    ``fraction`` (..., n_set, n_station) [-] is the place as a share of the foam chord. Outside 0.2 to 100 % it is that
    at the end. ``tip_share`` (..., n_station) [-] is the weight of the tip outline at each station. Geometry; safe for
    complex steps.
    """
    # complex numbers are ordered by their real parts
    place = _CURVE_PIECES * np.sqrt(np.minimum(np.maximum(fraction, _NOSE), 1.0))
    piece = np.minimum(place.real.astype(int), _CURVE_PIECES - 1)
    step = place - piece

    spline = curve.pieces[piece]
    if spline.shape[-1] == 8:
        spline = spline[..., :4] + tip_share[..., None, :, None] * spline[..., 4:]
    return spline[..., 0] + step * (spline[..., 1] + step * (spline[..., 2] + step * spline[..., 3]))
