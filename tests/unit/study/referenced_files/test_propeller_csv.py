"""A propeller's file: what is accepted, and the complete message for each error, with row and probable cause."""

import csv
import math

import pytest
from helpers.places import TESTS

from tradestudy.study.referenced_files.propeller_csv import blade_fault, read_advance_ratios

DATA = TESTS / "published" / "data"


def _rows(of_thrust=1.0, of_power=1.0, of_ratio=1.0):
    return [(of_ratio * 0.1 * i, of_thrust * (0.11 - 0.012 * i), of_power * (0.05 - 0.002 * i)) for i in range(9)]


def _written(tmp_path, heads, rows):
    file = tmp_path / "mine.csv"
    lines = [",".join(heads), *(",".join(f"{value:.5g}" for value in row) for row in rows)]
    file.write_text("# on a stand\n" + "\n".join(lines) + "\n", encoding="utf-8")
    return file


def _table(tmp_path, rows, heads=("J", "CT", "CP")):
    return read_advance_ratios(_written(tmp_path, heads, rows))


def test_every_measured_sweep_is_accepted(tmp_path):
    """Check seven wind-tunnel sweeps as measured, with two overlapping runs each: J falls back where the rpm
    changes."""
    with open(DATA / "uiuc_propeller_sweeps.csv", encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    names = sorted({row["propeller"] for row in rows})
    assert len(names) == 7
    for name in names:
        sweep = [[float(row[key]) for key in ("J", "CT", "CP", "rpm")] for row in rows if row["propeller"] == name]
        assert isinstance(_table(tmp_path, sweep, ("J", "CT", "CP", "rpm")), list)


def _with(index, row):
    rows = _rows()
    return [*rows[:index], row, *rows[index + 1 :]]


@pytest.mark.parametrize(
    "rows, sentence",
    [
        (
            _rows()[:5] + _rows()[3:],
            "whose J falls from 0.4 to 0.3 at row 6; it must rise from row to row. If these are "
            "several runs, add a column rpm.",
        ),
        (_with(0, (-0.1, 0.11, 0.05)), "whose row 1 has J = -0.1; J is airspeed over rpm and diameter, 0 or more."),
        (
            _with(7, (0.7, 0.01, -0.002)),
            "whose row 8 has CP = -0.002 at J = 0.7; it must be above 0. Leave out rows where "
            "the air drives the propeller.",
        ),
        (
            _rows(1 / (4 * math.pi**2), 1 / (8 * math.pi**3)),
            "whose row 1 has CT = 0.0027863, CP = 0.00020157: that looks "
            "like rad/s in place of rev/s (T/(rho w^2 D^4), P/(rho w^3 D^5)). CT is T/(rho n^2 D^4) and CP is "
            "P/(rho n^3 D^5), with n in rev/s: multiply by 39.48 and 248.1.",
        ),
        (
            _rows(4 / math.pi**3, 4 / math.pi**4),
            "whose row 1 has CT = 0.014191, CP = 0.0020532: that looks like the tip's "
            "speed and the disk's area (T/(rho pi R^2 (w R)^2)). CT is T/(rho n^2 D^4) and CP is P/(rho n^3 D^5), "
            "with n in rev/s: multiply by 7.752 and 24.35.",
        ),
        (
            _rows(16, 32),
            "whose row 1 has CT = 1.76, CP = 1.6: that looks like the radius in place of the diameter "
            "(T/(rho n^2 R^4), P/(rho n^3 R^5)). CT is T/(rho n^2 D^4) and CP is P/(rho n^3 D^5), with n in rev/s: "
            "multiply by 0.0625 and 0.03125.",
        ),
        (
            _rows(100, 100),
            "whose row 1 has CT = 11, CP = 5: that looks like per cent. CT is T/(rho n^2 D^4) and CP is P/(rho n^3 "
            "D^5), with n in rev/s: multiply by 0.01 and 0.01.",
        ),
        (
            _rows(1, 1 / (2 * math.pi)),
            "whose row 1 has CP = 0.0079577: that looks like the torque coefficient. Give the power "
            "coefficient, which is 2 pi times that.",
        ),
        (
            _rows(1, 100),
            "whose row 1 has CT = 0.11, CP = 5; near J = 0 propellers have CT 0.03 to 0.36 and CP 0.009 to 0.28.",
        ),
        (
            _rows(1, 1, 2.0),
            "whose row 4 is 101 % efficient (J CT/CP), which no propeller is. J is V/(n D) with n in "
            "rev/s; CP is that of power, not of torque.",
        ),
        (
            _rows(1, 0.5),
            "whose row 1 has a figure of merit of 116 %; no propeller exceeds 85 %. "
            "CP is that of power, not of torque.",
        ),
    ],
    ids=[
        "J falls",
        "J below zero",
        "CP below zero",
        "rad/s",
        "tip speed",
        "radius",
        "per cent",
        "torque",
        "neither",
        "J doubled",
        "too good",
    ],
)
def test_a_table_that_cannot_be_right(tmp_path, rows, sentence):
    assert _table(tmp_path, rows) == f'names "mine.csv", {sentence}'


@pytest.mark.parametrize(
    "rpm, sentence",
    [
        ([100.0] * 9, "whose row 1 has rpm = 100; 200 to 60000 is usual. Is that rev/s? Give rpm."),
        ([0.0] * 9, "whose row 1 has rpm = 0; 200 to 60000 is usual."),
    ],
)
def test_a_column_of_rpm_that_is_wrong(tmp_path, rpm, sentence):
    rows = [(*row, turns) for row, turns in zip(_rows(), rpm, strict=True)]
    assert _table(tmp_path, rows, ("J", "CT", "CP", "rpm")) == f'names "mine.csv", {sentence}'


def test_several_runs_by_rpm_are_accepted_and_each_must_rise(tmp_path):
    runs = [(*row, rpm) for rpm in (4000, 6000) for row in _rows()]
    assert isinstance(_table(tmp_path, runs, ("J", "CT", "CP", "rpm")), list)
    back = [*runs[:5], runs[3], *runs[6:]]
    assert _table(tmp_path, back, ("J", "CT", "CP", "rpm")) == (
        'names "mine.csv", whose J falls from 0.4 to 0.3 at row 6; it must rise from row to row of one rpm.'
    )


def test_semicolons_and_decimal_commas_are_read(tmp_path):
    """Check a table as spreadsheets of many countries save it."""
    for separator, sign in ((";", ","), (";", "."), ("\t", ","), (",", ".")):
        lines = [separator.join(f"{value:.5g}".replace(".", sign) for value in row) for row in _rows()]
        file = tmp_path / "mine.csv"
        file.write_text("\n".join([separator.join(("J", "CT", "CP")), *lines]), encoding="utf-8")
        assert read_advance_ratios(file) == pytest.approx([row[0] for row in _rows()]), separator + sign


@pytest.mark.parametrize(
    "text, sentence",
    [
        ("J,CT,CP\n0,0,0,1,0,05\n", "whose row 1 holds 6 values for 3 columns; decimal commas need semicolons between"
         " the columns."),
        ("J,J,CT,CP\n0,0,0.1,0.05\n", "which has 2 columns J; one is needed."),
        ("J,CT,CP\n0,0.1,0.05\n" + "1" * 131_073 + ",0,0\n", "whose row 2 does not hold three numbers."),
        ("J,CT,CP\n0,0.1,0.05\n0.1,0.1\n", "whose row 2 does not hold three numbers."),
        ("J,CT,CP\n" + 100_000 * "0,0.1,0.05\n", "which has more than 1000000 bytes."),
        ("", "which lacks the column J; J, CT and CP are needed."),
    ],
    ids=["decimal commas", "twice", "long", "short", "endless", "empty"],
)  # fmt: skip
def test_a_file_that_is_no_table(tmp_path, text, sentence):
    file = tmp_path / "mine.csv"
    file.write_text(text, encoding="utf-8")
    assert read_advance_ratios(file) == f'names "mine.csv", {sentence}'


@pytest.mark.parametrize(
    "rows, sentence",
    [
        ([_rows()[0], *_rows(1e-12, 1e-12)[1:]], "whose CP vanishes at row 2: 4.8e-14 at J = 0.1, after 0.05."),
        ([_rows()[0], *_rows(0.0)[1:]], "whose CT vanishes at row 2: 0 at J = 0.1, after 0.11."),
        ([(j + 0.3, t, c) for j, t, c in _rows(1e-9, 1e-9)], "whose CT is at most 1.1e-10; propellers that pull have "
         "0.015 or more at their lowest J."),
    ],
    ids=["power", "thrust", "all"],
)  # fmt: skip
def test_vanishing_coefficients_are_refused(tmp_path, rows, sentence):
    assert _table(tmp_path, rows) == f'names "mine.csv", {sentence}'


BLADE = [(0.2, 0.16, 38.0), (0.4, 0.178, 28.0), (0.6, 0.16, 20.0), (0.8, 0.128, 15.5), (0.98, 0.07, 12.0)]


@pytest.mark.parametrize(
    "rows, sentence",
    [
        (BLADE, ""),
        (BLADE[:3], "which holds 3 rows; 4 or more are needed."),
        (
            [(100 * r, c, b) for r, c, b in BLADE],
            "whose row 1 has r/R = 20; give shares of the tip radius, up to 1 at the tip.",
        ),
        (
            [*BLADE[:2], BLADE[1], *BLADE[3:]],
            "whose row 3 has r/R = 0.4 after 0.4; it must rise from row to row, up to 1 at the tip.",
        ),
        (
            [(r, 100 * c, b) for r, c, b in BLADE],
            "whose row 1 has c/R = 16; above 0 to 0.6 of the tip radius is usual. In per cent?",
        ),
        ([(r, c, b + 60) for r, c, b in BLADE], "whose row 1 has beta = 98; -10 to 85 degrees is possible."),
        (
            [(r, c, math.radians(b)) for r, c, b in BLADE],
            "whose beta is 0.66323 to 0.20944; that looks like radians; give degrees.",
        ),
        (BLADE[:4], "which ends at r/R = 0.8; the outer tenth of the blade is needed too."),
    ],
    ids=["as it should be", "few", "radius in per cent", "twice", "chord in per cent", "steep", "radians", "no tip"],
)
def test_a_blade(tmp_path, rows, sentence):
    fault = blade_fault(_written(tmp_path, ("r/R", "c/R", "beta"), rows))
    assert fault == (f'names "mine.csv", {sentence}' if sentence else "")


def test_a_missing_blade_file(tmp_path):
    assert blade_fault(tmp_path / "other.csv") == 'is "other.csv"; there is no such file in the folder of the study.'
    file = _written(tmp_path, ("r/R", "c/R", "angle"), BLADE)
    assert blade_fault(file) == 'names "mine.csv", which lacks the column beta; r/R, c/R and beta are needed.'
