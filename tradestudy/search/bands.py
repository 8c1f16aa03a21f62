"""Which one measurement would sharpen the answer most: every open input at both ends of its band, on one design.

Each variant of the study is tied to the measured stock wing anew: weight, balance, trim and known flight are matched
again, so that only what they leave open is seen. Then one and the same stretched wing is looked at. What the study
frees (span; sweep, washout and static margin where it gives a range) stays as chosen; what follows the stock wing
moves with it. The cruise speed is the best one of each variant: a pilot finds it, whatever was assumed at the bench.
"""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from tradestudy.errors import CatalogueError, RunFailed, StudyFileError
from tradestudy.physics import pack
from tradestudy.physics.pack_box import pack_mass
from tradestudy.quantities import from_si
from tradestudy.study.locate import Place, dotted
from tradestudy.study.reader import study_of
from tradestudy.study.schema import Study, meaning_of
from tradestudy.study.starter import ONE_TABLE_WILL_DO
from tradestudy.study.values import DefaultUsed
from tradestudy.study.written import plain

from .anchor import Anchor, stretched_data, tied_wing
from .assess import beam_of, values_of
from .card import FlownDesign, NeverFlies, best_near
from .completed import COMPLETED
from .drag_band import listed_in_the_wind
from .drag_breakdown import section_drag_band
from .inputs import movable_range
from .known_flight import FLIGHT_SPREAD
from .limits import PULL_UP, slowest_speed
from .power_inputs import propeller_band
from .problem import Choice

RULER = 0.002  # m; how well a span, chord, set-back or balance mark is read; common practice, no source
CALIPERS = 0.0005  # m; in soft foam; common practice, no source
SCALE = 0.01  # of the weight: a kitchen scale; common practice, no source
# Measures that weigh the same when inputs are ranked: a tenth of the range, and 6 mm of balance mark (some 2 to 3 %
# of the mean chord, about what the nose-heavy and the lively setting lie apart).
RANGE_STEP, BALANCE_STEP = 0.10, 0.006
LONG_FLIGHT = 0.6  # of the stock wing's range: a flight that one remembers
HARDLY = 0.01  # of the range: inputs that move it by less are not looked at again with a flight
CHARGE_USED: Place = ("known_flight", "charge_used")
# how an input that no ruler or scale can tell is found out all the same
HOW_TO_FIND = {
    "equipment.power": "the pack's current with the motor off, times its voltage",
    "motor.no_load_current": "the pack's current with the motor running and the propeller off",
    "drag_item.drag_area": "list what hangs in the wind under [[drag_item]], with its sizes, or write down one "
                           "steady flight under [known_flight]",
    "covering.finish": "bare foam, film over foam, or smooth as glass",
    "rods.crosses_centre": "look whether the rods run through the middle",
}
PILOTS_OWN = "fly"  # this table is said, not measured: it is ranked, but neither told to be measured nor in the total


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


class Worth(NamedTuple):
    """What one input is worth: changes of the answer at (low, high); None where the wing cannot be so."""

    key: str
    value: str
    band: str
    moves: str
    range_km: tuple[float | None, float | None]
    balance_mm: tuple[float | None, float | None]
    pack_mm: tuple[float | None, float | None]
    failure_load_factor: tuple[float | None, float | None]
    kind: str  # "assumed", "listed" or "measured"
    score: float


class Input(NamedTuple):
    """One input with its band as it would stand in the file, and at which places it has to be put."""

    used: DefaultUsed
    sides: tuple[dict[Place, Any], dict[Place, Any]]
    kind: str


def held_design(study: Study, anchor: Anchor, choice: Choice, variables: dict[str, float]) -> Held:
    """Return a stretched design (SI variables) as it is held while inputs vary."""
    free = {"sweep": study.stretch.sweep, "washout": study.stretch.washout,
            "static_margin": study.limits.static_margin}
    follows = frozenset(name for name, pair in free.items() if pair is None)
    stock = anchor.variables
    own = {name: variables[name] - (stock[name] if name in follows else 0.0) for name in free}
    return Held(choice, anchor.data.layout.stock.span + 2 * variables["extension"], over_stock=follows,
                equipment_position=variables["equipment_position"],
                slowest=slowest_speed(study, anchor.reference)[0], stock_speed=stock["cruise_speed"],
                likely_speed=variables["cruise_speed"], **own)


