"""Every variable of the OpenMDAO model, declared once with its unit and description.

Some outputs have one value for each flight condition, in the order of `physics.flight.trimmed_flight`. These are the
level conditions, the load conditions, or both.
"""

from __future__ import annotations

from typing import Any, NamedTuple

RATIO = "unitless"


class ModelVariable(NamedTuple):
    """Unit as OpenMDAO writes it, and description of one variable."""

    units: str
    description: str


MODEL_VARIABLES = {
    # variables that a search varies
    "extension": ModelVariable("m", "span added on each side of the stock wing"),
    "sweep": ModelVariable("rad", "sweep of the leading edge"),
    "washout": ModelVariable("rad", "tip twist, nose down positive"),
    "tip_chord": ModelVariable("m", "foam chord at the tip"),
    "static_margin": ModelVariable(
        RATIO, "neutral point behind the centre of gravity, over the mean aerodynamic chord"
    ),
    "cruise_speed": ModelVariable("m/s", "true airspeed in cruise"),
    "equipment_position": ModelVariable("m", "movable equipment behind the nose datum"),
    # inputs that a set of parts fixes
    "series": ModelVariable(RATIO, "cells of the pack in series"),
    "parallel": ModelVariable(RATIO, "cells of the pack in parallel"),
    "rod_diameter": ModelVariable("m", "outside diameter of the rods in the first set"),
    "rod_pairs": ModelVariable(RATIO, "pairs of rods in the first set, on each side"),
    # shape
    "span": ModelVariable("m", "tip to tip, fins left out"),
    "area": ModelVariable("m**2", "wing area, both sides"),
    "fin_area": ModelVariable("m**2", "area of all fins, one face of each, both wing halves"),
    "fin_mean_chord": ModelVariable("m", "mean chord of the fins"),
    "fin_side_area": ModelVariable("m**2", "area of all fins as seen from the side"),
    "fin_quarter_chord": ModelVariable("m", "quarter chord of the fins behind the nose datum"),
    "pack_mass": ModelVariable("kg", "mass of the pack"),
    "sliding_mass": ModelVariable("kg", "mass that moves with the pack: the pack, less the foam of a bay cut to it"),
    "moment_without_pack": ModelVariable(
        "kg*m", "mass times distance behind the nose datum, without what moves with the pack"
    ),
    "all_up_mass": ModelVariable("kg", "mass of the whole aircraft"),
    "clearance": ModelVariable("m", "room between the skin and bays or joiner, for pairs of places on both surfaces"),
    # flow
    "centre_of_gravity": ModelVariable("m", "balance point behind the nose datum"),
    "elevon": ModelVariable("rad", "elevon deflection in every condition, trailing edge down positive"),
    "load_factor": ModelVariable(RATIO, "load factor in every condition"),
    "dynamic_pressure": ModelVariable("Pa", "dynamic pressure in every condition"),
    "lift_coefficient": ModelVariable(RATIO, "section lift coefficient of every strip in the level conditions"),
    "log_reynolds": ModelVariable(RATIO, "natural logarithm of the Reynolds number of every strip, level conditions"),
    "strip_deflection": ModelVariable("rad", "elevon deflection of every strip in the level conditions"),
    "approach_pressure": ModelVariable(
        "Pa", "dynamic pressure in level flight at three lift coefficients near the stall"
    ),
    "approach_lift": ModelVariable(RATIO, "section lift coefficient of every strip there"),
    "approach_log_reynolds": ModelVariable(RATIO, "natural logarithm of the Reynolds number of every strip there"),
    "approach_deflection": ModelVariable("rad", "elevon deflection of every strip there"),
    "strip_area": ModelVariable("m**2", "area of every strip of the half wing"),
    "induced_drag_area": ModelVariable("m**2", "wake drag over dynamic pressure in the level conditions"),
    "strip_lift": ModelVariable("N", "lift of every strip in the conditions that load the wing"),
    "strip_moment": ModelVariable("N*m", "pitching moment of every strip in the conditions that load the wing"),
    "yaw_stiffness": ModelVariable("1/rad", "slope of the yawing moment coefficient with sideslip"),
    "roll_per_metre": ModelVariable("rad/m", "roll for each metre flown, elevons fully deflected against each other"),
    "roll_control": ModelVariable(RATIO, "share of roll control that twist leaves at the control speed"),
    "pitch_control": ModelVariable(RATIO, "share of pitch control that twist leaves at the control speed"),
    "twist_off_share": ModelVariable(RATIO, "feedback of twist on lift at the never-exceed speed; 1 is divergence"),
    "servo_load": ModelVariable("N*m", "torque of one servo for full elevon at full speed, up and down, with reserve"),
    # section
    "drag_area": ModelVariable("m**2", "total drag over dynamic pressure in the level conditions"),
    "stall_margin": ModelVariable(
        RATIO, "section lift coefficient left below the largest, by level condition and strip"
    ),
    "stall_speed": ModelVariable(
        "m/s", "speed of level flight at which the first strip stalls, with the mark's balance"
    ),
    "tips_left": ModelVariable(RATIO, "lift left at the tips, over their largest, when the first strip stalls"),
    # structure
    "utilisation": ModelVariable(RATIO, "share of its strength that the wing uses in the conditions that load it"),
    "failure_load_factor": ModelVariable(RATIO, "load factor at which the first part fails, by condition"),
    "deflection_share": ModelVariable(RATIO, "rise of the tip over semi-span, by condition"),
    # balance
    "pack_position": ModelVariable("m", "centre of the pack behind the nose datum"),
    "fin_volume": ModelVariable(RATIO, "fin volume coefficient"),
    "pack_clearance": ModelVariable("m", "room between the skin and a bay that moves with the pack, as clearance"),
    "rod_room": ModelVariable("m", "room between rods and the bays that they must stay clear of"),
    # tips
    "tip_room": ModelVariable("m", "room left for every fin, set of rods and pocket at the tips"),
    # power
    "range": ModelVariable("m", "distance through the air from a full pack to the reserve"),
    "radius": ModelVariable("m", "how far out a flight may turn for home in the study's wind"),
    "usual_time": ModelVariable("s", "duration of the usual flight, with its share of full throttle"),
    "end_current": ModelVariable("A", "pack current in cruise at the reserve"),
    "end_voltage": ModelVariable("V", "pack voltage in cruise at the reserve"),
    "end_throttle": ModelVariable(RATIO, "throttle in cruise at the reserve"),
    "climb_speed": ModelVariable("m/s", "rate of climb at full throttle and cruise airspeed"),
    "surplus_thrust": ModelVariable(RATIO, "thrust beyond drag at full speed, over weight"),
    "full_throttle_current": ModelVariable("A", "pack current at full throttle, standing still, pack full"),
    "full_throttle_motor_current": ModelVariable("A", "motor current at full throttle, standing still, pack full"),
    "launch_thrust": ModelVariable("N", "full thrust at rest and at launch.THRUST_SPEED, pack full"),
    # launch
    "first_stall_speed": ModelVariable("m/s", "speed of level flight at which the first strip stalls"),
    "launch_height_left": ModelVariable("m", "height above the ground after a throw, when the path is level"),
}


def declared(name: str, shape: tuple[int, ...] = (1,)) -> dict[str, Any]:
    """Return the keywords of ``add_input`` or ``add_output`` for a variable."""
    units, description = MODEL_VARIABLES[name]
    return {"name": name, "shape": shape, "val": 1.0, "units": units, "desc": description}
