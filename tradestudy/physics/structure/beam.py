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
    roll: Any  # turn about the flight direction, positive tip up [rad]
    twist: Any  # change of incidence in the flight direction, positive nose up [rad]


class BeamStrips(NamedTuple):
    """Strips of a beam, and how loads at their ends turn and lift them. Every array has the shape (..., 1, n).

    The weights of ``turn`` and ``rise`` are for three loads: bending moment at the inner end, bending moment at the
    outer end, and shear force at the outer end less that at the inner end.
    """

    length: Any  # along the axis [m]
    cosine: Any  # of the mean sweep of the two ends; may be one float [-]
    sine: Any  # of the same [-]
    turn: tuple[Any, Any, Any]  # turn by bending [rad/(N m)], [rad/(N m)], [rad/N]
    rise: tuple[Any, Any, Any]  # rise inside the strip by bending [1/N], [1/N], [m/N]
    wind: tuple[Any, Any]  # turn about the axis by torsion at the inner and at the outer end [rad/(N m)]


_INNER, _OUTER = (..., slice(None, -1)), (..., slice(1, None))  # ends of the strips, among stations


def beam_strips(station_y: Any, axis_sweep: Any, bending_rigidity: Any, torsional_rigidity: Any) -> BeamStrips:
    """Return the BeamStrips of a swept axis. The statics is in the notes of ``beam_shape``.

    Parameters
    ----------
    station_y : (..., n + 1) array
        Distance from the clamp, rising to the tip. [m]
    axis_sweep : (..., n + 1) array or float
        Sweep of the axis. A strip has the mean sweep of its two ends. [rad]
    bending_rigidity, torsional_rigidity : (..., n + 1) array
        Bending rigidity EI and torsional rigidity GJ. [N m^2]
    """
    station_y, sweep = np.asarray(station_y)[..., None, :], np.asarray(axis_sweep)
    cosine, sine = cosine_and_sine(0.5 * (sweep[_INNER] + sweep[_OUTER])[..., None, :] if sweep.ndim else sweep)
    length = (station_y[_OUTER] - station_y[_INNER]) / cosine

    rigidity = np.asarray(bending_rigidity)[..., None, :]
    end, middle = 1.0 / rigidity, 2.0 / (rigidity[_INNER] + rigidity[_OUTER])
    sixth = length * (1.0 / 6.0)
    squared = sixth * length
    by_shear = squared * middle
    twice, twist = 2.0 * middle, 0.5 / np.asarray(torsional_rigidity)[..., None, :]
    return BeamStrips(
        length=length,
        cosine=cosine,
        sine=sine,
        turn=(sixth * (end[_INNER] + twice), sixth * (end[_OUTER] + twice), 0.5 * by_shear),
        rise=(squared * (end[_INNER] + middle), by_shear, 0.25 * by_shear * length),
        wind=(length * twist[_INNER], length * twist[_OUTER]),
    )


def beam_shape(
    strips: BeamStrips, shear_compliance: Any, shear: np.ndarray, bending_moment: np.ndarray, torsion: np.ndarray
) -> BeamShape:
    """Return rise and turn of the swept axis.

    Parameters
    ----------
    strips : BeamStrips
        Result of ``beam_strips`` for n_station - 1 strips.
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
    >>> shape = beam_shape(beam_strips(y, 0.0, 10 * even[0], 4 * even[0]), 0.0, even, 1 - y[None], 0 * even)
    >>> round(float(shape.deflection[0, -1]), 5)
    0.03333
    """
    length, cosine, sine = strips.length, strips.cosine, strips.sine
    loads = bending_moment[_INNER], bending_moment[_OUTER], shear[_OUTER] - shear[_INNER]
    turn, wind = _bent(strips.turn, *loads), _wound(strips, torsion)
    roll = _from_clamp(turn * cosine + wind * sine)
    pitch = _from_clamp(wind * cosine - turn * sine)

    compliance = np.asarray(shear_compliance)
    slip = shear * (compliance[..., None, :] if compliance.ndim else compliance)
    slope = roll[_INNER] * cosine - pitch[_INNER] * sine + 0.5 * (slip[_INNER] + slip[_OUTER])
    return BeamShape(_from_clamp(length * slope + _bent(strips.rise, *loads)), roll, pitch)


def beam_twist(strips: BeamStrips, shear: np.ndarray, bending_moment: np.ndarray, torsion: np.ndarray) -> np.ndarray:
    """Return only the twist of ``beam_shape``, with shape (..., n_condition, n_station). [rad]

    The arguments are as for ``beam_shape``.
    """
    turn = _bent(strips.turn, bending_moment[_INNER], bending_moment[_OUTER], shear[_OUTER] - shear[_INNER])
    wind = _wound(strips, torsion)
    return _from_clamp(wind * strips.cosine - turn * strips.sine)


def _bent(weights: tuple[Any, Any, Any], inner: Any, outer: Any, by_shear: Any) -> Any:
    """Return the sum (..., n_condition, n) of the weights (..., 1, n) of ``BeamStrips`` times their three loads."""
    return weights[0] * inner + weights[1] * outer + weights[2] * by_shear


def _wound(strips: BeamStrips, torsion: np.ndarray) -> Any:
    """Return the turn (..., n_condition, n) of every strip about the axis. [rad]"""
    return strips.wind[0] * torsion[_INNER] + strips.wind[1] * torsion[_OUTER]


def _from_clamp(strip_value: np.ndarray) -> np.ndarray:
    """Return the running sum of strip values (..., n) from the clamp outward, at the stations (..., n + 1)."""
    total = np.zeros((*strip_value.shape[:-1], strip_value.shape[-1] + 1), strip_value.dtype)
    np.add.accumulate(strip_value, axis=-1, out=total[..., 1:])
    return total
