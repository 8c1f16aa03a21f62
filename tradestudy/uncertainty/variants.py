"""Variants of a study: one fixed stretched design, evaluated while each input of its study varies within its band.

Each variant of the study is calibrated against the measured stock wing again. Weight, balance, trim and known flight
are matched, so an input has an effect only where they leave its value open. Then the same stretched wing is evaluated.
Variables that the study varies stay fixed: span, and sweep, washout and static margin if it gives a range. All other
variables keep their difference from the stock wing. The cruise speed is the best one of each variant, since a pilot
adjusts it in flight.
"""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.anchor.calibration import Anchor, calibrated_data, calibrated_wing, stock_reference
from tradestudy.aircraft.anchor.full_throttle_defaults import FULL_THROTTLE_DEFAULTS
from tradestudy.aircraft.model.choices import Choice, study_with_choice
from tradestudy.aircraft.model.limit_bounds import (
    PULL_UP,
    StockReference,
    launch_way,
    least_control_speed,
    limits_of,
    slowest_speed,
)
from tradestudy.aircraft.model.power_data import propeller_band
from tradestudy.aircraft.model.speed_sweep import NeverFlies, SpeedSweep, best_speed_near
from tradestudy.aircraft.shape.gear_items import movable_range
from tradestudy.aircraft.workshop.as_built import BuildErrors, as_built
from tradestudy.errors import CatalogueError, RunFailed, StudyFileError
from tradestudy.quantities import with_unit
from tradestudy.search.engines.processes import Engine, InProcess, LostTask, completed_tasks
from tradestudy.search.engines.progress import Progress
from tradestudy.study.assumed_values.apply_rules import SINGLE_TABLE_ALLOWED
from tradestudy.study.line_numbers import Place
from tradestudy.study.reader import study_from_tables
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.study.schema.study import Study
from tradestudy.study.tip_chords import tip_chords
from tradestudy.study.value_text import unquoted

from .built_inputs import (
    flown_with,
)
from .design_quantities import further_quantities
from .fitted_inputs import FITTED
from .measured_drain import held_to_drain, measured_drain

PILOTS_OWN = "fly"  # table of the pilot's decisions, which are ranked but not measured and not in the total

InputValues = dict[Place, Any]  # place in the study's tables -> value at one end of a band


@dataclass(frozen=True)
class FixedDesign:
    """One stretched design that is fixed while inputs vary, SI.

    Variables in ``over_stock`` are differences from the stock wing's. ``drain`` is the power that flights have measured
    of the stock wing in cruise [W], or None. ``errors`` are those of its build. ``launch`` is the way that it is
    launched: a variant's stock wing may be too heavy to throw, but a wing has the same limits in all its variants.
    """

    choice: Choice
    span: float
    sweep: float
    washout: float
    tip_chord: float
    static_margin: float
    over_stock: frozenset[str]
    equipment_position: float
    slowest: float
    stock_speed: float
    likely_speed: float
    drain: float | None = None
    errors: BuildErrors = BuildErrors()
    launch: str | None = None


class KeyNumbers(NamedTuple):
    """The main numbers, SI: range, balance mark and pack behind the nose, load factor at which the wing breaks."""

    range: float
    balance: float
    pack: float
    failure_load_factor: float


class VariantNumbers(NamedTuple):
    """The numbers and limits of the fixed design in one variant of the study."""

    key_numbers: KeyNumbers
    more: dict[str, float]  # what `design_quantities.further_quantities` returns
    margins: dict[str, float]  # worst scaled margin of each limit, positive when met
    scatter: float  # standard deviation of the propeller's model, as a share of power [-]


class Input(NamedTuple):
    """One input with its band. ``sides`` holds both ends as values at places in the study's tables."""

    used: DefaultUsed
    sides: tuple[InputValues, InputValues]
    kind: str
    most: float = 0.0  # tolerance of an error of the shop, SI


def fixed_design(study: Study, anchor: Anchor, choice: Choice, variables: dict[str, float]) -> FixedDesign:
    """Return the fixed design of a stretched wing. ``variables`` are SI."""
    made = study_with_choice(study, choice)
    given = {
        "tip_chord": tip_chords(made) if made.stretch.scheme == "scaled" else None,
        "sweep": study.stretch.sweep,
        "washout": study.stretch.washout,
        "static_margin": study.limits.static_margin,
    }
    over_stock = frozenset(name for name, ends in given.items() if ends is None)
    stock = anchor.variables
    flown = SpeedSweep(anchor.data, anchor.choice, stock)
    own = {name: variables[name] - (stock[name] if name in over_stock else 0.0) for name in given}
    return FixedDesign(
        choice,
        anchor.data.layout.stock.span + 2 * variables["extension"],
        over_stock=over_stock,
        equipment_position=variables["equipment_position"],
        slowest=slowest_speed(study, anchor.reference)[0],
        stock_speed=stock["cruise_speed"],
        likely_speed=variables["cruise_speed"],
        drain=measured_drain(study, flown, choice, stock["cruise_speed"]),
        sweep=own["sweep"],
        washout=own["washout"],
        tip_chord=own["tip_chord"],
        static_margin=own["static_margin"],
        launch=launch_way(study, anchor.reference),
    )


