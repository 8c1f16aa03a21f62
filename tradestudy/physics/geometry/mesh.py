"""Strips of the half-wing lattice: cosine spacing in angle on every straight piece, fins included.

Control points and wake points lie at the mid-angle of each strip, not at its geometric middle.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import accumulate, groupby, pairwise
from typing import Any, NamedTuple

import numpy as np

from . import fins as fins_of

STRIPS = {"centre": 3, "panel": 12, "tip": 4}  # by piece of the outline; fixed for a whole study
FEWEST_STRIPS = 3  # of a piece that more breaks cut out of one of these
FIN_STRIPS = 6  # of a fin on the tip, above the wing, and as many below it
INBOARD_FIN_STRIPS = 4  # the same of one inboard: 3 to 8 change yaw stiffness by half a percent, lift by 0.03 %


class Mesh(NamedTuple):
    """Strips from the centre line to the tip, then those of each fin from its bottom up. All coordinates [m].

    ``inner_edge`` and ``outer_edge``: (..., n_strip, 3) leading edge at the strip's two edges;
    ``middle``: (..., n_strip, 3) leading edge at mid-angle; ``*_chord``: (..., n_strip);
    ``normal``: (..., n_strip, 3) unit normal; ``n_wing``: how many strips belong to the wing; ``fin_strips``: how many
    to each fin; ``fin_feet``: the wing strip just inside of each fin; ``toe``: leading edge turned towards the normal,
    0 or (n_strip,) [rad].
    """

    inner_edge: np.ndarray
    outer_edge: np.ndarray
    middle: np.ndarray
    inner_chord: np.ndarray
    outer_chord: np.ndarray
    chord: np.ndarray
    normal: np.ndarray
    n_wing: int
    fin_strips: tuple[int, ...] = ()
    fin_feet: tuple[int, ...] = ()
    toe: Any = 0.0

    @property
    def surfaces(self):
        """Slices of the strips that hang together: the wing, then each fin. [-]"""
        ends = [0, self.n_wing, *(self.n_wing + end for end in accumulate(self.fin_strips))]
        return [slice(start, stop) for start, stop in pairwise(ends)]

    @property
    def width(self):
        """Distance between the edges of each strip in the y-z plane. (..., n_strip) [m]"""
        step = self.outer_edge - self.inner_edge
        return np.sqrt(step[..., 1] ** 2 + step[..., 2] ** 2)


def strip_counts(planform, refinement=1):
    """Return how many strips each straight piece of the wing gets. [-]"""
    if not planform.piece_shares:
        return [STRIPS[piece] * refinement for piece in planform.pieces]
    counts: list[int] = []
    for name, cut in groupby(zip(planform.pieces, planform.piece_shares, strict=True), lambda piece: piece[0]):
        counts += _shared_out(STRIPS[name], [share for _, share in cut])
    return [count * refinement for count in counts]


def _shared_out(total, shares):
    """Whole strips by share, at least FEWEST_STRIPS each, so that they make ``total`` where they can. [-]"""
    counts = [max(FEWEST_STRIPS, int(total * share)) for share in shares]
    while sum(counts) < total:
        lacking = [total * share - count for share, count in zip(shares, counts, strict=True)]
        counts[lacking.index(max(lacking))] += 1
    return counts


def half_wing_mesh(planform, fins=(), refinement=1, counts=None):
    """Return the strips of a half wing.

    Parameters
    ----------
    planform : planform.Planform
        Outline with breaks (..., n_break).
    fins : tuple of fins.SheetFin
        Each stands on a break of the outline.
    refinement : int
        Multiplies every strip count (1 in use; larger to test convergence).
    counts : list of int or None
        Strips per piece when the default is not wanted.
    """
    zero = 0.0 * planform.station
    breaks = np.stack(
        [
            planform.leading_edge + zero,
            planform.station,
            planform.height + zero,
            planform.foam_chord + planform.elevon_chord + zero,
        ],
        axis=-1,
    )
    counts = counts or strip_counts(planform, refinement)
    pieces = [_piece(breaks[..., i, :], breaks[..., i + 1, :], count) for i, count in enumerate(counts)]
    n_wing, toe, fin_strips, feet = sum(counts), 0.0, [], []
    for fin in fins:
        on_tip = fin.stands_on < 0
        count = (FIN_STRIPS if on_tip else INBOARD_FIN_STRIPS) * refinement
        standing = _fin_pieces(breaks[..., fin.stands_on, :], fin, count)
        pieces += standing
        fin_strips.append(count * len(standing))
        feet.append((n_wing if on_tip else max(sum(counts[: fin.stands_on]), 1)) - 1)
    if any(fin.toe for fin in fins):
        toe = np.repeat([0.0, *(fin.toe for fin in fins)], [n_wing, *fin_strips])
    inner, outer, middle = (np.concatenate(column, axis=-2) for column in zip(*pieces, strict=True))
    return Mesh(
        inner[..., :3],
        outer[..., :3],
        middle[..., :3],
        inner[..., 3],
        outer[..., 3],
        middle[..., 3],
        _normals(inner, outer),
        n_wing,
        tuple(fin_strips),
        tuple(feet),
        toe,
    )


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


def _fin_pieces(place, fin, count):
    """The pieces of a fin from the bottom up: below the wing (if there), above it (if there)."""
    zero = 0.0 * place[..., 0]
    front = place[..., 0] + fin.behind_leading_edge
    foot = np.stack([front, place[..., 1], place[..., 2], fin.root_chord + zero], axis=-1)
    found = []
    for part in fins_of.fin_parts(fin):
        if not np.any(np.real(part.length) > 0):
            continue
        out, up = (part.direction * part.length * turn(fin.cant) for turn in (np.sin, np.cos))
        end = np.stack([front + part.set_back, place[..., 1] + out, place[..., 2] + up, part.tip_chord + zero], axis=-1)
        found.append(_piece(foot, end, count) if part.direction > 0 else _turned(*_piece(foot, end, count)))
    return found[::-1]


def _turned(inner, outer, middle):
    """Count the strips of a piece from its other end."""
    return outer[..., ::-1, :], inner[..., ::-1, :], middle[..., ::-1, :]


def _normals(inner_edge, outer_edge):
    """Unit normal of each strip: x-direction crossed with the spanwise direction."""
    step = outer_edge - inner_edge
    length = np.sqrt(step[..., 1] ** 2 + step[..., 2] ** 2)
    return np.stack([np.zeros_like(length), -step[..., 2] / length, step[..., 1] / length], axis=-1)
