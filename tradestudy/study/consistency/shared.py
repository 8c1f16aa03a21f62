"""Types and functions that several rules share."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Any

from tradestudy.study.line_numbers import Place

Faults = Iterator[tuple[Place, str]]  # (place of a key, sentence); the message is the key followed by the sentence

LENGTH_TOLERANCE = 1e-6  # m; equal lengths in inches and in millimetres may differ by rounding


def repeated_names(table: str, items: Sequence[Any]) -> Faults:
    """Yield an error for every table of an array that has the same name as an earlier table."""
    for (_, first), (index, second) in combinations(enumerate(items), 2):
        if first.name == second.name:
            yield (table, index, "name"), f'is "{second.name}", like an earlier one; each needs its own name.'


def given_without(key: tuple[str, str], missing: str) -> tuple[Place, str]:
    """Return the error for a key that has no effect without the key ``missing``."""
    return key, f"is given without {missing}; give that too, or leave this out."


def given_twice(key: tuple[str, str], other: str) -> tuple[Place, str]:
    """Return the error for a key that gives the same information as the key ``other``."""
    return key, f"and {other} give the same thing; remove one of them."
