"""What a builder can do about each limit that a wing breaks, and which misses are smaller than the model can tell.

The scatters are judgement, no source: how far two careful builds of one plan differ, in the unit of the report. Limits
on strength and control have none: a miss there is never small.
"""

from __future__ import annotations

from typing import NamedTuple


class Remedy(NamedTuple):
    """What would help if a limit is broken."""

    words: str  # follow "what helps: "; "{}" stands for the miss, rounded up to whole units
    scatter: float = 0.0  # miss that the model cannot tell from none, in the unit that the report shows


_THROTTLE = "a lower controller.throttle_cap, or a propeller with less pitch or diameter"
_RODS = "one rod pair more, thicker rods, or less span"
_CELLS = "one more row of cells in parallel, or a lower controller.throttle_cap"
_TWIST = "less span, or film with a measured bond ([load_test])"
_ROOM = "a flatter way to lay the pack, or a raised lid"
_PACK = "a bay {} mm longer at that end, or other equipment moved the other way"

# name of a limit -> its remedy
REMEDIES: dict[str, Remedy] = {
    "up_elevon": Remedy("less washout, or a balance mark further back within the window", 0.3),
    "down_elevon": Remedy("more washout, or a balance mark further forward", 0.3),
    "cruise_over_stall": Remedy("a faster cruise, or less weight", 1.0),
    "slowest_flight": Remedy("less weight, or more span", 1.0),
    "failure_load_factor": Remedy(_RODS),
    "tip_deflection": Remedy(_RODS),
    "launch_height_left": Remedy('a bungee or dolly (fly.launch = "bungee"), less weight, or more span', 0.1),
    "climb": Remedy("a propeller with more diameter, a higher controller.throttle_cap, or less weight", 0.2),
    "full_speed": Remedy(_THROTTLE, 3.0),
    "end_throttle": Remedy("a propeller with more pitch, or one cell more in series"),
    "cell_current": Remedy(_CELLS),
    "cell_voltage": Remedy(_CELLS),
    "full_throttle_motor": Remedy(_THROTTLE),
    "full_throttle_controller": Remedy(_THROTTLE),
    "full_throttle_cells": Remedy(_CELLS),
    "strength_pull_up": Remedy(_RODS),
    "strength_push_over": Remedy(_RODS),
    "strength_gust_cruise": Remedy(_RODS),
    "strength_gust_full_speed": Remedy(_RODS),
    "fin_volume": Remedy('taller fins, or stretch.fins = "hold_volume"'),
    "roll_control": Remedy(_TWIST),
    "pitch_control": Remedy(_TWIST),
    "twist_off_share": Remedy(_TWIST),
    "yaw_stiffness": Remedy('taller fins, or stretch.fins = "hold_volume"'),
    "roll_per_metre": Remedy("less span, or elevons further out"),
    "flying_weight": Remedy("a pack with fewer cells", 10.0),
    "fits_section": Remedy(_ROOM, 0.5),
    "pack_fits_section": Remedy(_ROOM, 0.5),
    "tip_room": Remedy("a larger tip chord, fins with a shorter root, or thinner rods", 1.0),
    "pack_forward": Remedy(_PACK, 2.0),
    "pack_aft": Remedy(_PACK, 2.0),
}
