"""What each input is worth: which one measurement would sharpen the answer most, every input at both ends of its band.

`variants` holds the design and ties each variant to the stock wing; here they are ranked and told.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any

import numpy as np

from tradestudy.aircraft.anchor.calibration import Anchor
from tradestudy.aircraft.anchor.drag_calibration import FLIGHT_SPREAD
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.quantities import in_unit, with_unit
from tradestudy.results.inputs import InputEffect, Uncertainty, _LowHigh
from tradestudy.study.line_numbers import Place
from tradestudy.study.reader import study_from_tables
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.study.schema.study import Study, key_meaning

from .variants import (
    PILOTS_OWN,
    Effect,
    Held,
    Input,
    Looked,
    Numbers,
    Varied,
    effect,
    effects,
    given_tables,
    held_design,
    inputs_of,
    looked_at,
)

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


def worth(
    study: Study, anchor: Anchor, choice: Choice, variables: dict[str, float], tell: Callable[[str], None]
) -> tuple[list[InputEffect], Uncertainty, Varied]:
    """Return what each open or measured input is worth, most first, the band of the whole answer, and every effect.

    Parameters
    ----------
    choice, variables
        The stretched design to look at, SI. What may be open is read from ``study.defaults_used``.
    tell
        Hears how far it has come.

    Returns
    -------
    rows : list of InputEffect
    uncertainty : Uncertainty
        Half widths of the answer are the root of the sum of squares of each input's larger side.
    varied : Varied
        What each input makes of the design, for `spread`.
    """
    held, tables = held_design(study, anchor, choice, variables), given_tables(study)
    varied = effects(study, tables, held, inputs_of(study, anchor), tell)
    nominal = varied.nominal.numbers
    rows = sorted((_worth_of(each, varied.nominal) for each in varied.effects), key=lambda row: -row.score)
    counted = [row for row in rows if not row.key.startswith(PILOTS_OWN)]
    total = {
        name: round(root_of_squares(getattr(row, name) for row in counted), 2)
        for name in ("range_km", "balance_mm", "pack_mm", "failure_load_factor")
    }
    flight = None
    if study.known_flight is None and study.fitted is None and total["range_km"] > 0:
        tell("what one remembered flight would be worth")
        inputs = {each.input.used.key: each.input for each in varied.effects}
        flight = round(after_flight(study, anchor, tables, held, inputs, counted), 2)
    scatter = in_unit(nominal.range * varied.nominal.scatter, "km")
    uncertainty = Uncertainty(
        **total,
        model_range_km=round(scatter, 2),
        range_km_after_flight=flight,
        measure_first=measure_first(counted, total["range_km"], flight),
        strength_first=strength_first(counted, nominal),
    )
    return rows, uncertainty, varied


def _worth_of(each: Effect, nominal: Looked) -> InputEffect:
    before = nominal.numbers
    changes = [None if found is None else Numbers(*np.subtract(found.numbers, before)) for found in each.sides]
    scaled = [
        None
        if found is None
        else (
            in_unit(found.range, "km"),
            in_unit(found.balance, "mm"),
            in_unit(found.pack, "mm"),
            found.failure_load_factor,
        )
        for found in changes
    ]
    low, high = ((None,) * 4 if one is None else tuple(round(float(value), 3) for value in one) for one in scaled)
    moved = [[*ends] for ends in zip(low, high, strict=True)]
    score = larger(moved[0]) / in_unit(RANGE_STEP * before.range, "km") + larger(moved[1]) / in_unit(BALANCE_STEP, "mm")
    used = each.input.used
    band = used.band if each.input.kind != "measured" else f"\N{PLUS-MINUS SIGN}{str(used.high).lstrip('+')}"
    return InputEffect(
        used.key,
        used.value,
        band,
        used.moves,
        moved[0],
        moved[1],
        moved[2],
        moved[3],
        each.input.kind,
        round(float(score), 4),
    )


def larger(sides: _LowHigh) -> float:
    """Return the size of the larger of two changes, zero where none is known."""
    return max((abs(side) for side in sides if side is not None), default=0.0)


def after_flight(
    study: Study, anchor: Anchor, tables: dict[str, Any], held: Held, inputs: dict[str, Input], rows: list[InputEffect]
) -> float:
    """Return the half width of the range [km] as it would be with one flight remembered, such as the model expects.

    The flight's own spread counts as one more input. Inputs that hardly move the range keep what they are worth.
    """
    stock = SpeedSweep(anchor.data, anchor.choice, anchor.variables)
    speed = anchor.variables["cruise_speed"]
    cruise = stock.power_at(speed)
    distance = LONG_FLIGHT * float(cruise.range[0])
    charge = distance * float(cruise.charge_per_metre[0])
    tables = {
        **tables,
        "known_flight": {
            "distance": with_unit(distance, "km", 5),
            "time": with_unit(distance / speed, "min", 5),
            "charge_used": with_unit(charge, "mAh", 2),
        },
    }
    nominal = looked_at(study_from_tables(tables, study.path, study.text), held)

    def moves(one: Input) -> _LowHigh:
        return _worth_of(effect(study, tables, held, one, nominal), nominal).range_km

    least = in_unit(nominal.numbers.range * HARDLY, "km")
    left = [moves(inputs[row.key]) if larger(row.range_km) > least else row.range_km for row in rows]
    sides: list[dict[Place, Any]] = [
        {CHARGE_USED: with_unit(charge * (1 + off), "mAh", 2)} for off in (-FLIGHT_SPREAD, FLIGHT_SPREAD)
    ]
    used = DefaultUsed("known_flight.charge_used", "", "", place=CHARGE_USED)
    left.append(moves(Input(used, (sides[0], sides[1]), "measured")))
    return root_of_squares(left)


def root_of_squares(changes: Iterable[_LowHigh]) -> float:
    """Return the root of the sum of squares of the larger side of every change."""
    return float(np.sqrt(sum(larger(sides) ** 2 for sides in changes)))


def measure_first(rows: list[InputEffect], band: float = 0.0, after: float | None = None) -> str:
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
    return (
        f"Remember one flight first, its distance, time and charge in [known_flight]: that takes the band of the "
        f"range from \N{PLUS-MINUS SIGN}{band:.0f} to \N{PLUS-MINUS SIGN}{after:.0f} km. Of single values "
        f"measure {told}"
    )


def _named(key: str) -> str:
    plain_key = re.sub(r"\[\d+\]", "", key)
    return f"{key} ({HOW_TO_FIND.get(plain_key) or key_meaning(key)})"


def strength_first(rows: list[InputEffect], nominal: Numbers) -> str:
    """Return which open input moves the strength most, in a sentence; empty where none moves it by a tenth."""
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
