"""The band of the range and of all else that is printed, all inputs off at once: a Latin hypercube on one held design.

What each input does at both ends of its band is known (`variants.effects`); between and beside, effects add up: of
power on its logarithm, of all else on the number itself, along a parabola through low, assumed and high. So ten
thousand draws cost nothing. A band's ends are where nine draws of ten lie between, and no draw goes beyond: a two-sided
normal, cut off (judgement). What is said in words is drawn low, as assumed, high in the shares 1 : 2 : 1. An end that
contradicts what was measured moves nothing. The section drag and propeller models scatter beside. How well sums stand
for draws of everything at once is measured in ``tests/bench/spread.py``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from scipy.stats import norm, qmc

from tradestudy.aircraft.model.limit_bounds import MET_ABOVE
from tradestudy.quantities import at_edge, split_quantity
from tradestudy.results import inputs

from .band_ends import AT_THE_ENDS
from .variants import PILOTS_OWN, Effect, Looked, Varied

DRAWS = 4096
SEED = 20260
TOLD = (10, 50, 90)  # percentiles
LEAST_TOLD = 0.01  # share of the variance
IN_WORDS = 0.25  # share of draws at either end of what has no numbers between
QUANTITIES = ("range_km", "auw_g", "balance_mm", "failure_load_factor", "cruise_speed_kmh", "cruise_current_a")
IN_STEP = {"range_km": -1.0, "cruise_current_a": 1.0}  # what goes with the power of the models, as its logarithm
MODELS = "section drag and propeller, as modelled"


class Percentiles(NamedTuple):
    """One draw of ten is below ``low``, half below ``middle``, one of ten above ``high``."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Spread:
    """What many draws say of one design.

    ``percentiles``: by quantity. ``holds``: limit name -> share of draws that meet it. ``matters``: (key, share of the
    range's variance), most first. ``falls``: limit name -> how far its worst margin falls below the nominal one in a
    share 1 - ``chance`` of the draws, positive.
    """

    percentiles: dict[str, Percentiles]
    holds: dict[str, float]
    matters: list[tuple[str, float]]
    falls: dict[str, float]
    draws: int

    def told(self) -> inputs.SpreadResult:
        """Return it as a result tells it."""
        percentiles = {name: [round(value, 3) for value in found] for name, found in self.percentiles.items()}
        return inputs.SpreadResult(
            inputs.SpreadPercentiles(**percentiles),
            {name: round(share, 4) for name, share in self.holds.items()},
            [inputs.VarianceShare(key, round(part, 4)) for key, part in self.matters],
            self.draws,
        )


def spread(varied: Varied, draws: int = DRAWS, seed: int = SEED, chance: float = 0.9) -> Spread:
    """Return the Spread of a design; ``chance`` is what ``falls`` leaves met. The pilot's own inputs stay as said."""
    used = [one for one in varied.effects if not one.input.used.key.startswith(PILOTS_OWN)]
    shares = qmc.LatinHypercube(len(used) + 1, rng=np.random.default_rng(seed)).random(draws)
    nominal = numbers_of(varied.nominal)
    models = norm.ppf(shares[:, -1]) * varied.nominal.scatter
    moved = np.zeros((draws, len(QUANTITIES)))
    names = list(varied.nominal.margins)
    parts, margins = [], np.tile(_margins(varied.nominal, names), (draws, 1))
    for one, share in zip(used, shares.T, strict=False):
        along = _along(one, share)
        change = along @ _ends(one, nominal)
        parts.append(float(change[:, 0].var()))
        moved += change
        margins += along @ np.array(
            [_margins(side or varied.nominal, names) - _margins(varied.nominal, names) for side in one.sides]
        )
    in_step = np.array([IN_STEP.get(name, 0.0) for name in QUANTITIES])
    parts.append(float(models.var()))
    moved += in_step * models[:, None]
    values = np.where(in_step != 0.0, np.exp(moved) * nominal, nominal + moved)
    total = sum(parts) or 1.0
    matters = sorted(
        zip([*(one.input.used.key for one in used), MODELS], (part / total for part in parts), strict=True),
        key=lambda pair: -pair[1],
    )
    return Spread(
        {
            name: Percentiles(*map(float, np.percentile(column, TOLD)))
            for name, column in zip(QUANTITIES, values.T, strict=True)
        },
        dict(zip(names, (margins > MET_ABOVE).mean(axis=0).tolist(), strict=True)),
        [(key, part) for key, part in matters if part >= LEAST_TOLD],
        dict(
            zip(
                names,
                np.maximum(_margins(varied.nominal, names) - np.quantile(margins, 1.0 - chance, axis=0), 0.0).tolist(),
                strict=True,
            )
        ),
        draws,
    )


def numbers_of(looked: Looked) -> np.ndarray:
    """Return QUANTITIES (n,) of one look."""
    numbers = looked.numbers
    found = (
        at_edge(range_km=numbers.range, balance_mm=numbers.balance, failure_load_factor=numbers.failure_load_factor)
        | looked.more
    )
    return np.array([found[name] for name in QUANTITIES])


def _ends(one: Effect, nominal: np.ndarray) -> np.ndarray:
    """Changes (2, n_quantity) at low and high, as logarithms where power goes; none where the wing cannot be so."""
    logs = np.array([name in IN_STEP for name in QUANTITIES])
    rows = []
    for side in one.sides:
        there = nominal if side is None else numbers_of(side)
        rows.append(np.where(logs, np.log(there / nominal), there - nominal))
    return np.array(rows)


def _margins(looked: Looked, names: list[str]) -> np.ndarray:
    return np.array([looked.margins[name] for name in names])


def _along(one: Effect, share: np.ndarray) -> np.ndarray:
    """What of the changes at low and high is felt at each draw (n_draw, 2), from ``share`` 0..1 of the distribution."""
    if not _has_numbers_between(one):
        return np.stack([share < IN_WORDS, share > 1.0 - IN_WORDS], axis=-1).astype(float)
    off = np.clip(norm.ppf(share) / AT_THE_ENDS, -1.0, 1.0)
    # the parabola through (-1, low), (0, 0), (1, high)
    return np.stack([0.5 * off * (off - 1.0), 0.5 * off * (off + 1.0)], axis=-1)


def _has_numbers_between(one: Effect) -> bool:
    return all(_is_number(value) for side in one.input.sides for value in side.values())


def _is_number(value: Any) -> bool:
    if isinstance(value, list):
        return all(map(_is_number, value))
    if isinstance(value, str):
        try:
            split_quantity(value)
        except ValueError:
            return False
    return value is None or not isinstance(value, bool)
