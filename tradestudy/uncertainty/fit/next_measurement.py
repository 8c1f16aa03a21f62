"""What to measure next: how much each further reading would narrow the band of the range.

The model is linearised in ln(factor) about the fit. A reading then adds the same information for any value. So the band
after a reading can be computed in advance.
"""

from __future__ import annotations

from statistics import NormalDist
from typing import NamedTuple

import numpy as np

from tradestudy.study.schema.fitted import FACTOR_NAMES
from tradestudy.study.schema.measured import (
    BenchTable,
    BendTable,
    MeasuredPackTable,
    RememberedFlightTable,
    TwistTable,
    WeighedTable,
)

from . import hand_readings
from .factored_wing import ONES, SPEED_RATIOS, FitWing
from .hand_readings import AIR, STANDING, ReadingGroup, standing_spread
from .least_squares import Fit, by_name, log_slopes, slopes_of
from .log_readings import SENSOR, STRETCH, VERTICAL_AIR

_TENTH = NormalDist().inv_cdf(0.9)  # standard deviations from the middle to the 10 % percentile
_FLOWN_AT = (0.95, 1.15, 1.4)  # speeds in a flight with a log, over the best speed
_GLIDES = 4  # glides in one log
_CIRCUITS = 4  # stretches at each speed in one log
_CIRCUITS_LOG = "a log: closed circuits at three speeds"
_FASTER = 1.2  # current of the fastest stretch over that of the slowest; above it, the speeds differ [-]
_NEW_SENSOR = "current sensor, next log"
_FULL_PACK = 0.9  # share of the capacity used in a remembered flight


class RangeBand(NamedTuple):
    """The range of the stock wing [m]: 10 % of samples lie below ``low``, and 10 % above ``high``."""

    low: float
    middle: float
    high: float


class Candidate(NamedTuple):
    """A reading that could be taken. ``noise`` describes its errors."""

    what: str
    noise: str
    groups: list[ReadingGroup]


class MeasurementEffect(NamedTuple):
    """The effect of a further reading: width of the range band (high minus low) before and after it [m]."""

    what: str
    noise: str
    before: float
    after: float


def _range_slopes(wing: FitWing, logs: np.ndarray) -> np.ndarray:
    """Return d ln(range) / d ln(factor) (11,) of the stock wing, at ``logs`` = ln(factor) (11,). [-]"""
    return log_slopes(lambda at: np.array([wing.range_of(by_name(FACTOR_NAMES, at))]), logs, range(len(logs)))[0]


def range_band_of_fit(wing: FitWing, mean: np.ndarray, covariance: np.ndarray) -> RangeBand:
    """Return the band of the stock wing's range [m], for the mean (11,) and covariance (11, 11) of ln(factor)."""
    slopes = _range_slopes(wing, mean)
    middle = wing.range_of(by_name(FACTOR_NAMES, mean))
    off = _TENTH * float(np.sqrt(slopes @ covariance @ slopes))
    return RangeBand(middle * np.exp(-off), middle, middle * np.exp(off))


def next_measurements(wing: FitWing, fit: Fit) -> list[MeasurementEffect]:
    """Return the effect of each candidate reading, greatest first."""
    mean, covariance = fit.of_model()
    slopes, middle = _range_slopes(wing, mean), wing.range_of(by_name(FACTOR_NAMES, mean))
    extra = {STANDING: standing_spread(wing), _NEW_SENSOR: SENSOR}
    added = [name for name in extra if name not in fit.names]
    names = (*fit.names, *added)
    before_covariance = np.zeros((len(names), len(names)))
    before_covariance[: len(fit.names), : len(fit.names)] = fit.covariance
    for name in added:
        before_covariance[names.index(name), names.index(name)] = extra[name] ** 2
    logs = np.concatenate([fit.mean, np.zeros(len(added))])

    def width(covariance: np.ndarray) -> float:
        count = len(FACTOR_NAMES)
        off = _TENTH * float(np.sqrt(slopes @ covariance[:count, :count] @ slopes))
        return middle * 2 * np.sinh(off)

    def after(groups: list[ReadingGroup]) -> float:
        steep = np.concatenate([slopes_of(one, names, logs) for one in groups])
        noise = np.diag(np.concatenate([one.spread for one in groups]) ** 2)
        gain = before_covariance @ steep.T @ np.linalg.inv(steep @ before_covariance @ steep.T + noise)
        return width(before_covariance - gain @ steep @ before_covariance)

    before = width(before_covariance)
    taken = _CIRCUITS_LOG if _flown_at_many_speeds(fit) else None
    found = [
        MeasurementEffect(one.what, one.noise, before, after(one.groups))
        for one in candidates(wing)
        if one.what != taken
    ]
    return sorted(found, key=lambda one: one.after)


