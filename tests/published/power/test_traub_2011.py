"""Endurance of a constant-voltage pack against the closed form with Peukert exponent 1.

L. W. Traub, Range and Endurance Estimates for Battery-Powered Aircraft, J. Aircraft 48(2), 2011. The drag polar is CD0
+ k CL^2. With Peukert exponent 1, endurance is total efficiency x voltage x charge / required power. The inputs of his
example are from memory (9.34 N, 0.32 m2, CD0 0.015, k 0.13, 11.1 V, efficiency 0.5, 1 Ah). The numbers were recomputed
by hand from the equations at 1.225 kg/m3, and the tolerance of 0.1 % is their print rounding.

His exponent of 1.3 is not in the project, since measured cells show 1.01 to 1.06, which is due to the drop of their
voltage. Here it is applied to our discharge, to reproduce the two percentages of his abstract.
"""

import numpy as np
import pytest
from helpers.references.constant_power import constant_power_cruise
from scipy.optimize import minimize_scalar

from tradestudy.physics.propulsion.pack import Pack, voltage_curve

PACK = Pack(voltage_curve([3.7, 3.7 + 1e-12, 3.7 + 2e-12]), 3.0, 1.0, 3600.0, 0.0, wiring_resistance=0.0)


def _required_power(airspeed, density=1.225):
    return 0.5 * density * airspeed**3 * 0.32 * 0.015 + 2 * 9.34**2 * 0.13 / (density * airspeed * 0.32)


def test_best_endurance():
    airspeed = np.sqrt(2 * 9.34 / (1.225 * 0.32) * np.sqrt(0.13 / (3 * 0.015)))
    power = _required_power(airspeed)
    assert (airspeed, power) == pytest.approx((9.00, 8.57), rel=1e-3)
    assert constant_power_cruise(PACK, power / 0.5).endurance / 3600 == pytest.approx(0.6474, rel=1e-3)


def test_best_range():
    airspeed = np.sqrt(2 * 9.34 / (1.225 * 0.32) * np.sqrt(0.13 / 0.015))
    power = _required_power(airspeed)
    assert (airspeed, power) == pytest.approx((11.84, 9.77), rel=1e-3)
    distance = constant_power_cruise(PACK, power / 0.5).endurance * airspeed
    assert distance / 1000 == pytest.approx(24.22, rel=1e-3)


def _endurance(airspeed, exponent):
    """Return the endurance with 1 Ah, rated for a discharge in one hour, in air of 1.200 kg/m3.

    The charge is proportional to (rated current / current)^(exponent - 1).
    """
    power = _required_power(airspeed, 1.200) / 0.5
    plain = constant_power_cruise(PACK, power)
    return plain.endurance * (1.0 / plain.mean_current) ** (exponent - 1)


@pytest.mark.parametrize(
    "measure, change",
    [
        (lambda airspeed, exponent: _endurance(airspeed, exponent), -0.125),
        (lambda airspeed, exponent: airspeed * _endurance(airspeed, exponent), -0.151),
    ],
    ids=["endurance", "range"],
)
def test_what_an_exponent_costs_at_one_ampere_hour(measure, change):
    """Compare with the abstract: endurance falls by 12.5 % and range by 15.1 %, relative to exponent 1.

    Each is at its own best speed. The tolerance of 0.4 points is because inputs are from memory. At 1.225 kg/m3 the
    figures would be 12.2 and 14.9.
    """
    best = [
        -minimize_scalar(
            lambda airspeed, exponent: -measure(airspeed, exponent), args=(exponent,), bounds=(6, 20), method="bounded"
        ).fun
        for exponent in (1.0, 1.3)
    ]
    assert best[1] / best[0] - 1 == pytest.approx(change, abs=0.004)
