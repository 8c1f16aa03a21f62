"""Power of a design against calculations made here: ideal parts with closed forms, then real parts by root finding.

Two designs are computed together. Every number of a condition differs from those of the others, so that using drag,
speed or state of charge of another condition is noticed.
"""

from types import SimpleNamespace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from tradestudy.physics.flight.power import PowerData, design_power
from tradestudy.physics.propulsion.drive_train import Powertrain
from tradestudy.physics.propulsion.motor import Controller, Motor
from tradestudy.physics.propulsion.pack import Pack, voltage_curve
from tradestudy.physics.propulsion.propeller_table import table_from_rows

DENSITY, G = 1.19, 9.80665
DIAMETER = 0.21
RESERVE, SHARE, WIND = 0.25, 0.13, 5.0
FULL_SPEED = 24.0
SPEED, MASS = np.array([12.0, 15.5]), np.array([0.9, 1.3])
SERIES, PARALLEL = np.array([3.0, 4.0]), np.array([2.0, 3.0])
# drag areas in cruise, slow flight, launch, full speed [m^2]: no two are close
DRAG_AREA = np.array([[0.0125, 0.0190, 0.0310, 0.0101], [0.0142, 0.0215, 0.0275, 0.0117]])
EMPTY, FULL = 3.2, 4.1  # V per cell, linear in between, which the cell's curve meets exactly
CELL_CHARGE = 2.6 * 3600
ROOTS = 1e-8  # tolerance: two solvers of the same equations, each accurate to 1e-11 of its unknown; integrals to 1e-9


def propeller(thrust, power):
    """Return a propeller with curves that are parabolas of advance ratio, highest power last.

    A spline meets them exactly.
    """
    ratio = np.linspace(0, 1.1, 60)
    return table_from_rows(
        DIAMETER, ratio, np.polynomial.Polynomial(thrust)(ratio), np.polynomial.Polynomial(power)(ratio)
    )


def data_of(train, avionics=0.0):
    return PowerData(train, DENSITY, FULL_SPEED, RESERVE, avionics, WIND, SHARE)


def both_designs(train, avionics=0.0, usual=True):
    """Return the DesignPower of both designs. The cells of the pack itself are those of neither design."""
    own = train._replace(pack=train.pack._replace(series=7.0, parallel=1.0))
    return design_power(data_of(own, avionics), SPEED, DRAG_AREA, MASS, SERIES, PARALLEL, usual)


# --- ideal parts: everything in closed form ----------------------------------------------------------------

STILL, FALL, TORQUE = 0.11, 0.12, 0.045  # CT = STILL - FALL J, and CP is the same at any J
SPEED_CONSTANT, OHMS, FREE = 120.0, 0.07, 0.8


@pytest.fixture(scope="module")
def ideal():
    """Return a drive without loss in controller and cells. Thrust falls linearly with J, power is constant."""
    pack = Pack(voltage_curve(np.linspace(EMPTY, FULL, 5)), 1.0, 1.0, CELL_CHARGE, 0.0, 0.0)
    return both_designs(
        Powertrain(
            propeller([STILL, -FALL], [TORQUE]),
            Motor(SPEED_CONSTANT, OHMS, FREE, 1.0),
            Controller(0.0, 0.0, 0.0, 0.0),
            pack,
            1.0,
        )
    )


def turning_for(thrust, speed):
    """Return rev/s for a thrust T: the positive root of rho D^4 (STILL n^2 - FALL n V / D) = T. [1/s]"""
    asked_for = thrust / (DENSITY * DIAMETER**4)
    slope = FALL * speed / DIAMETER
    return (slope + np.sqrt(slope**2 + 4 * STILL * asked_for)) / (2 * STILL)


def amps_at(turns):
    """Return torque times speed constant, plus the no-load current. [A]"""
    return TORQUE * DENSITY * turns**2 * DIAMETER**5 / (2 * np.pi) * SPEED_CONSTANT + FREE


def volts_at(turns):
    return 2 * np.pi * turns / SPEED_CONSTANT + OHMS * amps_at(turns)


