"""Textbook lattice of J. J. Bertin and M. L. Smith, Aerodynamics for Engineers, 2nd ed. 1989, example 7.2.

The wing is a flat plate of aspect ratio 5, untapered and swept 45 degrees. Each side has four equal strips with one
panel each. Vortices are on the quarter-chord line and control points on the three-quarter-chord line, without tip
inset. Circulations and lift of the book are from memory, and agree with a recomputation to every digit. The
lift slope per degree (0.0601) is quoted in public validation scripts. The example checks the algebra of the lattice,
not its accuracy: this mesh gives 8 % too much lift.
"""

import numpy as np
import pytest

from tradestudy.physics.aero.horseshoe import influence
from tradestudy.physics.aero.wake import wake_wash
from tradestudy.physics.geometry.mesh import Mesh

SPAN, CHORD = 1.0, 0.2
MIRROR = np.array([1.0, -1.0, 1.0])


@pytest.fixture(scope="module")
def circulation():
    edge = 0.5 * SPAN * np.arange(5) / 4
    middle = 0.5 * (edge[1:] + edge[:-1])
    corner = np.column_stack([edge + 0.25 * CHORD, edge, np.zeros(5)])
    control = np.column_stack([middle + 0.75 * CHORD, middle, np.zeros(4)])
    normal = np.tile([0.0, 0.0, 1.0], (4, 1))
    start, end = np.arange(4), np.arange(1, 5)
    matrix = influence(control, normal, corner, start, end) + influence(control * MIRROR, normal, corner, start, end)
    return np.linalg.solve(matrix, -np.ones(4))


def test_circulations(circulation):
    book = [0.0273, 0.0287, 0.0286, 0.0250]
    assert circulation / (4 * np.pi * SPAN) == pytest.approx(book, abs=1e-4)  # tolerance: four decimals


def test_lift_slope(circulation):
    slope = 2 * 2 * circulation.sum() * (0.5 * SPAN / 4) / (SPAN * CHORD)
    assert slope == pytest.approx(1.096 * np.pi, rel=5e-4)  # tolerance: rounding of 1.096 and 3.443
    assert slope == pytest.approx(3.443, rel=5e-4)
    assert np.radians(slope) == pytest.approx(0.0601, rel=1e-3)  # tolerance: three digits


def test_span_efficiency(circulation):
    """Compare the span efficiency with a recomputed 1.040 (three digits). Drag is from our wake matrix.

    A value above one is an error of this coarse mesh, not physics.
    """
    edge = np.column_stack([0.5 * SPAN * np.arange(5) / 4, np.zeros(5)])
    points = np.column_stack([np.zeros(5), edge])
    flat, normal = np.full(4, CHORD), np.tile([0.0, 0.0, 1.0], (4, 1))
    mesh = Mesh(points[:-1], points[1:], 0.5 * (points[1:] + points[:-1]), flat, flat, flat, normal, 4)
    lift = 4 * circulation @ mesh.width
    drag = -2 * (circulation * mesh.width) @ wake_wash(mesh).symmetric @ circulation
    assert lift**2 / (np.pi * SPAN**2 * drag) == pytest.approx(1.040, abs=1e-3)


def test_centre_of_pressure(circulation):
    middle = (np.arange(4) + 0.5) / 4
    aft = middle @ circulation / circulation.sum() * 0.5 * SPAN + 0.25 * CHORD
    mean_chord_edge = 0.25 * SPAN  # at half the semi-span, swept 45 degrees
    # reference: recomputed on this mesh by another program, three digits
    assert middle @ circulation / circulation.sum() == pytest.approx(0.4919, abs=1e-3)
    assert (aft - mean_chord_edge) / CHORD == pytest.approx(0.2297, abs=1e-3)
