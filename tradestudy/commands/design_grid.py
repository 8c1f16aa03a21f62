"""A grid of designs: every combination of a few variables' values, worked out in batches on any engine."""

from __future__ import annotations

import hashlib
import itertools
import json
import math
import time
from dataclasses import asdict, replace
from typing import Any, NamedTuple

from tradestudy.aircraft.model.best_speeds import at_best_speed
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.evaluation import WING_SHAPE, evaluate, many_designs, one_design
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE, pack_fault
from tradestudy.errors import CommandError
from tradestudy.quantities import at_edge, in_unit
from tradestudy.quantities.design_inputs import QUANTITY_INPUTS, input_words_and_unit
from tradestudy.quantities.objectives import PURPOSES
from tradestudy.results.grid_result import GridAxis, GridResult
from tradestudy.search.engines.processes import Lost, completed
from tradestudy.search.search_space import Space
from tradestudy.search.search_task import Answer, Asked
from tradestudy.search.side_by_side import Chain, pace, together

from .work import Wanted, Work, versions

CHUNK = 48  # designs worked out at a time: half a second, the most that is lost when a run is killed
MOST_POINTS = 200_000
DIGITS = {"cruise_speed_kmh": 4, "auw_g": 3, "margin": 6}  # behind the point; of kilometres and minutes 5
CHOICES = ("parallel", "rod_diameter", "rod_pairs", "propeller")
OTHERS_STOCK = (
    "what is on no axis is as on the stock wing or as asked for, cruise speed the best for each design "
    "unless it is given"
)
OTHERS_BEST = (
    "what is on no axis is at its best for each design, with the parts of the best design unless they are given"
)


class Point(NamedTuple):
    """One design of a grid, SI."""

    choice: Choice
    variables: dict[str, float]


class Chunk(NamedTuple):
    """Designs of one make worked out at a time."""

    points: list[Point]
    best_speed: bool

    @property
    def key(self) -> tuple:
        """What the record keeps their answers under."""
        text = json.dumps([self.best_speed, [[asdict(choice), variables] for choice, variables in self.points]])
        return "grid", hashlib.sha256(text.encode()).hexdigest()


def grid(work: Work, axes: dict[str, list[Any]], wanted: Wanted, best: bool = False) -> GridResult:
    """Return every design of a grid: ``axes`` maps one to three names of `quantities.design_inputs` to their values, SI.

    Other variables are as ``wanted`` says, else as on the stock wing, at the cruise speed that serves best; with
    ``best`` they are searched again at every point. Raises CommandError for what this study cannot vary.
    """
    refuse(work, axes)
    start = Point(work.choice(wanted, work.ranked()[0].choice if best else None), work.variables(wanted))
    names = list(axes)
    points = [_at(work, start, dict(zip(names, values, strict=True))) for values in itertools.product(*axes.values())]
    fixed_speed = wanted.cruise_speed is not None or "cruise_speed" in axes
    rows = _searched(work, names, axes, points, wanted) if best else _worked_out(work, points, not fixed_speed)
    told = [
        GridAxis(name, *input_words_and_unit(name), [_edge(name, value) for value in values], name in CHOICES)
        for name, values in axes.items()
    ]
    places = itertools.product(*(axis.values for axis in told))
    filled = [
        dict(zip((axis.column for axis in told), place, strict=True)) | row
        for place, row in zip(places, rows, strict=True)
    ]
    wanted_most = work.space.purpose
    return GridResult(
        work.study.study.name,
        work.study.text,
        work.command,
        versions(),
        told,
        wanted_most.number,
        wanted_most.quantity.label,
        wanted_most.quantity.unit,
        OTHERS_BEST if best else OTHERS_STOCK,
        filled,
        _stock(work, told),
        list(work.anchor.flags),
    )


def refuse(work: Work, axes: dict[str, list[Any]]) -> None:
    """Raise CommandError for an axis that this study's scheme does not let vary, or for a grid too large."""
    count = math.prod(len(values) for values in axes.values())
    if count > MOST_POINTS:
        raise CommandError(f"This grid has {count} designs; {MOST_POINTS} are the most. Wider steps would do.")
    stock = work.anchor.data.layout.stock.span
    if min(axes.get("span", [stock])) < stock - 1e-9:
        asked, today = in_unit(min(axes["span"]), "mm"), in_unit(stock, "mm")
        raise CommandError(f"span={asked:g}: the stock span is {today:.0f} mm, and a wing is only stretched.")
    for name in ("sweep", "washout"):
        if name in axes and getattr(work.study.stretch, name) is None:
            raise CommandError(
                f"{name} cannot be an axis: {work.study.path} does not let it vary. Give stretch.{name} a range there."
            )
    if "rod_diameter" in axes and not work.study.rods or "rod_pairs" in axes and not work.study.rods:
        raise CommandError(f"{work.study.path} has no rods to vary.")


