"""Bands of the printed numbers when all inputs vary at once: a Latin hypercube sample on one fixed design.

These are the only bands that are printed. The middle of a band is the value to expect, and is printed alone too.

The effect of each input at both ends of its band is known (`variants.design_variants`). Between the ends, the effect
follows a parabola through the values at low, nominal and high. Effects of several inputs are added. Range and current
change in proportion to the models' power, so their effects are added as logarithms. With these sums, thousands of
samples take little time.

An input is sampled from a normal distribution with 90 % of its values between the band's ends. Values outside are moved
to the nearer end (judgement). Losses as built, flights and fitted factors keep their tails. An input given in words is
sampled low, nominal and high in the ratio 1 : 2 : 1. An end that contradicts the measurements has no effect. The
scatter of the models of propeller and stall is sampled as two more inputs.

``tests/bench/truth/spread.py`` measures how well sums of effects agree with full evaluations of sampled inputs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from scipy.special import ndtri

from tradestudy.aircraft.model.limit_bounds import MET_ABOVE
from tradestudy.quantities import at_edge, split_quantity
from tradestudy.results import inputs

from .fitted_inputs import BAND_END
from .latin_hypercube import latin_hypercube
from .variants import PILOTS_OWN, DesignVariants, InputVariants, VariantNumbers

DRAWS = 4096
SEED = 20260
MODELS = "propeller, as modelled"
_PERCENTS = (10, 50, 90)
_SAME = 0.01  # share by which median and value at the medians of all inputs may differ: the latter is then printed
_LEAST_SHARE = 0.01  # least share of the variance for an input to be listed
_WHOLE = ("built.", "known_flight.", "fitted.", "build_tolerance.")  # inputs whose whole distribution is known
_FARTHEST = 2.0  # farthest sample of these, in half bands: 3.3 standard deviations
# limits that a pilot keeps by flying faster: every variant cruises at its best speed that keeps them, so only the
# sums of effects could break them
_KEPT_BY_PILOT = ("cruise_over_stall",)
_NONE = 1e-6  # stands for zero in a logarithm: no distance out against a wind faster than the wing
_WORD_SHARE = 0.25  # share of samples at each end of an input that is given in words
# Quantities that follow the power that a model asks for -> the exponent. Their effects are added as logarithms. The
# power of thrust goes with the cube of the top speed.
_WITH_POWER = {
    "range_km": -1.0,
    "radius_by_charge_km": -1.0,
    "turn_back_min": -1.0,
    "endurance_min": -1.0,
    "usual_flight_min": -1.0,
    "cruise_current_a": 1.0,
    "top_speed_kmh": -1 / 3,
}
SPREAD_QUANTITIES = (
    *_WITH_POWER, "auw_g", "balance_mm", "pack_mm", "failure_load_factor", "cruise_speed_kmh", "stall_speed_kmh",
)  # fmt: skip
# Standard deviation of ln(stall speed): nine of ten largest lifts of sections lie within 0.10 of some 1.2 in
# tests/published/sections/test_selig_1995.py and 1996, and speed goes with the root of lift.
_STALL_SCATTER = 0.5 * 0.10 / 1.2 / BAND_END


class Percentiles(NamedTuple):
    """The band of one quantity: 10 % of samples are below ``low``, and 10 % above ``high``.

    ``middle`` is the value to expect: the median, or the value at the medians of all inputs if both agree within 1 %.
    """

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Spread:
    """The scatter of one design over many samples of its inputs.

    ``percentiles`` are by quantity. ``holds`` maps a limit's name to the share of samples that meet it. ``matters``
    holds pairs (key of the input, share of the range's variance), greatest first. ``falls`` maps a limit's name to a
    fall of its worst margin below the nominal one. It is positive, and a share ``chance`` of the samples does not
    exceed it. ``over_medians`` holds the middles over the values at the medians of all inputs, by quantity.
    ``sure_range_km`` is the range that a share ``chance`` of the samples reaches.
    """

    percentiles: dict[str, Percentiles]
    holds: dict[str, float]
    matters: list[tuple[str, float]]
    falls: dict[str, float]
    over_medians: dict[str, float]
    draws: int
    sure_range_km: float

    def reported(self) -> inputs.SpreadResult:
        """Return the fields of a result that report this scatter."""
        percentiles = {name: [round(value, 3) for value in values] for name, values in self.percentiles.items()}
        return inputs.SpreadResult(
            inputs.SpreadPercentiles(**percentiles),
            {name: round(share, 4) for name, share in self.holds.items()},
            [inputs.VarianceShare(key, round(share, 4)) for key, share in self.matters],
            self.draws,
            {name: round(share, 6) for name, share in self.over_medians.items()},
        )


class Draws(NamedTuple):
    """Samples of one design, with its own values.

    ``values`` (n_draw, n_quantity) are those of SPREAD_QUANTITIES, and ``margins`` (n_draw, n_limit) the worst scaled
    margin of each limit. ``variances`` are those of ln(range) by each input, and by the models.
    """

    names: list[str]  # of the limits
    own_values: np.ndarray
    own_margins: np.ndarray
    values: np.ndarray
    margins: np.ndarray
    variances: list[tuple[str, float]]

    @property
    def met(self) -> np.ndarray:
        """Whether each limit is met in each draw (n_draw, n_limit)."""
        return self.margins > MET_ABOVE

    @property
    def all_met(self) -> float:
        """Share of the draws that meet every limit. [-]"""
        return float(self.met.all(axis=-1).mean())


def drawn(design: DesignVariants, draws: int = DRAWS, seed: int = SEED) -> Draws:
    """Return samples of a design with all its inputs varied. The pilot's decisions are not sampled."""
    varied = [one for one in design.inputs if not one.input.used.key.startswith(PILOTS_OWN)]
    shares = latin_hypercube(len(varied) + 2, draws, np.random.default_rng(seed))
    nominal = quantities_of(design.nominal)
    names = list(design.nominal.margins)
    own_margins = margins_of(design.nominal, design.nominal)
    kept_by_pilot = np.isin(names, _KEPT_BY_PILOT)
    moved, margins = np.zeros((draws, len(SPREAD_QUANTITIES))), np.tile(own_margins, (draws, 1))
    variances = []
    for one, share in zip(varied, shares.T, strict=False):
        weights = _weights(one, share)
        changes = weights @ _changes(one, nominal)
        variances.append((one.input.used.key, float(changes[:, 0].var())))
        moved += changes
        changed = np.array([margins_of(side or design.nominal, design.nominal) - own_margins for side in one.sides])
        margins += weights @ np.where(kept_by_pilot, 0.0, changed)
    with_power = np.array([_WITH_POWER.get(name, 0.0) for name in SPREAD_QUANTITIES])
    models = ndtri(shares[:, -2]) * design.nominal.scatter
    variances.append((MODELS, float(models.var())))
    moved += with_power * models[:, None]
    values = np.where(with_power != 0.0, np.exp(moved) * nominal, nominal + moved)
    values[:, SPREAD_QUANTITIES.index("stall_speed_kmh")] *= np.exp(ndtri(shares[:, -1]) * _STALL_SCATTER)
    return Draws(names, nominal, own_margins, values, margins, variances)


def spread(design: DesignVariants, draws: int = DRAWS, seed: int = SEED, chance: float = 0.9) -> Spread:
    """Return the scatter of a design; ``falls`` are for the share ``chance``. The pilot's decisions are not sampled."""
    found = drawn(design, draws, seed)
    nominal, values = found.own_values, found.values
    low, median, high = np.percentile(values, _PERCENTS, axis=0)
    middle = np.where(abs(median - nominal) <= _SAME * abs(nominal), nominal, median)
    over_medians = np.divide(middle, nominal, out=np.ones_like(nominal), where=nominal != 0)
    total = sum(part for _, part in found.variances) or 1.0
    matters = sorted(((key, part / total) for key, part in found.variances), key=lambda pair: -pair[1])
    falls = np.maximum(found.own_margins - np.quantile(found.margins, 1.0 - chance, axis=0), 0.0)
    return Spread(
        {name: Percentiles(*map(float, row)) for name, *row in zip(SPREAD_QUANTITIES, low, middle, high, strict=True)},
        dict(zip(found.names, found.met.mean(axis=0).tolist(), strict=True)),
        [(key, share) for key, share in matters if share >= _LEAST_SHARE],
        dict(zip(found.names, falls.tolist(), strict=True)),
        dict(zip(SPREAD_QUANTITIES, over_medians.tolist(), strict=True)),
        draws,
        float(np.quantile(values[:, SPREAD_QUANTITIES.index("range_km")], 1.0 - chance)),
    )


def quantities_of(numbers: VariantNumbers) -> np.ndarray:
    """Return the values (n,) of SPREAD_QUANTITIES for one variant, in the units of their names."""
    main = numbers.key_numbers
    values = at_edge(
        range_km=main.range, balance_mm=main.balance, pack_mm=main.pack, failure_load_factor=main.failure_load_factor
    )
    values |= numbers.more
    return np.array([values[name] for name in SPREAD_QUANTITIES])


def _changes(one: InputVariants, nominal: np.ndarray) -> np.ndarray:
    """Return changes (2, n_quantity) at the low and high end. Those of quantities in `_WITH_POWER` are logarithms.

    They are zero at an end that contradicts the measurements.
    """
    logarithmic = np.array([name in _WITH_POWER for name in SPREAD_QUANTITIES])
    rows = []
    for side in one.sides:
        values = nominal if side is None else quantities_of(side)
        share = np.where(logarithmic, np.maximum(values, _NONE) / np.maximum(nominal, _NONE), 1.0)
        rows.append(np.where(logarithmic, np.log(share), values - nominal))
    return np.array(rows)


def margins_of(numbers: VariantNumbers, nominal: VariantNumbers) -> np.ndarray:
    """Return the worst scaled margins (n,) of the limits of a design as assumed, ``nominal``.

    A variant may lack one: where its stock wing has rods over a bay, for example, they may lie so. Its margin is then
    the one as assumed.
    """
    return np.array([numbers.margins.get(name, own) for name, own in nominal.margins.items()])


def summed_margins(design: DesignVariants, places: np.ndarray) -> np.ndarray:
    """Return the margins (n_limit,) of one draw by sums of effects. ``places`` (n_input,) are 1 at the high ends."""
    names = list(design.nominal.margins)
    own = margins_of(design.nominal, design.nominal)
    changes = np.zeros(len(names))
    for one, place in zip(design.inputs, places, strict=True):
        low, high = (margins_of(side or design.nominal, design.nominal) - own for side in one.sides)
        changes += _parabola(np.array(place)) @ np.array([low, high])
    return own + np.where(np.isin(names, _KEPT_BY_PILOT), 0.0, changes)


def _parabola(place: np.ndarray) -> np.ndarray:
    """Return the weights (..., 2) of low and high of the parabola through (-1, low), (0, 0) and (1, high)."""
    return np.stack([0.5 * place * (place - 1.0), 0.5 * place * (place + 1.0)], axis=-1)


def _weights(one: InputVariants, share: np.ndarray) -> np.ndarray:
    """Return the weights (n_sample, 2) of the changes at low and high.

    ``share`` (n_sample,) is the cumulative probability.
    """
    if not all(_is_number(value) for side in one.input.sides for value in side.values()):
        return np.stack([share < _WORD_SHARE, share > 1.0 - _WORD_SHARE], axis=-1).astype(float)
    end = _FARTHEST if one.input.used.key.startswith(_WHOLE) else 1.0
    place = np.clip(ndtri(share) / BAND_END, -end, end)
    return _parabola(place)


def _is_number(value: Any) -> bool:
    """Return whether a value of an input is a number or a quantity, so that values between two ends exist."""
    if isinstance(value, list):
        return all(map(_is_number, value))
    if isinstance(value, str):
        try:
            split_quantity(value)
        except ValueError:
            return False
    return value is None or not isinstance(value, bool)
