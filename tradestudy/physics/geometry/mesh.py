"""Strips of the half-wing lattice, fins included.

The edges of the strips on every straight piece are spaced by the cosine of equal angles. Control points and wake points
lie at the middle angle of each strip, not at its geometric middle. "(...)" means any batch shape.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import accumulate, groupby, pairwise
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.arrays import stacked, unstacked

from .fins import SheetFin, fin_parts
from .planform import Planform

STRIPS = {"centre": 3, "panel": 12, "tip": 4}  # strips on each piece of the outline; fixed for a study
_FEWEST_STRIPS = 3  # least number of strips on a part of a piece that additional breaks have cut
FIN_STRIPS = 6  # strips of a tip fin above the wing; the part below has as many
# Strips of an inboard fin above the wing, and of its part below. Between 3 and 8 strips, yaw stiffness changes by half
# a percent and lift by 0.03 %.
_INBOARD_FIN_STRIPS = 4


class Mesh(NamedTuple):
    """Strips of the half wing from the centre line to the tip, then the strips of each fin from its bottom up."""

    inner_edge: np.ndarray  # leading-edge point at the strip's inner edge (..., n_strip, 3) [m]
    outer_edge: np.ndarray  # leading-edge point at the strip's outer edge (..., n_strip, 3) [m]
    middle: np.ndarray  # leading-edge point at the strip's mid-angle (..., n_strip, 3) [m]
    inner_chord: np.ndarray  # (..., n_strip) [m]
    outer_chord: np.ndarray  # (..., n_strip) [m]
    chord: np.ndarray  # chord at the strip's mid-angle (..., n_strip) [m]
    normal: np.ndarray  # unit normal (..., n_strip, 3) [-]
    n_wing: int  # number of strips of the wing [-]
    fin_strips: tuple[int, ...] = ()  # number of strips of each fin [-]
    fin_feet: tuple[int, ...] = ()  # index of the wing strip just inside each fin's foot [-]
    toe: Any = 0.0  # rotation of the leading edge towards the normal, 0 or (..., n_strip) [rad]
    counts: tuple[int, ...] = ()  # number of strips on each piece of the outline [-]

    @property
    def surfaces(self) -> list[slice]:
        """Slices that select the strips of each surface: first the wing, then each fin. This is a definition."""
        return _surfaces(self.n_wing, self.fin_strips)

    @property
    def first_edges(self) -> list[slice]:
        """Slices that select the inner edges of each surface's strips among ``strip_edges``. This is a definition."""
        return [slice(part.start + before, part.stop + before) for before, part in enumerate(self.surfaces)]

    @property
    def width(self) -> np.ndarray:
        """Width of each strip in the y-z plane (..., n_strip). Geometry, no source needed. [m]"""
        step = self.outer_edge - self.inner_edge
        return np.sqrt(step[..., 1] ** 2 + step[..., 2] ** 2)


def strip_edges(mesh: Mesh) -> tuple[np.ndarray, np.ndarray]:
    """Return points of the leading edge (..., n_edge, 3) and chords (..., n_edge) at the edges of strips. Geometry. [m]

    They are in the order of strips. Every surface has one edge more than strips.
    """
    rows = _edge_rows(mesh.n_wing, mesh.fin_strips)
    points = np.concatenate([mesh.inner_edge, mesh.outer_edge], axis=-2)
    return points.take(rows, axis=-2), np.concatenate([mesh.inner_chord, mesh.outer_chord], axis=-1).take(rows, axis=-1)


@lru_cache(maxsize=32)
def _surfaces(n_wing: int, fin_strips: tuple[int, ...]) -> list[slice]:
    return [slice(start, stop) for start, stop in pairwise([0, *accumulate((n_wing, *fin_strips))])]


@lru_cache(maxsize=32)
def _edge_rows(n_wing: int, fin_strips: tuple[int, ...]) -> np.ndarray:
    """Return the places of the edges of all surfaces among the inner edges of all strips and then the outer ones."""
    total, surfaces = n_wing + sum(fin_strips), _surfaces(n_wing, fin_strips)
    return np.concatenate([[*range(part.start, part.stop), total + part.stop - 1] for part in surfaces])


