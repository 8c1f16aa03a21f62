"""The quantities that a user sees: for each its name, its unit, its words, and its decimals in print."""

from __future__ import annotations

from dataclasses import dataclass

from .units import from_si, unit_of_name


@dataclass(frozen=True)
class Quantity:
    """One quantity. Inside the program its values are SI.

    ``key`` is its name in files and printed output, and usually ends in the unit shown to the user. If ``key`` ends in
    no unit, ``kind_and_unit`` gives kind and unit. ``shown`` is the text after a printed number, if not the unit.

    ``words`` head a row of a table, and ``label`` is used within a sentence. ``output`` is the name of the model's
    output. ``better`` is +1 if more is better, -1 if less is better, and 0 if neither is better.
    """

    key: str
    words: str = ""
    decimals: int = 0
    shown: str | None = None
    output: str = ""
    label: str = ""
    better: int = 0
    kind_and_unit: tuple[str, str] | None = None

    @property
    def kind(self) -> str:
        """Return the kind of the quantity, such as "length". Kinds are the keys of `units.UNITS`."""
        return (self.kind_and_unit or unit_of_name(self.key))[0]

    @property
    def unit(self) -> str:
        """Return the unit shown to the user. It is empty for a pure number or a text."""
        return (self.kind_and_unit or unit_of_name(self.key))[1]

    @property
    def suffix(self) -> str:
        """Return the text that follows a number of this quantity in a table."""
        return self.unit.replace("2", "²") if self.shown is None else self.shown

    def in_unit(self, value: float) -> float:
        """Return an SI value in the unit shown to the user."""
        return float(from_si(value, self.unit, self.kind))


