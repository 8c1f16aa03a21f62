"""What drives the wing and what it carries: pack, motor, controller, propeller, equipment, drag items.

Values are SI once read: masses [kg], lengths [m], speed constant [rad/s/V], resistance [ohm],
currents [A], powers [W]. Every ``from_nose`` is the middle of the part, aft of the nose datum.
"""

from typing import Annotated, Any

from pydantic import BaseModel

from tradestudy.catalogue import catalogue_part
from tradestudy.physics.propulsion import cold_and_age
from tradestudy.physics.weights import pack_dimensions

from .key_types import (
    default,
    flag,
    free_text,
    part_name,
    propeller_lengths,
    propeller_size,
    quantity,
    value_range,
    whole_number,
)
from .short_forms import motor_in_short, pack_in_short
from .wing import COMMON_PRACTICE, FROZEN

PLACE = quantity("length", "-300 mm", "1200 mm", "middle of the part, aft of the nose datum")
NOMINAL_VOLTAGE = {"lithium-ion": 3.6, "lithium-polymer": 3.7}  # V, as makers print on cells; from memory
LOADED_SHARE = 0.8  # of the no-load speed that a loaded motor turns; common practice, no source


class PowerTable(BaseModel):
    """Motor, propeller and pack in short; [motor], [controller], [propeller] and [pack] may add to it."""

    model_config = FROZEN
    motor: Annotated[tuple[str, float], motor_in_short("size and rpm/V")]
    propeller: Annotated[str, propeller_size("diameter x pitch in inches")]
    pack: Annotated[tuple[int, int, str], pack_in_short("cells in series and parallel, chemistry")]
    capacity: Annotated[
        float | None, quantity("charge", "200 mAh", "100 Ah", "of the whole pack, as printed or measured")
    ] = default(None, "the cells of the catalogue", shown="as the cells'", low="x0.8", high="x1.2")
    pack_weight: Annotated[
        float | None, quantity("mass", "10 g", "5 kg", "of the whole pack with its leads, on the scale")
    ] = default(None, "the cells of the catalogue", shown="as the cells'", low="x0.8", high="x1.2")


