"""Drag and stall in level flight from the state of every strip, with slopes.

The strips are independent of each other, so slopes are given per strip rather than as full matrices.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.aero import viscous_drag
from tradestudy.physics.sections import polar

from .trimmed_flight import N_LEVEL, FlightData, condition_speeds


class LevelData(NamedTuple):
    """Constants of a study: flight data, drag of parts, the calibrated factor. SI."""

    flight: FlightData
    parts_drag_area: float  # of all listed parts [m^2]
    drag_factor: float  # on profile and parts drag; 1 unless calibrated with a measured flight [-]


class StripState(NamedTuple):
    """Every strip with slopes: value, slopes along lift, ln Re and deflection (4, ..., n_condition, n_strip)."""

    section_drag: Any  # [-], the last slope [1/rad]
    stall_margin: Any  # section's largest lift less its lift [-], the last slope [1/rad]


class LevelDrag(NamedTuple):
    """Drag and stall of a design in the level conditions."""

    section_drag: Any  # (..., n_level, n_strip) [-]
    stall_margin: Any  # section's largest lift less its lift (..., n_level, n_strip) [-]
    other_drag_area: Any  # of fins, middle and listed parts (..., n_level) [m^2]
    drag_area: Any  # of the complete aircraft (..., n_level) [m^2]


def strip_state(
    data: LevelData, lift_coefficient: np.ndarray, log_reynolds: np.ndarray, strip_deflection: np.ndarray
) -> StripState:
    """Return the StripState of strips (..., n_condition, n_strip), as in ``polar.profile_drag`` and ``lift_limits``.

    Parameters
    ----------
    data : LevelData
    lift_coefficient, log_reynolds, strip_deflection : (..., n_condition, n_strip) arrays
        [-], [-], [rad]
    """
    table = data.flight.table
    section_drag = polar.profile_drag(table, lift_coefficient, log_reynolds, strip_deflection)
    highest, _ = polar.lift_limits(table, log_reynolds, strip_deflection)
    margin = np.stack([highest[0] - lift_coefficient, -np.ones_like(lift_coefficient), highest[1], highest[2]])
    return StripState(section_drag, margin)


def other_drag_area(
    data: LevelData, area: np.ndarray, fin_area: np.ndarray, fin_mean_chord: np.ndarray, cruise_speed: np.ndarray
) -> np.ndarray:
    """Return fins, middle and listed parts over dynamic pressure (..., n_level), as in ``viscous_drag``. [m^2]

    ``area`` of the wing and ``fin_area`` [m^2], ``fin_mean_chord`` [m], ``cruise_speed`` [m/s], all (...).
    """
    speed = condition_speeds(data.flight, cruise_speed)[..., :N_LEVEL]
    fins = viscous_drag.fin_drag_area(
        fin_area[..., None], fin_mean_chord[..., None], speed, data.flight.kinematic_viscosity
    )
    body = viscous_drag.centre_body_drag_area(area) + data.parts_drag_area
    return data.drag_factor * (fins + body[..., None])


def wing_profile_drag_area(data: LevelData, section_drag: np.ndarray, strip_area: np.ndarray) -> np.ndarray:
    """Return the drag over dynamic pressure of the wing's sections (..., n_level), integration over strips. [m^2]

    ``section_drag`` (..., n_level, n_strip) [-], ``strip_area`` (..., n_strip) of the half wing [m^2].
    """
    return data.drag_factor * viscous_drag.section_drag_area(section_drag, strip_area[..., None, :])


def level_drag(
    data: LevelData,
    strips: StripState,
    strip_area: np.ndarray,
    induced_drag_area: np.ndarray,
    other: np.ndarray,
) -> LevelDrag:
    """Return the LevelDrag of a StripState, bookkeeping.

    ``strip_area`` (..., n_strip), ``induced_drag_area`` and ``other`` drag area (..., n_level), all in [m^2].
    """
    section_drag = strips.section_drag[0]
    total = wing_profile_drag_area(data, section_drag, strip_area) + induced_drag_area + other
    return LevelDrag(section_drag, strips.stall_margin[0], other_drag_area=other, drag_area=total)
