"""Assumed limits on speed and current that are raised if the stock wing exceeds them at full throttle."""

from __future__ import annotations

import math
from dataclasses import replace

from tradestudy.physics.flight import trimmed_flight
from tradestudy.quantities import split_quantity, with_unit
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.study.schema.study import Study

from .calibration import calibrated_wing

_SPEED_IN_HAND = 1.05  # factor on top speed: with a better pack, a stretched wing may be slightly faster
_CURRENT_IN_HAND = 1.10  # factor on its full-throttle currents: they may be slightly greater too
NEVER_EXCEED, MOTOR_CURRENT = "fly.never_exceed_speed", "motor.maximum_current"
CONTROLLER_CURRENT, PACK_CURRENT = "controller.maximum_current", "pack.maximum_current"
# key of every value that may be raised -> its unit in the file
FULL_THROTTLE_DEFAULTS = {NEVER_EXCEED: "km/h", MOTOR_CURRENT: "A", CONTROLLER_CURRENT: "A", PACK_CURRENT: "A"}
_LOOK_UP = "what it draws at full throttle today and 10 % in hand: look up what its maker allows"


def with_full_throttle_defaults(study: Study) -> Study:
    """Return the study with a never-exceed speed and current limits that its stock wing keeps at full throttle.

    Only assumed values change, and they only rise: a wing that flies today must not be refused.
    """
    left_open = {used.key for used in study.defaults_used}
    assumed = left_open & {NEVER_EXCEED, MOTOR_CURRENT, CONTROLLER_CURRENT}
    if not assumed and "pack.cell" not in left_open:
        return study
    sweep = calibrated_wing(study).speed_sweep
    stall = sweep.stall().speed
    speed = _SPEED_IN_HAND * sweep.top_speed(1.02 * stall) / trimmed_flight.FULL_SPEED_SHARE
    full = sweep.full_throttle(0.0)
    drawn = float(full.shaft.motor_current[0])
    current = _CURRENT_IN_HAND * drawn
    if NEVER_EXCEED in assumed and speed > study.fly.never_exceed_speed:
        study = _with(
            study,
            "fly",
            "never_exceed_speed",
            speed,
            with_unit(speed, "km/h"),
            "1.2 times the stock wing's top speed and 5 % in hand",
        )
    for table, key in (each.split(".") for each in (MOTOR_CURRENT, CONTROLLER_CURRENT)):
        if f"{table}.{key}" in assumed and current > getattr(study, table).maximum_current:
            study = _with(
                study, table, key, current, f"{current:.0f} A", "what it draws at full throttle today and 10 % in hand"
            )
        if f"{table}.{key}" in assumed:
            study = _with_least(study, f"{table}.{key}", drawn)
    draw, cell = _CURRENT_IN_HAND * float(full.pack_current[0]), study.pack.cell_numbers
    usual = cell["maximum_current"] * study.pack.parallel
    if "pack.cell" in left_open and study.pack.maximum_current is None and draw > usual:
        looked_up = DefaultUsed(
            PACK_CURRENT,
            f"{draw:.0f} A",
            _LOOK_UP,
            moves="which propellers are allowed",
            place=("pack", "maximum_current"),
        )
        study = replace(
            study,
            pack=study.pack.model_copy(update={"maximum_current": draw}),
            defaults_used=(*study.defaults_used, looked_up),
        )
    return study


def _with(study: Study, table: str, key: str, value: float, shown: str, origin: str) -> Study:
    """Return the study with one assumed value replaced.

    Its entry in ``defaults_used`` states the new value and its origin.
    """
    share = value / getattr(getattr(study, table), key)  # the band is scaled with the value
    defaults = tuple(
        used._replace(value=shown, origin=origin, low=_times(used.low, share), high=_times(used.high, share))
        if used.key == f"{table}.{key}"
        else used
        for used in study.defaults_used
    )
    changed = getattr(study, table).model_copy(update={key: value})
    return replace(study, defaults_used=defaults, **{table: changed})


def _with_least(study: Study, key: str, amps: float) -> Study:
    """Return the study with the low end of an assumed current's band no lower than what flies today, in amperes."""
    least = math.ceil(10 * amps) / 10
    defaults = tuple(
        used._replace(low=f"{least:g} A")
        if used.key == key and used.low is not None and split_quantity(used.low)[0] < least
        else used
        for used in study.defaults_used
    )
    return replace(study, defaults_used=defaults)


def _times(written: str, share: float) -> str:
    """Return a value with its unit, multiplied by ``share`` and rounded to a whole number."""
    number, unit = split_quantity(written)
    return f"{number * share:.0f} {unit}"
