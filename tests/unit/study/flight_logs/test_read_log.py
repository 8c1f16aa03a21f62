"""Flight logs: every way of writing one gives the same numbers, and every error is reported with its line."""

from pathlib import Path

import numpy as np
import pytest
from helpers.readers.measured_file import measurements_from
from hypothesis import given, seed, settings
from hypothesis import strategies as st

from tradestudy.errors import MeasurementsError
from tradestudy.study.flight_logs.read_log import parse_log

COLUMNS = """\
[columns]
time = "t (s)"
ground_speed = "GS (m/s)"
course = "Trk (deg)"
amps = ["Curr", "A"]
"""
HEAD = "t (s),GS (m/s),Trk (deg),Curr,Mode"
COUNT = 40


@pytest.fixture()
def measured(tmp_path):
    """Return measurements with these columns, or with their own text."""

    def of(text=COLUMNS):
        return measurements_from(text, tmp_path)

    return of


def rows(count=COUNT, step=0.5):
    return [
        [
            f"{step * row:.2f}",
            f"{12 + 0.25 * (row % 3):.2f}",
            f"{(350 + row) % 360}",
            f"{5 + 0.5 * (row % 2):.1f}",
            "AUTO",
        ]
        for row in range(count)
    ]


def text(cells, head=HEAD):
    return "\n".join([head, *(",".join(row) for row in cells)]) + "\n"


def log(written, measurements):
    return parse_log(written if isinstance(written, bytes) else written.encode(), Path("flight.csv"), measurements)


PLAIN = text(rows())
WRITTEN = {
    "byte order mark": b"\xef\xbb\xbf" + PLAIN.encode(),
    "utf-16": PLAIN.encode("utf-16"),
    "windows line ends": PLAIN.replace("\n", "\r\n"),
    "tabs": PLAIN.replace(",", "\t"),
    "semicolons and decimal commas": PLAIN.replace(",", ";").replace(".", ","),
    "bars with blanks": PLAIN.replace(",", " | "),
    "quotes": "\n".join('"' + line.replace(",", '","') + '"' for line in PLAIN.splitlines()),
    "quotes around decimal commas": "\n".join(
        ",".join(f'"{cell.replace(".", ",")}"' for cell in line.split(",")) for line in PLAIN.splitlines()
    ),
    "a preamble": "Logger 7, firmware 3\nserial, 0042\n\n" + PLAIN,
    "headings in capitals": PLAIN.replace("GS (m/s)", "gs (M/S)"),
    "a mark at the end of rows": "\n".join([HEAD, *(line + "," for line in PLAIN.splitlines()[1:])]),
    "a blank line at the end": PLAIN + "\n\n",
    "units behind values": text([[f"{t} s", f"{v} m/s", c, f"{a}A", m] for t, v, c, a, m in rows()]),
    "some values in other units": text(
        [[t, v, c, a if n % 4 else f"{1000 * float(a):.0f} mA", m] for n, (t, v, c, a, m) in enumerate(rows())]
    ),
    "power lost": PLAIN + "\0" * 500,
}


@pytest.mark.parametrize("written", WRITTEN.values(), ids=WRITTEN)
def test_every_way_of_writing_gives_the_same_numbers(written, measured):
    plain, flight = log(PLAIN, measured()), log(written, measured())
    assert flight.time == pytest.approx(0.5 * np.arange(COUNT), abs=1e-12)  # tolerance: rounding
    for name, values in plain.channels.items():
        assert flight.channels[name] == pytest.approx(values, abs=1e-12)  # tolerance as above
    assert plain.notes == ()
    assert plain.channels["course"][0] == pytest.approx(np.radians(350))


def test_columns_by_number_without_headings(measured):
    numbered = '[columns]\ntime = [1, "s"]\nground_speed = [2, "km/h"]\ncourse = [3, "deg"]\namps = [4, "A"]\n'
    flight = log(text(rows()).split("\n", 1)[1], measured(numbered))
    assert len(flight.time) == COUNT and flight.line[0] == 1
    assert flight.channels["ground_speed"][1] == pytest.approx(12.25 / 3.6)


CLOCK = COLUMNS.replace('"t (s)"', '["t (s)", "clock"]')


@pytest.mark.parametrize(
    "of",
    [
        lambda s: f"{int((86390 + s) // 3600) % 24:02d}:{int((86390 + s) // 60) % 60:02d}:{(86390 + s) % 60:05.2f}",
        lambda s: (
            f"2024-02-{28 + int((86390 + s) // 86400)} {int((86390 + s) // 3600) % 24:02d}:"
            f"{int((86390 + s) // 60) % 60:02d}:{(86390 + s) % 60:05.2f}"
        ),
    ],
    ids=["time of day", "date and time"],
)
def test_clocks_run_through_midnight(of, measured):
    cells = [[of(0.5 * row), *one[1:]] for row, one in enumerate(rows())]
    assert log(text(cells), measured(CLOCK)).time == pytest.approx(0.5 * np.arange(COUNT), abs=1e-6)  # 1e9 s of date


