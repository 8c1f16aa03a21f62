"""The measure that the study maximises: its number, its unit and the words that the report uses for it."""

from __future__ import annotations

from typing import NamedTuple

from tradestudy.report.placed import fill
from tradestudy.results.design import Design
from tradestudy.results.result import Result


class Measure(NamedTuple):
    """The words for one purpose of a study. Every text fits into the middle of a sentence."""

    key: str  # field of `numbers` and `curves` by which wings are ranked
    headline_key: str  # field of `numbers` that the report gives as its main result
    unit: str
    noun: str
    axis: str  # short name for axes and column heads
    suffix: str  # words after a number with its unit
    line: str  # name of the front of this measure against weight
    best: str  # phrase for what the best wing does


_MEASURES = {
    "distance": Measure("range_km", "range_km", "km", "range", "range", "", "weight-range line", "flies furthest"),
    "out_and_home": Measure(
        "radius_by_charge_km",
        "radius_km",
        "km",
        "distance out and home",
        "out and home",
        " out and home",
        "weight-radius line",
        "flies furthest out and home",
    ),
    "usual_flight": Measure(
        "usual_flight_min",
        "usual_flight_min",
        "min",
        "time in the air",
        "usual flight",
        " in the air",
        "weight-time line",
        "flies longest",
    ),
}


def measure(result: Result) -> Measure:
    """Return the words for what the study of a result maximises."""
    return _MEASURES[result.purposes.purpose]


def measure_of_number(number: str) -> Measure:
    """Return the words for a study that maximises this number."""
    return next(each for each in _MEASURES.values() if each.key == number)


# what a study maximises -> the same with the largest payload on board, as fields of `numbers`
WITH_PAYLOAD = {
    "range_km": "loaded_range_km",
    "radius_by_charge_km": "loaded_radius_km",
    "usual_flight_min": "loaded_flight_min",
}
PRICES = ("build_price", "price_per_km_gained")  # numbers in the currency of the study


class FrontAxis(NamedTuple):
    """One of the quantities of a front."""

    key: str  # field of `numbers`
    words: str
    unit: str

    @property
    def digits(self) -> int:
        """Return the number of decimal places."""
        if self.key in PRICES:
            return 2
        return 0 if self.unit in ("g", "mm") and self.key != "failure_load_factor" else 1

    def named(self) -> str:
        """Return the quantity with its unit, as on an axis or in a column head."""
        return fill("{} [{}]", self.words, self.unit) if self.unit else self.words


def front_axes(result: Result) -> tuple[FrontAxis, FrontAxis]:
    """Return the quantity on the vertical axis of the front and that on the horizontal axis."""
    known = measure(result)
    if not result.traded:
        return FrontAxis(known.key, known.axis, known.unit), FrontAxis("auw_g", "flying weight", "g")
    up, along = (FrontAxis(each.number, each.words, each.unit) for each in (result.traded.of, result.traded.against))
    return up, along


def by_weight(result: Result) -> bool:
    """Return whether the front shows the study's measure against flying weight."""
    up, along = front_axes(result)
    return (up.key, along.key) == (measure(result).key, "auw_g")


def knee_wing(result: Result) -> Design | None:
    """Return the wing at the knee of the front, or None."""
    at = result.traded.knee if result.traded else None
    return None if at is None else result.front[at]


def air_words(result: Result) -> str:
    """Return a sentence on what the study's measure assumes about the air and the pilot."""
    known = result.purposes
    return {
        "distance": "still air",
        "out_and_home": fill("one leg against a wind of {:.3g} m/s, one with it, at one airspeed", known.wind_ms),
        "usual_flight": fill("{:g} % of the time at full throttle", known.full_throttle_share_pct),
    }[known.purpose]


def purpose_words(result: Result, design: Design) -> list[str]:
    """Return sentences on what the search maximises, if it is not range, and on what limits the way out and home."""
    known, numbers = result.purposes, design.numbers
    lines = []
    if known.purpose != "distance":
        what = {"out_and_home": "the distance out and home", "usual_flight": "the time of a usual flight"}[
            known.purpose
        ]
        lines.append(
            fill("The search maximises {}: {}, a reserve of {:g} % kept.", what, air_words(result), known.reserve_pct)
        )
    farthest, by_charge = known.farthest_out_km, numbers.radius_by_charge_km
    if farthest is not None and by_charge is not None and by_charge > farthest:
        lines.append(
            fill(
                "Out and home in wind of {:.3g} m/s, the charge would be enough for {:.0f} km. The limit by radio or "
                "law is {:g} km, and {:.0f} % of the charge is then left on landing.",
                known.wind_ms,
                by_charge,
                farthest,
                numbers.charge_left_pct,
            )
        )
        if known.purpose == "out_and_home":
            lines.append("Wings are compared by the distance that the charge alone allows.")
    return lines


def number_words(key: str, words: str, result: Result) -> str:
    """Return the name of a number together with what the study assumes for it, such as the wind."""
    known = result.purposes
    if key == "radius_km":
        farthest = known.farthest_out_km
        cap = "" if farthest is None else fill(", {:g} km at most", farthest)
        return fill("Out and home at one airspeed, wind {:.3g} m/s{}", known.wind_ms, cap)
    if key in PRICES and result.currency:
        return fill("{} [{}]", words, result.currency)
    if key == "usual_flight_min":
        return fill("Usual flight, {:g} % of it at full throttle", known.full_throttle_share_pct)
    return words
