"""Tables of the stock wing, as a builder measures it with tape, ruler, calipers and scale.

Field names are the keys of the study file. After reading, values are SI: lengths [m], angles [rad], masses [kg],
masses per area [kg/m^2]. The nose datum is the leading edge on the centre line, and x points aft from there. Stations
along the span are distances from the centre line.
"""

from typing import Annotated

from tradestudy.quantities import SYSTEMS

from .key_types import (
    COMMON_PRACTICE,
    TableModel,
    choice,
    default,
    file_name,
    flag,
    free_text,
    number,
    part_name,
    points,
    quantity,
    sequence,
)

_NOT_MEASURED = "nothing was measured"
UNKNOWN, TRACED = "unknown", "traced"  # values of the key airfoil for an airfoil without a name
_FEWEST_TRACED, _MOST_TRACED = 6, 12  # smallest and largest number of stations of a traced section
_MOST_OUTLINE = 6  # largest number of points in the outline of an elevon


class StudyTable(TableModel):
    """The name of the study."""

    name: Annotated[str, file_name("short name, also the name of the results folder")]
    note: Annotated[str, free_text("one sentence for the reader of the report", fewest=0)] = default("", "not stated")
    units: Annotated[str, choice(SYSTEMS, "units of what is printed; a study may state each value in any unit")] = (
        default("metric", "common practice")
    )


class StockTable(TableModel):
    """The stock wing."""

    span: Annotated[float, quantity("length", "300 mm", "4000 mm", "span from tip to tip, measured flat")]
    centre_width: Annotated[float, quantity("length", "0 mm", "1000 mm", "width of the flat middle piece")] = default(
        "0 mm",
        "common practice: the two panels meet on the centre line",
        low="0 mm",
        high="120 mm",
        moves="balance mark, area, range",
    )  # fmt: skip
    root_chord: Annotated[float, quantity("length", "50 mm", "800 mm", "foam chord at the root, without the elevon")]
    tip_chord: Annotated[float, quantity("length", "20 mm", "800 mm", "foam chord at the tip, without the elevon")]
    tip_set_back: Annotated[
        float,
        quantity(
            "length",
            "0 mm",
            "1500 mm",
            "distance of the tip leading edge behind a straight edge laid across the nose, square to the centre line",
        ),
    ]
    washout: Annotated[
        float,
        quantity("angle", "-3 deg", "12 deg", "twist of the tip, nose down is positive; measured on a flat table"),
    ]
    dihedral: Annotated[float, quantity("angle", "-10 deg", "15 deg", "angle of each half, tip above root")] = default(
        "0 deg", "common practice: these wings are built flat", low="-2 deg", high="4 deg", moves="handling"
    )
    airfoil: Annotated[
        str,
        free_text('name from the airfoil database, coordinate file in the folder of the study, "traced" or "unknown"'),
    ]
    airfoil_covers: Annotated[
        str,
        choice(("whole", "foam"), "whole: the airfoil ends at the elevon's trailing edge; foam: it ends at the hinge"),
    ]
    root_thickness: Annotated[
        float, quantity("length", "5 mm", "120 mm", "greatest thickness of the root, by calipers")
    ]
    tip_airfoil: Annotated[
        str | None, free_text("airfoil of the tip, if it differs: name from the database or coordinate file")
    ] = default(None, "the root's")
    tip_thickness: Annotated[
        float | None, quantity("length", "3 mm", "120 mm", "greatest thickness of the tip, by calipers")
    ] = default(None, "the thickness ratio of its airfoil")
    flying_weight: Annotated[
        float, quantity("mass", "100 g", "10 kg", "all-up weight, ready to fly with the stock pack")
    ]
    balance_from_nose: Annotated[
        float, quantity("length", "5 mm", "1500 mm", "balance point behind the nose, ready to fly")
    ]
    balance_from_trailing_edge: Annotated[
        float | None,
        quantity(
            "length",
            "5 mm",
            "1500 mm",
            "balance point ahead of the trailing edge on the centre line, where elevon or fixed strip end; "
            "in place of balance_from_nose",
        ),
    ] = default(None, "balance_from_nose")
    not_listed_by_area: Annotated[
        float,
        number(0.0, 1.0, "share of the weight on no list of parts that grows with the surface: paint, adhesive, film"),
    ]
    not_listed_by_joints: Annotated[
        float,
        number(0.0, 1.0, "share of that weight that grows with glued joints: rod slots, joint of the halves, hinges"),
    ]
    up_elevon: Annotated[
        float | None,
        quantity("length", "-40 mm", "40 mm", "cruise elevon: trailing edge above the section's own line, minus below"),
    ] = default(
        None, "the section's own moment", shown="as the section needs", low="-4 mm", high="6 mm",
        moves="elevon in cruise, a little range",
    )  # fmt: skip
    elevon_chord: Annotated[
        float | None, quantity("length", "5 mm", "200 mm", "elevon chord behind the foam; short form of [elevon]")
    ] = default(None, "[elevon]")
    fin_height: Annotated[
        float | None, quantity("length", "0 mm", "600 mm", "height of each tip fin, 0 for none; short form of [[fin]]")
    ] = default(None, "[[fin]]")

    @property
    def balance_key(self) -> str:
        """Return the key with which the study gives the balance."""
        return "balance_from_nose" if self.balance_from_trailing_edge is None else "balance_from_trailing_edge"


