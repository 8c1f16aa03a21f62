"""Line numbers of the keys of a TOML file, which `tomllib` does not give.

A place is a tuple like ``("rods", 0, "diameter")``: names, and indices counted from 0 for arrays of tables. For a
person it is written ``rods[1].diameter``, counted from 1.
"""

from __future__ import annotations

import re

Place = tuple[str | int, ...]

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BLANK = re.compile(r"[ \t]*")
_STRING_OPENINGS = ('"""', "'''", '"', "'")


def locate(text: str) -> dict[Place, int]:
    """Return place -> line (counted from 1) for every table, array table and key of valid TOML text.

    Keys inside inline tables and lists are not included: `line_of` returns the line of the key that holds them.
    """
    places: dict[Place, int] = {}
    counts: dict[Place, int] = {}  # tables of each array so far
    table: Place = ()
    position, line = 0, 1
    while position < len(text):
        position = _end_of_blank(text, position)
        letter = text[position : position + 1]
        if letter in ("", "\n", "\r", "#"):
            pass
        elif letter == "[":
            double = text.startswith("[[", position)
            names, position = _key(text, position + 1 + double)
            table = _resolve(names, counts, double)
            places.setdefault(table, line)
            for length in range(1, len(table)):
                places.setdefault(table[:length], line)
        else:
            names, position = _key(text, position)
            for length in range(1, len(names) + 1):
                places.setdefault(table + names[:length], line)
        end = _end_of_statement(text, position)
        line += text.count("\n", position, end)
        position = end
    return places


def line_of(places: dict[Place, int], place: Place) -> int:
    """Return the line of ``place``, or of the nearest table that holds it, or 1."""
    for length in range(len(place), 0, -1):
        if place[:length] in places:
            return places[place[:length]]
    return 1


def dotted(place: Place) -> str:
    """Return a place as a person reads it: ``rods[1].diameter`` for the first of the rods."""
    parts = ""
    for step in place:
        if isinstance(step, int):
            parts += f"[{step + 1}]"
        else:
            printable = "".join(letter if letter.isprintable() else "?" for letter in step)
            name = step if _BARE_KEY.fullmatch(step) else f'"{printable}"'
            parts += f".{name}" if parts else name
    return parts


def _resolve(names: tuple[str, ...], counts: dict[Place, int], double: bool) -> Place:
    """Return the place of a header, and count the tables of its array."""
    place: Place = ()
    for index, name in enumerate(names):
        place += (name,)
        if double and index == len(names) - 1:
            counts[place] = counts.get(place, 0) + 1
        if place in counts:
            place += (counts[place] - 1,)
    return place


def _end_of_blank(text: str, position: int) -> int:
    match = _BLANK.match(text, position)
    return match.end() if match else position


def _key(text: str, position: int) -> tuple[tuple[str, ...], int]:
    """Return the names of a bare, quoted or dotted key, and the position after it."""
    names: list[str] = []
    while True:
        position = _end_of_blank(text, position)
        if text[position : position + 1] in ('"', "'"):
            end = _end_of_string(text, position)
            names.append(text[position + 1 : end - 1])
        else:
            match = _BARE_KEY.match(text, position)
            if not match:
                return tuple(names), position
            names.append(match.group())
            end = match.end()
        position = _end_of_blank(text, end)
        if text[position : position + 1] != ".":
            return tuple(names), position
        position += 1


def _end_of_string(text: str, position: int) -> int:
    """Return the position after the string that opens at ``position``."""
    opening = next(mark for mark in _STRING_OPENINGS if text.startswith(mark, position))
    position += len(opening)
    while position < len(text):
        if text[position] == "\\" and opening[0] == '"':
            position += 2
        elif text.startswith(opening, position):
            position += len(opening)
            while len(opening) == 3 and text.startswith(opening[0], position):
                position += 1  # a multi-line string may end in quotes of its own
            return position
        else:
            position += 1
    return len(text)


def _end_of_statement(text: str, position: int) -> int:
    """Return the start of the first line after the statement, past strings, comments and open brackets."""
    depth = 0
    while position < len(text):
        letter = text[position]
        if letter in "\"'":
            position = _end_of_string(text, position)
            continue
        if letter == "#":
            newline = text.find("\n", position)
            position = len(text) if newline < 0 else newline
            continue
        if letter in "[{":
            depth += 1
        elif letter in "]}":
            depth = max(depth - 1, 0)
        elif letter == "\n" and depth == 0:
            return position + 1
        position += 1
    return len(text)