def _fixed_variables(study: Study, design: FixedDesign, stock: dict[str, float]) -> dict[str, float]:
    """Return the variables of a fixed design, SI, except cruise speed.

    ``stock`` holds those of the variant's stock wing.
    """
    variables = {
        name: getattr(design, name) + (stock[name] if name in design.over_stock else 0.0)
        for name in ("sweep", "washout", "tip_chord", "static_margin")
    }
    _, front, back = movable_range(study)
    variables["extension"] = max(0.5 * (design.span - study.stock.span), 0.0)
    variables["equipment_position"] = float(np.clip(design.equipment_position, front, back))
    return variables


def drawn_design(study: Study, design: FixedDesign) -> tuple[SpeedSweep, StockReference]:
    """Return the fixed design with a study's inputs as it is drawn, calibrated, and its stock wing's reference values.

    Raises RunFailed if the inputs contradict the measurements, and NeverFlies if the stock wing stalls at every speed.
    """
    wing = calibrated_wing(study, design.stock_speed)
    reference = stock_reference(wing.speed_sweep.cruising_at(wing.trim.speed), wing.speed_sweep.stall().speed)
    variables = _fixed_variables(study, design, wing.variables)
    control_speed = least_control_speed(study, reference)
    data = calibrated_data(study, wing, design.choice, design.slowest, control_speed)
    if design.drain is not None:
        data = held_to_drain(data, wing.speed_sweep, design.drain, design.stock_speed)
    return SpeedSweep(data, design.choice, variables), reference


def flown_design(study: Study, design: FixedDesign, drawn: SpeedSweep) -> SpeedSweep:
    """Return a wing as drawn with the design's errors of its build, at its best cruise speed.

    Raises NeverFlies if it stalls at every speed.
    """
    sweep = as_built(drawn, design.errors)
    return sweep.cruising_at(best_speed_near(sweep, study.fly.purpose, design.likely_speed))


def evaluated_design(study: Study, design: FixedDesign) -> tuple[SpeedSweep, dict[str, Any]]:
    """Return the fixed design with a study's inputs, calibrated, and all outputs at its best cruise speed.

    The output ``reference`` holds the stock wing's values, on which limits depend. Raises RunFailed if the inputs
    contradict the measurements, and NeverFlies if the wing or its stock wing stalls at every speed.
    """
    drawn, reference = drawn_design(study, design)
    return outputs_of(flown_design(study, design, drawn), reference)


def outputs_of(sweep: SpeedSweep, reference: StockReference) -> tuple[SpeedSweep, dict[str, Any]]:
    """Return a flown wing and all its outputs, as `evaluated_design` does."""
    return sweep, sweep.evaluation.by_name() | {"cruise_speed": sweep.variables["cruise_speed"], "reference": reference}


def variant_numbers(study: Study, design: FixedDesign) -> VariantNumbers:
    """Return the numbers of the fixed design with a study's inputs. That study's stock wing sets its limits.

    Raises the same errors as `evaluated_design`.
    """
    return numbers_of(study, design, *evaluated_design(study, design))


def numbers_of(study: Study, design: FixedDesign, sweep: SpeedSweep, values: dict[str, Any]) -> VariantNumbers:
    """Return the numbers of a flown wing from all its outputs."""
    limits = limits_of(study, values["reference"], design.choice, sweep.data.strip_count)
    return VariantNumbers(
        key_numbers(values),
        further_quantities(sweep, values),
        {limit.name: float(limit.margin(values[limit.output]).min()) for limit in limits},
        model_scatter(study, design.choice),
    )


def key_numbers(values: dict[str, Any]) -> KeyNumbers:
    """Return the key numbers from all outputs."""
    return KeyNumbers(
        float(values["range"]),
        float(values["centre_of_gravity"]),
        float(values["pack_position"]),
        float(values["failure_load_factor"][PULL_UP]),
    )


