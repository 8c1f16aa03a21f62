"""What the study wants most of, as the report says it: which number, under which name, in which unit."""

from __future__ import annotations

from typing import NamedTuple

from tradestudy.report.placed import fill
from tradestudy.results.design import Design
from tradestudy.results.result import Result


class Measure(NamedTuple):
    """One purpose in words; every text stands in the middle of a sentence."""

    key: str  # of numbers and curves; what wings are ranked by
    headline_key: str  # key of the number that is promised
    unit: str
    noun: str
    axis: str  # a short noun for axes and heads of tables
    suffix: str  # said behind a figure
    line: str  # the front against weight
    best: str  # what the best wing does


MEASURES = {
    "distance": Measure("range_km", "range_km", "km", "range", "range", "", "weight-range line", "flies furthest"),
    "out_and_home": Measure(
        "radius_by_charge_km", "radius_km", "km", "distance out and home", "out and home", " out and home",
        "weight-radius line", "flies furthest out and home",
    ),
    "usual_flight": Measure(
        "usual_flight_min", "usual_flight_min", "min", "time in the air", "usual flight", " in the air",
        "weight-time line", "flies longest",
    ),
}  # fmt: skip


def measure(result: Result) -> Measure:
    """Return how the report says what a study wants most of; range for results that do not tell."""
    return MEASURES[result.purposes.purpose]


class FrontAxis(NamedTuple):
    """One of the two quantities that a front trades."""

    key: str  # of numbers
    words: str
    unit: str

    @property
    def digits(self) -> int:
        """Behind the point, where it is told."""
        return 0 if self.unit in ("g", "mm") and self.key != "failure_load_factor" else 1

    def named(self) -> str:
        """Return the quantity with its unit, as an axis or a table has it."""
        return fill("{} [{}]", self.words, self.unit)


def front_axes(result: Result) -> tuple[FrontAxis, FrontAxis]:
    """Return what the front of a result shows (up) and against what (along)."""
    known = measure(result)
    if not result.traded:
        return FrontAxis(known.key, known.axis, known.unit), FrontAxis("auw_g", "flying weight", "g")
    of, against = (FrontAxis(each.number, each.words, each.unit)
                   for each in (result.traded.of, result.traded.against))  # fmt: skip
    return of, against


def by_weight(result: Result) -> bool:
    """Return whether the front is that of the study's own purpose against flying weight."""
    up, along = front_axes(result)
    return (up.key, along.key) == (measure(result).key, "auw_g")


def knee(result: Result) -> Design | None:
    """Return the wing at the knee of the front, if it has one."""
    at = result.traded.knee if result.traded else None
    return None if at is None else result.front[at]


def air_words(result: Result) -> str:
    """Return what the figures of the study's purpose assume of the air and the pilot."""
    known = result.purposes
    return {
        "distance": "still air",
        "out_and_home": fill("one leg against a wind of {:g} m/s, one with it", known.wind_ms),
        "usual_flight": fill("{:g} % of the time at full throttle", known.full_throttle_share_pct),
    }[known.purpose]


def ends_early(result: Result, design: Design) -> bool:
    """Return whether radio or law ends the way out before the charge does."""
    farthest, by_charge = result.purposes.farthest_out_km, design.numbers.radius_by_charge_km
    return farthest is not None and by_charge is not None and by_charge > farthest


def purpose_words(result: Result, design: Design) -> list[str]:
    """Return what was made longest, where that is not range, and what ends the way out and home."""
    known, numbers = result.purposes, design.numbers
    purpose, reserve = known.purpose, fill("the reserve of {:g} % kept", known.reserve_pct)
    lines = []
    if purpose != "distance":
        what = {"out_and_home": "the way out and home", "usual_flight": "a usual flight"}[purpose]
        lines.append(fill("What is made longest is {}: {}, {}.", what, air_words(result), reserve))
    if ends_early(result, design):
        lines.append(
            fill(
                "Out and home in wind of {:g} m/s the charge would do for {:.0f} km; radio or law ends it at {:g} "
                "km, and {:.0f} % of the charge is then left on landing.",
                known.wind_ms,
                numbers.radius_by_charge_km,
                known.farthest_out_km,
                numbers.charge_left_pct,
            )
        )
        if purpose == "out_and_home":
            lines.append("Wings are compared by what the charge alone would do.")
    return lines


def number_words(key: str, words: str, result: Result) -> str:
    """Return the name of a number with what the study assumes for it."""
    known = result.purposes
    if key == "radius_km":
        farthest = known.farthest_out_km
        cap = "" if farthest is None else fill(", {:g} km at most", farthest)
        return fill("Out and home in wind of {:g} m/s{}", known.wind_ms, cap)
    if key == "usual_flight_min":
        return fill("Usual flight, {:g} % of it at full throttle", known.full_throttle_share_pct)
    return words
