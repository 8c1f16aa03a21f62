"""The Python interface: one function for each command."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tradestudy.study.schema.study import Study


def load(path: str | os.PathLike[str]) -> Study:
    """Return the study in a file. Raises StudyFileError with all its errors, or CommandError if there is no file.

    ::

        study = ts.load("studies/godwit.toml")
    """
    from tradestudy.study.reader import read_study

    return read_study(path)
