"""The airspeed at which roll control has gone, with a share of it that falls as a straight line."""

from types import SimpleNamespace

import numpy as np
import pytest
from helpers.wings.wings import outline

from tradestudy.physics.aeroelastic import divergence_reversal
from tradestudy.physics.flight import control
from tradestudy.physics.geometry.mesh import half_wing_mesh


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


def test_an_elevon_is_described_at_its_middle():
    """Check a hinge from 0.24 m behind the nose at the root to 0.36 m at the tip, 1 m out, and chords by hand."""
    wing = outline([0, 1.0], [0, 0.2], [0.3, 0.2], elevon_chord=[0.06, 0.04], elevon=(0.1, 0.9))
    mesh = half_wing_mesh(wing)
    found = control.hinged_elevon(wing, mesh, np.ones(mesh.n_wing))
    assert (found.chord, found.share, found.sweep) == pytest.approx((0.05, 0.2, np.arctan(0.12)))
    # the chord squared from 58 to 42 mm over 0.8 m; strips that are covered count with their width
    assert found.squared == pytest.approx(0.8 * (0.058**2 + 0.058 * 0.042 + 0.042**2) / 3)
    assert found.strip_shares == pytest.approx(mesh.width[: mesh.n_wing] / mesh.width[: mesh.n_wing].sum())


def test_moments_of_elevons_that_are_the_whole_wing():
    """Check a flat section whose elevon begins at the nose: lift 2 pi a at the quarter chord, so -pi/2 a about it.

    The elevon lies at zero in level flight, and a mean lift of 0.2 pi is an incidence of a tenth. With 0.3 to
    either side the angles are -0.2 and 0.4. A lift slope of 2 pi for the flap raises the incidence by 0.05 for a
    deflection of -0.05. Only two thirds of the elevon lie on the strip that lifts.
    """
    chord, share, sweep, squared = map(np.array, (0.1, 1 - 1e-12, 0.0, 2.0))
    elevon = control.HingedElevon(chord, share, sweep, squared, np.array([2 / 3, 1 / 3]))
    section = SimpleNamespace(lift_coefficient=0.0, moment_coefficient=0.0)
    data = SimpleNamespace(camber=section, elevon_effectiveness=1.0)
    lift, pressure = np.array([0.3 * np.pi, 0.0]), np.array(10.0)
    level = control.full_elevon_moments(data, 0.3, elevon, lift, np.array(0.0), pressure)
    assert level == pytest.approx(10.0 * 2.0 * -np.pi / 2 * np.array([-0.2, 0.4]), rel=1e-5)
    up = control.full_elevon_moments(data, 0.3, elevon, lift, np.array(-0.05), pressure)
    assert up == pytest.approx(10.0 * 2.0 * -np.pi / 2 * np.array([-0.15, 0.45]), rel=1e-5)


def test_a_wing_without_control_at_the_first_speed_has_that_speed(monkeypatch):
    none = SimpleNamespace(roll_effectiveness=np.full(99, 0.1))
    monkeypatch.setattr(divergence_reversal, "elastic_effects", lambda *given: none)
    found = control.roll_control_speed(SimpleNamespace(air_density=1.2), None, None)
    assert found == pytest.approx(0.02 * divergence_reversal.HIGHEST_SPEED)
