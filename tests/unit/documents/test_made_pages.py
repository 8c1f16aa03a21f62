"""The pages that are made from the code hold every key, command and public name, in short sentences."""

import re
import tomllib

import pytest
from helpers.places import ROOT
from helpers.readers.plain_sentences import too_long

import tradestudy
from tradestudy.cli.app import COMMANDS
from tradestudy.documents.build import GENERATED, GUIDE, LOOKED_UP, pages
from tradestudy.documents.key_pages import key_pages, needed_by
from tradestudy.documents.python_pages import docstring_as_markdown
from tradestudy.study.assumed_values.apply_rules import all_key_lines
from tradestudy.study.consistency.mission import MISSION_KEYS
from tradestudy.study.schema.measured import MEASUREMENT_TABLES
from tradestudy.study.schema.study import STUDY_TABLES, key_lines

PAGES = pages()
KEYS = key_pages()
LINES = {line.key: line for line in all_key_lines()}


def entry(page, key):
    """Return the text under the heading of one key."""
    return re.split(rf"^## {key}$", KEYS[page], flags=re.MULTILINE)[1].split("\n## ")[0]


def fact(page, key, head):
    """Return what the entry of a key says of one head, without the marks against markup; "" if nothing."""
    found = re.search(rf"^- {head}: (.*)$", entry(page, key), flags=re.MULTILINE)
    return without_marks(found[1]) if found else ""


def without_marks(text):
    return re.sub(r"\\(.)", r"\1", text)


@pytest.mark.parametrize("name", STUDY_TABLES)
def test_every_key_of_a_study_has_its_entry(name):
    for key in STUDY_TABLES[name].model.model_fields:
        line = next(line for line in LINES.values() if line.table == name and line.key.endswith(f".{key}"))
        page = f"keys/{name}"
        assert line.meaning[1:] in without_marks(entry(page, key))
        assert fact(page, key, "Allowed") == line.allowed
        assert fact(page, key, "Value").startswith(line.kind.replace("_", " "))
        left_out = fact(page, key, "Left out")
        assert left_out == "must be given" if line.required else line.origin in left_out and line.default in left_out


def test_every_key_of_a_measurements_file_has_its_entry():
    lines = key_lines(MEASUREMENT_TABLES)
    assert {line.key.rpartition(".")[2] for line in lines}
    for line in lines:
        assert line.meaning[1:] in without_marks(entry(f"keys/measured/{line.table}", line.key.rpartition(".")[2]))


def test_units_bands_and_needs_are_told():
    assert fact("keys/stock", "span", "Unit").split(", ")[:2] == ["mm", "cm"]
    assert fact("keys/stock", "span", "Needed by") == "every study"
    other = "every study, or balance_from_nose in its place"
    assert fact("keys/stock", "balance_from_trailing_edge", "Needed by") == other
    assert fact("keys/price", "each", "Needed by") == "every [[price]]"
    assert fact("keys/stock", "dihedral", "Needed by") == ""
    assert fact("keys/pack", "health", "Could be") == "85 % to 100 %"


@pytest.mark.parametrize("kind", MISSION_KEYS)
def test_what_each_kind_of_part_of_a_mission_needs_is_told(kind):
    needed, others = MISSION_KEYS[kind]
    row = re.search(rf"^\| `{kind}` \| (.*) \| (.*) \|$", KEYS["keys/mission"], flags=re.MULTILINE)
    assert re.findall(r"`(\w+)`", row[1]) == [*needed] and re.findall(r"`(\w+)`", row[2]) == ["name", *others]
    assert all(kind in needed_by(LINES[f"mission[].{key}"]) for key in needed)


def test_every_command_has_its_page_and_every_option_its_entry():
    assert {name for name in COMMANDS if f"commands/{name}" not in PAGES} == set()
    assert re.search(r"^`--span LENGTH`\n: Span of the wing", PAGES["commands/assess"], flags=re.MULTILINE)
    assert "tradestudy compare A B [OPTIONS]" in PAGES["commands/compare"].replace("[B]", "B")


def test_every_public_name_has_its_page():
    missing = [name for name in tradestudy._NAMES if not PAGES.get(f"python/{name}", "").startswith(f"# ts.{name}\n")]
    assert missing == []
    empty = [name for name in tradestudy._NAMES if len(PAGES[f"python/{name}"].split()) < 8]
    assert empty == []


def test_fields_and_errors_are_told():
    assert ": Numbers of the design." in PAGES["python/Design"]
    assert "[stock](../keys/stock.md)" in PAGES["python/Study"]
    assert "`StudyFileError, LogbookError`\n: The study, the logbook" in PAGES["python/note"]
    assert "[`SearchOptions`](SearchOptions.md)" in PAGES["python/assess"]
    assert "\n`note` (`str`)\n: Note in the study file." in PAGES["python/Result"]  # a field, not the command


def test_a_docstring_becomes_markdown():
    def spoken():
        """Return *it*.

        Raises
        ------
        CommandError
            Nothing is said.

        ::

            spoken()
        """

    assert docstring_as_markdown(spoken).split("\n") == [
        "Return \\*it\\*.",
        "",
        "**Raises**",
        "",
        "`CommandError`",
        ": Nothing is said.",
        "",
        "",
        "```python\nspoken()\n```".split("\n")[0],
        "spoken()",
        "```",
        "",
    ]


def test_every_page_by_hand_is_in_the_contents():
    by_hand = {page.stem for page in (ROOT / "tradestudy" / "documents").glob("*.md")} - {"README", "index"}
    assert by_hand == {*GUIDE, *LOOKED_UP}
    assert all(name in PAGES["index"] for name in (*by_hand, *GENERATED))


@pytest.mark.parametrize("page", PAGES)
def test_sentences_of_made_pages_are_short(page):
    text = re.sub(r"^- Allowed: .*$", "", PAGES[page], flags=re.MULTILINE)  # a list of words is no sentence
    assert too_long(without_marks(re.sub(r"\n(?=`)|^: ", "\n\n", text, flags=re.MULTILINE))) == []


def test_the_ledger_of_measured_aircraft_is_that_of_the_data():
    data = tomllib.loads((ROOT / "tradestudy" / "data" / "whole_aircraft.toml").read_text(encoding="utf-8"))
    rows = [
        f"| {one['what']} | {one['at']} | {one['measured']} {one['unit']} | {one['low']} to {one['high']} "
        f"| {one['middle']} |"
        for one in data.values()
    ]
    believed = PAGES["what_to_believe"]
    assert [line for line in believed.splitlines() if line in rows] == rows
    below = sum(one["measured"] < one["low"] for one in data.values())
    assert below == 3 and len(data) == 6 and "Three of the six lie below their band." in believed


def test_the_factors_of_built_wings_are_those_of_the_study():
    fields = STUDY_TABLES["built"].model.model_fields
    for words, key in (
        ("drag of section and fins", "section_drag_factor"),
        ("drag due to lift", "wake_drag_factor"),
        ("power of the drive", "drive_power_factor"),
    ):
        row = re.search(rf"^\| {words} \| (\S+) \|", PAGES["what_to_believe"], flags=re.MULTILINE)
        assert float(row[1]) == fields[key].default
