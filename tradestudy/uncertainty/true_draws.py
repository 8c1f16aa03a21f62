"""True draws: one wing evaluated again with all inputs and errors of its build varied at once, by the whole model.

Sums of single effects (`range_band`) leave out what two inputs do together. A true draw sets every input to the low end
of its band, to its middle or to its high end. The ends are drawn as often as gives the variance of a normal
distribution that holds nine of ten within the band. Errors of the shop are drawn from that distribution itself. The
sums are evaluated for the same draws. What differs corrects the sums, whose many draws hold the whole distribution.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.model.limit_bounds import MET_ABOVE
from tradestudy.aircraft.workshop.as_built import BuildErrors
from tradestudy.search.engines.progress import Progress
from tradestudy.study.schema.built import BAND_END
from tradestudy.study.schema.study import Study

from .build_tolerance import SHOP
from .range_band import Draws, drawn, margins_of, summed_margins
from .variants import DesignVariants, FixedDesign, Input, InputValues, possible_variant

TRUE_DRAWS = 48
TRUE_SEED = 7411  # another one than that of the draws that set the required margins
_AT_AN_END = 0.5 / BAND_END**2  # share of the draws at each end that gives the variance of the normal distribution


class TrueShare(NamedTuple):
    """What true draws say of one wing.

    ``met`` is the share of wings that meet every limit [-], with its standard ``error``. ``margins`` (n_draw, n_limit)
    are those of many sums, corrected. ``lost`` is the number of draws whose inputs contradict each other.
    """

    names: list[str]
    met: float
    error: float
    margins: np.ndarray
    lost: int

    def met_share(self) -> dict[str, float]:
        """Return the share that meets each limit. [-]"""
        return dict(zip(self.names, (self.margins > MET_ABOVE).mean(axis=0).tolist(), strict=True))

    def short(self, chance: float) -> dict[str, float]:
        """Return what the scaled margin of each limit lacks at most in a share ``chance`` of the draws."""
        low = np.quantile(self.margins, 1.0 - chance, axis=0)
        return dict(zip(self.names, np.maximum(-low, 0.0).tolist(), strict=True))


def true_share(
    study: Study,
    tables: dict[str, Any],
    design: FixedDesign,
    variants: DesignVariants,
    tell: Progress,
    count: int = TRUE_DRAWS,
) -> TrueShare:
    """Return what ``count`` true draws say of a design. ``variants`` hold its inputs and the errors of its shop."""
    random, names = np.random.default_rng(TRUE_SEED), list(variants.nominal.margins)
    true, summed = [], []
    for number in range(1, count + 1):
        tell(f"true draws of the wing: {number} of {count}")
        places = _places(variants, random)
        found = possible_variant(study, tables, *_drawn_study(design, variants, places))
        if found is not None:
            true.append(margins_of(found, variants.nominal))
            summed.append(summed_margins(variants, places))
    many = drawn(variants, seed=TRUE_SEED)
    if not true:
        return TrueShare(names, many.all_met, 1.0, many.margins, count)
    return _corrected(many, np.array(true), np.array(summed), count)


def _corrected(many: Draws, true: np.ndarray, summed: np.ndarray, count: int) -> TrueShare:
    """Return the share of many sums, corrected by what true draws differ from sums of the same inputs."""
    differs = (true > MET_ABOVE).all(axis=-1).astype(float) - (summed > MET_ABOVE).all(axis=-1)
    met = float(np.clip(many.all_met + differs.mean(), 0.0, 1.0))
    # an error of zero where no draw differs would be too sure: one more draw that differs is allowed for
    error = float(np.sqrt(max(differs.var(), 1.0 / len(true)) / len(true)))
    return TrueShare(many.names, met, error, many.margins + (true - summed).mean(axis=0), count - len(true))


def _places(variants: DesignVariants, random: np.random.Generator) -> np.ndarray:
    """Return one draw of every input, as a place in its band: -1 and 1 are the ends."""
    ends = random.choice((-1.0, 0.0, 1.0), len(variants.inputs), p=(_AT_AN_END, 1 - 2 * _AT_AN_END, _AT_AN_END))
    errors = random.normal(0.0, 1.0 / BAND_END, len(variants.inputs))
    return np.where([_is_of_shop(one.input) for one in variants.inputs], errors, ends)


def _drawn_study(design: FixedDesign, variants: DesignVariants, places: np.ndarray) -> tuple[InputValues, FixedDesign]:
    """Return the changed values of the study's tables, and the design with the errors of its build."""
    values: InputValues = {}
    errors = BuildErrors()._asdict()
    for one, place in zip(variants.inputs, places, strict=True):
        if _is_of_shop(one.input):
            errors[str(one.input.used.place[-1])] = float(place) * one.input.most
        elif place and one.sides[int(place > 0)] is not None:
            values |= one.input.sides[int(place > 0)]
    return values, replace(design, errors=BuildErrors(**errors))


def _is_of_shop(one: Input) -> bool:
    return one.kind == SHOP