def flown_as_held(study: Study, held: Held) -> tuple[FlownDesign, dict[str, Any]]:
    """Return the held design by a study's inputs, tied to its stock wing, and every output at its best speed.

    Raises RunFailed where such a wing contradicts what was measured, or never flies.
    """
    wing = tied_wing(study, held.stock_speed)
    variables = {name: getattr(held, name) + (wing.variables[name] if name in held.over_stock else 0.0)
                 for name in ("sweep", "washout", "static_margin")}
    _, front, back = movable_range(study)
    variables["extension"] = max(0.5 * (held.span - study.stock.span), 0.0)
    variables["equipment_position"] = float(np.clip(held.equipment_position, front, back))
    data = stretched_data(study, wing, wing.trim.offset, held.choice.propeller, held.slowest)
    flown = FlownDesign(data, held.choice, variables)
    variables["cruise_speed"] = best_near(flown, study.fly.purpose, held.likely_speed)
    values = values_of(data, held.choice, flown, variables)
    values["beam"] = beam_of(data.strength, held.choice, variables, values)
    return flown, values


def numbers_of(values: dict[str, Any]) -> Numbers:
    """Return what is looked at, from all outputs."""
    return Numbers(float(values["range"]), float(values["centre_of_gravity"]), float(values["pack_position"]),
                   float(values["beam"].failure_load_factor[PULL_UP]))


# --- the variants ---------------------------------------------------------------------------------------------


def given_tables(study: Study) -> dict[str, Any]:
    """Return the tables of the study's file; what the model itself completed is put in as if it had been given."""
    raw = tomllib.loads(study.text)
    for used in study.defaults_used:
        if used.key in COMPLETED:
            table, key = used.key.split(".")
            unit, kind = COMPLETED[used.key]
            raw = put(raw, used.place, f"{from_si(getattr(getattr(study, table), key), unit, kind):.4f} {unit}")
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
    if isinstance(items, dict) and table in ONE_TABLE_WILL_DO:
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
    value, unit, kind = {
        "motor.resistance": (motor.resistance, "mohm", "resistance"),
        "motor.no_load_current": (motor.no_load_current, "A", "current"),
        "power.capacity": (pack.pack_capacity(data.power.powertrain.pack), "mAh", "charge"),
        "power.pack_weight": (pack_mass(data.layout.cell_mass, choice.series * choice.parallel), "g", "mass"),
    }[used.key]
    return f"{float(side[1:]) * from_si(float(value), unit, kind):.6g} {unit}"


def measured_inputs(study: Study) -> Iterator[Input]:
    """Yield what was measured, as far off as ruler, calipers and scale are."""
    raw = tomllib.loads(study.text)
    stock, elevon = study.stock, study.elevon
    lengths: list[tuple[Place, float, float]] = [
        (("stock", key), getattr(stock, key), RULER)
        for key in ("span", "root_chord", "tip_chord", "tip_set_back", "balance_from_nose")]
    lengths.append((("stock", "root_thickness"), stock.root_thickness, CALIPERS))
    lengths += [(("elevon", key), getattr(elevon, key), RULER) for key in ("root_chord", "tip_chord")
                if key in raw.get("elevon", {})]
    if stock.elevon_chord is not None and len(raw.get("elevon", {}).keys() & {"root_chord", "tip_chord"}) < 2:
        lengths.append((("stock", "elevon_chord"), stock.elevon_chord, RULER))
    rows = [(place, 1e3 * value, 1e3 * off, "mm", f"{1e3 * off:g} mm") for place, value, off in lengths]
    weight = 1e3 * stock.flying_weight
    rows.append((("stock", "flying_weight"), weight, SCALE * weight, "g", f"{100 * SCALE:g} %"))
    for place, value, off, unit, words in rows:
        sides: list[dict[Place, Any]] = [{place: f"{value + sign * off:.6f} {unit}"} for sign in (-1, 1)]
        if place == ("stock", "span") and "span" in raw["stretch"]:  # the smallest span to try is the stock wing's
            for side in sides:
                side["stretch", "span"] = [side[place], raw["stretch"]["span"][-1]]
        used = DefaultUsed(dotted(place), f"{value:.4g} {unit}", "measured", f"-{words}", f"+{words}", "", place)
        yield Input(used, (sides[0], sides[1]), "measured")
    if elevon.outline:  # all its chords together: one ruler, one eye
        place, words = ("elevon", "outline"), f"{1e3 * RULER:g} mm"
        moved: list[dict[Place, Any]] = [{place: [
            [f"{1e3 * station:.6f} mm", f"{1e3 * (chord + sign * RULER):.6f} mm"] for station, chord in elevon.outline]}
            for sign in (-1, 1)]
        shown = ", ".join(f"{1e3 * chord:.4g}" for _, chord in elevon.outline) + " mm"
        used = DefaultUsed(dotted(place), shown, "measured", f"-{words}", f"+{words}", "", place)
        yield Input(used, (moved[0], moved[1]), "measured")


