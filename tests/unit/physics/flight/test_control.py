"""The airspeed at which roll control has gone, with a share of it that falls as a straight line."""

from types import SimpleNamespace

import numpy as np
import pytest

from tradestudy.physics.aeroelastic import divergence_reversal
from tradestudy.physics.flight import control


@pytest.mark.parametrize("at", [0.023, 0.024, 0.5, 0.9, 1.2])
def test_roll_control_ends_where_its_share_does(monkeypatch, at):
    """Check the first steps of the speeds that are tried, the middle, and a wing that never loses its control."""
    highest = divergence_reversal.HIGHEST_SPEED
    slope = (1 - control.LEAST_CONTROL_SHARE) / (at * highest)

    def effects(air, compliance, pressure):
        return SimpleNamespace(roll_effectiveness=1 - slope * np.sqrt(2 * pressure / air))

    monkeypatch.setattr(divergence_reversal, "elastic_effects", effects)
    found = control.roll_control_speed(SimpleNamespace(air_density=1.2), 1.2, None)
    assert found == pytest.approx(min(at, 1.0) * highest, rel=1e-9)


def test_a_wing_without_control_at_the_first_speed_has_that_speed(monkeypatch):
    none = SimpleNamespace(roll_effectiveness=np.full(99, 0.1))
    monkeypatch.setattr(divergence_reversal, "elastic_effects", lambda *given: none)
    found = control.roll_control_speed(SimpleNamespace(air_density=1.2), None, None)
    assert found == pytest.approx(0.02 * divergence_reversal.HIGHEST_SPEED)
