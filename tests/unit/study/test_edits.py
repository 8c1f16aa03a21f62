"""Single keys of a study set by their dotted names: the text that results, and what a person is told."""

import difflib
import tomllib

import pytest
from helpers.places import STUDIES

import tradestudy as ts
from tradestudy.commands.kept_results import inputs_text, results_folder
from tradestudy.study.edits.edit_study import EditRefused, edited_study, edited_text
from tradestudy.study.edits.named_key import UnknownKey, place_of
from tradestudy.study.edits.typed_value import SI
from tradestudy.study.edits.what_stays import notes_on_edits

GODWIT = ts.load(STUDIES / "godwit.toml")
INLINE = """\
# a wing
stock = { span = "1360 mm", root_chord = "330 mm" } # measured
rods = { diameter = "4 mm", pairs = 1 }
equipment = [
  { name = "a", mass = "3 g" }, # one
  { name = "b", mass = "4 g" },
]
"""


def changed_lines(before, after):
    rows = difflib.unified_diff(before.splitlines(), after.splitlines(), n=0, lineterm="")
    return [row for row in rows if row[0] in "+-" and row[:3] not in ("+++", "---")]


def given_places(text):
    for table, content in tomllib.loads(text).items():
        items = enumerate(content) if isinstance(content, list) else [(None, content)]
        for index, item in items:
            for key, value in item.items():
                yield (table, key) if index is None else (table, index, key), value


@pytest.mark.parametrize("name", ["godwit", "lapwing", "dunlin", "sanderling", "lapwing_club"])
def test_a_value_set_to_itself_changes_no_letter(name):
    text = (STUDIES / f"{name}.toml").read_text(encoding="utf-8")
    values = dict(given_places(text))
    # a list of several lines would be written on one, and 0.50 as 0.5
    assert edited_text(text, {place: value for place, value in values.items() if isinstance(value, str)}) == text
    assert tomllib.loads(edited_text(text, values)) == tomllib.loads(text)


def test_a_key_can_be_left_out():
    """Check that its line alone goes, and that its value is then assumed, or that there is no such thing."""
    made = edited_study(GODWIT, {"stretch.washout": None, "equipment.camera.power": None})
    assert changed_lines(GODWIT.text, made.text) == [
        '-power = "6 W"',
        '-washout = ["0 deg", "4 deg"]             # leave out to keep the stock washout',
    ]
    assert made.stretch.washout is None and "equipment[1].power" in [used.key for used in made.defaults_used]
    assert [(edit.key, edit.value) for edit in made.edits] == [
        ("stretch.washout", "left out"),
        ("equipment[1].power", "left out"),
    ]
    assert edited_study(made, {"equipment.camera.power": "6 W"}).all_equipment[0].power == 6.0
    with pytest.raises(EditRefused, match=r"stretch.span\[1\] is one value of a list, and cannot be left out"):
        edited_study(GODWIT, {"stretch.span[1]": None})
    with pytest.raises(EditRefused, match="fly.wind is not given in the file"):
        edited_study(GODWIT, {"fly.wind": None})


def test_only_the_line_of_the_key_changes_and_its_comment_stays():
    made = edited_study(GODWIT, {"stretch.washout": "2 deg", "limits.climb": "3 m/s", "equipment.camera.power": "3 W"})
    assert changed_lines(GODWIT.text, made.text) == [
        '-power = "6 W"',
        '+power = "3 W"',
        '-washout = ["0 deg", "4 deg"]             # leave out to keep the stock washout',
        '+washout = ["2 deg", "2 deg"]             # leave out to keep the stock washout',
        '-climb = "2 m/s"',
        '+climb = "3 m/s"',
    ]
    assert made.all_equipment[0].power == 3.0 and made.limits.climb == 3.0
    assert GODWIT.limits.climb == 2.0  # the study itself is as before


def test_tables_within_one_line_keep_their_form():
    values = {("stock", "span"): "1400 mm", ("stock", "washout"): "2 deg", ("rods", 0, "pairs"): 2}
    made = edited_text(INLINE, values | {("equipment", 1, "mass"): "5 g", ("fly", "wind"): "4 m/s"})
    assert 'stock = { span = "1400 mm", root_chord = "330 mm", washout = "2 deg"} # measured\n' in made
    assert 'rods = { diameter = "4 mm", pairs = 2 }\n' in made and '  { name = "b", mass = "5 g" },\n' in made
    assert made.endswith('\n[fly]\nwind = "4 m/s"\n')


@pytest.mark.parametrize(
    "values",
    [
        {("rods", 1, "diameter"): "5 mm"},  # a second item beside a single table
        {("equipment", 2, "name"): "c", ("equipment", 2, "mass"): "5 g"},
        {("fin", 0, "height"): "130 mm", ("fin", 1, "height"): "120 mm"},
    ],
)
def test_new_items_are_added_behind_the_others(values):
    made = tomllib.loads(edited_text(INLINE, values))
    for (table, number, key), value in values.items():
        assert made[table][number][key] == value
    assert made["stock"] == tomllib.loads(INLINE)["stock"]
    assert made["rods"] == tomllib.loads(INLINE)["rods"] or made["rods"][0] == tomllib.loads(INLINE)["rods"]


@pytest.mark.parametrize(
    "name, place",
    [
        ("stock.span", ("stock", "span")),
        ("equipment[2].mass", ("equipment", 1, "mass")),
        ("equipment[7].mass", ("equipment", 6, "mass")),  # a new one
        ("equipment.camera.mass", ("equipment", 0, "mass")),
        ('equipment."camera and video transmitter".mass', ("equipment", 0, "mass")),
        ("equipment[Servos].mass", ("equipment", 2, "mass")),
        ("rods.rear.diameter", ("rods", 1, "diameter")),
        ("stretch.span[2]", ("stretch", "span", 1)),
    ],
)
def test_names_of_keys(name, place):
    assert place_of(GODWIT, name) == place


