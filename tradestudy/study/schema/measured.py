"""What is measured by hand on one wing: scale, bags, bench, charger, glide, flights. Any subset will do.

Values are SI once read: masses [kg], lengths [m], angles [rad], volts, amps, rotational speed [rad/s], thrust [N],
charge [C], resistance [ohm], speeds [m/s], time [s].
"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel

from .key_types import default, free_text, quantity
from .search import BAGS_HANG, USUAL_PLACE
from .wing import FROZEN

NOT_READ = "not read"


class WeighedTable(BaseModel):
    """What a scale and the balance point say."""

    model_config = FROZEN
    bare_halves: Annotated[
        float | None, quantity("mass", "20 g", "5 kg", "both foam halves before bays are cut, no film, rods or elevons")
    ] = default(None, "not weighed")
    covered_halves: Annotated[
        float | None, quantity("mass", "20 g", "6 kg", "both foam halves and elevons with film and its glue, no rods")
    ] = default(None, "not weighed")
    pack: Annotated[float | None, quantity("mass", "10 g", "5 kg", "with its leads")] = default(None, "not weighed")
    all_up: Annotated[float | None, quantity("mass", "100 g", "15 kg", "ready to fly, pack in")] = default(
        None, "not weighed"
    )
    without_pack: Annotated[float | None, quantity("mass", "80 g", "15 kg", "ready to fly, pack out")] = default(
        None, "not weighed"
    )
    balance_from_nose: Annotated[float | None, quantity("length", "5 mm", "1500 mm", "pack in, as it flies")] = default(
        None, NOT_READ
    )


class PartTable(BaseModel):
    """One part on the scale."""

    model_config = FROZEN
    name: Annotated[
        str, free_text("as the study calls it: motor, controller, propeller, or the name of an [[equipment]]")
    ]
    weight: Annotated[float, quantity("mass", "0.5 g", "5 kg", "on the scale")]


class BendTable(BaseModel):
    """Two equal bags, one on each tip, the wing's middle held."""

    model_config = FROZEN
    mass: Annotated[float, quantity("mass", "20 g", "10 kg", "of each bag, on the rods' line")]
    drop: Annotated[float, quantity("length", "0.5 mm", "500 mm", "how far the tips move, mean of both")]
    from_centre: BAGS_HANG = default(None, USUAL_PLACE)


class TwistTable(BaseModel):
    """Two equal bags on sticks across the tips, moved from ahead of the rods to as far behind."""

    model_config = FROZEN
    mass: Annotated[float, quantity("mass", "10 g", "5 kg", "of each bag")]
    arm: Annotated[float, quantity("length", "20 mm", "500 mm", "from the rods' line to the bag")]
    angle: Annotated[
        float | None, quantity("angle", "0.2 deg", "30 deg", "how far that turns each tip, mean of both")
    ] = default(None, NOT_READ)
    edge_drop: Annotated[
        float | None, quantity("length", "0.5 mm", "200 mm", "or how far that moves the trailing edge at the tips")
    ] = default(None, NOT_READ)
    from_centre: BAGS_HANG = default(None, USUAL_PLACE)


class BenchTable(BaseModel):
    """Motor and propeller running, the wing held. Throttle and volts with one reading, or two readings."""

    model_config = FROZEN
    throttle: Annotated[float | None, quantity("fraction", "5 %", "100 %", "of the controller")] = default(
        None, NOT_READ
    )
    volts: Annotated[float | None, quantity("voltage", "2 V", "70 V", "of the pack, while it runs")] = default(
        None, NOT_READ
    )
    amps: Annotated[float | None, quantity("current", "0.2 A", "300 A", "from the pack, without equipment")] = default(
        None, NOT_READ
    )
    rpm: Annotated[float | None, quantity("rotation", "500 rpm", "60000 rpm", "of the propeller")] = default(
        None, NOT_READ
    )
    thrust: Annotated[float | None, quantity("mass", "10 g", "30 kg", "as a scale shows it, installed")] = default(
        None, NOT_READ
    )


class MeasuredPackTable(BaseModel):
    """What charger and load say of the pack."""

    model_config = FROZEN
    capacity: Annotated[float | None, quantity("charge", "200 mAh", "100 Ah", "of the whole pack, full to empty")] = (
        default(None, NOT_READ)
    )
    resistance: Annotated[
        float | None, quantity("resistance", "2 mohm", "2 ohm", "of the whole pack: volts lost for each ampere drawn")
    ] = default(None, NOT_READ)


class GlideTable(BaseModel):
    """One steady glide, motor off."""

    model_config = FROZEN
    speed: Annotated[float, quantity("speed", "4 m/s", "60 m/s", "through the air")]
    sink: Annotated[float, quantity("speed", "0.1 m/s", "15 m/s", "of the wing in still air")]


class RememberedFlightTable(BaseModel):
    """One remembered flight at a steady cruise: its length and time, and what it drew."""

    model_config = FROZEN
    distance: Annotated[float, quantity("distance", "0.5 km", "500 km", "over the ground, there and back or round")]
    time: Annotated[float, quantity("time", "2 min", "24 h", "in the air")]
    charge_used: Annotated[float | None, quantity("charge", "50 mAh", "200 Ah", "put back by the charger")] = default(
        None, NOT_READ
    )
    amps: Annotated[float | None, quantity("current", "0.2 A", "200 A", "held, as the display showed")] = default(
        None, NOT_READ
    )
    wind: Annotated[float, quantity("speed", "0 m/s", "20 m/s", "guessed")] = default(
        "0 m/s", "nothing was said: still air"
    )
