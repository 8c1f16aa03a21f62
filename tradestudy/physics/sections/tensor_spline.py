"""A smooth function of three numbers, tabulated on a grid, with all derivatives from one look at its table.

In every cell of the grid it is a product of cubic pieces. A general library evaluates each derivative anew; a search
needs up to nine of them at the same points. "(...)" means arrays of any batch shape.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import factorial

import numpy as np
from scipy.interpolate import BSpline, make_interp_spline

_PIECES = np.arange(4)  # the four basis functions that are not zero in a cell


@dataclass(frozen=True, eq=False)
class TensorSpline:
    """A tensor product of cubic splines along three axes, either one or one for each strip."""

    knots: tuple[np.ndarray, ...]  # inner knots of each axis, ends of the table included (n_knot,) [as given]
    pieces: (
        np.ndarray
    )  # powers 3 to 0 of the four basis functions in every cell, axis after axis (4, 4, n_cell) [as given]
    weights: np.ndarray  # weights of the basis functions (n0, n1, n2) or (n_strip, n0, n1, n2) [as given]

    @cached_property
    def _between(self) -> list[np.ndarray]:
        """The knots between the cells of each axis (n_cell - 1,)."""
        return [knots[1:-1] for knots in self.knots]

    @cached_property
    def _starts(self) -> np.ndarray:
        """The knot at which every cell begins, in the order of ``pieces`` (n_cell,)."""
        return np.concatenate([knots[:-1] for knots in self.knots])

    @cached_property
    def _first_cells(self) -> np.ndarray:
        """The first cell of each axis in ``pieces`` (3, 1)."""
        return np.cumsum([0, *(len(knots) - 1 for knots in self.knots[:-1])])[:, None]

    @cached_property
    def _first_weights(self) -> np.ndarray:
        """Place of the first weight of each strip (n_strip,), or of the only spline (1,), less that of a first cell."""
        *strips, n0, n1, n2 = self.weights.shape
        first, second, third = self._first_cells[:, 0]
        return np.arange(*strips or [1]) * n0 * n1 * n2 - ((first * n1 + second) * n2 + third)

    @cached_property
    def _offsets(self) -> np.ndarray:
        """Places of the 64 weights near a cell, from the first of them (4, 4, 4, 1)."""
        *_, n1, n2 = self.weights.shape
        return ((_PIECES[:, None, None] * n1 + _PIECES[:, None]) * n2 + _PIECES)[..., None]

    def __call__(self, points: np.ndarray, orders: tuple[int, int, int]) -> np.ndarray:
        """Return all derivatives up to ``orders`` [-] along the axes: (o0 + 1, o1 + 1, o2 + 1, ...) [as given].

        ``points`` (3, ...) [as given] are numbers along the axes. If there is a spline for each strip, the last axis is
        that of the strips. Outside the table the outer pieces continue. Numerics: B-splines, any text on splines.
        """
        shape = points.shape[1:]
        flat = points.reshape(3, -1)
        cells = np.empty(flat.shape, np.intp)
        for axis, between in enumerate(self._between):
            cells[axis] = between.searchsorted(flat[axis])
        cells += self._first_cells
        step = flat - self._starts.take(cells)
        cubic, square, linear, constant = self.pieces.take(cells, axis=-1)  # each (4, 3, n)
        value = ((cubic * step + square) * step + linear) * step + constant
        bases = value[None]
        if any(orders):
            bases = np.array([value, (3 * cubic * step + 2 * square) * step + linear, 6 * cubic * step + 2 * square])
        first, second, third = (bases[: order + 1, :, axis] for axis, order in enumerate(orders))
        *_, n1, n2 = self.weights.shape
        corner = (cells[0] * n1 + cells[1]) * n2 + cells[2]
        corner = (corner.reshape(shape) + self._first_weights).reshape(-1)
        near = self.weights.reshape(-1).take(self._offsets + corner)  # (4, 4, 4, n)
        found = np.einsum("kcn,abcn->abkn", third, near)
        found = np.einsum("jbn,abkn->ajkn", second, found)
        found = np.einsum("ian,ajkn->ijkn", first, found)
        return found.reshape(*found.shape[:3], *shape)


def tensor_spline(axes: Sequence[np.ndarray], values: np.ndarray) -> TensorSpline:
    """Return the TensorSpline through ``values`` (n0, n1, n2) [as given] on a grid. Numerics, no source needed.

    ``axes`` are its places along the three axes, each (n,) [as given].

    >>> axis = np.linspace(0.0, 1.0, 5)
    >>> spline = tensor_spline((axis, axis, axis), axis[:, None, None] ** 2 * axis[:, None] * np.ones(5))
    >>> spline(np.array([[0.3], [0.5], [0.2]]), (1, 1, 0)).round(6)[:, :, 0, 0].tolist()
    [[0.045, 0.09], [0.3, 0.6]]
    """
    knots, pieces = [], []
    for axis, points in enumerate(axes):
        spline = make_interp_spline(points, np.moveaxis(values, axis, 0), k=3)
        values = np.moveaxis(spline.c, 0, axis)
        knots.append(spline.t[3:-3])
        basis = BSpline(spline.t, np.eye(len(spline.c)), 3)
        # Taylor's series at the start of every cell, the third power first
        powers = [basis(knots[-1][:-1], nu=order) / factorial(order) for order in (3, 2, 1, 0)]
        pieces += [np.array([row[cell, cell : cell + 4] for row in powers]) for cell in range(len(knots[-1]) - 1)]
    return TensorSpline(tuple(knots), np.moveaxis(np.array(pieces), 0, -1).copy(), np.ascontiguousarray(values))


def blended_spline(root: TensorSpline, tip: TensorSpline, share: np.ndarray) -> TensorSpline:
    """Return a TensorSpline for each strip, between those of root and tip. This is a definition.

    ``share`` (n_strip,) [-] is the weight of the tip.
    """
    weights = root.weights + (tip.weights - root.weights) * share[:, None, None, None]
    return TensorSpline(root.knots, root.pieces, weights)
