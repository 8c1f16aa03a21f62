"""One part of a wing as a solid, and its form in a result."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.physics.body import solids
from tradestudy.physics.body.solids import Amount, Solid
from tradestudy.quantities import in_unit
from tradestudy.results.body import BodySolid

MATERIAL, VOID, SKIN = "material", "void", "skin"
_DECIMALS = 3  # lengths of a result are rounded to a thousandth of a millimetre


class BodyPart(NamedTuple):
    """One part of a wing. Lengths are in metres.

    A part on the centre line is whole. Of any other the right one is given, unless it is ``single``. ``removed`` is all
    foam that gives way to it, in both halves.
    """

    name: str
    kind: str
    role: str
    inside: str | None
    solid: Solid
    amount: Amount
    removed: Amount | None = None
    may_cross: tuple[str, ...] = ()
    clearance: float = 0.0
    single: bool = False


def box_part(name: str, kind: str, role: str, inside: str | None, low, high, **more) -> BodyPart:
    """Return a box between two corners as a BodyPart."""
    low, high = np.asarray(low, float), np.asarray(high, float)
    return BodyPart(
        name,
        kind,
        role,
        inside,
        solids.box(low, high),
        solids.amount(float(np.prod(high - low)), 0.5 * (low + high)),
        **more,
    )


def of_both_halves(one: Amount) -> Amount:
    """Return the Amount of a part of the right half together with that of its mirror image."""
    return Amount(2 * one.volume, 2 * one.moment * np.array([1.0, 0.0, 1.0]))


def named_apart(parts: list[BodyPart]) -> list[BodyPart]:
    """Return the parts with a number after every name that an earlier part has."""
    seen: dict[str, int] = {}
    apart = []
    for part in parts:
        seen[part.name] = seen.get(part.name, 0) + 1
        apart.append(part if seen[part.name] == 1 else part._replace(name=f"{part.name} {seen[part.name]}"))
    return apart


def solid_record(part: BodyPart) -> BodySolid:
    """Return a BodyPart in the form of a result."""
    return BodySolid(
        name=part.name,
        kind=part.kind,
        role=part.role,
        inside=part.inside,
        may_cross=list(part.may_cross),
        clearance_mm=round(in_unit(part.clearance, "mm"), _DECIMALS),
        vertices_mm=points_record(part.solid.vertices),
        triangles=part.solid.triangles.tolist(),
        volume_cm3=round(in_unit(part.amount.volume, "cm3"), 4),
        centroid_mm=points_record(part.amount.centroid),
        single=part.single,
    )


def points_record(points: np.ndarray) -> list:
    """Return points as lists of millimetres."""
    return (np.round(in_unit(points, "mm"), _DECIMALS) + 0.0).tolist()
