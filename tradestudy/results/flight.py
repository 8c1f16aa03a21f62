"""How a wing flies: curves along speed and span, drag part by part, the pilot's card, a mission."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated

from .field_specs import OldName

_Numbers = list[float]


@dataclass(frozen=True)
class Curves:
    """Lists along speed, at strip middles along the half span, and at strip edges along it."""

    speed_kmh: Annotated[_Numbers, "Airspeeds at which the next ones are told."] = field(default_factory=list)
    drag_n: Annotated[_Numbers, "Drag in level flight."] = field(default_factory=list)
    power_w: Annotated[_Numbers, "Power out of the cells."] = field(default_factory=list)
    range_km: Annotated[_Numbers, "Range on one charge in still air, the reserve kept."] = field(default_factory=list)
    endurance_min: Annotated[_Numbers, "Time in the air, the reserve kept."] = field(default_factory=list)
    radius_km: Annotated[_Numbers, "Out and home in the wind of the study, radio and law heeded."] = field(
        default_factory=list
    )
    radius_by_charge_km: Annotated[_Numbers, "Out and home as far as the charge goes."] = field(default_factory=list)
    usual_flight_min: Annotated[_Numbers, "Time of a usual flight with its share of full throttle."] = field(
        default_factory=list
    )
    wh_per_km: Annotated[_Numbers, "Energy for a kilometre."] = field(default_factory=list)
    mah_per_km: Annotated[_Numbers, "Charge for a kilometre."] = field(default_factory=list)
    current_a: Annotated[_Numbers, "Current out of the cells."] = field(default_factory=list)
    throttle_pct: Annotated[_Numbers, "Throttle that it takes."] = field(default_factory=list)
    elevon_deg: Annotated[_Numbers, "Elevon that trims it, up is minus."] = field(default_factory=list)
    station_mm: Annotated[_Numbers, "Middles of the strips from the centre line."] = field(default_factory=list)
    lift_n_per_m: Annotated[_Numbers, "Lift on a metre of span in cruise."] = field(default_factory=list)
    section_lift: Annotated[_Numbers, "Lift coefficient of the section in cruise."] = field(default_factory=list)
    edge_mm: Annotated[_Numbers, "Edges of the strips from the centre line."] = field(default_factory=list)
    bending_rigidity_nm2: Annotated[_Numbers, "Rigidity in bending."] = field(default_factory=list)
    bending_moment_nm: Annotated[_Numbers, "Bending moment in the hardest pull-up."] = field(default_factory=list)
    utilisation: Annotated[_Numbers, "Share of its strength used in the hardest pull-up, greatest of all modes."] = (
        field(default_factory=list)
    )
    deflection_mm: Annotated[_Numbers, "How far it bends in the hardest pull-up."] = field(default_factory=list)
    elevon_mm: Annotated[_Numbers, "Elevon that trims it, at the trailing edge, up is minus."] = field(
        default_factory=list
    )
    roll_control: Annotated[_Numbers, "Share of a stiff wing's roll control that twist leaves, along speed."] = field(
        default_factory=list
    )
    roll_control_weak: Annotated[_Numbers, "The same with the film gone loose."] = field(default_factory=list)
    pitch_control: Annotated[_Numbers, "Share of a stiff wing's pitch control that twist leaves, along speed."] = field(
        default_factory=list
    )
    pitch_control_weak: Annotated[_Numbers, "The same with the film gone loose."] = field(default_factory=list)
    section_lift_limit: Annotated[_Numbers, "Largest lift coefficient of the section there."] = field(
        default_factory=list
    )


@dataclass(frozen=True)
class DragPart:
    """One part of the drag."""

    part: Annotated[str, "What holds the wing back."]
    listed: Annotated[bool, "Whether it stands in the study's list of drag items."]
    count: Annotated[int, "How many there are."]
    cm2: Annotated[float, "Drag area of all of them."]
    share_pct: Annotated[float, "Share of the whole."]
    low_cm2: Annotated[float | None, "Least that it may be; empty where no band is known."]
    high_cm2: Annotated[float | None, "Most that it may be; empty where no band is known."]
    how: Annotated[str, "What it rests on."]


@dataclass(frozen=True)
class DragBreakdown:
    """What holds a wing back in cruise, and how it glides with the motor off."""

    cruise_speed_kmh: Annotated[float, "Airspeed at which it is told."]
    parts: Annotated[list[DragPart], "Parts that sum to the whole."]
    total_cm2: Annotated[float, "Drag area of the whole wing.", OldName("whole_cm2")]
    items_cm2: Annotated[float, "Drag area of all that the study lists."]
    items_low_cm2: Annotated[float, "Least that the list may be, its lines off independently."]
    items_high_cm2: Annotated[float, "Most that the list may be, its lines off independently."]
    lift_to_drag: Annotated[float, "Lift over drag."]
    glide_ratio: Annotated[float, "Way over height with the motor off."]
    glide_parts: Annotated[list[DragPart], "What drags only with the motor off; none of it in the whole."]


@dataclass(frozen=True)
class CardLeg:
    """What to hold in one wind and direction; empty where the wing makes no way."""

    wind_kmh: Annotated[float, "Strength of the wind."]
    direction: Annotated[str, "Flown against it, with it, or none where it is still.", OldName("way")]
    speed_kmh: Annotated[float | None, "Best airspeed."]
    hold_a: Annotated[float | None, "Mean current of the flight."]
    ground_kmh: Annotated[float | None, "Speed over the ground."]
    mah_per_km: Annotated[float | None, "Charge for a kilometre over the ground."]
    full_km: Annotated[float | None, "Way from a full pack to the reserve."]
    half_km: Annotated[float | None, "Way from a half-used pack to the reserve."]


@dataclass(frozen=True)
class CardTurn:
    """Where to turn, out against a wind and home with it; empty where the wing makes no way."""

    wind_kmh: Annotated[float, "Strength of the wind."]
    full_km: Annotated[float | None, "Way out on a full pack."]
    full_mah: Annotated[float | None, "Charge used at that turn."]
    full_v: Annotated[float | None, "Volts under load at that turn."]
    half_km: Annotated[float | None, "Way out that a half-used pack still does."]
    half_mah: Annotated[float | None, "Charge used at that turn, since the pack was full."]
    half_v: Annotated[float | None, "Volts under load at that turn."]


@dataclass(frozen=True)
class PilotCard:
    """What a pilot tapes to the transmitter."""

    unit: Annotated[str, "Unit of speed that it is to be told in, km/h or mph."]
    speed_kmh: Annotated[float, "Cruise speed of the design."]
    hold_a: Annotated[float, "Mean current of a flight at it."]
    fresh_a: Annotated[float, "Current at it on a full pack."]
    end_a: Annotated[float, "Current at it with the pack at its reserve."]
    fresh_v: Annotated[float, "Volts at it on a full pack."]
    end_v: Annotated[float, "Volts at it with the pack at its reserve."]
    power_w: Annotated[float, "Power out of the pack at it."]
    band_low_kmh: Annotated[float, "Slowest speed within 2 % of the best."]
    band_high_kmh: Annotated[float, "Fastest speed within 2 % of the best."]
    band_low_a: Annotated[float, "Current at the slowest."]
    band_high_a: Annotated[float, "Current at the fastest."]
    longest_kmh: Annotated[float, "Speed at which it stays up longest."]
    longest_a: Annotated[float, "Current at that speed."]
    longest_min: Annotated[float, "Time that it then stays up."]
    stall_kmh: Annotated[float, "Stall speed."]
    capacity_mah: Annotated[float, "Charge of a full pack."]
    reserve_mah: Annotated[float, "Charge kept as reserve."]
    half_mah: Annotated[float, "Charge used when half is left."]
    legs: Annotated[list[CardLeg], "What to hold in each wind and direction."]
    turns: Annotated[list[CardTurn], "Where to turn in each wind."]


@dataclass(frozen=True)
class MissionPartResult:
    """One part of a mission as it was flown."""

    name: Annotated[str, "What the study calls it."]
    kind: Annotated[str, "Launch, climb, leg, loiter or dash."]
    airspeed_kmh: Annotated[float, "Airspeed."]
    ground_kmh: Annotated[float | None, "Speed over the ground; told of legs."]
    time_min: Annotated[float, "How long it lasts.", OldName("minutes")]
    km: Annotated[float | None, "Way over the ground; told of legs."]
    wh: Annotated[float, "Energy out of the pack."]
    mah: Annotated[float, "Charge out of the pack."]
    mean_a: Annotated[float, "Mean current."]
    end_v: Annotated[float, "Volts at its end, loaded."]
    end_throttle_pct: Annotated[float, "Throttle at its end."]
    charge_left_pct: Annotated[float, "Charge left at its end."]


@dataclass(frozen=True)
class Mission:
    """The mission of a study, flown part after part on one charge."""

    parts: Annotated[list[MissionPartResult], "Parts that were flown."]
    parts_requested: Annotated[int, "How many parts the study asks for.", OldName("asked")]
    end_reason: Annotated[str, "Why it cannot be flown to its end, or nothing.", OldName("ends")]
    time_min: Annotated[float, "How long all parts last.", OldName("minutes")]
    km: Annotated[float, "Way over the ground of all legs."]
    wh: Annotated[float, "Energy of all parts."]
    mah: Annotated[float, "Charge of all parts."]
    reserve_pct: Annotated[float, "Charge that is kept."]
    left_mah: Annotated[float, "Charge left above the reserve."]
    left_km: Annotated[float, "Way that this would still do at cruise speed in still air."]
    left_min: Annotated[float, "Time that this would still do at cruise speed."]
