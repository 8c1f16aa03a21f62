"""Moments of inertia from all masses and their places. They are exact along the span; equipment is a set of boxes.

Sums are computed about the nose datum and moved to the centre of gravity at the end (parallel axes). Along the chord,
foam and covering have the integrals of their own section, and an elevon is a wedge. Thickness is neglected.

"(...)" means arrays of any batch shape.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.body.straight_rods import PlanLine
from tradestudy.physics.geometry.fins import FinPart, SheetFin, fin_parts
from tradestudy.physics.geometry.planform import Planform, interpolated

from . import mass

_ORDER = 4  # Gauss points on a straight piece: exact to degree 7, while mass x place^2 has degree 4
_SHARE, _WEIGHT = mass.gauss_points(_ORDER)


class MassMoments(NamedTuple):
    """A mass with first and second moments about the nose datum. Each field is (...), in [kg], [kg m] or [kg m^2].

    The sideways first moment is zero, because both half wings are alike.
    """

    mass: Any
    x: Any
    z: Any
    xx: Any
    yy: Any
    zz: Any
    xz: Any


class Inertia(NamedTuple):
    """Mass [kg], centre of gravity behind and above the nose datum [m], and moments of inertia about it [kg m^2].

    Each field is (...).
    """

    mass: Any
    centre_of_gravity: Any
    centre_height: Any
    roll: Any
    pitch: Any
    yaw: Any
    roll_yaw: Any  # product of inertia: sum of mass x place aft x place up


def box_moments(
    mass: float | np.ndarray,
    place: float | np.ndarray,
    height: float | np.ndarray = 0.0,
    length: float = 0.0,
    width: float = 0.0,
    depth: float = 0.0,
) -> MassMoments:
    """Return the MassMoments of a box of uniform density on the centre line; any text on mechanics.

    ``mass`` (...) is in [kg]. ``place`` (...) and ``height`` (...) of the box's centre are behind and above the nose
    datum [m]. ``length`` is along the flight direction, ``width`` across and ``depth`` up [m]. Two equal small parts at
    a distance y to either side have the second moment of a box of width y sqrt(12).

    >>> boxes = [box_moments(0.2, 0.1, length=0.12), box_moments(0.2, 0.3)]
    >>> round(about_centre(total_moments(boxes)).pitch, 5)
    0.00424
    """
    return MassMoments(
        mass=mass,
        x=mass * place,
        z=mass * height,
        xx=mass * (place**2 + length**2 / 12),
        yy=mass * width**2 / 12,
        zz=mass * (height**2 + depth**2 / 12),
        xz=mass * place * height,
    )


def bare_wing_moments(planform: Planform, materials: mass.WingMaterials) -> MassMoments:
    """Return the MassMoments of foam, covering and elevons of the total wing, by exact integration along the span."""
    station, weight = mass.gauss_stations(planform, _ORDER)
    edge, height, foam, elevon = interpolated(
        planform, (planform.leading_edge, planform.height, planform.foam_chord, planform.elevon_chord), station
    )
    layers = mass.strip_layers(materials, edge, foam, elevon, mass.section_share(planform, materials, station))
    return total_moments(
        [_moments(2 * layer.mass * weight, layer.place, station, height, layer.radius**2) for layer in layers.values()]
    )


def rod_moments(planform: Planform, linear_mass: float | np.ndarray, line: PlanLine) -> MassMoments:
    """Return the MassMoments of a straight rod in both half wings, by exact integration.

    ``linear_mass`` (...) is the mass per length of all rods on its ``line`` (...) in one half wing [kg/m]. Heights are
    those of the wing's dihedral, which is the same on both sides of the centre line.
    """
    inner_x, inner_y, outer_x, outer_y = (np.asarray(value)[..., None] for value in line)
    station = inner_y + (outer_y - inner_y) * _SHARE
    (height,) = interpolated(planform, (planform.height,), np.sqrt(station * station))
    weight = 2 * (linear_mass * line.length)[..., None] * _WEIGHT
    return _moments(weight, inner_x + (outer_x - inner_x) * _SHARE, station, height, 0.0)


def fin_moments(fins: tuple[SheetFin, ...], planform: Planform) -> MassMoments:
    """Return the MassMoments of all fins of both half wings, by exact integration. A fin is a flat
    trapezoidal sheet.
    """
    return total_moments([_fin_part(fin, part, planform) for fin in fins for part in fin_parts(fin)])


def _fin_part(fin: SheetFin, part: FinPart, planform: Planform) -> MassMoments:
    root, tip, length, set_back = (
        np.asarray(value)[..., None] for value in (part.root_chord, part.tip_chord, part.length, part.set_back)
    )
    chord = root + (tip - root) * _SHARE
    weight = 2 * fin.areal_mass * chord * length * _WEIGHT
    foot = planform.leading_edge[..., fin.stands_on] + fin.behind_leading_edge
    front = foot[..., None] + set_back * _SHARE
    out, up = (part.direction * length * _SHARE * turn(fin.cant) for turn in (np.sin, np.cos))
    y, z = planform.station[..., fin.stands_on, None] + out, planform.height[..., fin.stands_on, None] + up
    return _moments(weight, front + 0.5 * chord, y + 0 * chord, z + 0 * chord, chord**2 / 12)


def _moments(
    weight: np.ndarray, x: np.ndarray, y: np.ndarray, z: np.ndarray, spread: float | np.ndarray
) -> MassMoments:
    """Return the MassMoments of points (..., n) with masses ``weight``.

    ``spread`` is each point's own second moment along x over its mass.
    """
    return MassMoments(
        mass=weight.sum(-1),
        x=(weight * x).sum(-1),
        z=(weight * z).sum(-1),
        xx=(weight * (x * x + spread)).sum(-1),
        yy=(weight * y * y).sum(-1),
        zz=(weight * z * z).sum(-1),
        xz=(weight * x * z).sum(-1),
    )


def total_moments(parts: list[MassMoments]) -> MassMoments:
    """Return the sum of at least one MassMoments. This is a definition."""
    return MassMoments._make(sum(column) for column in zip(*parts, strict=True))


def about_centre(moments: MassMoments) -> Inertia:
    """Return the Inertia of an aircraft from its MassMoments, by parallel axes; any text on mechanics."""
    weight = moments.mass
    x, z = moments.x / weight, moments.z / weight
    xx, zz = moments.xx - weight * x * x, moments.zz - weight * z * z
    return Inertia(weight, x, z, moments.yy + zz, xx + zz, xx + moments.yy, moments.xz - weight * x * z)
