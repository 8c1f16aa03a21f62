"""A grid of designs, one for every combination of a few values. It is computed in batches on a task engine."""

from __future__ import annotations

import hashlib
import itertools
import json
import math
import time
from collections.abc import Iterable
from dataclasses import asdict, replace
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.model.best_speeds import at_best_speed
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.designs import WING_SHAPE, many_designs, one_design
from tradestudy.aircraft.model.evaluation import evaluate
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE
from tradestudy.aircraft.model.pack_fit import pack_fault
from tradestudy.errors import CommandError
from tradestudy.quantities import at_edge, in_unit, with_unit
from tradestudy.quantities.design_inputs import QUANTITY_INPUTS, input_words_and_unit
from tradestudy.results.grid_result import GridAxis, GridPoint, GridResult, GridStock
from tradestudy.results.inputs import SetKey
from tradestudy.search.engines.processes import LostTask, completed_tasks
from tradestudy.search.engines.progress import warning_callback
from tradestudy.search.parallel import SearchChain, pace, run_chains, run_tasks
from tradestudy.search.search_space import SearchSpace
from tradestudy.search.search_task import SearchResult, SearchTask, VariableValues
from tradestudy.study.edits.what_stays import notes_on_edits

from .kept_results import versions
from .requested_wing import RequestedWing, refuse_tip_chord
from .study_session import StudySession

CHUNK = 48  # designs in a batch, computed in half a second: at most this much is lost if a run is killed
_MOST_POINTS = 200_000
_DIGITS = {"cruise_speed_kmh": 4, "auw_g": 3}  # decimal places; 5 for kilometres and minutes
_MARGIN_DIGITS = 6
_HOUR = 3600.0  # s
_PARTS = ("parallel", "rod_diameter", "rod_pairs", "propeller")
_LEFT_OUT = "left out, every worker that tried it ended"
_OTHERS_STOCK = (
    "what is on no axis is as on the stock wing or as asked for; cruise speed is the best for each design "
    "unless it is given; all at the medians of all inputs"
)
_OTHERS_BEST = (
    "what is on no axis is at its best for each design, with the parts of the best design unless they are given; "
    "all at the medians of all inputs"
)
_Row = dict[str, Any]  # fields of a GridPoint except its values on the axes, as stored in the record


class GridDesign(NamedTuple):
    """One design of a grid, in SI units."""

    choice: Choice
    variables: VariableValues


class Chunk(NamedTuple):
    """Designs with the same `Choice.model_key` that are computed in one batch."""

    designs: list[GridDesign]
    best_speed: bool

    @property
    def key(self) -> tuple:
        """The key of the chunk's rows in the record."""
        text = json.dumps([self.best_speed, [[asdict(choice), variables] for choice, variables in self.designs]])
        return "grid", hashlib.sha256(text.encode()).hexdigest()


def grid(
    session: StudySession,
    axes: dict[str, list[Any]],
    wing: RequestedWing,
    at_best: bool = False,
    longest: float = math.inf,
) -> GridResult:
    """Return every design of a grid. ``axes`` maps one to three names of `quantities.design_inputs` to SI values.

    Other variables are as requested by ``wing``, or else as on the stock wing; the default cruise speed is the best
    one. With ``at_best``, they are optimised at every point. Raises CommandError for an axis that this study cannot
    vary. It does so too if the grid would take more than ``longest`` seconds at the pace of its first designs.
    """
    refuse_axes(session, axes, math.prod(len(values) for values in axes.values()))
    parts = session.requested_choice(wing, session.ranked()[0].choice if at_best else None)
    start = GridDesign(parts, session.requested_variables(wing))
    combinations = list(itertools.product(*axes.values()))
    designs = [_moved(session, start, dict(zip(axes, values, strict=True))) for values in combinations]
    if at_best:
        rows = _searched_rows(session, axes, designs, wing, longest)
    else:
        rows = _computed_rows(session, designs, wing.cruise_speed is None and "cruise_speed" not in axes, longest)
    result = empty_grid(session, axes, at_best)
    places = itertools.product(*(axis.values for axis in result.axes))
    return replace(result, points=[GridPoint(list(place), **row) for place, row in zip(places, rows, strict=True)])


