"""The bands of a fitted model: one input for each independent direction in which its factors may be off together."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from tradestudy.aircraft.anchor.drag_calibration import PRIOR_SPREAD
from tradestudy.study.line_numbers import Place
from tradestudy.study.schema.fitted import FACTOR_NAMES, FACTORS
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.study.schema.study import Study

from .band_ends import AT_THE_ENDS

TABLE = "fitted"
LEAST = 1e-5  # of ln(factor): less stays where it is
# what a factor has taken the place of
TAKEN = (
    "drag_item",
    "motor.resistance",
    "pack.health",
    "pack.capacity",
    "power.capacity",
    "pack.temperature",
    "pack.resistance",
    "covering.bond",
    "covering.adhesive",
    "foam.density",
    "motor_test",
)
# where current was fitted in flight, propulsion as a whole was: these are parts of it
OF_PROPULSION = (
    "controller.part_throttle_loss",
    "controller.resistance",
    "propeller.installation_loss",
    "motor.no_load_rise",
    "motor.no_load_current",
    "motor.winding_temperature",
)
FLIGHTS_TOLD = 0.9  # of the drag's deviation before: with less than that left, flights were fitted


def taken_over(study: Study, key: str) -> bool:
    """Return whether the factors of a fitted study stand in the place of an input; never without a fit."""
    if study.fitted is None:
        return False
    flown = deviation(study, "drag") < FLIGHTS_TOLD * PRIOR_SPREAD
    return key.startswith(TAKEN) or (flown and key in OF_PROPULSION)


def deviation(study: Study, name: str) -> float:
    """Return the standard deviation of ln(factor), by name, of a fitted study. [-]"""
    rows = np.array((study.fitted.directions if study.fitted else None) or np.zeros((1, len(FACTOR_NAMES))))
    return float(np.linalg.norm(rows[:, FACTOR_NAMES.index(name)]))


def directions(study: Study) -> Iterator[tuple[DefaultUsed, tuple[dict[Place, Any], dict[Place, Any]]]]:
    """Yield each direction as an input named after the factor it moves most, with both ends of its band."""
    if study.fitted is None:
        return
    factors, named = study.fitted.factors(), set[str]()
    for row in study.fitted.directions or ():
        order = sorted(range(len(FACTOR_NAMES)), key=lambda place, row=row: -abs(row[place]))  # type: ignore[misc]
        main = next(place for place in order if FACTOR_NAMES[place] not in named)
        named.add(FACTOR_NAMES[main])
        ends: list[dict[Place, Any]] = [
            {
                (TABLE, name): float(factors[name] * np.exp(side * AT_THE_ENDS * change))
                for name, change in zip(FACTOR_NAMES, row, strict=True)
                if abs(change) > LEAST
            }
            for side in (-1, 1)
        ]
        low, high = sorted(float(np.exp(side * AT_THE_ENDS * row[main])) for side in (-1, 1))
        with_it = [FACTORS[place].words for place in order if place != main and abs(row[place]) > 0.3 * abs(row[main])]
        moves = f"together with {', '.join(with_it)}" if with_it else ""
        value = factors[FACTOR_NAMES[main]]
        yield (
            DefaultUsed(
                f"{TABLE}.{FACTOR_NAMES[main]}",
                f"{value:.3f}",
                "fitted to measurements",
                round(low * value, 3),
                round(high * value, 3),
                moves,
                (TABLE, FACTOR_NAMES[main]),
            ),
            (ends[0], ends[1]),
        )
