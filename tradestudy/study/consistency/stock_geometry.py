"""Lengths of the stock wing that rules need: chords, thickness and lines of rods, from the tables of the study."""

from __future__ import annotations

import math
from typing import NamedTuple

from tradestudy.physics.body.rod_limits import LAP_GAP
from tradestudy.study.schema.rods import RodTable
from tradestudy.study.schema.wing import ElevonTable, StockTable

from .shared import LENGTH_TOLERANCE

# Here the true section is not known, only its greatest thickness. At a rod it may be thicker than the four-digit form
# below by this factor at most. Rods that need more are refused. Smaller excesses are flagged later, when the section
# is known. The factor is a judgement.
_THICKER_AT_MOST = 1.25


def panel_fraction(stock: StockTable, station: float) -> float:
    """Return the position of a station [m] on the panel: 0 at its root, 1 at its tip. [-]

    A station is a distance from the centre line.
    """
    centre = 0.5 * stock.centre_width
    return min(max((station - centre) / max(0.5 * stock.span - centre, LENGTH_TOLERANCE), 0.0), 1.0)


def foam_chord(stock: StockTable, station: float) -> float:
    """Return the foam chord of the stock wing at a station. [m]"""
    return stock.root_chord + panel_fraction(stock, station) * (stock.tip_chord - stock.root_chord)


def stock_thickness(stock: StockTable, station: float) -> float:
    """Return the greatest thickness [m] of the section at a station [m], interpolated linearly from root to tip.

    If the thickness of the tip was not measured, it has the same ratio to the chord as at the root.
    """
    tip = stock.tip_thickness or stock.root_thickness * stock.tip_chord / stock.root_chord
    return stock.root_thickness + panel_fraction(stock, station) * (tip - stock.root_thickness)


def mean_chord(stock: StockTable, elevon: ElevonTable) -> tuple[float, float]:
    """Return the mean aerodynamic chord of foam and elevon, and the distance of its leading edge from the nose. [m]"""
    root, tip = stock.root_chord + elevon.root_chord, stock.tip_chord + elevon.tip_chord
    centre = 0.5 * stock.centre_width
    panel = 0.5 * stock.span - centre
    area = 0.5 * (root + tip) * panel + root * centre
    squares = panel * (root * root + root * tip + tip * tip) / 3 + root * root * centre
    moment = stock.tip_set_back * panel * (root + 2 * tip) / 6
    return squares / area, moment / area


def leading_edge(stock: StockTable, station: float) -> float:
    """Return the distance of the leading edge behind the nose at a station. [m]"""
    return stock.tip_set_back * panel_fraction(stock, station)


def likely_thickness(stock: StockTable, elevon: ElevonTable, fraction: float, station: float) -> float:
    """Return the most that the section may be thick at a ``fraction`` of the foam chord, at a station [m]. [m]

    Outside the foam it is 0.
    """
    if not 0.0 < fraction < 1.0:
        return 0.0
    share = _thickness_share(fraction * _foam_share(stock, elevon, station))
    return stock_thickness(stock, station) * min(_THICKER_AT_MOST * share, 1.0)


def _thickness_share(place: float) -> float:
    """Return the thickness at a place along the chord, divided by the greatest thickness. [-]

    ``place`` is the distance from the leading edge, as a share of the chord. Four-digit form (NACA Report 460).
    """
    return (2.969 * place**0.5 - 1.26 * place - 3.516 * place**2 + 2.843 * place**3 - 1.015 * place**4) / 1.0006


def _foam_share(stock: StockTable, elevon: ElevonTable, station: float) -> float:
    """Return the foam chord at a station [m], divided by the chord of the airfoil. [-]"""
    foam = foam_chord(stock, station)
    behind = elevon.root_chord + panel_fraction(stock, station) * (elevon.tip_chord - elevon.root_chord)
    return foam / (foam + behind) if stock.airfoil_covers == "whole" else 1.0


class StockRod(NamedTuple):
    """The middle line of a set of rods in the right half of the stock wing, seen from above. Lengths are in [m]."""

    inner_x: float  # place of the inner end behind the nose
    inner_y: float  # distance of the inner end from the centre line
    slope: float  # distance aft over distance outward [-]
    length: float

    def x_at(self, station: float) -> float:
        """Return the place behind the nose at a station [m]. [m]"""
        return self.inner_x + self.slope * (station - self.inner_y)

    @property
    def turn(self) -> float:
        """Angle by which a rod turns where the lines of both halves meet on the centre line. [rad]"""
        return 2.0 * abs(math.atan(self.slope))

    def across_x(self, diameter: float) -> float:
        """Return the place of the rod across the centre of a ``diameter`` [m] behind the nose. [m]

        It is that of `straight_rods.transverse_rod`.
        """
        apart = diameter + LAP_GAP
        return self.inner_x + (apart if self.slope < 0.0 else -apart)

    def lap_end(self, lap: float) -> float:
        """Return the station of the end of the rod across the centre that this rod overlaps by ``lap`` [m]. [m]"""
        return self.inner_y + lap / math.hypot(1.0, self.slope)


def stock_rod(stock: StockTable, rod: RodTable) -> StockRod:
    """Return the middle line of a set of rods in the stock wing.

    It is that of `straight_rods.straight_rod` for single numbers, without the libraries that are slow to load.
    """
    start = 0.5 * stock.centre_width
    first = start if rod.inner_end < start < rod.outer_end else rod.inner_end
    tip = rod.chord_fraction if rod.tip_chord_fraction is None else rod.tip_chord_fraction
    near, far = (
        leading_edge(stock, station) + fraction * foam_chord(stock, station)
        for station, fraction in ((first, rod.chord_fraction), (rod.outer_end, tip))
    )
    slope = (far - near) / (rod.outer_end - first)
    length = (rod.outer_end - rod.inner_end) * math.hypot(1.0, slope)
    return StockRod(near + slope * (rod.inner_end - first), rod.inner_end, slope, length)
