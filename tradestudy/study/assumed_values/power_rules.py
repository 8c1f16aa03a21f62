"""What a study leaves open of pack, motor, controller, propeller and equipment."""

from __future__ import annotations

import math

from tradestudy.catalogue import catalogue_part, catalogue_parts
from tradestudy.physics.weights import pack_dimensions
from tradestudy.quantities import from_si
from tradestudy.study.schema.key_types import propeller_lengths
from tradestudy.study.schema.power import LOADED_SHARE, NOMINAL_VOLTAGE
from tradestudy.study.schema.short_forms import MOST_CELLS

from .rule_types import COMMON_PRACTICE, Assumption, MissingInput, PartialStudy, Rule, assumed_length, grams, restated
from .wing_rules import own_cell, pack_room, packs_to_hold

WATTS_PER_GRAM = 6.5  # a motor of this kind bears for the length of a climb; common practice, no source
LIGHTLY_LOADED = 0.9  # of the no-load speed that a big motor with a small propeller turns; common practice, no source
MADE_UP = "next to nothing: weight and balance are tied to what was measured"
LEAST_ROOM_OVER_PACK = 0.004  # m
MOST_AMPS = 200.0  # A; the most that motor.maximum_current may say


def motor_size(bench: PartialStudy, _: int) -> Assumption:
    """power.motor"""
    return restated(bench.value("power", "motor")[0])


def motor_speed_constant(bench: PartialStudy, _: int) -> Assumption:
    """power.motor"""
    return restated(f"{from_si(bench.value('power', 'motor')[1], 'rpm/V', 'speed_constant'):g} rpm/V")


def motor_mass(bench: PartialStudy, _: int) -> Assumption:
    """The usual mass of its class"""
    mass = catalogue_part("motor_classes", bench.value("motor", "size"))["reference_mass"]
    return Assumption(
        grams(mass), "the middle of its class", grams(0.75 * mass), grams(1.3 * mass), "winding resistance, so range"
    )


def nominal_voltage(bench: PartialStudy) -> float:
    """Return what is printed on the pack. [V]"""
    return bench.value("pack", "series") * NOMINAL_VOLTAGE[catalogue_part("cells", bench.value("pack", "cell"))["chemistry"]]


def motor_maximum_current(bench: PartialStudy, _: int) -> Assumption:
    """6.5 W for every gram of motor at the pack's nominal voltage, no less than the stock wing draws today"""
    amps = WATTS_PER_GRAM * 1e3 * bench.value("motor", "mass") / nominal_voltage(bench)
    low, middle, high = (f"{min(max(share * amps, 1.0), MOST_AMPS):.0f} A" for share in (0.6, 1.0, 1.5))
    return Assumption(middle, COMMON_PRACTICE, low, high, "which propellers are allowed")


def trailing_edge(bench: PartialStudy) -> float:
    """Return the root trailing edge behind the nose. [m]"""
    return bench.value("stock", "root_chord") + bench.value("elevon", "root_chord")


def motor_from_nose(bench: PartialStudy, _: int) -> Assumption:
    """10 mm ahead of the root trailing edge: a pusher"""
    back = trailing_edge(bench)
    return assumed_length(back - 0.010, back - 0.040, back + 0.015, MADE_UP)


def propeller_size(bench: PartialStudy, _: int) -> Assumption:
    """power.propeller"""
    return restated(bench.value("power", "propeller"))


def propeller_mass(bench: PartialStudy, _: int) -> Assumption:
    """A quarter of a gram for each square inch of its diameter squared"""
    mass = 0.25e-3 * (propeller_lengths(bench.value("propeller", "size"))[0] / 0.0254) ** 2
    return Assumption(grams(mass), COMMON_PRACTICE, grams(0.6 * mass), grams(1.8 * mass), MADE_UP)


def propeller_from_nose(bench: PartialStudy, _: int) -> Assumption:
    """20 mm behind the root trailing edge: a pusher"""
    back = trailing_edge(bench)
    return assumed_length(back + 0.020, back, back + 0.050, MADE_UP)


def controller_mass(bench: PartialStudy, _: int) -> Assumption:
    """35 g"""
    return Assumption("35 g", COMMON_PRACTICE, "15 g", "70 g", MADE_UP)


def controller_maximum_current(bench: PartialStudy, _: int) -> Assumption:
    """60 A"""
    return Assumption("60 A", COMMON_PRACTICE, "30 A", "100 A", "which propellers are allowed")


