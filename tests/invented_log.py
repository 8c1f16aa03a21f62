"""An invented flight log with known truth: what the readers and fits are tried on. No number here was measured.

A flight is a list of legs; the wing follows them with a lag, in a wind that may drift, and is logged with noise, gaps
and at the rate of an ordinary logger. Equal seeds give equal text.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY
from tradestudy.physics.flight_log.track import EARTH_RADIUS
from tradestudy.quantities import from_si

LAG = 1.2  # s in which speed, climb and turn follow the sticks
IDLE = 0.4  # A that the equipment draws
VOLTS_ROUNDS = 3  # volts are then right to a millivolt
START = np.radians([47.0, 8.0])  # latitude and longitude of an invented field

COLUMNS = """\
[columns]
time = "Time (s)"
latitude = "Lat (deg)"
longitude = "Lon (deg)"
ground_speed = "Speed (km/h)"
course = "Course (deg)"
altitude = "Alt (m)"
climb = "Climb (m/s)"
volts = "Pack (V)"
amps = "Current (A)"
charge_used = "Used (mAh)"
throttle = "Throttle (%)"
"""
HEADINGS = (
    "Time (s)",
    "Lat (deg)",
    "Lon (deg)",
    "Speed (km/h)",
    "Course (deg)",
    "Alt (m)",
    "Climb (m/s)",
    "Pack (V)",
    "Current (A)",
    "Used (mAh)",
    "Throttle (%)",
)
DIGITS = (3, 7, 7, 2, 1, 2, 2, 2, 2, 0, 0)


class Leg(NamedTuple):
    """One leg: how long [s], at which true airspeed [m/s], turning by how much in all [rad], climbing [m/s]."""

    seconds: float
    airspeed: float
    turn: float = 0.0
    climb: float = 0.0
    motor: bool = True


class Disturbance(NamedTuple):
    """What stands between the truth and the log. SI.

    ``wind`` and ``wind_change`` over the whole flight: velocity of the air, north and east [m/s]; ``speed_noise`` of
    each component over the ground, ``climb_noise`` [m/s]; ``position_noise``, ``altitude_noise`` [m]; ``amps_noise``
    as a share, ``volts_noise`` [V]; ``gaps`` of ``gap_seconds`` each; ``lift``, spread of rising air that is met for a
    leg [m/s]; ``sensor``, what the current sensor shows over the truth, all the way [-].
    """

    wind: tuple[float, float] = (0.0, 0.0)
    wind_change: tuple[float, float] = (0.0, 0.0)
    speed_noise: float = 0.3
    climb_noise: float = 0.2
    position_noise: float = 1.0
    altitude_noise: float = 0.3
    amps_noise: float = 0.04
    volts_noise: float = 0.03
    airspeed_wander: float = 0.2  # m/s, held for a leg
    gaps: int = 0
    gap_seconds: float = 6.0
    lift: float = 0.0
    sensor: float = 1.0


USUAL = Disturbance()


class Drawn(NamedTuple):
    """What a wing draws, where it is known in full.

    ``watts`` of true airspeed, climb through the air [m/s], load factor [-] and volts [V], (n,) each, motor on, all
    equipment counted in [W]; ``idle`` with the motor off [W]; ``volts`` of the charge used [C] and the watts (n,) [V].
    """

    watts: Callable[[np.ndarray, np.ndarray, np.ndarray, np.ndarray], np.ndarray]
    idle: float
    volts: Callable[[np.ndarray, np.ndarray], np.ndarray]


class InventedLog(NamedTuple):
    """The log as text, and the truth (n,) of every row before noise: time [s], airspeed, wind (2, n) [m/s], amps [A],
    leg [-]."""

    text: str
    time: np.ndarray
    airspeed: np.ndarray
    wind: np.ndarray
    amps: np.ndarray
    leg: np.ndarray


def circuit(
    airspeed: float, leg_seconds: float = 25.0, legs: int = 4, turn_seconds: float = 6.0, rounds: int = 1
) -> list[Leg]:
    """Return the legs of closed circuits: straight, then a turn by a full circle over the number of legs."""
    one = [Leg(leg_seconds, airspeed), Leg(turn_seconds, airspeed, turn=2 * np.pi / legs)]
    return one * (legs * rounds)


def invented_log(
    legs: Sequence[Leg],
    amps_of: Callable[[np.ndarray, np.ndarray], np.ndarray] | Drawn,
    disturbance: Disturbance = USUAL,
    rate: float = 5.0,
    seed: int = 0,
    volts: float = 16.0,
    heading: float = 0.3,
    delimiter: str = ",",
    decimal: str = ".",
) -> InventedLog:
    """Return an invented log.

    Parameters
    ----------
    legs : sequence of Leg
    amps_of : function of true airspeed and climb, (n,) each [m/s], or Drawn
        Current with the motor on [A], or all that a wing draws.
    disturbance : Disturbance
    rate : float
        Rows a second. [1/s]
    seed : int
    volts : float
        Of the full pack; it falls by a tenth of a volt for every ampere-hour, and by 20 mohm times the current;
        not used with Drawn. [V]
    heading : float
        At the start, clockwise from north. [rad]
    delimiter, decimal : str
        What stands between values and before decimals.
    """
    random = np.random.default_rng(seed)
    time, leg = _rows(legs, rate)
    airspeed, climb, turn_rate, motor, lift = _flown(legs, leg, rate, disturbance, random)
    way = heading + np.cumsum(turn_rate) / rate
    wind = np.array(disturbance.wind)[:, None] + np.outer(disturbance.wind_change, time / time[-1])
    ground = airspeed * np.stack([np.cos(way), np.sin(way)]) + wind
    position = np.cumsum(ground, axis=1) / rate
    if isinstance(amps_of, Drawn):
        amps, held = _drawn(amps_of, airspeed, climb - lift, turn_rate, motor, rate)
        charge = np.cumsum(amps) / rate
    else:
        amps = np.where(motor, np.maximum(amps_of(airspeed, climb), IDLE), IDLE)
        charge = np.cumsum(amps) / rate
        held = volts - 0.1 * charge / 3600 - 0.02 * amps
    truth = {
        "time": time,
        "position": position,
        "ground": ground,
        "altitude": 50 + np.cumsum(climb) / rate,
        "climb": climb,
        "volts": held,
        "amps": amps,
        "charge": charge,
        "throttle": np.where(motor, np.clip(amps / 40, 0.05, 1), 0.0),
    }
    table = _logged(truth, disturbance, random)
    kept = np.ones(len(time), dtype=bool)
    for start in random.uniform(0.1, 0.9, disturbance.gaps) * time[-1]:
        kept &= (time < start) | (time >= start + disturbance.gap_seconds)
    text = _text([column[kept] for column in table], delimiter, decimal)
    return InventedLog(text, time[kept], airspeed[kept], wind[:, kept], amps[kept], leg[kept])


def _rows(legs, rate):
    """Return the time (n,) of every row and the leg it belongs to. [s, -]"""
    ends = np.cumsum([leg.seconds for leg in legs])
    time = np.arange(int(ends[-1] * rate)) / rate
    return time, np.searchsorted(ends, time, side="right")


def _drawn(drawn, airspeed, climb, turn_rate, motor, rate):
    """Return amps and volts (n,) of a wing known in full; the charge used moves the volts, so in rounds. [A, V]"""
    load_factor = np.sqrt(1 + (airspeed * turn_rate / GRAVITY) ** 2)
    volts = drawn.volts(np.zeros_like(airspeed), np.zeros_like(airspeed))
    for _ in range(VOLTS_ROUNDS):
        watts = drawn.watts(airspeed, climb, load_factor, volts)
        watts = np.where(motor, np.maximum(watts, drawn.idle), drawn.idle)
        volts = drawn.volts(np.cumsum(watts / volts) / rate, watts)
    return watts / volts, volts


def _lagged(wanted, rate):
    """Return what follows a wanted course (n,) with a first-order lag."""
    decay = np.exp(-np.arange(int(8 * LAG * rate) + 1) / (LAG * rate))
    return np.convolve(wanted - wanted[0], decay / decay.sum())[: len(wanted)] + wanted[0]


def _flown(legs, leg, rate, disturbance, random):
    """Return airspeed, climb, turn rate, whether the motor runs, rising air, (n,) each. [m/s, m/s, rad/s, bool, m/s]

    Climb is over the ground: with the motor on the pilot holds it, in a glide rising air adds to it.
    """
    wander = disturbance.airspeed_wander * random.standard_normal(len(legs))
    speeds = np.array([one.airspeed for one in legs]) + wander
    lifts = disturbance.lift * random.standard_normal(len(legs)) if disturbance.lift else np.zeros(len(legs))
    climbs = np.array([one.climb + (0.0 if one.motor else lift) for one, lift in zip(legs, lifts, strict=True)])
    turns = np.array([one.turn / one.seconds for one in legs])
    motors = np.array([one.motor for one in legs])
    return _lagged(speeds[leg], rate), _lagged(climbs[leg], rate), _lagged(turns[leg], rate), motors[leg], lifts[leg]


def _logged(truth, disturbance, random):
    """Return the columns of the log with noise, in the units of their headings."""
    count = len(truth["time"])

    def noise(size, rows=None):
        return size * random.standard_normal(count if rows is None else (rows, count))

    north, east = truth["position"] + noise(disturbance.position_noise, 2)
    ground = truth["ground"] + noise(disturbance.speed_noise, 2)
    amps = disturbance.sensor * truth["amps"] * (1 + noise(disturbance.amps_noise))
    return [
        truth["time"],
        np.degrees(START[0] + north / EARTH_RADIUS),
        np.degrees(START[1] + east / (EARTH_RADIUS * np.cos(START[0]))),
        from_si(np.hypot(*ground), "km/h", "speed"),
        np.degrees(np.arctan2(ground[1], ground[0])) % 360,
        truth["altitude"] + noise(disturbance.altitude_noise),
        truth["climb"] + noise(disturbance.climb_noise),
        truth["volts"] + noise(disturbance.volts_noise),
        amps,
        from_si(disturbance.sensor * truth["charge"], "mAh", "charge"),
        100 * truth["throttle"],
    ]


def _text(columns, delimiter, decimal):
    form = delimiter.join(f"%.{digits}f" for digits in DIGITS)
    lines = [form % row for row in zip(*(column.tolist() for column in columns), strict=True)]
    if decimal != ".":
        lines = [line.replace(".", decimal) for line in lines]
    return "\n".join([delimiter.join(HEADINGS), *lines]) + "\n"
