"""Door to `physics.power`: propeller, motor, controller and pack."""

import openmdao.api as om

from tradestudy.physics import level, power

from . import complex_step

INPUTS = {"cruise_speed": ((1,), "m/s"), "drag_area": ((level.N_LEVEL,), "m**2"), "all_up_mass": ((1,), "kg"),
          "series": ((1,), None), "parallel": ((1,), None)}
CELLS = ("series", "parallel")
CRUISE = ("cruise_speed", "drag_area", *CELLS)
# what each output depends on; the rest is structurally zero
DEPENDS = {
    "range": CRUISE, "endurance": CRUISE, "energy_per_metre": CRUISE, "charge_per_metre": CRUISE, "mean_current": CRUISE,
    "end_current": CRUISE, "end_voltage": CRUISE, "end_throttle": CRUISE,
    "cruise_motor_current": ("cruise_speed", "drag_area"), "climb_speed": (*CRUISE, "all_up_mass"),
    "surplus_thrust": ("drag_area", "all_up_mass", *CELLS), "thrust_to_weight": ("all_up_mass", *CELLS),
    "full_throttle_current": CELLS, "full_throttle_motor_current": CELLS}
OUTPUTS = {"range": "m", "endurance": "s", "energy_per_metre": "J/m", "charge_per_metre": "C/m", "mean_current": "A",
           "end_current": "A", "end_voltage": "V", "end_throttle": None, "cruise_motor_current": "A",
           "climb_speed": "m/s", "surplus_thrust": None, "thrust_to_weight": None, "full_throttle_current": "A",
           "full_throttle_motor_current": "A"}


class Power(om.ExplicitComponent):
    """Range, climb and currents; the variables are those of `power.powered`."""

    def initialize(self):
        self.options.declare("data", types=power.PowerData, desc="what stays the same while the choices vary")

    def setup(self):
        for name, (shape, units) in INPUTS.items():
            self.add_input(name, shape=shape, units=units)
        for name, units in OUTPUTS.items():
            self.add_output(name, val=1.0, units=units)
        for output, names in DEPENDS.items():
            self.declare_partials(output, names)

    def _function(self, **inputs):
        return power.powered(self.options["data"], **inputs)

    def compute(self, inputs, outputs):
        answer = complex_step.call(self._function, dict(inputs.items()))
        for name in OUTPUTS:
            outputs[name] = answer[name]

    def compute_partials(self, inputs, partials):
        for pair, slope in complex_step.slopes(self._function, dict(inputs.items()), DEPENDS).items():
            partials[pair] = slope
