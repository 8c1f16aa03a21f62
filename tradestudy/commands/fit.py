"""The command ``fit``: reads a study, measurements and logs, and fits factors of the model."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

from tradestudy.aircraft.anchor.drag_calibration import CHARGE_SLACK, SPEED_SLACK
from tradestudy.aircraft.anchor.full_throttle_defaults import with_full_throttle_defaults
from tradestudy.errors import CommandError, RunFailed
from tradestudy.physics.propulsion import pack as packs
from tradestudy.quantities import with_unit
from tradestudy.search.engines.progress import Progress, no_progress
from tradestudy.study.flight_logs.read_log import read_log
from tradestudy.study.measurements import Measurements, read_measurements
from tradestudy.study.reader import PlacedFault, read_study
from tradestudy.uncertainty.fit.factored_wing import FitWing
from tradestudy.uncertainty.fit.fit_result import fit_document, overlay
from tradestudy.uncertainty.fit.hand_readings import by_hand
from tradestudy.uncertainty.fit.least_squares import MOST_LOGS, Fit, fit_factors
from tradestudy.uncertainty.fit.log_readings import log_groups
from tradestudy.uncertainty.fit.log_refusals import AircraftLimits
from tradestudy.uncertainty.fit.mixed_flight import mixed_known_flight
from tradestudy.uncertainty.fit.prepared_log import prepared_log_of

AnyPath = str | os.PathLike[str]


class FitResult(NamedTuple):
    """A fit, its numbers and sentences in the units shown to the user, and the TOML text to append to the study."""

    fit: Fit
    wing: FitWing
    document: dict[str, Any]
    overlay: str


def fit(
    study: AnyPath,
    measurements: AnyPath,
    logs: Sequence[AnyPath] = (),
    report_progress: Progress = no_progress,
) -> FitResult:
    """Return the fit of a study's stock wing to a measurements file and flight logs.

    Raises StudyFileError, MeasurementsError, or CommandError. Raises RunFailed if a log is not of this wing, or nothing
    determines a factor.

    ::

        found = ts.fit("studies/godwit.toml", "studies/measured/godwit.toml")
        found.document["factors"]; Path("fitted.toml").write_text(found.overlay)
    """
    if len(logs) > MOST_LOGS:
        raise CommandError(f"{len(logs)} logs are named; {MOST_LOGS} are the most.")
    read = read_study(study)
    if read.fitted is not None:
        raise CommandError(f"{study} holds a table [fitted]; a fit starts from the study without it.")
    report_progress("calibrating the model against the stock wing")
    wing, measured = FitWing(with_full_throttle_defaults(read)), read_measurements(measurements)
    _refuse_impossible(wing, measured)
    groups, notes = [*by_hand(wing, measured), *mixed_known_flight(wing)], []
    aircraft = _aircraft_of(wing) if logs else AircraftLimits()
    for number, path in enumerate(map(Path, logs), start=1):
        report_progress(f"reading log {number} of {len(logs)}")
        flight = prepared_log_of(read_log(path, measured), measured, aircraft)
        log_readings, log_notes = log_groups(wing, flight, measured, number)
        groups += log_readings
        notes += [*(f"{path.name}: {note}" for note in flight.notes), *log_notes]
    if not groups:
        raise RunFailed(
            f"{measurements}: no reading in it determines a factor of the model. Weigh the bare halves, hang bags "
            "on the tips, charge the pack from empty, write down a glide or a flight, or add a log."
        )
    report_progress("fitting")
    result = fit_factors(wing, groups)
    source = ", ".join(Path(name).name for name in (measurements, *logs))
    return FitResult(
        result, wing, fit_document(wing, result, measured, notes), overlay(wing, result, source, read.text)
    )


def _aircraft_of(wing: FitWing) -> AircraftLimits:
    """Return the limits of the study's stock wing. They identify the log of another aircraft."""
    stall = wing.speed_sweep.stall().speed
    cells = wing.train.pack
    lowest = wing.study.pack.cell_numbers["minimum_voltage"]
    return AircraftLimits(
        wing.study.stock.flying_weight,
        stall,
        wing.speed_sweep.top_speed(1.02 * stall),
        0.9 * lowest * float(cells.series),
        float(packs.open_circuit_voltage(cells, 1.0)) * 1.02,
    )


def _refuse_impossible(wing: FitWing, measured: Measurements) -> None:
    """Raise MeasurementsError for flights that this wing and its pack cannot have flown."""
    cells = wing.train.pack
    faults: list[PlacedFault] = []
    charge = measured.pack.capacity or float(cells.parallel * cells.cell_capacity)
    stall = wing.speed_sweep.stall().speed if measured.flown or measured.glide else 0.0
    for index, one in enumerate(measured.flown):
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
    for index, glide in enumerate(measured.glide):
        if glide.speed < (1 - SPEED_SLACK) * stall:
            faults.append(
                PlacedFault(
                    ("glide", index, "speed"),
                    f"glide[{index + 1}].speed is {with_unit(glide.speed, 'km/h')}, but the wing "
                    f"stalls at {with_unit(stall, 'km/h')}.",
                )
            )
    if faults:
        measured.refuse(faults)
