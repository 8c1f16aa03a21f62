"""What may be changed and what must hold: stretch, choices, flight conditions, limits.

Values are SI once read: lengths [m], angles [rad], speeds [m/s], temperature [K], masses [kg];
percentages are fractions [-].
"""

from typing import Annotated

from pydantic import BaseModel

from .key_types import (
    choice,
    default,
    distinct_values,
    flag,
    free_text,
    number,
    propeller_size,
    quantity,
    value_range,
    whole_number,
)
from .wing import COMMON_PRACTICE, FROZEN

SEA_LEVEL = "ISO 2533:1975 standard atmosphere, sea level"
AS_STOCK = "worked out from the stock wing"
# keys that speak to one scheme alone
SCHEMES = ("scaled", "plug", "tip")
SCHEME_OF = {"keep": "scaled", "sweep": "scaled", "tip_chord": "tip", "elevon_to_tip": "tip"}


class StretchTable(BaseModel):
    """How the wing may grow."""

    model_config = FROZEN
    scheme: Annotated[
        str,
        choice(
            SCHEMES,
            "panel redrawn, straight piece at the root, or panel carried on outward",
        ),
    ]
    keep: Annotated[
        str, choice(("sweep_angle", "set_back"), "what a redrawn panel keeps when its sweep is not free")
    ] = default("sweep_angle", COMMON_PRACTICE)
    can_cut_cores: Annotated[bool, flag("can new foam cores be cut with a hot wire")] = default(
        False, "the careful reading: only what needs no hot wire"
    )
    longest: Annotated[
        float | None, quantity("length", "300 mm", "6000 mm", "longest span to try; in short for span")
    ] = default(None, "stretch.span")
    span: Annotated[
        tuple[float, float],
        value_range(quantity("length", "300 mm", "6000 mm", "tip to tip"), "smallest and largest span to try"),
    ]
    sweep: Annotated[
        tuple[float, float] | None,
        value_range(quantity("angle", "0 deg", "45 deg", "leading edge of the panel"), "leading-edge sweep to try"),
    ] = default(None, "stretch.keep", shown="the stock rule")
    washout: Annotated[
        tuple[float, float] | None,
        value_range(quantity("angle", "-3 deg", "12 deg", "tip nose down is positive"), "washout to try"),
    ] = default(None, AS_STOCK, shown="the stock washout")
    tip_chord: Annotated[
        str, choice(("continue", "constant"), "scheme tip: carry the taper on, or keep the tip chord")
    ] = default("continue", COMMON_PRACTICE)
    elevon_to_tip: Annotated[bool, flag("scheme tip: does the elevon run on over the added piece")] = default(
        False, "the careful reading: the elevon stays as it is"
    )
    fins: Annotated[
        str,
        choice(("keep", "hold_volume"), "keep the fins' size, or hold their stock volume as the wing grows"),
    ] = default("keep", "the careful reading: the fins stay as they are")
    rod_length_sold: Annotated[float, quantity("length", "100 mm", "4000 mm", "longest rod in the shop")] = default(
        "1000 mm", COMMON_PRACTICE
    )


class ChoicesTable(BaseModel):
    """What is bought in steps: each list is tried in full."""

    model_config = FROZEN
    parallel: Annotated[
        tuple[int, ...] | None, distinct_values(whole_number(1, 12, "cells in parallel"), "cells in parallel to try")
    ] = default(None, "[pack]", shown="only the pack's own")
    rod_diameter: Annotated[
        tuple[float, ...] | None,
        distinct_values(quantity("length", "0.5 mm", "20 mm", "outside diameter"), "rod diameters to try"),
    ] = default(None, "[[rods]]", shown="only the rods' own")
    rod_pairs: Annotated[
        tuple[int, ...] | None, distinct_values(whole_number(1, 4, "pairs in each half wing"), "rod pairs to try")
    ] = default(None, "[[rods]]", shown="only the rods' own")
    propeller: Annotated[
        tuple[str, ...] | None, distinct_values(propeller_size("diameter x pitch in inches"), "propellers to try")
    ] = default(None, "[propeller]", shown="only the propeller on the wing")
    motor: Annotated[
        tuple[str, ...] | None,
        distinct_values(free_text("name of a [[motor_choice]]"), "motors to try besides the wing's own"),
    ] = default(None, "[motor]", shown="only the motor on the wing")
    pack: Annotated[
        tuple[str, ...] | None,
        distinct_values(free_text("name of a [[pack_choice]]"), "packs to try besides cells like the own"),
    ] = default(None, "[pack]", shown="only cells like the own")
    scheme: Annotated[
        tuple[str, ...] | None,
        distinct_values(choice(SCHEMES, "as for stretch.scheme"), "schemes to try besides stretch.scheme"),
    ] = default(None, "stretch.scheme", shown="only that scheme")
    throttle_cap: Annotated[
        tuple[float, ...] | None,
        distinct_values(
            quantity("fraction", "30 %", "100 %", "largest share of throttle the controller gives"),
            "throttle caps to try besides the controller's",
        ),
    ] = default(None, "[controller]", shown="only the controller's own")


