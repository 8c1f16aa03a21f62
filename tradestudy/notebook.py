"""Tables for a notebook: pandas DataFrames, text and HTML."""

from __future__ import annotations

import html
import textwrap
from collections.abc import Iterable
from typing import Any

from tradestudy.errors import CommandError


def data_frame(rows: list[dict[str, Any]]) -> Any:
    """Return a pandas DataFrame with a row for each dict. Raise CommandError if pandas is not installed."""
    try:
        import pandas
    except ImportError:
        raise CommandError("to_dataframe needs the library pandas: python -m pip install pandas") from None
    return pandas.DataFrame(rows)


def data_set(
    dims: list[str], coordinates: dict[str, Any], variables: dict[str, Any], attributes: dict[str, str]
) -> Any:
    """Return an xarray Dataset. Raise CommandError if xarray is not installed.

    ``coordinates`` maps a dimension to (values, attributes), and ``variables`` a name to (array over all dimensions,
    attributes).
    """
    try:
        import xarray
    except ImportError:
        raise CommandError("to_xarray needs the library xarray: python -m pip install tradestudy[xarray]") from None
    return xarray.Dataset(
        {name: (dims, values, more) for name, (values, more) in variables.items()},
        {name: ([name], values, more) for name, (values, more) in coordinates.items()},
        attributes,
    )


_WIDTH = 80  # width of a text table, in characters
_Rows = Iterable[tuple[str, str]]


def as_text(title: str, rows: _Rows) -> str:
    """Return title and rows as lines of at most 80 characters. Rows without words are left out."""
    shown = [(head, words) for head, words in rows if words]
    room = max((len(head) for head, _ in shown), default=0) + 4
    lines = [title]
    for head, words in shown:
        lines.append(
            textwrap.fill(
                words,
                _WIDTH,
                initial_indent=f"  {head}".ljust(room),
                subsequent_indent=" " * room,
                break_long_words=False,
                break_on_hyphens=False,
            )
        )
    return "\n".join(lines)


def as_html(title: str, rows: _Rows) -> str:
    """Return title and rows as an HTML table. All text is escaped, and rows without words are left out."""
    cells = "".join(
        f'<tr><th style="text-align:left;vertical-align:top">{html.escape(head)}</th>'
        f'<td style="text-align:left">{html.escape(words)}</td></tr>'
        for head, words in rows
        if words
    )
    return f'<table><caption style="text-align:left">{html.escape(title)}</caption><tbody>{cells}</tbody></table>'
