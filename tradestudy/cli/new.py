"""``tradestudy new``: questions at the bench, a commented study at the end. Plain lines in, plain lines out."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tradestudy.errors import CommandError, Fault, StudyFileError
from tradestudy.study.dialog.questions import QUESTIONS, QUESTIONS_BY_NAME, Question, questions_behind

from .app import given_together, say

if TYPE_CHECKING:
    from tradestudy.study.dialog.answers import Answer

PROMPT = "  > "
BACK, MORE, YES = "-", "?", ("y", "yes")


OPTIONS = {
    one.name: Annotated[str | None, typer.Option(metavar="ANSWER", help=f'{one.title}, as in "{one.example}".')]
    for one in QUESTIONS
}


@partial(
    given_together,
    options=OPTIONS,
    together="given",
    gather=lambda given: {name: text for name, text in given.items() if text is not None},
)
def new(
    name: Annotated[str, typer.Argument(metavar="NAME", help="What to call the study; NAME.toml is written.")],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FOLDER", help="Where to write; the current folder if left out.")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Write over a study of that name.")] = False,
    no_questions: Annotated[
        bool, typer.Option("--no-questions", help="Ask nothing: all that is needed stands in the options.")
    ] = False,
    given: Any = None,
) -> None:
    """Write a small study from 15 questions at the bench; options answer them without asking."""
    from tradestudy.study.dialog.answers import study_name

    try:
        name = study_name(name)
    except ValueError as error:
        raise CommandError(str(error)) from None
    again = " ".join(
        map(
            _quoted, ["tradestudy", "new", name, *(["--out", str(out)] if out else []), *(["--force"] if force else [])]
        )
    )
    sheet = Sheet(name, out or Path(), again)
    if sheet.folder.exists() and not sheet.folder.is_dir():
        raise CommandError(f"{sheet.folder} is a file; --out wants a folder.")
    if sheet.study.exists() and not force:
        raise CommandError(f"{sheet.study} is there already. Choose another name, or add --force to write over it.")
    before = sheet.take_kept()
    sheet.take_options(given)
    needed = [one for one in QUESTIONS if not one.if_empty]
    if no_questions or all(one.name in given for one in needed):
        if before:
            print(f"Taken from {sheet.kept}: {', '.join(before)}.")
        missing = [one.flag for one in needed if one.name not in sheet.answers]
        if missing:
            raise CommandError(f"Nothing is asked with --no-questions, so these are missing: {', '.join(missing)}.")
        sheet.write_or_refuse()
        return
    try:
        fine = _ask_and_write(sheet, before)
    except (KeyboardInterrupt, EOFError):
        _say_how_to_go_on(sheet)
        raise KeyboardInterrupt from None
    if not fine:
        raise typer.Exit(2)


class Sheet:
    """The answers so far, on the way to one study: kept in a file after each, written out at the end."""

    def __init__(self, name: str, folder: Path, again: str):
        self.name, self.folder, self.again = name, folder, again
        self.study, self.kept = folder / f"{name}.toml", folder / f"{name}.answers.toml"
        self.answers: dict[str, Answer] = {}

    def take_kept(self) -> list[str]:
        """Take the answers of an earlier run; return the names of their questions. Raises CommandError."""
        from tradestudy.study.dialog.answers import RefusedValue, saved_answers, read_answer

        try:
            texts = saved_answers(self.kept.read_text(encoding="utf-8"))
        except FileNotFoundError:
            return []
        except (OSError, ValueError):
            raise CommandError(
                f"{self.kept} does not hold the answers of an earlier run. Delete it, or use another name."
            ) from None
        for name, text in texts.items():
            try:
                self.answers[name] = read_answer(QUESTIONS_BY_NAME[name], text, self.folder)
            except RefusedValue:
                continue  # edited by hand, or the rules have changed since: it is asked again
        return list(self.answers)

    def take_options(self, given: dict[str, str]) -> None:
        """Take answers from the command line. Raises CommandError that tells every wrong one."""
        from tradestudy.study.dialog.answers import RefusedValue, read_answer

        wrong = []
        for name, text in given.items():
            try:
                self.answers[name] = read_answer(QUESTIONS_BY_NAME[name], text, self.folder)
            except RefusedValue as refused:
                wrong.append(f"{QUESTIONS_BY_NAME[name].flag}: {refused}")
        if wrong:
            raise CommandError("\n".join(wrong))

    def answer(self, question: Question, text: str) -> None:
        """Take one answer and keep them all. Raises RefusedValue."""
        from tradestudy.study.dialog.answers import saved_text, read_answer

        self.answers[question.name] = read_answer(question, text, self.folder)
        _write(self.kept, saved_text(self.answers, self.again))

    @property
    def open_questions(self) -> list[Question]:
        """The questions without an answer."""
        return [question for question in QUESTIONS if question.name not in self.answers]

    def faults(self) -> list[Fault]:
        """Return what is wrong with the study that the answers make."""
        try:
            self._read()
        except StudyFileError as error:
            return error.faults
        return []

    def _read(self) -> Any:
        import tomllib

        from tradestudy.study.dialog.new_study import study_text
        from tradestudy.study.reader import study_from_tables

        text = study_text(self.name, self.answers)
        return study_from_tables(tomllib.loads(text), self.study, text)

    def write(self) -> None:
        """Write the study; the answers are no longer kept beside it."""
        from tradestudy.study.dialog.new_study import study_text

        _write(self.study, study_text(self.name, self.answers))
        self.kept.unlink(missing_ok=True)

    def write_or_refuse(self) -> None:
        """Write the study and say so, or raise CommandError with what does not fit."""
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
        """Print what was written, in brief, and what comes next."""
        from .check import summary

        read, path = self._read(), _quoted(str(self.study))
        assumed = sum(not used.is_choice for used in read.defaults_used)
        print(f"Wrote {self.study}.")
        for head, line in summary(read):
            say(line, f"  {head:10}", " " * 12)
        print(f"{assumed} values are assumed, each with a band. To see them: tradestudy check {path}")
        print(f"Next: tradestudy assess {path}")


def _ask_and_write(sheet: Sheet, before: list[str]) -> bool:
    """Ask what is open, and again what does not fit; write the study. Return False when it has faults."""
    if hasattr(sys.stdin, "reconfigure"):  # a letter in another encoding is a wrong answer, no reason to stop
        sys.stdin.reconfigure(errors="replace")
    say(
        f"{len(QUESTIONS)} questions about the wing as it flies today; {sheet.study} is written at the end. Tape, "
        "ruler, calipers and scale will do."
    )
    say(
        f"Give each value with its unit, any you like. {MORE} tells more, {BACK} goes back one question, Ctrl-C stops "
        "and keeps your answers."
    )
    if sheet.answers:
        print(f"\nAnswered so far{f' ({sheet.kept})' if before else ''}:")
        for question in QUESTIONS:
            if question.name in sheet.answers:
                say(f"{question.title}:  {sheet.answers[question.name].text or 'left out'}", "  ")
    while sheet.open_questions:
        _ask_from(sheet, QUESTIONS, QUESTIONS.index(sheet.open_questions[0]))
    while faults := sheet.faults():
        print("\nTaken together, this does not fit yet:")
        for fault in faults:
            say(fault.message, "  ")
        names = {name for fault in faults for name in questions_behind(fault.key)}
        again = [question for question in QUESTIONS if question.name in names]
        texts = {name: answer.text for name, answer in sheet.answers.items()}
        place = 0
        while place < len(again):
            place = _ask_from(sheet, again, place)
        if texts == {name: answer.text for name, answer in sheet.answers.items()}:
            sheet.write()
            say(
                f"Nothing was changed, so {sheet.study} is written with what does not fit. Mend it in an editor, "
                "until this finds it fine:"
            )
            print(f"  tradestudy check {_quoted(str(sheet.study))}")
            return False
    sheet.write()
    print()
    sheet.say_written()
    return True


def _ask_from(sheet: Sheet, questions: Iterable[Question], place: int) -> int:
    """Ask the question at ``place``, or those before it if the builder goes back; return the place after it."""
    questions = list(questions)
    while not _ask(sheet, questions[place]):
        if place == 0:
            print("  This is the first question.")
        place = max(place - 1, 0)
    return place + 1


def _ask(sheet: Sheet, question: Question) -> bool:
    """Ask one question until the answer will do. Return False to go back one question."""
    from tradestudy.study.dialog.answers import RefusedValue

    old = sheet.answers.get(question.name)
    _show(question, None if old is None else old.text)
    meant = ""
    while True:
        typed = _line()
        if typed == BACK:
            return False
        if typed == MORE:
            say(question.more, "    ")
            continue
        if typed.lower() in YES and meant:
            typed = meant
        if not typed and old is not None:
            typed = old.text
        try:
            sheet.answer(question, typed)
        except RefusedValue as refused:
            meant = refused.suggestion
            say(str(refused), "    ")
            print(f"    y takes {meant}" if meant else f"    For example: {question.example}")
            continue
        if sheet.answers[question.name].ticked:
            say(f"Ticked: {sheet.answers[question.name].text}.", "    ")
        return True


def _show(question: Question, old: str | None) -> None:
    print(f"\n{QUESTIONS.index(question) + 1} of {len(QUESTIONS)}  {question.title}")
    say(question.how, "    ")
    if question.name == "equipment":
        _show_equipment()
    print(f"    Usual: {question.usual}. For example: {question.example}")
    if old is not None:
        clear = "; none leaves it out" if old and question.if_empty else ""
        print(f"    Empty keeps {old or 'it left out'}{clear}.")
    elif question.if_empty:
        say(f"May be left empty: {question.if_empty}.", "    ")


def _show_equipment() -> None:
    from tradestudy.study.dialog.answers import equipment_list

    for number, (name, mass, power) in enumerate(equipment_list(), start=1):
        print(f"    {number:2}  {name:40} {mass:>7} {power:>7}")


def _line() -> str:
    typed = input(PROMPT).strip()
    if not sys.stdin.isatty():
        print()  # nobody pressed Enter where this is read
    return typed


def _say_how_to_go_on(sheet: Sheet) -> None:
    kept = sheet.kept.exists()
    said = f"Your answers are kept in {sheet.kept}. To go on" if kept else "Nothing was answered yet. To start again"
    print(f"\n{said}, type: {sheet.again}")


def _quoted(word: str) -> str:
    return word if re.fullmatch(r"[\w./\\:+-]+", word) else f'"{word}"'


def _write(file: Path, text: str) -> None:
    from tradestudy.files import write_atomically

    try:
        write_atomically(file, text.encode("utf-8"))
    except OSError as error:
        raise CommandError(f"{file} cannot be written: {error.strerror}.") from None
