"""Tables for the search and for calibration.

The tables of the search are stretch, choices, flight conditions and limits. Those for calibration are a known flight
and a load test.

After reading, values are SI: lengths [m], angles [rad], speeds [m/s], temperature [K], masses [kg]. Percentages are
fractions [-].
"""

from typing import Annotated, Any

from tradestudy.quantities import short_with_unit
from tradestudy.quantities.balance_practice import NARROW

from .key_types import (
    COMMON_PRACTICE,
    JUDGEMENT,
    KeyType,
    LeastCruise,
    TableModel,
    choice,
    default,
    distinct_values,
    flag,
    free_text,
    least_cruise_key,
    number,
    propeller_size,
    quantity,
    value_range,
    whole_number,
)

_SEA_LEVEL = "ISO 2533:1975 standard atmosphere, sea level"
_BARE_CRUISE = 1.3  # least cruise over stall of any study: common practice, no source [-]
_FROM_STOCK = "worked out from the stock wing"
LAUNCH_WAYS = ("hand", "bungee", "dolly", "wheels")
SCHEMES = ("scaled", "plug", "tip")
# key of [stretch] -> the only scheme for which it has an effect
SCHEME_OF = {"keep": "scaled", "sweep": "scaled", "tip_chord": "scaled", "added_taper": "tip", "elevon_to_tip": "tip"}


def _one_or_range(each: KeyType, meaning: str) -> KeyType:
    """Return the type of one value that is held, or of a range. Both are read as a tuple of two values."""
    both = value_range(each, meaning)

    def read(value: Any) -> tuple[Any, Any]:
        return both.read(value if isinstance(value, list) else [value, value])

    return KeyType(f"one or two values, {each.kind}", each.allowed, meaning, read, {"anyOf": [each.form, both.form]})


class StretchTable(TableModel):
    """How the wing may be stretched."""

    scheme: Annotated[
        str,
        choice(
            SCHEMES,
            "scaled: panel drawn anew; plug: straight piece at the root; tip: panel carried on outward",
        ),
    ]
    keep: Annotated[
        str, choice(("sweep_angle", "set_back"), "what a panel drawn anew keeps where its sweep is not free")
    ] = default("sweep_angle", COMMON_PRACTICE)
    can_cut_cores: Annotated[bool, flag("true if new foam cores can be cut with a hot wire")] = default(
        False, "the cautious assumption: only what needs no hot wire"
    )
    longest: Annotated[
        float | None, quantity("length", "300 mm", "6000 mm", "longest span to try; short form of span")
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
    ] = default(None, _FROM_STOCK, shown="the stock washout")
    tip_chord: Annotated[
        tuple[float, float] | None,
        _one_or_range(
            quantity("length", "20 mm", "800 mm", "foam chord at the tip"),
            "scheme scaled only: smallest and largest tip chord to try, or the one to hold",
        ),
    ] = default(
        None,
        "judgement, no source: small changes of a wing that flies",
        shown="75 to 110 % of stock.tip_chord, not below what fins and cutting allow",
    )
    added_taper: Annotated[
        str, choice(("continue", "constant"), "scheme tip only: carry the taper on, or keep the tip chord")
    ] = default("continue", COMMON_PRACTICE)
    elevon_to_tip: Annotated[bool, flag("scheme tip only: true if the elevon continues over the added piece")] = (
        default(False, "the cautious assumption: the elevon stays as it is")
    )
    fins: Annotated[
        str,
        choice(
            ("keep", "hold_volume"),
            "keep: the fins keep their size; hold_volume: they keep their fin volume as the wing grows",
        ),
    ] = default("keep", "the cautious assumption: the fins stay as they are")
    rod_length_sold: Annotated[float, quantity("length", "100 mm", "4000 mm", "longest rod that is sold")] = default(
        "1000 mm", COMMON_PRACTICE
    )
    pack_travel: Annotated[
        float,
        quantity("length", "0 mm", "60 mm", "how far the pack can move each way in a bay that is cut to it"),
    ] = default("5 mm", "judgement, no source: enough to set the balance")

    @property
    def kept(self) -> str:
        """Return what a panel drawn anew keeps where no other sweep is given: "sweep_angle" or "set_back"."""
        return "sweep_angle" if self.sweep else self.keep


