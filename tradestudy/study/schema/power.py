"""Tables of the drive and of other parts: pack, motor, controller, propeller, drag items, parts to compare.

After reading, values are SI: masses [kg], lengths [m], speed constant [rad/s/V], resistance [ohm], currents [A], powers
[W]. Every ``from_nose`` is the distance of the middle of a part behind the nose datum.
"""

import math
from typing import Annotated, Any

from tradestudy.catalogue import catalogue_part
from tradestudy.physics.propulsion import cold_and_age
from tradestudy.physics.weights import pack_dimensions, pack_layouts

from .equipment import FROM_CENTRE, OUTSIDE_SIZE, PART_POSITION, SIDE
from .key_types import (
    COMMON_PRACTICE,
    TableModel,
    choice,
    default,
    free_text,
    part_name,
    propeller_lengths,
    propeller_size,
    quantity,
    sequence,
    whole_number,
)
from .short_forms import motor_in_short, pack_in_short
from .wing import BayTable

# V, printed on cells by their makers; from memory, but for iron phosphate (data sheet of an LFP-26650-3300 type)
NOMINAL_VOLTAGE = {"lithium-ion": 3.6, "lithium-polymer": 3.7, "lithium-iron-phosphate": 3.2}
LOADED_SHARE = 0.8  # speed of a loaded motor divided by its no-load speed; common practice, no source

_CLASS_RULE = "the motor's size, mass and speed constant"
_OF_CELLS = "the cells"
# types of keys that occur in several tables
_Capacity = Annotated[
    float | None, quantity("charge", "200 mAh", "100 Ah", "capacity of the complete pack, as printed or measured")
]
_PackWeight = Annotated[
    float | None, quantity("mass", "10 g", "5 kg", "weight of the complete pack with its leads, on the scale")
]
_CELLS_ACROSS = whole_number(1, 12, "cells side by side, left to right")
_CellsHigh = Annotated[int, whole_number(1, 12, "layers of cells")]
_CellsLie = Annotated[
    str | None, choice(tuple(pack_layouts.POINTING), "where the length of a cell points; on edge: its width points up")
]
_PackSize = Annotated[
    tuple[float, float, float] | None,
    sequence(quantity("length", "8 mm", "400 mm", "side"), 3, 3, "length, width and height of a pack as it is sold"),
]
_Packs = Annotated[int | None, whole_number(1, 4, "number of packs of that size, in parallel")]
_WindingResistance = Annotated[
    float | None, quantity("resistance", "1 mohm", "2 ohm", "winding resistance between two leads")
]
_NoLoadCurrent = Annotated[float | None, quantity("current", "0.05 A", "10 A", "current without load")]


class PowerTable(TableModel):
    """Short form of motor, propeller and pack. The tables of these parts may add further keys."""

    motor: Annotated[tuple[str, float], motor_in_short("size and rpm/V of the motor")]
    propeller: Annotated[str, propeller_size("diameter x pitch in inches")]
    pack: Annotated[tuple[int, int, str], pack_in_short("cells in series and parallel, and their chemistry")]
    capacity: _Capacity = default(None, "the cells of the catalogue", shown="as the cells'", low="x0.8", high="x1.2")
    pack_weight: _PackWeight = default(
        None, "the cells of the catalogue", shown="as the cells'", low="x0.8", high="x1.2"
    )


def scaled_cell(name: str, series: int, parallel: int, capacity: float | None, weight: float | None) -> dict[str, Any]:
    """Return the data of a cell of the catalogue, scaled to the complete pack.

    If ``capacity`` [C] of the pack is given, capacity and mass of the cell are scaled in proportion, and the resistance
    in inverse proportion. A pouch cell keeps its shape, so its sizes are scaled by the cube root (judgement). If
    ``weight`` [kg] of the pack is given, the mass of the cell follows from it. Width and thickness of a round cell are
    its diameter.
    """
    cell = dict(catalogue_part("cells", name))
    if "diameter" in cell:
        cell["width"] = cell["thickness"] = cell["diameter"]
    if capacity is not None:
        share = capacity / (parallel * cell["capacity"])
        cell["capacity"] *= share
        cell["resistance"] /= share
        cell["mass"] *= share
        if "diameter" not in cell:
            cell |= {side: cell[side] * share ** (1 / 3) for side in ("length", "width", "thickness")}
    if weight is not None:
        cell["mass"] = pack_dimensions.cell_mass(weight, series * parallel)
    return cell


class _NamedChoice(TableModel):
    name: Annotated[str, free_text("name in the table of parts compared")]


