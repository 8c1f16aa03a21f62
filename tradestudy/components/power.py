"""Door to `physics.power`: propeller, motor, controller and pack."""

from functools import partial

import openmdao.api as om

from tradestudy.physics import level, power

from .complex_step import Stepped

INPUTS = {"cruise_speed": ((1,), "m/s"), "drag_area": ((level.N_LEVEL,), "m**2"), "all_up_mass": ((1,), "kg"),
          "series": ((1,), None), "parallel": ((1,), None)}
CELLS = ("series", "parallel")
CRUISE = ("cruise_speed", "drag_area", *CELLS)
# what each output depends on; the rest is structurally zero
DEPENDS = {
    "range": CRUISE, "end_current": CRUISE, "end_voltage": CRUISE, "end_throttle": CRUISE,
    "climb_speed": (*CRUISE, "all_up_mass"), "surplus_thrust": ("drag_area", "all_up_mass", *CELLS),
    "full_throttle_current": CELLS, "full_throttle_motor_current": CELLS}
OUTPUTS = {"range": "m", "end_current": "A", "end_voltage": "V", "end_throttle": None,
           "climb_speed": "m/s", "surplus_thrust": None, "full_throttle_current": "A",
           "full_throttle_motor_current": "A"}


class Power(om.ExplicitComponent):
    """Range, climb and currents that a search asks for; `power.powered` tells more."""

    def initialize(self):
        self.options.declare("data", types=power.PowerData, desc="what stays the same while the choices vary")

    def setup(self):
        for name, (shape, units) in INPUTS.items():
            self.add_input(name, shape=shape, units=units)
        for name, units in OUTPUTS.items():
            self.add_output(name, val=1.0, units=units)
        for output, names in DEPENDS.items():
            self.declare_partials(output, names)
        self.stepped = Stepped(partial(power.powered, self.options["data"]), DEPENDS)

    def compute(self, inputs, outputs):
        self.stepped.fill(inputs, outputs)

    def compute_partials(self, inputs, partials):
        self.stepped.fill_slopes(inputs, partials)
