"""Laps of two rods in foam: against finite elements of the foam, integration along the lap, limits and order."""

import numpy as np
import pytest
from scipy.integrate import quad, solve_bvp
from skfem import Basis, BilinearForm, ElementTriP2, MeshTri, condense, solve
from skfem.helpers import dot, grad

from tradestudy.physics.structure import rod_ends
from tradestudy.physics.structure.local_failure import GLUE_SHEAR_STRENGTH
from tradestudy.physics.structure.rod_ends import RodLap, adjacent_lap, crossing_lap

G, STRENGTH = np.array([1.6e6]), np.array([0.25e6])
AXIAL = 40e9 * 0.25 * np.pi * 0.003**2


def beside(sweep=0.35, length=0.075, spacing=0.004, diameter=0.003, axial=AXIAL, **foam):
    lap = RodLap(*(np.array([value]) for value in (diameter, axial, sweep, spacing, length)))
    return adjacent_lap(lap, foam.get("modulus", G), foam.get("strength", STRENGTH))


def field_of_half(spacing, radius, reach=40.0):
    """Return flux and greatest slope of Laplace's field between a rod at 1 and the plane midway to the other, at 0.

    The mesh has rings round the rod that become a large box, with quadratic triangles.
    """
    turns, rings = 180, 60
    angle = np.linspace(0, 2 * np.pi, turns, endpoint=False)
    ray = np.stack([np.cos(angle), np.sin(angle)])
    centre = np.array([0.5 * spacing, 0.0])[:, None]
    with np.errstate(divide="ignore"):
        limits = np.stack(
            [
                np.where(
                    ray[0] > 0,
                    (reach * spacing - centre[0]) / ray[0],
                    np.where(ray[0] < 0, -centre[0] / ray[0], np.inf),
                ),
                np.where(ray[1] != 0, reach * spacing / np.abs(ray[1]), np.inf),
            ]
        )
    far = np.nanmin(np.where(limits > 0, limits, np.inf), axis=0)
    share = np.linspace(0, 1, rings + 1)[:, None]
    length = radius * (far / radius) ** share  # rings grow in proportion
    points = (centre[:, None, :] + ray[:, None, :] * length[None]).reshape(2, -1)
    index = np.arange((rings + 1) * turns).reshape(rings + 1, turns)
    a, b = index[:-1], index[1:]
    c, d = np.roll(a, -1, axis=1), np.roll(b, -1, axis=1)
    mesh = MeshTri(points, np.concatenate([[a, b, d], [a, d, c]], axis=1).reshape(3, -1))
    basis = Basis(mesh, ElementTriP2(), intorder=4)

    @BilinearForm
    def laplace(u, v, w):
        return dot(grad(u), grad(v))

    matrix = laplace.assemble(basis)
    x, y = basis.doflocs
    wall = np.flatnonzero(np.hypot(x - 0.5 * spacing, y) < radius * (1 + 1e-9))
    chords = np.flatnonzero(
        (np.hypot(x - 0.5 * spacing, y) < radius) & (np.hypot(x - 0.5 * spacing, y) > 0.99 * radius)
    )
    wall = np.union1d(wall, chords)  # middles of the sides on the rod
    plane = np.flatnonzero(np.abs(x) < 1e-9 * spacing)
    value = np.zeros(x.size)
    value[wall] = 1.0
    value = solve(*condense(matrix, x=value, D=np.union1d(wall, plane)))
    slope = np.hypot(*basis.interpolate(value).grad)
    place = basis.global_coordinates()
    near = np.hypot(place[0] - (0.5 * spacing - radius), place[1]) < 0.1 * radius
    return float(value @ matrix @ value), float(slope[near].max())


@pytest.mark.thorough
@pytest.mark.parametrize("ratio", [1.3, 2.0, 5.0])
def test_stiffness_and_greatest_strain_against_finite_elements(ratio):
    """Compare with a field in the plane across the rods. By symmetry the plane midway between them does not slip."""
    diameter = 0.003
    flux, slope = field_of_half(ratio * diameter, 0.5 * diameter)
    # half of the slip acts between a rod and that plane
    assert rod_ends.rod_to_rod_shear(ratio * diameter, diameter) == pytest.approx(0.5 * flux, rel=3e-3)
    # tolerance: slope at the points of integration of the elements on the wall
    assert 2.0 / rod_ends.greatest_slip(ratio * diameter, diameter, 1.0) == pytest.approx(slope, rel=3e-2)


