"""Balance from left to right: where the weight of all parts acts, and the weight in a tip that sets it right.

"(...)" means arrays of any batch shape.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, NamedTuple


class SidePart(NamedTuple):
    """A part beside the centre line. Foam that gives way to it is a part of negative mass. Fields are (...)."""

    mass: Any  # [kg]
    y: Any  # distance of its middle to the right of the centre line; negative if left [m]


def side_moment(parts: Iterable[SidePart]) -> Any:
    """Return the first moment of parts about the centre line, positive to the right. Statics, no source. [kg m]

    The result is (...), as the ``parts``.
    """
    return sum((part.mass * part.y for part in parts), 0.0)


def side_place(moment: Any, all_up_mass: Any) -> Any:
    """Return the place (...) of the centre of gravity to the right of the centre line, by definition. [m]

    ``moment`` (...) [kg m] is that of all parts, and ``all_up_mass`` (...) [kg] their mass.
    """
    return moment / all_up_mass


def tip_weight(moment: Any, station: Any) -> Any:
    """Return the mass (...) at a ``station`` (...) [m] in the lighter half that balances a wing. Statics. [kg]

    On the other side it has the ``moment`` (...) [kg m] of all parts: m = |moment| / station.

    A receiver of 40 g, 0.3 m to the right, needs 20 g in a tip 0.6 m to the left:

    >>> round(tip_weight(side_moment([SidePart(0.040, 0.3)]), 0.6), 6)
    0.02
    """
    return abs(moment) / station
