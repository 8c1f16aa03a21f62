"""Moments of inertia from where every gram sits: exact along the span, boxes for equipment.

Sums are taken about the nose datum and moved to the centre of gravity at the end (parallel axes). Across the chord
a foam section counts with a radius of gyration of 0.24 of its chord, a covering with 0.28 (thin closed shell), an
elevon with 0.25 (wedge); thickness counts nothing.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.geometry.fins import fin_parts
from tradestudy.physics.geometry.planform import interpolated

from . import mass

CHORD_RADIUS = {"foam": 0.24, "covering": 0.28, "elevons": 0.25}  # of the own chord; an even strip has 0.289
_NODE, _WEIGHT = np.polynomial.legendre.leggauss(4)  # exact to the seventh power; mass x place^2 is of the fourth


class MassMoments(NamedTuple):
    """A mass with first and second moments about the nose datum. All (...): [kg], [kg m], [kg m^2].

    The sideways first moment is none: what stands on one side stands on the other.
    """

    mass: Any
    x: Any
    z: Any
    xx: Any
    yy: Any
    zz: Any
    xz: Any


class Inertia(NamedTuple):
    """Mass [kg], centre of gravity behind and above the nose datum [m], moments about it [kg m^2]. All (...)."""

    mass: Any
    centre_of_gravity: Any
    centre_height: Any
    roll: Any
    pitch: Any
    yaw: Any
    roll_yaw: Any  # product of inertia, mass x (aft) x (up)


def box_moments(weight, place, height=0.0, length=0.0, width=0.0, depth=0.0):
    """Return MassMoments of an even box on the centre line: mass [kg], centre and outside size [m].

    Two equal small parts at a distance y to either side count as one box of width y sqrt(12).
    """
    return MassMoments(
        weight,
        weight * place,
        weight * height,
        weight * (place**2 + length**2 / 12),
        weight * width**2 / 12,
        weight * (height**2 + depth**2 / 12),
        weight * place * height,
    )


def bare_wing_moments(planform, materials):
    """Return MassMoments of foam, covering and elevons of the whole wing, integrated exactly along the span."""
    left, width = planform.station[..., :-1, None], np.diff(planform.station, axis=-1)[..., None]
    station = left + width * 0.5 * (_NODE + 1)
    weight = (width * 0.5 * _WEIGHT).reshape(*station.shape[:-2], -1)
    station = station.reshape(*station.shape[:-2], -1)
    edge, height, foam, elevon = interpolated(
        planform, (planform.leading_edge, planform.height, planform.foam_chord, planform.elevon_chord), station
    )
    own = {"foam": foam, "covering": foam + elevon, "elevons": elevon}
    place = mass.centroids(edge, foam, elevon)
    parts = []
    share = mass.section_share(planform, materials, station)
    for name, per_length in mass.mass_per_length(materials, foam, elevon, share).items():
        part = 2 * per_length * weight
        spread = (CHORD_RADIUS[name] * own[name]) ** 2
        parts.append(_gathered(part, place[name], station, height, spread))
    return total_moments(parts)


def rod_moments(planform, linear_mass, inner_end, outer_end, chord_fraction):
    """Return MassMoments of straight rods in both half wings; ``linear_mass`` of all rods of one half [kg/m].

    Ends (...) in m from the centre line, ``chord_fraction`` of the foam chord.
    """
    length, _ = mass.rod_length(planform, inner_end, outer_end, chord_fraction)
    share = 0.5 * (_NODE + 1)
    station = inner_end[..., None] + (outer_end - inner_end)[..., None] * share
    ends = np.stack(np.broadcast_arrays(inner_end, outer_end), axis=-1)
    edge, chord, height = interpolated(planform, (planform.leading_edge, planform.foam_chord, planform.height), ends)
    place = edge + chord_fraction * chord
    weight = (linear_mass * length)[..., None] * _WEIGHT  # 2 halves x 0.5
    along = tuple(pair[..., :1] + (pair[..., 1:] - pair[..., :1]) * share for pair in (place, height))
    return _gathered(weight, along[0], station, along[1], 0.0)


def fin_moments(standing, planform):
    """Return MassMoments of all fins (tuple of fins.SheetFin) of both sides, flat sheets of trapezoidal outline."""
    return total_moments([_fin_part(fin, part, planform) for fin in standing for part in fin_parts(fin)])


def _fin_part(fin, part, planform):
    share = 0.5 * (_NODE + 1)
    root, tip, length, set_back = (
        np.asarray(value)[..., None] for value in (part.root_chord, part.tip_chord, part.length, part.set_back)
    )
    chord = root + (tip - root) * share
    weight = 2 * fin.areal_mass * chord * length * 0.5 * _WEIGHT
    foot = planform.leading_edge[..., fin.stands_on] + fin.behind_leading_edge
    front = foot[..., None] + set_back * share
    out, up = (part.direction * length * share * turn(fin.cant) for turn in (np.sin, np.cos))
    y, z = planform.station[..., fin.stands_on, None] + out, planform.height[..., fin.stands_on, None] + up
    return _gathered(weight, front + 0.5 * chord, y + 0 * chord, z + 0 * chord, chord**2 / 12)


def _gathered(weight, x, y, z, spread):
    """MassMoments of points (..., n) with an own spread along x."""
    return MassMoments(
        weight.sum(-1),
        (weight * x).sum(-1),
        (weight * z).sum(-1),
        (weight * (x * x + spread)).sum(-1),
        (weight * y * y).sum(-1),
        (weight * z * z).sum(-1),
        (weight * x * z).sum(-1),
    )


def total_moments(parts):
    """Return one MassMoments for many."""
    return MassMoments(*(sum(column) for column in zip(*parts, strict=True)))


def about_centre(moments):
    """Return the Inertia of a whole aircraft from its MassMoments."""
    weight = moments.mass
    x, z = moments.x / weight, moments.z / weight
    xx, zz = moments.xx - weight * x * x, moments.zz - weight * z * z
    return Inertia(weight, x, z, moments.yy + zz, xx + zz, xx + moments.yy, moments.xz - weight * x * z)
