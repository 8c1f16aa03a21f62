"""How one design is launched: by a throw, or at which speed off a bungee, a dolly or wheels."""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.limit_bounds import LAUNCH_OVER_STALL, LEAST_HEIGHT_LEFT
from tradestudy.physics.flight.launch import BUNGEE_SPEED, HELD_LIFT, THROW_SPREAD
from tradestudy.quantities import at_edge


def launch_numbers(design: EvaluatedDesign) -> dict[str, Any]:
    """Return the numbers of `DesignNumbers` about the launch. The elevon is that which holds HELD_LIFT of the stall."""
    fly, thrown, stall = design.study.fly, design.evaluation.launch, design.speed_card.stall.speed
    way = fly.launch or ("bungee" if fly.launch_speed or not _can_be_thrown(design) else "hand")
    throw = float(thrown.throw_speed) if thrown is not None and way == "hand" else None
    speed = fly.launch_speed or (BUNGEE_SPEED if way == "bungee" else None)
    held = design.level(stall / np.sqrt(HELD_LIFT))
    chord = design.data.layout.stock.elevon_chord
    return {
        "launch_way": way,
        **at_edge(
            launch_speed_kmh=speed if throw is None else throw,
            throw_low_kmh=None if throw is None else (1 - THROW_SPREAD) * throw,
            throw_high_kmh=None if throw is None else (1 + THROW_SPREAD) * throw,
            least_launch_speed_kmh=LAUNCH_OVER_STALL * stall,
            launch_angle_deg=fly.launch_angle if throw is not None else None,
            launch_delay_s=fly.launch_delay if throw is not None else None,
            launch_height_left_m=float(thrown.launch_height_left) if thrown is not None else None,
            launch_elevon_mm=float(chord * np.sin(held.elevon[0])),
        ),
    }


def _can_be_thrown(design: EvaluatedDesign) -> bool:
    thrown = design.evaluation.launch
    return thrown is not None and float(thrown.launch_height_left) >= LEAST_HEIGHT_LEFT
