"""What was expected of every flight from those before it, and what was known after it: a season in numbers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from tradestudy.study.logbook.flights import STOCK, Flight
from tradestudy.uncertainty.fit.next_measurement import RangeBand

from .flown_wings import Expected, FlownWings


class FlightInSeries(NamedTuple):
    """One flight, its charge as expected from the flights before it, and the range of the stock wing after it [m].

    ``charge`` is None for a flight without a charge.
    """

    flight: Flight
    charge: Expected | None
    range: RangeBand


def flight_series(wings: FlownWings, flights: Sequence[Flight]) -> tuple[RangeBand, list[FlightInSeries]]:
    """Return the band of the stock wing's range before any flight, and every flight in the order of the logbook."""
    wing, factors = wings.wing(STOCK)
    fit = wings.fit([])
    first = wings.range_band(fit, wing, factors)
    series = []
    for count, flight in enumerate(flights, start=1):
        expected = [one for one in wings.expected(fit, flight) if one.unit == "mAh"]
        fit = wings.fit(flights[:count])
        series.append(FlightInSeries(flight, expected[0] if expected else None, wings.range_band(fit, wing, factors)))
    return first, series
