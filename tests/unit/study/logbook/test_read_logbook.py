"""Logbooks as people write them: editors, spreadsheets, unknown columns, and every fault with its place."""

import datetime
from dataclasses import fields
from pathlib import Path

import pytest

from tradestudy.errors import LogbookError
from tradestudy.study.logbook.flights import Flight, cells_of_flight, flight_of_cells
from tradestudy.study.logbook.read_logbook import parse_logbook, read_logbook
from tradestudy.study.logbook.wings_file import BuiltWing, built_wings, write_wing

HEADER = "id,date,wing,pack,minutes,used,distance,full_throttle,wind,temperature,log,note,counts"


def parsed(text, tmp_path, encoding="utf-8"):
    return parse_logbook(text.encode(encoding), tmp_path / "heron.logbook.csv")


def faults(text, tmp_path):
    with pytest.raises(LogbookError) as raised:
        parsed(text, tmp_path)
    return str(raised.value)


def test_a_row_in_full(tmp_path):
    row = 'abcdef,2026-05-17,stock,A,34,5100 mAh,31 km,1/3,4 m/s,2 C,logs/a.csv,"calm, then gusts",no: motor cut'
    (flight,) = parsed(f"{HEADER}\n{row}\n", tmp_path).flights
    assert (flight.id, flight.wing, flight.pack, flight.line) == ("abcdef", "stock", "A", 2)
    assert flight.date == datetime.date(2026, 5, 17)
    assert flight.time == 34 * 60 and flight.charge == pytest.approx(5.1 * 3600)
    assert flight.distance == 31000 and flight.full_throttle == pytest.approx(1 / 3)
    assert flight.wind == 4 and flight.temperature == pytest.approx(275.15)
    assert flight.log.as_posix() == "logs/a.csv" and flight.note == "calm, then gusts" and flight.counts == "motor cut"


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_a_spreadsheet_with_semicolons_and_decimal_commas(tmp_path, line_end, encoding):
    mood = "gut" if encoding == "cp1252" else "😐"
    rows = [
        "Wing;Minutes;Used;Wind;Date;Note;My mood",
        f"stock;34,5;5,1 Ah;4,5 m/s;17.5.2026;Böen;{mood}",
        ";;;;;;",
        "",
    ]
    (flight,) = parsed(line_end.join(rows), tmp_path, encoding).flights
    assert flight.time == 34.5 * 60 and flight.charge == pytest.approx(5.1 * 3600) and flight.wind == 4.5
    assert flight.date == datetime.date(2026, 5, 17) and flight.note == "Böen" and len(flight.id) == 6


def test_rows_without_ids_have_the_same_ids_for_every_reader(tmp_path):
    one = parsed("wing,minutes,used\nstock,34,5100 mAh\nstock,34,5100 mAh\n", tmp_path)
    other = parsed("minutes;wing;used;mine\n34;stock;5100 mAh;\n34;stock;5100 mAh;\n", tmp_path)
    assert [flight.id for flight in one.flights] == [flight.id for flight in other.flights]
    assert one.flights[0].id != one.flights[1].id


def test_a_row_copied_with_its_id_and_changed_is_another_flight(tmp_path):
    first, second = parsed("id,wing,minutes\nabc,stock,34\nabc,stock,35\n", tmp_path).flights
    assert first.id == "abc" and second.id != "abc"


def test_a_row_that_stands_twice_is_refused(tmp_path):
    assert "line   3  This row repeats line 2" in faults("id,wing,minutes\nabc,stock,34\nabc,stock,34\n", tmp_path)


