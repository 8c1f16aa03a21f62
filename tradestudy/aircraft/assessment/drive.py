"""The drive of one design: rpm, temperature, first exceeded current rating, missing thrust, scatter of the models."""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.power_data import motor_of, motor_with_test, propeller_band
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.propulsion import drive_train
from tradestudy.physics.propulsion import motor as motors
from tradestudy.quantities import at_edge, from_edge, from_si, in_unit
from tradestudy.study.schema.study import Study

_TIP_RULE = 145_000.0  # largest rpm times diameter [inch] of stiff electric propellers; common practice, no source
_FAR_OUTSIDE = 0.15  # share by which rpm may lie outside a propeller table without a flag
_HOT_WINDING = 393.15  # K; limit of the enamel and magnets of cheap motors; common practice, no source
_STANDING, _LOW, _FAST = range(3)  # indices of the points of `_full_throttle_points`
_BURST = 10.0  # s; shortest full throttle that a pilot counts on: judgement, no source
_CAPS = np.linspace(0.3, 1.0, 29)  # shares of the throttle cap at which ratings are checked


def _full_throttle_points(design: EvaluatedDesign) -> drive_train.OperatingPoint:
    """Return the drive at full throttle, or at its cap, in three states (3,).

    They are: at rest, at rest with a low pack, at top speed.
    """
    speed, charge = np.array([0.0, 0.0, design.speed_card.top_speed]), np.array([1.0, design.data.power.reserve, 1.0])
    return design.full_throttle(speed, charge)


def rating_shares(design: EvaluatedDesign, point: drive_train.OperatingPoint) -> dict[str, np.ndarray]:
    """Return current over rating for each part that has a rating. [-] Values have the shape of ``point``."""
    motor_current, pack_current = np.real(point.shaft.motor_current), np.real(point.pack_current)
    study = design.study
    shares = {
        "motor": motor_current / study.motor.maximum_current,
        "controller": motor_current / study.controller.maximum_current,
        "cells": pack_current / (study.pack.cell_numbers["maximum_current"] * design.choice.parallel),
    }
    if study.pack.connector_current is not None:
        shares["connector"] = pack_current / study.pack.connector_current
    return shares


def first_rating(design: EvaluatedDesign, charge: float) -> tuple[str, float, float]:
    """Return the rating most loaded by full throttle at rest, the share used, and the throttle that just keeps it. [-]

    If no rating is exceeded, the throttle is the study's cap. ``charge`` is the state of charge [-].
    """
    data, cap = design.data.power, design.study.controller.throttle_cap
    caps = cap * _CAPS
    train = design.powertrain._replace(throttle_cap=caps)
    point = drive_train.full_throttle(train, np.zeros(len(caps)), data.air_density, charge, data.avionics_power)
    shares = rating_shares(design, point)
    name = max(shares, key=lambda each: shares[each][-1])
    share = shares[name]
    return name, float(share[-1]), float(np.interp(1.0, share, caps)) if share[-1] > 1 else cap


def drive_numbers(design: EvaluatedDesign) -> dict[str, Any]:
    """Return the fields of `DesignNumbers` on the drive, in cruise and at full throttle."""
    cruise, full = design.shaft_at(design.cruise_speed), _full_throttle_points(design)
    heat = [
        _winding(design, float(np.real(point.motor_current[index])), float(np.real(point.revolutions[index])))
        for point, index in ((cruise, 0), (full.shaft, _FAST))
    ]
    name, _, kept = first_rating(design, 1.0)
    cruise_heat, full_heat = (each if np.isfinite(each) else None for each in heat)
    return at_edge(
        static_thrust_g=float(full.shaft.thrust[_STANDING]) / GRAVITY,
        cruise_rpm=np.real(cruise.revolutions[0]),
        full_throttle_rpm=np.real(full.shaft.revolutions.max()),
        low_pack_current_a=float(full.pack_current[_LOW]),
        motor_cruise_c=cruise_heat,
        motor_full_throttle_c=full_heat,
        first_rating=name,
        throttle_within_ratings_pct=kept,
    )


