"""The factor on the power of the drive, by every drive and flight that was measured.

What follows from it is in tradestudy/physics/flight/what_built_wings_lose.md.
"""

from typing import NamedTuple

import numpy as np

from .whole_aircraft_cases import cases, drive, flown, power_at, rows

WAKE = 1.055  # power in the wake of a wing over that in free air; common practice, no source
SECOND_PROPELLER = 1.2  # power of the other ordinary propeller on the stand of C01 to C03 (read)
SPREAD = 0.13  # between drives, as the draws have it: propeller, motor, controller and the rest
MASS = {"2312": 0.060, "3110": 0.080}  # kg; usual of such motors, from memory
LABELS = {"9450": "9.4x5.0", "8045": "8.0x4.5"}  # in, by the four digits on the propeller
LISTED = 20e-4  # m2 of parts that hung on E01; the usual odds and ends


class Evidence(NamedTuple):
    """Measured over modelled power of one drive, in free air or in flight, and the source's own error of its log."""

    what: str
    ratio: float
    error: float
    in_free_air: bool

    @property
    def factor(self) -> float:
        """The factor on the power of a drive in flight that this case alone says. [-]"""
        return self.ratio * (WAKE if self.in_free_air else 1.0)


def mean(found):
    """Return the weighted mean factor, and the standard error of its logarithm. [-]"""
    weights = np.array([1 / (SPREAD**2 + one.error**2) for one in found])
    logs = np.log([one.factor for one in found])
    return float(np.exp((weights * logs).sum() / weights.sum())), float(weights.sum() ** -0.5)


def evidence():
    ledger = {case.name: case for case in cases()}
    stand = float(np.exp(np.mean([np.log(ledger[name].ratio) for name in ("C01", "C02", "C03")])))
    return [
        Evidence("10 in propeller on a stand (C01 to C03)", stand, 0.05, True),
        Evidence("the other propeller on that stand", SECOND_PROPELLER * stand, 0.05, True),
        Evidence("2312 motor, three kinds of propeller, standing", bench("2312"), 0.05, True),
        Evidence("3110 motor, four propellers, standing", bench("3110"), 0.05, True),
        Evidence("seaplane (W09)", ledger["W09"].ratio, 0.105, False),
        Evidence("2.1 m wing (E01) with the drag of its tunnel (W01)", in_flight(), 0.15, False),
    ]


def bench(name):
    """Return measured over modelled power at the two lowest throttles of every propeller on a CTU bench."""
    of_2312 = name == "2312"
    table = rows("ctu_motor_bench.csv" if of_2312 else "motor_3110_bench.csv")
    size, rpm_per_volt = ("22 mm", 920.0) if of_2312 else ("28 mm", 780.0)
    logs = []
    for row in table:
        if float(row["throttle_pct"]) > 60:
            continue
        propeller = LABELS[row["prop"].split()[0]] if of_2312 else row["propeller"]
        volts, amps, thrust = (float(row[key]) for key in ("voltage_V", "current_A", "thrust_gf"))
        train = drive(propeller, size, rpm_per_volt, volts, MASS[name])
        logs.append(np.log(volts * amps / power_at(train, np.zeros(1), np.array([thrust * 9.80665e-3]))[0]))
    return float(np.exp(np.mean(logs)))


def in_flight():
    """Return the power that E01 drew over that of the model at the drag that W01 measured, with its list."""
    row = next(row for row in rows("whole_aircraft_power.csv") if row["case"] == "E01")
    speed, wing = float(row["speed_m_s"]), flown("e01")
    pressure = 0.5 * 1.225 * speed**2
    trimmed_drag = 5.05  # N at 4.5 kg and 22.2 m/s, from the polar of W01
    power = power_at(wing.powertrain, np.array([speed]), np.array([trimmed_drag + pressure * LISTED]))[0]
    return float(row["power_W"]) / (power + wing.data.power.avionics_power)
