"""One wing as it may come out of the shop: how often it meets each limit, which tolerance matters, what it costs.

The wing is evaluated with each error of its build at both ends of its tolerance (`aircraft.workshop.as_built`), and
sampled as inputs are (`range_band`): nine wings of ten lie within a tolerance, with a normal distribution. The doubt
about the inputs is drawn apart from that of the shop, and both together.

A difference in washout between the halves rolls the wing. It changes no limit; the elevon that holds the wing level is
told instead.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE, Limit, StockReference, limits_of
from tradestudy.aircraft.model.speed_sweep import NeverFlies, SpeedSweep
from tradestudy.aircraft.workshop.as_built import ERRORS_OF, OF_KEPT_PANELS, BuildErrors, roll_trim
from tradestudy.errors import RunFailed
from tradestudy.quantities import in_unit, short_with_unit
from tradestudy.results.inputs import AsBuilt, LimitAsBuilt, ToleranceEffect
from tradestudy.search.limit_prices import BY_SPEED
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.study.schema.study import Study

from .range_band import Draws, drawn
from .variants import (
    DesignVariants,
    FixedDesign,
    Input,
    InputVariants,
    VariantNumbers,
    drawn_design,
    flown_design,
    numbers_of,
    outputs_of,
)

TABLE = "build_tolerance"
SHOP = "shop"  # kind of the inputs that are errors of the shop
IN_TEN = 0.9  # share of the wings for which it is told how far a limit falls short
_HELD = 0.5  # share of the usual tolerance, for the sentence on holding one of them more closely
_ROLLS = "twist_difference"
_UNITS = {"washout": "deg", _ROLLS: "deg", "sweep": "deg", "balance": "mm", "rod_depth": "mm", "core_chord": "mm"}


@dataclass(frozen=True)
class WingAsDrawn:
    """One wing as drawn, the study and design that it belongs to, and the stock wing's values that set its limits."""

    study: Study
    design: FixedDesign
    drawn: SpeedSweep
    reference: StockReference

    @property
    def limits(self) -> list[Limit]:
        """The limits of the wing."""
        return limits_of(self.study, self.reference, self.design.choice, self.drawn.data.strip_count)

    @property
    def tolerances(self) -> dict[str, float]:
        """The tolerances of the shop by name, SI, but for those that are zero or that this wing does not have."""
        data, variables = self.drawn.data, self.drawn.variables
        whole = EvaluatedDesign(self.study, data, self.design.choice, variables, self.drawn.wings)
        names = OF_KEPT_PANELS if whole.keeps_panels else ERRORS_OF[data.layout.scheme]
        table = self.study.build_tolerance
        return {name: getattr(table, name) for name in names if getattr(table, name) > 0}

    def numbers(self, errors: BuildErrors) -> VariantNumbers | None:
        """Return the numbers of the wing with the errors of a build, or None if it does not fly."""
        try:
            sweep = flown_design(self.study, replace(self.design, errors=errors), self.drawn)
            return numbers_of(self.study, self.design, *outputs_of(sweep, self.reference))
        except (RunFailed, NeverFlies):
            return None


def wing_as_drawn(study: Study, design: FixedDesign) -> WingAsDrawn:
    """Return a fixed design as drawn, with a study's inputs. Raises the same errors as `variants.drawn_design`."""
    return WingAsDrawn(study, design, *drawn_design(study, design))


def shop_inputs(wing: WingAsDrawn, share: float = 1.0) -> list[InputVariants]:
    """Return the errors of the shop as inputs, with the wing's numbers at a ``share`` of each tolerance, both ways."""
    found = []
    for name, most in wing.tolerances.items():
        if name in BuildErrors._fields:
            ends = [wing.numbers(BuildErrors(**{name: side * share * most})) for side in (-1.0, 1.0)]
            found.append(InputVariants(_input(name, share * most), (ends[0], ends[1])))
    return found


