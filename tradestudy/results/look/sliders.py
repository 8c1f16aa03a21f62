"""Dataclasses for what a live page may change of a wing, and for wings found by its searches."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from tradestudy.results.field_specs import Unit

from .look import PartOption, WingLook

_AS_SAID = Unit("as unit says")


@dataclass(frozen=True)
class Slider:
    """One variable of the wing that may be moved."""

    key: Annotated[str, "Its name in a wing, with the unit at its end."]
    words: Annotated[str, "Words for it."]
    unit: Annotated[str, "Unit of its values."]
    low: Annotated[float, "Least value.", _AS_SAID]
    high: Annotated[float, "Greatest value.", _AS_SAID]
    stock: Annotated[float, "Value of the stock wing.", _AS_SAID]
    step: Annotated[float, "Step of one key press.", _AS_SAID]
    digits: Annotated[int, "Decimals to show."]
    fixed_why: Annotated[str, "Why the study holds it; empty where it may be moved."] = ""


@dataclass(frozen=True)
class PartChoice:
    """One part that is bought or decided in steps, with its options."""

    key: Annotated[str, "Its name in a wing's choices."]
    words: Annotated[str, "Words for it."]
    stock: Annotated[str | float | int | None, "Value of the stock wing."]
    options: Annotated[list[PartOption], "Its options; one alone cannot be changed."]


@dataclass(frozen=True)
class StudyKey:
    """One value of the study's text that the page may edit."""

    key: Annotated[str, "Dotted key of the study file."]
    words: Annotated[str, "Words for it."]
    value: Annotated[str, "Value with its unit, as the file has it or as assumed; empty where there is none."]
    given: Annotated[bool, "Whether the file gives it."]
    number: Annotated[float | None, "That value as a number in the unit; empty for a word.", _AS_SAID]
    unit: Annotated[str, "Unit of the number; empty for a pure number or a word."]
    low: Annotated[float | None, "Least value that is allowed; empty for a word.", _AS_SAID]
    high: Annotated[float | None, "Greatest value that is allowed; empty for a word.", _AS_SAID]
    options: Annotated[list[str], "Words that are allowed; none for a number."]


@dataclass(frozen=True)
class Controls:
    """All that may be moved on the page of one study, and what is true of all its wings."""

    study_id: Annotated[str, "Which text of the study it belongs to."]
    study_name: Annotated[str, "Name of the study."]
    sliders: Annotated[list[Slider], "Variables of the wing."]
    parts: Annotated[list[PartChoice], "Parts in steps."]
    study_keys: Annotated[list[StudyKey], "Values of the study that the page may edit."]
    purpose: Annotated[str, "Name of the number that the study maximises."]
    stock: Annotated[WingLook, "The stock wing."]


@dataclass(frozen=True)
class FoundWing:
    """One wing that a search found, ready for the sliders."""

    name: Annotated[str, "Its name by its span and parts."]
    label: Annotated[str, "What it is, such as best, recommended or a place of the span trade."]
    look: Annotated[WingLook, "Its look."]


@dataclass(frozen=True)
class FoundWings:
    """What one search found."""

    kind: Annotated[str, "Which search: best, spans or front."]
    study_id: Annotated[str, "Which text of the study it belongs to."]
    wings: Annotated[list[FoundWing], "The wings in order."]
    sentence: Annotated[str, "What it found, in one sentence."]
    stopped: Annotated[bool, "Whether it was stopped before its end."]
