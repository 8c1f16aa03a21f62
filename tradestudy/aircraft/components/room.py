"""OpenMDAO component of `physics.flight.room`: room round bays, between rods and bays, and at the tips."""

from tradestudy.physics.body.clearance import MARGINS_OF_BOX
from tradestudy.physics.flight import layout, room

from .complex_step import SteppedComponent


class RoomLeft(SteppedComponent):
    """Component that computes the room round bays, joiner and holes, between rods and bays, and at the tips."""

    def initialize(self):
        self.options.declare("data", types=layout.LayoutData, desc="what is the same for every design")

    def setup(self):
        data = self.options["data"]
        lack = room.stock_lack(data)

        def inside(extension, sweep, washout, tip_chord, pack_position, equipment_position, rod_diameter, rod_pairs):
            choice = layout.WingChoice(extension, sweep, washout, rod_diameter, rod_pairs, tip_chord)
            return room.room(layout.StretchedWing(data, choice), pack_position, equipment_position, lack)

        outline, rods = ("extension", "sweep", "washout", "tip_chord"), ("rod_diameter", "rod_pairs")
        depends: dict[str, tuple[str, ...]] = {}
        if room.clearance_count(data):
            depends["clearance"] = (*outline, *(("equipment_position",) if data.gear else ()))
        if data.pack_bay:
            depends["pack_clearance"] = (*outline, "pack_position")
        if data.rod_bays:
            depends["rod_room"] = (*outline, "pack_position", *rods)
        if room.tip_room_count(data):
            depends["tip_room"] = (*outline, "rod_diameter")
        shapes: dict[str, tuple[int, ...]] = {
            "clearance": (room.clearance_count(data),),
            "pack_clearance": (MARGINS_OF_BOX,),
            "rod_room": (room.rod_room_count(data),),
            "tip_room": (room.tip_room_count(data),),
        }
        self.declare(inside, depends, shapes, more_inputs=("pack_position", "equipment_position", *rods))
