"""The search space of a study: variables with their bounds, choices (sets of parts), and limits."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from tradestudy.aircraft import kept_tables
from tradestudy.aircraft.anchor.calibration import Anchor, stock_choice, stretched_data
from tradestudy.aircraft.model.choices import Choice, bay_alternatives, study_with_choice
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE, Limit, limits_of, slowest_speed
from tradestudy.aircraft.model.model_data import ModelData
from tradestudy.aircraft.model.pack_fit import pack_fault, pack_reach
from tradestudy.aircraft.model.slopes import Model
from tradestudy.aircraft.model.structure_data import rod_runs
from tradestudy.aircraft.shape.gear_fit import gear_faults
from tradestudy.aircraft.shape.gear_items import movable_range
from tradestudy.aircraft.shape.propeller_room import TOUCHES, elevon_in_disc
from tradestudy.aircraft.shape.rod_clashes import rod_clashes, rods_that_cross
from tradestudy.aircraft.shape.stock_fit import stock_skin
from tradestudy.aircraft.workshop.build_price import BuildPrice
from tradestudy.physics.flight import layout, trimmed_flight
from tradestudy.physics.geometry.stretch_schemes import extended_tip_washout
from tradestudy.physics.sections import polar
from tradestudy.quantities import short_with_unit, with_unit
from tradestudy.quantities.balance_practice import least_static_margin
from tradestudy.quantities.objectives import PURPOSES, Purpose
from tradestudy.quantities.variables import VARIABLES
from tradestudy.study.line_numbers import dotted
from tradestudy.study.schema.key_types import propeller_lengths
from tradestudy.study.schema.study import Study
from tradestudy.study.tip_chords import tip_chords

from .engines.processes import Engine
from .engines.record import Record
from .laid_packs import LaidPacks, laid_packs
from .own.functions import OwnFunctions
from .search_task import SearchTask

_FARTHER = 0.002  # m; a bay that lets its pack lie no farther than this serves no better; judgement
_MOST_MARGIN = 0.15  # highest static margin unless the study or the stock wing has more; common practice, no source


@dataclass
class SearchSpace:
    """Bounds, choices and limits of a study, with one model for each `Choice.model_key`.

    ``bounds`` are those of the study's own scheme; `bounds_of` returns those of a choice. ``excluded`` describes in
    words the choices that were left out. ``required_margins`` maps names of limits to the scaled margins that designs
    must keep. ``let_go`` names limits that are left out, and ``moved_bounds`` holds bounds that replace those of the
    study. Both show what a limit costs.
    """

    study: Study
    anchor: Anchor
    bounds: dict[str, tuple[float, float]]
    choices: list[Choice]
    excluded: list[str]
    slowest_speed: float
    record: Record | None = None  # record of earlier results
    engine: Engine | None = None  # task engine for searches; None means this process
    required_margins: dict[str, float] = field(default_factory=dict)
    let_go: tuple[str, ...] = ()
    moved_bounds: dict[str, tuple[float, float]] = field(default_factory=dict)
    own: OwnFunctions | None = None  # objective and limits of the user's own
    member: str = ""  # name of the member of a club whose equipment is on board, if it is not that of the stock wing
    tables: kept_tables.Tables = field(default_factory=dict)  # those of the process that sent this space to a worker
    _ways: dict[tuple, LaidPacks] = field(default_factory=dict)
    _data: dict[tuple, ModelData] = field(default_factory=dict)
    _models: dict[tuple, Model] = field(default_factory=dict)

    def __setstate__(self, state: dict[str, Any]) -> None:
        """Keep the tables that came with this space in the process that receives it."""
        self.__dict__.update(state)
        kept_tables.take_over(self.tables)

    def build_price(self, choice: Choice) -> BuildPrice:
        """Return what builds of a choice cost."""
        return BuildPrice(self.study, self.data(choice), choice, self.anchor.choice)

    def data(self, choice: Choice) -> ModelData:
        """Return the model data of stretched wings with a choice's parts. They are computed once and stored."""
        if choice.model_key not in self._data:
            self._data[choice.model_key] = stretched_data(self.study, self.anchor, choice, self.slowest_speed)
        return self._data[choice.model_key]

    def model(self, choice: Choice, usual: bool = False) -> Model:
        """Return the model for a choice, set up once and stored.

        With ``usual``, it computes the duration of the usual flight.
        """
        key = choice.model_key, usual or self.purpose.output == "usual_time"
        if key not in self._models:
            self._models[key] = Model(self.data(choice), usual=key[1])
        return self._models[key]

    def bounds_of(self, choice: Choice) -> dict[str, tuple[float, float]]:
        """Return the bounds of the variables for a choice. They depend on its stretch scheme."""
        if not choice.scheme:
            return self.bounds | self.moved_bounds
        own = _shape_bounds(study_with_choice(self.study, choice), self.anchor, self.slowest_speed)
        return self.bounds | own | self.moved_bounds

    def ways(self, choice: Choice) -> LaidPacks:
        """Return the ways to lay the pack of a choice that a search tries. They are computed once and stored."""
        choice = replace(choice, layout="", raised_lid=0.0)
        key = choice.pack_key, choice.scheme, choice.bays
        if key not in self._ways:
            self._ways[key] = laid_packs(
                self.study,
                self.anchor,
                choice,
                self.bounds_of(choice),
                self.slowest_speed,
                lambda laid: _rod_fault(self, laid),
            )
        return self._ways[key]

    def laid(self, choice: Choice) -> Choice:
        """Return a choice with its pack laid as a search would try first, in a bay that is cut to it if it may be."""
        text, lid = next(iter(self.ways(choice).tried), ("", 0.0))
        return replace(choice, layout=text, raised_lid=lid)

    def for_workers(self) -> SearchSpace:
        """Return a copy to send to workers, with model data and tables but without record, engine and models."""
        return replace(self, record=None, engine=None, tables=kept_tables.tables_in_use(), _models={})

    def of_study(self, study: Study, anchor: Anchor | None = None) -> SearchSpace:
        """Return this space for a study with some keys changed, with the same choices, in this process."""
        anchor = anchor or self.anchor
        return replace(
            self,
            study=study,
            anchor=anchor,
            bounds=_bounds(study, anchor),
            slowest_speed=slowest_speed(study, anchor.reference)[0],
            record=None,
            engine=None,
            _ways={},
            _data={},
            _models={},
        )

    @property
    def purpose(self) -> Purpose:
        """The quantity that the study maximises."""
        return PURPOSES[self.study.fly.purpose]

    def limits(self, choice: Choice) -> list[Limit]:
        """Return the limits of one choice, with the required margins added to their bounds."""
        return [
            replace(limit, bound=limit.bound + limit.sign * limit.scale * self.required_margins.get(limit.name, 0.0))
            for limit in limits_of(self.study, self.anchor.reference, choice, self.data(choice).strip_count)
            if limit.name not in self.let_go
        ]

    def for_task(self, task: SearchTask) -> SearchSpace:
        """Return this space as a task changes it. Both share their models and data, which do not depend on that."""
        if not task.let_go and not task.moved_bounds:
            return self
        moved = {**self.moved_bounds, **dict(task.moved_bounds)}
        return replace(self, let_go=(*self.let_go, *task.let_go), moved_bounds=moved)

    def key(self, task: SearchTask) -> tuple:
        """Return the key of a task's result in the record: the task, and what of this space may be changed."""
        own = self.for_task(task)
        bounds = sorted((own.bounds | own.moved_bounds).items())
        changes = sorted(own.required_margins.items()), sorted(own.let_go), sorted(own.moved_bounds.items())
        return *task.key, self.slowest_speed, bounds, *changes, *filter(None, [self.member])


