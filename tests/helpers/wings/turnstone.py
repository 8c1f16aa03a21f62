"""The Turnstone: an invented small wing on which no two ratings, sizes or shares are equal.

So a test notices if one is used in place of another. Every number is made up.
"""

from concurrent.futures import Future
from dataclasses import replace
from pathlib import Path

import numpy as np
from helpers.edited import edited

TEXT = """
[stock]
span = "980 mm"
root_chord = "300 mm"
tip_chord = "190 mm"
tip_set_back = "190 mm"
washout = "2.5 deg"
airfoil = "mh60"
airfoil_covers = "whole"
root_thickness = "47 mm"
flying_weight = "980 g"
balance_from_nose = "142 mm"

[elevon]
root_chord = "36 mm"
tip_chord = "31 mm"
inner_end = "66 mm"
outer_end = "470 mm"
thickness = "5 mm"
material = "balsa"

[linkage]
servo_torque = "19 N cm"
servo_arm = "11 mm"
horn = "16 mm"

[[fin]]
height = "105 mm"
root_chord = "115 mm"
tip_chord = "72 mm"
set_back = "44 mm"
behind_leading_edge = "24 mm"
material = "corrugated sheet 2 mm"

[foam]
material = "EPP 30"

[covering]
material = "laminating film 38 um"

[[rods]]                               # bought in steps; the shorter ones
name = "main"
material = "glass"
diameter = "3 mm"
pairs = 1
chord_fraction = 0.28
outer_end = "340 mm"
slot_depth = "4.5 mm"
at_centre = "lap"

[[rods]]
name = "rear"
material = "carbon"
diameter = "1.5 mm"
pairs = 1
chord_fraction = 0.62
inner_end = "10 mm"
outer_end = "455 mm"
slot_depth = "3 mm"

[[bay]]                                # not the pack's
name = "camera"
from_nose = "15 mm"
length = "24 mm"
width = "33 mm"
depth = "11 mm"

[[bay]]
name = "belly"
from_nose = "46 mm"
length = "157 mm"
width = "61 mm"
depth = "23 mm"
cut_to_pack = false

[pack]
cell = "18650 2.5 Ah"
series = 3
parallel = 2
capacity = "4900 mAh"
cells_across = 3
cells_high = 1
maximum_current = "38 A"
connector_current = "47 A"
cut_off = "2.9 V"
bay = "belly"
from_nose = "122 mm"

[motor]
size = "22 mm"
mass = "61 g"
speed_constant = "1150 rpm/V"
maximum_current = "23 A"
from_nose = "327 mm"

[controller]
mass = "27 g"
maximum_current = "34 A"
throttle_cap = "93 %"
from_nose = "225 mm"

[propeller]
size = "8x5"
mass = "13 g"
from_nose = "348 mm"

[[equipment]]
name = "receiver"
mass = "19 g"
from_nose = "32 mm"
power = "0.7 W"
may_move = ["18 mm", "36 mm"]

[[equipment]]
name = "servos"
mass = "31 g"
from_nose = "211 mm"
power = "1.2 W"

[[drag_item]]
kind = "grip"
drag_area = "14 cm2"

[[motor_choice]]
name = "wide"
size = "35 mm"
mass = "96 g"
speed_constant = "870 rpm/V"
maximum_current = "29 A"

[[pack_choice]]
name = "flat"
cell = "pouch 2.2 Ah"
series = 4
parallel = 3
cells_across = 1
cells_high = 3
capacity = "4500 mAh"
maximum_current = "52 A"

[[pack_choice]]                            # as long and as high as the stock pack, and wider than the bay
name = "broad"
cell = "18650 2.5 Ah"
series = 4
parallel = 2
cells_across = 4

[stretch]
scheme = "scaled"
keep = "sweep_angle"
span = ["980 mm", "1370 mm"]
fins = "hold_volume"
rod_length_sold = "560 mm"

[choices]
parallel = [2, 3]
rod_diameter = ["2 mm", "3 mm"]
rod_pairs = [1, 2]
propeller = ["8x5", "8x6"]

[fly]
reserve = "22 %"
launch_speed = "9.46 m/s"
never_exceed_speed = "128 km/h"
pull_up = 4.4
push_over = -1.7
gust_cruise = "3.5 m/s"
gust_full_speed = "2.3 m/s"

[limits]
up_elevon = "7.5 deg"
climb = "2.6 m/s"
flying_weight = "1.63 kg"
failure_load_factor = 5.3
tip_deflection = "2.9 %"
tips_left = "3.1 %"
stall_speed_ratio = 1.17
fin_volume_share = 0.86
yaw_stiffness_share = 0.77
roll_rate_share = 0.71
control_speed_share = 0.83
"""


def written(folder: Path, *edits: tuple[str, str]) -> Path:
    """Write the Turnstone's study with a few parts of its text changed, and return its path."""
    path = folder / "turnstone.toml"
    path.write_text(edited(TEXT, *edits), encoding="utf-8")
    return path


class KnownResults:
    """A task engine with known results: the function ``gain(choice, variables)``, None if a wing violates limits.

    A branch with relaxed rods gains ``RELAXED`` more than its best member. The engine keeps its ``tasks`` in a list.
    """

    workers = 1
    RELAXED = 500.0  # m of range

    def __init__(self, space, gain):
        self.space, self.gain, self.tasks = space, gain, []

    def submit(self, function, task):
        """Return the result at once."""
        self.tasks.append(task)
        found: Future = Future()
        found.set_result(self.answer(task))
        return found

    def send_shared_data(self, room):
        """Do nothing: the engine needs no shared data."""

    def close(self):
        """Do nothing: no task is running."""

    def answer(self, task):
        """Return the result of a search task at the variables where it starts."""
        variables = task.starts[0] | (task.fixed or {})
        gain = self.gain(task.choice, variables)
        if task.relaxed:
            known = [
                self.gain(choice, variables)
                for choice in self.space.choices
                if (choice.model_key, choice.pack_key) == (task.choice.model_key, task.choice.pack_key)
            ]
            gain = max((each + self.RELAXED for each in known if each is not None), default=None)
        return answer_of(self.space, task.choice, variables, gain)


def answer_of(space, choice, variables, gain):
    """Return a result with this gain [m] and all margins zero. If ``gain`` is None, it violates every limit."""
    from tradestudy.search.search_task import SearchResult

    reach, margin = (gain, 0.0) if gain is not None else (1.0, -0.1)
    margins = {limit.name: np.full(1, margin) for limit in space.limits(choice)}
    return SearchResult(
        choice,
        variables,
        reach,
        reach,
        margins,
        [],
        gain is not None,
        1,
        1.0,
        {"range": reach, "flying_weight": 1.0, "span": 0.98 + 2 * variables["extension"]},
    )


def space_with_known_results(space, gain):
    """Return the search space with an engine of known results and without a record."""
    own = replace(space, record=None, engine=None)
    own.engine = KnownResults(own, gain)
    return own
