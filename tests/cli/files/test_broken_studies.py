"""Study files with errors: each mistake that a builder may make, and the complete message for it.

Each case is a small edit (old text, new text) of one valid study. The expected message is compared completely.
"""

import random
import shutil
from pathlib import Path

import pytest
from helpers.edited import edited
from helpers.places import STUDIES
from hypothesis import given, seed, settings
from hypothesis import strategies as st

from tradestudy import catalogue
from tradestudy.__main__ import main
from tradestudy.commands import room_inside
from tradestudy.errors import StudyFileError
from tradestudy.study.reader import read_study
from tradestudy.study.schema.study import Study

SMALL = """\
[study]
name = "Plover"

[stock]
span = "1000 mm"
root_chord = "200 mm"
tip_chord = "140 mm"
tip_set_back = "180 mm"
washout = "2 deg"
airfoil = "mh60"
airfoil_covers = "whole"
root_thickness = "40 mm"
flying_weight = "900 g"
balance_from_nose = "110 mm"

[elevon]
root_chord = "40 mm"
tip_chord = "30 mm"
inner_end = "60 mm"
outer_end = "480 mm"
thickness = "5 mm"
material = "balsa"

[foam]
material = "EPP 30"

[covering]
material = "laminating film 38 um"

[[rods]]
name = "main"
material = "glass"
diameter = "3 mm"
chord_fraction = 0.3
outer_end = "450 mm"
at_centre = "lap"

[joiner]
material = "carbon"
diameter = "6 mm"
length = "300 mm"

[[bay]]
name = "nose"
from_nose = "40 mm"
length = "85 mm"
width = "80 mm"
depth = "24 mm"

[pack]
cell = "18650 3.5 Ah"
series = 4
parallel = 1
cells_across = 4
bay = "nose"
from_nose = "82 mm"

[motor]
size = "22 mm"
mass = "60 g"
speed_constant = "1200 rpm/V"
maximum_current = "20 A"
from_nose = "250 mm"

[controller]
mass = "30 g"
maximum_current = "30 A"
from_nose = "170 mm"

[propeller]
size = "8x6"
mass = "12 g"
from_nose = "280 mm"

[[equipment]]
name = "servos"
mass = "30 g"
from_nose = "160 mm"

[[drag_item]]
kind = "motor mount"

[stretch]
scheme = "scaled"
can_cut_cores = true
span = ["1000 mm", "1400 mm"]
sweep = ["15 deg", "30 deg"]

[choices]
rod_diameter = ["3 mm", "4 mm"]

[fly]
launch_speed = "40 km/h"
never_exceed_speed = "120 km/h"

[limits]
static_margin = ["5 %", "12 %"]
"""

# The tests have their own catalogue, so that a new part in the real one does not change a message here.
CATALOGUE = {
    "rods": '[glass]\nyoungs_modulus = "40 GPa"\ntensile_strength = "690 MPa"\ncompressive_strength = "414 MPa"\n'
    "[carbon]\n",
    "foams": '["EPP 20"]\n["EPP 30"]\n',
    "coverings": '["laminating film 38 um"]\n',
    "sheets": "[balsa]\n",
    "cells": '["18650 3.5 Ah"]\ndiameter = "18.6 mm"\nlength = "65.3 mm"\nmass = "49 g"\n'
    'chemistry = "lithium-ion"\ncapacity = "3400 mAh"\nresistance = "65 mohm"\n',
    "motor_classes": '["22 mm"]\n',
    "drag_items": '["motor mount"]\nwidth = ["40 mm", "5 mm", "120 mm"]\nheight = ["25 mm", "5 mm", "120 mm"]\n'
    '[whip]\nlength = ["120 mm", "10 mm", "1000 mm"]\nlean = ["0 deg", "0 deg", "60 deg"]\n',
}

STRAIGHT = 'root_chord = "40 mm"\ntip_chord = "30 mm"\ninner_end = "60 mm"\nouter_end = "480 mm"\n'


def fin(keys: str) -> str:
    """Return a [[fin]] table of three lines, followed by ``keys``."""
    return f'[[fin]]\nheight = "90 mm"\n{keys}\nroot_chord = "90 mm"\nmaterial = "balsa"\n\n'


