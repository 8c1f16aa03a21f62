"""Thresholds of the balance window, used by the window itself and by the sentences about it.

All are common practice or judgement, no source.
"""

from __future__ import annotations

from .units import from_edge

LEAST_STATIC_MARGIN = 0.04  # share of the mean chord, below which these wings hunt in pitch; common practice
# share of the mean chord by which a stretched wing may have less than the stock wing: some 4 mm, within which a builder
# sets a balance; judgement. A limit exactly where the stock wing sits leaves no room to set one.
LESS_STATIC_MARGIN = 0.015
MORE_CRUISE_ELEVON = from_edge("deg", 2.0)  # more up-elevon than the stock wing's that still trims well; judgement
MOST_CRUISE_ELEVON = from_edge("deg", 8.0)  # more in cruise leaves little for control; common practice
MOST_DOWN_ELEVON = from_edge("deg", 0.5)  # in cruise; as near as a builder sets neutral elevons; judgement
NARROW = 0.004  # m; a narrower balance window is called narrow: a balance is set to 2 mm either way; judgement
FIRST_FLIGHT_AHEAD = 0.005  # m; how far ahead of the mark the first flight is made, where there is room; judgement


def least_static_margin(stock: float) -> float:
    """Return the least static margin of a stretched wing, from that of the stock wing (shares of the mean chord)."""
    return max(stock - LESS_STATIC_MARGIN, LEAST_STATIC_MARGIN)


def most_up_elevon(stock: float) -> float:
    """Return the most up-elevon in cruise of a stretched wing, from that of the stock wing. [rad]"""
    return max(stock, min(stock + MORE_CRUISE_ELEVON, MOST_CRUISE_ELEVON))
