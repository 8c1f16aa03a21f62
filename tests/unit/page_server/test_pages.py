"""The pages of the server: nothing inline, hostile names as text, and every answer has its place on the page."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from helpers.invented.invented_look import controls_of, look_at
from helpers.readers.page_reader import HOSTILE, Reader

import tradestudy.page_server
from tradestudy.page_server import pages
from tradestudy.page_server.shown import look_answer
from tradestudy.study.dialog.questions import QUESTIONS

STATIC = Path(tradestudy.page_server.__file__).parent / "static"
SCRIPTS = {file.name: file.read_text(encoding="utf-8") for file in STATIC.glob("*.js")}


def study_text(name="Heron", file="heron.toml"):
    state = pages.PageState(
        "token-1", file, "metric", controls_of(name=name), look_at(), {"best": 32.0, "front": 200.0}
    )
    return pages.study_page(state)


@pytest.fixture(scope="module")
def text():
    return study_text()


@pytest.fixture(scope="module")
def start():
    return pages.start_page(pages.PageState("token-2", "", "metric", None, None, {}))


def elements(page, attribute):
    """Return the values of an attribute in a page."""
    return {known[attribute] for _, known in Reader(page).tags if attribute in known}


def test_pages_obey_a_policy_without_anything_inline(text, start):
    for page in (text, start):
        for tag, known in Reader(page).tags:
            assert "style" not in known and not any(name.startswith("on") for name in known)
            assert tag != "style"
            if tag == "script":
                assert known.get("src", "").startswith("/static/") or known["type"] == "application/json"
        assert len(Reader(page).ids) == len(set(Reader(page).ids))


def test_a_list_of_words_without_a_value_stands_at_its_rule():
    """A browser sends what a list stands at; it must not stand at the first word by chance."""
    made = controls_of()
    rule = replace(made.study_keys[0], key="fly.launch", value="hand if it can be thrown", given=False)
    keys = [replace(rule, options=["hand", "bungee"]), replace(rule, value="bungee", options=["hand", "bungee"])]
    page = pages.study_page(
        pages.PageState("token-1", "heron.toml", "metric", replace(made, study_keys=keys), look_at(), {"best": 32.0})
    )
    lists = page.split('<select data-key-of="fly.launch">')[1:]
    assert lists[0].startswith('<option value="" selected>Hand if it can be thrown</option><option>hand</option>')
    assert lists[1].startswith("<option>hand</option><option selected>bungee</option>")


def test_hostile_names_are_text():
    read = Reader(study_text(HOSTILE, HOSTILE))
    assert "alert" not in " ".join(tag for tag, _ in read.tags)
    assert [tag for tag, _ in read.tags].count("img") == 0
    assert read.words.count('<script>alert("x")</script>{{ 7 * 7 }}') == 3  # title, heading, file


def test_every_text_and_path_of_an_answer_has_its_element(text):
    answer = look_answer(controls_of(), look_at())
    fields = elements(text, "data-field")
    assert set(answer["fields"]) <= fields
    for entry in answer["strip"]:
        assert {f"{entry['key']}{end}" for end in ("", "-head", "-unit", "-less", "-change")} <= fields
    assert set(answer["paths"]) == elements(text, "data-part")
    assert set(answer["dashed"]) <= elements(text, "data-dashed")
    assert set(answer["curve"]["paths"]) <= elements(text, "data-curve")


def test_every_element_that_a_script_names_is_on_its_page(text, start):
    on_pages = {"start.js": [start], "ask.js": [text, start], "draw.js": [text], "forms.js": [text]}
    for name, script in SCRIPTS.items():
        named = set(re.findall(r'(?:\$|getElementById)\("([\w-]+)"\)', script))
        for page in on_pages.get(name, [text]):
            assert named <= set(Reader(page).ids), name


def test_scripts_import_files_that_exist_and_reach_nothing_else():
    for script in SCRIPTS.values():
        assert set(re.findall(r'from "\./([\w.]+)"', script)) <= set(SCRIPTS)
        assert not re.search(
            r"innerHTML|outerHTML|insertAdjacent|eval\(|new Function|https?:|localStorage|WebSocket", script
        )


def test_expected_times_are_told_in_words(text):
    assert "takes about 30 seconds" in text and "takes about 3 minutes" in text


def test_start_asks_every_question_with_its_label(start):
    assert elements(start, "data-question") == {question.name for question in QUESTIONS}
    assert elements(start, "for") == {f"a-{question.name}" for question in QUESTIONS}
    assert start.count('<svg class="measure"') >= 10
