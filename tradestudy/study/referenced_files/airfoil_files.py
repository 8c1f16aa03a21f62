"""Checks whether an airfoil exists. The library with the airfoil database is not imported, since that takes seconds."""

from __future__ import annotations

import importlib.util
import os
import re
from functools import cache
from pathlib import Path

from tradestudy.errors import nearest
from tradestudy.physics.sections import coordinate_file
from tradestudy.study.schema.wing import TRACED, UNKNOWN
from tradestudy.study.value_text import RefusedValue

from .named_file import text_of

# names of airfoils that physics.sections computes by formula, without the database
NACA_NAME = re.compile(r"naca(0\d|[1-9][1-9]|[1-9]([1-5]0|[2-5]1))(?!00)\d{2}", re.IGNORECASE)


def airfoil_fault(name: str, folder: Path) -> RefusedValue | None:
    """Return an exception that says what is wrong with an airfoil name, or None if nothing is wrong.

    ``folder`` is the folder of the study. In the database, capital and small letters are different.
    """
    if name in (UNKNOWN, TRACED):
        return None
    file = folder / name
    if file.suffix and os.path.isfile(file):
        return _outline_fault(file)
    names = _database()
    if not names or name in names or NACA_NAME.fullmatch(name):
        return None
    if Path(name).suffix.lower() in (".dat", ".txt", ".csv"):
        return RefusedValue(f'is "{name[:40]}"; there is no such file in the folder of the study.')
    meant = next((known for known in names if known.lower() == name.lower()), "") or nearest(name, sorted(names))
    where = "neither in the airfoil database nor a coordinate file in the folder of the study"
    return RefusedValue(f'is "{name[:40]}", which is {where}.' + (f" Did you mean {meant}?" if meant else ""), meant)


@cache
def _database() -> frozenset[str]:
    """Return the names in the database. If the library is not installed, the set is empty."""
    spec = importlib.util.find_spec("aerosandbox")
    if spec is None or not spec.submodule_search_locations:
        return frozenset()
    folder = Path(list(spec.submodule_search_locations)[0]) / "geometry" / "airfoil" / "airfoil_database"
    if not folder.is_dir():
        return frozenset()
    return frozenset(name[:-4] for name in os.listdir(folder) if name.endswith(".dat"))


def _outline_fault(file: Path) -> RefusedValue | None:
    """Return an exception that says what is wrong with a coordinate file, or None if nothing is wrong."""
    try:
        coordinate_file.read_outline(text_of(file))
    except ValueError as error:
        return RefusedValue(f'names the file "{file.name}", which {error}.')
    return None
