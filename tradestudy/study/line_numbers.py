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
# The parts of TOML that decide where a statement ends: strings, comments, brackets and line ends. One or two quotes
# directly before the closing quotes of a multi-line string belong to the string.
_TOKEN = re.compile(
    r'''"""(?:\\.|[^\\])*?"""+|\'{3}.*?\'{3,}|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'|\#[^\n]*|[\[\]{}\n]''', re.DOTALL
)


def locate(text: str) -> dict[Place, int]:
    """Return a dict of place -> line number (from 1) for every table, array table and key of valid TOML text.

    Keys inside inline tables and lists are not included. For them, `line_of` returns the line of the key that holds
    the inline table or the list.
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
        end = _end_of_statement(text, position)
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


def _end_of_statement(text: str, position: int) -> int:
    """Return the start of the first line after a statement, which may have several lines of strings or brackets."""
    depth = 0
    for token in _TOKEN.finditer(text, position):
        if token.group() in "[{":
            depth += 1
        elif token.group() in "]}":
            depth = max(depth - 1, 0)
        elif token.group() == "\n" and depth == 0:
            return token.end()
    return len(text)
