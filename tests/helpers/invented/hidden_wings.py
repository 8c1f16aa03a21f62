"""Invented wings with known ("hidden") factors and simulated measurements, with which the fit is tested."""

from pathlib import Path
from typing import NamedTuple

import numpy as np
from helpers.invented.invented_log import Disturbance, Drawn, InventedLog, Leg, circuit, invented_log

from tradestudy.physics.propulsion import drive_train, pack
from tradestudy.study.flight_logs.read_log import parse_log
from tradestudy.study.measurements import Measurements, read_measurements
from tradestudy.study.schema.fitted import FACTOR_NAMES
from tradestudy.uncertainty.fit.hand_readings import STANDING, by_hand, standing_spread
from tradestudy.uncertainty.fit.least_squares import Fit, fit_factors, priors
from tradestudy.uncertainty.fit.log_readings import SENSOR, log_groups
from tradestudy.uncertainty.fit.prepared_log import PreparedLog, prepared_log_of

MOST_WIND = 8.0  # m/s, largest wind of a flight


class Hidden(NamedTuple):
    """The true factors behind one set of measurements, and the wind and seed of the flight."""

    factors: dict[str, float]  # include STANDING
    sensor: float
    wind: np.ndarray  # velocity of the air to the north and east [m/s]
    seed: int


class Tried(NamedTuple):
    """One hidden wing, its prepared log and its fit, and range over true range after and before the fit [-]."""

    hidden: Hidden
    flight: PreparedLog
    fit: Fit
    range_ratio: float
    range_ratio_before: float

    def inside(self, ends: float) -> np.ndarray:
        """Return for each of the 10 factors whether its true value is within ``ends`` standard deviations."""
        truth = np.log([self.hidden.factors[name] for name in FACTOR_NAMES])
        mean, covariance = self.fit.of_model()
        return abs(truth - mean) < ends * np.sqrt(np.diag(covariance))


def hidden_wing(wing, seed):
    """Return a Hidden wing with factors sampled from their priors, and wind up to MOST_WIND from any direction."""
    random = np.random.default_rng(seed)
    spreads = priors(wing.study) | {STANDING: standing_spread(wing)}
    factors = {name: float(np.exp(off * random.standard_normal())) for name, off in spreads.items()}
    speed, origin = random.uniform(0, MOST_WIND), random.uniform(0, 2 * np.pi)
    return Hidden(
        factors,
        float(np.exp(SENSOR * random.standard_normal())),
        speed * np.array([np.cos(origin), np.sin(origin)]),
        seed,
    )


def drawn(wing, factors):
    """Return the power that a wing with these factors draws (invented_log.Drawn), for one flight only."""
    train, held = wing.powertrain(factors), {}

    def watts(airspeed, climb, load_factor, volts):
        if "shaft" not in held:  # the same in every iteration
            air = wing.air(airspeed, load_factor)
            thrust = np.maximum(air.drag(factors) + wing.weight * climb / airspeed, 0.0)
            held["shaft"] = drive_train.shaft_demand(train, airspeed, thrust, wing.density)
        return wing.electric(train, held["shaft"], volts) + wing.avionics

    def volts(charge, power):
        left = 1 - charge / float(pack.pack_capacity(train.pack))
        return pack.loaded_voltage(
            pack.open_circuit_voltage(train.pack, left), pack.pack_resistance(train.pack, left), power
        )[0]

    return Drawn(watts, wing.avionics, volts)


def flight_plan(wing, factors, speeds=(1.0, 1.2, 1.4), rounds=2, glides=2):
    """Return the legs of a flight: a climb, then closed circuits at multiples of the best speed with glides between."""
    best = float(wing.best_air.speed[5])
    legs = [Leg(8, 1.1 * best), Leg(30, 1.1 * best, climb=2.0)]
    for share in speeds:
        legs += circuit(share * best, rounds=rounds)
        for _ in range(glides):
            sink = float(wing.sink(factors, wing.air(share * best))[0])
            legs += [
                Leg(18, share * best, climb=-sink, motor=False),
                Leg(14, 1.1 * best, climb=2.0),
                Leg(6, 1.1 * best, turn=np.pi),
            ]
    return legs


def flown_log(wing, hidden, rate=1.0, **plan) -> InventedLog:
    """Return the log of a hidden wing's flight, with wind, thermals, gaps and a biased current sensor."""
    disturbance = Disturbance(wind=tuple(hidden.wind), speed_noise=0.3, gaps=3, lift=0.1, sensor=hidden.sensor)
    return invented_log(
        flight_plan(wing, hidden.factors, **plan),
        drawn(wing, hidden.factors),
        disturbance,
        rate,
        hidden.seed,
        heading=hidden.seed % 6,
    )


def measured_text(wing, hidden, columns):
    """Return the text of a measurements file of a hidden wing, with the noise that the fit assumes.

    ``columns`` is the part of the file that names the columns of the log.
    """
    random = np.random.default_rng([hidden.seed, 1])
    true = hidden.factors

    def read(value, *offs):
        return float(value * np.exp(np.linalg.norm(offs) * random.standard_normal()))

    masses, bench, cells = wing.masses, wing.bench(true), wing.powertrain(true).pack
    foam, film = true["foam_density"] * masses["foam"], true["covering"] * masses["covering"]
    rise = bench.rise(0.4, bench.station)
    angle = np.degrees(bench.tip_twist(0.2, bench.station, 0.15).angle)
    return f"""\
[weighed]
bare_halves = "{1e3 * read(foam, 0.02):.2f} g"
covered_halves = "{1e3 * read(foam + film + masses["elevons"], 0.015):.2f} g"

[[bend]]
mass = "400 g"
drop = "{1e3 * read(rise, 0.05, 0.001 / rise):.3f} mm"

[[twist]]
mass = "200 g"
arm = "150 mm"
angle = "{read(angle, 0.05, 0.2 / angle):.3f} deg"

[pack]
capacity = "{read(pack.pack_capacity(cells), 0.02) / 3.6:.1f} mAh"

{columns}"""


def put_back(hidden, log):
    """Return the table [flight] with the charge put back after the flight of a log (InventedLog)."""
    random = np.random.default_rng([hidden.seed, 2])
    true = float(np.trapezoid(log.amps, log.time))
    return f'\n[flight]\ncharge_put_back = "{true * np.exp(0.02 * random.standard_normal()) / 3.6:.1f} mAh"\n'


def tried(wing, seed, folder, columns, **plan) -> Tried:
    """Return one hidden wing with its simulated measurements, flight and fit."""
    hidden = hidden_wing(wing, seed)
    log = flown_log(wing, hidden, **plan)
    path = Path(folder) / f"hidden_{seed}.toml"
    path.write_text(measured_text(wing, hidden, columns) + put_back(hidden, log), encoding="utf-8")
    told: Measurements = read_measurements(path)
    flight = prepared_log_of(parse_log(log.text.encode(), Path("hidden.csv"), told), told)
    groups, _ = log_groups(wing, flight, told)
    fit = fit_factors(wing, [*by_hand(wing, told), *groups])
    truth = wing.range_of(hidden.factors)
    return Tried(
        hidden,
        flight,
        fit,
        wing.range_of(fit.factors) / truth,
        wing.range_of(dict.fromkeys(hidden.factors, 1.0)) / truth,
    )
