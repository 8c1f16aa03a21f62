"""``tradestudy new``: questions about the stock wing. The answers are written as a study file with comments."""

from __future__ import annotations

import os
import sys
import tomllib
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import Annotated, Any

import typer

from tradestudy.errors import CommandError, Fault, StudyFileError
from tradestudy.files import as_typed, write_atomically
from tradestudy.quantities import METRIC, printed
from tradestudy.study.dialog.answers import (
    QuestionAnswer,
    RefusedValue,
    equipment_list,
    read_answer,
    saved_answers,
    saved_text,
    study_name,
)
from tradestudy.study.dialog.new_study import study_text
from tradestudy.study.dialog.questions import QUESTIONS, QUESTIONS_BY_NAME, Question, questions_behind
from tradestudy.study.reader import study_from_tables

from .check import study_summary
from .options import Units, system_of, with_options
from .terminal import chosen_units, say, show, use_units

_PROMPT = "  > "
_BACK, _MORE, _YES = "-", "?", ("y", "yes")


_OPTIONS = {
    one.name: Annotated[str | None, typer.Option(metavar="ANSWER", help=f'{one.title}, as in "{one.example}".')]
    for one in QUESTIONS
}


@partial(
    with_options,
    options=_OPTIONS,
    argument="given",
    convert=lambda given: {name: text for name, text in given.items() if text is not None},
)
def new(
    name: Annotated[str, typer.Argument(metavar="NAME", help="What to call the study; NAME.toml is written.")],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FOLDER", help="Where to write; the current folder if left out.")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Write over a study of that name.")] = False,
    no_questions: Annotated[
        bool, typer.Option("--no-questions", help="Ask nothing: all answers needed are given as options.")
    ] = False,
    units: Units = None,
    given: Any = None,
) -> None:
    """Write a small study from 16 questions about the wing; options answer them without asking."""
    try:
        name = study_name(name)
    except ValueError as error:
        raise CommandError(str(error)) from None
    more = [*(["--out", str(out)] if out else []), *(["--force"] if force else [])]
    again = " ".join(map(as_typed, ["tradestudy", "new", name, *more, *(["--units", units] if units else [])]))
    use_units(system_of(units) if units else METRIC)
    answers = _Answers(name, out or Path(), again)
    if os.path.exists(answers.folder) and not os.path.isdir(answers.folder):
        raise CommandError(f"{answers.folder} is a file; --out wants a folder.")
    if os.path.exists(answers.study) and not force:
        raise CommandError(f"{answers.study} is there already. Choose another name, or add --force to write over it.")
    before = answers.take_kept()
    answers.take_options(given)
    needed = [one for one in QUESTIONS if not one.if_empty]
    if no_questions or all(one.name in given for one in needed):
        if before:
            show(f"Taken from {answers.kept}: {', '.join(before)}.")
        missing = [one.flag for one in needed if one.name not in answers.by_name]
        if missing:
            raise CommandError(f"Nothing is asked with --no-questions, so these are missing: {', '.join(missing)}.")
        answers.write_or_refuse()
        return
    try:
        fine = _ask_and_write(answers, before)
    except (KeyboardInterrupt, EOFError):
        kept = answers.kept.exists()
        words = (
            f"Your answers are kept in {answers.kept}. To go on" if kept else "Nothing was answered yet. To start again"
        )
        show(f"\n{words}, type: {again}")
        raise KeyboardInterrupt from None
    if not fine:
        raise typer.Exit(2)


class _Answers:
    """The answers for one study.

    They are saved in a file after each answer. The file is deleted once the study is written.
    """

    def __init__(self, name: str, folder: Path, again: str):
        self.name, self.folder, self.again = name, folder, again
        self.study, self.kept = folder / f"{name}.toml", folder / f"{name}.answers.toml"
        self.by_name: dict[str, QuestionAnswer] = {}

    def take_kept(self) -> list[str]:
        """Read the answers of an earlier run, and return the names of their questions.

        Raise CommandError if the file cannot be read.
        """
        try:
            texts = saved_answers(self.kept.read_text(encoding="utf-8"))
        except FileNotFoundError:
            return []
        except OSError as error:
            raise CommandError(f"{self.kept} cannot be read: {error.strerror}.") from None
        except ValueError:
            raise CommandError(
                f"{self.kept} does not hold the answers of an earlier run. Delete it, or use another name."
            ) from None
        for name, text in texts.items():
            try:
                self.by_name[name] = read_answer(QUESTIONS_BY_NAME[name], text, self.folder)
            except RefusedValue:
                continue  # the file was edited by hand, or the rules have changed: the question is asked again
        return list(self.by_name)

    def take_options(self, given: dict[str, str]) -> None:
        """Read answers from the command line. Raise CommandError that lists every wrong answer."""
        wrong = []
        for name, text in given.items():
            try:
                self.by_name[name] = read_answer(QUESTIONS_BY_NAME[name], text, self.folder)
            except RefusedValue as refused:
                wrong.append(f"{QUESTIONS_BY_NAME[name].flag}: {refused}")
        if wrong:
            raise CommandError("\n".join(wrong))

    def answer(self, question: Question, text: str) -> None:
        """Read one answer, and save all answers in the file. Raise RefusedValue if it is not allowed."""
        self.by_name[question.name] = read_answer(question, text, self.folder)
        _write(self.kept, saved_text(self.by_name, self.again))

    @property
    def open_questions(self) -> list[Question]:
        """Return the questions without an answer."""
        return [question for question in QUESTIONS if question.name not in self.by_name]

    def faults(self) -> list[Fault]:
        """Return the errors in the study that results from the answers."""
        try:
            self._read()
        except StudyFileError as error:
            return error.faults
        return []

    def _read(self) -> Any:
        text = study_text(self.name, self.by_name, chosen_units())
        return study_from_tables(tomllib.loads(text), self.study, text)

    def write(self) -> None:
        """Write the study, and delete the file with the answers."""
        _write(self.study, study_text(self.name, self.by_name, chosen_units()))
        self.kept.unlink(missing_ok=True)

    def write_or_refuse(self) -> None:
        """Write the study and print its summary. Raise CommandError if answers contradict each other."""
        faults = self.faults()
        if faults:
            lines = [
                f"  {', '.join(QUESTIONS_BY_NAME[name].flag for name in questions_behind(fault.key))}: {fault.message}"
                for fault in faults
            ]
            raise CommandError("\n".join([f"{self.study} was not written; these do not fit together:", *lines]))
        self.write()
        self.say_written()

    def say_written(self) -> None:
        """Print a summary of the study, and the next command."""
        read, path = self._read(), as_typed(self.study)
        assumed = sum(not used.is_choice for used in read.defaults_used)
        show(f"Wrote {self.study}.")
        for head, line in study_summary(read):
            say(line, f"  {head:10}", " " * 12)
        show(f"{assumed} values are assumed, each with a band. To see them: tradestudy check {path}")
        show(f"Next: tradestudy assess {path}")


