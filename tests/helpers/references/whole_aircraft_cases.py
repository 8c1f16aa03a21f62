"""Whole aircraft and drives that were measured, and what the model says of them.

The measured values are in ``published/data``. W01 and E01 are study files in ``published/whole_aircraft``, with what a
builder would know. C01 to C03 and W09 call the drive alone, with a motor of the class that a builder would choose.
Their motors are not published, so the draws hold the band that a study without motor constants has.
"""

import csv
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from scipy.stats import norm, qmc

from tradestudy.aircraft.anchor.calibration import calibrated_wing
from tradestudy.catalogue import catalogue_part
from tradestudy.physics.flight.built_wing import SPREAD
from tradestudy.physics.propulsion import drive_train, motor, pack, propeller_blade
from tradestudy.quantities import to_si
from tradestudy.study.assumed_values.power_rules import class_band
from tradestudy.study.reader import read_study
from tradestudy.study.schema.built import BAND_END

FOLDER = Path(__file__).parents[2] / "published"
_SUPPLY = 12.8  # V; thrust stand
_SEAPLANE_PACK = 14.8  # V; four cells at their usual voltage
_DENSITY, _VISCOSITY = 1.225, 1.46e-5  # kg/m3, m2/s
_DRAWS, _SEED = 512, 7
_ODDS_AND_ENDS = 8.0, 45.0  # cm2; the band of a list that a study leaves open
_SEAPLANE_DRAG = 0.01 / 0.053 / 1.96  # standard deviation of its ln(drag), by the regression of its source


class Case(NamedTuple):
    """One case. Its points (n,) are one measurement, so they count once.

    ``drawn`` (n_draw,) are draws of the model over its value at the medians, the geometric mean of all points.
    """

    name: str
    what: str
    unit: str
    at: str  # where the values of the ledger's line stand
    measured: np.ndarray
    predicted: np.ndarray
    drawn: np.ndarray
    tolerance: float  # share by which measured and predicted may differ

    @property
    def ratio(self) -> float:
        """Measured over predicted at the medians, the geometric mean of all points. [-]"""
        return float(np.exp(np.mean(np.log(self.measured / self.predicted))))

    @property
    def percentile(self) -> float:
        """The percentage of draws that lie below the measurement."""
        return 100 * float(np.mean(self.drawn < self.ratio))

    @property
    def shown(self) -> list[float]:
        """Measured value at the middle point, and P10, P50 and P90 of the draws there."""
        middle = len(self.measured) // 2
        return [float(self.measured[middle]), *(self.predicted[middle] * np.percentile(self.drawn, (10, 50, 90)))]


@lru_cache(maxsize=1)
def cases() -> tuple[Case, ...]:
    """Return all cases of the ledger."""
    return (_polar(), _endurance(), *_thrust_stand(), _seaplane())


_STAND = "thrust stand of a student team, Instituto Superior Tecnico, 2020; its motor is not published"
SOURCES = {
    "W01": "Gryte et al., ICUAS 2018, and the first author's parameter file; used to judge the medians",
    "E01": "log of a student team, 2014; drawn from the pack and the time in the air",
    "C01": _STAND,
    "C02": _STAND,
    "C03": _STAND,
    "W09": "Sharpe and Hansman, AIAA SciTech 2024, read off figures; motors and pitch are not published",
}


def short_form() -> str:
    """Return the TOML text of the ledger that the page shows, as it stands in ``tradestudy/data``."""
    lines = [
        "# Whole aircraft and drives that were measured, and what the model says of them: P10, P50 and P90 of draws",
        "# of what built wings lose. Written by python tests/bench/truth/whole_aircraft.py --write; a test reads it.",
    ]
    for case in cases():
        digits = ".4f" if case.unit == "CD" else ".0f"
        values = zip(("measured", "low", "middle", "high"), case.shown, strict=True)
        lines += [
            "",
            f"[{case.name}]",
            f'what = "{case.what}"',
            f'at = "at {case.at}"',
            f'unit = "{case.unit}"',
            *(f"{name} = {value:{digits}}" for name, value in values),
            f"percentile = {case.percentile:.0f}",
            f'source = "{SOURCES[case.name]}"',
        ]
    return "\n".join(lines) + "\n"


