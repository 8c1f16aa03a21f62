"""Output that several commands share: the caution, the JSON document, and the exit code."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, Any

import typer

from tradestudy.files import as_typed

from .terminal import is_harmless, say, show

if TYPE_CHECKING:
    from tradestudy.results.result import Result

CAUTION = (
    "Results are estimates for comparing builds, not proof of airworthiness: load the finished wing on "
    "the bench before it flies, and keep to the cell maker's limits."
)


_typed: ContextVar[Sequence[str]] = ContextVar("typed", default=())  # see `typed_as`


@contextmanager
def typed_as(arguments: Sequence[str]) -> Iterator[None]:
    """Context in which a person has typed these arguments."""
    before = _typed.set(arguments)
    try:
        yield
    finally:
        _typed.reset(before)


def more_words(what: str) -> str:
    """Return the sentence that says how to see what is left out: by the command as it was typed, with its options."""
    return f"For {what}: tradestudy {' '.join(map(as_typed, _typed.get()))} --all"


def say_end(following: str, what: str, everything: bool) -> None:
    """Print the next command, how to see what is left out, and the caution.

    ``following``, the next command, stands as a person types it. ``what`` names what ``--all`` adds.
    """
    lines = [f"Next: tradestudy {following}"] if following else []
    if not everything:
        lines.append(more_words(what))
    for line in ["", *lines, *([""] if lines else []), CAUTION]:
        say(line)


def some(rows: Sequence[Any], most: int, kept: Callable[[Any], bool] = lambda row: False) -> list[Any]:
    """Return at most about ``most`` rows, evenly spread, with both ends and those that are ``kept``."""
    last = len(rows) - 1
    places = {round(index * last / (most - 1)) for index in range(most)} if last >= most else set(range(last + 1))
    return [row for place, row in enumerate(rows) if place in places or kept(row)]


def print_json(document: Any) -> None:
    """Print one JSON document on standard output."""
    print_json_text(json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False))


def print_json_text(text: str) -> None:
    """Print a JSON document. Control characters that JSON allows in a string are written as JSON escapes them."""
    show("".join(letter if is_harmless(letter) else json.dumps(letter)[1:-1] for letter in text))


def print_document(result: Result, **parts: Any) -> None:
    """Print the JSON document of a command: the study, whether limits are met, and the parts that it reports."""
    from tradestudy.results.json_form import json_data

    document = {
        "study": result.study_name,
        "command": result.command,
        "set_keys": result.set_keys,
        "success": result.success,
        "message": result.message,
        **parts,
        "excluded": result.excluded,
        "notes": result.notes,
    }
    print_json(json_data(document))


def exit_unless(success: bool) -> None:
    """End the program with exit code 1 if ``success`` is False, so no design meets every limit."""
    if not success:
        raise typer.Exit(1)
