"""A smooth curve through points that never overshoots them.

It is written out here because importing a library for it takes longer than `check` runs.
"""

from __future__ import annotations

import numpy as np


def monotone_curve(x: np.ndarray, y: np.ndarray, place: np.ndarray) -> np.ndarray:
    """Return the heights (m,) at ``place`` (m,) of the curve through points ``x``, ``y`` (n,), n at least 2. [as given]

    ``x`` [as given] increases. Between points the curve is a cubic, and beyond the ends it continues. Its slope at an
    inner point is the weighted harmonic mean of the two chords beside it, or zero where they have unlike signs. Source:
    Fritsch and Butland, SIAM Journal on Scientific and Statistical Computing 5, 1984. At the ends it is that of the
    parabola through three points, limited so that the curve keeps its shape.

    >>> monotone_curve(np.array([0.0, 1.0, 2.0]), np.array([0.0, 1.0, 1.0]), np.array([0.5, 1.5])).tolist()
    [0.6875, 1.0]
    """
    step = np.diff(x)
    chord = np.diff(y) / step
    slope = _slopes(step, chord)
    piece = np.clip(np.searchsorted(x, place, side="right") - 1, 0, len(step) - 1)
    along, width = place - x[piece], step[piece]
    first, last, mean = slope[piece], slope[piece + 1], chord[piece]
    cubic, square = (first + last - 2.0 * mean) / width**2, (3.0 * mean - 2.0 * first - last) / width
    return ((cubic * along + square) * along + first) * along + y[piece]


def _slopes(step: np.ndarray, chord: np.ndarray) -> np.ndarray:
    """Return the slope (n,) of the curve at each point."""
    if len(chord) == 1:
        return np.repeat(chord, 2)
    before, after = chord[:-1], chord[1:]
    weight_before, weight_after = step[:-1] + 2.0 * step[1:], 2.0 * step[:-1] + step[1:]
    alike = before * after > 0.0
    ones = np.where(alike, before, 1.0), np.where(alike, after, 1.0)
    mean = (weight_before + weight_after) / (weight_before / ones[0] + weight_after / ones[1])
    ends = (_end_slope(*step[:2], *chord[:2]), _end_slope(*step[:-3:-1], *chord[:-3:-1]))
    return np.concatenate([[ends[0]], np.where(alike, mean, 0.0), [ends[1]]])


def _end_slope(step: float, next_step: float, chord: float, next_chord: float) -> float:
    slope = ((2.0 * step + next_step) * chord - step * next_chord) / (step + next_step)
    if slope * chord <= 0.0:
        return 0.0
    return 3.0 * chord if chord * next_chord <= 0.0 and abs(slope) > 3.0 * abs(chord) else slope
