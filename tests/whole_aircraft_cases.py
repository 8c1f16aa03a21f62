"""Whole aircraft and drives that were measured, and what the model says of them.

The measured values are in ``published/data``. W01 and E01 are study files in ``published/whole_aircraft``, with what a
builder would know. C01 to C03 and W09 call the drive alone, with a motor of the class that a builder would choose.
"""

import csv
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import numpy as np

from tradestudy.aircraft.anchor.calibration import calibrated_wing
from tradestudy.catalogue import catalogue_part
from tradestudy.physics.propulsion import drive_train, motor, pack, propeller_blade
from tradestudy.quantities import to_si
from tradestudy.study.reader import read_study

FOLDER = Path(__file__).parent / "published"
_SUPPLY = 12.8  # V; thrust stand
_SEAPLANE_PACK = 14.8  # V; four cells at their usual voltage
_DENSITY, _VISCOSITY = 1.225, 1.46e-5  # kg/m3, m2/s


class Case(NamedTuple):
    """One case. Its points (n,) are one measurement, so they count once."""

    name: str
    what: str
    unit: str
    at: str  # where the printed pair of values stands
    measured: np.ndarray
    predicted: np.ndarray
    tolerance: float  # share

    @property
    def ratio(self) -> float:
        """Measured over predicted, the geometric mean of all points. [-]"""
        return float(np.exp(np.mean(np.log(self.measured / self.predicted))))

    @property
    def shown(self) -> tuple[float, float]:
        """Measured and predicted value at the middle point."""
        middle = len(self.measured) // 2
        return float(self.measured[middle]), float(self.predicted[middle])


@lru_cache(maxsize=1)
def cases() -> tuple[Case, ...]:
    """Return all cases of the ledger."""
    return (_polar(), _endurance(), *_thrust_stand(), _seaplane())


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
    state = wing.level(speed)
    predicted = (state.profile + state.induced + state.other) / float(wing.shape.area)
    return Case("W01", "drag of a 2.1 m foam wing in a tunnel", "CD", "16 m/s", measured, predicted, 0.15)


def _endurance() -> Case:
    row = next(row for row in rows("whole_aircraft_power.csv") if row["case"] == "E01")
    speed = float(row["speed_m_s"])
    predicted = flown("e01").power_at(speed).energy_per_metre * speed
    what = "the same wing in flight, by its endurance"
    return Case("E01", what, "W", "22.2 m/s", np.array([float(row["power_W"])]), predicted, 0.25)


def _thrust_stand() -> list[Case]:
    table = rows("thrust_stand.csv")
    thrust = np.array([float(name) for name in table[0] if name != "speed_m_s"])
    train = _drive("10x5", "28 mm", 1000, _SUPPLY)
    found = []
    for number, row in enumerate(table, start=1):
        speed, *measured = map(float, row.values())
        predicted = _power(train, np.full_like(thrust, speed), thrust)
        what = f"propeller of 10 in on a thrust stand, {speed:.1f} m/s"
        found.append(Case(f"C{number:02d}", what, "W", "3 N", np.array(measured), predicted, 0.15))
    return found


def _seaplane() -> Case:
    table = [row for row in rows("whole_aircraft_power.csv") if row["case"] == "W09"]
    columns = ("speed_m_s", "drag_coefficient", "power_W")
    speed, drag, measured = (np.array([float(row[name]) for row in table]) for name in columns)
    each = 0.5 * _DENSITY * speed**2 * 1.499 * drag / 2
    predicted = 2 * _power(_drive("13x8", "35 mm", 620, _SEAPLANE_PACK), speed, each)
    return Case("W09", "two propellers of 13 in, drag given", "W", "14 m/s", measured, predicted, 0.15)


def _drive(propeller: str, size: str, rpm_per_volt: float, volts: float) -> drive_train.Powertrain:
    """Return a drive on a supply of constant voltage. The motor has the usual mass of its class."""
    diameter, pitch = (to_si(float(inches), "in", "length") for inches in propeller.split("x"))
    polars = propeller_blade.section_polars(propeller_blade.CLARK_Y)
    table = propeller_blade.table_from_label(diameter, pitch, polars, 2, kinematic_viscosity=_VISCOSITY)
    part = catalogue_part("motor_classes", size)
    motor_class = motor.MotorClass(*(part[name] for name in motor.MotorClass._fields))
    turned = motor.motor_from_class(motor_class, to_si(rpm_per_volt, "rpm/V", "speed_constant"), part["reference_mass"])
    supply = pack.Pack(pack.voltage_curve([volts, volts * (1 + 1e-9)]), 1.0, 1.0, 1.0, 0.0, 0.0)
    return drive_train.Powertrain(table, turned, motor.Controller(), supply, installation_factor=1.0)


def _power(train: drive_train.Powertrain, speed: np.ndarray, thrust: np.ndarray) -> np.ndarray:
    return drive_train.match(train, speed, thrust, _DENSITY, 0.5).electric_power


def ledger() -> list[str]:
    """Return the table of all cases, as it stands in ``published/README.md``."""
    lines = ["| case | measured on | at | measured | model | measured / model |", "|---|---|---|---|---|---|"]
    for case in cases():
        digits = ".4f" if case.unit == "CD" else ".0f"
        measured, predicted = (f"{value:{digits}} {case.unit}" for value in case.shown)
        lines.append(f"| {case.name} | {case.what} | {case.at} | {measured} | {predicted} | {case.ratio:.2f} |")
    return lines
