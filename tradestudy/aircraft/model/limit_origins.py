"""Where every limit comes from, in words: the study, the stock wing, a maker, or common practice."""

from __future__ import annotations

from tradestudy.physics.flight.control import MOST_FEEDBACK
from tradestudy.physics.structure.wing_beam import SAFETY_FACTOR
from tradestudy.study.schema.study import Study

from .limits import STIFF_ENOUGH, STRONG_ENOUGH, Limit, pack_bay

SAID, STOCK, PRACTICE, MAKER = "the study", "the stock wing", "common practice", "the cell's maker"
# limits that a key of [limits] sets; where it is left out, what stands in its place
BY_KEY = {"up_elevon": ("up_elevon", STOCK), "down_elevon": ("up_elevon", STOCK),
          "failure_load_factor": ("failure_load_factor", STOCK), "tip_deflection": ("tip_deflection", STOCK),
          "climb": ("climb", PRACTICE), "flying_weight": ("flying_weight", SAID)}
FIXED = {"cruise_over_stall": PRACTICE, "end_throttle": "full throttle is all there is",
         "cell_current": MAKER, "cell_voltage": MAKER,
         "full_throttle_cells": MAKER, "full_speed": "never-exceed speed over 1.2"}
# limits that are a share of what the stock wing has, and the key that says which
SHARES = {"fin_volume": "fin_volume_share", "yaw_stiffness": "yaw_stiffness_share",
          "roll_per_metre": "roll_rate_share"}
# limits that a part's own key sets
BY_PART = {"full_throttle_motor": "motor.maximum_current", "full_throttle_controller": "controller.maximum_current"}


def origin_of(study: Study, limit: Limit) -> str:
    """Return where a limit comes from, for a builder."""
    name = limit.name
    assumed = {used.key for used in study.defaults_used}
    if name in ("cell_current", "full_throttle_cells") and study.pack.maximum_current is not None:
        return "pack.maximum_current" + (", assumed" if "pack.maximum_current" in assumed else "")
    if name == "cell_voltage" and study.pack.cut_off is not None:
        return "pack.cut_off"
    if FIXED.get(name) == MAKER and "pack.cell" in assumed:
        return "the maker of pack.cell, which is assumed"
    if name in BY_KEY:
        key, otherwise = BY_KEY[name]
        if limit.bound == {"failure_load_factor": STRONG_ENOUGH * study.fly.pull_up,
                           "tip_deflection": STIFF_ENOUGH}.get(name):
            otherwise = "enough; the stock wing bears more"
        return otherwise if f"limits.{key}" in assumed else SAID
    if name in BY_PART:
        return f"{BY_PART[name]}, assumed" if BY_PART[name] in assumed else BY_PART[name]
    if name == "full_speed" and "fly.never_exceed_speed" in assumed:
        return "never-exceed speed, assumed, over 1.2"
    if name == "slowest_flight":
        launch = limit.words == "stall at launch speed"
        return "fly.launch_speed" if launch else f"{study.limits.stall_speed_ratio:g} times the stock wing's"
    if name in ("roll_control", "pitch_control"):
        return f"{study.limits.control_speed_share:g} of the stock wing's speed"
    if name == "twist_off_share":
        return PRACTICE if limit.bound <= MOST_FEEDBACK else "the stock wing"
    if name in SHARES:
        return f"{getattr(study.limits, SHARES[name]):g} of the stock wing's"
    if name.startswith("strength_"):
        return "what the stock wing uses" if limit.bound > 1 / SAFETY_FACTOR + 1e-9 else "safety factor of 1.5"
    if name in ("pack_forward", "pack_aft"):
        return f"the bay {pack_bay(study).name}"
    return FIXED.get(name, SAID)
