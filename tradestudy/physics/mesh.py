"""Strips of the half-wing lattice: cosine spacing in angle on every straight piece, tip fins included.

Control points and wake points lie at the mid-angle of each strip, not at its geometric middle.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

STRIPS = {"centre": 3, "panel": 12, "tip": 4}  # by piece of the outline; fixed for a whole study
FIN_STRIPS = 6
CHORDWISE_PANELS = 4


class TipFin(NamedTuple):
    """An upright fin standing on each wing tip. Lengths [m], each of shape (...)."""

    height: Any
    root_chord: Any
    tip_chord: Any
    set_back: Any
    behind_leading_edge: Any


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
    return [STRIPS[piece] * refinement for piece in planform.pieces]


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
    zero = 0.0 * planform.station
    breaks = np.stack([planform.leading_edge + zero, planform.station, planform.height + zero,
                       planform.foam_chord + planform.elevon_chord + zero], axis=-1)
    counts = counts or strip_counts(planform, refinement)
    pieces = [_piece(breaks[..., i, :], breaks[..., i + 1, :], count) for i, count in enumerate(counts)]
    n_wing = sum(counts)
    if fin is not None:
        pieces.append(_fin_piece(breaks[..., -1, :], fin, FIN_STRIPS * refinement))
    inner, outer, middle = (np.concatenate(column, axis=-2) for column in zip(*pieces, strict=True))
    return Mesh(inner[..., :3], outer[..., :3], middle[..., :3], inner[..., 3], outer[..., 3], middle[..., 3],
                _normals(inner, outer), n_wing)


def _piece(start, end, count):
    """Edges and mid-angle points of one straight piece, each (..., count, 4): x, y, z and chord."""
    edge, middle = _shares(count)
    step = (end - start)[..., None, :]
    edges = start[..., None, :] + step * edge
    return edges[..., :-1, :], edges[..., 1:, :], start[..., None, :] + step * middle


@lru_cache(maxsize=32)
def _shares(count):
    """Cosine-spaced shares of a piece: its edges (count + 1, 1) and mid-angles (count, 1)."""
    edge = 0.5 * (1 - np.cos(np.pi * np.arange(count + 1) / count))
    middle = 0.5 * (1 - np.cos(np.pi * (np.arange(count) + 0.5) / count))
    return edge[:, None], middle[:, None]


def _fin_piece(tip, fin, count):
    zero = 0.0 * tip[..., 0]
    front = tip[..., 0] + fin.behind_leading_edge
    base = np.stack([front, tip[..., 1], tip[..., 2], fin.root_chord + zero], axis=-1)
    top = np.stack([front + fin.set_back, tip[..., 1], tip[..., 2] + fin.height, fin.tip_chord + zero], axis=-1)
    return _piece(base, top, count)


def _normals(inner_edge, outer_edge):
    """Unit normal of each strip: x-direction crossed with the spanwise direction."""
    step = outer_edge - inner_edge
    length = np.sqrt(step[..., 1] ** 2 + step[..., 2] ** 2)
    return np.stack([np.zeros_like(length), -step[..., 2] / length, step[..., 1] / length], axis=-1)