class _PackRatings(TableModel):
    cell: Annotated[str, part_name("cells", "cell of the pack")]
    series: Annotated[int, whole_number(1, 12, "cells in series")]
    parallel: Annotated[int, whole_number(1, 12, "cells in parallel")]
    capacity: _Capacity = default(None, _OF_CELLS)
    weight: _PackWeight = default(None, _OF_CELLS)
    maximum_current: Annotated[
        float | None, quantity("current", "1 A", "600 A", "continuous current of the complete pack, by its maker")
    ] = default(None, _OF_CELLS)
    size: _PackSize = default(None, "the size of its cells")
    packs: _Packs = default(None, "not stated: one pack")
    cells_lie: _CellsLie = default(None, "not stated: fore and aft")


class PackTable(_PackRatings):
    """The pack on the wing today. With ``size``, ``cells_across`` and the like count packs instead of cells."""

    cells_across: Annotated[int, _CELLS_ACROSS]
    cells_high: _CellsHigh = default(1, "common practice: one layer", low=1, high=2, moves="where the pack fits")
    bay: Annotated[str, free_text("name of the bay that holds it")]
    from_nose: Annotated[float, PART_POSITION]
    second_bay: Annotated[str | None, free_text("name of the bay that holds the other half of it")] = default(
        None, "not stated: all of it lies in one bay"
    )
    second_from_nose: Annotated[float | None, PART_POSITION] = default(None, "not stated: all of it lies in one bay")
    temperature: Annotated[float, quantity("temperature", "-20 C", "60 C", "temperature of the cells in flight")] = (
        default("20 C", COMMON_PRACTICE, low="5 C", high="35 C", moves="sag: climb, currents, a little range")
    )
    health: Annotated[
        float, quantity("fraction", "50 %", "100 %", "share of the printed capacity that an old pack still has")
    ] = default("100 %", "not stated: new cells", low="85 %", high="100 %", moves="range, sag")
    resistance: Annotated[
        float | None,
        quantity("resistance", "2 mohm", "2 ohm", "resistance of the complete pack with its leads: volts per ampere"),
    ] = default(None, "the cells, their temperature and health")
    cut_off: Annotated[
        float | None, quantity("voltage", "0.5 V", "60 V", "lowest voltage of one cell under load in flight")
    ] = default(None, _OF_CELLS)
    connector_current: Annotated[
        float | None, quantity("current", "1 A", "500 A", "continuous current of its connector")
    ] = default(None, "not stated")

    @property
    def piece(self) -> pack_layouts.PackPiece:
        """What the pack is laid from: a pack that is ready to use, or a bare cell.

        Pouch cells are sold as bricks. They stay bricks, unless the stock pack is flatter than one.
        """
        if self.size is not None:
            return pack_layouts.PackPiece(self.size, False)
        cell = scaled_cell(self.cell, self.series, self.parallel, self.capacity, self.weight)
        sides = pack_layouts.POINTING[self.cells_lie or pack_layouts.FORE_AND_AFT]
        stacked = (1, self.cells_across, self.cells_high)[sides.index(2)]
        is_open = self.cells_across == 0  # a pack on trial, its arrangement left open
        is_brick = "diameter" not in cell and (is_open or stacked % self.series == 0)
        return pack_layouts.PackPiece(
            (cell["length"], cell["width"], cell["thickness"]), True, self.series if is_brick else 1
        )

    def pieces(self, series: int, parallel: int) -> int:
        """Return how many of them a pack of these cells is laid from. Packs of one size grow by whole packs."""
        return series * parallel if self.size is None else max(1, round((self.packs or 1) * parallel / self.parallel))

    def pieces_in(self, from_centre: float | None, series: int, parallel: int) -> int:
        """Return how many of them lie in one bay: half if there are two bays, one in each half wing or another one.

        ``from_centre`` is the place of the pack's bay across the wing, as in `BayTable`.
        """
        count = self.pieces(series, parallel)
        return math.ceil(count / 2) if self.second_bay or from_centre else count

    @property
    def cell_numbers(self) -> dict[str, Any]:
        """Return the data of the cell in SI units, including temperature, age, cut-off voltage and measured sag."""
        cell = scaled_cell(self.cell, self.series, self.parallel, self.capacity, self.weight)
        cell["capacity"] *= self.health
        cell["resistance"] *= cold_and_age.cold_factor(self.temperature) * cold_and_age.age_factor(self.health)
        if self.resistance is not None:
            cell["resistance"] = cold_and_age.cell_resistance(self.resistance, self.series, self.parallel)
        if self.maximum_current is not None:
            cell["maximum_current"] = self.maximum_current / self.parallel
        if self.cut_off is not None:
            cell["minimum_voltage"] = self.cut_off
        return cell


class PackChoiceTable(_PackRatings, _NamedChoice):
    """Another pack to compare with the one on the wing, in the same bay."""

    cells_across: Annotated[int | None, _CELLS_ACROSS] = default(None, "whatever fits the bay")
    cells_high: _CellsHigh = default(1, "common practice: one layer")


