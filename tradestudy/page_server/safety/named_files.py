"""Files that a study or a request names: inside one folder, links followed, and never quoted.

A request may name any file. Without these rules an edited study could read one of another folder, and the error about
it would show a line of that file.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from tradestudy.errors import CommandError, Fault, StudyFileError
from tradestudy.study.edits.edit_study import edited_study
from tradestudy.study.schema.study import Study

FILE_KEYS = ("stock.airfoil", "stock.tip_airfoil", "propeller.table", "propeller.blade", "propeller.blade_section")


def is_within(file: Path, folders: Iterable[Path]) -> bool:
    """Return whether a path leads into one of some folders, links followed. The file need not exist."""
    real, *roots = (os.path.normcase(os.path.realpath(each)) for each in (file, *folders))
    for folder in roots:
        try:
            if os.path.commonpath([real, folder]) == folder:
                return True
        except ValueError:  # on another drive
            continue
    return False


def checked_edit(study: Study, changes: Mapping[str, Any]) -> Study:
    """Return a study with some keys set, as `edited_study`. Files that it names must lie in its folder.

    Raise StudyFileError that lists all errors. It says that a file cannot be used, and nothing of what the file holds.
    """
    refuse_files_elsewhere(study, changes)
    try:
        return edited_study(study, changes)
    except StudyFileError as error:
        raise without_quotes(error) from None


def refuse_files_elsewhere(study: Study, changes: Mapping[str, Any] | None = None) -> None:
    """Raise StudyFileError if a study, or a change of it, names a file that is not in the folder of the study."""
    named = {key: getattr(getattr(study, key.partition(".")[0]), key.partition(".")[2]) for key in FILE_KEYS}
    faults = []
    for key, value in [*named.items(), *((_plain(key), value) for key, value in (changes or {}).items())]:
        if key in FILE_KEYS and value is not None and not _stays_within(study.path.parent, value):
            faults.append(
                Fault(0, key, f"{key} names a file outside the folder of the study; only files in it are used.")
            )
    if faults:
        raise StudyFileError(str(study.path), faults)


def without_quotes(error: StudyFileError) -> StudyFileError:
    """Return an error about a study without what the files hold that the study names."""
    faults = [
        replace(each, message=f"{each.key} names a section or a file that cannot be used; tradestudy check says why.")
        if each.key in FILE_KEYS
        else each
        for each in error.faults
    ]
    return StudyFileError(error.path, faults)


def inside(folder: Path, name: str, suffixes: tuple[str, ...]) -> Path:
    """Return the path of a file that a request names, within a folder. Raise CommandError for any other place."""
    file = folder / name
    plain = name and "\0" not in name and not Path(name).is_absolute() and file.suffix.lower() in suffixes
    if not plain or not is_within(file, [folder]):
        raise CommandError(f"Only files within {folder} that end in {' or '.join(suffixes)} are read.")
    return file


def _plain(key: str) -> str:
    return "".join(key.split()).replace("[1]", "")


def _stays_within(folder: Path, value: Any) -> bool:
    if not isinstance(value, str) or "\0" in value:
        return False
    text = value.strip().strip("\"'")
    return is_within(folder / text, [folder]) and ".." not in Path(text.replace("\\", "/")).parts
