"""Rules for motor, controller, propeller and equipment, for the parts to try, and for the never-exceed speed."""

from __future__ import annotations

import math
import re

from tradestudy.catalogue import catalogue_part
from tradestudy.quantities import from_si
from tradestudy.study.schema.key_types import DefaultUsed, propeller_lengths
from tradestudy.study.schema.power import LOADED_SHARE, NOMINAL_VOLTAGE
from tradestudy.study.schema.short_forms import MOST_CELLS

from .pack_rules import PACK_RULES
from .rule_types import (
    COMMON_PRACTICE,
    Assumption,
    MissingInput,
    PartialStudy,
    Rule,
    assumed_length,
    constant,
    grams,
    restated,
    restated_key,
)

# Power [W] that a motor of this kind can take during a climb, divided by its mass [g]; common practice, no source.
_WATTS_PER_GRAM = 6.5
_CLEAR_OF_ELEVONS = 0.006  # m from the elevons to the middle of the propeller; common practice, no source
# Speed of a big motor with a small propeller, divided by its no-load speed; common practice, no source.
_LIGHTLY_LOADED = 0.9
# Mass of the motor of a light wing divided by its flying weight; common practice (8 to 24 %), no source.
_MOTOR_SHARE = 0.12
_MOST_AMPS = 200.0  # A; largest allowed value of motor.maximum_current
# Share of resistance and no-load current that motors of a measured class may have; judgement from their scatter.
_MEASURED_BAND = 0.6, 1.6
_LITTLE = "next to nothing: weight and balance are calibrated against the stock wing"
_UNLISTED = "equipment not listed"
# What draws no power, by the last word of its name, without its plural; common practice, no source.
_DRAWS_NOTHING = frozenset(
    "wire wiring cable horn linkage pushrod hinge lid hatch magnet tape mount bracket screw bolt nut glue paint "
    "film ballast lead weight skid spar joiner fairing".split()
)
_BETWEEN_THINGS = re.compile(r"\s*(?:,|;|\+|&|/|\band\b|\bwith\b)\s*")

# assumed values that the calibrated model raises to what the stock wing reaches at full throttle
MAY_RISE = ("fly.never_exceed_speed", "motor.maximum_current", "controller.maximum_current")


def _motor_size(study: PartialStudy, _: int) -> Assumption:
    """power.motor"""
    return restated(study.value("power", "motor")[0])


def _motor_speed_constant(study: PartialStudy, _: int) -> Assumption:
    """power.motor"""
    return restated(f"{from_si(study.value('power', 'motor')[1], 'rpm/V', 'speed_constant'):g} rpm/V")


def class_band(size: str) -> tuple[float, float]:
    """Return the ends of the band of what the class of a motor says, as shares of its resistance or current. [-]

    A class that was not measured has a wider one.
    """
    low, high = catalogue_part("motor_classes", size).get("unmeasured_band", _MEASURED_BAND)
    return low, high


def with_class_band(used: DefaultUsed, size: str) -> DefaultUsed:
    """Return a default of a study, with the band of the class of its motor if that was not measured."""
    if used.key not in ("motor.resistance", "motor.no_load_current") or class_band(size) == _MEASURED_BAND:
        return used
    low, high = (f"x{share:g}" for share in class_band(size))
    return used._replace(value="outside the measured classes", low=low, high=high)


def _motor_mass(study: PartialStudy, _: int) -> Assumption:
    """The usual mass of a motor of its size; in a light wing 12 % of the flying weight, at least half the usual mass"""
    usual = catalogue_part("motor_classes", study.value("motor", "size"))["reference_mass"]
    # A light wing carries the short stators of a size. A longer one would cost range by its no-load current alone.
    short = max(_MOTOR_SHARE * study.value("stock", "flying_weight"), 0.5 * usual)
    return Assumption(
        grams(min(usual, short)),
        "the middle of its class" if usual <= short else "the lighter motors of its class, for a light wing",
        low=grams(min(0.75 * usual, 0.7 * short)),
        high=grams(min(1.3 * usual, 2.0 * short)),
        moves="winding resistance, so range",
    )


