"""Drag over dynamic pressure of single things in the wind, by their size: wires, steps, domes, gaps, still propellers.

Every formula takes a coefficient, the stream and the sizes it names, and returns a drag area [m^2] on the dynamic
pressure of flight. None adds interference between things, or with the wing.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from tradestudy.physics.air import turbulent_plate_friction

_ALONG_FRICTION = 0.02  # what is left of an inclined cylinder's drag when it lies along the stream; the same


class Stream(NamedTuple):
    """The air that flows past. SI."""

    speed: float
    kinematic_viscosity: float


def cylinder_drag_coefficient(reynolds):
    """Return the drag coefficient of a long smooth cylinder across the stream, on length times diameter. [-]

    D. Sucker, H. Brauer, Waerme- und Stoffuebertragung 8 (1975) 149-158, fit of the standard drag curve for Re up to
    2e5 (from memory): 1.18 + 6.8 / Re^0.89 + 1.96 / Re^0.5 - 0.0004 Re / (1 + 3.64e-7 Re^2). It keeps the dip to 0.91
    near Re 2000, where thin wires on slow wings work. The free end is left out.
    """
    return 1.18 + 6.8 * reynolds**-0.89 + 1.96 * reynolds**-0.5 - 4e-4 * reynolds / (1 + 3.64e-7 * reynolds**2)


def turbulent_layer_thickness(distance, stream):
    """Return the thickness of a turbulent boundary layer ``distance`` [m] behind the edge. [m]

    0.37 x Re_x^(-1/5), which goes with the one-seventh profile (Schlichting, Boundary-Layer Theory; from memory). Taken
    turbulent from the edge, as tape, film wrinkles and foam beads make it.
    """
    return 0.37 * distance * (stream.speed * distance / stream.kinematic_viscosity) ** -0.2


def pressure_share(height, layer):
    """Return the mean dynamic pressure from the wall to ``height`` over that outside a boundary layer. [-]

    Mean of (y / layer)^(2/7), the one-seventh profile: 7/9 (h / layer)^(2/7) within the layer; above it
    1 - 2/9 layer / h. Both meet with the same slope.
    """
    ratio = np.asarray(height / layer, float)
    within = 7 / 9 * np.minimum(ratio, 1.0) ** (2 / 7)
    return np.where(ratio < 1, within, 1 - 2 / 9 / np.maximum(ratio, 1.0))


def bluff(coefficient, stream, width, height):
    """Return the drag area of something seen ``width`` by ``height`` from in front, in the open stream. [m^2]"""
    return coefficient * width * height


def bluff_on_wall(coefficient, stream, width, height, behind_leading_edge):
    """Return the drag area of something that stands on the skin, its foot in the boundary layer. [m^2]"""
    share = pressure_share(height, turbulent_layer_thickness(behind_leading_edge, stream))
    return coefficient * width * height * share


def step(coefficient, stream, length, height, behind_leading_edge):
    """Return the drag area of an edge ``length`` across the stream that stands ``height`` off the skin. [m^2]"""
    return bluff_on_wall(coefficient, stream, length, height, behind_leading_edge)


def dome(coefficient, stream, diameter, behind_leading_edge):
    """Return the drag area of half a ball on the skin, on its frontal half circle. [m^2]"""
    share = pressure_share(0.5 * diameter, turbulent_layer_thickness(behind_leading_edge, stream))
    return coefficient * np.pi / 8 * diameter**2 * share


def cylinder_across(coefficient, stream, length, diameter, lean):
    """Return the drag area of a round rod that leans ``lean`` [rad] back from straight across the stream. [m^2]

    Cross-flow principle (Hoerner, 1965, chapter III; from memory): the drag of straight across goes with the cube of
    the cosine, and 0.02 of length times diameter stays when it lies along the stream. ``coefficient`` scales the curve.
    """
    across = cylinder_drag_coefficient(stream.speed * diameter / stream.kinematic_viscosity)
    return length * diameter * (coefficient * across * np.cos(lean) ** 3 + _ALONG_FRICTION * np.sin(lean) ** 2)


def cylinder_along(coefficient, stream, length, diameter):
    """Return the drag area of a round rod along the stream: its ends on their area, and turbulent friction. [m^2]"""
    friction = turbulent_plate_friction(stream.speed * length / stream.kinematic_viscosity)
    return coefficient * np.pi / 4 * diameter**2 + friction * np.pi * diameter * length


def horn_and_rod(coefficient, stream, width, height, length, diameter):
    """Return the drag area of a horn ``width`` by ``height`` and a round rod, ``length`` as seen ahead. [m^2]"""
    return coefficient * width * height + cylinder_across(1.0, stream, length, diameter, 0.0)


def gap(coefficient, stream, length, gap):
    """Return the drag area of an unsealed gap ``length`` across the stream and ``gap`` wide, on its own area. [m^2]"""
    return coefficient * length * gap


def blades_across(coefficient, stream, diameter, width):
    """Return the drag area of two blades of mean chord ``width`` tip to tip over ``diameter``. [m^2]"""
    return coefficient * diameter * width


def windmill(coefficient, stream, diameter):
    """Return the drag area of a propeller that the wind turns, from the share of the wind's power it takes. [m^2]

    Momentum theory: a disc that slows the air by a share a takes 4 a (1 - a)^2 of the power of the wind through its
    area and holds back with 4 a (1 - a) of the dynamic pressure on it. ``coefficient`` is the first, what friction of
    motor and blades eat; it must lie below 16/27.
    """
    slowed = coefficient / 4
    for _ in range(30):  # Newton on the branch below a third; quadratic, thirty is far more than it takes
        excess = 4 * slowed * (1 - slowed) ** 2 - coefficient
        slowed -= excess / (4 * (1 - slowed) * (1 - 3 * slowed))
    return 4 * slowed * (1 - slowed) * np.pi / 4 * diameter**2


DRAG_FORMULAS: dict[str, Callable] = {
    "bluff": bluff,
    "bluff on the skin": bluff_on_wall,
    "step": step,
    "dome": dome,
    "cylinder across": cylinder_across,
    "cylinder along": cylinder_along,
    "horn and rod": horn_and_rod,
    "gap": gap,
    "blades across": blades_across,
    "windmill": windmill,
}
