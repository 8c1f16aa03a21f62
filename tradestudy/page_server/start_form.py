"""The start without a file: studies of the folder, the worked examples, and the questions about a new wing.

The questions and their checks are those of `tradestudy new`.
"""

from __future__ import annotations

import os
import tomllib
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tradestudy.errors import CommandError, Fault, StudyFileError
from tradestudy.files import unwritable, write_atomically
from tradestudy.quantities import IMPERIAL, SYSTEMS, in_imperial
from tradestudy.study.dialog.answers import QuestionAnswer, RefusedValue, equipment_list, read_answer, study_name
from tradestudy.study.dialog.new_study import study_text
from tradestudy.study.dialog.questions import QUESTIONS, QUESTIONS_BY_NAME, questions_behind
from tradestudy.study.examples import copy_example, example_studies, named_example
from tradestudy.study.reader import study_from_tables

from .safety.named_files import is_within

STUDIES_FOLDER = "studies"  # the folder into which examples are copied, as `tradestudy example` does
_MOST_LISTED = 100  # studies that are listed
_SECTION_FAULT = "Section names a file that cannot be used."


class FaultyAnswers(StudyFileError):
    """Error: answers that contradict one another. ``questions`` holds the names of the questions for each fault."""

    def __init__(self, path: str, faults: list[Fault]):
        super().__init__(path, faults)
        self.questions = {each.key: list(questions_behind(each.key)) for each in faults}


def studies_of(folder: Path) -> list[dict[str, str]]:
    """Return the studies in a folder and in its folder ``studies``: file, name, and first line of their comment."""
    files = [*sorted(folder.glob("*.toml")), *sorted((folder / STUDIES_FOLDER).glob("*.toml"))]
    found = []
    for file in files:
        if not is_within(file, [folder]) or not os.path.isfile(file):
            continue
        tables = _tables(file)
        if "stock" in tables:
            named = tables.get("study")
            name = named.get("name") if isinstance(named, dict) else None
            note = named.get("note") if isinstance(named, dict) else None
            texts = {"name": name or file.stem, "note": note or ""}
            found.append({"file": file.relative_to(folder).as_posix()} | {key: str(one) for key, one in texts.items()})
    names = Counter(one["name"] for one in found)
    for one in found:
        if names[one["name"]] > 1:  # as of a copy
            one["name"] += f" ({Path(one['file']).stem})"
    return found[:_MOST_LISTED]


def _tables(file: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(file.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError, RecursionError):  # not a study that can be opened
        return {}


def demos() -> list[dict[str, Any]]:
    """Return the worked examples that come with the project."""
    return [{"name": one.name, "decides": one.decides, "files": one.names} for one in example_studies().values()]


def copied_demo(name: str, folder: Path) -> str:
    """Copy a worked example into ``studies`` and return its file. A copy that is there already stays.

    That is a folder within ``folder``, or ``folder`` itself if it has this name.
    """
    example = named_example(name)
    to = folder if folder.resolve().name == STUDIES_FOLDER else folder / STUDIES_FOLDER
    file = to / example.file.name
    if not is_within(file, [folder]):
        raise CommandError(f"{file} is a link that leads out of the folder.")
    if not os.path.lexists(file):
        try:
            copy_example(example, to)
        except OSError as error:
            raise unwritable(to, error) from None
    return file.relative_to(folder).as_posix()


def questions(units: str) -> dict[str, Any]:
    """Return the questions about a new wing, and the list of equipment, in the words of a system of units."""
    shown = in_imperial if known_system(units) == IMPERIAL else str
    return {
        "questions": [
            {"name": one.name, "title": one.title}
            | {each: shown(getattr(one, each)) for each in ("how", "usual", "example", "more", "if_empty")}
            for one in QUESTIONS
        ],
        "equipment": [
            {"number": number, "name": name, "mass": shown(mass), "power": power}
            for number, (name, mass, power) in enumerate(equipment_list(), start=1)
        ],
    }


def known_system(units: str) -> str:
    """Return a system of units by its name. Raise CommandError if it is unknown."""
    if units not in SYSTEMS:
        raise CommandError(f"Units are {' or '.join(SYSTEMS)}.")
    return units


def checked_answer(name: str, text: str, folder: Path) -> QuestionAnswer:
    """Return the answer to one question. Raise RefusedValue, with a suggestion if there is one."""
    question = QUESTIONS_BY_NAME.get(name)
    if question is None:
        raise CommandError(f"There is no question of that name. Questions: {', '.join(QUESTIONS_BY_NAME)}.")
    if question.name == "section" and any(sign in text for sign in "/\\\0"):
        raise RefusedValue("Section names a file in the folder of the study, so no other folder.")
    file = folder / text.strip()
    is_file = question.name == "section" and os.path.lexists(file)
    if is_file and not is_within(file, [folder]):
        raise RefusedValue(_SECTION_FAULT)
    try:
        return read_answer(question, text, folder)
    except RefusedValue:
        if is_file:  # the message would show a line of the file
            raise RefusedValue(_SECTION_FAULT) from None
        raise


def written_study(name: str, answers: Mapping[str, str], units: str, folder: Path) -> str:
    """Write a study from answers and return its file, in ``folder``. Nothing is written over.

    Raise CommandError that lists all answers that are missing or refused, or FaultyAnswers.
    """
    try:
        plain = study_name(name)
    except ValueError as error:
        raise CommandError(str(error)) from None
    file = folder / f"{plain}.toml"
    if os.path.lexists(file):
        raise CommandError(f"{file.name} is there already. Choose another name.")
    missing = [one.title for one in QUESTIONS if not one.if_empty and not answers.get(one.name, "").strip()]
    if missing:
        raise CommandError(f"Not answered yet: {', '.join(missing)}.")
    given, wrong = {}, []
    for each, text in answers.items():
        try:
            given[each] = checked_answer(each, text, folder)
        except RefusedValue as refused:
            wrong.append(f"{QUESTIONS_BY_NAME[each].title}: {refused}")
    if wrong:
        raise CommandError("\n".join(wrong))
    ordered = {one.name: given[one.name] for one in QUESTIONS if one.name in given}
    text = study_text(plain, ordered, known_system(units))
    try:
        study_from_tables(tomllib.loads(text), file, text)
    except StudyFileError as error:
        raise FaultyAnswers(str(file), error.faults) from None
    try:
        write_atomically(file, text.encode("utf-8"))
    except OSError as error:
        raise unwritable(folder, error) from None
    return file.name
