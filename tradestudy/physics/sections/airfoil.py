"""Section outlines by name (library database, or NACA four or five digits) or from coordinates, and their geometry.

An outline (n, 2) holds x and z of n points. A resampled outline comes from ``resampled``, with fixed stations. "(...)"
means arrays of any batch shape.
"""

from __future__ import annotations

import importlib.util
import warnings
from pathlib import Path
from typing import NamedTuple

import numpy as np

from . import coordinate_file, naca
from .monotone_curve import monotone_curve

_POINTS_PER_SIDE = 80  # panels on each surface of an outline


class SectionShape(NamedTuple):
    """Geometry of a foam section with a chord of 1.

    ``torsion`` is the Saint-Venant constant J = 4 I / (1 + 16 I / (A c^2)). I is the integral of thickness^3 / 12 over
    the chord c, and A is the area. On a solid symmetric section the formula is right within 0.7 %. tests/published
    checks this against a two-dimensional finite-element value.
    """

    area: float  # area over chord^2 [-]
    perimeter: float  # perimeter over chord [-]
    second_moment: float  # second moment of area about the chordwise axis, over chord^4 [-]
    torsion: float  # torsion constant over chord^4 [-]
    thickness: float  # largest thickness over chord [-]
    skin_inertia: float  # integral of z^2 along both surfaces about the same axis, over chord^3 [-]


def coordinates_by_name(name: str) -> np.ndarray:
    """Return the outline (n, 2) of a named section: from the library's database, or a NACA name of four or five digits.
    [-]

    A NACA section keeps the chord of its definition. The source of all others is the library aerosandbox. Raises
    ValueError if no section has this name.
    """
    if naca.is_naca_name(name):
        return _resampled_on_chord(naca.naca_outline(name))
    coordinates = _listed_coordinates(name)
    if coordinates is None:
        raise ValueError(f'no section called "{name}"')
    return resampled(coordinates)


def _listed_coordinates(name: str) -> np.ndarray | None:
    """Return the coordinates (n, 2) of a section that the library lists, or None. [-]

    Its file is read directly where that is possible, because importing the library takes longer than `check` runs.
    """
    library = importlib.util.find_spec("aerosandbox")
    for folder in (library.submodule_search_locations or ()) if library else ():
        file = Path(folder, "geometry", "airfoil", "airfoil_database", f"{name}.dat")
        try:
            return np.array(coordinate_file.read_outline(file.read_text(encoding="utf-8")))
        except (OSError, ValueError):
            continue
    import aerosandbox as asb

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # the caller reports an unknown section
        return asb.Airfoil(name).coordinates


def coordinates_from_text(text: str) -> np.ndarray:
    """Return the outline (n, 2) from the text of a coordinate file, read as in ``coordinate_file.read_outline``. [-]

    Raises ValueError with a message that the caller puts after the file's name.
    """
    return resampled(np.array(coordinate_file.read_outline(text)))


def resampled(coordinates: np.ndarray) -> np.ndarray:
    """Return an outline (n, 2) on the chord from (0, 0) to (1, 0), with cosine-spaced points, by interpolation. [-]

    Each surface has _POINTS_PER_SIDE panels. ``coordinates`` (n, 2) [-] run round the section from the trailing edge.
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
    """Return the chord fractions (n,) of an outline's points, dense at nose and trailing edge. This is a definition.
    [-]
    """
    return 0.5 * (1 - np.cos(np.pi * np.arange(_POINTS_PER_SIDE + 1) / _POINTS_PER_SIDE))


def outline_from_surfaces(x: np.ndarray, upper: np.ndarray, lower: np.ndarray) -> np.ndarray:
    """Return the outline (2 n - 1, 2) of two surfaces: trailing edge, upper surface, nose, lower surface. [-]

    ``upper`` and ``lower`` (n,) are the heights [-] of the surfaces at the stations ``x`` (n,) [-] from nose to
    trailing edge. Geometry, no source needed.
    """
    return np.column_stack([np.concatenate([x[::-1], x[1:]]), np.concatenate([upper[::-1], lower[1:]])])


def _height_at(side: np.ndarray, x: np.ndarray) -> np.ndarray:
    """Return the height of one surface at x, interpolated in the square root of x so that the nose stays round."""
    root = np.sqrt(np.clip(side[:, 0], 0, None))
    keep = np.concatenate([[True], np.diff(root) > 1e-9])
    return monotone_curve(root[keep], side[keep, 1], np.sqrt(x))


def _chord_line(outline: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the nose (2,) and the vector (2,) from it to the trailing edge.

    The nose is the point farthest from the trailing edge.
    """
    trailing = 0.5 * (outline[0] + outline[-1])
    nose = outline[np.argmax(np.sum((outline - trailing) ** 2, axis=1))]
    return nose, trailing - nose


