"""Flight logs that are dropped on the page: their headings, and the two files that are put beside the study."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tradestudy.errors import CommandError
from tradestudy.files import unwritable, write_atomically
from tradestudy.study.dialog.answers import toml_value
from tradestudy.study.flight_logs.parse_rows import LogFormFault, listed_headings, log_text
from tradestudy.study.schema.flight_log import LOGGED_QUANTITIES
from tradestudy.study.schema.study import Study

from .safety.named_files import inside, is_within

LOGS = "logs"  # the folder beside the study that holds dropped logs
# the names at the start are those that some systems keep for devices
_NAME = re.compile(
    r"(?!(?:con|prn|aux|nul|com\d|lpt\d)\.)[A-Za-z0-9][A-Za-z0-9 _.-]{0,79}\.(csv|txt|log)", re.IGNORECASE
)
_LONGEST = 80  # characters of a heading or a unit


def log_headings(text: str) -> dict[str, Any]:
    """Return the headings of a log, and the quantities that a column may hold."""
    try:
        heads = listed_headings(log_text(text.encode("utf-8"))[0])
    except LogFormFault as fault:
        raise CommandError(fault.sentence) from None
    return {
        "heads": heads,
        "quantities": [
            {"name": name, "meaning": one.meaning, "guess": _guess(name, heads)}
            for name, one in LOGGED_QUANTITIES.items()
        ],
    }


def _guess(name: str, heads: list[str]) -> str:
    """Return the heading that is the name of a quantity, with or without a unit, or an empty text."""
    plain = name.replace("_", " ")
    return next((head for head in heads if re.split(r"[(\[]", head)[0].strip().lower() in (name, plain)), "")


def kept_log(study: Study, name: str, text: str, columns: Mapping[str, Any]) -> tuple[Path, Path]:
    """Write a log into ``logs`` beside a study with the file that names its columns, and return both paths.

    A column is a heading or its number, or such a thing with its unit. Another log of that name is not written over;
    the same log may get other columns.
    """
    if not _NAME.fullmatch(name):
        raise CommandError("A log has a plain name that ends in .csv, .txt or .log.")
    folder = study.path.parent / LOGS
    file = folder / name
    description = file.with_suffix(".toml")
    for each in (file, description):
        if not is_within(each, [study.path.parent]):
            raise CommandError(f"{each.name} is a link that leads out of the folder of the study.")
    content = text.encode("utf-8")
    if os.path.lexists(file) and not (os.path.isfile(file) and file.read_bytes() == content):
        raise CommandError(f"Another log {LOGS}/{name} is there already. Rename this one.")
    described = "[columns]\n" + "".join(f"{_quantity(key)} = {_column(value)}\n" for key, value in columns.items())
    if not os.path.lexists(file) and os.path.lexists(description):
        raise CommandError(f"{LOGS}/{description.name} is there already. Rename this log.")
    try:
        write_atomically(file, content)
        write_atomically(description, described.encode("utf-8"))
    except OSError as error:
        raise unwritable(folder, error) from None
    return file, description


def dropped_log(study: Study, name: str) -> Path:
    """Return the path of a log that was dropped before. Raise CommandError if there is none."""
    file = inside(study.path.parent / LOGS, name, (".csv", ".txt", ".log"))
    if not os.path.isfile(file):
        raise CommandError(f"There is no log {LOGS}/{file.name}; drop it on the page first.")
    return file


def _quantity(name: str) -> str:
    if name not in LOGGED_QUANTITIES:
        raise CommandError(f"A log holds no quantity of that name. Known are {', '.join(LOGGED_QUANTITIES)}.")
    return name


def _column(value: Any) -> str:
    """Return a column as TOML."""
    if isinstance(value, list) and len(value) == 2 and isinstance(value[1], str) and len(value[1]) <= _LONGEST:
        return f"[{_column(value[0])}, {toml_value(value[1])}]"
    if isinstance(value, bool) or not isinstance(value, str | int) or len(str(value)) > _LONGEST:
        raise CommandError("A column is a heading or its number, with or without a unit.")
    return toml_value(value)