def _controller_mass(study: PartialStudy, _: int) -> Assumption:
    """35 g; at most 5 % of the flying weight of a light wing, at least 1.5 % of that of a heavy one"""
    weight = study.value("stock", "flying_weight")
    return Assumption(
        grams(max(min(35e-3, 0.05 * weight), 0.015 * weight)),
        COMMON_PRACTICE,
        grams(min(15e-3, 0.02 * weight)),
        grams(max(min(70e-3, 0.12 * weight), 0.03 * weight)),
        _LITTLE,
    )


def _nominal_voltage(study: PartialStudy) -> float:
    """Return the voltage that is printed on the pack. [V]"""
    return (
        study.value("pack", "series")
        * NOMINAL_VOLTAGE[catalogue_part("cells", study.value("pack", "cell"))["chemistry"]]
    )


def _motor_maximum_current(study: PartialStudy, _: int) -> Assumption:
    """6.5 W for every gram of motor at the pack's nominal voltage, no less than the stock wing draws today"""
    amps = _WATTS_PER_GRAM * 1e3 * study.value("motor", "mass") / _nominal_voltage(study)
    low, middle, high = (f"{min(max(share * amps, 1.0), _MOST_AMPS):.0f} A" for share in (0.6, 1.0, 1.5))
    return Assumption(middle, COMMON_PRACTICE, low, high, "which propellers are allowed")


def _trailing_edge(study: PartialStudy) -> float:
    """Return the distance of the root trailing edge from the nose. [m]"""
    return study.value("stock", "root_chord") + study.value("elevon", "root_chord")


def _motor_from_nose(study: PartialStudy, _: int) -> Assumption:
    """10 mm ahead of the root trailing edge, as for a pusher"""
    edge = _trailing_edge(study)
    return assumed_length(edge - 0.010, edge - 0.040, edge + 0.015, _LITTLE)


def _propeller_mass(study: PartialStudy, _: int) -> Assumption:
    """A quarter of a gram for each square inch of its diameter squared"""
    mass = 0.25e-3 * (propeller_lengths(study.value("propeller", "size"))[0] / 0.0254) ** 2
    return Assumption(grams(mass), COMMON_PRACTICE, grams(0.6 * mass), grams(1.8 * mass), _LITTLE)


def _propeller_from_nose(study: PartialStudy, _: int) -> Assumption:
    """20 mm behind the root trailing edge, as for a pusher; clear of swept elevons"""
    edge = _trailing_edge(study)
    place = max(edge + 0.020, _behind_elevons(study))
    return assumed_length(place, place - 0.020, place + 0.030, _LITTLE)


def _behind_elevons(study: PartialStudy) -> float:
    """Return the foremost place of a propeller behind the nose that clears the elevons; 0 if it is inside them. [m]"""
    try:
        radius = 0.5 * propeller_lengths(study.value("propeller", "size"))[0]
        inner, outer = (study.value("elevon", key) for key in ("inner_end", "outer_end"))
        semi, middle = (0.5 * study.value("stock", key) for key in ("span", "centre_width"))
        back = study.value("stock", "tip_set_back")
        tip = back + study.value("stock", "tip_chord") + study.value("elevon", "tip_chord")
    except MissingInput:  # the reader reports it
        return 0.0
    rim = min(outer, radius)
    if rim <= inner or semi <= middle:
        return 0.0
    share = max(rim - middle, 0.0) / (semi - middle)
    return float(_trailing_edge(study) + share * (tip - _trailing_edge(study)) + _CLEAR_OF_ELEVONS)


def _controller_from_nose(study: PartialStudy, _: int) -> Assumption:
    """70 % of the way to the root trailing edge"""
    edge = _trailing_edge(study)
    return assumed_length(0.7 * edge, 0.4 * edge, 0.95 * edge, _LITTLE)


def _needs_short_form(study: PartialStudy) -> None:
    """Raise MissingInput if the study does not use the short form [power].

    Such a study describes its parts in full, and itself states which parts to try.
    """
    if not study.has("power"):
        raise MissingInput


def _parallel_on_trial(study: PartialStudy, _: int) -> Assumption:
    """The stock pack and one more cell in parallel, if the study has the short form [power]"""
    _needs_short_form(study)
    stock = study.value("pack", "parallel")
    trial = [stock, stock + 1] if stock < MOST_CELLS else [stock]
    return Assumption(trial, "a bigger pack is tried", moves="range, weight, balance")


