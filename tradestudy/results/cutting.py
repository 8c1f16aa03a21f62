"""Data for the builder of one wing: pieces to cut, rods to lay, and elevon throws to set."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated

from .field_specs import Unit

_AS_SAID = Unit("as unit says")


@dataclass(frozen=True)
class Mark:
    """A place, with its distance from both datums and from the centre line."""

    name: Annotated[str, "Name of the place."]
    behind_nose_mm: Annotated[float, "Distance behind the nose."]
    ahead_mm: Annotated[float, "Distance ahead of the root trailing edge."]
    from_centre_mm: Annotated[float, "Distance from the centre line."] = 0.0
    side: Annotated[str, "Half that it lies in: left, right or both; empty on the centre line."] = ""


@dataclass(frozen=True)
class RodSlot:
    """The place where the line of a rod crosses a section."""

    name: Annotated[str, "Which set of rods."]
    behind_leading_edge_mm: Annotated[float, "Centre of the rod behind the leading edge."]
    surface: Annotated[str, "Top, bottom or both."]
    diameter_mm: Annotated[float, "Diameter of the rod."]
    slot_depth_mm: Annotated[float, "Depth of its slot."]
    inside: Annotated[bool, "Whether the rod reaches this section."]


@dataclass(frozen=True)
class SectionTemplate:
    """The section at one end of a core, for which a template is cut."""

    name: Annotated[str, "Root, joint or tip."]
    station_mm: Annotated[float, "Distance from the centre line."]
    leading_edge_mm: Annotated[float, "Leading edge behind the nose."]
    height_mm: Annotated[float, "Height due to dihedral."]
    foam_chord_mm: Annotated[float, "Chord of the foam, up to the hinge."]
    elevon_chord_mm: Annotated[float, "Chord of the elevon."]
    section_chord_mm: Annotated[float, "Chord of the airfoil."]
    washout_deg: Annotated[float, "Washout against the root."]
    film_mm: Annotated[float, "Thickness of the film."]
    thickness_mm: Annotated[float, "Thickness with the film on."]
    foam_thickness_mm: Annotated[float, "Thickness of the bare foam."]
    foam_area_cm2: Annotated[float, "Area of the bare foam."]
    x_mm: Annotated[list[float], "Bare foam from the hinge's top round the nose, along the chord line."]
    z_mm: Annotated[list[float], "The same points above the chord line."]
    lowest_mm: Annotated[float, "Lowest point with the root's chord line level."]
    highest_mm: Annotated[float, "Highest point with the root's chord line level."]
    rods: Annotated[list[RodSlot], "Slots of the rods at this section."]


@dataclass(frozen=True)
class Core:
    """One core of foam, and the block that it is cut from."""

    name: Annotated[str, "Name of the core."]
    new: Annotated[bool, "Whether it has to be cut anew."]
    count: Annotated[int, "Number of such cores; a single core crosses the centre line."]
    from_mm: Annotated[float, "Inner end from the centre line."]
    to_mm: Annotated[float, "Outer end from the centre line."]
    inner: Annotated[str, "Section at its inner end."]
    outer: Annotated[str, "Section at its outer end."]
    width_mm: Annotated[float, "Distance between the templates along the span."]
    set_back_mm: Annotated[float, "Leading edge of the outer end behind that of the inner."]
    block_length_mm: Annotated[float, "Length of the block, with allowance."]
    block_chord_mm: Annotated[float, "Width of the block along the chord, with allowance."]
    block_thickness_mm: Annotated[float, "Thickness of the block, with allowance."]
    litres: Annotated[float, "Volume of the finished cores of both sides."]


@dataclass(frozen=True)
class JigBlock:
    """Heights of the blocks that support one section of the wing on the table, with the root's chord line level."""

    name: Annotated[str, "Name of the section."]
    station_mm: Annotated[float, "Distance from the centre line."]
    front_block_behind_edge_mm: Annotated[float, "Front block behind the leading edge."]
    front_block_mm: Annotated[float, "Height of the front block."]
    hinge_block_mm: Annotated[float, "Height of the block under the hinge."]
    trailing_edge_raised_mm: Annotated[float, "How far washout lifts the trailing edge."]
    foam_raised_mm: Annotated[float, "How far washout lifts the end of the foam."]


