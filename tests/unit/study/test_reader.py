"""From file to `Study`: SI values, defaults with their origin, referenced files, and many errors at once."""

import math
import os
from pathlib import Path

import pytest
from helpers.edited import edited
from helpers.places import STUDIES
from pydantic import ValidationError

from tradestudy.errors import CommandError, Fault, StudyFileError
from tradestudy.study.consistency import pack as pack_rules
from tradestudy.study.consistency.pack import pack_size
from tradestudy.study.consistency.stock_geometry import mean_chord, stock_thickness
from tradestudy.study.reader import read_study
from tradestudy.study.schema import power as schema_power
from tradestudy.study.schema.study import STUDY_TABLES, Study, key_lines

ROUNDING = 1e-12  # relative: a few floating-point operations


@pytest.fixture(scope="module")
def dunlin() -> Study:
    return read_study(STUDIES / "dunlin.toml")


def changed(folder: Path, *edits: tuple[str, str]) -> Path:
    """Write the Dunlin study with edits into ``folder``."""
    path = folder / "study.toml"
    path.write_text(edited((STUDIES / "dunlin.toml").read_text(encoding="utf-8"), *edits), encoding="utf-8")
    return path


def faults(path: Path) -> list[Fault]:
    with pytest.raises(StudyFileError) as raised:
        read_study(path)
    return raised.value.faults


def test_values_are_si(dunlin):
    """Compare by hand with the text of the file. Factors are as in the tests of key types."""
    assert dunlin.stock.span == pytest.approx(37 * 0.0254, rel=ROUNDING)
    assert dunlin.stock.washout == pytest.approx(2 * math.pi / 180, rel=ROUNDING)
    assert dunlin.stock.flying_weight == pytest.approx(25.5 * 0.45359237 / 16, rel=ROUNDING)
    assert dunlin.motor.speed_constant == pytest.approx(1400 * 2 * math.pi / 60, rel=ROUNDING)
    assert dunlin.fly.never_exceed_speed == pytest.approx(135 / 3.6, rel=ROUNDING)
    assert dunlin.fly.temperature == pytest.approx(288.15, rel=ROUNDING)  # the default, 15 C
    assert dunlin.stretch.rod_length_sold == pytest.approx(39 * 0.0254, rel=ROUNDING)
    assert dunlin.drag_item[3].drag_area == pytest.approx(1.5e-4, rel=ROUNDING)
    assert dunlin.equipment[0].may_move == pytest.approx((0.185, 0.225), rel=ROUNDING)
    assert dunlin.choices.propeller == ("7x5", "8x5")
    assert dunlin.propeller.diameter == pytest.approx(7 * 0.0254, rel=ROUNDING)
    assert dunlin.propeller.pitch == pytest.approx(5 * 0.0254, rel=ROUNDING)


def test_tables_left_out(tmp_path):
    """Check a study without rod across the middle, choices and limits."""
    text = (STUDIES / "dunlin.toml").read_text(encoding="utf-8")
    for first, following in (("[joiner]", "[[bay]]"), ("[choices]", "[fly]"), ("[limits]", None)):
        start = text.index(first)
        text = text[:start] + (text[text.index(following) :] if following else "")
    path = tmp_path / "study.toml"
    path.write_text(text, encoding="utf-8")
    study = read_study(path)
    assert study.joiner is None
    assert study.choices.parallel is None
    assert study.limits.static_margin is None
    assert study.limits.climb == pytest.approx(2.0, rel=ROUNDING)


def test_defaults_used_name_key_value_and_origin(dunlin):
    used = {one.key: (one.value, one.origin) for one in dunlin.defaults_used}
    assert used["fly.temperature"] == ("15 C", "ISO 2533:1975 standard atmosphere, sea level")
    assert "rods[1].slot_depth" not in used  # stated: 4 mm
    assert used["drag_item[2].count"] == ("1", "not stated")
    assert used["motor.resistance"][0] == "from the class rule"
    assert "stretch.keep" not in used  # has no effect in the scheme "tip"
    assert "equipment[2].may_move" not in used  # missing, and not assumed
    assert all(origin for _, origin in used.values())


def test_every_optional_key_states_where_its_default_comes_from():
    lines = key_lines()
    assert {line.table for line in lines} == set(STUDY_TABLES)
    assert all(line.origin for line in lines if not line.required)
    assert all(line.meaning and line.allowed for line in lines)