def turning_flat_out(volts):
    """Return rev/s at full throttle for a given voltage: the root of a n^2 + b n + c = 0. [1/s]"""
    a = OHMS * TORQUE * DENSITY * DIAMETER**5 / (2 * np.pi) * SPEED_CONSTANT
    b, c = 2 * np.pi / SPEED_CONSTANT, OHMS * FREE - volts
    return (-b + np.sqrt(b**2 - 4 * a * c)) / (2 * a)


def thrust_at(turns, speed):
    return DENSITY * DIAMETER**4 * (STILL * turns**2 - FALL * turns * speed / DIAMETER)


def pack_volts(charge):
    return SERIES * (EMPTY + (FULL - EMPTY) * charge)


CRUISE_DRAG = 0.5 * DENSITY * SPEED**2 * DRAG_AREA[:, 0]


def test_ideal_cruise(ideal):
    """Compare constant power from a voltage that is linear in charge: t = Q (1 - r) E(middle) / P.

    Q is the charge, r the reserve, E the voltage half way, and P the power.
    """
    turns = turning_for(CRUISE_DRAG, SPEED)
    power = amps_at(turns) * volts_at(turns)
    used = PARALLEL * CELL_CHARGE * (1 - RESERVE)
    time = used * pack_volts(0.5 * (1 + RESERVE)) / power
    end = pack_volts(RESERVE)
    hand = {
        "cruise_motor_current": amps_at(turns),
        "endurance": time,
        "range": SPEED * time,
        "radius": time * (SPEED**2 - WIND**2) / (2 * SPEED),
        "energy_per_metre": power / SPEED,
        "charge_per_metre": used / (SPEED * time),
        "mean_current": used / time,
        "end_voltage": end,
        "end_current": power / end,
        "end_throttle": volts_at(turns) / end,
    }
    for name, value in hand.items():
        assert getattr(ideal, name) == pytest.approx(value, rel=ROOTS), name


def test_ideal_climb_is_thrust_at_the_reserve_less_drag_over_weight(ideal):
    thrust = thrust_at(turning_flat_out(pack_volts(RESERVE)), SPEED)
    assert ideal.climb_speed == pytest.approx((thrust - CRUISE_DRAG) * SPEED / (MASS * G), rel=ROOTS)
    assert np.all(ideal.climb_speed > 0.5) and np.all(CRUISE_DRAG > 0.2 * thrust)  # otherwise the test shows nothing


def test_ideal_surplus_is_thrust_of_a_full_pack_less_drag_at_full_speed(ideal):
    thrust = thrust_at(turning_flat_out(pack_volts(1.0)), FULL_SPEED)
    drag = 0.5 * DENSITY * FULL_SPEED**2 * DRAG_AREA[:, 3]
    assert ideal.surplus_thrust == pytest.approx((thrust - drag) / (MASS * G), rel=ROOTS)


def test_ideal_standing_start_is_on_a_full_pack(ideal):
    """Check that without loss the pack current is the motor current. The propeller stands still, J = 0."""
    turns = turning_flat_out(pack_volts(1.0))
    assert ideal.full_throttle_motor_current == pytest.approx(amps_at(turns), rel=ROOTS)
    assert ideal.full_throttle_current == pytest.approx(amps_at(turns), rel=ROOTS)
    assert ideal.thrust_to_weight == pytest.approx(thrust_at(turns, 0.0) / (MASS * G), rel=ROOTS)


def test_ideal_usual_flight_draws_full_throttle_at_the_charge_it_has(ideal):
    """Compare mean current at every charge by hand with another quadrature. Three solutions replace all in the code."""
    cruise = turning_for(CRUISE_DRAG, SPEED)
    power = amps_at(cruise) * volts_at(cruise)
    time = np.array(
        [
            quad(
                lambda charge, one=one: (
                    PARALLEL
                    * CELL_CHARGE
                    / ((1 - SHARE) * power / pack_volts(charge) + SHARE * amps_at(turning_flat_out(pack_volts(charge))))
                )[one],
                RESERVE,
                1,
                epsabs=0,
                epsrel=1e-10,
            )[0]
            for one in (0, 1)
        ]
    )
    assert ideal.usual_time == pytest.approx(time, rel=6e-5)  # tolerance: error of three solutions instead of all
    # full throttle at any single charge would have a larger error
    for charge in (RESERVE, 1.0):
        fixed = np.array(
            [
                quad(
                    lambda at, one=one, charge=charge: (
                        PARALLEL
                        * CELL_CHARGE
                        / ((1 - SHARE) * power / pack_volts(at) + SHARE * amps_at(turning_flat_out(pack_volts(charge))))
                    )[one],
                    RESERVE,
                    1,
                )[0]
                for one in (0, 1)
            ]
        )
        assert np.all(abs(fixed / time - 1) > 1e-2)


