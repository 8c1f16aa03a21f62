"""Bending and twist of half a wing under its loads, clamped at the centre line.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from .loads import cosine_and_sine


class BeamShape(NamedTuple):
    """Deformed axis for small angles. Every field has the shape (..., n_condition, n_station)."""

    deflection: Any  # rise of the axis, positive up [m]
    slope: Any  # slope of the axis along its length, from bending alone, positive tip up [rad]
    twist: Any  # change of incidence in the flight direction, positive nose up [rad]


def beam_shape(
    station_y: Any,
    axis_sweep: Any,
    bending_rigidity: Any,
    torsional_rigidity: Any,
    shear_compliance: Any,
    shear: np.ndarray,
    bending_moment: np.ndarray,
    torsion: np.ndarray,
) -> BeamShape:
    """Return rise, slope and twist of the swept axis.

    Parameters
    ----------
    station_y : (..., n_station) array
        Distance from the clamp, rising to the tip. [m]
    axis_sweep : (..., n_station) array or float
        Sweep of the axis. A strip has the mean sweep of its two ends. [rad]
    bending_rigidity, torsional_rigidity : (..., n_station) array
        Bending rigidity EI and torsional rigidity GJ. [N m^2]
    shear_compliance : (..., n_station) array or float
        Slope by core shear for each newton of shear force. Zero leaves core shear out. [1/N]
    shear, bending_moment, torsion : (..., n_condition, n_station) array
        Internal loads from ``loads.wing_loads``. [N], [N m], [N m]

    Returns
    -------
    beam_shape : BeamShape
        Its fields have the shape (..., n_condition, n_station). [m], [rad], [rad]

    Notes
    -----
    Statics: the curvature is M/EI, the twist rate T/GJ and the slope by shear V/S. Here M is the bending moment, T the
    torsion, V the shear force and 1/S the shear compliance. Inside a strip with an even load the moment is a parabola,
    fixed by the moments and shears at its ends. Simpson's rule integrates it. This is exact for even loads on an even
    beam, and of second order in the strip width otherwise.

    Bending and torsion turn the section about the swept axis. The turns are summed in fixed directions (roll and
    pitch), so the result also holds for a kinked axis. Bending a swept-back wing up reduces the incidence of its tip.

    The sum of bending and core shear is on the safe side. It leaves out the foam's own bending near the clamp, which
    makes a real wing 2 to 12 % stiffer. The difference is larger for softer foam.

    Examples
    --------
    A tip force P = 1 N on a beam of L = 1 m with EI = 10 N m^2 raises the tip by P L^3 / (3 EI).

    >>> y, even = np.linspace(0.0, 1.0, 5), np.ones((1, 5))
    >>> shape = beam_shape(y, 0.0, 10 * even[0], 4 * even[0], 0.0, even, 1 - y[None], 0 * even)
    >>> round(float(shape.deflection[0, -1]), 5)
    0.03333
    """
    turn, wind, rise, length, cosine, sine = _strip_turns(
        station_y=station_y,
        axis_sweep=axis_sweep,
        bending_rigidity=bending_rigidity,
        torsional_rigidity=torsional_rigidity,
        shear=shear,
        bending_moment=bending_moment,
        torsion=torsion,
    )
    inner, outer = slice(None, -1), slice(1, None)
    roll = _from_clamp(turn * cosine + wind * sine)
    pitch = _from_clamp(wind * cosine - turn * sine)

    compliance = np.asarray(shear_compliance)
    slip = shear * (compliance[..., None, :] if compliance.ndim else compliance)
    rise_by_slope = roll[..., inner] * cosine - pitch[..., inner] * sine
    steps = length * rise_by_slope + rise + 0.5 * length * (slip[..., inner] + slip[..., outer])
    slope = np.zeros_like(roll)
    slope[..., 1:] = roll[..., outer] * cosine - pitch[..., outer] * sine  # along the strip inboard
    return BeamShape(_from_clamp(steps), slope, pitch)


def beam_twist(
    station_y: Any,
    axis_sweep: Any,
    bending_rigidity: Any,
    torsional_rigidity: Any,
    shear: np.ndarray,
    bending_moment: np.ndarray,
    torsion: np.ndarray,
) -> np.ndarray:
    """Return only the twist of ``beam_shape``, with shape (..., n_condition, n_station). [rad]

    The arguments are as for ``beam_shape``.
    """
    turn, wind, _, _, cosine, sine = _strip_turns(
        station_y=station_y,
        axis_sweep=axis_sweep,
        bending_rigidity=bending_rigidity,
        torsional_rigidity=torsional_rigidity,
        shear=shear,
        bending_moment=bending_moment,
        torsion=torsion,
    )
    return _from_clamp(wind * cosine - turn * sine)


def _strip_turns(
    station_y: Any,
    axis_sweep: Any,
    bending_rigidity: Any,
    torsional_rigidity: Any,
    shear: np.ndarray,
    bending_moment: np.ndarray,
    torsion: np.ndarray,
) -> tuple[np.ndarray, ...]:
    """Return six properties of every strip as arrays of the shape (..., n_condition or 1, n).

    The first three are the turn by bending, the turn by torsion and the rise inside the strip. The others are its
    length along the axis, and the cosine and sine of its sweep.
    """
    station_y = np.asarray(station_y)
    sweep = axis_sweep + 0.0 * station_y
    sweep = 0.5 * (sweep[..., 1:] + sweep[..., :-1])[..., None, :]
    cosine, sine = cosine_and_sine(sweep)
    length = (station_y[..., 1:] - station_y[..., :-1])[..., None, :] / cosine
    inner, outer = slice(None, -1), slice(1, None)

    rigidity = np.asarray(bending_rigidity)[..., None, :]
    curvature = bending_moment * (1.0 / rigidity)
    middle_moment = 0.5 * (bending_moment[..., inner] + bending_moment[..., outer]) - 0.125 * length * (
        shear[..., inner] - shear[..., outer]
    )
    middle = middle_moment * (2.0 / (rigidity[..., inner] + rigidity[..., outer]))
    turn = (length / 6.0) * (curvature[..., inner] + 4.0 * middle + curvature[..., outer])
    rise = (length * length / 6.0) * (curvature[..., inner] + 2.0 * middle)

    rate = torsion * (1.0 / np.asarray(torsional_rigidity))[..., None, :]
    wind = 0.5 * length * (rate[..., inner] + rate[..., outer])
    return turn, wind, rise, length, cosine, sine


def _from_clamp(strip_value: np.ndarray) -> np.ndarray:
    """Return the running sum of strip values (..., n) from the clamp outward, at the stations (..., n + 1)."""
    total = np.zeros((*strip_value.shape[:-1], strip_value.shape[-1] + 1), strip_value.dtype)
    np.add.accumulate(strip_value, axis=-1, out=total[..., 1:])
    return total
