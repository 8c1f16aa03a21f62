"""What the drag costs: range, endurance and what they are worth to a pilot, climb, full throttle and currents."""

from __future__ import annotations

from typing import Any, NamedTuple

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


class CruisePower(NamedTuple):
    """Steady cruise down to the reserve (...)."""

    shaft: drive_train.ShaftPoint
    cruise: cruise_range.Cruise
    radius: Any  # out and home in the wind [m]


class DesignPower(NamedTuple):
    """What the drag of a design costs; every field (...)."""

    range: Any  # [m]
    radius: Any  # out and home in the wind [m]
    endurance: Any  # [s]
    energy_per_metre: Any  # [J/m]
    charge_per_metre: Any  # [C/m]
    mean_current: Any  # of the pack in cruise [A]
    end_current: Any  # of the pack in cruise, at the reserve [A]
    end_voltage: Any  # of the pack in cruise, at the reserve [V]
    end_throttle: Any  # in cruise, at the reserve; above 1 the flight cannot be finished so [-]
    cruise_motor_current: Any  # [A]
    climb_speed: Any  # at cruise speed with the pack at its reserve, when it is weakest [m/s]
    surplus_thrust: Any  # full throttle on a full pack less drag at "full_speed", over weight: below 0 no faster [-]
    thrust_to_weight: Any  # standing, on a full pack [-]
    full_throttle_current: Any  # of the pack, standing [A]
    full_throttle_motor_current: Any  # standing [A]
    usual_time: Any = None  # a flight with its share of full throttle (see `mission`), None where not asked for [s]


def chosen_powertrain(data, series, parallel):
    """Return the Powertrain with a pack of the chosen cells in series and parallel (...). [-]"""
    pack: Pack = data.powertrain.pack
    return data.powertrain._replace(pack=pack._replace(series=series, parallel=parallel))


def design_power(data, cruise_speed, drag_area, all_up_mass, series, parallel, usual=True):
    """Return the Power of a design.

    Parameters
    ----------
    data : PowerData
    cruise_speed, all_up_mass, series, parallel : (...) arrays
        [m/s], [kg], [-], [-]
    drag_area : (..., 4) array
        Whole drag over dynamic pressure in the level conditions (see flight.LEVEL_CONDITIONS). [m^2]
    usual : bool
        Whether ``usual_time`` is wanted: it costs two more solutions at full throttle.
    """
    train = chosen_powertrain(data, series, parallel)
    density, weight = data.air_density, all_up_mass * GRAVITY
    drag = 0.5 * density * cruise_speed**2 * drag_area[..., 0]
    top_drag = 0.5 * density * data.full_speed**2 * drag_area[..., -1]
    steady = steady_cruise_power(data, train, cruise_speed, drag)
    flown = steady.cruise
    # climb, top speed, standing start and bursts in cruise differ only in speed and charge: one call for all
    zero = np.zeros_like(cruise_speed + series + parallel)
    charges = mission.full_throttle_charges(data.reserve)
    bursts = charges[:2] if usual else ()  # full and half way; at the reserve it is the climb
    speed = np.array([cruise_speed + zero, data.full_speed + zero, zero, *(cruise_speed + zero for _ in bursts)])
    charge = np.array([data.reserve + zero, 1 + zero, 1 + zero, *(each + zero for each in bursts)])
    full = drive_train.full_throttle(train, speed, density, charge, data.avionics_power)
    found = DesignPower(
        range=flown.range,
        radius=steady.radius,
        endurance=flown.endurance,
        energy_per_metre=flown.energy_per_metre,
        charge_per_metre=flown.charge_per_metre,
        mean_current=flown.mean_current,
        end_current=flown.end_current,
        end_voltage=flown.end_voltage,
        end_throttle=flown.end_throttle,
        cruise_motor_current=flown.motor_current,
        climb_speed=(full.shaft.thrust[0] - drag) * cruise_speed / weight,
        surplus_thrust=(full.shaft.thrust[1] - top_drag) / weight,
        thrust_to_weight=full.shaft.thrust[2] / weight,
        full_throttle_current=full.pack_current[2],
        full_throttle_motor_current=full.shaft.motor_current[2],
    )
    if not usual:
        return found
    return found._replace(
        usual_time=mission.usual_flight_time(
            train,
            steady.shaft,
            full.pack_current[[3, 4, 0]],
            data.reserve,
            data.full_throttle_share,
            data.avionics_power,
        )
    )


def steady_cruise_power(data, train, speed, drag):
    """Return the CruisePower (...) of a chosen Powertrain at an airspeed [m/s] against a drag [N], both (...)."""
    shaft = drive_train.shaft_demand(train, speed, drag, data.air_density)
    flown = cruise_range.steady_cruise(train, shaft, data.reserve, data.avionics_power)
    return CruisePower(shaft, flown, mission.radius_out_and_home(speed, flown.endurance, data.wind))


def usual_time_in_cruise(data, train, shaft):
    """Return the time (...) of a flight with its share of full throttle that cruises at a ShaftPoint. [s]"""
    return mission.usual_flight_from_cruise(
        train, shaft, data.air_density, data.reserve, data.full_throttle_share, data.avionics_power
    )