@dataclass(frozen=True)
class Station:
    """The outline of the wing at one station, where an edge has a kink or an elevon ends."""

    station_mm: Annotated[float, "Distance from the centre line."]
    leading_edge_mm: Annotated[float, "Leading edge behind the nose."]
    hinge_mm: Annotated[float, "Hinge line behind the nose."]
    trailing_edge_mm: Annotated[float, "Trailing edge behind the nose."]
    foam_chord_mm: Annotated[float, "Chord of the foam."]
    elevon_chord_mm: Annotated[float, "Chord of the elevon."]
    height_mm: Annotated[float, "Height due to dihedral."]
    leading_edge_ahead_mm: Annotated[float, "Leading edge ahead of the root trailing edge."]
    trailing_edge_behind_mm: Annotated[float, "Trailing edge behind the root trailing edge."]


@dataclass(frozen=True)
class RodSet:
    """A set of rods in one half wing."""

    name: Annotated[str, "Name of the set."]
    material: Annotated[str, "Name of the material."]
    diameter_mm: Annotated[float, "Diameter."]
    pairs: Annotated[int, "Pairs in each half wing."]
    surface: Annotated[str, "Top, bottom or both."]
    each_half: Annotated[int, "Rods in each half wing."]
    length_mm: Annotated[float, "Length of one rod."]
    from_mm: Annotated[float, "Inner end from the centre line; negative in the other half."]
    to_mm: Annotated[float, "Outer end from the centre line."]
    behind_nose_mm: Annotated[list[float], "Inner and outer end behind the nose, middle of the pairs."]
    slot_depth_mm: Annotated[float, "Depth of its slot."]
    splice: Annotated[str, "How its pieces are joined."]
    splice_mm: Annotated[float, "Length of a joint."]
    splices_at_mm: Annotated[list[float], "Places of the joints, from the centre line."]
    at_centre: Annotated[str, "How the rods of both halves meet."] = "ends"
    across_mm: Annotated[float, "Length of each rod across the centre, beside which these end; 0 without one."] = 0.0
    lap_mm: Annotated[float, "Length of the lap at the centre on each side; 0 without one."] = 0.0


@dataclass(frozen=True)
class Piece:
    """A number of rod pieces of the same length."""

    name: Annotated[str, "Purpose."]
    length_mm: Annotated[float, "Length of each piece."]
    count: Annotated[int, "Number of pieces."]


@dataclass(frozen=True)
class RodStock:
    """One kind of rod: its pieces, and a plan to cut them from rods of the length sold."""

    material: Annotated[str, "Name of the material."]
    diameter_mm: Annotated[float, "Diameter."]
    sold_mm: Annotated[float, "Length that is sold."]
    pieces: Annotated[list[Piece], "Pieces needed."]
    cuts_mm: Annotated[list[list[float]], "Pieces to cut from each length bought."]
    waste_mm: Annotated[float, "Length that is left over."]


@dataclass(frozen=True)
class ElevonStock:
    """The sheet material for the elevons."""

    thickness_mm: Annotated[float, "Thickness."]
    material: Annotated[str, "Name of the material."]
    inner_end_mm: Annotated[float, "Inner end from the centre line."]
    outer_end_mm: Annotated[float, "Outer end from the centre line."]