def scaled_cell(name: str, series: int, parallel: int, capacity: float | None, weight: float | None) -> dict[str, Any]:
    """Return a cell of the catalogue, made to fit the capacity [C] and weight [kg] of the whole pack, where given.

    Resistance goes down and the thickness of a pouch up in step with capacity; without a weight, mass too. A round
    cell is as wide and as thick as its diameter.
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
            cell["thickness"] *= share
    if weight is not None:
        cell["mass"] = pack_dimensions.cell_mass(weight, series * parallel)
    return cell


class PackTable(BaseModel):
    """The pack flown today. Cells lie flat, their length fore and aft."""

    model_config = FROZEN
    cell: Annotated[str, part_name("cells", "which cell")]
    series: Annotated[int, whole_number(1, 12, "cells in series")]
    parallel: Annotated[int, whole_number(1, 12, "cells in parallel")]
    cells_across: Annotated[int, whole_number(1, 12, "cells side by side, left to right")]
    cells_high: Annotated[int, whole_number(1, 12, "layers of cells")] = default(
        1, "common practice: one layer", low=1, high=2, moves="where the pack fits"
    )
    capacity: Annotated[
        float | None, quantity("charge", "200 mAh", "100 Ah", "of the whole pack, as printed or measured")
    ] = default(None, "the cells")
    weight: Annotated[
        float | None, quantity("mass", "10 g", "5 kg", "of the whole pack with its leads, on the scale")
    ] = default(None, "the cells")
    bay: Annotated[str, free_text("name of the bay that holds it")]
    maximum_current: Annotated[
        float | None, quantity("current", "1 A", "600 A", "of the whole pack, continuous, as its maker says")
    ] = default(None, "the cells")
    from_nose: Annotated[float, PLACE]
    temperature: Annotated[float, quantity("temperature", "-20 C", "60 C", "of the cells in flight")] = default(
        "20 C", COMMON_PRACTICE, low="5 C", high="35 C", moves="sag: climb, currents, a little range"
    )
    health: Annotated[
        float, quantity("fraction", "50 %", "100 %", "of the printed capacity that an old pack still holds")
    ] = default("100 %", "nothing was said: new cells", low="85 %", high="100 %", moves="range, sag")
    resistance: Annotated[
        float | None,
        quantity("resistance", "2 mohm", "2 ohm", "of the whole pack with its leads: volts lost for each ampere drawn"),
    ] = default(None, "the cells, their temperature and health")
    cut_off: Annotated[
        float | None, quantity("voltage", "0.5 V", "60 V", "of one cell under load, no flight goes below it")
    ] = default(None, "the cells")
    connector_current: Annotated[
        float | None, quantity("current", "1 A", "500 A", "continuous, that its connector bears")
    ] = default(None, "nothing was said")

    @property
    def cell_numbers(self) -> dict[str, Any]:
        """The cell as it is in this pack, in SI units: its own temperature, age, cut-off and measured sag counted."""
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


class MotorTable(BaseModel):
    """The motor."""

    model_config = FROZEN
    size: Annotated[str, part_name("motor_classes", "frame class; used for what the maker does not tell")]
    mass: Annotated[float, quantity("mass", "3 g", "1 kg", "with wires and mount screws")]
    speed_constant: Annotated[float, quantity("speed_constant", "100 rpm/V", "10000 rpm/V", "speed per volt, no load")]
    resistance: Annotated[float | None, quantity("resistance", "1 mohm", "2 ohm", "between two leads")] = default(
        None,
        "the motor's size, mass and speed constant",
        shown="from the class rule",
        low="x0.6",
        high="x1.6",
        moves="range, climb, current",
    )  # fmt: skip
    no_load_current: Annotated[float | None, quantity("current", "0.05 A", "10 A", "spinning free")] = default(
        None,
        "the motor's size, mass and speed constant",
        shown="from the class rule",
        low="x0.6",
        high="x1.6",
        moves="range",
    )  # fmt: skip
    no_load_voltage: Annotated[
        float | None, quantity("voltage", "1 V", "60 V", "at which that current was measured")
    ] = default(None, "common practice: makers quote it at about 10 V")
    no_load_rise: Annotated[
        float, quantity("fraction", "0 %", "100 %", "of the no-load current that grows in step with speed")
    ] = default("0 %", COMMON_PRACTICE, low="0 %", high="60 %", moves="a little range")
    winding_temperature: Annotated[
        float, quantity("temperature", "-20 C", "200 C", "of the copper under load; without a [motor_test]")
    ] = default("70 C", COMMON_PRACTICE, low="30 C", high="110 C", moves="range, climb, current")
    maximum_current: Annotated[float, quantity("current", "1 A", "200 A", "the maker's limit")]
    from_nose: Annotated[float, PLACE]
    thrust_line_height: Annotated[
        float, quantity("length", "-150 mm", "150 mm", "thrust line above the balance point")
    ] = default(
        "0 mm", "common practice: the motor sits in line with the wing", low="-10 mm", high="15 mm",
        moves="elevon in cruise",
    )  # fmt: skip


class ControllerTable(BaseModel):
    """The motor's speed controller."""

    model_config = FROZEN
    mass: Annotated[float, quantity("mass", "1 g", "500 g", "with its wires")]
    maximum_current: Annotated[float, quantity("current", "1 A", "300 A", "the maker's limit")]
    from_nose: Annotated[float, PLACE]
    throttle_cap: Annotated[
        float, quantity("fraction", "20 %", "100 %", "largest throttle the transmitter lets through")
    ] = default("100 %", "nothing was said: the stick's end is full throttle", shown="")
    resistance: Annotated[float, quantity("resistance", "0 ohm", "200 mohm", "of its switches, in series")] = default(
        "10 mohm", COMMON_PRACTICE, low="4 mohm", high="25 mohm", moves="a little range, climb"
    )
    part_throttle_loss: Annotated[
        float,
        quantity(
            "fraction", "0 %", "30 %", "lost of motor current times what part throttle takes off the pack's volts"
        ),
    ] = default("6.5 %", COMMON_PRACTICE, low="3 %", high="12 %", moves="range")


class PropellerTable(BaseModel):
    """The propeller."""

    model_config = FROZEN
    size: Annotated[str, propeller_size("diameter x pitch in inches")]
    table: Annotated[str | None, free_text("CSV file beside the study with columns J, CT, CP")] = default(
        None, "the propeller's size"
    )
    blade: Annotated[
        str | None, free_text("CSV file beside the study with columns r/R, c/R, beta: one blade as measured")
    ] = default(None, "the propeller's size")
    blade_section: Annotated[str | None, free_text("airfoil of a blade: a name or a coordinate file")] = default(
        None, "common practice: Clark Y"
    )
    blades: Annotated[int | None, whole_number(2, 6, "how many blades")] = default(None, "common practice: two")
    mass: Annotated[float, quantity("mass", "1 g", "300 g", "with its nut or spinner")]
    from_nose: Annotated[float, PLACE]
    installation_loss: Annotated[
        float, quantity("fraction", "0 %", "30 %", "of its thrust, that body and wing ahead of a pusher cost")
    ] = default("5 %", "common practice: 3 to 8 %, no source", low="3 %", high="8 %", moves="range, climb")
    maximum_rpm: Annotated[float | None, quantity("rotation", "1000 rpm", "60000 rpm", "the maker's limit")] = default(
        None,
        "common practice: 145 000 rpm over its diameter in inches, 65 000 for a thin one made for slow flight",
    )

    @property
    def diameter(self) -> float:
        """Diameter [m]."""
        return propeller_lengths(self.size)[0]

    @property
    def pitch(self) -> float:
        """Pitch [m]."""
        return propeller_lengths(self.size)[1]