# --- what they are worth ----------------------------------------------------------------------------------------


def worth(study: Study, anchor: Anchor, choice: Choice, variables: dict[str, float],
          tell: Callable[[str], None]) -> tuple[list[dict[str, Any]], dict[str, Any]]:
    """Return what each open or measured input is worth, most first, and the band of the whole answer.

    Parameters
    ----------
    choice, variables
        The stretched design to look at, SI. What may be open is read from ``study.defaults_used``.
    tell
        Hears how far it has come.

    Returns
    -------
    rows : list of dict
        Fields of `Worth`.
    uncertainty : dict
        Half widths ``range_km``, ``balance_mm``, ``pack_mm``, ``failure_load_factor`` of the answer: root of the sum
        of squares of each input's larger side; ``model_range_km``: what section drag and propeller models scatter
        beside it (one standard deviation); ``range_km_after_flight``: what the first would be with one flight
        remembered (None where there is one); ``measure_first``, ``strength_first``: sentences.
    """
    held, tables = held_design(study, anchor, choice, variables), given_tables(study)
    flown, values = flown_as_held(study, held)
    nominal = numbers_of(values)
    listed = (Input(*each, "listed") for each in listed_in_the_wind(study))
    inputs = [*assumed_inputs(study, anchor), *listed, *measured_inputs(study)]
    rows = []
    for count, each in enumerate(inputs, start=1):
        tell(f"what each open input is worth: {count} of {len(inputs)}")
        rows.append(_worth_of(each, study, tables, held, nominal))
    rows.sort(key=lambda row: -row.score)
    counted = [row for row in rows if not row.key.startswith(PILOTS_OWN)]
    total = {name: round(root_of_squares(getattr(row, name) for row in counted), 2)
             for name in ("range_km", "balance_mm", "pack_mm", "failure_load_factor")}
    flight = None
    if study.known_flight is None and total["range_km"] > 0:
        tell("what one remembered flight would be worth")
        flight = round(after_flight(study, anchor, tables, held, {each.used.key: each for each in inputs}, counted), 2)
    scatter = 1e-3 * nominal.range * model_scatter(study, values)
    uncertainty = {**total, "model_range_km": round(scatter, 2), "range_km_after_flight": flight,
                   "measure_first": measure_first(counted, total["range_km"], flight),
                   "strength_first": strength_first(counted, nominal)}
    return [row._asdict() for row in rows], uncertainty


def _worth_of(each: Input, study: Study, tables: dict[str, Any], held: Held, nominal: Numbers) -> Worth:
    changes = [change(study, tables, side, held, nominal, each.used.value) for side in each.sides]
    scaled = [None if found is None else
              (1e-3 * found.range, 1e3 * found.balance, 1e3 * found.pack, found.failure_load_factor)
              for found in changes]
    low, high = ((None,) * 4 if one is None else tuple(round(value, 3) for value in one) for one in scaled)
    moved = list(zip(low, high, strict=True))
    score = (larger(moved[0]) / (RANGE_STEP * 1e-3 * nominal.range) + larger(moved[1]) / (1e3 * BALANCE_STEP))
    used = each.used
    band = used.band if each.kind != "measured" else f"\N{PLUS-MINUS SIGN}{str(used.high).lstrip('+')}"
    return Worth(used.key, used.value, band, used.moves, moved[0], moved[1], moved[2], moved[3], each.kind,
                 round(score, 4))


def change(study: Study, tables: dict[str, Any], side: dict[Place, Any], held: Held, nominal: Numbers,
           assumed: str = "") -> Numbers | None:
    """Return how the answer changes with values put at their places, or None where such a wing cannot be."""
    if len(side) == 1 and plain(next(iter(side.values()))) == assumed:
        return Numbers(0.0, 0.0, 0.0, 0.0)
    raw = tables
    for place, value in side.items():
        raw = put(raw, place, value)
    try:
        _, values = flown_as_held(study_of(raw, study.path, study.text), held)
    except (StudyFileError, CatalogueError, RunFailed, NeverFlies):
        return None
    return Numbers(*(new - old for new, old in zip(numbers_of(values), nominal, strict=True)))


def larger(sides: tuple[float | None, float | None]) -> float:
    """Return the size of the larger of two changes, zero where none is known."""
    return max((abs(side) for side in sides if side is not None), default=0.0)


