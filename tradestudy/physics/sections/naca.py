"""NACA four- and five-digit sections by their definition, including reflexed five-digit sections.

Four digits MPTT: the camber is M % of the chord at P tenths of it, and the thickness is TT %.

Five digits LPQTT: the design lift coefficient is 0.15 L, and the camber is greatest at P twentieths of the chord. Q is
0 for the simple mean line and 1 for the reflexed one, which has no moment. The thickness is TT %.

As published, thickness is added square to the mean line, and the trailing edge is open. "(...)" means arrays of any
batch shape.
"""

from __future__ import annotations

import re

import numpy as np

_NAME = re.compile(r"naca(\d{4,5})", re.IGNORECASE)
# Coefficients of sqrt(x), x, x^2, x^3 and x^4 in half thickness / (5 x largest thickness). Jacobs, Ward and Pinkerton,
# NACA Report 460 (1933).
THICKNESS_LAW = (0.2969, -0.1260, -0.3516, 0.2843, -0.1015)
# Five-digit mean lines at design lift 0.3, by second and third digit of the name. The numbers are r, k1 and k2 / k1.
# The third derivative jumps at chord fraction r. The cubic's factor is k1 ahead of r and k2 behind it. Jacobs and
# Pinkerton, NACA Report 537 (1935); Jacobs, Pinkerton and Greenberg, Report 610 (1937). The constants are from memory;
# tests check their definition: place of the camber, design lift, no moment.
FIVE_DIGIT_LINES = {
    "10": (0.0580, 361.40, 0.0),
    "20": (0.1260, 51.640, 0.0),
    "30": (0.2025, 15.957, 0.0),
    "40": (0.2900, 6.643, 0.0),
    "50": (0.3910, 3.230, 0.0),
    "21": (0.1300, 51.990, 0.000764),
    "31": (0.2170, 15.793, 0.00677),
    "41": (0.3180, 6.520, 0.0303),
    "51": (0.4410, 3.191, 0.1355),
}
_POINTS_PER_SIDE = 400  # panels on each surface; about twelve of them lie on the nose circle


def is_naca_name(name: str) -> bool:
    """Return whether this module has a section of that name. This is a definition. [bool]"""
    match = _NAME.fullmatch(name)
    if not match or match[1][-2:] == "00":
        return False
    digits = match[1]
    if len(digits) == 4:
        return digits[0] == "0" or digits[1] != "0"
    return digits[0] != "0" and digits[1:3] in FIVE_DIGIT_LINES


def half_thickness(x: np.ndarray, thickness: float) -> np.ndarray:
    """Return half the thickness (...) at chord fractions ``x`` (...) [-], for a largest ``thickness`` over chord [-].
    [-]

    The trailing edge at x = 1 is open. Source: NACA Report 460 (1933).

    >>> round(float(half_thickness(0.3, 0.12)), 4)
    0.06
    """
    a, b, c, d, e = THICKNESS_LAW
    return 5 * thickness * (a * np.sqrt(x) + x * (b + x * (c + x * (d + x * e))))


def four_digit_line(x: np.ndarray, camber: float, place: float) -> tuple[np.ndarray, np.ndarray]:
    """Return height (...) and slope (...) of a mean line of two parabolas that meet at chord fraction ``place`` [-].
    [-]

    ``x`` (...) are chord fractions [-]; ``camber`` is over chord [-]. Source: NACA Report 460 (1933).
    """
    ahead = x < place
    reach = np.where(ahead, place, 1 - place)
    height = np.where(ahead, x * (2 * place - x), 1 - 2 * place + x * (2 * place - x))
    return camber * height / reach**2, 2 * camber * (place - x) / reach**2


def five_digit_line(x: np.ndarray, line: str, design_lift: float = 0.3) -> tuple[np.ndarray, np.ndarray]:
    """Return height (...) and slope (...) of a five-digit mean line. [-]

    ``x`` (...) are chord fractions [-]. ``line`` is the second and third digit of the name. ``design_lift`` is a
    coefficient [-]. Source: NACA Reports 537 (1935) and 610 (1937).
    """
    joint, first, share = FIVE_DIGIT_LINES[line]
    scale = first * design_lift / 0.3 / 6
    ratio = np.where(x < joint, 1.0, share)
    fall = share * (1 - joint) ** 3 + joint**3
    return scale * (ratio * (x - joint) ** 3 - fall * x + joint**3), scale * (3 * ratio * (x - joint) ** 2 - fall)


def naca_mean_line(name: str, x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return height (...) and slope (...) of the mean line of a NACA name at chord fractions ``x`` (...) [-]. [-]

    For sources see ``four_digit_line`` and ``five_digit_line``.
    """
    digits = _digits(name)
    if len(digits) == 5:
        return five_digit_line(x, digits[1:3], 0.15 * int(digits[0]))
    if digits[0] == "0":
        return np.zeros_like(x), np.zeros_like(x)
    return four_digit_line(x, 0.01 * int(digits[0]), 0.1 * int(digits[1]))


def naca_outline(name: str) -> np.ndarray:
    """Return the outline (n, 2) from the trailing edge over the top to the nose at (0, 0) and back. [-]

    Source: NACA Report 460 (1933). On a steep mean line the nose circle bulges ahead of the nose point, by less than a
    thousandth of the chord. As published, this bulge is left out. Raises ValueError for a name that ``is_naca_name``
    rejects.
    """
    x = 0.5 * (1 - np.cos(np.pi * np.arange(_POINTS_PER_SIDE + 1) / _POINTS_PER_SIDE))
    height, slope = naca_mean_line(name, x)
    half = half_thickness(x, 0.01 * int(_digits(name)[-2:]))
    angle = np.arctan(slope)
    over = np.column_stack([x - half * np.sin(angle), height + half * np.cos(angle)])
    under = np.column_stack([x + half * np.sin(angle), height - half * np.cos(angle)])
    over, under = (side[np.maximum.accumulate(np.r_[0.0, side[:-1, 0]]) <= side[:, 0]] for side in (over, under))
    return np.concatenate([over[::-1], under[1:]])


def _digits(name: str) -> str:
    match = _NAME.fullmatch(name)
    if match is None or not is_naca_name(name):
        raise ValueError(f'no NACA section called "{name}"')
    return match[1]
