"""Drag and stall in level flight from the state of every strip, with slopes.

The strips are independent of each other. So each strip has its own slopes, and no full matrices are needed.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.aero import viscous_drag
from tradestudy.physics.sections import polar

from .trimmed_flight import N_LEVEL, FlightData, condition_speeds


class LevelData(NamedTuple):
    """Constants of a study for drag in level flight, in SI units."""

    flight: FlightData
    parts_drag_area: float  # drag over dynamic pressure of all listed parts [m^2]
    section_drag_factor: float = 1.0  # drag of section and fins as built over that of the clean model [-]


class StripState(NamedTuple):
    """State of every strip. Fields have the shape (4, ..., n_condition, n_strip).

    The first axis is the value and its slopes by lift coefficient, logarithm of Reynolds number and deflection.
    """

    section_drag: Any  # drag coefficient of the section [-]; the last slope is in [1/rad]
    stall_margin: Any  # largest lift coefficient of the section less the actual one [-]; the last slope in [1/rad]


class LevelDrag(NamedTuple):
    """Drag and stall of a design in the level conditions."""

    section_drag: Any  # drag coefficient of the sections (..., n_level, n_strip) [-]
    stall_margin: Any  # largest lift coefficient of the section less the actual one (..., n_level, n_strip) [-]
    other_drag_area: Any  # drag over dynamic pressure of fins and listed parts (..., n_level) [m^2]
    drag_area: Any  # drag over dynamic pressure of the complete aircraft (..., n_level) [m^2]


def strip_state(
    data: LevelData,
    lift_coefficient: np.ndarray,
    log_reynolds: np.ndarray,
    strip_deflection: np.ndarray,
    slopes: bool = True,
) -> StripState:
    """Return the StripState of all strips, with definitions as in ``polar.profile_drag`` and ``polar.highest_lift``.

    Parameters
    ----------
    data : LevelData
    lift_coefficient, log_reynolds, strip_deflection : (..., n_condition, n_strip) arrays
        Lift coefficient, logarithm of Reynolds number and elevon deflection of each strip. [-], [-], [rad]
    slopes : bool
        Whether slopes are computed. Without them the first axis of both results holds the value alone.

    Notes
    -----
    Complex arrays have one batch axis, along which the real part is constant. Then the first axis holds the value
    alone, and its imaginary part is the exact slope along each direction.
    """
    if np.iscomplexobj(lift_coefficient):
        moved = lift_coefficient, log_reynolds, strip_deflection
        lift, reynolds, deflection = (part[:1].real for part in moved)
        state = strip_state(data, lift, reynolds, deflection)
        return StripState(*(_moved(value, moved) for value in state))
    table, where = data.flight.table, (log_reynolds, strip_deflection)
    place = polar.look_up(table, *where, slopes)
    section_drag = polar.profile_drag(table, lift_coefficient, *where, slopes, place)
    highest = polar.highest_lift(table, *where, slopes, place)
    margin = highest[0] - lift_coefficient
    if not slopes:
        return StripState(section_drag, margin[None])
    return StripState(section_drag, np.array([margin, 0 * margin - 1, highest[1], highest[2]]))


def _moved(value: np.ndarray, arguments: tuple[np.ndarray, ...]) -> np.ndarray:
    """Return a value with the slopes along the directions of its complex arguments (k, ...), as (1, k, ...)."""
    change = sum(slope * argument.imag for slope, argument in zip(value[1:], arguments, strict=True))
    return (value[0] + 1j * change)[None]


def stall_margin(
    data: LevelData, lift_coefficient: np.ndarray, log_reynolds: np.ndarray, strip_deflection: np.ndarray
) -> np.ndarray:
    """Return the largest lift coefficient of the section less the actual one (..., n_condition, n_strip). [-]

    Arguments and source are as for ``strip_state``, which may be complex in the same way.
    """
    if np.iscomplexobj(lift_coefficient):
        highest = polar.highest_lift(data.flight.table, log_reynolds[:1].real, strip_deflection[:1].real)
        change = highest[1] * log_reynolds.imag + highest[2] * strip_deflection.imag
        return highest[0] - lift_coefficient + 1j * change
    highest = polar.highest_lift(data.flight.table, log_reynolds, strip_deflection, slopes=False)
    return highest[0] - lift_coefficient


def other_drag_area(
    data: LevelData, fin_area: np.ndarray, fin_mean_chord: np.ndarray, cruise_speed: np.ndarray
) -> np.ndarray:
    """Return the drag of fins and listed parts over dynamic pressure (..., n_level). [m^2]

    Definitions are as in ``viscous_drag`` and ``built_wing``. ``fin_area`` [m^2], ``fin_mean_chord`` [m] and
    ``cruise_speed`` [m/s] are (...).
    """
    speed = condition_speeds(data.flight, cruise_speed)[..., :N_LEVEL]
    fins = viscous_drag.fin_drag_area(
        fin_area[..., None], fin_mean_chord[..., None], speed, data.flight.kinematic_viscosity
    )
    return data.section_drag_factor * fins + data.parts_drag_area


def wing_profile_drag_area(data: LevelData, section_drag: np.ndarray, strip_area: np.ndarray) -> np.ndarray:
    """Return the drag of the wing's sections over dynamic pressure (..., n_level), by integration over strips. [m^2]

    ``section_drag`` (..., n_level, n_strip) is the drag coefficient [-], and ``strip_area`` (..., n_strip) are the
    areas of the strips of a half wing [m^2].
    """
    return data.section_drag_factor * viscous_drag.section_drag_area(section_drag, strip_area[..., None, :])


def level_drag(
    data: LevelData,
    strips: StripState,
    strip_area: np.ndarray,
    induced_drag_area: np.ndarray,
    other: np.ndarray,
) -> LevelDrag:
    """Return the LevelDrag of a StripState.

    ``strip_area`` (..., n_strip), ``induced_drag_area`` (..., n_level) and ``other`` drag area (..., n_level) are in
    [m^2]. This is bookkeeping and needs no source.
    """
    section_drag = strips.section_drag[0]
    total = wing_profile_drag_area(data, section_drag, strip_area) + induced_drag_area + other
    return LevelDrag(section_drag, strips.stall_margin[0], other_drag_area=other, drag_area=total)
