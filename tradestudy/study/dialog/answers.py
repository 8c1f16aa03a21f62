"""Answers to the questions of `tradestudy new`: what a person typed in, a commented study out. Nothing is printed here.

An answer to several things at once is told apart at commas; a piece with a unit goes to the key that is measured in
it, in whatever order they come. Values stay as they were typed; the entries of the schema decide what is allowed.
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
from tradestudy.study.schema.study import TABLES, key_type
from tradestudy.study.schema.wing import TRACED, UNKNOWN
from tradestudy.study.value_text import UNIT_ALIASES, RefusedValue, as_written

from .questions import NONE, QUESTIONS, QUESTIONS_BY_NAME, KeySlot, Question

BETWEEN = re.compile(r"\s*;\s*|,\s+|(?<=[^\d\s]),|,(?=[^\d\s])")  # a comma between two digits is a decimal comma
PROPELLER = re.compile(r"\d+(?:\.\d+)?\s*[xX]\s*\d+(?:\.\d+)?")
MADE_OF_SEVERAL = ("motor in short", "pack in short")  # kinds whose own text may hold commas


class Answer(NamedTuple):
    """One answer: as it is kept, what it fills in as (table, key) -> value in the study, and what was ticked."""

    text: str
    values: dict[tuple[str, str], Any] = {}
    ticked: tuple[str, ...] = ()


def entry_for(slot: KeySlot) -> KeyType:
    """Return the schema's entry of the key that a slot fills."""
    return key_type(TABLES[slot.table].model.model_fields[slot.key])


def study_name(name: str) -> str:
    """Return the name of a study, without ``.toml``. Raises ValueError when no file can be called so."""
    name = name.removesuffix(".toml")
    try:
        found: str = key_type(TABLES["study"].model.model_fields["name"]).read(name)
    except ValueError as error:
        raise ValueError(f"The name {error}") from None
    return found


def read_answer(question: Question, text: str, folder: Path) -> Answer:
    """Return what an answer says; ``folder`` is where the study will stand. Raises RefusedValue."""
    text = text.strip()
    if len(text) > LONGEST_TEXT or not text.isprintable():
        raise RefusedValue(f"Up to {LONGEST_TEXT} characters that can be printed are wanted.")
    if question.if_empty and text.lower() in ("", NONE, UNKNOWN):
        return Answer("")
    if not text:
        raise RefusedValue("An answer is needed: nothing is assumed here.")
    if question.name == "rods" and text.lower() == NONE:
        return Answer(NONE)
    if question.name == "equipment":
        found = ticked(text)
        return Answer(", ".join(found), {}, found)
    pieces = {question.slots[0]: text} if len(question.slots) == 1 else _dealt(question, text)
    values, sentences = {}, []
    better = dict(pieces)
    for slot in question.slots:
        if slot not in pieces:
            if not slot.may_lack:
                entry = entry_for(slot)
                sentences.append((f"{_capital(slot.word)} is missing: {entry.meaning} ({entry.allowed}).", ""))
            continue
        try:
            values[slot.table, slot.key] = _value(slot, pieces[slot], folder)
        except RefusedValue as refused:
            sentences.append((str(refused), refused.suggestion))
            better[slot] = refused.suggestion
    if sentences:
        if any(slot not in pieces and not slot.may_lack for slot in question.slots):
            sentences.append(("Put commas between them.", ""))
        meant = ", ".join(better.values()) if all(meant for _, meant in sentences) else ""
        raise RefusedValue(" ".join(sentence for sentence, _ in sentences), meant)
    return Answer(text, values)


def equipment_list() -> list[tuple[str, str, str]]:
    """Return what may be ticked, in order: (name, mass, mean power), written as in a study."""
    return [(name, mass_text(part), power_text(part)) for name, part in catalogue_parts("equipment").items()]


def mass_text(part: Mapping[str, Any]) -> str:
    """Return the mass of a part of the catalogue as it stands in a study."""
    return f"{from_si(part['mass'], 'g', 'mass'):.4g} g"


def power_text(part: Mapping[str, Any]) -> str:
    """Return the mean power of a part of the catalogue as it stands in a study."""
    return f"{part['power']:.4g} W"


