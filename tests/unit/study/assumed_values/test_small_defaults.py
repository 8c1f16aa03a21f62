"""The values and bands assumed for the open keys of a short study, each computed by hand from its rule.

A default changed by accident would change the result of every short study, and no other test would notice.
"""

import numpy as np
import pytest
from edited import edited

from tradestudy.study.reader import read_study

# invented
SMALL = """
[stock]
span = "1040 mm"
root_chord = "220 mm"
tip_chord = "140 mm"
elevon_chord = "38 mm"
tip_set_back = "205 mm"
root_thickness = "32 mm"
flying_weight = "1010 g"
balance_from_nose = "134 mm"

[rods]
diameter = "2.5 mm"

[power]
motor = "22 mm class, 1250 rpm/V"
propeller = "8x5"
pack = "4S2P Li-ion"
capacity = "5600 mAh"

[stretch]
scheme = "plug"
longest = "1390 mm"
"""
# Half span 520 mm, root to trailing edge 258 mm, tip chord 178 mm with its elevon; 14.4 V printed on the pack. Lengths
# are whole millimetres, and the ends of a band are inside what the rule allows.
WING = {
    "stock.washout": ("2 deg", "0 deg", "4 deg"),
    "stock.airfoil": ("unknown", "mh60", "e184"),
    "stock.airfoil_covers": ("whole", "foam", "whole"),
    "elevon.inner_end": ("62 mm", "0 mm", "145 mm"),  # 6 % and 14 % of the span: 62.4, 145.6
    "elevon.outer_end": ("499 mm", "390 mm", "520 mm"),  # 96, 75 and 100 % of the half span: 499.2
    "elevon.thickness": ("6 mm", "3 mm", "9 mm"),  # half of it, 1.6 times it: 9.6
    "elevon.material": ("balsa", "corrugated sheet 3 mm", "balsa"),
    "fin[1].height": ("114 mm", "63 mm", "176 mm"),  # 11, 6 and 17 % of the span: 114.4, 62.4, 176.8
    "fin[1].root_chord": ("151 mm", "116 mm", "195 mm"),  # 85, 65 and 110 % of the tip chord: 151.3, 115.7, 195.8
    "fin[1].tip_chord": ("91 mm", "61 mm", "135 mm"),  # 60, 40 and 90 % of that: 90.6, 60.4, 135.9
    "fin[1].set_back": ("51 mm", "0 mm", "114 mm"),  # 45 % of the height: 51.3
    "fin[1].behind_leading_edge": ("21 mm", "0 mm", "71 mm"),  # 12 and 40 % of the tip chord: 21.4, 71.2
    "fin[1].material": ("corrugated sheet 3 mm", "corrugated sheet 2 mm", "balsa"),
    "foam.material": ("EPP 30", "EPP 20", "EPP 45"),
    "covering.material": ("laminating film 38 um", "OPP film 43 um", "iron-on covering"),
    "rods[1].material": ("glass", "glass", "carbon"),
    "rods[1].chord_fraction": ("0.3", 0.22, 0.40),
    "rods[1].outer_end": ("478 mm", "364 mm", "520 mm"),  # 92, 70 and 100 % of the half span: 478.4
    "rods[1].slot_depth": ("5 mm", "3.5 mm", "7 mm"),
    "rods[1].at_centre": ("lap", "ends", "cross over"),
    "stretch.can_cut_cores": ("false", None, None),
    "drag_item[1].drag_area": ("20 cm2", "8 cm2", "45 cm2"),
    # Four cells of 18.4 mm abreast, 2 mm of wrap, 6 mm of room: the corner at 40.8 mm is 16.1 mm aft, with a 5 mm wall.
    "bay[1].from_nose": ("21 mm", "7 mm", "51 mm"),  # 21.1; 15 mm less, 30 mm more
    # two rows of 65 mm, 10 mm, 40 mm of free length; 10 mm; up to the hinge
    "bay[1].length": ("180 mm", "150 mm", "199 mm"),
    "bay[1].width": ("118 mm", "118 mm", "177 mm"),  # 12 cells to try in two rows of six: 118.4; half as much again
    "bay[1].depth": ("24 mm", "21 mm", "32 mm"),  # 8 mm less than the wing; the pack's 20.4; all of it
}
POWER = {
    "motor.mass": ("57 g", "43 g", "74 g"),  # of its class; 0.75 and 1.3 times: 42.75, 74.1
    "motor.maximum_current": ("26 A", "15 A", "39 A"),  # 6.5 W/g: 370.5 W at 14.4 V; 0.6 and 1.5 times: 15.4, 38.6
    "motor.from_nose": ("248 mm", "218 mm", "273 mm"),  # 10 and 40 mm ahead of the trailing edge, 15 mm behind it
    "propeller.mass": ("16 g", "10 g", "29 g"),  # 8 x 8 / 4; 0.6 and 1.8 times: 9.6, 28.8
    "propeller.from_nose": ("278 mm", "258 mm", "308 mm"),  # 20, 0 and 50 mm behind the trailing edge
    "controller.mass": ("35 g", "15 g", "70 g"),
    "controller.maximum_current": ("60 A", "30 A", "100 A"),
    "controller.from_nose": ("181 mm", "104 mm", "245 mm"),  # 70, 40 and 95 % of 258 mm: 180.6, 103.2, 245.1
    # 80 % of 1250 rpm/V x 14.4 V is 240 turns per second, of 5 in each: 109.7 km/h, 1.2 times: 131.7; 0.85 of it,
    # 1.2375
    "fly.never_exceed_speed": ("132 km/h", "112 km/h", "163 km/h"),
    "equipment[1].power": ("6 W", "2 W", "15 W"),
    "pack.cell": ("18650 2.5 Ah", "18650 2.5 Ah", "18650 3.5 Ah"),  # 2.8 Ah for each cell
    "pack.cells_across": ("4", None, None),
    # half of 140 mm behind the front, a quarter of the free length; the ends
    "pack.from_nose": ("101 mm", "91 mm", "131 mm"),
    "choices.parallel": ("2, 3", None, None),
    "choices.rod_pairs": ("1, 2", None, None),
    "stretch.fins": ("hold_volume", None, None),
}
# defaults of the schema for the motor and its parts, in short and complete studies
ANY = {
    "motor.resistance": ("from the class rule", "x0.6", "x1.6"),
    "motor.no_load_current": ("from the class rule", "x0.6", "x1.6"),
    "motor.no_load_rise": ("0 %", "0 %", "60 %"),
    "motor.winding_temperature": ("70 C", "30 C", "110 C"),
    "motor.thrust_line_height": ("0 mm", "-10 mm", "15 mm"),
    "controller.resistance": ("10 mohm", "4 mohm", "25 mohm"),
    "controller.part_throttle_loss": ("6.5 %", "3 %", "12 %"),
    "controller.throttle_cap": ("100 %", None, None),
    "propeller.installation_loss": ("5 %", "3 %", "8 %"),
}


