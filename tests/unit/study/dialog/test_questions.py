"""The questions of `tradestudy new`: how answers are read, which are refused, and the study they give."""

import math
import re
import tomllib
from pathlib import Path

import pytest

from tradestudy.catalogue import catalogue_part
from tradestudy.errors import StudyFileError
from tradestudy.study.dialog.answers import (
    RefusedValue,
    equipment_list,
    read_answer,
    saved_answers,
    saved_text,
    study_name,
    ticked,
)
from tradestudy.study.dialog.new_study import USUAL_MOUNTS, study_text
from tradestudy.study.dialog.questions import (
    FALLBACK_QUESTIONS,
    NO_ANSWER,
    QUESTIONS,
    QUESTIONS_BY_NAME,
    questions_behind,
)
from tradestudy.study.reader import study_from_tables
from tradestudy.study.schema.study import STUDY_TABLES

HERE = Path()
NEEDED = [question.name for question in QUESTIONS if not question.if_empty]


def answers(**texts):
    """Return the examples of all questions as answers, except for ``texts``, where "" skips a question."""
    texts_by_question = {question.name: texts.get(question.name, question.example) for question in QUESTIONS}
    return {name: read_answer(QUESTIONS_BY_NAME[name], text, HERE) for name, text in texts_by_question.items()}


def read(**texts):
    text = study_text("Plover", answers(**texts))
    return study_from_tables(tomllib.loads(text), HERE / "Plover.toml", text)


def values(name, text):
    return {key: value for (_, key), value in read_answer(QUESTIONS_BY_NAME[name], text, HERE).values.items()}


def refused(name, text):
    with pytest.raises(RefusedValue) as raised:
        read_answer(QUESTIONS_BY_NAME[name], text, HERE)
    return str(raised.value), raised.value.suggestion


def test_fifteen_questions_fill_known_keys_once():
    assert len(QUESTIONS) == len(QUESTIONS_BY_NAME) == 16
    places = [(slot.table, slot.key) for question in QUESTIONS for slot in question.slots]
    assert len(set(places)) == len(places)
    assert all(key in STUDY_TABLES[table].model.model_fields for table, key in places)
    # weight, balance and set-back never have a default
    assert {"weight", "balance", "set_back"} <= set(NEEDED)


def test_the_examples_give_the_study_they_describe():
    """Check every value by hand: 8x5 in; 3S2P; 6700 mAh is 24.12 kC; 1300 rpm/V is 136.14 rad/s/V."""
    study = read()
    stock = study.stock
    lengths = [
        stock.span,
        stock.root_chord,
        stock.tip_chord,
        stock.elevon_chord,
        stock.tip_set_back,
        stock.root_thickness,
        stock.balance_from_nose,
        stock.up_elevon,
    ]
    assert lengths == pytest.approx([1.12, 0.29, 0.165, 0.04, 0.255, 0.045, 0.167, 0.002])
    assert (stock.flying_weight, stock.airfoil) == (pytest.approx(1.18), "mh60")
    assert (study.rods[0].diameter, study.rods[0].pairs) == (0.003, 2)
    assert study.motor.speed_constant == pytest.approx(1300 * 2 * math.pi / 60)
    assert (study.motor.size, study.propeller.size) == ("22 mm", "8x5")
    assert (study.pack.series, study.pack.parallel, study.pack.weight) == (3, 2, 0.342)
    assert study.pack.capacity == pytest.approx(24120)
    assert (study.stretch.scheme, study.stretch.span) == ("scaled", pytest.approx((1.12, 1.55)))
    assert study.known_flight.distance == 36e3 and study.known_flight.time == 2580
    assert study.known_flight.charge_used == pytest.approx(2900 * 3.6)


@pytest.mark.parametrize(
    ("name", "text", "expected"),
    [
        ("span", " 52 in ", {"span": "52 in"}),
        ("weight", "46 oz", {"flying_weight": "46 oz"}),
        ("chords", "9.25 in, 150mm", {"root_chord": "9.25 in", "tip_chord": "150mm"}),
        ("chords", "235mm;150mm", {"root_chord": "235mm", "tip_chord": "150mm"}),
        ("rods", "3 mm,2", {"diameter": "3 mm", "pairs": 2}),
        ("rods", "1 pair, 3 mm, 4 mm", {"diameter": "3 mm", "pairs": 1, "slot_depth": "4 mm"}),
        ("motor", "7x4, 2208, 1450 kv", {"motor": "2208, 1450 kv", "propeller": "7x4"}),
        ("pack", "290 g, 5 Ah, 3S1P, Li-ion", {"pack": "3S1P, Li-ion", "capacity": "5 Ah", "pack_weight": "290 g"}),
        ("pack", "4S LiPo", {"pack": "4S LiPo"}),
        ("stretch", "1450 mm, Plug", {"scheme": "plug", "longest": "1450 mm"}),
        ("flight", "6400 mAh, 1 h, 52 km", {"distance": "52 km", "time": "1 h", "charge_used": "6400 mAh"}),
        ("up_elevon", "-1 mm", {"up_elevon": "-1 mm"}),
        ("section", "unknown", {}),
        ("flight", "None", {}),
        ("rods", NO_ANSWER, {}),
    ],
)
def test_answers_in_any_unit_and_order(name, text, expected):
    assert values(name, text) == expected


