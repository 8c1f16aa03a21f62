"""Air of the standard atmosphere below 11 km, with a local temperature if one is known."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

GRAVITY = 9.80665  # m/s^2
_SEA_LEVEL_TEMPERATURE = 288.15  # K
_SEA_LEVEL_PRESSURE = 101325.0  # Pa
_LAPSE_RATE = 0.0065  # K/m
_GAS_CONSTANT = 287.05287  # J/(kg K)
_FRICTION_POWER = -0.2  # of the Reynolds number, turbulent


def temperature(altitude: float | np.ndarray) -> float | np.ndarray:
    """Return the standard temperature (...) at a geopotential altitude (...) [m] below 11 km (ISO 2533:1975). [K]"""
    return _SEA_LEVEL_TEMPERATURE - _LAPSE_RATE * altitude


def pressure(altitude: float | np.ndarray) -> float | np.ndarray:
    """Return the standard pressure (...) at a geopotential altitude (...) [m] below 11 km (ISO 2533:1975). [Pa]

    >>> round(pressure(1000.0))
    89875
    """
    ratio = temperature(altitude) / _SEA_LEVEL_TEMPERATURE
    return _SEA_LEVEL_PRESSURE * ratio ** (GRAVITY / (_LAPSE_RATE * _GAS_CONSTANT))


def density(altitude: float | np.ndarray, local_temperature: float | np.ndarray | None = None) -> float | np.ndarray:
    """Return air density (...) at the standard pressure of an altitude (...) [m], by the gas law of ISO 2533. [kg/m^3]

    ``local_temperature`` (...) replaces the standard one [K].
    """
    return pressure(altitude) / (_GAS_CONSTANT * _local(altitude, local_temperature))


def dynamic_viscosity(
    altitude: float | np.ndarray, local_temperature: float | np.ndarray | None = None
) -> float | np.ndarray:
    """Return dynamic viscosity (...) by Sutherland's law with the constants of ISO 2533:1975. [Pa s]

    At an ``altitude`` (...) [m]; ``local_temperature`` (...) replaces the standard one [K].
    """
    kelvin = _local(altitude, local_temperature)
    return 1.458e-6 * kelvin**1.5 / (kelvin + 110.4)


def kinematic_viscosity(
    altitude: float | np.ndarray, local_temperature: float | np.ndarray | None = None
) -> float | np.ndarray:
    """Return kinematic viscosity (...), by definition dynamic viscosity over density. [m^2/s]

    At an ``altitude`` (...) [m]; ``local_temperature`` (...) replaces the standard one [K].
    """
    return dynamic_viscosity(altitude, local_temperature) / density(altitude, local_temperature)


def _local(altitude: float | np.ndarray, local_temperature: float | np.ndarray | None) -> float | np.ndarray:
    return temperature(altitude) if local_temperature is None else np.asarray(local_temperature)


def turbulent_plate_friction(reynolds: float | np.ndarray) -> float | np.ndarray:
    """Return the friction coefficient (...) of one side of a flat plate, turbulent from the edge. [-]

    Prandtl's one-fifth power law, 0.074 Re^(-1/5) (any text; from memory). Good to 10 % for ``reynolds`` (...) of 1e5
    to 1e7 [-].
    """
    return 0.074 * reynolds**_FRICTION_POWER


def equal_friction_chord(areas: Sequence[float | np.ndarray], chords: Sequence[float | np.ndarray]) -> Any:
    """Return the one chord (...) at which all areas combined have the friction that each has at its own chord. [m]

    ``areas`` [m^2] and ``chords`` [m] are (...) each; algebra on the power law of ``turbulent_plate_friction``.
    """
    friction: Any = sum(area * turbulent_plate_friction(chord) for area, chord in zip(areas, chords, strict=True))
    total: Any = sum(areas)
    return (friction / turbulent_plate_friction(1.0) / total) ** (1 / _FRICTION_POWER)
