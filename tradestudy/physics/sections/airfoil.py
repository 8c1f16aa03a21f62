"""Section outlines by name from the library's database, by coordinates or by a NACA four- or five-digit name."""

from __future__ import annotations

import warnings
from typing import NamedTuple

import numpy as np
from scipy.integrate import trapezoid

from . import coordinate_file, naca

_POINTS_PER_SIDE = 80  # of an outline


class SectionShape(NamedTuple):
    """Geometry of a foam section per unit of its own chord.

    ``torsion`` is the Saint-Venant constant by J = 4 I / (1 + 16 I / (A c^2)). It is good to 0.7 % on a solid symmetric
    section, checked in tests/published against a two-dimensional finite-element value.
    """

    area: float  # over chord squared [-]
    perimeter: float  # over chord [-]
    second_moment: float  # about the chordwise axis, over chord to the fourth [-]
    torsion: float  # over chord to the fourth [-]
    thickness: float  # largest, over chord [-]


def coordinates_by_name(name: str) -> np.ndarray:
    """Return the outline (n, 2) of a section of the library's database or of a NACA four- or five-digit name. [-]

    NACA sections keep the chord of their definition; the others' source is the library aerosandbox. Raises ValueError
    when there is no such section.
    """
    if naca.is_naca_name(name):
        return _resampled_on_chord(naca.naca_outline(name))
    import aerosandbox as asb

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # an unknown section is reported below, once
        section = asb.Airfoil(name)
    if section.coordinates is None:
        raise ValueError(f'no section called "{name}"')
    return resampled(section.coordinates)


def coordinates_from_text(text: str) -> np.ndarray:
    """Return the outline (n, 2) in the text of a coordinate file, read as in ``coordinate_file.read_outline``. [-]

    Raises ValueError with a sentence that continues after the name of the file.
    """
    return resampled(np.array(coordinate_file.read_outline(text)))


def resampled(coordinates: np.ndarray) -> np.ndarray:
    """Return an outline (n, 2) on the chord from (0, 0) to (1, 0), cosine spaced in x; interpolation. [-]

    It has _POINTS_PER_SIDE panels a side. ``coordinates`` (n, 2) [-] run round the section from the trailing edge.
    """
    return _resampled_on_chord(_on_unit_chord(np.asarray(coordinates, float)))


def _resampled_on_chord(outline: np.ndarray) -> np.ndarray:
    nose = int(np.argmin(outline[:, 0]))
    top, bottom = outline[: nose + 1][::-1], outline[nose:]
    x = chord_stations()
    upper, lower = (_height_at(side, x) for side in (top, bottom))
    if np.mean(upper) < np.mean(lower):
        upper, lower = lower, upper
    return outline_from_surfaces(x, upper, lower)


def chord_stations() -> np.ndarray:
    """Return the chord fractions (n,) of an outline's points, by definition dense at nose and tail. [-]"""
    return 0.5 * (1 - np.cos(np.pi * np.arange(_POINTS_PER_SIDE + 1) / _POINTS_PER_SIDE))


def outline_from_surfaces(x: np.ndarray, upper: np.ndarray, lower: np.ndarray) -> np.ndarray:
    """Return the outline (2 n - 1, 2), round from the tail, of two surfaces; geometry. [-]

    ``upper`` and ``lower`` (n,) are their heights [-] at the stations ``x`` (n,) [-] from nose to tail.
    """
    return np.column_stack([np.concatenate([x[::-1], x[1:]]), np.concatenate([upper[::-1], lower[1:]])])


def _height_at(side: np.ndarray, x: np.ndarray) -> np.ndarray:
    """Height of one surface at x, interpolated in the square root of x so that the nose stays round."""
    root = np.sqrt(np.clip(side[:, 0], 0, None))
    keep = np.concatenate([[True], np.diff(root) > 1e-9])
    from scipy.interpolate import PchipInterpolator

    return PchipInterpolator(root[keep], side[keep, 1], extrapolate=True)(np.sqrt(x))


