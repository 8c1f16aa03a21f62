r"""A section of unknown name: drawn from formulas, or traced from a few ruler heights.

Generic section: thickness form of Kulfan's class function, sqrt(x) (1 - x)^n, in the family of Joukowski's
(n = 3/2; both from memory); its largest thickness stands at x = 1 / (1 + 2 n). Camber is the cubic reflexed line

.. math:: z / c = h x (1 - x) (1 - r x)

h sets the height, r the reflex (0: none; 8/7: no moment). Thin-airfoil theory (H. Glauert, The Elements of
Aerofoil and Airscrew Theory, 1926, chapter on thin aerofoils) takes x = (1 - cos t) / 2, which gives the slope

.. math:: dz/dx = h [r / 8 + (1 - r / 2) \cos t + (3 r / 8) \cos 2t]

and with it zero-lift angle and moment in closed form. Traced section: class function sqrt(x) (1 - x) times
Bernstein polynomials (B. M. Kulfan, Universal parametric geometry representation method, Journal of Aircraft
45 (1), 2008; from memory), kept near the generic section of the same thickness.
"""

from __future__ import annotations

from math import comb

import numpy as np

from .airfoil import chord_stations, outline_from_surfaces

# Chosen so that the surrogate's drag, largest lift, zero-lift angle and moment lie near the middle of the
# sections named in tests/bench/unknown_section.py. With the four-digit thickness form, fuller aft, drag was 2 to 3 %
# above their mean.
CAMBER = 0.019  # largest height of the camber line over chord [-]
REFLEX = 1.22  # r above [-]
FULLNESS = 1.25  # n above: largest thickness at 0.286 of the chord (the named ones: 0.27 to 0.31) [-]

_FEWEST_STATIONS, _MOST_STATIONS = 6, 10
_WIDEST_GAP = 0.35  # between neighbouring stations, nose and trailing edge, over chord [-]
_THICKEST = 0.30  # over chord [-]

# Order and pull as measured by tests/bench/unknown_section.py: six sections, eight heights rounded to 0.5 mm on
# chords of 235 to 265 mm. Less pull follows the rounding, more follows the generic section. The trailing edge is
# pulled harder: heights ahead of it say little of it, a station at the trailing edge still sets it to 4 %.
ORDER, PULL, EDGE_PULL = 5, 0.02, 10.0
_THINNEST = 0.3  # of the generic section: keeps the surfaces apart between the last station and the edge
# A height further off the fit than this [m], plus this share of the chord, is a slip. Rounded heights of 27
# sections of all kinds stayed within 0.33 mm on chords of 200 to 300 mm (s1223, cambered 8 %: 1.3 mm); one height
# wrong by 5 mm leaves 1.2 to 2.6 mm in eight cases of ten on 250 mm.
_MISREAD = 0.0008, 0.002


def generic_section(thickness: float) -> np.ndarray:
    """Return the outline (n, 2) of the generic reflexed section, form as from ``airfoil.resampled``. [-]

    Sources: see the top of the module.

    Parameters
    ----------
    thickness : float
        Largest thickness over chord. [-]
    """
    x = chord_stations()
    camber, half = camber_line(x), _generic_half(x, thickness)
    return outline_from_surfaces(x, camber + half, camber - half)


def camber_line(x: np.ndarray) -> np.ndarray:
    """Return the height (...) of the generic camber line over chord at chord fractions ``x`` (...) [-]. [-]

    Source: see the top of the module.

    >>> round(float(camber_line(np.linspace(0, 1, 1001)).max()), 4)
    0.019
    """
    return _camber_scale() * x * (1 - x) * (1 - REFLEX * x)


def _camber_scale() -> float:
    """Scale h that makes the cubic's largest height CAMBER; it stands at the smaller root of the slope."""
    top = (1 + REFLEX - np.sqrt(1 - REFLEX + REFLEX**2)) / (3 * REFLEX)
    return CAMBER / (top * (1 - top) * (1 - REFLEX * top))


def _generic_half(x: np.ndarray, thickness: float) -> np.ndarray:
    peak = 1 / (1 + 2 * FULLNESS)
    return 0.5 * thickness * np.sqrt(x / peak) * ((1 - x) / (1 - peak)) ** FULLNESS


def traced_section(station: np.ndarray, top: np.ndarray, bottom: np.ndarray, chord: float) -> np.ndarray:
    """Return the outline (n, 2) of a section measured with a ruler, form as from ``airfoil.resampled``. [-]

    Heights count from the straight line between nose and trailing edge. Half thickness and camber are fitted
    separately, each as its difference from the generic section. PULL keeps the coefficients of that difference near
    zero, so that what the ruler cannot see stays generic. Sources: see the top of the module.

    Parameters
    ----------
    station : (n,) array
        Distances from the leading edge, rising, 6 to 10 of them. [m]
    top, bottom : (n,) array
        Height of the upper surface above the line and depth of the lower one below it; negative where the
        surface lies on the other side. [m]
    chord : float
        Nose to trailing edge. [m]

    Raises
    ------
    ValueError
        When the heights cannot be those of a section, in a sentence for the person who measured.
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
    """Half thickness (m,) at ``drawn`` and (n,) at ``x``."""
    thickness = 2 * half.max()
    terms, drawn_terms = (np.column_stack([_shape_terms(row), row / EDGE_PULL]) for row in (x, drawn))
    for _ in range(4):  # the generic section follows the fitted thickness, which settles to 1e-4 of it in two
        base, base_there = _generic_half(drawn, thickness), _generic_half(x, thickness)
        coefficients = _pulled(terms, half - base_there)
        fitted = np.maximum(base + drawn_terms @ coefficients, _THINNEST * base)
        fitted_there = np.maximum(base_there + terms @ coefficients, _THINNEST * base_there)
        thickness = 2 * fitted.max()
    return fitted, fitted_there


def _shape_terms(x: np.ndarray) -> np.ndarray:
    """Class function times Bernstein polynomials (n, ORDER + 1)."""
    count = np.arange(ORDER + 1)
    share = np.array([comb(ORDER, k) for k in count]) * x[:, None] ** count * (1 - x[:, None]) ** (ORDER - count)
    return np.sqrt(x)[:, None] * (1 - x[:, None]) * share


def _pulled(terms: np.ndarray, heights: np.ndarray) -> np.ndarray:
    """Coefficients a that make |terms a - heights|^2 + PULL^2 |a|^2 least."""
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
