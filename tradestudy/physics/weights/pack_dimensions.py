"""Outside dimensions and mass of a pack. It imports nothing but math: a study is checked before numpy is loaded."""

from __future__ import annotations

import math
from typing import Any

WRAP = 0.002  # m, added to width and height; common practice
_TERMINALS = 0.010  # m, added to the length for strips, tabs and leads; common practice
PLAY = 0.040  # m, in which a pack slides in its bay to set the balance; common practice
_OVERHEAD_SHARE = 0.06  # of the cells, for strips and wrap; common practice: 6 to 12 %
_OVERHEAD_MASS = 0.030  # kg, leads, connector and balance lead; common practice: 30 to 60 g for a small pack


def pack_mass(cell_mass: Any, cells: Any) -> Any:
    """Return the mass of a pack (...): cells, strips, wrap, leads, connector, balance lead; common practice. [kg]

    Parameters
    ----------
    cell_mass : (...) array
        Of one bare cell. [kg]
    cells : (...) array
        Number in the pack. [-]

    Examples
    --------
    >>> round(pack_mass(0.045, 6), 4)
    0.3162
    """
    return cell_mass * cells * (1 + _OVERHEAD_SHARE) + _OVERHEAD_MASS


def cell_mass(mass: float, cells: int) -> float:
    """Return the mass of one bare cell of a pack of ``mass`` [kg] and ``cells`` [-]: the inverse of `pack_mass`. [kg]

    Common practice: in a very light pack the cells are taken as half of the mass.
    """
    return max(mass - _OVERHEAD_MASS, 0.5 * mass) / (cells * (1 + _OVERHEAD_SHARE))


def least_cells_across(cell_length: float, cells: int, cells_across: int, cells_high: int, room: float) -> int:
    """Return the least number of cells across, from ``cells_across`` [-] up, of a pack no longer than ``room`` [m]. [-]

    Geometry of ``cells`` [-], ``cells_high`` on top of one another [-], each of ``cell_length`` [m].
    """
    room += 0.002  # sizes in a study are whole millimetres
    while cells_across < cells and pack_outside_size(cell_length, 0, 0, cells, cells_across, cells_high)[0] > room:
        cells_across += 1
    return cells_across


def pack_outside_size(
    cell_length: float, cell_width: float, cell_thickness: float, cells: int, cells_across: int, cells_high: int
) -> tuple[float, float, float]:
    """Return outside length, width and height of a pack; geometry, with additions of common practice. [m]

    Round cells lie lengthwise (diameter is width and thickness), pouches lie flat. A row has ``cells_across`` cells
    next to one another and ``cells_high`` on top of one another; rows lie one behind the other.

    Parameters
    ----------
    cell_length, cell_width, cell_thickness : float
        [m]
    cells, cells_across, cells_high : int
        Number in all, next to one another, on top of one another. [-]

    Returns
    -------
    length, width, height : float
        Along the flight direction, across, up. [m]
    """
    rows = math.ceil(cells / (cells_across * cells_high) - 1e-9)  # an unfilled row is as long as a full one
    return rows * cell_length + _TERMINALS, cells_across * cell_width + WRAP, cells_high * cell_thickness + WRAP