def test_a_study_is_frozen_and_keeps_its_text(dunlin):
    with pytest.raises(ValidationError):
        dunlin.stock.span = 1.0
    with pytest.raises(AttributeError):
        dunlin.stock = None
    assert dunlin.text == (STUDIES / "dunlin.toml").read_text(encoding="utf-8")
    assert dunlin.file_path("x.csv") == STUDIES / "x.csv"
    # a path as text is accepted, and reading again gives the same
    assert read_study(str(STUDIES / "dunlin.toml")) == dunlin


def test_mean_chord_of_shapes_known_in_closed_form(dunlin):
    """Compare a rectangle and a triangle: the chord itself at half the set-back, and 2/3 of the root.

    Anderson, Fundamentals of Aerodynamics, definition of the mean aerodynamic chord; from memory.
    """
    wing = dict(span=2.0, centre_width=0.0, root_chord=0.3, tip_chord=0.3, tip_set_back=0.4)
    no_elevon = dunlin.elevon.model_construct(root_chord=0.0, tip_chord=0.0)
    stock = dunlin.stock.model_construct(**wing)
    assert mean_chord(stock, no_elevon) == pytest.approx((0.3, 0.2), rel=ROUNDING)
    stock = dunlin.stock.model_construct(**{**wing, "tip_chord": 0.0})
    assert mean_chord(stock, no_elevon) == pytest.approx((0.2, 0.4 / 3), rel=ROUNDING)
    # a centre piece half the span wide, without sweep: set-back acts on the other half only
    stock = dunlin.stock.model_construct(**{**wing, "centre_width": 1.0})
    assert mean_chord(stock, no_elevon) == pytest.approx((0.3, 0.1), rel=ROUNDING)


def test_thickness_follows_the_chord(dunlin):
    stock = dunlin.stock.model_construct(
        span=2.0, centre_width=0.2, root_chord=0.3, tip_chord=0.15, root_thickness=0.03
    )
    assert stock_thickness(stock, 0.05) == pytest.approx(0.03, rel=ROUNDING)  # on the centre piece
    assert stock_thickness(stock, 0.55) == pytest.approx(0.0225, rel=ROUNDING)  # half way out
    assert stock_thickness(stock, 1.0) == pytest.approx(0.015, rel=ROUNDING)


FLAT = {"length": 0.102, "width": 0.034, "thickness": 0.0078}
ROUND = {"length": 0.0653, "diameter": 0.0186}


@pytest.mark.parametrize(
    ("cell", "series", "parallel", "across", "high", "expected_mm"),
    [
        (FLAT, 3, 1, 1, 3, (112.0, 36.0, 25.4)),
        (FLAT, 3, 2, 2, 3, (112.0, 70.0, 25.4)),
        (FLAT, 3, 2, 1, 3, (214.0, 36.0, 25.4)),  # two blocks in line
        (ROUND, 4, 1, 4, 1, (75.3, 76.4, 20.6)),
        (ROUND, 3, 1, 2, 1, (140.6, 39.2, 20.6)),  # the third cell starts a second row
    ],
)
def test_pack_size(dunlin, monkeypatch, cell, series, parallel, across, high, expected_mm):
    """Check cells that lie lengthwise, counted by hand, with 10 mm of terminals and 2 mm of wrap."""
    monkeypatch.setattr(schema_power, "catalogue_part", lambda kind, name: cell)
    pack = dunlin.pack.model_construct(
        cell="any", series=series, parallel=parallel, cells_across=across, cells_high=high
    )
    assert [1000 * side for side in pack_size(pack, None)] == pytest.approx(expected_mm, rel=ROUNDING)


TABLE = "# measured on a stand\nJ,CT,CP\n" + "\n".join(
    f"{0.1 * i:.1f},{0.1 * (1 - 0.12 * i):.3f},0.05" for i in range(10)
)


def test_a_propeller_table_in_the_folder_of_the_study(tmp_path):
    path = changed(tmp_path, ('size = "7x5"', 'size = "7x5"\ntable = "mine.csv"'))
    (tmp_path / "mine.csv").write_text(TABLE, encoding="utf-8")
    assert read_study(path).propeller.table == "mine.csv"


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (TABLE.replace("CP", "Cp"), 'names "mine.csv", which lacks the column CP; J, CT and CP are needed.'),
        (TABLE.replace("0.3,", "x,"), 'names "mine.csv", whose row 4 does not hold three numbers.'),
        (TABLE.replace("0.3,", "nan,"), 'names "mine.csv", whose row 4 does not hold three numbers.'),
        ("\n".join(TABLE.split("\n")[:5]), 'names "mine.csv", which holds 3 rows; 6 or more are needed.'),
        ("", 'names "mine.csv", which lacks the column J; J, CT and CP are needed.'),
    ],
    ids=["misspelt column", "a word", "not a number", "three rows", "empty"],
)
def test_a_propeller_table_that_cannot_be_used(tmp_path, content, sentence):
    path = changed(tmp_path, ('size = "7x5"', 'size = "7x5"\ntable = "mine.csv"'))
    (tmp_path / "mine.csv").write_text(content, encoding="utf-8")
    assert [fault.message for fault in faults(path)] == [f"propeller.table {sentence}"]