def _input(name: str, most: float) -> Input:
    text, place = tolerance_text(name, most), (TABLE, name)
    used = DefaultUsed(f"{TABLE}.{name}", "0", "", f"-{text}", f"+{text}", "", place)
    return Input(used, ({place: f"-{text}"}, {place: text}), SHOP, most)


def tolerance_text(name: str, value: float) -> str:
    """Return a tolerance (SI) as text with its unit."""
    return short_with_unit(value, _UNITS.get(name, "%"), 3)


def as_built_result(study: Study, design: FixedDesign, inputs: DesignVariants | None = None) -> AsBuilt:
    """Return what the shop does to one wing. ``inputs`` are its variants by the uncertain inputs, or None."""
    wing = wing_as_drawn(study, design)
    nominal = wing.numbers(BuildErrors()) if inputs is None else inputs.nominal
    if nominal is None:
        raise NeverFlies("by these numbers the wing as drawn does not fly.")
    shop = shop_inputs(wing)
    alone = DesignVariants(nominal._replace(scatter=0.0), shop)
    found = drawn(alone)
    by_inputs = both = None
    if inputs is not None:
        by_inputs, both = drawn(inputs), drawn(inputs._replace(inputs=[*inputs.inputs, *shop]))
    without = [_all_met_without(alone, index) for index in range(len(shop))]
    most = int(np.argmax(without)) if shop and max(without) > found.all_met else None
    difference = wing.tolerances.get(_ROLLS, 0.0)
    trim = roll_trim(wing.drawn, difference) if difference else 0.0
    whole = EvaluatedDesign(study, wing.drawn.data, design.choice, wing.drawn.variables, wing.drawn.wings)
    return AsBuilt(
        met_pct=_percent(found.all_met),
        near_pct=_percent(_near(wing, found)),
        met_inputs_pct=None if by_inputs is None else _percent(by_inputs.all_met),
        met_both_pct=None if both is None else _percent(both.all_met),
        range_change_pct=_range_changes(found),
        effects=[_effect(wing, one, nominal, share) for one, share in zip(shop, without, strict=True)],
        limits=list(_limits(wing, alone, found, by_inputs, both)),
        matters_most="" if most is None else str(shop[most].input.used.place[-1]),
        held_to="" if most is None else _held_text(wing, shop[most]),
        held_met_pct=None if most is None else _percent(_held_met(wing, alone, most)),
        roll_trim_deg=round(in_unit(trim, "deg"), 3),
        roll_trim_mm=round(in_unit(whole.elevon_chord * np.sin(trim), "mm"), 2),
        draws=len(found.margins),
    )


def _near(wing: WingAsDrawn, found: Draws) -> float:
    """Return the share of the draws that miss no limit by more than the small step of its declaration."""
    limits, flown = {limit.name: limit for limit in wing.limits}, flown_design(wing.study, wing.design, wing.drawn)
    steps = [_scaled_step(flown, limits[name]) for name in found.names]
    return float((found.margins > MET_ABOVE - np.array(steps)).all(axis=-1).mean())


def _scaled_step(flown: SpeedSweep, limit: Limit) -> float:
    """Return the small step of a limit's declaration as a change of its scaled margin, where that is worst."""
    step, speeds = limit.declared.step, limit.declared.speeds
    if speeds is None:
        return step.size if step.of_scale else step.size / limit.scale
    margins = limit.margin(flown.evaluation.by_name()[limit.output])
    return float(BY_SPEED[speeds.value](flown, limit, step.size)[int(np.argmin(margins))])


def _percent(share: float) -> float:
    return round(in_unit(share, "%"), 1)


def _range_changes(found: Draws) -> list[float]:
    """Return the changes of the range that one wing in ten falls below, and that one in ten exceeds. [%]"""
    own = found.own_values[0]
    low, high = np.percentile(found.values[:, 0], (10, 90))
    return [round(in_unit(float(end / own - 1), "%"), 2) for end in (low, high)]


