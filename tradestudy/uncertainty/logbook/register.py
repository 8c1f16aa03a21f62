"""The flights of a club's members as one hierarchical fit: what each study's own book says, and what all share.

One member is one study with its logbook: a stock wing and its stretched ones, by the same hands and pilot.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from typing import NamedTuple

import numpy as np

from tradestudy.study.schema.fitted import FACTOR_NAMES
from tradestudy.study.schema.study import Study
from tradestudy.uncertainty.fit.factored_wing import FitWing
from tradestudy.uncertainty.fit.least_squares import Fit, priors
from tradestudy.uncertainty.fit.mixed_flight import HABITS
from tradestudy.uncertainty.fit.next_measurement import RangeBand, range_band_of_fit

from .shared_factors import NAMES, Flown, SharedFactors, flown_of, shared_factors

_ALIKE = 0.05  # share by which measured lengths of wings of one type, and motors of one winding, may differ; judgement
_OF_PARTS = {
    "propeller_power": ("propeller",),
    "motor_resistance": ("motor",),
    "drive_power": ("airframe", "motor", "propeller"),
    "pack_capacity": ("cell",),
    "pack_resistance": ("cell",),
    "foam_density": ("foam",),
    "foam_stiffness": ("foam",),
    "covering": ("covering",),
    "film_bond": ("covering",),
}  # factor -> what must be alike for wings to share it; others go with the airframe


class NextWing(NamedTuple):
    """What a club says of the next builder's wing: its fit, and the band of its range before and after. [m]"""

    fit: Fit
    before: RangeBand
    after: RangeBand


def same_airframe(one: Study, other: Study) -> bool:
    """Return whether two studies are of wings of one type: spans, chords and set-back agree within a few per cent."""
    a, b = one.stock, other.stock
    pairs = [(a.span, b.span), (a.root_chord, b.root_chord), (a.tip_chord, b.tip_chord)]
    alike = all(abs(left - right) <= _ALIKE * max(left, right) for left, right in pairs)
    return alike and abs(a.tip_set_back - b.tip_set_back) <= _ALIKE * 0.5 * a.span


def _same_motor(one: Study, other: Study) -> bool:
    a, b = float(one.motor.speed_constant), float(other.motor.speed_constant)
    return one.motor.size == other.motor.size and abs(a - b) <= _ALIKE * max(a, b)


_SAME: dict[str, Callable[[Study, Study], bool]] = {
    "airframe": same_airframe,
    "motor": _same_motor,
    "propeller": lambda one, other: one.propeller.size == other.propeller.size,
    "cell": lambda one, other: one.pack.cell == other.pack.cell,
    "foam": lambda one, other: one.foam.material == other.foam.material,
    "covering": lambda one, other: one.covering.material == other.covering.material,
}


def labels_of(studies: Sequence[Study]) -> list[tuple[Hashable, ...]]:
    """Return for each study the labels of `NAMES`: studies with the same label share that factor."""
    numbers: dict[str, list[int]] = {}
    for kind, same in _SAME.items():
        found: list[int] = []
        for place, study in enumerate(studies):
            first = next((each for each in range(place) if same(studies[each], study)), place)
            found.append(first)
        numbers[kind] = found
    return [
        tuple(
            "pilots" if name in HABITS else tuple(numbers[kind][place] for kind in _OF_PARTS.get(name, ("airframe",)))
            for name in NAMES
        )
        for place in range(len(studies))
    ]


def flown_of_fit(fit: Fit, labels: Sequence[Hashable]) -> Flown:
    """Return what the readings of a member say of `NAMES`. Other free factors of the fit are the member's alone."""
    count = len(NAMES)
    prior = np.array([*fit.prior[: len(FACTOR_NAMES)], *HABITS.values()])
    mean, covariance = np.zeros(count), np.diag(prior**2)
    ours = [place for place, name in enumerate(NAMES) if name in fit.names]
    theirs = [fit.names.index(NAMES[place]) for place in ours]
    mean[ours] = fit.mean[theirs]
    covariance[np.ix_(ours, ours)] = fit.covariance[np.ix_(theirs, theirs)]
    return flown_of(mean, covariance, prior, labels)


def prior_of(study: Study) -> np.ndarray:
    """Return the standard deviations of ln(factor) of `NAMES` before any flight. [-]"""
    return np.array([*priors(study).values(), *HABITS.values()])


def next_wing(
    wing: FitWing, members: Sequence[Flown], labels: Sequence[Hashable], own: Fit | None = None
) -> tuple[NextWing, SharedFactors]:
    """Return what ``members`` say of the stock wing of another study, and the shared factors.

    ``own`` is the fit of that study's own readings, if it has any.
    """
    count = len(FACTOR_NAMES)
    prior = prior_of(wing.study)
    if own is None:
        shared = shared_factors(members, prior, labels)
        mean, covariance = shared.next_mean, shared.next_covariance
    else:
        shared = shared_factors([*members, flown_of_fit(own, labels)], prior, labels)
        mean, covariance = shared.own_mean[-1], shared.own_covariance[-1]
    mean, covariance = mean[:count], covariance[:count, :count]
    fit = Fit(FACTOR_NAMES, prior[:count], mean, covariance, ())
    before = range_band_of_fit(wing, np.zeros(count), np.diag(prior[:count] ** 2))
    return NextWing(fit, before, range_band_of_fit(wing, mean, covariance)), shared