def controller_from_nose(bench: PartialStudy, _: int) -> Assumption:
    """70 % of the way to the root trailing edge"""
    back = trailing_edge(bench)
    return assumed_length(0.7 * back, 0.4 * back, 0.95 * back, MADE_UP)


# --- the pack ---------------------------------------------------------------------------------------------------


def pack_series(bench: PartialStudy, _: int) -> Assumption:
    """power.pack"""
    return restated(bench.value("power", "pack")[0])


def pack_parallel(bench: PartialStudy, _: int) -> Assumption:
    """power.pack"""
    return restated(bench.value("power", "pack")[1])


def pack_cell(bench: PartialStudy, _: int) -> Assumption:
    """The cell of that chemistry in the catalogue whose capacity is nearest"""
    _series, parallel, chemistry = bench.value("power", "pack")
    known = {name: cell for name, cell in catalogue_parts("cells").items() if cell["chemistry"] == chemistry}
    if bench.has("power", "capacity"):
        own = bench.value("power", "capacity") / parallel
        near = sorted(known, key=lambda name: abs(math.log(known[name]["capacity"] / own)))
        others = [name for name in near[1:] if abs(math.log(known[name]["capacity"] / own)) < 0.4]
        return Assumption(
            near[0],
            "nearest in capacity and chemistry",
            near[0],
            others[0] if others else near[0],
            "sag, so range at the end of the pack; size and limits of the cells",
        )
    return Assumption(
        next(iter(known)),
        "the first of that chemistry in the catalogue",
        list(known)[-1],
        next(iter(known)),
        "range, weight",
    )


def pack_capacity(bench: PartialStudy, _: int) -> Assumption:
    """power.capacity, else that of the cells"""
    bench.value("power", "capacity")
    return restated(bench.whole["power"]["capacity"])


def pack_weight(bench: PartialStudy, _: int) -> Assumption:
    """power.pack_weight, else the cells and 6 % and 30 g for strips, wrap, leads"""
    bench.value("power", "pack_weight")
    return restated(bench.whole["power"]["pack_weight"])


def pack_cells_high(bench: PartialStudy, _: int) -> Assumption:
    """One layer of round cells; pouches as high as the wing is thick, at most one in series on another"""
    cell, series = own_cell(bench), bench.value("pack", "series")
    room = bench.value("stock", "root_thickness") - LEAST_ROOM_OVER_PACK
    if "diameter" in cell:
        return restated(1)
    most = max(1, min(series, int(room / cell["thickness"])))
    high = math.ceil(series / math.ceil(series / most))  # as many beside each other, and no layer without need
    return Assumption(high, "what the thickness of the wing allows", 1, high, "where the pack fits")


def pack_cells_across(bench: PartialStudy, _: int) -> Assumption:
    """The cells in series side by side; more of them where a pack would not fit behind the nose"""
    series, high = bench.value("pack", "series"), bench.value("pack", "cells_high")
    cells = series * bench.value("pack", "parallel")
    across = pack_dimensions.least_cells_across(
        own_cell(bench)["length"], cells, math.ceil(series / high), high, _room_for_pack(bench)
    )
    return Assumption(
        across,
        "so that the pack fits behind the nose; a bigger pack on trial may be wider",
        moves="where the pack fits",
    )


def _room_for_pack(bench: PartialStudy) -> float:
    """The first bay's length where it is given, else what lies behind the nose. [m]"""
    try:
        return bench.value("bay", "length", 0) - pack_dimensions.PLAY
    except MissingInput:
        return pack_room(bench)


def pack_bay(bench: PartialStudy, _: int) -> Assumption:
    """The first bay"""
    bays = bench.whole.get("bay")
    if isinstance(bays, list) and bays and isinstance(bays[0], dict) and isinstance(bays[0].get("name"), str):
        return restated(bays[0]["name"])
    return restated("nose")


def pack_from_nose(bench: PartialStudy, _: int) -> Assumption:
    """Near the front of its bay"""
    front, room = bench.value("bay", "from_nose", 0), bench.value("bay", "length", 0)
    size = packs_to_hold(bench)[0][0]
    first, last = front + 0.5 * size, front + room - 0.5 * size
    middle = min(first + 0.25 * pack_dimensions.PLAY, max(first, last))
    return assumed_length(middle, first, max(first, last), "where the pack sits", "near the front of its bay")


