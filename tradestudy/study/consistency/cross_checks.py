"""Rules across keys and tables, once every value on its own is allowed.

A rule is a function named by what must hold. Its parameters are names of tables, besides ``folder`` (that of the
study) and ``given`` (its tables before assumed values are filled in). It runs when all of these tables are there and
have no fault of their own. It yields (place, sentence); the sentence continues after the key at that place.
"""

from __future__ import annotations

import inspect
from pathlib import Path
from typing import Any

from tradestudy.study.line_numbers import Place

from .equipment import EQUIPMENT_CHECKS
from .load_test import LOAD_TEST_CHECKS
from .mission import MISSION_CHECKS
from .planform import PLANFORM_CHECKS
from .power import POWER_CHECKS
from .stretch import STRETCH_CHECKS
from .structure import STRUCTURE_CHECKS
from .surfaces import SURFACE_CHECKS

_ALL_RULES = (
    *PLANFORM_CHECKS,
    *STRUCTURE_CHECKS,
    *SURFACE_CHECKS,
    *STRETCH_CHECKS,
    *POWER_CHECKS,
    *EQUIPMENT_CHECKS,
    *LOAD_TEST_CHECKS,
    *MISSION_CHECKS,
)


def cross_check(tables: dict[str, Any], folder: Path, given: dict[str, Any]) -> list[tuple[Place, str]]:
    """Return the place and sentence of every rule that the tables violate."""
    known = {name: table for name, table in tables.items() if table is not None} | {"folder": folder, "given": given}
    faults: list[tuple[Place, str]] = []
    for rule in _ALL_RULES:
        names = inspect.signature(rule).parameters
        if known.keys() >= names.keys():
            faults += rule(**{name: known[name] for name in names})
    return faults