class TracedSectionTable(TableModel):
    """The root section, traced from the foam onto paper and measured with a ruler."""

    chord: Annotated[float, quantity("length", "50 mm", "900 mm", "chord of the traced section, nose to trailing edge")]
    station: Annotated[
        tuple[float, ...],
        sequence(quantity("length", "0 mm", "900 mm", "behind the nose"), _FEWEST_TRACED, _MOST_TRACED,
            "positions of the heights, behind the nose"),
    ]  # fmt: skip
    above: Annotated[
        tuple[float, ...],
        sequence(quantity("length", "-60 mm", "120 mm", "above the line"), _FEWEST_TRACED, _MOST_TRACED,
            "heights of the top surface above the straight line from nose to trailing edge"),
    ]  # fmt: skip
    below: Annotated[
        tuple[float, ...],
        sequence(quantity("length", "-60 mm", "120 mm", "below the line"), _FEWEST_TRACED, _MOST_TRACED,
            "depths of the bottom surface below that line; minus where it lies above it"),
    ]  # fmt: skip


class ElevonTable(TableModel):
    """The elevon of each side, hinged behind the foam. It is straight from root to tip, or has an outline."""

    outline: Annotated[
        tuple[tuple[float, float], ...] | None,
        points(quantity("length", "0 mm", "2000 mm", "station from the centre line"),
               quantity("length", "5 mm", "200 mm", "chord behind the foam"), 2, _MOST_OUTLINE,
               "points [from the centre line, chord behind the foam] from the inner to the outer end; "
               "in place of the four keys below"),
    ] = default(None, "root_chord, tip_chord, inner_end and outer_end")  # fmt: skip
    root_chord: Annotated[float, quantity("length", "5 mm", "200 mm", "elevon chord behind the foam, at the root")]
    tip_chord: Annotated[float, quantity("length", "5 mm", "200 mm", "elevon chord behind the foam, at the tip")]
    inner_end: Annotated[float, quantity("length", "0 mm", "1500 mm", "inner end, from the centre line")]
    outer_end: Annotated[float, quantity("length", "20 mm", "2000 mm", "outer end, from the centre line")]
    thickness: Annotated[float, quantity("length", "1 mm", "30 mm", "thickness at the hinge")]
    material: Annotated[str, part_name("sheets", "sheet that it is cut from")]
    effectiveness: Annotated[float, number(0.2, 1.0, "lift change of the elevon over that of an ideal hinge")] = (
        default(0.8, "common practice, no source: a sealed foam hinge", low=0.6, high=0.95, moves="elevon in cruise")
    )
    up_travel: Annotated[float, quantity("angle", "8 deg", "30 deg", "elevon angle at full up stick, from neutral")] = (
        default("20 deg", COMMON_PRACTICE, low="14 deg", high="25 deg", moves="how far forward it may balance")
    )


class LinkageTable(TableModel):
    """The linkage from servo to elevon on one side, with its play and its give, both measured by hand."""

    servo_torque: Annotated[
        float, quantity("moment", "0.2 N cm", "500 N cm", "stall torque of one servo, at the voltage it gets")
    ]
    servo_arm: Annotated[
        float, quantity("length", "3 mm", "50 mm", "servo arm, from the servo's axis to the hole in use")
    ]
    horn: Annotated[float, quantity("length", "3 mm", "80 mm", "elevon horn, from the hinge line to the hole in use")]
    play: Annotated[
        float | None,
        quantity("length", "0 mm", "20 mm", "free movement of the trailing edge, end to end, servo switched on"),
    ] = default(None, _NOT_MEASURED, shown="not computed")
    give_weight: Annotated[
        float | None,
        quantity("mass", "5 g", "3 kg", "weight hung on the trailing edge at the middle of the elevon, servo on"),
    ] = default(None, _NOT_MEASURED, shown="not computed")
    give: Annotated[
        float | None,
        quantity("length", "0.1 mm", "40 mm", "movement of the trailing edge under that weight, without the play"),
    ] = default(None, _NOT_MEASURED, shown="not computed")
    elevon_weight: Annotated[float | None, quantity("mass", "1 g", "500 g", "weight of one elevon with its horn")] = (
        default(None, "the elevon's size and sheet")
    )


