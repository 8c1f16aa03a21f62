"""The bands of a fitted model: one input for each independent combination of errors in its factors."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.quantities import split_quantity
from tradestudy.study.line_numbers import Place
from tradestudy.study.schema.built import BAND_END
from tradestudy.study.schema.fitted import FACTOR_NAMES, FACTORS
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.study.schema.study import Study

FITTED = "fitted"
_DRIVE = "built.drive_power_factor"
_CHARGE = "pack_capacity"
_LEAST = 1e-5  # least change of ln(factor) that is kept
# inputs that the fitted factors replace
_REPLACED = (
    "built",
    "motor.resistance",
    "pack.temperature",
    "pack.resistance",
    "covering.bond",
    "covering.adhesive",
    "foam.density",
    "motor_test",
)
# further inputs that are replaced if the charge of the pack was measured
_OF_CHARGE = ("pack.health", "pack.capacity", "power.capacity")
# further inputs that are replaced if flights were fitted, since these fit all of the drag and the complete propulsion
_IN_FLIGHT = (
    "drag_item",
    "controller.part_throttle_loss",
    "controller.resistance",
    "motor.no_load_rise",
    "motor.no_load_current",
    "motor.winding_temperature",
)
_LABEL = 0.02  # standard deviation of the logarithm of the charge on a label; common practice, no source [-]
_UNTOLD = 0.9  # share of a standard deviation before the fit; if more is left, nothing was measured of it
_ALONE = 0.05  # most that an error of the charge moves other factors, if it is not tied to them by a measurement
_FLIGHTS_FITTED = 0.9  # share of the drag's standard deviation before the fit; if less is left, flights were fitted


def is_replaced(study: Study, key: str, choice: Choice) -> bool:
    """Return whether fitted factors replace an input of a wing with these parts. Without a fit, the result is False.

    The factors of the drive were fitted to the motor on the wing, so another one leaves the drive as much in doubt as
    before.
    """
    if study.fitted is None or (choice.motor and key == _DRIVE):
        return False
    if key.startswith(_OF_CHARGE):
        return charge_measured(study)
    return key.startswith(_REPLACED) or (flights_fitted(study) and key.startswith(_IN_FLIGHT))


def charge_spread(study: Study) -> float:
    """Return the standard deviation of ln(charge of the pack) before the fit. [-]"""
    bands = {used.key: (used.low, used.high) for used in study.defaults_used if used.low is not None}
    return float(np.linalg.norm([_LABEL, *(log_spread(bands.get(key)) for key in ("pack.health", "power.capacity"))]))


def log_spread(band: tuple[Any, Any] | None) -> float:
    """Return the standard deviation of the logarithm for a band of the study. [-] Nine of ten values lie inside it."""
    if band is None:
        return 0.0
    low, high = (split_quantity(str(side).removeprefix("x"))[0] for side in band)
    return float(np.log(high / low) / 2 / BAND_END) if low > 0 else 0.0


def charge_measured(study: Study) -> bool:
    """Return whether a fit measured the charge of the pack, or tied it to other factors.

    If it did not, the pack's own bands hold. Health can only be worse than assumed, which no factor about 1 says.
    """
    if study.fitted is None:
        return False
    place = FACTOR_NAMES.index(_CHARGE)
    rows = np.abs(study.fitted.directions or np.zeros((1, len(FACTOR_NAMES))))
    tied = bool(np.any(np.delete(rows, place, axis=1)[rows[:, place] > _LEAST] > _ALONE * charge_spread(study)))
    return tied or deviation(study, _CHARGE) < _UNTOLD * charge_spread(study)


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
    rows = np.array(study.fitted.directions or np.zeros((0, len(FACTOR_NAMES))))
    if not charge_measured(study):
        rows[:, FACTOR_NAMES.index(_CHARGE)] = 0.0
    for row in rows[np.any(abs(rows) > _LEAST, axis=1)]:
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
