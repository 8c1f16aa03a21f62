"""Dataclasses for the body of a wing: its outer skin, and every part inside it or on it as a closed mesh.

x is the distance behind the nose datum, y that to the right of the centre line, and z points up. The skin is the right
half of the wing. Solids on the centre line are whole. Of all others the right one is given, and the left mirrors it,
unless the solid is single.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated

from .field_specs import Unit


@dataclass(frozen=True)
class BodySection:
    """One section of the outer skin, its film included."""

    y_mm: Annotated[float, "Its distance from the centre line."]
    points_mm: Annotated[
        list[list[float]],
        "Points [x, z] from the trailing edge over the top to the nose and back below; equally many at every section.",
    ]


@dataclass(frozen=True)
class BodySolid:
    """One part of the wing as a closed mesh of triangles."""

    name: Annotated[str, "Its name; no two solids share one."]
    kind: Annotated[str, "What it is, such as bay, pack, rod or fin."]
    role: Annotated[str, "Whether it is material, or a void cut from the foam."]
    inside: Annotated[str | None, "What it lies in: skin, or the name of a void; empty if it may stand outside."]
    may_cross: Annotated[list[str], "Names of other solids that it may cross by design."]
    clearance_mm: Annotated[float, "Least distance that it keeps from the wall of what it lies in."]
    vertices_mm: Annotated[list[list[float]], "Corners [x, y, z] of its triangles."]
    triangles: Annotated[
        list[list[int]],
        "Three rows of vertices_mm for each triangle, counted from 0, anticlockwise seen from outside.",
        Unit("rows of vertices_mm"),
    ]
    volume_cm3: Annotated[float, "Volume inside the mesh."]
    centroid_mm: Annotated[list[float], "Centre [x, y, z] of that volume."]
    single: Annotated[bool, "Whether it stands beside the centre line and has no mirror image."] = False


@dataclass(frozen=True)
class Body:
    """The body of a wing: its skin, the parts in it and on it, and the foam that is left."""

    skin: Annotated[list[BodySection], "Sections from the centre line to the tip, joined by straight lines."] = field(
        default_factory=list
    )
    solids: Annotated[list[BodySolid], "Parts of the wing, and voids cut from its foam."] = field(default_factory=list)
    foam_cm3: Annotated[float, "Foam of both halves: skin ahead of the hinge, less voids, rods and boards in it."] = 0.0
    foam_centroid_mm: Annotated[list[float], "Centre [x, y, z] of the foam of both halves."] = field(
        default_factory=list
    )
