"""What a builder must know of the drive: rpm, heat, which rating goes first, what is missing, how sure it is."""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.aircraft.model.power_data import motor_of, motor_with_test, propeller_band
from tradestudy.aircraft.model.speed_sweep import SpeedCard, SpeedSweep
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.propulsion import drive_train
from tradestudy.physics.propulsion import motor as motors
from tradestudy.quantities import at_edge, from_edge, from_si, in_unit
from tradestudy.study.schema.study import Study

TIP_RULE = 145_000.0  # rpm x inch that stiff electric propellers bear; common practice, no source
FAR_OUTSIDE = 0.15  # of rpm beyond the rows of a table, from where on it is told
HOT_WINDING = 393.15  # K; enamel and magnets of cheap motors; common practice, no source
STANDING, LOW, FAST = range(3)  # the cases of `full_throttle`
CAPS = np.linspace(0.3, 1.0, 29)  # of throttle, at which ratings are looked at


def full_throttle(flown: SpeedSweep, card: SpeedCard) -> drive_train.OperatingPoint:
    """Return the drive at full throttle or its cap, (3,): STANDING, standing with a LOW pack, at top speed (FAST)."""
    data = flown.data.power
    speed, charge = np.array([0.0, 0.0, card.top_speed]), np.array([1.0, data.reserve, 1.0])
    return drive_train.full_throttle(flown.powertrain, speed, data.air_density, charge, data.avionics_power)


def rating_shares(study: Study, flown: SpeedSweep, point: drive_train.OperatingPoint) -> dict[str, np.ndarray]:
    """Return current over rating of each part (...) that has one. [-]"""
    motor_current, pack_current = np.real(point.shaft.motor_current), np.real(point.pack_current)
    cells = study.pack.cell_numbers["maximum_current"] * flown.choice.parallel
    found = {
        "motor": motor_current / study.motor.maximum_current,
        "controller": motor_current / study.controller.maximum_current,
        "cells": pack_current / cells,
    }
    if study.pack.connector_current is not None:
        found["connector"] = pack_current / study.pack.connector_current
    return found


def first_rating(study: Study, flown: SpeedSweep, charge: float) -> tuple[str, float, float]:
    """Return which rating goes first standing, how much of it full throttle takes, and the throttle that just keeps it.

    The last is 1 or the study's cap where no rating is passed. [-]
    """
    data, cap = flown.data.power, study.controller.throttle_cap
    caps = cap * CAPS
    train = flown.powertrain._replace(throttle_cap=caps)
    point = drive_train.full_throttle(train, np.zeros(len(caps)), data.air_density, charge, data.avionics_power)
    shares = rating_shares(study, flown, point)
    name = max(shares, key=lambda each: shares[each][-1])
    share = shares[name]
    return name, float(share[-1]), float(np.interp(1.0, share, caps)) if share[-1] > 1 else cap


def drive_numbers(study: Study, flown: SpeedSweep, card: SpeedCard, speed: float) -> dict[str, Any]:
    """Return what `DesignNumbers` tells of the drive, at cruise ``speed`` [m/s] and flat out."""
    cruise, full = flown.shaft_at(speed), full_throttle(flown, card)
    motor, air = flown.powertrain.motor, study.fly.temperature
    # of copper at the temperature that the study's resistance is for
    warm = motor._replace(
        resistance_factor=motors.RESISTANCE_FACTOR if study.motor_test is None else motor.resistance_factor
    )
    heat = [
        float(motors.winding_temperature(warm, study.motor.mass, np.real(current), np.real(turning), air))
        for current, turning in (
            (cruise.motor_current[0], cruise.revolutions[0]),
            (full.shaft.motor_current[FAST], full.shaft.revolutions[FAST]),
        )
    ]
    name, _, kept = first_rating(study, flown, 1.0)
    cruise_heat, full_heat = (each if np.isfinite(each) else None for each in heat)
    return at_edge(
        static_thrust_g=float(full.shaft.thrust[STANDING]) / GRAVITY,
        cruise_rpm=np.real(cruise.revolutions[0]),
        full_throttle_rpm=np.real(full.shaft.revolutions.max()),
        low_pack_current_a=float(full.pack_current[LOW]),
        motor_cruise_c=cruise_heat,
        motor_full_throttle_c=full_heat,
        first_rating=name,
        throttle_within_ratings_pct=kept,
    )


def drive_flags(study: Study, flown: SpeedSweep, card: SpeedCard, speed: float) -> list[str]:
    """Return one sentence for each thing about the drive of a design that a builder must know."""
    full = full_throttle(flown, card)
    return [
        *_missing_thrust(study, flown, speed),
        *_turning(study, flown, full, speed),
        *_ratings(study, flown),
        *_heat(study, flown, card, speed),
    ]


def _missing_thrust(study: Study, flown: SpeedSweep, speed: float) -> list[str]:
    """Say at which speed thrust does not suffice, and how much is missing."""
    data = flown.data.power
    asked = [(speed, 1.0, "on a full pack"), (speed, data.reserve, "with the pack at its reserve")]
    speeds, charges = np.array([one[0] for one in asked]), np.array([one[1] for one in asked])
    full = drive_train.full_throttle(flown.powertrain, speeds, data.air_density, charges, data.avionics_power)
    drag = flown.drag(speeds)
    cap = study.controller.throttle_cap
    throttle = "full throttle" if cap >= 1 else f"its largest throttle ({in_unit(cap, '%'):.0f} %)"
    for (fast, _, when), thrust, need in zip(asked, full.shaft.thrust, drag, strict=True):
        if thrust < need:
            return [
                f"{throttle} {when} does not carry it at {in_unit(fast, 'km/h'):.0f} km/h: "
                f"{float(thrust):.1f} N of thrust for {float(need):.1f} N of drag, "
                f"{float(need - thrust):.1f} N are missing"
            ]
    return []