def test_usual_time_is_left_out_unless_requested():
    train = Powertrain(
        propeller([STILL, -FALL], [TORQUE]),
        Motor(SPEED_CONSTANT, OHMS, FREE),
        Controller(),
        Pack(voltage_curve(np.linspace(EMPTY, FULL, 5)), 1.0, 1.0, CELL_CHARGE, 0.03),
    )
    with_it, without = both_designs(train, 3.0), both_designs(train, 3.0, usual=False)
    assert with_it.usual_time is not None and without.usual_time is None
    for name, value in without._replace(usual_time=with_it.usual_time)._asdict().items():
        np.testing.assert_array_equal(value, getattr(with_it, name), err_msg=name)


# --- common parts: every equation written out, solved by a root finder -------------------------------------

THRUST, POWER = [0.105, -0.05, -0.085], [0.043, 0.022, -0.055]  # coefficients over J, lowest power first
AS_BUILT, CAP, SHAFT_FACTOR, AVIONICS = 1.07, 0.88, 1.06, 4.5
MOTOR = SimpleNamespace(constant=118.0, ohms=0.06, warm=1.4, free=0.9, rise=0.3, free_volts=9.0)
SWITCH = SimpleNamespace(ohms=0.012, share=0.021, chopped=0.07, standing=0.4)
CELL_OHMS, LEADS, SAG = 0.035, 0.006, (1.4, 1.0, 0.6)  # the resistance falls linearly with charge


@pytest.fixture(scope="module")
def common():
    pack = Pack(voltage_curve(np.linspace(EMPTY, FULL, 9), SAG), 1.0, 1.0, CELL_CHARGE, CELL_OHMS, LEADS)
    motor = Motor(MOTOR.constant, MOTOR.ohms, MOTOR.free, MOTOR.warm, MOTOR.rise, MOTOR.free_volts)
    controller = Controller(SWITCH.ohms, SWITCH.share, SWITCH.chopped, SWITCH.standing)
    return both_designs(
        Powertrain(propeller(THRUST, POWER), motor, controller, pack, AS_BUILT, CAP, SHAFT_FACTOR), AVIONICS
    )


