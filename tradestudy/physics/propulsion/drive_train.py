"""Drive of propeller, motor, controller and pack: power for a given thrust, and thrust at full throttle.

The module solves two problems, for any batch of conditions (``...`` in shapes):

* ``match`` solves for rotational speed, currents and throttle at a given flight speed and thrust.
* ``full_throttle`` solves for thrust and currents at throttle 1 or its cap, with the voltage under that load.

The motor's part of a match (``shaft_demand``) is independent of the pack. The pack's part (``operating_point``) has a
closed form. So a discharge needs one Newton solution for all its states of charge.

Thrust is that of a propeller in free air. What a drive loses besides, as in the wake of a wing, is in
``drive_power_factor``: electric power over that of the model, at equal thrust.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np

from . import motor as motors
from . import pack as packs
from .motor import Controller, Motor
from .pack import Pack
from .propeller_table import TWO_PI, PropellerTable, outside_data
from .root_search import ARRAYS, FOR_SLOPES, FOR_VALUES, SINGLE_NUMBERS, Arithmetic, columns, linearised, root

_FEW_POINTS = 40  # number of points up to which single numbers are faster than arrays


class Powertrain(NamedTuple):
    """The parts from propeller to cells, and three numbers of shape (...)."""

    propeller: PropellerTable
    motor: Motor
    controller: Controller
    pack: Pack
    drive_power_factor: Any = 1.0  # electric power of the drive as built over that of the clean model [-]
    throttle_cap: Any = 1.0  # largest duty of the controller, the meaning of "full throttle" [-]
    propeller_power: Any = 1.0  # real shaft power over that of the propeller's curves, at equal thrust [-]


class ShaftPoint(NamedTuple):
    """State of propeller and motor; every field has the batch shape (...)."""

    airspeed: Any  # [m/s]
    thrust: Any  # [N]
    revolutions: Any  # rotational speed [rad/s]
    advance_ratio: Any  # [-]
    torque: Any  # [N m]
    motor_current: Any  # [A]
    motor_voltage: Any  # [V]
    outside_data: Any = False  # True where the propeller is outside the rows of its table [bool]
    converged: Any = True  # True where the solution converged [bool]

    @property
    def shaft_power(self) -> Any:
        """Power (...) from motor to propeller, by definition. [W]"""
        return self.torque * self.revolutions


class OperatingPoint(NamedTuple):
    """State of the complete powertrain; every number has the batch shape (...)."""

    powertrain: Powertrain
    shaft: ShaftPoint
    pack_current: Any  # current of the pack [A]
    pack_voltage: Any  # voltage of the pack under load [V]
    power_reserve: Any  # share of the pack's deliverable power that is left; below 0 the pack fails [-]

    @property
    def throttle(self) -> Any:
        """Duty (...): required over loaded pack voltage; above 1 is out of reach. Definition as in ``motor``. [-]"""
        shaft = self.shaft
        return motors.duty(self.powertrain.controller, shaft.motor_voltage, shaft.motor_current, self.pack_voltage)

    @property
    def electric_power(self) -> Any:
        """Power (...) into the controller, with definitions as in ``motor``. [W]"""
        shaft = self.shaft
        return _controller_power(self.powertrain, shaft.motor_voltage, shaft.motor_current, self.pack_voltage)


class Losses(NamedTuple):
    """Where the power of the cells goes. Every field has the batch shape (...). [W]"""

    cells: Any  # open-circuit voltage x current, the sum of all other fields [W]
    thrust: Any  # thrust x airspeed [W]
    propeller: Any  # shaft power less thrust x airspeed [W]
    motor: Any  # heat of the motor [W]
    controller: Any  # heat of the controller [W]
    built: Any  # what the drive as built takes more than the clean model [W]
    other: Any  # power to everything else that the pack feeds [W]
    pack: Any  # heat of cells and wiring [W]


def match(
    powertrain: Powertrain, airspeed: Any, thrust: Any, density: Any, state_of_charge: Any, other_power: Any = 0.0
) -> OperatingPoint:
    """Return the OperatingPoint that gives a thrust at a flight speed. The definition is as in ``operating_point``.

    Parameters
    ----------
    powertrain : Powertrain
    airspeed : (...) array
        Flight speed, zero or more. [m/s]
    thrust : (...) array
        Thrust, zero or more. [N]
    density : (...) array
        Air density. [kg/m3]
    state_of_charge : (...) array
        State of charge; 1 is full. [-]
    other_power : (...) array
        Power from the pack to everything but the motor. [W]

    Returns
    -------
    OperatingPoint
        Finite for any demand. A throttle above 1 or a negative power reserve means that it cannot be met.

    Examples
    --------
    >>> from tradestudy.physics.propulsion.propeller_table import table_from_rows
    >>> j = np.linspace(0.0, 0.9, 10)
    >>> propeller = table_from_rows(0.25, j, thrust_coefficient=0.1 - 0.12 * j, power_coefficient=0.05 - 0.03 * j**2)
    >>> pack = Pack(packs.LITHIUM_ION, series=4, parallel=2, cell_capacity=12600.0, cell_resistance=0.04)
    >>> drive = Powertrain(propeller, Motor(94.0, resistance=0.1, no_load_current=0.5), Controller(), pack)
    >>> point = match(drive, airspeed=14.0, thrust=1.5, density=1.2, state_of_charge=0.5)
    >>> round(float(point.throttle), 2), round(float(point.pack_current), 1)
    (0.52, 4.3)
    """
    return operating_point(
        powertrain, shaft_demand(powertrain, airspeed, thrust, density), state_of_charge, other_power
    )


def shaft_demand(powertrain: Powertrain, airspeed: Any, thrust: Any, density: Any) -> ShaftPoint:
    """Return the ShaftPoint (...) that gives a ``thrust`` [N] at ``airspeed`` [m/s] and ``density`` [kg/m3], all (...).

    It uses the coefficients of the propeller's table and the motor model of Drela, 2007 (see ``motor``).
    """
    return _solve(_shortfall, _demand_start, powertrain, (airspeed, density, thrust))


def shaft_at_revolutions(powertrain: Powertrain, revolutions: Any, airspeed: Any, density: Any) -> ShaftPoint:
    """Return the ShaftPoint (...) at ``revolutions`` [rad/s], ``airspeed`` [m/s] and ``density`` [kg/m3], all (...).

    The definition is as in ``shaft_demand``.
    """
    converged = np.ones(np.shape(revolutions), dtype=bool)
    return _shaft(ARRAYS, revolutions, converged, powertrain, np.asarray(airspeed), density)


def full_throttle(
    powertrain: Powertrain, airspeed: Any, density: Any, state_of_charge: Any, other_power: Any = 0.0
) -> OperatingPoint:
    """Return the OperatingPoint at throttle 1 or its cap, with the pack voltage under the resulting load.

    Parameters
    ----------
    powertrain : Powertrain
    airspeed, density, state_of_charge, other_power : (...) arrays
        Arguments as for ``match``. Airspeed 0 means a standing aircraft. [m/s, kg/m3, -, W]

    Returns
    -------
    OperatingPoint
        Its main results are ``shaft.thrust``, ``pack_current`` and ``shaft.motor_current``.
    """
    resting = packs.open_circuit_voltage(powertrain.pack, state_of_charge)
    resistance = packs.pack_resistance(powertrain.pack, state_of_charge)
    conditions = (airspeed, density, resting, resistance, other_power)
    shaft = _solve(_surplus, _throttle_start, powertrain, conditions)
    voltage = _required_voltage(powertrain, shaft.motor_voltage, shaft.motor_current)
    power = _controller_power(powertrain, shaft.motor_voltage, shaft.motor_current, voltage) + other_power
    reserve = 1 - 4 * power * resistance / (resting * resting)
    return OperatingPoint(powertrain, shaft, power / voltage, voltage, power_reserve=reserve)


def operating_point(
    powertrain: Powertrain, shaft: ShaftPoint, state_of_charge: Any, other_power: Any = 0.0
) -> OperatingPoint:
    """Return the OperatingPoint (...) for a ShaftPoint at a ``state_of_charge`` [-] and ``other_power`` [W], all (...).

    Algebra: the controller's switching loss is linear in the pack voltage, and that voltage sags with the pack current.
    Together they still give one quadratic equation.
    """
    motor_voltage, motor_current = shaft.motor_voltage, shaft.motor_current
    resistance = packs.pack_resistance(powertrain.pack, state_of_charge)
    # loss = fixed part + chopped current x pack voltage; the second part is equivalent to a lower resting voltage
    chopped_current = powertrain.drive_power_factor * powertrain.controller.part_throttle_loss * motor_current
    fixed = _controller_power(powertrain, motor_voltage, motor_current, 0.0) + other_power
    resting = packs.open_circuit_voltage(powertrain.pack, state_of_charge) - resistance * chopped_current
    voltage, reserve = packs.loaded_voltage(resting, resistance, fixed)
    return OperatingPoint(powertrain, shaft, fixed / voltage + chopped_current, voltage, power_reserve=reserve)


def losses(powertrain: Powertrain, point: OperatingPoint, state_of_charge: Any, other_power: Any = 0.0) -> Losses:
    """Return the Losses (...) of an OperatingPoint at a ``state_of_charge`` [-] and ``other_power`` [W], all (...).

    This is bookkeeping.
    """
    shaft, thrust_power = point.shaft, point.shaft.thrust * point.shaft.airspeed
    resistance = packs.pack_resistance(powertrain.pack, state_of_charge)
    return Losses(
        cells=packs.open_circuit_voltage(powertrain.pack, state_of_charge) * point.pack_current,
        thrust=thrust_power,
        propeller=shaft.shaft_power - thrust_power,
        motor=motors.motor_loss(powertrain.motor, shaft.motor_current, shaft.revolutions),
        controller=motors.controller_loss(
            powertrain.controller, shaft.motor_voltage, shaft.motor_current, point.pack_voltage
        ),
        built=point.electric_power * (1 - 1 / powertrain.drive_power_factor),
        other=other_power + np.zeros(np.shape(thrust_power)),
        pack=point.pack_current * point.pack_current * resistance,
    )


def _shaft(
    numbers: Arithmetic, revolutions: Any, converged: Any, powertrain: Powertrain, airspeed: Any, density: Any
) -> ShaftPoint:
    """Return the ShaftPoint (...) at ``revolutions`` (...) [rad/s]."""
    table, motor = powertrain.propeller, powertrain.motor
    advance_ratio = _advance(table, airspeed) / revolutions
    thrust_coefficient, power_coefficient = numbers.coefficients(table, advance_ratio, revolutions)
    force = _force(table, density) * revolutions * revolutions
    torque = _arm(powertrain) * power_coefficient * force
    current = motors.motor_current(motor, torque, revolutions)
    return ShaftPoint(
        airspeed=airspeed,
        thrust=thrust_coefficient * force,
        revolutions=revolutions,
        advance_ratio=advance_ratio,
        torque=torque,
        motor_current=current,
        motor_voltage=motors.motor_voltage(motor, current, revolutions),
        outside_data=outside_data(table, advance_ratio, revolutions),
        converged=converged,
    )


def _advance(table: PropellerTable, airspeed: Any) -> Any:
    """Return the advance ratio (...) times the rotational speed. [rad/s]"""
    return airspeed * TWO_PI / table.diameter


def _force(table: PropellerTable, density: Any) -> Any:
    """Return the thrust (...) that belongs to a thrust coefficient of 1, over the rotational speed squared. [N s2]"""
    return density * (table.diameter**2 / TWO_PI) ** 2


def _arm(powertrain: Powertrain) -> Any:
    """Return the torque (...) for a power coefficient of 1 over the thrust for a thrust coefficient of 1. [m]"""
    return powertrain.propeller_power * powertrain.propeller.diameter / TWO_PI


def _shortfall(
    numbers: Arithmetic, powertrain: Powertrain, airspeed: Any, density: Any, thrust: Any
) -> Callable[[Any], Any]:
    """Return the function of the rotational speed [rad/s] that is the demanded thrust less the thrust there. [N]"""
    table = powertrain.propeller
    advance, force, coefficient = _advance(table, airspeed), _force(table, density), numbers.thrust

    def shortfall(revolutions: Any) -> Any:
        return thrust - coefficient(table, advance / revolutions, revolutions) * force * revolutions * revolutions

    return shortfall


def _demand_start(powertrain: Powertrain, airspeed: Any, density: Any, thrust: Any) -> Any:
    """Return a first estimate of the rotational speed, with CT as a parabola of J. [rad/s]"""
    table = powertrain.propeller
    static, rise, bend = table.parabolas[0]
    linear, force = rise * _advance(table, airspeed), _force(table, density)
    rest = thrust / force - bend * _advance(table, airspeed) ** 2
    # solution of static * revolutions^2 + linear * revolutions = rest; a term of 1/s^2 keeps it above zero
    return (((linear / static) ** 2 + 4 * rest / static + TWO_PI**2) ** 0.5 - linear / static) / 2


def _surplus(
    numbers: Arithmetic,
    powertrain: Powertrain,
    airspeed: Any,
    density: Any,
    resting: Any,
    resistance: Any,
    other_power: Any,
) -> Callable[[Any], Any]:
    """Return the function of the rotational speed that is the pack's voltage less the voltage required there. [V]"""
    table, motor, coefficient = powertrain.propeller, powertrain.motor, numbers.power
    advance, moment = _advance(table, airspeed), _arm(powertrain) * _force(table, density)

    def surplus(revolutions: Any) -> Any:
        torque = coefficient(table, advance / revolutions, revolutions) * moment * revolutions * revolutions
        current = motors.motor_current(motor, torque, revolutions)
        motor_voltage = motors.motor_voltage(motor, current, revolutions)
        voltage = _required_voltage(powertrain, motor_voltage, current)
        power = _controller_power(powertrain, motor_voltage, current, voltage) + other_power
        return resting - resistance * power / voltage - voltage

    return surplus


