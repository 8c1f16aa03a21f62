"""What a builder may want most of, and the model's output that measures it."""

from __future__ import annotations

from typing import NamedTuple


class Purpose(NamedTuple):
    """An output of the model to be made greatest, SI, and its size on these wings: objectives of order one."""

    output: str
    scale: float
    number: str  # its name among the numbers of a design


PURPOSES = {"distance": Purpose("range", 1e5, "range_km"),
            "out_and_home": Purpose("radius", 5e4, "radius_by_charge_km"),
            "usual_flight": Purpose("usual_time", 1e4, "usual_flight_min")}
