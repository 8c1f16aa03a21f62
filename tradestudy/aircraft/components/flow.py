"""Door to `physics.flight.control`: lattice, balance, trim, what twist leaves of control.

The lattice matrix never leaves it.
"""

from functools import partial

import openmdao.api as om

from tradestudy.physics.flight import control, layout, strength, trimmed_flight

from .complex_step import Stepped

INPUTS = {
    "extension": "m",
    "sweep": "rad",
    "washout": "rad",
    "all_up_mass": "kg",
    "static_margin": None,
    "cruise_speed": "m/s",
    "rod_diameter": "m",
    "rod_pairs": None,
}
WING = ("extension", "sweep")
SOFT = (*WING, "rod_diameter", "rod_pairs")
TWISTED = (*WING, "washout")
LOADED = (*TWISTED, "all_up_mass", "static_margin", "cruise_speed")
# what each output depends on; the rest is structurally zero
DEPENDS = {
    "centre_of_gravity": (*WING, "static_margin"),
    "elevon": LOADED,
    "load_factor": (*WING, "all_up_mass", "cruise_speed"),
    "dynamic_pressure": ("cruise_speed",),
    "lift_coefficient": LOADED,
    "log_reynolds": ("extension", "cruise_speed"),
    "strip_deflection": LOADED,
    "strip_area": ("extension",),
    "induced_drag_area": LOADED,
    "strip_lift": LOADED,
    "strip_moment": LOADED,
    "yaw_stiffness": LOADED,
    "roll_per_metre": LOADED,
    "roll_control": SOFT,
    "pitch_control": SOFT,
    "twist_off_share": SOFT,
}
N_LEVEL, N_LOAD = len(trimmed_flight.LEVEL_CONDITIONS), len(trimmed_flight.LOAD_CONDITIONS)


def output_shapes(n_strip):
    """Return name -> (shape, units) of everything the door gives."""
    every, level = N_LEVEL + N_LOAD, (N_LEVEL, n_strip)
    return {
        "roll_control": ((1,), None),
        "pitch_control": ((1,), None),
        "twist_off_share": ((1,), None),
        "centre_of_gravity": ((1,), "m"),
        "yaw_stiffness": ((1,), None),
        "roll_per_metre": ((1,), "rad/m"),
        "elevon": ((every,), "rad"),
        "load_factor": ((every,), None),
        "dynamic_pressure": ((every,), "Pa"),
        "lift_coefficient": (level, None),
        "log_reynolds": (level, None),
        "strip_deflection": (level, "rad"),
        "strip_area": ((n_strip,), "m**2"),
        "induced_drag_area": ((N_LEVEL,), "m**2"),
        "strip_lift": ((N_LOAD, n_strip), "N"),
        "strip_moment": ((N_LOAD, n_strip), "N*m"),
    }


class Flow(om.ExplicitComponent):
    """Balance, yaw, roll, and trim, strip lift, induced drag by condition; from one lattice for each wing."""

    def initialize(self):
        self.options.declare("data", types=trimmed_flight.FlightData, desc="what stays the same while the choices vary")
        self.options.declare("structure", types=strength.StrengthData, desc="the same of the structure")

    def setup(self):
        for name, units in INPUTS.items():
            self.add_input(name, val=1.0, units=units)
        self._outputs_of = output_shapes(layout.strip_count(self.options["data"].layout))
        for name, (shape, units) in self._outputs_of.items():
            self.add_output(name, shape=shape, units=units)
        for output, names in DEPENDS.items():
            self.declare_partials(output, names)
        self.stepped = Stepped(partial(_flown, self.options["data"], self.options["structure"]), DEPENDS)

    def compute(self, inputs, outputs):
        self.stepped.fill(inputs, outputs)

    def compute_partials(self, inputs, partials):
        self.stepped.fill_slopes(inputs, partials)


def _flown(
    data, structure, extension, sweep, washout, rod_diameter, rod_pairs, all_up_mass, static_margin, cruise_speed
):
    solution = trimmed_flight.unit_solution(data, extension, sweep, washout, strips=True)
    half = strength.half_wing(structure, strength.WingChoice(extension, sweep, washout, rod_diameter, rod_pairs))
    return control.flow(data, solution, half, all_up_mass, static_margin, cruise_speed)
