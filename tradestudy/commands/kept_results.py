"""Results that earlier commands left in a folder, and the inputs by which they are recognised.

This module imports no model, so looking is quick.
"""

from __future__ import annotations

import hashlib
import importlib.metadata
import platform
import re
from dataclasses import fields, replace
from pathlib import Path

from tradestudy import __version__
from tradestudy.errors import CommandError
from tradestudy.results.result import Result, result_from_json
from tradestudy.search.engines.record import inputs_hash
from tradestudy.study.schema.study import Study

RECORD = "record.sqlite"  # name of the file of solved designs, in the folder of the results
_LONGEST_FOLDER = 60  # characters of the name of a folder, before a mark is added
RECOMMENDED = ("recommended",)  # key of the recommended wing in that file


def results_folder(study: Study) -> Path:
    """Return ``results/<study>``, or a folder within for a study with keys that were set.

    Characters that a path cannot hold become hyphens.
    """
    plain = re.sub(r"[^a-z0-9]+", "-", study.study.name.lower()).strip("-")[:60]
    folder = Path("results") / (plain or "study")
    if not study.edits:
        return folder
    words = "_".join(f"{edit.key}-{edit.value}" for edit in study.edits)
    name = re.sub(r"[^a-z0-9._+-]", "-", f"set_{words}".lower()).rstrip(".")
    if len(name) > _LONGEST_FOLDER:
        name = f"{name[:_LONGEST_FOLDER]}-{hashlib.sha256(words.encode()).hexdigest()[:8]}"
    return folder / name


def kept_result(folder: Path, study: Study) -> Result | None:
    """Return the result that ``run`` left in a folder.

    Return None if it is incomplete, or if anything that it was computed from has changed.
    """
    try:
        result = result_from_json((folder / "summary.json").read_text(encoding="utf-8"))
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError, CommandError):
        return None  # the file is missing, incomplete, or of another version
    design = result.recommended
    if design is None or not design.cutting or result.inputs != inputs_hash(inputs_text(study)):
        return None
    return replace(result, which_wing=f"The stretched wing is {recommended_words(folder)}.")


def recommended_words(folder: Path | None) -> str:
    """Return the words for a recommended wing that is kept in a folder, or in none."""
    return "the one that tradestudy run recommends" + (f", kept in {folder}" if folder else "")


def inputs_text(study: Study) -> str:
    """Return a text of all inputs of a result outside this package: study, companion files, and library versions.

    It holds the tables of the study besides its text, since a study can be changed after it was read.
    """
    own = study.propeller
    names = [
        name for name in (study.stock.airfoil, study.stock.tip_airfoil, own.table, own.blade, own.blade_section) if name
    ]
    digests = [
        f"{name} {hashlib.sha256(file.read_bytes()).hexdigest()}"
        for name in names
        if (file := study.file_path(name)).is_file()
    ]
    tables = [f"{each.name} {getattr(study, each.name)!r}" for each in fields(study) if each.name != "path"]
    return "\n".join([*tables, *digests, *(f"{name} {number}" for name, number in versions().items())])


def versions() -> dict[str, str]:
    """Return the versions of this package, of Python, and of the libraries that affect numbers."""
    names = ("numpy", "scipy", "openmdao", "aerosandbox", "neuralfoil")
    return {
        "tradestudy": __version__,
        "python": platform.python_version(),
        **{name: importlib.metadata.version(name) for name in names},
    }
