"""The wing that flies today, as a builder measures it with tape, ruler, calipers and scale.

Field names are the keys of the study file. Values are SI once read: lengths [m], angles [rad],
masses [kg], masses per area [kg/m^2]. x runs aft from the nose datum, the leading edge of the wing
on the centre line; spans are counted from the centre line.
"""

from typing import Annotated

from pydantic import BaseModel, ConfigDict

from .key_types import (
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
    whole_number,
)

FROZEN = ConfigDict(frozen=True, extra="forbid")
COMMON_PRACTICE = "common practice, no source"
NOT_MEASURED = "nothing was measured"
UNKNOWN, TRACED = "unknown", "traced"  # airfoils that have no name
FEWEST_TRACED, MOST_TRACED = 6, 12  # stations of a traced section
MOST_OUTLINE = 6  # points of an elevon's outline


class StudyTable(BaseModel):
    """What the study is called."""

    model_config = FROZEN
    name: Annotated[str, file_name("short name, also of the results folder")]
    note: Annotated[str, free_text("one sentence for whoever reads the report", fewest=0)] = default(
        "", "nothing was said"
    )


class StockTable(BaseModel):
    """The stock wing."""

    model_config = FROZEN
    span: Annotated[float, quantity("length", "300 mm", "4000 mm", "tip to tip, measured flat")]
    centre_width: Annotated[float, quantity("length", "0 mm", "1000 mm", "flat middle piece, whole width")] = default(
        "0 mm",
        "common practice: the two panels meet on the centre line",
        low="0 mm",
        high="120 mm",
        moves="balance mark, area, range",
    )  # fmt: skip
    root_chord: Annotated[float, quantity("length", "50 mm", "800 mm", "foam at the root, without the elevon")]
    tip_chord: Annotated[float, quantity("length", "20 mm", "800 mm", "foam at the tip, without the elevon")]
    tip_set_back: Annotated[
        float,
        quantity("length", "0 mm", "1500 mm", "tip leading edge behind a straight edge along the root leading edge"),
    ]
    washout: Annotated[
        float, quantity("angle", "-3 deg", "12 deg", "twist of the tip, nose down is positive; off a flat table")
    ]
    dihedral: Annotated[float, quantity("angle", "-10 deg", "15 deg", "tip above the root, per side")] = default(
        "0 deg", "common practice: these wings are built flat", low="-2 deg", high="4 deg", moves="handling"
    )
    airfoil: Annotated[
        str, free_text('name from the airfoil database, coordinate file beside the study, "traced" or "unknown"')
    ]
    airfoil_covers: Annotated[
        str, choice(("whole", "foam"), "does the section end at the elevon's trailing edge, or at the hinge")
    ]
    root_thickness: Annotated[float, quantity("length", "5 mm", "120 mm", "thickest place of the root, by calipers")]
    tip_airfoil: Annotated[
        str | None, free_text("airfoil at the tip where it is another: name from the database or coordinate file")
    ] = default(None, "the root's")
    tip_thickness: Annotated[
        float | None, quantity("length", "3 mm", "120 mm", "thickest place of the tip, by calipers")
    ] = default(None, "as thick for its chord as the airfoil is there")
    flying_weight: Annotated[float, quantity("mass", "100 g", "10 kg", "ready to fly, with the stock pack")]
    balance_from_nose: Annotated[float, quantity("length", "5 mm", "1500 mm", "where it balances today")]
    up_elevon: Annotated[
        float | None,
        quantity("length", "-40 mm", "40 mm", "trailing edge above the section's own line in cruise; minus is down"),
    ] = default(
        None, "the section's own moment", shown="as the section asks", low="-4 mm", high="6 mm",
        moves="elevon in cruise, a little range",
    )  # fmt: skip
    elevon_chord: Annotated[
        float | None, quantity("length", "5 mm", "200 mm", "behind the foam; in short for [elevon]")
    ] = default(None, "[elevon]")
    fin_height: Annotated[
        float | None, quantity("length", "0 mm", "600 mm", "of each tip fin, 0 for none; in short for [[fin]]")
    ] = default(None, "[[fin]]")