def _effect(wing: WingAsDrawn, one: InputVariants, nominal: VariantNumbers, without: float) -> ToleranceEffect:
    name = str(one.input.used.place[-1])
    own = nominal.key_numbers.range
    changes = [None if side is None else in_unit(side.key_numbers.range / own - 1, "%") for side in one.sides]
    return ToleranceEffect(
        name=name,
        tolerance=tolerance_text(name, wing.tolerances[name]),
        range_change_pct=[None if change is None else round(change, 2) for change in changes],
        met_without_pct=_percent(without),
    )


def _all_met_without(alone: DesignVariants, index: int) -> float:
    """Return the share of the same draws that meet every limit if one error is never made."""
    return drawn(alone._replace(inputs=_with(alone.inputs, index, (None, None)))).all_met


def _held_text(wing: WingAsDrawn, one: InputVariants) -> str:
    name = str(one.input.used.place[-1])
    return tolerance_text(name, _HELD * wing.tolerances[name])


def _held_met(wing: WingAsDrawn, alone: DesignVariants, index: int) -> float:
    """Return the share of the same draws that meet every limit if one tolerance is held more closely."""
    return drawn(alone._replace(inputs=_with(alone.inputs, index, shop_inputs(wing, _HELD)[index].sides))).all_met


def _with(inputs: list[InputVariants], index: int, sides: Any) -> list[InputVariants]:
    """Return the inputs with other ends of one. An end that is None moves nothing, so the other samples stay."""
    return [one._replace(sides=sides) if place == index else one for place, one in enumerate(inputs)]


def _only(inputs: list[InputVariants], index: int) -> list[InputVariants]:
    return [one if place == index else one._replace(sides=(None, None)) for place, one in enumerate(inputs)]


def _limits(
    wing: WingAsDrawn, alone: DesignVariants, found: Draws, by_inputs: Draws | None, both: Draws | None
) -> Iterator[LimitAsBuilt]:
    """Yield every limit as built, the one met least often first."""
    met = found.met.mean(axis=0)
    singles = [drawn(alone._replace(inputs=_only(alone.inputs, index))) for index in range(len(alone.inputs))]
    variances = np.array([each.margins.var(axis=0) for each in singles]).reshape(len(singles), len(met))
    limits, flown = {limit.name: limit for limit in wing.limits}, flown_design(wing.study, wing.design, wing.drawn)
    for index in np.argsort(met, kind="stable"):
        name = found.names[index]
        own = variances[:, index]
        first = int(np.argmax(own)) if len(own) and own.sum() > 0 else None
        short, unit = shortfall(flown, limits[name], -float(np.quantile(found.margins[:, index], 1.0 - IN_TEN)))
        yield LimitAsBuilt(
            name=name,
            words=limits[name].words,
            met_pct=_percent(float(met[index])),
            met_inputs_pct=None if by_inputs is None else _percent(_share_met(by_inputs, name)),
            met_both_pct=None if both is None else _percent(_share_met(both, name)),
            short=short,
            unit=unit,
            matters="" if first is None else str(alone.inputs[first].input.used.place[-1]),
            matters_pct=0.0 if first is None else _percent(float(own[first] / own.sum())),
        )


def _share_met(draws: Draws, name: str) -> float:
    return float(draws.met[:, draws.names.index(name)].mean())


def shortfall(design: SpeedSweep, limit: Limit, short: float) -> tuple[float, str]:
    """Return how far a limit falls short in the unit in which it is shown, and that unit.

    ``short`` is what its scaled margin lacks; nothing is lacking if it is not positive. A limit that compares two
    speeds falls short by a speed, taken along the slope of its margin.
    """
    declared = limit.declared
    unit = "km/h" if declared.speeds else declared.quantity.unit
    if short <= 0:
        return 0.0, unit
    if declared.speeds is None:
        quantity, change = declared.quantity, short * limit.scale
        return round(abs(quantity.in_unit(limit.bound + change) - quantity.in_unit(limit.bound)), 4), unit
    speed = short / _scaled_step(design, limit) * declared.step.size
    if declared.speeds.value == "cruise":  # its step is a multiple of the stall speed
        speed *= design.cruise_speed / design.data.flight.cruise_over_stall
    return round(in_unit(speed, "km/h"), 3), unit