class ChoicesTable(TableModel):
    """Parts and other choices that change in steps. Every value of each list is tried."""

    parallel: Annotated[
        tuple[int, ...] | None, distinct_values(whole_number(1, 12, "cells in parallel"), "cells in parallel to try")
    ] = default(None, "[pack]", shown="only that of the pack")
    rod_diameter: Annotated[
        tuple[float, ...] | None,
        distinct_values(quantity("length", "0.5 mm", "20 mm", "outside diameter"), "rod diameters to try"),
    ] = default(None, "[[rods]]", shown="only those of the rods")
    rod_pairs: Annotated[
        tuple[int, ...] | None, distinct_values(whole_number(1, 4, "pairs in each half wing"), "rod pairs to try")
    ] = default(None, "[[rods]]", shown="only those of the rods")
    propeller: Annotated[
        tuple[str, ...] | None, distinct_values(propeller_size("diameter x pitch in inches"), "propellers to try")
    ] = default(None, "[propeller]", shown="only the propeller on the wing")
    motor: Annotated[
        tuple[str, ...] | None,
        distinct_values(free_text("name of a [[motor_choice]]"), "motors to try besides that of the wing"),
    ] = default(None, "[motor]", shown="only the motor on the wing")
    pack: Annotated[
        tuple[str, ...] | None,
        distinct_values(free_text("name of a [[pack_choice]]"), "packs to try besides one of the stock cells"),
    ] = default(None, "[pack]", shown="only the stock cells")
    raised_lid: Annotated[
        tuple[float, ...] | None,
        distinct_values(
            quantity("length", "0 mm", "30 mm", "height by which the lid stands above the skin"),
            "heights to try for the lid of the pack's bay; a bay that stays gets the lowest that its pack needs",
        ),
    ] = default(None, "[[bay]]", shown="only that of the bay")
    scheme: Annotated[
        tuple[str, ...] | None,
        distinct_values(choice(SCHEMES, "as for stretch.scheme"), "schemes to try besides stretch.scheme"),
    ] = default(None, "stretch.scheme", shown="only that scheme")
    throttle_cap: Annotated[
        tuple[float, ...] | None,
        distinct_values(
            quantity("fraction", "30 %", "100 %", "largest share of throttle the controller gives"),
            "throttle caps to try besides that of the controller",
        ),
    ] = default(None, "[controller]", shown="only that of the controller")


