"""The values and bands assumed for the open keys of a short study, each computed by hand from its rule.

A default changed by accident would change the result of every short study, and no other test would notice.
"""

import numpy as np
import pytest
from helpers.edited import edited

from tradestudy.errors import StudyFileError
from tradestudy.search.search_space import all_choices
from tradestudy.study.assumed_values.power_rules import draws_nothing
from tradestudy.study.reader import read_study

# invented
SMALL = """
[stock]
span = "1040 mm"
root_chord = "290 mm"
tip_chord = "140 mm"
elevon_chord = "38 mm"
tip_set_back = "205 mm"
root_thickness = "48 mm"
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
# Half span 520 mm, root to trailing edge 328 mm, tip chord 178 mm with its elevon; 14.4 V printed on the pack. Lengths
# are whole millimetres, and the ends of a band are inside what the rule allows.
# The bay needs 23 + 6 mm. The generic section has 0.92 t sqrt(3.5 x) (1.4 (1 - x))^1.25. Its front corner, 57.5 mm from
# the middle, has a chord of 311.4 mm and 45.57 mm of thickness: 29.15 mm at 45 mm behind the nose, 28.61 mm at 44 mm.
# Its rear wall has least in the middle: 29.19 mm at 205 mm behind the nose, 28.96 mm at 206 mm.
WING = {
    "stock.washout": ("2 deg", "0 deg", "4 deg"),
    "stock.airfoil": ("unknown", "mh60", "e184"),
    "stock.airfoil_covers": ("whole", "foam", "whole"),
    "stock.not_listed_by_area": ("0.15", 0.0, 0.4),  # nothing on board is listed
    "stock.not_listed_by_joints": ("0.08", 0.0, 0.2),
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
    "rods[1].inner_end": ("62 mm", "62 mm", "92 mm"),  # half of the bay and 5 mm: 62.5; 30 mm more: 92.5
    "rods[1].at_centre": ("ends", None, None),
    "stretch.can_cut_cores": ("false", None, None),
    "drag_item[1].drag_area": ("20 cm2", "8 cm2", "45 cm2"),
    "bay[1].from_nose": ("45 mm", "45 mm", "45 mm"),  # no room to move it
    # to 205 mm; the pack is two rows of 65 mm and 10 mm, has 1 mm of room at either end, and 1 mm for rounding
    "bay[1].length": ("160 mm", "143 mm", "160 mm"),
    "bay[1].width": ("115 mm", "115 mm", "121 mm"),  # 12 cells to try in two rows of six: 110.4 + 2 + 2; 6 mm more
    "bay[1].depth": ("23 mm", "23 mm", "25 mm"),  # 18.4 + 2 + 2; 2 mm more
}
POWER = {
    "motor.mass": ("57 g", "43 g", "74 g"),  # of its class; 0.75 and 1.3 times: 42.75, 74.1
    "motor.maximum_current": ("26 A", "15 A", "39 A"),  # 6.5 W/g: 370.5 W at 14.4 V; 0.6 and 1.5 times: 15.4, 38.6
    "motor.from_nose": ("318 mm", "288 mm", "343 mm"),  # 10 and 40 mm ahead of the trailing edge, 15 mm behind it
    "propeller.mass": ("16 g", "10 g", "29 g"),  # 8 x 8 / 4; 0.6 and 1.8 times: 9.6, 28.8
    "propeller.from_nose": ("348 mm", "328 mm", "378 mm"),  # 20, 0 and 50 mm behind the trailing edge
    "controller.mass": ("35 g", "15 g", "70 g"),
    "controller.maximum_current": ("60 A", "30 A", "100 A"),
    "controller.from_nose": ("230 mm", "132 mm", "311 mm"),  # 70, 40 and 95 % of 328 mm: 229.6, 131.2, 311.6
    # 80 % of 1250 rpm/V x 14.4 V is 240 turns per second, of 5 in each: 109.7 km/h, 1.2 times: 131.7; 0.85 of it,
    # 1.2375
    "fly.never_exceed_speed": ("132 km/h", "112 km/h", "163 km/h"),
    "equipment[1].power": ("6 W", "2 W", "15 W"),
    "pack.cell": ("18650 2.5 Ah", "18650 2.5 Ah", "18650 3.5 Ah"),  # 2.8 Ah for each cell
    "pack.cells_across": ("4", None, None),
    # half of 142 mm behind the front, a quarter of 30 mm; the ends
    "pack.from_nose": ("123 mm", "116 mm", "134 mm"),
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
    # medians, times and over exp(1.645 x 0.28), exp(1.645 x 0.20) and exp(1.645 x 0.09)
    "built.section_drag_factor": ("1.25", 0.79, 1.98),
    "built.wake_drag_factor": ("1.3", 0.94, 1.81),
    "built.drive_power_factor": ("1.0", 0.86, 1.16),
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
    assert (motor.size, motor.mass, motor.maximum_current, motor.from_nose) == ("22 mm", 0.057, 26.0, 0.318)
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
        "built",
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
        "bay[1].lid",
        "bay[1].floor",
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
)
JOINER = '[joiner]\nmaterial = "carbon"\ndiameter = "8 mm"\nlength = "300 mm"\n\n[stretch]'
BAY_IN_THE_REAR = '[[bay]]\nfrom_nose = "120 mm"\nlength = "160 mm"\n\n'
SECOND_BAY = '[[bay]]\n\n[[bay]]\nfrom_nose = "215 mm"\nlength = "20 mm"\nwidth = "40 mm"\ndepth = "10 mm"\n\n'
ON_THE_CENTRE_LINE = {
    "rods[1].inner_end": ("0 mm", "0 mm", "40 mm"),
    "rods[1].at_centre": ("lap", "ends", "cross over"),
}
BESIDE_THE_BAY = {"rods[1].inner_end": ("62 mm", "62 mm", "92 mm"), "rods[1].at_centre": ("ends", None, None)}


def rods(keys):
    return ('diameter = "2.5 mm"', f'diameter = "2.5 mm"\n{keys}')


THIN = (('thickness = "48 mm"', 'thickness = "21 mm"'), ("4S2P Li-ion", "2S1P LiPo"), ("5600 mAh", "700 mAh"))
LIGHT = (("4S2P Li-ion", "2S1P LiPo"), ("5600 mAh", "700 mAh"))
INBOARD_FIN = '[[fin]]\nfrom_centre = "170 mm"\nheight = "110 mm"\nroot_chord = "160 mm"\n\n[rods]'
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
                "motor.from_nose": ("318 mm", "288 mm", "343 mm"),
            },
        ),
        ((*BIG, OWN_MASS), {"motor.maximum_current": ("41 A", "25 A", "61 A")}),  # 910 W at 22.2 V
        (
            (('chord = "38 mm"', 'chord = "46 mm"'),),
            {  # 336 mm to the trailing edge
                "motor.from_nose": ("326 mm", "296 mm", "351 mm"),
                "propeller.from_nose": ("356 mm", "336 mm", "386 mm"),
                "controller.from_nose": ("235 mm", "135 mm", "319 mm"),
            },
        ),
        # 290 mm at the root, 140 mm at 520 mm: 240.96 mm at 170 mm, less 160 mm; half of it, and 38 mm of elevon more
        ((("[rods]", INBOARD_FIN),), {"fin[1].behind_leading_edge": ("81 mm", "41 mm", "118 mm")}),
        # 12 % of 300 g, between half of 57 g and 57 g; 0.7 and 2 times. 5 %, 2 % and 12 % of 300 g.
        (
            (*LIGHT, ("1010 g", "300 g")),
            {"motor.mass": ("36 g", "25 g", "72 g"), "controller.mass": ("15 g", "6 g", "36 g")},
        ),
        ((*LIGHT, ("1010 g", "200 g")), {"motor.mass": ("28 g", "20 g", "57 g")}),  # half of 57 g; 0.7 and 2 times
        # 1.5 % and 3 % of 5 kg
        (
            (*BIG, ("2100 g", "5000 g")),
            {"motor.mass": ("200 g", "150 g", "260 g"), "controller.mass": ("75 g", "15 g", "150 g")},
        ),
        (THIN, {"elevon.thickness": ("5 mm", "3 mm", "8 mm")}),  # 5.25, 2.6, 8.4
        ((('scheme = "plug"', 'scheme = "scaled"'),), {"stretch.can_cut_cores": ("true", None, None)}),
        (
            (('diameter = "2.5 mm"', 'diameter = "6 mm"'),),
            {"rods[1].slot_depth": ("6 mm", "6 mm", "8 mm")},
        ),
        (
            (rods('chord_fraction = 0.75\ninner_end = "30 mm"'),),
            {"rods[1].at_centre": ("ends", None, None)},
        ),
        # The bay ends at 205 mm, and 5 mm of foam are left: 213.2 mm, 208.8 mm behind the nose.
        ((rods("chord_fraction = 0.735"),), ON_THE_CENTRE_LINE),
        ((rods("chord_fraction = 0.72"),), BESIDE_THE_BAY),
        # rods that cross over start on the centre line, whatever bay they run through
        ((rods('chord_fraction = 0.72\nat_centre = "cross over"'),), {"rods[1].inner_end": ("0 mm", None, None)}),
        # Two pairs are 45 mm apart: 22.5 + 5 mm of room; 235.5 mm, 230.6 mm.
        ((rods("pairs = 2\nchord_fraction = 0.812"),), ON_THE_CENTRE_LINE),
        ((rods("pairs = 2\nchord_fraction = 0.795"),), BESIDE_THE_BAY),
        # It begins at 45 mm. This rod is at 29 mm in the middle. It moves back by 205 mm of sweep less 0.1 x 150 mm of
        # taper over 520 mm: 62.5 mm out, it is at 51.8 mm, inside.
        ((rods("chord_fraction = 0.1"),), BESIDE_THE_BAY),
        ((rods('at_centre = "cross over"'),), {"rods[1].inner_end": ("0 mm", None, None)}),
        # 2.5 diameters are 20 mm: 10 mm of channel and 10 mm of foam behind 205 mm; 5 and 25 mm of foam
        ((("[stretch]", JOINER),), {"joiner.from_nose": ("225 mm", "220 mm", "240 mm")}),
        # a channel of 30 mm: 15 mm of it
        (
            (("[stretch]", JOINER.replace("[stretch]", 'channel = "30 mm"\n\n[stretch]')),),
            {"joiner.from_nose": ("230 mm", "225 mm", "245 mm")},
        ),
        # There is a second bay, from 215 to 235 mm; 75 % of the root chord is 217.5 mm.
        ((("[stretch]", SECOND_BAY + JOINER),), {"joiner.from_nose": ("255 mm", "250 mm", "270 mm")}),
        # The bay ends at 280 mm, behind 75 % of 300 mm: 35 % of it, 0.9 and 1.15 times (94.5, 120.75)
        (
            (('root_chord = "290 mm"', 'root_chord = "300 mm"'), ("[stretch]", BAY_IN_THE_REAR + JOINER)),
            {"joiner.from_nose": ("105 mm", "95 mm", "120 mm")},
        ),
        # The same bay from 100 mm on lies there too.
        (
            (
                ('root_chord = "290 mm"', 'root_chord = "300 mm"'),
                ("[stretch]", BAY_IN_THE_REAR.replace("120 mm", "100 mm") + JOINER),
            ),
            {"joiner.from_nose": ("280 mm", "275 mm", "295 mm")},
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


def test_no_rods_are_tried_in_a_wing_without_rods(tmp_path):
    without = (SMALL[SMALL.index("[rods]") : SMALL.index("[power]")], "")
    study = read(tmp_path, without)
    assert study.rods == () and study.choices.rod_pairs is None
    assert {choice.words for choice in all_choices(study)} == {
        "4S2P, no rods, 8x5 propeller",
        "4S3P, no rods, 8x5 propeller",
    }
    with pytest.raises(StudyFileError, match=r"choices\.rod_pairs needs \[\[rods\]\]: the stock wing has none"):
        read(tmp_path, without, ("[stretch]", "[choices]\nrod_pairs = [1, 2]\n\n[stretch]"))


@pytest.mark.parametrize(
    ("motor", "size", "band"),
    [
        ("1806, 2300 rpm/V", "18 mm", ("outside the measured classes", "x0.4", "x2.5")),
        ("2208, 1500 rpm/V", "22 mm", ("from the class rule", "x0.6", "x1.6")),
    ],
)
def test_a_motor_outside_the_measured_classes_has_a_wider_band(tmp_path, motor, size, band):
    path = tmp_path / "small.toml"
    path.write_text(edited(SMALL, ("22 mm class, 1250 rpm/V", motor)), encoding="utf-8")
    study = read_study(path)
    assert study.motor.size == size
    for key in ("motor.resistance", "motor.no_load_current"):
        assert assumed(study)[key] == band


def test_a_pouch_pack_is_laid_as_the_brick_that_it_is(tmp_path):
    pouch = (("4S2P Li-ion", "3S1P LiPo"), ("5600 mAh", "2200 mAh"))
    assert read(tmp_path, *pouch).pack.piece.stack == 3
    flat = ("[stretch]", "[pack]\ncells_across = 3\ncells_high = 1\n\n[stretch]")
    assert read(tmp_path, *pouch, flat).pack.piece.stack == 1  # its builder laid the cells flat
    assert read(tmp_path).pack.piece.stack == 1  # round cells


@pytest.mark.parametrize(
    ("name", "nothing"),
    [
        ("wires, horns and linkages", True),
        ("Lids, magnets and tape", True),
        ("motor mount", True),
        ("ballast", True),
        ("camera", False),
        ("camera and mount", False),
        ("receiver with wires", False),
        ("tape recorder", False),
        ("", False),
    ],
)
def test_what_draws_no_power_has_no_band(godwit_study, name, nothing):
    """Check that wires are not taken to draw up to 8 W, as a thing may that is not known."""
    assert draws_nothing(name) == nothing
    open_items = [used.key for used in godwit_study.defaults_used if used.key.startswith("equipment[")]
    assert not [key for key in open_items if key.endswith("power")]
