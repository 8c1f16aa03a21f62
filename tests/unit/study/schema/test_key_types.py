"""Reading one key: SI values against published factors, and the message for each kind of wrong value.

Factors: NIST Special Publication 811 (2008), A. Thompson and B. N. Taylor, Guide for the Use of the International
System of Units, appendix B.8 (from memory; exact by definition where marked).
"""

import math

import pytest

from tradestudy.study.schema.key_types import (
    ListErrors,
    choice,
    distinct_values,
    file_name,
    flag,
    free_text,
    number,
    part_name,
    propeller_lengths,
    propeller_size,
    quantity,
    value_range,
    whole_number,
)

ROUNDING = 1e-12  # relative: one or two floating-point operations


@pytest.mark.parametrize(
    ("kind", "text", "expected"),
    [
        ("length", "52 in", 52 * 0.0254),  # inch, exact
        ("length", "1 5/8 in", 1.625 * 0.0254),
        ("length", '6 1/4"', 6.25 * 0.0254),
        ("length", "44 inches", 44 * 0.0254),
        ("length", "4 ft 2 1/2 in", 50.5 * 0.0254),
        ("length", "1,3 m", 1.3),  # a decimal comma, since thousands have three digits
        ("mass", "3 lb 2 oz", 3.125 * 0.45359237),  # pound, exact
        ("length", "3 ft", 0.9144),  # yard, exact
        ("length", " 238mm ", 0.238),
        ("mass", "16 oz", 0.45359237),  # avoirdupois pound, exact
        ("mass", "2 lb", 0.90718474),
        ("speed", "1 mph", 0.44704),  # exact
        ("speed", "1 kn", 0.51444444444444444),  # 1852 m per hour, exact
        ("speed", "36 km/h", 10.0),
        ("temperature", "15 C", 288.15),
        ("temperature", "32 F", 273.15),
        ("temperature", "59 F", 288.15),
        ("angle", "180 deg", math.pi),
        ("charge", "5000 mAh", 18000.0),
        ("charge", "2 C", 2.0),  # C is coulomb here, and degree Celsius only for a temperature
        ("speed_constant", "60 rpm/V", 2 * math.pi),
        ("resistance", "85 mohm", 0.085),
        ("fraction", "8 %", 0.08),
        ("areal_mass", "15 g/m²", 0.015),
        ("length", "38 µm", 38e-6),
    ],
)
def test_si_values(kind, text, expected):
    entry = quantity(kind, *widest(kind), "")
    assert entry.read(text) == pytest.approx(expected, rel=ROUNDING)


def widest(kind):
    """Return bounds that allow every value in these tests."""
    unit = {
        "length": "m",
        "mass": "kg",
        "speed": "m/s",
        "temperature": "K",
        "angle": "rad",
        "charge": "C",
        "speed_constant": "rpm/V",
        "resistance": "ohm",
        "fraction": "%",
        "areal_mass": "kg/m2",
    }[kind]
    return f"0 {unit}", f"100000 {unit}"


