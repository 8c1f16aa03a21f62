"""The stall in level flight: its speed, and the lift left at the tips when the first strip of the wing stalls.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.mesh import Mesh

from .trimmed_flight import LEVEL_CONDITIONS

# Strips outboard of this share of the half span are the tips: if the outer 30 % keep flying, a stall is held. Common
# practice, no source. [-]
TIP_START = 0.7
_CRUISE, _SLOW = LEVEL_CONDITIONS.index("cruise"), LEVEL_CONDITIONS.index("slow")
_SHARPNESS = 500.0  # of the least among strips: three equal ones stall 0.1 % of lift too early [-]


class TipStall(NamedTuple):
    """The tips of a wing when its first strip stalls."""

    tips_left: Any  # lift that the tips as a whole could still gain over their largest (...) [-]
    stall_speed: Any  # speed of level flight at which the first strip stalls (...) [m/s]


def tip_shares(wing: planform.Planform, mesh: Mesh) -> Any:
    """Return the share (..., n_wing) of each wing strip's width that lies outboard of TIP_START. Geometry. [-]"""
    inner, outer = mesh.inner_edge[..., : mesh.n_wing, 1], mesh.outer_edge[..., : mesh.n_wing, 1]
    share = (outer - TIP_START * wing.semi_span[..., None]) / (outer - inner)
    return np.where(share.real <= 0.0, 0.0, np.where(share.real >= 1.0, 1.0, share))


def tip_stall(
    shares: Any,
    strip_area: Any,
    lift_coefficient: Any,
    stall_margin: Any,
    dynamic_pressure: Any,
    air_density: float,
) -> TipStall:
    """Return the TipStall of a wing in level flight, with the balance at its mark.

    In level flight the lattice is linear in one over speed squared. So two conditions give the lift of every strip at
    any speed. The margin to its largest lift is taken as linear too. The stall found strip by strip differs by up to
    0.2 % of lift. It differs by 0.4 % for a cruise at twice the stall speed. This is our own definition.

    Parameters
    ----------
    shares : (..., n_strip) array
        Share of each strip that belongs to the tips, as from ``tip_shares``. [-]
    strip_area : (..., n_strip) array
        [m^2]
    lift_coefficient, stall_margin : (..., n_level, n_strip) arrays
        Lift coefficient of each strip, and how much less it is than the largest. [-]
    dynamic_pressure : (..., n_condition) array
        In the level conditions, which stand first. [Pa]
    air_density : float
        [kg/m^3]
    """
    margin, most = (values[..., _SLOW, :] for values in (stall_margin, lift_coefficient + stall_margin))
    fall = stall_margin[..., _CRUISE, :] - margin
    rise = most - (lift_coefficient + stall_margin)[..., _CRUISE, :]
    # steps to the stall of each strip: one is as far as from cruise to "slow"
    falls = fall.real > 0
    steps = margin / np.where(falls, fall, 1.0)
    least = np.where(falls, steps.real, np.inf).min(axis=-1)[..., None]
    nearness = np.where(falls, np.exp(-_SHARPNESS * np.where(falls, steps - least, 0.0)), 0.0)
    first = least - np.log(nearness.sum(axis=-1))[..., None] / _SHARPNESS
    weight = shares * strip_area
    left = (weight * (margin - first * fall)).sum(axis=-1)
    tips_left = left / (weight * (most + first * rise)).sum(axis=-1)
    # steps are equal in one over speed squared, and so in one over dynamic pressure
    cruise, slow = 1 / dynamic_pressure[..., _CRUISE], 1 / dynamic_pressure[..., _SLOW]
    pressure = 1 / (slow + first[..., 0] * (slow - cruise))
    return TipStall(tips_left, np.sqrt(2 * pressure / air_density))
