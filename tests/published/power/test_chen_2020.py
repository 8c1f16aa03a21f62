"""Our cell, a voltage curve with one resistance, against an electrochemical model of the LG M50 21700.

C.-H. Chen et al., J. Electrochem. Soc. 167 (2020) 080534, parameter set Chen2020, Doyle-Fuller-Newman model at 25 C,
isothermal, run with PyBaMM 26.10. Discharges start from full and end at the stated cut-off voltage. The cell holds
5.153 Ah between its end points. Its resistance as a function of charge was fitted to the discharges at constant current
below (C/20 to 2 C). So these tests check the fit. The discharges at constant power were not used for the fit, so they
check the accuracy of the model.
"""

import csv
from pathlib import Path

import numpy as np
import pytest
from helpers.references.constant_power import constant_power_cruise
from scipy.optimize import brentq

from tradestudy.physics.propulsion.pack import (
    LITHIUM_ION,
    Pack,
    loaded_voltage,
    open_circuit_voltage,
    pack_resistance,
)

CELL = Pack(LITHIUM_ION, 1.0, 1.0, 5.153 * 3600, 0.0476, wiring_resistance=0.0)
DATA = Path(__file__).parents[1] / "data" / "chen_2020_discharge.csv"


def _end(power, cut_off):
    """Return the state of charge at which the cell under load has fallen to the cut-off voltage."""

    def excess(charge):
        return loaded_voltage(open_circuit_voltage(CELL, charge), pack_resistance(CELL, charge), power)[0] - cut_off

    return brentq(excess, 0.0, 1.0)


# Energy is within 1 %, the error of using one resistance. Print rounding is 0.05 %.
@pytest.mark.parametrize(
    "power, watt_hours, seconds",
    [
        (2.5, 18.87, 27177),
        (5, 18.59, 13388),
        (10, 18.08, 6510),
        (15, 17.60, 4224),
        (20, 17.10, 3078),
        (25, 16.55, 2384),
    ],
)
def test_constant_power_energy(power, watt_hours, seconds):
    used = constant_power_cruise(CELL, power, _end(power, 2.5))
    assert used.energy_per_metre * used.range / 3600 == pytest.approx(watt_hours, rel=0.01)
    assert used.endurance == pytest.approx(seconds, rel=0.01)
    assert used.end_voltage == pytest.approx(2.5, abs=1e-9)


# With a higher cut-off voltage, the tolerance is 1 % up to 20 W. At 25 W (1.5 C) the model is 1.1 and 2.1 % low, since
# one resistance replaces slow processes. With a resistance that does not vary with charge it would be 4 and 17 % low.
@pytest.mark.parametrize(
    "cut_off, power, watt_hours, within",
    [
        (3.0, 2.5, 18.34, 0.01),
        (3.0, 5, 18.00, 0.01),
        (3.0, 10, 17.35, 0.01),
        (3.0, 15, 16.69, 0.01),
        (3.0, 20, 16.01, 0.01),
        (3.0, 25, 15.28, 0.012),
        (3.3, 2.5, 17.16, 0.01),
        (3.3, 5, 16.75, 0.01),
        (3.3, 10, 15.84, 0.01),
        (3.3, 15, 14.57, 0.01),
        (3.3, 20, 13.27, 0.011),
        (3.3, 25, 11.85, 0.022),
    ],
)
def test_constant_power_energy_to_a_higher_voltage(cut_off, power, watt_hours, within):
    used = constant_power_cruise(CELL, power, _end(power, cut_off))
    assert used.energy_per_metre * used.range / 3600 == pytest.approx(watt_hours, rel=within)


