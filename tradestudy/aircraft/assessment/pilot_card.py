"""What a pilot tapes to the transmitter: amps to hold, and what they mean over the ground in a few winds.

The pilot sees amps, mAh, volts and ground speed but no airspeed, and amps are the one of them that wind does not touch.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.aircraft.model.speed_sweep import SpeedCard, SpeedSweep
from tradestudy.physics.endurance import cruise_range, mission
from tradestudy.physics.endurance import ground_speed as winds
from tradestudy.physics.flight import trimmed_flight
from tradestudy.physics.propulsion import drive_train, pack
from tradestudy.quantities import at_edge, rounded
from tradestudy.quantities.objectives import PURPOSES
from tradestudy.results.flight import CardLeg, CardTurn, PilotCard
from tradestudy.study.schema.study import Study

WITHIN = 0.02  # of the best is as good: a pilot holds a band and not a number
FEWEST = 3  # speeds of a card that may be cruised at, to choose among
HALF = 0.5  # state of charge of the half-used pack


def pilot_card(study: Study, flown: SpeedSweep, card: SpeedCard, cruise_speed: float) -> PilotCard | None:
    """Return the card of one design; None where no speed may be flown."""
    data, train = flown.data.power, flown.powertrain
    if flyable(card).sum() < FEWEST:
        return None
    speed = flyable_speeds(card)
    endurance = card.at("endurance", speed)
    wind = np.asarray(study.card.winds)
    angle = np.repeat([[0.0], [np.pi]], len(wind), axis=1)  # against it, with it
    best, full = winds.best_airspeeds(speed, endurance, wind, angle)
    ground = winds.ground_speed(best, wind, angle)
    asked = np.append(best, cruise_speed)  # all speeds that are told at once
    told_at = flown.shaft_at(asked, card.at("drag", asked))
    shaft = type(told_at)(*(np.reshape(value[:-1], best.shape) for value in told_at))
    cruising = type(told_at)(*(value[-1] for value in told_at))
    used = cruise_range.steady_cruise(train, shaft, data.reserve, data.avionics_power)
    capacity = float(pack.pack_capacity(train.pack))
    half = half_of(data.reserve)
    left = (
        None
        if half is None
        else ground * cruise_range.cruise_time(train, shaft, data.reserve, data.avionics_power, half)
    )
    outward, homeward = (type(shaft)(*(value[row] for value in shaft)) for row in (0, 1))
    start = np.array([[1.0]] if half is None else [[1.0], [half]])
    turn = mission.turn_back(train, outward, homeward, ground, data.reserve, data.avionics_power, start)
    legs = []
    for column, strength in enumerate(wind):
        for row, way in enumerate(("against", "with") if strength > 0 else ("none",)):
            here = row, column
            goes = bool(ground[here] > 0)
            legs.append(
                CardLeg(
                    direction=way,
                    **rounded(
                        at_edge(
                            wind_kmh=strength,
                            **told(
                                goes,
                                {
                                    "speed_kmh": best[here],
                                    "hold_a": used.mean_current[here],
                                    "ground_kmh": ground[here],
                                    "mah_per_km": used.mean_current[here] / max(ground[here], 1e-9),
                                    "full_km": full[here],
                                    "half_km": None if left is None else left[here],
                                },
                            ),
                        ),
                        5,
                    ),
                )
            )
    rows = [
        CardTurn(
            **rounded(
                at_edge(
                    wind_kmh=strength,
                    **told(
                        bool((ground[:, column] > 0).all()),
                        {
                            f"{name}_{what}": value
                            for row, name in enumerate(("full", "half"))
                            for what, value in _turned(turn, row, column, capacity).items()
                        },
                    ),
                ),
                5,
            )
        )
        for column, strength in enumerate(wind)
    ]
    return PilotCard(
        unit=study.card.unit,
        legs=legs,
        turns=rows,
        **rounded(
            at_edge(
                **_held(flown, card, cruising, PURPOSES[study.fly.purpose].output),
                capacity_mah=capacity,
                reserve_mah=data.reserve * capacity,
                half_mah=(1 - HALF) * capacity,
            ),
            5,
        ),
    )


def flyable(card: SpeedCard) -> np.ndarray:
    """Return which speeds (n_speed,) of a card may be cruised at: well above the stall, and to the end. [bool]"""
    return (card.speed >= trimmed_flight.CRUISE_OVER_SLOW * card.stall_speed) & (card.columns["throttle"] <= 1)


def flyable_speeds(card: SpeedCard) -> np.ndarray:
    """Return speeds (n,) that may be cruised at, from 1.3 times stall. [m/s]"""
    slowest = trimmed_flight.CRUISE_OVER_SLOW * card.stall_speed
    return np.append(slowest, card.speed[flyable(card) & (card.speed > slowest + 1e-3)])


def half_of(reserve: float) -> float | None:
    """Return the state of charge of a half-used pack, None where the reserve is no less. [-]"""
    return HALF if reserve < HALF else None


def told(goes: bool, values: dict[str, Any]) -> dict[str, Any]:
    """Return the values where the wing makes way in that wind, else the same names without a value."""
    return values if goes else dict.fromkeys(values)


def _turned(turn: mission.TurnBack, row: int, column: int, capacity: float) -> dict[str, Any]:
    if row >= len(turn.radius):
        return dict.fromkeys(("km", "mah", "v"))
    here = row, column
    return {"km": turn.radius[here], "mah": (1 - turn.state_of_charge[here]) * capacity, "v": turn.voltage[here]}


def _held(flown: SpeedSweep, card: SpeedCard, shaft: drive_train.ShaftPoint, gain: str) -> dict[str, Any]:
    """What to hold at the design's own cruise, and the band about the best speed that gives within 2 % of it; SI."""
    data, train, cruise_speed = flown.data.power, flown.powertrain, float(shaft.airspeed)
    speed = flyable_speeds(card)
    fine = np.linspace(speed[0], speed[-1], 2000)
    gains, amps, endurance = (card.at(name, fine) for name in (gain, "current", "endurance"))
    good = np.flatnonzero(gains >= (1 - WITHIN) * gains.max())
    low, high = good[0], good[-1]
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
    }
