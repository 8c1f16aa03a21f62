"""The stock wing, or a built wing, with factors on parts of its model, for comparison with measurements.

Lattice, polars and structure are computed once, and each factor scales its own part. The same factors in a study's
table [fitted] give the same numbers with the full model. Tests check this.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from tradestudy.aircraft.anchor.calibration import calibrated_data, calibrated_wing
from tradestudy.aircraft.anchor.wing_on_bench import WingOnBench
from tradestudy.aircraft.model import materials
from tradestudy.aircraft.model.choices import Choice, study_with_choice
from tradestudy.aircraft.model.drag_list import total_with_band
from tradestudy.aircraft.model.model_data import drag_items
from tradestudy.aircraft.model.speed_sweep import SpeedSweep, best_speed
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.endurance import cruise_range
from tradestudy.physics.flight import layout
from tradestudy.physics.propulsion import drive_train, motor, pack
from tradestudy.physics.structure import wing_parts
from tradestudy.physics.weights import mass
from tradestudy.study.schema.fitted import FACTOR_NAMES, fitted_table
from tradestudy.study.schema.study import Study

_HALF_CHARGE = 0.6  # state of charge whose resting voltage is used if no voltage was read
SPEED_RATIOS = np.linspace(0.8, 1.3, 26)  # speeds at which range is evaluated, over the nominal best speed
_CURVE_RATIOS = np.linspace(0.7, 2.3, 33)  # speeds of the drag curves, over the best speed
ONES = dict.fromkeys(FACTOR_NAMES, 1.0)

Factors = Mapping[str, Any]  # name -> factor, a number or an array of many


class AirDrag(NamedTuple):
    """Drag at speeds (n,), SI, split into parts with separate factors."""

    speed: np.ndarray
    pressure: np.ndarray
    section: np.ndarray  # drag area of section and fins [m^2]
    induced: np.ndarray  # drag area due to lift [m^2]
    listed: float  # drag area of listed parts [m^2]
    motor_off: float  # additional drag area with the motor off [m^2]

    def drag(self, factors: Factors, motor_on: bool = True) -> np.ndarray:
        """Return the drag (n,) [N] with factors applied."""
        listed = self.listed + (0.0 if motor_on else self.motor_off)
        return self.pressure * (factors["drag"] * self.section + factors["induced"] * self.induced + listed)


class FitWing:
    """The stock wing of a study with every factor free.

    All fitted factors in its ``study`` are 1, so it has the losses of [built].
    """

    def __init__(self, study: Study):
        self.study = replace(study, fitted=fitted_table({}))
        self.calibrated = calibrated_wing(self.study)
        self._set_wing(self.calibrated.speed_sweep)

    def _set_wing(self, sweep: SpeedSweep, weight: float | None = None) -> None:
        """Set the numbers of one wing. ``weight`` [N] is the one on the scale; None is that of the model."""
        self.speed_sweep, self.choice, self.variables = sweep, sweep.choice, sweep.variables
        self.data, self.train = sweep.data, sweep.powertrain
        self.density = self.data.power.air_density
        modelled = float(sweep.shape.all_up_mass) * GRAVITY
        self.weight = weight or modelled
        self.over_modelled = self.weight / modelled
        self.off = total_with_band(one for one in drag_items(self.study) if one.in_glide_only)[0]
        self.avionics = float(self.data.power.avionics_power)

    def of_design(self, choice: Choice, variables: dict[str, float], mass: float | None = None) -> FitWing:
        """Return a wing of another design with the calibration of this stock wing. ``variables`` are SI.

        ``mass`` [kg] is the one on the scale; None is that of the model.
        """
        flight = self.data.flight
        data = calibrated_data(self.study, self.calibrated, choice, flight.slowest_speed, flight.control_speed)
        made = FitWing.__new__(FitWing)
        made.study, made.calibrated = study_with_choice(self.study, choice), self.calibrated
        made._set_wing(SpeedSweep(data, choice, variables), GRAVITY * mass if mass else None)
        return made

    # --- air and power ----------------------------------------------------------------------------------------

    def air(self, speed: Any, load_factor: Any = 1.0) -> AirDrag:
        """Return the drag at speeds (n,) [m/s] and load factors (n,) [-], split into parts."""
        speed = np.atleast_1d(np.asarray(speed, float))
        state = self.speed_sweep.level(speed, load_factor=load_factor * self.over_modelled)
        listed = self.data.level.parts_drag_area
        smooth = state.profile + state.other - listed
        return AirDrag(speed, state.dynamic_pressure, smooth, state.induced, listed, self.off)

    @cached_property
    def air_curves(self) -> tuple[AirDrag, CubicSpline]:
        """The drag at speeds around the best speed, and a spline through its parts, pressure first."""
        air = self.air(self.best_cruise_speed * _CURVE_RATIOS)
        return air, CubicSpline(air.speed, np.stack([air.pressure, air.section, air.induced], axis=-1))

    def drag_at(self, factors: Factors, speed: Any) -> Any:
        """Return the drag (...) [N] at speeds (...) [m/s], by splines, with factors (...) applied.

        It is made for many calls. Complex speeds and factors are allowed, for slopes.
        """
        air, curves = self.air_curves
        parts = curves(np.real(speed))
        if np.iscomplexobj(speed):
            parts = parts + 1j * np.imag(speed)[..., None] * curves(np.real(speed), 1)
        pressure, section, induced = np.moveaxis(parts, -1, 0)
        return pressure * (factors["drag"] * section + factors["induced"] * induced + air.listed)

    @cached_property
    def best_cruise_speed(self) -> float:
        """The best speed for range, at factors of 1. [m/s]"""
        return best_speed(self.speed_sweep)

    def powertrain(self, factors: Factors) -> drive_train.Powertrain:
        """Return the powertrain, from propeller to cells, with factors applied."""
        train = self.train
        own, cells = train.motor, train.pack
        return train._replace(
            drive_power_factor=train.drive_power_factor * factors["drive_power"],
            propeller_power=factors["propeller_power"],
            motor=own._replace(resistance_factor=own.resistance_factor * factors["motor_resistance"]),
            pack=cells._replace(
                cell_capacity=cells.cell_capacity * factors["pack_capacity"],
                cell_resistance=cells.cell_resistance * factors["pack_resistance"],
            ),
        )

    def amps(self, factors: Factors, speed: Any, thrust: Any, volts: Any = None) -> np.ndarray:
        """Return the pack's current (n,) [A] at speeds [m/s], thrusts [N] and voltages under load [V] (n,)."""
        train = self.powertrain(factors)
        shaft = drive_train.shaft_demand(train, speed, np.maximum(thrust, 0.0), self.density)
        return (self.electric(train, shaft, self.volts(volts)) + self.avionics) / self.volts(volts)

    def volts(self, volts: Any = None) -> Any:
        """Return the voltage as read, or else the usual voltage of the pack. [V]"""
        usual = pack.open_circuit_voltage(self.train.pack, _HALF_CHARGE)
        return usual if volts is None else np.where(np.isfinite(volts), volts, usual)

    @staticmethod
    def electric(train: drive_train.Powertrain, shaft: drive_train.ShaftPoint, volts: Any) -> np.ndarray:
        """Return the electric power into the controller (n,) at pack voltages (n,). [W]"""
        loss = motor.controller_loss(train.controller, shaft.motor_voltage, shaft.motor_current, volts)
        return train.drive_power_factor * (shaft.motor_voltage * shaft.motor_current + loss)

    def sink(self, factors: Factors, air: AirDrag, acceleration: Any = 0.0) -> np.ndarray:
        """Return the sinking speed (n,) of a glide with the motor off. [m/s]

        ``acceleration`` (n,) is along the flight path [m/s2].
        """
        return (air.drag(factors, motor_on=False) / self.weight + acceleration / GRAVITY) * air.speed

    def cruise(self, factors: Factors, air: AirDrag, left: float | None = None) -> cruise_range.Cruise:
        """Return the cruise (n,) at the speeds of ``air``, from a full pack to the state of charge ``left``.

        If ``left`` is None, it is the study's reserve.
        """
        train = self.powertrain(factors)
        shaft = drive_train.shaft_demand(train, air.speed, air.drag(factors), self.density)
        return cruise_range.steady_cruise(
            train, shaft, self.data.power.reserve if left is None else left, self.avionics
        )

    @cached_property
    def best_air(self) -> AirDrag:
        """The drag at speeds around the nominal best speed."""
        return self.air(self.best_cruise_speed * SPEED_RATIOS)

    def range_of(self, factors: Factors) -> float:
        """Return the longest range of the stock wing in still air with these factors, at its best speed. [m]"""
        ranges = self.cruise(factors, self.best_air).range
        top = int(np.clip(ranges.argmax(), 1, len(ranges) - 2))
        before, peak, after = ranges[top - 1 : top + 2]
        curvature = before - 2 * peak + after
        return float(peak - (after - before) ** 2 / (8 * curvature)) if curvature < 0 else float(ranges.max())

    # --- motor on the bench -----------------------------------------------------------------------------------

    def standing(self, factors: Factors, driver: str, value: float, volts: float | None = None) -> dict[str, float]:
        """Return the readings "amps" [A], "rpm" [rad/s], "thrust" [N] and "bus" [V] of a motor on the bench.

        Its propeller turns in still air.

        ``driver`` names the reading that is set to ``value``. "bus" is throttle times voltage.
        """
        train, pack_volts = self.powertrain(factors), float(self.volts(volts))

        def readings(speed: float) -> dict[str, float]:
            shaft = drive_train.shaft_at_revolutions(train, np.asarray(speed), np.asarray(0.0), self.density)
            return {
                "rpm": speed,
                "thrust": float(shaft.thrust),
                "amps": float(self.electric(train, shaft, pack_volts)) / pack_volts,
                "bus": float(shaft.motor_voltage + shaft.motor_current * train.controller.resistance),
            }

        if driver == "rpm":
            return readings(value)
        fast = float(self.train.motor.speed_constant.real) * max(pack_volts, 1.0) * 3.0
        if readings(fast)[driver] < value:
            return readings(fast)
        slow = 1.0
        if readings(slow)[driver] > value:
            return readings(slow)
        return readings(brentq(lambda speed: readings(speed)[driver] - value, slow, fast, rtol=1e-10))

    # --- weights and load test --------------------------------------------------------------------------------

    @cached_property
    def masses(self) -> dict[str, float]:
        """The masses of foam before bays are cut, of covering and elevons at factors of 1. [kg]"""
        laid, zero = self.data.layout, np.zeros(())
        wing = layout.wing_outline(laid, zero, zero + laid.stock.sweep, zero + laid.stock.washout)
        return {name: float(lump.mass) for name, lump in mass.bare_wing(wing, laid.materials).lumps.items()}

    def bench(self, factors: Factors) -> WingOnBench:
        """Return the half wing for load tests, with factors applied."""
        made = replace(
            self.study, fitted=fitted_table({name: factors[name] for name in ("foam_stiffness", "film_bond")})
        )
        stuff = self.data.strength._replace(
            foam=wing_parts.foam_from_catalogue(materials.foam(made)),
            covering=wing_parts.covering_from_catalogue(materials.covering(made), materials.bond(made)),
        )
        return WingOnBench(stuff, self.choice, self.variables)

    @cached_property
    def plain_bench(self) -> WingOnBench:
        """The half wing for load tests, with factors of 1."""
        return self.bench(ONES)
