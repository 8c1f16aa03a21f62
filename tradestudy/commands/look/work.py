"""`Work`: one study opened for looks at its wings, and the same study with some keys edited."""

from __future__ import annotations

import os
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from tradestudy.aircraft.anchor.calibration import Anchor, anchor_of
from tradestudy.aircraft.anchor.full_throttle_defaults import with_full_throttle_defaults
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import Limit
from tradestudy.aircraft.shape.stock_fit import refuse_what_does_not_fit
from tradestudy.commands.kept_results import RECOMMENDED, RECORD, inputs_text, results_folder
from tradestudy.physics.weights.pack_layouts import layout_from_text
from tradestudy.quantities import short_with_unit
from tradestudy.results.inputs import SpreadResult
from tradestudy.results.json_form import part_from_json
from tradestudy.results.look.look import PartOption
from tradestudy.search.engines.progress import no_progress
from tradestudy.search.engines.record import Record, inputs_hash
from tradestudy.search.search_space import SearchSpace, choice_fault, open_space
from tradestudy.search.search_task import SearchResult, from_json
from tradestudy.study.edits.edit_study import edited_study
from tradestudy.study.schema.study import Study

from ..assess import effects_key
from .bands import RelativeBand

_KEPT_WORKS = 6  # edited studies that stay open; each holds some megabytes
_ID_LETTERS = 16  # letters of a hash that name a study


class Work:
    """One study, calibrated, with the data of every set of parts that was looked at.

    It has no lock of its own: use it in one thread at a time. Attributes:

    - ``study_id`` names the text of the study with all that it depends on.
    - ``recommended`` is the wing that ``run`` recommends, if an earlier command kept it and it meets every limit.
    - ``draws`` are those of that wing, if they were kept. With them looks show the values to expect. ``draws_are_own``
      tells whether they belong to this text of the study, or to the one that was edited.
    - ``bands`` are the last bands that were worked out, over the numbers at the medians of all inputs.
    """

    def __init__(self, study: Study):
        self.study = with_full_throttle_defaults(study)
        refuse_what_does_not_fit(self.study)
        self._inputs = inputs_text(study)
        self.study_id = inputs_hash(self._inputs)[:_ID_LETTERS]
        self.anchor: Anchor = anchor_of(self.study)
        self.space: SearchSpace = open_space(self.study, self.anchor)
        self.stock_choice: Choice = self.space.laid(self.anchor.choice)
        self.bands: dict[str, RelativeBand] = {}
        self.recommended: SearchResult | None = None
        self.draws: SpreadResult | None = None
        self.draws_are_own = False
        self.read_draws()
        self._limits: dict[Choice, list[Limit]] = {}
        self._layouts: dict[Choice, list[PartOption]] = {}
        self._as_read, self._family = study, OrderedDict({self.study_id: self})

    def edited(self, edits: Mapping[str, Any]) -> Work:
        """Return the work on this study with some keys set in its text. It is remembered by that text.

        Keys and values are those of `study.edits.edit_study.edited_study`. Raises EditRefused with all errors.
        """
        study = edited_study(self._as_read, edits)
        name = inputs_hash(inputs_text(study))[:_ID_LETTERS]
        made = self._family.get(name)
        if made is None:
            made = Work(study)
            made.bands, made._family = dict(self.bands), self._family
            made.draws = made.draws or self.draws
            self._family[name] = made
            while len(self._family) > _KEPT_WORKS:
                self._family.popitem(last=False)
        else:
            self._family.move_to_end(name)
        return made

    def limits(self, choice: Choice) -> list[Limit]:
        """Return the limits of one set of parts, computed once."""
        if choice not in self._limits:
            self._limits[choice] = self.space.limits(choice)
        return self._limits[choice]

    def layouts(self, choice: Choice) -> list[PartOption]:
        """Return the ways to lay the pack of a set of parts: the bay as it is today, and those that a search tries.

        The list is empty where no bay is cut to its pack.
        """
        held = replace(choice, layout="", raised_lid=0.0)
        if held not in self._layouts:
            tried = [(text, lid) for text, lid in self.space.ways(held).tried if text]
            ways = [PartOption(text, _layout_words(text, lid)) for text, lid in tried]
            if ways and not choice_fault(self.space, held):
                ways.insert(0, PartOption(None, "in the bay as it is today"))
            self._layouts[held] = ways
        return self._layouts[held]

    def read_draws(self) -> bool:
        """Read the recommended wing and its draws, if an earlier command kept them, and return whether it has draws."""
        file = results_folder(self.study) / RECORD
        if os.path.isfile(file):
            record = Record(file, self._inputs, no_progress)
            known: Any = record.known(RECOMMENDED)
            wing = None if known is None else from_json(known)
            drawn: Any = None if wing is None else record.known(effects_key(wing.choice, wing.variables))
            record.close()
            self.recommended = wing if wing is not None and wing.feasible else None
            if drawn is not None:
                self.draws, self.draws_are_own = part_from_json(SpreadResult, drawn[2]), True
        return self.draws_are_own


def _layout_words(text: str, lid: float) -> str:
    """Return a way to lay a pack in words, with the height of its lid above the skin [m] if it is raised."""
    words = layout_from_text(text).words
    return f"{words}, lid raised {short_with_unit(lid, 'mm')}" if lid else words