def strip_counts(planform: Planform, refinement: int = 1) -> list[int]:
    """Return the number of strips on each straight piece of the wing. This is our own definition. [-]

    ``refinement`` [-] multiplies the numbers.
    """
    return [count * refinement for count in _strips_of_pieces(planform.pieces, planform.piece_shares)]


@lru_cache(maxsize=32)
def _strips_of_pieces(pieces: tuple[str, ...], piece_shares: tuple[float, ...]) -> list[int]:
    shares = piece_shares or (1.0,) * len(pieces)
    counts: list[int] = []
    for name, cut in groupby(zip(pieces, shares, strict=True), lambda piece: piece[0]):
        counts += _distributed(STRIPS[name], [share for _, share in cut])
    return counts


def _distributed(total: int, shares: list[float]) -> list[int]:
    """Return whole numbers of strips in proportion to ``shares``, each at least _FEWEST_STRIPS. [-]

    Their sum is ``total`` unless that minimum makes it larger.
    """
    counts = [max(_FEWEST_STRIPS, int(total * share)) for share in shares]
    while sum(counts) < total:
        lacking = [total * share - count for share, count in zip(shares, counts, strict=True)]
        counts[lacking.index(max(lacking))] += 1
    return counts


def half_wing_mesh(
    planform: Planform, fins: tuple[SheetFin, ...] = (), refinement: int = 1, counts: list[int] | None = None
) -> Mesh:
    """Return the strips of a half wing. Geometry, no source needed.

    Parameters
    ----------
    planform : Planform
        Outline with breaks (..., n_break).
    fins : tuple of SheetFin
        Fins, each on a break of the outline.
    refinement : int
        Factor on every number of strips. It is 1 in use and larger in tests of convergence. [-]
    counts : list of int or None
        Number of strips on each piece, in place of the default. [-]

    Examples
    --------
    >>> from tradestudy.physics.geometry.planform import StockWing
    >>> from tradestudy.physics.geometry.stretch_schemes import stock_planform
    >>> stock = StockWing(span=1.2, centre_width=0.0, root_chord=0.2, tip_chord=0.2, tip_set_back=0.0, washout=0.0,
    ...                   dihedral=0.0, elevon_root_chord=0.0, elevon_tip_chord=0.0, elevon_inner_end=0.0,
    ...                   elevon_outer_end=0.6)
    >>> half_wing_mesh(stock_planform(stock)).middle[-1].round(4)
    array([0.    , 0.5974, 0.    ])
    """
    breaks = stacked([planform.leading_edge, planform.station, planform.height, planform.chord])
    counts = counts or strip_counts(planform, refinement)
    n_wing, fin_strips, feet = sum(counts), [], []
    points, pieces = [breaks], []
    for fin in fins:
        on_tip = fin.stands_on < 0
        count = (FIN_STRIPS if on_tip else _INBOARD_FIN_STRIPS) * refinement
        ends = _fin_ends(breaks[..., fin.stands_on, :], fin)
        points.append(ends)
        parts = ends.shape[-2] // 2
        pieces += [count] * parts
        fin_strips.append(count * parts)
        feet.append((n_wing if on_tip else max(sum(counts[: fin.stands_on]), 1)) - 1)
    found = _all_strips(tuple(counts), tuple(pieces)) @ (np.concatenate(points, axis=-2) if fins else breaks)
    n_strip = n_wing + sum(fin_strips)
    inner, outer, middle = found[..., :n_strip, :], found[..., n_strip : 2 * n_strip, :], found[..., 2 * n_strip :, :]
    toed = any(fin.toe for fin in fins)
    return Mesh(
        inner_edge=inner[..., :3],
        outer_edge=outer[..., :3],
        middle=middle[..., :3],
        inner_chord=inner[..., 3],
        outer_chord=outer[..., 3],
        chord=middle[..., 3],
        normal=_normals(inner, outer),
        n_wing=n_wing,
        counts=tuple(counts),
        fin_strips=tuple(fin_strips),
        fin_feet=tuple(feet),
        toe=np.repeat([0.0, *(fin.toe for fin in fins)], [n_wing, *fin_strips]) + 0.0 * middle[..., 3] if toed else 0.0,
    )


