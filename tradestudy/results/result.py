"""What a search found, as plain data: the only thing a report needs to know.

Everything here is numbers, text and lists of them, in the units that the names spell, so that a Result can be
written as JSON, read back and drawn again without running a model.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field, fields
from typing import Any

from tradestudy.notebook import as_html, as_text, frame

# What `assess`, `optimise` and `front` tell of every design, in this order.
KEYS = (
    "span_mm", "sweep_deg", "set_back_mm", "washout_deg", "area_dm2", "auw_g", "cg_mm", "cg_from_trailing_edge_mm",
    "cg_front_mm", "cg_back_mm", "foremost_cg_mm", "foremost_cg_why", "rearmost_cg_mm",
    "neutral_point_mm", "static_margin_pct", "elevon_deg", "elevon_mm", "stall_elevon_deg", "stall_elevon_mm",
    "up_travel_deg", "cruise_speed_kmh", "range_km", "radius_km",
    "radius_by_charge_km", "charge_left_pct", "usual_flight_min", "endurance_min", "wh_per_km", "mah_per_km",
    "cruise_current_a", "end_current_a", "stall_speed_kmh", "trimmed_lift_max", "stall_starts_at_mm",
    "tips_left_pct", "top_speed_kmh", "control_speed_kmh", "control_speed_weak_kmh", "roll_reversal_kmh",
    "roll_reversal_weak_kmh", "pitch_reversal_kmh", "twist_off_kmh", "swing_hz", "second_swing_hz",
    "flutter_low_kmh", "flutter_kmh", "flutter_high_kmh", "advised_speed_kmh", "advised_speed_weak_kmh",
    "advised_speed_why",
    "full_throttle_current_a", "low_pack_current_a", "first_rating", "throttle_within_ratings_pct", "static_thrust_g",
    "cruise_rpm", "full_throttle_rpm", "motor_cruise_c", "motor_full_throttle_c",
    "climb_ms", "failure_load_factor", "limit_load_factor", "first_failure",
    "first_failure_at_mm", "tip_deflection_mm", "wing_loading_g_dm2", "thrust_to_weight", "fin_volume",
    "pack_position_mm", "pack_energy_wh", "rod_length_mm", "yaw_stiffness", "dihedral_effect", "roll_damping",
    "roll_rate_deg_s", "roll_deg_per_m", "dutch_roll_damping", "dutch_roll_period_s", "spiral_time_s",
    "pitch_damping", "short_period_damping",
    "short_period_s", "phugoid_s", "hinge_moment_ncm", "servo_needed_ncm", "servo_torque_ncm", "servo_speed_kmh",
    "elevon_play_deg", "elevon_held_pct", "elevon_swing_hz", "elevon_unbalance_gcm")

SEVERAL = ("alternatives", "span_trade", "front", "steps")  # what a Result has lists of


@dataclass(frozen=True)
class LimitState:
    """How one limit stands at one design: ``value`` must be ``side`` ("at least", "at most") ``bound``.

    ``origin`` says who asks for it.
    ``margin`` is scaled: negative is broken, near zero is active.
    """

    name: str
    words: str
    value: float
    bound: float
    unit: str
    margin: float
    active: bool
    met: bool
    side: str = ""
    origin: str = ""


@dataclass(frozen=True)
class Design:
    """One wing in full: the stock wing or a stretched one. Lists are plain, all of one group equally long.

    ``numbers``: KEYS; a period is None where nothing swings, ``spiral_time_s`` is the time to half a bank, or minus the
    time to double it. ``choices``: what is bought (series, parallel, rod_diameter_mm, rod_pairs, propeller, words).
    ``variables``: what is free, in edge units. ``active_limits``: names of what stops it.

    ``outline`` (right half, mm): ``x_mm``, ``y_mm`` closed outline of foam and elevon from the nose round;
    ``elevon_x_mm``, ``elevon_y_mm`` closed; ``fins`` list of {x_mm, y_mm: foot [front, back];
    height_mm, depth_below_mm; ends: the same x_mm and y_mm of top and bottom edge, seen from above};
    ``stock_part_y_mm`` [from, to] of the half span that is the old panel ([] when redrawn); ``rods`` list of
    [x0, y0, x1, y1]; ``bays`` and ``equipment`` lists of {name, x_mm, length_mm, width_mm, mass_g}; ``pack``
    {x_mm, length_mm, width_mm} with x at its centre; ``mean_chord`` {x_mm, y_mm, length_mm}.

    ``curves`` along speed: speed_kmh, drag_n, power_w, range_km, radius_km, radius_by_charge_km, usual_flight_min,
    endurance_min, wh_per_km, mah_per_km, current_a, throttle_pct, elevon_deg, elevon_mm, and what twist
    leaves of a stiff wing's control, roll_control, pitch_control, both with _weak for a loose film. Along the half
    span at strip middles: station_mm, lift_n_per_m, section_lift, section_lift_limit (cruise). At strip edges: edge_mm,
    bending_rigidity_nm2, bending_moment_nm, utilisation
    (greatest of all modes) and deflection_mm in the hardest pull-up.

    ``masses_g``, ``drag_cm2`` (at cruise, over dynamic pressure) and ``watts`` (where the cells' power goes at cruise):
    name -> value, summing to the whole. ``drag_breakdown``: the second with counts, shares, bands and the glide, as
    `assessment.drag_breakdown` tells it; empty in results kept from before it was told. ``structure``: per load
    condition {condition, load_factor, mode, at_mm, failure_load_factor, weak_failure_load_factor (pessimistic
    materials), tip_deflection_mm}. ``structure_checks``: the cut centre by itself, splices, the joint of an
    added piece, foam under a rod, wrinkling film, belly landing and launch: {what, condition, load_factor, utilisation,
    failure_load_factor (None where nothing breaks), mode, at_mm, note}; empty in older results.

    ``load_test``: what to hang on each side of it on the bench, what to expect and where to stop; stations from the
    centre line, ``weak_`` with weak materials, ``stop_`` where the first thing uses 80 % of its strength, weak or not.
    ``bend`` {station_mm, behind_nose_mm, mass_g, rise_mm, stop_mass_g, stop_rise_mm, stop_mode}; ``twist`` {station_mm,
    arm_mm, mass_g, angle_deg, edge_mm (from bag ahead to bag behind), stop_mass_g, stop_angle_deg}; ``proof``
    {load_factor, asked_load_factor, bags: {station_mm, behind_nose_mm, mass_g} each, rise_mm, used_pct, stop_pct (of
    those bags), stop_mode, moment_nm, own_moment_nm (at the centre), along: {station_mm, flight_nm, bench_nm} each}.

    ``cutting``: what the bench needs beside the outline, of wings that may be built; empty for others and in older
    results. ``scheme``, ``keep``, ``added_mm`` (each side), ``joint_mm`` (where the stock wing is cut, None where the
    panel is cut anew), stock_sweep_deg, stock_set_back_mm, stock_washout_deg, root_trailing_edge_mm, foam, covering;
    ``marks`` and ``gear`` {name, behind_nose_mm, ahead_mm (of the root trailing edge)}; ``sections`` root, joint, tip:
    {name, station_mm, leading_edge_mm, height_mm, foam_chord_mm, elevon_chord_mm, section_chord_mm (that the airfoil is
    drawn on), washout_deg, film_mm, thickness_mm (film on), foam_thickness_mm, foam_area_cm2, x_mm, z_mm (bare foam
    along the chord line, from the hinge's top round the nose to its bottom), lowest_mm, highest_mm (level), rods {name,
    behind_leading_edge_mm, surface, diameter_mm, slot_depth_mm, inside (does it reach so far)}}; ``cores`` {name, new,
    count (a single one crosses the centre line), from_mm, to_mm, inner, outer (names of sections), width_mm,
    set_back_mm, block_length_mm, block_chord_mm, block_thickness_mm (allowances in), litres (both sides)}; ``jig`` per
    section {name, station_mm, front_block_behind_edge_mm, front_block_mm, hinge_block_mm, trailing_edge_raised_mm,
    foam_raised_mm}; ``stations`` {station_mm, leading_edge_mm, hinge_mm, trailing_edge_mm, foam_chord_mm,
    elevon_chord_mm, height_mm, leading_edge_ahead_mm, trailing_edge_behind_mm (the root trailing edge)}; ``rods``
    {name, material, diameter_mm, pairs, surface, each_half, length_mm, from_mm, to_mm, behind_nose_mm [inner, outer],
    slot_depth_mm, crosses_centre, splice, splice_mm, splices_at_mm}; ``lengths`` {material, diameter_mm, sold_mm,
    pieces {name, length_mm, count}, cuts_mm (a list for each length bought), waste_mm}; ``elevon`` {thickness_mm,
    material, inner_end_mm, outer_end_mm}; ``throws`` {elevon_chord_mm, and up, down, roll each _deg and _mm}; ``fins``
    {from_centre_mm (None: on the tip), material, behind_leading_edge_mm, foot_mm, cant_deg, toe_deg, x_mm, z_mm};
    ``pockets`` {name, middle_mm, along_mm, behind_leading_edge_mm, behind_nose_mm, length_mm, depth_mm, side};
    ``bays`` {name, from_nose_mm, length_mm, width_mm, depth_mm, through}.

    ``watts_flat_out``: as ``watts``, level at full throttle on a full pack. ``pilot_card``: {unit ("km/h" or "mph", to
    be told in), speed_kmh, hold_a (mean of the flight), fresh_a, end_a, fresh_v, end_v, power_w at the design's cruise,
    band_low_kmh, band_high_kmh, band_low_a, band_high_a (within 2 % of the best), longest_kmh, longest_a, longest_min,
    stall_kmh, capacity_mah, reserve_mah, half_mah (used), legs: {wind_kmh, way ("none", "against", "with"), speed_kmh,
    hold_a, ground_kmh, mah_per_km, full_km, half_km (one way, to the reserve)} each, turns: {wind_kmh, full_km,
    full_mah, full_v, half_km, half_mah, half_v (out against, home with it; mAh since full, volts under load)} each};
    None where the wing makes no way, or the reserve is half the charge. ``mission``: {parts: {name, kind, airspeed_kmh,
    ground_kmh, minutes, km, wh, mah, mean_a, end_v, end_throttle_pct, charge_left_pct} each, asked (how many), ends
    (why it cannot be flown, or empty), minutes, km, wh, mah, reserve_pct, left_mah, left_km, left_min (above it)}.
    """

    label: str
    numbers: dict[str, Any]
    choices: dict[str, Any]
    variables: dict[str, float]
    active_limits: list[str]
    limits: list[LimitState] = field(default_factory=list)
    flags: list[str] = field(default_factory=list)
    outline: dict[str, Any] = field(default_factory=dict)
    curves: dict[str, list[float]] = field(default_factory=dict)
    masses_g: dict[str, float] = field(default_factory=dict)
    drag_cm2: dict[str, float] = field(default_factory=dict)
    watts: dict[str, float] = field(default_factory=dict)
    structure: list[dict[str, Any]] = field(default_factory=list)
    drag_breakdown: dict[str, Any] = field(default_factory=dict)
    structure_checks: list[dict[str, Any]] = field(default_factory=list)
    load_test: dict[str, dict[str, Any]] = field(default_factory=dict)
    cutting: dict[str, Any] = field(default_factory=dict)
    watts_flat_out: dict[str, float] = field(default_factory=dict)
    pilot_card: dict[str, Any] = field(default_factory=dict)
    mission: dict[str, Any] = field(default_factory=dict)

    def __repr__(self) -> str:
        return f"<Design {self.label}: {', '.join(words for _, words in self._told() if words)}>"

    def _repr_html_(self) -> str:
        numbers = [(key, f"{value:.5g}" if isinstance(value, float) else "" if value is None else str(value))
                   for key, value in self.numbers.items()]
        return as_html(f"Design: {self.label}", [*self._told()[-2:], *numbers])

    def _told(self) -> list[tuple[str, str]]:
        """Return (head, words) rows of what a wing is known by."""
        known = self.numbers
        rows = [(head, f"{known[key]:.{digits}f} {unit}" if known.get(key) is not None else "")
                for head, key, digits, unit in (
                    ("span", "span_mm", 0, "mm"), ("weight", "auw_g", 0, "g"), ("range", "range_km", 1, "km"),
                    ("cruise", "cruise_speed_kmh", 0, "km/h"))]
        broken = [state.words for state in self.limits if not state.met]
        return [*rows, ("built with", str(self.choices.get("words", ""))),
                ("breaks", f"breaks: {', '.join(broken)}" if broken else "")]

    def to_dataframe(self) -> Any:
        """Return its numbers, choices and what stops it as one row of a pandas DataFrame."""
        return frame([self.row()])

    def row(self) -> dict[str, Any]:
        """Return its numbers under their names, choices with ``choice_`` before theirs, and what stops it."""
        return {"label": self.label, **self.numbers, **{f"choice_{name}": one for name, one in self.choices.items()},
                "active_limits": "; ".join(self.active_limits),
                "broken_limits": "; ".join(state.name for state in self.limits if not state.met)}

    def summary(self) -> dict[str, Any]:
        """Return the numbers with choices and limits, as JSON output carries them."""
        return {"label": self.label, **self.numbers, "active_limits": self.active_limits,
                "broken_limits": [state.name for state in self.limits if not state.met], "choices": self.choices,
                "flags": self.flags}


@dataclass(frozen=True)
class Band:
    """The recommended span and the flat band around the best."""

    span_mm: int
    low_mm: float
    high_mm: float
    best_mm: float
    reason: str


@dataclass(frozen=True)
class Result:
    """Everything one command found out about one study.

    ``ties``: the stock wing {what, measured, before, after, unit, how}: measured, and the model before and after it was
    tied to that number in the way ``how`` tells. ``kept``: sentences on what was not measured or cannot be told apart.
    ``worth``: what each open or measured input is worth, most first: {key, value, band, moves, kind ("assumed",
    "listed": the drag items together, or "measured"), score, and [at low, at high] changes range_km, balance_mm,
    pack_mm, failure_load_factor, None where the wing cannot be so}.
    ``uncertainty``: {range_km, balance_mm, pack_mm, failure_load_factor (half widths),
    model_range_km (scatter of the models), range_km_after_flight (None where a flight is known), measure_first,
    strength_first (sentences)}; both empty where not asked for.
    ``spread``: all inputs off at once, as `spread` draws them: {percentiles: name -> [P10, P50, P90] for range_km,
    auw_g, balance_mm, failure_load_factor, cruise_speed_kmh, cruise_current_a; holds: limit -> share of draws that meet
    it; matters: [key, share of the range's variance] most first; draws}; empty where not asked for.
    ``purposes``: {purpose: what the study wants most of, wind_ms, farthest_out_km (None: no limit),
    full_throttle_share_pct, reserve_pct}.
    ``club``: each member's wing on the airframe proposed, without ballast: {set, members, flown_today, equipment
    (names), equipment_g, auw_g, cg_mm, pack_mm (where it sits), pack_wanted_mm (where it would have to),
    pack_in_bay, pack_reach_mm [front, back], movable_mm, ballast_g, ballast_mm, up_elevon_mm, balance (a sentence),
    broken_limits (in words), and numbers under the names of KEYS, None where it cannot fly}; empty without sets.
    ``sections``: whole section of the root, and of the tip where it differs: {place, airfoil, chord_mm, thickness_pct,
    thickness_mm, thickness_at_pct, camber_pct, camber_at_pct, area_cm2, perimeter_mm, zero_lift_angle_deg,
    moment_coefficient (section model, at the reference of the tables), thin_zero_lift_angle_deg,
    thin_moment_coefficient (of the middle line alone)}.
    ``compared``: propellers, motors and packs on one wing, best for the purpose first and those that break something
    last: {propeller, motor, pack, own (what the wing has), gain (km or min, None where it cannot cruise), range_km,
    speed_kmh, hold_a, top_speed_kmh, stall_speed_kmh, thrust_to_weight, climb_ms, full_throttle_current_a,
    full_throttle_motor_current_a, w_per_kg (out of the pack at a standing full throttle), wing_loading_g_dm2, auw_g,
    first_rating ("motor", "controller", "cells"), first_rating_pct, breaks (sentences)}; empty where not asked for.
    ``robust``: {chance_pct asked for, rounds of search, reached, plain and robust: {words, span_mm, auw_g, gain as
    assumed and low, in nine draws of ten [km or min], least_sure (a limit), least_sure_words, least_sure_pct of draws
    that meet it, holds: by limit}}; empty where not asked for.
    ``left_out``: choices that were not searched, {words, at_most [km or min]}: what a search with any rods between
    those to try finds, which bounds them; ``solved``: how many were.
    ``prices``: what a little slack would buy at the best design, each step by itself and the best wing found anew:
    {slack: {limit (a name in active_limits), words (the step), gain (km or min)} most first; parts: the next step up in
    each part bought, as ``slack``, gain None where no wing meets every limit; slope, left_over: by how much the measure
    would change across the whole ranges of what is free, and how much of that no limit explains [km or min]}.
    ``traded``: what ``front`` trades: of, against {number (of KEYS), words, unit, sense (+1: more is better)}; knee,
    the index of the wing of ``front`` farthest on the better side of the chord between both ends, axes scaled to one
    between them (None: none lies there); empty without a front.
    ``shopping``: {what, each (a phrase), count_per_wing, wings, total, unit}.
    """

    study_name: str
    note: str
    study_file: str
    study_text: str
    command: str
    versions: dict[str, str]
    defaults_used: list[dict[str, Any]]
    stock: Design
    best: Design | None = None
    recommended: Design | None = None
    band: Band | None = None
    alternatives: list[Design] = field(default_factory=list)
    span_trade: list[Design] = field(default_factory=list)
    front: list[Design] = field(default_factory=list)
    steps: list[Design] = field(default_factory=list)
    solved: int = 0
    robust: dict[str, Any] = field(default_factory=dict)
    left_out: list[dict[str, Any]] = field(default_factory=list)
    set_aside: list[str] = field(default_factory=list)
    conflict: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    sources: list[str] = field(default_factory=list)
    ties: list[dict[str, Any]] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)
    purposes: dict[str, Any] = field(default_factory=dict)
    worth: list[dict[str, Any]] = field(default_factory=list)
    uncertainty: dict[str, Any] = field(default_factory=dict)
    club: list[dict[str, Any]] = field(default_factory=list)
    shopping: list[dict[str, Any]] = field(default_factory=list)
    sections: list[dict[str, Any]] = field(default_factory=list)
    compared: list[dict[str, Any]] = field(default_factory=list)
    spread: dict[str, Any] = field(default_factory=dict)
    prices: dict[str, Any] = field(default_factory=dict)
    traded: dict[str, Any] = field(default_factory=dict)

    def __repr__(self) -> str:
        return as_text(*self._told())

    def _repr_html_(self) -> str:
        return as_html(*self._told())

    def _told(self) -> tuple[str, list[tuple[str, str]]]:
        """Return a title and (head, words) rows for whoever looks at the result in Python."""
        named = ("stock", "recommended", "best")
        wings = [(name, repr(design)[1:-1].partition(": ")[2]) for name in named if (design := getattr(self, name))]
        several = [f"{len(getattr(self, name))} in {name}" for name in SEVERAL if getattr(self, name)]
        band = self.band
        return f"Result of {self.command} ({self.study_name})", [
            *wings,
            ("to build", f"{band.span_mm} mm; {band.low_mm:.0f} to {band.high_mm:.0f} mm does as well" if band else ""),
            ("wings", ", ".join(several)), ("limits", self.message), ("flags", "; ".join(self._flags())),
        ]

    def _flags(self) -> list[str]:
        design = self.recommended or self.best
        return design.flags if design else []

    def to_dataframe(self) -> Any:
        """Return every wing of the result as a pandas DataFrame: a row each, ``where`` telling where it stands."""
        rows = [("stock", self.stock), ("recommended", self.recommended), ("best", self.best),
                *((name, design) for name in SEVERAL for design in getattr(self, name))]
        return frame([{"where": name, **design.row()} for name, design in rows if design is not None])

    @property
    def broken(self) -> list[str]:
        """Limits that the design asked for breaks, in words."""
        design = self.recommended or self.best
        return [state.words for state in design.limits if not state.met] if design else []

    @property
    def success(self) -> bool:
        """True when no limit is broken."""
        return not self.conflict and not self.broken

    @property
    def message(self) -> str:
        """One sentence: found, or why not."""
        if self.conflict:
            return "No design meets every limit: " + "; ".join(self.conflict) + "."
        if self.broken:
            return "This design breaks: " + ", ".join(self.broken) + "."
        return "Every limit is met." if self.best else "Stock wing assessed."

    def to_json(self) -> str:
        """Return the whole result as JSON text."""
        return json.dumps({**asdict(self), "success": self.success, "message": self.message}, indent=1,
                          ensure_ascii=False, allow_nan=False)


def result_from_json(text: str) -> Result:
    """Rebuild a Result from ``Result.to_json``."""
    raw = json.loads(text)
    single, several = ("stock", "best", "recommended"), SEVERAL
    for name in single:
        raw[name] = _design(raw[name]) if raw[name] else None
    for name in several:
        raw[name] = [_design(entry) for entry in raw[name]]
    raw["band"] = Band(**raw["band"]) if raw["band"] else None
    known = {entry.name for entry in fields(Result)}
    return Result(**{name: value for name, value in raw.items() if name in known})


def _design(raw: dict[str, Any]) -> Design:
    return Design(**{**raw, "limits": [LimitState(**state) for state in raw["limits"]]})
