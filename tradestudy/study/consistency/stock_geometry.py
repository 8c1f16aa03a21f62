"""Lengths of the stock wing that rules need: foam chord, thickness and mean chord, from the tables of the study."""

from __future__ import annotations

from tradestudy.study.schema.wing import ElevonTable, StockTable

from .shared import LENGTH_TOLERANCE


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
