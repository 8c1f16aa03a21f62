"""How one design is launched: by a throw, or at which speed off a bungee, a dolly or wheels."""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.evaluation import thrown as thrown_designs
from tradestudy.aircraft.model.limit_bounds import LAUNCH_OVER_STALL, LEAST_HEIGHT_LEFT, MET_ABOVE
from tradestudy.physics.flight.launch import BUNGEE_SPEED, HELD_LIFT, THROW_SPREAD
from tradestudy.quantities import at_edge, with_unit

_TOUCHES = 0.2  # m; less height than this is none over grass; judgement


def launch_numbers(design: EvaluatedDesign) -> dict[str, Any]:
    """Return the numbers of `DesignNumbers` about the launch. The elevon is that which holds HELD_LIFT of the stall."""
    fly, thrown, stall = design.study.fly, design.evaluation.launch, design.speed_card.stall.speed
    way = launch_way_of(design)
    held = design.level(stall / np.sqrt(HELD_LIFT))
    numbers: dict[str, float | None] = {
        "launch_speed_kmh": fly.launch_speed or (BUNGEE_SPEED if way == "bungee" else None),
        "least_launch_speed_kmh": LAUNCH_OVER_STALL * stall,
        "launch_elevon_mm": float(design.data.layout.stock.elevon_chord * np.sin(held.elevon[0])),
    }
    if thrown is not None:
        numbers["launch_height_left_m"] = float(thrown.launch_height_left)
    if thrown is not None and way == "hand":
        throw = float(thrown.throw_speed)
        numbers |= {
            "launch_speed_kmh": throw,
            "throw_low_kmh": (1 - THROW_SPREAD) * throw,
            "throw_high_kmh": (1 + THROW_SPREAD) * throw,
            "launch_angle_deg": fly.launch_angle,
            "launch_delay_s": fly.launch_delay,
            "weak_throw_height_left_m": _left_by_a_weak_throw(design, throw),
        }
    return {"launch_way": way, **at_edge(**numbers)}


def launch_way_of(design: EvaluatedDesign) -> str:
    """Return how a design is launched: the study's way, or else by hand if it can be thrown, and if not off a bungee.

    Near the bound it counts as thrown, as a limit on it counts as met.
    """
    if design.study.fly.launch:
        return design.study.fly.launch
    left = design.evaluation.launch and float(design.evaluation.launch.launch_height_left)
    return "bungee" if left is None or _too_low(left) else "hand"


def launch_flags(design: EvaluatedDesign) -> list[str]:
    """Return a sentence if a throw is too slow, or if a weak one would be."""
    thrown = design.evaluation.launch
    if thrown is None:
        return []
    bungee = with_unit(LAUNCH_OVER_STALL * design.speed_card.stall.speed, "km/h")
    throw = float(thrown.throw_speed)
    if _too_low(float(thrown.launch_height_left)):
        return [
            f"a throw of {with_unit(throw, 'km/h')} does not make it fly: launch it off a bungee or a dolly that gives "
            f'{bungee} or more (fly.launch = "bungee")'
        ]
    if _left_by_a_weak_throw(design, throw) < _TOUCHES:
        return [
            f"a throw weaker than {with_unit(throw, 'km/h')} lets it touch the ground: a bungee that gives {bungee} is "
            'surer, and with fly.launch = "bungee" the throw limits nothing'
        ]
    return []


def _too_low(height_left: float) -> bool:
    return height_left <= LEAST_HEIGHT_LEFT + MET_ABOVE


def _left_by_a_weak_throw(design: EvaluatedDesign, throw: float) -> float:
    """Return the height left [m] at the low end of what people throw, whose middle is ``throw`` [m/s]."""
    weak = thrown_designs(design.data, design.evaluation, (1 - THROW_SPREAD) * throw)
    return float(weak.launch_height_left)
