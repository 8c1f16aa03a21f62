"""What may vary and what must hold: a study made ready for searching."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field, replace

import numpy as np

from tradestudy.aircraft.anchor.calibration import Anchor, stock_choice, stretched_data
from tradestudy.aircraft.model.choices import Choice, study_with_choice
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE, Limit, limits_of, pack_fault, slowest_speed
from tradestudy.aircraft.model.model_data import ModelData, movable_range
from tradestudy.aircraft.model.problem import Model
from tradestudy.physics.flight import trimmed_flight
from tradestudy.physics.geometry import planform
from tradestudy.quantities import short_with_unit
from tradestudy.quantities.objectives import PURPOSES, Purpose
from tradestudy.quantities.variables import VARIABLES
from tradestudy.search.engines.processes import Engine
from tradestudy.search.engines.record import Record
from tradestudy.study.schema.study import Study

from .search_task import Asked

MOST_MARGIN = 0.15  # static margin, where neither study nor stock wing asks for more; common practice, no source


@dataclass
class Space:
    """A study made ready for searching: bounds, limits, and one model for each make that choices ask for.

    ``bounds`` are those of the study's own scheme; `box` has those of a choice. ``in_hand`` is what is to be left of
    scaled margins, by the names of limits.
    """

    study: Study
    anchor: Anchor
    bounds: dict[str, tuple[float, float]]
    choices: list[Choice]
    set_aside: list[str]
    slowest: float
    record: Record | None = None  # of what was solved earlier
    engine: Engine | None = None  # where many searches are made; None: in this process
    in_hand: dict[str, float] = field(default_factory=dict)
    _data: dict[tuple, ModelData] = field(default_factory=dict)
    _models: dict[tuple, Model] = field(default_factory=dict)

    def data(self, choice: Choice) -> ModelData:
        """Return the stretched wing's data as a choice makes it, worked out when first asked for."""
        if choice.model_key not in self._data:
            self._data[choice.model_key] = stretched_data(self.study, self.anchor, choice, self.slowest)
        return self._data[choice.model_key]

    def model(self, choice: Choice, usual: bool = False) -> Model:
        """Return the model of a choice's make, made when first asked for; ``usual`` has it time flights."""
        key = choice.model_key, usual or self.purpose.output == "usual_time"
        if key not in self._models:
            self._models[key] = Model(self.data(choice), usual=key[1])
        return self._models[key]

    def box(self, choice: Choice) -> dict[str, tuple[float, float]]:
        """Return the bounds within which a choice's variables may move: another scheme frees others."""
        if not choice.scheme:
            return self.bounds
        return self.bounds | _shape_bounds(study_with_choice(self.study, choice), self.anchor)

    def travelling(self) -> Space:
        """Return the space as workers get it: with its data, without what cannot travel."""
        return replace(self, record=None, engine=None, _models={})

    @property
    def purpose(self) -> Purpose:
        """What the study wants most of."""
        return PURPOSES[self.study.fly.purpose]

    def limits(self, choice: Choice) -> list[Limit]:
        """Return the limits of one choice."""
        plain = limits_of(self.study, self.anchor.reference, choice, self.data(choice).strip_count)
        return [
            replace(limit, bound=limit.bound + limit.sign * limit.scale * self.in_hand.get(limit.name, 0.0))
            for limit in plain
        ]

    def key(self, asked: Asked) -> tuple:
        """Return what the record keeps the answer to a search in this space under."""
        return (*asked.key, sorted(self.in_hand.items())) if self.in_hand else asked.key


def search_space(study: Study, anchor: Anchor) -> Space:
    """Return what may vary and what must hold. Choices that cannot be built are set aside with the reason."""
    stock_margin = anchor.reference.static_margin
    low_margin, high_margin = study.limits.static_margin or (stock_margin, max(stock_margin, MOST_MARGIN))
    slowest, _ = slowest_speed(study, anchor.reference)
    place, front, back = movable_range(study)
    full = study.fly.never_exceed_speed * trimmed_flight.FULL_SPEED_SHARE
    bounds = _shape_bounds(study_with_choice(study, anchor.choice), anchor) | {
        "static_margin": (low_margin, high_margin),
        "cruise_speed": (0.9 * slowest, 0.95 * full),
        "equipment_position": (front, back) if back > front else (place, place),
    }
    choices, set_aside = [], []
    for choice in combinations(study):
        fault = pack_fault(study, choice)
        if fault and fault not in set_aside:
            set_aside.append(fault)
        elif not fault:
            choices.append(choice)
    space = Space(study, anchor, bounds, choices, set_aside, slowest)
    _set_aside_overloaded(space)
    return space