def open_space(study: Study, anchor: Anchor) -> SearchSpace:
    """Return the search space of a study without its choices, for wings whose parts are known."""
    bounds, slowest = _bounds(study, anchor), slowest_speed(study, anchor.reference)[0]
    return SearchSpace(study, anchor, bounds, choices=[], excluded=[], slowest_speed=slowest)


def search_space(study: Study, anchor: Anchor) -> SearchSpace:
    """Return the search space of a study.

    Choices that cannot be built are excluded, and the reasons are stored in words.
    """
    space = open_space(study, anchor)
    faults: dict[Choice, str | None] = {}
    for open_choice in all_choices(study):
        ways = space.ways(open_choice)
        if ways.fault:  # then the bay of the stock wing is all there is
            no_room = ways.fault if pack_fault(study, open_choice) else None
            faults[open_choice] = no_room or _propeller_fault(study, open_choice) or _rod_fault(space, open_choice)
        for text, lid in ways.tried:
            choice = replace(open_choice, layout=text, raised_lid=lid)
            faults[choice] = choice_fault(space, choice)
    space.choices = [choice for choice, fault in faults.items() if not fault]
    space.excluded = list(dict.fromkeys(fault for fault in faults.values() if fault))
    _exclude_overloaded(space)
    return space


def in_stock_bay(space: SearchSpace, choice: Choice) -> Choice | None:
    """Return a choice with its pack in the bay of the stock wing, or None if it can lie no farther there.

    A bay that is cut to its pack has room for leads and travel. So the stock wing's may let a pack lie closer to what
    is in the way. A search without it could miss the stock wing with another pack.
    """
    if not choice.layout:
        return None
    held = replace(choice, layout="", raised_lid=0.0)
    if choice_fault(space, held):
        return None
    (low, high), (front, back) = (pack_reach(space.study, each) for each in (choice, held))
    return held if front < low - _FARTHER or back > high + _FARTHER else None


