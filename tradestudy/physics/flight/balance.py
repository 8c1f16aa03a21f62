"""Where the pack must sit for a design to balance, and how much fin it has."""

from __future__ import annotations

from typing import Any, NamedTuple

from tradestudy.physics.geometry import fins
from tradestudy.physics.weights import mass


class DesignBalance(NamedTuple):
    """Pack and fins of a design (...)."""

    pack_position: Any  # of the pack's centre behind the nose datum [m]
    fin_volume: Any  # coefficient [-]


def design_balance(
    centre_of_gravity, all_up_mass, moment_without_pack, pack_mass, fin_side_area, fin_quarter_chord, area, span
):
    """Return the Balance (...) of a design; all (...), as in layout.Shape and trimmed_flight.TrimmedFlight."""
    return DesignBalance(
        mass.pack_position(centre_of_gravity, all_up_mass, moment_without_pack, pack_mass),
        fins.fin_volume(fin_side_area, fin_quarter_chord - centre_of_gravity, area, span),
    )
