"""Position of the pack that balances a design, and its fin volume.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from tradestudy.physics.geometry import fins
from tradestudy.physics.weights import mass


class DesignBalance(NamedTuple):
    """Pack position and fin volume of a design. Fields have the shape (...)."""

    pack_position: Any  # distance of the pack's centre behind the nose datum [m]
    fin_volume: Any  # fin volume coefficient [-]


def design_balance(
    centre_of_gravity: Any,
    all_up_mass: Any,
    moment_without_pack: Any,
    sliding_mass: Any,
    fin_side_area: Any,
    fin_quarter_chord: Any,
    area: Any,
    span: Any,
) -> DesignBalance:
    """Return the DesignBalance (...) of a design. Definitions are as in ``mass.pack_position`` and ``fins.fin_volume``.

    Parameters
    ----------
    centre_of_gravity : (...) array
        Distance of the centre of gravity behind the nose datum. [m]
    all_up_mass, moment_without_pack, sliding_mass : (...) array
        Total mass, mass moment about the nose datum of all that does not move with the pack, and the mass that moves
        with it. [kg], [kg m], [kg]
    fin_side_area, fin_quarter_chord : (...) array
        Side area of the fins, and distance of their quarter chord behind the nose datum. [m^2], [m]
    area, span : (...) array
        Area and span of the wing. [m^2], [m]

    Examples
    --------
    The pack of 0.3 kg in a wing of 1 kg is placed so that the centre of gravity is 0.2 m behind the nose datum:

    >>> balance = design_balance(
    ...     centre_of_gravity=0.2, all_up_mass=1.0, moment_without_pack=0.17, sliding_mass=0.3,
    ...     fin_side_area=0.02, fin_quarter_chord=0.5, area=0.3, span=1.5,
    ... )
    >>> round(balance.pack_position, 4), round(balance.fin_volume, 4)
    (0.1, 0.0133)
    """
    return DesignBalance(
        pack_position=mass.pack_position(centre_of_gravity, all_up_mass, moment_without_pack, sliding_mass),
        fin_volume=fins.fin_volume(fin_side_area, fin_quarter_chord - centre_of_gravity, area, span),
    )