CASES = [
    (
        "a unit slip in the span",
        [('"1000 mm"\nroot', '"56 mm"\nroot')],
        [(5, 'stock.span is "56 mm"; allowed is 300 mm to 4000 mm. Is that 56 in?')],
    ),
    (
        "a unit slip in the weight",
        [('"900 g"', '"32 g"')],
        [(13, 'stock.flying_weight is "32 g"; allowed is 100 g to 10 kg. Is that 32 oz?')],
    ),
    (
        "a bare number where a unit is needed",
        [('span = "1000 mm"\nroot', "span = 1000\nroot")],
        [(5, "stock.span is 1000, without a unit; write it in quotes with mm, cm, m, in or ft. Is that 1000 mm?")],
    ),
    (
        "a number in quotes without its unit",
        [('root_chord = "200 mm"', 'root_chord = "200"')],
        [
            (
                6,
                'stock.root_chord is "200", without a unit; write it in quotes with mm, cm, m, in or ft. Is'
                " that 200 mm?",
            )
        ],
    ),
    (
        "a unit of another kind",
        [('tip_chord = "140 mm"', 'tip_chord = "140 g"')],
        [(7, 'stock.tip_chord is "140 g", a mass; give a length, in mm, cm, m, in or ft.')],
    ),
    (
        "a unit nobody knows",
        [('tip_set_back = "180 mm"', 'tip_set_back = "7 inc"')],
        [(8, 'stock.tip_set_back is "7 inc"; "inc" is not a known unit; use mm, cm, m, in or ft. Did you mean in?')],
    ),
    (
        "a comma that may be one of thousands",
        [('washout = "2 deg"', 'washout = "2,500 deg"')],
        [(9, 'stock.washout is "2,500 deg"; write a decimal point, not a comma: "2.500 deg".')],
    ),
    (
        "words for a number",
        [('root_thickness = "40 mm"', 'root_thickness = "thick"')],
        [(12, 'stock.root_thickness is "thick"; write a length as a number and its unit (mm, cm, m, in or ft).')],
    ),
    (
        "a list for a length",
        [('root_thickness = "40 mm"', 'root_thickness = ["40 mm"]')],
        [(12, "stock.root_thickness is a list; write a length in quotes with its unit (mm, cm, m, in or ft).")],
    ),
    (
        "a value without quotes",
        [('span = "1000 mm"\nroot', "span = 1000 mm\nroot")],
        [(5, 'span needs quotes around its value: span = "1000 mm"')],
    ),
    (
        "a word without quotes",
        [('airfoil = "mh60"', "airfoil = mh60")],
        [(10, 'airfoil needs quotes around its value: airfoil = "mh60"')],
    ),
    (
        "True with a capital",
        [('depth = "24 mm"', 'depth = "24 mm"\nthrough = True')],
        [(49, "through is True; write true in small letters.")],
    ),
    (
        "a text for true",
        [('depth = "24 mm"', 'depth = "24 mm"\nthrough = "yes"')],
        [(49, 'bay[1].through is "yes"; write true or false, without quotes.')],
    ),
    (
        "an open quote",
        [('name = "Plover"', 'name = "Plover')],
        [(2, 'A quote (") is opened on this line and not closed.')],
    ),
    (
        "a key given twice",
        [('washout = "2 deg"', 'washout = "2 deg"\nwashout = "3 deg"')],
        [(10, "This key is given a second time; keep one of the two.")],
    ),
    (
        "a table given twice",
        [("[foam]", "[stock]\n[foam]")],
        [(24, "This table is given a second time; keep one, or write both in [[double brackets]].")],
    ),
    (
        "a misspelt key near a missing one",
        [("tip_set_back =", "tip_setback =")],
        [(8, "stock.tip_setback is not a known key. Did you mean tip_set_back?")],
    ),
    (
        "a misspelt optional key",
        [("[foam]", "effectivness = 0.7\n[foam]")],
        [(24, "elevon.effectivness is not a known key. Did you mean effectiveness?")],
    ),
    (
        "a key of another table",
        [("[foam]", 'launch_speed = "40 km/h"\n[foam]')],
        [(24, "elevon.launch_speed is not a known key. It belongs in [fly].")],
    ),
    ("a key like nothing known", [("[foam]", 'colour = "red"\n[foam]')], [(24, "elevon.colour is not a known key.")]),
    (
        "a missing key",
        [('flying_weight = "900 g"\n', "")],
        [(4, "stock.flying_weight is missing: all-up weight, ready to fly with the stock pack (100 g to 10 kg).")],
    ),
    ("a misspelt table", [("[elevon]", "[elevom]")], [(16, "[elevom] is not a known table. Did you mean elevon?")]),
    (
        "a missing table",
        [
            (
                '[stretch]\nscheme = "scaled"\ncan_cut_cores = true\nspan = ["1000 mm", "1400 mm"]\n'
                'sweep = ["15 deg", "30 deg"]\n',
                "",
            )
        ],
        [(1, "[stretch] is missing; it needs scheme, span.")],
    ),
    (
        "a key before any table",
        [("[study]\n", 'reserve = "20 %"\n[study]\n')],
        [(1, "reserve is outside any table. It belongs in [fly].")],
    ),
    (
        "single brackets for an array",
        [("[[bay]]", "[bay]")],
        [(43, "bay is one table; write [[bay]] in double brackets, once for each.")],
    ),
    (
        "double brackets for one table",
        [("[motor]", "[[motor]]")],
        [(58, "motor is a list of tables; write [motor] once, with its keys below it.")],
    ),
    (
        "a value in place of a table",
        [("[study]\n", 'foam = "EPP 30"\n[study]\n'), ('[foam]\nmaterial = "EPP 30"\n', "")],
        [(1, 'foam is "EPP 30"; write [foam] once, with its keys below it.')],
    ),
    (
        "a plain list for an array of tables",
        [("[study]\n", "fin = [1, 2]\n[study]\n")],
        [(1, "fin is a list; write [[fin]] in double brackets, once for each.")],
    ),
    (
        "a list in place of a table",
        [("[study]\n", "foam = [1]\n[study]\n"), ('[foam]\nmaterial = "EPP 30"\n', "")],
        [(1, "foam is a list; write [foam] once, with its keys below it.")],
    ),
    (
        "an empty list for what must be there",
        [("[study]\n", "foam = []\n[study]\n"), ('[foam]\nmaterial = "EPP 30"\n', "")],
        [(1, "foam is a list; write [foam] once, with its keys below it.")],
    ),
    (
        "a tip chord wider than the root",
        [('tip_chord = "140 mm"', 'tip_chord = "240 mm"')],
        [(7, "stock.tip_chord is 240 mm, wider than stock.root_chord (200 mm). Are the two swapped?")],
    ),
    (
        "a centre piece wider than the span",
        [('washout = "2 deg"', 'washout = "2 deg"\ncentre_width = "1000 mm"')],
        [(10, "stock.centre_width is 1000 mm; it must be less than stock.span (1000 mm).")],
    ),
    (
        "elevon ends swapped",
        [('inner_end = "60 mm"', 'inner_end = "480 mm"'), ('outer_end = "480 mm"', 'outer_end = "60 mm"')],
        [(19, "elevon.inner_end is 480 mm; it must be less than elevon.outer_end (60 mm).")],
    ),
    (
        "fins taller than a half wing is long",
        [
            (
                '[foam]\nmaterial = "EPP 30"',
                '[foam]\nmaterial = "EPP 30"\n\n[[fin]]\nheight = "520 mm"\nmaterial = "balsa"',
            )
        ],
        [(28, "fin[1].height is 520 mm, more than 500 mm, half of stock.span.")],
    ),
    (
        "a chord of nothing",
        [('root_chord = "200 mm"', 'root_chord = "0 mm"')],
        [(6, 'stock.root_chord is "0 mm"; allowed is 50 mm to 800 mm.')],
    ),
    (
        "an elevon beyond the tip",
        [('outer_end = "480 mm"', 'outer_end = "510 mm"')],
        [(20, "elevon.outer_end is 510 mm, beyond the tip: half of stock.span is 500 mm.")],
    ),
    (
        "an elevon wider than the foam",
        [('tip_chord = "30 mm"', 'tip_chord = "150 mm"')],
        [(18, "elevon.tip_chord is 150 mm, wider than the foam there (stock.tip_chord, 140 mm).")],
    ),
    (
        "an elevon thicker than the wing",
        [
            ('thickness = "5 mm"\nmaterial', 'thickness = "30 mm"\nmaterial'),
            ('root_thickness = "40 mm"', 'root_thickness = "29 mm"'),
        ],
        [(21, "elevon.thickness is 30 mm; it must be less than stock.root_thickness (29 mm).")],
    ),
    (
        "a balance mark far behind",
        [('balance_from_nose = "110 mm"', 'balance_from_nose = "230 mm"')],
        [
            (
                14,
                "stock.balance_from_nose is 230 mm, at 70 % of the mean chord; a wing of this outline flies with"
                " 64.2 mm to 157.3 mm at most. Measure it from the leading edge on the centre line.",
            )
        ],
    ),
    (
        "an elevon given in two ways",
        [("[elevon]\n", '[elevon]\noutline = [["60 mm", "40 mm"], ["480 mm", "30 mm"]]\n')],
        [
            (18, "elevon.root_chord and elevon.outline give the same thing; remove one of them."),
            (19, "elevon.tip_chord and elevon.outline give the same thing; remove one of them."),
            (20, "elevon.inner_end and elevon.outline give the same thing; remove one of them."),
            (21, "elevon.outer_end and elevon.outline give the same thing; remove one of them."),
        ],
    ),
    (
        "an outline beside the short elevon chord",
        [
            (STRAIGHT, 'outline = [["60 mm", "40 mm"], ["480 mm", "30 mm"]]\n'),
            ("tip_set_back", 'elevon_chord = "40 mm"\nfin_height = "0 mm"\ntip_set_back'),
        ],
        [(8, "stock.elevon_chord and elevon.outline give the same thing; remove one of them.")],
    ),
    (
        "the points of an outline from the tip inward",
        [(STRAIGHT, 'outline = [["480 mm", "30 mm"], ["60 mm", "40 mm"]]\n')],
        [
            (
                17,
                "elevon.outline[2] lies 60 mm from the centre line, inside the one before (480 mm); "
                "write the points from the inner to the outer end.",
            )
        ],
    ),
    (
        "two points of an outline at one place",
        [(STRAIGHT, 'outline = [["60 mm", "40 mm"], ["60 mm", "36 mm"], ["480 mm", "30 mm"]]\n')],
        [
            (
                17,
                "elevon.outline[2] lies 60 mm from the centre line, the one before at 60 mm; leave at least 5 mm"
                " between them, or remove one.",
            )
        ],
    ),
    (
        "an outline beyond the tip, and deeper than the foam",
        [(STRAIGHT, 'outline = [["60 mm", "40 mm"], ["300 mm", "180 mm"], ["510 mm", "30 mm"]]\n')],
        [
            (17, "elevon.outline[2] has a chord of 180 mm, wider than the foam there (164 mm)."),
            (17, "elevon.outline[3] lies 510 mm from the centre line, beyond the tip: half of stock.span is 500 mm."),
        ],
    ),
    (
        "an outline of one point",
        [(STRAIGHT, 'outline = [["60 mm", "40 mm"]]\n')],
        [
            (
                17,
                "elevon.outline has 1 value; write 2 to 6 points in brackets, each [station from the centre "
                "line, chord behind the foam].",
            )
        ],
    ),
    (
        "a point of one value, and one without its unit",
        [(STRAIGHT, 'outline = [["60 mm"], ["480 mm", 30]]\n')],
        [
            (
                17,
                "elevon.outline[1] is a list; write two values in brackets, [station from the centre line, chord"
                " behind the foam].",
            ),
            (
                17,
                "elevon.outline[2] is 30, without a unit; write it in quotes with mm, cm, m, in or ft. Is that 30 mm?",
            ),
        ],
    ),
    (
        "fins beyond the tip, on the centre line, and in one another",
        [
            (
                "[foam]\n",
                fin('from_centre = "495 mm"')
                + fin('from_centre = "200 mm"')
                + fin('from_centre = "204 mm"\ncant = "5 deg"')
                + "[foam]\n",
            )
        ],
        [
            (
                26,
                "fin[1].from_centre is 495 mm, at or beyond the tip: half of stock.span is 500 mm. Leave it out "
                "for a fin on the tip.",
            ),
            (
                38,
                "fin[3].from_centre puts this fin where fin[2] stands; leave 10 mm between the two, or 15 deg "
                "between their cants.",
            ),
        ],
    ),
    (
        "a fin on the centre line",
        [("[foam]\n", fin('from_centre = "0 mm"') + "[foam]\n")],
        [(26, 'fin[1].from_centre is "0 mm"; allowed is 10 mm to 2000 mm.')],
    ),
    (
        "fins of nothing, and of a lower part without shape",
        [
            (
                "[foam]\n",
                fin('depth_below = "0 mm"\ntip_chord_below = "30 mm"').replace('"90 mm"', '"0 mm"', 1)
                + fin('from_centre = "200 mm"\ndepth_below = "95 mm"\ntip_chord_below = "50 mm"')
                + "[foam]\n",
            )
        ],
        [
            (25, "fin[1].height is 0 mm and depth_below is 0 mm: too small for a fin. Remove the fin."),
            (27, "fin[1].tip_chord_below is for the part below the wing; give depth_below too, or leave it out."),
            (
                31,
                "fin[2].set_back_below is missing: the part below the wing (95 mm) is longer than the one above "
                "(90 mm), so its shape must be given.",
            ),
        ],
    ),
    (
        "a fin wider at its ends than at its foot, and as deep as the wing is long",
        [
            (
                "[foam]\n",
                fin('depth_below = "520 mm"\ntip_chord_below = "100 mm"\nset_back_below = "0 mm"\ntip_chord = "95 mm"')
                + "[foam]\n",
            )
        ],
        [
            (26, "fin[1].depth_below is 520 mm, more than 500 mm, half of stock.span."),
            (27, "fin[1].tip_chord_below is 100 mm, wider than its root_chord (90 mm). Are the two swapped?"),
            (29, "fin[1].tip_chord is 95 mm, wider than its root_chord (90 mm). Are the two swapped?"),
        ],
    ),
    (
        "a rod beyond the tip",
        [('outer_end = "450 mm"', 'outer_end = "520 mm"')],
        [(35, "rods[1].outer_end is 520 mm, beyond the tip: half of stock.span is 500 mm.")],
    ),
    (
        "a rod thicker than its slot",
        [('diameter = "3 mm"\nchord', 'diameter = "6 mm"\nslot_depth = "5 mm"\nchord')],
        [(33, "rods[1].diameter is 6 mm, but its slot is only 5 mm deep (slot_depth).")],
    ),
    (
        "slots deeper than the wing is thick",
        [('at_centre = "lap"', 'at_centre = "lap"\nslot_depth = "15 mm"')],
        [
            (
                37,
                "rods[1].slot_depth is 15 mm: a top and a bottom slot do not fit into the 29.2 mm of foam "
                "at the rod's outer end.",
            )
        ],
    ),
    (
        "a rod that crosses over at the centre but starts beyond",
        [('at_centre = "lap"', 'at_centre = "cross over"\ninner_end = "20 mm"')],
        [
            (
                36,
                'rods[1].at_centre is "cross over", but its inner_end is 20 mm; such a rod starts at 0 mm. '
                'Write "lap" or "ends" for rods that end off the centre line.',
            )
        ],
    ),
    (
        "a key that has another name now",
        [('at_centre = "lap"', "crosses_centre = true")],
        [
            (
                36,
                "rods[1].crosses_centre is not a key any more. Write at_centre in its place: "
                '"ends", "lap", "cross over", "sleeve" or "whole".',
            )
        ],
    ),
    (
        "a straight rod asked to turn with the sweep",
        [('at_centre = "lap"', 'at_centre = "whole"')],
        [
            (
                36,
                'rods[1].at_centre is "whole", but the two rods meet with a turn of 35.9 deg. A rod of 3 mm glass '
                "may be bent to a radius of 483.1 mm at least, so it turns by at most 7.4 deg there. "
                'Write "lap" (a rod across the centre beside them), "cross over" or "ends".',
            )
        ],
    ),
    (
        "a lap without a lap",
        [('at_centre = "lap"', 'at_centre = "ends"\nlap = "60 mm"')],
        [(37, 'rods[1].lap has no effect with at_centre = "ends"; it is for "lap" and "cross over".')],
    ),
    (
        "a rod across the centre that leaves the foam",
        [('at_centre = "lap"', 'at_centre = "lap"\nlap = "165 mm"')],
        [
            (
                37,
                "rods[1].lap gives a rod across the centre that ends 202 mm from the centre line, 0 mm behind the "
                "leading edge. The section there is at most 0 mm thick, and its slots need 10 mm. Make lap shorter, "
                "or move the rods aft.",
            )
        ],
    ),
    (
        "a joiner that the sweep leaves in front of the foam",
        [('length = "300 mm"', 'length = "900 mm"')],
        [
            (
                38,
                "joiner.from_nose is 143 mm: at its ends, 450 mm from the centre line, the foam lies 162 mm to 308 "
                "mm behind the nose. A straight joiner of 6 mm leaves it there. Move it, or make it shorter.",
            )
        ],
    ),
    (
        "a joiner where the foam is too thin",
        [('diameter = "6 mm"\nlength = "300 mm"', 'diameter = "22 mm"\nlength = "300 mm"\nfrom_nose = "185 mm"')],
        [
            (
                42,
                "joiner.from_nose is 185 mm: on the centre line, the section is at most 24.5 mm thick there. The "
                "joiner needs 26 mm, with 2 mm of foam above and below it. Move it, or make it shorter or thinner.",
            )
        ],
    ),
    (
        "a joiner through a bay",
        [('length = "300 mm"', 'length = "300 mm"\nfrom_nose = "90 mm"')],
        [
            (
                42,
                'joiner.from_nose is 90 mm: its channel of 15 mm goes through bay[1] ("nose"), 40 mm to 125 '
                "mm behind the nose. Write at least 132.5 mm, or at most 32.5 mm, or move the bay.",
            )
        ],
    ),
    (
        "a joiner through the slot of the motor's mount",
        [('from_nose = "250 mm"', 'from_nose = "250 mm"\nmount_slot = "80 mm"\nmount_slot_width = "4 mm"')],
        [
            (
                38,
                "joiner.from_nose is 143 mm: its channel of 15 mm meets the slot of the motor mount, which starts "
                "120 mm behind the nose (motor.mount_slot). Write at most 112.5 mm.",
            )
        ],
    ),
    (
        "half a slot for the motor's mount",
        [('from_nose = "250 mm"', 'from_nose = "250 mm"\nmount_slot = "40 mm"')],
        [(64, "motor.mount_slot is given without motor.mount_slot_width; give that too, or leave this out.")],
    ),
    (
        "a joiner of nothing",
        [('length = "300 mm"', 'length = "300 mm"\ninside_diameter = "6 mm"')],
        [(42, "joiner.inside_diameter is 6 mm; it must be less than the diameter (6 mm).")],
    ),
    (
        "a rod on trial too thick for the tip",
        [('["3 mm", "4 mm"]', '["3 mm", "15 mm"]')],
        [
            (
                90,
                "choices.rod_diameter[2] is 15 mm: a top and a bottom rod do not fit into the tip, which is 28 "
                "mm thick.",
            )
        ],
    ),
    (
        "rods where the section is too thin for them",
        [("chord_fraction = 0.3\n", 'chord_fraction = 0.95\nslot_depth = "12 mm"\n')],
        [
            (
                34,
                "rods[1].chord_fraction is 0.95: there, 0 mm from the centre line, the section is at most 22.6 "
                "mm thick, and the rods in their slots need 24 mm.",
            )
        ],
    ),
    (
        "rods that lean out of the section",
        [('at_centre = "lap"', 'at_centre = "lap"\ntip_chord_fraction = 0.92\nslot_depth = "10 mm"')],
        [
            (
                37,
                "rods[1].tip_chord_fraction is 0.92: there, 450 mm from the centre line, the section is at most "
                "18.6 mm thick, and the rods in their slots need 20 mm.",
            )
        ],
    ),
    (
        "a tube without a wall",
        [('at_centre = "lap"', 'at_centre = "lap"\ninside_diameter = "3 mm"')],
        [(37, "rods[1].inside_diameter is 3 mm; it must be less than the diameter (3 mm).")],
    ),
    (
        "two sets of rods in one slot",
        [
            (
                "[joiner]",
                '[[rods]]\nname = "more"\nmaterial = "carbon"\ndiameter = "2 mm"\nchord_fraction = 0.305\n'
                'outer_end = "300 mm"\nsurface = "top"\nat_centre = "lap"\n\n[joiner]',
            )
        ],
        [
            (
                42,
                "rods[2].chord_fraction is 0.305: between 45 mm and 300 mm from the centre line these rods meet "
                'rods[1] ("main"). For two rods side by side in one set, write pairs = 2.',
            )
        ],
    ),
    (
        "two sets of rods that cross each other",
        [
            (
                "[joiner]",
                '[[rods]]\nname = "more"\nmaterial = "carbon"\ndiameter = "2 mm"\nchord_fraction = 0.2\n'
                'outer_end = "300 mm"\ntip_chord_fraction = 0.5\nat_centre = "lap"\n\n[joiner]',
            )
        ],
        [
            (
                42,
                "rods[2].chord_fraction is 0.2: between 45 mm and 300 mm from the centre line these rods meet "
                'rods[1] ("main"). For two rods side by side in one set, write pairs = 2.',
            )
        ],
    ),
    (
        "a pair of rods on a floor, and a cut rod that crosses a bay",
        [
            ('at_centre = "lap"', 'at_centre = "lap"\ncrosses_bay = "on floor"'),
            (
                "[joiner]",
                '[[rods]]\nname = "more"\nmaterial = "carbon"\ndiameter = "2 mm"\nchord_fraction = 0.5\n'
                'outer_end = "300 mm"\ncrosses_bay = "free"\nat_centre = "ends"\n\n[joiner]',
            ),
        ],
        [
            (
                37,
                'rods[1].crosses_bay is "on floor", but surface is "both": only rods near the bottom lie on the '
                'floor. Make those a set of their own, or write "on divider" if a board carries them across.',
            ),
            (45, 'rods[2].crosses_bay is "free", but at_centre is "ends"; leave it out.'),
        ],
    ),
    (
        "a splice of nothing",
        [('at_centre = "lap"', 'at_centre = "lap"\nsplice_length = "5 mm"')],
        [
            (
                37,
                "rods[1].splice_length is 5 mm, less than two diameters (3 mm each); 20 to 30 diameters are common "
                "practice.",
            )
        ],
    ),
    (
        "a bay as wide as the wing is long",
        [('width = "80 mm"', 'width = "580 mm"')],
        [
            (
                47,
                "bay[1].width is 580 mm, more than half of stock.span (1000 mm); it is measured from left to "
                "right. Are width and length swapped?",
            )
        ],
    ),
    (
        "a covering of no thickness, and of a modulus below nothing",
        [
            (
                'material = "laminating film 38 um"',
                'material = "laminating film 38 um"\nthickness = "0 um"\nyoungs_modulus = "-1.4 GPa"',
            )
        ],
        [
            (29, 'covering.thickness is "0 um"; allowed is 5 um to 500 um.'),
            (30, 'covering.youngs_modulus is "-1.4 GPa"; allowed is 0.05 GPa to 100 GPa. Is that 1.4 GPa?'),
        ],
    ),
    (
        "a give without what was hung, and more play than there is elevon",
        [
            (
                "[foam]",
                '[linkage]\nservo_torque = "2 kg cm"\nservo_arm = "10 mm"\nhorn = "14 mm"\nplay = "16 mm"\n'
                'give = "2 mm"\n\n[foam]',
            )
        ],
        [
            (
                28,
                "linkage.play is 16 mm, more than half the elevon's chord (30 mm). It is measured at the "
                "trailing edge, in mm.",
            ),
            (29, "linkage.give is given without linkage.give_weight; give that too, or leave this out."),
        ],
    ),
    (
        "flown faster than ever allowed",
        [('never_exceed_speed = "120 km/h"', 'never_exceed_speed = "120 km/h"\nfastest_flown = "130 km/h"')],
        [
            (
                95,
                "fly.fastest_flown is 130 km/h, above fly.never_exceed_speed (120 km/h); no flight may be faster"
                " than that.",
            )
        ],
    ),
    (
        "a cruise below any stall margin",
        [('never_exceed_speed = "120 km/h"', 'never_exceed_speed = "120 km/h"\ncruise_at_least = 1.1')],
        [(95, "fly.cruise_at_least is 1.1; write a number without a unit, from 1.3 to 3.")],
    ),
    (
        "a cruise faster than the wing may fly",
        [('never_exceed_speed = "120 km/h"', 'never_exceed_speed = "120 km/h"\ncruise_at_least = "95 km/h"')],
        [
            (
                95,
                "fly.cruise_at_least is 95 km/h; it must be well below fly.never_exceed_speed (120 km/h): under"
                " 92 km/h.",
            )
        ],
    ),
    (
        "a servo hole beyond the tip, and one deeper than the wing",
        [
            (
                "[joiner]",
                '[[pocket]]\nname = "servo"\nfrom_centre = "495 mm"\nalong_span = "24 mm"\n'
                'from_leading_edge = "80 mm"\nlength = "24 mm"\ndepth = "12 mm"\n\n'
                '[[pocket]]\nname = "channel"\nfrom_centre = "200 mm"\nalong_span = "300 mm"\n'
                'from_leading_edge = "150 mm"\nlength = "24 mm"\ndepth = "40 mm"\n\n[joiner]',
            )
        ],
        [
            (
                40,
                "pocket[1].from_centre is 495 mm; with an along_span of 24 mm the hole reaches beyond the tip or"
                " the centre line (half of stock.span is 500 mm).",
            ),
            (51, "pocket[2].length is 24 mm, from 150 mm behind the leading edge; the foam chord there is 158 mm."),
            (52, "pocket[2].depth is 40 mm; the section is at most 35.2 mm thick there."),
        ],
    ),
    (
        "foam and rods of negative modulus",
        [
            ('material = "EPP 30"', 'material = "EPP 30"\nyoungs_modulus = "-4 MPa"'),
            ('at_centre = "lap"', 'at_centre = "lap"\nyoungs_modulus = "-40 GPa"'),
        ],
        [
            (26, 'foam.youngs_modulus is "-4 MPa"; allowed is 0.3 MPa to 100 MPa. Is that 4 MPa?'),
            (38, 'rods[1].youngs_modulus is "-40 GPa"; allowed is 5 GPa to 500 GPa. Is that 40 GPa?'),
        ],
    ),
    (
        "a foam as firm in shear as in bending",
        [('material = "EPP 30"', 'material = "EPP 30"\nyoungs_modulus = "4 MPa"\nshear_modulus = "4 MPa"')],
        [
            (
                27,
                "foam.shear_modulus is 4 MPa with a youngs_modulus of 4 MPa; in foam and film it is a third to a"
                " half of that. If it is left out, it is worked out.",
            )
        ],
    ),
    (
        "a divider of a board nobody knows",
        [('depth = "24 mm"', 'depth = "24 mm"\ndivider = "2 mm"\ndivider_material = "basla"')],
        [
            (
                50,
                'bay[1].divider_material cannot be used: "basla" is not in the catalogue of sheets. Did you mean '
                "balsa? Known: balsa.",
            )
        ],
    ),
    (
        "a joiner longer than the wing",
        [('length = "300 mm"', 'length = "1200 mm"')],
        [(41, "joiner.length is 1200 mm, longer than stock.span (1000 mm).")],
    ),
    (
        "a bay deeper than the wing, and behind it",
        [('length = "85 mm"', 'length = "220 mm"'), ('depth = "24 mm"', 'depth = "42 mm"')],
        [
            (
                46,
                "bay[1].length is 220 mm: the bay would end 260 mm from the nose, behind the foam "
                "(stock.root_chord, 200 mm).",
            ),
            (48, "bay[1].depth is 42 mm, deeper than stock.root_thickness (40 mm)."),
        ],
    ),
    (
        "two bays of one name",
        [
            (
                "[pack]",
                '[[bay]]\nname = "nose"\nfrom_nose = "160 mm"\nlength = "30 mm"\nwidth = "50 mm"\n'
                'depth = "20 mm"\n\n[pack]',
            )
        ],
        [(51, 'bay[2].name is "nose", like an earlier one; each needs its own name.')],
    ),
    (
        "a pack wider than its bay",
        [('width = "80 mm"', 'width = "70 mm"')],
        [
            (
                54,
                "pack.cells_across makes the pack 76.4 mm wide, and it needs 1 mm of room on each side; the width of "
                'bay "nose" is 70 mm: 8.4 mm too little.',
            )
        ],
    ),
    (
        "a pack longer than its bay",
        [('length = "85 mm"', 'length = "60 mm"')],
        [
            (
                51,
                "pack.cell makes the pack 75.3 mm long, and it needs 1 mm of room on each side; the length of "
                'bay "nose" is 60 mm: 17.3 mm too little.',
            )
        ],
    ),
    (
        "a pack higher than its bay",
        [("cells_across = 4", "cells_across = 2\ncells_high = 2")],
        [
            (
                55,
                "pack.cells_high makes the pack 39.2 mm high, and it needs 1 mm of room on each side; the depth of "
                'bay "nose" is 24 mm: 17.2 mm too little.',
            )
        ],
    ),
    (
        "a pack through the wall of its bay",
        [('bay = "nose"\nfrom_nose = "82 mm"', 'bay = "nose"\nfrom_nose = "110 mm"')],
        [
            (
                56,
                "pack.from_nose is 110 mm: with 1 mm of room the pack would reach from 71.3 mm to 148.7 mm, but "
                'bay "nose" reaches from 40 mm to 125 mm.',
            )
        ],
    ),
    (
        "an unknown bay",
        [('bay = "nose"', 'bay = "tail"')],
        [(55, 'pack.bay is "tail"; no [[bay]] has that name. Bays: nose.')],
    ),
    (
        "more cells across than there are",
        [("cells_across = 4", "cells_across = 6")],
        [(54, "pack.cells_across is 6: with 1 for cells_high, that is room for 6 cells, but the pack has 4.")],
    ),
    (
        "parts heavier than the wing",
        [('mass = "30 g"\nfrom_nose = "160', 'mass = "700 g"\nfrom_nose = "160')],
        [(13, "stock.flying_weight is 900 g, but pack, motor, controller, propeller and equipment alone weigh 998 g.")],
    ),
    (
        "a set of equipment nobody declared",
        [('from_nose = "160 mm"', 'from_nose = "160 mm"\nset = "night"')],
        [(79, 'equipment[1].set is "night", but the study has no [[equipment_set]].')],
    ),
    (
        "a misspelt set of equipment",
        [
            (
                'from_nose = "160 mm"',
                'from_nose = "160 mm"\nset = "nihgt"\n\n[[equipment_set]]\nname = "night"\n\n'
                '[[equipment_set]]\nname = "plain"',
            )
        ],
        [
            (
                79,
                'equipment[1].set is "nihgt"; no [[equipment_set]] has that name. Did you mean night? Sets: '
                "night, plain.",
            )
        ],
    ),
    (
        "two sets of one name, both flown",
        [
            (
                'from_nose = "160 mm"',
                'from_nose = "160 mm"\n\n[[equipment_set]]\nname = "night"\nflown_today = true\n\n'
                '[[equipment_set]]\nname = "night"\nflown_today = true',
            )
        ],
        [
            (85, 'equipment_set[2].name is "night", like an earlier one; each needs its own name.'),
            (
                86,
                "equipment_set[2].flown_today is true, as in equipment_set[1]; the stock wing was weighed and "
                "flown with one set only.",
            ),
        ],
    ),
    (
        "more members than a club has",
        [('from_nose = "160 mm"', 'from_nose = "160 mm"\n\n[[equipment_set]]\nname = "night"\nmembers = 41')],
        [(82, "equipment_set[1].members is 41; write a whole number from 1 to 40.")],
    ),
    (
        "two things of one name on one wing",
        [
            (
                'from_nose = "160 mm"',
                'from_nose = "160 mm"\n\n[[equipment_set]]\nname = "night"\n\n[[equipment]]\n'
                'name = "servos"\nmass = "9 g"\nfrom_nose = "150 mm"\nset = "night"',
            )
        ],
        [(84, 'equipment[2].name is "servos", like an earlier one on the same wing; each needs its own name.')],
    ),
    (
        "equipment called like another part",
        [('name = "servos"', 'name = "motor"')],
        [(76, 'equipment[1].name is "motor", the name of another part; choose another name.')],
    ),
    (
        "an unknown rod material, misspelt",
        [('material = "glass"', 'material = "glas"')],
        [
            (
                32,
                'rods[1].material cannot be used: "glas" is not in the catalogue of rods. Did you mean '
                "glass? Known: glass, carbon.",
            )
        ],
    ),
    (
        "an unknown foam",
        [('material = "EPP 30"', 'material = "EPP30"')],
        [
            (
                25,
                'foam.material cannot be used: "EPP30" is not in the catalogue of foams. Did you mean EPP '
                "30? Known: EPP 20, EPP 30.",
            )
        ],
    ),
    (
        "an unknown drag item",
        [('kind = "motor mount"', 'kind = "moter mount"')],
        [
            (
                81,
                'drag_item[1].kind cannot be used: "moter mount" is not in the catalogue of drag_items. Did'
                " you mean motor mount? Known: motor mount, whip.",
            )
        ],
    ),
    (
        "a drag item called as a part that the model computes",
        [('kind = "motor mount"', 'kind = "fins"\ndrag_area = "5 cm2"')],
        [(81, 'drag_item[1].kind is "fins", which the model computes itself; give the thing another name.')],
    ),
    (
        "a size that a drag item does not have",
        [('kind = "motor mount"', 'kind = "motor mount"\ngap = "1 mm"')],
        [(82, 'drag_item[1].gap is not a size of "motor mount"; its sizes are width, height.')],
    ),
    (
        "a drag item of both a drag area and sizes",
        [('kind = "motor mount"', 'kind = "motor mount"\ndrag_area = "3 cm2"\nwidth = "30 mm"\nheight = "20 mm"')],
        [
            (
                82,
                "drag_item[1].drag_area is given together with width, height; give the drag area or the sizes, "
                "not both.",
            )
        ],
    ),
    (
        "a motor mount as large as the wing",
        [('kind = "motor mount"', 'kind = "motor mount"\nwidth = "30 cm"')],
        [(82, 'drag_item[1].width is 300 mm; allowed is 5 to 120 mm for "motor mount".')],
    ),
    (
        "a whip that lies flat",
        [('kind = "motor mount"', 'kind = "whip"\nlean = "70 deg"')],
        [(82, 'drag_item[1].lean is 70 deg; allowed is 0 to 60 deg for "whip".')],
    ),
    (
        "a size in the wrong unit",
        [('kind = "motor mount"', 'kind = "motor mount"\nwidth = "40 m"')],
        [(82, 'drag_item[1].width is "40 m"; allowed is 0.02 mm to 4000 mm. Is that 40 in?')],
    ),
    (
        "an airfoil with the wrong capitals",
        [('airfoil = "mh60"', 'airfoil = "MH60"')],
        [
            (
                10,
                'stock.airfoil is "MH60", which is neither in the airfoil database nor a coordinate file in the '
                "folder of the study. Did you mean mh60?",
            )
        ],
    ),
    (
        "an airfoil file that is not there",
        [('airfoil = "mh60"', 'airfoil = "mine.dat"')],
        [(10, 'stock.airfoil is "mine.dat"; there is no such file in the folder of the study.')],
    ),
    (
        "a tip airfoil misspelt",
        [('root_thickness = "40 mm"', 'root_thickness = "40 mm"\ntip_airfoil = "mh4"')],
        [
            (
                13,
                'stock.tip_airfoil is "mh4", which is neither in the airfoil database nor a coordinate file in '
                "the folder of the study. Did you mean mh94?",
            )
        ],
    ),
    (
        "a tip airfoil that is not known",
        [('root_thickness = "40 mm"', 'root_thickness = "40 mm"\ntip_airfoil = "unknown"')],
        [
            (
                13,
                'stock.tip_airfoil is "unknown"; give a name or a coordinate file, or leave it out for the '
                "root's airfoil.",
            )
        ],
    ),
    (
        "a five-digit section that was never defined",
        [('root_thickness = "40 mm"', 'root_thickness = "40 mm"\ntip_airfoil = "naca29112"')],
        [
            (
                13,
                'stock.tip_airfoil is "naca29112", which is neither in the airfoil database nor a coordinate '
                "file in the folder of the study. Did you mean naca2412?",
            )
        ],
    ),
    (
        "a tip thickness in the wrong unit",
        [('root_thickness = "40 mm"', 'root_thickness = "40 mm"\ntip_thickness = "50 mm"')],
        [(13, "stock.tip_thickness is 50 mm, more than 30 % of stock.tip_chord (140 mm).")],
    ),
    (
        "a propeller table that is not there",
        [('size = "8x6"', 'size = "8x6"\ntable = "mine.csv"')],
        [(72, 'propeller.table is "mine.csv"; there is no such file in the folder of the study.')],
    ),
    (
        "no cells in parallel",
        [("parallel = 1", "parallel = 0")],
        [(53, "pack.parallel is 0; write a whole number from 1 to 12.")],
    ),
    (
        "Ah written for mAh",
        [("parallel = 1", 'parallel = 1\ncapacity = "3400 Ah"')],
        [(54, 'pack.capacity is "3400 Ah"; allowed is 200 mAh to 100 Ah. Is that 3400 mAh?')],
    ),
    (
        "mAh written for Ah",
        [("parallel = 1", 'parallel = 1\ncapacity = "3.4 mAh"')],
        [(54, 'pack.capacity is "3.4 mAh"; allowed is 200 mAh to 100 Ah. Is that 3.4 Ah?')],
    ),
    (
        "a capacity with a digit lost",
        [("parallel = 1", 'parallel = 1\ncapacity = "340 mAh"')],
        [
            (
                54,
                "pack.capacity is 340 mAh: 340 mAh for each of 1 in parallel, but 18650 3.5 Ah has 3400 mAh. Is that "
                "3400 mAh?",
            )
        ],
    ),
    (
        "a cut-off of the whole pack",
        [("parallel = 1", 'parallel = 1\ncut_off = "12 V"')],
        [
            (
                54,
                "pack.cut_off is 12 V for one cell, but a full cell has 4.2 V. If it is for the complete pack of"
                " 4 in series, write 3.00 V.",
            )
        ],
    ),
    (
        "a cut-off just above a full cell",
        [("parallel = 1", 'parallel = 1\ncut_off = "4.3 V"')],
        [(54, "pack.cut_off is 4.3 V for one cell, but a full cell has 4.2 V.")],
    ),
    (
        "a motor test without numbers",
        [("[controller]", "[motor_test]\n\n[controller]")],
        [(65, "motor_test needs current or rpm, better both, and the voltage.")],
    ),
    (
        "a motor test of rpm alone",
        [("[controller]", '[motor_test]\nrpm = "9000 rpm"\n\n[controller]')],
        [(66, "motor_test.rpm is not enough alone; give voltage or current too.")],
    ),
    (
        "a motor that turns faster than it can",
        [("[controller]", '[motor_test]\nrpm = "19000 rpm"\nvoltage = "15 V"\n\n[controller]')],
        [
            (
                66,
                "motor_test.rpm is 19000 rpm; with motor.speed_constant and 15.00 V the motor turns only 18000 "
                "rpm, even without load.",
            )
        ],
    ),
    (
        "no throttle left",
        [('maximum_current = "30 A"', 'maximum_current = "30 A"\nthrottle_cap = "0 %"')],
        [(68, 'controller.throttle_cap is "0 %"; allowed is 20 % to 100 %.')],
    ),
    (
        "a section without a blade",
        [('size = "8x6"', 'size = "8x6"\nblade_section = "clarky"')],
        [(72, "propeller.blade_section needs propeller.blade; without a measured blade the section is Clark Y.")],
    ),
    (
        "a blade that is not there",
        [('size = "8x6"', 'size = "8x6"\nblade = "mine.csv"\nblade_section = "my.dat"')],
        [
            (72, 'propeller.blade is "mine.csv"; there is no such file in the folder of the study.'),
            (73, 'propeller.blade_section is "my.dat"; there is no such file in the folder of the study.'),
        ],
    ),
    (
        "a blade beside a table",
        [('size = "8x6"', 'size = "8x6"\nblade = "mine.csv"\ntable = "mine.csv"')],
        [
            (72, "propeller.blade is not used, because propeller.table gives measured values. Remove one of them."),
            (73, 'propeller.table is "mine.csv"; there is no such file in the folder of the study.'),
        ],
    ),
    (
        "a propeller without a pitch",
        [('size = "8x6"', 'size = "8"')],
        [(71, 'propeller.size is "8"; write diameter x pitch in inches, such as "12x6".')],
    ),
    (
        "a stretch that shrinks",
        [('span = ["1000 mm", "1400 mm"]', 'span = ["900 mm", "1400 mm"]')],
        [(86, "stretch.span[1] is 900 mm, below stock.span (1000 mm); the span can only grow.")],
    ),
    (
        "a stretch the wrong way round",
        [('span = ["1000 mm", "1400 mm"]', 'span = ["1400 mm", "1000 mm"]')],
        [(86, 'stretch.span runs from "1400 mm" down to "1000 mm"; write the smaller first.')],
    ),
    (
        "a stretch with nothing to choose",
        [('span = ["1000 mm", "1400 mm"]', 'span = ["1000 mm", "1000 mm"]')],
        [(86, "stretch.span starts and ends at 1000 mm, so there is nothing to choose.")],
    ),
    (
        "a stretch with one end",
        [('span = ["1000 mm", "1400 mm"]', 'span = "1400 mm"')],
        [(86, 'stretch.span is "1400 mm"; write two in brackets, the smaller first: each 300 mm to 6000 mm.')],
    ),
    (
        "a unit slip inside a list",
        [('span = ["1000 mm", "1400 mm"]', 'span = ["1000 mm", "1400 cm"]')],
        [(86, 'stretch.span[2] is "1400 cm"; allowed is 300 mm to 6000 mm. Is that 1400 mm?')],
    ),
    (
        "new cores without a hot wire",
        [("can_cut_cores = true", "can_cut_cores = false")],
        [
            (
                84,
                'stretch.scheme is "scaled", which needs new cores cut with a hot wire (stretch.can_cut_cores = '
                'true). Without a hot wire, use "plug" or "tip".',
            )
        ],
    ),
    (
        "sweep free in a plug",
        [('scheme = "scaled"', 'scheme = "plug"')],
        [(87, 'stretch.sweep has no effect with scheme "plug"; it is for scheme "scaled" only. Leave it out.')],
    ),
    (
        "washout free without a hot wire",
        [
            ('scheme = "scaled"\ncan_cut_cores = true', 'scheme = "tip"'),
            ('sweep = ["15 deg", "30 deg"]', 'washout = ["0 deg", "4 deg"]'),
        ],
        [
            (
                86,
                "stretch.washout is free, but a twisted piece needs new cores cut with a hot wire "
                "(stretch.can_cut_cores = true). Leave it out.",
            )
        ],
    ),
    (
        "a tip carried on to nothing",
        [('scheme = "scaled"', 'scheme = "tip"'), ('sweep = ["15 deg", "30 deg"]\n', ""), ('"1400 mm"]', '"3200 mm"]')],
        [
            (
                86,
                "stretch.span[2] is 3200 mm; carried on that far, the tip chord falls below 20 mm. Give at most "
                '3000 mm, or write added_taper = "constant".',
            )
        ],
    ),
    (
        "an unknown scheme",
        [('scheme = "scaled"', 'scheme = "scale"')],
        [(84, 'stretch.scheme is "scale"; allowed is "scaled" or "plug" or "tip". Did you mean scaled?')],
    ),
    (
        "the same choice twice",
        [('["3 mm", "4 mm"]', '["3 mm", "0.3 cm"]')],
        [(90, 'choices.rod_diameter[2] repeats "0.3 cm"; name each once.')],
    ),
    (
        "a list of choices with nothing in it",
        [('["3 mm", "4 mm"]', "[]")],
        [(90, "choices.rod_diameter has 0 values; write 1 to 12 in brackets: each 0.5 mm to 20 mm.")],
    ),
    (
        "never exceed below the launch",
        [('never_exceed_speed = "120 km/h"', 'never_exceed_speed = "45 km/h"')],
        [(94, "fly.never_exceed_speed is 45 km/h; it must be well above fly.launch_speed (40 km/h): 48 km/h or more.")],
    ),
    (
        "a push that pulls",
        [("[limits]", "push_over = 1.5\n\n[limits]")],
        [(96, "fly.push_over is 1.5; write a number without a unit, from -10 to 0. Is that -1.5?")],
    ),
    (
        "all of the charge kept back",
        [("[limits]", 'reserve = "100 %"\n\n[limits]')],
        [(96, 'fly.reserve is "100 %"; allowed is 0 % to 90 %.')],
    ),
    (
        "more charge kept back than there is",
        [("[limits]", 'reserve = "120 %"\n\n[limits]')],
        [(96, 'fly.reserve is "120 %"; allowed is 0 % to 90 %.')],
    ),
    (
        "a leg of the mission that leads nowhere",
        [("[limits]", '[[mission]]\nkind = "leg"\ndistance = "0 km"\n\n[limits]')],
        [(98, 'mission[1].distance is "0 km"; allowed is 10 m to 500 km.')],
    ),
    (
        "parts of a mission without what they need",
        [("[limits]", '[[mission]]\nkind = "climb"\nheight = "80 m"\n\n[[mission]]\nkind = "leg"\n\n[limits]')],
        [
            (97, 'mission[1].kind is "climb", which needs rate.'),
            (101, 'mission[2].kind is "leg", which needs distance.'),
        ],
    ),
    (
        "parts of a mission with what says nothing of them",
        [
            (
                "[limits]",
                '[[mission]]\nkind = "loiter"\ntime = "5 min"\ndistance = "1 km"\n\n[[mission]]\n'
                'kind = "launch"\ntime = "3 s"\n\n[limits]',
            )
        ],
        [
            (99, 'mission[1].distance has no effect in a part of kind "loiter". Leave it out.'),
            (102, 'mission[2].kind is "launch", which can only be the first part.'),
        ],
    ),
    (
        "prices of the same part, and a name without effect",
        [
            (
                "[limits]",
                '[[price]]\npart = "rods"\neach = 2\n\n[[price]]\npart = "rods"\neach = 3\n\n[[price]]\n'
                'part = "glue"\nwhich = "foam to foam"\neach = 3\n\n[limits]',
            )
        ],
        [
            (101, "price[2].part is rods, which has a price already; give each part one price."),
            (106, "price[3].which has no effect on glue, whose price is that of all. Leave it out."),
        ],
    ),
    (
        "a price of no part",
        [("[limits]", '[shopping]\ncurrency = "euros"\n\n[[price]]\npart = "cell"\neach = "4"\n\n[limits]')],
        [
            (97, "shopping.currency is 5 characters long; write 1 to 4 characters."),
            (
                100,
                'price[1].part is "cell"; allowed is "pack" or "cells" or "rods" or "foam" or "covering" or "sheet" or '
                '"propeller" or "motor" or "motor controller" or "servos" or "glue" or "adhesive" or "paint". Did you '
                "mean cells?",
            ),
            (101, 'price[1].each is "4"; write a number without a unit, from 0 to 1e+06.'),
        ],
    ),
    (
        "a part of a mission of no kind",
        [("[limits]", '[[mission]]\nkind = "loitre"\ntime = "5 min"\n\n[limits]')],
        [
            (
                97,
                'mission[1].kind is "loitre"; allowed is "launch" or "climb" or "leg" or "loiter" or "dash". '
                "Did you mean loiter?",
            )
        ],
    ),
    (
        "more winds than a card has room for",
        [("[limits]", '[card]\nwinds = ["0 km/h", "10 km/h", "20 km/h", "30 km/h"]\n\n[limits]')],
        [(97, "card.winds holds 3 winds above zero; a card of 20 lines has room for 2, and still air.")],
    ),
    (
        "two motors of one name to compare",
        [
            (
                "[limits]",
                2 * '[[motor_choice]]\nname = "cool"\nsize = "22 mm"\nmass = "50 g"\n'
                'speed_constant = "900 rpm/V"\nmaximum_current = "20 A"\n\n' + "[limits]",
            )
        ],
        [(104, 'motor_choice[2].name is "cool", like an earlier one; each needs its own name.')],
    ),
    (
        "a scheme to try that is none",
        [("[choices]", '[choices]\nscheme = ["tail"]')],
        [(90, 'choices.scheme[1] is "tail"; allowed is "scaled" or "plug" or "tip".')],
    ),
    (
        "parts to try that nobody described",
        [
            ("[choices]", '[choices]\nmotor = ["coool"]\npack = ["big"]'),
            (
                "[limits]",
                '[[motor_choice]]\nname = "cool"\nsize = "22 mm"\nmass = "50 g"\n'
                'speed_constant = "900 rpm/V"\nmaximum_current = "20 A"\n\n[limits]',
            ),
        ],
        [
            (90, 'choices.motor[1] is "coool"; no [[motor_choice]] has that name. Did you mean cool? Listed: cool.'),
            (91, 'choices.pack[1] is "big"; no [[pack_choice]] has that name. None is listed.'),
        ],
    ),
    (
        "a share written as a percentage",
        [
            ('at_centre = "lap"', 'at_centre = "lap"\npairs = 0'),
            ("chord_fraction = 0.3", "chord_fraction = 30"),
        ],
        [
            (34, "rods[1].chord_fraction is 30; write a number without a unit, from 0.02 to 0.95. Is that 0.3?"),
            (37, "rods[1].pairs is 0; write a whole number from 1 to 4."),
        ],
    ),
    (
        "half a cell",
        [("series = 4", "series = 3.5")],
        [(52, "pack.series is 3.5; write a whole number from 1 to 12.")],
    ),
    (
        "not a number",
        [("chord_fraction = 0.3", "chord_fraction = nan")],
        [(34, "rods[1].chord_fraction is nan; write a number without a unit, from 0.02 to 0.95.")],
    ),
    (
        "a weight limit below the wing's own weight",
        [("[limits]", '[limits]\nflying_weight = "800 g"')],
        [(97, "limits.flying_weight is 800 g, below the stock wing's own 900 g.")],
    ),
    (
        "an empty name",
        [('name = "Plover"', 'name = ""')],
        [
            (
                2,
                'study.name is ""; it is also the name of the results folder: write 1 to 60 characters, none of '
                '/\\:*?"<>|, and no space or full stop at either end.',
            )
        ],
    ),
    (
        "three slips at once, in the order of their lines",
        [
            ('span = "1000 mm"\nroot', 'sapn = "1000 mm"\nroot'),
            ('material = "glass"', 'material = "bamboo"'),
            ('never_exceed_speed = "120 km/h"', 'never_exceed_speed = "120"'),
        ],
        [
            (5, "stock.sapn is not a known key. Did you mean span?"),
            (32, 'rods[1].material cannot be used: "bamboo" is not in the catalogue of rods. Known: glass, carbon.'),
            (
                94,
                'fly.never_exceed_speed is "120", without a unit; write it in quotes with m/s, km/h, mph or'
                " kn. Is that 120 km/h?",
            ),
        ],
    ),
]