def rows(name: str) -> list[dict[str, str]]:
    """Return the rows of a file in ``published/data``."""
    with open(FOLDER / "data" / name, encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def flown(name: str):
    """Return the stock wing of a study in ``published/whole_aircraft``, calibrated."""
    return calibrated_wing(read_study(FOLDER / "whole_aircraft" / f"{name}.toml")).speed_sweep


def _polar() -> Case:
    table = rows("whole_wing_polar.csv")
    speed, measured = (np.array([float(row[key]) for row in table]) for key in ("speed_m_s", "drag_coefficient"))
    wing = flown("w01")
    state, area = wing.level(speed), float(wing.shape.area)
    section_drag, wake_drag, *_ = _draws()
    drawn = (section_drag[:, None] * (state.profile + state.other) + wake_drag[:, None] * state.induced) / area
    predicted = (state.profile + state.induced + state.other) / area
    return Case(
        "W01", "drag of a 2.1 m foam wing in a tunnel", "CD", "16 m/s", measured, predicted,
        np.exp(np.log(drawn / predicted).mean(axis=1)), 0.15,
    )  # fmt: skip


def _endurance() -> Case:
    row = next(row for row in rows("whole_aircraft_power.csv") if row["case"] == "E01")
    speed, wing = float(row["speed_m_s"]), flown("e01")
    state = wing.level(speed)
    section_drag, wake_drag, drive_power, listed = _draws()
    parts = wing.data.level.parts_drag_area
    smooth = float(state.profile[0] + state.other[0]) - parts
    area = section_drag * smooth + wake_drag * float(state.induced[0]) + listed * parts
    train = wing.powertrain._replace(drive_power_factor=drive_power)
    thrust, other = float(state.dynamic_pressure[0]) * area, wing.data.power.avionics_power
    drawn = drive_train.match(train, speed, thrust, wing.data.flight.air_density, 0.5, other)
    predicted = wing.power_at(speed).energy_per_metre * speed
    what = "the same wing in flight, by its endurance"
    middle = drive_train.match(wing.powertrain, speed, wing.drag(speed), wing.data.flight.air_density, 0.5, other)
    shares = (drawn.electric_power + other) / (middle.electric_power + other)
    return Case("E01", what, "W", "22.2 m/s", np.array([float(row["power_W"])]), predicted, shares, 0.25)


def _thrust_stand() -> list[Case]:
    table = rows("thrust_stand.csv")
    thrust = np.array([float(name) for name in table[0] if name != "speed_m_s"])
    train = drive("10x5", "28 mm", 1000, _SUPPLY)
    found = []
    for number, row in enumerate(table, start=1):
        speed, *measured = map(float, row.values())
        predicted = power_at(train, np.full_like(thrust, speed), thrust)
        drawn = _drawn_shares(train, "28 mm", np.full_like(thrust, speed), thrust, 1.0)
        what = f"propeller of 10 in on a thrust stand, {speed:.1f} m/s"
        found.append(Case(f"C{number:02d}", what, "W", "3 N", np.array(measured), predicted, drawn, 0.15))
    return found


def _seaplane() -> Case:
    table = [row for row in rows("whole_aircraft_power.csv") if row["case"] == "W09"]
    columns = ("speed_m_s", "drag_coefficient", "power_W")
    speed, drag, measured = (np.array([float(row[name]) for row in table]) for name in columns)
    each = 0.5 * _DENSITY * speed**2 * 1.499 * drag / 2
    train = drive("13x8", "35 mm", 620, _SEAPLANE_PACK)
    predicted = 2 * power_at(train, speed, each)
    inferred = np.exp(_SEAPLANE_DRAG * _more_draws()[2])[:, None]
    drawn = _drawn_shares(train, "35 mm", speed, each, inferred)
    return Case("W09", "two propellers of 13 in, drag given", "W", "14 m/s", measured, predicted, drawn, 0.15)


@lru_cache(maxsize=1)
def _draws() -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Return draws (n_draw,) over the medians: drag of section and fins, of the wake, power of the drive, the list."""
    low, high = _ODDS_AND_ENDS
    drive = np.hypot(SPREAD.drive_power, propeller_blade.LABEL_BAND.power)
    spreads = np.array([SPREAD.section_drag, SPREAD.wake_drag, drive, np.log(high / low) / (2 * BAND_END)])
    shares = qmc.LatinHypercube(4, rng=np.random.default_rng(_SEED)).random(_DRAWS)
    return tuple(np.exp(norm.ppf(shares) * spreads).T)


@lru_cache(maxsize=1)
def _more_draws() -> np.ndarray:
    """Return standard deviates (3, n_draw): resistance and no-load current of a motor, drag of the seaplane."""
    return norm.ppf(qmc.LatinHypercube(3, rng=np.random.default_rng(_SEED + 1)).random(_DRAWS)).T


def _drawn_shares(
    train: drive_train.Powertrain, size: str, speed: np.ndarray, thrust: np.ndarray, thrust_shares: Any
) -> np.ndarray:
    """Return draws (n_draw,) of a drive's power over that at the medians, if its motor is only known by its class.

    ``thrust`` (n_point,) [N] is at ``speed`` (n_point,) [m/s], times ``thrust_shares`` (n_draw, 1) in the draws.
    """
    low, high = class_band(size)
    ohms, idle = (np.exp(np.log(high / low) / (2 * BAND_END) * one)[:, None] for one in _more_draws()[:2])
    own = train.motor
    motors = own._replace(resistance=own.resistance * ohms, no_load_current=own.no_load_current * idle)
    powers = power_at(train._replace(motor=motors), speed + 0 * ohms, thrust * thrust_shares + 0 * ohms)
    return _draws()[2] * np.exp(np.log(powers / power_at(train, speed, thrust)).mean(axis=1))


def drive(
    propeller: str, size: str, rpm_per_volt: float, volts: float, mass: float | None = None
) -> drive_train.Powertrain:
    """Return a drive on a supply of constant voltage. Without ``mass`` [kg] the motor has that of its class."""
    diameter, pitch = (to_si(float(inches), "in", "length") for inches in propeller.split("x"))
    polars = propeller_blade.section_polars(propeller_blade.CLARK_Y)
    table = propeller_blade.table_from_label(diameter, pitch, polars, 2, kinematic_viscosity=_VISCOSITY)
    part = catalogue_part("motor_classes", size)
    motor_class = motor.MotorClass(*(part[name] for name in motor.MotorClass._fields))
    turned = motor.motor_from_class(
        motor_class, to_si(rpm_per_volt, "rpm/V", "speed_constant"), mass or part["reference_mass"]
    )
    supply = pack.Pack(pack.voltage_curve([volts, volts * (1 + 1e-9)]), 1.0, 1.0, 1.0, 0.0, 0.0)
    return drive_train.Powertrain(table, turned, motor.Controller(), supply)


def power_at(train: drive_train.Powertrain, speed: np.ndarray, thrust: np.ndarray) -> np.ndarray:
    """Return the electric power (...) [W] of a drive at speeds (...) [m/s] and thrusts (...) [N]."""
    return drive_train.match(train, speed, thrust, _DENSITY, 0.5).electric_power


def ledger() -> list[str]:
    """Return the table of all cases, as it stands in ``published/README.md``."""
    lines = [
        "| case | measured on | at | measured | P10 | P50 | P90 | measured / medians | percentile |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    for case in cases():
        digits = ".4f" if case.unit == "CD" else ".0f"
        measured, *band = (f"{value:{digits}}" for value in case.shown)
        lines.append(
            f"| {case.name} | {case.what} | {case.at} | {measured} {case.unit} | {' | '.join(band)} "
            f"| {case.ratio:.2f} | {case.percentile:.0f} |"
        )
    return lines
