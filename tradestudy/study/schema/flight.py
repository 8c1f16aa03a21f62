"""What is flown and told to the pilot: the speed card, the parts of a mission, and motors and packs to compare.

Values are SI once read: speeds [m/s], heights and distances [m], times [s], angles [rad], masses [kg].
"""

from typing import Annotated

from pydantic import BaseModel

from .key_types import choice, default, distinct_values, free_text, part_name, quantity, whole_number
from .wing import FROZEN

COMMON = "common practice, no source"
AS_PURPOSE = "as best for it"
# kind of a part of a mission -> keys it must have, keys it may have besides kind and name
MISSION_KEYS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "launch": (("time",), ()),
    "climb": (("height", "rate"), ("airspeed",)),
    "leg": (("distance",), ("wind", "wind_from", "airspeed")),
    "loiter": (("time",), ("airspeed",)),
    "dash": (("time",), ()),
}


class CardTable(BaseModel):
    """The speed card taped to the transmitter."""

    model_config = FROZEN
    winds: Annotated[
        tuple[float, ...],
        distinct_values(quantity("speed", "0 km/h", "90 km/h", "steady wind along the track"), "winds it tells"),
    ] = default(["0 km/h", "15 km/h", "30 km/h"], COMMON, shown="0, 15 and 30 km/h")
    unit: Annotated[str, choice(("km/h", "mph"), "speeds on the card; with mph distances are miles")] = default(
        "km/h", COMMON
    )


class MissionPartTable(BaseModel):
    """One part of the mission after another, on the charge that the parts before have left."""

    model_config = FROZEN
    kind: Annotated[
        str,
        choice(
            tuple(MISSION_KEYS),
            "full throttle off the hand, height gained, way over the ground, time aloft, or full throttle level",
        ),
    ]
    name: Annotated[str | None, free_text("what the table calls it")] = default(None, "its kind")
    height: Annotated[float | None, quantity("length", "1 m", "3000 m", "gained in a climb")] = default(
        None, "climb alone"
    )
    rate: Annotated[float | None, quantity("speed", "0.1 m/s", "25 m/s", "of climb")] = default(None, "climb alone")
    distance: Annotated[float | None, quantity("distance", "10 m", "500 km", "over the ground")] = default(
        None, "leg alone"
    )
    wind: Annotated[float | None, quantity("speed", "0 m/s", "30 m/s", "steady wind on this leg")] = default(
        None, "fly.wind"
    )
    wind_from: Annotated[
        float | None,
        quantity("angle", "0 deg", "180 deg", "where it comes from, off the track: 0 against, 90 across, 180 with"),
    ] = default(None, "the careful reading: against it")
    time: Annotated[float | None, quantity("time", "0.5 s", "24 h", "of a launch, loiter or dash")] = default(
        None, "launch, loiter and dash alone"
    )
    airspeed: Annotated[float | None, quantity("speed", "10 km/h", "300 km/h", "held on this part")] = default(
        None, AS_PURPOSE
    )

    @property
    def title(self) -> str:
        """What a table calls it."""
        return self.name or self.kind


class MotorChoiceTable(BaseModel):
    """Another motor to compare with the one on the wing, in its place on the same mount."""

    model_config = FROZEN
    name: Annotated[str, free_text("what the table calls it")]
    size: Annotated[str, part_name("motor_classes", "frame class; used for what the maker does not tell")]
    mass: Annotated[float, quantity("mass", "3 g", "1 kg", "with wires and mount screws")]
    speed_constant: Annotated[float, quantity("speed_constant", "100 rpm/V", "10000 rpm/V", "speed per volt, no load")]
    resistance: Annotated[float | None, quantity("resistance", "1 mohm", "2 ohm", "between two leads")] = default(
        None, "the motor's size, mass and speed constant"
    )
    no_load_current: Annotated[float | None, quantity("current", "0.05 A", "10 A", "spinning free")] = default(
        None, "the motor's size, mass and speed constant"
    )
    maximum_current: Annotated[float, quantity("current", "1 A", "200 A", "the maker's limit")]


class PackChoiceTable(BaseModel):
    """Another pack to compare with the one on the wing, in the same bay."""

    model_config = FROZEN
    name: Annotated[str, free_text("what the table calls it")]
    cell: Annotated[str, part_name("cells", "which cell")]
    series: Annotated[int, whole_number(1, 12, "cells in series")]
    parallel: Annotated[int, whole_number(1, 12, "cells in parallel")]
    cells_across: Annotated[int | None, whole_number(1, 12, "cells side by side, left to right")] = default(
        None, "whatever fits the bay"
    )
    cells_high: Annotated[int, whole_number(1, 12, "layers of cells")] = default(1, "common practice: one layer")
    capacity: Annotated[
        float | None, quantity("charge", "200 mAh", "100 Ah", "of the whole pack, as printed or measured")
    ] = default(None, "the cells")
    weight: Annotated[
        float | None, quantity("mass", "10 g", "5 kg", "of the whole pack with its leads, on the scale")
    ] = default(None, "the cells")
    maximum_current: Annotated[
        float | None, quantity("current", "1 A", "600 A", "of the whole pack, continuous, as its maker says")
    ] = default(None, "the cells")
