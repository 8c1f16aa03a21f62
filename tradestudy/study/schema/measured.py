"""Tables of a measurements file for measurements made by hand on one wing, and the list of all tables of such a file.

Every table is optional. Tables that describe a flight log are in `flight_log`.

After reading, values are SI: masses [kg], lengths [m], angles [rad], speeds [m/s], time [s] and thrust [N]. Electrical
values are volts [V], amps [A], charge [C] and resistance [ohm]. Rotational speed is in [rad/s].
"""

from __future__ import annotations

from typing import Annotated

from .flight_log import ColumnsTable, FlightTable, LogTable, SegmentsTable
from .key_types import TableModel, default, free_text, quantity
from .search import BAG_STATION, USUAL_BAG_STATION
from .study import TableSpec

_NOT_READ = "not measured"
_NOT_WEIGHED = "not weighed"
_MOST_TABLES = 60  # largest number of tables in one array


class WeighedTable(TableModel):
    """Weights on the scale, and the balance point."""

    bare_halves: Annotated[
        float | None,
        quantity("mass", "20 g", "5 kg", "both foam halves before bays are cut, without film, rods and elevons"),
    ] = default(None, _NOT_WEIGHED)
    covered_halves: Annotated[
        float | None,
        quantity("mass", "20 g", "6 kg", "both foam halves and elevons with film and its glue, without rods"),
    ] = default(None, _NOT_WEIGHED)
    pack: Annotated[float | None, quantity("mass", "10 g", "5 kg", "the pack with its leads")] = default(
        None, _NOT_WEIGHED
    )
    all_up: Annotated[float | None, quantity("mass", "100 g", "15 kg", "the wing ready to fly, with the pack")] = (
        default(None, _NOT_WEIGHED)
    )
    without_pack: Annotated[
        float | None, quantity("mass", "80 g", "15 kg", "the wing ready to fly, without the pack")
    ] = default(None, _NOT_WEIGHED)
    balance_from_nose: Annotated[
        float | None, quantity("length", "5 mm", "1500 mm", "balance point behind the nose, ready to fly with the pack")
    ] = default(None, _NOT_READ)


class PartTable(TableModel):
    """One part on the scale."""

    name: Annotated[str, free_text("name in the study: motor, controller, propeller, or the name of an [[equipment]]")]
    weight: Annotated[float, quantity("mass", "0.5 g", "5 kg", "weight on the scale")]


class BendTable(TableModel):
    """Bending test: two equal bags, one on each tip, while the middle of the wing is held."""

    mass: Annotated[float, quantity("mass", "20 g", "10 kg", "mass of each bag, on the rods' line")]
    drop: Annotated[float, quantity("length", "0.5 mm", "500 mm", "movement of the tips, mean of both")]
    from_centre: BAG_STATION = default(None, USUAL_BAG_STATION)


class TwistTable(TableModel):
    """Twisting test: two equal bags on sticks across the tips are moved from ahead of the rods to as far behind."""

    mass: Annotated[float, quantity("mass", "10 g", "5 kg", "mass of each bag")]
    arm: Annotated[float, quantity("length", "20 mm", "500 mm", "distance of the bag from the rods' line")]
    angle: Annotated[
        float | None, quantity("angle", "0.2 deg", "30 deg", "turn of each tip by that move, mean of both")
    ] = default(None, _NOT_READ)
    edge_drop: Annotated[
        float | None, quantity("length", "0.5 mm", "200 mm", "or movement of the trailing edge at the tips")
    ] = default(None, _NOT_READ)
    from_centre: BAG_STATION = default(None, USUAL_BAG_STATION)


class BenchTable(TableModel):
    """Motor test with propeller while the wing is held: throttle and volts with one reading, or two readings."""

    throttle: Annotated[float | None, quantity("fraction", "5 %", "100 %", "throttle")] = default(None, _NOT_READ)
    volts: Annotated[
        float | None, quantity("voltage", "2 V", "70 V", "voltage of the pack, with the motor running")
    ] = default(None, _NOT_READ)
    amps: Annotated[float | None, quantity("current", "0.2 A", "300 A", "current from the pack, without equipment")] = (
        default(None, _NOT_READ)
    )
    rpm: Annotated[float | None, quantity("rotation", "500 rpm", "60000 rpm", "rpm of the propeller")] = default(
        None, _NOT_READ
    )
    thrust: Annotated[
        float | None, quantity("mass", "10 g", "30 kg", "thrust as a scale shows it, motor installed")
    ] = default(None, _NOT_READ)


class MeasuredPackTable(TableModel):
    """Capacity and resistance of the pack, measured with charger and load."""

    capacity: Annotated[
        float | None, quantity("charge", "200 mAh", "100 Ah", "capacity of the complete pack, full to empty")
    ] = default(None, _NOT_READ)
    resistance: Annotated[
        float | None, quantity("resistance", "2 mohm", "2 ohm", "resistance of the complete pack: volts per ampere")
    ] = default(None, _NOT_READ)


class GlideTable(TableModel):
    """One steady glide with the motor off."""

    speed: Annotated[float, quantity("speed", "4 m/s", "60 m/s", "airspeed")]
    sink: Annotated[float, quantity("speed", "0.1 m/s", "15 m/s", "sink rate in still air")]


class RememberedFlightTable(TableModel):
    """One remembered flight at a steady cruise: its distance, time, and charge or current."""

    distance: Annotated[
        float, quantity("distance", "0.5 km", "500 km", "distance over the ground, out and back or in a circuit")
    ]
    time: Annotated[float, quantity("time", "2 min", "24 h", "time in the air")]
    charge_used: Annotated[float | None, quantity("charge", "50 mAh", "200 Ah", "charge put back by the charger")] = (
        default(None, _NOT_READ)
    )
    amps: Annotated[float | None, quantity("current", "0.2 A", "200 A", "steady current on the display")] = default(
        None, _NOT_READ
    )
    wind: Annotated[float, quantity("speed", "0 m/s", "20 m/s", "estimated wind")] = default(
        "0 m/s", "not stated: still air"
    )


MEASUREMENT_TABLES: dict[str, TableSpec] = {
    "log": TableSpec(LogTable, 0),
    "columns": TableSpec(ColumnsTable, 0),
    "segments": TableSpec(SegmentsTable, 0),
    "flight": TableSpec(FlightTable, 0),
    "weighed": TableSpec(WeighedTable, 0),
    "part": TableSpec(PartTable, 0, _MOST_TABLES),
    "bend": TableSpec(BendTable, 0, _MOST_TABLES),
    "twist": TableSpec(TwistTable, 0, _MOST_TABLES),
    "bench": TableSpec(BenchTable, 0, _MOST_TABLES),
    "pack": TableSpec(MeasuredPackTable, 0),
    "glide": TableSpec(GlideTable, 0, _MOST_TABLES),
    "flown": TableSpec(RememberedFlightTable, 0, _MOST_TABLES),
}
