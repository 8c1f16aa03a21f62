"""Motor, controller, propeller and pack of a study as input records of the physics."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.aircraft.kept_tables import kept_tables
from tradestudy.aircraft.shape import stock_shape
from tradestudy.catalogue import catalogue_part
from tradestudy.errors import CatalogueError
from tradestudy.physics import air
from tradestudy.physics.flight import built_wing, power, trimmed_flight
from tradestudy.physics.propulsion import drive_train, motor, motor_bench, pack, propeller_blade, propeller_table
from tradestudy.study.fault_lines import contradiction
from tradestudy.study.referenced_files.propeller_csv import BLADE_COLUMNS, TABLE_COLUMNS, csv_columns
from tradestudy.study.schema.key_types import propeller_lengths
from tradestudy.study.schema.study import Study

_TWO_BLADES = 2  # number of blades if the study gives none


def power_data(study: Study, flight: trimmed_flight.FlightData, propeller: str) -> power.PowerData:
    """Return the data of the power stage for one propeller."""
    train = drive_train.Powertrain(
        propeller_of(study, propeller),
        motor_with_test(study).motor,
        _controller(study),
        pack_of(study),
        built_factors(study).drive_power,
        study.controller.throttle_cap,
        study.fitted.propeller_power if study.fitted else 1.0,
    )
    return power.PowerData(
        train,
        flight.air_density,
        flight.never_exceed_speed * trimmed_flight.FULL_SPEED_SHARE,
        study.fly.reserve,
        sum(thing.power for thing in study.equipment),
        study.fly.wind,
        study.fly.full_throttle_share,
    )


def built_factors(study: Study) -> built_wing.BuiltFactors:
    """Return what the wing loses as built: the factors of [built], times those that measurements fitted."""
    fitted = study.fitted
    if fitted is None:
        return study.built.factors
    return built_wing.combined(
        study.built.factors, built_wing.BuiltFactors(fitted.drag, fitted.induced, fitted.drive_power)
    )


def _controller(study: Study) -> motor.Controller:
    """Return the controller of a study."""
    return motor.Controller(
        resistance=study.controller.resistance, part_throttle_loss=study.controller.part_throttle_loss
    )


def pack_of(study: Study) -> pack.Pack:
    """Return the stock wing's pack, with fitted factors on its cells."""
    cell, fitted = study.pack.cell_numbers, study.fitted
    charge, ohms = (fitted.pack_capacity, fitted.pack_resistance) if fitted else (1.0, 1.0)
    return pack.Pack(
        pack.CELL_CURVES[cell["chemistry"]],
        float(study.pack.series),
        float(study.pack.parallel),
        charge * cell["capacity"],
        ohms * cell["resistance"],
    )


def motor_of(study: Study) -> motor.Motor:
    """Return the motor from the study's values, its class in the catalogue, and its winding temperature."""
    own = study.motor
    motor_class = catalogue_part("motor_classes", own.size)
    return motor.motor_from_class(
        motor.MotorClass(*(motor_class[field] for field in motor.MotorClass._fields)),
        own.speed_constant,
        own.mass,
        own.resistance,
        own.no_load_current,
        resistance_factor=motor.warm_factor(own.winding_temperature),
        no_load_rise=own.no_load_rise,
        no_load_voltage=own.no_load_voltage or motor.NO_LOAD_VOLTAGE,
    )


class MotorWithTest(NamedTuple):
    """The motor with its resistance in flight, and its bench test, which is None without a test."""

    motor: motor.Motor
    test: motor_bench.LoadedMotor | None


def motor_with_test(study: Study) -> MotorWithTest:
    """Return the motor of a study. Its resistance comes from the bench test, if any, times its fitted factor."""
    tested = _motor_with_test(study)
    if study.fitted is None:
        return tested
    ohms = tested.motor.resistance_factor * study.fitted.motor_resistance
    return tested._replace(motor=tested.motor._replace(resistance_factor=ohms))


