"""Solids: closed form against mesh, and both against a library for meshes."""

import numpy as np
import pytest
import trimesh

from tradestudy.physics.body import removed_foam, solids
from tradestudy.physics.body.skin import SectionPoints, Skin

BENT = np.array([[0.0, 0.0, 0.0], [0.1, 0.3, 0.01], [0.22, 0.6, 0.03], [0.28, 0.8, 0.0]])
FIN = np.array([[0.02, 0.0, -0.1], [0.0, 0.0, 0.0], [0.05, 0.0, 0.1], [0.1, 0.0, 0.1], [0.15, 0.0, 0.0]])
UP = np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 0.2]])
TURN = np.array([[np.cos(0.3), 0.0, -np.sin(0.3)], [0.0, 1.0, 0.0], [np.sin(0.3), 0.0, np.cos(0.3)]])


def section(y, chord, twist):
    """Return the outline of a thin bent section, first point to last."""
    x = chord * 0.5 * (1 - np.cos(np.linspace(0, np.pi, 20)))
    upper, lower = 0.4 * x * (chord - x) / chord, -0.1 * x * (chord - x) / chord
    points = np.column_stack([np.concatenate([x, x[-2:0:-1]]), np.concatenate([upper, lower[-2:0:-1]])])
    return points @ np.array([[np.cos(twist), -np.sin(twist)], [np.sin(twist), np.cos(twist)]]) + [0.3 * y, 0.02 * y]


STATIONS = np.array([0.0, 0.2, 0.7])
LOFT = np.stack(
    [section(y, chord, turn) for y, chord, turn in zip(STATIONS, (0.3, 0.3, 0.2), (0.0, 0.0, 0.06), strict=True)]
)
CASES = {
    "box": (solids.box([0.1, -0.2, 0.0], [0.4, 0.3, 0.05]), solids.amount(0.0075, [0.25, 0.05, 0.025])),
    "bent rod": (solids.rod_solid(BENT, 0.003), solids.rod_amount(BENT, 0.003)),
    "rod cut along the flight": (solids.rod_solid(BENT, 0.003, ends_along_flight=True), solids.rod_amount(BENT, 0.003)),
    "tube": (solids.rod_solid(BENT, 0.012, 0.009), solids.rod_amount(BENT, 0.012, 0.009)),
    "rod upright": (solids.rod_solid(UP, 0.01), solids.rod_amount(UP, 0.01)),
    "sheet": (solids.plate(FIN @ TURN, TURN[1], 0.003), solids.plate_amount(FIN @ TURN, 0.003)),
    "loft": (solids.loft_between(STATIONS, LOFT), solids.loft_amount(STATIONS, LOFT)),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_closed_form_and_mesh_agree_with_a_library(name):
    solid, whole = CASES[name]
    mesh = trimesh.Trimesh(solid.vertices, solid.triangles, process=False)
    assert mesh.is_watertight and mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(solids.mesh_volume(solid), rel=1e-9)
    assert mesh.center_mass == pytest.approx(solids.mesh_centroid(solid), abs=1e-9)
    assert whole.volume == pytest.approx(mesh.volume, rel=1e-3 if name == "loft" else 1e-9)
    assert whole.centroid == pytest.approx(mesh.center_mass, abs=1e-4)


def test_a_loft_is_the_limit_of_finer_meshes():
    # each quad of a twisted loft is bent, so that a mesh of it is only nearly right
    whole, faults = solids.loft_amount(STATIONS, LOFT), []
    for pieces in (1, 4):
        y = np.concatenate([np.linspace(0.0, 0.2, pieces + 1)[:-1], np.linspace(0.2, 0.7, pieces + 1)])
        points = np.array(
            [[np.interp(y, STATIONS, LOFT[:, row, axis]) for axis in (0, 1)] for row in range(LOFT.shape[1])]
        )
        mesh = solids.loft_between(y, np.moveaxis(points, -1, 0))
        faults.append(abs(solids.mesh_volume(mesh) / whole.volume - 1))
    assert faults[1] < 0.5 * faults[0] + 1e-7


def test_the_polygon_of_a_rod_has_the_area_of_its_circle():
    assert solids.mesh_volume(solids.rod_solid([[0, 0, 0], [0, 2, 0]], 0.01)) == pytest.approx(2 * np.pi * 0.005**2)


def test_a_tube_has_the_surface_of_two_cylinders_and_two_rings():
    """Check the area, by formula. A polygon of twelve sides has 1.2 % more circumference than a circle of its area."""
    tube = solids.rod_solid([[0, 0, 0], [0, 0.5, 0]], 0.012, 0.009)
    area = trimesh.Trimesh(tube.vertices, tube.triangles, process=False).area
    rings = 0.5 * np.pi * (0.012**2 - 0.009**2)
    sides = solids.SIDES
    longer = np.sqrt(sides / np.pi * np.tan(np.pi / sides))
    assert area == pytest.approx(np.pi * (0.012 + 0.009) * 0.5 * longer + rings, rel=1e-9)


def test_a_sharp_edge_is_one_line():
    wedge = solids.loft_between(np.array([0.0, 1.0]), np.array([[[0, 0.1], [1, 0], [1, 0], [0, -0.1]]] * 2, float))
    assert len(wedge.vertices) == 6
    assert trimesh.Trimesh(wedge.vertices, wedge.triangles, process=False).is_watertight


@pytest.fixture
def slab():
    """Return a flat skin of 20 mm, from 0 to 0.3 m behind the nose and 1 m wide on each side."""
    zero, height = np.zeros(2), np.full(2, 0.01 / 0.3)
    points = SectionPoints(np.array([0.0, 1.0]), zero, height, -height, zero, zero)
    foam = np.array([[0.0, 0.0], [0.3, 0.0], [0.0, 0.0], [0.0, 0.3], [0.0, 0.0]])
    return Skin(np.array([0.0, 1.0]), np.stack([foam, foam]), points)


def test_foam_of_a_box_ends_at_the_skin(slab):
    inside = removed_foam.box_in_skin(slab, np.array([0.05, -0.1, -0.005]), np.array([0.15, 0.1, 0.005]))
    assert inside.volume == pytest.approx(0.1 * 0.2 * 0.01)
    assert inside.centroid == pytest.approx([0.1, 0.0, 0.0], abs=1e-12)
    high = removed_foam.box_in_skin(slab, np.array([0.05, 0.1, 0.0]), np.array([0.15, 0.2, 0.5]))
    assert high.volume == pytest.approx(0.1 * 0.1 * 0.01)
    assert high.centroid == pytest.approx([0.1, 0.15, 0.005])


@pytest.mark.parametrize("turn", [1, -1])
def test_a_pyramid_has_its_centre_a_quarter_of_the_way_to_its_apex(turn):
    base = np.array([[0.1, 0.2], [0.4, 0.2], [0.4, 0.6], [0.1, 0.6]])[::turn]
    apex = np.array([0.7, -0.3])
    found = solids.loft_amount(np.array([0.5, 1.1]), np.stack([base, np.tile(apex, (4, 1))]))
    assert found.volume == pytest.approx(0.3 * 0.4 * 0.6 / 3, rel=1e-12)
    x, z = np.array([0.25, 0.4]) + (apex - [0.25, 0.4]) / 4
    assert found.centroid == pytest.approx([x, 0.5 + 0.6 / 4, z], rel=1e-12)
