"""What cold and age do to cells. Plain numbers, no imports but math: a study is checked before numpy is loaded.

Estimates for lithium cells, from memory: no table was reached. A pack that is warm from use, or was warmed before the
flight, is at its own temperature and not that of the air. Charge lost to cold comes out of the resistance alone.
"""

from __future__ import annotations

import math

WIRING_RESISTANCE = 0.010  # leads, strips, connector of a pack [ohm]; common practice
FULL_VOLTAGE = {"lithium-ion": 4.2, "lithium-polymer": 4.2}  # of one cell, charged and resting [V]; makers' practice
ROOM_TEMPERATURE = 293.15  # at which the catalogue's resistances hold [K]
_ACTIVATION = math.log(2) / (1 / 273.15 - 1 / ROOM_TEMPERATURE)  # [K]: resistance doubles from 20 to 0 C; from memory
_WORN_OUT = 0.8  # of the printed capacity: a cell that holds less counts as worn out, and by then its resistance has
_GROWTH = 2.0  # doubled; both common practice, from memory


def cold_factor(temperature):
    """Return resistance over that at 20 C [-] for cells at a temperature [K]: Arrhenius' law."""
    return math.exp(_ACTIVATION * (1 / temperature - 1 / ROOM_TEMPERATURE))


def age_factor(health):
    """Return resistance over that of new cells [-], for the share of the printed capacity that is left [-]."""
    return 1 + (_GROWTH - 1) * (1 - health) / (1 - _WORN_OUT)


def cell_resistance(pack_resistance, series, parallel):
    """Return the resistance of one cell [ohm] of a pack of this resistance [ohm]; its wiring takes half at most."""
    cells = max(pack_resistance - WIRING_RESISTANCE, 0.5 * pack_resistance)
    return cells * parallel / series
