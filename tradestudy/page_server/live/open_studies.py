"""The studies that are open on the page, each under an id that is the hash of all its inputs.

A changed study has another id, also if only a file has changed that it names. So tabs never disturb each other, and an
answer always belongs to the inputs that its id names.
"""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tradestudy.commands.kept_results import inputs_text
from tradestudy.commands.look.work import Work
from tradestudy.errors import CommandError, StudyFileError
from tradestudy.study.reader import read_study
from tradestudy.study.schema.study import Study

from ..safety.named_files import checked_edit, inside, refuse_files_elsewhere, without_quotes
from .live_study import LiveStudy

_MOST_STUDIES = 200  # texts that are remembered; a text is some 10 kB
_MOST_LIVE = 6  # studies whose work is in memory; those used longest ago are made anew when they are wanted
_DIGITS = 16  # of an id


class UnknownStudy(CommandError):
    """Error: a request names a study that is not open, since the server was started again or has forgotten it."""


def study_id(study: Study) -> str:
    """Return the id of a study: a hash of its path, of its text and of the files that it names."""
    return hashlib.sha256(f"{study.path.absolute()}\n{inputs_text(study)}".encode()).hexdigest()[:_DIGITS]


class OpenStudies:
    """Open studies and their models. ``folder`` holds the files that a request may open.

    A live study is used by one thread at a time.
    """

    def __init__(self, folder: Path):
        self.folder = folder
        self._studies: OrderedDict[str, Study] = OrderedDict()
        self._live: OrderedDict[str, LiveStudy] = OrderedDict()
        self._lock = threading.Lock()

    def add(self, study: Study) -> str:
        """Keep a study and return its id."""
        name = study_id(study)
        with self._lock:
            _kept(self._studies, name, study, _MOST_STUDIES)
        return name

    def read(self, file: str) -> str:
        """Read a study of the folder and return its id. Raise CommandError or StudyFileError as `read_study`."""
        try:
            study = read_study(inside(self.folder, file, (".toml",)))
        except StudyFileError as error:
            raise without_quotes(error) from None
        refuse_files_elsewhere(study)
        return self.add(study)

    def study(self, name: str) -> Study:
        """Return an open study. Raise UnknownStudy if there is none of that id."""
        with self._lock:
            study = self._studies.get(name)
            if study is None:
                raise UnknownStudy("This study is no longer open; load the page again.")
            self._studies.move_to_end(name)
        return study

    def edited(self, name: str, changes: Mapping[str, Any]) -> str:
        """Return the id of a study with some keys set. Its file stays as it is."""
        edited = self.add(checked_edit(self.study(name), changes))
        if not self._known(edited):
            self._keep(LiveStudy(edited, self.live(name).work.edited(changes)))
        return edited

    def live(self, name: str) -> LiveStudy:
        """Return an open study with its work. That is made where it is wanted first, which takes seconds."""
        study = self.study(name)
        return self._known(name) or self._keep(LiveStudy(name, Work(study)))

    def _known(self, name: str) -> LiveStudy | None:
        with self._lock:
            found = self._live.get(name)
            if found is not None:
                self._live.move_to_end(name)
        return found

    def _keep(self, live: LiveStudy) -> LiveStudy:
        with self._lock:
            _kept(self._live, live.name, live, _MOST_LIVE)
        return live


def _kept(store: OrderedDict[str, Any], name: str, value: Any, most: int) -> None:
    """Put a value into a store as the one used last. Those used longest ago leave it if it holds too many."""
    store[name] = value
    store.move_to_end(name)
    while len(store) > most:
        store.popitem(last=False)