def edited(**changes):
    """Return the text with some cells replaced: row number (from 0) and column letter -> value."""
    cells = rows()
    for place, value in changes.items():
        cells[int(place[1:])]["tgcam".index(place[0])] = value
    return text(cells)


NOTES = [
    (edited(a5="?", a9="--"), ()),
    (edited(a5="oops", a9="#err"), ('amps: 2 values cannot be read, such as "oops" on lines 7 and 11; left out.',)),
    (edited(a5="5500 mA"), ("amps: 1 value written in mA and not in A on line 7; converted.",)),
    (edited(a7="250.0"), ("amps: 1 spike on line 9 left out (far from the median of 5 neighbours).",)),
    (edited(a7="9000"), ("amps: 1 value on line 9 impossible for a small wing; left out.",)),
    (edited(t8="3.50"), ("1 row on line 10 with the time of another row; the first is kept.",)),
    (edited(t8="2.25"), ("1 row on line 10 out of order; sorted by time.",)),
    (edited(t8=""), ("1 row on line 10 without a time; left out.",)),
    (edited(t8="99999"), ("The time on line 10 is far from its neighbours; left out.",)),
    (PLAIN.replace("\n5.00,", "\n5.00,7,"), ("1 row on line 12 left out: 6 values, but there are 5 headings.",)),
    (PLAIN + HEAD + "\n", (f"The headings are repeated on line {COUNT + 2}; left out.",)),
    (
        text([row for row in rows() if not 5 <= float(row[0]) < 12]),
        ("1 gap in time; the longest, 8 s, ends on line 12. No segment crosses a gap.",),
    ),
    (
        text([[f"{float(row[0]) // 2 * 2:.0f}", *row[1:]] for row in rows()]),
        ("The clock of the log moves in steps of 2 s with 4 rows each; rows are spread evenly over each step.",),
    ),
    (
        text([row for each in rows() for row in (each, each)]),
        (f"{COUNT} rows on lines 3, 5, 7 and {COUNT - 3} more the same as the row before; left out.",),
    ),
    (
        text([[f"{200 + float(row[0]):.1f}", *row[1:]] for row in rows(25)] + rows(30)),
        (
            "Time starts again on line 27; the longest part is read, lines 27 to 56. To use every part, save each as "
            "a file of its own.",
        ),
    ),
    (
        text([["1" if n < 4 else f"{1.7e9 + n:.0f}", *row[1:]] for n, row in enumerate(rows())]),
        (
            "Time starts again on line 6; the longest part is read, lines 6 to 41. To use every part, save each as a "
            "file of its own.",
        ),
    ),
    (
        PLAIN.encode() + "\n".encode("utf-16-le") + b"\xb0",
        (
            "The log is not UTF-8; it was read as Windows text (cp1252).",
            "1 empty byte left out; a logger writes them when it loses power.",
            "1 row on line 43 left out: 1 value, but there are 5 headings.",
        ),
    ),
]


@pytest.mark.parametrize(("written", "notes"), NOTES)
def test_every_correction_is_reported(written, notes, measured):
    flight = log(written, measured())
    assert flight.notes == notes
    assert np.all(np.diff(flight.time) > 0)


def test_a_row_out_of_order_is_sorted_by_time(measured):
    flight = log(edited(t8="2.25", g8="77"), measured())
    assert flight.line[4:7].tolist() == [6, 10, 7]
    assert flight.time[5] == 2.25


def test_ambiguous_numbers_are_left_out(measured):
    cells = rows()
    written = text(cells).replace(",", ";").replace(";5.5;", ";5,500;", 1)
    flight = log(written, measured())
    assert flight.notes == ('amps: 1 value cannot be read, such as "5,500" on line 3; left out.',)
    comma = log(written.replace(".", ","), measured())
    assert comma.notes == () and comma.channels["amps"][1] == pytest.approx(5.5)
    both = log(text(cells).replace(",", ";").replace(";5.5;", ";0.005,5;", 1), measured())
    assert both.channels["amps"][1] == pytest.approx(5.5)  # with a thousands separator, 0.005,5 is five and a half


def test_positions_without_a_fix_and_a_frozen_receiver(measured):
    where = COLUMNS + 'latitude = "Lat (deg)"\nlongitude = "Lon (deg)"\n'
    cells = [[*row, f"{47 + 5e-5 * n:.6f}", "8.0"] for n, row in enumerate(rows(60))]
    for n in (0, 1):
        cells[n][5] = cells[n][6] = "0"
    for n in range(30, 44):
        cells[n][5] = cells[30][5]
    flight = log(text(cells, HEAD + ",Lat (deg),Lon (deg)"), measured(where))
    assert flight.notes == (
        "Position 0, 0 on lines 2 and 3: no fix; left out.",
        "The receiver repeats its last fix for 6 s on line 32 while the wing moves; left out.",
    )
    unknown = np.flatnonzero(np.isnan(flight.channels["north"]))
    assert unknown.tolist() == [0, 1, *range(30, 44)]
    assert flight.channels["north"][29] == pytest.approx(27 * 5e-5 * 111170, rel=1e-3)  # a degree at 47 N, table value