def test_last_current_against_mean():
    """Compare the last and the mean current of a discharge at ten watts.

    The last current is 4.0 A at 2.5 V. A constant 4 A discharges 5.023 Ah (interpolated between 5.069 Ah at 2.5 A and
    4.992 Ah at 5 A). Over the 6510 s of ten watts, the mean is 2.78 A. The tolerance of 1 % is that of the energy.

    A remark beside the tables states 2.81 A. That would be 5.08 Ah, more than even 2.5 A discharges, so it is not used.
    """
    used = constant_power_cruise(CELL, 10.0, _end(10.0, 2.5))
    assert used.mean_current == pytest.approx(2.78, rel=0.01)
    assert used.end_current == pytest.approx(4.0, rel=0.01)


def test_effective_exponent_of_power():
    """Compare the exponent of endurance over power from 5 to 20 W, which is -1.060 in the published model.

    The tolerance of 0.01 is 1 % of endurance over a factor of four in power.
    """
    used = constant_power_cruise(CELL, np.array([5.0, 20.0]), np.array([_end(5.0, 2.5), _end(20.0, 2.5)]))
    exponent = np.log(used.endurance[0] / used.endurance[1]) / np.log(4)
    assert exponent == pytest.approx(1.060, abs=0.01)


def _voltage(charge, current):
    return open_circuit_voltage(CELL, charge) - pack_resistance(CELL, charge) * current


@pytest.mark.parametrize(
    "current, watt_hours", [(0.25, 19.08), (1.0, 18.78), (2.5, 18.27), (5.0, 17.51), (7.5, 16.75), (10.0, 15.87)]
)
def test_constant_current_energy(current, watt_hours):
    """Compare the energy of a constant current down to 2.5 V within 1 %, as above."""
    end = brentq(lambda charge: _voltage(charge, current) - 2.5, 0, 1)
    charge = np.linspace(end, 1, 4001)
    assert np.trapezoid(_voltage(charge, current), charge) * 5.153 == pytest.approx(watt_hours, rel=0.01)


@pytest.mark.parametrize(
    "rate, volts",
    [
        (0.05, (4.085, 3.941, 3.750, 3.589, 3.367)),
        (0.2, (4.051, 3.898, 3.707, 3.551, 3.318)),
        (0.5, (3.988, 3.823, 3.628, 3.481, 3.231)),
        (1.0, (3.890, 3.709, 3.520, 3.374, 3.097)),
        (1.5, (3.800, 3.595, 3.420, 3.264, 2.956)),
        (2.0, (3.715, 3.477, 3.311, 3.137, 2.783)),
    ],
)
def test_voltage_at_five_charges(rate, volts):
    """Compare the voltage at 10, 30, 50, 70 and 90 % of 5 Ah within 30 mV, the scatter of cells of the same make."""
    charge = 1 - np.array([0.1, 0.3, 0.5, 0.7, 0.9]) * 5 / 5.153
    assert _voltage(charge, 5 * rate) == pytest.approx(volts, abs=0.030)


@pytest.mark.parametrize("rate", [0.2, 0.5, 1.0, 1.5])
def test_voltage_along_discharge(rate):
    """Compare the voltage along the discharge, between those five charges, within 30 mV rms."""
    with open(DATA) as file:
        rows = [
            row
            for row in csv.DictReader(line for line in file if not line.startswith("#"))
            if float(row["C_rate"]) == rate and 0.3 < float(row["capacity_Ah"]) < 4.7
        ]
    drawn, volts = (np.array([float(row[key]) for row in rows]) for key in ("capacity_Ah", "terminal_V"))
    ours = _voltage(1 - drawn / 5.153, 5 * rate)
    assert len(rows) > 20
    assert np.sqrt(np.mean((ours - volts) ** 2)) < 0.030


def test_open_circuit_energy():
    """Compare energy and mean of the open-circuit curve with 19.17 Wh and 3.721 V.

    The tolerance of 0.1 % is for print rounding and integration.
    """
    charge = np.linspace(0, 1, 4001)
    energy = np.trapezoid(open_circuit_voltage(CELL, charge), charge) * 5.153
    assert energy == pytest.approx(19.17, rel=1e-3)
    assert energy / 5.153 == pytest.approx(3.721, rel=1e-3)