def test_a_propeller_table_that_ends_before_top_speed(tmp_path):
    """Compare by hand: 0.8 x 1400 rpm/V x 3 x 3.6 V = 12096 rpm; 112.5 km/h / (201.6 / s x 177.8 mm) is J = 0.87."""
    path = changed(tmp_path, ('size = "7x5"', 'size = "7x5"\ntable = "mine.csv"'))
    (tmp_path / "mine.csv").write_text("\n".join(TABLE.split("\n")[:9]), encoding="utf-8")  # J up to 0.6
    assert [fault.message for fault in faults(path)] == [
        "propeller.table covers J from 0.00 to 0.60; top speed (112 km/h, never_exceed_speed / 1.2) at "
        "12096 rpm needs 0.87. Measure more rows, or leave the table out."
    ]


OUTLINE = "My section\n" + "\n".join(
    f"{x:.2f} {side * 0.3 * math.sqrt(x) * (1 - x):.4f}"
    for side, stations in ((1, range(20, -1, -1)), (-1, range(1, 21)))
    for x in (i / 20 for i in stations)
)


def test_a_coordinate_file_in_the_folder_of_the_study(tmp_path):
    path = changed(tmp_path, ('airfoil = "mh60"', 'airfoil = "my section.dat"'))
    (tmp_path / "my section.dat").write_text(OUTLINE, encoding="utf-8")
    assert read_study(path).stock.airfoil == "my section.dat"


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        ("\n".join(OUTLINE.split("\n")[:4]), "which holds 3 rows of two numbers; 12 or more are needed."),
        ("\n".join(f"{i * 10} {i}" for i in range(21)), "which has x from 0 to 200; 0 to 1 is needed, per unit chord."),
    ],
    ids=["cut short", "in millimetres"],
)
def test_a_coordinate_file_that_cannot_be_used(tmp_path, content, sentence):
    path = changed(tmp_path, ('airfoil = "mh60"', 'airfoil = "mine.dat"'))
    (tmp_path / "mine.dat").write_text(content, encoding="utf-8")
    message = f'stock.airfoil names the file "mine.dat", {sentence}'
    assert [fault.message for fault in faults(path)] == [message]


@pytest.mark.parametrize("name", ["mh45", "naca2412", "NACA0012"])
def test_airfoils_the_library_knows(tmp_path, name):
    path = changed(tmp_path, ('airfoil = "mh60"', f'airfoil = "{name}"'))
    assert read_study(path).stock.airfoil == name


def test_rules_of_a_faulty_table_are_skipped_and_the_others_run(tmp_path):
    """Check that an error in [stock] hides the rules on the span, but not the errors of other tables or their rules."""
    path = changed(
        tmp_path,
        ('span = "37 in"', 'span = "37"'),
        ('tip_chord_fraction = 0.50\nouter_end = "430 mm"', 'outer_end = "1430 mm"'),
        ('bay = "nose"', 'bay = "tail"'),
        ('never_exceed_speed = "135 km/h"', 'never_exceed_speed = "35 km/h"'),
    )
    all_faults = faults(path)
    assert [fault.key for fault in all_faults] == ["stock.span", "pack.bay", "fly.never_exceed_speed"]
    assert [fault.line for fault in all_faults] == sorted(fault.line for fault in all_faults)


def test_faults_of_several_tables_are_sorted_by_line(tmp_path):
    path = changed(
        tmp_path,
        ("series = 3", "series = 0"),
        ("launch_speed =", "lanch_speed ="),
        ('material = "EPP 30"', 'material = "EPP"'),
    )
    assert [fault.key for fault in faults(path)] == ["foam.material", "pack.series", "fly.lanch_speed"]


