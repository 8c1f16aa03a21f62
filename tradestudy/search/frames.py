"""The one door to pandas: rows of plain dicts as a table to work with."""

from __future__ import annotations

from typing import Any

from tradestudy.errors import CommandError


def frame(rows: list[dict[str, Any]]) -> Any:
    """Return a pandas DataFrame with one row for each dict. Raises CommandError where pandas is not installed."""
    try:
        import pandas
    except ImportError:
        raise CommandError("to_dataframe needs the library pandas: python -m pip install pandas") from None
    return pandas.DataFrame(rows)
