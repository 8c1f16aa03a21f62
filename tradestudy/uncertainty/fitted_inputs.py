"""The bands of a fitted model: one input for each independent combination of errors in its factors."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.study.line_numbers import Place
from tradestudy.study.schema.built import BAND_END
from tradestudy.study.schema.fitted import FACTOR_NAMES, FACTORS
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.study.schema.study import Study

FITTED = "fitted"
_DRIVE = "built.drive_power_factor"
_LEAST = 1e-5  # least change of ln(factor) that is kept
# inputs that the fitted factors replace
_REPLACED = (
    "built",
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
# further inputs that are replaced if flights were fitted, since these fit all of the drag and the complete propulsion
_IN_FLIGHT = (
    "drag_item",
    "controller.part_throttle_loss",
    "controller.resistance",
    "motor.no_load_rise",
    "motor.no_load_current",
    "motor.winding_temperature",
)
_FLIGHTS_FITTED = 0.9  # share of the drag's standard deviation before the fit; if less is left, flights were fitted


def is_replaced(study: Study, key: str, choice: Choice) -> bool:
    """Return whether fitted factors replace an input of a wing with these parts. Without a fit, the result is False.

    The factors of the drive were fitted to the motor on the wing, so another one leaves the drive as much in doubt as
    before.
    """
    if study.fitted is None or (choice.motor and key == _DRIVE):
        return False
    return key.startswith(_REPLACED) or (flights_fitted(study) and key.startswith(_IN_FLIGHT))


def flights_fitted(study: Study) -> bool:
    """Return whether the factors of a study were fitted to flights, which measure all of the drag and the drive."""
    known = study.fitted is not None
    return known and deviation(study, "drag") < _FLIGHTS_FITTED * study.built.section_drag_spread


def deviation(study: Study, name: str) -> float:
    """Return the standard deviation of ln(factor) for one factor of a fitted study. [-]"""
    rows = np.array((study.fitted.directions if study.fitted else None) or np.zeros((1, len(FACTOR_NAMES))))
    return float(np.linalg.norm(rows[:, FACTOR_NAMES.index(name)]))


def fitted_directions(study: Study) -> Iterator[tuple[DefaultUsed, tuple[dict[Place, Any], dict[Place, Any]]]]:
    """Yield each independent combination as an input with both ends of its band.

    It has the name of the factor it changes most.
    """
    if study.fitted is None:
        return
    factors, named = study.fitted.factors(), set[int]()
    for row in np.array(study.fitted.directions or ()):
        order = np.argsort(-abs(row), kind="stable").tolist()
        main = next(place for place in order if place not in named)
        named.add(main)

        def end(side: int, row: np.ndarray = row) -> dict[Place, Any]:
            return {
                (FITTED, name): float(factors[name] * np.exp(side * BAND_END * change))
                for name, change in zip(FACTOR_NAMES, row, strict=True)
                if abs(change) > _LEAST
            }

        others = [FACTORS[place].words for place in order if place != main and abs(row[place]) > 0.3 * abs(row[main])]
        value = factors[FACTOR_NAMES[main]]
        low, high = sorted(round(float(np.exp(side * BAND_END * row[main])) * value, 3) for side in (-1, 1))
        used = DefaultUsed(
            key=f"{FITTED}.{FACTOR_NAMES[main]}",
            value=f"{value:.3f}",
            origin="fitted to measurements",
            low=low,
            high=high,
            moves=f"together with {', '.join(others)}" if others else "",
            place=(FITTED, FACTOR_NAMES[main]),
        )
        yield used, (end(-1), end(1))