class Hand:
    """One design, with formulas as in a textbook, for single numbers."""

    def __init__(self, one):
        self.one, self.speed, self.mass, self.area = one, SPEED[one], MASS[one], DRAG_AREA[one]
        self.series, self.parallel = SERIES[one], PARALLEL[one]

    def thrust(self, turns, speed):
        ratio = speed / (turns * DIAMETER)
        coefficient = THRUST[0] + THRUST[1] * ratio + THRUST[2] * ratio**2
        return coefficient * DENSITY * turns**2 * DIAMETER**4

    def motor(self, turns, speed):
        """Return current and voltage of the motor. [A, V]"""
        ratio = speed / (turns * DIAMETER)
        coefficient = POWER[0] + POWER[1] * ratio + POWER[2] * ratio**2
        torque = SHAFT_FACTOR * coefficient * DENSITY * turns**3 * DIAMETER**5 / (2 * np.pi * turns)
        omega = 2 * np.pi * turns
        free = MOTOR.free * (1 + MOTOR.rise * (omega / MOTOR.constant / MOTOR.free_volts - 1))
        amps = torque * MOTOR.constant + free
        return amps, omega / MOTOR.constant + amps * MOTOR.ohms * MOTOR.warm

    def watts(self, amps, volts, bus):
        """Return power from the pack at its voltage under load, for motor, controller and equipment. [W]"""
        chopped = bus - volts - amps * SWITCH.ohms
        drive = (
            volts * amps * (1 + SWITCH.share)
            + amps**2 * SWITCH.ohms
            + SWITCH.chopped * amps * chopped
            + SWITCH.standing
        )
        return AS_BUILT * drive + AVIONICS

    def resting(self, charge):
        return self.series * (EMPTY + (FULL - EMPTY) * charge)

    def ohms(self, charge):
        return self.series / self.parallel * CELL_OHMS * (SAG[0] + (SAG[2] - SAG[0]) * charge) + LEADS

    def loaded(self, amps, volts, charge):
        """Return voltage under load and current of the pack, for given motor current and voltage. [V, A]"""

        def left(bus):
            return self.resting(charge) - self.ohms(charge) * self.watts(amps, volts, bus) / bus - bus

        bus = brentq(left, 0.7 * self.resting(charge), self.resting(charge), xtol=1e-13)
        return bus, self.watts(amps, volts, bus) / bus

    def cruising(self):
        drag = 0.5 * DENSITY * self.speed**2 * self.area[0]
        turns = brentq(lambda n: self.thrust(n, self.speed) - drag, self.speed / DIAMETER, 400.0, xtol=1e-13)
        return drag, *self.motor(turns, self.speed)

    def flat_out(self, speed, charge):
        """Return thrust, pack current and motor current with the throttle at its cap. [N, A, A]"""

        def left(turns):
            amps, volts = self.motor(turns, speed)
            bus = (volts + amps * SWITCH.ohms) / CAP
            return self.resting(charge) - self.ohms(charge) * self.watts(amps, volts, bus) / bus - bus

        turns = brentq(left, max(speed / DIAMETER, 30.0), 400.0, xtol=1e-13)
        amps, volts = self.motor(turns, speed)
        bus = (volts + amps * SWITCH.ohms) / CAP
        return self.thrust(turns, speed), self.watts(amps, volts, bus) / bus, amps


@pytest.mark.parametrize("one", [0, 1])
def test_common_parts_by_roots(common, one):
    hand = Hand(one)
    drag, amps, volts = hand.cruising()
    charge = hand.parallel * CELL_CHARGE
    time = quad(lambda at: charge / hand.loaded(amps, volts, at)[1], RESERVE, 1, epsabs=0, epsrel=1e-11)[0]
    energy = quad(lambda at: charge * hand.loaded(amps, volts, at)[0], RESERVE, 1, epsabs=0, epsrel=1e-11)[0]
    bus, end = hand.loaded(amps, volts, RESERVE)
    climbing, _, _ = hand.flat_out(hand.speed, RESERVE)
    level, _, _ = hand.flat_out(FULL_SPEED, 1.0)
    standing, pack_amps, motor_amps = hand.flat_out(1e-9, 1.0)
    weight = hand.mass * G
    by_roots = {
        "cruise_motor_current": amps,
        "endurance": time,
        "range": hand.speed * time,
        "radius": time * (hand.speed**2 - WIND**2) / (2 * hand.speed),
        "energy_per_metre": energy / (hand.speed * time),
        "charge_per_metre": charge * (1 - RESERVE) / (hand.speed * time),
        "mean_current": charge * (1 - RESERVE) / time,
        "end_voltage": bus,
        "end_current": end,
        "end_throttle": (volts + amps * SWITCH.ohms) / bus,
        "climb_speed": (climbing - drag) * hand.speed / weight,
        "surplus_thrust": (level - 0.5 * DENSITY * FULL_SPEED**2 * hand.area[3]) / weight,
        "thrust_to_weight": standing / weight,
        "full_throttle_current": pack_amps,
        "full_throttle_motor_current": motor_amps,
    }
    for name, value in by_roots.items():
        assert getattr(common, name)[one] == pytest.approx(value, rel=ROOTS), name
    assert common.launch_thrust[one] == pytest.approx([standing, hand.flat_out(10.0, 1.0)[0]], rel=ROOTS)
    assert set(common._fields) == {*by_roots, "usual_time", "launch_thrust"}
    usual = quad(
        lambda at: charge / ((1 - SHARE) * hand.loaded(amps, volts, at)[1] + SHARE * hand.flat_out(hand.speed, at)[1]),
        RESERVE,
        1,
        epsrel=1e-8,
    )[0]
    assert common.usual_time[one] == pytest.approx(usual, rel=6e-5)  # tolerance: three solutions replace all
