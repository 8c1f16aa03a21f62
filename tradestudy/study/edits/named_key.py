"""The place of a key that a person names: ``stock.span``, ``equipment[2].mass``, ``equipment.camera.mass``."""

from __future__ import annotations

import re
from difflib import get_close_matches
from typing import Any

from tradestudy.errors import nearest
from tradestudy.study.line_numbers import Place, dotted
from tradestudy.study.schema.study import STUDY_TABLES, Study, TableSpec

_TABLE = re.compile(r"\s*(?P<table>[\w-]+)\s*(?:\[(?P<item>[^\]]*)\])?\s*(?:\.(?P<rest>.*))?", re.DOTALL)
_REST = re.compile(r"(?:(?P<item>.+)\.)?\s*(?P<key>[\w-]+)\s*(?:\[(?P<index>\d+)\])?\s*", re.DOTALL)
_MOST_NAMED = 20  # longest list of keys or items in a message


class UnknownKey(ValueError):
    """An exception for a key that a study cannot hold. Its text is a sentence for the user."""


def place_of(study: Study, name: str) -> Place:
    """Return the place of a key in the tables of a study, such as ``("equipment", 1, "mass")``.

    An item of an array is named by its number from 1, or by its name: ``equipment[2].mass``, ``equipment[camera].mass``
    or ``equipment.camera.mass``. A part of a name is enough if no other item has it. A number behind the key is an
    item of its list: ``stretch.span[2]``.

    Raises
    ------
    UnknownKey
        There is no such table, item or key, or several items fit.
    """
    parts = _TABLE.fullmatch(name)
    table = parts["table"] if parts else ""
    spec = STUDY_TABLES.get(table)
    if parts is None or spec is None or parts["rest"] is None:
        raise UnknownKey(f'"{name}" is not a known key.{_near_keys(name, table, spec)}')
    rest = _REST.fullmatch(parts["rest"])
    key = rest["key"] if rest else ""
    if rest is None or key not in spec.model.model_fields:
        item = parts["item"] or (rest["item"] if rest else None)
        holder = table + (f"[{item}]" if item and spec.is_array else "")
        raise UnknownKey(f'"{name}" is not a known key.{_near_keys(key or parts["rest"], holder, spec)}')
    named = parts["item"] or rest["item"]
    place: Place = (table, key)
    if spec.is_array:
        place = (table, _item_number(study, table, named, key), key)
    elif named is not None:
        raise UnknownKey(f'"{name}" is not a known key: there is only one [{table}]. Did you mean {table}.{key}?')
    return place if rest["index"] is None else (*place, int(rest["index"]) - 1)


def _item_number(study: Study, table: str, named: str | None, key: str) -> int:
    """Return the number from 0 of an item of an array. One number behind the last item stands for a new item."""
    items = items_of(study, table)
    if named is None:
        if len(items) > 1:
            raise UnknownKey(f"[[{table}]] stands {len(items)} times. Name one: {_choices(table, items, key)}.")
        return 0
    text = named.strip().strip("\"'")
    if re.fullmatch(r"\d+", text):
        number = int(text)
        if not 1 <= number <= len(items) + 1:
            raise UnknownKey(f"There is no {table}[{number}]; the study has {len(items)}{_of(table, items, key)}")
        return number - 1
    names = [str(getattr(item, "name", None) or "") for item in items]
    fits = [index for index, each in enumerate(names) if each.casefold() == text.casefold()]
    if not fits:
        word = re.compile(rf"\b{re.escape(text)}", re.IGNORECASE)
        fits = [index for index, each in enumerate(names) if word.search(each)]
    if len(fits) == 1:
        return fits[0]
    if fits:
        raise UnknownKey(f'"{text}" fits several: {_choices(table, items, key, fits)}. Name one by its number.')
    words = {word.casefold(): index for index, each in enumerate(names) for word in [each, *each.split()]}
    near = nearest(text.casefold(), list(words))
    meant = f" Did you mean {_choices(table, items, key, [words[near]])}?" if near else ""
    raise UnknownKey(f'No [[{table}]] has the name "{text}".{meant or _of(table, items, key, " Known: ")}')


def items_of(study: Study, table: str) -> tuple[Any, ...]:
    """Return the items of an array of a study, in the order of its file."""
    return tuple(getattr(study, "all_equipment" if table == "equipment" else table) or ())


def _of(table: str, items: tuple[Any, ...], key: str, head: str = ": ") -> str:
    return f"{head}{_choices(table, items, key)}." if items else "."


def _choices(table: str, items: tuple[Any, ...], key: str, only: list[int] | None = None) -> str:
    """Return the keys of several items as text, each with the name of its item."""
    shown = [
        dotted((table, index, key)) + (f" ({item.name})" if getattr(item, "name", None) else "")
        for index, item in enumerate(items)
        if only is None or index in only
    ]
    return ", ".join(shown[:_MOST_NAMED])


def _near_keys(word: str, table: str, spec: TableSpec | None) -> str:
    """Return a sentence with the known keys that are most similar to a word."""
    if spec is not None:
        keys = list(spec.model.model_fields)
        near = get_close_matches(word, keys, n=3, cutoff=0.6)
        if near:
            return f" Did you mean {_listed([f'{table}.{key}' for key in near])}?"
        homes = _homes(word)
        if homes and homes != [f"{table}.{word}"]:
            return f" Did you mean {_listed(homes)}?"
        return f" Keys of [{table}]: {', '.join(keys[:_MOST_NAMED])}{', ...' if len(keys) > _MOST_NAMED else ''}."
    if homes := _homes(word):
        return f" Did you mean {_listed(homes)}?"
    rest = word.partition(".")[2]
    tables = get_close_matches(table, list(STUDY_TABLES), n=2, cutoff=0.6)
    inside = [f"{each}.{rest}" for each in tables if rest in STUDY_TABLES[each].model.model_fields]
    keys = inside or get_close_matches(
        word, [f"{each}.{key}" for each, one in STUDY_TABLES.items() for key in one.model.model_fields], n=3, cutoff=0.7
    )
    if keys:
        return f" Did you mean {_listed(keys)}?"
    return " A key is a table and a name, such as fly.wind; tradestudy keys lists all."


def _homes(key: str) -> list[str]:
    """Return the dotted names of all keys with one name, if they are few."""
    homes = [f"{name}.{key}" for name, spec in STUDY_TABLES.items() if key in spec.model.model_fields]
    return homes if len(homes) <= 3 else []


def _listed(words: list[str]) -> str:
    *most, last = words
    return f"{', '.join(most)} or {last}" if most else last