class FlyTable(BaseModel):
    """Where and how it is flown."""

    model_config = FROZEN
    altitude: Annotated[float, quantity("length", "-430 m", "5000 m", "above sea level")] = default(
        "0 m", SEA_LEVEL, low="0 m", high="600 m", moves="speeds, a little range"
    )
    temperature: Annotated[float, quantity("temperature", "-30 C", "50 C", "of the air")] = default(
        "15 C", SEA_LEVEL, low="0 C", high="30 C", moves="speeds, a little range"
    )
    reserve: Annotated[float, quantity("fraction", "0 %", "90 %", "of the charge, kept for the landing")] = default(
        "20 %", COMMON_PRACTICE, low="10 %", high="30 %", moves="range"
    )
    purpose: Annotated[
        str,
        choice(
            ("distance", "out_and_home", "usual_flight"),
            "what to make longest: still-air range, how far out with the way home in the wind, or time in the air",
        ),
    ] = default("distance", "common practice: farthest in still air")
    wind: Annotated[float, quantity("speed", "0 m/s", "20 m/s", "steady wind along the way out and home")] = default(
        "4 m/s", COMMON_PRACTICE
    )
    farthest_out: Annotated[
        float | None, quantity("distance", "100 m", "300 km", "farthest from home that radio or law allows")
    ] = default(None, "nothing was said", shown="no limit")
    full_throttle_share: Annotated[
        float, quantity("fraction", "0 %", "60 %", "of the time of a usual flight, at full throttle")
    ] = default("10 %", COMMON_PRACTICE)
    launch_speed: Annotated[
        float | None, quantity("speed", "10 km/h", "120 km/h", "when it leaves the hand or the rail")
    ] = default(None, AS_STOCK, shown="limits.stall_speed_ratio times the stock wing's stall")
    never_exceed_speed: Annotated[float, quantity("speed", "30 km/h", "400 km/h", "no flight is ever faster")]
    fastest_flown: Annotated[
        float | None,
        quantity("speed", "30 km/h", "400 km/h", "flown by the stock wing without flutter, as it is covered now"),
    ] = default(None, "nothing was said", shown="not known")
    pull_up: Annotated[float, number(1.5, 20, "load factor of the hardest pull at full speed")] = default(
        4.0, COMMON_PRACTICE
    )
    push_over: Annotated[float, number(-10, 0, "load factor of the hardest push at full speed")] = default(
        -1.5, COMMON_PRACTICE
    )
    gust_cruise: Annotated[float, quantity("speed", "0 m/s", "15 m/s", "vertical gust met in cruise")] = default(
        "4 m/s", COMMON_PRACTICE
    )
    gust_full_speed: Annotated[float, quantity("speed", "0 m/s", "15 m/s", "vertical gust met at full speed")] = (
        default("2 m/s", COMMON_PRACTICE)
    )
    launch_acceleration: Annotated[float, number(0.0, 60, "of a hand or bungee launch, in g, forward")] = default(
        5.0, "common practice, no source: a firm throw; a strong bungee 10"
    )
    landing_load_factor: Annotated[float, number(1.0, 40, "of a belly landing, in g, at the middle of the wing")] = (
        default(5.0, "common practice, no source: grass; hard ground 10")
    )


class KnownFlightTable(BaseModel):
    """One remembered flight of the stock wing, on the stock pack, at a steady cruise."""

    model_config = FROZEN
    distance: Annotated[float, quantity("distance", "0.5 km", "500 km", "flown, as the logger or map tells it")]
    time: Annotated[float, quantity("time", "2 min", "24 h", "in the air")]
    charge_used: Annotated[float, quantity("charge", "50 mAh", "200 Ah", "put back by the charger, or on the display")]


