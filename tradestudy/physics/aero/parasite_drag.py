"""Drag over dynamic pressure of single parts by their size: wires, steps, domes, gaps, still propellers.

Every formula takes a coefficient, the stream and the sizes of the part, all as numbers. It returns a drag area: drag
over the dynamic pressure of flight. None includes interference between parts or with the wing. "(...)" means arrays of
any batch shape.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from tradestudy.physics.air import turbulent_plate_friction

_ALONG_FRICTION = (
    0.02  # drag coefficient of a cylinder along the stream, on length times diameter; see ``cylinder_across``
)


class Stream(NamedTuple):
    """The air that flows past a part."""

    speed: float  # [m/s]
    kinematic_viscosity: float  # [m^2/s]


def cylinder_drag_coefficient(reynolds: float | np.ndarray) -> float | np.ndarray:
    """Return the drag coefficient (...) of a long smooth cylinder across the stream, on length times diameter. [-]

    ``reynolds`` (...) is the Reynolds number Re of the diameter [-]. D. Sucker, H. Brauer, Waerme- und
    Stoffuebertragung 8 (1975) 149-158, fit of the standard drag curve for Re up to 2e5 (from memory): 1.18 + 6.8 /
    Re^0.89 + 1.96 / Re^0.5 - 0.0004 Re / (1 + 3.64e-7 Re^2). The fit includes the dip to 0.91 near Re 2000, where thin
    wires on slow wings are. The effect of free ends is left out.

    >>> round(cylinder_drag_coefficient(2000.0), 2)
    0.91
    """
    return 1.18 + 6.8 * reynolds**-0.89 + 1.96 * reynolds**-0.5 - 4e-4 * reynolds / (1 + 3.64e-7 * reynolds**2)


def turbulent_layer_thickness(distance: float, stream: Stream) -> float:
    """Return the thickness of a turbulent boundary layer at a ``distance`` [m] behind the leading edge. [m]

    With distance x and its Reynolds number Re it is 0.37 x Re^(-1/5), for the one-seventh profile (Schlichting,
    Boundary-Layer Theory; from memory). The layer is taken as turbulent from the edge, because of tape, film wrinkles
    and foam beads.
    """
    return 0.37 * distance * (stream.speed * distance / stream.kinematic_viscosity) ** -0.2


def pressure_share(height: float | np.ndarray, layer: float | np.ndarray) -> np.ndarray:
    """Return the mean dynamic pressure (...) from the wall to a height, over that outside the boundary layer. [-]

    ``height`` h (...) and the thickness ``layer`` d (...) are in [m]. The mean of (y / d)^(2/7) over wall distance y
    follows by integration of the one-seventh profile. It is (7/9) (h / d)^(2/7) within the layer and 1 - (2/9) (d / h)
    above it. Both formulas meet with the same slope.
    """
    ratio = np.asarray(height / layer, float)
    within = 7 / 9 * np.minimum(ratio, 1.0) ** (2 / 7)
    return np.where(ratio < 1, within, 1 - 2 / 9 / np.maximum(ratio, 1.0))


def bluff(coefficient: float, stream: Stream, width: float, height: float) -> float:
    """Return the drag area of a part of ``width`` [m] by ``height`` [m]. [m^2]

    This is the definition of its ``coefficient`` [-].
    """
    return coefficient * width * height


def bluff_on_wall(coefficient: float, stream: Stream, width: float, height: float, behind_leading_edge: float) -> float:
    """Return the drag area of a part that stands on the skin, with its foot in the boundary layer. [m^2]

    ``width``, ``height`` and the distance ``behind_leading_edge`` are in [m]. By definition of the ``coefficient`` [-],
    it refers to the mean pressure of ``pressure_share``.
    """
    share = pressure_share(height, turbulent_layer_thickness(behind_leading_edge, stream))
    return float(coefficient * width * height * share)


def step(coefficient: float, stream: Stream, length: float, height: float, behind_leading_edge: float) -> float:
    """Return the drag area of a step in the skin, of ``length`` across the stream and of ``height`` [m]. [m^2]

    ``coefficient`` [-] and the distance ``behind_leading_edge`` [m] are as for ``bluff_on_wall``.
    """
    return bluff_on_wall(coefficient, stream, length, height, behind_leading_edge)


def dome(coefficient: float, stream: Stream, diameter: float, behind_leading_edge: float) -> float:
    """Return the drag area of half a ball on the skin. [m^2]

    ``diameter`` and the distance ``behind_leading_edge`` are in [m]. By definition of the ``coefficient`` [-], it
    refers to the half circle seen from ahead and to the mean pressure of ``pressure_share``.
    """
    share = pressure_share(0.5 * diameter, turbulent_layer_thickness(behind_leading_edge, stream))
    return float(coefficient * np.pi / 8 * diameter**2 * share)


def cylinder_across(coefficient: float, stream: Stream, length: float, diameter: float, lean: float) -> float:
    """Return the drag area of a round rod that leans back by ``lean`` [rad] from straight across the stream. [m^2]

    ``length`` and ``diameter`` are in [m]; ``coefficient`` is a factor on the drag coefficient of the cylinder [-].
    Cross-flow principle (Hoerner, 1965, chapter III; from memory): the drag of a rod across the stream varies with the
    cube of the cosine. When it lies along the stream, 0.02 of length times diameter remains.
    """
    across = float(cylinder_drag_coefficient(stream.speed * diameter / stream.kinematic_viscosity))
    return length * diameter * (coefficient * across * np.cos(lean) ** 3 + _ALONG_FRICTION * np.sin(lean) ** 2)


def cylinder_along(coefficient: float, stream: Stream, length: float, diameter: float) -> float:
    """Return the drag area of a round rod along the stream: drag of its ends and turbulent friction. [m^2]

    ``length`` and ``diameter`` are in [m]. By definition ``coefficient`` [-] refers to the rod's cross-section.
    Friction is as for ``turbulent_plate_friction``.
    """
    friction = float(turbulent_plate_friction(stream.speed * length / stream.kinematic_viscosity))
    return coefficient * np.pi / 4 * diameter**2 + friction * np.pi * diameter * length


def horn_and_rod(
    coefficient: float, stream: Stream, width: float, height: float, length: float, diameter: float
) -> float:
    """Return the drag area of a horn of ``width`` by ``height`` [m] and a round rod across the stream. [m^2]

    ``length`` (seen from ahead) and ``diameter`` of the rod [m] are as for ``cylinder_across``. ``coefficient`` is that
    of the horn [-].
    """
    return coefficient * width * height + cylinder_across(1.0, stream, length, diameter, 0.0)


def gap(coefficient: float, stream: Stream, length: float, gap: float) -> float:
    """Return the drag area of an unsealed gap. [m^2]

    ``length`` is the length across the stream, and ``gap`` is the width [m]. By definition ``coefficient`` [-] refers
    to their product.
    """
    return coefficient * length * gap


def blades_across(coefficient: float, stream: Stream, diameter: float, width: float) -> float:
    """Return the drag area of two propeller blades across the stream. [m^2]

    ``width`` is their mean chord [m] and ``diameter`` the distance from tip to tip [m]. By definition ``coefficient``
    [-] refers to their product.
    """
    return coefficient * diameter * width


def windmill(coefficient: float, stream: Stream, diameter: float) -> float:
    """Return the drag area of a propeller that the wind turns. [m^2]

    ``coefficient`` [-] is the share of the wind's power that the propeller takes, lost in motor and blades. It must be
    below 16/27. ``diameter`` is in [m]. Momentum theory (any text): a disc that slows the air by a share a takes 4 a (1
    - a)^2 of the power of the wind through its area. Its drag is 4 a (1 - a) times its area and the dynamic pressure.
    """
    slowed = coefficient / 4
    for _ in range(30):  # Newton's method for a share below 1/3; it converges in fewer than thirty steps
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