@pytest.mark.parametrize(
    ("name", "text", "sentence", "meant"),
    [
        ("span", "56", 'Span is "56", without a unit; write it with mm, cm, m, in or ft. Is that 56 in?', "56 in"),
        ("span", "56 mm", 'Span is "56 mm"; allowed is 300 mm to 4000 mm. Is that 56 in?', "56 in"),
        ("span", "wide", 'Span is "wide"; write a length as a number and its unit (mm, cm, m, in or ft).', ""),
        ("span", "", "An answer is needed: nothing is assumed here.", ""),
        ("span", "1\x071 m", "Write at most 200 characters that can be printed.", ""),
        (
            "weight",
            "1,300 kg",
            'Flying weight is "1,300 kg"; write a decimal point, not a comma: "1.300 kg".',
            "1.300 kg",
        ),
        (
            "weight",
            "1060 grams",
            'Flying weight is "1060 grams"; "grams" is not a known unit; use g, kg, oz or lb. Did you mean g?',
            "1060 g",
        ),
        (
            "chords",
            "235, 150",
            'Root chord is "235", without a unit; write it with mm, cm, m, in or ft. Is that 235 mm? '
            'Tip chord is "150", without a unit; write it with mm, cm, m, in or ft. Is that 150 mm?',
            "235 mm, 150 mm",
        ),
        (
            "chords",
            "235 mm",
            "Tip chord is missing: foam chord at the tip, without the elevon (20 mm to 800 mm). Put commas "
            "between them.",
            "",
        ),
        (
            "chords",
            "235 mm, 150 mm, 90 mm",
            '"90 mm" is one too many; write root chord, tip chord, with commas between them.',
            "",
        ),
        ("rods", "3 mm, 9", "Pairs of rods is 9; write a whole number from 1 to 4.", ""),
        (
            "pack",
            "6S3P Li-ion, 9500",
            'Capacity is "9500", without a unit; write it with mAh, Ah or C. Is that 9500 mAh?',
            "6S3P Li-ion, 9500 mAh",
        ),
        (
            "pack",
            "6S3P Li-ion, 9500 mah",
            'Capacity is "9500 mah"; "mah" is not a known unit; use mAh, Ah or C. Did you mean mAh?',
            "6S3P Li-ion, 9500 mAh",
        ),
        ("pack", "4S NiMH", 'Pack is "4S NiMH"; write cells and chemistry, such as "3S4P Li-ion" or "4S LiPo".', ""),
        (
            "stretch",
            "scale, 1450 mm",
            'Scheme is "scale"; allowed is "scaled" or "plug" or "tip". Did you mean scaled?',
            "scaled, 1450 mm",
        ),
        (
            "section",
            "MH60",
            'Section is "MH60", which is neither in the airfoil database nor a coordinate file in the folder of the '
            "study. Did you mean mh60?",
            "mh60",
        ),
        (
            "section",
            "traced",
            "Section cannot be given here; leave this empty, and add [traced_section] to the study afterwards.",
            "",
        ),
        (
            "equipment",
            "1 99",
            '"99" is not on the list; write numbers from 1 to 17, such as "1 3 7", or names with commas between them.',
            "",
        ),
        (
            "equipment",
            "buzer",
            '"buzer" is not on the list; write numbers from 1 to 17, such as "1 3 7", or names with commas between '
            "them. Did you mean buzzer?",
            "",
        ),
    ],
)
def test_a_wrong_answer_gets_a_sentence_and_a_suggestion(name, text, sentence, meant):
    assert refused(name, text) == (sentence, meant)
    if meant:
        read_answer(QUESTIONS_BY_NAME[name], meant, HERE)


def test_only_optional_questions_accept_an_empty_answer():
    for question in QUESTIONS:
        if question.if_empty:
            assert read_answer(question, " ", HERE) == ("", {}, ())
        else:
            refused(question.name, " ")


def test_equipment_by_number_and_by_name_is_the_same():
    names = [name for name, _, _ in equipment_list()]
    assert ticked("3 1,10") == ticked(f"{names[9]}, {names[0]}; 3") == (names[0], names[2], names[9])
    assert ticked("1 1") == (names[0],)