class _MotorRatings(TableModel):
    size: Annotated[str, part_name("motor_classes", "frame class; used for what the maker does not state")]
    mass: Annotated[float, quantity("mass", "3 g", "1 kg", "mass with wires and mount screws")]
    speed_constant: Annotated[
        float, quantity("speed_constant", "100 rpm/V", "10000 rpm/V", "speed per volt without load")
    ]
    maximum_current: Annotated[float, quantity("current", "1 A", "200 A", "largest current, by the maker")]


class MotorTable(_MotorRatings):
    """The motor."""

    resistance: _WindingResistance = default(
        None, _CLASS_RULE, shown="from the class rule", low="x0.6", high="x1.6", moves="range, climb, current"
    )
    no_load_current: _NoLoadCurrent = default(
        None, _CLASS_RULE, shown="from the class rule", low="x0.6", high="x1.6", moves="range"
    )
    no_load_voltage: Annotated[
        float | None, quantity("voltage", "1 V", "60 V", "voltage at which the no-load current was measured")
    ] = default(None, "common practice: makers quote it at about 10 V")
    no_load_rise: Annotated[
        float, quantity("fraction", "0 %", "100 %", "share of the no-load current that rises in proportion to speed")
    ] = default("0 %", COMMON_PRACTICE, low="0 %", high="60 %", moves="a little range")
    winding_temperature: Annotated[
        float, quantity("temperature", "-20 C", "200 C", "temperature of the copper under load; without [motor_test]")
    ] = default("70 C", COMMON_PRACTICE, low="30 C", high="110 C", moves="range, climb, current")
    from_nose: Annotated[float, PART_POSITION]
    thrust_line_height: Annotated[
        float, quantity("length", "-150 mm", "150 mm", "thrust line above the balance point")
    ] = default(
        "0 mm", "common practice: the motor sits in line with the wing", low="-10 mm", high="15 mm",
        moves="elevon in cruise",
    )  # fmt: skip
    mount_slot: Annotated[
        float | None,
        quantity("length", "2 mm", "400 mm", "length of the mount's slot on the centre line, forward from the hinge"),
    ] = default(None, "no slot in the foam")
    mount_slot_width: Annotated[
        float | None, quantity("length", "0.5 mm", "200 mm", "width of that slot from left to right")
    ] = default(None, "no slot in the foam")


class MotorChoiceTable(_MotorRatings, _NamedChoice):
    """Another motor to compare with the one on the wing, in its place on the same mount."""

    resistance: _WindingResistance = default(None, _CLASS_RULE)
    no_load_current: _NoLoadCurrent = default(None, _CLASS_RULE)


class ControllerTable(TableModel):
    """The motor's speed controller."""

    mass: Annotated[float, quantity("mass", "1 g", "500 g", "mass with its wires")]
    maximum_current: Annotated[float, quantity("current", "1 A", "300 A", "largest current, by the maker")]
    from_nose: Annotated[float, PART_POSITION]
    from_centre: Annotated[float, FROM_CENTRE] = default("0 mm", "not stated: on the centre line", shown="")
    side: Annotated[str | None, choice(("left", "right"), SIDE)] = default(None, "not stated: on the centre line")
    size: Annotated[tuple[float, float, float] | None, OUTSIDE_SIZE] = default(None, "not stated: it has no size")
    throttle_cap: Annotated[
        float, quantity("fraction", "20 %", "100 %", "largest throttle that the transmitter allows")
    ] = default("100 %", "not stated: the end of the stick is full throttle", shown="")
    resistance: Annotated[
        float, quantity("resistance", "0 ohm", "200 mohm", "resistance of its switches, in series")
    ] = default("10 mohm", COMMON_PRACTICE, low="4 mohm", high="25 mohm", moves="a little range, climb")
    part_throttle_loss: Annotated[
        float,
        quantity(
            "fraction", "0 %", "30 %", "loss over motor current times the voltage that part throttle takes off the pack"
        ),
    ] = default("6.5 %", COMMON_PRACTICE, low="3 %", high="12 %", moves="range")


