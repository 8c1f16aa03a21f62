"""Line numbers of TOML keys, against text whose lines are known and against the keys that `tomllib` reads."""

import re
import tomllib

import pytest
from helpers.places import STUDIES
from hypothesis import given, seed, settings
from hypothesis import strategies as st

from tradestudy.study.line_numbers import dotted, line_of, locate

TRICKY = '''\
# [not.a.table]
top = 1
[one] # remark with = and [brackets]
plain = "a # b = c [d]"
literal = 'back\\slash\\'
dotted.inner.key = 3
"quoted key" = 4
'single . key' = 5
long = """
[still.text]
fake = "x" \\
""quotes"" """
after_long = 6
lists = [
  "]", # "
  [1, 2],

  '[',
]
after_lists = { x = 1, "y z" = [1, 2] }

[two.three]
  indented = true
[[many]]
name = "first"
[[many]]
name = "second"
[many.below]
deep = 1
[[many.inner]]
a = 1
[[many.inner]]
a = 2
[[many]]
[[many.inner]]
a = 3'''


def places_of(value, place=()):
    """Yield the place of every table, key and item of a list that `tomllib` reads."""
    for key, item in value.items():
        yield (*place, key)
        if isinstance(item, dict):
            yield from places_of(item, (*place, key))
        elif isinstance(item, list):
            for index, one in enumerate(item):
                yield (*place, key, index)
                yield from places_of(one, (*place, key, index)) if isinstance(one, dict) else ()


def row_of(text, fragment, occurrence=1):
    """Return the line (from 1) of the n-th row that starts with ``fragment``."""
    rows = [number for number, row in enumerate(text.split("\n"), 1) if row.strip().startswith(fragment)]
    return rows[occurrence - 1]


@pytest.mark.parametrize(
    ("place", "fragment", "occurrence"),
    [
        (("top",), "top", 1),
        (("one",), "[one]", 1),
        (("one", "plain"), "plain", 1),
        (("one", "literal"), "literal", 1),
        (("one", "dotted", "inner", "key"), "dotted", 1),
        (("one", "dotted"), "dotted", 1),
        (("one", "quoted key"), '"quoted', 1),
        (("one", "single . key"), "'single", 1),
        (("one", "long"), "long", 1),
        (("one", "after_long"), "after_long", 1),
        (("one", "lists"), "lists", 1),
        (("one", "after_lists"), "after_lists", 1),
        (("two",), "[two.three]", 1),
        (("two", "three", "indented"), "indented", 1),
        (("many",), "[[many]]", 1),
        (("many", 0), "[[many]]", 1),
        (("many", 1), "[[many]]", 2),
        (("many", 1, "name"), "name", 2),
        (("many", 1, "below", "deep"), "deep", 1),
        (("many", 1, "inner", 1, "a"), "a = 2", 1),
        (("many", 2, "inner", 0, "a"), "a = 3", 1),
    ],
    ids=lambda value: dotted(value) if isinstance(value, tuple) else None,
)
def test_places_of_a_tricky_text(place, fragment, occurrence):
    assert locate(TRICKY)[place] == row_of(TRICKY, fragment, occurrence)


def test_the_scan_has_the_same_places_as_tomllib():
    places = {place for place in places_of(tomllib.loads(TRICKY)) if place[:2] != ("one", "after_lists")}
    assert set(locate(TRICKY)) == places | {("one", "after_lists")}


@pytest.mark.parametrize("name", ["godwit.toml", "dunlin.toml"])
def test_demo_studies(name):
    """Check that every key that `tomllib` reads has a line that starts with its name."""
    text = (STUDIES / name).read_text(encoding="utf-8")
    places = locate(text)
    rows = text.split("\n")
    expected = set(places_of(tomllib.loads(text)))
    assert set(places) == expected
    for place in expected:
        last = next(step for step in reversed(place) if isinstance(step, str))
        row = rows[places[place] - 1]
        assert re.match(rf"(\[+)?{last}\b", row), (place, row)
    tables = {(table, index) for table, index, *_ in (place for place in expected if len(place) > 2)}
    expected = {place for place in expected if isinstance(place[-1], str) or place in tables}  # no items of lists
    lines = [places[place] for place in sorted(expected, key=lambda place: places[place])]
    firsts = [place for place in expected if place[-1] == 0]  # these share the line of the array that they start
    assert len(set(lines)) == len(expected) - len(firsts)


def test_a_place_inside_a_value_has_the_line_of_its_key():
    places = locate("[stock]\nspan = 1\n[[rods]]\nname = 'a'\n")
    assert line_of(places, ("stock", "span", 1)) == 2
    assert line_of(places, ("stock", "absent")) == 1
    assert line_of(places, ("rods", 0, "absent")) == 3
    assert line_of(places, ("nowhere",)) == 1


def test_places_for_a_person_are_counted_from_one():
    assert dotted(("rods", 0, "diameter")) == "rods[1].diameter"
    assert dotted(("stretch", "span", 1)) == "stretch.span[2]"
    assert dotted(("one", "a key")) == 'one."a key"'
    assert dotted(("one", "a\n\x1b[31mkey")) == 'one."a??[31mkey"'


def test_an_item_of_a_list_has_its_own_line():
    """Check tables in single brackets, and lists over several lines with remarks, strings and lists inside."""
    text = (
        'bay = [ # [\n  {name = "a, b", size = [1, 2]},\n  # {\n  {name = "c"},\n]\n[choices]\n'
        'propeller = ["8x4", "9x4",\n\n"10x4" , # last\n  ]\n'
        'points = [[1, 2],\n[3,\n4], [5, 6]]\nnone = []\none = "[1,\\n2]"\n'
    )
    tomllib.loads(text)
    places = locate(text)
    assert [places["bay", index] for index in (0, 1)] == [2, 4]
    assert line_of(places, ("bay", 1, "name")) == 4 and ("bay", 2) not in places
    assert [places["choices", "propeller", index] for index in (0, 1, 2)] == [7, 7, 9]
    assert [places["choices", "points", index] for index in (0, 1, 2)] == [11, 12, 13]
    assert ("choices", "none", 0) not in places and ("choices", "one", 0) not in places


KINDS = st.sampled_from(["table", "array", "key", "blank", "remark"])
VALUES = st.sampled_from(
    [
        "1",
        '"text"',
        "'#'",
        '"[x]"',
        '"a\\"b"',
        "[1,\n 2, # ]\n]",
        '"""\nk = 1\n"""',
        "'''\n[t]\n'''",
        "{ a = [1] }",
        "[]",
    ]
)


@seed(20261)
@settings(max_examples=100, deadline=None, database=None)
@given(rows=st.lists(st.tuples(KINDS, VALUES), max_size=20))
def test_lines_of_texts_built_row_by_row(rows):
    """Check the line of each header and key, which is known while the text is written."""
    text, place, truth, arrays = "", (), {}, 0
    for number, (what, value) in enumerate(rows):
        line = text.count("\n") + 1
        if what == "table":
            place = (f"t{number}",)
            text += f"[{place[0]}] # [x]\n"
            truth[place] = line
        elif what == "array":
            place = ("many", arrays)
            arrays += 1
            text += " [[ many ]]\n"
            truth[place] = line
        elif what == "key":
            text += f"k{number} = {value}  # remark\n"
            truth[(*place, f"k{number}")] = line
        else:
            text += "\n" if what == "blank" else "# k = '\n"
    tomllib.loads(text)  # the text is valid TOML
    places = locate(text)
    assert {place: places[place] for place in truth} == truth