def _edge(name: str, value: Any) -> Any:
    return value if isinstance(value, (str, int)) else round(QUANTITY_INPUTS[name].in_unit(value), 6)


def _at(work: Work, start: Point, values: dict[str, Any]) -> Point:
    """Return the design that has the given values (SI) and is otherwise as ``start``."""
    choice = replace(start.choice, **{name: value for name, value in values.items() if name in CHOICES})
    moved = {name: float(value) for name, value in values.items() if name not in (*CHOICES, "span")}
    if "span" in values:
        moved["extension"] = max(0.0, 0.5 * (values["span"] - work.anchor.data.layout.stock.span))
    return Point(choice, start.variables | moved)


# --- as they are -------------------------------------------------------------------------------------------


def _worked_out(work: Work, points: list[Point], best_speed: bool) -> list[dict[str, Any]]:
    """Return one row a point, worked out in chunks that depend on nothing but the grid."""
    rows: list[Any] = [None] * len(points)
    order = sorted(
        range(len(points)),
        key=lambda index: (_make(points[index]), *(points[index].variables[name] for name in WING_SHAPE), index),
    )
    groups = [list(group) for _, group in itertools.groupby(order, key=lambda index: _make(points[index]))]
    places = [group[at : at + CHUNK] for group in groups for at in range(0, len(group), CHUNK)]
    pending = []
    for place in places:
        chunk = Chunk([points[index] for index in place], best_speed)
        known = work.record.known(chunk.key)
        if known is None:
            pending.append((place, chunk))
        else:
            _fill(rows, place, known)
    began, done, whole = time.monotonic(), 0, sum(len(place) for place, _ in pending)
    for index, found in completed(work.engine, worked_out, [chunk for _, chunk in pending]):
        place, chunk = pending[index]
        if isinstance(found, Lost):
            found = _one_by_one(work, chunk)
        else:
            work.record.keep([(chunk.key, found)])
        _fill(rows, place, found)
        done += len(place)
        work.tell(f"designs of the grid: {pace(done, whole, time.monotonic() - began)}")
    return rows


def _make(point: Point) -> tuple[str, ...]:
    return tuple(map(str, point.choice.model_key))


def _fill(rows: list[Any], place: list[int], found: list[dict[str, Any]]) -> None:
    for index, row in zip(place, found, strict=True):
        rows[index] = row


def _one_by_one(work: Work, chunk: Chunk) -> list[dict[str, Any]]:
    """A chunk that ended its workers: find out which of its designs does, and leave that one out."""
    rows: list[Any] = [None] * len(chunk.points)
    single = [Chunk([point], chunk.best_speed) for point in chunk.points]
    for index, found in completed(work.engine, worked_out, single, lambda one: _design_words(one.points[0])):
        if isinstance(found, Lost):
            rows[index] = _row(None, None, None, None, "left_out", found.words, None, work.study.fly.purpose)
            getattr(work.tell, "warn", work.tell)(found.words)
        else:
            rows[index] = found[0]
    return rows


def _design_words(point: Point) -> str:
    numbers = ", ".join(f"{name.replace('_', ' ')} {value:.4g}" for name, value in point.variables.items())
    return f"{point.choice.words}, {numbers}"


def worked_out(space: Space, chunk: Chunk) -> list[dict[str, Any]]:
    """Return one row a design of a chunk: a task for an engine whose room is a Space."""
    choices = [point.choice for point in chunk.points]
    designs = many_designs(choices, [point.variables for point in chunk.points])
    data, purpose = space.data(choices[0]), space.study.fly.purpose
    usual = space.purpose.output == "usual_time"
    if chunk.best_speed:
        designs, evaluation = at_best_speed(data, designs, purpose, space.bounds["cruise_speed"][1], usual)
    else:
        evaluation = evaluate(data, designs, usual=usual)
    found = evaluation.by_name()
    limits = {choice: (pack_fault(space.study, choice), space.limits(choice)) for choice in set(choices)}
    rows = []
    for index, choice in enumerate(choices):
        fault, held = limits[choice]
        margins = {limit.name: float(limit.margin(found[limit.output][index]).min()) for limit in held}
        worst = min(margins, key=lambda name: margins[name] if margins[name] == margins[name] else -math.inf)
        words = next(limit.words for limit in held if limit.name == worst)
        name, words, margin = ("pack_bay", fault, None) if fault else (worst, words, margins[worst])
        rows.append(
            _row(
                designs.cruise_speed[index],
                found["range"][index],
                found[space.purpose.output][index],
                found["all_up_mass"][index],
                name,
                words,
                margin,
                purpose,
            )
        )
    return rows


