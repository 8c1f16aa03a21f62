"""Shell completion for study files, results, and the words that a command knows.

Each function takes the beginning of a word and returns pairs (word, description). This module must import quickly,
since the shell starts it for every completion.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

_Offers = list[tuple[str, str]]
_MOST_OFFERED = 200


def studies(incomplete: str) -> _Offers:
    """Return study files and folders."""
    return _files(incomplete, (".toml",))


def studies_and_results(incomplete: str) -> _Offers:
    """Return study files, results and folders."""
    return _files(incomplete, (".toml", ".json"))


def logs(incomplete: str) -> _Offers:
    """Return flight logs and folders."""
    return _files(incomplete, (".csv", ".txt", ".log"))


def examples(incomplete: str) -> _Offers:
    """Return the names of the worked examples."""
    from tradestudy.study.examples import example_studies

    return _words(incomplete, {name: each.decides for name, each in example_studies().items()})


def wing_names(incomplete: str) -> _Offers:
    """Return the wings of a result."""
    return _words(
        incomplete,
        {"recommended": "of a run, else the best", "best": "at any span", "stock": "as it flies today"},
    )


def papers(incomplete: str) -> _Offers:
    """Return sizes of paper."""
    return _words(incomplete, {"a4": "", "letter": ""})


def quantities(incomplete: str) -> _Offers:
    """Return the quantities that a front can trade."""
    from tradestudy.quantities.objectives import TRADED

    return _words(incomplete, {name: each.words for name, each in TRADED.items()})


def optimised(incomplete: str) -> _Offers:
    """Return the quantities that a front can optimise."""
    from tradestudy.quantities.objectives import OPTIMISED, TRADED

    return _words(incomplete, {name: TRADED[name].words for name in OPTIMISED})


def axes(incomplete: str) -> _Offers:
    """Return the possible axes of a grid, each followed by an equals sign."""
    from tradestudy.quantities.design_inputs import COUNT_INPUTS, PROPELLER_INPUT, QUANTITY_INPUTS

    units = {name: each.unit for name, each in QUANTITY_INPUTS.items()} | dict.fromkeys(
        [*COUNT_INPUTS, PROPELLER_INPUT], ""
    )
    return _words(
        incomplete, {f"{name}=": f"first:last:step or a,b,c{unit and f' in {unit}'}" for name, unit in units.items()}
    )


def settable_keys(incomplete: str) -> _Offers:
    """Return the keys of a study, each followed by an equals sign."""
    from tradestudy.study.schema.study import key_lines

    return _words(incomplete, {f"{line.key.replace('[]', '[1]')}=": line.allowed for line in key_lines()})


def unit_choices(kind: str) -> Callable[[str], _Offers]:
    """Return a function that completes a number with each unit of a kind of quantity: 1300 becomes 1300mm."""

    def offers(incomplete: str) -> _Offers:
        from tradestudy.quantities import UNITS, split_quantity

        try:
            split_quantity(incomplete)
        except ValueError:
            return []
        number = incomplete.rstrip("abcdefghijklmnopqrstuvwxyz/% ")
        return _words(incomplete, {f"{number}{unit}": "" for unit in UNITS[kind] if unit})

    return offers


def _words(incomplete: str, known: dict[str, str]) -> _Offers:
    return [(word, words) for word, words in known.items() if word.startswith(incomplete)]


def _files(incomplete: str, endings: tuple[str, ...]) -> _Offers:
    """Return files with these endings, and all folders, whose path begins with the text typed so far."""
    head, tail = os.path.split(incomplete)
    try:
        entries = sorted(Path(os.path.expanduser(head or ".")).iterdir())
    except OSError:
        return []
    offers: _Offers = []
    for entry in entries:
        if not entry.name.startswith(tail) or (entry.name.startswith(".") and not tail) or not entry.name.isprintable():
            continue
        path = os.path.join(head, entry.name)
        if entry.is_dir():
            offers.append((path + os.sep, ""))
        elif entry.suffix.lower() in endings:
            offers.append((path, ""))
    return offers[:_MOST_OFFERED]
