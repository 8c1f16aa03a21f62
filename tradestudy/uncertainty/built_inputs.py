"""The bands of what a wing loses as built, and of the known flight that narrows them.

Each factor of [built] varies about its value. A study with a known flight is calibrated again at both ends, so the
flight takes back its share of the change. The error of the flight itself is one more input.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from tradestudy.aircraft.anchor.drag_calibration import FLIGHT_SPREAD, factor_spreads
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.power_data import propeller_band
from tradestudy.quantities import short_with_unit, with_unit
from tradestudy.study.line_numbers import Place, dotted
from tradestudy.study.schema.built import BAND_END
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.study.schema.study import Study

BUILT = "built"
CHARGE_USED: Place = ("known_flight", "charge_used")
_MOVES = {
    "section_drag_factor": "range, cruise speed, top speed",
    "wake_drag_factor": "range, what span is worth",
    "drive_power_factor": "range, current",
}
BandedInput = tuple[DefaultUsed, tuple[dict[Place, Any], dict[Place, Any]]]


def flown_with(study: Study, choice: Choice) -> bool:
    """Return whether the known flight, if any, was flown with the propeller of these parts."""
    return study.known_flight is not None and choice.propeller == study.propeller.size


def built_inputs(study: Study, choice: Choice) -> Iterator[BandedInput]:
    """Yield each factor of [built] that is in doubt, with both ends of its band.

    If a known flight was flown with the propeller of ``choice``, the scatter of the propeller is in the drive's factor.
    """
    spreads = factor_spreads(study) if flown_with(study, choice) else study.built.spreads
    for (key, moves), factor, spread in zip(_MOVES.items(), study.built.factors, spreads, strict=True):
        if not spread:
            continue
        place: Place = (BUILT, key)
        low, high = (round(float(factor * np.exp(side * BAND_END * spread)), 4) for side in (-1, 1))
        used = DefaultUsed(
            key=dotted(place),
            value=f"{factor:g}",
            origin="as built",
            low=f"{low:.2f}",
            high=f"{high:.2f}",
            moves=moves,
            place=place,
        )
        yield used, ({place: low}, {place: high})


def flight_inputs(study: Study, choice: Choice) -> Iterator[BandedInput]:
    """Yield the charge used in the known flight, with its error.

    For a design with another propeller, the scatter of the propeller that flew is an error of the flight too.
    """
    known, blade = study.known_flight, propeller_band(study)
    if known is None or study.fitted is not None:
        return
    other = 0.0 if blade is None or flown_with(study, choice) else blade.power
    off = BAND_END * float(np.hypot(FLIGHT_SPREAD, other))
    low, high = (with_unit(known.charge_used * np.exp(side * off), "mAh", 2) for side in (-1, 1))
    words = short_with_unit(off, "%", 2)
    used = DefaultUsed(
        key=dotted(CHARGE_USED),
        value=short_with_unit(known.charge_used, "mAh", 4),
        origin="measured",
        low=f"-{words}",
        high=f"+{words}",
        moves="",
        place=CHARGE_USED,
    )
    yield used, ({CHARGE_USED: low}, {CHARGE_USED: high})
