"""Results that earlier commands left in a folder. This module imports no model, so looking is quick."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from tradestudy import __version__
from tradestudy.results.result import Result, result_from_json

RECORD = "record.sqlite"  # name of the file of solved designs, in the folder of the results
RECOMMENDED = ("recommended",)  # key of the recommended wing in that file


def results_folder(name: str) -> Path:
    """Return ``results/<study>`` for the name of a study. Characters that a path cannot hold become hyphens."""
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60]
    return Path("results") / (plain or "study")


def kept_result(folder: Path, study_text: str) -> Result | None:
    """Return the result that ``run`` left in a folder.

    Return None if it is incomplete, or was computed from another text of the study or by another version.
    """
    try:
        result = result_from_json((folder / "summary.json").read_text(encoding="utf-8"))
    except (OSError, ValueError, TypeError, KeyError):  # the file is missing, incomplete, or of another version
        return None
    same = result.study_text == study_text and result.versions.get("tradestudy") == __version__
    design = result.recommended
    if not same or design is None or not design.cutting:
        return None
    return replace(result, which_wing=f"The stretched wing is {recommended_words(folder)}.")


def recommended_words(folder: Path | None) -> str:
    """Return the words for a recommended wing that is kept in a folder, or in none."""
    return "the one that tradestudy run recommends" + (f", kept in {folder}" if folder else "")
