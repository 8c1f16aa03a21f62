"""What straight stock allows: laps, and how far a rod may be bent. All values are single numbers."""

from __future__ import annotations

import math

LAPPED = ("lap", "cross over")  # ways to meet at the centre where the force of a rod passes through foam
LAP_GAP = 0.001  # foam between a rod and the transverse rod beside it; common practice, no source [m]
USUAL_LAP = 25.0  # length of a lap in diameters, as of a splice; common practice, no source [-]
LASTING_BEND = 0.3  # share of the strength that a lasting bend may use; common practice, no source [-]
PAIRS_APART = 0.045  # distance between pairs along the chord; closer pairs share foam; common practice, no source [m]
CORNER_SLACK = 0.001  # greatest distance between a bent rod and the corner of its slots; judgement, no source [m]


def least_bend_radius(youngs_modulus: float, diameter: float, strength: float) -> float:
    """Return the least radius to which a rod may stay bent. [m]

    The strain of the outer fibre is the diameter over twice the radius: R = E d / (2 sigma). Source: beam theory, any
    text on strength of materials. The stress sigma is LASTING_BEND times the strength in bending. ``youngs_modulus``
    and ``strength`` are in [Pa], and ``diameter`` is in [m].

    >>> round(least_bend_radius(youngs_modulus=40e9, diameter=0.003, strength=400e6), 3)
    0.5
    """
    return 0.5 * youngs_modulus * diameter / (LASTING_BEND * strength)


def greatest_turn(radius: float) -> float:
    """Return the angle by which a rod can turn in a corner of its slots, at a least bend ``radius`` [m]. [rad]

    An arc of radius R that turns by an angle a misses the corner by R (1/cos(a/2) - 1). That distance may be
    CORNER_SLACK. Geometry, no source needed.

    >>> round(1.0 / math.cos(0.5 * greatest_turn(0.5)) - 1.0, 6)
    0.002
    """
    return 2.0 * math.acos(1.0 / (1.0 + CORNER_SLACK / radius))


JOINER_COVER = 0.002  # least foam above and below the joiner; common practice, no source [m]
