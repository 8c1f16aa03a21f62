"""The quantities of a design that have a band, besides those by which inputs are ranked."""

from __future__ import annotations

from typing import Any

from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.quantities import at_edge


def further_quantities(sweep: SpeedSweep, values: dict[str, Any]) -> dict[str, float]:
    """Return weight, speeds, current and times of a design by name, in the unit of each name.

    ``values`` are all outputs at its cruise speed, SI. Out and home is limited by charge alone; the turn is due after
    the time against the wind of the study.
    """
    speed, wind = float(values["cruise_speed"]), float(sweep.data.power.wind)
    radius, stall = max(float(values["radius"]), 0.0), sweep.stall().speed
    return at_edge(
        auw_g=float(values["all_up_mass"]),
        cruise_speed_kmh=speed,
        cruise_current_a=float(values["mean_current"]),
        endurance_min=float(values["endurance"]),
        radius_by_charge_km=radius,
        turn_back_min=radius / (speed - wind) if speed > wind else 0.0,
        usual_flight_min=float(sweep.gain_at(speed, "usual_flight")[0]),
        stall_speed_kmh=stall,
        top_speed_kmh=sweep.top_speed(1.02 * stall),
    )
