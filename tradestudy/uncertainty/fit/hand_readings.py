"""Readings taken by hand, each with its spread and the model's prediction at given factors.

Spreads are standard deviations of ln(measured / modelled): the error of the reading, and that of the conditions it was
taken in. All are common practice without a source unless noted.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np

from tradestudy.aircraft.anchor.drag_calibration import FLIGHT_SPREAD
from tradestudy.aircraft.anchor.stiffness_calibration import ANGLE_ERROR, READING_ERROR, RULER_ERROR
from tradestudy.aircraft.model.power_data import propeller_band
from tradestudy.physics.air import GRAVITY
from tradestudy.quantities import with_unit
from tradestudy.study.measurements import Measurements
from tradestudy.study.schema.measured import BenchTable, BendTable, RememberedFlightTable, TwistTable

from .factored_wing import ONES, FitWing, bench_reading

_FOAM_SCALE, _COVERED_SCALE = 0.02, 0.015  # of the weight: the scale, and the section as drawn against as cut
CHARGER, _SAG = 0.02, 0.10  # of capacity, of resistance by volts and amps under load
_READ = {"amps": 0.03, "rpm": 0.01, "thrust": 0.05}
_DRIVEN = {"bus": 0.02, "rpm": 0.01, "amps": 0.03, "thrust": 0.05}  # how well is known where it runs
_NO_VOLTS = 0.06  # of amps, where the pack's volts were not read
STANDING = "propeller, standing"  # what its curves miss at rest beside what they miss in flight
_GLIDED, _GLIDE_SPEED = 0.10, 0.04  # of a sinking speed by stopwatch and altitude, of the speed it was flown at
_FLOWN_SPEED = 0.03  # of distance over time
_WIND_GUESS = 0.3, 0.5  # of the guess, and m/s
_DISPLAY = 0.08  # of amps read off a display in flight
_MASS, _STIFF, _POWER = (
    ("foam_density", "covering"),
    ("foam_stiffness", "film_bond"),
    ("propeller_power", "motor_resistance"),
)
AIR = ("drag", "induced", *_POWER)


@dataclass(frozen=True)
class ReadingGroup:
    """Readings that are predicted at once, arrays (n,). SI.

    ``uses`` names the factors, and other free ones, on which the prediction depends.
    """

    kind: str
    labels: tuple[str, ...]
    unit: str  # at the edges
    measured: np.ndarray
    spread: np.ndarray
    uses: tuple[str, ...]
    predict: Callable[[Mapping[str, float]], np.ndarray]


def single_reading(
    kind: str,
    label: str,
    unit: str,
    measured: float,
    spread: float,
    uses: tuple[str, ...],
    predict: Callable[[Mapping[str, float]], np.ndarray],
) -> ReadingGroup:
    """Return a group of one reading."""
    return ReadingGroup(kind, (label,), unit, np.array([measured]), np.array([spread]), uses, predict)


def standing_spread(wing: FitWing) -> float:
    """Return the deviation of a propeller's power at rest, in addition to that in flight, ln. [-]"""
    band = propeller_band(wing.study)
    return band.power if band else 0.02


def by_hand(wing: FitWing, measurements: Measurements) -> list[ReadingGroup]:
    """Return every reading of a measurements file that depends on a factor, and the study's own readings."""
    found = [*weight_readings(wing, measurements), *pack_readings(wing, measurements)]
    bends, twists, flights = list(measurements.bend), list(measurements.twist), list(measurements.flown)
    test, known = wing.study.load_test, wing.study.known_flight
    if test and test.tip_mass is not None and test.tip_rise is not None:
        bends.append(
            BendTable.model_construct(mass=test.tip_mass, drop=test.tip_rise, from_centre=test.tip_from_centre)
        )
    if test and test.twist_mass is not None and test.twist_arm is not None and (test.twist_angle or test.edge_rise):
        twists.append(
            TwistTable.model_construct(
                mass=test.twist_mass,
                arm=test.twist_arm,
                angle=test.twist_angle,
                edge_drop=None if test.twist_angle else test.edge_rise,
                from_centre=test.tip_from_centre,
            )
        )
    if known:
        flights.append(
            RememberedFlightTable.model_construct(
                distance=known.distance, time=known.time, charge_used=known.charge_used, amps=None, wind=0.0
            )
        )
    found += [bend_reading(wing, one) for one in bends]
    found += [twist_reading(wing, one) for one in twists]
    for number, point in enumerate(measurements.bench, start=1):
        found += bench_readings(wing, point, number)
    found += [glide_reading(wing, one.speed, one.sink) for one in measurements.glide]
    for one in flights:
        found += remembered_flight(wing, one)
    return found