class MotorTestTable(BaseModel):
    """One reading of the motor on the bench, its propeller standing: it tells the resistance that counts."""

    model_config = FROZEN
    throttle: Annotated[float, quantity("fraction", "20 %", "100 %", "of the stick when it was read")] = default(
        "100 %", "nothing was said: full throttle", shown=""
    )
    voltage: Annotated[
        float | None, quantity("voltage", "2 V", "70 V", "at the controller, while the motor was running")
    ] = default(None, "the full pack under that current")
    current: Annotated[float | None, quantity("current", "0.5 A", "300 A", "from the pack")] = default(
        None, "the propeller's power at that rpm"
    )
    rpm: Annotated[float | None, quantity("rotation", "500 rpm", "60000 rpm", "of the propeller")] = default(
        None, "the propeller's power at that current"
    )
    propeller: Annotated[str | None, propeller_size("on the motor, diameter x pitch in inches")] = default(
        None, "[propeller]"
    )


class EquipmentTable(BaseModel):
    """One thing on board that has mass, and perhaps draws power."""

    model_config = FROZEN
    name: Annotated[str, free_text("what the report calls it")]
    mass: Annotated[float, quantity("mass", "0 g", "3 kg", "on the scale")]
    from_nose: Annotated[float, PLACE]
    power: Annotated[float, quantity("power", "0 W", "100 W", "mean draw in flight")] = default(
        "0 W", "nothing was said", low="0 W", high="8 W", moves="range"
    )
    may_move: Annotated[
        tuple[float, float] | None, value_range(PLACE, "range it may move in, if the balance asks for it")
    ] = default(None, "nothing was said: it stays where it is")
    set: Annotated[str | None, free_text("name of the [[equipment_set]] it belongs to")] = default(
        None, "nothing was said: on board of every wing"
    )


class EquipmentSetTable(BaseModel):
    """What some members of a club carry, all on the same airframe, besides what every wing has on board."""

    model_config = FROZEN
    name: Annotated[str, free_text("what [[equipment]] calls it")]
    members: Annotated[int, whole_number(1, 40, "how many build a wing with this set")] = default(1, "nothing was said")
    flown_today: Annotated[
        bool, flag("was the stock wing weighed and flown with this set; where none says so, with the first")
    ] = default(False, "the first set, unless another says true")


DRAG_ITEM_SIZES = ("length", "width", "height", "diameter", "gap", "lean", "behind_leading_edge")  # of drag items
DRAG_ITEM_ANGLES = frozenset({"lean"})  # the others are lengths
DRAG_ITEM_POSITIONS = frozenset({"lean", "behind_leading_edge"})  # how it stands, not how large it is


def _size(meaning: str) -> Any:
    return quantity("length", "0.02 mm", "4000 mm", meaning)


def _typical() -> Any:
    return default(None, "the kind's typical size")


class DragItemTable(BaseModel):
    """Something in the wind that no smooth wing has: its kind, and its own drag area or sizes that the kind has."""

    model_config = FROZEN
    kind: Annotated[str, free_text("name from the catalogue of drag_items; any name if drag_area is given")]
    count: Annotated[int, whole_number(1, 40, "how many of them")] = default(
        1, "nothing was said", low=1, high=2, moves="range"
    )
    drag_area: Annotated[
        float | None, quantity("area", "0 cm2", "200 cm2", "drag over dynamic pressure, of one; in place of sizes")
    ] = default(None, "the catalogue of drag_items, by size")
    length: Annotated[float | None, _size("along a wire, probe, edge or gap")] = _typical()
    width: Annotated[float | None, _size("as seen from in front; of a propeller: mean blade chord")] = _typical()
    height: Annotated[float | None, _size("as it stands off the skin; of an edge: the step")] = _typical()
    diameter: Annotated[float | None, _size("of a wire, rod, dome or propeller")] = _typical()
    gap: Annotated[float | None, _size("how wide a gap is open")] = _typical()
    lean: Annotated[
        float | None, quantity("angle", "0 deg", "85 deg", "how far a whip leans back from straight across the stream")
    ] = default(None, "the kind's typical lean")
    behind_leading_edge: Annotated[float | None, _size("where it stands on the skin, along the chord")] = default(
        None, "the kind's typical place"
    )

    @property
    def sizes(self) -> dict[str, float]:
        """The sizes that were given [m], angles [rad]."""
        return {name: value for name in DRAG_ITEM_SIZES if (value := getattr(self, name)) is not None}
