"""Calibration of the strength by the loads that the stock wing has carried.

The stock wing flies and is not broken. So the model may not say that it breaks under loads at which it is flown: those
of the load conditions, and at least SURELY_CARRIED. If it says so, the strengths assumed for foam, film or centre are
too low. One factor on the strength of every part then corrects them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tradestudy.aircraft.model.limit_bounds import PULL_UP
from tradestudy.aircraft.model.model_data import ModelData
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.flight import trimmed_flight
from tradestudy.results.inputs import CalibrationRow
from tradestudy.study.schema.study import Study

# Load factor that every flying wing has carried in launch and turns; a turn with 60 degrees of bank needs it. Common
# practice, no source.
SURELY_CARRIED = 2.0
_SCATTER = 1.5  # foam strengths of one density scatter by this factor, as the catalogue says; more gets a flag
_ROOM = 1e-6  # the rounded corner of a utilisation adds 5e-7 at 1


@dataclass(frozen=True)
class StrengthCalibration:
    """The factor on the strength of every part, and the load that asks for it."""

    factor: float  # 1 or more [-]
    condition: str  # load condition, in words
    carried: float  # load factor that the stock wing has carried [-]
    before: float  # load factor at which the model without the factor breaks [-]
    assumed: bool  # whether the study leaves that load to the assumed value

    def row(self) -> CalibrationRow:
        """Return the row of the table "measured and modelled"."""
        return CalibrationRow(
            what=f"load factor carried, {self.condition}",
            measured=round(self.carried, 3),
            before=round(self.before, 3),
            after=round(self.before * self.factor, 3),
            unit="",
            how=f"strength of every part {self.factor:.2f} times the model's: it flies",
        )

    @property
    def flags(self) -> tuple[str, ...]:
        """Sentences for the person who reads the strength of a wing."""
        key = f"fly.{self.condition.replace(' ', '_')}"
        least = self.carried == SURELY_CARRIED
        known = "every wing that flies carries" if least else f"{key} states" + (" by assumption" * self.assumed)
        scatter = (
            "which is within the scatter of foam"
            if self.factor <= _SCATTER
            else "more than the scatter of foam: look for a floor, a joiner or rods that the study does not list"
        )
        never = "" if least else f" If it was never loaded so hard, write the hardest load that it carried as {key}."
        return (
            f"by the assumed strengths the stock wing breaks at a load factor of {self.before:.1f} in the "
            f"{self.condition}, where {known} {self.carried:.1f}. It flies, so the strength of every part is taken as "
            f"{self.factor:.2f} times the model's, {scatter}. Stretched wings carry the same factor.{never}",
        )


def strength_calibration(study: Study, stock: SpeedSweep) -> StrengthCalibration | None:
    """Return the strength calibration, or None if the model carries every load. ``stock`` is at its cruise speed."""
    structure = stock.evaluation.structure
    used, breaks = np.array(structure.utilisation, float), np.array(structure.failure_load_factor, float)
    carried = used * breaks
    carried[PULL_UP] = max(carried[PULL_UP], SURELY_CARRIED)
    used[PULL_UP] = carried[PULL_UP] / breaks[PULL_UP]
    worst = int(np.argmax(used))
    if used[worst] <= 1.0:
        return None
    name = trimmed_flight.LOAD_CONDITIONS[worst]
    return StrengthCalibration(
        factor=float(used[worst]) * (1.0 + _ROOM),
        condition=name.replace("_", " "),
        carried=float(carried[worst]),
        before=float(breaks[worst]),
        assumed=any(each.key == f"fly.{name}" for each in study.defaults_used),
    )


def with_strength_factor(data: ModelData, factor: float) -> ModelData:
    """Return a model's data with a factor on the strength of every part. [-]"""
    return replace(data, strength=data.strength._replace(strength_factor=factor))
