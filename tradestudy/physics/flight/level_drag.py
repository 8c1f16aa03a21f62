"""Drag and stall in level flight from what every strip does; value and slopes side by side.

The strips are independent of each other, so slopes are given per strip rather than as full matrices.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.aero import viscous_drag
from tradestudy.physics.sections import polar

from .trimmed_flight import FlightData, condition_speeds

N_LEVEL = 4


class LevelData(NamedTuple):
    """What stays the same while the choices vary. SI."""

    flight: FlightData
    parts_drag_area: float  # of all listed parts [m^2]
    drag_factor: float  # on profile and parts drag; 1 unless a measured flight says otherwise [-]


class StripState(NamedTuple):
    """Every strip with slopes: value, slopes along lift, ln Re and deflection (4, ..., n_condition, n_strip)."""

    section_drag: Any  # [-], 1/rad for the last
    stall_margin: Any  # section lift left to the largest [-], 1/rad for the last


class LevelDrag(NamedTuple):
    """Drag and stall of a design in the level conditions."""

    section_drag: Any  # (..., n_level, n_strip) [-]
    stall_margin: Any  # section lift left to the largest (..., n_level, n_strip) [-]
    other_drag_area: Any  # of fins, middle and listed parts (..., n_level) [m^2]
    drag_area: Any  # of the whole aircraft (..., n_level) [m^2]


def strip_state(data, lift_coefficient, log_reynolds, strip_deflection):
    """Return the StripState of strips (..., n_condition, n_strip).

    Parameters
    ----------
    lift_coefficient, log_reynolds, strip_deflection : (..., n_condition, n_strip) arrays
        [-], [-], [rad]
    """
    table = data.flight.table
    section_drag = polar.profile_drag(table, lift_coefficient, log_reynolds, strip_deflection)
    highest, _ = polar.lift_limits(table, log_reynolds, strip_deflection)
    margin = np.stack([highest[0] - lift_coefficient, -np.ones_like(lift_coefficient), highest[1], highest[2]])
    return StripState(section_drag, margin)


def other_drag_area(data, area, fin_area, fin_mean_chord, cruise_speed):
    """Return fins, middle and listed parts over dynamic pressure in every level condition (..., n_level). [m^2]"""
    speed = condition_speeds(data.flight, cruise_speed)[..., :N_LEVEL]
    fins = viscous_drag.fin_drag_area(
        fin_area[..., None], fin_mean_chord[..., None], speed, data.flight.kinematic_viscosity
    )
    body = viscous_drag.centre_body_drag_area(area) + data.parts_drag_area
    return data.drag_factor * (fins + body[..., None])


def wing_profile_drag_area(data, section_drag, strip_area):
    """Return the drag over dynamic pressure of the wing's sections (..., n_level). [m^2]

    ``section_drag`` (..., n_level, n_strip) [-], ``strip_area`` (..., n_strip) of the half wing [m^2].
    """
    return data.drag_factor * viscous_drag.section_drag_area(section_drag, strip_area[..., None, :])


def level_drag(data, strips, strip_area, induced_drag_area, other):
    """Return the LevelDrag of a StripState; areas (..., n_strip), (..., n_level), (..., n_level) [m^2]."""
    section_drag = strips.section_drag[0]
    whole = wing_profile_drag_area(data, section_drag, strip_area) + induced_drag_area + other
    return LevelDrag(section_drag, strips.stall_margin[0], other, whole)
