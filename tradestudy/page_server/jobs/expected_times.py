"""How long a search takes by experience, before the server has made one itself."""

from __future__ import annotations

# kind -> (seconds in any case, seconds for each set of parts), on one core, with the values to expect. Measured on two
# studies with 6 and 24 sets of parts; bounds leave out most sets of a large study, so the second number is small.
_SECONDS = {
    "best": (32.0, 0.1),
    "spans": (50.0, 0.8),
    "expected": (50.0, 0.8),
    "front": (50.0, 1.0),
    "report": (120.0, 3.0),
}
SEARCHES = ("best", "spans", "front")


def expected_seconds(kind: str, choices: int) -> float:
    """Return the time that a search is expected to take, for a number of choices (sets of parts). [s]"""
    always, each = _SECONDS[kind]
    return always + each * choices
