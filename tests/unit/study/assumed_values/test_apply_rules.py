"""A short study: which keys are filled in, from which others, with which band, and what is never assumed."""

import math
from pathlib import Path

import pytest
from helpers.edited import edited
from helpers.places import STUDIES

from tradestudy.aircraft.shape.stock_fit import stock_fits
from tradestudy.errors import StudyFileError
from tradestudy.study.assumed_values.apply_rules import ALL_RULES, all_key_lines
from tradestudy.study.consistency.pack import pack_size
from tradestudy.study.reader import read_study
from tradestudy.study.schema.short_forms import motor_in_short, pack_in_short
from tradestudy.study.schema.study import STUDY_TABLES, key_type

SMALL = (STUDIES / "lapwing.toml").read_text(encoding="utf-8")
TO_THE_MILLIMETRE = 5.1e-4  # m; assumed lengths are whole millimetres


def written(folder: Path, *edits: tuple[str, str], text: str = SMALL) -> Path:
    path = folder / "Plover.toml"
    path.write_text(edited(text, *edits), encoding="utf-8")
    return path


def messages(path: Path) -> list[str]:
    with pytest.raises(StudyFileError) as raised:
        read_study(path)
    return [fault.message for fault in raised.value.faults]


@pytest.fixture(scope="module")
def small():
    return read_study(STUDIES / "lapwing.toml")


def test_short_forms_fill_in_their_tables(small):
    assert (small.pack.series, small.pack.parallel) == (6, 1)
    assert small.pack.capacity == pytest.approx(5.0 * 3600)
    assert small.motor.size == "35 mm"
    assert small.motor.speed_constant == pytest.approx(520 * 2 * math.pi / 60)
    assert small.propeller.size == "10x7"
    assert small.elevon.root_chord == small.elevon.tip_chord == pytest.approx(0.042)
    assert small.stretch.span == pytest.approx((1.2, 1.6))
    assert small.stretch.can_cut_cores is True  # scheme "scaled"
    assert [(rods.name, rods.pairs, rods.at_centre) for rods in small.rods] == [
        ("main", 2, "ends"),
        ("rods 2", 1, "lap"),
    ]
    assert small.study.name == "lapwing"
    assert small.known_flight.distance == pytest.approx(38e3)


def test_the_cell_is_scaled_to_weight_and_capacity_of_the_pack(tmp_path):
    """Check six cells, 6 % and 30 g: (490 - 30) / 6.36. Each has all of 4800 mAh; resistance grows in proportion."""
    study = read_study(written(tmp_path, ('"5000 mAh"', '"4800 mAh"')))
    cell = study.pack.cell_numbers
    assert cell["mass"] == pytest.approx((0.490 - 0.030) / (6 * 1.06))
    assert cell["capacity"] == pytest.approx(4.8 * 3600)
    assert study.pack.cell == "21700 5.0 Ah"
    assert cell["resistance"] == pytest.approx(0.030 * 5.0 / 4.8)


def test_assumed_values_follow_from_given_ones(small):
    """Compare with the rules by hand: 6 % of 1200 mm; 96 % of 600 mm; 11 % of the span; 92 % of the half span."""
    assert small.elevon.inner_end == pytest.approx(0.072, abs=TO_THE_MILLIMETRE)
    assert small.elevon.outer_end == pytest.approx(0.576, abs=TO_THE_MILLIMETRE)
    assert small.fin[0].height == pytest.approx(0.132, abs=TO_THE_MILLIMETRE)
    assert small.rods[0].outer_end == pytest.approx(0.552, abs=TO_THE_MILLIMETRE)
    assert small.motor.from_nose == pytest.approx(0.352, abs=TO_THE_MILLIMETRE)  # 10 mm ahead of 362 mm
    assert small.choices.parallel == (1, 2)


def test_a_given_key_is_never_changed(tmp_path):
    text = SMALL + '\n[elevon]\ninner_end = "90 mm"\n[motor]\nmass = "120 g"\n[[bay]]\nlength = "200 mm"\n'
    study = read_study(written(tmp_path, text=text))
    assert study.elevon.inner_end == pytest.approx(0.090)
    assert study.motor.mass == pytest.approx(0.120) and study.motor.size == "35 mm"
    assert study.bay[0].length == pytest.approx(0.200) and study.bay[0].name == "nose"
    keys = {used.key for used in study.defaults_used}
    assert not {"elevon.inner_end", "motor.mass", "bay[1].length"} & keys
    assert {"elevon.outer_end", "motor.from_nose", "bay[1].depth"} <= keys


def test_every_assumption_has_a_band_and_the_results_it_moves(small):
    assert len(small.defaults_used) > 60
    for used in small.defaults_used:
        assert used.origin, used.key
        assert (used.low is None) == (used.high is None), used.key
        if used.low is not None:
            assert used.moves, used.key
            assert used.band and used.band != used.value, used.key