def _chord_line(outline: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Nose (2,), the point farthest from the trailing edge, and the vector (2,) from it to the trailing edge."""
    trailing = 0.5 * (outline[0] + outline[-1])
    nose = outline[np.argmax(np.sum((outline - trailing) ** 2, axis=1))]
    return nose, trailing - nose


def _on_unit_chord(outline: np.ndarray) -> np.ndarray:
    nose, (run, rise) = _chord_line(outline)
    length = np.hypot(run, rise)
    turn = np.array([[run, rise], [-rise, run]]) / length**2
    return (outline - nose) @ turn.T


def surfaces(coordinates: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return x (n,), upper (n,) and lower (n,) heights of resampled ``coordinates`` (2 n - 1, 2) [-]; geometry. [-]"""
    count = (len(coordinates) - 1) // 2
    return coordinates[count:, 0], coordinates[: count + 1, 1][::-1], coordinates[count:, 1]


def section_thickness(coordinates: np.ndarray, fraction: np.ndarray) -> np.ndarray:
    """Return thickness over chord (...) of resampled ``coordinates`` (n, 2) [-]; interpolation. [-]

    ``fraction`` (...) is the chord fraction [-].

    >>> round(float(section_thickness(coordinates_by_name("naca0010"), 0.3)), 4)
    0.1
    """
    x, upper, lower = surfaces(coordinates)
    return np.interp(fraction, x, upper - lower)


def scaled_thickness(coordinates: np.ndarray, thickness: float) -> np.ndarray:
    """Return the outline (n, 2) with the largest thickness ``thickness`` over chord [-] and the same camber; geometry.

    ``coordinates`` (n, 2) are resampled [-].
    """
    x, upper, lower = surfaces(coordinates)
    camber, half = 0.5 * (upper + lower), 0.5 * (upper - lower)
    half = half * (0.5 * thickness / half.max())
    return outline_from_surfaces(x, camber + half, camber - half)


def with_plate_elevon(coordinates: np.ndarray, foam_fraction: float, plate_thickness: float) -> np.ndarray:
    """Return foam section and elevon as one outline (n, 2): the foam ahead, a flat plate tapering aft; geometry. [-]

    Parameters
    ----------
    coordinates : (n, 2) array
        The foam's own section, unit chord. [-]
    foam_fraction : float
        Foam chord over total chord. [-]
    plate_thickness : float
        Thickness of the elevon at the hinge over total chord; a third of it is left at the trailing edge. [-]
    """
    x, upper, lower = surfaces(coordinates)
    camber, half = 0.5 * (upper + lower) * foam_fraction, 0.5 * (upper - lower) * foam_fraction
    along = surfaces(resampled(coordinates))[0]
    share = np.clip((along - foam_fraction) / (1 - foam_fraction), 0, 1)
    plate = 0.5 * plate_thickness * (1 - 2 / 3 * share)
    foam_half = np.interp(along / foam_fraction, x, half, right=0.0)
    aft_slope = (camber[-1] - np.interp(0.9, x, camber)) / (0.1 * foam_fraction)
    line = np.where(
        along < foam_fraction,
        np.interp(along / foam_fraction, x, camber),
        camber[-1] + aft_slope * (along - foam_fraction),
    )
    half_section = np.where(along > 0.6 * foam_fraction, np.maximum(foam_half, plate), foam_half)
    return resampled(outline_from_surfaces(along, line + half_section, line - half_section))


def section_shape(coordinates: np.ndarray, front_fraction: float = 1.0) -> SectionShape:
    """Return the SectionShape of the part ahead of ``front_fraction`` [-], per unit of that part's own chord.

    ``coordinates`` (n, 2) are resampled [-]. Integration, and for torsion the formula of the class.
    """
    x, upper, lower = surfaces(coordinates)
    fine = np.linspace(0, 1, 2001) ** 2 * front_fraction
    top, bottom = np.interp(fine, x, upper), np.interp(fine, x, lower)
    thickness, middle = top - bottom, 0.5 * (top + bottom)
    area = trapezoid(thickness, fine)
    centre = trapezoid(thickness * middle, fine) / area
    second = trapezoid(thickness**3 / 12 + thickness * (middle - centre) ** 2, fine)
    bending = trapezoid(thickness**3 / 12, fine)  # torsion depends on thickness, not on where the camber puts it
    perimeter = sum(np.sum(np.hypot(np.diff(fine), np.diff(side))) for side in (top, bottom)) + thickness[-1]
    c = front_fraction
    torsion = 4 * bending / (1 + 16 * bending / (area * c**2))
    return SectionShape(area / c**2, perimeter / c, second / c**4, torsion / c**4, thickness.max() / c)


def deflected_outline(coordinates: np.ndarray, hinge_fraction: float, deflection: float) -> tuple[np.ndarray, float]:
    """Return the outline (n, 2) [-] with its flap deflected, and the turn of the chord [rad]; geometry.

    ``coordinates`` (n, 2) are resampled [-], ``hinge_fraction`` is the place of the hinge over chord [-],
    ``deflection`` is positive trailing edge down [rad]. The outline lies on the new chord line. The turn is that of
    the new line against the old one, nose up; it adds to an angle of attack measured on the old chord.
    """
    x, upper, lower = surfaces(coordinates)
    height = 0.5 * (np.interp(hinge_fraction, x, upper) + np.interp(hinge_fraction, x, lower))
    hinge = np.array([hinge_fraction, height])
    turned = np.array(coordinates)
    aft = turned[:, 0] > hinge_fraction
    cosine, sine = np.cos(deflection), np.sin(deflection)
    rotation = np.array([[cosine, sine], [-sine, cosine]])
    turned[aft] = (turned[aft] - hinge) @ rotation.T + hinge
    run, rise = _chord_line(turned)[1]
    return _on_unit_chord(turned), -np.arctan2(rise, run)
