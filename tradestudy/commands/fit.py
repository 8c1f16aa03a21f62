"""From files to a fit: the study, its measurements and logs read, fitted and told."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from tradestudy.aircraft.anchor.drag_calibration import CHARGE_SLACK, SPEED_SLACK
from tradestudy.aircraft.anchor.full_throttle_defaults import with_full_throttle_defaults
from tradestudy.errors import CommandError, RunFailed
from tradestudy.physics.propulsion import pack as packs
from tradestudy.quantities import with_unit
from tradestudy.study.flight_logs.read_log import read_log
from tradestudy.study.measurements import Measurements, read_measurements
from tradestudy.study.reader import PlacedFault, read_study
from tradestudy.uncertainty.fit.factored_wing import FitWing
from tradestudy.uncertainty.fit.fit_result import fit_document, overlay
from tradestudy.uncertainty.fit.hand_readings import ReadingGroup, by_hand
from tradestudy.uncertainty.fit.least_squares import MOST_LOGS, Fit, fit_factors
from tradestudy.uncertainty.fit.log_readings import log_groups
from tradestudy.uncertainty.fit.log_refusals import Aircraft
from tradestudy.uncertainty.fit.prepared_log import prepared_log_of

AnyPath = str | os.PathLike[str]


class FitFound(NamedTuple):
    """A fit, what it has to tell in edge units, and the text of the overlay."""

    fit: Fit
    wing: FitWing
    told: dict[str, Any]
    overlay: str


def fit_of(
    study: AnyPath, measurements: AnyPath, logs: Sequence[AnyPath] = (), tell: Callable[[str], Any] = lambda words: None
) -> FitFound:
    """Return the fit of a study's stock wing to a measurements file and flight logs.

    Raises StudyFileError, MeasurementsError, RunFailed where a log or a flight is not of this wing.
    """
    if len(logs) > MOST_LOGS:
        raise CommandError(f"{len(logs)} logs are named; {MOST_LOGS} are the most.")
    read = read_study(study)
    if read.fitted is not None:
        raise CommandError(f"{study} holds a table [fitted]; a fit starts from the study without it.")
    tell("tying the model to the stock wing")
    wing, told = FitWing(with_full_throttle_defaults(read)), read_measurements(measurements)
    refuse_impossible(wing, told)
    groups, notes = by_hand(wing, told), []
    aircraft = aircraft_of(wing) if logs else Aircraft()
    for number, path in enumerate(logs, start=1):
        tell(f"reading log {number} of {len(logs)}")
        found, said = read_flight(wing, told, Path(path), aircraft, number)
        groups += found
        notes += said
    if not groups:
        raise RunFailed(
            f"{measurements}: nothing in it tells a factor of the model. Weigh the bare halves, hang bags "
            "on the tips, charge the pack from empty, write down a glide or a flight, or add a log."
        )
    tell("fitting")
    fit = fit_factors(wing, groups)
    source = ", ".join(Path(name).name for name in (measurements, *logs))
    return FitFound(fit, wing, fit_document(wing, fit, told, notes), overlay(wing, fit, source, read.text))


def read_flight(
    wing: FitWing, told: Measurements, path: Path, aircraft: Aircraft, number: int
) -> tuple[list[ReadingGroup], list[str]]:
    """Return the readings of one log, and what it says beside them."""
    flight = prepared_log_of(read_log(path, told), told, aircraft)
    groups, notes = log_groups(wing, flight, told, number)
    return groups, [*(f"{path.name}: {note}" for note in flight.notes), *notes]


def aircraft_of(wing: FitWing) -> Aircraft:
    """Return what the stock wing of the study can do, for a log of another to be refused."""
    stall = wing.flown.stall().speed
    cells = wing.train.pack
    lowest = wing.study.pack.cell_numbers["minimum_voltage"]
    return Aircraft(
        wing.study.stock.flying_weight,
        stall,
        wing.flown.top_speed(1.02 * stall),
        0.9 * lowest * float(cells.series),
        float(packs.open_circuit_voltage(cells, 1.0)) * 1.02,
    )


def refuse_impossible(wing: FitWing, told: Measurements) -> None:
    """Raise MeasurementsError for flights that this wing, or its pack, cannot have flown."""
    cells = wing.train.pack
    faults: list[PlacedFault] = []
    charge = told.pack.capacity or float(cells.parallel * cells.cell_capacity)
    stall = wing.flown.stall().speed if told.flown or told.glide else 0.0
    for index, one in enumerate(told.flown):
        if one.charge_used is not None and one.charge_used > (1 + CHARGE_SLACK) * charge:
            faults.append(
                PlacedFault(
                    ("flown", index, "charge_used"),
                    f"flown[{index + 1}].charge_used is "
                    f"{with_unit(one.charge_used, 'mAh')}, but the pack holds {with_unit(charge, 'mAh')}.",
                )
            )
        if one.distance / one.time + one.wind < (1 - SPEED_SLACK) * stall:
            faults.append(
                PlacedFault(
                    ("flown", index, "distance"),
                    f"flown[{index + 1}].distance over time is "
                    f"{with_unit(one.distance / one.time, 'km/h')}, but the wing stalls at "
                    f"{with_unit(stall, 'km/h')}.",
                )
            )
    for index, glide in enumerate(told.glide):
        if glide.speed < (1 - SPEED_SLACK) * stall:
            faults.append(
                PlacedFault(
                    ("glide", index, "speed"),
                    f"glide[{index + 1}].speed is {with_unit(glide.speed, 'km/h')}, but the wing "
                    f"stalls at {with_unit(stall, 'km/h')}.",
                )
            )
    if faults:
        told.refuse(faults)
