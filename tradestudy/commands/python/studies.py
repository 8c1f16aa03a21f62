"""Studies from Python: `edit`, `keys`, `check` and `new`. None of them loads the model, except `check`."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tradestudy.errors import CommandError, Fault
from tradestudy.notebook import data_frame
from tradestudy.study.assumed_values.apply_rules import all_key_lines
from tradestudy.study.dialog.answers import read_answer, study_name
from tradestudy.study.dialog.new_study import study_text
from tradestudy.study.dialog.questions import QUESTIONS, QUESTIONS_BY_NAME
from tradestudy.study.edits.edit_study import edited_study
from tradestudy.study.reader import read_study, study_from_tables
from tradestudy.study.schema.study import KeyLine, Study

if TYPE_CHECKING:
    from tradestudy.commands.room_inside import Distance, GearFit, SpareRoom


def edit(study: Study | str | Path, changes: Mapping[str, Any] | None = None) -> Study:
    """Return a copy of a study with some keys set. The study and its file stay as they are.

    A key is written as `keys` lists it; an item of a list by number or name. A quantity is text with its unit, or
    ``ts.SI(number)`` in SI units. A bare number is refused for it, since 3 may be mm or m. None leaves a key out.
    ``Study.edits`` lists what was set.

    Raises EditRefused, a TradestudyError that lists all errors. Raises CommandError if the study was changed by other
    means after it was read, since its text does not say so.

    ::

        windy = ts.edit(study, {"fly.wind": "6 m/s", "equipment.camera.mass": "80 g"})
        longer = ts.edit(windy, {"stretch.longest": ts.SI(1.8), "choices.parallel": [2, 3]})
    """
    read = study if isinstance(study, Study) else read_study(study)
    if isinstance(study, Study):
        again = study_from_tables(tomllib.loads(study.text), study.path, study.text)
        if replace(again, edits=study.edits, file_text=study.file_text) != study:
            raise CommandError("This study was changed after it was read, and not by ts.edit: read it again first.")
    return edited_study(read, changes or {})


class KeyList(list[KeyLine]):
    """All keys of a study file: a list of `KeyLine` with key, kind, allowed range, default and meaning."""

    def to_dataframe(self) -> Any:
        """Return the keys as rows of a pandas DataFrame."""
        return data_frame([line._asdict() for line in self])


def keys(containing: str = "") -> KeyList:
    """Return the keys that a study may hold, with their units and ranges; those whose name contains a text.

    There are no errors: where no name contains the text, the list is empty.

    ::

        ts.keys("wind").to_dataframe()
    """
    return KeyList(line for line in all_key_lines() if containing in line.key)


@dataclass(frozen=True)
class StudyCheck:
    """What `check` found in a study that was read without errors. Lengths are in the units at the ends of names."""

    study: Study
    hard_to_believe: list[Fault]
    room_inside: list[SpareRoom]
    gear_inside: list[GearFit]
    kept_apart: list[Distance]

    def to_dataframe(self) -> Any:
        """Return the assumed values as rows of a pandas DataFrame."""
        return data_frame([{**used._asdict(), "band": used.band} for used in self.study.defaults_used])


def check(study: Study | str | Path) -> StudyCheck:
    """Return what is hard to believe, what has room, and what is too near to what. The model is calibrated.

    Raises StudyFileError with all errors of the file, with lines and keys.

    ::

        ts.check("studies/lapwing.toml").to_dataframe()  # what the file leaves open
    """
    from tradestudy.commands.room_inside import distances_apart, doubts_about, gear_inside, room_inside

    read = study if isinstance(study, Study) else read_study(study)
    return StudyCheck(read, doubts_about(read), room_inside(read), gear_inside(read), distances_apart(read))


def new(name: str, answers: Mapping[str, str], folder: str | Path = ".") -> Study:
    """Return a new study with answers to the questions of ``tradestudy new``. Nothing is written; save its ``text``.

    ``answers`` maps names of questions to text as typed there, with units. An error lists all names.

    Raises CommandError for an unknown or missing answer, and StudyFileError where the answers contradict each other.

    ::

        answers = {"span": "1360 mm", "chords": "330 mm, 175 mm"}  # and so on
        study = ts.new("whimbrel", answers)
        study.path.write_text(study.text, encoding="utf-8")
    """
    name = study_name(name)
    unknown = [each for each in answers if each not in QUESTIONS_BY_NAME]
    missing = [each.name for each in QUESTIONS if not each.if_empty and not answers.get(each.name, "").strip()]
    if unknown or missing:
        words = [f"{each} is no question." for each in unknown]
        words += [f"Not answered: {', '.join(missing)}."] if missing else []
        raise CommandError(f"{' '.join(words)} Questions: {', '.join(QUESTIONS_BY_NAME)}.")
    try:
        given = {
            each.name: read_answer(each, answers[each.name], Path(folder)) for each in QUESTIONS if each.name in answers
        }
    except ValueError as error:
        raise CommandError(str(error)) from None
    text = study_text(name, given)
    return study_from_tables(tomllib.loads(text), Path(folder) / f"{name}.toml", text)
