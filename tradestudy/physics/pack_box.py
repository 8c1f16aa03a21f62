"""Outside dimensions of a pack. Plain numbers and no imports: a study is checked with it before numpy is loaded."""

from __future__ import annotations

import math

WRAP = 0.002  # m, added to width and height; common practice
TERMINALS = 0.010  # m, added to the length for strips, tabs and leads; common practice


def pack_size(cell_length, cell_width, cell_thickness, cells, cells_across, cells_high):
    """Return outside length, width and height of a pack.

    Round cells lie lengthwise (diameter is width and thickness), pouches lie flat; both stand in rows of
    ``cells_across`` side by side and ``cells_high`` on top of one another, one row behind the other.

    Parameters
    ----------
    cell_length, cell_width, cell_thickness : float
        [m]
    cells, cells_across, cells_high : int
        Number in all, side by side, on top of one another. [-]

    Returns
    -------
    length, width, height : float
        Along the flight direction, across, up. [m]
    """
    rows = math.ceil(cells / (cells_across * cells_high) - 1e-9)  # an unfilled row is as long as a full one
    return rows * cell_length + TERMINALS, cells_across * cell_width + WRAP, cells_high * cell_thickness + WRAP
