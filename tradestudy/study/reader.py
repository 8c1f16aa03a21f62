"""Read a study file: TOML text in, a checked frozen `Study` out, or every fault at once."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Any, NamedTuple, NoReturn

from pydantic import BaseModel, ValidationError

from tradestudy.errors import CommandError, Fault, StudyFileError, near_match, nearest
from tradestudy.study.assumed_values.apply_rules import ASSUMABLE, fill_in
from tradestudy.study.consistency.cross_checks import broken_rules
from tradestudy.study.consistency.equipment import equipment_on_board, stock_equipment_set
from tradestudy.study.schema.fitted import with_overlay
from tradestudy.study.schema.key_types import ListErrors
from tradestudy.study.schema.search import SCHEME_OF
from tradestudy.study.schema.study import OPTIONAL_WITH_DEFAULTS, TABLES, DefaultUsed, Study, TableSpec, key_type

from .line_numbers import Place, dotted, line_of, locate
from .value_text import as_written

# tables that may be told in short elsewhere: by a key, or by a table of its own
_SHORT_FORMS = {
    "elevon": ("stock", "elevon_chord"),
    "pack": ("power", ""),
    "motor": ("power", ""),
    "propeller": ("power", ""),
}
# where a table stands that a study tells in short or leaves to be worked out
_SHORT_PLACES: dict[Any, Place] = {
    "elevon": ("stock", "elevon_chord"),
    "fin": ("stock", "fin_height"),
    "pack": ("power", "pack"),
    "bay": ("power", "pack"),
    "motor": ("power", "motor"),
    "propeller": ("power", "propeller"),
}
_LARGEST_FILE = 200_000  # bytes; a long study has 10 000


class PlacedFault(NamedTuple):
    """One thing wrong in a file: where, the whole sentence about it, and whether it is that something is missing."""

    place: Place
    sentence: str
    missing: bool = False


def read_study(path: str | os.PathLike[str], fitted: str | os.PathLike[str] | None = None) -> Study:
    """Return the study in the file at ``path``, with the overlay ``fitted`` on it where one is named.

    Raises
    ------
    StudyFileError
        Carries every fault of the file, sorted by line.
    CommandError
        There is no such file, or the overlay is of another wing.
    """
    path = Path(path)
    text = read_text(path)
    if fitted is not None:
        fitted = Path(fitted)
        added = read_text(fitted, "an overlay that the command fit wrote is wanted")
        tables = toml_tables(fitted, added, "The file holds no overlay, as the command fit writes one.")
        text = with_overlay(text, fitted, added, tables)
    return study_from_tables(toml_tables(path, text), path, text)


def study_from_tables(given: dict[str, Any], path: Path, text: str) -> Study:
    """Return the study of the tables that TOML text gives; ``path`` and ``text`` are where they were read.

    Raises StudyFileError like `read_study`.
    """
    found: list[PlacedFault] = []
    misspelt = unknown_tables(given, found)
    whole = fill_in(given, path)
    raw = whole.raw
    tables: dict[str, Any] = {}
    defaults = list(whole.assumed)
    for name, table in TABLES.items():
        if name in misspelt:
            continue
        value = read_table(name, table, raw, found)
        if value is not None:
            tables[name] = value[0]
            defaults += _defaults(name, value[0])
    found += faults_at_keys(broken_rules(tables, path.parent, given))
    if found:
        found = _told_in_short(found, given)
        places = locate(text)
        raise StudyFileError(
            str(path), [Fault(_line(places, one.place), dotted(one.place), one.sentence) for one in found]
        )
    every = tables["equipment"]
    tables["equipment"] = equipment_on_board(every, stock_equipment_set(tables["equipment_set"]))
    return Study(path=path, text=text, defaults_used=tuple(defaults), all_equipment=every, **tables)


def read_text(path: Path, wanted: str = "a study file is wanted, such as studies/godwit.toml") -> str:
    """Return the text of the file, without byte order mark, line ends as ``\\n``."""
    content = read_limited(path, wanted, _LARGEST_FILE)
    if len(content) > _LARGEST_FILE:
        _refuse(path, 1, f"The file holds {path.stat().st_size} bytes; a study file has fewer than {_LARGEST_FILE}.")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        _refuse(path, line, "The file is not UTF-8 text. Save it again with the encoding UTF-8.")
    return text.replace("\r\n", "\n")


def read_limited(path: Path, wanted: str, most: int, ending: str = ".toml") -> bytes:
    """Return what a file holds, one byte more than ``most`` where it holds more. Raises CommandError.

    ``wanted`` says what was to be named in place of a folder. Of a name that is not there, the nearest with the same
    ending is offered.
    """
    if os.path.isdir(path):
        raise CommandError(f"{path} is a folder; {wanted}.")
    if not os.path.exists(path):
        nearby = sorted(file.name for file in path.parent.glob(f"*{ending}")) if os.path.isdir(path.parent) else []
        raise CommandError(f"There is no file {path}.{near_match(path.name, nearby)}")
    try:
        with path.open("rb") as file:
            return file.read(most + 1)
    except OSError as error:
        raise CommandError(f"{path} cannot be read: {error.strerror}.") from None


def faults_at_keys(broken: Iterable[tuple[Place, str]]) -> list[PlacedFault]:
    """Return broken rules with their sentences begun by the key they stand at."""
    return [PlacedFault(place, f"{dotted(place)} {sentence}") for place, sentence in broken]


def toml_tables(
    path: Path, text: str, empty: str = "The file holds no study. Copy studies/godwit.toml and change its values."
) -> dict[str, Any]:
    """Return the tables of the file; a fault of syntax ends the reading there."""
    try:
        raw = tomllib.loads(text)
    except RecursionError:
        _refuse(path, 1, "The file nests lists too deeply to be read.")
    except ValueError as error:
        at = re.search(r"\s*\(at line (\d+), column \d+\)$", str(error))
        line = int(at.group(1)) if at else text.rstrip().count("\n") + 1
        said = str(error)[: at.start()] if at else str(error)
        _refuse(path, line, _syntax_sentence(text.split("\n")[line - 1], said))
    if not raw:
        _refuse(path, 1, empty)
    return raw


def _syntax_sentence(row: str, said: str) -> str:
    """Say what is wrong with a line that is not TOML; the usual slips get their remedy."""
    bare = re.match(r"\s*([\w.]+)\s*=\s*([-+.\d][^\"'\[\]{}#=]*?)\s*(?:#.*)?$", row)
    if bare and re.search(r"[^\d.eE+_-]", bare.group(2)):
        return f'{bare.group(1)} needs quotes around its value: {bare.group(1)} = "{bare.group(2)}"'
    word = re.match(r"\s*([\w.]+)\s*=\s*([A-Za-z][^\"'\[\]{}#=]*?)\s*(?:#.*)?$", row)
    if word:
        if word.group(2).lower() in ("true", "false"):
            return f"{word.group(1)} is {word.group(2)}; write {word.group(2).lower()} in small letters."
        return f'{word.group(1)} needs quotes around its value: {word.group(1)} = "{word.group(2)}"'
    if row.partition("#")[0].count('"') % 2:
        return 'A quote (") is opened on this line and not closed.'
    twice = {
        "Cannot overwrite a value": "This key stands here a second time; keep one of the two.",
        "Cannot declare": "This table stands here a second time; keep one, or give both [[double brackets]].",
    }
    for start, sentence in twice.items():
        if said.startswith(start):
            return sentence
    return f"This line cannot be read as TOML: {said[:1].lower()}{said[1:120]}."


def _refuse(path: Path, line: int, sentence: str) -> NoReturn:
    raise StudyFileError(str(path), [Fault(line, "", sentence)]) from None


def unknown_tables(raw: dict[str, Any], found: list[PlacedFault], tables: dict[str, TableSpec] = TABLES) -> set[str]:
    """Report tables nobody knows; return the missing tables that they are misspellings of."""
    missing = [name for name in tables if name not in raw]
    misspelt = set()
    for name in raw:
        if name in tables:
            continue
        if isinstance(raw[name], dict | list):
            meant = nearest(name, missing)
            misspelt.add(meant)
            hint = near_match(name, missing) or near_match(name, list(tables))
            found.append(PlacedFault((name,), f"[{dotted((name,))[:60]}] is not a known table.{hint}"))
        else:
            found.append(
                PlacedFault((name,), f"{dotted((name,))[:60]} stands outside any table.{_home_of(name, tables)}")
            )
    return misspelt


def read_table(
    name: str, table: TableSpec, raw: dict[str, Any], found: list[PlacedFault], tables: dict[str, TableSpec] = TABLES
) -> tuple[Any] | None:
    """Return the checked table (or tables, or None if absent) in a tuple of one; None when it has faults."""
    brackets = f"[[{name}]]" if table.is_array else f"[{name}]"
    if name not in raw:
        if table.fewest == 0:
            return (() if table.is_array else table.model() if name in OPTIONAL_WITH_DEFAULTS else None,)
        found.append(PlacedFault((name,), f"{brackets} is missing; it holds {_needed(table)}.", missing=True))
        return None
    value = raw[name]
    is_list = isinstance(value, list) and all(isinstance(item, dict) for item in value)
    if not (is_list if table.is_array else isinstance(value, dict)):
        how = "in double brackets, once for each" if table.is_array else "once, with its keys below it"
        found.append(PlacedFault((name,), f"{name} is {_arrangement(value)}; write {brackets} {how}."))
        return None
    if not table.is_array:
        model = _checked(table.model, value, (name,), found, tables)
        return None if model is None else (model,)
    if not table.fewest <= len(value) <= table.most:
        found.append(
            PlacedFault((name,), f"{brackets} stands {len(value)} times; {table.fewest} to {table.most} are allowed.")
        )
        return None
    models = [_checked(table.model, item, (name, index), found, tables) for index, item in enumerate(value)]
    return None if any(model is None for model in models) else (tuple(models),)


def _arrangement(value: Any) -> str:
    if isinstance(value, dict):
        return "one table"
    if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        return "a list of tables"
    return as_written(value)


def _checked(
    model: type[BaseModel], raw: dict[str, Any], place: Place, found: list[PlacedFault], tables: dict[str, TableSpec]
) -> BaseModel | None:
    try:
        return model.model_validate(raw)
    except ValidationError as error:
        faults = error.errors(include_url=False)
    missing = [str(fault["loc"][0]) for fault in faults if fault["type"] == "missing"]
    misspelt = set()
    for fault in faults:
        at = place + fault["loc"]
        if fault["type"] == "extra_forbidden":
            key = str(fault["loc"][0])
            misspelt.add(nearest(key, missing))
            hint = near_match(key, missing) or near_match(key, list(model.model_fields)) or _home_of(key, tables)
            found.append(PlacedFault(at, f"{dotted(at)[:80]} is not a known key.{hint}"))
        elif fault["type"] == "value_error":
            cause = fault["ctx"]["error"]
            inner = cause.faults if isinstance(cause, ListErrors) else [(None, str(cause))]
            found += faults_at_keys((at if index is None else (*at, index), sentence) for index, sentence in inner)
    found += [_missing_key((*place, key), model) for key in missing if key not in misspelt]
    return None


def _needed(table: TableSpec) -> str:
    return ", ".join(key for key, field in table.model.model_fields.items() if field.is_required())


def _missing_key(place: Place, model: type[BaseModel]) -> PlacedFault:
    entry = key_type(model.model_fields[str(place[-1])])
    return PlacedFault(place, f"{dotted(place)} is missing: {entry.meaning} ({entry.allowed}).", missing=True)


def _told_in_short(found: list[PlacedFault], given: dict[str, Any]) -> list[PlacedFault]:
    """Say what is missing by the short key, where a study tells that table in short; nothing is said twice.

    What could not be filled in because of another fault is that other fault's doing, and left out.
    """
    kept: list[PlacedFault] = []
    said = set()
    for one in found:
        table = str(one.place[0])
        short = _SHORT_FORMS.get(table)
        if one.missing and one.place == ("stretch", "span") and "longest" in _table(given, "stretch"):
            continue  # stretch.longest or stock.span has a fault of its own, told there
        if short is None or table in given or not one.missing:
            kept.append(one)
            continue
        name, key = short
        if name in given and (not key or not isinstance(given[name], dict)):
            continue  # the short table has a fault of its own, told there
        if name not in said and (name not in given or key not in _table(given, name)):
            said.add(name)
            kept.append(
                _missing_key((name, key), TABLES[name].model)
                if key
                else PlacedFault(
                    (name,),
                    f"[{name}] is missing; it holds {_needed(TABLES[name])} (or give [pack], [motor], "
                    "[controller] and [propeller] in full).",
                    missing=True,
                )
            )
    return [one for one in kept if not (one.missing and _could_be_assumed(one.place))] or kept


def _table(given: dict[str, Any], name: str) -> dict[str, Any]:
    """Return a table as given, empty where it is none or another kind of thing."""
    table = given.get(name)
    return table if isinstance(table, dict) else {}


def _line(places: dict[Place, int], at: Place) -> int:
    """Return the line of a place; where its table is told in short, the line that tells it."""
    for place in (at, _SHORT_PLACES.get(at[0]), _SHORT_PLACES.get(at[0], ())[:1]):
        if place and place[:1] in places and (len(place) == 1 or place in places or place == at):
            return line_of(places, place)
    return 1


def _could_be_assumed(place: Place) -> bool:
    """True for a key, or table, that a rule would have filled in."""
    if place[0] in ("stock", "stretch", *(name for name, _ in _SHORT_FORMS.values())):
        return False
    return (str(place[0]), str(place[-1])) in ASSUMABLE or any(place == (table,) for table, _ in ASSUMABLE)


def _home_of(key: str, tables: dict[str, TableSpec]) -> str:
    """Return `` It belongs in [fly].`` when exactly one table has this key."""
    homes = [name for name, table in tables.items() if key in table.model.model_fields]
    return f" It belongs in [{homes[0]}]." if len(homes) == 1 else ""


def _defaults(name: str, value: Any) -> list[DefaultUsed]:
    """List the fields a table left at their default."""
    items = enumerate(value) if isinstance(value, tuple) else [(None, value)] if value is not None else []
    used = []
    for index, table in items:
        place: Place = (name,) if index is None else (name, index)
        for key, field in type(table).model_fields.items():
            if key in table.model_fields_set or (
                name == "stretch" and SCHEME_OF.get(key, table.scheme) != table.scheme
            ):
                continue
            extra: Any = field.json_schema_extra
            if extra["shown"]:
                used.append(
                    DefaultUsed(
                        dotted((*place, key)),
                        extra["shown"],
                        extra["origin"],
                        extra["low"],
                        extra["high"],
                        extra["moves"],
                        (*place, key),
                    )
                )
    return used
