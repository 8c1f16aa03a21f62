"""Bounds where the study gives none: what flights need, and how far the stock wing may move it.

A bound that follows from the stock wing alone passes on every error that it shares with the model. So each has an end
that does not depend on the stock wing. And no bound sits exactly where a sound stock wing sits.
"""

from __future__ import annotations

from typing import NamedTuple

from .limits import OF_PRACTICE, PRACTICE, RATING, STOCK, STOCK_WINGS

# Least share of their lift that the tips keep when the stall begins. That they keep some is common practice, no source.
# How much follows from the model: from one Reynolds number to another the largest lift of measured sections changes by
# 2 % (root mean square) more or less than in the model, and by 5 % at most
# (`tests/published/sections/test_selig_1995.py`). Between root and tip lies such a step, so less than 5 % may be
# nothing.
LEAST_TIPS_LEFT = 0.05
# The same where the stock wing flies with less: that root mean square. Less cannot be told from tips that stall first.
_LEAST_TIPS_LEFT_EVER = 0.02
# Strength of a stretched wing over the stock wing's, where flights need no more. Judgement: foam, film and bond are
# known to a factor of two, and careful builds of one plan differ by more than a fifth.
_STRENGTH_SHARE = 0.8


class Floor(NamedTuple):
    """A bound, where it comes from, and whose rule it is."""

    value: float
    origin: str
    whose: str


def least_tips_left(own: float) -> Floor:
    """Return the least lift left at the tips when the stall begins, from that of the stock wing (shares)."""
    if own >= LEAST_TIPS_LEFT:
        return Floor(LEAST_TIPS_LEFT, PRACTICE, OF_PRACTICE)
    if own > _LEAST_TIPS_LEFT_EVER:
        return Floor(own, STOCK, STOCK_WINGS)
    return Floor(_LEAST_TIPS_LEFT_EVER, f"{PRACTICE}; {STOCK} has less", OF_PRACTICE)


def least_strength(own: float, needed: float, enough: float) -> Floor:
    """Return the least load factor at which a stretched wing breaks, from that of the stock wing.

    ``needed`` is what flights need, and all that a weaker stock wing bears. No stock wing sets more than ``enough``.
    """
    share = _STRENGTH_SHARE * own
    if own <= needed:
        return Floor(own, STOCK, STOCK_WINGS)
    if share <= needed:
        return Floor(needed, "safety factor of 1.5", OF_PRACTICE)
    if share >= enough:
        return Floor(enough, "enough; the stock wing bears more", OF_PRACTICE)
    return Floor(share, f"{_STRENGTH_SHARE:g} of the stock wing's", STOCK_WINGS)


def most_strength_used(own: float, safe: float) -> Floor:
    """Return the most of its strength that a stretched wing may use, from what the stock wing uses (shares).

    ``safe`` leaves the safety factor. A stock wing that uses more may use that factor up.
    """
    if own > safe + 1e-9:
        return Floor(min(own, 1.0), "what the stock wing uses", STOCK_WINGS)
    return Floor(safe, "safety factor of 1.5", OF_PRACTICE)


def most_twist(own: float, usual: float) -> Floor:
    """Return how near a stretched wing may be to twisting off, from the stock wing and from practice (shares)."""
    return Floor(usual, PRACTICE, OF_PRACTICE) if own <= usual else Floor(own, STOCK, STOCK_WINGS)


def most_servo_torque(own: float, rated: float, reserve: float, assumed: bool) -> Floor:
    """Return the most torque that a stretched wing may need of a servo with its reserve, from that of the stock wing.

    ``rated`` is the torque of the servo, and ``reserve`` a factor. A stock wing that needs more may use the reserve up.
    Where the torque is ``assumed``, nobody knows that the reserve is missing, and the stock wing proves what it needs.
    So only a wing that uses up all of the reserve is refused: it wants stronger servos.
    """
    if not assumed:
        if own <= rated:
            return Floor(rated, "linkage.servo_torque", RATING)
        return Floor(min(own, reserve * rated), "what the stock wing needs", STOCK_WINGS)
    if own <= rated:
        return Floor(reserve * rated, "usual servos, assumed, without a reserve", OF_PRACTICE)
    return Floor(reserve * own, f"{reserve:g} of what the stock wing needs", STOCK_WINGS)