def test_chosen_equipment_is_in_the_study_and_adds_drag():
    study = read(equipment="receiver, servos 9 g class (pair)")
    receiver, servos = study.equipment
    known = catalogue_part("equipment", "receiver")
    assert (receiver.name, receiver.mass, receiver.power) == ("receiver", known["mass"], known["power"])
    # written in whole millimetres
    assert receiver.from_nose == pytest.approx(known["place_share"] * study.stock.root_chord, abs=5.1e-4)
    assert servos.mass == catalogue_part("equipment", "servos 9 g class (pair)")["mass"]
    # servos only add the drag of their horns, which are among the usual mounts
    assert [(item.kind, item.count) for item in study.drag_item] == [("receiver", 1), *USUAL_MOUNTS]
    assert study.drag_item[0].drag_area == pytest.approx(known["drag_area"])


def test_keys_left_out_are_comments_that_can_be_filled_in():
    text = study_text("Plover", answers(joiner="", equipment="", section="", up_elevon="", flight=""))
    raw = tomllib.loads(text)
    assert set(raw) == {"study", "stock", "rods", "power", "stretch"} and "airfoil" not in raw["stock"]
    opened = [
        line.removeprefix("# ") if " = " in line or line in ("# [known_flight]", "# [joiner]") else line
        for line in text.splitlines()
    ]
    study = study_from_tables(tomllib.loads("\n".join(opened)), HERE / "Plover.toml", text)
    assert (study.stock.airfoil, study.known_flight.time) == ("mh60", 2580)
    assert (study.joiner.material, study.joiner.length) == ("carbon", 0.3)


def test_a_joiner_is_asked_for_and_may_be_a_tube():
    """Check sizes in the order of the question, and a wing that has none."""
    rod, tube = (read(joiner=text).joiner for text in ("carbon, 6 mm, 300 mm", "glass, 10 mm, 0.4 m, 8 mm"))
    assert (rod.material, rod.diameter, rod.length, rod.inside_diameter) == ("carbon", 0.006, 0.3, None)
    assert (tube.material, tube.diameter, tube.length, tube.inside_diameter) == ("glass", 0.01, 0.4, 0.008)
    assert read(joiner=NO_ANSWER).joiner is None


def test_every_value_has_a_comment_and_the_end_names_the_next_steps():
    text = study_text("Wee Plover", answers())
    assert all("  # " in line for line in text.splitlines() if " = " in line)
    assert "\r" not in text and text.endswith("\n")
    for command in ("check", "assess", "run"):
        assert f'#   tradestudy {command} "Wee Plover.toml"' in text


def test_fins_that_stand_inboard_are_added_as_the_comment_says():
    """Check that the keys named in the study are those that place a fin."""
    text = study_text("Plover", answers())
    named = re.search(r"\[\[fin\]\] with (\w+), (\w+), (\w+)\.", text).groups()
    table = "[[fin]]\n" + "".join(f'{key} = "100 mm"\n' for key in named)
    study = study_from_tables(tomllib.loads(f"{table}\n{text}"), HERE / "Plover.toml", text)
    assert [(one.from_centre, one.height, one.root_chord) for one in study.fin] == [(0.1, 0.1, 0.1)]


def test_a_wing_without_rods():
    study = read(rods=NO_ANSWER)
    assert study.rods == ()


def test_saved_answers_are_read_back():
    given = answers(flight="")
    assert saved_answers(saved_text(given, "tradestudy new Plover")) == {
        name: answer.text for name, answer in given.items()
    }
    for damaged in ("span = ", 'wingspan = "1 m"', "span = 3"):
        with pytest.raises(ValueError):
            saved_answers(damaged)


def test_names_of_studies():
    assert study_name("Löffler.toml") == "Löffler"
    with pytest.raises(ValueError, match='^The name is "a/b"; it is also the name of the results folder'):
        study_name("a/b")
    for companion in ("heron.wings", "Heron.WINGS.toml", "heron.answers"):
        with pytest.raises(ValueError, match="kept for a file beside a study"):
            study_name(companion)


def test_every_fault_of_the_study_leads_to_a_question():
    assert all(
        questions_behind(f"{table}.anything")
        for table in STUDY_TABLES
        if table in {*FALLBACK_QUESTIONS, *(slot.table for question in QUESTIONS for slot in question.slots)}
    )
    assert questions_behind("stock.root_thickness") == ("thickness",)
    assert questions_behind("rods[1].slot_depth") == ("rods",)
    assert questions_behind("stretch.span[1]") == ("stretch",)
    text = study_text("Plover", answers(thickness="90 mm", balance="600 mm"))
    with pytest.raises(StudyFileError) as raised:
        study_from_tables(tomllib.loads(text), HERE / "Plover.toml", text)
    assert {name for fault in raised.value.faults for name in questions_behind(fault.key)} == {"thickness", "balance"}