class TracedSectionTable(BaseModel):
    """The root section, traced from the foam onto paper and measured with a ruler."""

    model_config = FROZEN
    chord: Annotated[float, quantity("length", "50 mm", "900 mm", "nose to trailing edge of what was traced")]
    station: Annotated[
        tuple[float, ...],
        sequence(quantity("length", "0 mm", "900 mm", "behind the nose"), FEWEST_TRACED, MOST_TRACED,
            "where the heights were taken, from the nose"),
    ]  # fmt: skip
    above: Annotated[
        tuple[float, ...],
        sequence(quantity("length", "-60 mm", "120 mm", "above the line"), FEWEST_TRACED, MOST_TRACED,
            "top surface above the straight line from nose to trailing edge"),
    ]  # fmt: skip
    below: Annotated[
        tuple[float, ...],
        sequence(quantity("length", "-60 mm", "120 mm", "below the line"), FEWEST_TRACED, MOST_TRACED,
            "bottom surface below that line; minus where it lies above it"),
    ]  # fmt: skip


class ElevonTable(BaseModel):
    """The elevon of each side, hinged behind the foam: straight from root to tip, or by its outline."""

    model_config = FROZEN
    outline: Annotated[
        tuple[tuple[float, float], ...] | None,
        points(quantity("length", "0 mm", "2000 mm", "from the centre line"),
               quantity("length", "5 mm", "200 mm", "behind the foam"), 2, MOST_OUTLINE,
               "place from the centre line and chord behind the foam, from the inner to the outer end; "
               "instead of the four keys below"),
    ] = default(None, "root_chord, tip_chord, inner_end and outer_end")  # fmt: skip
    root_chord: Annotated[float, quantity("length", "5 mm", "200 mm", "behind the foam, at the root")]
    tip_chord: Annotated[float, quantity("length", "5 mm", "200 mm", "behind the foam, at the tip")]
    inner_end: Annotated[float, quantity("length", "0 mm", "1500 mm", "from the centre line")]
    outer_end: Annotated[float, quantity("length", "20 mm", "2000 mm", "from the centre line")]
    thickness: Annotated[float, quantity("length", "1 mm", "30 mm", "at the hinge")]
    material: Annotated[str, part_name("sheets", "what it is cut from")]
    effectiveness: Annotated[float, number(0.2, 1.0, "share of the ideal lift that the hinge gives")] = default(
        0.8, "common practice, no source: a sealed foam hinge", low=0.6, high=0.95, moves="elevon in cruise"
    )
    up_travel: Annotated[float, quantity("angle", "8 deg", "30 deg", "up at full stick, from the neutral position")] = (
        default("20 deg", COMMON_PRACTICE, low="14 deg", high="25 deg", moves="how far forward it may balance")
    )


class LinkageTable(BaseModel):
    """From servo to elevon, one side: as built, weighed and wagged by hand."""

    model_config = FROZEN
    servo_torque: Annotated[
        float, quantity("moment", "0.2 N cm", "500 N cm", "of one servo at stall, at the voltage it gets")
    ]
    servo_arm: Annotated[float, quantity("length", "3 mm", "50 mm", "from the servo's axis to the hole in use")]
    horn: Annotated[float, quantity("length", "3 mm", "80 mm", "from the hinge line to the hole in use")]
    play: Annotated[
        float | None, quantity("length", "0 mm", "20 mm", "that the trailing edge wags, end to end, servo switched on")
    ] = default(None, NOT_MEASURED, shown="not computed")
    give_weight: Annotated[
        float | None, quantity("mass", "5 g", "3 kg", "hung on the trailing edge at the middle of the elevon, servo on")
    ] = default(None, NOT_MEASURED, shown="not computed")
    give: Annotated[
        float | None, quantity("length", "0.1 mm", "40 mm", "how far that moves the trailing edge, play taken up")
    ] = default(None, NOT_MEASURED, shown="not computed")
    elevon_weight: Annotated[float | None, quantity("mass", "1 g", "500 g", "of one elevon with its horn")] = default(
        None, "the elevon's size and sheet"
    )


class FinTable(BaseModel):
    """A flat fin on each half wing: on the tip, or inboard."""

    model_config = FROZEN
    from_centre: Annotated[
        float | None, quantity("length", "10 mm", "2000 mm", "where it stands; left out: on the wing tip")
    ] = default(None, "on the wing tip")
    height: Annotated[
        float, quantity("length", "0 mm", "600 mm", "wing to top, along the fin; 0 for one below the wing alone")
    ]
    root_chord: Annotated[float, quantity("length", "10 mm", "600 mm", "where it meets the wing")]
    tip_chord: Annotated[float, quantity("length", "5 mm", "600 mm", "at the top")]
    set_back: Annotated[float, quantity("length", "0 mm", "600 mm", "top leading edge behind the bottom one")]
    behind_leading_edge: Annotated[
        float,
        quantity("length", "-200 mm", "600 mm", "bottom leading edge behind the wing's leading edge there"),
    ]
    depth_below: Annotated[
        float | None, quantity("length", "0 mm", "600 mm", "wing to bottom of the part below the wing, along the fin")
    ] = default(None, "nothing below the wing")
    tip_chord_below: Annotated[
        float | None, quantity("length", "5 mm", "600 mm", "at the bottom of the part below")
    ] = default(None, "the part above mirrored, cut off at depth_below")
    set_back_below: Annotated[
        float | None, quantity("length", "0 mm", "600 mm", "lowest leading edge behind the one at the wing")
    ] = default(None, "swept as the part above")
    cant: Annotated[float | None, quantity("angle", "-60 deg", "85 deg", "top tipped outward; minus is inward")] = (
        default(None, "upright")
    )
    toe: Annotated[
        float | None, quantity("angle", "-10 deg", "10 deg", "leading edge turned inward; minus is outward")
    ] = default(None, "straight ahead")
    material: Annotated[str, part_name("sheets", "what it is cut from")]