def _row(
    speed: Any, reach: Any, gain: Any, mass: Any, limit: str, words: str, margin: float | None, purpose: str
) -> dict[str, Any]:
    known = PURPOSES[purpose]

    values = {"cruise_speed_kmh": speed, "range_km": reach, known.number: gain, "auw_g": mass, "margin": margin}
    numbers = at_edge(
        **{name: value if value is not None and math.isfinite(value) else None for name, value in values.items()}
    )
    told = {
        name: None if value is None else round(float(value), DIGITS.get(name, 5)) for name, value in numbers.items()
    }
    scaled = told.pop("margin")
    return {
        **told,
        "met": margin is not None and margin > MET_ABOVE,
        "limit": limit,
        "limit_words": words,
        "margin": scaled,
    }


# --- at their best -----------------------------------------------------------------------------------------


def _searched(
    work: Work, names: list[str], axes: dict[str, list[Any]], points: list[Point], wanted: Wanted
) -> list[dict[str, Any]]:
    """Return one row a point, all that is on no axis searched again; along the first axis each from the one before."""
    asked = [
        name
        for name in ("span", "sweep", "washout", "static_margin", "cruise_speed")
        if name in axes or getattr(wanted, name) is not None
    ]
    held = ["extension" if name == "span" else name for name in asked]
    stride = len(points) // len(axes[names[0]])
    lines = [list(range(first, len(points), stride)) for first in range(stride)]
    start = work.ranked()[0].variables
    rows: list[Any] = [None] * len(points)
    for line, answers in zip(
        lines,
        together(work.space, [_along([points[index] for index in line], held, start) for line in lines], work.tell),
        strict=True,
    ):
        for position, index in enumerate(line):
            answer = answers[position] if answers else None
            rows[index] = _row_of(work, points[index], answer)
    return rows


def _along(points: list[Point], held: list[str], start: dict[str, float]) -> Chain[list[Answer]]:
    found = []
    for point in points:
        fixed = {name: point.variables[name] for name in held}
        answer = yield Asked("solve", point.choice, [start], fixed)
        if answer.feasible:
            start = answer.variables
        else:
            answer = yield Asked("relaxed", point.choice, [answer.variables], fixed)
        found.append(answer)
    return found


def _row_of(work: Work, point: Point, answer: Answer | None) -> dict[str, Any]:
    fault = pack_fault(work.study, point.choice)
    if answer is None or fault:
        return _row(
            None,
            None,
            None,
            None,
            "pack_bay" if fault else "left_out",
            fault or "left out, every worker that tried it ended",
            None,
            work.study.fly.purpose,
        )
    worst = min(answer.margins, key=lambda name: float(answer.margins[name].min()))
    words = next(limit.words for limit in work.space.limits(point.choice) if limit.name == worst)
    return _row(
        answer.variables["cruise_speed"],
        answer.range,
        answer.gain,
        answer.all_up_mass,
        worst,
        words,
        answer.worst,
        work.study.fly.purpose,
    )


def _stock(work: Work, axes: list[GridAxis]) -> dict[str, Any]:
    """The stock wing in the columns of the grid."""
    choice, variables = work.anchor.choice, work.anchor.variables
    values = asdict(choice) | variables | {"span": work.anchor.data.layout.stock.span}
    found = evaluate(work.anchor.data, one_design(choice, variables)).by_name()
    known = work.space.purpose
    gain = float(found[known.output])
    return {axis.column: _edge(axis.name, values[axis.name]) for axis in axes} | {
        name: round(value, DIGITS.get(name, 5))
        for name, value in at_edge(
            **{"range_km": float(found["range"]), known.number: gain, "auw_g": float(found["all_up_mass"])}
        ).items()
    }