NOT_READ = "the model's stiffness is kept"
BAGS_HANG = Annotated[float | None, quantity("length", "50 mm", "3000 mm", "where the bags hang, from the centre line")]
USUAL_PLACE = "30 mm inboard of the tip, or at the end of the first rods"


class LoadTestTable(BaseModel):
    """What the stock wing did upside down on the bench, its middle held, from how it hung by its own weight."""

    model_config = FROZEN
    tip_from_centre: BAGS_HANG = default(None, COMMON_PRACTICE, shown=USUAL_PLACE)
    tip_mass: Annotated[
        float | None, quantity("mass", "20 g", "10 kg", "of each of two equal bags, one on each tip, on the rods' line")
    ] = default(None, NOT_READ, shown="not read")
    tip_rise: Annotated[
        float | None, quantity("length", "0.5 mm", "500 mm", "how far those bags move the tips, mean of both")
    ] = default(None, NOT_READ, shown="not read")
    twist_mass: Annotated[
        float | None,
        quantity("mass", "10 g", "5 kg", "of each of two equal bags on sticks across the tips, moved fore to aft"),
    ] = default(None, NOT_READ, shown="not read")
    twist_arm: Annotated[
        float | None,
        quantity("length", "20 mm", "500 mm", "from the rods' line to the bag: first ahead, then as far behind"),
    ] = default(None, NOT_READ, shown="not read")
    twist_angle: Annotated[
        float | None, quantity("angle", "0.2 deg", "30 deg", "how far that turns each tip, mean of both")
    ] = default(None, NOT_READ, shown="not read")
    edge_rise: Annotated[
        float | None,
        quantity("length", "0.5 mm", "200 mm", "or how far that moves the trailing edge at the tips, mean of both"),
    ] = default(None, NOT_READ, shown="not read")


class LimitsTable(BaseModel):
    """What must hold; what is left out is set from the stock wing."""

    model_config = FROZEN
    static_margin: Annotated[
        tuple[float, float] | None,
        value_range(quantity("fraction", "0 %", "30 %", "of the mean chord"), "smallest and largest static margin"),
    ] = default(None, AS_STOCK, shown="no smaller than the stock wing's")
    up_elevon: Annotated[float | None, quantity("angle", "0.5 deg", "25 deg", "most elevon, up or down, in cruise")] = (
        default(None, AS_STOCK, shown="no more than the stock wing's")
    )
    stall_speed_ratio: Annotated[float, number(0.8, 2.0, "fastest stall against the stock wing's")] = default(
        1.10, COMMON_PRACTICE
    )
    climb: Annotated[float, quantity("speed", "0.2 m/s", "20 m/s", "least climb at full throttle")] = default(
        "2 m/s", COMMON_PRACTICE
    )
    flying_weight: Annotated[float | None, quantity("mass", "100 g", "10 kg", "heaviest, ready to fly")] = default(
        None, "nothing was said", shown="no limit"
    )
    failure_load_factor: Annotated[
        float | None, number(1.5, 60, "least load factor at which a pull-up at full speed breaks something")
    ] = default(None, AS_STOCK, shown="no weaker than the stock wing, or 3 times pull_up")
    tip_deflection: Annotated[
        float | None,
        quantity("fraction", "0.1 %", "50 %", "most tip deflection in that pull-up, of the semi-span"),
    ] = default(None, AS_STOCK, shown="no bendier than the stock wing, or 1.5 %")
    fin_volume_share: Annotated[float, number(0.2, 2.0, "least fin volume against the stock wing's")] = default(
        0.9, COMMON_PRACTICE
    )
    yaw_stiffness_share: Annotated[
        float, number(0.2, 2.0, "least firmness in yaw (turning back into the wind) against the stock wing's")
    ] = default(0.8, COMMON_PRACTICE)
    control_speed_share: Annotated[
        float,
        number(0.3, 1.5, "least speed at which twist leaves 0.4 of roll and pitch control, against the stock wing's"),
    ] = default(0.8, COMMON_PRACTICE)
    roll_rate_share: Annotated[
        float, number(0.2, 2.0, "least roll rate at full stick against the stock wing's, at equal speed")
    ] = default(0.7, COMMON_PRACTICE)
