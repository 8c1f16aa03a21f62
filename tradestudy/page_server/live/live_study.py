"""One open study with its work: looks at wings, what may be moved, and what other processes found of it since."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import replace
from typing import Any

from tradestudy.commands.look.bands import RelativeBand
from tradestudy.commands.look.controls import controls
from tradestudy.commands.look.looks import look, look_of, stock_look
from tradestudy.commands.look.work import Work
from tradestudy.page_server.shown import controls_shown, look_answer
from tradestudy.quantities import printed_in
from tradestudy.results.look.look import WingLook
from tradestudy.results.look.sliders import Controls
from tradestudy.search.search_space import all_choices

_MOST_KEPT = 16  # looks at pinned wings, of several tabs


class LiveStudy:
    """A study with its work. ``name`` is its id on the page. It is used in one thread."""

    def __init__(self, name: str, work: Work):
        self.name, self.work = name, work
        self.controls = self._made_controls()
        self._pinned: dict[str, WingLook] = {}  # looks at pinned wings, by the wing as it was sent

    def _made_controls(self) -> Controls:
        return replace(controls(self.work), study_id=self.name)

    @property
    def choice_count(self) -> int:
        """The number of choices (sets of parts) that a search tries."""
        return len(all_choices(self.work.study))

    def first_look(self) -> WingLook:
        """Return the look at the wing that `run` recommends, if an earlier command kept it, or at the stock wing."""
        kept = self.work.recommended
        return stock_look(self.work) if kept is None else look_of(self.work, kept.choice, kept.variables)

    def look(self, wing: Mapping[str, Any], best_speed: bool) -> WingLook:
        """Return the look at a wing as the page names it. Raise CommandError if there is no such wing."""
        return look(self.work, wing, best_speed)

    def look_shown(
        self, wing: Mapping[str, Any], best_speed: bool, pinned: Sequence[Mapping[str, Any]]
    ) -> dict[str, Any]:
        """Return what the page shows of a wing, against those that are pinned."""
        seen, others = self.look(wing, best_speed), list(map(self._pinned_look, pinned))
        with self.printed():
            return look_answer(self.controls, seen, others)

    def printed(self) -> AbstractContextManager[None]:
        """Return a context in which texts are in the units of the study."""
        return printed_in(self.work.study.study.units)

    def _pinned_look(self, wing: Mapping[str, Any]) -> WingLook:
        """Return the look at a pinned wing, which is asked for with every move of a slider."""
        key = json.dumps(wing, sort_keys=True)
        if key not in self._pinned:
            if len(self._pinned) >= _MOST_KEPT:
                self._pinned.clear()
            self._pinned[key] = self.look(wing, False)
        return self._pinned[key]

    def controls_shown(self) -> dict[str, Any]:
        """Return what may be moved, as the page shows it."""
        with self.printed():
            return controls_shown(self.controls)

    def take_bands(self, bands: dict[str, RelativeBand]) -> None:
        """Take the bands that another process worked out. Later looks show them in proportion."""
        self.work.bands = bands
        self._pinned.clear()

    def read_again(self) -> None:
        """Take what a search has put into the record since: looks then show the values to expect, as `assess` does."""
        known = self.work.draws
        self.work.read_draws()
        if self.work.draws != known:
            self.controls = self._made_controls()
            self._pinned.clear()