def empty_grid(session: StudySession, axes: dict[str, list[Any]], at_best: bool) -> GridResult:
    """Return the result of a grid without its points: its axes, the stock wing, and the origin of all."""
    edge_axes = [
        GridAxis(name, *input_words_and_unit(name), [_edge(name, value) for value in values], name in _PARTS)
        for name, values in axes.items()
    ]
    purpose = session.space.purpose
    return GridResult(
        study_name=session.study.study.name,
        study_text=session.study.text,
        command=session.command,
        versions=versions(),
        axes=edge_axes,
        gain=purpose.number,
        gain_words=purpose.quantity.label,
        gain_unit=purpose.quantity.unit,
        others=_OTHERS_BEST if at_best else _OTHERS_STOCK,
        points=[],
        stock=_stock(session, edge_axes),
        notes=[*notes_on_edits(session.study), *session.anchor.flags],
        set_keys=[SetKey(*edit) for edit in session.study.edits],
    )


def refuse_long(done: int, total: int, seconds: float, workers: int, longest: float, what: str) -> None:
    """Raise CommandError if the rest of a grid takes more than ``longest`` seconds at the pace so far.

    ``done`` of ``total`` tasks took ``seconds`` on some ``workers``; nothing is said before each had one. ``what`` are
    the tasks in words.
    """
    if done < min(workers, total):
        return
    left = seconds * (total - done) / done
    if left > longest:
        hours = left >= 2 * _HOUR
        time_left = f"{left / _HOUR:.0f} hours" if hours else with_unit(left, "min")
        raise CommandError(
            f"This grid takes about {time_left} more: {done} of {total} {what} took {seconds:.0f} s. Give --yes to go "
            "on; what is finished is kept. Or give fewer values."
        )


def refuse_axes(session: StudySession, axes: dict[str, list[Any]], count: int) -> None:
    """Raise CommandError for an axis that this study does not let vary, or for a grid of too many designs."""
    study = session.study
    if count > _MOST_POINTS:
        raise CommandError(f"This grid has {count} designs; {_MOST_POINTS} are the most. Wider steps would do.")
    stock = session.anchor.data.layout.stock.span
    if min(axes.get("span", [stock])) < stock - 1e-9:
        least, stock_span = in_unit(min(axes["span"]), "mm"), in_unit(stock, "mm")
        raise CommandError(f"span={least:g}: the stock span is {stock_span:.0f} mm, and a wing is only stretched.")
    for name in ("sweep", "washout"):
        if name in axes and getattr(study.stretch, name) is None:
            raise CommandError(
                f"{name} cannot be an axis: {study.path} does not let it vary. Give stretch.{name} a range there."
            )
    for chord in axes.get("tip_chord", ()):
        refuse_tip_chord(study, chord, f"tip_chord={in_unit(chord, 'mm'):g}")
    if not study.rods and axes.keys() & {"rod_diameter", "rod_pairs"}:
        raise CommandError(f"{study.path} has no rods to vary.")


def _edge(name: str, value: Any) -> Any:
    return value if isinstance(value, (str, int)) else round(QUANTITY_INPUTS[name].in_unit(value), 6)


def _moved(session: StudySession, start: GridDesign, values: dict[str, Any]) -> GridDesign:
    """Return the design with the given SI values, and otherwise the same as ``start``."""
    parts = {name: value for name, value in values.items() if name in _PARTS}
    choice = session.space.laid(replace(start.choice, **parts)) if parts else start.choice
    variables = {name: float(value) for name, value in values.items() if name not in (*_PARTS, "span")}
    if "span" in values:
        variables["extension"] = max(0.0, 0.5 * (values["span"] - session.anchor.data.layout.stock.span))
    return GridDesign(choice, start.variables | variables)


# --- designs computed as requested -------------------------------------------------------------------------


