"""Propellers, motors and packs against each other on one and the same wing: its shape and static margin are kept.

What a motor or pack weighs more or less counts in weight, stall and drag, and in where the pack must sit.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.anchor.calibration import Anchor, stretched_data
from tradestudy.aircraft.model.choices import Choice, study_with_choice
from tradestudy.aircraft.model.limit_bounds import pack_fault, pack_reach
from tradestudy.aircraft.model.model_data import movable_mass, movable_range
from tradestudy.aircraft.model.speed_sweep import NeverFlies, SpeedCard, SpeedSweep
from tradestudy.physics.aero import trim
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.propulsion import drive_train
from tradestudy.physics.weights import mass
from tradestudy.quantities import at_edge, in_unit, rounded
from tradestudy.quantities.objectives import PURPOSES
from tradestudy.results.club import ComparedParts
from tradestudy.study.schema.study import Study

from .pilot_card import FEWEST, flyable, flyable_speeds

STEPS = 2000  # of speed, among which the best is looked for
SLACK = 5e-4  # m, in which a pack is as good as in its place


class Parts(NamedTuple):
    """One propeller, motor and pack together: what they are called, and the choice that holds them."""

    names: dict[str, Any]
    choice: Choice


def combinations(study: Study, choice: Choice) -> list[Parts]:
    """Return every propeller of the study with every motor and every pack."""
    cell = f"{study.pack.series}S{{}}P {study.pack.cell}"
    propellers = dict.fromkeys((choice.propeller, study.propeller.size, *(study.choices.propeller or ())))
    parallels = dict.fromkeys((choice.parallel, *(study.choices.parallel or ())))
    motors = {"": "the wing's own", **{one.name: one.name for one in study.motor_choice}}
    packs = [(cell.format(parallel), "", study.pack.series, parallel) for parallel in parallels]
    packs += [(one.name, one.name, one.series, one.parallel) for one in study.pack_choice]
    return [
        Parts(
            {"propeller": propeller, "motor": motors[motor], "pack": words},
            replace(choice, propeller=propeller, motor=motor, pack=pack, series=series, parallel=parallel),
        )
        for propeller, motor, (words, pack, series, parallel) in product(propellers, motors, packs)
    ]


def parts_comparison(
    study: Study, anchor: Anchor, choice: Choice, variables: dict[str, float], slowest: float
) -> list[ComparedParts]:
    """Return one row for each combination, best for the purpose first."""
    rows = [
        ComparedParts(**parts.names | _row(study, parts, anchor, variables, slowest), own=parts.choice == choice)
        for parts in combinations(study, choice)
    ]
    return sorted(rows, key=lambda row: (bool(row.violations), -(row.gain or 0.0)))


def _row(study: Study, parts: Parts, anchor: Anchor, variables: dict[str, float], slowest: float) -> dict[str, Any]:
    choice = parts.choice
    data, study = stretched_data(study, anchor, choice, slowest), study_with_choice(study, choice)
    flown = SpeedSweep(data, choice, variables)
    fault = pack_fault(study, choice)
    breaks = [fault] if fault else _balance(study, flown, variables["equipment_position"])
    try:
        card = flown.card()
    except NeverFlies:
        return {"gain": None, "violations": [*breaks, "it never flies without stalling somewhere"]}
    if flyable(card).sum() < FEWEST:
        return {"gain": None, "violations": [*breaks, "its thrust does not do for a cruise"]}
    numbers, more = _flown(study, flown, card)
    return {**rounded(numbers, 5), "violations": breaks + more}


def _flown(study: Study, flown: SpeedSweep, card: SpeedCard) -> tuple[dict[str, Any], list[str]]:
    """The numbers of one combination, and which ratings and limits it breaks."""
    data, train, weight = flown.data.power, flown.powertrain, float(flown.shape.all_up_mass)
    speeds = flyable_speeds(card)
    fine = np.linspace(speeds[0], speeds[-1], STEPS)
    purpose = PURPOSES[study.fly.purpose]
    best = float(fine[np.argmax(card.at(purpose.output, fine))])
    drag, at = float(card.at("drag", best)), {name: float(card.at(name, best)) for name in card.columns}
    standing = drive_train.full_throttle(train, np.zeros(1), data.air_density, 1.0, data.avionics_power)
    weakest = drive_train.full_throttle(train, np.atleast_1d(best), data.air_density, data.reserve, data.avionics_power)
    climb = (float(weakest.shaft.thrust[0]) - drag) * best / (weight * GRAVITY)
    pack_current, motor_current = float(standing.pack_current[0]), float(standing.shaft.motor_current[0])
    cells = study.pack.cell_numbers["maximum_current"] * flown.choice.parallel
    ratings = {
        "motor": motor_current / study.motor.maximum_current,
        "controller": motor_current / study.controller.maximum_current,
        "cells": pack_current / cells,
    }
    first = max(ratings, key=lambda name: ratings[name])
    breaks = [
        f"full throttle is {in_unit(share, '%'):.0f} % of what the {name} may carry"
        for name, share in ratings.items()
        if share > 1
    ]
    if climb < study.limits.climb:
        breaks.append(f"climbs {climb:.1f} m/s at the end of the flight, {study.limits.climb:.1f} is asked")
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
        wing_loading_g_dm2=weight / float(flown.shape.area),
        auw_g=weight,
        first_rating=first,
        first_rating_pct=ratings[first],
    ), breaks


def _balance(study: Study, flown: SpeedSweep, equipment_position: float) -> list[str]:
    """Why its pack cannot sit where the balance wants it, if it cannot, whatever else may move on board."""
    shape, solution = flown.shape, flown.solution
    mean_chord = solution.areas.mean_aerodynamic_chord
    mark = trim.balance_points(solution.unit, mean_chord, flown.static_margin).centre_of_gravity
    place = float(mass.pack_position(mark, shape.all_up_mass, shape.moment_without_pack, shape.pack_mass))
    _, front, back = movable_range(study)
    share = movable_mass(study) / float(shape.pack_mass)  # gear moved aft lets the pack go forward
    places = [place - share * (end - equipment_position) for end in (front, back)] if back > front else [place, place]
    low, high = pack_reach(study, flown.choice)
    if min(places) <= high + SLACK and max(places) >= low - SLACK:
        return []
    ahead = max(places) < low
    short = low - max(places) if ahead else min(places) - high
    return [
        f"its pack would have to sit {in_unit(short, 'mm'):.0f} mm farther {'forward' if ahead else 'back'} "
        "than its bay lets it"
    ]
