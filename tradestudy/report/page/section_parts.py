"""What a section of the page is made of: paragraphs, tables and notes."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NamedTuple


class Table(NamedTuple):
    """Rows under column heads. ``numbers`` and ``units`` are the indices of the columns that hold numbers and units."""

    heads: Sequence[str]
    rows: Sequence[Sequence[str]]
    numbers: Collection[int] = ()
    units: Collection[int] = ()
    sorts: bool = False  # whether a click on a head sorts the rows
    total: bool = False  # whether the last row is the total


class Part(NamedTuple):
    """A part of a section: paragraphs, a table, and notes below the table. Its title may be empty."""

    paragraphs: Sequence[str] = ()
    table: Table | None = None
    notes: Sequence[str] = ()
    title: str = ""


class PageSection(NamedTuple):
    """A section of the page: its id, the words of the link to it, its title and its parts."""

    key: str
    link: str
    title: str
    parts: Sequence[Part]