@pytest.mark.parametrize(
    "name, words",
    [
        ("stock.spam", "Did you mean stock.span?"),
        ("stok.span", "Did you mean stock.span?"),
        ("wind", "Did you mean fly.wind or mission.wind?"),
        ("limits.wind", "Did you mean fly.wind or mission.wind?"),
        ("rods.rear.diamter", "Did you mean rods[rear].diameter"),
        ("equipment.mass", "[[equipment]] stands 6 times. Name one: equipment[1].mass (camera"),
        ("equipment.camra.mass", "Did you mean equipment[1].mass (camera and video transmitter)?"),
        ("equipment[9].mass", "There is no equipment[9]; the study has 6: "),
        ("equipment.and.mass", "fits several: "),
        ("stock.front.span", "there is only one [stock]"),
        ("span", "Did you mean stock.span or stretch.span?"),
        ("qqq", "tradestudy keys lists all"),
    ],
)
def test_names_that_are_no_keys(name, words):
    with pytest.raises(UnknownKey) as error:
        place_of(GODWIT, name)
    assert words in str(error.value)


def test_values_of_every_kind():
    made = edited_study(
        GODWIT,
        {
            "choices.parallel": "2,3",
            "choices.rod_pairs": "[1, 2]",
            "choices.propeller": ["11x7"],
            "fly.cruise_at_least": "45 km/h",
            "fly.purpose": "out_and_home",
            "bay[1].through": "false",
            "fly.pull_up": "4",
            "stretch.span": [SI(1.3), SI(1.5)],
            "pack.temperature": SI(283.15),
            "foam.material": '"EPP 30"',
        },
    )
    assert made.choices.parallel == (2, 3) and made.choices.rod_pairs == (1, 2) and made.choices.propeller == ("11x7",)
    assert made.fly.cruise_at_least.speed == pytest.approx(12.5) and made.fly.purpose == "out_and_home"
    assert made.fly.pull_up == 4.0 and made.stretch.span == (1.3, 1.5) and made.foam.material == "EPP 30"
    assert made.pack.temperature == pytest.approx(283.15)
    assert edited_study(GODWIT, {"fly.cruise_at_least": "1.6"}).fly.cruise_at_least == (1.6, 0.0)


def test_every_error_is_told_with_the_words_that_asked_for_it():
    with pytest.raises(EditRefused) as error:
        edited_study(
            GODWIT,
            {"stock.span": "56 mm", "fly.winds": "2", "fly.wind": 3, "choices.parallel": "2,77"},
            lambda key, value: f"--set {key}={value}",
        )
    _, *lines = str(error.value).splitlines()
    assert lines == [
        "  --set choices.parallel=2,77: choices.parallel[2] is 77; write a whole number from 1 to 12.",
        "  --set fly.wind=3: fly.wind is 3, without a unit; write it in quotes with m/s, km/h, mph or kn. "
        "Is that 3 km/h?",
        '  --set fly.winds=2: "fly.winds" is not a known key. Did you mean fly.wind?',
        '  --set stock.span=56 mm: stock.span is "56 mm"; allowed is 300 mm to 4000 mm. Is that 56 in?',
    ]
    assert error.value.exit_code == 2


def test_a_contradiction_names_the_change_or_the_line_of_the_file():
    with pytest.raises(EditRefused, match=r"\n  x: stock.tip_chord is 600 mm, wider than stock.root_chord"):
        edited_study(GODWIT, {"stock.tip_chord": "600 mm"}, lambda key, value: "x")
    line = 1 + GODWIT.text[: GODWIT.text.index("\ntip_chord")].count("\n") + 1
    with pytest.raises(EditRefused, match=rf"\n  line +{line}  stock.tip_chord is .*wider than stock.root_chord"):
        edited_study(GODWIT, {"fly.wind": "5 m/s", "stock.root_chord": "160 mm"})


def test_one_key_under_two_names_is_refused():
    with pytest.raises(EditRefused, match=r"equipment\[1\].mass is set twice"):
        edited_study(GODWIT, {"equipment.camera.mass": "80 g", "equipment[1].mass": "90 g"})


def test_an_edited_study_is_kept_apart_from_its_file():
    windy = edited_study(GODWIT, {"fly.wind": "6 m/s"})
    strong = edited_study(GODWIT, {"fly.push_over": "-2"})
    studies = [GODWIT, windy, strong, edited_study(GODWIT, {"limits.climb": "2 m/s"})]
    assert len({inputs_text(study) for study in studies}) == len({results_folder(study) for study in studies}) == 4
    assert [tuple(edit) for edit in windy.edits] == [("fly.wind", "6 m/s", "4 m/s, assumed", "")]
    again = edited_study(windy, {"fly.wind": "7 m/s", "equipment.camera.mass": "80 g"})
    assert [tuple(edit) for edit in again.edits] == [
        ("fly.wind", "7 m/s", "4 m/s, assumed", ""),
        ("equipment[1].mass", "80 g", "85 g", "camera and video transmitter"),
    ]
    assert again.file_text == GODWIT.text


def test_what_stays_as_weighed_is_told():
    assert notes_on_edits(edited_study(GODWIT, {"fly.wind": "6 m/s"})) == []
    heavier = notes_on_edits(edited_study(GODWIT, {"equipment.camera.mass": "80 g"}))
    assert "(1840 g)" in heavier[0] and "set stock.flying_weight too" in heavier[1]
    both = edited_study(GODWIT, {"equipment.camera.mass": "80 g", "stock.flying_weight": "1858 g"})
    assert not any("set stock.flying_weight" in note for note in notes_on_edits(both))
