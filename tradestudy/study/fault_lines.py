"""Errors of a study with line and key, also those that only the model of the stock wing finds."""

from __future__ import annotations

from typing import Any

from tradestudy.errors import Fault, StudyContradicted
from tradestudy.study.schema.study import Study

from .line_numbers import Place, dotted, line_of, locate

# table -> place of the key that a study may give instead; errors in the table are then reported at the line of that key
_SHORT_PLACES: dict[Any, Place] = {
    "elevon": ("stock", "elevon_chord"),
    "fin": ("stock", "fin_height"),
    "pack": ("power", "pack"),
    "bay": ("power", "pack"),
    "motor": ("power", "motor"),
    "propeller": ("power", "propeller"),
}


def fault_line(places: dict[Place, int], at: Place) -> int:
    """Return the line of a place. If the study gives a short form of its table, return the line of the short form."""
    short = _SHORT_PLACES.get(at[0], ())
    for place in (at, short, short[:1]):
        if place and place[:1] in places and (len(place) == 1 or place in places or place == at):
            return line_of(places, place)
    return 1


def with_lines(study: Study, faults: list[tuple[Place, str]]) -> list[Fault]:
    """Return each (place, sentence) with line and key. The message is the key followed by the sentence."""
    places = locate(study.file_text or study.text)
    return [Fault(fault_line(places, at), dotted(at), f"{dotted(at)} {sentence}") for at, sentence in faults]


def contradiction(study: Study, place: Place, sentence: str) -> StudyContradicted:
    """Return the exception for a value that the model of the stock wing contradicts.

    The message is the key at ``place``, followed by ``sentence``.
    """
    return StudyContradicted(str(study.path), with_lines(study, [(place, sentence)]))
