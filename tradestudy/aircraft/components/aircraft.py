"""The complete chain as one OpenMDAO group: the stages of `aircraft.model.evaluation`, with their derivatives.

::

    shape      outline, areas, weights          from span, sweep, washout, rods, cells
    flow       lattice, balance, trim, control  from the outline, weight, static margin, cruise speed
    section    section drag, stall margins      from lift and elevon of strips
    stall      its speed, lift left at the tips from lift and elevon of strips on the way to it
    structure  utilisation, first failure       from strip loads and rods
    balance    place of the pack, fin volume    from balance point and weights
    power      range, radius, climb, currents   from drag, weight and cells
    room       room for bays, rods, at the tips from the outline, the places of pack and equipment, and rods
    launch     height after a throw by hand     from weight, drag, stall and thrust
    servo      torque for full elevon           from the outline, lift of strips and elevon

The speed of every flight condition is an input or derived from the cruise speed. So the group needs no iteration.
"""

from typing import Any

import openmdao.api as om

from tradestudy.physics.flight import (
    control,
    launch,
    layout,
    level_drag,
    power,
    room,
    strength,
    trimmed_flight,
)

from .balance import Balance
from .flow import Flow
from .half_wings import HalfWings
from .launch import FirstStallSpeed, Launch
from .power import Power
from .room import RoomLeft
from .section import Section
from .servo import ServoLoads
from .shape import Shape
from .structure import Structure
from .tip_stall import LiftLeftAtTips


class Aircraft(om.Group):
    """The group of all components. Every variable is promoted, so each name means one variable."""

    def initialize(self):
        self.options.declare("flight", types=trimmed_flight.FlightData)
        self.options.declare("level", types=level_drag.LevelData)
        self.options.declare("strength", types=strength.StrengthData)
        self.options.declare("power", types=power.PowerData)
        self.options.declare("launch", types=launch.LaunchData, default=None, allow_none=True)
        self.options.declare("servo", types=control.ServoData, default=None, allow_none=True)
        self.options.declare("usual", types=bool, default=True, desc="whether the usual flight is timed")

    def setup(self):
        options = self.options
        n_strip = layout.strip_count(options["flight"].layout)
        half_wings = HalfWings(options["strength"])
        components: dict[str, Any] = {
            "shape": Shape(data=options["flight"].layout),
            "flow": Flow(data=options["flight"], half_wings=half_wings),
            "section": Section(data=options["level"], n_strip=n_strip),
            "stall": LiftLeftAtTips(data=options["level"]),
            "structure": Structure(half_wings=half_wings, n_strip=n_strip),
            "balance": Balance(),
            "power": Power(data=options["power"], usual=options["usual"]),
        }
        laid = options["flight"].layout
        if laid.pack_bay or laid.rod_bays or room.clearance_count(laid) or room.tip_room_count(laid):
            components["room"] = RoomLeft(data=laid)
        if options["launch"]:
            components["first_stall"] = FirstStallSpeed(flight=options["flight"])
            components["launch"] = Launch(data=options["launch"], flight=options["flight"])
        if options["servo"]:
            components["servo"] = ServoLoads(flight=options["flight"], servo=options["servo"])
        for name, component in components.items():
            self.add_subsystem(name, component, promotes=["*"])
        # One sparse matrix holds all derivatives: six solves with it cost less than passing each variable along
        self.linear_solver = om.DirectSolver(assemble_jac=True)
