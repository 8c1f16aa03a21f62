"""Rules for the outline, the airfoils and the balance of the stock wing."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

from tradestudy.study.referenced_files.airfoil_files import airfoil_fault
from tradestudy.study.schema.wing import TRACED, UNKNOWN, ElevonTable, StockTable, TracedSectionTable
from tradestudy.study.value_text import mm

from .shared import LENGTH_TOLERANCE, Faults, given_twice
from .stock_geometry import mean_chord

_THICKEST = 0.3  # largest thickness of a section, as a share of its chord
# Range of the balance mark, as a share of the mean aerodynamic chord. The neutral point lies at 20 to 27 % of it.
_BALANCE_RANGE = (-0.1, 0.35)


def _planform_fits(stock: StockTable) -> Faults:
    """Yield an error if the tip chord exceeds the root chord, the panel has no width, or the root is too thick."""
    if stock.tip_chord > stock.root_chord + LENGTH_TOLERANCE:
        yield (
            ("stock", "tip_chord"),
            f"is {mm(stock.tip_chord)}, wider than stock.root_chord ({mm(stock.root_chord)}). Are the two swapped?",
        )
    if stock.centre_width >= stock.span - LENGTH_TOLERANCE:
        yield (
            ("stock", "centre_width"),
            f"is {mm(stock.centre_width)}; it must be less than stock.span ({mm(stock.span)}).",
        )
    if stock.root_thickness > _THICKEST * stock.root_chord:
        yield (
            ("stock", "root_thickness"),
            f"is {mm(stock.root_thickness)}, more than 30 % of stock.root_chord ({mm(stock.root_chord)}).",
        )


def _airfoil_exists(stock: StockTable, folder: Path) -> Faults:
    """Yield an error if the airfoil is neither in the database nor in a file."""
    if fault := airfoil_fault(stock.airfoil, folder):
        yield ("stock", "airfoil"), str(fault)


def tip_section_fits(stock: StockTable, elevon: ElevonTable, folder: Path) -> Faults:
    """Yield an error if the airfoil of the tip does not exist, or the tip is too thick or thinner than the elevon."""
    if stock.tip_airfoil in (UNKNOWN, TRACED):
        yield (
            ("stock", "tip_airfoil"),
            f'is "{stock.tip_airfoil}"; give a name or a coordinate file, or leave it out for the root\'s airfoil.',
        )
    elif stock.tip_airfoil is not None and (fault := airfoil_fault(stock.tip_airfoil, folder)):
        yield ("stock", "tip_airfoil"), str(fault)
    if stock.tip_thickness is None:
        return
    if stock.tip_thickness > _THICKEST * stock.tip_chord:
        yield (
            ("stock", "tip_thickness"),
            f"is {mm(stock.tip_thickness)}, more than 30 % of stock.tip_chord ({mm(stock.tip_chord)}).",
        )
    if stock.tip_thickness <= elevon.thickness:
        yield (
            ("stock", "tip_thickness"),
            f"is {mm(stock.tip_thickness)}; it must be more than elevon.thickness ({mm(elevon.thickness)}).",
        )


def _traced_section_is_given(stock: StockTable, given: dict[str, Any]) -> Faults:
    """Yield an error if the airfoil is "traced" but the study has no table [traced_section]."""
    if stock.airfoil == TRACED and "traced_section" not in given:
        yield ("stock", "airfoil"), f'is "{TRACED}", but there is no [traced_section].'


def _traced_section_is_usable(stock: StockTable, traced_section: TracedSectionTable) -> Faults:
    """Yield an error if a traced section is not used, or is not a valid section.

    Its three lists must have the same length. Its stations must run from nose to tail within the chord.
    """
    if stock.airfoil != TRACED:
        yield (
            ("traced_section",),
            f'is given, but stock.airfoil is "{stock.airfoil}". Write airfoil = "{TRACED}", or remove this table.',
        )
    stations, above, below = traced_section.station, traced_section.above, traced_section.below
    for key, heights in (("above", above), ("below", below)):
        if len(heights) != len(stations):
            yield ("traced_section", key), f"has {len(heights)} heights for {len(stations)} stations."
    for index, (first, second) in enumerate(pairwise(stations), start=1):
        if second <= first:
            yield (
                ("traced_section", "station", index),
                f"is {mm(second)}; it must lie behind the station before it ({mm(first)}).",
            )
    if stations[-1] > traced_section.chord + LENGTH_TOLERANCE:
        yield (
            ("traced_section", "station"),
            f"ends at {mm(stations[-1])}, behind traced_section.chord ({mm(traced_section.chord)}).",
        )
    for index, (top, bottom) in enumerate(zip(above, below, strict=False)):
        if top + bottom < -LENGTH_TOLERANCE:
            yield ("traced_section", "below", index), f"is {mm(bottom)}: the bottom would lie above the top there."


def _balance_is_given_once(stock: StockTable, given: dict[str, Any]) -> Faults:
    """Yield an error if the balance is given from both datums."""
    if {"balance_from_nose", "balance_from_trailing_edge"} <= set(given.get("stock", {})):
        yield given_twice(("stock", "balance_from_trailing_edge"), "stock.balance_from_nose")


def _balance_is_flyable(stock: StockTable, elevon: ElevonTable) -> Faults:
    """Yield an error if the balance mark lies far from the mean aerodynamic chord."""
    if stock.centre_width >= stock.span or stock.tip_chord > stock.root_chord:
        return  # _planform_fits reports this error, and the mean chord would be meaningless
    chord, leading_edge = mean_chord(stock, elevon)
    low, high = (leading_edge + share * chord for share in _BALANCE_RANGE)
    if not low <= stock.balance_from_nose <= high:
        share = 100 * (stock.balance_from_nose - leading_edge) / chord
        from_edge = stock.balance_from_trailing_edge
        words = f"is {mm(stock.balance_from_nose)}"
        if from_edge is not None:
            words = f"is {mm(from_edge)}, which is {mm(stock.balance_from_nose)} behind the nose"
        yield (
            ("stock", stock.balance_key),
            f"{words}, at {share:.0f} % of the mean chord; a wing of this outline flies with "
            f"{mm(low)} to {mm(high)} at most. Measure it from the leading edge on the centre line.",
        )


def _shares_leave_something(stock: StockTable) -> Faults:
    """Yield an error if more than all of the weight not listed would grow."""
    if stock.not_listed_by_area + stock.not_listed_by_joints > 1.0 + 1e-9:
        yield (
            ("stock", "not_listed_by_area"),
            f"is {stock.not_listed_by_area:g}, and stock.not_listed_by_joints is {stock.not_listed_by_joints:g}: "
            "together they may be 1 at most.",
        )


PLANFORM_CHECKS = (
    _planform_fits,
    _airfoil_exists,
    tip_section_fits,
    _traced_section_is_given,
    _traced_section_is_usable,
    _balance_is_given_once,
    _balance_is_flyable,
    _shares_leave_something,
)
