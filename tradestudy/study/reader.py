"""Read a study file. The result is a checked, frozen `Study`, or an exception with all errors of the file."""

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
from tradestudy.study.assumed_values.power_rules import with_class_band
from tradestudy.study.consistency.cross_checks import cross_check
from tradestudy.study.consistency.equipment import equipment_on_board, stock_equipment_set
from tradestudy.study.schema.fitted import with_overlay
from tradestudy.study.schema.key_types import ListErrors
from tradestudy.study.schema.search import SCHEME_OF
from tradestudy.study.schema.study import (
    OPTIONAL_WITH_DEFAULTS,
    STUDY_TABLES,
    DefaultUsed,
    Study,
    TableSpec,
    key_type,
)

from .examples import copy_hint
from .fault_lines import fault_line
from .line_numbers import Place, dotted, locate
from .value_text import as_written

# table -> (table, key) of its short form; an empty key means that a complete table is the short form
_SHORT_FORMS = {
    "elevon": ("stock", "elevon_chord"),
    "pack": ("power", ""),
    "motor": ("power", ""),
    "propeller": ("power", ""),
}
# key that has another name now -> what to write instead
_RENAMED = {
    "crosses_centre": 'Write at_centre in its place: "ends", "lap", "cross over", "sleeve" or "whole".',
    "installation_loss": "What a drive loses in a wing is in built.drive_power_factor.",
}
_LARGEST_FILE = 200_000  # largest size of a file in bytes; a long study has 10 000


# Names joined by full stops from which on a key is refused, since reading takes time with the square of their number.
_DEEPEST = 20
_NAME_AND_STOP = r"""(?:[\w-]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*"""
_DEEP_KEY = re.compile(rf"(?:^|[\[{{,])[ \t]*(?:{_NAME_AND_STOP}){{{_DEEPEST}}}", re.MULTILINE)


class PlacedFault(NamedTuple):
    """One error in a file: its place, a complete sentence, and whether a key or table is missing."""

    place: Place
    sentence: str
    missing: bool = False


def read_study(path: str | os.PathLike[str], fitted: str | os.PathLike[str] | None = None) -> Study:
    """Return the study in the file at ``path``.

    ``fitted`` is the path of an overlay: TOML text with fitted factors, which is appended to the text of the study.

    Raises
    ------
    StudyFileError
        The file has errors. The exception holds all of them, sorted by line.
    CommandError
        There is no such file, or the overlay belongs to another wing.
    """
    path = Path(path)
    text = read_text(path)
    if fitted is not None:
        fitted = Path(fitted)
        added = read_text(fitted, "give an overlay that the command fit wrote")
        tables = toml_tables(fitted, added, "The file holds no overlay, as the command fit writes one.")
        text = with_overlay(text, fitted, added, tables)
    return study_from_tables(toml_tables(path, text), path, text)


def study_from_tables(given: dict[str, Any], path: Path, text: str) -> Study:
    """Return the study for tables that were read from TOML.

    ``given`` are the tables, ``text`` is the TOML text, and ``path`` is the path of its file. Raise StudyFileError
    like `read_study`.
    """
    faults: list[PlacedFault] = []
    misspelt = unknown_tables(given, faults)
    filled = fill_in(given, path)
    tables: dict[str, Any] = {}
    defaults = list(filled.assumed)
    for name, spec in STUDY_TABLES.items():
        if name not in misspelt and (table := check_table(name, spec, filled.raw, faults)):
            tables[name] = table[0]
            defaults += _defaults(name, table[0])
    faults += faults_at_keys(cross_check(tables, path.parent, given))
    if faults:
        places = locate(text)
        raise StudyFileError(
            str(path),
            [
                Fault(fault_line(places, one.place), dotted(one.place), one.sentence)
                for one in _without_consequences(faults, given)
            ],
        )
    defaults = [with_class_band(used, tables["motor"].size) for used in defaults]
    equipment = tables.pop("equipment")
    on_board = equipment_on_board(equipment, stock_equipment_set(tables["equipment_set"]))
    return Study(
        path=path, text=text, defaults_used=tuple(defaults), equipment=on_board, all_equipment=equipment, **tables
    )