def choice_fault(space: SearchSpace, choice: Choice) -> str | None:
    """Return a phrase on a pack that does not fit, or on a part of a choice that meets another one, or None."""
    return (
        pack_fault(space.study, choice)
        or _propeller_fault(space.study, choice)
        or _rod_fault(space, choice)
        or _bay_fault(space.study, choice)
    )


def _propeller_fault(study: Study, choice: Choice) -> str | None:
    """Return a phrase on a propeller that would cut the elevons of the stock wing, if its own does not.

    Elevons of another wing may reach farther back. A few millimetres of spacer mend that, so a remark tells of it.
    """
    own, chosen = (
        elevon_in_disc(study, propeller_lengths(size)[0]) for size in (study.propeller.size, choice.propeller)
    )
    if chosen <= TOUCHES or own > TOUCHES:
        return None
    return f"a {choice.propeller} propeller would cut {with_unit(chosen, 'mm')} into the elevons"


def _rod_fault(space: SearchSpace, choice: Choice) -> str | None:
    """Return a phrase on rods of a choice that cross a bay or other rods where those of the stock wing do not.

    They are laid into the outline of the stock wing. Then they are laid into the shortest and the longest stretched
    wing, with the least and the most sweep. There they may not cross one another, and a limit keeps them clear of bays.
    The rods of the stock wing are laid into the same outlines.
    """
    study, laid, own = space.study, space.anchor.data.layout, space.anchor.choice
    made, bounds = study_with_choice(study, choice), space.bounds_of(choice)
    stretched = laid._replace(scheme=made.stretch.scheme, keep=made.stretch.kept)
    with_rods = laid._replace(rods=rod_runs(made))
    corners = [(extension, sweep) for extension in bounds["extension"] for sweep in bounds["sweep"]]
    outlines: list[tuple[Any, Any, Any]] = [
        (None, layout.wing_outline(laid, 0.0, laid.stock.sweep, laid.stock.washout), rod_clashes)
    ]
    for corner in dict.fromkeys(corners):
        outlines.append((corner, layout.wing_outline(stretched, *corner, laid.stock.washout), rods_that_cross))
    found = [
        clashes_in(made, with_rods, wing, choice.rod_diameter, choice.rod_pairs) for _, wing, clashes_in in outlines
    ]
    if not any(found):
        return None
    known: set[str] = set()
    for (corner, wing, clashes_in), clashes in zip(outlines, found, strict=True):
        known |= set(clashes_in(study, laid, wing, own.rod_diameter, own.rod_pairs))
        for clash in clashes:
            if clash not in known:
                pairs = "1 pair" if choice.rod_pairs == 1 else f"{choice.rod_pairs} pairs"
                rods = f"with {pairs} of {with_unit(choice.rod_diameter, 'mm')}, {clash}"
                return rods if corner is None else f"{rods} {_outline_words(laid.stock.span, *corner)}"
    return None


def _outline_words(stock_span: float, extension: float, sweep: float) -> str:
    span = short_with_unit(stock_span + 2 * extension, "mm", 4)
    return f"at a span of {span} and a sweep of {short_with_unit(sweep, 'deg')}"


def _bay_fault(study: Study, choice: Choice) -> str | None:
    """Return a phrase on equipment that has no room in another bay. The pack is left out, since it can move."""
    if not choice.bays:
        return None
    moved = study_with_choice(study, choice)
    fault = next(gear_faults(moved, stock_skin(moved), with_pack=False), None)
    return None if fault is None else f"with {choice.bays}: {dotted(fault[0])} {fault[1]}".rstrip(".")


