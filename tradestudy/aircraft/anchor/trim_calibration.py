"""Calibration of the pitching moment by the measured elevon deflection of the stock wing in cruise."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from tradestudy.aircraft.model.model_data import ModelData
from tradestudy.aircraft.model.speed_sweep import SpeedSweep, best_speed, best_speed_near
from tradestudy.physics.flight.built_wing import CLEAN, BuiltFactors
from tradestudy.quantities import with_unit
from tradestudy.study.fault_lines import contradiction
from tradestudy.study.schema.study import Study

from .drag_calibration import known_flight_speed

MOST_OFFSET = 0.03  # moment coefficient, about 4 deg of elevon on a common wing; a greater offset gets a flag
_MOST_ELEVON = np.radians(25)  # largest elevon in cruise, beyond which the elevon stalls; common practice, no source
_ROUNDS = 2  # rounds of best speed and offset in turn: successive speeds then agree to 0.1 km/h


@dataclass(frozen=True)
class TrimCalibration:
    """The pitching-moment offset that matches the elevon in cruise.

    Elevon heights are at the trailing edge [m], up positive.
    """

    offset: float  # offset of the moment coefficient about the quarter chord, nose up positive [-]
    speed: float  # airspeed at which the elevon is matched [m/s]
    before: float  # modelled elevon with the section's own moment
    after: float


def with_moment_and_losses(data: ModelData, moment_offset: float, factors: BuiltFactors = CLEAN) -> ModelData:
    """Return a model's data with an offset on the section's moment, and its three losses times ``factors``."""
    flight, level, train = data.flight, data.level, data.power.powertrain
    camber = flight.camber._replace(moment_coefficient=flight.camber.moment_coefficient + moment_offset)
    flight = flight._replace(camber=camber, wake_drag_factor=flight.wake_drag_factor * factors.wake_drag)
    level = level._replace(flight=flight, section_drag_factor=level.section_drag_factor * factors.section_drag)
    train = train._replace(drive_power_factor=train.drive_power_factor * factors.drive_power)
    return replace(data, level=level, power=data.power._replace(powertrain=train))


def trim_calibration(
    study: Study, plain: SpeedSweep, likely: float | None = None
) -> tuple[TrimCalibration, SpeedSweep]:
    """Return the moment offset with which the stock wing trims at the measured elevon deflection, and that wing.

    ``plain`` is the stock wing without an offset.

    The elevon is matched at the speed of the known flight, or else at the best speed for the study's purpose.
    ``likely`` [m/s] is an estimate of that speed. Elevon is linear in the offset, so two evaluations are enough. Raises
    StudyContradicted for an elevon that no wing has in cruise.
    """
    measured, known = study.stock.up_elevon, study.known_flight
    chord = plain.data.layout.stock.elevon_chord
    if measured is not None and abs(measured) > chord * np.sin(_MOST_ELEVON):
        raise contradiction(
            study,
            ("stock", "up_elevon"),
            f"is {with_unit(measured, 'mm', 1)} at an elevon {with_unit(chord, 'mm')} "
            f"deep, more than {with_unit(_MOST_ELEVON, 'deg')}: no wing cruises so. Measure it at the trailing edge, "
            "from the section's own line.",
        )

    @cache  # the lattice is solved once for each offset
    def wing(offset: float) -> SpeedSweep:
        return (
            SpeedSweep(with_moment_and_losses(plain.data, offset), plain.choice, plain.variables) if offset else plain
        )

    def elevon(offset: float, speed: float) -> float:
        return float(wing(offset).level(speed).elevon[0])

    given = likely if measured is None else None
    if known and not known.is_mixed:
        given = known_flight_speed(known)
    offset, speed = 0.0, given or 0.0
    for _ in range(1 if given or measured is None else _ROUNDS):
        if not given:
            sweep, purpose = wing(offset), study.fly.purpose
            speed = best_speed_near(sweep, purpose, likely) if likely else best_speed(sweep, purpose)
        if measured is not None:
            at_none, at_most = elevon(0.0, speed), elevon(MOST_OFFSET, speed)
            offset = MOST_OFFSET * (-np.arcsin(measured / chord) - at_none) / (at_most - at_none)
    before, after = elevon(0.0, speed), elevon(offset, speed)
    if abs(after) > _MOST_ELEVON:
        raise contradiction(
            study,
            ("stock",),
            f"cannot be trimmed: to cruise at {with_unit(speed, 'km/h')} it would need "
            f"{with_unit(abs(after), 'deg')} of {'up' if after < 0 else 'down'}-elevon, and no wing cruises with "
            f"more than {with_unit(_MOST_ELEVON, 'deg')}. Measure stock.washout and stock.balance_from_nose again, "
            "check stock.airfoil, or say in stock.up_elevon what the wing flies with.",
        )
    heights = (-chord * float(np.sin(angle)) for angle in (before, after))
    return TrimCalibration(float(offset), speed, *heights), wing(offset)
