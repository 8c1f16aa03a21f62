"""One wing in the air of today, with the pack of today.

The calibration is that of the study. Only the air and the cells change, so the same chain gives the numbers of `cruise`
where today is as the study says.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import brentq

from tradestudy.aircraft.anchor.trim_calibration import with_moment_and_losses
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.power_data import propeller_of
from tradestudy.physics import air
from tradestudy.physics.flight.built_wing import BuiltFactors
from tradestudy.physics.propulsion import cold_and_age, drive_train
from tradestudy.quantities import in_unit
from tradestudy.study.schema.study import Study

_MOST_RESERVE = 0.95  # largest reserve of a pack that cold leaves next to nothing [-]


@dataclass(frozen=True)
class PackToday:
    """A pack beside the one of the study: its charge and resistance over those of that pack, new and as warm. [-]

    ``charge_spread`` and ``resistance_spread`` are standard deviations of their logarithms.
    """

    name: str = ""
    charge: float = 1.0
    resistance: float = 1.0
    charge_spread: float = 0.0
    resistance_spread: float = 0.0
    source: str = "as that of the study"
    is_guess: bool = True  # whether no reading tells its charge and resistance


def old_pack(study: Study) -> PackToday:
    """Return an old pack of the study's cells, where no flight tells: at the end of its life, 80 % of the charge left.

    Common practice, no source: 80 % and twice the resistance, as `cold_and_age.age_factor`. One standard deviation is
    7 % of the charge and 30 % of the resistance.
    """
    left, health = cold_and_age.WORN_OUT, study.pack.health
    return PackToday(
        name="old",
        charge=left / health,
        resistance=cold_and_age.age_factor(left) / cold_and_age.age_factor(health),
        charge_spread=0.07,
        resistance_spread=0.3,
        source=f"taken as worn out, {in_unit(left, '%'):.0f} % of its charge and twice its resistance: "
        "common practice, no source",
    )


@dataclass(frozen=True)
class Today:
    """The conditions of one day, SI. A temperature of None is that of the study, for the air and for the pack."""

    wind: float
    temperature: float | None = None  # of the air and of the pack [K]
    pack: PackToday = PackToday()


def resistance_today(design: EvaluatedDesign, today: Today, activation: float | None = None) -> float:
    """Return the resistance of the cells of today over that in the study. [-]

    ``activation`` [K] is that of `cold_and_age.cold_factor`, or None for its middle.
    """
    if today.temperature is None:
        return today.pack.resistance
    given = () if activation is None else (activation,)
    cold, usual = (
        cold_and_age.cold_factor(kelvin, *given) for kelvin in (today.temperature, design.study.pack.temperature)
    )
    return today.pack.resistance * cold / usual


def wing_today(
    design: EvaluatedDesign,
    today: Today,
    factors: Mapping[str, float] | None = None,
    *,
    charge: float = 1.0,
    activation: float | None = None,
    resistance: float = 1.0,
) -> EvaluatedDesign:
    """Return one wing in the air of today with the pack of today. Its card has the wind of today alone.

    ``factors`` are those of [fitted] that flights gave: on drag, on drag due to lift, and on the drive. ``charge`` and
    ``resistance`` multiply those of the pack, and ``activation`` [K] replaces that of the cold, to look at ends of
    bands.
    """
    study = replace(design.study, card=design.study.card.model_copy(update={"winds": (today.wind,)}))
    data, known = design.data, dict(factors or {})
    if known:
        losses = BuiltFactors(*(known.get(name, 1.0) for name in ("drag", "induced", "drive_power")))
        data = with_moment_and_losses(data, 0.0, losses)
    train, flight, density = data.power.powertrain, data.flight, data.power.air_density
    if today.temperature is not None:
        fly = study.fly.model_copy(update={"temperature": today.temperature})
        study = replace(study, fly=fly)
        density = float(air.density(fly.altitude, fly.temperature))
        viscosity = float(air.kinematic_viscosity(fly.altitude, fly.temperature))
        flight = flight._replace(air_density=density, kinematic_viscosity=viscosity)
        train = train._replace(propeller=propeller_of(study, design.choice.propeller))
    cells, motor = train.pack, train.motor
    train = train._replace(
        propeller_power=train.propeller_power * known.get("propeller_power", 1.0),
        motor=motor._replace(resistance_factor=motor.resistance_factor * known.get("motor_resistance", 1.0)),
        pack=cells._replace(
            cell_capacity=cells.cell_capacity * charge * today.pack.charge * known.get("pack_capacity", 1.0),
            cell_resistance=cells.cell_resistance
            * resistance
            * resistance_today(design, today, activation)
            * known.get("pack_resistance", 1.0),
        ),
    )
    data = replace(
        data,
        level=data.level._replace(flight=flight),
        power=data.power._replace(powertrain=train, air_density=density),
    )
    made = EvaluatedDesign(study, data, design.choice, design.variables)
    unusable = charge_out_of_reach(made) - charge_out_of_reach(design)
    if unusable <= 0.0:
        return made
    power = made.data.power
    power = power._replace(reserve=min(float(power.reserve) + unusable, _MOST_RESERVE))
    return EvaluatedDesign(study, replace(made.data, power=power), made.choice, made.variables)


def charge_out_of_reach(design: EvaluatedDesign) -> float:
    """Return the state of charge at which the cells reach their least voltage in cruise. [-]

    What lies below it is no reserve: the controller may stop the motor there.
    """
    return charge_at_least_voltage(design, design.shaft_at(design.cruise_speed))


def charge_at_least_voltage(design: EvaluatedDesign, shaft: drive_train.ShaftPoint | None) -> float:
    """Return the state of charge at which a load brings the cells to their least voltage, by root search. [-]

    ``shaft`` is a steady flight (1,); None means full throttle at cruise speed. The result is zero where even an empty
    pack holds that voltage, and 1 where a full one does not.
    """
    train, other = design.powertrain, design.data.power.avionics_power
    least = least_voltage(design)

    def above(charge: float) -> float:
        at = np.array([charge])
        if shaft is None:
            point = design.full_throttle(design.cruise_speed, at)
        else:
            point = drive_train.operating_point(train, shaft, at, other)
        return float(np.asarray(point.pack_voltage).ravel()[0]) - least

    if above(0.0) >= 0:
        return 0.0
    if above(1.0) <= 0:
        return 1.0
    return float(brentq(above, 0.0, 1.0, xtol=1e-5))


def least_voltage(design: EvaluatedDesign) -> float:
    """Return the least voltage of the pack under load, by the cell's maker or the study's cut-off. [V]"""
    return float(design.study.pack.cell_numbers["minimum_voltage"]) * float(design.powertrain.pack.series)
