"""What a person can ask for, one function for each command: the Python interface."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tradestudy.study.schema.study import Study


def load(path: str | os.PathLike[str]) -> Study:
    """Return the study in a file. Raises StudyFileError with every fault in it, CommandError where there is none."""
    from tradestudy.study.reader import read_study

    return read_study(path)
