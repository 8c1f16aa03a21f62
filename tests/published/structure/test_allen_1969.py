"""Sandwich cantilever after H. G. Allen, Analysis and Design of Structural Sandwich Panels (1969).

The formulas for thin faces are from memory. They are checked here against a plane-stress finite-element solution of the
same beam, computed for this project. It has quadratic quadrilaterals, and three meshes give a tip deflection of 2.0341,
2.0342 and 2.0343 mm. The beam is 0.5 m long and 50 mm wide, with faces of 0.5 mm and 70 GPa. The core is 20 mm high,
with a modulus of 4 MPa and a Poisson's ratio of 0.25. The tip load is 5 N.
"""

import numpy as np
import pytest

from tradestudy.physics.structure.beam import beam_shape, beam_strips
from tradestudy.physics.structure.loads import wing_loads

LENGTH, WIDTH, FACE, CORE, LOAD = 0.5, 0.05, 0.0005, 0.020, 5.0
FACE_MODULUS, CORE_SHEAR = 70e9, 1.6e6
SPACING = CORE + FACE


def tip_deflections():
    """Return the tip deflection by the beam functions without and with core shear [m].

    The point load acts on a very narrow strip at the tip.
    """
    rigidity = FACE_MODULUS * WIDTH * FACE * SPACING**2 / 2
    # one over the shear stiffness S = G b h^2 / c: core modulus G, width b, spacing h, core thickness c
    compliance = CORE / (CORE_SHEAR * WIDTH * SPACING**2)
    edges = LENGTH * np.concatenate([np.linspace(0, 0.99999, 12), [1.0]])
    force = np.zeros((1, 12))
    force[0, -1] = LOAD
    nothing = np.zeros(12)
    loads = wing_loads(edges, 0 * edges, (1.0, 0.0), force, np.ones(1), nothing, nothing, nothing)
    rigidity, torsion = np.full(13, rigidity), np.ones(13)
    strips = beam_strips(edges, 0.0, rigidity, torsion)
    plain = beam_shape(strips, 0.0, *loads).deflection[0, -1]
    return plain, beam_shape(strips, np.full(13, compliance), *loads).deflection[0, -1]


def test_bending_and_core_shear_add():
    plain, whole = tip_deflections()
    # tolerance: five digits; the point load is spread over 1e-5 of the length
    assert 1e3 * plain == pytest.approx(0.5666, rel=2e-4)
    assert 1e3 * (whole - plain) == pytest.approx(1.4872, rel=2e-4)


def test_sum_against_plane_stress_elements():
    _, whole = tip_deflections()
    # tolerance 1 %: bending of the faces themselves, which the formulas neglect, stiffens the beam near the clamp
    assert 1e3 * whole == pytest.approx(2.0342, rel=1e-2)
    assert 1e3 * whole > 2.0342  # the formulas are on the safe side


def test_the_difference_is_the_faces_own_bending():
    plain, whole = tip_deflections()
    rigidity = FACE_MODULUS * WIDTH * FACE * SPACING**2 / 2
    own = 2 * FACE_MODULUS * WIDTH * FACE**3 / 12
    stiffness = CORE_SHEAR * WIDTH * SPACING**2 / CORE
    rate = np.sqrt(stiffness / own) * np.sqrt((rigidity + own) / rigidity)
    reduced = (whole - plain) * (rigidity / (rigidity + own)) ** 2
    reduced *= 1 - np.tanh(rate * LENGTH) / (rate * LENGTH)
    assert 1e3 * (plain * rigidity / (rigidity + own) + reduced) == pytest.approx(2.0335, rel=1e-3)