class FoamTable(BaseModel):
    """The foam of the cores."""

    model_config = FROZEN
    material: Annotated[str, part_name("foams", "what the cores are cut from")]
    density: Annotated[
        float | None, quantity("density", "8 kg/m3", "200 kg/m3", "of your own block, by scale and ruler")
    ] = default(None, "the catalogue's")
    youngs_modulus: Annotated[
        float | None, quantity("pressure", "0.3 MPa", "100 MPa", "measured: a strip bent between two supports")
    ] = default(None, "the catalogue's")
    shear_modulus: Annotated[
        float | None, quantity("pressure", "0.1 MPa", "50 MPa", "measured; left out, it follows youngs_modulus")
    ] = default(None, "the catalogue's, in step with youngs_modulus")
    shear_strength: Annotated[
        float | None, quantity("pressure", "0.02 MPa", "5 MPa", "measured, or from your maker's sheet")
    ] = default(None, "the catalogue's")
    compressive_strength: Annotated[
        float | None, quantity("pressure", "0.01 MPa", "5 MPa", "where it leaves its straight line, not at 25 % strain")
    ] = default(None, "the catalogue's")


class CoveringTable(BaseModel):
    """The skin of the wing and how well it is stuck on."""

    model_config = FROZEN
    material: Annotated[str, part_name("coverings", "what the wing is covered with")]
    thickness: Annotated[
        float | None, quantity("length", "5 um", "500 um", "of the film, by micrometer; mass goes with it")
    ] = default(None, "the catalogue's")
    youngs_modulus: Annotated[
        float | None, quantity("pressure", "0.05 GPa", "100 GPa", "measured: a strip hung with weights")
    ] = default(None, "the catalogue's")
    shear_modulus: Annotated[
        float | None, quantity("pressure", "0.02 GPa", "40 GPa", "measured; left out, it follows youngs_modulus")
    ] = default(None, "the catalogue's, in step with youngs_modulus")
    bond: Annotated[float, number(0.05, 1.0, "share of the film's ideal shear stiffness that the bond passes on")] = (
        default(0.7, COMMON_PRACTICE, low=0.25, high=1.0, moves="twist in flight")
    )
    adhesive: Annotated[float, quantity("areal_mass", "0 g/m2", "200 g/m2", "glue between foam and film")] = default(
        "15 g/m2", COMMON_PRACTICE, low="5 g/m2", high="40 g/m2", moves="weight of a longer wing"
    )
    finish: Annotated[
        str,
        choice(("bare", "covered", "smooth"), "surface: decides where the boundary layer turns turbulent"),
    ] = default("covered", COMMON_PRACTICE, low="bare", high="smooth", moves="range, stall speed")


