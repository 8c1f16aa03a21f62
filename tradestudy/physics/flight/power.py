"""What the drag costs: range, endurance and what they are worth to a pilot, climb, full throttle and currents."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY
from tradestudy.physics.endurance import cruise_range, mission
from tradestudy.physics.propulsion import drive_train
from tradestudy.physics.propulsion.pack import Pack


class PowerData(NamedTuple):
    """What stays the same while the choices vary. SI."""

    powertrain: drive_train.Powertrain  # its pack's series and parallel are replaced by the chosen ones
    air_density: float
    full_speed: float  # of the "full_speed" condition [m/s]
    reserve: float  # state of charge kept for the landing [-]
    avionics_power: float
    wind: float = 0.0  # along the way out and home [m/s]
    full_throttle_share: float = 0.0  # of the time of a usual flight [-]


def chosen_powertrain(data, series, parallel):
    """Return the Powertrain with a pack of the chosen cells in series and parallel (...). [-]"""
    pack: Pack = data.powertrain.pack
    return data.powertrain._replace(pack=pack._replace(series=series, parallel=parallel))


def powered(data, cruise_speed, drag_area, all_up_mass, series, parallel, usual=True):
    """Return range, radius, endurance, climb and currents of one design as name -> array (...).

    Parameters
    ----------
    data : PowerData
    cruise_speed, all_up_mass, series, parallel : (...) arrays
        [m/s], [kg], [-], [-]
    drag_area : (..., 4) array
        Whole drag over dynamic pressure in the level conditions (see flight.LEVEL_CONDITIONS). [m^2]
    usual : bool
        Whether ``usual_time`` is wanted: it costs two more solutions at full throttle.

    Returns
    -------
    dict
        ``surplus_thrust`` is full throttle on a full pack less drag at the "full_speed" condition, over
        weight: above zero the wing would fly faster than that. ``climb_speed`` is at cruise speed with
        the pack at its reserve, when it is weakest. [m/s] ``radius`` [m] is out and home in the wind,
        ``usual_time`` [s] a flight with its share of full throttle (see `mission`).
    """
    train = chosen_powertrain(data, series, parallel)
    density, weight = data.air_density, all_up_mass * GRAVITY
    drag = 0.5 * density * cruise_speed**2 * drag_area[..., 0]
    top_drag = 0.5 * density * data.full_speed**2 * drag_area[..., -1]
    shaft = drive_train.shaft_demand(train, cruise_speed, drag, density)
    flown = cruise_range.steady_cruise(train, shaft, data.reserve, data.avionics_power)
    # climb, top speed, standing start and bursts in cruise differ only in speed and charge: one call for all
    zero = np.zeros_like(cruise_speed)
    charges = mission.full_throttle_charges(data.reserve)
    bursts = charges[:2] if usual else ()  # full and half way; at the reserve it is the climb
    speed = np.array([cruise_speed, data.full_speed + zero, zero, *(cruise_speed for _ in bursts)])
    charge = np.array([data.reserve + zero, 1 + zero, 1 + zero, *(each + zero for each in bursts)])
    full = drive_train.full_throttle(train, speed, density, charge, data.avionics_power)
    found = {
        "range": flown.range,
        "radius": mission.radius_out_and_home(cruise_speed, flown.endurance, data.wind),
        "endurance": flown.endurance,
        "energy_per_metre": flown.energy_per_metre,
        "charge_per_metre": flown.charge_per_metre,
        "mean_current": flown.mean_current,
        "end_current": flown.end_current,
        "end_voltage": flown.end_voltage,
        "end_throttle": flown.end_throttle,
        "cruise_motor_current": flown.motor_current,
        "climb_speed": (full.shaft.thrust[0] - drag) * cruise_speed / weight,
        "surplus_thrust": (full.shaft.thrust[1] - top_drag) / weight,
        "thrust_to_weight": full.shaft.thrust[2] / weight,
        "full_throttle_current": full.pack_current[2],
        "full_throttle_motor_current": full.shaft.motor_current[2],
    }
    if usual:
        found["usual_time"] = mission.usual_flight_time(
            train, shaft, full.pack_current[[3, 4, 0]], data.reserve, data.full_throttle_share, data.avionics_power)
    return found