def ticked(text: str) -> tuple[str, ...]:
    """Return the equipment ticked by numbers ("1 3 7", "1,3,7") or names, in the order of the list. Raises RefusedValue."""
    known = list(catalogue_parts("equipment"))
    pieces = re.split(r"[\s,;]+" if re.fullmatch(r"[\d\s,;]+", text) else r"\s*[,;]\s*", text)
    found = set()
    for piece in filter(None, pieces):
        number = int(piece) if re.fullmatch(r"\d{1,3}", piece) else 0
        name = known[number - 1] if 1 <= number <= len(known) else piece
        if name not in known:
            hint = near_match(piece, known)
            raise RefusedValue(
                f"{as_written(piece)} is not on the list; numbers from 1 to {len(known)} are wanted, "
                f'as in "1 3 7", or names with commas between them.{hint}'
            )
        found.add(name)
    return tuple(name for name in known if name in found)


def _value(slot: KeySlot, piece: str, folder: Path) -> Any:
    """Return one value as it will stand in the study, once its reader takes it. Raises RefusedValue."""
    entry, value = entry_for(slot), _typed(slot, piece)
    try:
        entry.read(value)
        if slot.key == "airfoil":
            if value == TRACED:
                raise RefusedValue(
                    "is to be traced: leave this empty now, and add [traced_section] to the study afterwards."
                )
            if fault := airfoil_fault(value, folder):
                raise fault
    except ValueError as error:
        sentence = str(error).replace(", in quotes", "").replace(" in quotes", "")  # none are typed here
        meant = error.suggestion if isinstance(error, RefusedValue) else ""
        raise RefusedValue(f"{_capital(slot.word)} {sentence}", meant) from None
    return value


def _typed(slot: KeySlot, piece: str) -> Any:
    count = re.fullmatch(r"(\d{1,4})\s*(?:pairs?)?", piece)
    if slot.key == "pairs" and count:
        return int(count.group(1))
    return piece.lower() if slot.key == "scheme" else piece


def _capital(word: str) -> str:
    return word[:1].upper() + word[1:]


def _dealt(question: Question, text: str) -> dict[KeySlot, str]:
    """Deal the pieces of an answer out to the keys they belong to, in the order of the keys. Raises RefusedValue."""
    kinds = {slot: entry_for(slot).kind for slot in question.slots}
    joined = next((slot for slot in question.slots if kinds[slot] in MADE_OF_SEVERAL), None)
    dealt: dict[KeySlot, str] = {}
    left = []
    for piece in filter(None, (piece.strip() for piece in BETWEEN.split(text))):
        home = next((slot for slot in question.slots if slot not in dealt and _measures(kinds[slot], piece)), None)
        if home:
            dealt[home] = piece
        else:
            left.append(piece)
    for piece in left:
        open_slots = [slot for slot in question.slots if slot not in dealt and slot is not joined]
        bare = re.fullmatch(r"[+-]?[\d.]+", piece)
        if joined and (not bare or not open_slots):
            dealt[joined] = f"{dealt[joined]}, {piece}" if joined in dealt else piece
        elif open_slots:
            dealt[open_slots[0]] = piece
        else:
            words = ", ".join(slot.word for slot in question.slots)
            raise RefusedValue(f"{as_written(piece)} is one too many; wanted are {words}, with commas between them.")
    return {slot: dealt[slot] for slot in question.slots if slot in dealt}


def _measures(kind: str, piece: str) -> bool:
    """True when a piece carries a unit of that kind, perhaps with a slip in its letters."""
    if kind == "propeller size":
        return PROPELLER.fullmatch(piece) is not None
    try:
        unit = split_quantity(piece)[1]
    except ValueError:
        return False
    unit = UNIT_ALIASES.get(unit, unit).lower()
    return unit != "" and unit in {known.lower() for known in UNITS.get(kind, {})}


# --- what is kept between two runs --------------------------------------------------------------------------------


def kept_text(answers: Mapping[str, Answer], again: str) -> str:
    """Return the answers so far as TOML text; ``again`` is the command that goes on from there."""
    head = f"# Answers so far. To go on: {again}. To start afresh, delete this file.\n"
    return head + "".join(f"{name} = {toml(answer.text)}\n" for name, answer in answers.items())


def kept_answers(text: str) -> dict[str, str]:
    """Return the answers kept in TOML text, by question, in order. Raises ValueError."""
    kept = tomllib.loads(text)
    strange = [name for name, answer in kept.items() if name not in QUESTIONS_BY_NAME or not isinstance(answer, str)]
    if strange:
        raise ValueError(f"{as_written(strange[0])} is no answer")
    return {question.name: kept[question.name] for question in QUESTIONS if question.name in kept}


def toml(value: Any) -> str:
    """Return text or a whole number as TOML."""
    return json.dumps(value, ensure_ascii=False)  # both are written alike in JSON
