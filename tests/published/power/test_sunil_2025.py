"""The resting voltage of an iron-phosphate cell against the break points of Sunil, Pattipati and Balasingam.

S. Sunil, K. R. Pattipati, B. Balasingam, Piecewise Linear Approximation of Battery Open-Circuit Voltage Characteristics
Using Dynamic Programming, IEEE Trans. Instrum. Meas., 2025. The ten points of an APR18650M1B cell were read in the
table beside the authors' data.
"""

import numpy as np
import pytest

from tradestudy.physics.propulsion.pack import CELL_CURVES, Pack, open_circuit_voltage

CHARGE = [0, 0.0033, 0.0117, 0.0267, 0.0534, 0.0885, 0.2972, 0.9833, 0.9950, 1]
VOLTAGE = [2.0102, 2.4177, 2.7405, 2.9299, 3.0872, 3.1942, 3.2772, 3.3511, 3.4180, 3.5981]
CELL = Pack(CELL_CURVES["lithium-iron-phosphate"], 1.0, 1.0, 1.0, 0.0)


def test_resting_voltage_between_the_ends():
    """Between 5 and 97 % the curve follows the straight lines; its knots stand at every 2.5 %."""
    charge = np.linspace(0.05, 0.97, 200)
    assert open_circuit_voltage(CELL, charge) == pytest.approx(np.interp(charge, CHARGE, VOLTAGE), abs=0.012)


def test_mean_voltage():
    """The mean over the whole charge sets the energy. The knots cut the corners of both ends: 0.1 %."""
    charge = np.linspace(0, 1, 20001)
    mean = np.trapezoid(np.interp(charge, CHARGE, VOLTAGE), charge)
    assert np.trapezoid(open_circuit_voltage(CELL, charge), charge) == pytest.approx(mean, rel=1.5e-3)
