r"""A section of unknown name: a generic one from formulas, or one fitted to a few heights measured with a ruler.

Generic section: the thickness is Kulfan's class function sqrt(x) (1 - x)^n, where x is the chord fraction. Joukowski's
sections belong to this family with n = 3/2 (both from memory). Its largest thickness is at x = 1 / (1 + 2 n). The
camber line is a cubic with reflex:

.. math:: z / c = h x (1 - x) (1 - r x)

Here z is the height and c the chord; h sets the camber, and r sets the reflex. r = 0 has no reflex, and r = 8/7 has no
moment. Thin-airfoil theory uses the angle t with x = (1 - cos t) / 2. Source: H. Glauert, The Elements of Aerofoil and
Airscrew Theory, 1926, chapter on thin aerofoils. The slope is then

.. math:: dz/dx = h [r / 8 + (1 - r / 2) \cos t + (3 r / 8) \cos 2t]

which gives zero-lift angle and moment in closed form.

Traced section: the class function sqrt(x) (1 - x) times Bernstein polynomials. The fit is kept near the generic section
of the same thickness. Source: B. M. Kulfan, Universal parametric geometry representation method, Journal of Aircraft 45
(1), 2008; from memory.
"""

from __future__ import annotations

from math import comb

import numpy as np

from .airfoil import chord_stations, outline_from_surfaces

# Values of the generic section. Its drag, largest lift, zero-lift angle and moment by the surrogate lie near the middle
# of the sections in tests/bench/truth/unknown_section.py. With the four-digit NACA thickness, which is fuller aft, drag
# was 2 to 3 % above the mean of those sections.
CAMBER = 0.019  # largest height of the camber line over chord [-]
REFLEX = 1.22  # r in the module's docstring [-]
# n in the module's docstring [-]. The largest thickness is at 0.286 of the chord (0.27 to 0.31 on the sections
# compared).
FULLNESS = 1.25

_FEWEST_STATIONS, _MOST_STATIONS = 6, 10
_WIDEST_GAP = 0.35  # largest gap between neighbouring stations, or from one to nose or trailing edge, over chord [-]
_THICKEST = 0.30  # largest thickness over chord [-]

# Order of the Bernstein polynomials, and weights that pull the fit towards the generic section. They were chosen with
# tests/bench/truth/unknown_section.py: six sections with eight heights each, rounded to 0.5 mm on chords of 235 to 265
# mm. With less pull the fit follows the rounding; with more it follows the generic section. The trailing edge's
# thickness has more pull, because heights ahead of it determine it poorly. A station at the trailing edge still sets it
# within 4 %.
ORDER, PULL, EDGE_PULL = 5, 0.02, 10.0
# Least half thickness over that of the generic section. It keeps the surfaces apart between the last station and the
# trailing edge.
_THINNEST = 0.3
# A height is misread if it is farther from the fit than the first number [m] plus the second number times the chord.
# Rounded heights of 27 sections of all kinds were within 0.33 mm of the fit on chords of 200 to 300 mm. The exception
# is s1223 (8 % camber) with 1.3 mm. On a chord of 250 mm a height wrong by 5 mm is 1.2 to 2.6 mm from the fit in eight
# cases of ten.
_MISREAD = 0.0008, 0.002


def generic_section(thickness: float) -> np.ndarray:
    """Return the outline (n, 2) of the generic reflexed section, spaced as by ``airfoil.resampled``. [-]

    For sources see the top of the module.

    Parameters
    ----------
    thickness : float
        Largest thickness over chord. [-]
    """
    x = chord_stations()
    camber, half = camber_line(x), _generic_half(x, thickness)
    return outline_from_surfaces(x, camber + half, camber - half)


def camber_line(x: np.ndarray) -> np.ndarray:
    """Return the height over chord (...) of the generic camber line at chord fractions ``x`` (...) [-]. [-]

    For the source see the top of the module.

    >>> round(float(camber_line(np.linspace(0, 1, 1001)).max()), 4)
    0.019
    """
    return _camber_scale() * x * (1 - x) * (1 - REFLEX * x)


def _camber_scale() -> float:
    """Return the scale h for which the cubic's largest height is CAMBER.

    The largest height lies at the smaller root of the slope.
    """
    top = (1 + REFLEX - np.sqrt(1 - REFLEX + REFLEX**2)) / (3 * REFLEX)
    return CAMBER / (top * (1 - top) * (1 - REFLEX * top))


def _generic_half(x: np.ndarray, thickness: float) -> np.ndarray:
    peak = 1 / (1 + 2 * FULLNESS)
    return 0.5 * thickness * np.sqrt(x / peak) * ((1 - x) / (1 - peak)) ** FULLNESS


def traced_section(station: np.ndarray, top: np.ndarray, bottom: np.ndarray, chord: float) -> np.ndarray:
    """Return the outline (n, 2) of a section measured with a ruler, spaced as by ``airfoil.resampled``. [-]

    Heights are measured from the straight line between nose and trailing edge. Half thickness and camber are fitted
    separately, each as its difference from the generic section. PULL keeps the coefficients of that difference near
    zero. What the measured heights do not determine therefore stays generic. For sources see the top of the module.

    Parameters
    ----------
    station : (n,) array
        Six to ten distances from the leading edge, in rising order. [m]
    top, bottom : (n,) array
        Height of the upper surface above the line, and depth of the lower surface below it. A value is negative where
        the surface is on the other side of the line. [m]
    chord : float
        Distance from nose to trailing edge. [m]

    Raises
    ------
    ValueError
        If the heights cannot be those of a section. The message is written for the person who measured.
    """
    station, top, bottom = (np.atleast_1d(np.asarray(row, float)) for row in (station, top, bottom))
    _check_stations(station, top, bottom, chord)
    _check_heights(station, top, bottom, chord)
    x = station / chord
    half, camber = 0.5 * (top + bottom) / chord, 0.5 * (top - bottom) / chord
    drawn = chord_stations()
    coefficients = _pulled(_shape_terms(x), camber - camber_line(x))
    line, line_there = (camber_line(row) + _shape_terms(row) @ coefficients for row in (drawn, x))
    half_drawn, half_there = _fitted_half(x, half, drawn)
    _check_misread(station, top - chord * (line_there + half_there), "top", chord)
    _check_misread(station, bottom - chord * (half_there - line_there), "bottom", chord)
    return outline_from_surfaces(drawn, line + half_drawn, line - half_drawn)


