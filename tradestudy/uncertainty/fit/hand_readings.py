"""Readings taken by hand, each with its standard deviation and the model's prediction at given factors.

Standard deviations are those of ln(measured / modelled). They cover errors of the reading and of its conditions. All
are common practice without a source unless noted.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from tradestudy.aircraft.anchor.drag_calibration import FLIGHT_SPREAD
from tradestudy.aircraft.anchor.stiffness_calibration import ANGLE_ERROR, READING_ERROR, RULER_ERROR
from tradestudy.aircraft.model.power_data import propeller_band
from tradestudy.physics.air import GRAVITY
from tradestudy.quantities import with_unit
from tradestudy.study.measurements import Measurements
from tradestudy.study.schema.measured import (
    BenchTable,
    BendTable,
    MeasuredPackTable,
    RememberedFlightTable,
    TwistTable,
    WeighedTable,
)

from .factored_wing import ONES, Factors, FitWing

CHARGER = 0.02  # error of a charger, as a share of the capacity
STANDING = "propeller, standing"  # name of the factor on propeller power at rest, for errors beyond those in flight
_POWER = ("drive_power", "propeller_power", "motor_resistance")
AIR = ("drag", "induced", *_POWER)
_STIFFNESS = ("foam_stiffness", "film_bond")
_FOAM_SCALE, _COVERED_SCALE = 0.02, 0.015  # shares of the weight: errors of scale and of cutting
_SAG = 0.10  # share of a resistance that is read from voltage and current under load
_READ = {"amps": 0.03, "rpm": 0.01, "thrust": 0.05}
_OPERATING_POINT = {"bus": 0.02, "rpm": 0.01, "amps": 0.03, "thrust": 0.05}
_NO_VOLTS = 0.06  # additional share of the current if the pack's voltage was not read
_SINK, _GLIDE_SPEED = 0.10, 0.04  # shares: sinking speed by stopwatch and altitude; speed of the glide
_GROUND_SPEED = 0.03  # share of a speed from distance over time
_WIND_GUESS = 0.3, 0.5  # error of a guessed wind: a share of it, plus m/s
_DISPLAY = 0.08  # share of a current read from a display in flight


@dataclass(frozen=True)
class ReadingGroup:
    """Readings that are predicted in one call, as arrays (n,), SI.

    ``spread`` holds standard deviations of the logarithm.

    ``uses`` names the factors on which the prediction depends. ``own_priors`` holds deviations of ln(factor) before the
    fit for those that are not factors of [fitted]. A prediction that ``is_complex_safe`` takes factors of shape (m, 1)
    and returns (m, n), so that its slopes need one call.
    """

    kind: str
    labels: tuple[str, ...]
    unit: str  # unit shown to the user
    measured: np.ndarray
    spread: np.ndarray
    uses: tuple[str, ...]
    predict: Callable[[Factors], np.ndarray]
    own_priors: Mapping[str, float] = field(default_factory=dict)
    is_complex_safe: bool = False


def single_reading(
    kind: str,
    label: str,
    unit: str,
    measured: float,
    spread: float,
    uses: tuple[str, ...],
    predict: Callable[[Factors], float | np.ndarray],
) -> ReadingGroup:
    """Return a group of one reading. ``predict`` returns a number or an array of one element."""
    return ReadingGroup(
        kind=kind,
        labels=(label,),
        unit=unit,
        measured=np.array([measured]),
        spread=np.array([spread]),
        uses=uses,
        predict=lambda factors: np.atleast_1d(predict(factors)),
    )


def standing_spread(wing: FitWing) -> float:
    """Return the standard deviation of ln(propeller power) at rest, in addition to that in flight. [-]"""
    band = propeller_band(wing.study)
    return band.power if band else 0.02


def by_hand(wing: FitWing, measurements: Measurements) -> list[ReadingGroup]:
    """Return every reading of a measurements file that depends on a factor, and those in the study itself."""
    bends, twists = list(measurements.bend), list(measurements.twist)
    test = wing.study.load_test
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
    return [
        *weight_readings(wing, measurements.weighed),
        *pack_readings(wing, measurements.pack),
        *(bend_reading(wing, bend) for bend in bends),
        *(twist_reading(wing, twist) for twist in twists),
        *(
            reading
            for number, point in enumerate(measurements.bench, start=1)
            for reading in bench_readings(wing, point, number)
        ),
        *(glide_reading(wing, glide.speed, glide.sink) for glide in measurements.glide),
        *(reading for flight in measurements.flown for reading in flight_readings(wing, flight)),
        *known_flight_readings(wing),
    ]


def known_flight_readings(wing: FitWing) -> list[ReadingGroup]:
    """Return the readings of the study's own known flight, if it has one at a steady cruise."""
    known = wing.study.known_flight
    if known is None or known.is_mixed:
        return []
    flight = RememberedFlightTable.model_construct(
        distance=known.distance, time=known.time, charge_used=known.charge_used, amps=None, wind=0.0
    )
    return list(flight_readings(wing, flight))


