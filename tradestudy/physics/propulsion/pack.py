"""Battery pack: voltage, sag under load and deliverable power.

The model of a cell is an open-circuit voltage, which depends on state of charge, in series with a resistance. That
resistance sets the sag under load. It is two or more times the 1 kHz impedance that makers print, and it varies over
the discharge. A full cell sags a third less than a half-full one, because slow processes inside it build up during the
discharge. A nearly empty cell sags up to three times as much.

The resulting voltage along a discharge is within 30 mV of an electrochemical model from C/20 to 2 C. The energy at
constant power is within 1 % for a discharge to 2.5 V, and within 2.2 % for one to 3.3 V
(tests/published/power/test_chen_2020.py).
There is no Peukert exponent: the 1.01 to 1.06 of these cells is an effect of the sag. Above 1 hour of flight an
exponent would predict a gain that does not exist.

Results are estimates. The cell maker's limits of current, voltage and temperature take precedence over anything here.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from .cold_and_age import WIRING_RESISTANCE

_FEW_CHARGES, _MOST_KNOWN = 32, 256  # charges at once, and sets of charges, whose values on a curve are kept
_SOFT_LIMIT = 0.01  # power reserve below which the voltage is extrapolated smoothly (sag above 45 %) [-]


@dataclass(frozen=True, eq=False)
class VoltageCurve:
    """Voltage and resistance of a cell at even steps of state of charge 0 to 1, joined by smooth cubic pieces."""

    voltage: np.ndarray  # open-circuit voltage (n,) [V]
    slope: np.ndarray  # derivative of the voltage by state of charge (n,) [V]
    sag: np.ndarray  # resistance of the cell over its resistance at half charge (m,) [-]
    sag_slope: np.ndarray  # derivative of ``sag`` by state of charge (m,) [-]

    def voltage_at(self, state_of_charge: Any) -> Any:
        """Return the voltage (...) of the resting cell at a ``state_of_charge`` (...) [-]. This is a definition. [V]"""
        return _curve_at(self.voltage, self.slope, state_of_charge, self._voltages)

    def sag_at(self, state_of_charge: Any) -> Any:
        """Return the resistance (...) over that at half charge, at a ``state_of_charge`` (...) [-]. Definition. [-]"""
        return _curve_at(self.sag, self.sag_slope, state_of_charge, self._sags)

    @cached_property
    def _voltages(self) -> dict[Any, np.ndarray]:
        return {}

    @cached_property
    def _sags(self) -> dict[Any, np.ndarray]:
        return {}


class Pack(NamedTuple):
    """A pack of equal cells. All fields but ``curve`` may be arrays (...) and complex."""

    curve: VoltageCurve
    series: Any  # number of cells in series [-]
    parallel: Any  # number of cells in parallel [-]
    cell_capacity: Any  # charge of a cell between state of charge 0 and 1 [C]
    cell_resistance: Any  # resistance of a cell at half charge [ohm]
    wiring_resistance: Any = WIRING_RESISTANCE  # resistance of leads, strips and connector of the pack [ohm]


def voltage_curve(voltage: Sequence[float], sag: Sequence[float] = (1.0, 1.0)) -> VoltageCurve:
    """Return a VoltageCurve through a ``voltage`` (n,) [V] at even steps of charge from empty to full.

    ``sag`` (m,) is the resistance over that at half charge, also at even steps [-]. Slopes of the voltage are Fritsch
    and Carlson's harmonic mean (SIAM J. Numer. Anal. 17, 1980), which gives no overshoot between the points. Slopes of
    the resistance, which falls and rises, are central differences.
    """
    volts, resistance = np.asarray(voltage, float), np.asarray(sag, float)
    chord = np.diff(volts) * (len(volts) - 1)
    slope = np.empty(len(volts))
    slope[1:-1] = 2 * chord[1:] * chord[:-1] / (chord[1:] + chord[:-1])
    slope[0], slope[-1] = chord[0], chord[-1]
    return VoltageCurve(volts, slope, resistance, np.gradient(resistance) * (len(resistance) - 1))


# LG M50 21700 cell at 25 C: C.-H. Chen et al., J. Electrochem. Soc. 167 (2020) 080534, parameter set Chen2020
# as evaluated by PyBaMM 26.10. The voltages are at state of charge 0, 0.025, ... 1 of 5.153 Ah. The resistance is that
# over the 48 mohm of half charge, at state of charge 0, 0.05, ... 1. It is fitted to discharges of the same model at
# constant currents of C/20 to 2 C.
# fmt: off
LITHIUM_ION = voltage_curve(
    [
        2.5000, 2.9212, 3.1094, 3.2107, 3.2959, 3.3787, 3.4339, 3.4641, 3.4852, 3.5056,
        3.5286, 3.5545, 3.5814, 3.6068, 3.6290, 3.6487, 3.6670, 3.6855, 3.7054, 3.7273,
        3.7509, 3.7750, 3.7983, 3.8200, 3.8406, 3.8624, 3.8896, 3.9206, 3.9479, 3.9713,
        3.9943, 4.0181, 4.0421, 4.0640, 4.0809, 4.0911, 4.0967, 4.1048, 4.1236, 4.1564,
        4.2000,
    ],
    sag=[
        3.03, 1.54, 1.33, 1.15, 1.04, 0.99, 0.97, 0.97, 0.97, 0.98,
        1.00, 1.02, 1.03, 1.04, 1.04, 1.01, 0.96, 0.91, 0.85, 0.77,
        0.69,
    ],
)
# Resting voltages printed on many chargers, at state of charge 0, 0.05, ... 1: common practice, from memory. The
# resistance is constant over charge, because no measurement was available.
LITHIUM_POLYMER = voltage_curve(
    [
        3.27, 3.61, 3.69, 3.71, 3.73, 3.75, 3.77, 3.79, 3.80, 3.82,
        3.84, 3.85, 3.87, 3.91, 3.95, 3.98, 4.02, 4.08, 4.11, 4.15,
        4.20,
    ]
)
# APR18650M1B cell, mean of charge and discharge at C/32 and room temperature: S. Sunil, K. R. Pattipati and
# B. Balasingam, IEEE Trans. Instrum. Meas., 2025. Ten break points of state of charge and voltage stand beside
# the authors' data; straight lines between them give the voltages at state of charge 0, 0.025, ... 1. The resistance is
# constant over charge, because no measurement was available.
LITHIUM_IRON_PHOSPHATE = voltage_curve(
    [
        2.0102, 2.9084, 3.0672, 3.1530, 3.1988, 3.2087, 3.2187, 3.2286, 3.2385, 3.2485,
        3.2584, 3.2684, 3.2775, 3.2802, 3.2829, 3.2856, 3.2883, 3.2910, 3.2937, 3.2964,
        3.2990, 3.3017, 3.3044, 3.3071, 3.3098, 3.3125, 3.3152, 3.3179, 3.3206, 3.3233,
        3.3260, 3.3287, 3.3314, 3.3340, 3.3367, 3.3394, 3.3421, 3.3448, 3.3475, 3.3502,
        3.5981,
    ]
)
# fmt: on
CELL_CURVES = {
    "lithium-ion": LITHIUM_ION,
    "lithium-polymer": LITHIUM_POLYMER,
    "lithium-iron-phosphate": LITHIUM_IRON_PHOSPHATE,
}


def open_circuit_voltage(pack: Pack, state_of_charge: Any) -> Any:
    """Return the voltage of the resting pack (...) at a ``state_of_charge`` (...) [-], where 1 is full. [V]

    This is a definition. Outside 0..1 the voltage continues linearly.

    >>> pack = Pack(LITHIUM_POLYMER, series=4, parallel=1, cell_capacity=3600.0, cell_resistance=0.01)
    >>> round(float(open_circuit_voltage(pack, 1.0)), 3), round(float(pack_resistance(pack)), 3)
    (16.8, 0.05)
    """
    return pack.series * pack.curve.voltage_at(state_of_charge)


def pack_resistance(pack: Pack, state_of_charge: Any = 0.5) -> Any:
    """Return the resistance (...) of cells and wiring at a ``state_of_charge`` (...) [-]. [ohm]

    This is a definition and needs no source.
    """
    cell = pack.cell_resistance
    if len(pack.curve.sag) > 2:  # two equal points mean a constant resistance
        cell = cell * pack.curve.sag_at(state_of_charge)
    return pack.series / pack.parallel * cell + pack.wiring_resistance


def _curve_at(values: np.ndarray, slopes: np.ndarray, state_of_charge: Any, known: dict[Any, np.ndarray]) -> Any:
    """Return cubic pieces through ``values`` (n,) with ``slopes`` (n,) at a state of charge (...).

    Outside 0..1 the curve is linear. Design after design asks for the same few charges, so real results are kept in
    ``known``.
    """
    charge = np.asarray(state_of_charge)
    if charge.dtype.kind != "f" or charge.size > _FEW_CHARGES:
        return _cubics_at(values, slopes, charge)
    key = charge.shape, charge.tobytes()
    found = known.get(key)
    if found is None:
        if len(known) >= _MOST_KNOWN:
            known.clear()
        found = known[key] = np.asarray(_cubics_at(values, slopes, charge))
        found.flags.writeable = False
    return found


def _cubics_at(values: np.ndarray, slopes: np.ndarray, charge: np.ndarray) -> Any:
    pieces = len(values) - 1
    below, above = charge.real < 0, charge.real > 1
    outside = (below | above).any()
    inside = np.where(below, 0.0, np.where(above, 1.0, charge)) if outside else charge
    place = inside * pieces
    first = np.minimum(place.real.astype(int), pieces - 1)
    t = place - first
    rest = 1 - t
    last = first + 1
    result = (
        values[first] * (1 + 2 * t) * rest * rest
        + values[last] * (3 - 2 * t) * t * t
        + (slopes[first] * rest - slopes[last] * t) * t * rest / pieces
    )
    if outside:
        result = result + (charge - inside) * np.where(below, slopes[0], slopes[-1])
    return result


def pack_capacity(pack: Pack) -> Any:
    """Return the charge (...) between full and empty. This is a definition. [C]"""
    return pack.parallel * pack.cell_capacity


def loaded_voltage(resting_voltage: Any, resistance: Any, power: Any) -> tuple[Any, Any]:
    """Return the voltage under a power, and the share of the deliverable power that is left.

    This is algebra and needs no source.

    Parameters
    ----------
    resting_voltage : (...) array
        Open-circuit voltage. [V]
    resistance : (...) array
        Resistance of the pack. [ohm]
    power : (...) array
        Power at the terminals. [W]

    Returns
    -------
    voltage : (...) array
        Voltage under load. [V]
    power_reserve : (...) array
        1 - P/P_max with P_max = E^2/(4 R); negative when the pack cannot deliver the power. [-]

    Notes
    -----
    V = E (1 + sqrt(x))/2 with x = 1 - 4 P R/E^2, for power P, resistance R and resting voltage E. Below x = 0.01 the
    root is continued by an exponential of equal value and slope, so the result is finite and smooth for any demand.
    There P = V I no longer agrees with the sag, and only the negative reserve is meaningful.
    """
    reserve = 1 - 4 * power * resistance / (resting_voltage * resting_voltage)
    enough = reserve.real > _SOFT_LIMIT
    if np.logical_and.reduce(enough, axis=None):
        return resting_voltage * (1 + np.sqrt(reserve)) / 2, reserve
    short = np.where(enough, 0.0, reserve - _SOFT_LIMIT)
    root = np.where(
        enough, np.sqrt(np.where(enough, reserve, 1.0)), _SOFT_LIMIT**0.5 * np.exp(short / (2 * _SOFT_LIMIT))
    )
    return resting_voltage * (1 + root) / 2, reserve
