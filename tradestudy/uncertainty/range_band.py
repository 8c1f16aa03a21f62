"""Bands of the printed numbers with all inputs off at once: a Latin hypercube of draws on one fixed design.

The effect of each input at both ends of its band is known (`variants.design_variants`). Between the ends it follows a
parabola through low, assumed and high; effects of several inputs add. Effects on power add on its logarithm, all others
on the number itself. So thousands of draws cost nothing.

Nine draws of ten lie between a band's ends and no draw lies outside: a two-sided normal, cut off (judgement). An input
given in words is drawn low, as assumed and high in the shares 1 : 2 : 1. An end that contradicts what was measured has
no effect. The scatter of the section drag and propeller models is drawn as one more input. ``tests/bench/spread.py``
measures how well sums of effects agree with draws of everything at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from scipy.stats import norm, qmc

from tradestudy.aircraft.model.limit_bounds import MET_ABOVE
from tradestudy.quantities import at_edge, split_quantity
from tradestudy.results import inputs

from .fitted_inputs import BAND_END
from .variants import PILOTS_OWN, DesignVariants, InputVariants, VariantNumbers

DRAWS = 4096
SEED = 20260
SPREAD_QUANTITIES = ("range_km", "auw_g", "balance_mm", "failure_load_factor", "cruise_speed_kmh", "cruise_current_a")
MODELS = "section drag and propeller, as modelled"
_PERCENTS = (10, 50, 90)
_LEAST_SHARE = 0.01  # of the variance, for an input to be listed
_WORD_SHARE = 0.25  # of draws at either end of an input that is given in words
# quantities that change with the power of the models, as its logarithm, and in which direction
_WITH_POWER = {"range_km": -1.0, "cruise_current_a": 1.0}


class Percentiles(NamedTuple):
    """One draw of ten is below ``low``, half below ``middle``, one of ten above ``high``."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Spread:
    """The spread of one design over many draws.

    ``percentiles``: by quantity. ``holds``: limit name -> share of draws that meet it. ``matters``: (key, share of the
    range's variance), greatest first. ``falls``: limit name -> fall of its worst margin below the nominal one in a
    share 1 - ``chance`` of the draws, positive.
    """

    percentiles: dict[str, Percentiles]
    holds: dict[str, float]
    matters: list[tuple[str, float]]
    falls: dict[str, float]
    draws: int

    def reported(self) -> inputs.SpreadResult:
        """Return the spread as a result reports it."""
        percentiles = {name: [round(value, 3) for value in values] for name, values in self.percentiles.items()}
        return inputs.SpreadResult(
            inputs.SpreadPercentiles(**percentiles),
            {name: round(share, 4) for name, share in self.holds.items()},
            [inputs.VarianceShare(key, round(share, 4)) for key, share in self.matters],
            self.draws,
        )


def spread(design: DesignVariants, draws: int = DRAWS, seed: int = SEED, chance: float = 0.9) -> Spread:
    """Return the spread of a design; ``falls`` are for the share ``chance``. The pilot's own inputs are not drawn."""
    drawn = [one for one in design.inputs if not one.input.used.key.startswith(PILOTS_OWN)]
    shares = qmc.LatinHypercube(len(drawn) + 1, rng=np.random.default_rng(seed)).random(draws)
    nominal = quantities_of(design.nominal)
    names = list(design.nominal.margins)
    nominal_margins = _margins(design.nominal, names)
    moved, margins = np.zeros((draws, len(SPREAD_QUANTITIES))), np.tile(nominal_margins, (draws, 1))
    variances = []
    for one, share in zip(drawn, shares.T, strict=False):
        weights = _weights(one, share)
        changes = weights @ _changes(one, nominal)
        variances.append(float(changes[:, 0].var()))
        moved += changes
        margins += weights @ np.array([_margins(side or design.nominal, names) - nominal_margins for side in one.sides])
    with_power = np.array([_WITH_POWER.get(name, 0.0) for name in SPREAD_QUANTITIES])
    models = norm.ppf(shares[:, -1]) * design.nominal.scatter
    variances.append(float(models.var()))
    moved += with_power * models[:, None]
    values = np.where(with_power != 0.0, np.exp(moved) * nominal, nominal + moved)
    percentiles = np.percentile(values, _PERCENTS, axis=0).T
    total = sum(variances) or 1.0
    keys = [*(one.input.used.key for one in drawn), MODELS]
    matters = sorted(zip(keys, (part / total for part in variances), strict=True), key=lambda pair: -pair[1])
    falls = np.maximum(nominal_margins - np.quantile(margins, 1.0 - chance, axis=0), 0.0)
    return Spread(
        {name: Percentiles(*row.tolist()) for name, row in zip(SPREAD_QUANTITIES, percentiles, strict=True)},
        dict(zip(names, (margins > MET_ABOVE).mean(axis=0).tolist(), strict=True)),
        [(key, share) for key, share in matters if share >= _LEAST_SHARE],
        dict(zip(names, falls.tolist(), strict=True)),
        draws,
    )


def quantities_of(numbers: VariantNumbers) -> np.ndarray:
    """Return SPREAD_QUANTITIES (n,) of one variant."""
    main = numbers.key_numbers
    values = at_edge(range_km=main.range, balance_mm=main.balance, failure_load_factor=main.failure_load_factor)
    values |= numbers.more
    return np.array([values[name] for name in SPREAD_QUANTITIES])


def _changes(one: InputVariants, nominal: np.ndarray) -> np.ndarray:
    """Return changes (2, n_quantity) at low and high, logarithms for quantities that change with power.

    They are zero at an end where the wing cannot be.
    """
    logarithmic = np.array([name in _WITH_POWER for name in SPREAD_QUANTITIES])
    rows = []
    for side in one.sides:
        values = nominal if side is None else quantities_of(side)
        rows.append(np.where(logarithmic, np.log(values / nominal), values - nominal))
    return np.array(rows)


def _margins(numbers: VariantNumbers, names: list[str]) -> np.ndarray:
    return np.array([numbers.margins[name] for name in names])


def _weights(one: InputVariants, share: np.ndarray) -> np.ndarray:
    """Return the weights (n_draw, 2) of the changes at low and high, from ``share`` 0..1 of the distribution."""
    if not all(_is_number(value) for side in one.input.sides for value in side.values()):
        return np.stack([share < _WORD_SHARE, share > 1.0 - _WORD_SHARE], axis=-1).astype(float)
    place = np.clip(norm.ppf(share) / BAND_END, -1.0, 1.0)
    # the parabola through (-1, low), (0, 0), (1, high)
    return np.stack([0.5 * place * (place - 1.0), 0.5 * place * (place + 1.0)], axis=-1)


def _is_number(value: Any) -> bool:
    """Whether a value of an input is a number or a quantity, which has values in between."""
    if isinstance(value, list):
        return all(map(_is_number, value))
    if isinstance(value, str):
        try:
            split_quantity(value)
        except ValueError:
            return False
    return value is None or not isinstance(value, bool)
