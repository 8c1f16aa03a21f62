"""Pages on every key of a study file and of a measurements file, made from the types of the keys."""

from __future__ import annotations

from tradestudy.study.assumed_values.apply_rules import all_key_lines
from tradestudy.study.json_schema import ALWAYS_GIVEN
from tradestudy.study.schema.flight import MISSION_KEYS
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.study.schema.measured import MEASUREMENT_TABLES
from tradestudy.study.schema.study import STUDY_TABLES, KeyLine, TableSpec, key_lines, units_of_kind

_INTRODUCTION = """\
# Keys of the files

A key stands in a table, as `span` in `[stock]`. A table in `[[double brackets]]` may be repeated.
A value with a unit is text in quotes, as `"1360 mm"`. Plain numbers have no quotes.

A short study needs no more than `[stock]` and `[stretch]`, with `[power]` as the short form of the drive.
`tradestudy new NAME` writes one.

Every key says what is taken if you leave it out, and where that comes from. *Must be given* means in every table of its
kind. *Could be* is the band of what is assumed; it widens the answer until you measure.
"""
BALANCE_KEYS = ("balance_from_nose", "balance_from_trailing_edge")  # the balance is told from either end, never assumed


def key_pages() -> dict[str, str]:
    """Return the pages by name: one for each table, and an index."""
    files = {
        "Study file": ("keys", STUDY_TABLES, all_key_lines()),
        "Measurements file": ("keys/measured", MEASUREMENT_TABLES, key_lines(MEASUREMENT_TABLES)),
    }
    made, index = {}, [_INTRODUCTION]
    for title, (folder, tables, lines) in files.items():
        index += [f"\n## {title}\n", "| table | what it holds |", "|---|---|"]
        for name, table in tables.items():
            of_table = [line for line in lines if line.table == name]
            made[f"{folder}/{name}"] = _table_page(name, table, of_table, is_study=folder == "keys")
            place = f"{folder}/{name}".removeprefix("keys/")
            index.append(f"| [{_brackets(name, table)}]({place}.md) | {_sentence(table)} |")
        paths = [f"{folder}/{name}".removeprefix("keys/") for name in tables]
        index += ["", "```{toctree}", ":hidden:", "", *paths, "```"]
    return {"keys/index": "\n".join(index) + "\n", **made}


def _brackets(name: str, table: TableSpec) -> str:
    return f"\\[\\[{name}\\]\\]" if table.is_array else f"\\[{name}\\]"


def _sentence(table: TableSpec) -> str:
    return " ".join((table.model.__doc__ or "").split())


def _table_page(name: str, table: TableSpec, lines: list[KeyLine], is_study: bool) -> str:
    """Return the page of one table: its sentence, and each of its keys under a heading."""
    parts = [f"# {_brackets(name, table)}\n", f"{_sentence(table)}\n"]
    if name == "mission" and is_study:
        parts += _mission_kinds()
    for line in lines:
        key = line.key.rpartition(".")[2]
        parts += [f"## {key}\n", f"{_capital(line.meaning)}.\n", *_facts(line, table, is_study), ""]
    return "\n".join(parts)


def _facts(line: KeyLine, table: TableSpec, is_study: bool) -> list[str]:
    """Return one line for each fact of a key."""
    units = ", ".join(units_of_kind(line.kind))
    facts = {
        "Value": line.kind.replace("_", " ") + ("" if units else ", no unit"),
        "Unit": units,
        "Allowed": line.allowed,
        "Left out": line.default_and_origin if line.required or line.default else line.origin,
        "Needed by": needed_by(line, is_study),
    }
    band, moves = _band(line, table)
    facts |= {"Could be": band, "Moves": moves}
    return [f"- {head}: {_plain(words)}" for head, words in facts.items() if words]


def needed_by(line: KeyLine, is_study: bool = True) -> str:
    """Return what cannot do without a key: every study, every table of its kind, kinds of parts; else nothing."""
    key = line.key.rpartition(".")[2]
    if is_study and key in ALWAYS_GIVEN.get(line.table, ()):
        return "every study"
    if is_study and line.table == "stock" and key in BALANCE_KEYS:
        return f"every study, or {' or '.join(one for one in BALANCE_KEYS if one != key)} in its place"
    if line.required:
        return f"every {'[[' if '[]' in line.key else '['}{line.table}{']]' if '[]' in line.key else ']'}"
    kinds = [kind for kind, (needed, _) in MISSION_KEYS.items() if key in needed] if line.table == "mission" else []
    return f"a part of kind {' or '.join(kinds)}" if kinds and is_study else ""


def _band(line: KeyLine, table: TableSpec) -> tuple[str, str]:
    """Return the band of a default, and the results that it moves; both empty where there is none."""
    extra = table.model.model_fields[line.key.rpartition(".")[2]].json_schema_extra
    if line.required or line.origin == "assumed" or not isinstance(extra, dict) or extra["low"] is None:
        return "", ""
    used = DefaultUsed(line.key, line.default, line.origin, extra["low"], extra["high"])
    return used.band, str(extra["moves"])


def _mission_kinds() -> list[str]:
    """Return the table of what each kind of part of a mission needs."""
    rows = [
        f"| `{kind}` | {_names(needed)} | {_names(('name', *others))} |"
        for kind, (needed, others) in MISSION_KEYS.items()
    ]
    return ["| kind | needs | may have |", "|---|---|---|", *rows, ""]


def _names(keys: tuple[str, ...]) -> str:
    return ", ".join(f"`{key}`" for key in keys)


def _capital(words: str) -> str:
    return _plain(words[:1].upper() + words[1:])


def _plain(words: str) -> str:
    """Return words in which no letter is taken for markup."""
    return "".join(f"\\{letter}" if letter in "\\[]*_<>|`" else letter for letter in words)
