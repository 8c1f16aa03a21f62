"""Where a design leaves the tabulated section data, in words: which strip, which flight, how far."""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.aircraft.model.speed_sweep import SpeedCard, SpeedSweep
from tradestudy.physics.flight import trimmed_flight
from tradestudy.physics.sections import polar
from tradestudy.quantities import in_unit

FLIGHT_WORDS = {
    "cruise": "cruise",
    "slow": "flight at cruise speed over 1.3",
    "launch": "the slowest flight asked for",
    "full_speed": "flight at full speed",
}
# where drag counts; in the other two only the stall is looked at, which lies beyond the usable lift by its nature
DRAG_COUNTS = [trimmed_flight.LEVEL_CONDITIONS.index(name) for name in ("cruise", "full_speed")]


def table_flags(flown: SpeedSweep, values: dict[str, Any]) -> list[str]:
    """Return one sentence for each kind of departure in the level flights of a design, at its worst strip."""
    beyond = _beyond(flown, *(values[name] for name in ("lift_coefficient", "log_reynolds", "strip_deflection")))
    lift = np.zeros_like(beyond.lift_coefficient)
    lift[DRAG_COUNTS] = beyond.lift_coefficient[DRAG_COUNTS]
    mesh = flown.solution.mesh
    found = []
    for kind, amount in (
        ("log_reynolds", beyond.log_reynolds),
        ("strip_deflection", beyond.deflection),
        ("lift_coefficient", lift),
    ):
        outside = np.abs(amount)
        if outside.max() <= 0:
            continue
        condition, strip = np.unravel_index(int(outside.argmax()), outside.shape)
        others = [
            FLIGHT_WORDS[name]
            for name, row in zip(trimmed_flight.LEVEL_CONDITIONS, outside, strict=True)
            if row.any() and name != trimmed_flight.LEVEL_CONDITIONS[condition]
        ]
        also = f"; also in {' and '.join(others)}" if others else ""
        found.append(
            f"in {FLIGHT_WORDS[trimmed_flight.LEVEL_CONDITIONS[condition]]} the strip "
            f"{in_unit(mesh.middle[strip, 1], 'mm'):.0f} mm "
            f"from the centre line leaves the section tables: "
            f"{_how_far(kind, float(values[kind][condition, strip]), float(amount[condition, strip]))}{also}"
        )
    return found


def card_flags(flown: SpeedSweep, card: SpeedCard) -> list[str]:
    """Return a sentence where part of the speed card lies outside the section tables."""
    found = flown.level(card.speed)
    beyond = _beyond(flown, found.lift_coefficient, found.log_reynolds, found.strip_deflection)
    outside = np.any([amount != 0 for amount in beyond], axis=(0, -1))
    if not outside.any():
        return []
    inside = card.speed[~outside]
    told = "all"
    if inside.size:
        slow, fast = in_unit(inside.min(), "km/h"), in_unit(inside.max(), "km/h")
        told = f"all but {slow:.0f} to {fast:.0f} km/h"
    return [f"{told} of the speed card lies outside the section tables: drag and range are a smooth continuation there"]


def _beyond(flown, lift_coefficient, log_reynolds, strip_deflection) -> polar.TableExcess:
    return polar.table_excess(flown.data.flight.table, lift_coefficient, log_reynolds, strip_deflection)


def _how_far(kind: str, value: float, amount: float) -> str:
    if kind == "log_reynolds":
        edge = np.exp(value - amount)
        return (
            f"Reynolds number {np.exp(value):.0f}, the tables {'start' if amount < 0 else 'end'} at {edge:.0f}; "
            "drag and stall are held near that edge"
        )
    if kind == "strip_deflection":
        told, end = in_unit(value, "deg"), in_unit(value - amount, "deg")
        return f"elevon {told:+.1f} deg, the tables end at {end:+.0f} deg; drag and stall are held near that edge"
    return (
        f"lift coefficient {value:.2f}, usable up to {value - amount:.2f}; its drag is a steep continuation, not data"
    )