def test_far_apart_the_wall_is_strained_evenly():
    """Check the limit of far rods: the force is spread over the perimeter, by the definition of shear stress."""
    slip = 1e-4
    far, diameter = 3.0, 0.003
    force = 1.6e6 * rod_ends.rod_to_rod_shear(far, diameter) * slip
    strain = slip / rod_ends.greatest_slip(far, diameter, 1.0)
    assert 1.6e6 * strain * np.pi * diameter == pytest.approx(force, rel=2e-3)


def test_parallel_rods_carry_in_proportion_to_a_short_lap():
    one, two = (beside(sweep=0.0, length=length) for length in (0.01, 0.02))
    assert two.force == pytest.approx(2 * one.force, rel=2e-3)  # tolerance: shear lag
    each = 1.6e6 * np.pi / np.arccosh(4 / 3) * 0.01
    assert one.stiffness == pytest.approx(each, rel=1e-3)
    apart = np.arccosh(4 / 3)
    greatest = 0.25e6 / (1.6e6 / (0.003 * apart * np.tanh(0.5 * apart)))  # slip at the strength, by hand
    assert one.force == pytest.approx(each * greatest, rel=1e-3)


@pytest.mark.parametrize("sweep", [0.05, 0.35, 0.7])
def test_a_lap_is_the_sum_of_its_slices(sweep):
    """Compare with adaptive integration along the lap, for rods so stiff that there is no shear lag."""
    whole = quad(lambda u: np.pi / np.arccosh((0.004 + u * np.sin(sweep)) / 0.003), 0, 0.075, epsabs=1e-12)[0]
    assert beside(sweep=sweep, axial=1e12).stiffness == pytest.approx(1.6e6 * whole, rel=5e-4)


@pytest.mark.parametrize("length", [0.05, 0.15, 0.6])
def test_shear_lag_against_the_differential_equation(length):
    """Compare greatest over mean slip of parallel rods with a solution of their equilibrium along the lap.

    The force N of the first rod falls by k times the slip, and that of the other rises. The slip grows by their
    strains.
    """
    stiffness = 1.6e6 * np.pi / np.arccosh(4 / 3)

    def slopes(u, state):
        slip, force = state
        return np.vstack([force / AXIAL - (1.0 - force) / AXIAL, stiffness * slip])

    found = solve_bvp(
        slopes,
        lambda left, right: np.array([left[1], right[1] - 1.0]),
        np.linspace(0, length, 200),
        np.vstack([np.full(200, 1.0 / (stiffness * length)), np.linspace(0, 1, 200)]),
        tol=1e-8,
        max_nodes=20000,
    )
    assert found.success
    assert 1.0 / found.y[0].max() == pytest.approx(float(beside(sweep=0.0, length=length).stiffness[0]), rel=1e-4)


def test_more_lap_holds_more_and_more_sweep_less():
    """Check the order: longer, nearer, thicker and straighter laps hold more, and none holds more than its walls."""
    force = lambda **changes: float(beside(**changes).force[0])  # noqa: E731
    by_length = [force(length=length) for length in (0.02, 0.05, 0.1, 0.3)]
    assert by_length == sorted(by_length) and by_length[-1] < 6 * by_length[1]  # 6 times as long
    by_sweep = [force(sweep=sweep) for sweep in (0.7, 0.35, 0.1, 0.0)]
    assert by_sweep == sorted(by_sweep)
    by_thickness = [force(diameter=each, spacing=each + 0.001) for each in (0.001, 0.002, 0.004)]
    assert by_thickness == sorted(by_thickness)
    assert force(sweep=0.0) < np.pi * 0.003 * 0.075 * 0.25e6


