"""Characteristic numbers of a section and its mean line: camber, zero-lift angle and moment by thin-airfoil theory."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from . import airfoil


class SectionNumbers(NamedTuple):
    """Characteristic numbers of a section with a chord of 1. Angles are in [rad], all other numbers are pure [-]."""

    area: float
    perimeter: float  # length of the outline, including a blunt trailing edge [-]
    thickness: float
    thickness_place: float
    camber: float  # largest distance of the mean line from the chord line, with its sign [-]
    camber_place: float
    zero_lift_angle: float  # zero-lift angle of the mean line, without thickness and friction [rad]
    moment_coefficient: float  # moment of the mean line about the quarter chord, nose up positive [-]


def zero_lift_and_moment(x: np.ndarray, line: np.ndarray) -> tuple[float, float]:
    """Return the zero-lift angle [rad] and quarter-chord moment coefficient [-] of a mean line of straight pieces.

    Parameters
    ----------
    x, line : (n,) arrays
        Stations from nose to trailing edge, and heights there. The line is straight between them. [-]

    Notes
    -----
    Source: H. Glauert (1926). z is the height of the line, and t is the angle with x = (1 - cos t) / 2.
    The zero-lift angle is (1/pi) int (dz/dx) (1 - cos t) dt. The moment coefficient is
    (1/2) int (dz/dx) (cos 2t - cos t) dt. Both integrals are exact for straight pieces.

    Examples
    --------
    A flat line whose last fifth is bent down by 0.1:

    >>> angle, moment = zero_lift_and_moment(np.array([0.0, 0.8, 1.0]), np.array([0.0, 0.0, -0.02]))
    >>> round(float(angle), 4), round(float(moment), 4)
    (-0.055, -0.064)
    """
    angle = np.arccos(1 - 2 * np.clip(x, 0.0, 1.0))
    slope = np.diff(line) / np.diff(x)
    zero_lift = slope @ np.diff(angle - np.sin(angle)) / np.pi
    return zero_lift, 0.5 * (slope @ np.diff(0.5 * np.sin(2 * angle) - np.sin(angle)))


def section_numbers(coordinates: np.ndarray) -> SectionNumbers:
    """Return the SectionNumbers of resampled ``coordinates`` (n, 2) [-]. Source: geometry and thin-airfoil theory
    (1926).
    """
    x, upper, lower = airfoil.surfaces(coordinates)
    line, depth = 0.5 * (upper + lower), upper - lower
    shape = airfoil.section_shape(coordinates)
    camber_place, camber = _extreme(x, line)
    place, thickness = _extreme(x, depth)
    angle, moment = zero_lift_and_moment(x, line)
    return SectionNumbers(
        area=shape.area,
        perimeter=shape.perimeter,
        thickness=float(thickness),
        thickness_place=float(place),
        camber=float(camber),
        camber_place=float(camber_place),
        zero_lift_angle=float(angle),
        moment_coefficient=float(moment),
    )


def _extreme(x: np.ndarray, height: np.ndarray) -> tuple[float, float]:
    """Return place and value of a curve's largest distance from zero, by a parabola through three points."""
    index = int(np.clip(np.argmax(np.abs(height)), 1, len(x) - 2))
    near, around = x[index - 1 : index + 2], height[index - 1 : index + 2]
    curve, slope, _ = np.polyfit(near - near[1], around, 2)
    shift = 0.0 if curve == 0 else np.clip(-0.5 * slope / curve, near[0] - near[1], near[2] - near[1])
    return near[1] + shift, around[1] + shift * (slope + curve * shift)
