"""A study opened for work: its calibrated model, search space, workers, record, and earlier results."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any, TypedDict

import numpy as np

from tradestudy.aircraft.anchor.calibration import Anchor, anchor_of
from tradestudy.aircraft.anchor.full_throttle_defaults import with_full_throttle_defaults
from tradestudy.aircraft.assessment.full_design import assess_design
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import limits_of
from tradestudy.aircraft.model.pack_fit import pack_fault
from tradestudy.aircraft.model.speed_sweep import SpeedSweep, best_speed
from tradestudy.aircraft.shape.stock_fit import refuse_what_does_not_fit
from tradestudy.errors import CommandError, Fault, StudyFileError
from tradestudy.files import as_typed
from tradestudy.quantities import in_unit
from tradestudy.quantities.variables import VARIABLES
from tradestudy.results.design import Design
from tradestudy.results.result import Result
from tradestudy.search import optimum
from tradestudy.search.branch_and_bound import Ranking
from tradestudy.search.engines.cluster import open_engine
from tradestudy.search.engines.local_processes import started
from tradestudy.search.engines.processes import LostTask, completed_tasks
from tradestudy.search.engines.progress import Progress, no_progress, warning_callback
from tradestudy.search.engines.record import Record, inputs_hash
from tradestudy.search.search_space import SearchSpace, all_choices, search_space
from tradestudy.search.search_task import SearchResult, VariableValues
from tradestudy.study.line_numbers import line_of, locate
from tradestudy.study.reader import read_study
from tradestudy.study.schema.study import Study

from .kept_results import RECOMMENDED, inputs_text
from .provenance import stock_result
from .requested_wing import RequestedWing, refuse_tip_chord

_LEAST_GAINED = 0.1  # km; a wing that gains less has no price for each kilometre
ALTERNATIVES = 3  # number of alternatives shown with the best design


class StudySession:
    """A study prepared for work, with the results computed so far. `close` ends its workers.

    ``report_progress`` is called with a sentence on the current work, and its attribute ``warn``, if any, with
    warnings. ``record`` is the file of earlier results. ``workers`` is the number of parallel processes. If it is None,
    many ``tasks`` use as many processes as cores. By default, each choice of the study counts as a task. A session
    ``for_one_wing`` counts none if its record holds the recommended wing. ``cluster`` is the address of a Dask
    scheduler, whose workers are then used.
    """

    def __init__(
        self,
        study: Study,
        command: str,
        report_progress: Progress = no_progress,
        record: Path | None = None,
        workers: int | None = 1,
        cluster: str | None = None,
        tasks: int | None = None,
        for_one_wing: bool = False,
    ):
        self.study, self.command, self.report_progress = with_full_throttle_defaults(study), command, report_progress
        refuse_what_does_not_fit(self.study)
        self.inputs = inputs_text(study)
        self.record = Record(record, self.inputs, warning_callback(report_progress))
        if tasks is None:
            is_kept = for_one_wing and self.record.known(RECOMMENDED) is not None
            tasks = 1 if is_kept else len(all_choices(self.study))
        self.engine = open_engine(tasks, workers, cluster, _loaded_commands())
        try:
            report_progress("calibrating the model against the stock wing")
            self.anchor: Anchor = anchor_of(self.study)
            self.space: SearchSpace = search_space(self.study, self.anchor)
            self.engine.send_shared_data(self.space.for_workers())
        except BaseException:
            self.close()
            raise
        self.space.record, self.space.engine = self.record, self.engine
        self.ranking = Ranking(self.space, report_progress)
        self._stock_range: float | None = None  # [km]

    def close(self) -> None:
        """End the workers and close the record."""
        self.engine.close()
        self.record.close()

    def stock_result(self) -> Result:
        """Return a Result that holds the stock wing and the sources of all data."""
        made = stock_result(self.study, self.anchor, self.command, self.space.excluded, inputs_hash(self.inputs))
        self._stock_range = made.stock.numbers.range_km
        return made

    def design(self, result: SearchResult, label: str) -> Design:
        """Return the complete design of a search result."""
        return self._with_price_of_gain(full_design(self.space, (result, label)))

    def designs(self, labelled: Iterable[tuple[SearchResult, str]]) -> list[Design]:
        """Return the complete designs of search results with their labels, computed by the workers."""
        items, designs = list(labelled), {}
        for index, made in completed_tasks(self.engine, full_design, items, lambda item: item[0].choice.words):
            designs[index] = full_design(self.space, items[index]) if isinstance(made, LostTask) else made
        return [self._with_price_of_gain(designs[index]) for index in range(len(items))]

    def started(self, function: Callable[..., Any], *arguments: Any) -> Callable[[], Any]:
        """Start a call on an idle worker process, and return a function that waits for its result (`started`)."""
        return started(self.engine, function, *arguments)

    def _with_price_of_gain(self, design: Design) -> Design:
        """Return a design with the price of each kilometre that it gains on the stock wing, if it has a price."""
        price, reach = design.numbers.build_price, design.numbers.range_km
        if price is None or reach is None:
            return design
        if self._stock_range is None:
            self.stock_result()
        gained = reach - (self._stock_range or 0.0)
        each = round(price / gained, 4) if gained > _LEAST_GAINED else None
        return replace(design, numbers=replace(design.numbers, price_per_km_gained=each))

    def ranked(self) -> list[SearchResult]:
        """Return the result of every choice, best first."""
        self._refuse_without_choices()
        return self.ranking.complete()

    def best_results(self) -> list[SearchResult]:
        """Return results, best first, without choices that a bound proves worse than those shown."""
        self._refuse_without_choices()
        return self.ranking.best(1 + ALTERNATIVES)

    def _refuse_without_choices(self) -> None:
        if not self.space.choices:
            reasons = "; ".join(self.space.excluded)
            places = locate(self.study.text)
            table = next((name for name in ("choices", "pack") if (name,) in places), "power")
            message = f"[{table}]: none of the choices can be built: {reasons}."
            fault = Fault(line_of(places, (table,)), table, message)
            raise StudyFileError(str(self.study.path), [fault])

    # --- one requested wing --------------------------------------------------------------------------------

    def requested_design(self, wing: RequestedWing, otherwise: SearchResult | None = None) -> Design:
        """Return one stretched wing in full: as requested, and for the rest as the search result ``otherwise``.

        If that is None, the rest is as on the stock wing. A wing without a requested cruise speed flies at its best
        one; where nothing is requested, that is the one of the search. Raises CommandError if its pack has no room.
        """
        if otherwise and wing == RequestedWing():
            return self.design(otherwise, "stretched")
        choice = self.requested_choice(wing, otherwise.choice if otherwise else None)
        self._refuse_pack(wing, choice)
        variables = self.requested_variables(wing, otherwise.variables if otherwise else None)
        data = self.space.data(choice)
        if wing.cruise_speed is None:
            variables["cruise_speed"] = best_speed(SpeedSweep(data, choice, variables), self.study.fly.purpose)
        return self.wing_design(choice, variables)

    def _refuse_pack(self, wing: RequestedWing, choice: Choice) -> None:
        """Raise CommandError if the pack of a requested wing fits no bay, before numbers of such a wing are told."""
        if wing.parallel is None or not (fault := pack_fault(self.study, choice)):
            return
        why = self.space.ways(choice).fault or fault
        raise CommandError(f"A wing with {wing.words} cannot be built: {why}.")

    def wing_design(self, choice: Choice, variables: VariableValues) -> Design:
        """Return the complete design of one stretched wing. Variables are SI."""
        data = self.space.data(choice)
        limits = limits_of(self.study, self.anchor.reference, choice, data.strip_count)
        made = assess_design(self.study, data, choice, variables, "stretched", limits=limits)
        return self._with_price_of_gain(made)

    def requested_choice(self, wing: RequestedWing, otherwise: Choice | None = None) -> Choice:
        """Return the choice of a requested wing.

        Other parts are those of ``otherwise``, or of the stock wing if it is None. Where new cores get a bay of their
        own, it is cut to the pack.
        """
        parts = {name: getattr(wing, name) for name in ("parallel", "rod_diameter", "rod_pairs", "propeller")}
        given = {name: value for name, value in parts.items() if value is not None}
        base = otherwise or self.anchor.choice
        if given.get("parallel", base.parallel) != base.parallel:  # a named pack has cells in a number of its own
            base = replace(base, pack="", series=self.anchor.choice.series)
        made = replace(base, **given)
        return made if otherwise and made.pack_key == otherwise.pack_key else self.space.laid(made)

    def requested_variables(self, wing: RequestedWing, otherwise: VariableValues | None = None) -> VariableValues:
        """Return the variables of a requested wing, SI. Others are those of ``otherwise``, or of the stock wing."""
        bounds, stock = self.space.bounds, self.anchor.variables
        variables = otherwise or {name: float(np.clip(stock[name], *bounds[name])) for name in VARIABLES}
        given = {
            name: value
            for name in ("sweep", "washout", "tip_chord", "static_margin", "cruise_speed")
            if (value := getattr(wing, name)) is not None
        }
        if wing.span is not None:
            stock_span = self.anchor.data.layout.stock.span
            if wing.span < stock_span - 1e-9:
                raise CommandError(
                    f"--span {in_unit(wing.span, 'mm'):.6g} mm is below the stock span of "
                    f"{in_unit(stock_span, 'mm'):.6g} mm; a wing is only stretched."
                )
            given["extension"] = max(0.0, 0.5 * (wing.span - stock_span))
        if wing.tip_chord is not None:
            refuse_tip_chord(self.study, wing.tip_chord, "--tip-chord")
        return variables | given


def _loaded_commands() -> tuple[str, ...]:
    """Return the modules that this process has loaded to compute, for its workers to load while it calibrates."""
    rooms = ("tradestudy.commands", "tradestudy.uncertainty", "tradestudy.search", "tradestudy.aircraft")
    return tuple(name for name in sorted(sys.modules) if name.startswith(rooms))


def full_design(space: SearchSpace, item: tuple[SearchResult, str]) -> Design:
    """Return the complete design of a search result and its label. This is a task for an engine."""
    result, label = item
    return assess_design(
        space.study,
        space.data(result.choice),
        result.choice,
        result.variables,
        label,
        limits=space.limits(result.choice),
        active=optimum.active_limits(space, result),
    )


# --- sessions from a study, its path or an open session -----------------------------------------------------

StudySource = StudySession | Study | str | os.PathLike[str]


class SearchOptions(TypedDict, total=False):
    """Options of a command that is called with a study or its path.

    ``tell`` is a callback for progress, such as ``print``. ``workers`` is the number of parallel processes. A script
    that sets it needs ``if __name__ == "__main__":`` around its calls. ``cluster`` is the address of a Dask scheduler.
    ``record`` is a file in which results are stored for later use.
    """

    tell: Progress | None
    workers: int
    cluster: str | None
    record: str | os.PathLike[str] | None


@contextmanager
def opened(
    study: StudySource,
    command: str,
    tell: Progress | None = None,
    workers: int = 1,
    cluster: str | None = None,
    record: str | os.PathLike[str] | None = None,
) -> Iterator[StudySession]:
    """Open a study for one command, and close it afterwards. A session that is already open is used and stays open."""
    if isinstance(study, StudySession):
        yield study
        return
    read = study if isinstance(study, Study) else read_study(study)
    session = StudySession(
        read,
        f"tradestudy {command} {as_typed(read.path.name)}",
        tell or no_progress,
        record=Path(record) if record else None,
        workers=None if cluster else workers,
        cluster=cluster,
    )
    try:
        yield session
    finally:
        session.close()
