"""Rules for the readings of a load test on the bench."""

from __future__ import annotations

from tradestudy.study.schema.search import LoadTestTable
from tradestudy.study.schema.wing import StockTable
from tradestudy.study.value_text import mm

from .shared import Faults, given_twice, given_without

# Smallest distance of the bags from the centre line, as a share of the semi-span. Bags further inboard load too little
# of the wing.
_LEAST_REACH = 0.3


def _bags_hang_on_the_wing(load_test: LoadTestTable, stock: StockTable) -> Faults:
    """Yield an error if the bags do not hang on the outer part of the wing."""
    tip, place = 0.5 * stock.span, load_test.tip_from_centre
    if place is not None and not _LEAST_REACH * tip <= place <= tip:
        yield (
            ("load_test", "tip_from_centre"),
            f"is {mm(place)} from the centre line; hang the bags between {mm(_LEAST_REACH * tip)} and the tip "
            f"({mm(tip)}).",
        )


def _readings_are_complete(load_test: LoadTestTable) -> Faults:
    """Yield an error if a reading is given without its load, or a load without its reading."""
    given = {key for key, value in load_test if value is not None}
    for one, other in (("tip_mass", "tip_rise"), ("twist_mass", "twist_arm")):
        for key, missing in ((one, other), (other, one)):
            if key in given and missing not in given:
                yield given_without(("load_test", key), f"load_test.{missing}")
    readings = given & {"twist_angle", "edge_rise"}
    if len(readings) == 2:
        yield given_twice(("load_test", "edge_rise"), "load_test.twist_angle")
    for key in sorted(readings)[:1]:
        if not given & {"twist_mass", "twist_arm"}:
            yield given_without(("load_test", key), "load_test.twist_mass and load_test.twist_arm")
    if not readings and {"twist_mass", "twist_arm"} <= given:
        yield given_without(("load_test", "twist_mass"), "load_test.twist_angle or load_test.edge_rise")


LOAD_TEST_CHECKS = (_bags_hang_on_the_wing, _readings_are_complete)
