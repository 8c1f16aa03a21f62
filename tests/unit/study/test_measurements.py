"""Measurements files: what is read, and the complete message for each error, with its line."""

import pytest
from hypothesis import given, seed, settings
from hypothesis import strategies as st

from tradestudy.errors import CommandError, MeasurementsError
from tradestudy.study.measurements import read_measurements
from tradestudy.study.schema.flight_log import (
    LOGGED_QUANTITIES,
    Column,
    ColumnsTable,
    unit_in_heading,
    unit_named,
)

VALID = """\
[log]
delimiter = "semicolon"

[columns]
time = ["Time", "ms"]
ground_speed = "GSpd [kmh]"
course = "Hdg(°)"
amps = [7, "mA"]
throttle = ["Thr", ""]

[segments]
leave_out = [3, 5, 12]

[flight]
flying_weight = "1430 g"
"""


def read(tmp_path, text):
    path = tmp_path / "flown.toml"
    path.write_text(text, encoding="utf-8")
    return path, read_measurements(path)


def test_a_valid_file_is_read(tmp_path):
    _, measurements = read(tmp_path, VALID)
    assert measurements.logged_columns() == {
        "time": Column("Time", "ms"),
        "ground_speed": Column("GSpd [kmh]"),
        "course": Column("Hdg(°)"),
        "amps": Column(7, "mA"),
        "throttle": Column("Thr", ""),
    }
    assert measurements.log.delimiter == "semicolon" and measurements.log.decimal is None
    assert measurements.segments.leave_out == (3, 5, 12) and measurements.segments.use_only is None
    assert measurements.flight.flying_weight == pytest.approx(1.43) and measurements.flight.stall_speed is None


UNITS_OF_AMPS = "allowed is A or mA."
FAULTY = [
    ("delimiter", "delimitre", ["line   2  log.delimitre is not a known key. Did you mean delimiter?"]),
    ("[segments]", "[segmets]", ["line  11  [segmets] is not a known table. Did you mean segments?"]),
    ("ground_speed", "groundspeed", ["line   6  columns.groundspeed is not a known key. Did you mean ground_speed?"]),
    ("time = ", "tiem = ", ["line   5  columns.tiem is not a known key. Did you mean time?"]),
    (
        'time = ["Time", "ms"]\n',
        "",
        [
            "line   4  columns.time is missing: time of each row, from any start (heading, or "
            "[heading, unit]; unit s, min, h, ms, us or clock)."
        ],
    ),
    ('[7, "mA"]', '[7, "mAh"]', [f'line   8  columns.amps has the unit "mAh"; {UNITS_OF_AMPS}']),
    ('[7, "mA"]', '[7, "mmA"]', [f'line   8  columns.amps has the unit "mmA"; {UNITS_OF_AMPS} Did you mean mA?']),
    (
        '[7, "mA"]',
        '"Current"',
        [
            'line   8  columns.amps is "Current", which has no unit in brackets; write '
            '["Current", "unit"], the unit one of A or mA.'
        ],
    ),
    (
        '[7, "mA"]',
        "7",
        ['line   8  columns.amps is 7, which has no unit in brackets; write [7, "unit"], the unit one of A or mA.'],
    ),
    (
        '[7, "mA"]',
        "[0, 1, 2]",
        [
            "line   8  columns.amps is a list; write the heading of a column, such as "
            '"amps (A)", or heading and unit in brackets, such as ["amps", "A"].'
        ],
    ),
    (
        '[7, "mA"]',
        '[0, "mA"]',
        [
            'line   8  columns.amps is 0; write the heading of a column, such as "amps (A)", or '
            'heading and unit in brackets, such as ["amps", "A"].'
        ],
    ),
    ('course = "Hdg(°)"\n', "", ["line   6  columns.ground_speed is given without columns.course; give both."]),
    (
        'course = "Hdg(°)"\n',
        'latitude = "Lat (deg)"\n',
        ["line   7  columns.latitude is given without columns.longitude; give both."],
    ),
    (
        'ground_speed = "GSpd [kmh]"\ncourse = "Hdg(°)"\n',
        "",
        [
            "line   4  columns has no way over the ground; give ground_speed and course, or latitude and "
            "longitude, or north and east."
        ],
    ),
    ("12]", '"12"]', ['line  12  segments.leave_out[3] is "12"; write a whole number from 1 to 9999.']),
    (
        "12]",
        "12]\nuse_only = [1]",
        ["line  13  segments.use_only and segments.leave_out are both given; remove one of them."],
    ),
    (
        '"1430 g"',
        '"14.3 g"',
        ['line  15  flight.flying_weight is "14.3 g"; allowed is 150 g to 15 kg. Is that 14.3 oz?'],
    ),
    (
        '"1430 g"',
        '"1430 g"\nstall_speed = "20 m/s"\nfull_throttle_speed = "12 m/s"',
        ["line  17  flight.full_throttle_speed must be more than flight.stall_speed."],
    ),
    ('"1430 g"', "1430 g", ['line  15  flying_weight needs quotes around its value: flying_weight = "1430 g"']),
    (VALID, "# nothing", ["line   1  The file holds no measurements; it needs a table such as [weighed]."]),
    (
        VALID,
        '[[bench]]\nthrottle = "50 %"\namps = "3 A"',
        ["line   2  bench[1].throttle is given without volts; the voltage of the motor depends on both."],
    ),
    (
        VALID,
        '[[bench]]\namps = "3 A"',
        [
            "line   1  bench[1] is not enough; give throttle and volts with one of amps, rpm "
            "and thrust, or two of these three."
        ],
    ),
    (
        VALID,
        '[[twist]]\nmass = "100 g"\narm = "150 mm"',
        ["line   1  twist[1] needs angle or edge_drop, one of the two."],
    ),
    (VALID, '[[flown]]\ndistance = "20 km"\ntime = "30 min"', ["line   1  flown[1] needs charge_used or amps."]),
    (
        VALID,
        '[[flown]]\ndistance = "6 km"\ntime = "30 min"\namps = "4 A"\nwind = "5 m/s"',
        [
            "line   5  flown[1].wind is at least as fast as the flight over the ground; against it the wing "
            "could not fly home."
        ],
    ),
    (
        VALID,
        '[weighed]\nall_up = "1400 g"\nwithout_pack = "1410 g"',
        ["line   3  weighed.without_pack must be less than weighed.all_up."],
    ),
    (
        VALID,
        '[weighed]\nbare_halfs = "210 g"',
        ["line   2  weighed.bare_halfs is not a known key. Did you mean bare_halves?"],
    ),
]


