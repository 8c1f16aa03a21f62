"""A throw by hand: motion after release by integration, and the height at which the wing flies level.

A thrown wing is slower than its stall. It sinks until the motor has brought it up to speed.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY

from .trimmed_flight import LEVEL_CONDITIONS, FlightData

# Height that a throw must leave: a tip of 0.9 m that drops by 15 degrees (0.23 m), half a propeller (0.13 m) and grass
# (0.15 m). Judgement, no source. [m]
LEAST_HEIGHT_LEFT = 0.5
LAUNCH_OVER_STALL = 1.1  # least launch speed off a bungee, a dolly or wheels over the stall; common practice, no source
# Speed off a bungee: a mean pull of twice the weight along 5 m gives 14 m/s, 11 to 17; common practice, no source [m/s]
BUNGEE_SPEED = 14.0
THRUST_SPEED = 10.0  # m/s; thrust is known here and at rest, and runs straight through both
# Common practice, no source: 8 to 9 m/s at 1.6 kg, 7 to 8 at 2 kg, 6 to 7 at 2.5 kg. The curve through the middles is
# THROW_MOST / (1 + (mass / THROW_MASS)**THROW_POWER). That of a very light wing is judgement: an arm has its own mass.
THROW_MOST, THROW_MASS, THROW_POWER = 12.0, 2.75, 1.6  # [m/s], [kg], [-]
THROW_SPREAD = 0.5 / 7.5  # half the width of that practice over its middle [-]
HELD_LIFT = 0.9  # lift that the elevons hold over that at which the first strip stalls; judgement, no source [-]
# Angle of the thrust above the path while HELD_LIFT is held: a lift coefficient of 0.8 over 4.4 per radian, the lift
# slope of an aspect ratio of 5 (lifting line). Motors stand along the root chord. Typical; judgement [rad]
THRUST_ANGLE = 0.18
LEVELLING_TIME = 0.5  # s; a pilot brings a path level in this time, once there is lift for it; judgement, no source
_EASING = 0.1  # load factor over which lift is eased from what is held to what levels the path; judgement [-]
_SHARPNESS = 200.0  # of the greatest among shares of lift: three equal ones give 0.5 % too much [-]
_DURATION = 4.0  # s; by then a throw has come off or has failed
_STEPS_BEFORE, _STEPS_AFTER = 4, 24  # Runge-Kutta steps before and after the motor runs
_SLOWEST = LEVEL_CONDITIONS.index("slowest")


class LaunchData(NamedTuple):
    """Constants of a study for a throw by hand, in SI units."""

    speed: float | None  # airspeed at release [m/s]; None means that of a person who throws this mass
    height: float  # height of the hand above the ground at release [m]
    angle: float  # angle of the path at release, nose up positive [rad]
    delay: float  # time from release until the motor runs [s]


class Flyer(NamedTuple):
    """What moves a wing after a throw. Fields have the shape (...)."""

    mass: Any  # [kg]
    stall_speed: Any  # speed of level flight at which the first strip stalls [m/s]
    parasite_drag_area: Any  # drag without that due to lift, over dynamic pressure [m^2]
    lift_drag: Any  # drag due to lift x dynamic pressure in level flight [N^2/m^2]
    standing_thrust: Any  # thrust at rest [N]
    thrust_slope: Any  # change of thrust with airspeed [N s/m]


class FirstStall(NamedTuple):
    """The stall of a design in level flight."""

    first_stall_speed: Any  # speed at which the first strip stalls (...) [m/s]


class DesignLaunch(NamedTuple):
    """A design after a throw by hand. Fields have the shape (...)."""

    throw_speed: Any  # airspeed at release [m/s]
    launch_height_left: Any  # height above the ground after the throw, when the path is level [m]


def throw_speed(mass: Any) -> Any:
    """Return the airspeed (...) at which a person releases a wing of ``mass`` (...) [kg]. [m/s]

    Common practice, no source: a smooth curve through the middles of what people throw.

    Examples
    --------
    >>> [round(float(throw_speed(mass)), 1) for mass in (1.6, 2.0, 2.5)]
    [8.4, 7.5, 6.5]
    """
    return THROW_MOST / (1 + (mass / THROW_MASS) ** THROW_POWER)


def first_stall(slowest_speed: float, lift_coefficient: Any, stall_margin: Any) -> FirstStall:
    """Return the FirstStall of a design, by definition.

    Lift coefficients are taken to grow as speed squared falls. This holds near ``slowest_speed`` [m/s], the speed of
    the condition "slowest". ``lift_coefficient`` and ``stall_margin`` (..., n_level, n_strip) [-] are those of strips.
    """
    lift, margin = lift_coefficient[..., _SLOWEST, :], stall_margin[..., _SLOWEST, :]
    used = lift / (lift + margin)
    most = used.real.max(axis=-1)[..., None]
    # the greatest share, smoothly: too high by the logarithm of the number of equal shares over _SHARPNESS
    eased = most[..., 0] + np.log(np.exp(_SHARPNESS * (used - most)).sum(axis=-1)) / _SHARPNESS
    return FirstStall(slowest_speed * np.sqrt(eased))


def design_launch(
    data: LaunchData,
    flight: FlightData,
    all_up_mass: Any,
    drag_area: Any,
    induced_drag_area: Any,
    first_stall_speed: Any,
    launch_thrust: Any,
) -> DesignLaunch:
    """Return the DesignLaunch of a design. Sources are as for ``height_after``.

    Parameters
    ----------
    data : LaunchData
    flight : FlightData
    all_up_mass : (...) array
        [kg]
    drag_area, induced_drag_area : (..., n_level) arrays
        Total drag and drag due to lift over dynamic pressure in the level conditions. [m^2]
    first_stall_speed : (...) array
        Speed of level flight at which the first strip stalls. [m/s]
    launch_thrust : (..., 2) array
        Full thrust at rest and at THRUST_SPEED, with a full pack. [N]
    """
    speed = throw_speed(all_up_mass) if data.speed is None else data.speed + 0 * all_up_mass
    induced, pressure = induced_drag_area[..., _SLOWEST], 0.5 * flight.air_density * flight.slowest_speed**2
    flyer = Flyer(
        mass=all_up_mass,
        stall_speed=first_stall_speed,
        parasite_drag_area=drag_area[..., _SLOWEST] - induced,
        lift_drag=induced * pressure**2,
        standing_thrust=launch_thrust[..., 0],
        thrust_slope=(launch_thrust[..., 1] - launch_thrust[..., 0]) / THRUST_SPEED,
    )
    return DesignLaunch(speed, height_after(data, flyer, speed, flight.air_density))


def height_after(data: LaunchData, flyer: Flyer, speed: Any, air_density: float) -> Any:
    """Return the height (...) above the ground after a throw at ``speed`` (...) [m/s], when the path is level. [m]

    ``air_density`` is in [kg/m^3].

    Newton's law for a point mass in the vertical plane, by the classical Runge-Kutta method: W. Kutta, Z. Math. Phys.
    46 (1901). The number of steps is fixed, so slopes are exact. The elevons hold HELD_LIFT of the lift at which the
    first strip stalls, until that is enough to fly level. Thrust acts along the root chord, above the path by
    the angle of attack, which is proportional to the lift coefficient. The ground is ignored: a failed throw ends below
    it.
    """
    motion = [speed * np.cos(data.angle), speed * np.sin(data.angle), data.height + 0 * speed]
    for duration, steps, on in ((data.delay, _STEPS_BEFORE, False), (_DURATION - data.delay, _STEPS_AFTER, True)):
        step = duration / steps
        for _ in range(steps if duration > 0 else 0):
            motion = _runge_kutta(flyer, air_density, motion, step, on)
    return motion[2]


def acceleration(flyer: Flyer, air_density: float, forward: Any, upward: Any, motor_on: bool) -> tuple[Any, Any]:
    """Return the acceleration (...), forward and upward, at two components of airspeed (...) [m/s]. [m/s^2]

    ``air_density`` is in [kg/m^3], and thrust acts if ``motor_on`` is set. Newton's law as in ``height_after``.
    """
    squared = forward * forward + upward * upward
    speed = np.sqrt(squared)
    weight, pressure = flyer.mass * GRAVITY, 0.5 * air_density * squared
    cosine, sine = forward / speed, upward / speed
    held = HELD_LIFT * squared / flyer.stall_speed**2
    levelling = cosine - upward / (GRAVITY * LEVELLING_TIME)
    load_factor = 0.5 * (held + levelling - np.sqrt((held - levelling) ** 2 + _EASING**2))  # the lower one, smoothly
    drag = pressure * flyer.parasite_drag_area + flyer.lift_drag * load_factor**2 / pressure
    thrust = flyer.standing_thrust + flyer.thrust_slope * speed if motor_on else 0.0
    tilt = THRUST_ANGLE * load_factor / held
    along = (thrust * np.cos(tilt) - drag) / flyer.mass
    across = (thrust * np.sin(tilt) + load_factor * weight) / flyer.mass
    return along * cosine - across * sine, along * sine + across * cosine - GRAVITY


def _runge_kutta(flyer: Flyer, air_density: float, motion: list[Any], step: float, motor_on: bool) -> list[Any]:
    """Return forward speed, upward speed and height after one step [s]."""
    slopes: list[list[Any]] = []
    for share in (0.0, 0.5, 0.5, 1.0):
        at = (
            [value + share * step * slope for value, slope in zip(motion, slopes[-1], strict=True)] if share else motion
        )
        slopes.append([*acceleration(flyer, air_density, at[0], at[1], motor_on), at[1]])
    return [
        value + step / 6 * (first + 2 * (second + third) + last)
        for value, first, second, third, last in zip(motion, *slopes, strict=True)
    ]