LENGTH = quantity("length", "300 mm", "4000 mm", "span")
REFUSED = [
    (LENGTH, 1250, "is 1250, without a unit; write it in quotes with mm, cm, m, in or ft. Is that 1250 mm?"),
    (LENGTH, "1250", 'is "1250", without a unit; write it in quotes with mm, cm, m, in or ft. Is that 1250 mm?'),
    (LENGTH, True, "is true; write a length in quotes with its unit (mm, cm, m, in or ft)."),
    (LENGTH, {}, "is a table; write a length in quotes with its unit (mm, cm, m, in or ft)."),
    (LENGTH, "", 'is ""; write a length as a number and its unit (mm, cm, m, in or ft).'),
    (LENGTH, "1250 grams", 'is "1250 grams"; "grams" is not a known unit; use mm, cm, m, in or ft.'),
    (LENGTH, '44""', 'is "44"""; """" is not a known unit; use mm, cm, m, in or ft.'),
    (LENGTH, "1250 MM", 'is "1250 MM"; "MM" is not a known unit; use mm, cm, m, in or ft. Did you mean mm?'),
    (LENGTH, "1330 g", 'is "1330 g", a mass; give a length, in mm, cm, m, in or ft.'),
    (LENGTH, "56 mm", 'is "56 mm"; allowed is 300 mm to 4000 mm. Is that 56 in?'),
    (LENGTH, "110 mm", 'is "110 mm"; allowed is 300 mm to 4000 mm. Is that 110 in?'),
    (LENGTH, "1250 cm", 'is "1250 cm"; allowed is 300 mm to 4000 mm. Is that 1250 mm?'),
    (LENGTH, "1e400 mm", 'is "1e400 mm"; allowed is 300 mm to 4000 mm.'),
    (
        LENGTH,
        10**400,
        f"is {'1' + 35 * '0'}..., far out of range; write a length in quotes with its unit (mm, cm, m, in or ft).",
    ),
    (LENGTH, "-1250 mm", 'is "-1250 mm"; allowed is 300 mm to 4000 mm. Is that 1250 mm?'),
    (LENGTH, "1,300 m", 'is "1,300 m"; write a decimal point, not a comma: "1.300 m".'),
    (LENGTH, "a" * 90, f'is "{"a" * 35}..."; write a length as a number and its unit (mm, cm, m, in or ft).'),
    (quantity("temperature", "-30 C", "50 C", ""), "86 C", 'is "86 C"; allowed is -30 C to 50 C. Is that 86 F?'),
    (
        quantity("speed", "10 km/h", "120 km/h", ""),
        "45 m/s",
        'is "45 m/s"; allowed is 10 km/h to 120 km/h. Is that 45 km/h?',
    ),
    (
        quantity("resistance", "1 mohm", "2 ohm", ""),
        "85 ohm",
        'is "85 ohm"; allowed is 1 mohm to 2 ohm. Is that 85 mohm?',
    ),
    (quantity("fraction", "0 %", "90 %", ""), 0.2, "is 0.2, without a unit; write it in quotes with %. Is that 20 %?"),
    (quantity("fraction", "0 %", "90 %", ""), 20, "is 20, without a unit; write it in quotes with %. Is that 20 %?"),
    (number(0.2, 1.0, ""), 80, "is 80; write a number without a unit, from 0.2 to 1. Is that 0.8?"),
    (number(0.2, 1.0, ""), "80 %", 'is "80 %"; write a number without a unit, from 0.2 to 1.'),
    (number(-6, 0, ""), 1.5, "is 1.5; write a number without a unit, from -6 to 0. Is that -1.5?"),
    (number(0, 1, ""), True, "is true; write a number without a unit, from 0 to 1."),
    (number(0, 1, ""), math.nan, "is nan; write a number without a unit, from 0 to 1."),
    (whole_number(1, 12, ""), 2.0, "is 2.0; write a whole number from 1 to 12."),
    (whole_number(1, 12, ""), True, "is true; write a whole number from 1 to 12."),
    (choice(("plug", "tip"), ""), "plugg", 'is "plugg"; allowed is "plug" or "tip". Did you mean plug?'),
    (choice(("plug", "tip"), ""), ["tip"], 'is a list; allowed is "plug" or "tip".'),
    (flag(""), "true", 'is "true"; write true or false, without quotes.'),
    (free_text(""), 3, "is 3; write text in quotes."),
    (free_text(""), "  ", "is empty; write 1 to 200 characters."),
    (free_text(""), "x" * 201, "is 201 characters long; write 1 to 200 characters."),
    (free_text(""), "a\x1b[31m", 'is "a?[31m"; it holds characters that cannot be printed.'),
    (
        file_name(""),
        "../out",
        'is "../out"; it is also the name of the results folder: write 1 to 60 characters, none of '
        '/\\:*?"<>|, and no space or full stop at either end.',
    ),
    (file_name(""), 3, "is 3; write text in quotes."),
    (part_name("rods", ""), 7, "is 7; write a name from the catalogue of rods in quotes."),
    (propeller_size(""), "9", 'is "9"; write diameter x pitch in inches, such as "12x6".'),
    (propeller_size(""), 9, 'is 9; write diameter x pitch in inches, such as "12x6".'),
    (propeller_size(""), "9x1.5", 'is "9x1.5"; allowed is 3x2 to 20x20, diameter x pitch in inches.'),
    (propeller_size(""), "90x6", 'is "90x6"; allowed is 3x2 to 20x20, diameter x pitch in inches.'),
    (
        value_range(LENGTH, ""),
        ["1 m"],
        "has 1 value; write two in brackets, the smaller first: each 300 mm to 4000 mm.",
    ),
    (value_range(LENGTH, ""), ["2 m", "1 m"], 'runs from "2 m" down to "1 m"; write the smaller first.'),
]


@pytest.mark.parametrize(("entry", "value", "sentence"), REFUSED, ids=[str(i) for i in range(len(REFUSED))])
def test_complete_sentence_for_each_wrong_value(entry, value, sentence):
    with pytest.raises(ValueError) as raised:
        entry.read(value)
    assert str(raised.value) == sentence


def test_faults_inside_a_list_have_their_index():
    with pytest.raises(ListErrors) as raised:
        value_range(LENGTH, "").read(["56 mm", 3])
    assert raised.value.faults == [
        (0, 'is "56 mm"; allowed is 300 mm to 4000 mm. Is that 56 in?'),
        (1, "is 3, without a unit; write it in quotes with mm, cm, m, in or ft. Is that 3 m?"),
    ]
    with pytest.raises(ListErrors) as raised:
        distinct_values(LENGTH, "").read(["1 m", "2 m", "1000 mm"])
    assert raised.value.faults == [(2, 'repeats "1000 mm"; name each once.')]


@pytest.mark.parametrize("name", ["", " ", ".", "..", "Plover ", "a" * 61, "a/b", "a\\b", "C:", "a\nb"])
def test_names_that_no_folder_can_have(name):
    with pytest.raises(ValueError, match="it is also the name of the results folder"):
        file_name("").read(name)


def test_names_that_a_folder_can_have():
    assert file_name("").read("Löffler no. 2 (long)") == "Löffler no. 2 (long)"


def test_bounds_themselves_are_allowed():
    assert LENGTH.read("300 mm") == pytest.approx(0.3, rel=ROUNDING)
    assert LENGTH.read("4000 mm") == pytest.approx(4.0, rel=ROUNDING)
    assert value_range(LENGTH, "").read(["1 m", "1 m"]) == (1.0, 1.0)


def test_propeller_lengths_are_inches():
    diameter, pitch = propeller_lengths("9x4.5")
    assert diameter == pytest.approx(0.2286, rel=ROUNDING)  # 9 x 25.4 mm
    assert pitch == pytest.approx(0.1143, rel=ROUNDING)  # 4.5 x 25.4 mm


@pytest.mark.parametrize("name", ["NUL", "con", "Com1.x", "lpt9", "aux .b", "PRN", "COM\u00b9", "conin$"])
def test_names_of_devices_are_refused(name):
    with pytest.raises(ValueError, match="keep that name for a device"):
        file_name("a name").read(name)


@pytest.mark.parametrize("name", ["console", "nulls", "com", "com10", "Lapwing", "a.con"])
def test_names_like_those_of_devices_are_fine(name):
    assert file_name("a name").read(name) == name
