"""The card that a pilot tapes to the transmitter: current to hold, and the resulting ranges in several winds.

The pilot sees amps, mAh, volts and ground speed but no airspeed. Of these, only the current is independent of the wind.
"""

from __future__ import annotations

from collections.abc import Callable
from operator import itemgetter
from typing import Any

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.speed_sweep import SpeedCard
from tradestudy.physics.endurance import cruise_range, mission
from tradestudy.physics.endurance import ground_speed as winds
from tradestudy.physics.propulsion import drive_train, pack
from tradestudy.quantities import at_edge, rounded
from tradestudy.quantities.objectives import PURPOSES
from tradestudy.results.flight import CardLeg, CardTurn, PilotCard

_WITHIN = 0.02  # share of the best gain; speeds that lose less are equally good to a pilot
_WORTH_SAYING = 0.005  # share of the gain at the least cruise that slower flight must add to be mentioned
FEWEST = 3  # least number of speeds that allow a cruise; with fewer there is no card
# Advised maximum speed over the fastest speed held on a card, at least, so that a gust or a glance away does not exceed
# it: judgement, no source [-]
_CLEAR_OF = 1.05
_BARELY_ABOVE_STALL = 1.3  # slowest speed of any card over stall: common practice, no source [-]
_NEXT_TO = 0.95  # slowest over fastest speed of a card that is held back below the least cruise, at most [-]
_SLOW_SPEEDS = 40  # speeds from which a card that is held back takes the best
_HALF = 0.5  # state of charge of a half-used pack


def pilot_card(design: EvaluatedDesign, cautious: float | None = None) -> PilotCard | None:
    """Return the card of one design, or None if fewer than `FEWEST` speeds allow a cruise.

    ``cautious`` [m/s] is the advised maximum speed with weak film and foam. A card that comes near to it
    stays clear of it, until a test on the bench has shown how stiff the wing is.
    """
    card, data, train = design.speed_card, design.data.power, design.powertrain
    if flyable(card).sum() < FEWEST:
        return None
    speeds = flyable_speeds(card)
    wind = np.asarray(design.study.card.winds)
    angle = np.repeat([[0.0], [np.pi]], len(wind), axis=1)  # flight against the wind, and with it
    best, full = winds.best_airspeeds(speeds, card.at("endurance", speeds), wind, angle)
    held = None
    if cautious is not None and cautious < _CLEAR_OF * max(best.max(), design.cruise_speed):
        held = max(cautious / _CLEAR_OF, _BARELY_ABOVE_STALL * card.stall_speed)
        speeds = np.linspace(min(speeds[0], _NEXT_TO * held), held, _SLOW_SPEEDS)
        best, full = winds.best_airspeeds(speeds, card.at("endurance", speeds), wind, angle)
    cruise_speed = design.cruise_speed if held is None else min(design.cruise_speed, held)
    ground = winds.ground_speed(best, wind, angle)
    airspeeds = np.append(best, cruise_speed)
    points = design.shaft_at(airspeeds, card.at("drag", airspeeds))
    shaft = _each_field(points, lambda value: np.reshape(value[:-1], best.shape))
    cruising = _each_field(points, itemgetter(-1))
    used = cruise_range.steady_cruise(train, shaft, data.reserve, data.avionics_power)
    capacity = float(pack.pack_capacity(train.pack))
    half_used = data.reserve < _HALF  # False if a half-used pack has nothing left above the reserve
    half = (
        ground * cruise_range.cruise_time(train, shaft, data.reserve, data.avionics_power, _HALF) if half_used else None
    )
    outward, homeward = (_each_field(shaft, itemgetter(row)) for row in (0, 1))
    start = np.array([[1.0], [_HALF]] if half_used else [[1.0]])
    turn = mission.turn_back(train, outward, homeward, ground, data.reserve, data.avionics_power, start)
    legs, turns = [], []
    for column, strength in enumerate(wind):
        for row, way in enumerate(("against", "with") if strength > 0 else ("none",)):
            here = row, column
            leg = {
                "speed_kmh": best[here],
                "hold_a": used.mean_current[here],
                "ground_kmh": ground[here],
                "mah_per_km": used.mean_current[here] / max(ground[here], 1e-9),
                "full_km": full[here],
                "half_km": None if half is None else half[here],
            }
            legs.append(CardLeg(direction=way, **_at_edge(strength, leg, makes_way=ground[here] > 0)))
        there = {
            f"{name}_{what}": value
            for row, name in enumerate(("full", "half"))
            for what, value in _turning_point(turn, row, column, capacity).items()
        }
        turns.append(CardTurn(**_at_edge(strength, there, makes_way=(ground[:, column] > 0).all())))
    return PilotCard(
        unit=design.study.card.unit,
        legs=legs,
        turns=turns,
        **rounded(
            at_edge(
                **_cruise_numbers(design, cruising, cruise_speed),
                until_tested_kmh=held,
                capacity_mah=capacity,
                reserve_mah=data.reserve * capacity,
                half_mah=(1 - _HALF) * capacity,
            ),
            5,
        ),
    )


