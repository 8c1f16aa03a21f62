"""Tables of the rods and of the joiner. Units and datums are those of the tables of the stock wing."""

from typing import Annotated

from .key_types import (
    COMMON_PRACTICE,
    TableModel,
    choice,
    default,
    free_text,
    number,
    part_name,
    quantity,
    whole_number,
)

USUAL_CHANNEL = 2.5  # width of a joiner's channel in diameters; common practice, no source
AT_CENTRE = ("ends", "lap", "cross over", "sleeve", "whole")  # values of the key rods.at_centre


class RodTable(TableModel):
    """One set of rods or tubes in each half wing: near top and bottom skin, near one skin, or in the middle."""

    name: Annotated[str, free_text("name in the report")]
    material: Annotated[str, part_name("rods", "material")]
    diameter: Annotated[float, quantity("length", "0.5 mm", "20 mm", "outside diameter")]
    inside_diameter: Annotated[
        float | None,
        quantity(
            "length", "0.2 mm", "19.5 mm", "inside diameter of a tube; other diameters on trial keep its proportions"
        ),
    ] = default(None, "a solid rod")
    surface: Annotated[
        str,
        choice(
            ("both", "top", "bottom", "middle"),
            "position in the section: both: a rod near either skin; top or bottom: near that skin; middle: halfway",
        ),
    ] = default("both", COMMON_PRACTICE)
    pairs: Annotated[int, whole_number(1, 4, "pairs (top and bottom) in each half wing")] = default(
        1, COMMON_PRACTICE, low=1, high=2, moves="strength, bend"
    )
    chord_fraction: Annotated[
        float, number(0.02, 0.95, "position along the foam chord where the swept panel starts, from its leading edge")
    ]
    inner_end: Annotated[float, quantity("length", "0 mm", "2000 mm", "inner end, from the centre line")] = default(
        "0 mm", "common practice: rods start on the centre line", low="0 mm", high="40 mm",
        moves="strength of the centre",
    )  # fmt: skip
    outer_end: Annotated[float, quantity("length", "20 mm", "2000 mm", "outer end, from the centre line")]
    slot_depth: Annotated[float, quantity("length", "0.5 mm", "30 mm", "depth of the slot below the skin")] = default(
        "5 mm", COMMON_PRACTICE, low="3.5 mm", high="7 mm", moves="strength, bend"
    )
    at_centre: Annotated[
        str,
        choice(
            AT_CENTRE,
            "how the rods of both halves meet: ends: they end at inner_end; lap: they end beside a rod across the "
            "centre; cross over: each runs on past the centre line; sleeve, whole: one straight line",
        ),
    ]
    lap: Annotated[
        float | None,
        quantity("length", "10 mm", "600 mm", 'length beside the other rod on each side, for "lap" and "cross over"'),
    ] = default(None, "common practice, no source: 25 diameters")
    tip_chord_fraction: Annotated[
        float | None,
        number(0.02, 0.95, "position along the foam chord at the outer end; the rod is straight in between"),
    ] = default(None, "as chord_fraction")
    crosses_bay: Annotated[
        str | None,
        choice(
            ("free", "on floor", "on divider"),
            "support of a rod that crosses a bay: none, glued to the floor, or along a divider or tray",
        ),
    ] = default(None, "the share of foam that the bays leave")
    splice: Annotated[
        str, choice(("sleeve", "overlap"), "how a rod is made longer: a tube over both ends, or the ends side by side")
    ] = default("sleeve", COMMON_PRACTICE)
    splice_length: Annotated[
        float | None, quantity("length", "5 mm", "600 mm", "length of the complete sleeve, or of the overlap")
    ] = default(None, "common practice, no source: 25 diameters")
    youngs_modulus: Annotated[
        float | None,
        quantity("pressure", "5 GPa", "500 GPa", "Young's modulus, measured by bending a rod on two supports"),
    ] = default(None, "the catalogue's")
    density: Annotated[float | None, quantity("density", "400 kg/m3", "8000 kg/m3", "density, by scale and ruler")] = (
        default(None, "the catalogue's")
    )
    tensile_strength: Annotated[
        float | None, quantity("pressure", "20 MPa", "5000 MPa", "tensile strength from the maker's data sheet")
    ] = default(None, "the catalogue's")
    compressive_strength: Annotated[
        float | None, quantity("pressure", "20 MPa", "3000 MPa", "compressive strength from the maker's data sheet")
    ] = default(None, "the catalogue's")


class JoinerTable(TableModel):
    """A stiff rod across the middle, in a channel filled with foaming glue."""

    material: Annotated[str, part_name("rods", "material")]
    diameter: Annotated[float, quantity("length", "1 mm", "25 mm", "outside diameter")]
    length: Annotated[float, quantity("length", "50 mm", "3000 mm", "full length, half of it on each side")]
    inside_diameter: Annotated[float | None, quantity("length", "0.2 mm", "24.5 mm", "inside diameter of a tube")] = (
        default(None, "a solid rod")
    )
    from_nose: Annotated[float, quantity("length", "5 mm", "800 mm", "its axis behind the nose")]
    channel: Annotated[
        float | None, quantity("length", "1 mm", "80 mm", "width of its channel, filled with foaming glue")
    ] = default(None, "common practice, no source: two and a half diameters")

    @property
    def channel_width(self) -> float:
        """Return the width of the channel, by common practice if it is not given. [m]"""
        return max(self.channel or USUAL_CHANNEL * self.diameter, self.diameter)
