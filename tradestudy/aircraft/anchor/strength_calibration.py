"""Calibration of the strength by the load that the stock wing has surely carried.

The stock wing flies and is not broken. So the model may not say that it breaks below SURELY_CARRIED. If it says so, the
strengths assumed for foam, film or centre are too low. One factor on the strength of every part then corrects them. The
loads of `[fly]` are what a wing shall carry, and nobody knows that it did. So they change no strength.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from tradestudy.aircraft.model.limit_bounds import PULL_UP
from tradestudy.aircraft.model.model_data import ModelData
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
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

    factor: float  # above 1 [-]
    before: float  # load factor at which the model without the factor breaks in a pull-up [-]
    carried: float = SURELY_CARRIED  # load factor that the stock wing has carried [-]

    def row(self) -> CalibrationRow:
        """Return the row of the table "measured and modelled"."""
        return CalibrationRow(
            what="load factor carried in a pull-up",
            measured=self.carried,
            before=round(self.before, 3),
            after=round(self.before * self.factor, 3),
            unit="",
            how=f"strength of every part {self.factor:.2f} times the model's: it flies",
        )

    @property
    def flags(self) -> tuple[str, ...]:
        """Sentences for the person who reads the strength of a wing."""
        scatter = (
            "which is within the scatter of foam"
            if self.factor <= _SCATTER
            else "more than the scatter of foam: look for a floor, a joiner or rods that the study does not list"
        )
        whose = "every wing that flies carries" if self.carried == SURELY_CARRIED else "it has carried"
        return (
            f"by the assumed strengths the stock wing breaks at a load factor of {self.before:.1f}, and {whose} "
            f"{self.carried:.1f}. So the strength of every part is taken as {self.factor:.2f} "
            f"times the model's, {scatter}. Stretched wings carry the same factor",
        )


def surely_carried(study: Study) -> float:
    """Return the load factor that the stock wing has carried, by its study or else as every flying wing. [-]"""
    return max(study.fly.hardest_pull or 0.0, SURELY_CARRIED)


def strength_calibration(study: Study, stock: SpeedSweep) -> StrengthCalibration | None:
    """Return the strength calibration, or None if the model carries the load. ``stock`` is at its cruise speed."""
    breaks = float(stock.evaluation.structure.failure_load_factor[PULL_UP])
    carried = surely_carried(study)
    if breaks >= carried:
        return None
    return StrengthCalibration(carried / breaks * (1.0 + _ROOM), breaks, carried)


def with_strength_factor(data: ModelData, factor: float) -> ModelData:
    """Return a model's data with a factor on the strength of every part. [-]"""
    return replace(data, strength=data.strength._replace(strength_factor=factor))
