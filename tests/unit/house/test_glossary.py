"""The glossary names only keys, options and result fields that exist, and explains the words of the page."""

import json
import re
from pathlib import Path

import pytest
import typer

from tradestudy.cli.app import build_app
from tradestudy.report.page.captions import TITLES
from tradestudy.report.page.facts import HEADS
from tradestudy.report.words.phrases import CONDITION_WORDS
from tradestudy.results import schema
from tradestudy.study.assumed_values.apply_rules import all_key_lines

GLOSSARY = Path(__file__).parents[3] / "tradestudy" / "documents" / "glossary.md"
COLUMNS = 4


def rows():
    lines = [line for line in GLOSSARY.read_text(encoding="utf-8").splitlines() if line.startswith("| ")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[1:]]


ROWS = rows()
TERMS = [term.lower() for row in ROWS for term in row[0].split(", ")]
SCHEMA = json.loads(schema.FILE.read_text(encoding="utf-8"))


def names(column):
    return [name for row in ROWS for name in re.findall(r"`([^`]+)`", row[column])]


def objects_in(place):
    """Return the objects that a part of the schema can hold, also within lists and optional parts."""
    if "$ref" in place:
        return [SCHEMA["$defs"][place["$ref"].rpartition("/")[2]]]
    inner = [*place.get("anyOf", []), *([place["items"]] if "items" in place else [])]
    return [each for one in inner for each in objects_in(one)]


def exists(field):
    """Return whether a path of names exists in the schema, starting from any of its objects."""
    parts = [SCHEMA, *SCHEMA["$defs"].values()]
    for name in field.split("/"):
        places = [part["properties"][name] for part in parts if name in part["properties"]]
        if not places:
            return False
        parts = [each for place in places for each in objects_in(place)]
    return True


def test_every_row_has_a_term_and_one_sentence():
    assert len(ROWS) > 60 and {len(row) for row in ROWS} == {COLUMNS}
    assert len(TERMS) == len(set(TERMS))
    for term, sentence, *_ in ROWS:
        assert term and sentence.endswith(".") and sentence[0].isupper(), term
        assert len(sentence.split()) <= 25, term


@pytest.mark.parametrize("name", sorted({name for name in names(2) if not name.startswith("--")}))
def test_a_file_key_exists(name):
    assert name in {line.key.replace("[]", "") for line in all_key_lines()}


def test_every_option_exists():
    commands = typer.main.get_command(build_app()).commands.values()
    known = {option for command in commands for parameter in command.params for option in parameter.opts}
    assert {name for name in names(2) if name.startswith("--")} <= known


@pytest.mark.parametrize("field", sorted(set(names(3))))
def test_a_result_field_exists(field):
    assert exists(field)


def test_a_field_that_is_missing_is_noticed():
    assert not exists("numbers/span") and not exists("spans") and not exists("stock/numbers/cm2")


@pytest.mark.parametrize("word", [*TITLES.values(), *HEADS, *CONDITION_WORDS.values()])
def test_a_word_of_the_page_is_explained(word):
    assert word.lower() in TERMS