class FlyTable(TableModel):
    """Where and how the wing is flown."""

    altitude: Annotated[float, quantity("length", "-430 m", "5000 m", "altitude above sea level")] = default(
        "0 m", _SEA_LEVEL, low="0 m", high="600 m", moves="speeds, a little range"
    )
    temperature: Annotated[float, quantity("temperature", "-30 C", "50 C", "air temperature")] = default(
        "15 C", _SEA_LEVEL, low="0 C", high="30 C", moves="speeds, a little range"
    )
    reserve: Annotated[
        float, quantity("fraction", "0 %", "90 %", "share of the charge that is kept for the landing")
    ] = default("20 %", COMMON_PRACTICE, low="10 %", high="30 %", moves="range")
    purpose: Annotated[
        str,
        choice(
            ("distance", "out_and_home", "usual_flight"),
            "what to maximise: range in still air, distance out and home in the wind, or time in the air",
        ),
    ] = default("distance", "common practice: range in still air")
    wind: Annotated[float, quantity("speed", "0 m/s", "20 m/s", "steady wind along the track, out and home")] = default(
        "4 m/s", COMMON_PRACTICE
    )
    farthest_out: Annotated[
        float | None, quantity("distance", "100 m", "300 km", "greatest distance from home that radio or law allows")
    ] = default(None, "not stated", shown="no limit")
    full_throttle_share: Annotated[
        float, quantity("fraction", "0 %", "60 %", "share of the time of a usual flight at full throttle")
    ] = default("10 %", COMMON_PRACTICE)
    launch: Annotated[
        str | None, choice(LAUNCH_WAYS, "how it is launched: a throw, a bungee, a dolly that stays behind, own wheels")
    ] = default(
        None, _FROM_STOCK, shown="hand if the stock wing can be thrown and no launch_speed is given, else bungee"
    )
    launch_speed: Annotated[
        float | None,
        quantity("speed", "10 km/h", "120 km/h", "speed when it leaves the hand, the bungee or the ground"),
    ] = default(
        None, "common practice, no source", shown="by weight for a throw (27 km/h at 2 kg), 50 km/h off a bungee"
    )
    launch_height: Annotated[
        float,
        quantity("length", "0.5 m", "10 m", "height of the hand above the ground at release, launch by hand only"),
    ] = default("1.8 m", COMMON_PRACTICE)
    launch_angle: Annotated[
        float, quantity("angle", "0 deg", "40 deg", "angle above level at release, launch by hand only")
    ] = default("15 deg", "common practice, no source: 10 to 20 deg")
    launch_delay: Annotated[
        float, quantity("time", "0 s", "2 s", "from release until the motor runs, launch by hand only")
    ] = default("0.4 s", "common practice, no source: a pusher; 0 s for a propeller in front")
    cruise_at_least: Annotated[
        LeastCruise,
        least_cruise_key(
            number(_BARE_CRUISE, 3.0, ""),
            quantity("speed", "20 km/h", "200 km/h", ""),
            _BARE_CRUISE,
            f"slowest cruise: a multiple of the stall speed, or a speed, then also {_BARE_CRUISE:g} times it",
        ),
    ] = default(1.5, COMMON_PRACTICE, shown="1.5 times the stall speed")
    never_exceed_speed: Annotated[float, quantity("speed", "30 km/h", "400 km/h", "speed that no flight may exceed")]
    fastest_flown: Annotated[
        float | None,
        quantity(
            "speed",
            "30 km/h",
            "400 km/h",
            "fastest flight of the stock wing without flutter, with its present covering",
        ),
    ] = default(None, "not stated", shown="not known")
    hardest_pull: Annotated[
        float | None, number(1.5, 20, "load factor of the hardest pull-up or turn that the stock wing survived")
    ] = default(None, "not stated", shown="2, which every wing that flies has carried")
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
    launch_acceleration: Annotated[float, number(0.0, 60, "forward acceleration of a hand or bungee launch, in g")] = (
        default(5.0, "common practice, no source: a firm throw; 10 for a strong bungee")
    )
    landing_load_factor: Annotated[
        float, number(1.0, 40, "load factor of a belly landing at the middle of the wing, in g")
    ] = default(5.0, "common practice, no source: grass; 10 on hard ground")

    @property
    def cruise_over_stall(self) -> float:
        """Return the least cruise speed over the stall speed. [-]"""
        return self.cruise_at_least.over_stall

    @property
    def least_cruise_speed(self) -> float:
        """Return the least cruise speed whatever the stall, 0 if there is none. [m/s]"""
        return self.cruise_at_least.speed


class KnownFlightTable(TableModel):
    """One remembered flight of the stock wing on the stock pack: at a steady cruise, or mixed, with full throttle."""

    distance: Annotated[float | None, quantity("distance", "0.5 km", "500 km", "distance by the logger or the map")] = (
        default(None, "not noted; a mixed flight does without")
    )
    full_throttle: Annotated[
        float | None, quantity("fraction", "0 %", "95 %", "share of the time at full throttle, of a mixed flight")
    ] = default(None, "a steady cruise")
    time: Annotated[float, quantity("time", "2 min", "24 h", "time in the air")]
    charge_used: Annotated[
        float, quantity("charge", "50 mAh", "200 Ah", "charge put back by the charger, or read on the display")
    ]

    @property
    def is_mixed(self) -> bool:
        """Return whether the flight had bursts of full throttle, so that its speed is not its distance over time."""
        return self.full_throttle is not None


_STIFFNESS_OF_MODEL = "the model's stiffness is kept"
BAG_STATION = Annotated[
    float | None, quantity("length", "50 mm", "3000 mm", "where the bags hang, from the centre line")
]
USUAL_BAG_STATION = "30 mm inboard of the tip, or at the end of the rods nearest to the quarter chord"


