"""Mass of a pack, and the room that it needs. It imports no numpy, so that a study is read without loading it.

"(...)" means arrays of any batch shape.
"""

from __future__ import annotations

from typing import Any

ROOM = 0.001  # room between a pack and each wall of its bay, in m; common practice: 1 to 2 mm
# Length of a bay beyond that of its pack, for leads and to slide it, in m; common practice: 25 to 35 mm
PLAY = 0.030
NOSE_WALL = 0.015  # least length of foam and camera ahead of a bay in the nose, in m; common practice
LEADS = 0.025  # length of a bay that plug and leads take up behind the pack, in m; common practice: 25 to 35 mm
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
