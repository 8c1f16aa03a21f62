"""The glossary as a list of terms, from the table that is written by hand."""

from __future__ import annotations

_HEADS = ("key or option", "in results")


def glossary_page(table: str) -> str:
    """Return the page with one entry for each row of the table: the term, its meaning, and where it stands."""
    before = [line for line in table.splitlines() if not line.startswith("|")]
    rows = [line for line in table.splitlines() if line.startswith("| ")][1:]
    return "\n".join(before).rstrip() + "\n\n" + "\n".join(map(_entry, rows))


def _entry(row: str) -> str:
    term, meaning, *places = (cell.strip() for cell in row.strip().strip("|").split("|"))
    found = [f"{head} {place}" for head, place in zip(_HEADS, places, strict=True) if place]
    lines = [term, f": {meaning}"]
    return "\n".join(lines + (["", f"  {'; '.join(found)}"] if found else [])) + "\n"
