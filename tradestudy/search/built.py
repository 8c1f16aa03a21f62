"""A design of a Result turned back into what the model is asked with."""

from __future__ import annotations

import numpy as np

from .problem import Choice
from .result import Design


def choice_of(design: Design) -> Choice:
    """Return what a design is built with."""
    bought = design.choices
    return Choice(bought["series"], bought["parallel"], 1e-3 * bought["rod_diameter_mm"], bought["rod_pairs"],
                  bought["propeller"])


def variables_of(design: Design) -> dict[str, float]:
    """Return what was free in a design, SI."""
    edge = design.variables
    return {"extension": 1e-3 * edge["extension_mm"], "sweep": float(np.radians(edge["sweep_deg"])),
            "washout": float(np.radians(edge["washout_deg"])), "static_margin": 0.01 * edge["static_margin_pct"],
            "cruise_speed": edge["cruise_speed_kmh"] / 3.6,
            "equipment_position": 1e-3 * edge["equipment_position_mm"]}
