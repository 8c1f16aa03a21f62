"""The advised maximum speed: the least of the known speeds, each over its factor, and effects not computed."""

import numpy as np
import pytest

from tradestudy.physics.aeroelastic.never_exceed import CRITICAL_MARGIN, never_exceed


def test_least_over_factors_with_reasons():
    result = never_exceed(roll_control_speed=60.0, divergence_speed=np.inf, flutter_low_speed=52.0, torque_speed=41.0)
    assert [reason.reason for reason in result.reasons] == [
        "flutter, low end of its band",
        "servo torque",
        "roll control lost",
        "twist-off",
    ]
    assert result.speed == pytest.approx(52.0 / (1.2 / 0.9), rel=1e-12)  # CS-VLA 629 and 1505
    assert result.reasons[1].recommended_speed == 41.0  # its reserve is in the torque
    assert result.reasons[3].recommended_speed == np.inf
    assert result.not_computed == ("flutter of the elevons", "free play")


def test_unknown_speeds_are_reported():
    result = never_exceed(flutter_low_speed=40.0)
    assert result.speed == 40.0 / CRITICAL_MARGIN
    assert result.not_computed == (
        "roll control lost",
        "twist-off",
        "servo torque",
        "flutter of the elevons",
        "free play",
    )
    assert np.isnan(never_exceed().speed)


@pytest.mark.parametrize("speed", [0.0, -3.0, np.nan])
def test_a_speed_that_is_none_is_refused(speed):
    with pytest.raises(ValueError, match=r"^twist-off: a critical speed is above zero, not (0\.0|-3\.0|nan)$"):
        never_exceed(divergence_speed=speed)
