"""Section outlines: by name from the library's database, by coordinates or by a NACA four- or five-digit name."""

from __future__ import annotations

import warnings
from typing import NamedTuple

import numpy as np
from scipy.integrate import trapezoid

from . import coordinate_file, naca

_POINTS_PER_SIDE = 80  # of an outline


class SectionShape(NamedTuple):
    """Geometry of a foam section per unit of its own chord; everything scales with chord.

    ``torsion`` is the Saint-Venant constant by J = 4 I / (1 + 16 I / (A c^2)), good to 0.7 % on a solid
    symmetric section (checked in tests/published against a two-dimensional finite-element value).
    """

    area: float  # over chord squared [-]
    perimeter: float  # over chord [-]
    second_moment: float  # about the chordwise axis, over chord to the fourth [-]
    torsion: float  # over chord to the fourth [-]
    thickness: float  # largest, over chord [-]


def coordinates_by_name(name):
    """Return outline (n, 2) of a section from the library's database or a NACA four- or five-digit name. [-]

    NACA sections keep the chord of their definition. Raises ValueError when there is no such section.
    """
    if naca.is_naca_name(name):
        return _resampled_on_chord(naca.naca_outline(name))
    import aerosandbox as asb

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # that there is no such section is said below, once
        section = asb.Airfoil(name)
    if section.coordinates is None:
        raise ValueError(f'no section called "{name}"')
    return resampled(section.coordinates)


def coordinates_from_text(text):
    """Return outline (n, 2) from the text of a coordinate file, as ``outline_file.read_outline`` reads it. [-]

    Raises ValueError with a sentence that continues after the name of the file.
    """
    return resampled(np.array(coordinate_file.read_outline(text)))


def resampled(coordinates):
    """Return the outline with POINTS_PER_SIDE points a side, cosine spaced in x, chord from (0, 0) to (1, 0). [-]"""
    return _resampled_on_chord(_on_unit_chord(np.asarray(coordinates, float)))


def _resampled_on_chord(outline):
    nose = int(np.argmin(outline[:, 0]))
    top, bottom = outline[: nose + 1][::-1], outline[nose:]
    x = chord_stations()
    upper, lower = (_height_at(side, x) for side in (top, bottom))
    if np.mean(upper) < np.mean(lower):
        upper, lower = lower, upper
    return outline_from_surfaces(x, upper, lower)


def chord_stations():
    """Return the chord fractions (n,) at which an outline is drawn, dense at nose and tail. [-]"""
    return 0.5 * (1 - np.cos(np.pi * np.arange(_POINTS_PER_SIDE + 1) / _POINTS_PER_SIDE))


def outline_from_surfaces(x, upper, lower):
    """Return the outline (2 n - 1, 2) of surfaces (n,) at stations (n,) from nose to tail, round from the tail. [-]"""
    return np.column_stack([np.concatenate([x[::-1], x[1:]]), np.concatenate([upper[::-1], lower[1:]])])


def _height_at(side, x):
    """Height of one surface at x, interpolated in the square root of x so that the nose stays round."""
    root = np.sqrt(np.clip(side[:, 0], 0, None))
    keep = np.concatenate([[True], np.diff(root) > 1e-9])
    from scipy.interpolate import PchipInterpolator

    return PchipInterpolator(root[keep], side[keep, 1], extrapolate=True)(np.sqrt(x))


def _on_unit_chord(outline):
    trailing = 0.5 * (outline[0] + outline[-1])
    nose = outline[np.argmax(np.sum((outline - trailing) ** 2, axis=1))]
    run, rise = trailing - nose
    length = np.hypot(run, rise)
    turn = np.array([[run, rise], [-rise, run]]) / length**2
    return (outline - nose) @ turn.T


def surfaces(coordinates):
    """Return x (n,), upper (n,) and lower (n,) heights of a resampled outline. [-]"""
    count = (len(coordinates) - 1) // 2
    return coordinates[count:, 0], coordinates[: count + 1, 1][::-1], coordinates[count:, 1]


def section_thickness(coordinates, fraction):
    """Return thickness over chord at a chord fraction (...). [-]"""
    x, upper, lower = surfaces(coordinates)
    return np.interp(fraction, x, upper - lower)


def scaled_thickness(coordinates, thickness):
    """Return the outline with its largest thickness made ``thickness`` (over chord), camber line kept. [-]"""
    x, upper, lower = surfaces(coordinates)
    camber, half = 0.5 * (upper + lower), 0.5 * (upper - lower)
    half = half * (0.5 * thickness / half.max())
    return outline_from_surfaces(x, camber + half, camber - half)


def with_plate_elevon(coordinates, foam_fraction, plate_thickness):
    """Return foam section and elevon as one outline: the foam ahead, a flat plate tapering aft of it.

    Parameters
    ----------
    coordinates : (n, 2) array
        The foam's own section, unit chord.
    foam_fraction : float
        Foam chord over whole chord. [-]
    plate_thickness : float
        Thickness of the elevon at the hinge over whole chord; a third of it is left at the trailing edge. [-]
    """
    x, upper, lower = surfaces(coordinates)
    camber, half = 0.5 * (upper + lower) * foam_fraction, 0.5 * (upper - lower) * foam_fraction
    whole = surfaces(resampled(coordinates))[0]
    share = np.clip((whole - foam_fraction) / (1 - foam_fraction), 0, 1)
    plate = 0.5 * plate_thickness * (1 - 2 / 3 * share)
    foam_half = np.interp(whole / foam_fraction, x, half, right=0.0)
    aft_slope = (camber[-1] - np.interp(0.9, x, camber)) / (0.1 * foam_fraction)
    line = np.where(
        whole < foam_fraction,
        np.interp(whole / foam_fraction, x, camber),
        camber[-1] + aft_slope * (whole - foam_fraction),
    )
    half_whole = np.where(whole > 0.6 * foam_fraction, np.maximum(foam_half, plate), foam_half)
    return resampled(outline_from_surfaces(whole, line + half_whole, line - half_whole))


def section_shape(coordinates, front_fraction=1.0):
    """Return the SectionShape of the part ahead of ``front_fraction``, per unit of that part's own chord. [-]"""
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


def deflected_outline(coordinates, hinge_fraction, deflection):
    """Return the outline with its flap turned ``deflection`` [rad] (trailing edge down positive), and the chord turn.

    The outline comes back on the new chord line; the second value is how far that line is turned nose up
    against the old one [rad], to be added to an angle of attack measured on the old chord.
    """
    x, upper, lower = surfaces(coordinates)
    height = 0.5 * (np.interp(hinge_fraction, x, upper) + np.interp(hinge_fraction, x, lower))
    hinge = np.array([hinge_fraction, height])
    turned = np.array(coordinates)
    aft = turned[:, 0] > hinge_fraction
    cosine, sine = np.cos(deflection), np.sin(deflection)
    rotation = np.array([[cosine, sine], [-sine, cosine]])
    turned[aft] = (turned[aft] - hinge) @ rotation.T + hinge
    trailing = 0.5 * (turned[0] + turned[-1])
    nose = turned[np.argmax(np.sum((turned - trailing) ** 2, axis=1))]
    turn = -np.arctan2(trailing[1] - nose[1], trailing[0] - nose[0])
    return _on_unit_chord(turned), turn
