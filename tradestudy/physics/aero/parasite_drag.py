"""Drag over dynamic pressure of single parts in the stream by their size: wires, steps, domes, gaps, still propellers.

Every formula takes a coefficient, the stream and the sizes it names, all as numbers. It returns a drag area on the
dynamic pressure of flight. None adds interference between parts, or with the wing.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from tradestudy.physics.air import turbulent_plate_friction

_ALONG_FRICTION = 0.02  # drag of a cylinder along the stream on length times diameter, see ``cylinder_across``


class Stream(NamedTuple):
    """The air that flows past."""

    speed: float  # [m/s]
    kinematic_viscosity: float  # [m^2/s]


def cylinder_drag_coefficient(reynolds: float | np.ndarray) -> float | np.ndarray:
    """Return the drag coefficient (...) of a long smooth cylinder across the stream, on length times diameter. [-]

    ``reynolds`` (...) is that of the diameter [-]. D. Sucker, H. Brauer, Waerme- und Stoffuebertragung 8 (1975)
    149-158, fit of the standard drag curve for Re up to 2e5 (from memory):
    1.18 + 6.8 / Re^0.89 + 1.96 / Re^0.5 - 0.0004 Re / (1 + 3.64e-7 Re^2). It keeps the dip to 0.91
    near Re 2000, where thin wires on slow wings are. The free end is left out.

    >>> round(cylinder_drag_coefficient(2000.0), 2)
    0.91
    """
    return 1.18 + 6.8 * reynolds**-0.89 + 1.96 * reynolds**-0.5 - 4e-4 * reynolds / (1 + 3.64e-7 * reynolds**2)


def turbulent_layer_thickness(distance: float, stream: Stream) -> float:
    """Return the thickness of a turbulent boundary layer at a ``distance`` [m] behind the edge. [m]

    0.37 x Re_x^(-1/5), for the one-seventh profile (Schlichting, Boundary-Layer Theory; from memory). It is turbulent
    from the edge, because of tape, film wrinkles and foam beads.
    """
    return 0.37 * distance * (stream.speed * distance / stream.kinematic_viscosity) ** -0.2


def pressure_share(height: float | np.ndarray, layer: float | np.ndarray) -> np.ndarray:
    """Return the mean dynamic pressure (...) from the wall to a height over that outside a boundary layer. [-]

    ``height`` (...) and thickness of the ``layer`` (...) [m]. Integration of the one-seventh profile, the mean of
    (y / layer)^(2/7): 7/9 (h / layer)^(2/7) within the layer, above it 1 - 2/9 layer / h. Both meet with
    the same slope.
    """
    ratio = np.asarray(height / layer, float)
    within = 7 / 9 * np.minimum(ratio, 1.0) ** (2 / 7)
    return np.where(ratio < 1, within, 1 - 2 / 9 / np.maximum(ratio, 1.0))


def bluff(coefficient: float, stream: Stream, width: float, height: float) -> float:
    """Return the drag area of a part of ``width`` by ``height`` [m], by definition of ``coefficient`` [-]. [m^2]"""
    return coefficient * width * height


def bluff_on_wall(coefficient: float, stream: Stream, width: float, height: float, behind_leading_edge: float) -> float:
    """Return the drag area of a part that stands on the skin, its foot in the boundary layer. [m^2]

    ``width``, ``height`` and the place ``behind_leading_edge`` [m]; by definition of ``coefficient`` [-], on the mean
    pressure of ``pressure_share``.
    """
    share = pressure_share(height, turbulent_layer_thickness(behind_leading_edge, stream))
    return float(coefficient * width * height * share)


def step(coefficient: float, stream: Stream, length: float, height: float, behind_leading_edge: float) -> float:
    """Return the drag area of an edge of ``length`` across the stream and ``height`` off the skin [m]. [m^2]

    ``coefficient`` [-] and the place ``behind_leading_edge`` [m] as for ``bluff_on_wall``.
    """
    return bluff_on_wall(coefficient, stream, length, height, behind_leading_edge)


def dome(coefficient: float, stream: Stream, diameter: float, behind_leading_edge: float) -> float:
    """Return the drag area of half a ball on the skin, on its frontal half circle. [m^2]

    ``diameter`` and the place ``behind_leading_edge`` [m]; by definition of ``coefficient`` [-], on the mean pressure
    of ``pressure_share``.
    """
    share = pressure_share(0.5 * diameter, turbulent_layer_thickness(behind_leading_edge, stream))
    return float(coefficient * np.pi / 8 * diameter**2 * share)


def cylinder_across(coefficient: float, stream: Stream, length: float, diameter: float, lean: float) -> float:
    """Return the drag area of a round rod that leans ``lean`` [rad] back from straight across the stream. [m^2]

    ``length`` and ``diameter`` [m]; ``coefficient`` scales the curve [-]. Cross-flow principle (Hoerner, 1965, chapter
    III; from memory): the drag of a rod across the stream varies with the cube of the cosine. When it lies along the
    stream, 0.02 of length times diameter remains.
    """
    across = float(cylinder_drag_coefficient(stream.speed * diameter / stream.kinematic_viscosity))
    return length * diameter * (coefficient * across * np.cos(lean) ** 3 + _ALONG_FRICTION * np.sin(lean) ** 2)


def cylinder_along(coefficient: float, stream: Stream, length: float, diameter: float) -> float:
    """Return the drag area of a round rod along the stream: its ends on their area, and turbulent friction. [m^2]

    ``length`` and ``diameter`` [m]; by definition of ``coefficient`` [-]. Friction as for ``turbulent_plate_friction``.
    """
    friction = float(turbulent_plate_friction(stream.speed * length / stream.kinematic_viscosity))
    return coefficient * np.pi / 4 * diameter**2 + friction * np.pi * diameter * length


def horn_and_rod(
    coefficient: float, stream: Stream, width: float, height: float, length: float, diameter: float
) -> float:
    """Return the drag area of a horn ``width`` by ``height`` [m] and a round rod, ``length`` seen from ahead. [m^2]

    ``length`` and ``diameter`` of the rod [m] as for ``cylinder_across``; ``coefficient`` of the horn [-].
    """
    return coefficient * width * height + cylinder_across(1.0, stream, length, diameter, 0.0)


def gap(coefficient: float, stream: Stream, length: float, gap: float) -> float:
    """Return the drag area of an unsealed gap, ``length`` across the stream and ``gap`` wide [m]. [m^2]

    On its own area, by definition of ``coefficient`` [-].
    """
    return coefficient * length * gap


def blades_across(coefficient: float, stream: Stream, diameter: float, width: float) -> float:
    """Return the drag area of two blades of mean chord ``width`` [m], tip to tip over ``diameter`` [m]. [m^2]

    On their area, by definition of ``coefficient`` [-].
    """
    return coefficient * diameter * width


def windmill(coefficient: float, stream: Stream, diameter: float) -> float:
    """Return the drag area of a propeller that the wind turns, from the share of the wind's power it takes. [m^2]

    Momentum theory (any text): a disc that slows the air by a share a takes 4 a (1 - a)^2 of the power of the wind
    through its area. Its drag is 4 a (1 - a) of the dynamic pressure on it. ``coefficient`` [-] is the first, the
    losses in motor and blades; it must lie below 16/27. ``diameter`` [m].
    """
    slowed = coefficient / 4
    for _ in range(30):  # Newton on the branch below a third; quadratic, thirty are more than enough
        excess = 4 * slowed * (1 - slowed) ** 2 - coefficient
        slowed -= excess / (4 * (1 - slowed) * (1 - 3 * slowed))
    return 4 * slowed * (1 - slowed) * np.pi / 4 * diameter**2


DRAG_FORMULAS: dict[str, Callable[..., float]] = {
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