def read(folder, *edits):
    path = folder / "small.toml"
    path.write_text(edited(SMALL, *edits), encoding="utf-8")
    return read_study(path)


def assumed(study):
    return {used.key: (used.value, used.low, used.high) for used in study.defaults_used}


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    return read(tmp_path_factory.mktemp("small"))


@pytest.mark.parametrize(("key", "expected"), [*WING.items(), *POWER.items(), *ANY.items()])
def test_assumed(small, key, expected):
    value, low, high = assumed(small)[key]
    same = [type(end) is type(other) and end == other for end, other in zip((value, low, high), expected, strict=True)]
    assert all(same), (value, low, high)


def test_assumed_values_are_read_like_given_ones(small):
    """Check that the texts above reach the model like stated values, in SI units."""
    assert small.stock.washout == pytest.approx(np.radians(2.0), rel=1e-12)
    motor = small.motor
    assert (motor.size, motor.mass, motor.maximum_current, motor.from_nose) == ("22 mm", 0.057, 26.0, 0.248)
    assert motor.speed_constant == pytest.approx(1250 * np.pi / 30, rel=1e-12)
    assert motor.resistance is None and motor.no_load_current is None
    assert motor.winding_temperature == pytest.approx(343.15) and motor.thrust_line_height == 0.0
    assert small.controller.maximum_current == 60.0 and small.controller.mass == 0.035
    assert small.fly.never_exceed_speed == pytest.approx(132 / 3.6)
    assert small.equipment[0].power == 6.0 and small.drag_item[0].drag_area == pytest.approx(20e-4)
    assert small.stretch.can_cut_cores is False and small.stretch.fins == "hold_volume"