def _throttle_start(
    powertrain: Powertrain, airspeed: Any, density: Any, resting: Any, resistance: Any, _other_power: Any
) -> Any:
    """Return a first estimate of the rotational speed, with CP as a parabola of J and a drop by resistance. [rad/s]"""
    table, motor = powertrain.propeller, powertrain.motor
    static, rise, bend = table.parabolas[1]
    advance, constant = _advance(table, airspeed), motor.speed_constant
    ohms = resistance + motor.resistance * motor.resistance_factor + powertrain.controller.resistance
    drop = ohms * constant * _arm(powertrain) * _force(table, density)
    linear = 1 / constant + drop * rise * advance
    rest = resting * powertrain.throttle_cap - drop * bend * advance * advance
    # solution of drop * static * revolutions^2 + linear * revolutions = rest
    return 2 * rest / (linear + (linear * linear + 4 * drop * static * rest) ** 0.5)


def _required_voltage(powertrain: Powertrain, motor_voltage: Any, motor_current: Any) -> Any:
    """Return the pack voltage at which the largest duty supplies motor and switches. [V]"""
    return (motor_voltage + motor_current * powertrain.controller.resistance) / powertrain.throttle_cap


def _controller_power(powertrain: Powertrain, motor_voltage: Any, motor_current: Any, pack_voltage: Any) -> Any:
    """Return the electric power into the controller at a pack voltage [V]. [W]"""
    loss = motors.controller_loss(powertrain.controller, motor_voltage, motor_current, pack_voltage)
    return powertrain.drive_power_factor * (motor_voltage * motor_current + loss)


