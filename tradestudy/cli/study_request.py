"""A study as the command line requests it: its file, and the keys that ``--set`` changes."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from tradestudy.errors import CommandError, TradestudyError
from tradestudy.files import as_typed
from tradestudy.quantities import METRIC

from .terminal import say, show

if TYPE_CHECKING:
    from tradestudy.study.schema.study import Study

_EXAMPLE = '--set "fly.wind=6 m/s"'


class StudyRequest:
    """The study file at ``path`` with the keys of ``settings``, each of them ``key=value`` as typed.

    ``also`` are further settings of another option, which is named in messages: (option, setting). ``fitted`` is the
    file of factors that goes with it. As text it is what a person types to request the same study.
    """

    def __init__(
        self,
        path: Path,
        settings: Sequence[str] = (),
        also: Sequence[tuple[str, str]] = (),
        fitted: Path | None = None,
    ):
        self.path, self.fitted = path, fitted
        self._typed = [*(("--set", each) for each in settings), *also]
        self._read: dict[Path | None, Study] = {}

    def __str__(self) -> str:
        return self._words(self.path) + (f" --fitted {as_typed(self.fitted)}" if self.fitted else "")

    @property
    def name(self) -> str:
        """The name of the file, with the keys that are set."""
        return self._words(Path(self.path.name))

    def _words(self, file: Path) -> str:
        return " ".join([as_typed(file), *(f"--set {as_typed(each)}" for _, each in self._typed)])

    @cached_property
    def changes(self) -> dict[str, str | None]:
        """The value as typed of each key that is set; None for a key that is left out. A later option counts."""
        changes: dict[str, str | None] = {}
        options: dict[str, str] = {}
        for option, each in self._typed:
            key, equals, value = (part.strip() for part in each.partition("="))
            if not (key and equals):
                raise CommandError(f'{option} "{each}" sets no key. Write key=value, such as {_EXAMPLE}.')
            if options.get(key) == option:
                raise CommandError(f"{option} sets {key} twice.")
            changes[key], options[key] = value or None, option
        return changes

    def read(self, fitted: Path | None = None) -> Study:
        """Return the study with its keys set, and with the factors in the file ``fitted``."""
        if fitted not in self._read:
            from tradestudy.study.reader import read_study

            study = read_study(self.path, fitted)
            if self.changes:
                from tradestudy.study.edits.edit_study import edited_study

                study = edited_study(study, self.changes, self._request_words)
            self._read[fitted] = study
        return self._read[fitted]

    def units(self, fitted: Path | None = None) -> str:
        """Return the system of units that the study asks for; metric if it cannot be read, which is told later."""
        try:
            return self.read(fitted).study.units
        except TradestudyError:
            return METRIC

    def _request_words(self, key: str, value: str | None) -> str:
        option = next(option for option, each in reversed(self._typed) if each.partition("=")[0].strip() == key)
        return f"{option} {key}={value or ''}"


def print_settings(study: Study) -> None:
    """Print the keys of a study that were set, and what stays as measured."""
    from tradestudy.report.words.phrases import set_key_words
    from tradestudy.results.inputs import SetKey
    from tradestudy.study.edits.what_stays import notes_on_edits

    say(set_key_words([SetKey(*edit) for edit in study.edits]), hanging="  ")
    for note in notes_on_edits(study):
        say(f"Note: {note}.", hanging="  ")
    show()
