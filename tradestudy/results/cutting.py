"""What the bench needs of one wing beside its outline: what to cut, lay and set."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated


@dataclass(frozen=True)
class Mark:
    """A place on the middle of the wing, from both datums."""

    name: Annotated[str, "What is there."]
    behind_nose_mm: Annotated[float, "Behind the nose."]
    ahead_mm: Annotated[float, "Ahead of the root trailing edge."]


@dataclass(frozen=True)
class RodSlot:
    """Where a rod passes a section, or would if it were as long."""

    name: Annotated[str, "Which set of rods."]
    behind_leading_edge_mm: Annotated[float, "Its middle behind the leading edge."]
    surface: Annotated[str, "Top, bottom or both."]
    diameter_mm: Annotated[float, "Diameter of the rod."]
    slot_depth_mm: Annotated[float, "How deep it is let in."]
    inside: Annotated[bool, "Whether the rod reaches so far."]


@dataclass(frozen=True)
class SectionTemplate:
    """The section at one end of a core, which a template is cut for."""

    name: Annotated[str, "Root, joint or tip."]
    station_mm: Annotated[float, "From the centre line."]
    leading_edge_mm: Annotated[float, "Leading edge behind the nose."]
    height_mm: Annotated[float, "How high dihedral lifts it."]
    foam_chord_mm: Annotated[float, "Chord of the foam, up to the hinge."]
    elevon_chord_mm: Annotated[float, "Chord of the elevon."]
    section_chord_mm: Annotated[float, "Chord that the airfoil is drawn on."]
    washout_deg: Annotated[float, "Washout against the root."]
    film_mm: Annotated[float, "Thickness of the film."]
    thickness_mm: Annotated[float, "Thickness with the film on."]
    foam_thickness_mm: Annotated[float, "Thickness of the bare foam."]
    foam_area_cm2: Annotated[float, "Area of the bare foam."]
    x_mm: Annotated[list[float], "Bare foam from the hinge's top round the nose, along the chord line."]
    z_mm: Annotated[list[float], "The same points above the chord line."]
    lowest_mm: Annotated[float, "Lowest point with the root's chord line level."]
    highest_mm: Annotated[float, "Highest point with the root's chord line level."]
    rods: Annotated[list[RodSlot], "Where rods pass it."]


@dataclass(frozen=True)
class Core:
    """One piece of foam, and the block it is cut from."""

    name: Annotated[str, "Which piece."]
    new: Annotated[bool, "Whether it has to be cut."]
    count: Annotated[int, "How many; a single one crosses the centre line."]
    from_mm: Annotated[float, "Inner end from the centre line."]
    to_mm: Annotated[float, "Outer end from the centre line."]
    inner: Annotated[str, "Section at its inner end."]
    outer: Annotated[str, "Section at its outer end."]
    width_mm: Annotated[float, "Length of the wire's way along the span."]
    set_back_mm: Annotated[float, "Leading edge of the outer end behind that of the inner."]
    block_length_mm: Annotated[float, "Length of the block, allowances in."]
    block_chord_mm: Annotated[float, "Width of the block along the chord, allowances in."]
    block_thickness_mm: Annotated[float, "Thickness of the block, allowances in."]
    litres: Annotated[float, "Volume of the finished pieces of both sides."]


@dataclass(frozen=True)
class JigBlock:
    """How high a section stands over the table when the root's chord line runs level."""

    name: Annotated[str, "Which section."]
    station_mm: Annotated[float, "From the centre line."]
    front_block_behind_edge_mm: Annotated[float, "Front block behind the leading edge."]
    front_block_mm: Annotated[float, "Height of the front block."]
    hinge_block_mm: Annotated[float, "Height of the block under the hinge."]
    trailing_edge_raised_mm: Annotated[float, "How far washout lifts the trailing edge."]
    foam_raised_mm: Annotated[float, "How far washout lifts the end of the foam."]


@dataclass(frozen=True)
class Station:
    """The outline at a place where an edge kinks or an elevon ends."""

    station_mm: Annotated[float, "From the centre line."]
    leading_edge_mm: Annotated[float, "Leading edge behind the nose."]
    hinge_mm: Annotated[float, "Hinge line behind the nose."]
    trailing_edge_mm: Annotated[float, "Trailing edge behind the nose."]
    foam_chord_mm: Annotated[float, "Chord of the foam."]
    elevon_chord_mm: Annotated[float, "Chord of the elevon."]
    height_mm: Annotated[float, "How high dihedral lifts it."]
    leading_edge_ahead_mm: Annotated[float, "Leading edge ahead of the root trailing edge."]
    trailing_edge_behind_mm: Annotated[float, "Trailing edge behind the root trailing edge."]


@dataclass(frozen=True)
class RodSet:
    """A set of rods as it lies in one half wing."""

    name: Annotated[str, "Which set."]
    material: Annotated[str, "What it is made of."]
    diameter_mm: Annotated[float, "Diameter."]
    pairs: Annotated[int, "Pairs in each half wing."]
    surface: Annotated[str, "Top, bottom or both."]
    each_half: Annotated[int, "Rods in each half wing."]
    length_mm: Annotated[float, "Length of one."]
    from_mm: Annotated[float, "Inner end from the centre line."]
    to_mm: Annotated[float, "Outer end from the centre line."]
    behind_nose_mm: Annotated[list[float], "Inner and outer end behind the nose."]
    slot_depth_mm: Annotated[float, "How deep it is let in."]
    crosses_centre: Annotated[bool, "Whether it runs through the middle."]
    splice: Annotated[str, "How pieces are joined."]
    splice_mm: Annotated[float, "Length of a joint."]
    splices_at_mm: Annotated[list[float], "Where joints lie, from the centre line."]


