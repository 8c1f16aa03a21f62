"""Simulated flight logs with known true values, with which readers and fits are tested. No number here was measured.

A flight is a list of legs. The wing follows them with a lag, in a wind that may change. It is logged with noise and
gaps, at the rate of an ordinary logger. Equal seeds give equal text.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY
from tradestudy.physics.flight_log.track import EARTH_RADIUS
from tradestudy.quantities import from_si

LAG = 1.2  # s, time constant with which speed, climb and turn follow the sticks
IDLE = 0.4  # A, current of the equipment
VOLTS_ROUNDS = 3  # iterations, after which voltage is accurate to a millivolt
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
    """One leg: its duration [s], true airspeed [m/s], total turn [rad], climb [m/s], and whether the motor runs."""

    seconds: float
    airspeed: float
    turn: float = 0.0
    climb: float = 0.0
    motor: bool = True


class Disturbance(NamedTuple):
    """The disturbances by which the log differs from the true flight, in SI units.

    ``wind`` is the velocity of the air to the north and east, and ``wind_change`` its change over the complete flight
    [m/s]. Standard deviations of noise are ``speed_noise`` of each component over ground and ``climb_noise`` [m/s],
    ``position_noise`` and ``altitude_noise`` [m], ``amps_noise`` as a share, and ``volts_noise`` [V]. There are
    ``gaps`` gaps of ``gap_seconds`` each. ``lift`` is the standard deviation of rising air, constant over a leg [m/s].
    ``sensor`` is the current shown by the sensor over the true one [-].
    """

    wind: tuple[float, float] = (0.0, 0.0)
    wind_change: tuple[float, float] = (0.0, 0.0)
    speed_noise: float = 0.3
    climb_noise: float = 0.2
    position_noise: float = 1.0
    altitude_noise: float = 0.3
    amps_noise: float = 0.04
    volts_noise: float = 0.03
    airspeed_wander: float = 0.2  # m/s, standard deviation of an error that is constant over a leg
    gaps: int = 0
    gap_seconds: float = 6.0
    lift: float = 0.0
    sensor: float = 1.0


USUAL = Disturbance()


class Drawn(NamedTuple):
    """The power that a wing draws, as functions of the flight state.

    ``watts`` takes true airspeed, climb through the air [m/s], load factor [-] and volts [V], of shape (n,) each. It
    returns the power with the motor on, equipment included [W]. ``idle`` is the power with the motor off [W]. ``volts``
    takes charge used [C] and power [W], of shape (n,) each, and returns the voltage [V].
    """

    watts: Callable[[np.ndarray, np.ndarray, np.ndarray, np.ndarray], np.ndarray]
    idle: float
    volts: Callable[[np.ndarray, np.ndarray], np.ndarray]


class InventedLog(NamedTuple):
    """The log as text, and the true values of its n rows without noise.

    These are time [s], airspeed and wind [m/s], current [A] and index of the leg [-]. Wind has the shape (2, n), the
    others have (n,).
    """

    text: str
    time: np.ndarray
    airspeed: np.ndarray
    wind: np.ndarray
    amps: np.ndarray
    leg: np.ndarray


def circuit(
    airspeed: float, leg_seconds: float = 25.0, legs: int = 4, turn_seconds: float = 6.0, rounds: int = 1
) -> list[Leg]:
    """Return the legs of closed circuits with ``legs`` sides: each side is straight and ends with an equal turn."""
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
    """Return a simulated log.

    Parameters
    ----------
    legs : sequence of Leg
    amps_of : function of true airspeed and climb, (n,) each [m/s], or Drawn
        Current with the motor on [A], or the power functions of a wing.
    disturbance : Disturbance
    rate : float
        Rows per second. [1/s]
    seed : int
    volts : float
        Voltage of the full pack. It falls by a tenth of a volt for every ampere-hour, and by 20 mohm times the
        current. It is not used with Drawn. [V]
    heading : float
        Heading at the start, clockwise from north. [rad]
    delimiter, decimal : str
        Characters between values and before decimals.
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
    """Return the time of every row [s] and the index of its leg [-], of shape (n,) each."""
    ends = np.cumsum([leg.seconds for leg in legs])
    time = np.arange(int(ends[-1] * rate)) / rate
    return time, np.searchsorted(ends, time, side="right")


def _drawn(drawn, airspeed, climb, turn_rate, motor, rate):
    """Return current [A] and voltage [V] of a wing with known power functions, of shape (n,) each.

    The voltage depends on the charge used, so they are found by iteration.
    """
    load_factor = np.sqrt(1 + (airspeed * turn_rate / GRAVITY) ** 2)
    volts = drawn.volts(np.zeros_like(airspeed), np.zeros_like(airspeed))
    for _ in range(VOLTS_ROUNDS):
        watts = drawn.watts(airspeed, climb, load_factor, volts)
        watts = np.where(motor, np.maximum(watts, drawn.idle), drawn.idle)
        volts = drawn.volts(np.cumsum(watts / volts) / rate, watts)
    return watts / volts, volts


def _lagged(wanted, rate):
    """Return the response of shape (n,) to requested values ``wanted``, with a first-order lag."""
    decay = np.exp(-np.arange(int(8 * LAG * rate) + 1) / (LAG * rate))
    return np.convolve(wanted - wanted[0], decay / decay.sum())[: len(wanted)] + wanted[0]


def _flown(legs, leg, rate, disturbance, random):
    """Return airspeed, climb, turn rate, whether the motor runs, and rising air, of shape (n,) each.

    Units are [m/s, m/s, rad/s, bool, m/s]. Climb is relative to the ground. With the motor on, the pilot keeps it
    constant. In a glide, rising air adds to it.
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
