"""OpenMDAO components of `physics.flight.tip_room` and `tip_stall`: room at the tips, and lift left there."""

from tradestudy.physics.flight import layout, tip_room, tip_stall, trimmed_flight

from .complex_step import SteppedComponent


class RoomAtTips(SteppedComponent):
    """Component that computes the room at the tips of a panel that is drawn anew."""

    def initialize(self):
        self.options.declare("data", types=layout.LayoutData, desc="what is the same for every design")

    def setup(self):
        data = self.options["data"]
        lack = tip_room.stock_lack(data)

        def room(extension, sweep, washout, tip_chord, rod_diameter):
            wing = layout.wing_outline(data, extension, sweep, washout, tip_chord)
            return tip_room.tip_room(data, lack, wing, extension, rod_diameter)

        depends: dict[str, tuple[str, ...]] = {
            "tip_room": ("extension", "sweep", "washout", "tip_chord", "rod_diameter")
        }
        self.declare(room, depends, {"tip_room": (tip_room.tip_room_count(data),)})


class LiftLeftAtTips(SteppedComponent):
    """Component that computes the lift left at the tips when the first strip of the wing stalls."""

    def initialize(self):
        self.options.declare("data", types=layout.LayoutData, desc="what is the same for every design")

    def setup(self):
        data = self.options["data"]
        n_strip = layout.strip_count(data)

        def left(extension, strip_area, lift_coefficient, stall_margin):
            wing = layout.wing_outline(data, extension, data.stock.sweep, data.stock.washout)
            return tip_stall.tip_stall(tip_stall.tip_shares(wing), strip_area, lift_coefficient, stall_margin)

        level = (trimmed_flight.N_LEVEL, n_strip)
        shapes: dict[str, tuple[int, ...]] = {
            "strip_area": (n_strip,),
            "lift_coefficient": level,
            "stall_margin": level,
        }
        self.declare(left, {"tips_left": ("extension", *shapes)}, shapes)