EACH_CASE = pytest.mark.parametrize(("edits", "faults"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])


@pytest.fixture
def at_work(tmp_path, monkeypatch):
    """Change to an empty folder, with a small catalogue in place of the real one."""
    data = tmp_path / "data"
    data.mkdir()
    for kind, text in CATALOGUE.items():
        (data / f"{kind}.toml").write_text(text, encoding="utf-8")
    for kind in ("equipment_kinds", "keep_apart", "glues"):  # no fault of a study names them
        shutil.copy(catalogue.DATA / f"{kind}.toml", data)
    monkeypatch.setattr(catalogue, "DATA", data)
    monkeypatch.chdir(tmp_path)
    catalogue.catalogue_parts.cache_clear()
    yield tmp_path
    catalogue.catalogue_parts.cache_clear()


def check(capsys, file: str) -> tuple[int, str, str]:
    """Run ``check`` in this process, and return exit code, standard output and standard error."""
    code = main(["check", file])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def test_the_small_study_itself_is_fine(at_work, capsys, monkeypatch):
    monkeypatch.setattr(room_inside, "doubts_about", lambda study: [])  # the small catalogue is too small for the model
    Path("s.toml").write_text(SMALL, encoding="utf-8")
    code, out, err = check(capsys, "s.toml")
    assert (code, err) == (0, "")
    assert out.startswith("s.toml is fine.\n")


