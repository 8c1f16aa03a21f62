"""What `assess`, `optimise` and `front` tell of every design, one number each, in the order of every table."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Annotated, Any

from .field_specs import OldName, Unit


@dataclass(frozen=True, kw_only=True)
class DesignNumbers:
    """The numbers of one design; None where a number does not exist for it, or was not asked for."""

    span_mm: Annotated[float, "Span from tip to tip."]
    sweep_deg: Annotated[float, "Sweep of the leading edge of a panel."]
    set_back_mm: Annotated[float, "How far the tip's leading edge lies behind the nose."]
    washout_deg: Annotated[float, "Washout of the tip against the root, chord line to chord line."]
    area_dm2: Annotated[float, "Wing area with the elevons."]
    auw_g: Annotated[float, "All-up flying weight."]
    cg_mm: Annotated[float, "Balance mark behind the nose."]
    cg_from_trailing_edge_mm: Annotated[float, "Balance mark ahead of the root trailing edge."]
    cg_front_mm: Annotated[float, "Front end of the balance window behind the nose."]
    cg_back_mm: Annotated[float, "Back end of the balance window behind the nose."]
    foremost_cg_mm: Annotated[float, "Foremost balance that still flies, behind the nose."]
    foremost_cg_why: Annotated[str, "What ends the balance range in front."]
    rearmost_cg_mm: Annotated[float, "Rearmost balance that still flies, behind the nose."]
    neutral_point_mm: Annotated[float, "Neutral point behind the nose."]
    static_margin_pct: Annotated[float, "Neutral point behind the balance mark over the mean chord."]
    elevon_deg: Annotated[float, "Elevon in cruise, up is minus."]
    elevon_mm: Annotated[float, "Elevon in cruise at the trailing edge, up is minus."]
    stall_elevon_deg: Annotated[float, "Elevon at the stall, up is minus."]
    stall_elevon_mm: Annotated[float, "Elevon at the stall at the trailing edge, up is minus."]
    up_travel_deg: Annotated[float, "Up-elevon at full stick."]
    cruise_speed_kmh: Annotated[float, "Cruise speed through the air."]
    range_km: Annotated[float, "Range on one charge in still air, the reserve kept."]
    radius_km: Annotated[float, "Out and home in the wind of the study, radio and law heeded."]
    radius_by_charge_km: Annotated[float, "Out and home in the wind of the study as far as the charge goes."]
    charge_left_pct: Annotated[float, "Charge left after out and home."]
    usual_flight_min: Annotated[float, "Time of a usual flight with its share of full throttle."]
    endurance_min: Annotated[float, "Time in the air in steady cruise, the reserve kept."]
    wh_per_km: Annotated[float, "Energy for a kilometre in cruise."]
    mah_per_km: Annotated[float, "Charge for a kilometre in cruise."]
    cruise_current_a: Annotated[float, "Mean current out of the pack in cruise."]
    end_current_a: Annotated[float, "Current at the end of the flight."]
    stall_speed_kmh: Annotated[float, "Stall speed in trim."]
    trimmed_lift_max: Annotated[float, "Largest lift coefficient of the wing in trim."]
    stall_starts_at_mm: Annotated[float, "Where the stall begins, from the centre line."]
    tips_left_pct: Annotated[float, "Lift that the tips have in hand when the stall begins."]
    top_speed_kmh: Annotated[float, "Top speed, level at full throttle on a full pack."]
    control_speed_kmh: Annotated[
        float | None, "Speed at which twist leaves 0.4 of the roll control; empty where it never does."
    ] = None
    control_speed_weak_kmh: Annotated[float | None, "The same with the film gone loose."] = None
    roll_reversal_kmh: Annotated[float | None, "Speed at which roll control is gone; empty where it never is."] = None
    roll_reversal_weak_kmh: Annotated[float | None, "The same with the film gone loose."] = None
    pitch_reversal_kmh: Annotated[float | None, "Speed at which pitch control is gone; empty where it never is."] = None
    twist_off_kmh: Annotated[float | None, "Speed at which the wing twists off; empty where none was found."] = None
    natural_frequency_hz: Annotated[
        float | None,
        "Lowest frequency of a wing held at its root; told of wings looked at in full.",
        OldName("swing_hz"),
    ] = None
    second_natural_frequency_hz: Annotated[
        float | None, "Second frequency of that wing, bend and twist mixed.", OldName("second_swing_hz")
    ] = None
    flutter_low_kmh: Annotated[float | None, "Speed at which flutter may come as early as."] = None
    flutter_kmh: Annotated[float | None, "Speed at which flutter is likely."] = None
    flutter_high_kmh: Annotated[float | None, "Speed at which flutter may come as late as."] = None
    advised_speed_kmh: Annotated[float | None, "Speed that had better not be exceeded; an estimate, no clearance."] = (
        None
    )
    advised_speed_weak_kmh: Annotated[float | None, "The same with weak foam, film and bond."] = None
    advised_speed_why: Annotated[str, "What may happen beyond the advised speed; empty where none is advised."] = ""
    full_throttle_current_a: Annotated[float, "Current out of a full pack at full throttle."]
    low_pack_current_a: Annotated[float, "Current at full throttle with the pack at its reserve."]
    first_rating: Annotated[str, "Whose rated current full throttle comes nearest to."]
    throttle_within_ratings_pct: Annotated[float, "Throttle that keeps all rated currents, standing."]
    static_thrust_g: Annotated[float, "Thrust standing at full throttle, as the weight it lifts."]
    cruise_rpm: Annotated[float, "Rotational speed of the propeller in cruise."]
    full_throttle_rpm: Annotated[float, "Highest rotational speed of the propeller at full throttle."]
    motor_cruise_c: Annotated[float | None, "Copper of the motor in long cruise; empty where it burns."] = None
    motor_full_throttle_c: Annotated[
        float | None, "Copper of the motor at top speed for minutes; empty where it burns."
    ] = None
    climb_ms: Annotated[float, "Climb at full throttle at the end of the flight."]
    failure_load_factor: Annotated[float, "Load factor at which something breaks in the hardest pull-up.", Unit("g")]
    limit_load_factor: Annotated[
        float, "Load factor to fly to, the one at which it breaks over the safety factor.", Unit("g")
    ]
    first_failure: Annotated[str, "What breaks first in the hardest pull-up."]
    first_failure_at_mm: Annotated[float, "Where that breaks, from the centre line."]
    tip_deflection_mm: Annotated[float, "Rise of the tips in the hardest pull-up."]
    wing_loading_g_dm2: Annotated[float, "Flying weight over wing area."]
    thrust_to_weight: Annotated[float, "Thrust standing over weight."]
    fin_volume: Annotated[float, "Fin area times lever over wing area times span."]
    pack_position_mm: Annotated[float, "Middle of the pack behind the nose."]
    pack_energy_wh: Annotated[float, "Energy in the full pack."]
    rod_length_mm: Annotated[float, "Length of the longest rod in each half."]
    yaw_stiffness: Annotated[float, "Yawing moment coefficient per radian of sideslip.", Unit("per rad")]
    dihedral_effect: Annotated[
        float, "Rolling moment coefficient per radian of sideslip, minus lifts the wind side.", Unit("per rad")
    ]
    roll_damping: Annotated[float, "Rolling moment coefficient per radian of helix angle.", Unit("per rad")]
    roll_rate_deg_s: Annotated[float, "Roll rate in cruise, one elevon full up and one full down."]
    roll_deg_per_m: Annotated[float, "Roll on each metre flown with the same elevons."]
    dutch_roll_damping: Annotated[float, "Damping ratio of wagging and rocking."]
    dutch_roll_period_s: Annotated[float | None, "Time of one swing of that wagging; empty where nothing swings."] = (
        None
    )
    spiral_time_s: Annotated[
        float | None, "Time in which a bank left alone halves; negative is minus the time in which it doubles."
    ] = None
    pitch_damping: Annotated[float, "Pitching moment coefficient per pitch rate, made free of units.", Unit("per rad")]
    short_period_damping: Annotated[float, "Damping ratio of its quick nodding."]
    short_period_s: Annotated[float | None, "Time of one quick nod; empty where nothing swings."] = None
    phugoid_s: Annotated[float | None, "Time of one slow rise and fall; empty where nothing swings."] = None
    hinge_moment_ncm: Annotated[
        float | None, "Moment of the air about the hinge, full elevon at top speed; told where a linkage is."
    ] = None
    servo_needed_ncm: Annotated[
        float | None, "Torque a servo should have for full elevon at top speed, reserve included."
    ] = None
    servo_torque_ncm: Annotated[float | None, "Torque of one servo."] = None
    servo_speed_kmh: Annotated[float | None, "Speed up to which it holds full elevon with that reserve."] = None
    elevon_play_deg: Annotated[float | None, "Free play of the elevon from end to end."] = None
    elevon_left_pct: Annotated[
        float | None,
        "Elevon left of what is asked at top speed by the give of the linkage.",
        OldName("elevon_held_pct"),
    ] = None
    elevon_natural_frequency_hz: Annotated[
        float | None, "Frequency of an elevon on its linkage.", OldName("elevon_swing_hz")
    ] = None
    elevon_unbalance_gcm: Annotated[float | None, "Weight of an elevon behind its hinge times its arm."] = None

    def known(self) -> dict[str, Any]:
        """Return all of them by their names, in order."""
        return {each.name: getattr(self, each.name) for each in fields(self)}


# what a table has a column for, in this order
KEYS = tuple(each.name for each in fields(DesignNumbers))
