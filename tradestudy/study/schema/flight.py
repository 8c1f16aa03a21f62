"""Tables for the documents of the pilot and the builder: speed card, mission, shopping list and prices.

After reading, values are SI: speeds [m/s], heights and distances [m], times [s], angles [rad].
"""

from typing import Annotated

from .key_types import COMMON_PRACTICE, TableModel, choice, default, distinct_values, free_text, number, quantity

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
                  "servos", "glue", "adhesive", "lids", "paint", "linkage", "leads", "bench")  # fmt: skip
UNPRICED = ("lids", "linkage", "leads", "bench")  # small parts: they are listed and have no price
# what can have a price: a whole pack, and all of that; for PRICED_AT_ONCE the price is of all that one wing takes
PRICED_KINDS = ("pack", *(kind for kind in PURCHASE_KINDS if kind not in UNPRICED))
PRICED_AT_ONCE = ("glue", "adhesive", "paint")
DEAREST = 1e6


class ShoppingTable(TableModel):
    """The shopping list."""

    owned: Annotated[
        tuple[str, ...] | None,
        distinct_values(choice(PURCHASE_KINDS, "kind of part"), "what is owned already and needs not be bought"),
    ] = default(None, "the cautious assumption: everything is bought", shown="nothing")
    saw_cut: Annotated[
        float, quantity("length", "0 mm", "5 mm", "what the saw takes between two pieces of a rod; not of hot wire")
    ] = default("1 mm", COMMON_PRACTICE)
    currency: Annotated[str | None, free_text("currency of all prices, such as EUR", most=4)] = default(
        None, "not stated", shown="not named"
    )


class PriceTable(TableModel):
    """What one part costs in your shop, and how many you have. Parts without a price count as free."""

    part: Annotated[
        str,
        choice(
            PRICED_KINDS,
            "pack: a whole pack; cells, propeller, motor, motor controller: each; rods: a length as sold; foam: a "
            "litre; covering, sheet: a square metre; servos: a set; glue, adhesive, paint: all that one wing takes",
        ),
    ]
    which: Annotated[
        str | None,
        free_text(
            'which one, as the shopping list names it: pack "3S2P" or the name of a [[pack_choice]], rods "3 mm", '
            'propeller "8x5", name of a [[motor_choice]], material, cell'
        ),
    ] = default(None, "not stated", shown="every one that no other [[price]] names")
    each: Annotated[float, number(0, DEAREST, "price of one")]
    owned: Annotated[float, number(0, 1000, "how many are owned already, in the same unit")] = default(
        0, "the cautious assumption: everything is bought", shown=""
    )


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