@EACH_CASE
def test_complete_message(edits, faults, at_work, capsys):
    Path("s.toml").write_text(edited(SMALL, *edits), encoding="utf-8")
    problems = "1 problem" if len(faults) == 1 else f"{len(faults)} problems"
    lines = [f"s.toml: {problems}; nothing was run."]
    lines += [f"  line {line:3d}  {message}" for line, message in faults]
    lines += ["All keys, units and ranges: tradestudy keys", ""]
    assert check(capsys, "s.toml") == (2, "", "\n".join(lines))


@EACH_CASE
def test_the_line_is_that_of_the_key(edits, faults, at_work):
    """Compare line numbers with the text: the line holds the key, or the header of its table."""
    text = edited(SMALL, *edits)
    path = at_work / "s.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(StudyFileError) as raised:
        read_study(path)
    for fault in raised.value.faults:
        row = text.split("\n")[fault.line - 1]
        names = fault.key.replace("[", ".[").split(".")
        last = next((name for name in reversed(names) if not name.startswith("[")), "")
        table = names[0]
        assert last in row or table in row or f"[{table}] is missing" in fault.message


ODD_VALUES = [
    "1",
    "-1",
    "0",
    "nan",
    "-inf",
    "1e400",
    "true",
    '""',
    '" "',
    '"mm"',
    '"1 mm"',
    '"1e9 km"',
    '"-5 g"',
    "[]",
    "[[]]",
    '["1 m"]',
    '["2 m", "1 m"]',
    "{}",
    "{a = 1}",
    "1979-05-27",
    '"\\u0000"',
    '"§ µm"',
    '"9x"',
    '"0x0"',
    "'",
    "99999999999999999999",
    '"1,5 mm"',
    '"plug"',
    '"tip"',
    '"scaled"',
    '"nose.dat"',
    "[1, 2, 3]",
]


