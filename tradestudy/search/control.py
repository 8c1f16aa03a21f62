"""What twist leaves of a design's controls as it flies faster, with the film well stuck and with it gone loose."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics import flexible, soft_wing, twist_off

from .card import FlownDesign

SHARES = (1.0, soft_wing.LOOSE_BOND)  # of what the covering carries: nominal and weak


class Control(NamedTuple):
    """Curves over airspeed [-], nominal then weak bond: (2, n_speed); and where things end [km/h], None where never."""

    roll: np.ndarray
    pitch: np.ndarray
    numbers: dict[str, float | None]

    @property
    def rounded(self) -> dict[str, float | None]:
        """The numbers to a hundredth of a km/h."""
        return {name: None if value is None else round(value, 2) for name, value in self.numbers.items()}


def control(flown: FlownDesign, speed: np.ndarray) -> Control:
    """Return what is left of the stiff wing's control at airspeeds (n_speed,) [m/s], and where it ends."""
    data, air = flown.data.flight, flown.solution.air
    soft = flexible.compliances(SHARES, *flown.built)
    pressure = 0.5 * data.air_density * speed**2
    left = [twist_off.softness(air, one, pressure) for one in soft]
    ends = [twist_off.critical_speeds(air, one, data.air_density) for one in soft]
    numbers: dict[str, Any] = {}
    for name, one, end in zip(("", "_weak"), soft, ends, strict=True):
        numbers[f"control_speed{name}_kmh"] = soft_wing.control_speed(data, air, one)
        numbers[f"roll_reversal{name}_kmh"] = end.roll_reversal
    numbers["pitch_reversal_kmh"], numbers["twist_off_kmh"] = ends[0].pitch_reversal, ends[0].twist_off
    return Control(np.array([one.roll_effectiveness for one in left]),
                   np.array([one.pitch_effectiveness for one in left]),
                   {name: 3.6 * float(value) if np.isfinite(value) else None for name, value in numbers.items()})
