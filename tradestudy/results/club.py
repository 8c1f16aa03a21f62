"""Tables about more than one wing's numbers: members' wings, shopping, sections, parts compared."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from .field_specs import OldName, Unit
from .trade import MEASURE


@dataclass(frozen=True)
class ClubWing:
    """One member's set of equipment on the airframe proposed; numbers are empty where it cannot fly."""

    set: Annotated[str, "Name of the set of equipment."]
    members: Annotated[int, "How many fly it."]
    flown_today: Annotated[bool, "Whether the stock wing flies it."]
    equipment: Annotated[list[str], "What is on board."]
    equipment_g: Annotated[float, "What that weighs."]
    auw_g: Annotated[float, "All-up flying weight without ballast."]
    cg_mm: Annotated[float, "Balance mark behind the nose."]
    cg_from_trailing_edge_mm: Annotated[float, "Balance mark ahead of the root trailing edge."]
    cg_front_mm: Annotated[float | None, "Front end of the balance window."]
    cg_back_mm: Annotated[float | None, "Back end of the balance window."]
    cruise_speed_kmh: Annotated[float | None, "Cruise speed."]
    range_km: Annotated[float | None, "Range on one charge."]
    radius_km: Annotated[float | None, "Out and home."]
    usual_flight_min: Annotated[float | None, "Time of a usual flight."]
    endurance_min: Annotated[float | None, "Time in the air in steady cruise."]
    cruise_current_a: Annotated[float | None, "Current in cruise."]
    stall_speed_kmh: Annotated[float | None, "Stall speed."]
    climb_ms: Annotated[float | None, "Climb at full throttle."]
    up_elevon_mm: Annotated[float | None, "Up-elevon in cruise at the trailing edge."]
    pack_mm: Annotated[float, "Where the middle of the pack sits, behind the nose."]
    pack_needed_mm: Annotated[float, "Where it would have to sit to balance.", OldName("pack_wanted_mm")]
    pack_in_bay: Annotated[bool, "Whether its bay lets it."]
    pack_reach_mm: Annotated[list[float], "Front and back end of what its middle can reach."]
    movable_mm: Annotated[float | None, "Where the movable equipment sits; empty without."]
    ballast_g: Annotated[float, "Ballast that balances it."]
    ballast_mm: Annotated[float | None, "Where that goes, behind the nose; empty without."]
    balance: Annotated[str, "How it meets the balance mark, a sentence."]
    violated_limits: Annotated[list[str], "Limits that it breaks, in words.", OldName("broken_limits")]


@dataclass(frozen=True)
class Purchase:
    """One thing to buy."""

    what: Annotated[str, "What it is."]
    description: Annotated[str, "What one is like, a phrase.", OldName("each")]
    count_per_wing: Annotated[float, "How much one wing takes.", Unit("as unit says")]
    wings: Annotated[int, "For how many wings."]
    total: Annotated[float, "How much all of them take.", Unit("as unit says")]
    unit: Annotated[str, "What it is counted in."]


@dataclass(frozen=True)
class SectionFacts:
    """The whole section of the root, or of the tip where it differs."""

    place: Annotated[str, "Root or tip."]
    airfoil: Annotated[str, "What it is called."]
    chord_mm: Annotated[float, "Chord of foam and elevon."]
    thickness_pct: Annotated[float, "Thickness over chord."]
    thickness_mm: Annotated[float, "Thickness."]
    thickness_at_pct: Annotated[float, "Where it is thickest behind the nose, over chord."]
    camber_pct: Annotated[float, "Greatest height of the middle line above the chord line, over chord."]
    camber_at_pct: Annotated[float | None, "Where that is behind the nose, over chord; empty without camber."]
    area_cm2: Annotated[float, "Area."]
    perimeter_mm: Annotated[float, "Once round it."]
    zero_lift_angle_deg: Annotated[float, "Angle of no lift by the section model."]
    moment_coefficient: Annotated[float, "Moment coefficient at lift 0.3 by the section model."]
    thin_zero_lift_angle_deg: Annotated[float, "Angle of no lift of the middle line alone."]
    thin_moment_coefficient: Annotated[float, "Moment coefficient of the middle line alone."]


@dataclass(frozen=True)
class ComparedParts:
    """One propeller, motor and pack on the wing; numbers are empty where it cannot cruise."""

    propeller: Annotated[str, "Size of the propeller."]
    motor: Annotated[str, "Name of the motor."]
    pack: Annotated[str, "Name of the pack."]
    gain: Annotated[float | None, "What the study wants most of.", MEASURE]
    violations: Annotated[list[str], "What it breaks, sentences.", OldName("breaks")]
    range_km: Annotated[float | None, "Range on one charge."] = None
    speed_kmh: Annotated[float | None, "Best airspeed for the purpose."] = None
    hold_a: Annotated[float | None, "Mean current at it."] = None
    top_speed_kmh: Annotated[float | None, "Top speed."] = None
    stall_speed_kmh: Annotated[float | None, "Stall speed."] = None
    thrust_to_weight: Annotated[float | None, "Thrust standing over weight."] = None
    climb_ms: Annotated[float | None, "Climb at the end of the flight."] = None
    full_throttle_current_a: Annotated[float | None, "Current out of the pack at a standing full throttle."] = None
    full_throttle_motor_current_a: Annotated[float | None, "Current of the motor at it."] = None
    w_per_kg: Annotated[float | None, "Power out of the pack at it over the flying weight.", Unit("W/kg")] = None
    wing_loading_g_dm2: Annotated[float | None, "Flying weight over wing area."] = None
    auw_g: Annotated[float | None, "All-up flying weight."] = None
    first_rating: Annotated[str | None, "Whose rating it comes nearest to."] = None
    first_rating_pct: Annotated[float | None, "How much of that rating it takes."] = None
    own: Annotated[bool, "Whether it is what the wing has."] = False
