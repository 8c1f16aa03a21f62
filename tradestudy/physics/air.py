"""Air of the standard atmosphere below 11 km, at the standard temperature or at a measured one.

"(...)" in a docstring means arrays of any batch shape.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

GRAVITY = 9.80665  # m/s^2
_SEA_LEVEL_TEMPERATURE = 288.15  # K
_SEA_LEVEL_PRESSURE = 101325.0  # Pa
_LAPSE_RATE = 0.0065  # K/m
_GAS_CONSTANT = 287.05287  # J/(kg K)
_FRICTION_POWER = -0.2  # exponent of the Reynolds number in turbulent friction


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
    """Return the air density (...) at an altitude (...) [m], by the gas law of ISO 2533. [kg/m^3]

    The pressure is the standard one. If ``local_temperature`` (...) [K] is given, it replaces the standard temperature.
    """
    return pressure(altitude) / (_GAS_CONSTANT * _local(altitude, local_temperature))


def dynamic_viscosity(
    altitude: float | np.ndarray, local_temperature: float | np.ndarray | None = None
) -> float | np.ndarray:
    """Return the dynamic viscosity (...) by Sutherland's law with the constants of ISO 2533:1975. [Pa s]

    ``altitude`` (...) is in [m]. If ``local_temperature`` (...) [K] is given, it replaces the standard temperature.
    """
    kelvin = _local(altitude, local_temperature)
    return 1.458e-6 * kelvin**1.5 / (kelvin + 110.4)


def kinematic_viscosity(
    altitude: float | np.ndarray, local_temperature: float | np.ndarray | None = None
) -> float | np.ndarray:
    """Return the kinematic viscosity (...): dynamic viscosity over density. This is a definition. [m^2/s]

    ``altitude`` (...) is in [m]. If ``local_temperature`` (...) [K] is given, it replaces the standard temperature.
    """
    return dynamic_viscosity(altitude, local_temperature) / density(altitude, local_temperature)


def _local(altitude: float | np.ndarray, local_temperature: float | np.ndarray | None) -> float | np.ndarray:
    return temperature(altitude) if local_temperature is None else np.asarray(local_temperature)


def turbulent_plate_friction(reynolds: float | np.ndarray) -> float | np.ndarray:
    """Return the friction coefficient (...) of one side of a flat plate. [-]

    The boundary layer is turbulent from the leading edge. The formula is Prandtl's one-fifth power law, 0.074
    Re^(-1/5), where Re is ``reynolds`` (...) [-] (any text; from memory). It is right within 10 % for Re from 1e5 to
    1e7.
    """
    return 0.074 * reynolds**_FRICTION_POWER


def equal_friction_chord(areas: Sequence[float | np.ndarray], chords: Sequence[float | np.ndarray]) -> Any:
    """Return one chord (...) for several areas, at which their total friction is the same as with their own chords. [m]

    ``areas`` [m^2] and ``chords`` [m] are sequences of arrays (...). The result follows by algebra from the power law
    of ``turbulent_plate_friction``.
    """
    friction: Any = sum(area * turbulent_plate_friction(chord) for area, chord in zip(areas, chords, strict=True))
    total: Any = sum(areas)
    return (friction / turbulent_plate_friction(1.0) / total) ** (1 / _FRICTION_POWER)