def _ask_and_write(answers: _Answers, before: list[str]) -> bool:
    """Ask the open questions, repeat those whose answers contradict each other, and write the study.

    Return False if the study still has errors.
    """
    if hasattr(
        sys.stdin, "reconfigure"
    ):  # so that a letter in another encoding gives a wrong answer and not an exception
        sys.stdin.reconfigure(errors="replace")
    say(
        f"{len(QUESTIONS)} questions about the wing as it flies today; {answers.study} is written at the end. Tape, "
        "ruler, calipers and scale will do."
    )
    say(
        f"Give each value with its unit, any you like. {_MORE} explains more, {_BACK} goes back one question, "
        "Ctrl-C stops and keeps your answers."
    )
    if answers.by_name:
        show(f"\nAnswered so far{f' ({answers.kept})' if before else ''}:")
        for question in QUESTIONS:
            if question.name in answers.by_name:
                say(f"{question.title}:  {answers.by_name[question.name].text or 'left out'}", "  ")
    while answers.open_questions:
        _ask_from(answers, QUESTIONS, QUESTIONS.index(answers.open_questions[0]))
    while faults := answers.faults():
        show("\nThese answers do not fit one another yet:")
        for fault in faults:
            say(fault.message, "  ")
        names = {name for fault in faults for name in questions_behind(fault.key)}
        again = [question for question in QUESTIONS if question.name in names]
        texts = {name: answer.text for name, answer in answers.by_name.items()}
        place = 0
        while place < len(again):
            place = _ask_from(answers, again, place)
        if texts == {name: answer.text for name, answer in answers.by_name.items()}:
            answers.write()
            say(
                f"Nothing was changed, so {answers.study} is written with what does not fit. Correct it in an editor, "
                "until this command finds no fault:"
            )
            show(f"  tradestudy check {as_typed(answers.study)}")
            return False
    answers.write()
    show()
    answers.say_written()
    return True


def _ask_from(answers: _Answers, questions: Sequence[Question], place: int) -> int:
    """Ask the question at index ``place``. If the builder goes back, ask the questions before it again.

    Return the index of the next question.
    """
    while not _ask(answers, questions[place]):
        if place == 0:
            show("  This is the first question.")
        place = max(place - 1, 0)
    return place + 1


def _ask(answers: _Answers, question: Question) -> bool:
    """Ask one question until its answer is accepted. Return False if the builder goes back one question."""
    old = answers.by_name.get(question.name)
    _show(question, None if old is None else old.text)
    suggestion = ""
    while True:
        typed = _line()
        if typed == _BACK:
            return False
        if typed == _MORE:
            say(question.more, "    ")
            continue
        if typed.lower() in _YES and suggestion:
            typed = suggestion
        if not typed and old is not None:
            typed = old.text
        try:
            answers.answer(question, typed)
        except RefusedValue as refused:
            suggestion = refused.suggestion
            say(str(refused), "    ")
            show(f"    y takes {suggestion}" if suggestion else f"    For example: {printed(question.example)}")
            continue
        if answers.by_name[question.name].ticked:
            say(f"Ticked: {answers.by_name[question.name].text}.", "    ")
        return True


def _show(question: Question, old: str | None) -> None:
    show(f"\n{QUESTIONS.index(question) + 1} of {len(QUESTIONS)}  {question.title}")
    say(question.how, "    ")
    if question.name == "equipment":
        for number, (name, mass, power) in enumerate(equipment_list(), start=1):
            show(f"    {number:2}  {name:40} {printed(mass):>7} {power:>7}")
    say(f"Usual: {printed(question.usual)}. For example: {printed(question.example)}", "    ")
    if old is not None:
        clear = "; none leaves it out" if old and question.if_empty else ""
        show(f"    Empty keeps {old or 'it left out'}{clear}.")
    elif question.if_empty:
        say(f"May be left empty: {question.if_empty}.", "    ")


def _line() -> str:
    typed = input(_PROMPT).strip()
    if not sys.stdin.isatty():
        show()  # the line is not ended by an Enter key
    return typed


def _write(file: Path, text: str) -> None:
    try:
        write_atomically(file, text.encode("utf-8"))
    except OSError as error:
        raise CommandError(f"{file} cannot be written: {error.strerror}.") from None
