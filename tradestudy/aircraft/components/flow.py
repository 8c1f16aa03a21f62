"""OpenMDAO component of `physics.flight.control`: lattice, balance, trim, and control left when the wing twists.

The lattice matrix stays inside this component.
"""

from functools import partial

from tradestudy.physics.flight import control, layout, strength, tip_stall, trimmed_flight
from tradestudy.physics.flight.trimmed_flight import N_LEVEL, N_LOAD

from .complex_step import SteppedComponent
from .half_wings import HalfWings

_WING = ("extension", "sweep", "tip_chord")
SOFT = (*_WING, "rod_diameter", "rod_pairs")
TWISTED = (*_WING, "washout")
STEADY = (*TWISTED, "static_margin")  # at a given lift coefficient
LOADED = (*STEADY, "all_up_mass", "cruise_speed")
# output -> the inputs that it depends on; all other derivatives are zero
_DEPENDS = {
    "centre_of_gravity": (*_WING, "static_margin"),
    "elevon": LOADED,
    "load_factor": (*_WING, "all_up_mass", "cruise_speed"),
    "dynamic_pressure": ("cruise_speed",),
    "lift_coefficient": LOADED,
    "log_reynolds": ("extension", "tip_chord", "cruise_speed"),
    "strip_deflection": LOADED,
    "strip_area": ("extension", "tip_chord"),
    "induced_drag_area": LOADED,
    "strip_lift": LOADED,
    "strip_moment": LOADED,
    "yaw_stiffness": LOADED,
    "roll_per_metre": LOADED,
    "roll_control": SOFT,
    "pitch_control": SOFT,
    "twist_off_share": SOFT,
    "approach_pressure": (*_WING, "all_up_mass"),
    "approach_lift": STEADY,
    "approach_log_reynolds": (*_WING, "all_up_mass"),
    "approach_deflection": STEADY,
}


def output_shapes(n_strip: int) -> dict[str, tuple[int, ...]]:
    """Return the shape of every output that is not a single number."""
    every, level = (N_LEVEL + N_LOAD,), (N_LEVEL, n_strip)
    return {
        **dict.fromkeys(("elevon", "load_factor", "dynamic_pressure"), every),
        **dict.fromkeys(("lift_coefficient", "log_reynolds", "strip_deflection"), level),
        "strip_area": (n_strip,),
        "induced_drag_area": (N_LEVEL,),
        **dict.fromkeys(("strip_lift", "strip_moment"), (N_LOAD, n_strip)),
        **approach_shapes(n_strip),
    }


def approach_shapes(n_strip: int) -> dict[str, tuple[int, ...]]:
    """Return the shape of every part of a StallApproach."""
    count = len(tip_stall.APPROACH_LIFT)
    strips = ("approach_lift", "approach_log_reynolds", "approach_deflection")
    return {"approach_pressure": (count,), **dict.fromkeys(strips, (count, n_strip))}


class Flow(SteppedComponent):
    """Component that solves one lattice per wing.

    It computes balance, yaw and roll, for each flight condition trim, strip lift and induced drag, and the way to the
    stall.
    """

    def initialize(self):
        self.options.declare("data", types=trimmed_flight.FlightData, desc="what is the same for every design")
        self.options.declare("half_wings", types=HalfWings, desc="half wings of the structure")

    def setup(self):
        data, half_wings = self.options["data"], self.options["half_wings"]
        self.declare(partial(_flow, data, half_wings), _DEPENDS, shapes=output_shapes(layout.strip_count(data.layout)))


def _flow(
    data,
    half_wings,
    extension,
    sweep,
    washout,
    tip_chord,
    rod_diameter,
    rod_pairs,
    all_up_mass,
    static_margin,
    cruise_speed,
):
    solution = trimmed_flight.unit_solution(data, extension, sweep, washout, strips=True, tip_chord=tip_chord)
    half = half_wings.of(strength.WingChoice(extension, sweep, washout, rod_diameter, rod_pairs, tip_chord))
    return control.design_flow(data, solution, half, all_up_mass, static_margin, cruise_speed)
