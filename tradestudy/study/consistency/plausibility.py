"""What cannot be, and what is hard to believe, although every key lies within its own range.

An impossible value is refused, like every other error. A value that is hard to believe is used all the same, and
``check`` says so first. Bounds without a source are common practice.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tradestudy.catalogue import catalogue_part
from tradestudy.physics.propulsion import cold_and_age
from tradestudy.quantities import STANDARD_GRAVITY, from_si
from tradestudy.study.line_numbers import Place
from tradestudy.study.schema.equipment import EquipmentTable
from tradestudy.study.schema.power import NOMINAL_VOLTAGE, ControllerTable, PackChoiceTable, PackTable
from tradestudy.study.schema.search import FlyTable, KnownFlightTable
from tradestudy.study.schema.study import Study
from tradestudy.study.schema.wing import ElevonTable, FinTable, StockTable
from tradestudy.study.value_text import mm

from .shared import LENGTH_TOLERANCE, Faults
from .stock_geometry import foam_chord, panel_fraction

# Energy over weight of a complete pack [J/kg]. Cells on sale hold up to 270 Wh/kg, cells on trial some 450 (from
# memory).
_ENERGY_LIMIT, _ENERGY_DOUBT = 450 * 3600.0, (50 * 3600.0, 285 * 3600.0)
# Distance times weight over the energy used: the glide ratio times the share that the drive returns. The best
# sailplanes glide 70 to 1 (from memory).
_FARTHEST_GLIDE = 70.0
_FIN_ON_WING = 0.25  # share of the root of a fin that usually lies along the wing at least
_BEYOND = 0.2  # m; farthest that things usually are ahead of the nose or behind the wing
_WING_LOADING = (1.0, 12.0)  # kg/m^2, of small foam wings
_ASPECT_RATIO = (2.5, 16.0)
_FASTEST = 70.0  # m/s, of small foam wings
_HARDEST = 12.0  # load factor
_MOST_RESERVE = 0.5
_MOST_EQUIPMENT_POWER = 40.0  # W


def _pack_weighs_enough(pack: PackTable, pack_choice: tuple[PackChoiceTable, ...]) -> Faults:
    """Yield an error if no cell holds as much energy as the pack does for its weight."""
    for place, one in _packs(pack, pack_choice):
        energy, weight = _energy(one), one.weight
        if weight is not None and energy > _ENERGY_LIMIT * weight:
            yield (
                (*place, "weight"),
                f"is {weight * 1e3:.0f} g for {_watt_hours(energy):.0f} Wh: {_watt_hours(energy) / weight:.0f} Wh/kg, "
                f"and no cell holds more than {_watt_hours(_ENERGY_LIMIT):.0f}.",
            )


def _fins_touch_the_wing(stock: StockTable, elevon: ElevonTable, fin: tuple[FinTable, ...]) -> Faults:
    """Yield an error if the root of a fin lies wholly ahead of the wing or behind it."""
    for index, one in enumerate(fin):
        chord, along = _fin_on_wing(stock, elevon, one)
        if along <= 0.0:
            yield (
                ("fin", index, "behind_leading_edge"),
                f"is {mm(one.behind_leading_edge)}: with a root_chord of {mm(one.root_chord)} the fin touches nothing; "
                f"the chord there is {mm(chord)}.",
            )


def _movable_things_start_in_their_range(equipment: tuple[EquipmentTable, ...]) -> Faults:
    """Yield an error if a thing lies outside the range in which it may be moved."""
    for index, thing in enumerate(equipment):
        if thing.may_move is None:
            continue
        front, back = thing.may_move
        if not front - LENGTH_TOLERANCE <= thing.from_nose <= back + LENGTH_TOLERANCE:
            yield (
                ("equipment", index, "may_move"),
                f"is {mm(front)} to {mm(back)}, but from_nose is {mm(thing.from_nose)}: today it lies outside its own "
                "range.",
            )


def _things_lie_within_the_span(
    stock: StockTable, equipment: tuple[EquipmentTable, ...], controller: ControllerTable
) -> Faults:
    """Yield an error if a thing lies beyond the tip."""
    tables: list[tuple[Place, Any]] = [(("equipment", index), thing) for index, thing in enumerate(equipment)]
    for place, thing in (*tables, (("controller",), controller)):
        if thing.from_centre > 0.5 * stock.span + LENGTH_TOLERANCE:
            yield (
                (*place, "from_centre"),
                f"is {mm(thing.from_centre)}, beyond the tip: half of stock.span is {mm(0.5 * stock.span)}.",
            )


def _known_flight_has_energy(
    known_flight: KnownFlightTable, pack: PackTable, stock: StockTable, equipment: tuple[EquipmentTable, ...]
) -> Faults:
    """Yield an error if the charge used cannot have carried the wing so far, or fed its equipment so long."""
    energy = known_flight.charge_used * pack.series * cold_and_age.FULL_VOLTAGE[_chemistry(pack)]
    used = f"is {from_si(known_flight.charge_used, 'mAh', 'charge'):.0f} mAh, at most {_watt_hours(energy):.3g} Wh"
    equipment_needs = known_flight.time * sum(thing.power for thing in equipment if thing.set is None)
    distance = known_flight.distance or 0.0
    glide = distance * stock.flying_weight * STANDARD_GRAVITY / energy
    if glide > _FARTHEST_GLIDE:
        yield (
            ("known_flight", "charge_used"),
            f"{used}: to fly {from_si(distance, 'km', 'distance'):g} km on that, the wing would glide "
            f"{glide:.0f} to 1 with a drive that loses nothing. The best sailplanes glide {_FARTHEST_GLIDE:.0f} to 1.",
        )
    elif equipment_needs > energy:
        yield (
            ("known_flight", "charge_used"),
            f"{used}, but the equipment alone needs {_watt_hours(equipment_needs):.3g} Wh in known_flight.time.",
        )


def _known_flight_says_how_fast(known_flight: KnownFlightTable) -> Faults:
    """Yield an error if neither distance nor the share of full throttle says what kind of flight it was."""
    if known_flight.distance is None and not known_flight.is_mixed:
        yield (
            ("known_flight",),
            "has neither distance nor full_throttle; give distance for a steady cruise, or full_throttle for a mixed "
            'flight, such as "33 %".',
        )


def _known_flight_is_allowed(known_flight: KnownFlightTable, fly: FlyTable, given: dict[str, Any]) -> Faults:
    """Yield an error if the mean speed of the known flight is above the never-exceed speed of the study."""
    speed = (known_flight.distance or 0.0) / known_flight.time
    if speed > fly.never_exceed_speed and "never_exceed_speed" in given.get("fly", {}):
        yield (
            ("known_flight", "distance"),
            f"over known_flight.time is {from_si(speed, 'km/h', 'speed'):.0f} km/h, above fly.never_exceed_speed "
            f"({from_si(fly.never_exceed_speed, 'km/h', 'speed'):.0f} km/h).",
        )


def doubts(study: Study) -> list[tuple[Place, str]]:
    """Return (place, sentence) for every value that is hard to believe. The message is the key and the sentence."""
    return [*_wing_doubts(study), *_part_doubts(study), *_flight_doubts(study)]


def _wing_doubts(study: Study) -> Iterator[tuple[Place, str]]:
    stock, elevon = study.stock, study.elevon
    panel = 0.5 * (stock.root_chord + elevon.root_chord + stock.tip_chord + elevon.tip_chord)
    area = panel * (stock.span - stock.centre_width) + (stock.root_chord + elevon.root_chord) * stock.centre_width
    loading, ratio = stock.flying_weight / area, stock.span**2 / area
    if not _WING_LOADING[0] <= loading <= _WING_LOADING[1]:
        yield (
            ("stock", "flying_weight"),
            f"is {stock.flying_weight * 1e3:.0f} g, {loading:.2g} kg/m2 of wing; {_WING_LOADING[0]:g} to "
            f"{_WING_LOADING[1]:g} is usual.",
        )
    if not _ASPECT_RATIO[0] <= ratio <= _ASPECT_RATIO[1]:
        yield (
            ("stock", "span"),
            f"is {mm(stock.span)}, an aspect ratio of {ratio:.1f}; {_ASPECT_RATIO[0]:g} to {_ASPECT_RATIO[1]:g} is "
            "usual.",
        )
    for index, one in enumerate(study.fin):
        chord, along = _fin_on_wing(stock, elevon, one)
        if along < _FIN_ON_WING * min(one.root_chord, chord):
            yield (
                ("fin", index, "behind_leading_edge"),
                f"is {mm(one.behind_leading_edge)}: only {mm(along)} of the fin's root lie along the wing.",
            )


def _part_doubts(study: Study) -> Iterator[tuple[Place, str]]:
    stock, elevon = study.stock, study.elevon
    back = max(stock.root_chord + elevon.root_chord, stock.tip_set_back + stock.tip_chord + elevon.tip_chord)
    tables: list[tuple[Place, Any]] = [(("equipment", index), one) for index, one in enumerate(study.all_equipment)]
    tables += [((name,), getattr(study, name)) for name in ("motor", "controller", "propeller", "pack")]
    for place, thing in tables:
        if not -_BEYOND <= thing.from_nose <= back + _BEYOND:
            yield (
                (*place, "from_nose"),
                f"is {mm(thing.from_nose)}, far off the wing, which reaches from 0 mm to {mm(back)}.",
            )
    low, high = _ENERGY_DOUBT
    for place, one in _packs(study.pack, study.pack_choice):
        if one.weight is None or low <= _energy(one) / one.weight <= high:
            continue
        yield (
            (*place, "weight"),
            f"is {one.weight * 1e3:.0f} g for {_watt_hours(_energy(one)):.0f} Wh: "
            f"{_watt_hours(_energy(one)) / one.weight:.0f} Wh/kg; {_watt_hours(low):.0f} to {_watt_hours(high):.0f} is "
            "usual.",
        )
    drawn = [thing.power for thing in study.equipment]
    if sum(drawn) > _MOST_EQUIPMENT_POWER:
        yield (
            ("equipment", drawn.index(max(drawn)), "power"),
            f"is {max(drawn):g} W, and all equipment draws {sum(drawn):g} W; up to {_MOST_EQUIPMENT_POWER:g} W is "
            "usual.",
        )


def _flight_doubts(study: Study) -> Iterator[tuple[Place, str]]:
    fly = study.fly
    for key in ("never_exceed_speed", "fastest_flown"):
        speed = getattr(fly, key)
        if speed is not None and speed > _FASTEST:
            yield (
                ("fly", key),
                f"is {from_si(speed, 'km/h', 'speed'):.0f} km/h; small foam wings fly up to "
                f"{from_si(_FASTEST, 'km/h', 'speed'):.0f} km/h.",
            )
    for key in ("pull_up", "hardest_pull"):
        load = getattr(fly, key)
        if load is not None and load > _HARDEST:
            yield ("fly", key), f"is {load:g}; small foam wings are flown up to {_HARDEST:g}."
    if fly.reserve > _MOST_RESERVE:
        yield ("fly", "reserve"), f"is {100 * fly.reserve:.0f} %; 15 to 30 % is usual."


def _fin_on_wing(stock: StockTable, elevon: ElevonTable, fin: FinTable) -> tuple[float, float]:
    """Return the wing's chord at a fin with its elevon or strip, and how much of the fin's root lies along it. [m]"""
    station = 0.5 * stock.span if fin.from_centre is None else fin.from_centre
    behind = elevon.root_chord + panel_fraction(stock, station) * (elevon.tip_chord - elevon.root_chord)
    chord = foam_chord(stock, station) + behind
    return chord, min(fin.behind_leading_edge + fin.root_chord, chord) - max(fin.behind_leading_edge, 0.0)


def _packs(pack: PackTable, others: tuple[PackChoiceTable, ...]) -> list[tuple[Place, PackTable | PackChoiceTable]]:
    return [(("pack",), pack), *((("pack_choice", index), one) for index, one in enumerate(others))]


def _chemistry(pack: PackTable | PackChoiceTable) -> str:
    return str(catalogue_part("cells", pack.cell)["chemistry"])


def _energy(pack: PackTable | PackChoiceTable) -> float:
    """Return the energy that is printed on a pack: capacity times nominal voltage. [J]"""
    capacity = pack.capacity or pack.parallel * catalogue_part("cells", pack.cell)["capacity"]
    return float(capacity * pack.series * NOMINAL_VOLTAGE[_chemistry(pack)])


def _watt_hours(energy: float) -> float:
    return from_si(energy, "Wh", "energy")


PLAUSIBILITY_CHECKS = (
    _pack_weighs_enough,
    _fins_touch_the_wing,
    _movable_things_start_in_their_range,
    _things_lie_within_the_span,
    _known_flight_has_energy,
    _known_flight_says_how_fast,
    _known_flight_is_allowed,
)
