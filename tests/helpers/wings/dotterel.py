"""The Dotterel: an invented wing with things in the nose, in a rear bay and in the panels, each with a size and a kind.

Every number is made up. Its rods are of glass, and its one carbon part is the joiner, so that distances are easy to
follow by hand.
"""

from pathlib import Path

from helpers.edited import edited

TEXT = """
[study]
name = "Dotterel"
[stock]
span = "1280 mm"
centre_width = "160 mm"
root_chord = "318 mm"
tip_chord = "178 mm"
tip_set_back = "240 mm"
washout = "2 deg"
airfoil = "mh60"
airfoil_covers = "whole"
root_thickness = "53 mm"
tip_thickness = "28 mm"
flying_weight = "1990 g"
balance_from_nose = "158 mm"
[elevon]
root_chord = "44 mm"
tip_chord = "32 mm"
inner_end = "95 mm"
outer_end = "610 mm"
thickness = "6 mm"
material = "balsa"
[[fin]]
height = "140 mm"
root_chord = "155 mm"
tip_chord = "90 mm"
set_back = "60 mm"
behind_leading_edge = "12 mm"
material = "corrugated sheet 3 mm"
[foam]
material = "EPP 30"
[covering]
material = "laminating film 38 um"
[[rods]]
name = "main"
material = "glass"
diameter = "3 mm"
pairs = 2
chord_fraction = 0.30
inner_end = "85 mm"
outer_end = "600 mm"
slot_depth = "5 mm"
at_centre = "ends"
[[rods]]
name = "rear"
material = "glass"
diameter = "2 mm"
chord_fraction = 0.94
tip_chord_fraction = 0.80
outer_end = "520 mm"
slot_depth = "4 mm"
at_centre = "lap"
[joiner]
material = "carbon"
diameter = "8 mm"
length = "360 mm"
from_nose = "224 mm"
[[bay]]
name = "nose"
cut_to_pack = false
from_nose = "42 mm"
length = "168 mm"
width = "136 mm"
depth = "25 mm"
[[bay]]
name = "rear"
from_nose = "240 mm"
length = "24 mm"
width = "60 mm"
depth = "12 mm"
[pack]
cell = "18650 2.5 Ah"
series = 4
parallel = 2
cells_across = 4
bay = "nose"
from_nose = "124 mm"
[motor]
size = "28 mm"
mass = "105 g"
speed_constant = "780 rpm/V"
maximum_current = "32 A"
from_nose = "362 mm"
[controller]
mass = "36 g"
maximum_current = "40 A"
from_nose = "282 mm"
[propeller]
size = "9x5"
mass = "16 g"
from_nose = "392 mm"
[[equipment]]
name = "camera"
kind = "camera"
mass = "70 g"
from_nose = "14 mm"
power = "3 W"
[[equipment]]
name = "autopilot"
kind = "autopilot"
mass = "28 g"
from_nose = "252 mm"
size = ["22 mm", "36 mm", "10 mm"]
power = "1 W"
[[equipment]]
name = "satellites"
kind = ["GPS", "compass"]
mass = "16 g"
from_nose = "186 mm"
from_centre = "300 mm"
side = "right"
[[equipment]]
name = "sender"
kind = ["video transmitter", "video antenna"]
mass = "34 g"
from_nose = "196 mm"
from_centre = "420 mm"
side = "left"
size = ["38 mm", "26 mm", "9 mm"]
power = "5 W"
[[equipment]]
name = "control link"
kind = ["radio receiver", "antenna"]
mass = "14 g"
from_nose = "232 mm"
from_centre = "470 mm"
side = "right"
size = ["30 mm", "20 mm", "8 mm"]
[[equipment]]
name = "servos"
mass = "40 g"
from_nose = "205 mm"
from_centre = "270 mm"
side = "both"
power = "1 W"
[stretch]
scheme = "scaled"
span = ["1280 mm", "1640 mm"]
rod_length_sold = "1000 mm"
[fly]
launch_speed = "49.5 km/h"
never_exceed_speed = "130 km/h"
pull_up = 3.0
[limits]
climb = "1.2 m/s"
"""


def written(folder: Path, *edits: tuple[str, str]) -> Path:
    """Write the Dotterel's study with a few parts of its text changed, and return its path."""
    path = folder / "dotterel.toml"
    path.write_text(edited(TEXT, *edits), encoding="utf-8")
    return path
