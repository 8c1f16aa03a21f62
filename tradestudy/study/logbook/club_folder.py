"""The studies of a club's members in one folder, each with its logbook and its built wings beside it."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

from tradestudy.errors import CommandError
from tradestudy.study.reader import read_text

_WING = "stock"  # the table by which a TOML file is a study
_MOST = 60  # most studies of a club; more are another folder


def member_studies(folder: Path) -> list[Path]:
    """Return the study files in a folder and in the folders of its members, by name.

    Other TOML files, such as those of built wings, measurements and fitted factors, are passed over. Raise CommandError
    if there is no study, or there are too many.
    """
    files = [path for path in _toml_files(folder) if _is_study(path)]
    if not files:
        raise CommandError(f"{folder} holds no study: no .toml file there, or one folder below, has a table [{_WING}].")
    if len(files) > _MOST:
        raise CommandError(f"{folder} holds {len(files)} studies; {_MOST} are the most. Name the folder of one club.")
    return files


def _toml_files(folder: Path) -> Iterator[Path]:
    yield from sorted(folder.glob("*.toml"))
    yield from sorted(folder.glob("*/*.toml"))


def _is_study(path: Path) -> bool:
    """Return whether a TOML file has the table of a stock wing. A broken one that begins it counts, so it is named."""
    text = read_text(path, "remove it from the folder of the club")
    try:
        return _WING in tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return f"[{_WING}]" in text