@pytest.mark.parametrize(("old", "new", "faults"), FAULTY)
def test_complete_message_for_each_fault(old, new, faults, tmp_path):
    path = tmp_path / "flown.toml"
    assert old in VALID
    path.write_text(VALID.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(MeasurementsError) as caught:
        read_measurements(path)
    count = "1 problem" if len(faults) == 1 else f"{len(faults)} problems"
    assert str(caught.value).splitlines() == [f"{path}: {count}; nothing was run.", *(f"  {line}" for line in faults)]
    assert caught.value.exit_code == 2


def test_a_missing_file_suggests_the_nearest_name(tmp_path):
    path, _ = read(tmp_path, VALID)
    with pytest.raises(CommandError) as caught:
        read_measurements(tmp_path / "flwon.toml")
    assert str(caught.value) == f"There is no file {tmp_path / 'flwon.toml'}. Did you mean flown.toml?"
    with pytest.raises(CommandError) as caught:
        read_measurements(path.parent)
    assert str(caught.value) == f"{path.parent} is a folder; give a measurements file."


def test_every_quantity_has_its_key():
    assert list(ColumnsTable.model_fields) == list(LOGGED_QUANTITIES)


@pytest.mark.parametrize(
    ("heading", "kind", "unit"),
    [
        ("Curr(A)", "current", "A"),
        ("Curr [mA]", "current", "mA"),
        ("GSpd (kmh)", "speed", "km/h"),
        ("GSpd(kts)", "speed", "kn"),
        ("Hdg(°)", "angle", "deg"),
        ("Thr (%)", "fraction", "%"),
        ("Alt (ft)", "length", "ft"),
        ("Vario(ft/min)", "speed", "ft/min"),
        ("t (us)", "time", "us"),
        ("Erpm (rpm)", "rotation", "rpm"),
        ("Capa(mAh)", "charge", "mAh"),
        ("Curr", "current", None),
        ("Curr (V)", "current", None),
        ("A", "current", None),
        ("Curr (a)", "current", "A"),
        ("Date (clock)", "time", "clock"),
    ],
)
def test_units_in_headings(heading, kind, unit):
    assert unit_in_heading(heading, kind) == unit


def test_two_units_that_differ_by_capitals_are_not_guessed():
    assert unit_named("ma", "current") == "mA"
    assert unit_named("", "fraction") is None


@seed(3)
@settings(max_examples=40, deadline=None)
@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=60), st.integers(0, len(VALID)))
def test_hostile_files_give_faults_or_are_read(tmp_path_factory, noise, place):
    path = tmp_path_factory.getbasetemp() / "hostile.toml"
    path.write_text(VALID[:place] + noise + VALID[place:], encoding="utf-8")
    try:
        measurements = read_measurements(path)
        assert measurements.columns is None or measurements.columns.time
    except MeasurementsError as error:
        assert error.faults and all(fault.line >= 1 and fault.message for fault in error.faults)


def test_a_file_without_columns_reads_no_log(tmp_path):
    path, measurements = read(tmp_path, '[weighed]\nbare_halves = "210 g"\n')
    assert (
        measurements.weighed.bare_halves == pytest.approx(0.21)
        and measurements.columns is None
        and measurements.bench == ()
    )
    with pytest.raises(MeasurementsError) as caught:
        measurements.logged_columns()
    assert str(caught.value).splitlines()[1] == "  line   1  [columns] is missing; it needs the key time."