class RodTable(BaseModel):
    """One set of rods or tubes, let into the top and bottom of each half wing, one of the two, or the middle."""

    model_config = FROZEN
    name: Annotated[str, free_text("what the report calls it")]
    material: Annotated[str, part_name("rods", "what it is made of")]
    diameter: Annotated[float, quantity("length", "0.5 mm", "20 mm", "outside diameter")]
    inside_diameter: Annotated[
        float | None, quantity("length", "0.2 mm", "19.5 mm", "of a tube; other diameters on trial keep its shape")
    ] = default(None, "a solid rod")
    surface: Annotated[
        str, choice(("both", "top", "bottom", "middle"), "a rod near either skin at each place, near one, or halfway")
    ] = default("both", COMMON_PRACTICE)
    pairs: Annotated[int, whole_number(1, 4, "top-and-bottom pairs in each half wing")] = default(
        1, COMMON_PRACTICE, low=1, high=2, moves="strength, bend"
    )
    chord_fraction: Annotated[float, number(0.02, 0.95, "place along the foam chord, from its leading edge")]
    inner_end: Annotated[float, quantity("length", "0 mm", "2000 mm", "from the centre line")] = default(
        "0 mm", "common practice: rods start on the centre line", low="0 mm", high="40 mm",
        moves="strength of the centre",
    )  # fmt: skip
    outer_end: Annotated[float, quantity("length", "20 mm", "2000 mm", "from the centre line")]
    slot_depth: Annotated[float, quantity("length", "0.5 mm", "30 mm", "how deep below the skin the slot reaches")] = (
        default("5 mm", COMMON_PRACTICE, low="3.5 mm", high="7 mm", moves="strength, bend")
    )
    crosses_centre: Annotated[bool, flag("does it run through, or is it sleeved at, the centre line")]
    tip_chord_fraction: Annotated[
        float | None, number(0.02, 0.95, "place along the foam chord at the outer end; straight in between")
    ] = default(None, "as chord_fraction")
    crosses_bay: Annotated[
        str | None,
        choice(
            ("free", "on floor", "on divider"),
            "what holds a rod that crosses a bay: nothing, glued to the floor, or along a divider or tray",
        ),
    ] = default(None, "the share of foam that the bays leave")
    splice: Annotated[
        str, choice(("sleeve", "overlap"), "how a rod is made longer: a tube over both ends, or ends side by side")
    ] = default("sleeve", COMMON_PRACTICE)
    splice_length: Annotated[
        float | None, quantity("length", "5 mm", "600 mm", "of the whole sleeve, or of the overlap")
    ] = default(None, "common practice, no source: 25 diameters")
    youngs_modulus: Annotated[
        float | None, quantity("pressure", "5 GPa", "500 GPa", "measured: a rod on two supports, bent by a weight")
    ] = default(None, "the catalogue's")
    density: Annotated[float | None, quantity("density", "400 kg/m3", "8000 kg/m3", "by scale and ruler")] = default(
        None, "the catalogue's"
    )
    tensile_strength: Annotated[float | None, quantity("pressure", "20 MPa", "5000 MPa", "from your maker's sheet")] = (
        default(None, "the catalogue's")
    )
    compressive_strength: Annotated[
        float | None, quantity("pressure", "20 MPa", "3000 MPa", "from your maker's sheet")
    ] = default(None, "the catalogue's")


class JoinerTable(BaseModel):
    """A stiff rod across the middle, in a channel filled with foaming glue."""

    model_config = FROZEN
    material: Annotated[str, part_name("rods", "what it is made of")]
    diameter: Annotated[float, quantity("length", "1 mm", "25 mm", "outside diameter")]
    length: Annotated[float, quantity("length", "50 mm", "3000 mm", "whole length, half on each side")]


class BayTable(BaseModel):
    """A hollow in the centre section, by its inside sizes."""

    model_config = FROZEN
    name: Annotated[str, free_text("what [pack] calls it")]
    from_nose: Annotated[float, quantity("length", "-200 mm", "1000 mm", "front wall")]
    length: Annotated[float, quantity("length", "10 mm", "600 mm", "fore and aft")]
    width: Annotated[float, quantity("length", "10 mm", "600 mm", "left to right")]
    depth: Annotated[float, quantity("length", "3 mm", "150 mm", "floor to hatch; a hatch carries nothing")]
    through: Annotated[bool, flag("is the foam cut right through, with neither floor nor skin left")] = default(
        False, "common practice: the foam below the floor stays"
    )
    divider: Annotated[
        float | None, quantity("length", "0.4 mm", "20 mm", "thickness of a board from side to side at its back wall")
    ] = default(None, "no divider")
    divider_material: Annotated[str, part_name("sheets", "what the divider is cut from")] = default(
        "balsa", COMMON_PRACTICE
    )


class PocketTable(BaseModel):
    """A servo hole or cable channel, alike in both halves."""

    model_config = FROZEN
    name: Annotated[str, free_text("what the report calls it")]
    from_centre: Annotated[float, quantity("length", "0 mm", "2000 mm", "its middle, from the centre line")]
    along_span: Annotated[float, quantity("length", "3 mm", "2000 mm", "how far it reaches along the span")]
    from_leading_edge: Annotated[
        float, quantity("length", "0 mm", "600 mm", "front wall behind the leading edge there")
    ]
    length: Annotated[float, quantity("length", "2 mm", "300 mm", "fore and aft")]
    depth: Annotated[float, quantity("length", "1 mm", "150 mm", "below the skin it is cut from")]
    side: Annotated[str, choice(("top", "bottom"), "the skin it is cut from")] = default("bottom", COMMON_PRACTICE)