def _motor_with_test(study: Study) -> MotorWithTest:
    motor_of_class, test = motor_of(study), study.motor_test
    if test is None:
        return MotorWithTest(motor_of_class, None)
    reading = motor_bench.BenchReading(test.throttle, test.voltage, test.current, test.rpm)
    density = float(air.density(study.fly.altitude, study.fly.temperature))
    loaded = motor_bench.motor_from_reading(
        motor_of_class,
        _controller(study),
        propeller_of(study, test.propeller or study.propeller.size),
        pack_of(study),
        density,
        reading,
    )
    if loaded.resistance <= 0:
        rpm, free = loaded.revolutions * 30 / np.pi, loaded.revolutions / motor_of_class.speed_constant
        raise contradiction(
            study,
            ("motor_test",),
            f"says that {loaded.voltage:.2f} V across the motor turn it at {rpm:.0f} rpm; by "
            f"motor.speed_constant that takes {free:.2f} V without any load. Look at that constant and the readings.",
        )
    return MotorWithTest(
        motor_of_class._replace(resistance_factor=loaded.resistance / motor_of_class.resistance), loaded
    )


def propeller_of(study: Study, size: str) -> propeller_table.PropellerTable:
    """Return the propeller's curves, from measured rows or a measured blade if the study has them for this size.

    Otherwise they come from the generic blade.
    """
    own = study.propeller
    diameter, pitch = propeller_lengths(size)
    if own.table is not None and size == own.size:
        return _measured_propeller(study, own.table, diameter)
    viscosity = round(float(air.kinematic_viscosity(study.fly.altitude, study.fly.temperature)), 9)
    blades = own.blades or _TWO_BLADES
    if own.blade is None or size != own.size:
        return _generic_propeller(diameter, pitch, viscosity, blades)
    columns = _columns(study, "blade", own.blade, BLADE_COLUMNS)
    outline = propeller_blade.CLARK_Y
    if own.blade_section is not None:
        outline = stock_shape.outline_of_name(study, "propeller.blade_section", own.blade_section)
    shape = columns["r/R"], columns["c/R"], np.radians(columns["beta"])
    blade = propeller_blade.measured_blade(diameter, *shape, blades)
    polars = _blade_polars(np.ascontiguousarray(outline, float).tobytes(), len(outline))
    return propeller_blade.table_from_blade(blade, propeller_blade.blade_pitch(blade), polars, viscosity)


def propeller_band(study: Study) -> propeller_blade.PropellerBand | None:
    """Return the scatter band of the propeller's model, or None if its coefficients were measured."""
    if study.propeller.table is not None:
        return None
    return propeller_blade.LABEL_BAND if study.propeller.blade is None else propeller_blade.BLADE_BAND


@kept_tables(64)
def _generic_propeller(diameter: float, pitch: float, viscosity: float, blades: int) -> propeller_table.PropellerTable:
    outline = propeller_blade.CLARK_Y
    return propeller_blade.table_from_label(
        diameter, pitch, _blade_polars(outline.tobytes(), len(outline)), blades, kinematic_viscosity=viscosity
    )


@kept_tables(4)
def _blade_polars(outline: bytes, count: int) -> propeller_blade.SectionPolars:
    return propeller_blade.section_polars(np.frombuffer(outline).reshape(count, 2))


def _measured_propeller(study: Study, name: str, diameter: float) -> propeller_table.PropellerTable:
    columns = _columns(study, "table", name, TABLE_COLUMNS)
    turns = columns["rpm"] * 2 * np.pi / 60 if "rpm" in columns else None
    try:
        return propeller_table.table_from_rows(diameter, columns["J"], columns["CT"], columns["CP"], turns)
    except CatalogueError as error:
        raise contradiction(study, ("propeller", "table"), f'names "{name}": {error}') from error


def _columns(study: Study, key: str, name: str, required: tuple[str, ...]) -> dict[str, np.ndarray]:
    """Return the columns of a CSV file next to the study as arrays (n_row,)."""
    try:
        columns = csv_columns(study.file_path(name), required, ("rpm",))
        return {head: np.array(values) for head, values in columns.items()}
    except ValueError as error:  # the file was changed after the study was read
        raise CatalogueError(f"propeller.{key} {name}: {error}") from error
