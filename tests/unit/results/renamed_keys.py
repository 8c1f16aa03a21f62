"""Renamed keys of summary.json: the end of a place in earlier versions -> the end of that place now.

``*`` is any index of a list. A leading slash marks a key at the top level. Results of earlier versions can still be
read.
"""

RENAMED = {
    "/kept": "/calibration_notes",
    "/left_out": "/pruned",
    "/set_aside": "/excluded",
    "/ties": "/calibration",
    "/worth": "/input_effects",
    "club/*/broken_limits": "club/*/violated_limits",
    "club/*/pack_wanted_mm": "club/*/pack_needed_mm",
    "compared/*/breaks": "compared/*/violations",
    "drag_breakdown/whole_cm2": "drag_breakdown/total_cm2",
    "legs/*/way": "legs/*/direction",
    "mission/asked": "mission/parts_requested",
    "mission/ends": "mission/end_reason",
    "mission/minutes": "mission/time_min",
    "mission/parts/*/minutes": "mission/parts/*/time_min",
    "numbers/elevon_held_pct": "numbers/elevon_left_pct",
    "numbers/elevon_swing_hz": "numbers/elevon_natural_frequency_hz",
    "numbers/second_swing_hz": "numbers/second_natural_frequency_hz",
    "numbers/swing_hz": "numbers/natural_frequency_hz",
    "outline/rods/*/0": "outline/rods/*/from_x_mm",
    "outline/rods/*/1": "outline/rods/*/from_y_mm",
    "outline/rods/*/2": "outline/rods/*/to_x_mm",
    "outline/rods/*/3": "outline/rods/*/to_y_mm",
    "prices/left_over": "prices/unexplained",
    "proof/asked_load_factor": "proof/required_load_factor",
    "robust/plain": "robust/nominal",
    "robust/plain/holds": "robust/nominal/met_share",
    "robust/plain/least_sure": "robust/nominal/least_certain_limit",
    "robust/plain/least_sure_pct": "robust/nominal/least_certain_limit_pct",
    "robust/plain/least_sure_words": "robust/nominal/least_certain_limit_words",
    "robust/robust/holds": "robust/robust/met_share",
    "robust/robust/least_sure": "robust/robust/least_certain_limit",
    "robust/robust/least_sure_pct": "robust/robust/least_certain_limit_pct",
    "robust/robust/least_sure_words": "robust/robust/least_certain_limit_words",
    "shopping/*/each": "shopping/*/description",
    "spread/holds": "spread/met_share",
    "spread/matters": "spread/variance_shares",
    "spread/matters/*/0": "spread/variance_shares/*/key",
    "spread/matters/*/1": "spread/variance_shares/*/share",
    **{
        f"{wing}/watts_flat_out": f"{wing}/full_throttle_watts"
        for wing in ("stock", "best", "recommended", "alternatives/*", "span_trade/*", "front/*", "steps/*")
    },
}
