"""The effect of each uncertain input on the results, and the measurement that narrows the band of the range most.

`variants` evaluates the fixed design with every input at both ends of its band. This module ranks the effects.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

import numpy as np

from tradestudy.aircraft.anchor.calibration import Anchor
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.quantities import in_unit, with_unit
from tradestudy.results.inputs import AsBuilt, InputEffect, Uncertainty, _LowHigh
from tradestudy.search.engines.processes import Engine
from tradestudy.search.engines.progress import Progress, no_progress
from tradestudy.study.edits.named_key import items_of
from tradestudy.study.line_numbers import Place
from tradestudy.study.reader import study_from_tables
from tradestudy.study.schema.study import Study, key_meaning

from .build_tolerance import as_built_result
from .built_inputs import built_inputs, flight_inputs
from .inputs_with_bands import inputs_of
from .range_band import Percentiles, Spread, spread
from .variants import (
    PILOTS_OWN,
    DesignVariants,
    FixedDesign,
    Input,
    InputVariants,
    KeyNumbers,
    VariantNumbers,
    design_variants,
    fixed_design,
    given_tables,
    variant_numbers,
)

# Changes that have equal weight in the ranking: a tenth of the range, and 6 mm of balance mark. 6 mm are some 2 to 3 %
# of the mean chord, about the distance between a nose-heavy and a lively setting.
_RANGE_STEP, _BALANCE_STEP = 0.10, 0.006
_LONG_FLIGHT = 0.6  # length of a remembered flight over the stock wing's range
_HARDLY = 0.01  # share of the range; inputs that change it by less are not evaluated again with a flight
# how to determine an input that no ruler or scale can measure
_HOW_TO_FIND = {
    "equipment.power": "the pack's current with the motor off, times its voltage",
    "motor.no_load_current": "the pack's current with the motor running and the propeller off",
    "drag_item.drag_area": "list what hangs in the wind under [[drag_item]], with its sizes, or write down one "
    "steady flight under [known_flight]",
    "covering.finish": "bare foam, film over foam, or smooth as glass",
    "rods.at_centre": "look how the rods of both halves meet in the middle",
}


def input_effects(
    study: Study,
    anchor: Anchor,
    choice: Choice,
    variables: dict[str, float],
    report_progress: Progress,
    engine: Engine | None = None,
) -> tuple[list[InputEffect], Uncertainty, Spread, AsBuilt]:
    """Return the effect of each uncertain input, greatest first, the uncertainty, the draws, and the wing as built.

    Parameters
    ----------
    choice, variables
        The stretched design to evaluate, SI. Assumed inputs are read from ``study.defaults_used``.
    engine
        The task engine that computes the effects, or None for this process.

    Returns
    -------
    rows : list of InputEffect
    uncertainty : Uncertainty
        Half widths of the bands of the draws.
    drawn : Spread
        The bands themselves.
    built : AsBuilt
        The wing as it may come out of the shop, alone and with the inputs in doubt.
    """
    design, tables = fixed_design(study, anchor, choice, variables), given_tables(study)
    variants = design_variants(study, tables, design, inputs_of(study, anchor, choice), report_progress, engine)
    nominal, drawn = variants.nominal.key_numbers, spread(variants)
    over_medians = drawn.over_medians["range_km"]
    rows = sorted((_row(study, each, nominal, over_medians) for each in variants.inputs), key=lambda row: -row.score)
    counted = [row for row in rows if not row.key.startswith(PILOTS_OWN)]
    bands = drawn.percentiles
    half = {
        name: round(0.5 * (bands[name].high - bands[name].low), 2)
        for name in ("range_km", "balance_mm", "pack_mm", "failure_load_factor")
    }
    flight: list[float] = []
    if study.known_flight is None and study.fitted is None and half["range_km"] > 0:
        report_progress("effect of one remembered flight")
        found = _after_flight(study, anchor, tables, design, variants, over_medians, engine)
        flight = [round(end, 2) for end in (found.low, found.high)]
    band = [bands["range_km"].low, bands["range_km"].high]
    first = next((row for row in counted if row.kind != "measured"), None)
    uncertainty = Uncertainty(
        **half,
        range_after_flight_km=flight,
        measure_first=measure_first(counted, band, flight, _band_without(variants, first.key) if first else ()),
        strength_first=strength_first(counted, nominal),
    )
    report_progress("the wing as it may come out of the shop")
    return rows, uncertainty, drawn, as_built_result(study, design, variants)


def drawn_wing(
    study: Study, anchor: Anchor, choice: Choice, variables: dict[str, float], report_progress: Progress
) -> Spread:
    """Return the draws of one wing, the same as those of `input_effects`, without the effects of single inputs."""
    design, tables = fixed_design(study, anchor, choice, variables), given_tables(study)
    return spread(design_variants(study, tables, design, inputs_of(study, anchor, choice), report_progress, None))


def _band_without(variants: DesignVariants, key: str) -> Sequence[float]:
    """Return both ends of the band of the range [km] with one input known."""
    others = [one for one in variants.inputs if one.input.used.key != key]
    found = spread(variants._replace(inputs=others)).percentiles["range_km"]
    return found.low, found.high


def _row(study: Study, effect: InputVariants, nominal: KeyNumbers, over_medians: float) -> InputEffect:
    """Return the changes at both ends of one input, in the units shown to the user, and a score for the ranking.

    ``over_medians`` is the range to expect over that at the medians [-]. The range changes by the same share of both.
    """

    def changes(side: VariantNumbers | None) -> list[float | None]:
        if side is None:
            return [None] * 4
        change = KeyNumbers(*np.subtract(side.key_numbers, nominal))
        lengths = in_unit(over_medians * change.range, "km"), in_unit(change.balance, "mm"), in_unit(change.pack, "mm")
        return [round(float(value), 3) for value in (*lengths, change.failure_load_factor)]

    span, balance, pack, strength = (list(ends) for ends in zip(*map(changes, effect.sides), strict=True))
    step = in_unit(_RANGE_STEP * over_medians * nominal.range, "km")
    score = larger(span) / step + larger(balance) / in_unit(_BALANCE_STEP, "mm")
    used, kind = effect.input.used, effect.input.kind
    band = used.band if kind != "measured" else f"\N{PLUS-MINUS SIGN}{str(used.high).lstrip('+')}"
    score = round(float(score), 4)
    return InputEffect(
        key=used.key,
        value=used.value,
        band=band,
        moves=used.moves,
        range_km=span,
        balance_mm=balance,
        pack_mm=pack,
        failure_load_factor=strength,
        kind=kind,
        score=score,
        name=_item_name(study, used.place),
    )


def _item_name(study: Study, place: Place) -> str:
    """Return the name or the kind of the item of an array of tables that a place lies in, or nothing."""
    if len(place) < 3 or not isinstance(place[1], int):
        return ""
    items = items_of(study, str(place[0]))
    item = items[place[1]] if place[1] < len(items) else None
    name = getattr(item, "name", None) or getattr(item, "kind", None)
    return name if isinstance(name, str) else ""


def larger(sides: _LowHigh) -> float:
    """Return the larger absolute value of two changes, or zero if none is known."""
    return max((abs(side) for side in sides if side is not None), default=0.0)


def _after_flight(
    study: Study,
    anchor: Anchor,
    tables: dict[str, Any],
    design: FixedDesign,
    before: DesignVariants,
    over_medians: float,
    engine: Engine | None,
) -> Percentiles:
    """Return the band of the range [km] with one remembered flight of the stock wing, which used the charge to expect.

    ``over_medians`` is the range to expect over that at the medians. [-] The error of that flight is an additional
    input. The effect of inputs that hardly change the range is not computed again.
    """
    stock = SpeedSweep(anchor.data, anchor.choice, anchor.variables)
    speed = anchor.variables["cruise_speed"]
    cruise = stock.power_at(speed)
    distance = _LONG_FLIGHT * float(cruise.range[0]) * over_medians
    charge = distance * float(cruise.charge_per_metre[0]) / over_medians
    flight = {
        "distance": with_unit(distance, "km", 5),
        "time": with_unit(distance / speed, "min", 5),
        "charge_used": with_unit(charge, "mAh", 2),
    }
    tables = {**tables, "known_flight": flight}
    flown = study_from_tables(tables, study.path, study.text)
    nominal = variant_numbers(flown, design)
    again = {used.key: Input(used, sides, "assumed") for used, sides in built_inputs(flown, design.choice)}

    def moves(one: InputVariants) -> bool:
        sides = [side for side in one.sides if side is not None]
        usual = before.nominal.key_numbers.range
        return any(abs(side.key_numbers.range / usual - 1) > _HARDLY for side in sides)

    inputs = [again.get(one.input.used.key, one.input) for one in before.inputs if moves(one)]
    inputs += [Input(*one, "measured") for one in flight_inputs(flown, design.choice)]
    varied = design_variants(study, tables, design, inputs, no_progress, engine, nominal)
    return spread(varied).percentiles["range_km"]


def measure_first(
    rows: list[InputEffect],
    band: Sequence[float] = (),
    after: Sequence[float] = (),
    without: Sequence[float] = (),
) -> str:
    """Return a sentence on what to measure first. ``rows`` are in order of their score.

    The others are ends of the range band [km]: as it is, with a remembered flight, and with the first input known.
    """
    open_rows = [row for row in rows if row.kind != "measured"] or rows
    if not open_rows or open_rows[0].score < 0.01:
        return ""
    row = open_rows[0]
    verb = "Measure" if row.kind != "measured" else "Everything was given; what counts most is to measure"
    again = "first" if row.kind != "measured" else "well"
    balance = f" and the balance mark by {_span(row.balance_mm, 'mm')}" if larger(row.balance_mm) >= 0.5 else ""
    sentence = f"{_named(row.key)} {again}: it moves the range by {_span(row.range_km, 'km')}{balance}."
    if not after or row.kind == "measured" or after[1] - after[0] > without[1] - without[0]:
        return f"{verb} {sentence}"
    return (
        "Before you build, write down one flight of the stock wing: its distance, time and charge, in the study file "
        f"under [known_flight]. That narrows the range band from {_ends(band)} to about {_ends(after)} km. "
        f"Of single values measure {sentence}"
    )


def _ends(band: Sequence[float]) -> str:
    return f"{band[0]:.0f}\N{EN DASH}{band[1]:.0f}"


def _named(key: str) -> str:
    key_without_number = re.sub(r"\[\d+\]", "", key)
    return f"{key} ({_HOW_TO_FIND.get(key_without_number) or key_meaning(key)})"


def strength_first(rows: list[InputEffect], nominal: KeyNumbers) -> str:
    """Return a sentence on the assumed input that changes the strength most.

    It is empty if no input changes it by a tenth.
    """
    open_rows = [row for row in rows if row.kind == "assumed"]
    row = max(open_rows, key=lambda row: larger(row.failure_load_factor), default=None)
    if row is None or larger(row.failure_load_factor) < 0.1 * nominal.failure_load_factor:
        return ""
    return (
        f"For strength find out {_named(row.key)} first: it moves the load factor at which the wing breaks, "
        f"{nominal.failure_load_factor:.1f}, by {_span(row.failure_load_factor, '', 1).strip()}."
    )


def _span(sides: _LowHigh, unit: str, digits: int = 1) -> str:
    known = sorted({round(side, digits) + 0.0 for side in sides if side is not None})
    if len(known) == 2 and known[0] <= 0 <= known[1] and 0.0 in known:
        known.remove(0.0)
    words = " to ".join(f"{side:+.{digits}f}" if side else "0" for side in known)
    return f"{words} {unit}".replace("-", "\N{MINUS SIGN}")