def _flown_at_many_speeds(fit: Fit) -> bool:
    """Return whether the logs of a fit hold as many powered stretches as a circuit has sides, slow and fast."""
    logs = [one.measured for one in fit.groups if one.kind.startswith("log ") and one.unit == "A"]
    amps = np.concatenate([*logs, np.zeros(0)])
    return len(amps) >= _CIRCUITS and float(amps.max()) > _FASTER * float(amps.min())


def candidates(wing: FitWing) -> list[Candidate]:
    """Return the readings that could be taken on this wing. Their values are as predicted at factors of 1."""
    best = float(wing.best_air.speed[0] / SPEED_RATIOS[0])
    cells = wing.train.pack
    charge, volts = float(cells.parallel * cells.cell_capacity), float(wing.volts())
    ohms = float(cells.series / cells.parallel * cells.cell_resistance + cells.wiring_resistance)
    masses, turning = wing.masses, wing.standing(ONES, "bus", volts, volts)
    weights = WeighedTable.model_construct(bare_halves=masses["foam"], covered_halves=sum(masses.values()))
    pack = MeasuredPackTable.model_construct(capacity=charge, resistance=ohms)
    capacity, resistance = hand_readings.pack_readings(wing, pack)
    bench = wing.plain_bench
    drop, turn = bench.rise(0.2, bench.station), bench.tip_twist(0.2, bench.station, 0.15).angle
    bend = BendTable.model_construct(mass=0.2, drop=drop, from_centre=None)
    twist = TwistTable.model_construct(mass=0.2, arm=0.15, angle=turn, edge_drop=None, from_centre=None)
    point = BenchTable.model_construct(throttle=1.0, volts=volts, amps=turning["amps"], rpm=turning["rpm"], thrust=None)
    air = wing.air(best)
    used = _FULL_PACK * charge
    time = used / float(wing.cruise(ONES, air, 1 - _FULL_PACK).mean_current[0])
    flight = RememberedFlightTable.model_construct(
        distance=best * time, time=time, charge_used=used, amps=None, wind=0.0
    )
    sink = float(wing.sink(ONES, air)[0])
    return [
        Candidate(
            "weigh the halves, bare and covered",
            "scale and cut, 2 %",
            list(hand_readings.weight_readings(wing, weights)),
        ),
        Candidate("hang 200 g on each tip", "5 % and 1 mm", [hand_readings.bend_reading(wing, bend)]),
        Candidate(
            "move 200 g across the tips, read the twist",
            "5 % and 0.2 deg",
            [hand_readings.twist_reading(wing, twist)],
        ),
        Candidate(
            "motor on the bench, full throttle: volts, amps, rpm",
            "amps 3 %, rpm 1 %, throttle 2 %",
            list(hand_readings.bench_readings(wing, point, 1)),
        ),
        Candidate("charge the pack from empty", "2 %", [capacity]),
        Candidate("the pack's volts lost per ampere", "10 %", [resistance]),
        Candidate(
            "one glide, motor off, by stopwatch",
            "sink 10 %, speed 4 %",
            [hand_readings.glide_reading(wing, best, sink)],
        ),
        Candidate(
            "a long flight by watch, map and charger",
            "10 %, speed 3 %",
            list(hand_readings.flight_readings(wing, flight)),
        ),
        Candidate(_CIRCUITS_LOG, "amps 2 %, the sensor 3 %, air 0.1 m/s", [_circuits(wing, best)]),
        Candidate(f"a log: {_GLIDES} glides, motor off", "air 0.1 m/s", [_glides(wing, best)]),
    ]


def _circuits(wing: FitWing, best: float) -> ReadingGroup:
    air = wing.air(best * np.repeat(_FLOWN_AT, _CIRCUITS))

    def amps(factors):
        return factors.get(_NEW_SENSOR, 1.0) * wing.amps(factors, air.speed, air.drag(factors))

    plain = amps(ONES)
    lifted = wing.amps(ONES, air.speed, air.drag(ONES) + wing.weight * VERTICAL_AIR / air.speed)
    return ReadingGroup(
        kind="",
        labels=("",) * len(plain),
        unit="A",
        measured=plain,
        spread=np.hypot(STRETCH, np.log(lifted / plain)),
        uses=(*AIR, _NEW_SENSOR),
        predict=amps,
    )


def _glides(wing: FitWing, best: float) -> ReadingGroup:
    air = wing.air(best * np.linspace(1.0, 1.3, _GLIDES))
    plain = wing.sink(ONES, air)
    return ReadingGroup(
        kind="",
        labels=("",) * _GLIDES,
        unit="m/s",
        measured=plain,
        spread=VERTICAL_AIR / plain,
        uses=("drag", "induced"),
        predict=lambda f: wing.sink(f, air),
    )
