"""OpenMDAO component of `physics.flight.pack_room`: room round a bay that moves with the pack, rods beside bays."""

from tradestudy.physics.body.clearance import MARGINS_OF_BOX
from tradestudy.physics.flight import layout, pack_room

from .complex_step import SteppedComponent


class RoomForPack(SteppedComponent):
    """Component that computes the room round the pack's bay if it moves with the pack, and between rods and bays."""

    def initialize(self):
        self.options.declare("data", types=layout.LayoutData, desc="what is the same for every design")

    def setup(self):
        data = self.options["data"]

        def room(extension, sweep, washout, tip_chord, pack_position, rod_diameter, rod_pairs):
            choice = layout.WingChoice(extension, sweep, washout, rod_diameter, rod_pairs, tip_chord)
            return pack_room.pack_room(layout.StretchedWing(data, choice), pack_position)

        outline, rods = ("extension", "sweep", "washout", "tip_chord", "pack_position"), ("rod_diameter", "rod_pairs")
        depends: dict[str, tuple[str, ...]] = {}
        if data.pack_bay:
            depends["pack_clearance"] = outline
        if data.rod_bays:
            depends["rod_room"] = (*outline, *rods)
        shapes: dict[str, tuple[int, ...]] = {
            "pack_clearance": (MARGINS_OF_BOX,),
            "rod_room": (pack_room.rod_room_count(data),),
        }
        self.declare(room, depends, shapes, more_inputs=rods)
