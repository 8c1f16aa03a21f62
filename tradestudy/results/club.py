"""Tables of a result in addition to its designs: members' wings, shopping list, sections, parts compared."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated

from .field_specs import OldName, Unit
from .trade import MEASURE


@dataclass(frozen=True)
class ClubWing:
    """The proposed airframe with one member's set of equipment. Numbers are empty if this wing cannot fly."""

    set: Annotated[str, "Name of the set of equipment."]
    members: Annotated[int, "How many members fly with this set."]
    flown_today: Annotated[bool, "Whether the stock wing flies with this set."]
    equipment: Annotated[list[str], "Names of the equipment."]
    equipment_g: Annotated[float, "Mass of the equipment."]
    auw_g: Annotated[float, "All-up flying weight without ballast."]
    cg_mm: Annotated[float, "Balance mark behind the nose."]
    cg_from_trailing_edge_mm: Annotated[float, "Balance mark ahead of the root trailing edge."]
    cg_front_mm: Annotated[float | None, "Front end of the balance window."]
    cg_back_mm: Annotated[float | None, "Back end of the balance window."]
    cruise_speed_kmh: Annotated[float | None, "Cruise speed."]
    range_km: Annotated[float | None, "Range on one charge."]
    radius_km: Annotated[float | None, "Farthest distance out with a return to the start."]
    usual_flight_min: Annotated[float | None, "Duration of a usual flight."]
    endurance_min: Annotated[float | None, "Duration of a steady cruise."]
    cruise_current_a: Annotated[float | None, "Mean current in cruise."]
    stall_speed_kmh: Annotated[float | None, "Stall speed."]
    climb_ms: Annotated[float | None, "Climb at full throttle."]
    up_elevon_mm: Annotated[float | None, "Up-elevon in cruise at the trailing edge."]
    pack_mm: Annotated[float, "Middle of the pack, behind the nose."]
    pack_needed_mm: Annotated[
        float, "Middle of the pack that would balance the wing without ballast.", OldName("pack_wanted_mm")
    ]
    pack_in_bay: Annotated[bool, "Whether the bay allows that place."]
    pack_reach_mm: Annotated[list[float], "Foremost and rearmost place that the bay allows."]
    movable_mm: Annotated[float | None, "Place of the movable equipment, behind the nose; empty without any."]
    ballast_g: Annotated[float, "Ballast needed to balance the wing."]
    ballast_mm: Annotated[float | None, "Place of the ballast, behind the nose; empty without any."]
    balance: Annotated[str, "One sentence on how to reach the balance mark."]
    violated_limits: Annotated[list[str], "Words for the limits that it violates.", OldName("broken_limits")]


@dataclass(frozen=True)
class ClubSpan:
    """The best airframe of one span with one member's set of equipment. Numbers are empty if this wing cannot fly."""

    span_mm: Annotated[float, "Span of the airframe."]
    recommended: Annotated[bool, "Whether it is the recommended airframe."]
    set: Annotated[str, "Name of the set of equipment."]
    members: Annotated[int, "How many members fly with this set."]
    flown_today: Annotated[bool, "Whether the stock wing flies with this set."]
    auw_g: Annotated[float, "All-up flying weight without ballast."]
    range_km: Annotated[float | None, "Range on one charge."]
    radius_km: Annotated[float | None, "Farthest distance out with a return to the start."]
    usual_flight_min: Annotated[float | None, "Duration of a usual flight."]
    stall_speed_kmh: Annotated[float | None, "Stall speed."]
    pack_in_bay: Annotated[bool, "Whether the bay allows the pack to balance it."]
    ballast_g: Annotated[float, "Ballast needed to balance the wing."]
    violated_limits: Annotated[list[str], "Words for the limits that it violates."]


