"""A cautious never-exceed speed with its reason: the lowest of the computed critical speeds, each over its own factor.

It is a recommendation from estimates, never a clearance. What is not computed (elevon flutter, free play, a joint that
works loose) may occur at a lower speed. Fly up to it in steps.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

# Critical speed over never-exceed speed. CS-VLA 629: free from flutter, control reversal and divergence up to 1.2 times
# the dive speed (quoted). CS-VLA 1505: the never-exceed speed is at most 0.9 of the dive speed shown (from memory).
CRITICAL_MARGIN = 1.2 / 0.9  # [-]
_SERVO_MARGIN = 1.0  # no further margin, because the torque includes elevon_hinge.TORQUE_RESERVE [-]


class SpeedReason(NamedTuple):
    """A cause that limits the speed."""

    reason: str
    critical_speed: float  # computed critical speed, inf if there is none [m/s]
    margin: float  # critical speed over recommended speed [-]
    recommended_speed: float  # [m/s]


class NeverExceed(NamedTuple):
    """The recommended never-exceed speed, its reasons, and what was not computed."""

    speed: float  # recommended speed; nan if nothing was computed, inf if nothing limits it [m/s]
    reasons: tuple[SpeedReason, ...]  # lowest recommended speed first
    not_computed: tuple[str, ...]


def never_exceed(
    roll_control_speed: float | None = None,
    divergence_speed: float | None = None,
    flutter_low_speed: float | None = None,
    torque_speed: float | None = None,
) -> NeverExceed:
    """Return the NeverExceed recommendation. For sources of the factors see the top of the module.

    Parameters
    ----------
    roll_control_speed : float, optional
        Speed at which the elevons no longer roll the wing, with a weak film bond. [m/s]
    divergence_speed : float, optional
        Speed of divergence (twist-off), with a weak film bond. [m/s]
    flutter_low_speed : float, optional
        Low end of the flutter band. [m/s]
    torque_speed : float, optional
        Speed at which the servo, less its reserve, is just strong enough for the required elevon travel. [m/s]

    Notes
    -----
    None means that a speed is not known; it is then reported as not computed. inf means that it was computed and there
    is none. Raises ValueError if a speed is not above zero.

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
