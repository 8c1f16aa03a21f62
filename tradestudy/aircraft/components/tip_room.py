"""OpenMDAO component of `physics.flight.tip_room`: room for fins, rods and pockets at the tips."""

from tradestudy.physics.flight import layout, tip_room

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
