"""Mass that is on no list of parts, and how it grows with the wing.

Glue, paint and adhesive come with the surface and with the joints: rod slots, the joint of the halves, elevon hinges.
Wires, connectors and the like stay as they are. The shares are a judgement, no source. "(...)" means arrays of any
batch shape.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from tradestudy.physics.geometry.planform import Planform

from .mass import Lump, total_lump


class UnlistedMass(NamedTuple):
    """Mass that is on no list of parts, in three portions."""

    in_stock: Lump  # all of it in the stock wing, each field a scalar
    constant: Lump  # the portion that is the same in every wing, each field a scalar
    per_surface: float  # the portion that comes with the surface [kg/m^2]
    per_joint: float  # the portion that comes with the joints [kg/m]


class GluedParts(NamedTuple):
    """What paint, adhesive and glue come with."""

    surface: Lump  # covered surface and its first moment, see `mass.BareWing` [m^2], [m^3]
    joints: Lump  # length of glued joints and its first moment, see `joint_lump` [m], [m^2]


NOTHING_UNLISTED = UnlistedMass(Lump(0.0, 0.0), Lump(0.0, 0.0), 0.0, 0.0)


def split_unlisted(in_stock: Lump, surface: Lump, joints: Lump, by_area: float, by_joints: float) -> UnlistedMass:
    """Return the UnlistedMass of a study, so that the stock wing has exactly the mass and moment ``in_stock``.

    ``surface`` and ``joints`` are those of the stock wing, as in `mass.BareWing` and `joint_lump`. ``by_area`` and
    ``by_joints`` are shares of the mass [-]. The moment that surface and joints do not have stays with the constant
    portion, wherever that puts it. A mass below zero is an error of the scale or of the list, and no glue: it stays
    constant. This is a definition.

    >>> split_unlisted(Lump(0.5, 0.1), Lump(1.0, 0.2), Lump(8.0, 1.0), 0.5, 0.25).per_surface
    0.25
    """
    if in_stock.mass <= 0.0:
        return UnlistedMass(in_stock, in_stock, 0.0, 0.0)
    per_surface, per_joint = by_area * in_stock.mass / surface.mass, by_joints * in_stock.mass / joints.mass
    constant = Lump(
        (1.0 - by_area - by_joints) * in_stock.mass,
        in_stock.moment - per_surface * surface.moment - per_joint * joints.moment,
    )
    return UnlistedMass(in_stock, constant, per_surface, per_joint)


def unlisted_lump(unlisted: UnlistedMass, surface: Lump, joints: Lump) -> Lump:
    """Return the Lump (...) of the mass not listed of a wing with this ``surface`` and these ``joints`` (...).

    This is a definition, see `split_unlisted`.
    """
    return Lump(
        unlisted.constant.mass + unlisted.per_surface * surface.mass + unlisted.per_joint * joints.mass,
        unlisted.constant.moment + unlisted.per_surface * surface.moment + unlisted.per_joint * joints.moment,
    )


def joint_lump(planform: Planform, hinge_x: Any, slots: Sequence[Lump]) -> Lump:
    """Return all glued joints of both halves as a Lump (...): their length [m] and first moment [m^2].

    These are the rod ``slots`` (...) of both halves, the joint of the halves, and the hinges of the elevons. The halves
    meet along the chord on the centre line. A hinge is taken as straight between its ends, which lie at ``hinge_x``
    (..., 2) [m] behind the nose datum. Geometry, no source needed.
    """
    hinges = 2.0 * (planform.elevon_outer_end - planform.elevon_inner_end)
    chord = planform.foam_chord[..., 0] + planform.elevon_chord[..., 0]
    halves = Lump(chord, chord * (planform.leading_edge[..., 0] + 0.5 * chord))
    return total_lump([*slots, halves, Lump(hinges, 0.5 * hinges * (hinge_x[..., 0] + hinge_x[..., 1]))])