def test_comments_blank_lines_and_line_ends_in_a_note(tmp_path):
    text = '# my flights\n\nid,wing,minutes,note\na,stock,34,"one\ntwo ""quoted"""\n# winter\nb,stock,35,8" propeller\n'
    first, second = parsed(text, tmp_path).flights
    assert (first.line, second.line) == (4, 7)
    assert first.note == 'one\ntwo "quoted"' and second.note == '8" propeller'


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("stock,34 mils,,", 'line   2  Column 2, minutes, is "34 mils"; "mils" is not a known unit'),
        ("stock,1,,", 'Column 2, minutes, is "1 min"; allowed is 2 min to 24 h.'),
        ("stock,,,", "Column 2, minutes, is empty; write the time in the air"),
        (",34,,", 'Column 1, wing, is empty; write "stock" or the name of a built wing.'),
        ("stock,34,5100,", 'Column 3, used, is "5100", without a unit'),
        ("stock,34,5100 mWh,", "Column 3, used,"),
        ("stock,34,,01. Mrz", "a spreadsheet has made a date of it"),
        ("stock,34,,33", 'Column 4, full_throttle, is "33"; write "33 %", "1/3" or "a third".'),
        ("stock,34,,130 %", "allowed is 0 % to 100 %"),
        ("stock,34,,,,surplus", "There are 6 cells, but the header names 4 columns"),
    ],
)
def test_each_fault_names_its_line_and_column(tmp_path, row, words):
    assert words in faults(f"wing,minutes,used,full_throttle\n{row}\n", tmp_path)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("wing,minuts\nstock,34\n", 'Column 2 is "minuts", which is not known. Did you mean minutes?'),
        ("wing,used\n", "The header names no column minutes"),
        ("wing,minutes,wing\n", "The header names wing 2 times"),
        ('wing,minutes,note\nstock,34,"open\nstock,35,\n', "line   2  A quote"),
        ("# nothing but this\n", "There is no header row"),
    ],
)
def test_faults_of_the_whole_file(tmp_path, text, words):
    assert words in faults(text, tmp_path)


def test_an_empty_or_missing_logbook_has_no_flights(tmp_path):
    assert read_logbook(tmp_path / "heron.toml").flights == ()
    assert parsed("", tmp_path).flights == ()


@pytest.mark.parametrize("comma", [False, True])
def test_cells_of_a_flight_are_read_again(comma):
    full = Flight(
        "abc", datetime.date(2026, 1, 9), "long", "old", 2070.0, 18360.0, 31400.0, 0.325, 4.25, 270.65, Path("a/b.csv"),
        "two words", "gusts",
    )  # fmt: skip
    for flight in (
        full,
        Flight("abc", None, "stock", "", 1234.5, used_share=0.225),
        Flight("abc", None, "stock", "", 600.0),
    ):
        again, wrong = flight_of_cells(cells_of_flight(flight, comma), 0, comma)
        assert not wrong
        for field in fields(Flight):
            value = getattr(flight, field.name)
            expected = pytest.approx(value, rel=1e-4) if isinstance(value, float) else value
            assert getattr(again, field.name) == expected, field.name


def test_built_wings_are_written_and_read_again(tmp_path):
    study = tmp_path / "heron.toml"
    first = BuiltWing(
        "long", {"series": 5, "propeller": "11x7"}, {"extension_mm": 110.5}, datetime.date(2026, 4, 1), 2.31, 0.231
    )
    second = BuiltWing("longer-2", {"series": 5}, {"extension_mm": 150.0}, note='the "red" one')
    write_wing(study, first)
    write_wing(study, second)
    assert built_wings(study) == {"long": first, "longer-2": second}
    with pytest.raises(LogbookError, match="wing.long stands here already"):
        write_wing(study, first)


def test_a_flight_of_an_unknown_wing_is_refused(tmp_path):
    study = tmp_path / "heron.toml"
    write_wing(study, BuiltWing("long", {}, {}))
    (tmp_path / "heron.logbook.csv").write_text("wing,minutes\nlang,34\n")
    with pytest.raises(LogbookError, match="known are stock, long. Did you mean long?"):
        read_logbook(study)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[wing.long]\nweigt = 3\n", "line   2  wing.long.weigt is not known; known are built,"),
        ('[wing.long]\nweight = "2 m"\nchoice = {}\nvariables = {}', "line   2  wing.long.weight is"),
        ("[wing.stock]\n", 'line   1  wing.stock is "stock", which is the wing of the study'),
        ("[wings.long]\n", "wings is not known"),
    ],
)
def test_faults_in_the_file_of_built_wings(tmp_path, text, words):
    (tmp_path / "heron.wings.toml").write_text(text)
    with pytest.raises(LogbookError) as raised:
        built_wings(tmp_path / "heron.toml")
    assert words in str(raised.value)
