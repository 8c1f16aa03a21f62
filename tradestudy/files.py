"""A function that writes a file completely or not at all."""

from __future__ import annotations

import os
from pathlib import Path


def write_atomically(file: Path, content: bytes) -> Path:
    """Write a file under a temporary name, rename it in one step, and return its path."""
    file.parent.mkdir(parents=True, exist_ok=True)
    part = file.with_name(file.name + ".part")
    part.write_bytes(content)
    os.replace(part, file)
    return file