class StripShares(NamedTuple):
    """Weights of the values at the breaks of an outline in those at its strips; between breaks they are linear."""

    edge: np.ndarray  # at the strips' edges, from the centre line to the tip (n_break, n_wing + 1) [-]
    middle: np.ndarray  # at their mid-angles (n_break, n_wing) [-]


@lru_cache(maxsize=32)
def strip_shares(counts: tuple[int, ...]) -> StripShares:
    """Return the StripShares of a wing whose pieces have ``counts`` strips [-]. Geometry, no source needed."""
    breaks = np.eye(len(counts) + 1)
    pieces = [_piece(breaks[i], breaks[i + 1], count) for i, count in enumerate(counts)]
    inner, outer, middle = (np.concatenate(column) for column in zip(*pieces, strict=True))
    return StripShares(np.concatenate([inner, outer[-1:]]).T, middle.T)


@lru_cache(maxsize=32)
def _all_strips(counts: tuple[int, ...], fin_pieces: tuple[int, ...]) -> np.ndarray:
    """Return the weights (3 n_strip, n_point) of points in inner edges, then outer edges, then mid-angles of strips.

    The points are the breaks of the wing, whose pieces have ``counts`` strips, then both ends of each fin's piece. Its
    numbers of strips are ``fin_pieces``.
    """
    n_wing = len(counts)
    starts = [*range(n_wing), *(n_wing + 1 + 2 * index for index in range(len(fin_pieces)))]
    points = np.eye(n_wing + 1 + 2 * len(fin_pieces))
    pieces = [
        _piece(points[at], points[at + 1], count) for at, count in zip(starts, (*counts, *fin_pieces), strict=True)
    ]
    return np.concatenate([part for column in zip(*pieces, strict=True) for part in column])


def _piece(start: np.ndarray, end: np.ndarray, count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return the inner edges, outer edges and mid-angle points (count, m) of a straight piece with these ends (m,)."""
    edge, middle = _shares(count)
    edges = start + (end - start) * edge
    return edges[:-1], edges[1:], start + (end - start) * middle


@lru_cache(maxsize=32)
def _shares(count: int) -> tuple[np.ndarray, np.ndarray]:
    """Return the cosine-spaced shares of a piece: its edges (count + 1, 1) and mid-angles (count, 1)."""
    edge = 0.5 * (1 - np.cos(np.pi * np.arange(count + 1) / count))
    middle = 0.5 * (1 - np.cos(np.pi * (np.arange(count) + 0.5) / count))
    return edge[:, None], middle[:, None]


def _fin_ends(place: np.ndarray, fin: SheetFin) -> np.ndarray:
    """Return both ends (..., n, 4) of the part below the wing and of the part above it, if they exist, bottom up."""
    edge, y, z, _ = unstacked(place)
    zero = 0.0 * y
    front = edge + fin.behind_leading_edge
    foot, ends = [front, y, z, fin.root_chord + zero], []
    for part in fin_parts(fin)[::-1]:
        if not np.any(part.length.real > 0):
            continue
        along = part.direction * part.length
        end = [
            front + part.set_back,
            y + along * np.sin(fin.cant),
            z + along * np.cos(fin.cant),
            part.tip_chord + zero,
        ]
        ends += [foot, end] if part.direction > 0 else [end, foot]
    found = np.array(ends)
    return found.transpose(*range(2, found.ndim), 0, 1)


def _normals(inner_edge: np.ndarray, outer_edge: np.ndarray) -> np.ndarray:
    """Return the unit normal of each strip: the x-direction crossed with the spanwise direction."""
    step = outer_edge - inner_edge
    length = np.sqrt(step[..., 1] ** 2 + step[..., 2] ** 2)
    return stacked([0.0 * length, -step[..., 2] / length, step[..., 1] / length])