def _computed_rows(session: StudySession, designs: list[GridDesign], best_speed: bool, longest: float) -> list[_Row]:
    """Return one row for each design. Designs are computed in chunks that depend on the grid alone."""

    def make(index: int) -> tuple[str, ...]:
        return tuple(map(str, designs[index].choice.model_key))

    order = sorted(
        range(len(designs)),
        key=lambda index: (make(index), *(designs[index].variables[name] for name in WING_SHAPE), index),
    )
    groups = (list(group) for _, group in itertools.groupby(order, key=make))
    places = [group[at : at + CHUNK] for group in groups for at in range(0, len(group), CHUNK)]
    rows: dict[int, _Row] = {}
    pending = []
    for place in places:
        chunk = Chunk([designs[index] for index in place], best_speed)
        known = session.record.known(chunk.key)
        if known is None:
            pending.append((place, chunk))
        else:
            rows |= zip(place, known, strict=True)
    began, done, total = time.monotonic(), 0, sum(len(place) for place, _ in pending)
    for index, result in completed_tasks(session.engine, chunk_rows, [chunk for _, chunk in pending]):
        place, chunk = pending[index]
        if isinstance(result, LostTask):
            result = _rows_one_by_one(session, chunk)
        else:
            session.record.keep([(chunk.key, result)])
        rows |= zip(place, result, strict=True)
        done += len(place)
        seconds = time.monotonic() - began
        session.report_progress(f"designs of the grid: {pace(done, total, seconds)}")
        refuse_long(done, total, seconds, min(session.engine.workers * CHUNK, total), longest, "designs")
    return [rows[index] for index in range(len(designs))]


def _rows_one_by_one(session: StudySession, chunk: Chunk) -> list[_Row]:
    """Return the rows of a chunk that ended its workers. The design that ends them gets an empty row."""
    rows: dict[int, _Row] = {}
    single = [Chunk([design], chunk.best_speed) for design in chunk.designs]
    for index, result in completed_tasks(session.engine, chunk_rows, single, lambda one: _words(one.designs[0])):
        if isinstance(result, LostTask):
            rows[index] = empty_row("left_out", result.words)
            warning_callback(session.report_progress)(result.words)
        else:
            rows[index] = result[0]
    return [rows[index] for index in range(len(single))]


def _words(design: GridDesign) -> str:
    numbers = ", ".join(f"{name.replace('_', ' ')} {value:.4g}" for name, value in design.variables.items())
    return f"{design.choice.words}, {numbers}"


def chunk_rows(space: SearchSpace, chunk: Chunk) -> list[_Row]:
    """Return one row for each design of a chunk. This is a task for an engine whose shared data is a SearchSpace."""
    choices = [design.choice for design in chunk.designs]
    designs = many_designs(choices, [design.variables for design in chunk.designs])
    data = space.data(choices[0])
    usual = space.purpose.output == "usual_time"
    if chunk.best_speed:
        fastest = space.bounds["cruise_speed"][1]
        designs, evaluation = at_best_speed(data, designs, space.study.fly.purpose, fastest, usual)
    else:
        evaluation = evaluate(data, designs, usual=usual)
    outputs = evaluation.by_name()
    faults = {choice: pack_fault(space.study, choice) for choice in set(choices)}
    limits = {choice: space.limits(choice) for choice in set(choices)}
    margins = {
        choice: np.array([limit.least_margins(outputs[limit.output]) for limit in limits[choice]]) for choice in limits
    }
    rows = []
    for index, choice in enumerate(choices):
        fault, mine = faults[choice], margins[choice][:, index]
        nearest = int(np.where(np.isnan(mine), -np.inf, mine).argmin())
        worst = limits[choice][nearest]
        numbers = _numbers(
            space,
            outputs["range"][index],
            outputs[space.purpose.output][index],
            outputs["all_up_mass"][index],
            designs.cruise_speed[index],
        )
        if fault:
            rows.append(numbers | _limit("pack_bay", fault, None))
        else:
            rows.append(numbers | _limit(worst.name, worst.words, float(mine[nearest])))
    return rows


def _numbers(space: SearchSpace, range_: Any, gain: Any, mass: Any, cruise_speed: Any = None) -> _Row:
    """Return the rounded numbers of a design in the units shown to the user.

    If ``cruise_speed`` is None, that number is left out.
    """
    number = space.purpose.number
    given = {} if cruise_speed is None else {"cruise_speed_kmh": cruise_speed}
    values = at_edge(
        **{
            name: float(value) if math.isfinite(value) else None
            for name, value in (given | {"range_km": range_, number: gain, "auw_g": mass}).items()
        }
    )
    row = {name: None if value is None else round(value, _DIGITS.get(name, 5)) for name, value in values.items()}
    row["gain"] = row[number]
    return {name: value for name, value in row.items() if name in GridPoint._fields}


