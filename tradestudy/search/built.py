"""What a design is built with and what was free in it: as a Result tells them, and back as the model is asked."""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.quantities import from_si

from .problem import Choice
from .result import Design


def choice_words(choice: Choice) -> dict[str, Any]:
    """Return a choice in edge units."""
    return {"series": choice.series, "parallel": choice.parallel,
            "rod_diameter_mm": round(1e3 * choice.rod_diameter, 3), "rod_pairs": choice.rod_pairs,
            "propeller": choice.propeller, "words": choice.words,
            **{name: value for name, value in (("motor", choice.motor), ("pack", choice.pack),
                                               ("scheme", choice.scheme)) if value},
            **({} if choice.throttle_cap is None else {"throttle_cap_pct": round(100 * choice.throttle_cap, 4)})}


def edge_variables(variables: dict[str, float]) -> dict[str, float]:
    """Return what is free (SI) in edge units."""
    return {"extension_mm": 1e3 * variables["extension"], "sweep_deg": from_si(variables["sweep"], "deg", "angle"),
            "washout_deg": from_si(variables["washout"], "deg", "angle"),
            "static_margin_pct": 100 * variables["static_margin"],
            "cruise_speed_kmh": 3.6 * variables["cruise_speed"],
            "equipment_position_mm": 1e3 * variables["equipment_position"]}


def choice_of(design: Design) -> Choice:
    """Return what a design is built with."""
    bought = design.choices
    cap = bought.get("throttle_cap_pct")
    return Choice(bought["series"], bought["parallel"], 1e-3 * bought["rod_diameter_mm"], bought["rod_pairs"],
                  bought["propeller"], bought.get("motor", ""), bought.get("pack", ""), bought.get("scheme", ""),
                  None if cap is None else 0.01 * cap)


def variables_of(design: Design) -> dict[str, float]:
    """Return what was free in a design, SI."""
    edge = design.variables
    return {"extension": 1e-3 * edge["extension_mm"], "sweep": float(np.radians(edge["sweep_deg"])),
            "washout": float(np.radians(edge["washout_deg"])), "static_margin": 0.01 * edge["static_margin_pct"],
            "cruise_speed": edge["cruise_speed_kmh"] / 3.6,
            "equipment_position": 1e-3 * edge["equipment_position_mm"]}
