"""Air of the standard atmosphere below 11 km, with a local temperature if one is known."""

from __future__ import annotations

import numpy as np

SEA_LEVEL_TEMPERATURE = 288.15  # K
SEA_LEVEL_PRESSURE = 101325.0  # Pa
LAPSE_RATE = 0.0065  # K/m
GAS_CONSTANT = 287.05287  # J/(kg K)
GRAVITY = 9.80665  # m/s^2


def temperature(altitude):
    """Return the standard temperature [K] at a geopotential altitude [m] below 11 km (ISO 2533:1975)."""
    return SEA_LEVEL_TEMPERATURE - LAPSE_RATE * altitude


def pressure(altitude):
    """Return the standard pressure [Pa] at a geopotential altitude [m] below 11 km (ISO 2533:1975)."""
    ratio = temperature(altitude) / SEA_LEVEL_TEMPERATURE
    return SEA_LEVEL_PRESSURE * ratio ** (GRAVITY / (LAPSE_RATE * GAS_CONSTANT))


def density(altitude, local_temperature=None):
    """Return air density [kg/m^3]: standard pressure at ``altitude`` [m], local or standard temperature [K]."""
    return pressure(altitude) / (GAS_CONSTANT * _temperature(altitude, local_temperature))


def dynamic_viscosity(altitude, local_temperature=None):
    """Return dynamic viscosity [Pa s] by Sutherland's law with the constants of ISO 2533:1975."""
    kelvin = _temperature(altitude, local_temperature)
    return 1.458e-6 * kelvin**1.5 / (kelvin + 110.4)


def kinematic_viscosity(altitude, local_temperature=None):
    """Return kinematic viscosity [m^2/s]."""
    return dynamic_viscosity(altitude, local_temperature) / density(altitude, local_temperature)


def _temperature(altitude, local_temperature):
    return temperature(altitude) if local_temperature is None else np.asarray(local_temperature)


_FRICTION_POWER = -0.2  # of the Reynolds number, turbulent


def turbulent_plate_friction(reynolds):
    """Return the friction coefficient of one side of a flat plate, turbulent from the edge. [-]

    Prandtl's one-fifth power law, 0.074 Re^(-1/5) (any text; from memory). Good to 10 % for Re 1e5 to 1e7.
    """
    return 0.074 * reynolds**_FRICTION_POWER


def equal_friction_chord(areas, chords):
    """Return the one chord at which all of the areas rub as much as each does at its own. (...) [m]"""
    rubbing = sum(area * turbulent_plate_friction(chord) for area, chord in zip(areas, chords, strict=True))
    return (rubbing / turbulent_plate_friction(1.0) / sum(areas)) ** (1 / _FRICTION_POWER)