def read_text(path: Path, advice: str = "give a study file, such as studies/godwit.toml") -> str:
    """Return the text of a file without byte order mark. Line ends become ``\\n``.

    ``advice`` has the same meaning as in `read_limited`.
    """
    content = read_limited(path, advice, _LARGEST_FILE)
    if len(content) > _LARGEST_FILE:
        _refuse(path, 1, f"The file has more than {_LARGEST_FILE} bytes, the most that is read.")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        _refuse(path, line, "The file is not UTF-8 text. Save it again with the encoding UTF-8.")
    return text.replace("\r\n", "\n")


# what a shell gives a program in place of a file: it has a writer
_INPUT_OF_A_SHELL = re.compile(r"/dev/(fd/\d+|stdin)$|/proc/(self|\d+)/fd/\d+$")


def read_limited(path: Path, advice: str, most: int, suffix: str = ".toml") -> bytes:
    """Return the content of a file. If it is longer than ``most`` bytes, return its first ``most`` + 1 bytes.

    Raise CommandError if the file cannot be read. If ``path`` is a folder, the message ends with ``advice``. If the
    file is missing, the message suggests the most similar file name that ends in ``suffix``.
    """
    if os.path.isdir(path):
        raise CommandError(f"{path} is a folder; {advice}.")
    if os.path.exists(path) and not os.path.isfile(path) and not _INPUT_OF_A_SHELL.match(path.as_posix()):
        # a named pipe would wait for a writer, and a device may never end
        raise CommandError(f"{path} is no file but a pipe or a device; {advice}.")
    try:
        with path.open("rb") as file:
            return file.read(most + 1)
    except OSError as error:
        # in a folder without permission, no file seems to exist
        if os.path.exists(path) or isinstance(error, PermissionError):
            raise CommandError(f"{path} cannot be read: {error.strerror}.") from None
    if os.path.islink(path):
        raise CommandError(f"{path} is a symbolic link that leads to no file.")
    nearby = sorted(file.name for file in path.parent.glob(f"*{suffix}")) if os.path.isdir(path.parent) else []
    hint = near_match(path.name, nearby) or copy_hint(path)
    raise CommandError(f"There is no file {path}.{hint}")


def faults_at_keys(faults: Iterable[tuple[Place, str]]) -> list[PlacedFault]:
    """Return errors as PlacedFault with complete sentences. Each given sentence lacks the key with which it starts."""
    return [PlacedFault(place, f"{dotted(place)} {sentence}") for place, sentence in faults]


def toml_tables(
    path: Path, text: str, empty: str = "The file holds no study. tradestudy example copies one to change."
) -> dict[str, Any]:
    """Return the tables of TOML text. Raise StudyFileError for the first syntax error, or if there are no tables.

    ``empty`` is the message for a file without tables.
    """
    if deep := _DEEP_KEY.search(text):
        line = text.count("\n", 0, deep.end()) + 1
        _refuse(path, line, f"A key or table has more than {_DEEPEST} names joined by full stops; 1 to 3 are used.")
    try:
        raw = tomllib.loads(text)
    except RecursionError:
        _refuse(path, 1, "The lists in the file are nested too deeply.")
    except ValueError as error:
        at = re.search(r"\s*\(at line (\d+), column \d+\)$", str(error))
        line = int(at.group(1)) if at else text.rstrip().count("\n") + 1
        message = str(error)[: at.start()] if at else str(error)
        _refuse(path, line, _syntax_sentence(text.split("\n")[line - 1], message))
    if not raw:
        _refuse(path, 1, empty)
    return raw