def weight_readings(wing: FitWing, weighed: WeighedTable) -> Iterator[ReadingGroup]:
    """Yield the readings of the wing halves' weight."""
    masses = wing.masses
    if weighed.bare_halves is not None:
        yield single_reading(
            "scale",
            "bare halves",
            unit="g",
            measured=weighed.bare_halves,
            spread=_FOAM_SCALE,
            uses=("foam_density",),
            predict=lambda factors: factors["foam_density"] * masses["foam"],
        )
    if weighed.covered_halves is not None:
        yield single_reading(
            "scale",
            "covered halves",
            unit="g",
            measured=weighed.covered_halves,
            spread=_COVERED_SCALE,
            uses=("foam_density", "covering"),
            predict=lambda factors: (
                factors["foam_density"] * masses["foam"] + factors["covering"] * masses["covering"] + masses["elevons"]
            ),
        )


def pack_readings(wing: FitWing, measured: MeasuredPackTable) -> Iterator[ReadingGroup]:
    """Yield the readings of the pack: capacity by a charger, and resistance under load."""
    cells = wing.train.pack
    charge = float(cells.parallel * cells.cell_capacity)
    ohms, wires = float(cells.series / cells.parallel * cells.cell_resistance), float(cells.wiring_resistance)
    if measured.capacity is not None:
        yield single_reading(
            "charger",
            "capacity of the pack",
            unit="mAh",
            measured=measured.capacity,
            spread=CHARGER,
            uses=("pack_capacity",),
            predict=lambda factors: factors["pack_capacity"] * charge,
        )
    if measured.resistance is not None:
        yield single_reading(
            "load",
            "resistance of the pack",
            unit="mohm",
            measured=measured.resistance,
            spread=_SAG,
            uses=("pack_resistance",),
            predict=lambda factors: factors["pack_resistance"] * ohms + wires,
        )


def bend_reading(wing: FitWing, bend: BendTable) -> ReadingGroup:
    """Return the reading of the tips' deflection under bags."""
    station = wing.plain_bench.station if bend.from_centre is None else bend.from_centre
    return single_reading(
        "bags",
        f"tips under {with_unit(bend.mass, 'g')} each",
        unit="mm",
        measured=bend.drop,
        spread=float(np.hypot(READING_ERROR, RULER_ERROR / bend.drop)),
        uses=_STIFFNESS,
        predict=lambda factors: wing.bench(factors).rise(bend.mass, station),
    )


def twist_reading(wing: FitWing, twist: TwistTable) -> ReadingGroup:
    """Return the reading of the tips' twist when bags move from ahead of the rods to behind them."""
    station = wing.plain_bench.station if twist.from_centre is None else twist.from_centre
    if twist.angle is not None:
        quantity, unit, measured, error = "angle", "deg", twist.angle, ANGLE_ERROR
    else:
        assert twist.edge_drop is not None
        quantity, unit, measured, error = "edge_rise", "mm", twist.edge_drop, RULER_ERROR
    return single_reading(
        "bags",
        f"tips turned by {with_unit(twist.mass, 'g')} moved aft",
        unit=unit,
        measured=measured,
        spread=float(np.hypot(READING_ERROR, error / measured)),
        uses=_STIFFNESS,
        predict=lambda factors: getattr(wing.bench(factors).tip_twist(twist.mass, station, twist.arm), quantity),
    )


