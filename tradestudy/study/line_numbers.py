"""Line numbers of the keys of a TOML file, which `tomllib` does not give.

A place is a tuple such as ``("rods", 0, "diameter")``. It holds names and, for arrays of tables, indices from 0. In
messages to the user the same place is ``rods[1].diameter``, with indices from 1.
"""

from __future__ import annotations

import re

Place = tuple[str | int, ...]

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_KEY_PART = re.compile(rf"""[ \t]*(?:({_BARE_KEY.pattern})|"((?:\\.|[^"\\])*)"|'([^']*)')[ \t]*(\.?)""")
_HEADER = re.compile(r"[ \t]*(\[\[?)")
# The parts of TOML that decide where a statement or an item of a list ends: strings, comments, brackets, commas, line
# ends and other words. One or two quotes directly before the closing quotes of a multi-line string belong to it.
_STRINGS = r'''"""(?:\\.|[^\\])*?"""+|\'{3}.*?\'{3,}|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\''''
_TOKEN = re.compile(rf"""{_STRINGS}|\#[^\n]*|[\[\]{{}},\n]|[^\s=\[\]{{}},"\'\#]+""", re.DOTALL)


def locate(text: str) -> dict[Place, int]:
    """Return a dict of place -> line number (from 1) for every table, array table and key of valid TOML text.

    Items of lists are included, with their index. Keys inside inline tables and lists within lists are not. For them,
    `line_of` returns the line of what holds them.
    """
    places: dict[Place, int] = {}
    counts: dict[Place, int] = {}  # number of tables read so far for each array
    table: Place = ()
    position, line = 0, 1
    while position < len(text):
        if header := _HEADER.match(text, position):
            names, position = _key(text, header.end())
            table = _header_place(names, counts, double=header.group(1) == "[[")
            places.setdefault(table, line)
            parents = (table[:length] for length in range(1, len(table)))
        else:
            names, position = _key(text, position)
            parents = (table + names[:length] for length in range(1, len(names) + 1))
        for place in parents:
            places.setdefault(place, line)
        end, items = _end_of_statement(text, position)
        if not header and names:
            for index, start in enumerate(items):
                places[*table, *names, index] = line + text.count("\n", position, start)
        line += text.count("\n", position, end)
        position = end
    return places


def line_of(places: dict[Place, int], place: Place) -> int:
    """Return the line of ``place``. If it has none, return the line of the innermost table that holds it, or 1."""
    for length in range(len(place), 0, -1):
        if place[:length] in places:
            return places[place[:length]]
    return 1


def dotted(place: Place) -> str:
    """Return a place in the form used in messages: ``rods[1].diameter`` for the first table of ``rods``."""
    parts = ""
    for step in place:
        if isinstance(step, int):
            parts += f"[{step + 1}]"
        else:
            printable = "".join(letter if letter.isprintable() else "?" for letter in step)
            name = step if _BARE_KEY.fullmatch(step) else f'"{printable}"'
            parts += f".{name}" if parts else name
    return parts


def _header_place(names: tuple[str, ...], counts: dict[Place, int], double: bool) -> Place:
    """Return the place of a table header. For an array of tables, also update ``counts``."""
    place: Place = ()
    for index, name in enumerate(names):
        place += (name,)
        if double and index == len(names) - 1:
            counts[place] = counts.get(place, 0) + 1
        if place in counts:
            place += (counts[place] - 1,)
    return place


def _key(text: str, position: int) -> tuple[tuple[str, ...], int]:
    """Return the names of a bare, quoted or dotted key, and the position after it.

    If no key starts at ``position``, there are no names.
    """
    names: list[str] = []
    while match := _KEY_PART.match(text, position):
        names.append(next(part for part in match.group(1, 2, 3) if part is not None))
        position = match.end()
        if not match.group(4):
            break
    return tuple(names), position


def _end_of_statement(text: str, position: int) -> tuple[int, list[int]]:
    """Return the start of the first line after a statement, and where the items of its list start.

    A statement may have several lines of strings or brackets. If its value is no list, there are no items.
    """
    opened: list[str] = []
    items: list[int] = []
    awaited = False  # whether the next item of the list is still to come
    for token in _TOKEN.finditer(text, position):
        sign, within_list = token.group(), opened == ["["]
        if sign == "\n" and not opened:
            return token.end(), items
        if within_list and awaited and sign[0] not in "#\n,]":
            items.append(token.start())
            awaited = False
        if sign in ("[", "{"):
            opened.append(sign)
            awaited = opened == ["["]
        elif sign in ("]", "}"):
            del opened[-1:]
        elif sign == "," and within_list:
            awaited = True
    return len(text), items