def _turning(study: Study, flown: SpeedSweep, full: drive_train.OperatingPoint, speed: float) -> list[str]:
    """Say where the propeller turns faster than it bears, or leaves what is known of it."""
    found, propeller, limit = [], flown.powertrain.propeller, study.propeller.maximum_rpm
    inches = from_si(propeller.diameter, "in", "length")
    fastest = rpm_of(full.shaft.revolutions.max())
    allowed = TIP_RULE / inches if limit is None else rpm_of(limit)
    if fastest > allowed:
        whose = "its maker allows" if limit else f"a stiff propeller of {inches:.3g} in bears, by common practice,"
        found.append(f"the propeller turns {fastest:.0f} rpm at full throttle; {whose} {allowed:.0f}: it may burst")
    shaft = flown.shaft_at(speed)
    if study.propeller.table is None or flown.choice.propeller != study.propeller.size:
        if shaft.outside_data.any():
            found.append("the propeller works outside its modelled range at cruise")
        return found
    slow, fast = map(rpm_of, propeller.revolutions_range)
    first, last = propeller.advance_ratio_range
    known = "thrust and power there are carried on, not measured"
    for words, turning, ratio in (
        ("in cruise", shaft.revolutions[0], shaft.advance_ratio[0]),
        *(
            (words, full.shaft.revolutions[k], full.shaft.advance_ratio[k])
            for words, k in (("standing at full throttle", STANDING), ("at top speed", FAST))
        ),
    ):
        rpm, ratio = rpm_of(turning), float(np.real(ratio))
        if rpm > (1 + FAR_OUTSIDE) * fast or rpm < (1 - FAR_OUTSIDE) * slow:
            found.append(f"{words} the propeller turns {rpm:.0f} rpm, measured is {slow:.0f} to {fast:.0f}: {known}")
        if not first - 1e-9 <= ratio <= last:
            found.append(
                f"{words} the propeller works at J = {ratio:.2f}, measured is {first:.2f} to {last:.2f}: {known}"
            )
    return found


def rpm_of(revolutions: Any) -> float:
    """Return the real part of a rotational speed [rad/s] in rpm."""
    return float(from_si(np.real(revolutions), "rpm", "rotation"))


def _ratings(study: Study, flown: SpeedSweep) -> list[str]:
    """Say which rating full throttle passes first, and the throttle that keeps it; on a full and on a low pack."""
    data = flown.data.power
    name, share, kept = first_rating(study, flown, 1.0)
    if share <= 1:
        return []
    low_name, low_share, _ = first_rating(study, flown, data.reserve)
    share, kept, low_share = (in_unit(each, "%") for each in (share, kept, low_share))
    low = (
        f"{low_share:.0f} % with the pack at its reserve"
        if low_name == name
        else f"with the pack at its reserve the {low_name} at {low_share:.0f} %"
    )
    return [
        f"standing at full throttle the {name} goes first: {share:.0f} % of its rated current on a full "
        f"pack, {low}. A throttle cap of {kept:.0f} % (controller.throttle_cap) keeps it"
    ]


def _heat(study: Study, flown: SpeedSweep, card: SpeedCard, speed: float) -> list[str]:
    numbers = drive_numbers(study, flown, card, speed)
    found = []
    for words, key in (("cruise", "motor_cruise_c"), ("full throttle at top speed", "motor_full_throttle_c")):
        degrees, rough = numbers[key], "(estimate, good to a factor of two in the rise)"
        if degrees is None:
            found.append(f"held for minutes, {words} would burn the motor: it warms faster than it cools {rough}")
        elif from_edge(key, degrees) > HOT_WINDING:
            found.append(
                f"held for minutes, {words} brings the motor's copper to about {degrees:.0f} C {rough}: "
                "short bursts only"
            )
    return found


def drive_scatter(study: Study) -> list[str]:
    """Return how far the models of propeller and motor scatter, one line each."""
    lines, band = [], propeller_band(study)
    if band is not None:
        what = "is a typical blade of its label" if study.propeller.blade is None else "is its blade as measured"
        lines.append(
            f"the propeller {what}: shaft power {in_unit(band.power_bias, '%'):+.0f} % off on average and "
            f"{in_unit(band.power, '%'):.0f} % scattered, rpm {in_unit(band.rotation, '%'):.0f} %, static thrust "
            f"{in_unit(band.static_thrust, '%'):.0f} % (one standard deviation)"
        )
    motor, test = motor_with_test(study)
    plain = motor_of(study)
    if test is None:
        lines.append(
            f"the motor's resistance is taken {plain.resistance_factor:.2f} times the catalogue's "
            f"({from_si(plain.resistance, 'mohm', 'resistance'):.0f} mohm): cold windings are quoted, loaded ones "
            "show 2 to 3 times that on a measured example. "
            "One reading of volts, amps and rpm at full throttle in [motor_test] settles it"
        )
    else:
        # the volts that turn it over those lost in it: by so much more the resistance moves than rpm/V does
        times = test.revolutions / motor.speed_constant / (test.current * test.resistance)
        lines.append(
            f"the motor's resistance is {from_si(test.resistance, 'mohm', 'resistance'):.0f} mohm by its bench test, "
            f"{motor.resistance_factor:.2f} times the catalogue's; a per cent of rpm/V moves that by {times:.0f} %"
        )
    return lines
