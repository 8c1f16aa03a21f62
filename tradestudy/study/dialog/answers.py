"""Read the answers to the questions of `tradestudy new`. This module prints nothing.

An answer with several values is split at commas. A piece with a unit goes to the key with that kind of unit, so the
order does not matter. Values are kept as they were typed, and the schema decides which are allowed.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from tradestudy.catalogue import catalogue_parts
from tradestudy.errors import near_match
from tradestudy.quantities import UNITS, from_si, split_quantity
from tradestudy.study.referenced_files.airfoil_files import airfoil_fault
from tradestudy.study.schema.key_types import LONGEST_TEXT, KeyType
from tradestudy.study.schema.study import STUDY_TABLES
from tradestudy.study.schema.wing import TRACED, UNKNOWN
from tradestudy.study.value_text import UNIT_ALIASES, RefusedValue, as_written

from .questions import NO_ANSWER, QUESTIONS, QUESTIONS_BY_NAME, KeySlot, Question

# text between two values of an answer; a comma between two digits is a decimal comma
_BETWEEN = re.compile(r"\s*;\s*|,\s+|(?<=[^\d\s]),|,(?=[^\d\s])")
_PROPELLER = re.compile(r"\d+(?:\.\d+)?\s*[xX]\s*\d+(?:\.\d+)?")
_COMPANIONS = (".wings", ".answers")  # ends of names of files that stand beside a study
_KINDS_WITH_COMMAS = ("motor in short", "pack in short")  # kinds of keys whose values may contain commas


class QuestionAnswer(NamedTuple):
    """One answer: its text, a dict of (table, key) -> value, and the names of the chosen equipment."""

    text: str
    values: dict[tuple[str, str], Any] = {}
    ticked: tuple[str, ...] = ()


def slot_type(slot: KeySlot) -> KeyType:
    """Return the type of the key that ``slot`` names."""
    return STUDY_TABLES[slot.table].key_type(slot.key)


def study_name(name: str) -> str:
    """Return the name of a study without ``.toml``. Raise ValueError if no file can have this name."""
    name = name.removesuffix(".toml")
    try:
        STUDY_TABLES["study"].key_type("name").read(name)
    except ValueError as error:
        raise ValueError(f"The name {error}") from None
    if name.lower().endswith(_COMPANIONS):
        message = f"The name {as_written(name)} is kept for a file beside a study, as {' and '.join(_COMPANIONS)} are."
        raise ValueError(f"{message} Choose another.")
    return name


def read_answer(question: Question, text: str, folder: Path) -> QuestionAnswer:
    """Return the answer to a question. ``folder`` is the folder of the study.

    Raise RefusedValue if the answer is not allowed.
    """
    text = text.strip()
    if len(text) > LONGEST_TEXT or not text.isprintable():
        raise RefusedValue(f"Write at most {LONGEST_TEXT} characters that can be printed.")
    if question.if_empty and text.lower() in ("", NO_ANSWER, UNKNOWN):
        return QuestionAnswer("")
    if not text:
        raise RefusedValue("An answer is needed: nothing is assumed here.")
    if question.name == "rods" and text.lower() == NO_ANSWER:
        return QuestionAnswer(NO_ANSWER)
    if question.name == "equipment":
        names = ticked(text)
        return QuestionAnswer(", ".join(names), {}, names)
    pieces = {question.slots[0]: text} if len(question.slots) == 1 else _pieces(question, text)
    values, sentences = {}, []
    corrected = dict(pieces)
    for slot in question.slots:
        if slot not in pieces:
            if not slot.optional:
                key = slot_type(slot)
                sentences.append((f"{slot.label.capitalize()} is missing: {key.meaning} ({key.allowed}).", ""))
            continue
        try:
            values[slot.table, slot.key] = _value(slot, pieces[slot], folder)
        except RefusedValue as refused:
            sentences.append((str(refused), refused.suggestion))
            corrected[slot] = refused.suggestion
    if sentences:
        if any(slot not in pieces and not slot.optional for slot in question.slots):
            sentences.append(("Put commas between them.", ""))
        meant = ", ".join(corrected.values()) if all(meant for _, meant in sentences) else ""
        raise RefusedValue(" ".join(sentence for sentence, _ in sentences), meant)
    return QuestionAnswer(text, values)


def equipment_list() -> list[tuple[str, str, str]]:
    """Return (name, mass, mean power) of all equipment in the catalogue, in order. Values are text, as in a study."""
    return [(name, mass_text(part), power_text(part)) for name, part in catalogue_parts("equipment").items()]


def mass_text(part: Mapping[str, Any]) -> str:
    """Return the mass of a part of the catalogue as text, as in a study."""
    return f"{from_si(part['mass'], 'g', 'mass'):.4g} g"


def power_text(part: Mapping[str, Any]) -> str:
    """Return the mean power of a part of the catalogue as text, as in a study."""
    return f"{part['power']:.4g} W"


def ticked(text: str) -> tuple[str, ...]:
    """Return the chosen equipment in the order of the list. The text holds numbers ("1 3 7", "1,3,7") or names.

    Raise RefusedValue if a number or name is not in the list.
    """
    known = list(catalogue_parts("equipment"))
    pieces = re.split(r"[\s,;]+" if re.fullmatch(r"[\d\s,;]+", text) else r"\s*[,;]\s*", text)
    chosen = set()
    for piece in filter(None, pieces):
        number = int(piece) if re.fullmatch(r"\d{1,3}", piece) else 0
        name = known[number - 1] if 1 <= number <= len(known) else piece
        if name not in known:
            hint = near_match(piece, known)
            raise RefusedValue(
                f"{as_written(piece)} is not on the list; write numbers from 1 to {len(known)}, "
                f'such as "1 3 7", or names with commas between them.{hint}'
            )
        chosen.add(name)
    return tuple(name for name in known if name in chosen)


def _value(slot: KeySlot, piece: str, folder: Path) -> Any:
    """Return one value as it is written in the study. Raise RefusedValue if the type of the key does not accept it."""
    value = _typed(slot, piece)
    try:
        slot_type(slot).read(value)
        if slot.key == "airfoil":
            if value == TRACED:
                raise RefusedValue(
                    "cannot be given here; leave this empty, and add [traced_section] to the study afterwards."
                )
            if fault := airfoil_fault(value, folder):
                raise fault
    except ValueError as error:
        # answers are typed without quotes, so the message must not mention them
        sentence = str(error).replace(", in quotes", "").replace(" in quotes", "")
        meant = error.suggestion if isinstance(error, RefusedValue) else ""
        raise RefusedValue(f"{slot.label.capitalize()} {sentence}", meant) from None
    return value


def _typed(slot: KeySlot, piece: str) -> Any:
    """Return a piece of an answer as it is written in the study.

    A count of pairs becomes a number. A scheme and a material are written in small letters.
    """
    count = re.fullmatch(r"(\d{1,4})\s*(?:pairs?)?", piece)
    if slot.key == "pairs" and count:
        return int(count.group(1))
    return piece.lower() if slot.key in ("scheme", "material") else piece


def _pieces(question: Question, text: str) -> dict[KeySlot, str]:
    """Return a dict of key -> piece of an answer, in the order of the keys. Raise RefusedValue for too many pieces."""
    kinds = {slot: slot_type(slot).kind for slot in question.slots}
    joined = next((slot for slot in question.slots if kinds[slot] in _KINDS_WITH_COMMAS), None)
    placed: dict[KeySlot, str] = {}
    left = []
    for piece in filter(None, (piece.strip() for piece in _BETWEEN.split(text))):
        home = next((slot for slot in question.slots if slot not in placed and _is_of(slot, kinds[slot], piece)), None)
        if home:
            placed[home] = piece
        else:
            left.append(piece)
    for piece in left:
        open_slots = [slot for slot in question.slots if slot not in placed and slot is not joined]
        bare = re.fullmatch(r"[+-]?[\d.]+", piece)
        if joined and (not bare or not open_slots):
            placed[joined] = f"{placed[joined]}, {piece}" if joined in placed else piece
        elif open_slots:
            placed[open_slots[0]] = piece
        else:
            labels = ", ".join(slot.label for slot in question.slots)
            raise RefusedValue(f"{as_written(piece)} is one too many; write {labels}, with commas between them.")
    return {slot: placed[slot] for slot in question.slots if slot in placed}


def _is_of(slot: KeySlot, kind: str, piece: str) -> bool:
    """Return whether a piece of an answer can belong to one slot alone: by its unit, or as a word for a material."""
    if slot.key == "material":
        return piece.isalpha()
    return _measures(kind, piece)


def _measures(kind: str, piece: str) -> bool:
    """Return whether a piece of an answer has a unit of ``kind``. Capital and small letters are the same here."""
    if kind == "propeller size":
        return _PROPELLER.fullmatch(piece) is not None
    try:
        unit = split_quantity(piece)[1]
    except ValueError:
        return False
    unit = UNIT_ALIASES.get(unit, unit).lower()
    return unit != "" and unit in {known.lower() for known in UNITS.get(kind, {})}


# --- answers that are saved between two runs ----------------------------------------------------------------------


def saved_text(answers: Mapping[str, QuestionAnswer], again: str) -> str:
    """Return the answers so far as TOML text. ``again`` is the command with which the user continues."""
    head = f"# Answers so far. To go on: {again}. To start again, delete this file.\n"
    return head + "".join(f"{name} = {toml_value(answer.text)}\n" for name, answer in answers.items())


def saved_answers(text: str) -> dict[str, str]:
    """Return a dict of question -> answer from saved TOML text. Raise ValueError if the text holds anything else."""
    saved = tomllib.loads(text)
    strange = [name for name, answer in saved.items() if name not in QUESTIONS_BY_NAME or not isinstance(answer, str)]
    if strange:
        raise ValueError(f"{as_written(strange[0])} is not an answer")
    return {question.name: saved[question.name] for question in QUESTIONS if question.name in saved}


def toml_value(value: Any) -> str:
    """Return a text or a whole number as TOML. For these, TOML and JSON are the same."""
    return json.dumps(value, ensure_ascii=False)