def _each_field(point: drive_train.ShaftPoint, change: Callable[[Any], Any]) -> drive_train.ShaftPoint:
    """Return the record with ``change`` applied to every field."""
    return type(point)(*map(change, point))


def _at_edge(wind: float, values: dict[str, Any], makes_way: bool) -> dict[str, Any]:
    """Return SI values in the units shown to the user. All are None if it makes no progress in that wind [m/s]."""
    return rounded(at_edge(wind_kmh=wind, **(values if makes_way else dict.fromkeys(values))), 5)


def flyable(card: SpeedCard) -> np.ndarray:
    """Return which speeds (n_speed,) of a card allow a cruise.

    They are no slower than the study's least cruise, and thrust is enough until the reserve.
    """
    return (card.speed >= card.least_cruise) & (card.columns["throttle"] <= 1)


def flyable_speeds(card: SpeedCard) -> np.ndarray:
    """Return the speeds (n,) that allow a cruise, from the study's least cruise. [m/s]"""
    slowest = card.least_cruise
    return np.append(slowest, card.speed[flyable(card) & (card.speed > slowest + 1e-3)])


def _turning_point(turn: mission.TurnBack, row: int, column: int, capacity: float) -> dict[str, Any]:
    if row >= len(turn.radius):
        return dict.fromkeys(("km", "mah", "v"))
    here = row, column
    return {"km": turn.radius[here], "mah": (1 - turn.state_of_charge[here]) * capacity, "v": turn.voltage[here]}


def _cruise_numbers(design: EvaluatedDesign, shaft: drive_train.ShaftPoint, cruise_speed: float) -> dict[str, Any]:
    """Return, in SI, what to hold in cruise, and the band of speeds within 2 % of the best gain."""
    card, data, train = design.speed_card, design.data.power, design.powertrain
    speed = flyable_speeds(card)
    fine = np.linspace(speed[0], speed[-1], 2000)
    gain, amps, endurance = (
        card.at(name, fine) for name in (PURPOSES[design.study.fly.purpose].output, "current", "endurance")
    )
    good = np.flatnonzero(gain >= (1 - _WITHIN) * gain.max())
    low, high = good[0], good[-1]
    slower = _slower_optimum(card, PURPOSES[design.study.fly.purpose].output)
    longest = int(endurance.argmax())
    fresh, end = (
        drive_train.operating_point(train, shaft, charge, data.avionics_power) for charge in (1.0, data.reserve)
    )
    mean = cruise_range.steady_cruise(train, shaft, data.reserve, data.avionics_power)
    return {
        "speed_kmh": cruise_speed,
        "hold_a": mean.mean_current,
        "fresh_a": fresh.pack_current,
        "end_a": end.pack_current,
        "fresh_v": fresh.pack_voltage,
        "end_v": end.pack_voltage,
        "power_w": mean.energy_per_metre * cruise_speed,
        "band_low_kmh": fine[low],
        "band_high_kmh": fine[high],
        "band_low_a": amps[low],
        "band_high_a": amps[high],
        "longest_kmh": fine[longest],
        "longest_a": amps[longest],
        "longest_min": endurance[longest],
        "stall_kmh": card.stall_speed,
        "slower_kmh": slower,
        "slower_km": None if slower is None else float(card.at("range", slower)),
    }


def _slower_optimum(card: SpeedCard, output: str) -> float | None:
    """Return the best speed below the study's least cruise, or None if slower flight gains next to nothing. [m/s]"""
    if card.least_cruise <= card.speed[0]:
        return None
    slow = np.linspace(card.speed[0], card.least_cruise, 500)
    gain = card.at(output, slow)
    best = int(gain.argmax())
    return float(slow[best]) if gain[best] > (1 + _WORTH_SAYING) * gain[-1] else None
