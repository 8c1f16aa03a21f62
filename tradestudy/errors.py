"""The exceptions whose messages a user sees.

::

    TradestudyError          the base class; it is printed without a traceback
    ├── StudyFileError       the study file has errors, which are all listed (exit code 2)
    │   ├── MeasurementsError   a measurements file, or the flight log that it describes, has errors (exit code 2)
    │   ├── LogbookError     a logbook or the file of the built wings has errors (exit code 2)
    │   └── StudyContradicted   what the study says of the stock wing contradicts the physics (exit code 2)
    ├── CommandError         the command line is wrong (exit code 2)
    ├── CatalogueError       a part is not in the catalogue, or a data file cannot be used (exit code 2)
    ├── RunFailed            the study is well formed but has no result (exit code 1)
    │   └── EngineLost       the workers of a search ended, and no others can be had (exit code 1)
    └── LimitsViolated         a wing violates a limit, so it gets no card or sheet (exit code 1)
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches


class TradestudyError(Exception):
    """The base class of exceptions whose message is for the user."""

    exit_code = 1


class CommandError(TradestudyError):
    """An exception for a command or a call that requests something that does not exist."""

    exit_code = 2


class CatalogueError(TradestudyError):
    """An exception for a part or a data file that the study names and that cannot be used."""

    exit_code = 2


class RunFailed(TradestudyError):
    """An exception for a study that was read without errors but has no result."""

    exit_code = 1


class EngineLost(RunFailed):
    """An exception for a search whose workers ended, where no others can be had. What was finished is kept."""


class LimitsViolated(TradestudyError):
    """An exception for a speed card or build sheet of a wing that violates a limit, if ``anyway`` is not set."""

    exit_code = 1


@dataclass(frozen=True, order=True)
class Fault:
    """One error in a study file: its line or 0, its key, and a sentence that says what is wrong."""

    line: int
    key: str
    message: str


class StudyFileError(TradestudyError):
    """An exception that lists all errors of a study file."""

    exit_code = 2

    def __init__(self, path: str, faults: list[Fault]):
        self.path = path
        self.faults = sorted(set(faults))
        count = len(self.faults)
        problems = "1 problem" if count == 1 else f"{count} problems"
        lines = [f"{path}: {problems}; nothing was run."]
        lines += [(f"  line {each.line:3d}  " if each.line else "  ") + each.message for each in self.faults]
        super().__init__("\n".join(lines))


class MeasurementsError(StudyFileError):
    """An exception that lists all errors of a measurements file, or of the flight log that it describes."""


class LogbookError(StudyFileError):
    """An exception that lists all errors of a logbook, or of the file of the built wings beside it."""


class StudyContradicted(StudyFileError, RunFailed):
    """An exception for a study whose stock wing cannot be as it is described, named by line and key.

    It is a RunFailed too, since a variant of a good study may have no result.
    """


def near_match(word: str, choices: list[str]) -> str:
    """Return `` Did you mean X?`` with the most similar of ``choices``, or an empty string if none is similar."""
    match = nearest(word, choices)
    return f" Did you mean {match}?" if match else ""


def nearest(word: str, choices: list[str]) -> str:
    """Return the element of ``choices`` that is most similar to a word, or an empty string if none is similar."""
    return next(iter(get_close_matches(word, choices, n=1, cutoff=0.6)), "")
