"""Power of a design: range, endurance, radius, climb, full throttle and currents, computed from its drag.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY
from tradestudy.physics.arrays import stacked
from tradestudy.physics.endurance import cruise_range, mission
from tradestudy.physics.propulsion import drive_train
from tradestudy.physics.propulsion.pack import Pack

from .launch import THRUST_SPEED


class PowerData(NamedTuple):
    """Constants of a study for power and range, in SI units."""

    powertrain: drive_train.Powertrain  # drive; its numbers of cells in series and parallel are replaced
    air_density: float  # [kg/m^3]
    full_speed: float  # airspeed of the "full_speed" condition [m/s]
    reserve: float  # state of charge kept for the landing [-]
    avionics_power: float  # power from the pack to everything but the motor [W]
    wind: float = 0.0  # wind speed along the way out and home [m/s]
    full_throttle_share: float = 0.0  # share of a usual flight's time at full throttle [-]


class CruisePower(NamedTuple):
    """Steady cruise from a full pack to the reserve. Fields have the shape (...)."""

    shaft: drive_train.ShaftPoint
    cruise: cruise_range.Cruise
    radius: Any  # radius of a flight out and home in the wind [m]


class DesignPower(NamedTuple):
    """Power, range and currents of a design. Every field has the shape (...) unless stated otherwise."""

    range: Any  # distance through the air [m]
    radius: Any  # radius of a flight out and home in the wind [m]
    endurance: Any  # time until the reserve [s]
    energy_per_metre: Any  # energy from the pack over distance [J/m]
    charge_per_metre: Any  # charge from the pack over distance [C/m]
    mean_current: Any  # mean current of the pack in cruise [A]
    end_current: Any  # current of the pack in cruise at the reserve [A]
    end_voltage: Any  # voltage of the pack in cruise at the reserve [V]
    end_throttle: Any  # throttle in cruise at the reserve; above 1 the flight cannot be completed [-]
    cruise_motor_current: Any  # motor current in cruise [A]
    climb_speed: Any  # rate of climb at cruise speed with the pack at its reserve, where it is weakest [m/s]
    surplus_thrust: Any  # full thrust on a full pack less drag at full speed, over weight; below 0 it is too slow [-]
    thrust_to_weight: Any  # thrust over weight of the standing aircraft with a full pack [-]
    full_throttle_current: Any  # current of the pack at full throttle, standing [A]
    full_throttle_motor_current: Any  # motor current at full throttle, standing [A]
    launch_thrust: Any  # full thrust at rest and at launch.THRUST_SPEED with a full pack (..., 2) [N]
    usual_time: Any = None  # time of a usual flight with bursts of full throttle; None if not requested [s]


def chosen_powertrain(data: PowerData, series: Any, parallel: Any) -> drive_train.Powertrain:
    """Return the Powertrain with ``series`` and ``parallel`` (...) [-] as numbers of cells, by definition."""
    train = data.powertrain
    pack = Pack(train.pack.curve, series, parallel, *train.pack[3:])
    return drive_train.Powertrain(*train[:3], pack, *train[4:])


def design_power(
    data: PowerData,
    cruise_speed: Any,
    drag_area: np.ndarray,
    all_up_mass: Any,
    series: Any,
    parallel: Any,
    usual: bool = True,
) -> DesignPower:
    """Return the DesignPower of a design: statics of the climb, and definitions as in ``mission`` and ``drive_train``.

    Parameters
    ----------
    data : PowerData
    cruise_speed, all_up_mass, series, parallel : (...) arrays
        Cruise speed, total mass, and numbers of cells. [m/s], [kg], [-], [-]
    drag_area : (..., n_level) array
        Total drag over dynamic pressure in the level conditions (see trimmed_flight.LEVEL_CONDITIONS). [m^2]
    usual : bool
        True to compute ``usual_time`` too, which needs two more solutions at full throttle.
    """
    train = chosen_powertrain(data, series, parallel)
    density, weight = data.air_density, all_up_mass * GRAVITY
    drag = 0.5 * density * cruise_speed**2 * drag_area[..., 0]
    top_drag = 0.5 * density * data.full_speed**2 * drag_area[..., -1]
    steady = steady_cruise_power(data, train, cruise_speed, drag)
    cruise = steady.cruise
    # Climb, top speed, standing start, launch and bursts differ only in speed and charge, so one call solves all.
    zero = 0.0 * (cruise_speed + series + parallel)
    # bursts: on a full pack and half way to the reserve; the climb is already at the reserve
    bursts = mission.full_throttle_charges(data.reserve)[:2] if usual else ()
    charge = np.array([data.reserve, 1.0, 1.0, 1.0, *bursts])
    in_cruise = cruise_speed + zero
    speed = np.array([in_cruise, data.full_speed + zero, zero, THRUST_SPEED + zero, *(in_cruise for _ in bursts)])
    charge = charge.reshape(-1, *(1,) * zero.ndim)
    full = drive_train.full_throttle(train, speed, density, charge, data.avionics_power)
    result = DesignPower(
        range=cruise.range,
        radius=steady.radius,
        endurance=cruise.endurance,
        energy_per_metre=cruise.energy_per_metre,
        charge_per_metre=cruise.charge_per_metre,
        mean_current=cruise.mean_current,
        end_current=cruise.end_current,
        end_voltage=cruise.end_voltage,
        end_throttle=cruise.end_throttle,
        cruise_motor_current=cruise.motor_current,
        climb_speed=(full.shaft.thrust[0] - drag) * cruise_speed / weight,
        surplus_thrust=(full.shaft.thrust[1] - top_drag) / weight,
        thrust_to_weight=full.shaft.thrust[2] / weight,
        full_throttle_current=full.pack_current[2],
        full_throttle_motor_current=full.shaft.motor_current[2],
        launch_thrust=stacked(full.shaft.thrust[2:4]),
    )
    if not usual:
        return result
    return result._replace(
        usual_time=mission.usual_flight_time(
            powertrain=train,
            shaft=steady.shaft,
            full_currents=full.pack_current[[4, 5, 0]],
            reserve=data.reserve,
            share=data.full_throttle_share,
            other_power=data.avionics_power,
        )
    )


def steady_cruise_power(data: PowerData, train: drive_train.Powertrain, speed: Any, drag: Any) -> CruisePower:
    """Return the CruisePower (...) at a ``speed`` (...) [m/s] and ``drag`` (...) [N], by integration.

    ``train`` comes from ``chosen_powertrain``.
    """
    shaft = drive_train.shaft_demand(train, speed, drag, data.air_density)
    cruise = cruise_range.steady_cruise(train, shaft, data.reserve, data.avionics_power)
    return CruisePower(shaft, cruise, radius=mission.radius_out_and_home(speed, cruise.endurance, data.wind))


def usual_time_in_cruise(data: PowerData, train: drive_train.Powertrain, shaft: drive_train.ShaftPoint) -> Any:
    """Return the time (...) of a usual flight with bursts of full throttle that cruises at a ShaftPoint. [s]

    The definition is as in ``mission.usual_flight_from_cruise``.
    """
    return mission.usual_flight_from_cruise(
        powertrain=train,
        shaft=shaft,
        density=data.air_density,
        reserve=data.reserve,
        share=data.full_throttle_share,
        other_power=data.avionics_power,
    )
