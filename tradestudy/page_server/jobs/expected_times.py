"""How long a search takes by experience, before the server has made one itself."""

from __future__ import annotations

# kind -> (seconds in any case, seconds for each set of parts), on one core of a busy machine, with what to expect.
# Measured on two studies with 4 and 24 sets of parts. Bounds leave out most sets, so the second number is small.
_SECONDS = {
    "best": (32.0, 0.1),
    "spans": (30.0, 0.1),
    "expected": (30.0, 0.1),
    "front": (45.0, 0.2),
    "report": (55.0, 0.2),
}
SEARCHES = ("best", "spans", "front")


def expected_seconds(kind: str, choices: int) -> float:
    """Return the time that a search is expected to take, for a number of choices (sets of parts). [s]"""
    always, each = _SECONDS[kind]
    return always + each * choices
