"""A cautious never-exceed speed: the least of the computed speeds, each over its own factor, with its reason.

A recommendation from estimates, never a clearance: what is not computed (elevon flutter, free play, a joint that works
loose) may come first. Work up to it in steps.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

# CS-VLA 629: free from flutter, control reversal and divergence up to 1.2 V_D (quoted); CS-VLA 1505: the never-exceed
# speed is at most 0.9 of the dive speed shown (from memory). So the critical speed over the never-exceed speed:
CRITICAL_MARGIN = 1.2 / 0.9  # [-]
_SERVO_MARGIN = 1.0  # the reserve is in the torque already, see elevon_hinge.TORQUE_RESERVE [-]


class SpeedReason(NamedTuple):
    """One cause that bounds the speed."""

    reason: str
    critical_speed: float  # inf where it was computed and there is none [m/s]
    margin: float  # critical over recommended speed [-]
    recommended_speed: float  # [m/s]


class NeverExceed(NamedTuple):
    """The speed to stay below, its reasons, and what was not computed."""

    speed: float  # nan where nothing was computed, inf where nothing bounds it [m/s]
    reasons: tuple[SpeedReason, ...]  # the least first
    not_computed: tuple[str, ...]


def never_exceed(
    roll_control_speed: float | None = None,
    divergence_speed: float | None = None,
    flutter_low_speed: float | None = None,
    torque_speed: float | None = None,
) -> NeverExceed:
    """Return the NeverExceed recommendation; sources of the factors at the top of the module.

    Parameters
    ----------
    roll_control_speed : float, optional
        At which the elevons no longer roll the wing, weak film bond. [m/s]
    divergence_speed : float, optional
        Twist-off, weak film bond. [m/s]
    flutter_low_speed : float, optional
        Low end of the band. [m/s]
    torque_speed : float, optional
        At which the servo with its reserve just maintains the required elevon travel. [m/s]

    Notes
    -----
    None: not known, and reported as such; inf: computed, there is none. Raises ValueError on a speed not above zero.

    Examples
    --------
    >>> advice = never_exceed(roll_control_speed=40.0, torque_speed=35.0)
    >>> round(advice.speed, 1), advice.reasons[0].reason, advice.not_computed[0]
    (30.0, 'roll control lost', 'twist-off')
    """
    known = (
        ("roll control lost", roll_control_speed, CRITICAL_MARGIN),
        ("twist-off", divergence_speed, CRITICAL_MARGIN),
        ("flutter, low end of its band", flutter_low_speed, CRITICAL_MARGIN),
        ("servo torque", torque_speed, _SERVO_MARGIN),
    )
    for name, speed, _ in known:
        if speed is not None and not speed > 0.0:
            raise ValueError(f"{name}: a critical speed is above zero, not {speed}")
    reasons = [
        SpeedReason(name, float(speed), margin, float(speed) / margin)
        for name, speed, margin in known
        if speed is not None
    ]
    reasons.sort(key=lambda reason: reason.recommended_speed)
    missing = [name for name, speed, _ in known if speed is None]
    return NeverExceed(
        speed=reasons[0].recommended_speed if reasons else np.nan,
        reasons=tuple(reasons),
        not_computed=(*missing, "flutter of the elevons", "free play"),
    )
