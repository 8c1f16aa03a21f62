"""What flights have measured of the stock wing: the power that it draws in cruise, whatever the inputs are.

Factors that were fitted to flights belong to the inputs of that fit: the mass of the motor, the power of the equipment.
With another value of one of them, the same logs would give other factors. So an input may not move the power that was
measured. `held_to_drain` gives the drive the factor with which the stock wing draws the same power again.
Without it, an input counts twice: in the band of the factors and by itself.
"""

from __future__ import annotations

from dataclasses import replace

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.model_data import ModelData
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.study.schema.study import Study

from .fitted_inputs import flights_fitted


def measured_drain(study: Study, stock: SpeedSweep, choice: Choice, speed: float) -> float | None:
    """Return the power that the stock wing draws at a speed [m/s], if flights were fitted, else None. [W]

    It is None for a design with another motor, whose drive was not measured.
    """
    return _drain(stock, speed) if flights_fitted(study) and not choice.motor else None


def held_to_drain(data: ModelData, stock: SpeedSweep, drain: float, speed: float) -> ModelData:
    """Return the data of a design with a drive in proportion to one with which the stock wing draws ``drain`` [W].

    ``stock`` is the stock wing with the same inputs, and ``speed`` its speed in cruise [m/s]. What the equipment draws
    is part of the measured power. If it draws all of that, the data stay as they are.
    """
    equipment = float(stock.data.power.avionics_power)
    drive = _drain(stock, speed) - equipment
    left = drain - equipment
    if left <= 0 or drive <= 0:
        return data
    train = data.power.powertrain
    train = train._replace(drive_power_factor=train.drive_power_factor * left / drive)
    return replace(data, power=data.power._replace(powertrain=train))


def _drain(stock: SpeedSweep, speed: float) -> float:
    """Return the mean power at the pack's connector in cruise. [W]"""
    return float(stock.power_at(speed).energy_per_metre[0]) * speed
