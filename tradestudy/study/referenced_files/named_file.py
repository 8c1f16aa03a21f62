"""Text of a small file that a study names. Devices, pipes and files that never end are refused."""

from __future__ import annotations

import os
from pathlib import Path

_LARGEST = 1_000_000  # largest size of such a file in bytes; a measured propeller has 5000


def text_of(file: Path) -> str:
    """Return the text of a file without byte order mark. Raise ValueError with a reason that follows "which"."""
    if not os.path.isfile(file):  # Path.is_file raises an error for a name that is not allowed, os.path.isfile does not
        raise ValueError("is no file")
    try:
        with open(file, "rb") as opened:
            content = opened.read(_LARGEST + 1)
    except OSError as error:
        raise ValueError(f"cannot be read: {error.strerror}") from None
    if len(content) > _LARGEST:
        raise ValueError(f"has more than {_LARGEST} bytes")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ValueError("cannot be read as UTF-8 text") from None