def _shape_bounds(study: Study, anchor: Anchor) -> dict[str, tuple[float, float]]:
    """Return the bounds of what shapes the wing, by the study's scheme."""
    stock, stretch = anchor.data.layout.stock, study.stretch
    shortest, longest = (0.5 * (span - stock.span) for span in stretch.span)
    washout = stretch.washout or (stock.washout, stock.washout)
    if stretch.scheme == "tip" and stretch.washout is None:
        carried = float(planform.tip_washout_carried_on(stock, 0.5 * (shortest + longest)))
        washout = carried, carried
    return {
        "extension": (max(shortest, 0.0), longest),
        "washout": washout,
        "sweep": stretch.sweep or (float(stock.sweep), float(stock.sweep)),
    }


def _set_aside_overloaded(space: Space) -> None:
    """Drop choices that break a limit on what is bought alone, before any search; the reason is kept.

    Rods draw no current.
    """
    drives: dict[tuple, str | None] = {}
    for choice in space.choices:
        if (choice.model_key, choice.pack_key) not in drives:
            drives[choice.model_key, choice.pack_key] = _overloaded(space, choice)
    space.set_aside += list(dict.fromkeys(reason for reason in drives.values() if reason))
    kept = [choice for choice in space.choices if drives[choice.model_key, choice.pack_key] is None]
    if kept:  # with none left the search shows how far the least broken one is off
        space.choices = kept


def _overloaded(space: Space, choice: Choice) -> str | None:
    """Return which rating a choice's full throttle is beyond, to a person."""
    model = space.model(choice)
    model.run(choice, starting_points(space)[0])
    for limit in space.limits(choice):
        if limit.declared.depends_on_parts and limit.margin(model.value(limit.output)).min() < MET_ABOVE:
            return (
                f"{_drive_words(choice)}: {limit.words} is {model.value(limit.output):.1f} A, "
                f"the rating {limit.bound:.1f} A"
            )
    return None


def _drive_words(choice: Choice) -> str:
    motor = f", motor {choice.motor}" if choice.motor else ""
    cap = "" if choice.throttle_cap is None else f", throttle to {short_with_unit(choice.throttle_cap, '%')}"
    pack = f" {choice.pack}" if choice.pack else ""
    return f"{choice.propeller} on {choice.series}S{choice.parallel}P{pack}{motor}{cap}"


def combinations(study: Study) -> list[Choice]:
    """Return every combination of what is bought or decided in steps; an absent list holds the stock part.

    Motors, packs, schemes and throttle caps named in the lists are tried besides the wing's own.
    """
    stock = stock_choice(study)
    lists = study.choices
    packs = [("", stock.series, parallel) for parallel in lists.parallel or (stock.parallel,)]
    packs += [(one.name, one.series, one.parallel) for one in study.pack_choice if one.name in (lists.pack or ())]
    motors = ["", *(lists.motor or ())]
    schemes = ["", *(scheme for scheme in lists.scheme or () if scheme != study.stretch.scheme)]
    caps = [None, *(cap for cap in lists.throttle_cap or () if cap != study.controller.throttle_cap)]
    return [
        Choice(series, parallel, diameter, pairs, propeller, motor, pack, scheme, cap)
        for scheme, motor, cap, propeller in itertools.product(
            schemes, motors, caps, lists.propeller or (stock.propeller,)
        )
        for pack, series, parallel in packs
        for pairs in lists.rod_pairs or (stock.rod_pairs,)
        for diameter in lists.rod_diameter or (stock.rod_diameter,)
    ]


def starting_points(space: Space) -> list[dict[str, float]]:
    """Return where a search begins: near the stock wing, and well out towards the longest span."""
    inside = {name: 0.5 * (low + high) for name, (low, high) in space.bounds.items()}
    stock = space.anchor.variables
    points = []
    for share in (0.2, 0.8):
        point = {name: float(np.clip(stock[name], *space.bounds[name])) for name in VARIABLES}
        low, high = space.bounds["extension"]
        point["extension"] = low + share * (high - low)
        point["static_margin"] = inside["static_margin"]
        point["cruise_speed"] = float(np.clip(stock["cruise_speed"], *space.bounds["cruise_speed"]))
        points.append(point)
    return points
