"""Many designs of one propeller at once: what the model tells of each, without its slopes.

The doors of `aircraft.components` take one design at a time; the physics behind them takes any number. Only the
lattice is solved wing by wing, and only once for designs that share a wing.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY
from tradestudy.physics.flight import control, layout, level_drag, power, strength, trimmed_flight
from tradestudy.physics.geometry import fins
from tradestudy.physics.weights import mass
from tradestudy.quantities.objectives import PURPOSES, Purpose
from tradestudy.quantities.variables import VARIABLES

from .choices import Choice
from .model_data import ModelData

WING = ("extension", "sweep", "washout")
SPEEDS = 13  # looked at for the best cruise speed, three times, each time closer
CLOSER = 3
N_LEVEL = len(trimmed_flight.LEVEL_CONDITIONS)


class Batch(NamedTuple):
    """Designs side by side: ``choices`` (n) of one propeller, and columns (n,) of every variable, SI."""

    choices: list[Choice]
    variables: dict[str, np.ndarray]

    def bought(self, name: str) -> np.ndarray:
        """Return a column (n,) of what is bought, as floats."""
        return np.array([float(getattr(choice, name)) for choice in self.choices])


class _Wings(NamedTuple):
    """The designs' wings, solved, and what they weigh."""

    solution: trimmed_flight.Solution
    shape: dict[str, np.ndarray]


def evaluated(data: ModelData, batch: Batch, usual: bool = True) -> dict[str, np.ndarray]:
    """Return every output of the model that limits and purposes ask for, as name -> (n, ...), SI."""
    return _flown(data, batch, _wings(data, batch), usual)


def at_best_speed(data: ModelData, batch: Batch, purpose: str, fastest: float,
                  usual: bool = True) -> tuple[Batch, dict[str, np.ndarray]]:
    """Return the designs at the cruise speeds that serve a purpose best, and what `evaluated` tells of them.

    No slower than 1.3 times the slowest trimmed flight, no faster than ``fastest`` [m/s]. A design that stalls at any
    speed keeps the one it came with.
    """
    wings = _wings(data, batch)
    speed, known = _best_speed(data, batch, wings, PURPOSES[purpose], fastest)
    speed = np.where(known, speed, batch.variables["cruise_speed"])
    chosen = batch._replace(variables=batch.variables | {"cruise_speed": speed})
    return chosen, _flown(data, chosen, wings, usual)


def _wings(data: ModelData, batch: Batch) -> _Wings:
    """Solve every distinct wing once."""
    extension, sweep, washout = (batch.variables[name] for name in WING)
    shape = layout.laid_out(data.layout, extension, sweep, washout, batch.bought("rod_diameter"),
                            batch.bought("rod_pairs"), batch.bought("series"), batch.bought("parallel"),
                            batch.variables["equipment_position"])
    columns = np.stack([batch.variables[name] for name in WING], axis=-1)
    distinct, place = np.unique(columns, axis=0, return_inverse=True)
    solved = [trimmed_flight.unit_solution(data.flight, np.asarray(d), np.asarray(s), np.asarray(w), strips=True)
              for d, s, w in distinct]
    return _Wings(_stacked([solved[index] for index in np.ravel(place)]), shape)


def _stacked(parts: list[Any]) -> Any:
    """Lay equal structures of arrays side by side along a new first axis; what is no number is the same in all."""
    first = parts[0]
    if isinstance(first, tuple):
        columns = [_stacked(list(column)) for column in zip(*parts, strict=True)]
        return type(first)(*columns) if hasattr(first, "_fields") else tuple(columns)
    if isinstance(first, (np.ndarray, float)):
        return np.stack([np.asarray(part) for part in parts])
    return first


def _flown(data: ModelData, batch: Batch, wings: _Wings, usual: bool) -> dict[str, np.ndarray]:
    shape, speed = wings.shape, batch.variables["cruise_speed"]
    extension, sweep, washout = (batch.variables[name] for name in WING)
    diameter, pairs = batch.bought("rod_diameter"), batch.bought("rod_pairs")
    found = trimmed_flight.flown_from(
        data.flight, wings.solution, shape["all_up_mass"], batch.variables["static_margin"], speed
    )
    beam = strength.half_wing(data.strength, extension, sweep, washout, diameter, pairs)
    found |= control.softness(data.flight, wings.solution, beam)
    section_drag, margin = level_drag.strip_state(data.level, found["lift_coefficient"], found["log_reynolds"],
                                             found["strip_deflection"])
    drag_area = _drag_area(data, section_drag[0], found, shape, speed)
    built = strength.wing_structure(data.strength, extension, sweep, washout, diameter, pairs,
                                    found["load_factor"][:, N_LEVEL:], found["strip_lift"], found["strip_moment"])
    centre, area = found["centre_of_gravity"], shape["area"]
    return found | shape | {
        "stall_margin": margin[0], "drag_area": drag_area,
        "utilisation": built.greatest_utilisation, "failure_load_factor": built.failure_load_factor,
        "deflection_share": strength.deflection_share(data.strength, extension, built.tip_deflection),
        "pack_position": mass.pack_position(centre, shape["all_up_mass"], shape["moment_without_pack"],
                                            shape["pack_mass"]),
        "fin_volume": fins.fin_volume(shape["fin_side_area"], shape["fin_quarter_chord"] - centre, area, shape["span"]),
    } | power.powered(data.power, speed, drag_area, shape["all_up_mass"], batch.bought("series"),
                      batch.bought("parallel"), usual=usual)


