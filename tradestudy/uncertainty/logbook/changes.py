"""Ageing and drift in a logbook: what one wing needs over its flights, and the charge and resistance of its packs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from tradestudy.aircraft.day.today import PackToday, old_pack
from tradestudy.physics.propulsion import pack
from tradestudy.study.logbook.flights import Flight
from tradestudy.study.schema.study import Study
from tradestudy.uncertainty.fit.least_squares import Fit, by_name, priors

from .drift import NEED, PACK_CHARGE, PACK_RESISTANCE, Drift, Series, change_of
from .flown_wings import FlownWings
from .pack_readings import (
    PackReadings,
    PackState,
    charge_now,
    charge_readings,
    resistance_now,
    resistance_readings,
)

OLD = "old"  # name of a pack that is taken as worn out until flights tell
_UNKNOWN_CHARGE, _UNKNOWN_RESISTANCE = 0.10, 0.30  # deviations of ln(value / study's pack) of a named pack; judgement
_FULL_USE = 0.98  # share of a charge that a flight may have used at most; common practice, no source


class FoundChange(NamedTuple):
    """A change in a logbook: of what, by how many readings, and how it is."""

    what: str  # "need", "charge" or "resistance"
    whose: str  # name of the wing or of the pack
    readings: int
    change: Drift


def drifts_of(
    wings: FlownWings, fit: Fit, flights: Sequence[Flight], wing: str, packs: str, surely: bool = True
) -> list[FoundChange]:
    """Return what changes over the flights of one wing and of one pack, where there are three readings or more.

    ``flights`` are those of the whole logbook that are believed, in their order. ``packs`` is the name of the pack,
    empty for that of the wing. ``surely`` is as for `change_of`.
    """
    series = need_series(wings, fit, flights, wing)
    found = [] if series is None else [("need", wing, series, NEED)]
    cells, name = wings.stock.train.pack, packs or "the pack"
    own = flights_with_pack(flights, packs)
    for what, readings, awaited in (
        ("charge", charge_readings(cells, own), PACK_CHARGE),
        ("resistance", resistance_readings(cells, own, wings.stock.study.pack.temperature), PACK_RESISTANCE),
    ):
        found.append((what, name, Series(readings.flight, readings.value, readings.spread), awaited))
    rows = []
    for what, whose, one, awaited in found:
        change = change_of(one, awaited, surely=surely)
        if change is not None:
            rows.append(FoundChange(what, whose, len(one.value), change))
    return rows


def need_series(wings: FlownWings, fit: Fit, flights: Sequence[Flight], name: str) -> Series | None:
    """Return the charge that one wing used over what the fit to all flights expects, flight by flight.

    More of it comes from drag or from the drive. What all flights share is in the fit, so only a change is left.
    """
    own = sorted_flights([one for one in flights if one.wing == name])
    if not own:
        return None
    mixed = wings.flights_of(name, own)
    charged = np.isfinite(mixed.notes.charge)
    if not charged.any():
        return None
    expected = np.broadcast_to(mixed.charges(by_name(fit.names, fit.mean)), charged.shape)
    kelvin = np.array([np.nan if one.temperature is None else one.temperature for one in own])
    return Series(
        np.arange(1, len(own) + 1)[charged],
        np.log(mixed.notes.charge[charged] / expected[charged]),
        mixed.spreads[charged],
        kelvin[charged],
    )


def sorted_flights(flights: Sequence[Flight]) -> list[Flight]:
    """Return flights by date, and in the order of the logbook on one day. Those without a date keep their place."""
    dates, last = [], None
    for one in flights:
        last = one.date or last
        dates.append(last)
    first = next((date for date in dates if date), None)
    order = sorted(range(len(flights)), key=lambda place: (dates[place] or first, place) if first else (0, place))
    return [flights[place] for place in order]


def flights_with_pack(flights: Sequence[Flight], name: str) -> list[Flight]:
    """Return the flights with a pack of this name, in their order."""
    return sorted_flights([one for one in flights if one.pack == name])


def missing_share(found: FoundChange) -> float:
    """Return ln(need now / mean over the flights), by which a fit to all flights tells too little. [-]

    It is zero unless a change is seen. By its most likely course: half of a creep, or the flights before a step.
    """
    change = found.change
    if not change.is_seen:
        return 0.0
    return change.size * (0.5 if change.since is None else change.before)


def pack_of_logbook(study: Study, cells: pack.Pack, flights: Sequence[Flight], name: str) -> PackToday:
    """Return a pack as its flights found it. Without readings it is the pack of the study, or worn out if it is old.

    ``cells`` is the pack of the study. A pack holds at least what a flight has used.
    """
    default, own = old_pack(study) if name == OLD else PackToday(name), flights_with_pack(flights, name)
    charges = charge_readings(cells, own)
    ohms = resistance_readings(cells, own, study.pack.temperature)
    most = max((one.charge for one in own if one.charge), default=0.0) * _FULL_USE / float(pack.pack_capacity(cells))
    if not len(charges.value) and not len(ohms.value):
        return replace(default, charge=max(default.charge, most))
    before = priors(study)
    first = {
        OLD: (default.charge_spread, default.resistance_spread),
        "": (before["pack_capacity"], before["pack_resistance"]),
    }.get(name, (_UNKNOWN_CHARGE, _UNKNOWN_RESISTANCE))
    unknown = PackState(math.log(default.charge), first[0]), PackState(math.log(default.resistance), first[1])
    charge, resistance = charge_now(charges, unknown[0], len(own)), resistance_now(ohms, unknown[1], len(own))
    return PackToday(
        name,
        max(math.exp(charge.value), most),
        math.exp(resistance.value),
        charge.spread,
        resistance.spread,
        f"by {_count(charges)} of its charge and {_count(ohms)} of its resistance, flights: {len(own)}",
        is_guess=False,
    )


def _count(readings: PackReadings) -> str:
    number = len(readings.value)
    return "no reading" if not number else "1 reading" if number == 1 else f"{number} readings"
