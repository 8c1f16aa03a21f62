"""OpenMDAO components of `physics.flight.tip_room` and `tip_stall`: room at the tips, the stall, lift left there."""

from tradestudy.physics.flight import layout, tip_room, tip_stall, trimmed_flight
from tradestudy.physics.geometry.mesh import half_wing_mesh

from .complex_step import SteppedComponent


class RoomAtTips(SteppedComponent):
    """Component that computes the room at the tips of a panel that is drawn anew."""

    def initialize(self):
        self.options.declare("data", types=layout.LayoutData, desc="what is the same for every design")

    def setup(self):
        data = self.options["data"]
        lack = tip_room.stock_lack(data)

        def room(extension, sweep, washout, tip_chord, rod_diameter):
            choice = layout.WingChoice(extension, sweep, washout, rod_diameter, 1.0, tip_chord)
            return tip_room.tip_room(lack, layout.StretchedWing(data, choice))

        depends: dict[str, tuple[str, ...]] = {
            "tip_room": ("extension", "sweep", "washout", "tip_chord", "rod_diameter")
        }
        self.declare(room, depends, {"tip_room": (tip_room.tip_room_count(data),)})


class LiftLeftAtTips(SteppedComponent):
    """Component that computes the stall speed, and the lift left at the tips when the first strip stalls."""

    def initialize(self):
        self.options.declare("flight", types=trimmed_flight.FlightData, desc="what is the same for every design")

    def setup(self):
        flight = self.options["flight"]
        data, air_density = flight.layout, flight.air_density
        n_strip = layout.strip_count(data)

        def left(extension, strip_area, lift_coefficient, stall_margin, dynamic_pressure):
            wing = layout.wing_outline(data, extension, data.stock.sweep, data.stock.washout)
            shares = tip_stall.tip_shares(wing, half_wing_mesh(wing))
            return tip_stall.tip_stall(
                shares, strip_area, lift_coefficient, stall_margin, dynamic_pressure, air_density
            )

        level = (trimmed_flight.N_LEVEL, n_strip)
        shapes: dict[str, tuple[int, ...]] = {
            "strip_area": (n_strip,),
            "lift_coefficient": level,
            "stall_margin": level,
            "dynamic_pressure": (trimmed_flight.N_LEVEL + trimmed_flight.N_LOAD,),
        }
        self.declare(left, dict.fromkeys(("tips_left", "stall_speed"), ("extension", *shapes)), shapes)
