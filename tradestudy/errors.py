"""The errors that a user can meet.

::

    TradestudyError          base of all; printed without a traceback
    ├── StudyFileError       the study file has faults; all of them are listed (exit code 2)
    │   └── MeasurementsError   a measurements file, or the flight log that it describes, has faults (exit code 2)
    ├── CommandError         the command line is wrong (exit code 2)
    ├── CatalogueError       a part is not in the catalogue, or a data file cannot be used (exit code 2)
    ├── RunFailed            the study is well formed but has no result (exit code 1)
    └── LimitsViolated         a wing violates a limit, so it gets no card or sheet (exit code 1)
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches


class TradestudyError(Exception):
    """Base of the errors that are raised for a user."""

    exit_code = 1


class CommandError(TradestudyError):
    """A command or a call requests something that does not exist."""

    exit_code = 2


class CatalogueError(TradestudyError):
    """A part or data file named by the study cannot be used."""

    exit_code = 2


class RunFailed(TradestudyError):
    """The study was read, but it has no result."""

    exit_code = 1


class LimitsViolated(TradestudyError):
    """A card or sheet was requested for a wing that violates a limit, without ``anyway``."""

    exit_code = 1


@dataclass(frozen=True, order=True)
class Fault:
    """One fault in a study file: its line, its key, and a sentence on what is wrong."""

    line: int
    key: str
    message: str


class StudyFileError(TradestudyError):
    """A study file has faults; all of them are listed."""

    exit_code = 2

    def __init__(self, path: str, faults: list[Fault]):
        self.path = path
        self.faults = sorted(set(faults))
        count = len(self.faults)
        problems = "1 problem" if count == 1 else f"{count} problems"
        lines = [f"{path}: {problems}; nothing was run."]
        lines += [f"  line {fault.line:3d}  {fault.message}" for fault in self.faults]
        super().__init__("\n".join(lines))


class MeasurementsError(StudyFileError):
    """A measurements file, or the flight log that it describes, has faults; all of them are listed."""


def near_match(word: str, choices: list[str]) -> str:
    """Return `` Did you mean X?`` for the nearest of ``choices``, or an empty string."""
    match = nearest(word, choices)
    return f" Did you mean {match}?" if match else ""


def nearest(word: str, choices: list[str]) -> str:
    """Return the one of ``choices`` that is most like a word, or an empty string."""
    return next(iter(get_close_matches(word, choices, n=1, cutoff=0.6)), "")