def parallel_on_trial(bench: PartialStudy, _: int) -> Assumption:
    """The stock pack and one more cell in parallel, where [power] tells the pack in short"""
    _only_in_short(bench)
    stock = bench.value("pack", "parallel")
    trial = [stock, stock + 1] if stock < MOST_CELLS else [stock]
    return Assumption(trial, "a bigger pack is tried", moves="range, weight, balance")


def rod_pairs_on_trial(bench: PartialStudy, _: int) -> Assumption:
    """The stock rods and one more pair, where [power] tells the pack in short"""
    _only_in_short(bench)
    stock = bench.value("rods", "pairs", 0)
    return Assumption(
        [stock, stock + 1] if stock < 4 else [stock], "more rods are tried", moves="strength, bend, weight"
    )


def fins_on_trial(bench: PartialStudy, _: int) -> Assumption:
    """hold_volume where [power] tells the pack in short, else keep"""
    _only_in_short(bench)
    return Assumption("hold_volume", "fins of sheet are soon cut anew")


def _only_in_short(bench: PartialStudy) -> None:
    """A study that tells its parts in full says what is on trial, too."""
    if not bench.has("power"):
        raise MissingInput


def never_exceed_speed(bench: PartialStudy, _: int) -> Assumption:
    """1.2 times the speed at which the propeller screws forward at 80 % of the no-load rpm; the model may raise it"""
    turns = LOADED_SHARE * bench.value("motor", "speed_constant") * nominal_voltage(bench) / (2 * math.pi)
    speed = 1.2 * turns * propeller_lengths(bench.value("propeller", "size"))[1] * 3.6
    speed = min(max(speed, 70.0), 380.0)
    highest = min(1.1 * LIGHTLY_LOADED / LOADED_SHARE * speed, 400.0)
    return Assumption(
        f"{speed:.0f} km/h",
        "the propeller's pitch and the motor's rpm/V",
        f"{0.85 * speed:.0f} km/h",
        f"{highest:.0f} km/h",
        "loads in a pull-up, so what breaks first",
    )


def equipment_name(bench: PartialStudy, index: int) -> Assumption:
    """equipment not listed"""
    return restated("equipment not listed" if index == 0 else f"equipment {index + 1}")


def equipment_mass(bench: PartialStudy, index: int) -> Assumption:
    """0 g where nothing is listed: its weight is in what the scale finds and the list does not"""
    if bench.whole["equipment"][index].get("name") != "equipment not listed":
        raise MissingInput
    return restated("0 g")


def equipment_from_nose(bench: PartialStudy, index: int) -> Assumption:
    """The balance mark, where nothing is listed"""
    equipment_mass(bench, index)
    bench.value("stock", "balance_from_nose")
    return restated(bench.whole["stock"]["balance_from_nose"])


def equipment_power(bench: PartialStudy, index: int) -> Assumption:
    """6 W for receiver, servos, camera and transmitter, where nothing is listed"""
    equipment_mass(bench, index)
    return Assumption("6 W", COMMON_PRACTICE, "2 W", "15 W", "range, most of all of a slow wing")


RULES: dict[str, dict[str, Rule]] = {
    "motor": {"size": motor_size, "speed_constant": motor_speed_constant, "mass": motor_mass},
    "pack": {
        "series": pack_series,
        "parallel": pack_parallel,
        "cell": pack_cell,
        "capacity": pack_capacity,
        "weight": pack_weight,
    },
    "choices": {"parallel": parallel_on_trial, "rod_pairs": rod_pairs_on_trial},
    "stretch": {"fins": fins_on_trial},
    "propeller": {"size": propeller_size, "mass": propeller_mass, "from_nose": propeller_from_nose},
    "controller": {
        "mass": controller_mass,
        "maximum_current": controller_maximum_current,
        "from_nose": controller_from_nose,
    },
    "fly": {"never_exceed_speed": never_exceed_speed},
    "equipment": {
        "name": equipment_name,
        "mass": equipment_mass,
        "from_nose": equipment_from_nose,
        "power": equipment_power,
    },
}
# these hang on keys of more than one table, so they come last
LATE_RULES: dict[str, dict[str, Rule]] = {
    "motor": {"maximum_current": motor_maximum_current, "from_nose": motor_from_nose},
    "pack": {"cells_high": pack_cells_high, "cells_across": pack_cells_across, "bay": pack_bay},
}
LAST_RULES: dict[str, dict[str, Rule]] = {"pack": {"from_nose": pack_from_nose}}