def _fitted_half(x: np.ndarray, half: np.ndarray, drawn: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the fitted half thickness (m,) at the stations ``drawn`` and (n,) at the measured stations ``x``."""
    thickness = 2 * half.max()
    terms, drawn_terms = (np.column_stack([_shape_terms(row), row / EDGE_PULL]) for row in (x, drawn))
    # the generic section is scaled to the fitted thickness, which converges to 1e-4 of itself in two steps
    for _ in range(4):
        base, base_there = _generic_half(drawn, thickness), _generic_half(x, thickness)
        coefficients = _pulled(terms, half - base_there)
        fitted = np.maximum(base + drawn_terms @ coefficients, _THINNEST * base)
        fitted_there = np.maximum(base_there + terms @ coefficients, _THINNEST * base_there)
        thickness = 2 * fitted.max()
    return fitted, fitted_there


def _shape_terms(x: np.ndarray) -> np.ndarray:
    """Return the class function times Bernstein polynomials (n, ORDER + 1)."""
    count = np.arange(ORDER + 1)
    share = np.array([comb(ORDER, k) for k in count]) * x[:, None] ** count * (1 - x[:, None]) ** (ORDER - count)
    return np.sqrt(x)[:, None] * (1 - x[:, None]) * share


def _pulled(terms: np.ndarray, heights: np.ndarray) -> np.ndarray:
    """Return the coefficients a that minimise |terms a - heights|^2 + PULL^2 |a|^2."""
    return np.linalg.solve(terms.T @ terms + PULL**2 * np.eye(terms.shape[1]), terms.T @ heights)


def _check_stations(station: np.ndarray, top: np.ndarray, bottom: np.ndarray, chord: float) -> None:
    count = len(station)
    if not len(top) == len(bottom) == count:
        raise ValueError(
            f"{count} stations, {len(top)} heights on top and {len(bottom)} on the bottom; "
            f"each station needs one of either"
        )
    if count < _FEWEST_STATIONS:
        raise ValueError(f"{count} stations are too few to draw a section; measure at {_FEWEST_STATIONS} or more")
    if count > _MOST_STATIONS:
        raise ValueError(
            f"{count} stations are more than a ruler makes use of; "
            f"give at most {_MOST_STATIONS}, or a file of coordinates"
        )
    if not (np.all(np.isfinite([station, top, bottom])) and np.isfinite(chord)):
        raise ValueError("a station, a height or the chord is not a number")
    if chord <= 0:
        raise ValueError(f"the chord is {1e3 * chord:.0f} mm; it must be more than nothing")
    outside = station[(station < 0) | (station > chord)]
    if outside.size:
        raise ValueError(
            f"the station at {1e3 * outside[0]:.0f} mm is not between the leading edge (0) and the "
            f"trailing edge ({1e3 * chord:.0f} mm)"
        )
    back = np.flatnonzero(np.diff(station) <= 0)
    if back.size:
        before, after = 1e3 * station[back[0] : back[0] + 2]
        raise ValueError(
            f"the station at {after:.0f} mm follows the one at {before:.0f} mm; give them from the "
            f"leading edge backwards"
        )
    edges = np.concatenate([[0.0], station, [chord]])
    widest = int(np.argmax(np.diff(edges)))
    if edges[widest + 1] - edges[widest] > _WIDEST_GAP * chord:
        ahead, behind = 1e3 * edges[widest : widest + 2]
        raise ValueError(f"nothing is measured between {ahead:.0f} and {behind:.0f} mm; add a station there")


def _check_heights(station: np.ndarray, top: np.ndarray, bottom: np.ndarray, chord: float) -> None:
    thickness = top + bottom
    inside = (station > 0) & (station < chord)
    wrong = np.flatnonzero((thickness < 0) | (inside & (thickness == 0)))
    if wrong.size:
        raise ValueError(
            f"at {1e3 * station[wrong[0]]:.0f} mm the top does not lie above the bottom; "
            f"heights of the bottom count downwards from the line"
        )
    if thickness.max() > _THICKEST * chord:
        raise ValueError(
            f"the section is {100 * thickness.max() / chord:.0f} % thick; beyond {100 * _THICKEST:.0f} % "
            f"a height or the chord was misread"
        )


def _check_misread(station: np.ndarray, off: np.ndarray, side: str, chord: float) -> None:
    worst = int(np.argmax(np.abs(off)))
    if abs(off[worst]) > _MISREAD[0] + _MISREAD[1] * chord:
        raise ValueError(
            f"the height of the {side} at {1e3 * station[worst]:.0f} mm lies "
            f"{1e3 * abs(off[worst]):.1f} mm off a smooth section through the others; "
            f"measure it again, and its neighbours"
        )
