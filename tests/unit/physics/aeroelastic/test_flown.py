"""The least stiffness that a wing needs for what it has flown, by hand on an invented wing."""

import numpy as np
import pytest

from tradestudy.physics.aeroelastic.flown import least_share


def critical(share):
    """Return the critical speed of an invented wing: 20 m/s without film, 40 m/s with all of it, by stiffness."""
    return 20.0 * np.sqrt(1.0 + 3.0 * share)  # stiffness 1 of foam and rods, 3 of film


@pytest.mark.parametrize(
    "flown, share",
    [
        (25.0, 0.4),  # (25 / 20)^2 = 1.5625 = 1 + 3 x 0.1875: less than the weakest that is assumed, which stays
        (35.0, 0.6875),  # (35 / 20)^2 = 3.0625 = 1 + 3 x 0.6875
        (40.0, 1.0),
        (50.0, 1.75),  # stiffer than the model says, since it has been flown
        (70.0, 3.75),  # (70 / 20)^2 = 12.25 = 1 + 3 x 3.75
        (90.0, 4.0),  # no film is four times as stiff: the flight is not what it seems, and no more is looked at
    ],
)
def test_share_by_hand(flown, share):
    found = least_share(critical, flown, 0.4)
    assert found == pytest.approx(share, abs=1e-4)
    assert flown > 80.0 or critical(found) >= flown  # rounded to the side on which it stands the flight


def test_a_faster_flight_never_asks_for_less():
    shares = [least_share(critical, flown, 0.4) for flown in np.linspace(5.0, 100.0, 40)]
    assert np.all(np.diff(shares) >= 0.0) and shares[0] == 0.4


def test_a_wing_without_a_critical_speed_tells_nothing():
    assert least_share(lambda share: np.inf, 60.0, 0.4) == 0.4