def across(sweep, gap=0.001, length=0.075, glue=GLUE_SHEAR_STRENGTH):
    lap = RodLap(*(np.array([value]) for value in (0.003, AXIAL, sweep, 0.003, length)))
    return crossing_lap(lap, G, STRENGTH, gap, glue)


def test_rods_that_cross_are_held_by_glue_where_they_touch_and_by_foam_where_that_is_less():
    """Check the length that is glued by hand: the gap grows as sqrt(d^2 + (u sin a)^2) - d, and is 1 mm at its ends."""
    sweep = 0.7
    touching = np.sqrt(0.004**2 - 0.003**2) / np.sin(sweep)
    glued = across(sweep)
    assert glued.force == pytest.approx(2 * touching * 0.003 * GLUE_SHEAR_STRENGTH, rel=0.02)  # tolerance: the foam
    without = across(sweep, glue=0.0)
    spaces = [quad(lambda u: np.pi / np.arccosh(np.hypot(1, u * np.sin(sweep) / 0.003)), touching, 0.075)[0]]
    assert without.stiffness < 2 * 1.6e6 * spaces[0] and without.stiffness == pytest.approx(
        2 * 1.6e6 * spaces[0],
        rel=0.15,  # tolerance: shear lag
    )
    least = rod_ends.greatest_slip(0.004, 0.003, 0.25 / 1.6)
    assert without.force == pytest.approx(without.stiffness * least, rel=1e-9)


def test_rods_in_one_line_touch_all_along():
    glued = across(0.0)
    assert glued.force == pytest.approx(2 * 0.075 * 0.003 * GLUE_SHEAR_STRENGTH, rel=1e-9)
    forces = [float(across(sweep).force[0]) for sweep in (0.02, 0.2, 0.7, 1.2)]
    assert forces == sorted(forces, reverse=True)


def test_the_share_that_passes_is_that_of_springs_in_series():
    lap = rod_ends.LapStrength(np.array([2.8e5]), np.array([50.0]))
    share = rod_ends.passed_share(lap, AXIAL, 0.07)
    stretch = 1.0 / AXIAL * 0.07
    assert share == pytest.approx(stretch / (stretch + 1.0 / 2.8e5), rel=1e-12)


def test_a_batch_of_wings_is_each_alone():
    """Check two wings with three sets each, of other sweeps, spacings, lengths and foams."""
    order = np.arange(6.0).reshape(2, 3)
    fields = 0.003 + 0 * order, AXIAL * (1 + order), 0.3 + 0.02 * order, 0.004 + 0.001 * order, 0.05 + 0.01 * order
    foams = np.array([[[1.6e6], [2.0e6]], [[0.25e6], [0.3e6]]])
    together = adjacent_lap(RodLap(*fields), *foams)
    for wing in range(2):
        alone = adjacent_lap(RodLap(*(field[wing] for field in fields)), *foams[:, wing])
        np.testing.assert_allclose([field[wing] for field in together], alone, rtol=1e-12)


@pytest.mark.parametrize(
    "kind", [adjacent_lap, lambda lap, *foam: crossing_lap(lap, *foam, 0.001, GLUE_SHEAR_STRENGTH)]
)
def test_slopes_by_complex_step(kind):
    """Compare the slopes of stiffness and force with central differences, for every value of a lap."""
    values = np.array([0.003, AXIAL, 0.35, 0.004, 0.075])
    if kind is not adjacent_lap:
        values[3] = 0.003
    for index in range(values.size):
        step = 1e-5 * values[index]
        places = [values + shift * np.eye(values.size)[index] for shift in (step, -step)]
        numbers = [kind(RodLap(*one[:, None]), G, STRENGTH) for one in places]
        exact = kind(RodLap(*(values + 1e-25j * np.eye(values.size)[index])[:, None]), G, STRENGTH)
        for name in ("stiffness", "force"):
            slope = getattr(exact, name).imag / 1e-25
            plain = (getattr(numbers[0], name) - getattr(numbers[1], name)) / (2 * step)
            rounding = 1e-9 * abs(float(getattr(numbers[0], name)[0])) / step
            assert slope == pytest.approx(plain, rel=1e-5, abs=rounding)
