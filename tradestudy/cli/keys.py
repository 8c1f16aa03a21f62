"""``tradestudy keys``: a list of every key that a study file or a measurements file may hold."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tradestudy.errors import CommandError, near_match

from .options import AsJson, Everything
from .output import more_words, print_json
from .terminal import print_table, say, show

if TYPE_CHECKING:
    from tradestudy.study.schema.study import KeyLine, TableSpec

_REQUIRED_TABLES = {"study": ("stock", "stretch"), "measurements": ("columns",)}
_STUDY_LEGEND = """\
Values with a unit are in quotes, as in "238 mm"; plain numbers have no quotes. Tables in [[double brackets]] may be \
repeated and are counted from 1 in messages, as in rods[2].diameter. A key marked "must be given" has no default: it \
is required in every table of its kind. [power], stock.elevon_chord, stock.fin_height and stretch.longest are short \
forms of what other tables describe in full: a study of some twenty lines is enough for a start."""
_MEASUREMENTS_LEGEND = """\
Keys of a measurements file, which holds measurements of the stock wing and describes the columns of flight logs."""

_AsSchema = Annotated[
    bool,
    typer.Option("--schema", help=("Print JSON Schema instead; editors complete and check a file with it.")),
]
_Name = Annotated[
    str,
    typer.Argument(metavar="[NAME]", help="A table such as stock, a key such as stock.span, or a word to look for."),
]
_SHORT = 45  # letters; the words on a table are cut at a comma if they are longer
_Of = Annotated[str, typer.Option("--of", metavar="FILE", help="study, measurements, or both (without --schema).")]


def keys(
    name: _Name = "",
    everything: Everything = False,
    as_json: AsJson = False,
    schema: _AsSchema = False,
    of: _Of = "",
) -> None:
    """List the tables of study and measurements files, or the keys of one: unit, range, default and its origin."""
    from tradestudy.study import json_schema
    from tradestudy.study.assumed_values.apply_rules import all_key_lines
    from tradestudy.study.schema.measured import MEASUREMENT_TABLES
    from tradestudy.study.schema.study import STUDY_TABLES, key_lines

    files = ("study", "measurements")
    if of not in (*files, "both", ""):
        raise CommandError(f'--of "{of}" is not known.{near_match(of, list(files))} Files: study, measurements, both.')
    if schema:
        if of == "both":
            raise CommandError("--schema is of one file: --of study or --of measurements.")
        print_json(json_schema.measurements_schema() if of == "measurements" else json_schema.study_schema())
        return
    parts = {
        "study": (STUDY_TABLES, all_key_lines(), _STUDY_LEGEND),
        "measurements": (
            MEASUREMENT_TABLES,
            key_lines(MEASUREMENT_TABLES),
            _MEASUREMENTS_LEGEND,
        ),
    }
    parts = {file: each for file, each in parts.items() if of in (file, "both", "")}
    chosen = {file: _lines_of(name, lines) for file, (_, lines, _) in parts.items()}
    if name and not any(chosen.values()):
        every = [line for _, lines, _ in parts.values() for line in lines]
        known = [each for line in every for each in (line.table, line.key, line.key.rpartition(".")[2])]
        raise CommandError(
            f'No table or key is like "{name}".{near_match(name, known)} tradestudy keys lists all tables.'
        )
    if as_json:
        print_json([_as_document(file, line) for file, lines in chosen.items() for line in lines])
        return
    in_full = everything or name
    if not (in_full or of):
        parts.pop("measurements")
    for file, (tables, _, legend) in parts.items():
        if not chosen[file]:
            continue
        show("" if file == next(iter(parts)) else "\n", end="")
        if not name:
            say(legend)
        if in_full:
            _print_tables(file, tables, chosen[file])
        else:
            _print_table_names(tables, chosen[file])
    if in_full:
        _print_units([line for lines in chosen.values() for line in lines])
        return
    say("\nOne table: tradestudy keys stock. One key: tradestudy keys stock.span. A word: tradestudy keys wind.")
    say("Files of measurements: tradestudy keys --of measurements")
    say(more_words("every key"))


def _lines_of(name: str, lines: list[KeyLine]) -> list[KeyLine]:
    """Return the keys of a table, one key, or the keys whose name or meaning holds a word. Without a name, all."""
    word = name.strip("[]").lower()
    of_table = [line for line in lines if line.table == word]
    one = [line for line in lines if line.key.lower() == word]
    is_named = re.compile(rf"(?:^|[\W_]){re.escape(word)}(?:$|[\W_])") if word else re.compile("")
    return of_table or one or [line for line in lines if is_named.search(f"{line.key} {line.meaning}".lower())]


def _print_table_names(tables: dict[str, TableSpec], lines: list[KeyLine]) -> None:
    """Print one row for each table: what it is, and which keys must be given."""
    rows = []
    for name, table in tables.items():
        needed = ", ".join(line.key.rpartition(".")[2] for line in lines if line.table == name and line.required)
        words = re.split(r"[.:]", table.model.__doc__ or "")[0]
        rows.append((name, words if len(words) < _SHORT else words.partition(",")[0], needed))
    show()
    print_table(["table", "what it is", "must be given"], rows)


def _as_document(file: str, line: KeyLine) -> dict[str, Any]:
    from tradestudy.study.schema.study import units_of_kind

    return {"file": file, **line._asdict(), "units": units_of_kind(line.kind)}


def _print_tables(file: str, tables: dict[str, TableSpec], lines: list[KeyLine]) -> None:
    for name, table in tables.items():
        brackets = f"[[{name}]]" if table.is_array else f"[{name}]"
        optional = "" if name in _REQUIRED_TABLES[file] else " May be left out."
        if not any(line.table == name for line in lines):
            continue
        show()
        say(f"{brackets}  {table.model.__doc__}{optional}")
        rows = [
            (line.key.rpartition(".")[2], _allowed(line), line.default_and_origin, line.meaning)
            for line in lines
            if line.table == name
        ]
        print_table(["key", "allowed", "default", "meaning"], rows, indent=2)


def _allowed(line: KeyLine) -> str:
    """Return the values that a key allows as text. The kind of value is added if it is not obvious."""
    kind = line.kind
    if kind.startswith("two values"):
        return f"two, {line.allowed}"
    if kind.startswith("list"):
        return f"list, {line.allowed}"
    return f"whole number, {line.allowed}" if kind == "whole number" else line.allowed


def _print_units(lines: list[KeyLine]) -> None:
    """Print the units of every kind of quantity that occurs among the keys."""
    from tradestudy.study.schema.study import units_of_kind

    kinds = [kind for kind in dict.fromkeys(line.kind.rpartition(", ")[2] for line in lines) if units_of_kind(kind)]
    if not kinds:
        return
    show("\nUnits:")
    print_table(
        ["", ""],
        [(kind.replace("_", " "), ", ".join(units_of_kind(kind))) for kind in kinds],
        indent=2,
    )