class FinTable(TableModel):
    """A flat fin on each half wing, at the tip or further inboard."""

    from_centre: Annotated[
        float | None,
        quantity("length", "10 mm", "2000 mm", "station of the fin; leave it out for a fin on the wing tip"),
    ] = default(None, "on the wing tip")
    height: Annotated[
        float,
        quantity(
            "length", "0 mm", "600 mm", "height above the wing, along the fin; 0 for a fin that is only below the wing"
        ),
    ]
    root_chord: Annotated[float, quantity("length", "10 mm", "600 mm", "chord where it meets the wing")]
    tip_chord: Annotated[float, quantity("length", "5 mm", "600 mm", "chord at the top")]
    set_back: Annotated[float, quantity("length", "0 mm", "600 mm", "leading edge of the top, behind that at the wing")]
    behind_leading_edge: Annotated[
        float,
        quantity(
            "length", "-200 mm", "600 mm", "leading edge of the fin behind the wing's leading edge, where the two meet"
        ),
    ]
    depth_below: Annotated[
        float | None, quantity("length", "0 mm", "600 mm", "depth of the part below the wing, along the fin")
    ] = default(None, "nothing below the wing")
    tip_chord_below: Annotated[
        float | None, quantity("length", "5 mm", "600 mm", "chord at the bottom of the part below")
    ] = default(None, "the part above mirrored, cut off at depth_below")
    set_back_below: Annotated[
        float | None, quantity("length", "0 mm", "600 mm", "leading edge of the bottom, behind that at the wing")
    ] = default(None, "swept as the part above")
    cant: Annotated[
        float | None,
        quantity("angle", "-60 deg", "85 deg", "lean of the fin: top outward is positive, inward negative"),
    ] = default(None, "upright")
    toe: Annotated[
        float | None,
        quantity("angle", "-10 deg", "10 deg", "turn of the fin: leading edge inward is positive, outward negative"),
    ] = default(None, "straight ahead")
    material: Annotated[str, part_name("sheets", "sheet that it is cut from")]


class FoamTable(TableModel):
    """The foam of the cores."""

    material: Annotated[str, part_name("foams", "foam that the cores are cut from")]
    density: Annotated[
        float | None, quantity("density", "8 kg/m3", "200 kg/m3", "density of your own block, by scale and ruler")
    ] = default(None, "the catalogue's")
    youngs_modulus: Annotated[
        float | None,
        quantity("pressure", "0.3 MPa", "100 MPa", "Young's modulus, measured by bending a strip on two supports"),
    ] = default(None, "the catalogue's")
    shear_modulus: Annotated[
        float | None,
        quantity("pressure", "0.1 MPa", "50 MPa", "shear modulus, if measured; else worked out from youngs_modulus"),
    ] = default(None, "the catalogue's, in proportion to youngs_modulus")
    shear_strength: Annotated[
        float | None,
        quantity("pressure", "0.02 MPa", "5 MPa", "shear strength, measured or from the maker's data sheet"),
    ] = default(None, "the catalogue's")
    compressive_strength: Annotated[
        float | None,
        quantity(
            "pressure",
            "0.01 MPa",
            "5 MPa",
            "compressive strength where the stress leaves its straight line, not at 25 % strain",
        ),
    ] = default(None, "the catalogue's")