def _bounds(study: Study, anchor: Anchor) -> dict[str, tuple[float, float]]:
    """Return the bounds of every variable under the study's own scheme."""
    stock_margin = anchor.reference.static_margin
    low_margin = least_static_margin(stock_margin)
    low_margin, high_margin = study.limits.static_margin or (low_margin, max(low_margin, _MOST_MARGIN))
    slowest, _ = slowest_speed(study, anchor.reference)
    place, front, back = movable_range(study)
    full = study.fly.never_exceed_speed * trimmed_flight.FULL_SPEED_SHARE
    return _shape_bounds(study_with_choice(study, anchor.choice), anchor, slowest) | {
        "static_margin": (low_margin, high_margin),
        "cruise_speed": (max(0.9 * slowest, study.fly.least_cruise_speed), 0.95 * full),
        "equipment_position": (front, back) if back > front else (place, place),
    }


def _shape_bounds(study: Study, anchor: Anchor, slowest: float) -> dict[str, tuple[float, float]]:
    """Return the bounds of the variables for the shape of the wing, under the study's scheme.

    At the ``slowest`` speed [m/s] the Reynolds number of the smallest tip chord must lie in the table of the sections.
    """
    stock, stretch = anchor.data.layout.stock, study.stretch
    shortest, longest = (0.5 * (span - stock.span) for span in stretch.span)
    washout = stretch.washout or (stock.washout, stock.washout)
    if stretch.scheme == "tip" and stretch.washout is None:
        continued = float(extended_tip_washout(stock, 0.5 * (shortest + longest)))
        washout = continued, continued
    smallest, largest = tip_chords(study)
    in_table = float(polar.TABLE_REYNOLDS[0]) * anchor.data.flight.kinematic_viscosity / slowest
    in_table *= stock.tip_chord / (stock.tip_chord + stock.elevon_tip_chord)
    return {
        "extension": (max(shortest, 0.0), longest),
        "washout": washout,
        "sweep": stretch.sweep or (float(stock.sweep), float(stock.sweep)),
        "tip_chord": (max(smallest, min(largest, stock.tip_chord, in_table)), largest),
    }


def _exclude_overloaded(space: SearchSpace) -> None:
    """Exclude choices whose drive violates a limit that depends on parts alone. No search is needed for this.

    Rods do not change currents, so each drive is checked once for all rods.
    """
    drives: dict[tuple, str | None] = {}
    for choice in space.choices:
        if (choice.model_key, choice.pack_key) not in drives:
            drives[choice.model_key, choice.pack_key] = _overloaded(space, choice)
    space.excluded += list(dict.fromkeys(reason for reason in drives.values() if reason))
    kept = [choice for choice in space.choices if drives[choice.model_key, choice.pack_key] is None]
    if kept:  # if none is left, all stay, and the search reports the least violation
        space.choices = kept


def _overloaded(space: SearchSpace, choice: Choice) -> str | None:
    """Return a phrase on the rating that a choice exceeds at full throttle, or None if there is none."""
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


def all_choices(study: Study) -> list[Choice]:
    """Return every combination of the parts and decisions in a study. If a list is absent, only the stock part is used.

    Motors, packs, schemes, throttle caps and bays of equipment in the lists are added to the wing's own.
    """
    stock = stock_choice(study)
    lists = study.choices
    packs = [("", stock.series, parallel) for parallel in lists.parallel or (stock.parallel,)]
    packs += [(one.name, one.series, one.parallel) for one in study.pack_choice if one.name in (lists.pack or ())]
    motors = ["", *(lists.motor or ())]
    schemes = ["", *(scheme for scheme in lists.scheme or () if scheme != study.stretch.scheme)]
    caps = [None, *(cap for cap in lists.throttle_cap or () if cap != study.controller.throttle_cap)]
    return [
        Choice(
            series=series,
            parallel=parallel,
            rod_diameter=diameter,
            rod_pairs=pairs,
            propeller=propeller,
            motor=motor,
            pack=pack,
            scheme=scheme,
            throttle_cap=cap,
            bays=bays,
        )
        for bays in bay_alternatives(study)
        for scheme, motor, cap, propeller in itertools.product(
            schemes, motors, caps, lists.propeller or (stock.propeller,)
        )
        for pack, series, parallel in packs
        for pairs in lists.rod_pairs or (stock.rod_pairs,)
        for diameter in lists.rod_diameter or (stock.rod_diameter,)
    ]


def starting_points(space: SearchSpace) -> list[dict[str, float]]:
    """Return two starting points of searches: one near the stock wing, one towards the longest span."""
    near_stock = {name: float(np.clip(space.anchor.variables[name], *space.bounds[name])) for name in VARIABLES}
    near_stock["static_margin"] = 0.5 * sum(space.bounds["static_margin"])
    low, high = space.bounds["extension"]
    return [near_stock | {"extension": low + share * (high - low)} for share in (0.2, 0.8)]