def _on_unit_chord(outline: np.ndarray) -> np.ndarray:
    nose, (run, rise) = _chord_line(outline)
    length = np.hypot(run, rise)
    turn = np.array([[run, rise], [-rise, run]]) / length**2
    return (outline - nose) @ turn.T


def surfaces(coordinates: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return stations x (n,), upper heights (n,) and lower heights (n,) of resampled ``coordinates`` (2 n - 1, 2) [-].
    [-]

    Geometry, no source needed.
    """
    count = (len(coordinates) - 1) // 2
    return coordinates[count:, 0], coordinates[: count + 1, 1][::-1], coordinates[count:, 1]


def section_thickness(coordinates: np.ndarray, fraction: np.ndarray) -> np.ndarray:
    """Return the thickness over chord (...) of resampled ``coordinates`` (n, 2) [-], by interpolation. [-]

    ``fraction`` (...) is the chord fraction at which the thickness is returned [-].

    >>> round(float(section_thickness(coordinates_by_name("naca0010"), 0.3)), 4)
    0.1
    """
    x, upper, lower = surfaces(coordinates)
    return np.interp(fraction, x, upper - lower)


def scaled_thickness(coordinates: np.ndarray, thickness: float) -> np.ndarray:
    """Return the outline (n, 2) scaled to a largest ``thickness`` over chord [-], with its camber unchanged. [-]

    ``coordinates`` (n, 2) are resampled [-]. Geometry, no source needed.
    """
    x, upper, lower = surfaces(coordinates)
    camber, half = 0.5 * (upper + lower), 0.5 * (upper - lower)
    half = half * (0.5 * thickness / half.max())
    return outline_from_surfaces(x, camber + half, camber - half)


def with_plate_elevon(coordinates: np.ndarray, foam_fraction: float, plate_thickness: float) -> np.ndarray:
    """Return foam section and elevon as a single outline (n, 2): foam ahead, then a flat plate that tapers aft. [-]

    Geometry, no source needed.

    Parameters
    ----------
    coordinates : (n, 2) array
        Section of the foam alone, with a chord of 1. [-]
    foam_fraction : float
        Foam chord over total chord. [-]
    plate_thickness : float
        Thickness of the elevon at the hinge over total chord. A third of it remains at the trailing edge. [-]
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
    """Return the SectionShape of the part of a section ahead of ``front_fraction`` [-], over that part's own chord.

    ``coordinates`` (n, 2) are resampled [-]. The values follow by integration; torsion uses the formula of
    SectionShape.
    """
    x, upper, lower = surfaces(coordinates)
    fine = np.linspace(0, 1, 2001) ** 2 * front_fraction
    top, bottom = np.interp(fine, x, upper), np.interp(fine, x, lower)
    thickness, middle = top - bottom, 0.5 * (top + bottom)
    area = np.trapezoid(thickness, fine)
    centre = np.trapezoid(thickness * middle, fine) / area
    second = np.trapezoid(thickness**3 / 12 + thickness * (middle - centre) ** 2, fine)
    bending = np.trapezoid(thickness**3 / 12, fine)  # torsion depends on the thickness alone, so camber is left out
    lengths = [np.hypot(np.diff(fine), np.diff(side)) for side in (top, bottom)]
    perimeter = sum(np.sum(length) for length in lengths) + thickness[-1]
    heights = [0.5 * (side[1:] + side[:-1]) - centre for side in (top, bottom)]
    skin = sum(np.sum(height**2 * length) for height, length in zip(heights, lengths, strict=True))
    c = front_fraction
    torsion = 4 * bending / (1 + 16 * bending / (area * c**2))
    return SectionShape(area / c**2, perimeter / c, second / c**4, torsion / c**4, thickness.max() / c, skin / c**3)


def deflected_outline(coordinates: np.ndarray, hinge_fraction: float, deflection: float) -> tuple[np.ndarray, float]:
    """Return the outline (n, 2) [-] with its flap deflected, and the rotation of the chord line [rad].

    ``coordinates`` (n, 2) are resampled [-]. ``hinge_fraction`` is the place of the hinge over chord [-].
    ``deflection`` is positive trailing edge down [rad]. The outline lies on the new chord line. Its rotation against
    the old chord line is positive nose up; add it to an angle of attack that was measured on the old chord. Geometry,
    no source needed.
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
