"""Outside dimensions and mass of a pack. It imports nothing but math, so that a study is read without loading numpy.

"(...)" means arrays of any batch shape.
"""

from __future__ import annotations

import math
from typing import Any

WRAP = 0.002  # allowance for the wrap in width and in height, in m; common practice
_TERMINALS = 0.010  # allowance for strips, tabs and leads in length, in m; common practice
ROOM = 0.001  # room between a pack and each wall of its bay, in m; common practice: 1 to 2 mm
# Length of a bay beyond that of its pack, for leads and to slide it, in m; common practice: 25 to 35 mm
PLAY = 0.030
_ROUNDING = 1e-6  # m
_OVERHEAD_SHARE = 0.06  # mass of strips and wrap over mass of the cells; common practice: 6 to 12 %
_OVERHEAD_MASS = 0.030  # mass of leads, connector and balance lead in kg; common practice: 30 to 60 g for a small pack


def pack_mass(cell_mass: Any, cells: Any) -> Any:
    """Return the mass (...) of a pack: cells, strips, wrap, leads, connector, balance lead; common practice. [kg]

    Parameters
    ----------
    cell_mass : (...) array
        Mass of one bare cell. [kg]
    cells : (...) array
        Number of cells in the pack. [-]

    Examples
    --------
    >>> round(pack_mass(0.045, 6), 4)
    0.3162
    """
    return cell_mass * cells * (1 + _OVERHEAD_SHARE) + _OVERHEAD_MASS


def cell_mass(mass: float, cells: int) -> float:
    """Return the mass of one bare cell of a pack of ``mass`` [kg] with ``cells`` [-] cells: the inverse of `pack_mass`.
    [kg]

    Common practice: the cells have at least half of the mass of the pack.
    """
    return max(mass - _OVERHEAD_MASS, 0.5 * mass) / (cells * (1 + _OVERHEAD_SHARE))


def least_cells_across(cell_length: float, cells: int, cells_across: int, cells_high: int, room: float) -> int:
    """Return the smallest number of cells across that makes a pack no longer than ``room`` [m]. [-]

    The search starts at ``cells_across`` [-]. The pack has ``cells`` [-] cells in all, ``cells_high`` [-] on top of one
    another, each of ``cell_length`` [m]. Geometry, no source needed.
    """
    room += _ROUNDING
    while cells_across < cells and pack_outside_size(cell_length, 0, 0, cells, cells_across, cells_high)[0] > room:
        cells_across += 1
    return cells_across


def pack_outside_size(
    cell_length: float, cell_width: float, cell_thickness: float, cells: int, cells_across: int, cells_high: int
) -> tuple[float, float, float]:
    """Return outside length, width and height of a pack: geometry with allowances of common practice. [m]

    Round cells lie along the flight direction, so their diameter is width and thickness. Pouch cells lie flat. A row
    has ``cells_across`` cells next to one another and ``cells_high`` on top of one another. Rows are placed end to end.

    Parameters
    ----------
    cell_length, cell_width, cell_thickness : float
        Size of one cell. [m]
    cells, cells_across, cells_high : int
        Number of cells in all, next to one another, and on top of one another. [-]

    Returns
    -------
    length, width, height : float
        Size along the flight direction, across and up. [m]
    """
    rows = math.ceil(cells / (cells_across * cells_high) - 1e-9)  # an unfilled row is as long as a full one
    return rows * cell_length + _TERMINALS, cells_across * cell_width + WRAP, cells_high * cell_thickness + WRAP
