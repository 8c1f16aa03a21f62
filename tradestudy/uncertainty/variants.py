"""One stretched design held while the inputs of its study vary, each within its band.

Each variant of the study is tied to the measured stock wing anew: weight, balance, trim and known flight are matched
again, so that only what they leave open is seen. Then one and the same stretched wing is looked at. What the study
frees (span; sweep, washout and static margin where it gives a range) stays as chosen; what follows the stock wing
moves with it. The cruise speed is the best one of each variant: a pilot finds it, whatever was assumed at the bench.
"""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.anchor.calibration import Anchor, calibrated_data, calibrated_wing, stock_reference
from tradestudy.aircraft.anchor.full_throttle_defaults import FULL_THROTTLE_DEFAULTS
from tradestudy.aircraft.assessment.drag_breakdown import section_drag_band
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.drag_list import total_with_band
from tradestudy.aircraft.model.limit_bounds import PULL_UP, least_control_speed, limits_of, slowest_speed
from tradestudy.aircraft.model.model_data import drag_items, movable_range
from tradestudy.aircraft.model.power_data import propeller_band
from tradestudy.aircraft.model.speed_sweep import NeverFlies, SpeedSweep, best_speed_near
from tradestudy.errors import CatalogueError, RunFailed, StudyFileError
from tradestudy.physics.propulsion import pack
from tradestudy.physics.weights.pack_dimensions import pack_mass
from tradestudy.quantities import at_edge, in_unit, short_with_unit, with_unit
from tradestudy.study.assumed_values.apply_rules import SINGLE_TABLE_ALLOWED
from tradestudy.study.line_numbers import Place, dotted
from tradestudy.study.reader import study_from_tables
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.study.schema.study import Study
from tradestudy.study.value_text import unquoted

from .fitted_inputs import directions, taken_over

RULER = 0.002  # m; how well a span, chord, set-back or balance mark is read; common practice, no source
CALIPERS = 0.0005  # m; in soft foam; common practice, no source
PILOTS_OWN = "fly"  # this table is said, not measured: it is ranked, but neither told to be measured nor in the total
SCALE = 0.01  # of the weight: a kitchen scale; common practice, no source


@dataclass(frozen=True)
class Held:
    """One stretched design, held while the inputs vary. SI; what is in ``over_stock`` is over the stock wing's."""

    choice: Choice
    span: float
    sweep: float
    washout: float
    static_margin: float
    over_stock: frozenset[str]
    equipment_position: float
    slowest: float
    stock_speed: float
    likely_speed: float


class Numbers(NamedTuple):
    """What is looked at: range, balance mark and pack behind the nose, load factor at which the wing breaks."""

    range: float
    balance: float
    pack: float
    failure_load_factor: float


class Looked(NamedTuple):
    """The held design by one variant of the study: what is looked at, more numbers at the edge, and every limit."""

    numbers: Numbers
    more: dict[str, float]  # auw_g, cruise_speed_kmh, cruise_current_a
    margins: dict[str, float]  # the worst scaled one of each limit, positive when met
    scatter: float  # of the models of section drag and propeller, share of the power, one standard deviation [-]


class Input(NamedTuple):
    """One input with its band as it would stand in the file, and at which places it has to be put."""

    used: DefaultUsed
    sides: tuple[dict[Place, Any], dict[Place, Any]]
    kind: str


def held_design(study: Study, anchor: Anchor, choice: Choice, variables: dict[str, float]) -> Held:
    """Return a stretched design (SI variables) as it is held while inputs vary."""
    free = {"sweep": study.stretch.sweep, "washout": study.stretch.washout, "static_margin": study.limits.static_margin}
    follows = frozenset(name for name, pair in free.items() if pair is None)
    stock = anchor.variables
    own = {name: variables[name] - (stock[name] if name in follows else 0.0) for name in free}
    return Held(
        choice,
        anchor.data.layout.stock.span + 2 * variables["extension"],
        over_stock=follows,
        equipment_position=variables["equipment_position"],
        slowest=slowest_speed(study, anchor.reference)[0],
        stock_speed=stock["cruise_speed"],
        likely_speed=variables["cruise_speed"],
        **own,
    )


def held_variables(study: Study, held: Held, stock: dict[str, float]) -> dict[str, float]:
    """Return the held design's variables (SI, all but the cruise speed) over a stock wing's, by a study's inputs."""
    variables = {
        name: getattr(held, name) + (stock[name] if name in held.over_stock else 0.0)
        for name in ("sweep", "washout", "static_margin")
    }
    _, front, back = movable_range(study)
    variables["extension"] = max(0.5 * (held.span - study.stock.span), 0.0)
    variables["equipment_position"] = float(np.clip(held.equipment_position, front, back))
    return variables


