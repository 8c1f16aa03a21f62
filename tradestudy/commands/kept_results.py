"""Results that earlier commands left in a folder, and the inputs by which they are recognised.

This module imports no model, so looking is quick.
"""

from __future__ import annotations

import hashlib
import importlib.metadata
import os
import platform
import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import fields, replace
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from tradestudy import __version__
from tradestudy.errors import CommandError
from tradestudy.files import file_hash
from tradestudy.results.json_form import part_from_json
from tradestudy.results.result import Result, result_from_json
from tradestudy.results.trade import Flips
from tradestudy.search.engines.progress import Progress
from tradestudy.search.engines.record import Record, inputs_hash
from tradestudy.study.schema.study import Study

RECORD = "record.sqlite"  # name of the file of solved designs, in the folder of the results
_LONGEST_FOLDER = 60  # characters of the name of a folder, before a mark is added
RECOMMENDED = ("recommended",)  # key of the recommended wing in that file
FLIPS = "flips of the study"  # key of a complete list of flips in that file
_DRAWING_LIBRARIES = ("matplotlib", "pillow", "jinja2", "markupsafe", "trimesh")  # they affect files, but no numbers


def results_folder(study: Study) -> Path:
    """Return ``results/<study>``, or a folder within for a study with keys that were set.

    Characters that some systems cannot hold in a path become hyphens. A name that loses letters so gets a mark, since
    another one could become the same.
    """
    name = unicodedata.normalize("NFC", study.study.name.lower())
    plain = re.sub(r"[^a-z0-9]+", "-", name).strip("-")[:60]
    if not plain or any(letter.isalnum() and not letter.isascii() for letter in name):
        plain = f"{plain or 'study'}-{hashlib.sha256(name.encode()).hexdigest()[:6]}"
    folder = Path("results") / plain
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
    result = _result_in(folder, study)
    if result is None or result.recommended is None or not result.recommended.cutting:
        return None
    return replace(result, which_wing=f"The stretched wing is {recommended_words(folder)}.")


def _result_in(folder: Path, study: Study) -> Result | None:
    """Return the result in a folder, or None if it is incomplete or of other inputs."""
    try:
        result = result_from_json((folder / "summary.json").read_text(encoding="utf-8"))
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError, CommandError):
        return None  # the file is missing, incomplete, or of another version
    return result if result.inputs == inputs_hash(inputs_text(study)) else None


class KeptRun(NamedTuple):
    """A complete run in a folder: its result, the files that report it, and those for the bench."""

    result: Result
    written: list[Path]
    sheets: list[Path]


def kept_run(folder: Path, study: Study, command: str, anyway: bool, warn: Progress) -> KeptRun | None:
    """Return the run in a folder if nothing at all has changed since, and every file is as it was written.

    ``command`` is the command line, with all options that change the files. ``warn`` is called if the record is
    damaged.
    """
    file = folder / RECORD
    if not os.path.isfile(file):  # unlike that of a Path, this never raises
        return None
    record = Record(file, inputs_text(study), warn)
    known: Any = record.known(_files_key(record, command, anyway))
    record.close()
    if known is None or not all(file_hash(folder / name) == kept for name, kept in known["hashes"].items()):
        return None
    result = _result_in(folder, study)
    if result is None:
        return None
    return KeptRun(result, *([folder / name for name in known[which]] for which in ("written", "sheets")))


def keep_run(
    record: Record,
    folder: Path,
    command: str,
    anyway: bool,
    written: Iterable[Path],
    sheets: Iterable[Path],
    hashes: Mapping[Path, str],
) -> None:
    """Note in the record the files of a complete run, with the hashes of their contents (`files.noting_hashes`)."""
    names = {"written": written, "sheets": sheets, "hashes": hashes}
    kept: Any = {what: [path.relative_to(folder).as_posix() for path in paths] for what, paths in names.items()}
    kept["hashes"] = dict(zip(kept["hashes"], hashes.values(), strict=True))
    record.keep([(_files_key(record, command, anyway), kept)])


def _files_key(record: Record, command: str, anyway: bool) -> Any:
    """Return the key of the files of a run: what they depend on besides the inputs, which are the record's own key.

    A run shows flips that were found in the meantime.
    """
    return "files of a run", command, anyway, drawing_fingerprint(), record.known(FLIPS)


@cache
def drawing_fingerprint() -> str:
    """Return a hash of all code that draws, writes and prints, with the versions of its libraries."""
    package = Path(__file__).parents[1]
    digest = hashlib.sha256("\n".join(f"{name} {library_version(name)}" for name in _DRAWING_LIBRARIES).encode())
    for room in ("report", "cli"):
        for path in sorted((package / room).rglob("*")):
            if path.is_file() and path.suffix != ".pyc":
                digest.update(path.read_bytes())
    return digest.hexdigest()


@cache
def library_version(name: str) -> str:
    """Return the version of an installed library, or "absent"."""
    try:
        return importlib.metadata.version(name)
    except importlib.metadata.PackageNotFoundError:
        return "absent"


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
        **{name: library_version(name) for name in names},
    }


def kept_flips(record: Record) -> Flips | None:
    """Return the flips that an earlier search of the same study found, or None if there was none."""
    known: Any = record.known(FLIPS)
    return None if known is None else part_from_json(Flips, known)
