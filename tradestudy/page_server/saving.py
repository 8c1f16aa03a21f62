"""What the page writes: a study as a new file, and a wing into the file of built wings.

It writes into the folder of the study alone, and never over a study whose difference nobody has seen.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from tradestudy.commands.logbook.built_wing import built_from_design, refuse_wing_name
from tradestudy.errors import CommandError
from tradestudy.files import file_hash, unwritable, write_atomically
from tradestudy.results.look.look import WingLook
from tradestudy.study.dialog.answers import study_name
from tradestudy.study.edits.what_stays import edited_stock_keys
from tradestudy.study.logbook.wings_file import wings_path, write_wing
from tradestudy.study.reader import read_text
from tradestudy.study.schema.study import Study
from tradestudy.study.study_comparison import study_differences

from .safety.named_files import is_within


def save_study(study: Study, name: str, agreed: bool, over: str | None) -> dict[str, Any]:
    """Return the difference that a new file would show, or write it if the person has ``agreed`` to that.

    If there is a study of that name, the difference is to that one, and ``over`` must be its hash as it was shown. If
    the file has changed since, nothing is written and the difference is shown again.
    """
    try:
        file = study.path.parent / f"{study_name(name)}.toml"
    except ValueError as error:
        raise CommandError(str(error)) from None
    _refuse_elsewhere(file, study)
    exists = os.path.lexists(file)
    if exists and not os.path.isfile(file):
        raise CommandError(f"{file.name} is there and is no file. Choose another name.")
    is_hash = file_hash(file) if exists else None
    document = {
        "file": file.name,
        "exists": exists,
        "over": is_hash,
        "difference": _difference(study, file if exists else None),
        "saved": False,
    }
    if not agreed or is_hash != over:
        return document
    try:
        write_atomically(file, study.text.encode("utf-8"))
    except OSError as error:
        raise unwritable(file.parent, error) from None
    return document | {"saved": True}


def _difference(study: Study, file: Path | None) -> list[dict[str, str]]:
    """Return what a saved study changes: of the file that it replaces, or else of the file that was opened."""
    before = read_text(file) if file else study.file_text or study.text
    try:
        found = study_differences(before, study.text, {}, {})
    except ValueError:  # what is there is no TOML
        return [{"key": "", "was": "no study", "now": "this study", "meaning": "The whole file is replaced."}]
    return [{"key": one.key, "was": one.first, "now": one.second, "meaning": one.meaning} for one in found]


def save_wing(study: Study, wing: WingLook, name: str) -> dict[str, str]:
    """Write a wing into the file of built wings beside the study, under a name that no other wing has.

    Raise CommandError for a wing stretched from another stock wing than that of the file.
    """
    file = wings_path(study.path)
    if changed := edited_stock_keys(study):
        raise CommandError(
            f"This wing grows from another stock wing than that of {study.path.name}: {', '.join(changed)} was set. "
            "Save the study as a new file first, and open that."
        )
    _refuse_elsewhere(file, study)
    refuse_wing_name(study, name)
    try:
        write_wing(study.path, built_from_design(name, wing))
    except OSError as error:
        raise unwritable(file.parent, error) from None
    return {"file": file.name, "name": name}


def _refuse_elsewhere(file: Path, study: Study) -> None:
    """Raise CommandError if a file is a link that leads out of the folder of the study."""
    if not is_within(file, [study.path.parent]):
        raise CommandError(f"{file.name} is a link that leads out of the folder of the study.")