def _drag_area(data: ModelData, section_drag, found, shape, speed) -> np.ndarray:
    other = level_drag.other_drag_area(data.level, shape["area"], shape["fin_area"], shape["fin_mean_chord"], speed)
    return level_drag.drag_area(data.level, section_drag, found["strip_area"][..., None, :], found["induced_drag_area"],
                           other)


def _best_speed(data: ModelData, batch: Batch, wings: _Wings, purpose: Purpose,
                fastest: float) -> tuple[np.ndarray, np.ndarray]:
    """Return the best cruise speeds (n,) [m/s] and where there is one: tables of speeds that close in, all at once."""
    weight, area = wings.shape["all_up_mass"], wings.shape["area"]
    guess = np.sqrt(2 * weight * GRAVITY / (data.flight.air_density * area))
    low, high = 0.7 * guess, np.minimum(3.5 * guess, fastest)
    known = np.zeros(len(guess), dtype=bool)
    best = low
    for _ in range(CLOSER):
        speed = low + np.linspace(0, 1, SPEEDS)[:, None] * (high - low)
        gain, margin = (np.stack(column) for column in zip(
            *(_cruising(data, batch, wings, purpose, row) for row in speed), strict=True))
        top, known = _top(speed, gain, margin)
        width = (high - low) / (SPEEDS - 1)
        best = np.where(known, top, best)
        low, high = best - 1.5 * width, np.minimum(best + 1.5 * width, fastest)
    return best, known


def _top(speed: np.ndarray, gain: np.ndarray, margin: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return where each column's gain is greatest among speeds that leave a stall margin, and whether any does.

    A parabola through the three best, but not below where the margin, straight between two speeds, vanishes.
    """
    columns = np.arange(gain.shape[1])
    free = margin > 0
    highest = np.where(free, gain, -np.inf).argmax(axis=0)
    inner = np.clip(highest, 1, len(gain) - 2)
    before, peak, after = (gain[inner + move, columns] for move in (-1, 0, 1))
    bend = before - 2 * peak + after
    step = speed[1] - speed[0]
    shift = np.where(bend < 0, 0.5 * (before - after) / np.where(bend < 0, bend, -1.0), 0.0)
    best = np.clip(speed[inner, columns] + np.clip(shift, -1, 1) * step, speed[0], speed[-1])
    first = free.argmax(axis=0)
    held = np.maximum(first, 1)
    under, over = margin[held - 1, columns], margin[held, columns]
    crossing = (first > 0) & (over > under)
    back = step * under / np.where(crossing, over - under, 1.0)
    slowest = np.where(crossing, speed[held - 1, columns] - back, speed[0])
    return np.maximum(best, slowest), np.asarray(free.any(axis=0))


def _cruising(data: ModelData, batch: Batch, wings: _Wings, purpose: Purpose, speed: np.ndarray):
    """Return what a purpose wants most of, and the least stall margin at 1.3 times slower, (n,) each."""
    mass_ = wings.shape["all_up_mass"]
    found = trimmed_flight.flown_with(data.flight, wings.solution, mass_, batch.variables["static_margin"], speed)
    section_drag, margin = level_drag.strip_state(
        data.level, *(found[name][:, :2] for name in ("lift_coefficient", "log_reynolds", "strip_deflection")))
    section = np.concatenate([section_drag[0], 0 * section_drag[0]], axis=1)  # cruise and slow are all that is read
    area = _drag_area(data, section[:, :N_LEVEL], found, wings.shape, speed)
    told = power.powered(data.power, speed, area, mass_, batch.bought("series"), batch.bought("parallel"),
                         usual=purpose.output == "usual_time")
    return told[purpose.output], margin[0][:, 1].min(axis=-1)


def columns(variables: list[dict[str, float]]) -> dict[str, np.ndarray]:
    """Return variables of designs as columns (n,)."""
    return {name: np.array([each[name] for each in variables], dtype=float) for name in VARIABLES}
