"""Outside dimensions and mass of a pack. Plain numbers, no imports: a study is checked before numpy is loaded."""

from __future__ import annotations

import math

WRAP = 0.002  # m, added to width and height; common practice
_TERMINALS = 0.010  # m, added to the length for strips, tabs and leads; common practice
PLAY = 0.040  # m, in which a pack slides in its bay to set the balance; common practice
_OVERHEAD_SHARE = 0.06  # of the cells, for strips and wrap; common practice: 6 to 12 %
_OVERHEAD_MASS = 0.030  # kg, leads, connector and balance lead; common practice: 30 to 60 g for a small pack


def pack_mass(cell_mass, cells):
    """Return the mass of a pack [kg] (...): cells, and strips, wrap, leads, connector, balance lead.

    Parameters
    ----------
    cell_mass : (...) array
        Of one bare cell. [kg]
    cells : (...) array
        Number in the whole pack. [-]
    """
    return cell_mass * cells * (1 + _OVERHEAD_SHARE) + _OVERHEAD_MASS


def cell_mass(mass, cells):
    """Return the mass of one bare cell [kg] of a pack of ``mass`` [kg]: `pack_mass` turned round.

    A pack lighter than twice its leads and wrap counts as all cells but half.
    """
    return max(mass - _OVERHEAD_MASS, 0.5 * mass) / (cells * (1 + _OVERHEAD_SHARE))


def least_cells_across(cell_length, cells, cells_across, cells_high, room):
    """Return how many cells across make a pack no longer than ``room`` [m]: ``cells_across``, or more. [-]"""
    room += 0.002  # sizes in a study are whole millimetres
    while cells_across < cells and pack_outside_size(cell_length, 0, 0, cells, cells_across, cells_high)[0] > room:
        cells_across += 1
    return cells_across


def pack_outside_size(cell_length, cell_width, cell_thickness, cells, cells_across, cells_high):
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
    return rows * cell_length + _TERMINALS, cells_across * cell_width + WRAP, cells_high * cell_thickness + WRAP