REFUSED = [
    (PLAIN.replace("Curr", "Current"), 'columns.amps: the log has no column "Curr". Did you mean Current?'),
    (
        PLAIN.replace("Mode", "Curr"),
        'columns.amps: the log has 2 columns "Curr"; give the number of the column, 4 or 5.',
    ),
    (
        text([[t, v, c, f"{1000 * float(a):.0f}", m] for t, v, c, a, m in rows()]),
        'columns.amps: 100 % of the column "Curr", read in A, is impossible for a small wing, such as 5250 A.'
        " Is that mA?",
    ),
    (
        text([[t, v, c, m, a] for t, v, c, a, m in rows()]),
        'columns.amps: the column "Curr" holds hardly any numbers, such as "AUTO" on line 2.',
    ),
    (text([[t, v, c, "", a] for t, v, c, a, m in rows()]), 'columns.amps: the column "Curr" holds hardly any numbers.'),
]


@pytest.mark.parametrize(("written", "sentence"), REFUSED)
def test_wrong_columns_are_refused_at_their_line(written, sentence, measured):
    measurements = measured()
    with pytest.raises(MeasurementsError) as caught:
        log(written, measurements)
    assert str(caught.value) == f"{measurements.path}: 1 problem; nothing was run.\n  line   5  {sentence}"


UNREADABLE = [
    (
        text([[f"{4000 * row}", *one[1:]] for row, one in enumerate(rows())]),
        2,
        "The log lasts 43.3 hours by its times; at most a day is read. Is the unit of the time right?",
    ),
    ("", 1, "The first 80 lines hold none of the headings named in the measurements file (t (s), ...)."),
    (HEAD, 1, "There is no row below the headings."),
    (
        "\n".join([HEAD] + ["1,5,2,5,3,5,4,5,A"] * 30),
        2,
        "The row has 9 values, but there are 5 headings: decimal commas cannot be told from commas between values. "
        "Export the log with semicolons.",
    ),
    ("\n".join([HEAD] + ["1,2"] * 30), 2, "No row has 5 values, as the headings have; this one has 2."),
    (text(rows(5)), 2, "5 rows with different times are left; 20 or more are needed."),
    (
        text([["7.0", *row[1:]] for row in rows()]),
        2,
        "1 rows with different times are left; 20 or more are needed. 39 rows on lines 3, 4, 5 and 36 more with the "
        "time of another row; the first is kept.",
    ),
]


@pytest.mark.parametrize(("written", "line", "sentence"), UNREADABLE)
def test_logs_that_cannot_be_read(written, line, sentence, measured):
    with pytest.raises(MeasurementsError) as caught:
        log(written, measured())
    assert str(caught.value) == f"flight.csv: 1 problem; nothing was run.\n  line {line:3d}  {sentence}"


def test_a_heading_that_contradicts_the_unit_is_reported(measured):
    flight = log(PLAIN, measured(COLUMNS.replace('"GS (m/s)"', '["GS (m/s)", "km/h"]')))
    assert flight.notes == ('ground_speed: the heading "GS (m/s)" says m/s, the measurements file km/h; read as km/h.',)
    assert flight.channels["ground_speed"][0] == pytest.approx(12 / 3.6)


CELL = st.one_of(
    st.floats(allow_nan=True).map(str),
    st.integers(-(10**30), 10**30).map(str),
    st.text(alphabet=st.characters(codec="utf-8"), max_size=12),
    st.sampled_from(["", "nan", "1,5", "1.234,5", "-", "1e999", '"', "12:30:00", "5 mA", "0x10", "9" * 400]),
)


@pytest.fixture(scope="module")
def module_measurements(tmp_path_factory):
    return measurements_from(COLUMNS, tmp_path_factory.mktemp("hostile"))


@seed(11)
@settings(max_examples=50, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 39), st.integers(0, 4), CELL), max_size=30), st.binary(max_size=20))
def test_hostile_logs_are_read_or_refused(module_measurements, changes, tail):
    cells = rows()
    for row, column, value in changes:
        cells[row][column] = value
    try:
        flight = log(text(cells).encode() + tail, module_measurements)
    except MeasurementsError as error:
        assert error.faults and all(fault.message for fault in error.faults)
        return
    assert np.all(np.diff(flight.time) > 0) and len(flight.time) >= 20
    assert flight.line.min() >= 2
    for values in flight.channels.values():
        assert not np.isinf(values).any()
    assert np.nanmax(flight.channels["amps"], initial=0) <= 300
