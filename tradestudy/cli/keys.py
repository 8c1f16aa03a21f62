"""``tradestudy keys``: every key a study file may hold."""

from __future__ import annotations

from tradestudy.cli.app import AsJson, print_json, print_table

LEGEND = """\
Values with a unit stand in quotes, as in "238 mm"; plain numbers carry none. Tables in [[double brackets]]
may stand several times and are counted from 1 in messages, as in rods[2].diameter. In any table that is
there, a key marked "must be given" has no default."""


def keys(as_json: AsJson = False) -> None:
    """List every key of a study file: kind, what is allowed, default and its origin."""
    from tradestudy.study.schema import TABLES, key_lines

    lines = key_lines()
    if as_json:
        print_json([line._asdict() for line in lines])
        return
    print(LEGEND)
    for name, table in TABLES.items():
        brackets = f"[[{name}]]" if table.is_array else f"[{name}]"
        print(f"\n{brackets}  {table.model.__doc__}{'' if table.fewest else '  May be left out.'}")
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