def weight_readings(wing: FitWing, measurements: Measurements) -> list[ReadingGroup]:
    """Return the weights of the wing halves."""
    masses, found = wing.masses, []
    if measurements.weighed.bare_halves is not None:
        found.append(
            single_reading(
                "scale",
                "bare halves",
                "g",
                measurements.weighed.bare_halves,
                _FOAM_SCALE,
                ("foam_density",),
                lambda f: np.array([f["foam_density"] * masses["foam"]]),
            )
        )
    if measurements.weighed.covered_halves is not None:
        found.append(
            single_reading(
                "scale",
                "covered halves",
                "g",
                measurements.weighed.covered_halves,
                _COVERED_SCALE,
                _MASS,
                lambda f: np.array(
                    [f["foam_density"] * masses["foam"] + f["covering"] * masses["covering"] + masses["elevons"]]
                ),
            )
        )
    return found


def pack_readings(wing: FitWing, measurements: Measurements) -> list[ReadingGroup]:
    """Return the pack's capacity by a charger and its resistance under load."""
    cells, found = wing.train.pack, []
    charge = float(cells.parallel * cells.cell_capacity)
    ohms, wires = float(cells.series / cells.parallel * cells.cell_resistance), float(cells.wiring_resistance)
    if measurements.pack.capacity is not None:
        found.append(
            single_reading(
                "charger",
                "capacity of the pack",
                "mAh",
                measurements.pack.capacity,
                CHARGER,
                ("pack_capacity",),
                lambda f: np.array([f["pack_capacity"] * charge]),
            )
        )
    if measurements.pack.resistance is not None:
        found.append(
            single_reading(
                "load",
                "resistance of the pack",
                "mohm",
                measurements.pack.resistance,
                _SAG,
                ("pack_resistance",),
                lambda f: np.array([f["pack_resistance"] * ohms + wires]),
            )
        )
    return found


def bend_reading(wing: FitWing, one: BendTable) -> ReadingGroup:
    """Return the movement of the tips under bags."""
    station = wing.plain_bench.station if one.from_centre is None else one.from_centre
    return single_reading(
        "bags",
        f"tips under {with_unit(one.mass, 'g')} each",
        "mm",
        one.drop,
        float(np.hypot(READING_ERROR, RULER_ERROR / one.drop)),
        _STIFF,
        bench_reading(wing, lambda b: b.rise(one.mass, station)),
    )


def twist_reading(wing: FitWing, one: TwistTable) -> ReadingGroup:
    """Return the twist of the tips when bags move from ahead of the rods to behind them."""
    station = wing.plain_bench.station if one.from_centre is None else one.from_centre
    label = f"tips turned by {with_unit(one.mass, 'g')} moved aft"
    if one.angle is not None:
        return single_reading(
            "bags",
            label,
            "deg",
            one.angle,
            float(np.hypot(READING_ERROR, ANGLE_ERROR / one.angle)),
            _STIFF,
            bench_reading(wing, lambda b: b.tip_twist(one.mass, station, one.arm).angle),
        )
    assert one.edge_drop is not None
    return single_reading(
        "bags",
        label,
        "mm",
        one.edge_drop,
        float(np.hypot(READING_ERROR, RULER_ERROR / one.edge_drop)),
        _STIFF,
        bench_reading(wing, lambda b: b.tip_twist(one.mass, station, one.arm).edge_rise),
    )


