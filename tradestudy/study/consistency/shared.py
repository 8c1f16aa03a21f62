"""What the rules across keys share: the type they return, and rules that hold for several tables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Any

from tradestudy.study.line_numbers import Place

Faults = Iterator[tuple[Place, str]]  # where a rule is violated, and a sentence that continues after the key

LENGTH_TOLERANCE = 1e-6  # m: text in inches and text in millimetres may differ in the last digit


def repeated_names(table: str, items: Sequence[Any]) -> Faults:
    """Yield a fault for every table of an array that has the name of an earlier one."""
    for (_, first), (index, second) in combinations(enumerate(items), 2):
        if first.name == second.name:
            yield (table, index, "name"), f'is "{second.name}", like an earlier one; each needs its own name.'


def given_without(key: tuple[str, str], missing: str) -> tuple[Place, str]:
    """Return the fault of a key that is of no use without other keys."""
    return key, f"is given without {missing}; give that too, or leave this out."


def given_twice(key: tuple[str, str], other: str) -> tuple[Place, str]:
    """Return the fault of a key that states what another key states."""
    return key, f"and {other} give the same thing; remove one of them."
