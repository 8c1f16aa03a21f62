"""The Plover: an invented wing with two pairs of rods, rods across the centre, a joiner, two bays and a motor slot.

Its pack fits into its bay. Every number is made up.
"""

from pathlib import Path

from helpers.edited import edited

SPAN = "1320 mm"  # span of the stretched wing that the tests draw
TEXT = """
[stock]
span = "1250 mm"
centre_width = "80 mm"
root_chord = "325 mm"
tip_chord = "170 mm"
tip_set_back = "280 mm"
washout = "2 deg"
airfoil = "mh60"
airfoil_covers = "whole"
root_thickness = "50 mm"
tip_thickness = "26 mm"
flying_weight = "1750 g"
balance_from_nose = "183 mm"
[elevon]
root_chord = "45 mm"
tip_chord = "30 mm"
inner_end = "80 mm"
outer_end = "600 mm"
thickness = "6 mm"
material = "balsa"
[[fin]]
height = "130 mm"
root_chord = "150 mm"
tip_chord = "90 mm"
set_back = "60 mm"
behind_leading_edge = "30 mm"
material = "corrugated sheet 2 mm"
[foam]
material = "EPP 30"
[covering]
material = "laminating film 38 um"
[[rods]]
name = "main"
material = "carbon"
diameter = "3 mm"
pairs = 2
chord_fraction = 0.40
outer_end = "590 mm"
slot_depth = "5 mm"
at_centre = "cross over"
[[rods]]
name = "rear"
material = "carbon"
diameter = "2 mm"
pairs = 1
chord_fraction = 0.78
inner_end = "10 mm"
outer_end = "560 mm"
slot_depth = "4 mm"
at_centre = "lap"
[joiner]
material = "carbon"
diameter = "8 mm"
length = "400 mm"
from_nose = "230 mm"
[[bay]]
name = "main"
from_nose = "45 mm"
length = "170 mm"
width = "120 mm"
depth = "26 mm"
divider = "2 mm"
cut_to_pack = false
[[bay]]
name = "rear"
from_nose = "248 mm"
length = "36 mm"
width = "60 mm"
depth = "10 mm"
[[pocket]]
name = "servo"
from_centre = "250 mm"
along_span = "24 mm"
from_leading_edge = "150 mm"
length = "24 mm"
depth = "12 mm"
[pack]
cell = "21700 5.0 Ah"
series = 4
parallel = 2
cells_across = 4
cells_high = 1
bay = "main"
from_nose = "123 mm"
[motor]
size = "28 mm"
mass = "92 g"
speed_constant = "1000 rpm/V"
maximum_current = "30 A"
from_nose = "375 mm"
mount_slot = "22 mm"
mount_slot_width = "30 mm"
[controller]
mass = "38 g"
maximum_current = "40 A"
from_nose = "265 mm"
[propeller]
size = "10x6"
mass = "18 g"
from_nose = "400 mm"
[[equipment]]
name = "camera"
mass = "40 g"
from_nose = "28 mm"
power = "3 W"
[[equipment]]
name = "receiver and GPS"
mass = "40 g"
from_nose = "255 mm"
power = "1 W"
[[equipment]]
name = "servos"
mass = "50 g"
from_nose = "300 mm"
power = "1 W"
[stretch]
fins = "hold_volume"
scheme = "scaled"
keep = "sweep_angle"
span = ["1250 mm", "1700 mm"]
rod_length_sold = "1 m"
[fly]
launch_speed = "12.1 m/s"
never_exceed_speed = "145 km/h"
"""


def written(folder: Path, *edits: tuple[str, str]) -> Path:
    """Write the Plover's study with a few parts of its text changed, and return its path."""
    path = folder / "plover.toml"
    path.write_text('[study]\nname = "Plover"\n' + edited(TEXT, *edits), encoding="utf-8")
    return path
