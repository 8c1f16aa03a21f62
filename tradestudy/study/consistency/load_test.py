"""What must fit between the readings of a load test and the wing they were taken of."""

from __future__ import annotations

from collections.abc import Iterator

from tradestudy.study.line_numbers import Place
from tradestudy.study.schema.search import LoadTestTable
from tradestudy.study.schema.wing import StockTable
from tradestudy.study.value_text import mm

Broken = Iterator[tuple[Place, str]]

LEAST_REACH = 0.3  # of the semi-span: bags further inboard bend and twist too little of the wing to say much of it


def bags_hang_on_the_wing(load_test: LoadTestTable | None, stock: StockTable) -> Broken:
    """Bags hang on the outer part of the wing."""
    if load_test is None or load_test.tip_from_centre is None:
        return
    tip, place = 0.5 * stock.span, load_test.tip_from_centre
    if not LEAST_REACH * tip <= place <= tip:
        yield (
            ("load_test", "tip_from_centre"),
            (f"is {mm(place)}; bags hang between {mm(LEAST_REACH * tip)} and the tip, {mm(tip)} from the centre line."),
        )


def readings_are_whole(load_test: LoadTestTable | None) -> Broken:
    """A reading comes with what was hung."""
    if load_test is None:
        return
    given = {key for key in type(load_test).model_fields if getattr(load_test, key) is not None}

    def lacking(other: str) -> str:
        return f"is given without load_test.{other}; one says nothing without the other."

    for key, other in (
        ("tip_mass", "tip_rise"),
        ("tip_rise", "tip_mass"),
        ("twist_mass", "twist_arm"),
        ("twist_arm", "twist_mass"),
    ):
        if key in given and other not in given:
            yield ("load_test", key), lacking(other)
    turned = given & {"twist_angle", "edge_rise"}
    if len(turned) == 2:
        yield ("load_test", "edge_rise"), "stands beside load_test.twist_angle; they tell the same, give one of them."
    for key in sorted(turned)[:1]:
        if not given & {"twist_mass", "twist_arm"}:
            yield ("load_test", key), lacking("twist_mass and load_test.twist_arm")
    if not turned and {"twist_mass", "twist_arm"} <= given:
        yield ("load_test", "twist_mass"), lacking("twist_angle or load_test.edge_rise")


RULES = (bags_hang_on_the_wing, readings_are_whole)
