"""Ends of rods: the share of the span around a station that holds a rod, and laps where two rods meet at the centre.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

# Length scale over which a rod's share of the moment fades at its end. The rods of a foam beam take up their load over
# a length of sqrt(own rigidity of foam and rod / shear stiffness of the web). That is 20 to 40 mm here. A smooth step
# with this scale rises from a tenth to nine tenths over 44 mm.
_END_BLEND = 0.010  # [m]
_LAP_POINTS = 12  # Gauss points along a lap; 0.02 % for the laps of swept wings
# A thin line of glue between two rods that touch. Both numbers serve to see how much slip breaks it.
_GLUE_SHEAR_MODULUS = 1e9  # epoxy, from memory [Pa]
_GLUE_THICKNESS = 2e-4  # judgement, no source [m]


def _smooth_step_integral(distance: Any) -> Any:
    """Return the integral (...) of a smooth step with the length scale w = _END_BLEND. [m]

    ``distance`` (...) is the distance x of a point inboard of the rod's end [m]. The integral is w ln(1 + exp(x/w)). It
    tends to zero outboard and to x inboard. The slope of a complex step is exp(x/w) / (1 + exp(x/w)).
    """
    scaled = distance / _END_BLEND
    value = np.logaddexp(0.0, scaled.real)
    if np.iscomplexobj(scaled):
        return _END_BLEND * (value + 1j * (scaled.imag * np.exp(scaled.real - value)))
    return _END_BLEND * value


class StationSpans(NamedTuple):
    """The span around each station, from the middle of the strip inboard to the middle of the strip outboard."""

    bounds: Any  # distances of the ends of the spans from the centre line (..., 1, n_station + 1) [m]
    width: Any  # (..., 1, n_station) [m]


def station_spans(station_y: np.ndarray) -> StationSpans:
    """Return the StationSpans of stations ``station_y`` (..., n_station) [m] from the centre line to the tip.

    This is a definition.
    """
    middle = 0.5 * (station_y[..., 1:] + station_y[..., :-1])
    bounds = np.concatenate([station_y[..., :1], middle, station_y[..., -1:]], axis=-1)[..., None, :]
    return StationSpans(bounds, bounds[..., 1:] - bounds[..., :-1])


def rod_presence(spans: StationSpans, inner_end: Any, outer_end: Any, continuity: Any) -> np.ndarray:
    """Return the share of the span around each station that holds a rod.

    The share is averaged over the span in closed form, by integration. So the total rod length is right for ends
    between stations, and it varies smoothly with both ends.

    Parameters
    ----------
    spans : StationSpans
        The span around each station.
    inner_end, outer_end : (..., n_set) array
        Distances of the rod ends from the centre line. [m]
    continuity : (..., n_set) array
        Share of its force that a rod passes across the centre. At 1 it does not fade at its inner end. [-]

    Returns
    -------
    rod_presence : (..., n_set, n_station) array
        Share between 0 and 1. [-]

    Examples
    --------
    A rod runs through the centre line and ends half way to the tip:

    >>> spans = station_spans(np.linspace(0.0, 1.0, 5))
    >>> rod_presence(spans, [0.0], [0.5], [1.0]).round(2).tolist()
    [[1.0, 1.0, 0.5, 0.0, 0.0]]
    """
    ends = np.concatenate([outer_end, inner_end], axis=-1)[..., None]
    cut = 1.0 - np.asarray(continuity)[..., None]
    held = _held_inboard(spans, ends)
    n_set = cut.shape[-2]
    return held[..., :n_set, :] - cut * held[..., n_set:, :]


def joiner_presence(spans: StationSpans, length: Any) -> np.ndarray:
    """Return the share (..., n_station) of the span around each station that the joiner reaches. [-]

    ``spans`` are the StationSpans, and ``length`` (...) is the total length of the joiner [m]. Its channel is assumed
    to support it along its total length, so that it bends with the wing about its own middle. This is geometry and
    needs no source.
    """
    return _held_inboard(spans, 0.5 * np.asarray(length)[..., None, None])[..., 0, :]


def _held_inboard(spans: StationSpans, end: Any) -> np.ndarray:
    """Return the share (..., n, n_station) of every span that lies inboard of an ``end`` (..., n, 1) [m]. [-]"""
    beyond = _smooth_step_integral(end - spans.bounds)
    return (beyond[..., :-1] - beyond[..., 1:]) / spans.width


class RodLap(NamedTuple):
    """Two rods of one diameter side by side over a length, and the foam between them. Fields are (..., n_set)."""

    diameter: Any  # [m]
    axial: Any  # E A of one rod [N]
    sweep: Any  # angle between the rods seen from above [rad]
    spacing: Any  # distance between their middles where they are nearest [m]
    length: Any  # length over which they lie side by side [m]


class LapStrength(NamedTuple):
    """What a lap carries. Fields are (..., n_set)."""

    stiffness: Any  # force over the greatest slip between the rods [N/m]
    force: Any  # force at which the foam first reaches its shear strength, or the glue breaks [N]


def rod_to_rod_shear(spacing: Any, diameter: Any) -> Any:
    """Return the stiffness of foam between two parallel rods that slip along each other, over its shear modulus. [-]

    It is the force on each metre over slip and shear modulus, pi / arccosh(s/d), for a ``spacing`` s (...) [m] between
    the middles of rods of the ``diameter`` d (...) [m] in endless foam. The slip obeys Laplace's equation as a voltage
    does. So it is the capacitance of two parallel wires. Source: J. D. Jackson, Classical Electrodynamics, problem 1.7
    and section 2.1; from memory.

    >>> round(float(rod_to_rod_shear(spacing=0.004, diameter=0.003)), 3)
    3.95
    """
    return np.pi / np.arccosh(spacing / diameter)


def greatest_slip(spacing: Any, diameter: Any, strain: Any) -> Any:
    """Return the slip (...) between two parallel rods at which the foam reaches a shear ``strain`` (...) [-]. [m]

    The greatest strain is on the walls where they are nearest: slip coth(t/2) / (d t), with t = arccosh(s/d). It is the
    field on two parallel wires in bipolar coordinates; source as for ``rod_to_rod_shear``. Spacing s and diameter d
    are (...) in [m].
    """
    apart = np.arccosh(spacing / diameter)
    return strain * diameter * apart * np.tanh(0.5 * apart)


def adjacent_lap(lap: RodLap, shear_modulus: Any, shear_strength: Any) -> LapStrength:
    """Return the LapStrength of two rods in one plane that are nearest at one end of their lap and move apart.

    Parameters
    ----------
    lap : RodLap
        The rods. With the sweep 0 they are parallel.
    shear_modulus, shear_strength : (..., 1) array
        Those of the foam. [Pa]

    Returns
    -------
    adjacent_lap : LapStrength
        Fields are (..., n_set). [N/m], [N]

    Notes
    -----
    Each slice of the lap is two parallel rods at their distance there. A short lap slips by the same amount all along.
    In a longer one the slip is greater at the ends by x coth x, with x^2 = K L/(2 E A). K is the sum of the stiffness
    of all slices, L the length. Source: O. Volkersen, Luftfahrtforschung 15 (1938), two equal parts; from memory. The
    lap fails where the foam on the wall of the nearest slice reaches its shear strength. The skin near the rods is left
    out: as a free surface it would make the lap softer by about 15 % for flush rods.
    """
    place, weight = _lap_points()
    spacing = np.asarray(lap.spacing)[..., None] + (lap.length * np.sin(lap.sweep))[..., None] * place
    whole = (rod_to_rod_shear(spacing, np.asarray(lap.diameter)[..., None]) * weight).sum(-1) * lap.length
    stiffness = shear_modulus * whole / _shear_lag(shear_modulus * whole * lap.length / lap.axial)
    slip = greatest_slip(lap.spacing, lap.diameter, shear_strength / shear_modulus)
    return LapStrength(stiffness, stiffness * slip)


def crossing_lap(lap: RodLap, shear_modulus: Any, shear_strength: Any, gap: float, glue_strength: float) -> LapStrength:
    """Return the LapStrength of two rods that cross, one on the other, and lie side by side on both sides of that.

    Parameters
    ----------
    lap : RodLap
        The rods. Their spacing is their diameter, and the length is that on each side of the crossing.
    shear_modulus, shear_strength : (..., 1) array
        Those of the foam. [Pa]
    gap : float
        Clear distance below which glue fills the gap between the rods. [m]
    glue_strength : float
        Shear strength of the glue. [Pa]

    Returns
    -------
    crossing_lap : LapStrength
        Fields are (..., n_set). [N/m], [N]

    Notes
    -----
    Foam between the rods as in ``adjacent_lap``, on both sides of the crossing, where the gap is wider than ``gap``.
    Nearer, a line of glue as wide as a rod joins them (judgement). There are two cases. The glue breaks, and the foam
    carries a small part at that slip; or the glue has broken and the foam carries all. The greater force is used. The
    shear lag is that of the foam alone.
    """
    place, weight = _lap_points()
    diameter = np.asarray(lap.diameter)
    apart = np.sin(lap.sweep) + 1e-9  # parallel rods touch all along
    touching = np.sqrt((diameter + gap) ** 2 - diameter**2) / apart
    touching = np.where(np.real(touching) < np.real(lap.length), touching, lap.length)
    free = lap.length - touching
    along = touching[..., None] + free[..., None] * place
    spacing = np.sqrt((diameter**2)[..., None] + (along * apart[..., None]) ** 2)
    least = np.sqrt(diameter**2 + (touching * apart) ** 2)
    least = np.where(np.real(free) > 0.0, least, diameter + gap)
    spacing = np.where(np.real(free)[..., None] > 0.0, spacing, (diameter + gap)[..., None])
    whole = 2.0 * (rod_to_rod_shear(spacing, diameter[..., None]) * weight).sum(-1) * free
    foam = shear_modulus * whole / _shear_lag(shear_modulus * whole * 2.0 * lap.length / lap.axial)
    foam_force = foam * greatest_slip(least, diameter, shear_strength / shear_modulus)
    glued = 2.0 * touching * diameter
    glue = glued * _GLUE_SHEAR_MODULUS / _GLUE_THICKNESS
    of_both = glued * glue_strength + foam * (glue_strength * _GLUE_THICKNESS / _GLUE_SHEAR_MODULUS)
    holds = np.real(of_both) > np.real(foam_force)
    return LapStrength(np.where(holds, foam + glue, foam), np.where(holds, of_both, foam_force))


def passed_share(lap: LapStrength, axial: Any, reach: Any) -> Any:
    """Return the share of its force that a rod passes across the centre (..., n_set). [-]

    Two springs are in series: the rod from the centre to the end of its lap, and the lap. In one piece the rod would be
    the first alone. ``reach`` (..., n_set) is that length of rod [m], and ``axial`` (..., n_set) its E A [N]. Statics,
    no source needed.
    """
    return 1.0 / (1.0 + axial / (lap.stiffness * reach))


def _shear_lag(stiffness_over_axial: Any) -> Any:
    """Return greatest over mean slip of a lap, x coth x (..., n_set). [-]"""
    half = np.sqrt(0.5 * stiffness_over_axial + 1e-12)
    return half / np.tanh(half)


@lru_cache(maxsize=1)
def _lap_points() -> tuple[np.ndarray, np.ndarray]:
    node, weight = np.polynomial.legendre.leggauss(_LAP_POINTS)
    return 0.5 * (node + 1.0), 0.5 * weight
