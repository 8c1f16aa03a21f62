"""Every output of the model at one design, straight from the physics: no OpenMDAO, no slopes."""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.physics.flight import control, level_drag, power, strength, trimmed_flight
from tradestudy.physics.geometry import fins
from tradestudy.physics.weights import mass

from .choices import Choice
from .model_data import ModelData
from .speed_sweep import FlownDesign


def values_of(data: ModelData, choice: Choice, flown: FlownDesign, variables: dict[str, float]) -> dict[str, Any]:
    """Every output of the model at one design, straight from the physics (no OpenMDAO needed)."""
    shape, speed = flown.shape, np.asarray(variables["cruise_speed"])
    found = trimmed_flight.flown_from(data.flight, flown.solution, shape["all_up_mass"], flown.static_margin, speed)
    section_drag, margin = level_drag.strip_state(data.level, found["lift_coefficient"], found["log_reynolds"],
                                             found["strip_deflection"])
    other = level_drag.other_drag_area(data.level, shape["area"], shape["fin_area"], shape["fin_mean_chord"], speed)
    area = level_drag.drag_area(data.level, section_drag[0], found["strip_area"], found["induced_drag_area"], other)
    powered = power.powered(data.power, speed, area, shape["all_up_mass"], float(choice.series), float(choice.parallel))
    place = mass.pack_position(found["centre_of_gravity"], shape["all_up_mass"], shape["moment_without_pack"],
                               shape["pack_mass"])
    volume = fins.fin_volume(shape["fin_side_area"], shape["fin_quarter_chord"] - found["centre_of_gravity"],
                            shape["area"], shape["span"])
    soft = control.softness(data.flight, flown.solution, flown.built)
    return {**shape, **found, **soft, **powered, "stall_margin": margin[0], "drag_area": area,
            "section_drag": section_drag[0], "other_drag_area": other, "pack_position": place, "fin_volume": volume}


def beam_of(data: strength.StrengthData, choice: Choice, variables: dict[str, float], values: dict[str, Any]):
    """Return the structure of one design in the load conditions, from the loads in ``values`` (of `values_of`)."""
    extension, sweep, washout = (np.asarray(variables[name]) for name in ("extension", "sweep", "washout"))
    return strength.wing_structure(
        data, extension, sweep, washout, np.asarray(choice.rod_diameter), np.asarray(float(choice.rod_pairs)),
        values["load_factor"][len(trimmed_flight.LEVEL_CONDITIONS):], values["strip_lift"], values["strip_moment"])


def carried(data: ModelData, variables: dict[str, float], beam: Any) -> dict[str, Any]:
    """Return the outputs that the structure adds to those of `values_of`, from `beam_of`."""
    share = strength.deflection_share(data.strength, np.asarray(variables["extension"]), beam.tip_deflection)
    return {"utilisation": beam.greatest_utilisation, "failure_load_factor": beam.failure_load_factor,
            "tip_deflection": beam.tip_deflection, "deflection_share": share}
