"""Results on the flight of a wing: curves along speed and span, drag of each part, speed card, and mission."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated

from .field_specs import OldName, Unit

_Numbers = list[float]


@dataclass(frozen=True)
class Curves:
    """Lists of values along speed, at the middles of the strips, and at the edges of the strips on the half span."""

    speed_kmh: Annotated[_Numbers, "Airspeeds of the lists along speed."] = field(default_factory=list)
    drag_n: Annotated[_Numbers, "Drag in level flight."] = field(default_factory=list)
    power_w: Annotated[_Numbers, "Power out of the cells."] = field(default_factory=list)
    range_km: Annotated[_Numbers, "Range on one charge in still air, the reserve kept."] = field(default_factory=list)
    endurance_min: Annotated[_Numbers, "Duration, the reserve kept."] = field(default_factory=list)
    radius_km: Annotated[
        _Numbers, "Farthest distance out with a return, in the wind and the distance limit of the study."
    ] = field(default_factory=list)
    radius_by_charge_km: Annotated[_Numbers, "Farthest distance out with a return, limited by charge alone."] = field(
        default_factory=list
    )
    usual_flight_min: Annotated[_Numbers, "Duration of a usual flight with its share of full throttle."] = field(
        default_factory=list
    )
    wh_per_km: Annotated[_Numbers, "Energy per kilometre."] = field(default_factory=list)
    mah_per_km: Annotated[_Numbers, "Charge per kilometre."] = field(default_factory=list)
    current_a: Annotated[_Numbers, "Current out of the cells."] = field(default_factory=list)
    throttle_pct: Annotated[_Numbers, "Throttle."] = field(default_factory=list)
    elevon_deg: Annotated[_Numbers, "Elevon in trim, up is negative."] = field(default_factory=list)
    station_mm: Annotated[_Numbers, "Middles of the strips from the centre line."] = field(default_factory=list)
    lift_n_per_m: Annotated[_Numbers, "Lift per metre of span in cruise."] = field(default_factory=list)
    section_lift: Annotated[_Numbers, "Lift coefficient of the section in cruise."] = field(default_factory=list)
    edge_mm: Annotated[_Numbers, "Edges of the strips from the centre line."] = field(default_factory=list)
    bending_rigidity_nm2: Annotated[_Numbers, "Flexural rigidity."] = field(default_factory=list)
    bending_moment_nm: Annotated[_Numbers, "Bending moment in the hardest pull-up."] = field(default_factory=list)
    utilisation: Annotated[
        _Numbers, "Share of the strength used in the hardest pull-up, the greatest of all failure modes."
    ] = field(default_factory=list)
    deflection_mm: Annotated[_Numbers, "Deflection in the hardest pull-up."] = field(default_factory=list)
    elevon_mm: Annotated[_Numbers, "Elevon in trim at the trailing edge, up is negative."] = field(default_factory=list)
    roll_control: Annotated[_Numbers, "Roll control over that of a rigid wing, along speed."] = field(
        default_factory=list
    )
    roll_control_weak: Annotated[_Numbers, "The same with a debonded film."] = field(default_factory=list)
    pitch_control: Annotated[_Numbers, "Pitch control over that of a rigid wing, along speed."] = field(
        default_factory=list
    )
    pitch_control_weak: Annotated[_Numbers, "The same with a debonded film."] = field(default_factory=list)
    section_lift_limit: Annotated[_Numbers, "Largest lift coefficient of the section."] = field(default_factory=list)


@dataclass(frozen=True)
class DragPart:
    """The drag of one part of a wing."""

    part: Annotated[str, "Name of the part."]
    listed: Annotated[bool, "Whether it is in the study's list of drag items."]
    count: Annotated[int, "Number of such parts."]
    cm2: Annotated[float, "Drag area of all such parts."]
    share_pct: Annotated[float, "Share of the total."]
    low_cm2: Annotated[float | None, "Low end of its band; empty where no band is known."]
    high_cm2: Annotated[float | None, "High end of its band; empty where no band is known."]
    how: Annotated[str, "Basis of the number."]


@dataclass(frozen=True)
class DragBreakdown:
    """Drag of each part of a wing in cruise, and the glide with the motor off."""

    cruise_speed_kmh: Annotated[float, "Airspeed of the drag areas."]
    parts: Annotated[list[DragPart], "Parts of the total."]
    total_cm2: Annotated[float, "Total drag area.", OldName("whole_cm2")]
    items_cm2: Annotated[float, "Drag area of all items in the study's list."]
    items_low_cm2: Annotated[float, "Low end of the list, its items varying independently."]
    items_high_cm2: Annotated[float, "High end of the list, its items varying independently."]
    lift_to_drag: Annotated[float, "Lift over drag."]
    glide_ratio: Annotated[float, "Glide ratio with the motor off."]
    glide_parts: Annotated[list[DragPart], "Parts that add drag with the motor off only; not in the total."]


@dataclass(frozen=True)
class CardLeg:
    """Speed and current in one wind and direction. Values are empty if the wing cannot advance against the wind."""

    wind_kmh: Annotated[float, "Wind speed."]
    direction: Annotated[str, "Against the wind, with it, or none in still air.", OldName("way")]
    speed_kmh: Annotated[float | None, "Best airspeed."]
    hold_a: Annotated[float | None, "Mean current."]
    ground_kmh: Annotated[float | None, "Ground speed."]
    mah_per_km: Annotated[float | None, "Charge per kilometre over the ground."]
    full_km: Annotated[float | None, "Distance from a full pack to the reserve."]
    half_km: Annotated[float | None, "Distance from a half-used pack to the reserve."]


@dataclass(frozen=True)
class CardTurn:
    """The turning point of a flight out against the wind and home with it. Values are empty if it cannot advance."""

    wind_kmh: Annotated[float, "Wind speed."]
    full_km: Annotated[float | None, "Distance out from a full pack."]
    full_mah: Annotated[float | None, "Charge used at the turn."]
    full_v: Annotated[float | None, "Voltage under load at the turn."]
    half_km: Annotated[float | None, "Distance out from a half-used pack."]
    half_mah: Annotated[float | None, "Charge used at the turn, since the pack was full."]
    half_v: Annotated[float | None, "Voltage under load at the turn."]


@dataclass(frozen=True)
class PilotCard:
    """Speed card that a pilot tapes to the transmitter."""

    unit: Annotated[str, "Unit of speed on the card, km/h or mph."]
    speed_kmh: Annotated[float, "Cruise speed of the design."]
    hold_a: Annotated[float, "Mean current at the cruise speed."]
    fresh_a: Annotated[float, "Current at the cruise speed on a full pack."]
    end_a: Annotated[float, "Current at the cruise speed with the pack at its reserve."]
    fresh_v: Annotated[float, "Voltage at the cruise speed on a full pack."]
    end_v: Annotated[float, "Voltage at the cruise speed with the pack at its reserve."]
    power_w: Annotated[float, "Pack power at the cruise speed."]
    band_low_kmh: Annotated[float, "Slowest speed within 2 % of the best."]
    band_high_kmh: Annotated[float, "Fastest speed within 2 % of the best."]
    band_low_a: Annotated[float, "Current at that slowest speed."]
    band_high_a: Annotated[float, "Current at that fastest speed."]
    longest_kmh: Annotated[float, "Speed of longest endurance."]
    longest_a: Annotated[float, "Current at that speed."]
    longest_min: Annotated[float, "Longest endurance."]
    stall_kmh: Annotated[float, "Stall speed."]
    capacity_mah: Annotated[float, "Charge of a full pack."]
    reserve_mah: Annotated[float, "Charge kept as reserve."]
    half_mah: Annotated[float, "Charge used when half of the pack is left."]
    legs: Annotated[list[CardLeg], "Speed and current in each wind and direction."]
    turns: Annotated[list[CardTurn], "Where to turn back in each wind."]
    until_tested_kmh: Annotated[
        float | None, "Fastest speed of the card until the twist test is passed; none where nothing is held back."
    ] = None
    slower_kmh: Annotated[float | None, "Best speed below the least cruise of the study, if one gains more."] = None
    slower_km: Annotated[float | None, "Range at that speed."] = None
    home_pct: Annotated[
        float | None, "Share of such wings that come home from these turning points; empty without draws."
    ] = None


@dataclass(frozen=True)
class MissionPartResult:
    """Simulated values of one part of a mission."""

    name: Annotated[str, "Its name in the study."]
    kind: Annotated[str, "Launch, climb, leg, loiter or dash."]
    airspeed_kmh: Annotated[float, "Airspeed."]
    ground_kmh: Annotated[float | None, "Ground speed; for legs only."]
    time_min: Annotated[float, "Duration.", OldName("minutes")]
    km: Annotated[float | None, "Distance over the ground; for legs only."]
    wh: Annotated[float, "Energy used."]
    mah: Annotated[float, "Charge used."]
    mean_a: Annotated[float, "Mean current."]
    end_v: Annotated[float, "Voltage under load at its end."]
    end_throttle_pct: Annotated[float, "Throttle at its end."]
    charge_left_pct: Annotated[float, "Charge left at its end."]


@dataclass(frozen=True)
class Mission:
    """The simulated mission of a study. All parts are flown in order on the same charge."""

    parts: Annotated[list[MissionPartResult], "Parts that were completed or begun."]
    parts_requested: Annotated[int, "Number of parts in the study.", OldName("asked")]
    end_reason: Annotated[str, "Why the mission ends early; empty where it is complete.", OldName("ends")]
    time_min: Annotated[float, "Duration of all parts.", OldName("minutes")]
    km: Annotated[float, "Distance over the ground of all legs."]
    wh: Annotated[float, "Energy used by all parts."]
    mah: Annotated[float, "Charge used by all parts."]
    reserve_pct: Annotated[float, "Charge kept as reserve."]
    left_mah: Annotated[float, "Charge left above the reserve."]
    left_km: Annotated[float, "Distance that this charge allows at cruise speed in still air."]
    left_min: Annotated[float, "Time that this charge allows at cruise speed."]


@dataclass(frozen=True)
class SecondOpinion:
    """One wing in cruise by this model and by the lattice of another library, at the same attitude.

    Both share the section data, so they are independent for wake and neutral point alone.
    """

    neutral_point_mm: Annotated[float, "Neutral point behind the nose."]
    neutral_point_other_mm: Annotated[float, "The same by the other lattice."]
    neutral_point_off_pct: Annotated[float, "Its distance behind that of this model, over the mean chord."]
    span_efficiency: Annotated[float, "Span efficiency of the wing with fins, before losses as built.", Unit("-")]
    span_efficiency_other: Annotated[float, "The same by the other lattice.", Unit("-")]
    wake_drag_off_pct: Annotated[float, "Drag from the wake by the other lattice at the same lift, over this model's."]
    lift_coefficient: Annotated[float, "Lift coefficient of trimmed cruise.", Unit("-")]
    lift_coefficient_other: Annotated[float, "The same by the other lattice at the same attitude.", Unit("-")]
    lift_off_pct: Annotated[float, "Excess of that lift over this model's."]
    lift_slope: Annotated[float, "Slope of the lift coefficient.", Unit("1/rad")]
    lift_slope_other: Annotated[float, "The same by the other lattice.", Unit("1/rad")]
    lift_slope_off_pct: Annotated[float, "Excess of that slope over this model's."]
    differs: Annotated[list[str], "Numbers that differ by more than is allowed; empty if the two agree."]
    allowed_pct: Annotated[dict[str, float], "Greatest difference of each number that counts as agreement."]


@dataclass(frozen=True)
class DayLeg:
    """What to hold on one way of the day's flight. Values are empty if the wing cannot advance against the wind."""

    direction: Annotated[str, "Against the wind, with it, or none in still air."]
    speed_kmh: Annotated[float | None, "Airspeed to hold."]
    hold_a: Annotated[float | None, "Mean current."]
    ground_kmh: Annotated[float | None, "Ground speed."]


