"""The live page of one server: what each request does. Routes and errors are in `app.py`, models in `live`.

Long work waits in three queues, each with a process of its own: searches, what follows a look, and all else that takes
seconds or writes files.
"""

from __future__ import annotations

import asyncio
import gc
from collections.abc import Callable, Hashable
from contextlib import nullcontext
from functools import partial
from pathlib import Path
from typing import Any

from tradestudy.commands.logbook.card import RequestedDay
from tradestudy.commands.logbook.noted_flight import noted_flight
from tradestudy.errors import CommandError
from tradestudy.quantities import METRIC, printed_in
from tradestudy.report.build_sheet.sheet import PAPERS
from tradestudy.results.look.look import WingLook
from tradestudy.results.look.sliders import Controls
from tradestudy.study.edits.what_stays import notes_on_edits
from tradestudy.study.logbook.flights import STOCK
from tradestudy.study.logbook.wings_file import built_wings
from tradestudy.study.reader import read_study
from tradestudy.study.schema.study import Study

from . import flown, pages, saving, start_form
from .after_release import after_answer, bands_answer
from .fields import Fields
from .jobs import tasks
from .jobs.expected_times import SEARCHES, expected_seconds
from .jobs.job_process import Job
from .jobs.job_queue import JobQueue, QueuedJob
from .live.one_thread import OneThread
from .live.open_studies import OpenStudies, UnknownStudy
from .safety.guard import LARGEST_LOG_BODY
from .safety.keys import Keys
from .shown import found_answer

_MOST_PINNED = 4  # wings that are compared side by side
_LONGEST_NOTE = 2000  # characters of a note
# times of other work by experience, the first time that its process does it
_SECONDS = {
    "warm": 5.0,
    "after": 2.0,
    "bands": 10.0,
    "sheet": 15.0,
    "card": 40.0,
    "note": 8.0,
    "season": 6.0,
    "log": 4.0,
}


