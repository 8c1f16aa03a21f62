"""Paths of the project's folders, for tests in any folder."""

from pathlib import Path

TESTS = Path(__file__).parents[1]
ROOT = TESTS.parent
STUDIES = ROOT / "studies"
GODWIT = STUDIES / "godwit.toml"