def flown_as_held(study: Study, held: Held) -> tuple[SpeedSweep, dict[str, Any]]:
    """Return the held design by a study's inputs, tied to its stock wing, and every output at its best speed.

    ``reference`` among the outputs is its stock wing as the yardstick. Raises RunFailed where such a wing contradicts
    what was measured, NeverFlies where it or its stock wing never flies.
    """
    wing = calibrated_wing(study, held.stock_speed)
    reference = stock_reference(wing.flown.cruising_at(wing.trim.speed), wing.flown.stall().speed)
    variables = held_variables(study, held, wing.variables)
    data = calibrated_data(
        study, wing, wing.trim.offset, held.choice, held.slowest, least_control_speed(study, reference)
    )
    flown = SpeedSweep(data, held.choice, variables)
    flown = flown.cruising_at(best_speed_near(flown, study.fly.purpose, held.likely_speed))
    return flown, flown.evaluation.by_name() | {"cruise_speed": flown.variables["cruise_speed"], "reference": reference}


def looked_at(study: Study, held: Held) -> Looked:
    """Return the held design by a study's inputs, its limits set by that study's own stock wing. Raises as above."""
    flown, values = flown_as_held(study, held)
    more = at_edge(
        auw_g=values["all_up_mass"], cruise_speed_kmh=values["cruise_speed"], cruise_current_a=values["mean_current"]
    )
    limits = limits_of(study, values["reference"], held.choice, flown.data.strip_count)
    return Looked(
        numbers_of(values),
        more,
        {limit.name: float(limit.margin(values[limit.output]).min()) for limit in limits},
        model_scatter(study, values),
    )


def model_scatter(study: Study, values: dict[str, Any]) -> float:
    """Return the share of the range that section drag and propeller models scatter, one standard deviation. [-]

    None where factors were fitted: they stand for both.
    """
    if study.fitted is not None:
        return 0.0
    total = float(values["drag_area"][0])
    profile = total - float(values["induced_drag_area"][0]) - float(values["other_drag_area"][0])
    blade = propeller_band(study)
    return float(np.hypot(section_drag_band(values) * profile / total, blade.power if blade else 0.0))


def numbers_of(values: dict[str, Any]) -> Numbers:
    """Return what is looked at, from all outputs."""
    return Numbers(
        float(values["range"]),
        float(values["centre_of_gravity"]),
        float(values["pack_position"]),
        float(values["failure_load_factor"][PULL_UP]),
    )


def variant(study: Study, tables: dict[str, Any], side: dict[Place, Any], held: Held) -> Looked | None:
    """Return the held design with values put at their places in a study's tables; None where such a wing cannot be."""
    raw = tables
    for place, value in side.items():
        raw = put(raw, place, value)
    try:
        return looked_at(study_from_tables(raw, study.path, study.text), held)
    except (StudyFileError, CatalogueError, RunFailed, NeverFlies):
        return None


class Effect(NamedTuple):
    """One input, and the design with it at the low and the high end of its band."""

    input: Input
    sides: tuple[Looked | None, Looked | None]


class Varied(NamedTuple):
    """One design as it is held, and what each input makes of it."""

    nominal: Looked
    effects: list[Effect]


def effect(study: Study, tables: dict[str, Any], held: Held, one: Input, nominal: Looked) -> Effect:
    """Return the Effect of one input; an end that is the value in use is the nominal design."""

    def at(side: dict[Place, Any]) -> Looked | None:
        if len(side) == 1 and unquoted(next(iter(side.values()))) == one.used.value:
            return nominal
        return variant(study, tables, side, held)

    return Effect(one, (at(one.sides[0]), at(one.sides[1])))


def effects(
    study: Study, tables: dict[str, Any], held: Held, inputs: list[Input], tell: Callable[[str], None]
) -> Varied:
    """Return the held design and the Effect of every input. Raises as `looked_at` where the design itself cannot be."""
    nominal, found = looked_at(study, held), []
    for count, one in enumerate(inputs, start=1):
        tell(f"what each open input is worth: {count} of {len(inputs)}")
        found.append(effect(study, tables, held, one, nominal))
    return Varied(nominal, found)


def inputs_of(study: Study, anchor: Anchor) -> list[Input]:
    """Return every input that has a band: left open, listed in the wind, measured; fitted factors in their place."""
    listed = (Input(*each, "listed") for each in listed_in_the_wind(study))
    found = [*assumed_inputs(study, anchor), *listed, *measured_inputs(study)]
    return [
        *(one for one in found if not taken_over(study, one.used.key)),
        *(Input(*each, "fitted") for each in directions(study)),
    ]


def given_tables(study: Study) -> dict[str, Any]:
    """Return the tables of the study's file; what the model itself completed is put in as if it had been given."""
    raw = tomllib.loads(study.text)
    for used in study.defaults_used:
        if used.key in FULL_THROTTLE_DEFAULTS:
            table, key = used.key.split(".")
            raw = put(
                raw, used.place, with_unit(getattr(getattr(study, table), key), FULL_THROTTLE_DEFAULTS[used.key], 4)
            )
    return raw


