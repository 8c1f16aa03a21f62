"""``tradestudy keys``: every key that a study file, or a measurements file, may hold."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from tradestudy.errors import CommandError, near_match

from .app import AsJson, print_json, print_table, say

if TYPE_CHECKING:
    from tradestudy.study.schema.study import KeyLine, TableSpec

MUST_BE_THERE = {"study": ("stock", "stretch"), "measurements": ("columns",)}
STUDY_LEGEND = """\
Values with a unit stand in quotes, as in "238 mm"; plain numbers carry none. Tables in [[double brackets]] may stand \
several times and are counted from 1 in messages, as in rods[2].diameter. In any table that is there, a key marked \
"must be given" has no default. [power], stock.elevon_chord, stock.fin_height and stretch.longest tell in short what \
other tables tell in full: a study of some twenty lines is enough for a start."""
MEASUREMENTS_LEGEND = """\
Keys of a measurements file, which stands beside a study and tells how to read a flight log."""

AsSchema = Annotated[
    bool,
    typer.Option("--schema", help=("Print JSON Schema instead, with which an editor completes and checks a file.")),
]
Of = Annotated[str, typer.Option("--of", metavar="FILE", help="study, measurements, or both (without --schema).")]


def keys(as_json: AsJson = False, schema: AsSchema = False, of: Of = "") -> None:
    """List every key of study and measurements files: unit, range, default and its origin, meaning."""
    from tradestudy.study import json_schema, measurements
    from tradestudy.study.assumed_values.apply_rules import all_key_lines
    from tradestudy.study.schema.study import TABLES, key_lines

    files = ("study", "measurements")
    if of not in (*files, "both", ""):
        raise CommandError(f'--of "{of}" is not known.{near_match(of, list(files))} Files: study, measurements, both.')
    if schema:
        if of == "both":
            raise CommandError("--schema is of one file: --of study or --of measurements.")
        print_json(
            json_schema.measurements_schema(measurements.MEASUREMENT_TABLES)
            if of == "measurements"
            else json_schema.study_schema()
        )
        return
    told = {
        "study": (TABLES, all_key_lines(), STUDY_LEGEND),
        "measurements": (
            measurements.MEASUREMENT_TABLES,
            key_lines(measurements.MEASUREMENT_TABLES),
            MEASUREMENTS_LEGEND,
        ),
    }
    told = {name: each for name, each in told.items() if of in (name, "both", "")}
    if as_json:
        print_json([_as_document(name, line) for name, (_, lines, _) in told.items() for line in lines])
        return
    for name, (tables, lines, legend) in told.items():
        print("" if name == next(iter(told)) else "\n", end="")
        say(legend)
        _print_tables(name, tables, lines)
    _print_units([line for _, lines, _ in told.values() for line in lines])


def _as_document(file: str, line: KeyLine) -> dict[str, Any]:
    from tradestudy.study.schema.study import units_of_kind

    return {"file": file, **line._asdict(), "units": units_of_kind(line.kind)}


def _print_tables(file: str, tables: dict[str, TableSpec], lines: list[KeyLine]) -> None:
    for name, table in tables.items():
        brackets = f"[[{name}]]" if table.is_array else f"[{name}]"
        optional = "" if name in MUST_BE_THERE[file] else " May be left out."
        print()
        say(f"{brackets}  {table.model.__doc__}{optional}")
        rows = [
            (line.key.rpartition(".")[2], _allowed(line), line.default_and_origin, line.meaning)
            for line in lines
            if line.table == name
        ]
        print_table(["key", "allowed", "default", "meaning"], rows, indent=2)


def _allowed(line: KeyLine) -> str:
    """Return what a key may be: the kind is told where what is allowed does not show it."""
    kind = line.kind
    if kind.startswith("two values"):
        return f"two, {line.allowed}"
    return (
        f"list, {line.allowed}"
        if kind.startswith("list")
        else f"whole number, {line.allowed}"
        if (kind == "whole number")
        else line.allowed
    )


def _print_units(lines: list[KeyLine]) -> None:
    """Print every unit that the keys listed may be written in."""
    from tradestudy.study.schema.study import units_of_kind

    kinds = dict.fromkeys(line.kind.rpartition(", ")[2] for line in lines)
    print("\nUnits:")
    print_table(
        ["", ""],
        [(kind.replace("_", " "), ", ".join(units_of_kind(kind))) for kind in kinds if units_of_kind(kind)],
        indent=2,
    )
