"""OpenMDAO component of `physics.flight.power`: propeller, motor, controller and pack."""

from functools import partial

from tradestudy.physics.flight import level_drag, power

from .complex_step import SteppedComponent

_CELLS = ("series", "parallel")
_CRUISE_INPUTS = ("cruise_speed", "drag_area", *_CELLS)
# output -> the inputs that it depends on; all other derivatives are zero
_DEPENDS = {
    "range": _CRUISE_INPUTS,
    "radius": _CRUISE_INPUTS,
    "usual_time": _CRUISE_INPUTS,
    "end_current": _CRUISE_INPUTS,
    "end_voltage": _CRUISE_INPUTS,
    "end_throttle": _CRUISE_INPUTS,
    "climb_speed": (*_CRUISE_INPUTS, "all_up_mass"),
    "surplus_thrust": ("drag_area", "all_up_mass", *_CELLS),
    "full_throttle_current": _CELLS,
    "full_throttle_motor_current": _CELLS,
    "launch_thrust": _CELLS,
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
        depends = {name: inputs for name, inputs in _DEPENDS.items() if usual or name != "usual_time"}
        function = partial(power.design_power, self.options["data"], usual=usual)
        self.declare(function, depends, shapes={"drag_area": (level_drag.N_LEVEL,), "launch_thrust": (2,)})