@pytest.mark.parametrize(("longest", "fits"), [("2140 mm", True), ("2150 mm", False)])
def test_how_far_a_taper_can_be_carried_on(tmp_path, longest, fits):
    """Compare by hand: a panel of 450 mm tapers from 270 to 160 mm, so 20 mm is reached 573 mm further out: 2145 mm."""
    path = changed(
        tmp_path,
        ('span = ["37 in", "54 in"]', f'span = ["1000 mm", "{longest}"]'),
        ('span = "37 in"', 'span = "1000 mm"\ncentre_width = "100 mm"'),
    )
    if fits:
        assert read_study(path).stretch.span[1] == pytest.approx(2.14, rel=ROUNDING)
    else:
        assert [fault.key for fault in faults(path)] == ["stretch.span[2]"]


@pytest.mark.parametrize(("place", "fits"), [(0.0, True), (-0.05, True), (-0.2, False)])
def test_a_pack_has_a_little_room_to_the_wall_of_its_bay(dunlin, monkeypatch, place, fits):
    """Check a pack 112 mm long in a bay from 37 to 187 mm: its centre is at 94 mm, with 1 mm of room at the front wall.

    In foam, a tenth of a millimetre is no error.
    """
    monkeypatch.setattr(schema_power, "catalogue_part", lambda kind, name: FLAT)
    pack = dunlin.pack.model_copy(update={"from_nose": 0.094 + 1e-3 * place, "cells_across": 1, "cells_high": 3})
    expected = [] if fits else [("pack", "from_nose")]
    deep = tuple(bay.model_copy(update={"depth": 0.03}) for bay in dunlin.bay)  # room for three of these cells
    assert [at for at, _ in pack_rules._pack_fits(pack, deep)] == expected


def test_a_table_repeated_too_often(tmp_path):
    path = changed(tmp_path)
    text = path.read_text(encoding="utf-8") + 50 * '[[drag_item]]\nkind = "skid"\n'
    path.write_text(text, encoding="utf-8")
    message = "[[drag_item]] is given 54 times; 0 to 40 are allowed."
    assert [fault.message for fault in faults(path)] == [message]


def test_a_file_in_a_folder_without_permission_is_not_said_to_be_missing(tmp_path, monkeypatch):
    def refused(*given):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.open", refused)
    with pytest.raises(CommandError, match=r"x.toml cannot be read: Permission denied\.$"):
        read_study(tmp_path / "x.toml")


@pytest.mark.parametrize("name", ["x" * 300 + ".toml", "no such folder/x.toml"])
def test_paths_that_do_not_exist(tmp_path, name):
    with pytest.raises(CommandError) as raised:
        read_study(tmp_path / name)
    assert str(raised.value) == f"There is no file {tmp_path / name}."


def test_a_file_that_cannot_be_read(tmp_path, monkeypatch):
    def refuse(self, *how):
        raise PermissionError(13, "Permission denied")

    path = changed(tmp_path)
    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(CommandError) as raised:
        read_study(path)
    assert str(raised.value) == f"{path} cannot be read: Permission denied."


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("[" + ".".join(["a"] * 90_000) + "]\nx = 1\n", 1),
        ("[stock]\n" + " . ".join(["'a'"] * 21) + " = 1\n", 2),
        ("[stock]\nx = {" + ".".join(['"a"'] * 21) + " = 1}\n", 2),
    ],
    ids=["table", "key", "inline"],
)
def test_a_key_of_many_names_is_refused_at_once(text, line, tmp_path):
    path = tmp_path / "s.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(StudyFileError) as raised:
        read_study(path)
    (fault,) = raised.value.faults
    assert (fault.line, fault.message[:37]) == (line, "A key or table has more than 20 names")


def test_a_file_that_is_far_too_long_is_refused(tmp_path):
    (tmp_path / "long.toml").write_bytes(b"#" * 200_001)
    with pytest.raises(StudyFileError, match="The file has more than 200000 bytes, the most that is read."):
        read_study(tmp_path / "long.toml")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="Windows has no named pipes in folders")
def test_a_pipe_or_a_device_is_refused_at_once(tmp_path):
    os.mkfifo(tmp_path / "pipe.toml")  # nobody writes into it
    for path in (tmp_path / "pipe.toml", "/dev/zero"):
        with pytest.raises(CommandError, match=f"{path} is no file but a pipe or a device; give a study file"):
            read_study(path)


@pytest.mark.skipif(not os.path.exists("/dev/fd"), reason="this system has no files for open inputs")
def test_a_study_from_a_shell_is_read():
    reading, writing = os.pipe()
    with open(writing, "wb") as pipe:
        pipe.write((STUDIES / "lapwing.toml").read_bytes())
    with open(reading, "rb"):
        assert read_study(Path(f"/dev/fd/{reading}")).stock.span == 1.2
