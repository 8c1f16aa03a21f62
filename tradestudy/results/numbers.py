"""The numbers of every design, and the balance of one wing.

All tables of `assess`, `optimise` and `front` use the order of the numbers.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Annotated, Any

from .field_specs import OldName, Unit


@dataclass(frozen=True, kw_only=True)
class DesignNumbers:
    """The numbers of one design. A number is None if it does not exist or was not requested."""

    span_mm: Annotated[float, "Span from tip to tip."]
    sweep_deg: Annotated[float, "Sweep of the leading edge of a panel."]
    set_back_mm: Annotated[float, "Set-back: leading edge of the tip behind the nose."]
    washout_deg: Annotated[float, "Washout of the tip against the root, chord line to chord line."]
    tip_chord_mm: Annotated[float, "Chord of the foam at the tip."]
    area_dm2: Annotated[float, "Wing area with the elevons."]
    auw_g: Annotated[float, "All-up flying weight."]
    cg_mm: Annotated[float, "Balance mark behind the nose."]
    cg_from_trailing_edge_mm: Annotated[float, "Balance mark ahead of the root trailing edge."]
    cg_front_mm: Annotated[float, "Front end of the balance window behind the nose."]
    cg_front_from_trailing_edge_mm: Annotated[float, "The same end ahead of the root trailing edge."]
    cg_front_why: Annotated[str, "What ends the balance window in front."] = ""
    cg_back_mm: Annotated[
        float, "Back end of the balance window behind the nose. Ahead of the front end: no place is left."
    ]
    cg_back_from_trailing_edge_mm: Annotated[float, "The same end ahead of the root trailing edge."]
    cg_back_why: Annotated[str, "What ends the balance window behind."] = ""
    first_flight_cg_mm: Annotated[
        float | None, "Balance for the first flight, behind the nose; empty where no place in the window will do."
    ] = None
    first_flight_cg_from_trailing_edge_mm: Annotated[
        float | None, "The same place ahead of the root trailing edge."
    ] = None
    side_balance_mm: Annotated[
        float | None, "Centre of gravity right of the centre line; empty where nothing stands on one side."
    ] = None
    tip_weight_g: Annotated[float | None, "Weight in the lighter tip that brings it to the middle."] = None
    neutral_point_mm: Annotated[float, "Neutral point behind the nose."]
    static_margin_pct: Annotated[float, "Static margin over the mean chord."]
    elevon_deg: Annotated[float, "Elevon in cruise, up is negative."]
    elevon_mm: Annotated[float, "Elevon in cruise at the trailing edge, up is negative."]
    stall_elevon_deg: Annotated[float, "Elevon at the stall, up is negative."]
    stall_elevon_mm: Annotated[float, "Elevon at the stall at the trailing edge, up is negative."]
    up_travel_deg: Annotated[float, "Up-elevon at full stick."]
    cruise_speed_kmh: Annotated[float, "Cruise speed through the air."]
    range_km: Annotated[float, "Range on one charge in still air, the reserve kept."]
    radius_km: Annotated[float, "Farthest distance out with a return, in the wind and the distance limit of the study."]
    radius_by_charge_km: Annotated[
        float, "Farthest distance out with a return, in the wind of the study, limited by charge alone."
    ]
    charge_left_pct: Annotated[float, "Charge left after flying out and home."]
    usual_flight_min: Annotated[float, "Duration of a usual flight with its share of full throttle."]
    endurance_min: Annotated[float, "Duration of a steady cruise, the reserve kept."]
    wh_per_km: Annotated[float, "Energy per kilometre in cruise."]
    mah_per_km: Annotated[float, "Charge per kilometre in cruise."]
    cruise_current_a: Annotated[float, "Mean current out of the pack in cruise."]
    end_current_a: Annotated[float, "Current at the end of the flight."]
    stall_speed_kmh: Annotated[float, "Stall speed in trim."]
    trimmed_lift_max: Annotated[float, "Largest lift coefficient of the wing in trim."]
    stall_starts_at_mm: Annotated[float, "Place where the stall begins, from the centre line."]
    tips_left_pct: Annotated[float, "Lift left in the outer 30 % of each half when the stall begins, over its largest."]
    launch_way: Annotated[str, "How it is launched: hand, bungee, dolly or wheels."] = ""
    launch_speed_kmh: Annotated[
        float | None, "Airspeed of a throw, off the bungee or off the ground; empty where nothing limits it."
    ] = None
    throw_low_kmh: Annotated[float | None, "Low end of the airspeed of a throw; empty where it is not thrown."] = None
    throw_high_kmh: Annotated[float | None, "High end of that airspeed."] = None
    least_launch_speed_kmh: Annotated[float | None, "Least airspeed off a bungee, a dolly or wheels."] = None
    launch_angle_deg: Annotated[float | None, "Angle of the path above level at a throw."] = None
    launch_delay_s: Annotated[float | None, "Time from a throw until the motor runs."] = None
    launch_height_left_m: Annotated[
        float | None, "Height above the ground after a throw, when the path is level; empty where it is not thrown."
    ] = None
    weak_throw_height_left_m: Annotated[float | None, "The same at the low end of the airspeed of a throw."] = None
    launch_elevon_mm: Annotated[
        float | None, "Elevon at the trailing edge that holds it just above the stall after a throw, up is negative."
    ] = None
    top_speed_kmh: Annotated[float, "Top speed in level flight at full throttle on a full pack."]
    control_speed_kmh: Annotated[
        float | None, "Speed at which twist leaves 0.4 of the roll control; empty where there is none."
    ] = None
    control_speed_weak_kmh: Annotated[float | None, "The same with a debonded film."] = None
    roll_reversal_kmh: Annotated[float | None, "Roll reversal speed; empty where there is none."] = None
    roll_reversal_weak_kmh: Annotated[float | None, "The same with a debonded film."] = None
    pitch_reversal_kmh: Annotated[float | None, "Pitch reversal speed; empty where there is none."] = None
    twist_off_kmh: Annotated[float | None, "Twist-off (divergence) speed; empty where none was found."] = None
    natural_frequency_hz: Annotated[
        float | None,
        "Lowest natural frequency of the half wing clamped at its root.",
        OldName("swing_hz"),
    ] = None
    second_natural_frequency_hz: Annotated[
        float | None, "Second natural frequency, bending and torsion coupled.", OldName("second_swing_hz")
    ] = None
    flutter_low_kmh: Annotated[float | None, "Low end of the band of the flutter speed."] = None
    flutter_kmh: Annotated[float | None, "Likely flutter speed."] = None
    flutter_high_kmh: Annotated[float | None, "High end of the band of the flutter speed."] = None
    advised_speed_kmh: Annotated[float | None, "Advised maximum speed; an estimate, no clearance."] = None
    advised_speed_weak_kmh: Annotated[float | None, "The same with weak foam, film and bond."] = None
    advised_speed_why: Annotated[str, "What may happen above the advised speed; empty where none is advised."] = ""
    full_throttle_current_a: Annotated[float, "Current at full throttle on a full pack."]
    full_throttle_voltage_v: Annotated[float | None, "Voltage of the full pack at full throttle, standing."] = None
    low_pack_current_a: Annotated[float, "Current at full throttle with the pack at its reserve."]
    first_rating: Annotated[str, "Part whose rated current is reached first at full throttle."]
    throttle_within_ratings_pct: Annotated[float, "Largest static throttle within all rated currents."]
    static_thrust_g: Annotated[float, "Static thrust at full throttle, as a mass."]
    cruise_rpm: Annotated[float, "Rotational speed of the propeller in cruise."]
    full_throttle_rpm: Annotated[float, "Highest rotational speed of the propeller at full throttle."]
    motor_cruise_c: Annotated[
        float | None, "Winding temperature of the motor in a long cruise; empty where it overheats."
    ] = None
    motor_full_throttle_c: Annotated[
        float | None, "Winding temperature of the motor after minutes at top speed; empty where it overheats."
    ] = None
    climb_ms: Annotated[float, "Rate of climb at full throttle at the end of the flight."]
    failure_load_factor: Annotated[float, "Failure load factor in the hardest pull-up.", Unit("g")]
    limit_load_factor: Annotated[float, "Limit load factor: the failure load factor over the safety factor.", Unit("g")]
    first_failure: Annotated[str, "First failure mode in the hardest pull-up."]
    first_failure_at_mm: Annotated[float, "Place of the first failure, from the centre line."]
    tip_deflection_mm: Annotated[float, "Deflection of the tips in the hardest pull-up."]
    wing_loading_g_dm2: Annotated[float, "Flying weight over wing area."]
    thrust_to_weight: Annotated[float, "Static thrust over weight."]
    fin_volume: Annotated[float, "Fin volume: fin area times lever over wing area times span."]
    pack_position_mm: Annotated[float, "Middle of the pack behind the nose."]
    clearance_mm: Annotated[
        float | None, "Least room left above and below bays and joiner; empty where nothing lies in the foam."
    ] = None
    payload_g: Annotated[float | None, "Payload on board; empty where none was asked for."] = None
    most_payload_g: Annotated[
        float | None,
        "Largest payload with which this wing as it is meets every limit; empty where it breaks one without, or where "
        "not computed.",
    ] = None
    loaded_range_km: Annotated[float | None, "Range with that payload, reserve kept."] = None
    loaded_radius_km: Annotated[
        float | None, "Farthest distance out with a return with it, limited by charge alone."
    ] = None
    loaded_flight_min: Annotated[float | None, "Duration of a usual flight with it."] = None
    loaded_cruise_kmh: Annotated[float | None, "Cruise speed with it."] = None
    loaded_cg_mm: Annotated[float | None, "Balance mark behind the nose with it."] = None
    payload_end: Annotated[str, "The limit that a larger payload breaks first."] = ""
    pack_energy_wh: Annotated[float, "Energy in the full pack."]
    build_price: Annotated[
        float | None, "Price of what the build buys; empty where the study has no prices.", Unit("as currency says")
    ] = None
    price_per_km_gained: Annotated[
        float | None,
        "That price over the range gained on the stock wing; empty where none is gained.",
        Unit("as currency says, per km"),
    ] = None
    rod_length_mm: Annotated[float, "Length of the longest rod in each half."]
    yaw_stiffness: Annotated[float, "Yawing moment coefficient per radian of sideslip.", Unit("per rad")]
    dihedral_effect: Annotated[
        float, "Rolling moment coefficient per radian of sideslip, negative lifts the windward wing.", Unit("per rad")
    ]
    roll_damping: Annotated[float, "Rolling moment coefficient per radian of helix angle.", Unit("per rad")]
    roll_rate_deg_s: Annotated[float, "Roll rate in cruise, one elevon full up and one full down."]
    roll_deg_per_m: Annotated[float, "Roll angle per metre flown with the same elevons."]
    dutch_roll_damping: Annotated[float, "Damping ratio of the Dutch roll."]
    dutch_roll_period_s: Annotated[float | None, "Period of the Dutch roll; empty where it is aperiodic."] = None
    spiral_time_s: Annotated[float | None, "Time to half bank angle of the spiral; negative is the time to double."] = (
        None
    )
    pitch_damping: Annotated[float, "Pitching moment coefficient per dimensionless pitch rate.", Unit("per rad")]
    short_period_damping: Annotated[float, "Damping ratio of the short period."]
    short_period_s: Annotated[float | None, "Period of the short period mode; empty where it is aperiodic."] = None
    phugoid_s: Annotated[float | None, "Period of the phugoid; empty where it is aperiodic."] = None
    hinge_moment_ncm: Annotated[
        float | None, "Hinge moment at full elevon and top speed; empty without a linkage in the study."
    ] = None
    servo_needed_ncm: Annotated[float | None, "Servo torque needed for full elevon at top speed, reserve included."] = (
        None
    )
    servo_torque_ncm: Annotated[float | None, "Torque of one servo."] = None
    servo_speed_kmh: Annotated[float | None, "Speed up to which the servo holds full elevon with that reserve."] = None
    elevon_play_deg: Annotated[float | None, "Free play of the elevon, end to end."] = None
    elevon_left_pct: Annotated[
        float | None,
        "Share of the commanded elevon at top speed that a flexible linkage leaves.",
        OldName("elevon_held_pct"),
    ] = None
    elevon_natural_frequency_hz: Annotated[
        float | None, "Natural frequency of an elevon on its linkage.", OldName("elevon_swing_hz")
    ] = None
    elevon_unbalance_gcm: Annotated[float | None, "Unbalance of an elevon about its hinge."] = None

    def known(self) -> dict[str, Any]:
        """Return a dict of name -> value with all numbers in order, including those that are None."""
        return {each.name: getattr(self, each.name) for each in fields(self)}


@dataclass(frozen=True)
class BalanceReason:
    """One reason that ends the balance window, with the place where it alone would end it."""

    side: Annotated[str, "End of the window: front or back."]
    why: Annotated[str, "What rules out the places beyond."]
    behind_nose_mm: Annotated[float, "Place of the balance behind the nose."]
    ahead_mm: Annotated[float, "The same place ahead of the root trailing edge."]
    is_limit: Annotated[bool, "Whether a limit says so; the wing may still fly beyond it."] = False


@dataclass(frozen=True)
class BalanceMove:
    """One way to move the balance. Moves stand in the order of their cost."""

    what: Annotated[str, "What is moved, taken off or added."]
    unit: Annotated[str, "Unit of the amounts: mm moved, or g added or taken off."]
    mark_per_ten_mm: Annotated[float, "How far ten of that unit move the balance; back is positive."]
    most: Annotated[float | None, "Largest amount there is room for; empty without a bound.", Unit("as unit says")]
    needed: Annotated[
        float | None,
        "Amount that alone reaches the mark; empty where the pack reaches it.",
        Unit("as unit says"),
    ]
    enough: Annotated[bool, "Whether that amount is possible."]
    words: Annotated[str, "Where to, in words."] = ""


@dataclass(frozen=True)
class WingBalance:
    """What ends the balance window of one wing, and what moves its balance."""

    missing_mm: Annotated[
        float, "How far the balance stays ahead of the mark with the pack at its end; behind it is negative."
    ]
    reasons: Annotated[list[BalanceReason], "Every reason: those in front from the rearmost, then those behind."]
    moves: Annotated[list[BalanceMove], "Ways to move the balance, the cheapest first."]


# names of the columns of a table, in order
KEYS = tuple(each.name for each in fields(DesignNumbers))
