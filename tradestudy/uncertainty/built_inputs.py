"""The bands of what a wing loses as built, and of the known flight that narrows them.

Each factor of [built] varies about its value. A study with a known flight is calibrated again at both ends, so the
flight takes back its share of the change. The error of the flight itself is one more input.

A flight measures the whole drive and cannot tell its parts. With another propeller, the scatter of both propellers is
in doubt again. With another motor, all of the drive is, and so is how far the old one was from its model.

The lid of a bay that stands above the skin is one more input, and so are all listed drag items together.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from tradestudy.aircraft.anchor.calibration import calibrated_wing
from tradestudy.aircraft.anchor.drag_calibration import FLIGHT_SPREAD, factor_spreads
from tradestudy.aircraft.model.choices import Choice, study_with_choice
from tradestudy.aircraft.model.drag_list import total_with_band
from tradestudy.aircraft.model.model_data import drag_items, raised_lids
from tradestudy.aircraft.model.power_data import motor_of, pack_of, propeller_band
from tradestudy.physics.propulsion import pack
from tradestudy.quantities import short_with_unit, with_unit
from tradestudy.study.assumed_values.power_rules import class_band
from tradestudy.study.line_numbers import Place, dotted
from tradestudy.study.schema.built import BAND_END
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.study.schema.search import KnownFlightTable
from tradestudy.study.schema.study import Study

BUILT = "built"
_MID_FLIGHT = 0.6  # state of charge in the middle of a flight, for the voltage [-]
CHARGE_USED: Place = ("known_flight", "charge_used")
_MOVES = {
    "section_drag_factor": "range, cruise speed, top speed",
    "wake_drag_factor": "range, what span is worth",
    "drive_power_factor": "range, current",
}
_ALL_ITEMS = "drag_item.drag_area"  # all listed drag items as one input
BandedInput = tuple[DefaultUsed, tuple[dict[Place, Any], dict[Place, Any]]]


def flown_with(study: Study, choice: Choice) -> bool:
    """Return whether the known flight, if any, was flown with motor and propeller of these parts."""
    return study.known_flight is not None and choice.propeller == study.propeller.size and not choice.motor


def built_inputs(study: Study, choice: Choice) -> Iterator[BandedInput]:
    """Yield each factor of [built] that is in doubt, with both ends of its band.

    If a known flight was flown with the drive of ``choice``, the scatter of the propeller is in the drive's factor.
    """
    spreads = factor_spreads(study) if flown_with(study, choice) else study.built.spreads
    for (key, moves), factor, spread in zip(_MOVES.items(), study.built.factors, spreads, strict=True):
        if not spread:
            continue
        place: Place = (BUILT, key)
        low, high = (round(float(factor * np.exp(side * BAND_END * spread)), 4) for side in (-1, 1))
        used = DefaultUsed(
            key=dotted(place),
            value=f"{factor:g}",
            origin="as built",
            low=f"{low:.2f}",
            high=f"{high:.2f}",
            moves=moves,
            place=place,
        )
        yield used, (_drive_end(study, choice, place, low), _drive_end(study, choice, place, high))


def _drive_end(study: Study, choice: Choice, place: Place, factor: float) -> dict[Place, Any]:
    """Return one end of a factor's band. The factor of another motor's drive leaves what the flight says as it is.

    The study holds one factor of the drive. So the flight is stretched in proportion, at its speed and charge: the
    drive that flew then differs from its model by as much as before. Equipment takes its share of the charge unchanged.
    """
    known, ends = study.known_flight, {place: factor}
    if known is None or study.fitted is not None or not choice.motor or place != (BUILT, "drive_power_factor"):
        return ends
    watts = sum(thing.power for thing in study.equipment)
    volts = float(pack.open_circuit_voltage(pack_of(study), _MID_FLIGHT))
    others = min(watts * known.time / (known.charge_used * volts), 1.0)
    more = others + (1.0 - others) * factor / study.built.drive_power_factor
    return ends | _stretched_flight(known, 1.0 / more)


def _stretched_flight(known: KnownFlightTable, times: float) -> dict[Place, Any]:
    """Return a known flight of another length at the same speed and charge, as values of the study."""
    ends: dict[Place, Any] = {("known_flight", "time"): with_unit(times * known.time, "min", 8)}
    if known.distance is not None:
        ends[("known_flight", "distance")] = with_unit(times * known.distance, "km", 8)
    return ends


def _flight_spread(study: Study) -> float:
    """Return the standard deviation of ln(charge used in the known flight). [-] That of a mixed one is computed."""
    drag = calibrated_wing(study).drag if study.known_flight and study.known_flight.is_mixed else None
    return drag.spread if drag else FLIGHT_SPREAD


def flight_inputs(study: Study, choice: Choice) -> Iterator[BandedInput]:
    """Yield the charge used in the known flight, with its error.

    For a design with another drive, what the drive that flew may differ from its model is an error of the flight too.
    Both ends are flights of another length, so that no end asks for more charge than the pack holds.
    """
    known = study.known_flight
    if known is None or study.fitted is not None:
        return
    blade, flight = propeller_band(study), _flight_spread(study)
    off = BAND_END * flight
    if not flown_with(study, choice):
        own = study.built.spreads.drive_power if choice.motor else 0.0
        off = BAND_END * float(np.linalg.norm([flight, own, blade.power if blade else 0.0]))
    low, high = (_stretched_flight(known, float(np.exp(-side * off))) for side in (-1, 1))
    words = short_with_unit(off, "%", 2)
    used = DefaultUsed(
        key=dotted(CHARGE_USED),
        value=short_with_unit(known.charge_used, "mAh", 4),
        origin="measured",
        low=f"-{words}",
        high=f"+{words}",
        moves="",
        place=CHARGE_USED,
    )
    yield used, (low, high)


def new_motor_inputs(study: Study, choice: Choice) -> Iterator[BandedInput]:
    """Yield what the class says of another motor that the design has, unless the study states it.

    The factors of a fit hold for the motor that was measured, so they say nothing of another one.
    """
    if not choice.motor:
        return
    number = next(place for place, one in enumerate(study.motor_choice) if one.name == choice.motor)
    of_class = motor_of(study_with_choice(study, choice))
    for key, value, unit in (
        ("resistance", of_class.resistance, "mohm"),
        ("no_load_current", of_class.no_load_current, "A"),
    ):
        if getattr(study.motor_choice[number], key) is None:
            place: Place = ("motor_choice", number, key)
            low, high = (
                short_with_unit(float(value) * side, unit) for side in class_band(study.motor_choice[number].size)
            )
            used = DefaultUsed(
                key=dotted(place),
                value=short_with_unit(float(value), unit),
                origin="from the class rule",
                low=low,
                high=high,
                moves="range, climb, current",
                place=place,
            )
            yield used, ({place: low}, {place: high})


def raised_lid_inputs(study: Study, choice: Choice) -> Iterator[BandedInput]:
    """Yield the drag area of each lid that stands above the skin in the design, with the band of its kind.

    A bay that is cut to the pack may have such a lid although that of the stock wing is flush.
    """
    made = study_with_choice(study, choice)
    raised = [number for number, bay in enumerate(made.bay) if bay.raised_lid]
    for number, lid in zip(raised, raised_lids(made), strict=True):
        place: Place = ("bay", number, "raised_lid_drag_area")
        low, value, high = (with_unit(area, "cm2", 5) for area in (lid.low, lid.drag_area, lid.high))
        used = DefaultUsed(
            key=dotted(place), value=value, origin=lid.how, low=low, high=high, moves="range, top speed", place=place
        )
        yield used, ({place: low}, {place: high})


def listed_drag_items(study: Study) -> Iterator[BandedInput]:
    """Yield the drag area of all listed items as one input, since nobody knows which of them is wrong.

    Items with an assumed drag area are left out, since each is a separate input. Items that have drag only in the glide
    are left out too.
    """
    assumed = {used.place for used in study.defaults_used}
    lines = [
        (index, item)
        for index, item in enumerate(drag_items(study))
        if ("drag_item", index, "drag_area") not in assumed and not item.in_glide_only and item.drag_area > 0
    ]
    if not lines:
        return
    own = sum(item.number * item.drag_area for _, item in lines)
    total, low, high = total_with_band(item for _, item in lines)

    def side(end: float) -> dict[Place, Any]:
        values: dict[Place, Any] = {}
        for index, item in lines:
            values["drag_item", index, "drag_area"] = with_unit(item.drag_area * (1 + (end - total) / own), "cm2", 5)
            values |= {("drag_item", index, size): None for size in study.drag_item[index].sizes}
        return values

    words = [short_with_unit(area, "cm2", 3) for area in (total, low, high)]
    used = DefaultUsed(key=_ALL_ITEMS, value=words[0], origin="", low=words[1], high=words[2], moves="range")
    yield used, (side(low), side(high))