def test_a_default_lies_in_its_band_and_both_ends_are_allowed_values(small):
    """Check that both ends of a band are allowed values of the key, and that the assumed number is between them."""
    looked_at = 0
    for used in small.defaults_used:
        table, key = str(used.place[0]), str(used.place[-1])
        if used.low is None or str(used.low).startswith("x"):
            continue
        read = key_type(STUDY_TABLES[table].model.model_fields[key]).read
        low, high = read(used.low), read(used.high)
        if isinstance(low, float) and not isinstance(low, bool):
            items = getattr(small, table)
            value = getattr(items[used.place[1]] if isinstance(items, tuple) else items, key)
            if value is not None:
                assert low - TO_THE_MILLIMETRE <= value <= high + TO_THE_MILLIMETRE, used.key
                looked_at += 1
    assert looked_at > 25


@pytest.mark.parametrize(
    ("line", "message"),
    [
        (
            'flying_weight = "1640 g"',
            "stock.flying_weight is missing: all-up weight, ready to fly with the stock pack (100 g to 10 kg).",
        ),
        (
            'balance_from_nose = "183 mm"',
            "stock.balance_from_nose is missing: balance point behind the nose, ready to fly (5 mm to 1500 mm).",
        ),
        (
            'tip_set_back = "288 mm"       # tip leading edge behind a straight edge along the root leading edge',
            "stock.tip_set_back is missing: distance of the tip leading edge behind a straight edge laid across the "
            "nose, square to the centre line (0 mm to 1500 mm).",
        ),
        (
            'elevon_chord = "42 mm"',
            "stock.elevon_chord is missing: elevon chord behind the foam; short form of [elevon] (5 mm to 200 mm).",
        ),
        ('diameter = "3 mm"\npairs = 2 ', "rods[1].diameter is missing: outside diameter (0.5 mm to 20 mm)."),
    ],
)
def test_a_missing_measurement_is_the_only_fault(tmp_path, line, message):
    assert messages(written(tmp_path, (line, ""))) == [message]


def test_a_study_without_power_gets_both_ways_to_give_it(tmp_path):
    start, stop = SMALL.index("[power]"), SMALL.index("[stretch]")
    assert messages(written(tmp_path, text=SMALL[:start] + SMALL[stop:])) == [
        "[power] is missing; it needs motor, propeller, pack (or give [pack], [motor], [controller] and [propeller] "
        "in full)."
    ]


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            '"35 mm class, 520 rpm/V"',
            '"520 rpm/V"',
            'power.motor is "520 rpm/V"; write size and rpm/V, such as "35 mm, 750 rpm/V".',
        ),
        (
            '"35 mm class, 520 rpm/V"',
            '"31 mm, 520 rpm/V"',
            'power.motor is "31 mm, 520 rpm/V"; known sizes are 14 mm, 18 mm, 22 mm, 28 mm, 35 mm, 41 mm, 53 mm (the '
            "stator, the first two digits of the maker's four).",
        ),
        (
            '"6S1P Li-ion"',
            '"six cells"',
            'power.pack is "six cells"; write cells and chemistry, such as "3S4P Li-ion" or "4S LiPo".',
        ),
        (
            '"5000 mAh"',
            '"5000"',
            'power.capacity is "5000", without a unit; write it in quotes with mAh, Ah or C. Is that 5000 mAh?',
        ),
        ('"10x7"', '"9"', 'power.propeller is "9"; write diameter x pitch in inches, such as "12x6".'),
        ('"1600 mm"', '"1000 mm"', None),
    ],
)
def test_faults_in_the_short_forms(tmp_path, old, new, message):
    faults = messages(written(tmp_path, (old, new)))
    if message:
        assert faults == [message]
    else:
        assert any(line.startswith("stretch.") for line in faults)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("4S3P Li-ion", (4, 3, "lithium-ion")),
        ("4s lipo", (4, 1, "lithium-polymer")),
        ("6S3P", (6, 3, "lithium-ion")),
        ("3S 1P LiPo", (3, 1, "lithium-polymer")),
        ("4S3P LiFePO4 ", (4, 3, "lithium-iron-phosphate")),
        ("8S LFP", (8, 1, "lithium-iron-phosphate")),
    ],
)
def test_packs_in_short(text, expected):
    assert pack_in_short("").read(text) == expected


@pytest.mark.parametrize("text", ["35 mm class, 640 rpm/V", "35 mm, 640 Kv", "3520 640kv", "35mm 640 rpm/V"])
def test_motors_in_short(text):
    size, speed_constant = motor_in_short("").read(text)
    assert size == "35 mm" and speed_constant == pytest.approx(640 * 2 * math.pi / 60)


def test_fins_of_no_height_are_no_fins(tmp_path):
    study = read_study(written(tmp_path, ('root_thickness = "52 mm"', 'fin_height = "0 mm"\nroot_thickness = "52 mm"')))
    assert study.fin == ()


TRACE = """
[traced_section]
chord = "280 mm"
station = ["5 mm", "15 mm", "40 mm", "80 mm", "120 mm", "170 mm", "220 mm", "260 mm"]
above = ["7 mm", "13 mm", "19.5 mm", "21.5 mm", "19 mm", "13 mm", "6 mm", "2 mm"]
below = ["4.5 mm", "7 mm", "9.5 mm", "10.5 mm", "9.5 mm", "7 mm", "4 mm", "1 mm"]
"""