def _syntax_sentence(row: str, message: str) -> str:
    """Return a sentence about a line that is not valid TOML. For common mistakes it says how to correct the line."""
    if bare := re.match(r"\s*([\w.]+)\s*=\s*([-+.\w][^\"'\[\]{}#=]*?)\s*(?:#.*)?$", row):
        key, value = bare.groups()
        if value.lower() in ("true", "false"):
            return f"{key} is {value}; write {value.lower()} in small letters."
        if value[0].isalpha() or re.search(r"[^\d.eE+_-]", value):
            return f'{key} needs quotes around its value: {key} = "{value}"'
    if row.partition("#")[0].count('"') % 2:
        return 'A quote (") is opened on this line and not closed.'
    if message.startswith("Cannot overwrite a value"):
        return "This key is given a second time; keep one of the two."
    if message.startswith("Cannot declare"):
        return "This table is given a second time; keep one, or write both in [[double brackets]]."
    return f"This line cannot be read as TOML: {message[:1].lower()}{message[1:120]}."


def _refuse(path: Path, line: int, sentence: str) -> NoReturn:
    raise StudyFileError(str(path), [Fault(line, "", sentence)]) from None


def unknown_tables(
    raw: dict[str, Any], faults: list[PlacedFault], tables: dict[str, TableSpec] = STUDY_TABLES
) -> set[str]:
    """Add an error for every unknown table. Return the missing tables whose names are similar to unknown ones."""
    missing = [name for name in tables if name not in raw]
    misspelt = set()
    for name in raw:
        if name in tables:
            continue
        label = dotted((name,))[:60]
        if isinstance(raw[name], dict | list):
            misspelt.add(nearest(name, missing))
            hint = near_match(name, missing) or near_match(name, list(tables))
            faults.append(PlacedFault((name,), f"[{label}] is not a known table.{hint}"))
        else:
            faults.append(PlacedFault((name,), f"{label} is outside any table.{_home_of(name, tables)}"))
    return misspelt


def check_table(
    name: str,
    spec: TableSpec,
    raw: dict[str, Any],
    faults: list[PlacedFault],
    tables: dict[str, TableSpec] = STUDY_TABLES,
) -> tuple[Any] | None:
    """Return a tuple with the checked table as its only element. If it has errors, add them and return None.

    Errors are added to ``faults``. An array of tables is a tuple of tables. An optional table that is left out is None.
    """
    brackets = f"[[{name}]]" if spec.is_array else f"[{name}]"
    if name not in raw:
        if spec.fewest == 0:
            return (() if spec.is_array else spec.model() if name in OPTIONAL_WITH_DEFAULTS else None,)
        faults.append(PlacedFault((name,), f"{brackets} is missing; it needs {_required_keys(spec)}.", missing=True))
        return None
    value = raw[name]
    is_list = isinstance(value, list) and all(isinstance(item, dict) for item in value)
    if not (is_list if spec.is_array else isinstance(value, dict)):
        how = "in double brackets, once for each" if spec.is_array else "once, with its keys below it"
        faults.append(PlacedFault((name,), f"{name} is {_arrangement(value)}; write {brackets} {how}."))
        return None
    if not spec.is_array:
        model = _checked(spec.model, value, (name,), faults, tables)
        return None if model is None else (model,)
    if not spec.fewest <= len(value) <= spec.most:
        sentence = f"{brackets} is given {len(value)} times; {spec.fewest} to {spec.most} are allowed."
        faults.append(PlacedFault((name,), sentence))
        return None
    models = [_checked(spec.model, item, (name, index), faults, tables) for index, item in enumerate(value)]
    return None if None in models else (tuple(models),)


def _arrangement(value: Any) -> str:
    if isinstance(value, dict):
        return "one table"
    if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        return "a list of tables"
    return as_written(value)


