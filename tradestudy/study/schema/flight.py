"""Tables for the documents of the pilot and the builder: speed card, mission and shopping list.

After reading, values are SI: speeds [m/s], heights and distances [m], times [s], angles [rad].
"""

from typing import Annotated

from .key_types import COMMON_PRACTICE, TableModel, choice, default, distinct_values, free_text, quantity

# kind of a part of a mission -> (required keys, optional keys); kind and name are always allowed
MISSION_KEYS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "launch": (("time",), ()),
    "climb": (("height", "rate"), ("airspeed",)),
    "leg": (("distance",), ("wind", "wind_from", "airspeed")),
    "loiter": (("time",), ("airspeed",)),
    "dash": (("time",), ()),
}

# words for what is on the shopping list
PURCHASE_KINDS = ("cells", "rods", "foam", "covering", "sheet", "propeller", "motor", "motor controller",
                  "servos", "glue", "adhesive", "lids", "paint")  # fmt: skip


class ShoppingTable(TableModel):
    """The shopping list."""

    owned: Annotated[
        tuple[str, ...] | None,
        distinct_values(choice(PURCHASE_KINDS, "kind of part"), "what is owned already and needs not be bought"),
    ] = default(None, "the cautious assumption: everything is bought", shown="nothing")
    saw_cut: Annotated[
        float, quantity("length", "0 mm", "5 mm", "what the saw takes between two pieces of a rod; not of hot wire")
    ] = default("1 mm", COMMON_PRACTICE)


class CardTable(TableModel):
    """The speed card, taped to the transmitter."""

    winds: Annotated[
        tuple[float, ...],
        distinct_values(quantity("speed", "0 km/h", "90 km/h", "steady wind along the track"), "winds on the card"),
    ] = default(["0 km/h", "15 km/h", "30 km/h"], COMMON_PRACTICE, shown="0, 15 and 30 km/h")
    unit: Annotated[str, choice(("km/h", "mph"), "unit of speeds on the card; with mph distances are in miles")] = (
        default("km/h", COMMON_PRACTICE)
    )


class MissionPartTable(TableModel):
    """One part of the mission. It starts with the charge that the part before has left."""

    kind: Annotated[
        str,
        choice(
            tuple(MISSION_KEYS),
            "launch: full throttle from the hand; climb: height gained; leg: distance over the ground; loiter: time "
            "in the air; dash: full throttle, level",
        ),
    ]
    name: Annotated[str | None, free_text("name in the table of the mission")] = default(None, "its kind")
    height: Annotated[float | None, quantity("length", "1 m", "3000 m", "height gained in a climb")] = default(
        None, "climb only"
    )
    rate: Annotated[float | None, quantity("speed", "0.1 m/s", "25 m/s", "rate of climb")] = default(None, "climb only")
    distance: Annotated[float | None, quantity("distance", "10 m", "500 km", "distance over the ground")] = default(
        None, "leg only"
    )
    wind: Annotated[float | None, quantity("speed", "0 m/s", "30 m/s", "steady wind on this leg")] = default(
        None, "fly.wind"
    )
    wind_from: Annotated[
        float | None,
        quantity("angle", "0 deg", "180 deg", "wind direction from the track: 0 head wind, 90 across, 180 tail wind"),
    ] = default(None, "the cautious assumption: head wind")
    time: Annotated[float | None, quantity("time", "0.5 s", "24 h", "duration of a launch, loiter or dash")] = default(
        None, "launch, loiter and dash only"
    )
    airspeed: Annotated[float | None, quantity("speed", "10 km/h", "300 km/h", "constant airspeed of this part")] = (
        default(None, "the best for this part")
    )

    @property
    def title(self) -> str:
        """Return the name of this part in a table."""
        return self.name or self.kind
