"""What the shell offers while a command line is typed: study files, results, and the words a command knows.

Each function takes what was typed of a word and returns (word, what it is) pairs. Nothing slow is imported here.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

Offers = list[tuple[str, str]]
MOST_OFFERED = 200


def studies(incomplete: str) -> Offers:
    """Offer study files, and folders on the way to them."""
    return _files(incomplete, (".toml",))


def studies_and_results(incomplete: str) -> Offers:
    """Offer study files, stored results, and folders."""
    return _files(incomplete, (".toml", ".json"))


def logs(incomplete: str) -> Offers:
    """Offer flight logs."""
    return _files(incomplete, (".csv", ".txt", ".log"))


def wings(incomplete: str) -> Offers:
    """Offer which wing of a result."""
    return _words(
        incomplete,
        {"recommended": "of a run, else the best", "best": "whatever its span", "stock": "as it flies today"},
    )


def papers(incomplete: str) -> Offers:
    """Offer sizes of paper."""
    return _words(incomplete, {"a4": "", "letter": ""})


def quantities(incomplete: str) -> Offers:
    """Offer what a front may trade."""
    from tradestudy.quantities.objectives import TRADED

    return _words(incomplete, {name: each.words for name, each in TRADED.items()})


def axes(incomplete: str) -> Offers:
    """Offer the axes of a grid, each with the sign that its values follow."""
    from tradestudy.quantities.design_inputs import COUNT_INPUTS, PROPELLER_INPUT, QUANTITY_INPUTS

    units = {name: each.unit for name, each in QUANTITY_INPUTS.items()} | dict.fromkeys(
        [*COUNT_INPUTS, PROPELLER_INPUT], ""
    )
    return _words(
        incomplete, {f"{name}=": f"first:last:step or a,b,c{unit and f' in {unit}'}" for name, unit in units.items()}
    )


def with_unit(kind: str) -> Callable[[str], Offers]:
    """Return what offers the units of a kind of quantity behind a number that was typed: 1300 becomes 1300mm."""

    def offers(incomplete: str) -> Offers:
        from tradestudy.quantities import UNITS, split_quantity

        try:
            split_quantity(incomplete)
        except ValueError:
            return []
        number = incomplete.rstrip("abcdefghijklmnopqrstuvwxyz/% ")
        return _words(incomplete, {f"{number}{unit}": "" for unit in UNITS[kind] if unit})

    return offers


def _words(incomplete: str, known: dict[str, str]) -> Offers:
    return [(word, words) for word, words in known.items() if word.startswith(incomplete)]


def _files(incomplete: str, endings: tuple[str, ...]) -> Offers:
    """Offer files with such an ending and folders, as they go on from what was typed."""
    head, tail = os.path.split(incomplete)
    try:
        entries = sorted(Path(os.path.expanduser(head or ".")).iterdir())
    except OSError:
        return []
    found: Offers = []
    for entry in entries:
        if not entry.name.startswith(tail) or (entry.name.startswith(".") and not tail) or not entry.name.isprintable():
            continue
        path = os.path.join(head, entry.name)
        if entry.is_dir():
            found.append((path + os.sep, ""))
        elif entry.suffix.lower() in endings:
            found.append((path, ""))
    return found[:MOST_OFFERED]
