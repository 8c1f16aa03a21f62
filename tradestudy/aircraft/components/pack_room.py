"""OpenMDAO component of `physics.flight.pack_room`: room round a bay that moves with the pack."""

from tradestudy.physics.body.clearance import MARGINS_OF_BOX
from tradestudy.physics.flight import layout, pack_room

from .complex_step import SteppedComponent


class RoomForPack(SteppedComponent):
    """Component that computes the room between the skin and the pack's bay, where the bay moves with the pack."""

    def initialize(self):
        self.options.declare("data", types=layout.LayoutData, desc="what is the same for every design")

    def setup(self):
        data = self.options["data"]

        def room(extension, sweep, washout, tip_chord, pack_position):
            choice = layout.WingChoice(extension, sweep, washout, 0.0, 0.0, tip_chord)
            return pack_room.pack_room(layout.StretchedWing(data, choice), pack_position)

        depends: dict[str, tuple[str, ...]] = {
            "pack_clearance": ("extension", "sweep", "washout", "tip_chord", "pack_position")
        }
        self.declare(room, depends, {"pack_clearance": (MARGINS_OF_BOX,)})