class LoadTestTable(TableModel):
    """Load test: the stock wing lies upside down with its middle held. Movements are measured from its own sag."""

    tip_from_centre: BAG_STATION = default(None, COMMON_PRACTICE, shown=USUAL_BAG_STATION)
    tip_mass: Annotated[
        float | None,
        quantity("mass", "20 g", "10 kg", "mass of each of two equal bags, one on each tip, on the line of those rods"),
    ] = default(None, _STIFFNESS_OF_MODEL, shown="not measured")
    tip_rise: Annotated[
        float | None, quantity("length", "0.5 mm", "500 mm", "movement of the tips under those bags, mean of both")
    ] = default(None, _STIFFNESS_OF_MODEL, shown="not measured")
    twist_mass: Annotated[
        float | None,
        quantity(
            "mass", "10 g", "5 kg", "mass of each of two equal bags on sticks across the tips, moved from fore to aft"
        ),
    ] = default(None, _STIFFNESS_OF_MODEL, shown="not measured")
    twist_arm: Annotated[
        float | None,
        quantity(
            "length", "20 mm", "500 mm", "distance of the bag from those rods' line: first ahead, then as far behind"
        ),
    ] = default(None, _STIFFNESS_OF_MODEL, shown="not measured")
    twist_angle: Annotated[
        float | None, quantity("angle", "0.2 deg", "30 deg", "turn of each tip by that move, mean of both")
    ] = default(None, _STIFFNESS_OF_MODEL, shown="not measured")
    edge_rise: Annotated[
        float | None,
        quantity("length", "0.5 mm", "200 mm", "or movement of the trailing edge at the tips, mean of both"),
    ] = default(None, _STIFFNESS_OF_MODEL, shown="not measured")


class LimitsTable(TableModel):
    """Limits that a stretched wing must meet. Limits that are not given are set from the stock wing."""

    static_margin: Annotated[
        tuple[float, float] | None,
        value_range(quantity("fraction", "0 %", "30 %", "of the mean chord"), "smallest and largest static margin"),
    ] = default(None, _FROM_STOCK, shown="no more than 1.5 % below the stock wing's, nor below 4 %")
    up_elevon: Annotated[
        float | None, quantity("angle", "0.5 deg", "25 deg", "largest elevon angle in cruise, up or down")
    ] = default(None, _FROM_STOCK, shown="no more than 2 deg above the stock wing's, nor above 8 deg")
    stall_speed_ratio: Annotated[float, number(0.8, 2.0, "highest stall speed over that of the stock wing")] = default(
        1.10, COMMON_PRACTICE
    )
    balance_room: Annotated[
        float,
        quantity(
            "length",
            "0 mm",
            "20 mm",
            "how far ahead of its mark the balance may lie without a stall in the slowest flight allowed",
        ),
    ] = default(short_with_unit(NARROW, "mm"), JUDGEMENT)
    tips_left: Annotated[
        float | None,
        quantity("fraction", "0 %", "30 %", "least lift left in the outer 30 % of each half when the stall begins"),
    ] = default(None, COMMON_PRACTICE, shown="5 %, or what the stock wing has, but no less than 2 %")
    climb: Annotated[float, quantity("speed", "0.2 m/s", "20 m/s", "lowest climb at full throttle")] = default(
        "2 m/s", COMMON_PRACTICE
    )
    flying_weight: Annotated[float | None, quantity("mass", "100 g", "10 kg", "greatest all-up weight")] = default(
        None, "not stated", shown="no limit"
    )
    failure_load_factor: Annotated[
        float | None, number(1.5, 60, "lowest load factor at which a pull-up at full speed breaks a part")
    ] = default(None, _FROM_STOCK, shown="0.8 of the stock wing's, but at least 1.5 and at most 3 times pull_up")
    tip_deflection: Annotated[
        float | None,
        quantity("fraction", "0.1 %", "50 %", "largest tip deflection in that pull-up, as a share of the semi-span"),
    ] = default(None, "what the model holds for", shown="10 %; strength and control are limits of their own")
    fin_volume_share: Annotated[float, number(0.2, 2.0, "lowest fin volume over that of the stock wing")] = default(
        0.9, COMMON_PRACTICE
    )
    yaw_stiffness_share: Annotated[
        float, number(0.2, 2.0, "lowest yaw stiffness (turning back into the wind) over that of the stock wing")
    ] = default(0.8, COMMON_PRACTICE)
    control_speed_share: Annotated[
        float,
        number(
            0.3, 1.5, "lowest speed at which twist leaves 0.4 of roll and pitch control, over that of the stock wing"
        ),
    ] = default(0.8, COMMON_PRACTICE)
    roll_rate_share: Annotated[
        float, number(0.2, 2.0, "lowest roll rate at full stick over that of the stock wing, at equal speed")
    ] = default(0.7, COMMON_PRACTICE)
