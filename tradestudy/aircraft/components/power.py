"""OpenMDAO component of `physics.flight.power`: propeller, motor, controller and pack."""

from functools import partial

from tradestudy.physics.flight import level_drag, power

from .complex_step import SteppedComponent

CELLS = ("series", "parallel")
CRUISE = ("cruise_speed", "drag_area", *CELLS)
# output -> the inputs that it depends on; all other derivatives are zero
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


class Power(SteppedComponent):
    """Component that computes range, radius, duration, climb and currents.

    Without ``usual``, it skips the output ``usual_time``, which is slow to compute.
    """

    def initialize(self):
        self.options.declare("data", types=power.PowerData, desc="what is the same for every design")
        self.options.declare("usual", types=bool, default=True, desc="whether the usual flight is timed")

    def setup(self):
        usual = self.options["usual"]
        depends = {name: inputs for name, inputs in DEPENDS.items() if usual or name != "usual_time"}
        function = partial(power.design_power, self.options["data"], usual=usual)
        self.declare(function, depends, shapes={"drag_area": (level_drag.N_LEVEL,)})