@dataclass(frozen=True)
class Piece:
    """Pieces of one length."""

    name: Annotated[str, "What for."]
    length_mm: Annotated[float, "Length of each."]
    count: Annotated[int, "How many."]


@dataclass(frozen=True)
class RodStock:
    """One kind of rod with the lengths sold that its pieces are cut from."""

    material: Annotated[str, "What it is made of."]
    diameter_mm: Annotated[float, "Diameter."]
    sold_mm: Annotated[float, "Length that is sold."]
    pieces: Annotated[list[Piece], "Pieces that are wanted."]
    cuts_mm: Annotated[list[list[float]], "Pieces to cut from each length bought."]
    waste_mm: Annotated[float, "What is left over."]


@dataclass(frozen=True)
class ElevonStock:
    """The sheet of the elevons."""

    thickness_mm: Annotated[float, "Thickness."]
    material: Annotated[str, "What it is made of."]
    inner_end_mm: Annotated[float, "Inner end from the centre line."]
    outer_end_mm: Annotated[float, "Outer end from the centre line."]


@dataclass(frozen=True)
class Throws:
    """Full stick at the trailing edge."""

    elevon_chord_mm: Annotated[float, "Mean chord of the elevon, which the throws are told for."]
    up_deg: Annotated[float, "Stick full back."]
    up_mm: Annotated[float, "Stick full back, at the trailing edge."]
    down_deg: Annotated[float, "Stick full forward."]
    down_mm: Annotated[float, "Stick full forward, at the trailing edge."]
    roll_deg: Annotated[float, "Stick full to a side, each way."]
    roll_mm: Annotated[float, "Stick full to a side, at the trailing edge."]


@dataclass(frozen=True)
class FinSheet:
    """The flat outline of a fin, its foot along z = 0."""

    from_centre_mm: Annotated[float | None, "Where it stands from the centre line; empty on the tip."]
    material: Annotated[str, "What it is made of."]
    behind_leading_edge_mm: Annotated[float, "Front of its foot behind the leading edge."]
    foot_mm: Annotated[float, "Length of its foot."]
    cant_deg: Annotated[float, "How far it leans outward."]
    toe_deg: Annotated[float, "How far it is turned inward."]
    x_mm: Annotated[list[float], "Outline behind the front of the foot."]
    z_mm: Annotated[list[float], "Outline above the foot."]


@dataclass(frozen=True)
class PocketCut:
    """A hole for a servo or a channel for a cable."""

    name: Annotated[str, "What for."]
    middle_mm: Annotated[float, "Its middle from the centre line."]
    along_mm: Annotated[float, "Length along the span."]
    behind_leading_edge_mm: Annotated[float, "Its front behind the leading edge."]
    behind_nose_mm: Annotated[float, "Its front behind the nose."]
    length_mm: Annotated[float, "Length along the chord."]
    depth_mm: Annotated[float, "Depth."]
    side: Annotated[str, "Top or bottom."]


@dataclass(frozen=True)
class BayCut:
    """A bay in the middle."""

    name: Annotated[str, "What the study calls it."]
    from_nose_mm: Annotated[float, "Its front wall behind the nose."]
    length_mm: Annotated[float, "Length."]
    width_mm: Annotated[float, "Width."]
    depth_mm: Annotated[float, "Depth."]
    through: Annotated[bool, "Whether it goes right through."]


@dataclass(frozen=True)
class Cutting:
    """All that the bench needs of one wing beside its outline."""

    scheme: Annotated[str, "How the wing is stretched."]
    keep: Annotated[str, "What a redrawn panel keeps."]
    added_mm: Annotated[float, "What each side gains."]
    joint_mm: Annotated[float | None, "Where the stock wing is cut, from its centre line; empty where it is not."]
    stock_sweep_deg: Annotated[float, "Sweep of the stock wing."]
    stock_set_back_mm: Annotated[float, "Tip set-back of the stock wing."]
    stock_washout_deg: Annotated[float, "Washout of the stock wing."]
    root_trailing_edge_mm: Annotated[float, "Root trailing edge behind the nose."]
    foam: Annotated[str, "Foam of the cores."]
    covering: Annotated[str, "What covers it."]
    marks: Annotated[list[Mark], "Where it balances."]
    gear: Annotated[list[Mark], "Where pack, motor and equipment sit, by their middles."]
    sections: Annotated[list[SectionTemplate], "Sections that templates are cut for, from the root out."]
    cores: Annotated[list[Core], "Pieces of foam from the centre out."]
    jig: Annotated[list[JigBlock], "How high each section stands over the table."]
    stations: Annotated[list[Station], "The outline where its edges kink and elevons end."]
    rods: Annotated[list[RodSet], "Sets of rods."]
    lengths: Annotated[list[RodStock], "Rods to buy and how to cut them."]
    elevon: Annotated[ElevonStock, "Sheet of the elevons."]
    throws: Annotated[Throws, "Full stick."]
    fins: Annotated[list[FinSheet], "Fins."]
    pockets: Annotated[list[PocketCut], "Holes for servos and cables."]
    bays: Annotated[list[BayCut], "Bays in the middle."]