def test_a_traced_section_is_used_where_there_is_one(tmp_path):
    study = read_study(written(tmp_path, text=SMALL + TRACE))
    assert study.stock.airfoil == "traced"
    assert study.traced_section.above[2] == pytest.approx(0.0195)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            '"15 mm", "40 mm"',
            '"40 mm", "15 mm"',
            "traced_section.station[3] is 15 mm; it must lie behind the station before it (40 mm).",
        ),
        (', "260 mm"]', "]", "traced_section.above has 8 heights for 7 stations."),
        ('"260 mm"]', '"290 mm"]', "traced_section.station ends at 290 mm, behind traced_section.chord (280 mm)."),
        ('"10.5 mm"', '"-30 mm"', "traced_section.below[4] is -30 mm: the bottom would lie above the top there."),
    ],
)
def test_faults_in_a_traced_section(tmp_path, old, new, message):
    text = SMALL + TRACE
    assert text.count(old) == 1
    assert message in messages(written(tmp_path, text=text.replace(old, new)))


def test_traced_without_a_trace(tmp_path):
    path = written(tmp_path, ('root_thickness = "52 mm"', 'airfoil = "traced"\nroot_thickness = "52 mm"'))
    assert messages(path) == ['stock.airfoil is "traced", but there is no [traced_section].']


def test_every_rule_is_for_a_key_that_exists_and_has_a_text():
    for table, rules in ALL_RULES:
        assert set(rules) <= set(STUDY_TABLES[table].model.model_fields), table
        assert all(rule.__doc__ for rule in rules.values()), table
    required = {line.key for line in all_key_lines() if line.required}
    for key in (
        "span",
        "root_chord",
        "tip_chord",
        "tip_set_back",
        "root_thickness",
        "flying_weight",
    ):
        assert f"stock.{key}" in required


@pytest.mark.parametrize(
    ("pack", "capacity"),
    [
        ("3S LiPo", "5000 mAh"),
        ("4S LiPo", "2200 mAh"),
        ("5S LiPo", "6 Ah"),
        ("6S LiPo", "5000 mAh"),
        ("4S2P LiPo", "10 Ah"),
        ("3S Li-ion", "3500 mAh"),
        ("5S3P Li-ion", "9000 mAh"),
        ("6S4P Li-ion", "20 Ah"),
    ],
)
def test_every_usual_pack_fits(tmp_path, pack, capacity):
    """Check that cells and bay are arranged so that the stock pack fits, and the bay into the smooth skin."""
    text = SMALL[: SMALL.index("[known_flight]")]
    study = read_study(
        written(
            tmp_path,
            ('"6S1P Li-ion"', f'"{pack}"'),
            ('"5000 mAh"', f'"{capacity}"'),
            ('pack_weight = "490 g"', ""),
            ('"1640 g"', '"2600 g"'),
            text=text,
        )
    )
    assert all(fit.room >= 0 for fit in stock_fits(study))
    length, width, height = pack_size(study.pack, None)
    bay = study.bay[0]
    assert bay.from_nose + 0.5 * length <= study.pack.from_nose + TO_THE_MILLIMETRE
    assert study.pack.from_nose + 0.5 * length <= bay.from_nose + bay.length + TO_THE_MILLIMETRE
    assert bay.from_nose + bay.length <= study.stock.root_chord + TO_THE_MILLIMETRE
    assert bay.width >= width and bay.depth >= height - TO_THE_MILLIMETRE


@pytest.mark.parametrize("value", ["5", "true", "1979-05-27", '"wing"', "[]"])
@pytest.mark.parametrize("table", ["stock", "power", "stretch", "known_flight"])
def test_another_value_in_place_of_a_table(tmp_path, table, value):
    """Check for one sentence about that table, at its line, without errors that only follow from it."""
    start = SMALL.index(f"[{table}]")
    stop = SMALL.find("\n[", start)
    text = f"{table} = {value}\n" + SMALL[:start] + (SMALL[stop + 1 :] if stop > 0 else "")
    with pytest.raises(StudyFileError) as raised:
        read_study(written(tmp_path, text=text))
    assert any(
        fault.message.startswith(f"{table} ") or f"[{table}]" in fault.message or f"[[{table}]]" in fault.message
        for fault in raised.value.faults
    )
    assert all(fault.key.partition(".")[0].partition("[")[0] in (table, "power") for fault in raised.value.faults)


def test_faults_of_assumed_values_are_at_the_line_of_the_short_form(tmp_path):
    path = written(tmp_path, ('elevon_chord = "42 mm"', 'elevon_chord = "180 mm"'))
    line = 1 + path.read_text(encoding="utf-8").splitlines().index('elevon_chord = "180 mm"        # behind the foam')
    with pytest.raises(StudyFileError) as raised:
        read_study(path)
    assert {fault.line for fault in raised.value.faults} == {line}