@dataclass(frozen=True)
class Throws:
    """Elevon throws at full stick."""

    elevon_chord_mm: Annotated[float, "Mean chord of the elevon, where the throws in mm are measured."]
    up_deg: Annotated[float, "Up-elevon, stick full back."]
    up_mm: Annotated[float, "Up-elevon at the trailing edge, stick full back."]
    down_deg: Annotated[float, "Down-elevon, stick full forward."]
    down_mm: Annotated[float, "Down-elevon at the trailing edge, stick full forward."]
    roll_deg: Annotated[float, "Elevon each way, stick full to a side."]
    roll_mm: Annotated[float, "Elevon each way at the trailing edge, stick full to a side."]


@dataclass(frozen=True)
class FinSheet:
    """The outline of a flat fin. The foot of the fin lies along z = 0."""

    from_centre_mm: Annotated[float | None, "Where it stands from the centre line; empty on the tip."]
    material: Annotated[str, "Name of the material."]
    behind_leading_edge_mm: Annotated[float, "Front of its foot behind the leading edge."]
    foot_mm: Annotated[float, "Length of its foot."]
    cant_deg: Annotated[float, "Cant, outward."]
    toe_deg: Annotated[float, "Toe, inward."]
    x_mm: Annotated[list[float], "Outline behind the front of the foot."]
    z_mm: Annotated[list[float], "Outline above the foot."]


@dataclass(frozen=True)
class PocketCut:
    """A pocket for a servo or a channel for a cable."""

    name: Annotated[str, "Purpose."]
    middle_mm: Annotated[float, "Its middle from the centre line."]
    along_mm: Annotated[float, "Length along the span."]
    behind_leading_edge_mm: Annotated[float, "Its front behind the leading edge."]
    behind_nose_mm: Annotated[float, "Its front behind the nose."]
    length_mm: Annotated[float, "Length along the chord."]
    depth_mm: Annotated[float, "Depth."]
    side: Annotated[str, "Top or bottom."]


@dataclass(frozen=True)
class BayCut:
    """A bay in the centre section."""

    name: Annotated[str, "Its name in the study."]
    from_nose_mm: Annotated[float, "Its front wall behind the nose."]
    length_mm: Annotated[float, "Length."]
    width_mm: Annotated[float, "Width."]
    depth_mm: Annotated[float, "Depth."]
    through: Annotated[bool, "Whether it is open at top and bottom."]
    from_centre_mm: Annotated[float, "Its middle from the centre line; each half wing has one if it is not 0."] = 0.0
    raised_lid_mm: Annotated[float, "Height of its lid above the skin."] = 0.0

    @property
    def inner_mm(self) -> float:
        """Return the distance of its inner side from the centre line, negative if it lies across that line."""
        return self.from_centre_mm - 0.5 * self.width_mm

    @property
    def outer_mm(self) -> float:
        """Return the distance of its outer side from the centre line."""
        return self.from_centre_mm + 0.5 * self.width_mm


@dataclass(frozen=True)
class GlueJoint:
    """One kind of joint: its glue, how much of it for both halves, and its times."""

    name: Annotated[str, "What is glued."]
    glue: Annotated[str, "Name of the glue in the catalogue."]
    amount_g: Annotated[float, "Glue on the joints of both halves."]
    open_min: Annotated[float, "Time to put the parts together; for contact glue, time to wait."]
    hold_min: Annotated[float, "Time to stay pinned or clamped."]
    cure_min: Annotated[float, "Time until the joint may be loaded."]
    note: Annotated[str, "How the glue is used."]
    source: Annotated[str, "Source of the times."]


@dataclass(frozen=True)
class FilmPiece:
    """One kind of piece of the covering, cut as a rectangle. They are listed in the order in which they are laid."""

    name: Annotated[str, "What it covers."]
    count: Annotated[int, "Number of such pieces; left and right ones are mirror images."]
    length_mm: Annotated[float, "Length, along the leading edge or the hinge."]
    width_mm: Annotated[float, "Width."]
    overlap_mm: Annotated[float, "How far it reaches over its edges and its neighbours."]