@seed(20260)
@settings(max_examples=150, deadline=None, database=None)
@given(data=st.data())
def test_every_mutation_of_a_good_study_gives_a_study_or_its_faults(tmp_path_factory, data):
    """Delete, repeat, swap and overwrite lines of the demo studies.

    The reader must return a study or raise its errors.
    """
    source = data.draw(st.sampled_from(["godwit.toml", "dunlin.toml"]))
    lines = (STUDIES / source).read_text(encoding="utf-8").splitlines()
    values = [line.partition("=")[2].strip() for line in lines if "=" in line.partition("#")[0]]
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(lines) - 1))
        what = data.draw(st.sampled_from(["drop", "repeat", "swap", "other value", "odd value", "cut"]))
        if what == "drop":
            lines[at] = ""
        elif what == "repeat":
            lines.insert(at, lines[at])
        elif what == "swap":
            other = data.draw(st.integers(0, len(lines) - 1))
            lines[at], lines[other] = lines[other], lines[at]
        elif what == "cut":
            lines[at] = lines[at][: data.draw(st.integers(0, len(lines[at])))]
        elif "=" in lines[at]:
            choices = values if what == "other value" else ODD_VALUES
            lines[at] = lines[at].partition("=")[0] + "= " + data.draw(st.sampled_from(choices))
    path = tmp_path_factory.getbasetemp() / "mutated.toml"
    path.write_text("\n".join(lines), encoding="utf-8")
    try:
        assert isinstance(read_study(path), Study)
    except StudyFileError as error:
        assert error.faults
        for fault in error.faults:
            assert 1 <= fault.line <= len(lines)
            assert fault.message.strip() and "\n" not in fault.message


def test_random_bytes_are_never_a_study(tmp_path):
    """Check that random bytes are refused with a line number."""
    noise = random.Random(7)
    path = tmp_path / "noise.toml"
    for length in (1, 10, 100, 1000, 10_000):
        path.write_bytes(noise.randbytes(length))
        with pytest.raises(StudyFileError):
            read_study(path)