def bench_readings(wing: FitWing, point: BenchTable, number: int) -> Iterator[ReadingGroup]:
    """Yield the readings of a motor on the bench. One reading sets the operating point; the others are predicted."""
    read = {"amps": point.amps, "rpm": point.rpm, "thrust": None if point.thrust is None else GRAVITY * point.thrust}
    given = {name: value for name, value in read.items() if value is not None}
    if point.throttle is not None and point.volts is not None:
        driver, value = "bus", point.throttle * point.volts
    else:
        driver = next(name for name in ("rpm", "amps", "thrust") if name in given)
        value = given.pop(driver)
    band = propeller_band(wing.study)

    def predicted(name: str, factors: Factors, at: float = value) -> float:
        power = factors["propeller_power"] * factors.get(STANDING, 1.0)
        return wing.standing({**factors, "propeller_power": power}, driver, at, point.volts)[name]

    for name, measured in given.items():
        slope = np.log(predicted(name, ONES, 1.01 * value) / predicted(name, ONES)) / np.log(1.01)
        errors = [_READ[name], slope * _OPERATING_POINT[driver]]
        if name == "thrust":
            errors.append(band.static_thrust if band else 0.0)
        if name == "amps" and point.volts is None:
            errors.append(_NO_VOLTS)
        yield single_reading(
            "motor bench",
            f"point {number}: {name}",
            unit={"amps": "A", "rpm": "rpm", "thrust": "N"}[name],
            measured=measured,
            spread=float(np.linalg.norm(errors)),
            uses=(*_POWER, STANDING),
            predict=partial(predicted, name),
        )


def glide_reading(wing: FitWing, speed: float, sink: float) -> ReadingGroup:
    """Return the reading of the sinking speed in one glide."""
    air, faster = wing.air(speed), wing.air(1.01 * speed)
    slope = float(np.log(wing.sink(ONES, faster) / wing.sink(ONES, air))[0]) / np.log(1.01)
    return single_reading(
        "glide",
        f"sink at {with_unit(speed, 'km/h')}, motor off",
        unit="m/s",
        measured=sink,
        spread=float(np.hypot(_SINK, slope * _GLIDE_SPEED)),
        uses=("drag", "induced"),
        predict=lambda factors: wing.sink(factors, air),
    )


def flight_readings(wing: FitWing, flight: RememberedFlightTable) -> Iterator[ReadingGroup]:
    """Yield the readings of charge and current in one remembered flight, out and back or round a circuit.

    In wind, the airspeed is higher than distance over time.
    """
    ground = flight.distance / flight.time
    root = np.sqrt(ground**2 + 4 * flight.wind**2)
    speed = 0.5 * (ground + root)
    wind_error = _WIND_GUESS[0] * flight.wind + _WIND_GUESS[1] * (flight.wind > 0)
    speed_error = np.hypot(_GROUND_SPEED, 2 * flight.wind / root * wind_error / speed)
    air, faster = wing.air(speed), wing.air(1.01 * speed)
    capacity = float(wing.train.pack.parallel * wing.train.pack.cell_capacity)
    left = 1 - min(flight.charge_used / capacity, 0.98) if flight.charge_used else 0.5

    def current(factors: Factors, air=air) -> np.ndarray:
        return wing.cruise({**factors, "pack_capacity": 1.0, "pack_resistance": 1.0}, air, left).mean_current

    slope = float(np.log(current(ONES, faster)[0] / current(ONES)[0])) / np.log(1.01)
    kind = f"flight of {with_unit(flight.distance, 'km', 1)}"
    if flight.charge_used is not None:
        spread = float(np.hypot(FLIGHT_SPREAD, slope * speed_error))
        yield single_reading(
            kind,
            "charge used",
            unit="mAh",
            measured=flight.charge_used,
            spread=spread,
            uses=AIR,
            predict=lambda factors: current(factors) * flight.time,
        )
    if flight.amps is not None:
        spread = float(np.hypot(_DISPLAY, slope * speed_error))
        yield single_reading(
            kind, "amps on the display", unit="A", measured=flight.amps, spread=spread, uses=AIR, predict=current
        )