def _solve(
    residual: Callable[..., Any], start: Callable[..., Any], powertrain: Powertrain, conditions: Sequence[Any]
) -> ShaftPoint:
    """Return the ShaftPoint (...) at the root of ``residual(numbers, powertrain, *conditions)``, a function.

    The first two conditions are airspeed and density. Points (...) with the same real parts, such as the directions of
    a complex step, are solved once. A few points are solved one at a time, because single numbers are then faster than
    arrays. One more Newton step with complex parts adds the implicit derivative. The pack enters only through
    ``conditions``.
    """
    motor, split = powertrain.motor, len(conditions)
    factors = (powertrain.drive_power_factor, powertrain.throttle_cap, powertrain.propeller_power)
    parts: tuple[Any, ...] = (*factors, *motor, *powertrain.controller)
    if set(map(type, parts)) == {float}:  # all points have the same drive
        parts = ()
    values = [np.asarray(value) for value in (*conditions, *parts)]
    shape = np.broadcast(*values).shape
    points = columns([value.real for value in values], shape)
    distinct = set(points)
    first_motor, first_controller = split + len(factors), split + len(factors) + len(motor)
    steps = any(value.dtype.kind == "c" for value in values)
    tolerance = FOR_SLOPES if steps else FOR_VALUES

    def drive_at(column: Sequence[Any]) -> Powertrain:
        if not parts:
            return powertrain
        own_motor = Motor._make(column[first_motor:first_controller])
        controller = Controller._make(column[first_controller:])
        return Powertrain(powertrain.propeller, own_motor, controller, powertrain.pack, *column[split:first_motor])

    def root_at(numbers: Arithmetic, column: Sequence[Any]) -> tuple[Any, Any, Any, Any]:
        drive = drive_at(column)
        here = column[:split]
        return root(residual(numbers, drive, *here), numbers, start(drive, *here), tolerance)

    def shaft_at(column: Sequence[Any]) -> ShaftPoint:
        unknown, step, _, converged = root_at(SINGLE_NUMBERS, column)
        revolutions = complex(unknown - step if converged else unknown)  # complex as in the search: that is faster
        return _shaft(SINGLE_NUMBERS, revolutions, converged, drive_at(column), *column[:2])

    numbers = ARRAYS
    if len(distinct) > _FEW_POINTS:
        unknown, step, slope, converged = root_at(ARRAYS, [value.real for value in values])
    elif steps:
        roots = {column: root_at(SINGLE_NUMBERS, column) for column in distinct}
        by_point = zip(*(roots[column] for column in points), strict=True)
        unknown, step, slope, converged = (np.array(each).reshape(shape) for each in by_point)
        table, there = powertrain.propeller, unknown - np.where(converged, step, 0.0)
        numbers = linearised(table, _advance(table, values[0].real) / there, there)
    else:
        shafts = {column: shaft_at(column) for column in distinct}
        fields = np.array([shafts[column] for column in points]).real.T.reshape(-1, *shape)
        return ShaftPoint(*fields[:-2], *(fields[-2:] > 0.5))
    if steps:
        step = residual(numbers, powertrain, *conditions)(unknown) / slope
    revolutions = unknown - np.where(converged, step, 0.0)
    return _shaft(numbers, revolutions, converged, powertrain, values[0], conditions[1])
