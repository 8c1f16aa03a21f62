"""OpenMDAO component of `physics.flight.pack_room`: room round bays, and between rods and bays."""

from tradestudy.physics.body.clearance import MARGINS_OF_BOX
from tradestudy.physics.flight import layout, pack_room

from .complex_step import SteppedComponent


class RoomForPack(SteppedComponent):
    """Component that computes the room round bays, joiner and holes, and between rods and bays."""

    def initialize(self):
        self.options.declare("data", types=layout.LayoutData, desc="what is the same for every design")

    def setup(self):
        data = self.options["data"]

        def room(extension, sweep, washout, tip_chord, pack_position, equipment_position, rod_diameter, rod_pairs):
            choice = layout.WingChoice(extension, sweep, washout, rod_diameter, rod_pairs, tip_chord)
            return pack_room.pack_room(layout.StretchedWing(data, choice), pack_position, equipment_position)

        outline, rods = ("extension", "sweep", "washout", "tip_chord"), ("rod_diameter", "rod_pairs")
        depends: dict[str, tuple[str, ...]] = {}
        if pack_room.clearance_count(data):
            depends["clearance"] = (*outline, *(("equipment_position",) if data.gear else ()))
        if data.pack_bay:
            depends["pack_clearance"] = (*outline, "pack_position")
        if data.rod_bays:
            depends["rod_room"] = (*outline, "pack_position", *rods)
        shapes: dict[str, tuple[int, ...]] = {
            "clearance": (pack_room.clearance_count(data),),
            "pack_clearance": (MARGINS_OF_BOX,),
            "rod_room": (pack_room.rod_room_count(data),),
        }
        self.declare(room, depends, shapes, more_inputs=("pack_position", "equipment_position", *rods))
