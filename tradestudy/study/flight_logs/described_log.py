"""A flight log with the measurements file that describes its columns, found beside it; its time and its charge."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import NamedTuple

import numpy as np

from tradestudy.errors import CommandError
from tradestudy.study.measurements import Measurements, read_measurements

from .read_log import FlightLog, read_log


class DescribedLog(NamedTuple):
    """A flight log, and the measurements by which it was read."""

    log: FlightLog
    measurements: Measurements

    @property
    def time(self) -> float:
        """The time from the first row to the last. [s]"""
        return float(self.log.time[-1])

    @property
    def charge(self) -> float | None:
        """The charge put back, or else that of the log; None if it has neither charge nor current. [C]"""
        put_back = self.measurements.flight.charge_put_back
        if put_back is not None:
            return put_back
        counted = self.log.channels.get("charge_used", np.zeros(0))
        counted = counted[np.isfinite(counted)]
        if len(counted) > 1:
            return float(counted[-1] - counted[0])
        amps = self.log.channels.get("amps")
        if amps is None:
            return None
        known = np.isfinite(amps)
        return float(np.trapezoid(amps[known], self.log.time[known]))


def described_log(path: Path) -> DescribedLog:
    """Return the log at a path, read as the measurements file beside it says.

    That is the file of the same name, ``flight.toml`` for ``flight.csv``, or else the only one there with a table
    [columns]. Raise CommandError if there is none, or MeasurementsError if the log does not fit its description.
    """
    own = path.with_suffix(".toml")
    found = [own] if own.is_file() else [file for file in sorted(path.parent.glob("*.toml")) if _describes_logs(file)]
    if path.is_file() and len(found) != 1:
        several = f"; {', '.join(file.name for file in found)} could do" if found else ""
        raise CommandError(
            f"{path}: no file says what its columns are called{several}. Write {own.name} beside it, with a table "
            "[columns]; tradestudy keys --of measurements lists the keys."
        )
    measurements = read_measurements(found[0] if found else own)
    return DescribedLog(read_log(path, measurements), measurements)


def _describes_logs(file: Path) -> bool:
    try:
        return "columns" in tomllib.loads(file.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError, RecursionError):
        return False