def _rod_pairs_on_trial(study: PartialStudy, _: int) -> Assumption:
    """The stock rods and one more pair, if the study has rods and the short form [power]"""
    _needs_short_form(study)
    if not study.has("rods"):
        raise MissingInput
    stock = study.value("rods", "pairs", 0)
    return Assumption(
        [stock, stock + 1] if stock < 4 else [stock], "more rods are tried", moves="strength, bend, weight"
    )


def _fins_on_trial(study: PartialStudy, _: int) -> Assumption:
    """hold_volume if the study has the short form [power], else keep"""
    _needs_short_form(study)
    return Assumption("hold_volume", "new fins are quickly cut from sheet")


def _never_exceed_speed(study: PartialStudy, _: int) -> Assumption:
    """1.2 times the propeller's pitch times 80 % of the no-load rpm; the model may raise it"""
    turns = LOADED_SHARE * study.value("motor", "speed_constant") * _nominal_voltage(study) / (2 * math.pi)
    speed = 1.2 * turns * propeller_lengths(study.value("propeller", "size"))[1] * 3.6
    speed = min(max(speed, 70.0), 380.0)
    highest = min(1.1 * _LIGHTLY_LOADED / LOADED_SHARE * speed, 400.0)
    return Assumption(
        f"{speed:.0f} km/h",
        "the propeller's pitch and the motor's rpm/V",
        low=f"{0.85 * speed:.0f} km/h",
        high=f"{highest:.0f} km/h",
        moves="loads in a pull-up, so what breaks first",
    )


def _equipment_name(study: PartialStudy, index: int) -> Assumption:
    """equipment not listed"""
    return restated(_UNLISTED if index == 0 else f"equipment {index + 1}")


def _equipment_mass(study: PartialStudy, index: int) -> Assumption:
    """0 g where nothing is listed: its weight is in the difference between the scale and the list of parts"""
    if study.tables["equipment"][index].get("name") != _UNLISTED:
        raise MissingInput
    return restated("0 g")


def _equipment_from_nose(study: PartialStudy, index: int) -> Assumption:
    """The balance mark, where nothing is listed"""
    _equipment_mass(study, index)
    return restated(study.written("stock", "balance_from_nose"))


def draws_nothing(name: str) -> bool:
    """Return whether an item of equipment draws no power by its name, as "wires, horns and linkages" or "motor mount".

    The last word of each thing that it names must be of something without electricity.
    """
    things = [thing.split() for thing in _BETWEEN_THINGS.split(name.lower()) if thing.strip()]
    return bool(things) and all(words[-1].removesuffix("s") in _DRAWS_NOTHING for words in things)


def _equipment_power(study: PartialStudy, index: int) -> Assumption:
    """6 W for receiver, servos, camera and transmitter, where nothing is listed; 0 W for wires, lids, mounts"""
    if draws_nothing(str(study.tables["equipment"][index].get("name", ""))):
        return restated("0 W")
    _equipment_mass(study, index)
    return Assumption("6 W", COMMON_PRACTICE, "2 W", "15 W", "range, most of all of a slow wing")


POWER_RULES: dict[str, dict[str, Rule]] = {
    "motor": {"size": _motor_size, "speed_constant": _motor_speed_constant, "mass": _motor_mass},
    "pack": PACK_RULES,
    "choices": {"parallel": _parallel_on_trial, "rod_pairs": _rod_pairs_on_trial},
    "stretch": {"fins": _fins_on_trial},
    "propeller": {
        "size": restated_key("power", "propeller"),
        "mass": _propeller_mass,
        "from_nose": _propeller_from_nose,
    },
    "controller": {
        "mass": _controller_mass,
        "maximum_current": constant("60 A", "30 A", "100 A", "which propellers are allowed"),
        "from_nose": _controller_from_nose,
    },
    "fly": {"never_exceed_speed": _never_exceed_speed},
    "equipment": {
        "name": _equipment_name,
        "mass": _equipment_mass,
        "from_nose": _equipment_from_nose,
        "power": _equipment_power,
    },
}
# These rules run after all rules above, since they need keys of several tables.
LATE_MOTOR_RULES: dict[str, Rule] = {"maximum_current": _motor_maximum_current, "from_nose": _motor_from_nose}