def _warm_motor(design: EvaluatedDesign) -> motors.Motor:
    """Return the motor with the resistance of a winding at the reference temperature, unless it was tested."""
    motor = design.powertrain.motor
    tested = design.study.motor_test is not None
    return motor if tested else motor._replace(resistance_factor=motors.WARM_RESISTANCE)


def _winding(design: EvaluatedDesign, current: float, revolutions: float) -> float:
    """Return the steady temperature of the winding at a current [A] and a rotational speed [rad/s]. [K]"""
    study = design.study
    return float(
        motors.winding_temperature(
            _warm_motor(design), study.motor.mass, np.float64(current), revolutions, study.fly.temperature
        )
    )


def drive_flags(design: EvaluatedDesign) -> list[str]:
    """Return one sentence for each thing about the drive of a design that a builder must know."""
    return [*_missing_thrust(design), *_turning(design), *_ratings(design), *_heat(design)]


def _missing_thrust(design: EvaluatedDesign) -> list[str]:
    """Return a sentence if thrust is too small for cruise, with the missing force."""
    charges = np.array([1.0, design.data.power.reserve])
    thrusts = design.full_throttle(np.full(2, design.cruise_speed), charges).shaft.thrust
    drag = design.drag(design.cruise_speed)[0]
    cap = design.study.controller.throttle_cap
    throttle = "full throttle" if cap >= 1 else f"its largest throttle ({in_unit(cap, '%'):.0f} %)"
    for when, thrust in zip(("on a full pack", "with the pack at its reserve"), thrusts, strict=True):
        if thrust < drag:
            return [
                f"{throttle} {when} does not carry it at {in_unit(design.cruise_speed, 'km/h'):.0f} km/h: "
                f"{float(thrust):.1f} N of thrust for {float(drag):.1f} N of drag, "
                f"{float(drag - thrust):.1f} N are missing"
            ]
    return []


def _turning(design: EvaluatedDesign) -> list[str]:
    """Return a sentence if the propeller turns faster than allowed, or outside the rpm of its data."""
    full = _full_throttle_points(design)
    flags, propeller, limit = [], design.powertrain.propeller, design.study.propeller.maximum_rpm
    inches = from_si(propeller.diameter, "in", "length")
    fastest = _rpm(full.shaft.revolutions.max())
    allowed = _TIP_RULE / inches if limit is None else _rpm(limit)
    if fastest > allowed:
        whose = "its maker allows" if limit else f"a stiff propeller of {inches:.3g} in bears, by common practice,"
        flags.append(f"the propeller turns {fastest:.0f} rpm at full throttle; {whose} {allowed:.0f}: it may burst")
    shaft = design.shaft_at(design.cruise_speed)
    if design.study.propeller.table is None or design.choice.propeller != design.study.propeller.size:
        if shaft.outside_data.any():
            flags.append("the propeller works outside its modelled range at cruise")
        return flags
    slow, fast = map(_rpm, propeller.revolutions_range)
    first, last = propeller.advance_ratio_range
    known = "thrust and power there are extrapolated, not measured"
    for words, point, index in (
        ("in cruise", shaft, 0),
        ("standing at full throttle", full.shaft, _STANDING),
        ("at top speed", full.shaft, _FAST),
    ):
        rpm, ratio = _rpm(point.revolutions[index]), float(np.real(point.advance_ratio[index]))
        if rpm > (1 + _FAR_OUTSIDE) * fast or rpm < (1 - _FAR_OUTSIDE) * slow:
            flags.append(f"{words} the propeller turns {rpm:.0f} rpm, measured is {slow:.0f} to {fast:.0f}: {known}")
        if not first - 1e-9 <= ratio <= last:
            flags.append(
                f"{words} the propeller works at J = {ratio:.2f}, measured is {first:.2f} to {last:.2f}: {known}"
            )
    return flags


def _rpm(revolutions: Any) -> float:
    """Return the real part of a rotational speed [rad/s], converted to rpm."""
    return float(from_si(np.real(revolutions), "rpm", "rotation"))


def _ratings(design: EvaluatedDesign) -> list[str]:
    """Return sentences on the rating that full throttle exceeds first, and the throttle that keeps it.

    Both a full and a low pack are checked.
    """
    name, share, kept = first_rating(design, 1.0)
    if share <= 1:
        return []
    low_name, low_share, _ = first_rating(design, design.data.power.reserve)
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


