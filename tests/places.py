"""Where things of the project stand, for tests in whatever folder."""

from pathlib import Path

TESTS = Path(__file__).parent
ROOT = TESTS.parent
STUDIES = ROOT / "studies"
GODWIT = STUDIES / "godwit.toml"
