"""The errors a person may meet.

::

    TradestudyError          anything we say on purpose; printed without a traceback
    ├── StudyFileError       the study file is wrong; carries every fault found (exit code 2)
    │   └── MeasurementsError   the same of a measurements file or of the flight log that it describes (exit code 2)
    ├── CommandError         the command line is wrong (exit code 2)
    ├── CatalogueError       a part is not in the catalogue, or a data file cannot be used (exit code 2)
    ├── RunFailed            the study is well formed but has no answer (exit code 1)
    └── LimitsViolated         a wing breaks a limit, so no card or sheet of it is made (exit code 1)
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches


class TradestudyError(Exception):
    """Base of everything raised on purpose."""

    exit_code = 1


class CommandError(TradestudyError):
    """The command line asks for something that does not exist."""

    exit_code = 2


class CatalogueError(TradestudyError):
    """A part or data file named by the study cannot be used."""

    exit_code = 2


class RunFailed(TradestudyError):
    """The study was read, but the model could not answer it."""

    exit_code = 1


class LimitsViolated(TradestudyError):
    """A card or sheet was asked for of a wing that breaks a limit, and not asked for anyway."""

    exit_code = 1


@dataclass(frozen=True, order=True)
class Fault:
    """One thing wrong in a study file: where it stands and what to do about it."""

    line: int
    key: str
    message: str


class StudyFileError(TradestudyError):
    """A study file holds faults; all of them are listed, none is hidden behind another."""

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
    """A measurements file, or the flight log that it describes, holds faults; all of them are listed."""


def near_match(word: str, choices: list[str]) -> str:
    """Return `` Did you mean X?`` for the nearest of ``choices``, or an empty string."""
    meant = nearest(word, choices)
    return f" Did you mean {meant}?" if meant else ""


def nearest(word: str, choices: list[str]) -> str:
    """Return the one of ``choices`` that a word was likely meant to be, or an empty string."""
    return next(iter(get_close_matches(word, choices, n=1, cutoff=0.6)), "")
