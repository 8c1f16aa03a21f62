"""Masses of fins as they load a wing, by hand."""

from types import SimpleNamespace

import numpy as np
import pytest

from tradestudy.physics.flight import strength
from tradestudy.physics.structure import wing_beam
from tradestudy.physics.weights.mass import Lump


def finned(*fins):
    """Return a wing with fins, each with its place, the mass of one side and the break on which it stands."""
    feet = [SimpleNamespace(stands_on=foot) for _, _, foot in fins]
    return SimpleNamespace(fins=feet, fin_lumps=[Lump(2 * mass, 2 * mass * place) for place, mass, _ in fins])


def test_deflection_of_the_tip_is_told_over_the_stretched_half_span(monkeypatch):
    beam = SimpleNamespace(greatest_utilisation=0.5, failure_load_factor=6.0, tip_deflection=np.array([[0.07, 0.14]]))
    monkeypatch.setattr(wing_beam, "loaded_beam", lambda *given: beam)
    data = SimpleNamespace(layout=SimpleNamespace(stock=SimpleNamespace(semi_span=0.6)))
    half = SimpleNamespace(beam=None, masses=None, strip_y=None)
    forces = SimpleNamespace(lift=None, load_factor=None, moment=None)
    found = strength.design_structure(data, half, np.array([0.1]), forces)
    assert found.deflection_share == pytest.approx(np.array([[0.1, 0.2]]))


def test_fins_on_a_tip_are_one_mass_at_their_centre():
    inboard = (0.40, 0.05, 1)
    assert strength._tip_mass(finned((0.60, 0.02, -1), (0.75, 0.01, -1), inboard)) == pytest.approx((0.03, 0.65))
    assert strength._tip_mass(finned(inboard)) == (0.0, 0.0)
