"""Effect of cold and age on cells.

The module uses plain numbers and imports only math, because a study is checked before numpy is loaded.

The numbers on age are common practice, from memory. A pack that is warm from use, or was warmed before the flight, has
its own temperature and not that of the air. The charge that a cold pack cannot deliver follows from the resistance.

Cells differ in what cold does to them. Measured cells lie between 2000 and 3500 K of activation temperature
(tests/published/power/test_cold_cells.py). The value in use is their middle: the resistance doubles from 20 to 0 C.
"""

from __future__ import annotations

import math

WIRING_RESISTANCE = 0.010  # resistance of leads, strips and connector of a pack [ohm]; common practice
# Voltage of a charged, resting cell [V]; makers' practice
FULL_VOLTAGE = {"lithium-ion": 4.2, "lithium-polymer": 4.2, "lithium-iron-phosphate": 3.6}
ROOM_TEMPERATURE = 293.15  # temperature at which the catalogue's resistances apply [K]
# Activation temperature of Arrhenius' law [K]: the resistance doubles from 20 to 0 C, the middle of measured cells
_ACTIVATION = math.log(2) / (1 / 273.15 - 1 / ROOM_TEMPERATURE)
# Shares of the charge that a cell loses for each kelvin below 20 C, besides its resistance: a usual cell, and one in
# ten. The worst cell of tests/published/power/test_cold_cells.py loses the latter; half of them lose next to nothing
# [1/K]
COLD_CHARGE_USUAL, COLD_CHARGE = 0.0025, 0.0065
ACTIVATIONS = (2000.0, 3500.0)  # activation temperatures of the cells that cold harms least and most [K]
WORN_OUT = 0.8  # share of the stated capacity at which a cell is worn out; common practice, from memory [-]
_GROWTH = 2.0  # resistance of a worn-out cell over that of a new one; common practice, from memory [-]


def cold_factor(temperature: float, activation: float = _ACTIVATION) -> float:
    """Return the resistance of cells at a temperature [K] over that at 20 C. [-]

    Source: Arrhenius' law. ``activation`` [K] is the middle of measured cells, or one of `ACTIVATIONS`.

    >>> round(cold_factor(273.15), 6)
    2.0
    """
    return math.exp(activation * (1 / temperature - 1 / ROOM_TEMPERATURE))


def age_factor(health: float) -> float:
    """Return the resistance of aged cells over that of new ones; common practice, from memory. [-]

    ``health`` is the share of the stated capacity that is left [-].
    """
    return 1 + (_GROWTH - 1) * (1 - health) / (1 - WORN_OUT)


def cell_resistance(pack_resistance: float, series: int, parallel: int) -> float:
    """Return the resistance of one cell from ``pack_resistance`` [ohm]. This is a definition. [ohm]

    ``series`` and ``parallel`` are numbers of cells [-]. The wiring has at most half of the resistance of the pack.
    """
    cells = max(pack_resistance - WIRING_RESISTANCE, 0.5 * pack_resistance)
    return cells * parallel / series