def _checked(
    model: type[BaseModel],
    raw: dict[str, Any],
    place: Place,
    faults: list[PlacedFault],
    tables: dict[str, TableSpec],
) -> BaseModel | None:
    """Return one table as an object of ``model``. If it has errors, add them to ``faults`` and return None."""
    try:
        return model.model_validate(raw)
    except ValidationError as error:
        errors = error.errors(include_url=False)
    missing = [str(each["loc"][0]) for each in errors if each["type"] == "missing"]
    misspelt = set()
    for each in errors:
        at = place + each["loc"]
        if each["type"] == "extra_forbidden":
            key = str(each["loc"][0])
            if key in _RENAMED:
                faults.append(PlacedFault(at, f"{dotted(at)} is not a key any more. {_RENAMED[key]}"))
                continue
            misspelt.add(nearest(key, missing))
            hint = near_match(key, missing) or near_match(key, list(model.model_fields)) or _home_of(key, tables)
            faults.append(PlacedFault(at, f"{dotted(at)[:80]} is not a known key.{hint}"))
        elif each["type"] == "value_error":
            cause = each["ctx"]["error"]
            inner = cause.faults if isinstance(cause, ListErrors) else [(None, str(cause))]
            faults += faults_at_keys((at if index is None else (*at, index), sentence) for index, sentence in inner)
    faults += [_missing_key((*place, key), model) for key in missing if key not in misspelt]
    return None


def _required_keys(spec: TableSpec) -> str:
    return ", ".join(key for key, field in spec.model.model_fields.items() if field.is_required())


def _missing_key(place: Place, model: type[BaseModel]) -> PlacedFault:
    kind = key_type(model.model_fields[str(place[-1])])
    return PlacedFault(place, f"{dotted(place)} is missing: {kind.meaning} ({kind.allowed}).", missing=True)


def _without_consequences(faults: list[PlacedFault], given: dict[str, Any]) -> list[PlacedFault]:
    """Return the errors without those that only follow from other errors.

    If a table and its short form are both missing, only the missing short form is reported, once. A key that a rule
    could not fill in because of another error is not reported.
    """
    kept: list[PlacedFault] = []
    reported = set()
    stretch = given.get("stretch")
    for one in faults:
        table = str(one.place[0])
        if one.missing and one.place == ("stretch", "span") and isinstance(stretch, dict) and "longest" in stretch:
            continue  # an error in stretch.longest or stock.span is reported instead
        if table not in _SHORT_FORMS or table in given or not one.missing:
            kept.append(one)
            continue
        name, key = _SHORT_FORMS[table]
        if name in reported or name in given and (not key or not isinstance(given[name], dict) or key in given[name]):
            continue  # already reported, or an error in the short form is reported instead
        reported.add(name)
        if key:
            kept.append(_missing_key((name, key), STUDY_TABLES[name].model))
        else:
            sentence = (
                f"[{name}] is missing; it needs {_required_keys(STUDY_TABLES[name])} (or give [pack], [motor], "
                "[controller] and [propeller] in full)."
            )
            kept.append(PlacedFault((name,), sentence, missing=True))
    return [one for one in kept if not (one.missing and _could_be_assumed(one.place))] or kept


def _could_be_assumed(place: Place) -> bool:
    """Return whether a rule would fill in a missing key or table if the study had no other errors."""
    if place[0] in ("stock", "stretch", *(name for name, _ in _SHORT_FORMS.values())):
        return False
    return (place[0], place[-1]) in ASSUMABLE or any(place == (table,) for table, _ in ASSUMABLE)


def _home_of(key: str, tables: dict[str, TableSpec]) -> str:
    """Return `` It belongs in [fly].`` when exactly one table has this key."""
    homes = [name for name, spec in tables.items() if key in spec.model.model_fields]
    return f" It belongs in [{homes[0]}]." if len(homes) == 1 else ""


def _defaults(name: str, value: Any) -> list[DefaultUsed]:
    """Return the keys that are not given in a table or array of tables, with the defaults that are used instead."""
    items = enumerate(value) if isinstance(value, tuple) else [(None, value)] if value is not None else []
    used = []
    for index, table in items:
        place: Place = (name,) if index is None else (name, index)
        for key, field in type(table).model_fields.items():
            has_no_effect = name == "stretch" and SCHEME_OF.get(key, table.scheme) != table.scheme
            if key in table.model_fields_set or has_no_effect:
                continue
            extra: Any = field.json_schema_extra
            if extra["shown"]:
                values = {item: extra[item] for item in ("origin", "low", "high", "moves")}
                used.append(DefaultUsed(dotted((*place, key)), extra["shown"], place=(*place, key), **values))
    return used
