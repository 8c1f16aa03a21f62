"""Bands of the numbers of a look: those of the last wing that was drawn, in proportion."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from tradestudy.results.inputs import SpreadResult
from tradestudy.results.look.look import LookBand, LookNumbers

_BANDED = (
    "range_km",
    "radius_by_charge_km",
    "usual_flight_min",
    "endurance_min",
    "cruise_current_a",
    "stall_speed_kmh",
)


class RelativeBand(NamedTuple):
    """Both ends of a band over the number at the medians of all inputs. [-]"""

    low: float
    high: float


def relative_bands(drawn: SpreadResult) -> dict[str, RelativeBand]:
    """Return the bands of a drawn wing over its numbers at the medians of all inputs, by the name of the number."""
    found = {}
    for name in _BANDED:
        ends, share = getattr(drawn.percentiles, name), drawn.over_medians.get(name)
        if share and len(ends) == 3 and ends[1]:
            found[name] = RelativeBand(share * ends[0] / ends[1], share * ends[2] / ends[1])
    return found


def look_bands(bands: Mapping[str, RelativeBand], medians: LookNumbers, about: bool) -> list[LookBand]:
    """Return the bands of a wing whose numbers at the medians of all inputs are ``medians``."""
    made = []
    for name, band in bands.items():
        number = getattr(medians, name)
        if number is not None:
            made.append(LookBand(name, round(band.low * number, 4), round(band.high * number, 4), about))
    return made
