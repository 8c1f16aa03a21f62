"""Door to `physics.flight.power`: propeller, motor, controller and pack."""

from functools import partial

import openmdao.api as om

from tradestudy.physics.flight import level_drag, power

from .complex_step import Stepped

INPUTS = {
    "cruise_speed": ((1,), "m/s"),
    "drag_area": ((level_drag.N_LEVEL,), "m**2"),
    "all_up_mass": ((1,), "kg"),
    "series": ((1,), None),
    "parallel": ((1,), None),
}
CELLS = ("series", "parallel")
CRUISE = ("cruise_speed", "drag_area", *CELLS)
# what each output depends on; the rest is structurally zero
DEPENDS = {
    "range": CRUISE,
    "radius": CRUISE,
    "usual_time": CRUISE,
    "end_current": CRUISE,
    "end_voltage": CRUISE,
    "end_throttle": CRUISE,
    "climb_speed": (*CRUISE, "all_up_mass"),
    "surplus_thrust": ("drag_area", "all_up_mass", *CELLS),
    "full_throttle_current": CELLS,
    "full_throttle_motor_current": CELLS,
}
OUTPUTS = {
    "range": "m",
    "radius": "m",
    "usual_time": "s",
    "end_current": "A",
    "end_voltage": "V",
    "end_throttle": None,
    "climb_speed": "m/s",
    "surplus_thrust": None,
    "full_throttle_current": "A",
    "full_throttle_motor_current": "A",
}


class Power(om.ExplicitComponent):
    """Range, radius, time, climb and currents that a search asks for; `power.powered` tells more.

    Without ``usual`` there is no ``usual_time``, for searches that have no use for it.
    """

    def initialize(self):
        self.options.declare("data", types=power.PowerData, desc="what stays the same while the choices vary")
        self.options.declare("usual", types=bool, default=True, desc="whether the usual flight is timed")

    def setup(self):
        usual = self.options["usual"]
        depends = {name: inputs for name, inputs in DEPENDS.items() if usual or name != "usual_time"}
        for name, (shape, units) in INPUTS.items():
            self.add_input(name, shape=shape, units=units)
        for output, names in depends.items():
            self.add_output(output, val=1.0, units=OUTPUTS[output])
            self.declare_partials(output, names)
        self.stepped = Stepped(partial(power.powered, self.options["data"], usual=usual), depends)

    def compute(self, inputs, outputs):
        self.stepped.fill(inputs, outputs)

    def compute_partials(self, inputs, partials):
        self.stepped.fill_slopes(inputs, partials)
