"""Invented clubs: hidden wings of one type, each with its build and pilot, and the next member who has not flown."""

from typing import NamedTuple

import numpy as np
from helpers.invented.hidden_flights import flown, invented_pilot
from scipy.special import expit, logit

from tradestudy.study.schema.fitted import FACTOR_NAMES
from tradestudy.uncertainty.fit.least_squares import priors
from tradestudy.uncertainty.logbook.register import flown_of_fit, labels_of, next_wing
from tradestudy.uncertainty.logbook.shared_factors import SHARE_DOUBT, shares_of

FLIGHTS = (1, 3, 6, 2, 1, 4)  # of the six members


class Seventh(NamedTuple):
    """The next member's wing: bands of its range before and after the club was heard, and its true range. [m]"""

    before: object
    after: object
    true: float

    def holds(self, name):
        """Return whether a band holds the truth."""
        band = getattr(self, name)
        return band.low <= self.true <= band.high

    def width(self, name):
        """Return the width of a band over its middle."""
        band = getattr(self, name)
        return (band.high - band.low) / band.middle


def club_factors(wing, random, count, shift=None):
    """Return factors of ``count`` wings of one type. ``shift`` moves the logit of all shares that they have in common.

    Without a shift, the shares are drawn about the stated ones, as far as these are in doubt.
    """
    spreads = np.array(list(priors(wing.study).values()))
    share = expit(logit(shares_of(FACTOR_NAMES)) + (SHARE_DOUBT * random.standard_normal() if shift is None else shift))
    common = random.standard_normal(len(spreads))
    own = random.standard_normal((count, len(spreads)))
    logs = spreads * (np.sqrt(share) * common + np.sqrt(1 - share) * own)
    return [dict(zip(FACTOR_NAMES, np.exp(row).tolist(), strict=True)) for row in logs]


def seventh(wings, seed, shift=None, flights=FLIGHTS):
    """Return the Seventh of one club. ``wings`` are the FlownWings of its type."""
    random = np.random.default_rng([20260606, seed])
    *members, last = club_factors(wings.stock, random, len(flights) + 1, shift)
    (labels,) = labels_of([wings.stock.study])
    told = []
    for factors, number in zip(members, flights, strict=True):
        pilot = invented_pilot(random)
        notes = [flown(wings.stock, factors, pilot, random) for _ in range(number)]
        told.append(flown_of_fit(wings.fit(notes), labels))
    found, _ = next_wing(wings.stock, told, labels)
    return Seventh(found.before, found.after, wings.stock.range_of(last))