@dataclass(frozen=True)
class Purchase:
    """One line of the shopping list."""

    what: Annotated[str, "Name of the material or part."]
    description: Annotated[str, "Size or kind of one unit.", OldName("each")]
    count_per_wing: Annotated[float, "Amount that one wing needs.", Unit("as unit says")]
    wings: Annotated[int, "Number of wings."]
    total: Annotated[float, "Amount that all wings need.", Unit("as unit says")]
    unit: Annotated[str, "Unit of the amounts."]
    kind: Annotated[str, "Kind of part, as in the key shopping.owned."] = ""
    owned: Annotated[bool, "Whether the study says that it is owned, so that it is not bought."] = False
    cuts_mm: Annotated[list[list[float]], "Pieces to cut from each length of rod, for all wings."] = field(
        default_factory=list
    )
    is_fewest: Annotated[bool, "Whether it is proven that no way of cutting rods needs fewer lengths."] = False
    which: Annotated[str, "Name by which a price of the study finds it."] = ""
    price_each: Annotated[
        float | None, "Price of one unit by the study; empty without one.", Unit("as currency says")
    ] = None
    price: Annotated[
        float | None, "Price of all wings' amount, less what is owned; empty without one.", Unit("as currency says")
    ] = None


@dataclass(frozen=True)
class SectionFacts:
    """Properties of the complete section, foam and elevon, at the root. The tip has its own entry if it differs."""

    place: Annotated[str, "Root or tip."]
    airfoil: Annotated[str, "Name of the airfoil."]
    chord_mm: Annotated[float, "Chord of foam and elevon."]
    thickness_pct: Annotated[float, "Thickness over chord."]
    thickness_mm: Annotated[float, "Thickness."]
    thickness_at_pct: Annotated[float, "Place of the greatest thickness, over chord."]
    camber_pct: Annotated[float, "Greatest camber, over chord."]
    camber_at_pct: Annotated[float | None, "Place of the greatest camber, over chord; empty without camber."]
    area_cm2: Annotated[float, "Area."]
    perimeter_mm: Annotated[float, "Perimeter."]
    zero_lift_angle_deg: Annotated[float, "Zero-lift angle by the section model."]
    moment_coefficient: Annotated[float, "Moment coefficient at lift 0.3 by the section model."]
    thin_zero_lift_angle_deg: Annotated[float, "Zero-lift angle of the mean line, by thin-aerofoil theory."]
    thin_moment_coefficient: Annotated[float, "Moment coefficient of the mean line, by thin-aerofoil theory."]


@dataclass(frozen=True)
class ComparedParts:
    """One combination of propeller, motor and pack on the wing. Numbers are empty if it cannot cruise."""

    propeller: Annotated[str, "Size of the propeller."]
    motor: Annotated[str, "Name of the motor."]
    pack: Annotated[str, "Name of the pack."]
    gain: Annotated[float | None, "Value of the study's objective.", MEASURE]
    violations: Annotated[list[str], "Sentences on the ratings and limits that it violates.", OldName("breaks")]
    range_km: Annotated[float | None, "Range on one charge."] = None
    speed_kmh: Annotated[float | None, "Best airspeed for the purpose."] = None
    hold_a: Annotated[float | None, "Mean current at the best airspeed."] = None
    top_speed_kmh: Annotated[float | None, "Top speed."] = None
    stall_speed_kmh: Annotated[float | None, "Stall speed."] = None
    thrust_to_weight: Annotated[float | None, "Static thrust over weight."] = None
    climb_ms: Annotated[float | None, "Rate of climb at the end of the flight."] = None
    full_throttle_current_a: Annotated[float | None, "Pack current at full throttle, static."] = None
    full_throttle_motor_current_a: Annotated[float | None, "Motor current at full throttle, static."] = None
    w_per_kg: Annotated[float | None, "Pack power at full throttle, static, over the flying weight.", Unit("W/kg")] = (
        None
    )
    wing_loading_g_dm2: Annotated[float | None, "Flying weight over wing area."] = None
    auw_g: Annotated[float | None, "All-up flying weight."] = None
    first_rating: Annotated[str | None, "Part whose rating is reached first."] = None
    first_rating_pct: Annotated[float | None, "Share of that rating that is used."] = None
    own: Annotated[bool, "Whether these are the parts of the proposed wing."] = False
