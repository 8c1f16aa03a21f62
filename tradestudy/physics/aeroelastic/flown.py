"""What a wing that flies says about unknown materials: the least stiffness with which it stands what it has flown.

It holds at the speed, weight and load that were flown, and for the covering and foam that were flown with. It says
nothing about cells, motor, balance or a load that nobody tried.
"""

from __future__ import annotations

from collections.abc import Callable

HIGHEST_SHARE = 4.0  # largest share of the nominal stiffness that is looked at [-]; judgement
_HALVINGS = 16  # of the interval between the ends: exact to a ten-thousandth of the nominal stiffness


def least_share(critical_speed: Callable[[float], float], flown_speed: float, weakest: float) -> float:
    """Return the least share of a nominal stiffness that a wing needs for a speed that it has flown. [-]

    Parameters
    ----------
    critical_speed : callable
        Critical speed [m/s] for a share of the nominal stiffness [-]. It rises with the share; inf if there is none.
    flown_speed : float
        Speed that the wing has flown and returned from. [m/s]
    weakest : float
        Share that is assumed if the flight tells nothing. The result is not below it. [-]

    Notes
    -----
    Found by halving, and rounded to the side on which the wing stands the speed. A faster flight never gives a smaller
    share. If even HIGHEST_SHARE is not enough, that share is returned. This is a definition and needs no source.

    Examples
    --------
    >>> round(least_share(lambda share: 40.0 * share**0.5, flown_speed=30.0, weakest=0.4), 3)
    0.563
    """
    low, high = weakest, HIGHEST_SHARE
    if critical_speed(low) >= flown_speed:
        return low
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if critical_speed(middle) >= flown_speed else (middle, high)
    return high