def put(raw: dict[str, Any], place: Place, value: Any) -> dict[str, Any]:
    """Return a copy of a study's tables with one value put in its place; tables that are not there are made.

    None takes away what stands in that place of an array.
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


def assumed_inputs(study: Study, anchor: Anchor) -> Iterator[Input]:
    """Yield every value the study left open that has a band."""
    for used in study.defaults_used:
        if used.low is not None and used.high is not None and used.low != used.high:
            low, high = ({used.place: _absolute(used, side, anchor)} for side in (used.low, used.high))
            yield Input(used, (low, high), "assumed")


def _absolute(used: DefaultUsed, side: Any, anchor: Anchor) -> Any:
    """Return a side of a band as it would stand in the file; ``x0.6`` is a share of the value in use."""
    if not isinstance(side, str) or not side.startswith("x"):
        return side
    data, choice = anchor.data, anchor.choice
    motor = data.power.powertrain.motor
    value, unit = {
        "motor.resistance": (motor.resistance, "mohm"),
        "motor.no_load_current": (motor.no_load_current, "A"),
        "power.capacity": (pack.pack_capacity(data.power.powertrain.pack), "mAh"),
        "power.pack_weight": (pack_mass(data.layout.cell_mass, choice.series * choice.parallel), "g"),
    }[used.key]
    return short_with_unit(float(side[1:]) * float(value), unit)


def measured_inputs(study: Study) -> Iterator[Input]:
    """Yield what was measured, as far off as ruler, calipers and scale are."""
    raw = tomllib.loads(study.text)
    stock, elevon = study.stock, study.elevon
    lengths: list[tuple[Place, float, float]] = [
        (("stock", key), getattr(stock, key), RULER)
        for key in ("span", "root_chord", "tip_chord", "tip_set_back", "balance_from_nose")
    ]
    lengths.append((("stock", "root_thickness"), stock.root_thickness, CALIPERS))
    lengths += [
        (("elevon", key), getattr(elevon, key), RULER)
        for key in ("root_chord", "tip_chord")
        if key in raw.get("elevon", {})
    ]
    if stock.elevon_chord is not None and len(raw.get("elevon", {}).keys() & {"root_chord", "tip_chord"}) < 2:
        lengths.append((("stock", "elevon_chord"), stock.elevon_chord, RULER))
    rows = [(place, value, off, "mm", short_with_unit(off, "mm")) for place, value, off in lengths]
    weight = stock.flying_weight
    rows.append((("stock", "flying_weight"), weight, SCALE * weight, "g", short_with_unit(SCALE, "%")))
    for place, value, off, unit, words in rows:
        sides: list[dict[Place, Any]] = [{place: with_unit(value + sign * off, unit, 6)} for sign in (-1, 1)]
        if place == ("stock", "span") and "span" in raw["stretch"]:  # the smallest span to try is the stock wing's
            for side in sides:
                side["stretch", "span"] = [side[place], raw["stretch"]["span"][-1]]
        used = DefaultUsed(dotted(place), short_with_unit(value, unit, 4), "measured", f"-{words}", f"+{words}", "", place)
        yield Input(used, (sides[0], sides[1]), "measured")
    if elevon.outline:  # all its chords together: one ruler, one eye
        place, words = ("elevon", "outline"), short_with_unit(RULER, "mm")
        moved: list[dict[Place, Any]] = [
            {
                place: [
                    [with_unit(station, "mm", 6), with_unit(chord + sign * RULER, "mm", 6)]
                    for station, chord in elevon.outline
                ]
            }
            for sign in (-1, 1)
        ]
        shown = ", ".join(f"{in_unit(chord, 'mm'):.4g}" for _, chord in elevon.outline) + " mm"
        used = DefaultUsed(dotted(place), shown, "measured", f"-{words}", f"+{words}", "", place)
        yield Input(used, (moved[0], moved[1]), "measured")


ALL_ITEMS = "drag_item.drag_area"  # the whole list, as one input
Sides = tuple[dict[Place, Any], dict[Place, Any]]


def listed_in_the_wind(study: Study) -> Iterator[tuple[DefaultUsed, Sides]]:
    """Yield the drag area of everything a study lists, and what stands in its file at the low and the high end.

    Every line goes with the whole: it cannot be told which of them is off. Nothing is yielded for a line whose drag
    area was assumed, which is an input of its own, nor for what counts in the glide only.
    """
    assumed = {used.place for used in study.defaults_used}
    lines = [
        (index, item)
        for index, item in enumerate(drag_items(study))
        if ("drag_item", index, "drag_area") not in assumed and not item.in_glide_only and item.drag_area > 0
    ]
    if not lines:
        return
    total, low, high = total_with_band(item for _, item in lines)

    def side(end: float) -> dict[Place, Any]:
        found: dict[Place, Any] = {}
        for index, item in lines:
            found["drag_item", index, "drag_area"] = with_unit(item.drag_area * end / total, "cm2", 5)
            found |= {("drag_item", index, size): None for size in study.drag_item[index].sizes}
        return found

    words = [short_with_unit(area, "cm2", 3) for area in (total, low, high)]
    yield DefaultUsed(ALL_ITEMS, words[0], "", words[1], words[2], "range"), (side(low), side(high))
