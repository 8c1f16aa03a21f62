"""The best cruise speeds of many designs at once, by tables of speeds that become narrower."""

from __future__ import annotations

import numpy as np

from tradestudy.physics.air import GRAVITY
from tradestudy.quantities.objectives import PURPOSES

from .designs import Designs
from .evaluation import Evaluation, Wings, cruise_gain, cruise_power, evaluate, level_flight, wings_of
from .model_data import ModelData

# Speeds in each table, and its half width in steps of the previous table. The speeds of the last one are so close that
# a parabola through them gives the largest range within 1e-6.
_TABLES = ((7, 0.0), (7, 1.0), (7, 1.0), (3, 0.3))


def at_best_speed(
    data: ModelData, designs: Designs, purpose: str, fastest: float, usual: bool = True
) -> tuple[Designs, Evaluation]:
    """Return designs (n,) at their best cruise speeds for a purpose, with their Evaluation.

    Speeds lie between the study's least cruise and ``fastest`` [m/s]. A design that stalls at every speed
    keeps its own cruise speed.
    """
    wings = wings_of(data, designs)
    speed, known = _best_speed(wings, PURPOSES[purpose].output, fastest)
    chosen = designs._replace(cruise_speed=np.where(known, speed, designs.cruise_speed))
    return chosen, evaluate(data, chosen, wings, usual)


def _best_speed(wings: Wings, output: str, fastest: float) -> tuple[np.ndarray, np.ndarray]:
    """Return the best cruise speeds (n,) [m/s], and whether each design has one (n,)."""
    weight, area = wings.shape.all_up_mass, wings.shape.area
    guess = np.sqrt(2 * weight * GRAVITY / (wings.data.flight.air_density * area))
    least = wings.data.flight.least_cruise_speed
    low, high = np.maximum(0.7 * guess, least), np.minimum(np.maximum(3.5 * guess, 1.01 * least), fastest)
    known = np.zeros(len(guess), dtype=bool)
    best, step = low, high - low
    for count, reach in _TABLES:
        if reach:
            low, high = np.maximum(best - reach * step, least), np.minimum(best + reach * step, fastest)
        speed = low + np.linspace(0, 1, count)[:, None] * (high - low)
        top, flies = _top(speed, *_cruising(wings, output, speed))
        best, known, step = np.where(flies, top, best), known | flies, (high - low) / (count - 1)
    return best, known


def _cruising(wings: Wings, output: str, speed: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the output to maximise, and the least stall margin at ``speed`` over the least multiple of the stall.

    ``speed`` and both results have shape (n_speed, n).
    """
    level = level_flight(wings, speed, wings.designs.static_margin, slow=True)
    gain = cruise_gain(wings, output, cruise_power(wings, speed, level.drag))
    return gain, level.slow_stall_margin.min(axis=-1)


def _top(speed: np.ndarray, gain: np.ndarray, margin: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return for each column the speed of greatest gain among the speeds that do not stall, and whether there is any.

    A parabola through the best speed and its neighbours gives the maximum. The result is never below the speed at which
    the margin vanishes.
    """
    columns = np.arange(gain.shape[1])
    free = margin > 0
    highest = np.where(free, gain, -np.inf).argmax(axis=0)
    inner = np.clip(highest, 1, len(gain) - 2)
    before, peak, after = (gain[inner + move, columns] for move in (-1, 0, 1))
    bend = before - 2 * peak + after
    step = speed[1] - speed[0]
    top = np.where(bend < 0, 0.5 * (before - after) / np.where(bend < 0, bend, -1.0), highest - inner)
    best = np.clip(speed[inner, columns] + np.clip(top, -1, 1) * step, speed[0], speed[-1])
    first = free.argmax(axis=0)
    inside = np.maximum(first, 1)
    under, over = margin[inside - 1, columns], margin[inside, columns]
    crossing = (first > 0) & (over > under)
    back = step * under / np.where(crossing, over - under, 1.0)
    slowest = np.where(crossing, speed[inside - 1, columns] - back, speed[0])
    return np.maximum(best, slowest), np.asarray(free.any(axis=0))
