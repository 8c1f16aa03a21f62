"""Dihedral effect of flat wings in sideslip, against the same wings turned in yaw.

It is recomputed here by another method. The outline is turned by the sideslip angle and cut into strips along the wind,
from one tip's corner to the other's. It is solved as one wing of uniform angle of attack. Wakes are along the wind.
This method includes what `physics.lateral` neglects: the wake blown aside, and tips that become leading or trailing
edges.

So the difference is the error of that model. It is about 9 % for taper 0.5 and 17 to 20 % for untapered wings. For
unswept wings it is very small, 2 % of the lift coefficient times a radian. The tolerances are those figures, rounded
up.
"""

import numpy as np
import pytest
from helpers.references.lateral_answers import sideways
from helpers.wings.wings import tapered

from tradestudy.physics.aero.horseshoe import influence

PANELS = 8
PER_PIECE = (8, 40)  # strips on the small pieces at the corners and on the long pieces


def turned_wing_roll(wing, sideslip):
    """Return the rolling moment over lift times span of a flat wing in a wind from the right. [-]

    It is positive with the right wing down.
    """
    turn = np.array([[np.cos(sideslip), -np.sin(sideslip)], [np.sin(sideslip), np.cos(sideslip)]])
    (front, tip_front), semi = wing.leading_edge, wing.semi_span
    back, tip_back = wing.leading_edge + wing.chord
    corners = (
        np.array([[tip_front, -semi], [front, 0], [tip_front, semi], [tip_back, semi], [back, 0], [tip_back, -semi]])
        @ turn.T
    )

    def ends(y):
        """Return where lines along the wind enter and leave the outline, with shape (n, 2)."""
        crossings = np.full((len(corners), len(y)), np.nan)
        for index, (first, second) in enumerate(zip(corners, np.roll(corners, -1, axis=0), strict=True)):
            share = (y - first[1]) / (second[1] - first[1])
            met = (share > -1e-9) & (share < 1 + 1e-9)
            crossings[index, met] = first[0] + share[met] * (second[0] - first[0])
        return np.stack([np.nanmin(crossings, axis=0), np.nanmax(crossings, axis=0)], axis=-1)

    breaks = np.unique(np.round(corners[:, 1], 12))
    edge, middle = [], []
    for left, right in zip(breaks[:-1], breaks[1:], strict=True):
        count = PER_PIECE[int(right - left > 0.3 * semi)]
        edge.extend(left + (right - left) * 0.5 * (1 - np.cos(np.pi * np.arange(count) / count)))
        middle.extend(left + (right - left) * 0.5 * (1 - np.cos(np.pi * (np.arange(count) + 0.5) / count)))
    edge, middle = np.append(edge, breaks[-1]), np.array(middle)

    def points(y, fraction):
        enter, leave = ends(y).T[..., None]
        x = enter + (leave - enter) * (np.arange(PANELS) + fraction) / PANELS
        return np.stack([x, y[:, None] + 0 * x, 0 * x], axis=-1).reshape(-1, 3)

    control, corner, bound = points(middle, 0.75), points(edge, 0.25), points(middle, 0.25)
    up = np.tile([0.0, 0.0, 1.0], (len(control), 1))
    matrix = influence(control, up, corner, slice(None, -PANELS), slice(PANELS, None))
    lift = np.linalg.solve(matrix, -np.ones(len(control))) * (corner[PANELS:] - corner[:-PANELS])[:, 1]
    sideways_place = (bound[:, :2] @ turn)[:, 1]
    return -(lift @ sideways_place) / lift.sum() / (2 * semi)


def both(aspect_ratio, taper, sweep, lift=0.5, sideslip=0.1):
    wing = tapered(aspect_ratio, taper, sweep)
    # the moment is an odd function of sideslip; 0.05, 0.1 and 0.2 rad give the same slope within 1 %
    return sideways(wing, lift).derivatives.roll_sideslip, turned_wing_roll(wing, sideslip) / sideslip * lift


@pytest.mark.parametrize(
    ("wing", "short"),
    [
        ((6, 0.5, 15), 0.12),
        ((6, 0.5, 25), 0.12),
        ((6, 0.5, 30), 0.12),
        ((8, 0.5, 25), 0.12),
        ((5, 0.4, 25), 0.12),
        ((6, 1.0, 25), 0.22),
        ((5, 1.0, 45), 0.22),
    ],
)
def test_swept_wing(wing, short):
    ours, turned = both(*wing)
    assert 1 - short < ours / turned < 1.02  # at most slightly above the turned wing


@pytest.mark.parametrize("taper", [0.5, 1.0])
def test_unswept_wing(taper):
    ours, turned = both(6, taper, 0)
    assert ours == pytest.approx(turned, abs=0.02 * 0.5)


def test_turned_wing_knows_no_side():
    wing = tapered(6, 0.5, 25)
    assert turned_wing_roll(wing, -0.1) == pytest.approx(-turned_wing_roll(wing, 0.1), rel=1e-6)