class CoveringTable(TableModel):
    """The skin of the wing, and how well it is bonded."""

    material: Annotated[str, part_name("coverings", "covering of the wing")]
    thickness: Annotated[
        float | None,
        quantity("length", "5 um", "500 um", "thickness of the film, by micrometer; its mass is in proportion"),
    ] = default(None, "the catalogue's")
    youngs_modulus: Annotated[
        float | None,
        quantity("pressure", "0.05 GPa", "100 GPa", "Young's modulus, measured by hanging weights on a strip"),
    ] = default(None, "the catalogue's")
    shear_modulus: Annotated[
        float | None,
        quantity("pressure", "0.02 GPa", "40 GPa", "shear modulus, if measured; else worked out from youngs_modulus"),
    ] = default(None, "the catalogue's, in proportion to youngs_modulus")
    bond: Annotated[
        float, number(0.05, 1.0, "share of the film's ideal shear stiffness that the bond passes on to the foam")
    ] = default(0.7, COMMON_PRACTICE, low=0.25, high=1.0, moves="twist in flight")
    adhesive: Annotated[float, quantity("areal_mass", "0 g/m2", "200 g/m2", "glue between foam and film")] = default(
        "15 g/m2", COMMON_PRACTICE, low="5 g/m2", high="40 g/m2", moves="weight of a longer wing"
    )
    finish: Annotated[
        str,
        choice(("bare", "covered", "smooth"), "surface finish; it decides where the boundary layer turns turbulent"),
    ] = default("covered", COMMON_PRACTICE, low="bare", high="smooth", moves="range, stall speed")


class BayTable(TableModel):
    """A hollow in the centre section. Its inside dimensions are given."""

    name: Annotated[str, free_text("name, as used in pack.bay")]
    from_nose: Annotated[float, quantity("length", "-200 mm", "1000 mm", "front wall, behind the nose")]
    from_centre: Annotated[
        float | None, quantity("length", "5 mm", "1000 mm", "its middle, from the centre line; both halves have one")
    ] = default(None, "not stated: across the centre line")
    length: Annotated[float, quantity("length", "10 mm", "600 mm", "length fore and aft")]
    width: Annotated[float, quantity("length", "10 mm", "600 mm", "width from left to right")]
    depth: Annotated[float, quantity("length", "3 mm", "150 mm", "depth from floor to hatch; a hatch carries no load")]
    through: Annotated[bool, flag("true if the foam is cut right through, with neither floor nor skin left")] = default(
        False, "common practice: the foam below the floor stays"
    )
    lid: Annotated[float, quantity("length", "0 mm", "30 mm", "foam or lid left above the bay")] = default(
        "3 mm", COMMON_PRACTICE, low="2 mm", high="5 mm", moves="what fits into the wing"
    )
    floor: Annotated[
        float, quantity("length", "0 mm", "30 mm", "foam left below the bay, or its lower lid if it is cut through")
    ] = default("3 mm", COMMON_PRACTICE, low="2 mm", high="5 mm", moves="what fits into the wing")
    raised_lid: Annotated[
        float | None, quantity("length", "0 mm", "30 mm", "height by which its lid stands above the skin")
    ] = default(None, "not stated: the lid is flush")
    raised_lid_drag_area: Annotated[
        float | None, quantity("area", "0 cm2", "200 cm2", "drag over dynamic pressure of a lid that is raised")
    ] = default(None, "the catalogue of drag_items, by width and height of the lid")
    cut_to_pack: Annotated[
        bool,
        flag("true if a wing whose cores are cut anew gets a bay of the size of its own pack, where that balances"),
    ] = default(True, COMMON_PRACTICE)
    divider: Annotated[
        float | None, quantity("length", "0.4 mm", "20 mm", "thickness of a board across the back wall")
    ] = default(None, "no divider")
    divider_material: Annotated[str, part_name("sheets", "sheet that the divider is cut from")] = default(
        "balsa", COMMON_PRACTICE
    )

    @property
    def inner_side(self) -> float:
        """Distance of its inner side from the centre line, by definition 0 for a bay across it. [m]"""
        return self.from_centre - 0.5 * self.width if self.from_centre else 0.0

    @property
    def outer_side(self) -> float:
        """Distance of its outer side from the centre line, by definition. [m]"""
        return (self.from_centre or 0.0) + 0.5 * self.width


class PocketTable(TableModel):
    """A servo hole or cable channel, the same in both halves."""

    name: Annotated[str, free_text("name in the report")]
    from_centre: Annotated[float, quantity("length", "0 mm", "2000 mm", "its middle, from the centre line")]
    along_span: Annotated[float, quantity("length", "3 mm", "2000 mm", "size along the span")]
    from_leading_edge: Annotated[
        float, quantity("length", "0 mm", "600 mm", "front wall, behind the leading edge there")
    ]
    length: Annotated[float, quantity("length", "2 mm", "300 mm", "size fore and aft")]
    depth: Annotated[float, quantity("length", "1 mm", "150 mm", "depth below the skin it is cut from")]
    side: Annotated[str, choice(("top", "bottom"), "skin that it is cut from")] = default("bottom", COMMON_PRACTICE)