class StudyPropellerTable(TableModel):
    """The propeller."""

    size: Annotated[str, propeller_size("diameter x pitch in inches")]
    table: Annotated[str | None, free_text("CSV file in the folder of the study, columns J, CT, CP")] = default(
        None, "the propeller's size"
    )
    blade: Annotated[
        str | None, free_text("CSV file in the folder of the study, columns r/R, c/R, beta: one measured blade")
    ] = default(None, "the propeller's size")
    blade_section: Annotated[str | None, free_text("airfoil of a blade: a name or a coordinate file")] = default(
        None, "common practice: Clark Y"
    )
    blades: Annotated[int | None, whole_number(2, 6, "number of blades")] = default(None, "common practice: two")
    mass: Annotated[float, quantity("mass", "1 g", "300 g", "mass with its nut or spinner")]
    from_nose: Annotated[float, PART_POSITION]
    maximum_rpm: Annotated[float | None, quantity("rotation", "1000 rpm", "60000 rpm", "largest rpm, by the maker")] = (
        default(
            None, "common practice: 145 000 rpm over its diameter in inches, 65 000 for a thin one made for slow flight"
        )
    )

    @property
    def diameter(self) -> float:
        """Return the diameter of the propeller. [m]"""
        return propeller_lengths(self.size)[0]

    @property
    def pitch(self) -> float:
        """Return the pitch of the propeller. [m]"""
        return propeller_lengths(self.size)[1]


class MotorTestTable(TableModel):
    """One reading of motor and propeller on the bench at zero airspeed. It gives the effective resistance."""

    throttle: Annotated[float, quantity("fraction", "20 %", "100 %", "throttle during the reading")] = default(
        "100 %", "not stated: full throttle", shown=""
    )
    voltage: Annotated[
        float | None, quantity("voltage", "2 V", "70 V", "voltage at the controller, with the motor running")
    ] = default(None, "the full pack under that current")
    current: Annotated[float | None, quantity("current", "0.5 A", "300 A", "current from the pack")] = default(
        None, "the propeller's power at that rpm"
    )
    rpm: Annotated[float | None, quantity("rotation", "500 rpm", "60000 rpm", "rpm of the propeller")] = default(
        None, "the propeller's power at that current"
    )
    propeller: Annotated[str | None, propeller_size("propeller on the motor, diameter x pitch in inches")] = default(
        None, "[propeller]"
    )


DRAG_ITEM_SIZES = ("length", "width", "height", "diameter", "gap", "lean", "behind_leading_edge")
DRAG_ITEM_ANGLES = frozenset({"lean"})  # sizes that are angles; all other sizes are lengths
_AT_THE_EDGE = 0.002  # least distance of an item on the skin from the leading edge [m]
DRAG_ITEM_POSITIONS = frozenset({"lean", "behind_leading_edge"})  # keys that describe the position of an item


def _size(meaning: str) -> Any:
    return quantity("length", "0.02 mm", "4000 mm", meaning)


_TYPICAL_SIZE = default(None, "the kind's typical size")


# rows of the drag table that the model computes; no drag item may have one of these names
MODEL_DRAG_PARTS = (
    "section drag",
    "drag due to lift",
    "fins",
    "section and fins as built",
    "drag due to lift as built",
)


class DragItemTable(TableModel):
    """An item in the air stream that adds drag: its kind, and its drag area or the sizes of that kind."""

    kind: Annotated[str, free_text("name from the catalogue of drag_items; any name if drag_area is given")]
    count: Annotated[int, whole_number(1, 40, "how many of them")] = default(
        1, "not stated", low=1, high=2, moves="range"
    )
    drag_area: Annotated[
        float | None, quantity("area", "0 cm2", "200 cm2", "drag over dynamic pressure, of one; in place of sizes")
    ] = default(None, "the catalogue of drag_items, by size")
    length: Annotated[float | None, _size("length of a wire, probe, edge or gap")] = _TYPICAL_SIZE
    width: Annotated[float | None, _size("width as seen from in front; of a propeller: mean blade chord")] = (
        _TYPICAL_SIZE
    )
    height: Annotated[float | None, _size("height above the skin; of an edge: the step")] = _TYPICAL_SIZE
    diameter: Annotated[float | None, _size("diameter of a wire, rod, dome or propeller")] = _TYPICAL_SIZE
    gap: Annotated[float | None, _size("width of an open gap")] = _TYPICAL_SIZE
    lean: Annotated[
        float | None, quantity("angle", "0 deg", "85 deg", "backward lean of a whip from straight across the stream")
    ] = default(None, "the kind's typical lean")
    behind_leading_edge: Annotated[float | None, _size("position on the skin behind the leading edge")] = default(
        None, "the kind's typical place"
    )

    @classmethod
    def raised_lid(cls, bay: BayTable) -> "DragItemTable":
        """Return the item that the raised lid of a bay is. Such a lid needs no entry of its own in a study."""
        return cls.model_construct(
            kind="raised lid",
            drag_area=bay.raised_lid_drag_area,
            count=2 if bay.from_centre else 1,
            width=bay.width,
            height=bay.raised_lid,
            behind_leading_edge=max(bay.from_nose, _AT_THE_EDGE),
        )

    @property
    def sizes(self) -> dict[str, float]:
        """Return a dict of the sizes that the study gives: lengths [m] and angles [rad]."""
        return {name: value for name in DRAG_ITEM_SIZES if (value := getattr(self, name)) is not None}
