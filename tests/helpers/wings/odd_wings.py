"""Invented odd wings: without rods, with fins inboard only, straight, without bays and so on. Every number is made up.

``TEXT`` is the plainest of them: foam and film alone. ``ODD`` names the others, each with its study text.
"""

from pathlib import Path

from helpers.edited import edited

TEXT = """
[stock]
span = "1240 mm"
root_chord = "310 mm"
tip_chord = "170 mm"
tip_set_back = "235 mm"
washout = "2 deg"
airfoil = "mh60"
airfoil_covers = "whole"
root_thickness = "46 mm"
flying_weight = "1150 g"
balance_from_nose = "158 mm"

[elevon]
root_chord = "45 mm"
tip_chord = "30 mm"
inner_end = "80 mm"
outer_end = "600 mm"
thickness = "6 mm"
material = "balsa"

[[fin]]
height = "110 mm"
root_chord = "140 mm"
tip_chord = "80 mm"
set_back = "50 mm"
behind_leading_edge = "30 mm"
material = "corrugated sheet 2 mm"

[foam]
material = "EPP 20"

[covering]
material = "laminating film 38 um"

[[bay]]
name = "belly"
from_nose = "50 mm"
length = "150 mm"
width = "60 mm"
depth = "23 mm"

[pack]
cell = "18650 2.5 Ah"
series = 3
parallel = 2
cells_across = 3
cells_high = 1
bay = "belly"
from_nose = "125 mm"

[motor]
size = "28 mm"
mass = "75 g"
speed_constant = "1050 rpm/V"
maximum_current = "28 A"
from_nose = "330 mm"

[controller]
mass = "30 g"
maximum_current = "40 A"
from_nose = "200 mm"

[propeller]
size = "9x6"
mass = "15 g"
from_nose = "350 mm"

[[equipment]]
name = "receiver"
mass = "20 g"
from_nose = "190 mm"
power = "0.8 W"

[stretch]
scheme = "scaled"
span = ["1240 mm", "1640 mm"]

[choices]
propeller = ["9x6"]

[fly]
never_exceed_speed = "110 km/h"
"""

JOINER = """
[joiner]
material = "glass"
diameter = "6 mm"
length = "500 mm"
"""
TOP_ROD = """
[[rods]]
name = "top"
material = "carbon"
diameter = "3 mm"
pairs = 1
surface = "top"
chord_fraction = 0.3
outer_end = "450 mm"
at_centre = "lap"
"""
_BAY = TEXT[TEXT.index("[[bay]]") : TEXT.index("[pack]")]
_PACK_IN_BAY = 'bay = "belly"\n'
_PACK_PLACE = 'from_nose = "125 mm"\n'

ODD = {
    "foam alone": TEXT,
    "joiner": TEXT + JOINER,
    "inboard fins": edited(TEXT, ("[[fin]]", '[[fin]]\nfrom_centre = "300 mm"')),
    "straight": edited(
        TEXT,
        ('tip_set_back = "235 mm"', 'tip_set_back = "0 mm"'),
        ('balance_from_nose = "158 mm"', 'balance_from_nose = "62 mm"'),
    ),
    "plug": edited(TEXT, ('scheme = "scaled"', 'scheme = "plug"')),
    "tip": edited(TEXT, ('scheme = "scaled"', 'scheme = "tip"')),
    "no bays": edited(TEXT, (_BAY, ""), (_PACK_IN_BAY, ""), (_PACK_PLACE, "")),
    "dihedral and centre piece": edited(TEXT, ("[stock]", '[stock]\ndihedral = "5 deg"\ncentre_width = "120 mm"')),
    "rods at the top": TEXT + TOP_ROD,
}


def written(folder: Path, name: str, *edits: tuple[str, str]) -> Path:
    """Write the study of an odd wing with a few parts of its text changed, and return its path."""
    path = folder / f"{name.replace(' ', '_')}.toml"
    path.write_text(edited(ODD[name], *edits), encoding="utf-8")
    return path