# The numbers of every design, in the order of the table in a report.
DESIGN_QUANTITIES = (
    Quantity("span_mm", "Span", 0, label="span", better=-1),
    Quantity("area_dm2", "Wing area", 1),
    Quantity("sweep_deg", "Sweep of the leading edge", 1),
    Quantity("set_back_mm", "Tip set-back", 0),
    Quantity("washout_deg", "Washout", 1),
    Quantity("tip_chord_mm", "Foam chord at the tip", 0),
    Quantity("rod_length_mm", "Rod length, each half", 0),
    Quantity("auw_g", "Flying weight", 0, output="all_up_mass", label="flying weight", better=-1),
    Quantity("payload_g", "Payload", 0, label="payload", better=+1),
    Quantity("wing_loading_g_dm2", "Wing loading", 1, label="wing loading", better=-1),
    Quantity("cg_mm", "Balance mark behind the nose", 0),
    Quantity("cg_from_trailing_edge_mm", "Balance mark ahead of the root trailing edge", 0),
    Quantity("cg_front_mm", "Balance window, front end behind the nose", 0),
    Quantity("cg_front_from_trailing_edge_mm", "The same end, ahead of the root trailing edge", 0),
    Quantity("cg_front_why", "What ends the balance window in front", 0),
    Quantity("cg_back_mm", "Balance window, back end behind the nose", 0),
    Quantity("cg_back_from_trailing_edge_mm", "The same end, ahead of the root trailing edge", 0),
    Quantity("cg_back_why", "What ends the balance window behind", 0),
    Quantity("first_flight_cg_mm", "Balance for the first flight, behind the nose", 0),
    Quantity("first_flight_cg_from_trailing_edge_mm", "The same place, ahead of the root trailing edge", 0),
    Quantity("side_balance_mm", "Balance to the right of the middle", 1),
    Quantity("tip_weight_g", "Weight in the lighter tip", 0),
    Quantity("neutral_point_mm", "Neutral point behind the nose", 0),
    Quantity("static_margin_pct", "Static margin", 1, shown="% of mean chord"),
    Quantity("pack_position_mm", "Middle of the pack behind the nose", 0, output="pack_position"),
    Quantity("clearance_mm", "Least room for bays and joiner in the section", 1, output="clearance"),
    Quantity("pack_energy_wh", "Energy in the pack", 0, label="pack energy", better=-1),
    Quantity("build_price", "Price of what the build buys", 2, label="price", better=-1),
    Quantity("price_per_km_gained", "Price of each kilometre gained in still air", 2),
    Quantity("cruise_speed_kmh", "Cruise speed", 0, label="cruise speed", better=+1),
    Quantity("range_km", "Range, still air, reserve kept", 0, output="range", label="range", better=+1),
    Quantity("radius_km", "Out and home in the wind", 1),
    Quantity(
        "radius_by_charge_km",
        "Out and home as far as the charge goes",
        1,
        output="radius",
        label="out and home",
        better=+1,
    ),
    Quantity("charge_left_pct", "Charge left after out and home", 0),
    Quantity(
        "usual_flight_min",
        "Usual flight with its share of full throttle",
        0,
        output="usual_time",
        label="usual flight",
        better=+1,
    ),
    Quantity(
        "endurance_min",
        "Time in the air in steady cruise",
        0,
        output="endurance",
        label="time in the air",
        better=+1,
    ),
    Quantity("most_payload_g", "Largest payload on this wing as it is", 0),
    Quantity("loaded_range_km", "Range with that payload", 0),
    Quantity("loaded_radius_km", "Out and home with that payload, as far as the charge goes", 1),
    Quantity("loaded_flight_min", "Usual flight with that payload", 0),
    Quantity("loaded_cruise_kmh", "Cruise speed with that payload", 0),
    Quantity("loaded_cg_mm", "Balance mark with that payload, behind the nose", 0),
    Quantity("payload_end", "What ends the payload"),
    Quantity("wh_per_km", "Energy per kilometre", 2),
    Quantity("mah_per_km", "Charge per kilometre", 0),
    Quantity("cruise_current_a", "Current in cruise", 1),
    Quantity("end_current_a", "Current at the end of the flight", 1, output="end_current"),
    Quantity("elevon_mm", "Elevon in cruise at the trailing edge, up is negative", 1),
    Quantity("elevon_deg", "Elevon in cruise, up is negative", 1, output="elevon"),
    Quantity("stall_speed_kmh", "Stall speed", 0, output="stall_speed", label="stall speed", better=-1),
    Quantity("trimmed_lift_max", "Largest lift coefficient in trim", 2),
    Quantity("up_travel_deg", "Up-elevon at full stick", 0),
    Quantity("stall_elevon_deg", "Elevon at the stall, up is negative", 1),
    Quantity("stall_elevon_mm", "Elevon at the stall at the trailing edge", 1),
    Quantity("tips_left_pct", "Lift left at the tips when the stall begins", 1, output="tips_left"),
    Quantity("stall_starts_at_mm", "Where the stall begins, from the centre line", 0),
    Quantity("launch_way", "Launch"),
    Quantity("launch_speed_kmh", "Airspeed at launch", 0),
    Quantity("throw_low_kmh", "Airspeed of a throw, low end", 0),
    Quantity("throw_high_kmh", "Airspeed of a throw, high end", 0),
    Quantity("least_launch_speed_kmh", "Least airspeed off a bungee, a dolly or wheels", 0),
    Quantity("launch_angle_deg", "Angle above level at a throw", 0),
    Quantity("launch_delay_s", "Motor after a throw", 1),
    Quantity("launch_height_left_m", "Height left after a throw by hand", 1, output="launch_height_left"),
    Quantity("weak_throw_height_left_m", "Height left after a weak throw", 1),
    Quantity("launch_elevon_mm", "Elevon at launch at the trailing edge, up is negative", 1),
    Quantity("top_speed_kmh", "Top speed", 0),
    Quantity("control_speed_kmh", "Speed with 0.4 of roll control left by twist", 0),
    Quantity("control_speed_weak_kmh", "Speed with 0.4 of roll control left, film debonded", 0),
    Quantity("roll_reversal_kmh", "Roll reversal speed", 0),
    Quantity("roll_reversal_weak_kmh", "Roll reversal speed, film debonded", 0),
    Quantity("pitch_reversal_kmh", "Pitch reversal speed", 0),
    Quantity("twist_off_kmh", "Twist-off speed, empty if above 360 km/h", 0),
    Quantity("natural_frequency_hz", "First natural frequency, root clamped", 1),
    Quantity("second_natural_frequency_hz", "Second natural frequency, bending and twist", 1),
    Quantity("flutter_low_kmh", "Flutter speed, low end of its band", 0),
    Quantity("flutter_kmh", "Flutter speed, likely", 0),
    Quantity("flutter_high_kmh", "Flutter speed, high end of its band", 0),
    Quantity("advised_speed_kmh", "Advised maximum speed", 0),
    Quantity("advised_speed_weak_kmh", "Advised maximum speed, weak foam, film and bond", 0),
    Quantity("advised_speed_why", "What may happen above the advised speed", 0),
    Quantity("full_throttle_current_a", "Current at full throttle", 1, output="full_throttle_current"),
    Quantity("full_throttle_voltage_v", "Pack voltage at full throttle, pack full", 1),
    Quantity("low_pack_current_a", "Current at full throttle, pack at its reserve", 1),
    Quantity("first_rating", "Part whose rated current is reached first", 0),
    Quantity("throttle_within_ratings_pct", "Largest static throttle within all rated currents", 0),
    Quantity("static_thrust_g", "Static thrust at full throttle", 0),
    Quantity("cruise_rpm", "Propeller speed in cruise", 0),
    Quantity("full_throttle_rpm", "Propeller speed at full throttle", 0),
    Quantity("motor_cruise_c", "Motor winding in a long cruise, about", 0),
    Quantity("motor_full_throttle_c", "Motor winding after minutes at top speed, empty if it overheats", 0),
    Quantity("climb_ms", "Climb at full throttle", 1, output="climb_speed", label="climb at full throttle", better=+1),
    Quantity("thrust_to_weight", "Static thrust over weight", 2),
    Quantity("fin_volume", "Fin volume", 4),
    Quantity(
        "yaw_stiffness",
        "Yaw stiffness, per rad of sideslip",
        4,
        shown="",
        output="yaw_stiffness",
        kind_and_unit=("angular_slope", "per rad"),
    ),
    Quantity("dihedral_effect", "Dihedral effect, per rad, negative lifts the windward wing", 3),
    Quantity("roll_damping", "Roll damping, per rad", 3),
    Quantity("roll_rate_deg_s", "Roll rate in cruise, one elevon 15 deg up, one down", 0),
    Quantity("roll_deg_per_m", "Roll per metre flown, the same elevons", 1, output="roll_per_metre"),
    Quantity("dutch_roll_damping", "Dutch roll (wagging), damping ratio", 2),
    Quantity("dutch_roll_period_s", "Dutch roll (wagging), period", 2),
    Quantity("spiral_time_s", "Spiral: a bank halves in this time, or doubles where it is negative", 1),
    Quantity("pitch_damping", "Pitch damping, per rad", 2),
    Quantity("short_period_damping", "Short period (quick nodding), damping ratio", 2),
    Quantity("short_period_s", "Short period (quick nodding), period", 2),
    Quantity("phugoid_s", "Phugoid (slow rise and fall), period", 1),
    Quantity("servo_torque_ncm", "Torque of one servo", 0),
    Quantity("servo_needed_ncm", "Servo torque needed at top speed, reserve included", 0),
    Quantity("servo_speed_kmh", "Servo holds full elevon, with that reserve, up to", 0),
    Quantity("hinge_moment_ncm", "Hinge moment, full elevon at top speed", 0),
    Quantity("elevon_left_pct", "Share of the elevon left at top speed, linkage flexible", 0),
    Quantity("elevon_play_deg", "Free play of the elevon, end to end", 1),
    Quantity("elevon_natural_frequency_hz", "Natural frequency of an elevon on its linkage", 0),
    Quantity("elevon_unbalance_gcm", "Unbalance of an elevon about its hinge", 0),
    Quantity(
        "failure_load_factor",
        "Breaks in a pull-up at",
        1,
        shown="times its weight",
        output="failure_load_factor",
        label="failure load factor",
        better=+1,
    ),
    Quantity("limit_load_factor", "Pull no harder than (two thirds of what breaks it)", 1, shown="times its weight"),
    Quantity("first_failure", "What breaks first", 0),
    Quantity("first_failure_at_mm", "Where that breaks, from the centre line", 0),
    Quantity("tip_deflection_mm", "Tip deflection in a pull-up", 0),
)
# Outputs of the model that have a limit but no row in the table of a design.
LIMIT_QUANTITIES = (
    Quantity("tip_room_mm", output="tip_room"),
    Quantity("rod_room_mm", decimals=1, output="rod_room"),
    Quantity("servo_load_ncm", decimals=1, output="servo_load"),
    Quantity("deflection_share_pct", output="deflection_share"),
    Quantity("utilisation_pct", output="utilisation"),
    Quantity("end_throttle_pct", output="end_throttle"),
    Quantity("end_voltage_v", output="end_voltage"),
    Quantity("full_throttle_motor_current_a", output="full_throttle_motor_current"),
)
QUANTITIES: dict[str, Quantity] = {each.key: each for each in (*DESIGN_QUANTITIES, *LIMIT_QUANTITIES)}
_BY_OUTPUT: dict[str, Quantity] = {each.output: each for each in QUANTITIES.values() if each.output}


def output_quantity(output: str) -> Quantity:
    """Return the quantity declared for an output of the model. Without a declaration it is a pure number."""
    return _BY_OUTPUT.get(output) or Quantity(output, output=output)
