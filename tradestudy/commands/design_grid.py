"""A grid of designs, one for every combination of a few values. It is computed in batches on a task engine."""

from __future__ import annotations

import hashlib
import itertools
import json
import math
import time
from dataclasses import asdict, replace
from operator import itemgetter
from typing import Any, NamedTuple, TypeVar

import numpy as np

from tradestudy.aircraft.model.best_speeds import at_best_speed
from tradestudy.aircraft.model.designs import WING_SHAPE, many_designs, one_design
from tradestudy.aircraft.model.evaluation import evaluate
from tradestudy.aircraft.model.pack_fit import pack_fault
from tradestudy.errors import CommandError
from tradestudy.quantities import in_unit
from tradestudy.quantities.design_inputs import QUANTITY_INPUTS, input_words_and_unit
from tradestudy.results.grid_result import GridAxis, GridPoint, GridResult, GridStock
from tradestudy.results.inputs import SetKey
from tradestudy.search.engines.processes import LostTask, completed_tasks
from tradestudy.search.engines.progress import warning_callback
from tradestudy.search.parallel import pace
from tradestudy.search.search_space import SearchSpace
from tradestudy.search.search_task import SearchResult
from tradestudy.study.edits.what_stays import notes_on_edits

from .assess import MEDIANS, Shares, expected_shares
from .grid_points.rows import GRID_PARTS, PointFields, empty_row, limit_fields, made_fields, point_numbers
from .grid_points.searched import GridDesign, refuse_long, searched_rows
from .kept_results import versions
from .recommended_wing import recommended_wing
from .requested_wing import RequestedWing, refuse_tip_chord
from .study_session import StudySession

# Most designs in a batch. Half as many take a tenth longer each. A batch takes some 0.15 s: no more is lost if a run is
# killed.
CHUNK = 96
_MOST_POINTS = 200_000
Member = TypeVar("Member")
_OTHERS_STOCK = (
    "what is on no axis is as on the stock wing or as asked for; cruise speed is the best for each design "
    "unless it is given; all at the medians of all inputs"
)
_OTHERS_BEST = (
    "what is on no axis is searched for each design, parts too, unless it is given; ranges are those to expect"
)


class Chunk(NamedTuple):
    """Designs with the same `Choice.model_key` that are computed in one batch."""

    designs: list[GridDesign]
    best_speed: bool

    @property
    def key(self) -> tuple:
        """The key of the chunk's rows in the record. All its designs have the same variables."""
        choices, variables = zip(*self.designs, strict=True)
        parts = list(dict.fromkeys(choices))
        names = sorted(variables[0])
        place = {choice: index for index, choice in enumerate(parts)}
        numbers = np.column_stack([[place[choice] for choice in choices], list(map(itemgetter(*names), variables))])
        text = json.dumps([self.best_speed, names, [asdict(choice) for choice in parts]])
        return "grid", hashlib.sha256(text.encode() + numbers.astype("<f8").tobytes()).hexdigest()


def grid(
    session: StudySession,
    axes: dict[str, list[Any]],
    wing: RequestedWing,
    at_best: bool = True,
    longest: float = math.inf,
) -> GridResult:
    """Return every design of a grid. ``axes`` maps one to three names of `quantities.design_inputs` to SI values.

    All that is on no axis is searched at every point, parts too, unless ``wing`` requests it. Ranges are then those to
    expect, as in `assess`. Without ``at_best``, it is as on the stock wing and flies at its best speed. Ranges are
    then those at the medians of all inputs. Raises CommandError for an axis that this study cannot vary. It does
    so too if the grid would take more than ``longest`` seconds at the pace of its first designs.
    """
    refuse_axes(session, axes, math.prod(len(values) for values in axes.values()))
    empty = empty_grid(session, axes, at_best)
    rows = grid_rows(session, axes, wing, at_best, longest, grid_shares(session, at_best))
    places = itertools.product(*(axis.values for axis in empty.axes))
    return replace(empty, points=[GridPoint(list(place), **row) for place, row in zip(places, rows, strict=True)])


def grid_shares(session: StudySession, at_best: bool) -> Shares:
    """Return the shares of the ranges of a grid: those of the recommended wing where all else is searched."""
    return expected_shares(session, recommended_wing(session).result) if at_best else MEDIANS


def grid_rows(
    session: StudySession,
    axes: dict[str, list[Any]],
    wing: RequestedWing,
    at_best: bool,
    longest: float,
    shares: Shares,
) -> list[PointFields]:
    """Return the fields of every point of a grid but its values, in the order of the points."""
    parts = session.requested_choice(wing, session.ranked()[0].choice if at_best else None)
    start = GridDesign(parts, session.requested_variables(wing))
    combinations = list(itertools.product(*axes.values()))
    designs = [moved(session, start, dict(zip(axes, values, strict=True))) for values in combinations]
    if at_best:
        return searched_rows(session, axes, designs, wing, shares, longest)
    return _computed_rows(session, designs, wing.cruise_speed is None and "cruise_speed" not in axes, longest)


def empty_grid(session: StudySession, axes: dict[str, list[Any]], at_best: bool) -> GridResult:
    """Return the result of a grid without its points: its axes, the stock and recommended wing, the origin of all."""
    edge_axes = [
        GridAxis(name, *input_words_and_unit(name), [_edge(name, value) for value in values], name in GRID_PARTS)
        for name, values in axes.items()
    ]
    purpose, shares = session.space.purpose, grid_shares(session, at_best)
    recommended = recommended_wing(session).result if at_best else None
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
        stock=_stock(session, edge_axes, shares),
        recommended=_marked(session, edge_axes, recommended, shares) if recommended and recommended.feasible else None,
        notes=[*notes_on_edits(session.study), *session.anchor.flags],
        set_keys=[SetKey(*edit) for edit in session.study.edits],
    )


