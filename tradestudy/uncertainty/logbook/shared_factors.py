"""Factors of several wings of one type: a common median of each factor, and each wing's own deviation from it.

A hierarchical normal model of ln(factor), in closed form. In standard deviations before any flight, the deviation of
factor f of wing i is ``sqrt(share) * common[f] + sqrt(1 - share) * own[i, f]``. Common and own parts are standard
normal. So each wing alone has the prior that ``fit`` gives it. All wings of the type have the part ``share`` of its
variance in common. Flights of some wings then narrow the common part, and with it the band of the next wing.

Pilots have habits that no number of flights averages out, and these have a common part too: six pilots who all fly
faster than the model thinks do not make the wing worse.

The shares are judgement (`SHARES`), and in doubt themselves: every result is a mixture over shares on both sides,
weighted by how likely they make what was flown.

Gaussian algebra, checked with a published posterior and with brute force in `tests/unit/uncertainty/logbook`.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import NamedTuple

import numpy as np
from scipy.special import chdtrc, expit, logit

from tradestudy.study.schema.fitted import FACTOR_NAMES
from tradestudy.uncertainty.fit.mixed_flight import AIR_HABIT, HABITS, SHARE_HABIT, SPEED_HABIT

NAMES = (*FACTOR_NAMES, *HABITS)  # factors of a wing, then habits of its pilot
# Part of the variance of ln(factor) before a flight that wings of one type share. No source: no published set of
# aircraft tells wings of one type from wings of several. All are judgement; the words say what it rests on.
SHARES = {
    "foam_density": 0.3,  # the maker's usual density is common, each block weighs its own
    "covering": 0.3,  # film and overlaps of the plan are common, glue and care are not
    "drag": 0.5,  # thick middle, gaps and the propeller's wash come with the type; dents, seams, rough skin do not
    "induced": 0.8,  # tips, fins and elevons of the plan
    "drive_power": 0.5,  # the wake of the wing is common; wires, timing and controller less so
    "propeller_power": 0.6,  # propellers of one label differ less among themselves than from the model of their size
    "motor_resistance": 0.7,  # one winding, with scatter of its making
    "pack_capacity": 0.3,  # how honest the label is, against age and use of each pack
    "pack_resistance": 0.4,  # the cell's data, against age and joints
    "foam_stiffness": 0.6,  # the kind of foam
    "film_bond": 0.5,  # the kind of film and adhesive, against the builder's iron
    SPEED_HABIT: 0.3,  # how fast one flies a wing of this type, against the pilot
    SHARE_HABIT: 0.2,  # how all guess, against the pilot
    AIR_HABIT: 0.3,  # what the model of a mixed flight leaves out, against the pilot's turns and charger
}
SHARE_DOUBT = 1.5  # standard deviation of logit(share): 0.5 lies in 0.18 to 0.82 in two of three cases; judgement
_NODES = 7  # of Gauss and Hermite, for the mixture over shares; 31 change no band by 0.3 %


class Flown(NamedTuple):
    """What the readings of one wing say of its factors, without the prior; all of ln(factor).

    ``prior`` (n,) holds the standard deviations before any reading. ``information`` (n, n) is the precision that the
    readings add, and ``pull`` (n,) that precision times the values that they favour. ``alike`` (n,) has a label for
    each factor: wings with the same label share that factor.
    """

    prior: np.ndarray
    information: np.ndarray
    pull: np.ndarray
    alike: tuple[Hashable, ...]


class SharedFactors(NamedTuple):
    """Factors of wings of one type, of ln(factor) with mean and covariance. [-]

    ``common_`` is the median of the type, and ``next_`` a wing that has not flown: (n,) and (n, n). ``own_`` are the
    wings that flew: (n_wing, n) and (n_wing, n, n). ``share`` (n,) is the share after the flights.
    """

    common_mean: np.ndarray
    common_covariance: np.ndarray
    next_mean: np.ndarray
    next_covariance: np.ndarray
    own_mean: np.ndarray
    own_covariance: np.ndarray
    share: np.ndarray


def flown_of(mean: np.ndarray, covariance: np.ndarray, prior: np.ndarray, alike: Sequence[Hashable]) -> Flown:
    """Return what the readings of a wing say, from the fit of that wing alone.

    ``mean`` (n,), ``covariance`` (n, n) and the standard deviations ``prior`` (n,) are of ln(factor). The fit is the
    prior times the likelihood, so the likelihood is their quotient.
    """
    precision = np.linalg.inv(covariance)
    added = precision - np.diag(prior**-2.0)
    sizes, ways = np.linalg.eigh(0.5 * (added + added.T))
    information = (ways * np.maximum(sizes, 0.0)) @ ways.T
    return Flown(np.asarray(prior, float), information, precision @ mean, tuple(alike))


def not_flown(prior: np.ndarray, alike: Sequence[Hashable]) -> Flown:
    """Return a wing without readings. ``prior`` (n,) are standard deviations of ln(factor)."""
    n = len(prior)
    return Flown(np.asarray(prior, float), np.zeros((n, n)), np.zeros(n), tuple(alike))


def shares_of(names: Sequence[str] = NAMES) -> np.ndarray:
    """Return the shares (n,) of the named factors before any flight. [-]"""
    return np.array([SHARES[name] for name in names])


def shared_factors(
    wings: Sequence[Flown], prior: np.ndarray, alike: Sequence[Hashable], share: np.ndarray | None = None
) -> SharedFactors:
    """Return the factors of all ``wings``, of their type, and of the next wing with its own ``prior`` (n,) and labels.

    ``share`` (n,) are the shares before any flight, by default those of `SHARES`. Without wings, the next one has its
    prior.
    """
    stated = shares_of() if share is None else share
    nodes, weights = np.polynomial.hermite_e.hermegauss(_NODES)
    shares = [expit(logit(stated) + SHARE_DOUBT * node) for node in nodes]
    parts = [with_shares(wings, prior, alike, each) for each in shares]
    logs = np.log(weights) + np.array([evidence for _, evidence in parts])
    weights = np.exp(logs - logs.max())
    return _mixed([found for found, _ in parts], weights / weights.sum())


def with_shares(
    wings: Sequence[Flown], prior: np.ndarray, alike: Sequence[Hashable], share: np.ndarray
) -> tuple[SharedFactors, float]:
    """Return the same as `shared_factors` with shares (n,) that are certain, and the logarithm of their likelihood."""
    last = not_flown(prior, alike)
    every = [*wings, last, last]  # the last one stands for the median of the type: a wing without deviation of its own
    n, count = len(prior), len(every)
    numbers: dict[Hashable, int] = {}
    labels = np.array([[numbers.setdefault(label, len(numbers)) for label in one.alike] for one in every])
    same = labels[:, None] == labels[None]
    own = np.diag([1.0] * (count - 1) + [0.0])[..., None]
    scale = np.array([one.prior for one in every])
    cross, information = np.zeros((count, n, count, n)), np.zeros((count, n, count, n))
    each = np.arange(n)
    cross[:, each, :, each] = np.moveaxis(scale[:, None] * scale * (share * same + (1.0 - share) * own), 2, 0)
    information[range(count), :, range(count), :] = [one.information for one in every]
    prior_covariance = cross.reshape(count * n, count * n)
    pull = np.concatenate([one.pull for one in every])
    system = np.eye(count * n) + prior_covariance @ information.reshape(count * n, count * n)
    covariance = np.linalg.solve(system, prior_covariance)
    covariance = 0.5 * (covariance + covariance.T)
    mean = covariance @ pull
    blocks = covariance.reshape(count, n, count, n)
    means, covariances = mean.reshape(count, n), np.array([blocks[i, :, i, :] for i in range(count)])
    evidence = 0.5 * float(pull @ mean) - 0.5 * float(np.linalg.slogdet(system)[1])
    return (
        SharedFactors(
            means[-1], covariances[-1], means[-2], covariances[-2], means[:-2], covariances[:-2], np.asarray(share)
        ),
        evidence,
    )


def _mixed(parts: Sequence[SharedFactors], weights: np.ndarray) -> SharedFactors:
    """Return mean and covariance of a mixture with weights (n_part,)."""

    def middle(name: str) -> np.ndarray:
        return np.einsum("k,k...->...", weights, np.array([getattr(part, name) for part in parts]))

    values: dict[str, np.ndarray] = {}
    for name in ("common", "next", "own"):
        mean = middle(f"{name}_mean")
        off = np.array([getattr(part, f"{name}_mean") for part in parts]) - mean
        between = np.einsum("k,k...i,k...j->...ij", weights, off, off)
        values |= {f"{name}_mean": mean, f"{name}_covariance": middle(f"{name}_covariance") + between}
    return SharedFactors(**values, share=middle("share"))


def unlikeness(wings: Sequence[Flown], share: np.ndarray | None = None) -> np.ndarray:
    """Return for each wing (n_wing,) how likely its readings are to differ so much or more from what the others say.

    A small number says that this wing is unlike the others, or that its book or its study is wrong.
    """
    chances = []
    for i, one in enumerate(wings):
        others = [*wings[:i], *wings[i + 1 :]]
        expected = shared_factors(others, one.prior, one.alike, share)
        off = one.pull - one.information @ expected.next_mean
        spread = one.information + one.information @ expected.next_covariance @ one.information
        sizes, ways = np.linalg.eigh(spread)
        known = sizes > 1e-9 * max(float(sizes.max()), 1e-300)
        square = float(((ways.T @ off)[known] ** 2 / sizes[known]).sum())
        chances.append(float(chdtrc(known.sum(), square)) if known.any() else 1.0)
    return np.array(chances)
