"""OpenMDAO components of `physics.flight.launch`: the first strip that stalls, and the height after a throw by hand."""

from functools import partial

from tradestudy.physics.flight import launch, layout, trimmed_flight

from .complex_step import SteppedComponent

_LEVEL = (trimmed_flight.N_LEVEL,)


class FirstStallSpeed(SteppedComponent):
    """Component that computes the speed at which the first strip stalls."""

    def initialize(self):
        self.options.declare("flight", types=trimmed_flight.FlightData, desc="what is the same for every design")

    def setup(self):
        flight, strips = self.options["flight"], ("lift_coefficient", "stall_margin")
        shape = (*_LEVEL, layout.strip_count(flight.layout))
        function = partial(launch.first_stall, flight.slowest_speed)
        self.declare(function, {"first_stall_speed": strips}, dict.fromkeys(strips, shape))


class Launch(SteppedComponent):
    """Component that computes the height after a throw by hand."""

    def initialize(self):
        self.options.declare("data", types=launch.LaunchData, desc="what is the same for every design")
        self.options.declare("flight", types=trimmed_flight.FlightData, desc="the same for flight")

    def setup(self):
        shapes: dict[str, tuple[int, ...]] = {"drag_area": _LEVEL, "induced_drag_area": _LEVEL, "launch_thrust": (2,)}
        function = partial(launch.design_launch, self.options["data"], self.options["flight"])
        inputs = ("all_up_mass", *shapes, "first_stall_speed")
        self.declare(function, {"launch_height_left": inputs}, shapes)
