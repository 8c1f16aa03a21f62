"""``tradestudy keys``: every key a study file may hold."""

from __future__ import annotations

from tradestudy.cli.app import AsJson, print_json, print_table

MUST_BE_THERE = ("stock", "stretch")
LEGEND = """\
Values with a unit stand in quotes, as in "238 mm"; plain numbers carry none. Tables in [[double brackets]]
may stand several times and are counted from 1 in messages, as in rods[2].diameter. In any table that is
there, a key marked "must be given" has no default. [power], stock.elevon_chord, stock.fin_height and stretch.longest
tell in short what other tables tell in full: a study of some twenty lines is enough for a start."""


def keys(as_json: AsJson = False) -> None:
    """List every key of a study file: kind, what is allowed, default and its origin."""
    from tradestudy.study.schema import TABLES
    from tradestudy.study.starter import all_key_lines

    lines = all_key_lines()
    if as_json:
        print_json([line._asdict() for line in lines])
        return
    print(LEGEND)
    for name, table in TABLES.items():
        brackets = f"[[{name}]]" if table.is_array else f"[{name}]"
        print(f"\n{brackets}  {table.model.__doc__}{'' if name in MUST_BE_THERE else '  May be left out.'}")
        rows: list[tuple[str, ...]] = [
            (
                f"  {line.key.rpartition('.')[2]}",
                line.kind,
                line.allowed,
                line.default_and_origin,
                line.meaning,
            )
            for line in lines
            if line.table == name
        ]
        print_table(["  key", "kind", "allowed", "default", "meaning"], rows)