def refuse_axes(session: StudySession, axes: dict[str, list[Any]], count: int) -> None:
    """Raise CommandError for an axis that this study does not let vary, or for a grid of too many designs."""
    study = session.study
    if count > _MOST_POINTS:
        raise CommandError(f"This grid has {count} designs; {_MOST_POINTS} are the most. Wider steps would do.")
    stock = session.anchor.data.layout.stock.span
    if min(axes.get("span", [stock])) < stock - 1e-9:
        least, stock_span = in_unit(min(axes["span"]), "mm"), in_unit(stock, "mm")
        raise CommandError(f"span={least:g}: the stock span is {stock_span:.6g} mm, and a wing is only stretched.")
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


def moved(session: StudySession, start: GridDesign, values: dict[str, Any]) -> GridDesign:
    """Return the design with the given SI values, and otherwise the same as ``start``."""
    parts = {name: value for name, value in values.items() if name in GRID_PARTS}
    choice = session.space.laid(replace(start.choice, **parts)) if parts else start.choice
    variables = {name: float(value) for name, value in values.items() if name not in (*GRID_PARTS, "span")}
    if "span" in values:
        variables["extension"] = max(0.0, 0.5 * (values["span"] - session.anchor.data.layout.stock.span))
    return GridDesign(choice, start.variables | variables)


# --- designs computed as requested -------------------------------------------------------------------------


def _computed_rows(
    session: StudySession, designs: list[GridDesign], best_speed: bool, longest: float
) -> list[PointFields]:
    """Return one row for each design. Designs are computed in chunks that depend on the grid alone."""
    makes = {choice: tuple(map(str, choice.model_key)) for choice in {design.choice for design in designs}}
    make, values = [makes[design.choice] for design in designs], itemgetter(*WING_SHAPE)
    shape = [values(design.variables) for design in designs]
    order = sorted(range(len(designs)), key=lambda index: (make[index], shape[index], index))
    groups = (list(group) for _, group in itertools.groupby(order, key=make.__getitem__))
    places = [part for group in groups for part in batches(group)]
    rows: dict[int, PointFields] = {}
    pending = []
    for place in places:
        chunk = Chunk([designs[index] for index in place], best_speed)
        key = chunk.key
        known = session.record.known(key)
        if known is None:
            pending.append((place, chunk, key))
        else:
            rows |= zip(place, known, strict=True)
    began, done, total = time.monotonic(), 0, sum(len(place) for place, *_ in pending)
    smallest = min(map(len, places), default=0)
    for index, result in completed_tasks(session.engine, chunk_rows, [chunk for _, chunk, _ in pending]):
        place, chunk, key = pending[index]
        if isinstance(result, LostTask):
            result = _rows_one_by_one(session, chunk)
        else:
            session.record.keep([(key, result)])
        rows |= zip(place, result, strict=True)
        done += len(place)
        seconds = time.monotonic() - began
        session.report_progress(f"designs of the grid: {pace(done, total, seconds)}")
        refuse_long(done, total, seconds, min(session.engine.workers * smallest, total), longest, "designs")
    return [rows[index] for index in range(len(designs))]


def batches(members: list[Member]) -> list[list[Member]]:
    """Return members in batches of equal size, an even number of batches, so that two workers end together."""
    count = math.ceil(len(members) / CHUNK)
    count += count % 2 if count > 1 else 0
    ends = [len(members) * index // count for index in range(count + 1)]
    return [members[low:high] for low, high in itertools.pairwise(ends)]


def _rows_one_by_one(session: StudySession, chunk: Chunk) -> list[PointFields]:
    """Return the rows of a chunk that ended its workers. The design that ends them gets an empty row."""
    rows: dict[int, PointFields] = {}
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


def chunk_rows(space: SearchSpace, chunk: Chunk) -> list[PointFields]:
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
        numbers = point_numbers(
            space,
            outputs["range"][index],
            outputs[space.purpose.output][index],
            outputs["all_up_mass"][index],
            designs.cruise_speed[index],
        )
        numbers |= made_fields(space, choice, chunk.designs[index].variables)
        if fault:
            rows.append(numbers | limit_fields("pack_bay", fault, None))
        else:
            rows.append(numbers | limit_fields(worst.name, worst.words, float(mine[nearest])))
    return rows


def _marked(session: StudySession, axes: list[GridAxis], result: SearchResult, shares: Shares) -> GridStock:
    """Return a wing of a search with the columns of the grid."""
    values = asdict(result.choice) | result.variables
    values["span"] = session.anchor.data.layout.stock.span + 2 * result.variables["extension"]
    numbers = point_numbers(session.space, result.range, result.gain, result.all_up_mass, None, shares)
    return GridStock([_edge(axis.name, values[axis.name]) for axis in axes], **numbers)


def _stock(session: StudySession, axes: list[GridAxis], shares: Shares) -> GridStock:
    """Return the stock wing with the columns of the grid. The numbers are multiplied by ``shares``."""
    anchor = session.anchor
    values = asdict(anchor.choice) | anchor.variables | {"span": anchor.data.layout.stock.span}
    outputs = evaluate(anchor.data, one_design(anchor.choice, anchor.variables)).by_name()
    gain = outputs[session.space.purpose.output]
    numbers = point_numbers(session.space, outputs["range"], gain, outputs["all_up_mass"], None, shares)
    return GridStock([_edge(axis.name, values[axis.name]) for axis in axes], **numbers)