class LivePage:
    """What one server knows: open studies, the thread that computes with them, and three queues of jobs.

    ``folder`` holds the studies that may be opened. ``study`` is the one of the command line, if there is one.
    """

    def __init__(self, keys: Keys, folder: Path, study: Study | None = None):
        self.keys, self._given = keys, study
        self.folder = folder if study is None else study.path.parent
        self._live, self._opening = OneThread(), OneThread()
        self._searches, self._afters, self._desk = JobQueue(), JobQueue(), JobQueue()
        self._studies = OpenStudies(self.folder)
        self._study_of: dict[str, str] = {}  # job whose result the live study takes -> id of the study
        self.routes = {
            "/look": self._look,
            "/after": self._after,
            "/bands": self._bands,
            "/expected": self._expected,
            "/edit": self._edit,
            "/search": self._search,
            "/search/progress": self._progress,
            "/search/stop": self._stop,
            "/save/study": self._save_study,
            "/save/wing": self._save_wing,
            "/save/sheet": self._save_sheet,
            "/save/report": self._save_report,
            "/wings": self._wings,
            "/note": self._note,
            "/season": self._season,
            "/log": self._log,
            "/card": self._card,
            "/studies": self._list_studies,
            "/demo": self._demo,
            "/questions": self._questions,
            "/answer": self._answer,
            "/new": self._new,
        }

    def prepare(self) -> None:
        """Open the study of the command line while the browser starts. Its errors are told with the page."""
        if self._given is not None:
            self._opening.call(None, lambda: self._studies.live(self._read_given()))

    def close(self) -> None:
        """End the processes, and drop what waits."""
        for each in (self._live, self._opening, self._searches, self._afters, self._desk):
            each.close()

    # --- pages ---------------------------------------------------------------------------------------------------

    async def html(self, file: str | None) -> str:
        """Return the page of a study of the folder, of that of the command line, or the start without a file."""
        if file == "" or (file is None and self._given is None):
            return pages.start_page(pages.PageState(self.keys.page_token, "", METRIC, None, None, {}))
        read = self._read_given if file is None else partial(self._studies.read, file)
        name = await self._opened(read)
        study = self._studies.study(name)
        self._afters.add("warm", Job(tasks.warm_job, (study,)), _SECONDS["warm"])
        controls, look, count = await self._computed(None, self._first, name)
        seconds = {kind: expected_seconds(kind, count) for kind in (*SEARCHES, "report")}
        shown_file = file or study.path.name
        state = pages.PageState(self.keys.page_token, shown_file, study.study.units, controls, look, seconds)
        with printed_in(study.study.units):
            return pages.study_page(state)

    def _read_given(self) -> str:
        """Read the study of the command line again, since its file may have changed, and return its id."""
        assert self._given is not None
        return self._studies.add(read_study(self._given.path))

    def _first(self, name: str) -> tuple[Controls, WingLook, int]:
        live = self._studies.live(name)
        return live.controls, live.first_look(), live.choice_count

    async def _opened(self, read: Callable[[], str]) -> str:
        """Return the id of a study whose work is made. Another tab is not disturbed meanwhile."""

        def both() -> str:
            name = read()
            self._studies.live(name)
            gc.collect()
            gc.freeze()  # what stays open is not searched for garbage at each look
            return name

        return await asyncio.wrap_future(self._opening.call(None, both))

    async def _computed(self, slot: Any, function: Callable[..., Any], *arguments: Any) -> Any:
        """Return what a function gives in the thread of live studies."""
        return await asyncio.wrap_future(self._live.call(slot, function, *arguments))

    # --- one wing ------------------------------------------------------------------------------------------------

    async def _look(self, fields: Fields) -> dict[str, Any]:
        name, wing, best = _look_request(fields)
        number, pinned = fields.whole("sequence"), fields.mappings("pinned", _MOST_PINNED)

        def made() -> dict[str, Any]:
            return self._studies.live(name).look_shown(wing, best, pinned)

        slot = fields.text("tab", ""), "look"
        return {**await self._computed(slot, made), "study": name, "sequence": number}

    async def _after(self, fields: Fields) -> dict[str, Any]:
        name, wing, best = _look_request(fields)
        slot, number = (fields.text("tab", ""), "after"), fields.whole("sequence")
        live = await self._computed(slot, self._studies.live, name)
        job = Job(tasks.after_job, (self._studies.study(name), wing, best, live.work.draws))
        after = await self._afters.result(self._afters.add("after", job, _SECONDS["after"], slot=slot))
        with live.printed():
            return {**after_answer(live.controls, after), "study": name, "sequence": number}

    async def _bands(self, fields: Fields) -> dict[str, Any]:
        name, wing, best = _look_request(fields)
        job = Job(tasks.bands_job, (self._studies.study(name), wing, best))
        started = self._started(self._desk, "bands", job, slot=(fields.text("tab", ""), "bands"))
        self._study_of[started["search"]] = name
        return started

    async def _expected(self, fields: Fields) -> dict[str, Any]:
        """Work out the values to expect, unless the record holds them, as searches that went before left them."""
        name = fields.text("study")
        live = await self._computed(None, self._studies.live, name)
        if live.work.draws_are_own:
            return {"known": True}
        return await self._searched("expected", name, tasks.expected_job)

    async def _edit(self, fields: Fields) -> dict[str, Any]:
        name, changes = fields.text("study"), fields.texts("set")

        def made() -> tuple[str, dict[str, Any]]:
            new = self._studies.edited(name, changes)
            return new, self._studies.live(new).controls_shown()

        new, controls = await self._computed(None, made)
        study = self._studies.study(new)
        return {
            "study": new,
            "changes": [edit._asdict() for edit in study.edits],
            "notes": notes_on_edits(study),
            "controls": controls,
        }

    # --- jobs ----------------------------------------------------------------------------------------------------

    async def _search(self, fields: Fields) -> dict[str, Any]:
        kind, name = fields.text("kind"), fields.text("study")
        if kind not in SEARCHES:
            raise CommandError(f"Searches are {', '.join(SEARCHES)}.")
        return await self._searched(kind, name, tasks.search_job, kind)

    async def _searched(self, kind: str, name: str, function: Callable[..., Any], *arguments: Any) -> dict[str, Any]:
        """Put a search into its queue, with the time that it is expected to take."""
        study = self._studies.study(name)
        count = await self._computed(None, lambda: self._studies.live(name).choice_count)
        job = Job(function, (study, *arguments))
        started = self._started(self._searches, kind, job, expected_seconds(kind, count))
        self._study_of[started["search"]] = name
        return started

    def _started(
        self,
        queue: JobQueue,
        kind: str,
        job: Job,
        expected: float | None = None,
        may_stop: bool = True,
        slot: Hashable = None,
    ) -> dict[str, Any]:
        expected = _SECONDS[kind] if expected is None else expected
        queued = queue.add(kind, job, expected, may_stop, slot)
        return {"search": queued.name, "expected_seconds": round(queued.expected, 1)}

    async def _progress(self, fields: Fields) -> dict[str, Any]:
        queue, job = self._queued(fields)
        document = {
            "state": job.state,
            "kind": job.kind,
            "share": round(job.share, 3),
            "seconds": round(job.seconds, 1),
            "expected_seconds": round(job.expected, 1),
            "words": job.words,
            "warnings": job.warnings,
            "ahead": queue.ahead(job),
            "result": job.result,
        }
        if job.failure is not None:
            document |= {"error": job.failure.sentence, "faults": job.failure.faults}
        if job.result is not None and job.name in self._study_of:
            document["result"] = await self._computed(None, self._taken, job)
        return document

    def _taken(self, job: QueuedJob) -> dict[str, Any]:
        """Let the live study take the result of a job, and return what the page shows of it."""
        name = self._study_of[job.name]
        try:
            live = self._studies.live(name)
        except UnknownStudy:  # forgotten since: a report or the wings are there all the same
            live = None
        if job.kind == "bands":
            bands, relative = job.result
            if live is None:
                return {}
            live.take_bands(relative)
            with live.printed():
                return bands_answer(live.controls, bands)
        if live is not None:
            live.read_again()
        if job.kind not in SEARCHES:
            return job.result
        with live.printed() if live else nullcontext():
            return found_answer(job.result)

    async def _stop(self, fields: Fields) -> dict[str, Any]:
        queue, job = self._queued(fields)
        queue.stop(job)
        return {"state": job.state}

    def _queued(self, fields: Fields) -> tuple[JobQueue, QueuedJob]:
        name = fields.text("search")
        for queue in (self._searches, self._afters, self._desk):
            if job := queue.find(name):
                return queue, job
        raise CommandError("There is no such search any more.")

    # --- files ---------------------------------------------------------------------------------------------------

    async def _save_study(self, fields: Fields) -> dict[str, Any]:
        study = self._studies.study(fields.text("study"))
        given = fields.text("name"), fields.flag("agreed"), fields.maybe_text("over")
        return await self._computed(None, saving.save_study, study, *given)

    async def _save_wing(self, fields: Fields) -> dict[str, Any]:
        name, wing, called = fields.text("study"), fields.mapping("wing"), fields.text("name")

        def saved() -> dict[str, str]:
            return saving.save_wing(self._studies.study(name), self._studies.live(name).look(wing, False), called)

        return await self._computed(None, saved)

    async def _save_sheet(self, fields: Fields) -> dict[str, Any]:
        study, paper = self._studies.study(fields.text("study")), fields.text("paper", PAPERS[0])
        if paper not in PAPERS:
            raise CommandError(f"Papers are {', '.join(PAPERS)}.")
        job = Job(tasks.sheet_job, (study, fields.mapping("wing"), paper, fields.flag("anyway")))
        return self._started(self._desk, "sheet", job)

    async def _save_report(self, fields: Fields) -> dict[str, Any]:
        return await self._searched("report", fields.text("study"), tasks.report_job, fields.flag("anyway"))

    # --- logbook and card ----------------------------------------------------------------------------------------

    async def _wings(self, fields: Fields) -> dict[str, Any]:
        study = self._studies.study(fields.text("study"))
        return {"wings": [STOCK, *built_wings(study.path)]}

    async def _note(self, fields: Fields) -> dict[str, Any]:
        study, wing = self._studies.study(fields.text("study")), fields.text("wing", STOCK)
        words, options = fields.text("text", "", _LONGEST_NOTE), fields.texts("options")
        if wing != STOCK and wing not in built_wings(study.path):
            raise CommandError(f"There is no built wing {wing}. Save this wing under that name first.")
        if "log" in options:
            options = {**options, "log": str(flown.dropped_log(study, options["log"]))}
        noted_flight(wing, words, options)  # faults are told at once
        job = Job(tasks.note_job, (study.path, wing, words, options))
        return self._started(self._desk, "note", job, may_stop=False)

    async def _season(self, fields: Fields) -> dict[str, Any]:
        study = self._studies.study(fields.text("study"))
        return self._started(self._desk, "season", Job(tasks.season_job, (study.path,)))

    async def _log(self, fields: Fields) -> dict[str, Any]:
        study, text = self._studies.study(fields.text("study")), fields.text("text", None, LARGEST_LOG_BODY)
        columns = fields.maybe_mapping("columns")
        if columns is None:
            return await self._computed(None, flown.log_headings, text)
        files = await self._computed(None, flown.kept_log, study, fields.text("name"), text, columns)
        return self._started(self._desk, "log", Job(tasks.log_job, files))

    async def _card(self, fields: Fields) -> dict[str, Any]:
        study = self._studies.study(fields.text("study"))
        wind, temperature, wing = (fields.maybe_text(name) for name in ("wind", "temperature", "wing"))
        day = RequestedDay(wind, temperature, fields.text("pack", ""), wing, fields.flag("anyway"))
        return self._started(self._desk, "card", Job(tasks.card_job, (study, day)))

    # --- start without a file ------------------------------------------------------------------------------------

    async def _list_studies(self, fields: Fields) -> dict[str, Any]:
        return {"studies": start_form.studies_of(self.folder), "demos": start_form.demos()}

    async def _demo(self, fields: Fields) -> dict[str, Any]:
        return {"file": start_form.copied_demo(fields.text("name"), self.folder)}

    async def _questions(self, fields: Fields) -> dict[str, Any]:
        return start_form.questions(fields.text("units", METRIC))

    async def _answer(self, fields: Fields) -> dict[str, Any]:
        answer = start_form.checked_answer(fields.text("question"), fields.text("text", "", 1000), self.folder)
        return {"text": answer.text, "ticked": list(answer.ticked)}

    async def _new(self, fields: Fields) -> dict[str, Any]:
        given = fields.text("name"), fields.texts("answers"), fields.text("units", METRIC)
        return {"file": start_form.written_study(*given, self.folder)}


def _look_request(fields: Fields) -> tuple[str, dict[str, Any], bool]:
    """Return the study, the wing that is asked for, and whether it flies at its best speed."""
    return fields.text("study"), fields.mapping("wing"), fields.flag("best_speed")
