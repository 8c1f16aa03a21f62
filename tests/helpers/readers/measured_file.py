"""A reader of measurements from text, for tests of logs and flights."""

from pathlib import Path

from tradestudy.study.measurements import Measurements, read_measurements


def measurements_from(text: str, folder: Path) -> Measurements:
    """Return the measurements in a file with this text."""
    path = folder / "flown.toml"
    path.write_text(text, encoding="utf-8")
    return read_measurements(path)
