"""Thresholds of the balance window, used by the window itself and by the sentences about it.

All are common practice or judgement, no source.
"""

from __future__ import annotations

from .units import from_edge

LEAST_STATIC_MARGIN = 0.04  # share of the mean chord, below which these wings hunt in pitch; common practice
MOST_CRUISE_ELEVON = from_edge("deg", 8.0)  # more in cruise leaves little for control; common practice
MOST_DOWN_ELEVON = from_edge("deg", 0.5)  # in cruise; as near as a builder sets neutral elevons; judgement
NARROW = 0.004  # m; a narrower balance window is called narrow: a balance is set to 2 mm either way; judgement
FIRST_FLIGHT_AHEAD = 0.005  # m; how far ahead of the mark the first flight is made, where there is room; judgement
