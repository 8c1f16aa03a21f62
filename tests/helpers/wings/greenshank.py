"""The Greenshank: an invented wing cut anew at 1.6 m, with carbon rods, a tube as joiner, a nose bay and a gear bay.

Every number is made up.
"""

from pathlib import Path

from helpers.edited import edited

BUILT = {"span": "1600 mm", "sweep": "23.5 deg", "washout": "2.5 deg"}  # the stretched wing that the tests draw
TEXT = """
[study]
name = "Greenshank"
[stock]
span = "1310 mm"
centre_width = "110 mm"
root_chord = "322 mm"
tip_chord = "182 mm"
tip_set_back = "290 mm"
washout = "1.8 deg"
airfoil = "mh60"
airfoil_covers = "whole"
root_thickness = "52 mm"
tip_thickness = "29 mm"
flying_weight = "1690 g"
balance_from_nose = "184 mm"
[elevon]
root_chord = "48 mm"
tip_chord = "34 mm"
inner_end = "90 mm"
outer_end = "625 mm"
thickness = "6 mm"
material = "balsa"
[[fin]]
height = "145 mm"
root_chord = "134 mm"
tip_chord = "88 mm"
set_back = "62 mm"
behind_leading_edge = "12 mm"
material = "corrugated sheet 3 mm"
[foam]
material = "EPP 30"
[covering]
material = "laminating film 38 um"
[[rods]]
name = "main"
material = "carbon"
diameter = "3 mm"
pairs = 2
chord_fraction = 0.27
inner_end = "75 mm"
outer_end = "590 mm"
slot_depth = "5 mm"
at_centre = "ends"
[[rods]]
name = "rear"
material = "carbon"
diameter = "2 mm"
chord_fraction = 0.88
tip_chord_fraction = 0.62
inner_end = "45 mm"
outer_end = "560 mm"
slot_depth = "4 mm"
at_centre = "ends"
[joiner]
material = "carbon tube, rolled"
diameter = "10 mm"
inside_diameter = "8 mm"
length = "420 mm"
from_nose = "226 mm"
[[bay]]
name = "nose"
cut_to_pack = false
from_nose = "44 mm"
length = "164 mm"
width = "108 mm"
depth = "24 mm"
[[bay]]
name = "gear"
from_nose = "242 mm"
length = "30 mm"
width = "70 mm"
depth = "13 mm"
[[pocket]]
name = "servo"
from_centre = "260 mm"
along_span = "26 mm"
from_leading_edge = "145 mm"
length = "25 mm"
depth = "13 mm"
[linkage]
servo_torque = "2.4 kg cm"
servo_arm = "11 mm"
horn = "15 mm"
[pack]
cell = "18650 3.5 Ah"
series = 5
parallel = 2
cells_across = 5
cells_high = 1
bay = "nose"
from_nose = "118 mm"
[motor]
size = "35 mm"
mass = "112 g"
speed_constant = "590 rpm/V"
maximum_current = "30 A"
from_nose = "366 mm"
[controller]
mass = "34 g"
maximum_current = "45 A"
throttle_cap = "95 %"
from_nose = "258 mm"
[propeller]
size = "9x6"
mass = "17 g"
from_nose = "398 mm"
[[equipment]]
name = "receiver"
kind = ["radio receiver"]
mass = "15 g"
from_nose = "257 mm"
size = ["24 mm", "18 mm", "9 mm"]
power = "0.5 W"
[[equipment]]
name = "servos"
mass = "44 g"
from_nose = "255 mm"
from_centre = "260 mm"
side = "both"
power = "1 W"
[stretch]
scheme = "scaled"
span = ["1310 mm", "1640 mm"]
sweep = ["16 deg", "28 deg"]
washout = ["1.5 deg", "4 deg"]
fins = "hold_volume"
rod_length_sold = "1000 mm"
[fly]
launch_speed = "46 km/h"
never_exceed_speed = "112 km/h"
pull_up = 3.0
[limits]
climb = "1.5 m/s"
control_speed_share = 0.7
"""


def written(folder: Path, *edits: tuple[str, str]) -> Path:
    """Write the Greenshank's study with a few parts of its text changed, and return its path."""
    path = folder / "greenshank.toml"
    path.write_text(edited(TEXT, *edits), encoding="utf-8")
    return path