def after_flight(study: Study, anchor: Anchor, tables: dict[str, Any], held: Held, inputs: dict[str, Input],
                 rows: list[Worth]) -> float:
    """Return the half width of the range [km] as it would be with one flight remembered, such as the model expects.

    The flight's own spread counts as one more input. Inputs that hardly move the range keep what they are worth.
    """
    stock = FlownDesign(anchor.data, anchor.choice, anchor.variables)
    speed = anchor.variables["cruise_speed"]
    cruise = stock.power_at(speed)
    distance = LONG_FLIGHT * float(cruise.range[0])
    charge = from_si(distance * float(cruise.charge_per_metre[0]), "mAh", "charge")
    tables = {**tables, "known_flight": {
        "distance": f"{1e-3 * distance:.5f} km", "time": f"{distance / speed / 60:.5f} min",
        "charge_used": f"{charge:.2f} mAh"}}
    nominal = numbers_of(flown_as_held(study_of(tables, study.path, study.text), held)[1])
    least = 1e-3 * nominal.range * HARDLY
    left = [_worth_of(inputs[row.key], study, tables, held, nominal).range_km if larger(row.range_km) > least
            else row.range_km for row in rows]
    sides: list[dict[Place, Any]] = [{CHARGE_USED: f"{charge * (1 + off):.2f} mAh"}
                                     for off in (-FLIGHT_SPREAD, FLIGHT_SPREAD)]
    used = DefaultUsed("known_flight.charge_used", "", "", place=CHARGE_USED)
    left.append(_worth_of(Input(used, (sides[0], sides[1]), "measured"), study, tables, held, nominal).range_km)
    return root_of_squares(left)


def root_of_squares(changes: Iterable[tuple[float | None, float | None]]) -> float:
    """Return the root of the sum of squares of the larger side of every change."""
    return float(np.sqrt(sum(larger(sides) ** 2 for sides in changes)))


def model_scatter(study: Study, values: dict[str, Any]) -> float:
    """Return the share of the range that section drag and propeller models scatter, one standard deviation. [-]"""
    total = float(values["drag_area"][0])
    profile = total - float(values["induced_drag_area"][0]) - float(values["other_drag_area"][0])
    blade = propeller_band(study)
    return float(np.hypot(section_drag_band(values) * profile / total, blade.power if blade else 0.0))


def measure_first(rows: list[Worth], band: float = 0.0, after: float | None = None) -> str:
    """Return what to measure first; rows are ranked, ``after`` is what the band of the range [km] is with a flight."""
    open_rows = [row for row in rows if row.kind != "measured"] or rows
    if not open_rows or open_rows[0].score < 0.01:
        return ""
    row = open_rows[0]
    verb = "Measure" if row.kind != "measured" else "Everything was given; what counts most is to measure"
    again = "first" if row.kind != "measured" else "well"
    balance = f" and the balance mark by {_span(row.balance_mm, 'mm')}" if larger(row.balance_mm) >= 0.5 else ""
    told = f"{_named(row.key)} {again}: it moves the range by {_span(row.range_km, 'km')}{balance}."
    without = np.sqrt(max(band**2 - larger(row.range_km) ** 2, 0.0))  # what is left once that input is known
    if after is None or after > without or row.kind == "measured":
        return f"{verb} {told}"
    return (f"Remember one flight first, its distance, time and charge in [known_flight]: that takes the band of the "
            f"range from \N{PLUS-MINUS SIGN}{band:.0f} to \N{PLUS-MINUS SIGN}{after:.0f} km. Of single values "
            f"measure {told}")


def _named(key: str) -> str:
    plain_key = re.sub(r"\[\d+\]", "", key)
    return f"{key} ({HOW_TO_FIND.get(plain_key) or meaning_of(key)})"


def strength_first(rows: list[Worth], nominal: Numbers) -> str:
    """Return which open input moves the strength most, in a sentence; empty where none moves it by a tenth."""
    open_rows = [row for row in rows if row.kind == "assumed"]
    row = max(open_rows, key=lambda row: larger(row.failure_load_factor), default=None)
    if row is None or larger(row.failure_load_factor) < 0.1 * nominal.failure_load_factor:
        return ""
    return (f"For strength find out {_named(row.key)} first: it moves the load factor at which the wing breaks, "
            f"{nominal.failure_load_factor:.1f}, by {_span(row.failure_load_factor, '', 1).strip()}.")


def _span(sides: tuple[float | None, float | None], unit: str, digits: int = 1) -> str:
    known = sorted({round(side, digits) + 0.0 for side in sides if side is not None})
    if len(known) == 2 and known[0] <= 0 <= known[1] and 0.0 in known:
        known.remove(0.0)
    words = " to ".join(f"{side:+.{digits}f}" if side else "0" for side in known)
    return f"{words} {unit}".replace("-", "\N{MINUS SIGN}")
