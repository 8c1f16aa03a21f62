"""Outline of a wing seen from above.

Only the right half is stored. x is the distance behind the nose, and y the distance from the centre line.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated


@dataclass(frozen=True)
class FinEdge:
    """The front end and back end of one edge of a fin, seen from above."""

    x_mm: Annotated[list[float], "Front and back end behind the nose."]
    y_mm: Annotated[list[float], "Front and back end from the centre line."]


@dataclass(frozen=True)
class FinOutline:
    """A fin seen from above: its foot and its other edges."""

    x_mm: Annotated[list[float], "Front and back end of the foot behind the nose."]
    y_mm: Annotated[list[float], "Front and back end of the foot from the centre line."]
    height_mm: Annotated[float, "Height above its foot."]
    depth_below_mm: Annotated[float, "Depth below its foot."]
    ends: Annotated[list[FinEdge], "Its top and bottom edge."]


@dataclass(frozen=True)
class RodLine:
    """The line of one rod, or of a rod near the top and the one below it, seen from above."""

    from_x_mm: Annotated[float, "Inner end behind the nose."]
    from_y_mm: Annotated[float, "Inner end from the centre line; negative if it crosses over to the left."]
    to_x_mm: Annotated[float, "Outer end behind the nose."]
    to_y_mm: Annotated[float, "Outer end from the centre line."]
    name: Annotated[str, "Which set of rods, with a number if it has several pairs."] = ""
    across: Annotated[bool, "Whether it lies square across the centre line, beside the ends of others."] = False


@dataclass(frozen=True)
class PlanPart:
    """A part or a void of the body, seen from above: on the centre line, or in the right half."""

    name: Annotated[str, "Its name in the body."]
    kind: Annotated[str, "What it is, such as joiner, lid or pocket."]
    x_mm: Annotated[list[float], "Closed outline, behind the nose."]
    y_mm: Annotated[list[float], "The same points from the centre line."]


@dataclass(frozen=True)
class OutlineItem:
    """A bay or one item of equipment, seen from above."""

    name: Annotated[str, "Its name in the study."]
    x_mm: Annotated[float, "Front wall of a bay, or middle of an item, behind the nose."]
    length_mm: Annotated[float, "Length along the centre line; zero where unknown."]
    width_mm: Annotated[float, "Width across; zero where unknown."]
    mass_g: Annotated[float, "Mass; zero for a bay. Of both if there is one in each half."]
    from_centre_mm: Annotated[float, "Its middle from the centre line."] = 0.0
    side: Annotated[str, "Half that it lies in: left, right or both; empty on the centre line."] = ""
    bay: Annotated[str, "Bay that it lies in; empty elsewhere."] = ""
    spare_mm: Annotated[float | None, "Height left above and below it in the foam; empty where it has no hole."] = None
    fits_out_to_mm: Annotated[
        float | None, "Farthest place from the centre line where its size fits into the foam; empty where unknown."
    ] = None
    fits_at_mm: Annotated[float | None, "Where it fits there, behind the nose."] = None

    @property
    def across_mm(self) -> list[float]:
        """Return its places to the right of the centre line: two if there is one in each half."""
        return _across(self.from_centre_mm, self.side)

    @property
    def in_the_middle(self) -> bool:
        """Return True if it is seen where the wing is cut along its centre line, or lies in a bay beside that line."""
        return not self.side or bool(self.bay)


@dataclass(frozen=True)
class KeptApart:
    """Two things that disturb each other, and how far apart they are as seen from above."""

    one: Annotated[str, "Name of a thing."]
    other: Annotated[str, "Name of the other."]
    distance_mm: Annotated[float, "Distance from edge to edge."]
    least_mm: Annotated[float, "Least distance."]
    kept: Annotated[bool, "Whether they are far enough apart."]
    origin: Annotated[str, "Where the least distance comes from."]
    remedy: Annotated[str, "What has to be moved, and how far; empty if nothing."] = ""


@dataclass(frozen=True)
class PackBox:
    """The pack, or what of it lies in one bay, seen from above."""

    x_mm: Annotated[float, "Its middle behind the nose."]
    length_mm: Annotated[float, "Length along the centre line."]
    width_mm: Annotated[float, "Width across."]
    from_centre_mm: Annotated[float, "Its middle from the centre line; each half wing has one if it is not 0."] = 0.0

    @property
    def across_mm(self) -> list[float]:
        """Return its places to the right of the centre line: two if there is one in each half."""
        return _across(self.from_centre_mm, "both" if self.from_centre_mm else "")


def _across(out: float, side: str) -> list[float]:
    """Return the places to the right of the centre line of a thing ``out`` [mm] from it."""
    return {"left": [-out], "both": [-out, out]}.get(side, [out])


@dataclass(frozen=True)
class MeanChord:
    """The mean aerodynamic chord, with its place in the wing."""

    x_mm: Annotated[float, "Its leading edge behind the nose."]
    y_mm: Annotated[float, "Its place from the centre line."]
    length_mm: Annotated[float, "Its length."]


@dataclass(frozen=True)
class Outline:
    """The right half of a wing, seen from above."""

    x_mm: Annotated[list[float], "Closed outline of foam and elevon, from the nose round, behind the nose."] = field(
        default_factory=list
    )
    y_mm: Annotated[list[float], "The same points from the centre line."] = field(default_factory=list)
    elevon_x_mm: Annotated[list[float], "Closed outline of the elevon, behind the nose."] = field(default_factory=list)
    elevon_y_mm: Annotated[list[float], "The same points from the centre line."] = field(default_factory=list)
    stock_part_y_mm: Annotated[list[float], "Inner and outer end of the stock panel; none where it is redrawn."] = (
        field(default_factory=list)
    )
    rods: Annotated[list[RodLine], "Lines of the rods of every pair, and of rods across the centre."] = field(
        default_factory=list
    )
    parts: Annotated[
        list[PlanPart], "Bays, lids, boards, pack, joiner, pockets, slots and motor, each as in the body."
    ] = field(default_factory=list)
    bays: Annotated[list[OutlineItem], "Bays in the centre section."] = field(default_factory=list)
    equipment: Annotated[list[OutlineItem], "Motor, controller and equipment."] = field(default_factory=list)
    kept_apart: Annotated[list[KeptApart], "Things that must be kept apart."] = field(default_factory=list)
    pack: Annotated[PackBox | None, "The pack, or half of it if it lies in two bays."] = None
    second_pack: Annotated[PackBox | None, "The other half, if one bay lies behind the other."] = None
    mean_chord: Annotated[MeanChord | None, "The mean chord."] = None
    fins: Annotated[list[FinOutline], "Fins; none on a wing without."] = field(default_factory=list)

    @property
    def packs(self) -> list[PackBox]:
        """Return the pack, or what of it lies in each bay; an empty list without one."""
        return [one for one in (self.pack, self.second_pack) if one]
