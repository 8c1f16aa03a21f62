"""Flights of a logbook that have a log: the readings of its steady stretches, for any wing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from tradestudy.study.flight_logs.described_log import described_log
from tradestudy.uncertainty.fit.factored_wing import Factors, FitWing
from tradestudy.uncertainty.fit.hand_readings import ReadingGroup
from tradestudy.uncertainty.fit.log_readings import log_groups
from tradestudy.uncertainty.fit.mixed_flight import WingFactors
from tradestudy.uncertainty.fit.prepared_log import prepared_log_of


def logged_readings(wing: FitWing, factors: WingFactors, path: Path, number: int) -> list[ReadingGroup]:
    """Return the readings of one log of a wing. ``number`` counts the logs, since each has an error of its sensor.

    The list is empty if no airspeed is known in it. Raises CommandError, MeasurementsError or RunFailed for a log that
    cannot be used.
    """
    log, measurements = described_log(path)
    groups, _ = log_groups(wing, prepared_log_of(log, measurements), measurements, number)
    return [_of_wing(group, factors) for group in groups]


def _of_wing(group: ReadingGroup, factors: WingFactors) -> ReadingGroup:
    """Return readings whose factors are those of one wing, by the free factors of a fit."""

    def predict(free: Factors) -> np.ndarray:
        return group.predict({**free, **factors.of_fit(free)})

    uses = dict.fromkeys(name for factor in group.uses for name in factors.powers(factor))
    return replace(group, uses=tuple(uses), predict=predict, own_priors={**group.own_priors, **factors.own_priors})