def model_scatter(study: Study, choice: Choice) -> float:
    """Return the standard deviation of the propeller's model, as a share of the power. [-]

    It is zero if factors were fitted to this propeller, or if a known flight was flown with this drive: they cover it.
    """
    blade = propeller_band(study)
    measured = choice.propeller == study.propeller.size if study.fitted else flown_with(study, choice)
    return blade.power if blade and not measured else 0.0


def possible_variant(
    study: Study, tables: dict[str, Any], side: InputValues, design: FixedDesign
) -> VariantNumbers | None:
    """Return the numbers of the fixed design with changed values in a study's tables.

    None means that the values contradict each other. Fitted factors may change the power that flights have measured,
    within their own band. The pilot's decisions are of other flights.
    """
    raw = tables
    if any(place[0] in (FITTED, PILOTS_OWN) for place in side):
        design = replace(design, drain=None)
    for place, value in side.items():
        raw = put(raw, place, value)
    if design.launch and "launch" not in raw.get(PILOTS_OWN, {}):
        raw = put(raw, (PILOTS_OWN, "launch"), design.launch)
    try:
        return variant_numbers(study_from_tables(raw, study.path, study.text), design)
    except (StudyFileError, CatalogueError, RunFailed, NeverFlies):
        return None


class InputVariants(NamedTuple):
    """One input, and the numbers of the design at both ends of its band. None means a contradiction at that end."""

    input: Input
    sides: tuple[VariantNumbers | None, VariantNumbers | None]


class DesignVariants(NamedTuple):
    """The nominal numbers of one fixed design, and its numbers at both ends of every input."""

    nominal: VariantNumbers
    inputs: list[InputVariants]


def input_variants(
    study: Study, tables: dict[str, Any], design: FixedDesign, one: Input, nominal: VariantNumbers
) -> InputVariants:
    """Return the numbers at both ends of one input. An end equal to the value in use gives ``nominal``."""

    def at(side: InputValues) -> VariantNumbers | None:
        if len(side) == 1 and unquoted(next(iter(side.values()))) == one.used.value:
            return nominal
        return possible_variant(study, tables, side, design)

    return InputVariants(one, (at(one.sides[0]), at(one.sides[1])))


def design_variants(
    study: Study,
    tables: dict[str, Any],
    design: FixedDesign,
    inputs: Sequence[Input],
    report_progress: Progress,
    engine: Engine | None = None,
    nominal: VariantNumbers | None = None,
) -> DesignVariants:
    """Return the numbers of the fixed design, nominal and at both ends of every input.

    ``engine`` is the task engine that computes them, or None for this process. ``nominal`` holds the nominal numbers if
    they are not those of ``study``. Raises the same errors as `evaluated_design`.
    """
    nominal = nominal or variant_numbers(study, design)
    varied: dict[int, InputVariants] = {}
    items: list[_VariedInput] = [(study, tables, design, one, nominal) for one in inputs]
    for index, found in completed_tasks(engine or InProcess(), _varied, items, lambda item: item[3].used.key):
        varied[index] = input_variants(*items[index]) if isinstance(found, LostTask) else found
        report_progress(f"effect of each uncertain input: {len(varied)} of {len(inputs)}")
    return DesignVariants(nominal, [varied[index] for index in range(len(inputs))])


_VariedInput = tuple[Study, dict[str, Any], FixedDesign, Input, VariantNumbers]  # arguments of `input_variants`


def _varied(shared: Any, item: _VariedInput) -> InputVariants:
    """Return the numbers at both ends of one input. This is a task for any engine; it needs no shared data."""
    return input_variants(*item)


def given_tables(study: Study) -> dict[str, Any]:
    """Return the tables of the study's file. Assumed full-throttle limits are added as if the file gave them."""
    raw = tomllib.loads(study.text)
    for used in study.defaults_used:
        if used.key in FULL_THROTTLE_DEFAULTS:
            table, key = used.key.split(".")
            raw = put(
                raw, used.place, with_unit(getattr(getattr(study, table), key), FULL_THROTTLE_DEFAULTS[used.key], 4)
            )
    return raw


def put(raw: dict[str, Any], place: Place, value: Any) -> dict[str, Any]:
    """Return a copy of a study's tables with one value set. Missing tables are added.

    In an array of tables, None removes the key.
    """
    raw = copy.deepcopy(raw)
    table, *_, key = map(str, place)
    number = next((step for step in place if isinstance(step, int)), None)
    if number is None:
        raw.setdefault(table, {})[key] = value
        return raw
    items = raw.setdefault(table, [])
    if isinstance(items, dict) and table in SINGLE_TABLE_ALLOWED:
        items = raw[table] = [items]
    while len(items) <= number:
        items.append({})
    items[number][key] = value
    if value is None:
        del items[number][key]
    return raw
