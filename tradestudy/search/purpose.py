"""What a builder may want most of, and the model's output that measures it."""

from __future__ import annotations

from typing import NamedTuple


class Purpose(NamedTuple):
    """An output of the model to be made greatest, SI, and its size on these wings: objectives of order one."""

    output: str
    scale: float
    number: str  # its name among the numbers of a design
    words: str
    unit: str
    si: float  # of one of that unit


PURPOSES = {"distance": Purpose("range", 1e5, "range_km", "range", "km", 1e3),
            "out_and_home": Purpose("radius", 5e4, "radius_by_charge_km", "out and home", "km", 1e3),
            "usual_flight": Purpose("usual_time", 1e4, "usual_flight_min", "usual flight", "min", 60.0)}