def _heat(design: EvaluatedDesign) -> list[str]:
    """Return a sentence if the motor becomes hot, in proportion to how long full throttle is used.

    What a wing has flown does not bound this: a motor that lived through bursts may burn in a minute.
    """
    numbers, rough = drive_numbers(design), "(estimate, good to a factor of two in the rise)"
    cruise, full = design.shaft_at(design.cruise_speed), _full_throttle_points(design).shaft
    warm, hot = numbers["motor_cruise_c"], numbers["motor_full_throttle_c"]
    if warm is None or from_edge("motor_cruise_c", warm) > _HOT_WINDING:
        degrees = "burns the motor" if warm is None else f"brings the motor's copper to about {warm:.0f} C"
        return [f"if it lasts minutes, cruise {degrees} {rough}: a larger motor, or a smaller propeller"]
    if hot is not None and from_edge("motor_full_throttle_c", hot) <= _HOT_WINDING:
        return []
    share = design.study.fly.full_throttle_share
    current, turning = (
        [float(np.real(point)) for point in (getattr(cruise, name)[0], getattr(full, name)[_FAST])]
        for name in ("motor_current", "revolutions")
    )
    usual = _winding(
        design,
        float(np.sqrt((1 - share) * current[0] ** 2 + share * current[1] ** 2)),
        (1 - share) * turning[0] + share * turning[1],
    )
    seconds = motors.warming_time(
        _warm_motor(design),
        design.study.motor.mass,
        current[1],
        turning[1],
        design.study.fly.temperature,
        from_edge("motor_cruise_c", warm),
        _HOT_WINDING,
    )
    limit, percent = at_edge(motor_full_throttle_c=_HOT_WINDING)["motor_full_throttle_c"], in_unit(share, "%")
    remedy = _cool_throttle(design)
    if usual <= _HOT_WINDING and seconds >= _BURST:
        normal = at_edge(motor_full_throttle_c=usual)["motor_full_throttle_c"]
        return [
            f"full throttle at top speed may last about {seconds:.0f} s, then the motor's copper is at {limit:.0f} C "
            f"{rough}; with {percent:.0f} % of full throttle it stays near {normal:.0f} C{remedy}"
        ]
    return [
        f"full throttle at top speed brings the motor's copper to {limit:.0f} C within about {seconds:.0f} s {rough}: "
        f"too soon for the {percent:.0f} % of full throttle that it is flown with{remedy}"
    ]


def _cool_throttle(design: EvaluatedDesign) -> str:
    """Return the largest throttle that may last at top speed, in words, or an empty text if none is cool enough."""
    data, caps = design.data.power, design.study.controller.throttle_cap * _CAPS
    train = design.powertrain._replace(throttle_cap=caps)
    speed = np.full(len(caps), design.speed_card.top_speed)
    shaft = drive_train.full_throttle(train, speed, data.air_density, 1.0, data.avionics_power).shaft
    heat = [
        _winding(design, current, turning)
        for current, turning in zip(np.real(shaft.motor_current), np.real(shaft.revolutions), strict=True)
    ]
    cool = caps[np.array(heat) <= _HOT_WINDING]
    if not len(cool):
        return ""
    return f". A throttle cap of {in_unit(float(cool.max()), '%'):.0f} % (controller.throttle_cap) may last"


def drive_scatter(study: Study) -> list[str]:
    """Return one line each on the scatter of the propeller and motor models."""
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
            f"({from_si(plain.resistance, 'mohm', 'resistance'):.0f} mohm), as of a warm winding: loaded ones show "
            "2 to 3 times that on a measured example, so thrust and rpm at full throttle may be less. "
            "One reading of volts, amps and rpm at full throttle in [motor_test] settles it"
        )
    else:
        # back voltage over resistive voltage: it is also relative change of resistance over that of rpm/V
        times = test.revolutions / motor.speed_constant / (test.current * test.resistance)
        lines.append(
            f"the motor's resistance is {from_si(test.resistance, 'mohm', 'resistance'):.0f} mohm by its bench test, "
            f"{motor.resistance_factor:.2f} times the catalogue's; a per cent of rpm/V moves that by {times:.0f} %"
        )
    return lines
