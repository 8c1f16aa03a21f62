"""A result told by the values to expect: the middle of the draws of its stretched wing, not the medians of the inputs.

A search compares wings at the medians of all inputs. Many inputs can only be worse than that, so the median of the
draws has less range. `expected_result` takes the middle of the draws over the value at the medians, both of the
stretched wing. It multiplies ranges, times and currents of every wing by these shares. So one number has one value in
every output, and wings differ by the same share as in the search.

Drag, structure, balance and limits stay at the medians.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any, TypeVar

from tradestudy.quantities.objectives import PURPOSES
from tradestudy.results.design import Design
from tradestudy.results.flight import Curves, PilotCard
from tradestudy.results.inputs import SpreadResult
from tradestudy.results.look.look import WingLook
from tradestudy.results.result import Result

HOME_PCT = 90.0  # share of such wings that come home from a turning point at the low end of its band
# quantity of the draws -> fields of a wing that follow it
_FOLLOW = {
    "range_km": ("range_km", "full_km", "half_km", "slower_km", "loaded_range_km"),
    "radius_by_charge_km": ("radius_by_charge_km", "loaded_radius_km"),
    "endurance_min": ("endurance_min", "longest_min"),
    "usual_flight_min": ("usual_flight_min", "loaded_flight_min"),
    "cruise_current_a": (
        "cruise_current_a", "end_current_a", "current_a", "hold_a", "fresh_a", "end_a", "band_low_a", "band_high_a",
        "longest_a",
    ),
    "stall_speed_kmh": ("stall_speed_kmh", "stall_kmh"),
    "top_speed_kmh": ("top_speed_kmh",),
}  # fmt: skip
_PER_DISTANCE = ("wh_per_km", "mah_per_km", "power_w", "price_per_km_gained")  # fields that go with one over the range
_EQUIPMENT = "equipment"  # the part of the power that the study states
_Part = TypeVar("_Part")


def expected_result(result: Result) -> Result:
    """Return ``result`` with the values to expect in every wing. Without draws it is unchanged.

    Missions stay as they are; `commands` fly them again.
    """
    drawn = result.spread
    if drawn is None or not drawn.over_medians:
        return result
    over = drawn.over_medians
    shares = field_shares(over)
    shares["gain"] = shares["at_most"] = over[PURPOSES[result.purposes.purpose].number]
    turns = _turns(drawn)
    farthest, prices = result.purposes.farthest_out_km, result.prices
    gains, flips = dict.fromkeys(("gain", "change", "lost"), shares["gain"]), result.flips
    priced = [[multiplied(row, shares) for row in rows] for rows in ((prices.slack, prices.parts) if prices else ())]

    def wing(design: Design) -> Design:
        return _wing_as_expected(design, shares, turns, farthest)

    def member(row: Any) -> Any:
        return _capped(multiplied(row, shares), farthest, over["radius_by_charge_km"])

    return replace(
        result,
        stock=wing(result.stock),
        best=result.best and wing(result.best),
        recommended=result.recommended and wing(result.recommended),
        instead=result.instead and wing(result.instead),
        alternatives=list(map(wing, result.alternatives)),
        span_trade=list(map(wing, result.span_trade)),
        front=list(map(wing, result.front)),
        builds=list(map(wing, result.builds)),
        steps=list(map(wing, result.steps)),
        club=list(map(member, result.club)),
        club_spans=list(map(member, result.club_spans)),
        compared=[multiplied(row, shares) for row in result.compared],
        pruned=[multiplied(row, shares) for row in result.pruned],
        rule_costs=[multiplied(row, shares) for row in result.rule_costs],
        flips=flips and replace(flips, rows=[multiplied(row, gains) for row in flips.rows]),
        prices=prices and replace(prices, slack=priced[0], parts=priced[1]),
    )


def field_shares(over: Mapping[str, float]) -> dict[str, float]:
    """Return the shares [-] of the fields of a wing by name, from those of the quantities of the draws."""
    shares = {name: over[quantity] for quantity, names in _FOLLOW.items() for name in names}
    return shares | dict.fromkeys(_PER_DISTANCE, 1 / over["range_km"])


def expected_wing(design: Design, drawn: SpreadResult, farthest: float | None) -> Design:
    """Return one wing with the values to expect by the draws of another. Its mission stays as it is."""
    return _wing_as_expected(design, field_shares(drawn.over_medians), _turns(drawn), farthest)


def _turns(drawn: SpreadResult) -> float:
    """Return the factor on the distances to turning points, which are at the low end of their band. [-]"""
    low, middle, _ = drawn.percentiles.radius_by_charge_km
    return drawn.over_medians["radius_by_charge_km"] * (low / middle if middle else 1.0)


def _wing_as_expected(design: Design, shares: dict[str, float], turns: float, farthest: float | None) -> Design:
    numbers = multiplied(design.numbers, shares)
    by_charge = numbers.radius_by_charge_km
    card = design.pilot_card and expected_card(design.pilot_card, shares, turns)
    return replace(
        design,
        numbers=replace(
            numbers,
            radius_km=_within(by_charge, farthest),
            charge_left_pct=_charge_left(design, by_charge, farthest),
        ),
        curves=expected_curves(design.curves, shares, farthest),
        watts=_watts_as_expected(design.watts, shares["power_w"]),
        pilot_card=card,
    )


def expected_look(look: WingLook, over: Mapping[str, float], farthest: float | None) -> WingLook:
    """Return a look at a wing with the values to expect. ``farthest`` is the limit on the distance out, if any. [km]

    ``over`` holds the values to expect over those at the medians, by quantity of the draws. [-]
    """
    shares = field_shares(over)
    numbers = multiplied(look.numbers, shares)
    return replace(
        look,
        numbers=replace(numbers, radius_km=_within(numbers.radius_by_charge_km, farthest)),
        curves=expected_curves(look.curves, shares, farthest),
    )


def expected_curves(curves: Curves, shares: Mapping[str, float], farthest: float | None) -> Curves:
    """Return curves with the values to expect: fields times their ``shares`` [-], by name."""
    made = multiplied(curves, shares)
    return replace(made, radius_km=[_within(one, farthest) for one in made.radius_by_charge_km])


def _within(distance: float, farthest: float | None) -> float:
    """Return a distance out, within the limit by radio or law if there is one. [km]"""
    return distance if farthest is None else min(distance, farthest)


def expected_card(card: PilotCard, shares: dict[str, float], turns: float) -> PilotCard:
    """Return a speed card with the values to expect: fields times their ``shares`` [-], by name.

    ``turns`` [-] multiplies the distances to the turning points, which are at the low end of their band.
    """
    return replace(
        multiplied(card, shares),
        legs=[multiplied(leg, shares) for leg in card.legs],
        turns=[multiplied(turn, {"full_km": turns, "half_km": turns}) for turn in card.turns],
        home_pct=HOME_PCT,
    )


def _watts_as_expected(watts: dict[str, float], share: float) -> dict[str, float]:
    """Return the power by use [W], its sum times ``share``. What the equipment draws is told, so it stays."""
    fixed = watts.get(_EQUIPMENT, 0.0)
    total = sum(watts.values())
    if not 0 < fixed < min(total, share * total):
        return {name: one * share for name, one in watts.items()}
    rest = (share * total - fixed) / (total - fixed)
    return {name: one if name == _EQUIPMENT else one * rest for name, one in watts.items()}


def _charge_left(design: Design, by_charge: float, farthest: float | None) -> float:
    """Return the charge left after out and home [%]. What is used goes with the energy for each kilometre."""
    before = design.numbers
    if farthest is None or by_charge <= 0 or before.radius_by_charge_km <= farthest:
        return before.charge_left_pct
    used = (100 - before.charge_left_pct) * before.radius_by_charge_km / by_charge
    return 100 - used if by_charge > farthest else before.charge_left_pct


def _capped(row: Any, farthest: float | None, share: float) -> Any:
    """Return a member's wing with its distance out and home to expect, within the limit by radio or law."""
    if row.radius_km is None or (farthest is not None and row.radius_km >= farthest):
        return row
    return replace(row, radius_km=row.radius_km * share)


def multiplied(part: _Part, shares: Mapping[str, float]) -> _Part:
    """Return a part of a result with the fields named by ``shares`` multiplied. Empty ones stay empty."""
    changed = {}
    for each in fields(part):  # type: ignore[arg-type]
        value, share = getattr(part, each.name), shares.get(each.name, 1.0)
        if share != 1.0 and value is not None:
            changed[each.name] = [share * one for one in value] if isinstance(value, list) else share * value
    return replace(part, **changed)  # type: ignore[type-var]