@dataclass(frozen=True)
class DayChange:
    """What a logbook says of ageing or drift of one wing or pack, since its first flight."""

    what: Annotated[str, "What changes: need (of charge for the same flight), charge, or resistance of a pack."]
    whose: Annotated[str, "Name of the wing or of the pack."]
    readings: Annotated[int, "Readings on which it rests."]
    seen: Annotated[bool, "Whether a change is seen; of logbooks without one, 1 in 50 at most is ever said to have it."]
    size_pct: Annotated[float, "Most likely change up to now, if there is one."]
    low_pct: Annotated[float, "Low end of its band: eight in ten lie inside."]
    high_pct: Annotated[float, "High end of its band."]
    since: Annotated[int | None, "Flight before which it stepped; empty for a creep."]
    surely_seen_pct: Annotated[
        float | None, "Smallest creep up to now that is seen nine times in ten; empty where none would be."
    ]


@dataclass(frozen=True)
class DayCard:
    """One wing on one day: what to hold, where to turn back, when to land, and the alarms to set."""

    study: Annotated[str, "Name of the study."]
    wing: Annotated[str, "Stock wing, or the name of a built wing."]
    unit: Annotated[str, "Unit of speed on the card, km/h or mph."]
    wind_kmh: Annotated[float, "Wind along the track."]
    temperature_c: Annotated[float, "Temperature of the air."]
    pack_temperature_c: Annotated[float, "Temperature of the pack."]
    pack: Annotated[str, "The pack in words."]
    flown: Annotated[int, "Flights of this wing in the logbook."]
    flights: Annotated[int, "Those from which the wing is known."]
    legs: Annotated[list[DayLeg], "Out against the wind and home with it; one leg in still air."]
    stall_kmh: Annotated[float, "Stall speed."]
    until_tested_kmh: Annotated[float | None, "Fastest speed until the twist test is passed, if anything is held back."]
    turn_km: Annotated[float | None, "Distance out at which to turn back, at the cautious end of its band."]
    turn_mah: Annotated[float | None, "Charge used at which to turn back, at the cautious end."]
    turn_min: Annotated[float | None, "Time after launch at which to turn back, at the cautious end."]
    turn_expected_km: Annotated[float | None, "The same distance as expected."]
    land_min: Annotated[float | None, "Time after launch of the landing, if it turned back there."]
    near_min: Annotated[float, "Time after launch to land, staying near the field in cruise; cautious end."]
    capacity_mah: Annotated[float, "Charge of the pack as expected."]
    alarm_mah: Annotated[float, "Charge used at which to land; the alarm to set."]
    alarm_v: Annotated[float, "Voltage under the load of cruise at which to land; the alarm to set."]
    alarm_cell_v: Annotated[float, "The same for one cell."]
    reserve_pct: Annotated[float, "Charge left on landing; cold may raise it."]
    out_of_reach_pct: Annotated[float, "Charge that the cells cannot give in cruise without falling under their least."]
    least_cell_v: Annotated[float, "Least voltage of a cell under load, by its maker or the study's cut-off."]
    cell_most_a: Annotated[float, "Largest continuous current of the pack, by the maker of its cells."]
    full_throttle_a: Annotated[float, "Current at full throttle in cruise on a full pack."]
    full_throttle_until_mah: Annotated[
        float, "Charge used after which full throttle takes a cell below its least voltage."
    ]
    home_pct: Annotated[float, "Share of such wings that come home from the turning point."]
    warning: Annotated[str, "Limits that the wing breaks; usually empty."]
    notes: Annotated[list[str], "What to know about this card."]
    changes: Annotated[list[DayChange], "Ageing and drift by the logbook."]
