"""What a flight's remark says of its pack: charge by the resting voltage, resistance by the voltage under a load.

A remark such as "rested 14.6 V, 13.9 V at 12 A" holds both. The pack was full at launch, flew, rested, and was then
loaded for a moment on the ground. Charge and resistance are given over those of the study's pack, new and at 20 C.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
from scipy.optimize import brentq

from tradestudy.physics.propulsion import cold_and_age, pack
from tradestudy.study.logbook.flights import Flight

_NUMBER = r"(\d+(?:[.,]\d+)?)"
_RESTED = re.compile(rf"\brest(?:ed|ing)?(?:\s+at)?\s+{_NUMBER}\s*V\b", re.IGNORECASE)
_LOADED = re.compile(rf"(?<!rested )(?<!at ){_NUMBER}\s*V\s+at\s+{_NUMBER}\s*A\b", re.IGNORECASE)
# common practice, no source: a voltmeter and a rest of some ten minutes, for each cell [V]; charger; ammeter
_CELL_READING, _CHARGER, _AMMETER = 0.02, 0.02, 0.05
_NEAR = 0.01  # states of charge between which the slope of the voltage curve is taken, each way [-]
_LEAST_USED = 0.3  # share of the charge below which a rest says too little of the whole [-]
_LEAST_SAG = 0.1  # volts for each cell below which a load says too little


class _Ages(NamedTuple):
    """How a pack ages, as ln(value) from one flight to the next: standard deviations of trend and of chance. [-]"""

    trend: float
    walk: float


# common practice, no source: a fifth of the charge in 50 to some hundred flights, with twice the resistance
_CHARGE_AGES, _RESISTANCE_AGES = _Ages(0.004, 0.001), _Ages(0.012, 0.003)


class PackReadings(NamedTuple):
    """One pack over its flights: numbers of the flights (n,), ln(value / study's pack) (n,), and their scatter (n,)."""

    flight: np.ndarray
    value: np.ndarray
    spread: np.ndarray


class PackState(NamedTuple):
    """A quantity of a pack now: ln(value / study's pack) and its standard deviation. [-]"""

    value: float
    spread: float


def rested_voltage(flight: Flight) -> float | None:
    """Return the voltage of the rested pack after a flight by its remark, or None. [V]"""
    found = _RESTED.search(flight.note)
    return _number(found.group(1)) if found else None


def loaded_voltage_and_current(flight: Flight) -> tuple[float, float] | None:
    """Return voltage [V] and current [A] of the pack under a load after a flight by its remark, or None."""
    found = _LOADED.search(flight.note)
    return (_number(found.group(1)), _number(found.group(2))) if found else None


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def charge_left(cells: pack.Pack, volts: float) -> float | None:
    """Return the state of charge of a rested pack, or None for a voltage that it cannot have. [-]

    By the voltage curve of the cells, by root search.
    """
    low, high = (float(pack.open_circuit_voltage(cells, end)) for end in (0.0, 1.0))
    if not low < volts < high:
        return None
    return float(brentq(lambda charge: float(pack.open_circuit_voltage(cells, charge)) - volts, 0.0, 1.0, xtol=1e-6))


def charge_readings(cells: pack.Pack, flights: Iterable[Flight]) -> PackReadings:
    """Return the readings of the charge of one pack. ``cells`` is the study's pack.

    A flight counts if it used a third of the charge and was noted with its charge and a rest. The error of a reading
    follows from the slope of the voltage curve there.
    """
    rows = []
    for number, flight in enumerate(flights, start=1):
        volts = rested_voltage(flight)
        left = None if volts is None else charge_left(cells, volts)
        if flight.charge is None or left is None or 1 - left < _LEAST_USED:
            continue
        ends = [float(pack.open_circuit_voltage(cells, left + side * _NEAR)) for side in (-1, 1)]
        slope = (ends[1] - ends[0]) / (2 * _NEAR)
        error = _CELL_READING * float(cells.series) / max(slope, 1e-6) / (1 - left)
        value = math.log(flight.charge / (1 - left) / float(pack.pack_capacity(cells)))
        rows.append((number, value, math.hypot(error, _CHARGER)))
    return PackReadings(*_columns(rows))


def resistance_readings(cells: pack.Pack, flights: Iterable[Flight], temperature: float) -> PackReadings:
    """Return the readings of the resistance of one pack's cells, over that of ``cells`` at 20 C.

    ``temperature`` [K] is that of ``cells``, and of flights noted without one.
    """
    rows = []
    for number, flight in enumerate(flights, start=1):
        volts, load = rested_voltage(flight), loaded_voltage_and_current(flight)
        left = None if volts is None else charge_left(cells, volts)
        if left is None or volts is None or load is None or volts - load[0] < _LEAST_SAG * float(cells.series):
            continue
        ohms = (volts - load[0]) / load[1] - float(cells.wiring_resistance)
        usual = float(pack.pack_resistance(cells, left) - cells.wiring_resistance)
        usual *= cold_and_age.cold_factor(flight.temperature or temperature) / cold_and_age.cold_factor(temperature)
        if ohms <= 0:
            continue
        error = math.sqrt(2) * _CELL_READING * float(cells.series) / (volts - load[0])
        rows.append((number, math.log(ohms / usual), math.hypot(error, _AMMETER)))
    return PackReadings(*_columns(rows))


def _columns(rows: list[tuple[int, float, float]]) -> list[np.ndarray]:
    return [np.array([row[place] for row in rows], float) for place in range(3)]


def state_now(readings: PackReadings, prior: PackState, flights: int, ages: _Ages) -> PackState:
    """Return the state of a pack after so many ``flights`` [-], from its readings, by Kalman's filter.

    Level and trend are both unknown, so a pack that fades steadily is followed without a lag.
    """
    mean = np.array([prior.value, 0.0])
    spread = np.diag([prior.spread**2, ages.trend**2])
    last = 1.0
    for number, measured, error in zip(*readings, strict=True):
        mean, spread = _aged(mean, spread, number - last, ages)
        gain = spread[:, 0] / (spread[0, 0] + error**2)
        mean, spread = mean + gain * (measured - mean[0]), spread - np.outer(gain, spread[0])
        last = number
    mean, spread = _aged(mean, spread, max(flights - last, 0.0), ages)
    return PackState(float(mean[0]), math.sqrt(spread[0, 0]))


def _aged(mean: np.ndarray, spread: np.ndarray, flights: float, ages: _Ages) -> tuple[np.ndarray, np.ndarray]:
    """Return level and trend (2,) with their covariance (2, 2) after so many further flights."""
    step = np.array([[1.0, flights], [0.0, 1.0]])
    return step @ mean, step @ spread @ step.T + np.diag([flights * ages.walk**2, 0.0])


def charge_now(readings: PackReadings, prior: PackState, flights: int) -> PackState:
    """Return ln(charge / study's pack) of a pack after so many flights, from its readings and a prior. [-]"""
    return state_now(readings, prior, flights, _CHARGE_AGES)


def resistance_now(readings: PackReadings, prior: PackState, flights: int) -> PackState:
    """Return ln(resistance / study's pack) of a pack after so many flights, from its readings and a prior. [-]"""
    return state_now(readings, prior, flights, _RESISTANCE_AGES)
