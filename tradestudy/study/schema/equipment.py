"""Tables of equipment: what is on board besides the drive, where it is, how large it is, and what must be kept apart.

After reading, values are SI: masses [kg], lengths [m], powers [W]. ``from_nose`` and ``from_centre`` are distances
of the middle of a thing in the stock wing: behind the nose datum, and from the centre line.
"""

from typing import Annotated, Any

from tradestudy.catalogue import catalogue_part, catalogue_parts

from .key_types import (
    TableModel,
    choice,
    default,
    distinct_values,
    flag,
    free_text,
    one_or_more,
    or_none,
    quantity,
    sequence,
    value_range,
    whole_number,
)

CARBON, POWER_LEADS = "carbon", "power leads"  # partners of [[keep_apart]] that are no equipment
KEPT_APART_PARTS = ("pack", "controller", "motor")  # other parts that [[keep_apart]] may name
EQUIPMENT_KINDS = tuple(catalogue_parts("equipment_kinds"))
PART_POSITION = quantity("length", "-300 mm", "1200 mm", "middle of the part, behind the nose")
FROM_CENTRE = quantity("length", "0 mm", "2000 mm", "middle of the part, from the centre line")
SIDE = "half that it lies in, seen from behind"
_LENGTH = quantity("length", "1 mm", "400 mm", "length fore and aft, width and height")
_PAIR = f'two kinds or names of equipment; also "{CARBON}", "{POWER_LEADS}" and {", ".join(KEPT_APART_PARTS)}'
OUTSIDE_SIZE: Any = sequence(_LENGTH, 3, 3, "outside length fore and aft, width from left to right, and height")


class EquipmentTable(TableModel):
    """One item on board that has mass and may draw power. With ``side = "both"`` it is two alike, one in each half."""

    name: Annotated[str, free_text("name in the report")]
    mass: Annotated[float, quantity("mass", "0 g", "3 kg", 'mass on the scale; of the two together if side is "both"')]
    from_nose: Annotated[float, PART_POSITION]
    from_centre: Annotated[float, FROM_CENTRE] = default("0 mm", "not stated: on the centre line", shown="")
    side: Annotated[str | None, choice(("left", "right", "both"), SIDE)] = default(
        None, "not stated: on the centre line"
    )
    kind: Annotated[
        tuple[str, ...] | None,
        one_or_more(choice(EQUIPMENT_KINDS, "what it does"), "what it does; a list if it does more than one thing"),
    ] = default(None, "not stated: it disturbs nothing")
    size: Annotated[tuple[float, ...] | None, or_none(OUTSIDE_SIZE)] = default(
        None, "the typical size of its kinds; none without a kind, or if one of them usually stands outside the foam"
    )
    bay: Annotated[str | None, free_text("name of the bay that it lies in")] = default(
        None, "not stated: where its place is"
    )
    bays: Annotated[
        tuple[str, ...] | None, distinct_values(free_text("name of a bay"), "bays that the search may put it in")
    ] = default(None, "not stated: it stays where it is")
    power: Annotated[float, quantity("power", "0 W", "100 W", "mean electric power in flight")] = default(
        "0 W", "not stated", low="0 W", high="8 W", moves="range"
    )
    may_move: Annotated[
        tuple[float, float] | None, value_range(PART_POSITION, "range in which it may be moved to set the balance")
    ] = default(None, "not stated: it stays where it is")
    set: Annotated[str | None, free_text("name of the [[equipment_set]] it belongs to")] = default(
        None, "not stated: on board of every wing"
    )

    @property
    def outside_size(self) -> tuple[float, float, float] | None:
        """Return length, width and height [m], or None if it has no size. Without a size, its kind has a typical one.

        Of several kinds, the one with the largest volume counts. If one of them has no size, there is none.
        """
        if self.size is not None:
            return (self.size[0], self.size[1], self.size[2]) if self.size else None
        parts = [kind_part(kind) for kind in self.kind or ()]
        if not parts or not all("size" in part for part in parts):
            return None
        sizes = [part["size"] for part in parts]
        length, width, height = max(sizes, key=lambda size: size[0] * size[1] * size[2])
        return length, width, height


def kind_part(kind: str) -> dict[str, Any]:
    """Return what the catalogue knows of a kind of equipment."""
    return catalogue_part("equipment_kinds", kind)


class EquipmentSetTable(TableModel):
    """Equipment of some members of a club, on the same airframe, in addition to what every wing has on board."""

    name: Annotated[str, free_text("name, as used in equipment.set")]
    members: Annotated[int, whole_number(1, 40, "members who build a wing with this set")] = default(1, "not stated")
    flown_today: Annotated[bool, flag("true if the stock wing was weighed and flown with this set")] = default(
        False, "the first set, unless another says true"
    )


class KeepApartTable(TableModel):
    """Two things that disturb each other, and the least distance between them as seen from above."""

    between: Annotated[
        tuple[str, str],
        sequence(free_text("a kind or a name"), 2, 2, _PAIR),
    ]
    distance: Annotated[
        float, quantity("length", "0 mm", "2000 mm", "least distance from edge to edge; 0 asks for none")
    ]