@dataclass(frozen=True)
class LinkageCut:
    """Where horn and push rod of the right elevon go."""

    pocket: Annotated[str, "Name of the pocket of its servo."]
    horn_station_mm: Annotated[float, "Horn from the centre line: in line with the middle of the pocket."]
    hinge_mm: Annotated[float, "Hinge line behind the nose there."]
    rod_mm: Annotated[float, "About the length of the push rod, from the middle of the pocket to the hinge line."]
    servo_arm_mm: Annotated[float, "Hole of the servo arm from the servo's axis."]
    horn_mm: Annotated[float, "Hole of the horn from the hinge line."]


@dataclass(frozen=True)
class BuildCheck:
    """One thing to measure on the finished wing: its value as designed, and the band that is accepted."""

    name: Annotated[str, "Key of [build_tolerance] that sets the band."]
    what: Annotated[str, "What is measured."]
    how: Annotated[str, "With which ruler, and where."]
    value: Annotated[float, "Value as designed.", _AS_SAID]
    low: Annotated[float, "Least value accepted.", _AS_SAID]
    high: Annotated[float, "Largest value accepted.", _AS_SAID]
    unit: Annotated[str, "Unit of the three values."]


@dataclass(frozen=True)
class Cutting:
    """Everything that a builder needs at the bench for one wing."""

    scheme: Annotated[str, "Stretch scheme."]
    keep: Annotated[str, "What a redrawn panel keeps: sweep angle or set-back."]
    added_mm: Annotated[float, "Span added on each side."]
    joint_mm: Annotated[float | None, "Where the stock wing is cut, from its centre line; empty where it is not cut."]
    stock_sweep_deg: Annotated[float, "Sweep of the stock wing."]
    stock_set_back_mm: Annotated[float, "Tip set-back of the stock wing."]
    stock_washout_deg: Annotated[float, "Washout of the stock wing."]
    stock_tip_chord_mm: Annotated[float, "Chord of the foam at the tip of the stock wing."]
    root_trailing_edge_mm: Annotated[float, "Root trailing edge behind the nose."]
    foam: Annotated[str, "Foam of the cores."]
    covering: Annotated[str, "Covering."]
    marks: Annotated[list[Mark], "Balance marks."]
    gear: Annotated[list[Mark], "Middles of pack, motor and equipment."]
    sections: Annotated[list[SectionTemplate], "Sections with a template, from the root out."]
    cores: Annotated[list[Core], "Cores of foam from the centre out."]
    jig: Annotated[list[JigBlock], "Heights of each section above the table."]
    stations: Annotated[list[Station], "The outline where its edges have kinks and elevons end."]
    rods: Annotated[list[RodSet], "Sets of rods."]
    lengths: Annotated[list[RodStock], "Rods to buy, and how to cut them."]
    elevon: Annotated[ElevonStock, "Sheet material of the elevons."]
    throws: Annotated[Throws, "Elevon throws at full stick."]
    fins: Annotated[list[FinSheet], "Fins."]
    pockets: Annotated[list[PocketCut], "Pockets for servos and cables."]
    bays: Annotated[list[BayCut], "Bays in the centre section."]
    panels_kept: Annotated[bool, "Whether panels and rods are those of the stock wing: then nothing is cut."] = False
    beds_kept: Annotated[bool, "Whether the foam around every panel is kept, so that it lies in it while glued."] = True
    glue: Annotated[list[GlueJoint], "Joints with their glue, in the order of the work."] = field(default_factory=list)
    film: Annotated[list[FilmPiece], "Pieces of the covering, in the order of the work."] = field(default_factory=list)
    linkage: Annotated[list[LinkageCut], "Horns of the right half wing; none where sizes are not known."] = field(
        default_factory=list
    )
    side_area_cm2: Annotated[float, "Area of one side of both half wings, seen from above."] = 0.0
    checks: Annotated[list[BuildCheck], "What to measure on the finished wing."] = field(default_factory=list)
