"""Paths of the project's folders, for tests in any folder."""

import os
from pathlib import Path

TESTS = Path(__file__).parents[1]
ROOT = TESTS.parent
STUDIES = ROOT / "studies"
GODWIT = STUDIES / "godwit.toml"
IMPORTING = {"PYTHONPATH": os.pathsep.join([str(TESTS), str(ROOT)])}  # so that a process finds project and helpers
