"""Cantilever beams after S. Timoshenko, Strength of Materials, part I (3rd ed. 1955), and against finite elements.

The closed forms are from memory, and integrated again here. They are tip deflections of a beam of length L under an
even load w per length. Its stiffness EI falls from EI0 at the root to zero at the tip. If it falls linearly the
deflection is w L^4 / (6 EI0), and if it falls as a square w L^4 / (4 EI0).

In addition, the beam functions are compared with a finite-element library (scikit-fem, Hermite elements). This is along
the complete span of a tapered beam under an elliptic load.
"""

import numpy as np
import pytest
from scipy.integrate import quad
from skfem import Basis, BilinearForm, ElementLineHermite, LinearForm, MeshLine, condense, solve
from skfem.helpers import dd

from tradestudy.physics.structure.beam import beam_shape, beam_strips
from tradestudy.physics.structure.loads import wing_loads

LENGTH, RIGIDITY, LOAD = 0.75, 60.0, 20.0


def bent(edges, strip_force, rigidity):
    """Return the deflection at the stations of an unswept weightless half wing. [m]"""
    nothing, ones = np.zeros(edges.size - 1), np.ones_like(edges)
    loads = wing_loads(edges, 0 * edges, (1.0, 0.0), strip_force[None], np.ones(1), nothing, nothing, nothing)
    return beam_shape(beam_strips(edges, 0.0, rigidity, ones), 0.0, *loads).deflection[0]


@pytest.mark.parametrize("power, divisor", [(1, 6), (2, 4)])
def test_rigidity_that_falls_to_nothing_at_the_tip(power, divisor):
    errors = []
    for count in (40, 80):
        edges = LENGTH * (1 - (1 - np.linspace(0, 1, count + 1)) ** 2)  # strips are narrow where EI goes to zero
        rigidity = RIGIDITY * np.maximum(1 - edges / LENGTH, 1e-9) ** power
        tip = bent(edges, LOAD * np.diff(edges) / LENGTH, rigidity)[-1]
        errors.append(tip / (LOAD * LENGTH**3 / (divisor * RIGIDITY)) - 1)
    if power == 1:  # curvature is then linear along the span, and Simpson's rule is exact
        np.testing.assert_allclose(errors, 0.0, atol=1e-12)
    else:  # the error is of second order in the strips: 0.083 % with 40, a quarter of it with 80
        assert abs(errors[0]) < 1e-3
        assert errors[1] == pytest.approx(0.25 * errors[0], rel=0.02)


def test_even_beam_under_an_elliptic_load_to_six_digits():
    # tip deflection under the total load W: (pi/32 - 1/45) (4/pi) W L^3 / EI = 0.096706 W L^3 / EI
    edges = 0.5 * LENGTH * (1 - np.cos(np.linspace(0, np.pi, 121)))
    force = [
        quad(lambda y: np.sqrt(max(1 - y * y, 0.0)), a, b)[0] * 4 / np.pi * LOAD
        for a, b in zip(edges[:-1] / LENGTH, edges[1:] / LENGTH, strict=True)
    ]
    tip = bent(edges, np.array(force), np.full(121, RIGIDITY))[-1]
    assert (np.pi / 32 - 1 / 45) * 4 / np.pi == pytest.approx(0.096706, abs=5e-7)
    # tolerance: error of the strips, (pi/120)^2 / 6
    assert tip * RIGIDITY / (LOAD * LENGTH**3) == pytest.approx(0.096706, rel=2e-4)


@pytest.mark.parametrize("taper, power", [(1.0, 0), (0.4, 2), (0.5, 4)])
def test_whole_span_against_a_general_library(taper, power):
    peak = 4 * LOAD / (np.pi * LENGTH)

    def chord(y):
        return 1 - (1 - taper) * y / LENGTH

    @BilinearForm
    def stiffness(u, v, w):
        return RIGIDITY * chord(w.x[0]) ** power * dd(u)[0, 0] * dd(v)[0, 0]

    @LinearForm
    def load(v, w):
        return peak * np.sqrt(1 - (w.x[0] / LENGTH) ** 2) * v

    edges = 0.5 * LENGTH * (1 - np.cos(np.linspace(0, np.pi, 41)))
    basis = Basis(MeshLine(edges), ElementLineHermite(), intorder=12)
    held = basis.get_dofs(lambda x: np.isclose(x[0], 0.0))
    library = solve(*condense(stiffness.assemble(basis), load.assemble(basis), D=held))[basis.nodal_dofs[0]]
    force = np.array(
        [
            peak * LENGTH * quad(lambda y: np.sqrt(max(1 - y * y, 0.0)), a, b)[0]
            for a, b in zip(edges[:-1] / LENGTH, edges[1:] / LENGTH, strict=True)
        ]
    )
    ours = bent(edges, force, RIGIDITY * chord(edges) ** power)
    # tolerance: even load inside each of 40 strips, (pi/40)^2 / 6 = 0.1 %; twice that for the square taper
    np.testing.assert_allclose(ours, library, rtol=2e-3, atol=1e-3 * library[-1])
    assert library[-1] > 5e-3  # the library did apply the load
