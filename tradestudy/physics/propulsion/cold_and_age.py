"""Effect of cold and age on cells. Plain numbers, no imports but math: a study is checked before numpy is loaded.

Estimates for lithium cells, from memory: no table was available. A pack that is warm from use, or was warmed before the
flight, is at its own temperature and not that of the air. Charge lost to cold follows from the resistance alone.
"""

from __future__ import annotations

import math

WIRING_RESISTANCE = 0.010  # leads, strips, connector of a pack [ohm]; common practice
FULL_VOLTAGE = {"lithium-ion": 4.2, "lithium-polymer": 4.2}  # of one cell, charged and resting [V]; makers' practice
ROOM_TEMPERATURE = 293.15  # at which the catalogue's resistances apply [K]
# [K]: resistance doubles from 20 to 0 C; from memory
_ACTIVATION = math.log(2) / (1 / 273.15 - 1 / ROOM_TEMPERATURE)
_WORN_OUT = 0.8  # share of the printed capacity at which a cell counts as worn out; common practice, from memory [-]
_GROWTH = 2.0  # resistance by then over that of new cells; common practice, from memory [-]


def cold_factor(temperature: float) -> float:
    """Return resistance over that at 20 C for cells at a temperature [K]: Arrhenius' law, constant from memory. [-]

    >>> round(cold_factor(273.15), 6)
    2.0
    """
    return math.exp(_ACTIVATION * (1 / temperature - 1 / ROOM_TEMPERATURE))


def age_factor(health: float) -> float:
    """Return resistance over that of new cells; common practice, from memory. [-]

    ``health`` is the share of the printed capacity that is left [-].
    """
    return 1 + (_GROWTH - 1) * (1 - health) / (1 - _WORN_OUT)


def cell_resistance(pack_resistance: float, series: int, parallel: int) -> float:
    """Return the resistance of one cell from ``pack_resistance`` [ohm]; a definition. [ohm]

    Cells in ``series`` and in ``parallel`` [-]; the wiring counts for at most half of the resistance.
    """
    cells = max(pack_resistance - WIRING_RESISTANCE, 0.5 * pack_resistance)
    return cells * parallel / series
