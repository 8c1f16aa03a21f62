"""Comparison of every propeller, motor and pack of a study on one wing of fixed shape and static margin.

The mass of a motor or pack changes weight, stall, drag and the required place of the pack.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.anchor.calibration import Anchor, stretched_data
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.evaluation import pack_places
from tradestudy.aircraft.model.model_data import movable_mass
from tradestudy.aircraft.model.pack_fit import pack_fault, pack_reach
from tradestudy.aircraft.model.speed_sweep import NeverFlies
from tradestudy.aircraft.shape.gear_items import movable_range
from tradestudy.physics.air import GRAVITY
from tradestudy.quantities import at_edge, in_unit, rounded
from tradestudy.quantities.objectives import PURPOSES
from tradestudy.results.club import ComparedParts
from tradestudy.study.schema.study import Study

from .drive import rating_shares
from .pilot_card import FEWEST, flyable, flyable_speeds

_SPEEDS = 2000  # speeds, interpolated in the speed card, among which the best is chosen
_TOLERANCE = 5e-4  # m; distance within which a pack counts as in its place


class PartCombination(NamedTuple):
    """One combination of propeller, motor and pack: their names in the table, and their choice."""

    names: dict[str, Any]
    choice: Choice


def part_combinations(study: Study, choice: Choice) -> list[PartCombination]:
    """Return every combination of the study's propellers, motors and packs."""
    cell = f"{study.pack.series}S{{}}P {study.pack.cell}"
    propellers = dict.fromkeys((choice.propeller, study.propeller.size, *(study.choices.propeller or ())))
    parallels = dict.fromkeys((choice.parallel, *(study.choices.parallel or ())))
    motors = {"": "the wing's own", **{one.name: one.name for one in study.motor_choice}}
    packs = [(cell.format(parallel), "", study.pack.series, parallel) for parallel in parallels]
    packs += [(one.name, one.name, one.series, one.parallel) for one in study.pack_choice]
    return [
        PartCombination(
            {"propeller": propeller, "motor": motors[motor], "pack": words},
            replace(choice, propeller=propeller, motor=motor, pack=pack, series=series, parallel=parallel),
        )
        for propeller, motor, (words, pack, series, parallel) in product(propellers, motors, packs)
    ]


def parts_comparison(
    study: Study, anchor: Anchor, choice: Choice, variables: dict[str, float], slowest: float
) -> list[ComparedParts]:
    """Return one row for each combination, with the best for the purpose first.

    ``slowest`` is the speed at which no strip may stall [m/s].
    """
    rows, wing = [], EvaluatedDesign(study, stretched_data(study, anchor, choice, slowest), choice, variables)
    study, choice = wing.study, replace(choice, layout="", raised_lid=0.0)  # all packs have the bay of this wing
    for parts in part_combinations(study, choice):
        data = stretched_data(study, anchor, parts.choice, slowest)
        design = EvaluatedDesign(study, data, parts.choice, variables)
        rows.append(ComparedParts(**parts.names | _row(design), own=parts.choice == choice))
    return sorted(rows, key=lambda row: (bool(row.violations), -(row.gain or 0.0)))


def _row(design: EvaluatedDesign) -> dict[str, Any]:
    fault = pack_fault(design.study, design.choice)
    breaks = [fault] if fault else _balance_fault(design)
    try:
        card = design.speed_card
    except NeverFlies:
        return {"gain": None, "violations": [*breaks, "at no speed does it fly without stalling somewhere"]}
    if flyable(card).sum() < FEWEST:
        return {"gain": None, "violations": [*breaks, "its thrust is not enough for a cruise"]}
    numbers, more = _numbers(design)
    return {**rounded(numbers, 5), "violations": breaks + more}


def _numbers(design: EvaluatedDesign) -> tuple[dict[str, Any], list[str]]:
    """Return the numbers of one combination, and the ratings and limits that it violates."""
    study, card, weight = design.study, design.speed_card, float(design.shape.all_up_mass)
    speeds = flyable_speeds(card)
    fine = np.linspace(speeds[0], speeds[-1], _SPEEDS)
    purpose = PURPOSES[study.fly.purpose]
    best = float(fine[np.argmax(card.at(purpose.output, fine))])
    at = {name: float(card.at(name, best)) for name in card.columns}
    standing, weakest = design.full_throttle(0.0), design.full_throttle(best, design.data.power.reserve)
    climb = (float(weakest.shaft.thrust[0]) - at["drag"]) * best / (weight * GRAVITY)
    pack_current, motor_current = float(standing.pack_current[0]), float(standing.shaft.motor_current[0])
    shares = rating_shares(design, standing)
    ratings = {name: float(shares[name][0]) for name in ("motor", "controller", "cells")}
    first = max(ratings, key=lambda name: ratings[name])
    breaks = [
        f"full throttle is {in_unit(share, '%'):.0f} % of what the {name} may carry"
        for name, share in ratings.items()
        if share > 1
    ]
    if climb < study.limits.climb:
        breaks.append(f"climbs {climb:.1f} m/s at the end of the flight, {study.limits.climb:.1f} is required")
    return at_edge(
        gain=purpose.quantity.in_unit(at[purpose.output]),
        range_km=at["range"],
        speed_kmh=best,
        hold_a=at["current"],
        top_speed_kmh=card.top_speed,
        stall_speed_kmh=card.stall_speed,
        thrust_to_weight=float(standing.shaft.thrust[0]) / (weight * GRAVITY),
        climb_ms=climb,
        full_throttle_current_a=pack_current,
        full_throttle_motor_current_a=motor_current,
        w_per_kg=pack_current * float(standing.pack_voltage[0]) / weight,
        wing_loading_g_dm2=weight / float(design.shape.area),
        auw_g=weight,
        first_rating=first,
        first_rating_pct=ratings[first],
    ), breaks


def _balance_fault(design: EvaluatedDesign) -> list[str]:
    """Return a phrase on how far its pack is from the required place, with the movable equipment at its best place."""
    study, shape = design.study, design.shape
    place = float(pack_places(design.wings))
    _, front, back = movable_range(study)
    share = movable_mass(study) / float(shape.sliding_mass)  # equipment moved aft moves the pack forward by this ratio
    places = (
        [place - share * (end - design.variables["equipment_position"]) for end in (front, back)]
        if back > front
        else [place, place]
    )
    low, high = pack_reach(study, design.choice)
    if min(places) <= high + _TOLERANCE and max(places) >= low - _TOLERANCE:
        return []
    ahead = max(places) < low
    short = low - max(places) if ahead else min(places) - high
    return [
        f"its pack would have to sit {in_unit(short, 'mm'):.0f} mm farther {'forward' if ahead else 'back'} "
        "than its bay allows"
    ]
