"""Run all rules that compare several keys or tables of a study.

A rule is a function whose name says what must be true. Its parameters are names of tables. A parameter ``folder`` is
the folder of the study, and ``given`` are the tables before assumed values are filled in. A rule runs only if all its
tables exist and have no errors. It yields (place, sentence). The complete message is the key at that place, followed
by the sentence.
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
from .plausibility import PLAUSIBILITY_CHECKS
from .power import POWER_CHECKS
from .rods import ROD_CHECKS
from .stretch import STRETCH_CHECKS
from .structure import STRUCTURE_CHECKS
from .surfaces import SURFACE_CHECKS

_ALL_RULES = (
    *PLANFORM_CHECKS,
    *ROD_CHECKS,
    *STRUCTURE_CHECKS,
    *SURFACE_CHECKS,
    *STRETCH_CHECKS,
    *POWER_CHECKS,
    *EQUIPMENT_CHECKS,
    *LOAD_TEST_CHECKS,
    *MISSION_CHECKS,
    *PLAUSIBILITY_CHECKS,
)


def cross_check(tables: dict[str, Any], folder: Path, given: dict[str, Any]) -> list[tuple[Place, str]]:
    """Return (place, sentence) for every violation of a rule."""
    known = {name: table for name, table in tables.items() if table is not None} | {"folder": folder, "given": given}
    faults: list[tuple[Place, str]] = []
    for rule in _ALL_RULES:
        names = inspect.signature(rule).parameters
        if known.keys() >= names.keys():
            faults += rule(**{name: known[name] for name in names})
    return faults
