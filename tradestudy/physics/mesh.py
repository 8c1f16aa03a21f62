"""Strips of the half-wing lattice: cosine spacing in angle on every straight piece, tip fins included.

Control points and wake points lie at the mid-angle of each strip, not at its geometric middle.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

CENTRE_STRIPS, PANEL_STRIPS, TIP_PIECE_STRIPS, FIN_STRIPS = 3, 12, 4, 6
CHORDWISE_PANELS = 4


class TipFin(NamedTuple):
    """An upright fin standing on each wing tip. Lengths [m], each of shape (...)."""

    height: np.ndarray
    root_chord: np.ndarray
    tip_chord: np.ndarray
    set_back: np.ndarray
    behind_leading_edge: np.ndarray


class Mesh(NamedTuple):
    """Strips from the centre line to the tip, then up the fin. All coordinates [m].

    ``inner_edge`` and ``outer_edge``: (..., n_strip, 3) leading edge at the strip's two edges;
    ``middle``: (..., n_strip, 3) leading edge at mid-angle; ``*_chord``: (..., n_strip);
    ``normal``: (..., n_strip, 3) unit normal; ``n_wing``: how many strips belong to the wing.
    """

    inner_edge: np.ndarray
    outer_edge: np.ndarray
    middle: np.ndarray
    inner_chord: np.ndarray
    outer_chord: np.ndarray
    chord: np.ndarray
    normal: np.ndarray
    n_wing: int

    @property
    def width(self):
        """Distance between the edges of each strip in the y-z plane. (..., n_strip) [m]"""
        step = self.outer_edge - self.inner_edge
        return np.sqrt(step[..., 1] ** 2 + step[..., 2] ** 2)


def strip_counts(planform, refinement=1):
    """Return how many strips each straight piece of the wing gets. [-]"""
    pieces = planform.station.shape[-1] - 1
    names = {1: [PANEL_STRIPS], 2: [CENTRE_STRIPS, PANEL_STRIPS],
             3: [CENTRE_STRIPS, PANEL_STRIPS, TIP_PIECE_STRIPS]}
    return [count * refinement for count in names[pieces]]


def half_wing_mesh(planform, fin=None, refinement=1, counts=None):
    """Return the strips of a half wing.

    Parameters
    ----------
    planform : planform.Planform
        Outline with breaks (..., n_break).
    fin : TipFin or None
        Fin standing on the tip.
    refinement : int
        Multiplies every strip count (1 in use; larger to test convergence).
    counts : list of int or None
        Strips per piece when the default is not wanted.
    """
    points = np.stack([planform.leading_edge, planform.station, planform.height], axis=-1)
    chord = planform.chord
    counts = counts or strip_counts(planform, refinement)
    pieces = [_piece(points[..., i, :], points[..., i + 1, :], chord[..., i], chord[..., i + 1], count)
              for i, count in enumerate(counts)]
    n_wing = sum(counts)
    if fin is not None:
        pieces.append(_fin_piece(points[..., -1, :], fin, FIN_STRIPS * refinement))
    joined = [np.concatenate(column, axis=-2 if column[0].ndim == points.ndim else -1)
              for column in zip(*pieces, strict=True)]
    return Mesh(*joined, _normals(joined[0], joined[1]), n_wing)


def _piece(start, end, start_chord, end_chord, count):
    edges = 0.5 * (1 - np.cos(np.pi * np.arange(count + 1) / count))
    middle = 0.5 * (1 - np.cos(np.pi * (np.arange(count) + 0.5) / count))

    def between(share):
        share = share[:, None]
        return start[..., None, :] * (1 - share) + end[..., None, :] * share

    def chord_at(share):
        return start_chord[..., None] * (1 - share) + end_chord[..., None] * share

    points, chords = between(edges), chord_at(edges)
    return (points[..., :-1, :], points[..., 1:, :], between(middle),
            chords[..., :-1], chords[..., 1:], chord_at(middle))


def _fin_piece(tip_point, fin, count):
    zero = np.zeros_like(tip_point[..., 0])
    base = tip_point + np.stack(np.broadcast_arrays(fin.behind_leading_edge + zero, zero, zero), axis=-1)
    top = base + np.stack(np.broadcast_arrays(fin.set_back + zero, zero, fin.height + zero), axis=-1)
    return _piece(base, top, fin.root_chord + zero, fin.tip_chord + zero, count)


def _normals(inner_edge, outer_edge):
    """Unit normal of each strip: x-direction crossed with the spanwise direction."""
    step = outer_edge - inner_edge
    length = np.sqrt(step[..., 1] ** 2 + step[..., 2] ** 2)
    return np.stack([np.zeros_like(length), -step[..., 2] / length, step[..., 1] / length], axis=-1)
