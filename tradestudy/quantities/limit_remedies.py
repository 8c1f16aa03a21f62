"""What a builder can do about each limit that a wing breaks, and which misses are smaller than the model can tell.

A key that moves the bound is declared beside the words, with the step in which a builder types it.
`search.infeasible.limit_keys` computes its value. Where no key does, parts of the choices may help.

The scatters are judgement, no source: how far two careful builds of one plan differ, in the unit of the report. Limits
on strength and control have none: a miss there is never small.
"""

from __future__ import annotations

import math
from typing import NamedTuple


class LimitKey(NamedTuple):
    """The key of the study that moves a limit, and how its value is typed.

    ``rule`` names in `search.infeasible.limit_keys.KEY_RULES` how the value follows from a bound that would do.
    """

    key: str
    rule: str  # such as "bound": the value is the bound itself
    step: float  # values are rounded to multiples of it, in ``unit``
    unit: str = ""


class Remedy(NamedTuple):
    """What would help if a limit is broken. ``parts`` are fields of a choice that would help if another is bought."""

    words: str  # follow "what helps: "; "{}" stands for the miss, rounded up to whole units
    scatter: float = 0.0  # miss that the model cannot tell from none, in the unit that the report shows
    key: LimitKey | None = None
    parts: tuple[str, ...] = ()

    def filled(self, missed: float, has_rods: bool = True) -> str:
        """Return the words with the miss, in the unit that the report shows. A wing may have no rods."""
        words = _WITHOUT_RODS if self.words == _RODS and not has_rods else self.words
        return words.replace("{}", str(math.ceil(missed)))


_THROTTLE = "a lower controller.throttle_cap, or a propeller with less pitch or diameter"
_RODS = "one rod pair more, thicker rods, or less span"
_WITHOUT_RODS = "rods laid into the foam ([[rods]]), which this wing has none of, or less span"
_CELLS = "one more row of cells in parallel, or a lower controller.throttle_cap"
_TWIST = "less span, or film with a measured bond ([load_test])"
_ROOM = "a flatter way to lay the pack, or a raised lid"
_PACK = "a bay {} mm longer at that end, or other equipment moved the other way"
_RODS_BOUGHT, _CAP, _ROW = ("rod_pairs", "rod_diameter"), ("throttle_cap",), ("parallel",)
_ELEVON = LimitKey("limits.up_elevon", "bound", 0.1, "deg")
_CONTROL = LimitKey("limits.control_speed_share", "control", 0.01)
_BAY_LENGTH = LimitKey("bay", "bay", 1.0, "mm")  # length and front wall of the pack's bay

# where something else than the wall of its own bay stops the pack
ROOM_FOR_PACK = Remedy("{} mm more room, or other equipment moved the other way")

# name of a limit -> its remedy
REMEDIES: dict[str, Remedy] = {
    "up_elevon": Remedy("less washout, or a balance mark further back within the window", 0.3, key=_ELEVON),
    "down_elevon": Remedy("more washout, or a balance mark further forward", 0.3, key=_ELEVON),
    "cruise_over_stall": Remedy(
        "a faster cruise, or less weight", 1.0, key=LimitKey("fly.cruise_at_least", "cruise", 0.01)
    ),
    "slowest_flight": Remedy("less weight, or more span", 1.0, key=LimitKey("limits.stall_speed_ratio", "stall", 0.01)),
    "tips_left": Remedy(
        "more washout, or a larger tip chord", 0.5, key=LimitKey("limits.tips_left", "bound", 0.1, "%")
    ),
    "launch_height_left": Remedy(
        'a bungee or dolly (fly.launch = "bungee"), less weight, or more span', 0.1, parts=("launch",)
    ),
    "failure_load_factor": Remedy(_RODS, key=LimitKey("limits.failure_load_factor", "bound", 0.1), parts=_RODS_BOUGHT),
    "tip_deflection": Remedy(_RODS, key=LimitKey("limits.tip_deflection", "bound", 0.1, "%"), parts=_RODS_BOUGHT),
    "climb": Remedy(
        "a propeller with more diameter, a higher controller.throttle_cap, or less weight",
        0.2,
        key=LimitKey("limits.climb", "bound", 0.1, "m/s"),
    ),
    "full_speed": Remedy(_THROTTLE, 3.0, parts=_CAP),
    "end_throttle": Remedy("a propeller with more pitch, or one cell more in series"),
    "cell_current": Remedy(_CELLS, parts=_ROW),
    "cell_voltage": Remedy(_CELLS, parts=_ROW),
    "full_throttle_motor": Remedy(_THROTTLE, parts=_CAP),
    "full_throttle_controller": Remedy(_THROTTLE, parts=_CAP),
    "full_throttle_cells": Remedy(_CELLS, parts=(*_CAP, *_ROW)),
    "strength_pull_up": Remedy(_RODS, parts=_RODS_BOUGHT),
    "strength_push_over": Remedy(_RODS, parts=_RODS_BOUGHT),
    "strength_gust_cruise": Remedy(_RODS, parts=_RODS_BOUGHT),
    "strength_gust_full_speed": Remedy(_RODS, parts=_RODS_BOUGHT),
    "fin_volume": Remedy(
        'taller fins, or stretch.fins = "hold_volume"', key=LimitKey("limits.fin_volume_share", "share", 0.01)
    ),
    "roll_control": Remedy(_TWIST, key=_CONTROL),
    "pitch_control": Remedy(_TWIST, key=_CONTROL),
    "twist_off_share": Remedy(_TWIST),
    "servo_torque": Remedy(
        "stronger servos (linkage.servo_torque), shorter servo arms, longer horns, or smaller elevons",
        1.0,
        key=LimitKey("linkage.servo_torque", "bound", 0.5, "N cm"),
    ),
    "yaw_stiffness": Remedy(
        'taller fins, or stretch.fins = "hold_volume"', key=LimitKey("limits.yaw_stiffness_share", "share", 0.01)
    ),
    "roll_per_metre": Remedy(
        "less span, or elevons further out", key=LimitKey("limits.roll_rate_share", "share", 0.01)
    ),
    "flying_weight": Remedy("a pack with fewer cells", 10.0, key=LimitKey("limits.flying_weight", "bound", 10.0, "g")),
    "fits_section": Remedy(_ROOM, 0.5),
    "pack_fits_section": Remedy(_ROOM, 0.5),
    "rods_clear": Remedy("rods farther from the bay, or ended beside it", 0.5),
    "tip_room": Remedy("a larger tip chord, fins with a shorter root, or thinner rods", 1.0),
    "pack_forward": Remedy(_PACK, 2.0, key=_BAY_LENGTH),
    "pack_aft": Remedy(_PACK, 2.0, key=_BAY_LENGTH),
}
