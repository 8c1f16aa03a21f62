"""The start without a file: what it lists, copies and asks. Answers are checked as `tradestudy new` checks them."""

import os
import re

import pytest

from tradestudy.errors import CommandError
from tradestudy.page_server import start_form
from tradestudy.page_server.start_form import FaultyAnswers
from tradestudy.study.dialog.questions import QUESTIONS
from tradestudy.study.reader import read_study
from tradestudy.study.value_text import RefusedValue

ANSWERS = {one.name: one.example for one in QUESTIONS}


def test_studies_of_the_folder_are_listed_and_nothing_else(tmp_path):
    (tmp_path / "studies").mkdir()
    (tmp_path / "one.toml").write_text('[study]\nname = "<b>One</b>"\n[stock]\n', encoding="utf-8")
    (tmp_path / "studies" / "two.toml").write_text('study = "no table"\n[stock]\n', encoding="utf-8")
    (tmp_path / "settings.toml").write_text("[tool]\n", encoding="utf-8")
    (tmp_path / "broken.toml").write_text("[", encoding="utf-8")
    outside = tmp_path.parent / f"{tmp_path.name}.toml"
    outside.write_text("[stock]\n", encoding="utf-8")
    if os.name != "nt":
        (tmp_path / "link.toml").symlink_to(outside)
    assert start_form.studies_of(tmp_path) == [
        {"file": "one.toml", "name": "<b>One</b>", "note": ""},
        {"file": "studies/two.toml", "name": "two", "note": ""},
    ]


def test_studies_of_one_name_are_told_apart_by_their_files(tmp_path):
    for stem, name in (("heron", "Heron"), ("heron-2", "Heron"), ("stork", "Stork")):
        (tmp_path / f"{stem}.toml").write_text(f'[study]\nname = "{name}"\n[stock]\n', encoding="utf-8")
    assert {one["name"] for one in start_form.studies_of(tmp_path)} == {"Heron (heron)", "Heron (heron-2)", "Stork"}


def test_a_demo_is_copied_once_with_its_files_and_a_changed_copy_stays(tmp_path):
    names = [one["name"] for one in start_form.demos()]
    assert "godwit" in names
    file = start_form.copied_demo("godwit", tmp_path)
    assert file == "studies/godwit.toml" and read_study(tmp_path / file)
    (tmp_path / file).write_text("# mine\n", encoding="utf-8")
    assert start_form.copied_demo("godwit", tmp_path) == file
    assert (tmp_path / file).read_text(encoding="utf-8") == "# mine\n"
    for name in ("nothing", "../godwit", ""):
        with pytest.raises(CommandError):
            start_form.copied_demo(name, tmp_path)


def test_questions_in_inches_and_ounces():
    metric, imperial = start_form.questions("metric"), start_form.questions("imperial")
    assert [one["name"] for one in metric["questions"]] == list(ANSWERS)
    assert metric["questions"][0]["usual"] == "900 to 2000 mm"
    assert "mm" not in imperial["questions"][0]["usual"] and "in" in imperial["questions"][0]["usual"]
    for one in imperial["questions"]:  # motors are sold by the millimetre everywhere
        assert one["name"] == "motor" or not re.search(r"\d mm", one["example"] + one["usual"]), one["example"]
    assert next(one["usual"] for one in imperial["questions"] if one["name"] == "motor").startswith("18 to 35 mm")
    assert metric["equipment"][0]["mass"].endswith(" g") and imperial["equipment"][0]["mass"].endswith(" oz")
    with pytest.raises(CommandError):
        start_form.questions("cubits")


def test_answers_are_checked_one_by_one(tmp_path):
    assert start_form.checked_answer("span", " 44 in ", tmp_path).text == "44 in"
    with pytest.raises(RefusedValue) as refused:
        start_form.checked_answer("span", "1120 Mm", tmp_path)
    assert refused.value.suggestion == "1120 mm"
    with pytest.raises(CommandError):
        start_form.checked_answer("age", "7", tmp_path)


def test_a_section_file_is_read_from_the_folder_alone_and_not_quoted(tmp_path):
    outside = tmp_path.parent / f"{tmp_path.name}.dat"
    outside.write_text("secret 1 2 3", encoding="utf-8")
    (tmp_path / "mine.dat").write_text("0.1 0.2\nsecret 1 2 3", encoding="utf-8")
    tried = ["../x.dat", str(outside), "mine.dat"]
    if os.name != "nt":
        (tmp_path / "link.dat").symlink_to(outside)
        tried.append("link.dat")
    for name in tried:
        with pytest.raises(RefusedValue) as refused:
            start_form.checked_answer("section", name, tmp_path)
        assert "secret" not in str(refused.value)


def test_a_study_is_written_from_answers_in_the_units_chosen(tmp_path):
    assert start_form.written_study("whimbrel", ANSWERS, "imperial", tmp_path) == "whimbrel.toml"
    study = read_study(tmp_path / "whimbrel.toml")
    assert (study.stock.span, study.study.units) == (1.12, "imperial")
    with pytest.raises(CommandError, match="is there already"):
        start_form.written_study("whimbrel", ANSWERS, "metric", tmp_path)


def test_answers_that_are_missing_refused_or_contradict_write_nothing(tmp_path):
    with pytest.raises(CommandError, match="Not answered yet: Span"):
        start_form.written_study("a", ANSWERS | {"span": ""}, "metric", tmp_path)
    with pytest.raises(CommandError, match="Span: Span .*\nFlying weight"):
        start_form.written_study("a", ANSWERS | {"span": "1 mn", "weight": "2 apples"}, "metric", tmp_path)
    with pytest.raises(FaultyAnswers) as refused:  # a tip behind a straight edge that leaves no wing
        start_form.written_study("a", ANSWERS | {"stretch": "scaled, 1000 mm"}, "metric", tmp_path)
    assert ["stretch"] in refused.value.questions.values()
    for name in ("../a", "a/b", ""):
        with pytest.raises(CommandError):
            start_form.written_study(name, ANSWERS, "metric", tmp_path)
    assert list(tmp_path.iterdir()) == []