def bench_readings(wing: FitWing, point: BenchTable, number: int) -> list[ReadingGroup]:
    """Return the readings of a motor on the bench: one sets the operating point, the others are predicted."""
    read = {"amps": point.amps, "rpm": point.rpm, "thrust": None if point.thrust is None else GRAVITY * point.thrust}
    given = {name: value for name, value in read.items() if value is not None}
    if point.throttle is not None and point.volts is not None:
        driver, value = "bus", point.throttle * point.volts
    else:
        driver = next(name for name in ("rpm", "amps", "thrust") if name in given)
        value = given.pop(driver)
    units = {"amps": "A", "rpm": "rpm", "thrust": "N"}
    band = propeller_band(wing.study)

    def predicted(name: str, factors: Mapping[str, float], at: float = value) -> float:
        there = {**factors, "propeller_power": factors["propeller_power"] * factors.get(STANDING, 1.0)}
        return wing.standing(there, driver, at, point.volts)[name]

    found = []
    for name, measured in given.items():
        slope = np.log(predicted(name, ONES, 1.01 * value) / predicted(name, ONES)) / np.log(1.01)
        off = [_READ[name], slope * _DRIVEN[driver]]
        if name == "thrust":
            off.append(band.static_thrust if band else 0.0)
        if name == "amps" and point.volts is None:
            off.append(_NO_VOLTS)
        found.append(
            single_reading(
                "motor bench",
                f"point {number}: {name}",
                units[name],
                measured,
                float(np.linalg.norm(off)),
                (*_POWER, STANDING),
                _one(partial(predicted, name)),
            )
        )
    return found


def _one(told: Callable[[Mapping[str, float]], float]) -> Callable[[Mapping[str, float]], np.ndarray]:
    """Return a prediction of one reading as an array."""
    return lambda factors: np.array([told(factors)])


def glide_reading(wing: FitWing, speed: float, sink: float) -> ReadingGroup:
    """Return the sinking speed of one glide."""
    air, faster = wing.air(speed), wing.air(1.01 * speed)
    slope = float(np.log(wing.sink(ONES, faster) / wing.sink(ONES, air))[0]) / np.log(1.01)
    return single_reading(
        "glide",
        f"sink at {with_unit(speed, 'km/h')}, motor off",
        "m/s",
        sink,
        float(np.hypot(_GLIDED, slope * _GLIDE_SPEED)),
        ("drag", "induced"),
        lambda f: wing.sink(f, air),
    )


def remembered_flight(wing: FitWing, one: RememberedFlightTable) -> list[ReadingGroup]:
    """Return the charge and current of one remembered flight, out and back or round.

    In wind the airspeed is higher than distance over time.
    """
    ground = one.distance / one.time
    root = np.sqrt(ground**2 + 4 * one.wind**2)
    speed = 0.5 * (ground + root)
    off = np.hypot(
        _FLOWN_SPEED, 2 * one.wind / root * (_WIND_GUESS[0] * one.wind + _WIND_GUESS[1] * (one.wind > 0)) / speed
    )
    air, faster = wing.air(speed), wing.air(1.01 * speed)
    capacity = float(wing.train.pack.parallel * wing.train.pack.cell_capacity)
    left = 1 - min(one.charge_used / capacity, 0.98) if one.charge_used else 0.5
    kind, found = f"flight of {with_unit(one.distance, 'km', 1)}", []
    current = wing.cruise(ONES, air, left).mean_current[0], wing.cruise(ONES, faster, left).mean_current[0]
    slope = float(np.log(current[1] / current[0])) / np.log(1.01)
    if one.charge_used is not None:
        found.append(
            single_reading(
                kind,
                "charge used",
                "mAh",
                one.charge_used,
                float(np.hypot(FLIGHT_SPREAD, slope * off)),
                AIR,
                lambda f: (
                    wing.cruise({**f, "pack_capacity": 1.0, "pack_resistance": 1.0}, air, left).mean_current * one.time
                ),
            )
        )
    if one.amps is not None:
        found.append(
            single_reading(
                kind,
                "amps on the display",
                "A",
                one.amps,
                float(np.hypot(_DISPLAY, slope * off)),
                AIR,
                lambda f: wing.cruise({**f, "pack_capacity": 1.0, "pack_resistance": 1.0}, air, left).mean_current,
            )
        )
    return found