def test_every_key_with_a_rule_is_checked_here(small):
    """Check that all assumed values of wing and drive with a band are here, so that a new rule must be tested here."""
    tables = (
        "stock",
        "elevon",
        "fin[1]",
        "foam",
        "covering",
        "rods[1]",
        "bay[1]",
        "drag_item[1]",
        "motor",
        "propeller",
        "controller",
        "equipment[1]",
    )
    rest = {
        "stock.centre_width",
        "stock.dihedral",
        "stock.up_elevon",
        "elevon.effectiveness",
        "elevon.up_travel",
        "covering.bond",
        "covering.adhesive",
        "covering.finish",
        "rods[1].pairs",
        "rods[1].inner_end",
    }
    assumed_values = {
        used.key for used in small.defaults_used if used.low is not None and used.key.rsplit(".", 1)[0] in tables
    }
    assert (
        assumed_values
        == {
            key
            for key in {**WING, **POWER, **ANY}
            if key.rsplit(".", 1)[0] in tables and ({**WING, **POWER, **ANY}[key][1] is not None)
        }
        | rest
    )


BIG = (
    ("22 mm class, 1250 rpm/V", "35 mm class, 690 rpm/V"),
    ("4S2P Li-ion", "6S1P LiPo"),
    ("5600 mAh", "4400 mAh"),
    ("8x5", "11x7"),
    ("1010 g", "2100 g"),
    ('thickness = "32 mm"', 'thickness = "36 mm"'),
)
OWN_MASS = ("[stretch]", '[motor]\nmass = "140 g"\n\n[stretch]')


@pytest.mark.parametrize(
    ("edits", "expected"),
    [
        (
            BIG,
            {  # 200 g, 22.2 V; 80 % of 690 rpm/V x 22.2 V is 204.2 turns per second, of 7 in each
                "motor.mass": ("200 g", "150 g", "260 g"),
                "motor.maximum_current": ("59 A", "35 A", "88 A"),
                "propeller.mass": ("30 g", "18 g", "54 g"),
                "fly.never_exceed_speed": ("157 km/h", "133 km/h", "194 km/h"),
                "motor.from_nose": ("248 mm", "218 mm", "273 mm"),
            },
        ),
        ((*BIG, OWN_MASS), {"motor.maximum_current": ("41 A", "25 A", "61 A")}),  # 910 W at 22.2 V
        (
            (('chord = "38 mm"', 'chord = "46 mm"'),),
            {  # 266 mm to the trailing edge
                "motor.from_nose": ("256 mm", "226 mm", "281 mm"),
                "propeller.from_nose": ("286 mm", "266 mm", "316 mm"),
                "controller.from_nose": ("186 mm", "107 mm", "252 mm"),
            },
        ),
        # 5.25, 2.6, 8.4
        ((('thickness = "32 mm"', 'thickness = "21 mm"'),), {"elevon.thickness": ("5 mm", "3 mm", "8 mm")}),
        ((('scheme = "plug"', 'scheme = "scaled"'),), {"stretch.can_cut_cores": ("true", None, None)}),
        (
            (('diameter = "2.5 mm"', 'diameter = "6 mm"\nlap = "60 mm"'),),
            {"rods[1].slot_depth": ("6 mm", "6 mm", "8 mm")},
        ),
        (
            (('diameter = "2.5 mm"', 'diameter = "2.5 mm"\ninner_end = "30 mm"'),),
            {"rods[1].at_centre": ("ends", None, None)},
        ),
    ],
)
def test_assumed_from_other_parts(tmp_path, edits, expected):
    assumed_values = assumed(read(tmp_path, *edits))
    assert {key: assumed_values[key] for key in expected} == expected


def test_given_keys_are_not_assumed(tmp_path):
    study = read(tmp_path, ("[rods]", 'washout = "3.5 deg"\n\n[rods]'), OWN_MASS)
    assert study.stock.washout == pytest.approx(np.radians(3.5)) and study.motor.mass == 0.140
    assert not {"stock.washout", "motor.mass"} & set(assumed(study))