def _limit(name: str, words: str, margin: float | None) -> _Row:
    """Return the fields of a row on the nearest limit of a design and its margin."""
    scaled = None if margin is None or not math.isfinite(margin) else round(margin, _MARGIN_DIGITS)
    return {"met": margin is not None and margin > MET_ABOVE, "limit": name, "limit_words": words, "margin": scaled}


def empty_row(limit: str, words: str) -> _Row:
    """Return the row of a design without numbers."""
    return dict.fromkeys(("cruise_speed_kmh", "range_km", "gain", "auw_g")) | _limit(limit, words, None)


# --- designs optimised at every point ----------------------------------------------------------------------


def _searched_rows(
    session: StudySession,
    axes: dict[str, list[Any]],
    designs: list[GridDesign],
    wing: RequestedWing,
    longest: float,
) -> list[_Row]:
    """Return one row for each design. All variables that are on no axis and not requested are optimised.

    Along the first axis, each search starts from the previous result.
    """
    names = ("span", "sweep", "washout", "tip_chord", "static_margin", "cruise_speed")
    fixed = [
        "extension" if name == "span" else name for name in names if name in axes or getattr(wing, name) is not None
    ]
    stride = len(designs) // len(next(iter(axes.values()), [None]))
    lines = [range(first, len(designs), stride) for first in range(stride)]
    start = session.ranked()[0].variables
    if math.isfinite(longest) and len(designs) > session.engine.workers:  # the pace of one search tells that of all
        began = time.monotonic()
        first = SearchTask("solve", designs[0].choice, [start], {name: designs[0].variables[name] for name in fixed})
        run_tasks(session.space, [first], session.report_progress)
        share = 1 / min(session.engine.workers, stride)
        refuse_long(1, len(designs), (time.monotonic() - began) * share, 1, longest, "searches")
    chains = [_along([designs[index] for index in line], fixed, start) for line in lines]
    rows: dict[int, _Row] = {}
    for line, results in zip(lines, run_chains(session.space, chains, session.report_progress), strict=True):
        for index, result in zip(line, results or [None] * len(line), strict=True):
            rows[index] = _searched_row(session, designs[index], result)
    return [rows[index] for index in range(len(designs))]


def _along(
    designs: Iterable[GridDesign], names: list[str], start: VariableValues
) -> SearchChain[list[SearchResult | None]]:
    """Return the best result for each design, with the variables in ``names`` fixed."""
    results: list[SearchResult | None] = []
    for design in designs:
        fixed = {name: design.variables[name] for name in names}
        result = yield SearchTask("solve", design.choice, [start], fixed)
        if result.feasible:
            start = result.variables
        else:
            result = yield SearchTask("least_violation", design.choice, [result.variables], fixed)
        results.append(result)
    return results


def _searched_row(session: StudySession, design: GridDesign, result: SearchResult | None) -> _Row:
    fault = pack_fault(session.study, design.choice)
    if fault:
        return empty_row("pack_bay", fault)
    if result is None:
        return empty_row("left_out", _LEFT_OUT)
    worst = min(result.margins, key=lambda name: float(result.margins[name].min()))
    words = next(limit.words for limit in session.space.limits(design.choice) if limit.name == worst)
    numbers = _numbers(session.space, result.range, result.gain, result.all_up_mass, result.variables["cruise_speed"])
    return numbers | _limit(worst, words, result.worst_margin)


def _stock(session: StudySession, axes: list[GridAxis]) -> GridStock:
    """Return the stock wing with the columns of the grid."""
    anchor = session.anchor
    values = asdict(anchor.choice) | anchor.variables | {"span": anchor.data.layout.stock.span}
    outputs = evaluate(anchor.data, one_design(anchor.choice, anchor.variables)).by_name()
    gain = outputs[session.space.purpose.output]
    numbers = _numbers(session.space, outputs["range"], gain, outputs["all_up_mass"])
    return GridStock([_edge(axis.name, values[axis.name]) for axis in axes], **numbers)
