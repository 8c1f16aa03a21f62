"""Natural modes against closed forms and a finite-element library, and free modes against exact sums."""

import numpy as np
import pytest
from scipy.linalg import eigh
from skfem import Basis, BilinearForm, ElementLineHermite, MeshLine
from skfem.helpers import dd

from tradestudy.physics.aeroelastic import vibration
from tradestudy.physics.aeroelastic.vibration import (
    BeamSections,
    clamped_modes,
    first_modes,
    free_modes,
    natural_frequencies,
)

LENGTH, BENDING, TORSION, MASS, RADIUS = 0.75, 60.0, 9.81, 0.30, 0.06


def wing(taper=1.0, power=0.0, mass_power=0.0, stations=21, offset=0.0, **changes):
    station = np.linspace(0.0, LENGTH, stations)
    chord = 1 - (1 - taper) * station / LENGTH
    ones = np.ones(stations)
    sections = BeamSections(
        station,
        BENDING * chord**power,
        TORSION * chord**power,
        0 * ones,
        MASS * chord**mass_power,
        offset * ones,
        RADIUS * ones,
    )
    return sections._replace(**changes)


def test_uniform_cantilever():
    """Compare with beta L = 1.875104, 4.694091 (any vibration text) and (2 n - 1) pi / 2 L sqrt(GJ / I)."""
    motion = clamped_modes(wing(), 4)
    frequency = natural_frequencies(motion)
    bending = (np.array([1.875104, 4.694091]) / LENGTH) ** 2 * np.sqrt(BENDING / MASS)
    torsion = np.array([1, 3]) * np.pi / (2 * LENGTH) * np.sqrt(TORSION / (MASS * RADIUS**2))
    bends = motion.bending_share > 0.5
    np.testing.assert_allclose(frequency[bends], bending, rtol=1e-5)  # cubic elements, fourth order
    # linear elements, second order: (3 pi/2 / 20)^2 / 24 = 0.23 % in the second
    np.testing.assert_allclose(frequency[~bends], torsion, rtol=2.4e-3)
    first = first_modes(motion)
    assert first.bending == pytest.approx(bending[0], rel=1e-5)
    assert first.torsion == pytest.approx(torsion[0], rel=3e-4)


def library_frequencies(taper, power, mass_power):
    """Return the first two bending frequencies of a tapered cantilever by scikit-fem with 40 Hermite elements.

    The taper is followed inside each element.
    """
    mesh = MeshLine(np.linspace(0.0, LENGTH, 41))
    basis = Basis(mesh, ElementLineHermite(), intorder=10)

    @BilinearForm
    def stiffness(u, v, w):
        return BENDING * (1 - (1 - taper) * w.x[0] / LENGTH) ** power * dd(u)[0, 0] * dd(v)[0, 0]

    @BilinearForm
    def mass(u, v, w):
        return MASS * (1 - (1 - taper) * w.x[0] / LENGTH) ** mass_power * u * v

    free = np.setdiff1d(np.arange(basis.N), basis.get_dofs(lambda x: np.isclose(x[0], 0.0)).all())
    matrices = (form.assemble(basis).toarray()[np.ix_(free, free)] for form in (stiffness, mass))
    return np.sqrt(eigh(*matrices, eigvals_only=True, subset_by_index=[0, 1]))


@pytest.mark.parametrize("taper, power, mass_power", [(1.0, 0, 0), (0.4, 2, 1), (0.5, 3, 2), (0.4, 4, 2)])
def test_tapered_bending_against_a_general_library(taper, power, mass_power):
    exact, errors = library_frequencies(taper, power, mass_power), []
    for stations in (21, 41):
        motion = clamped_modes(wing(taper, power, mass_power, stations), 6)
        ours = natural_frequencies(motion)[motion.bending_share > 0.5][:2]
        errors.append(ours / exact - 1)
    # Stiffness is even inside each element: second order in their number, with larger errors for steeper laws; 0.42 %
    # with 20.
    np.testing.assert_allclose(errors[0], 0.0, atol=5e-3)
    np.testing.assert_allclose(errors[1], 0.25 * errors[0], atol=2e-5)


def test_core_shear_lowers_bending_as_dunkerley_says():
    """Check 1/f^2 = 1/f_bending^2 + 1/f_shear^2 (Dunkerley), a lower bound of frequency.

    A beam with shear only has f = pi/2L sqrt(S/m), with shear stiffness S and mass per length m.
    """
    shear = 640.0
    soft = first_modes(clamped_modes(wing(shear_compliance=np.full(21, 1 / shear)))).bending
    stiff = first_modes(clamped_modes(wing())).bending
    pure = np.pi / (2 * LENGTH) * np.sqrt(shear / MASS)
    estimate = (stiff**-2 + pure**-2) ** -0.5
    assert soft < 0.85 * stiff
    assert estimate < soft < 1.06 * estimate  # the bound is low by a few per cent where both parts matter
    ones = np.ones(21)
    only = clamped_modes(
        wing(bending_rigidity=1e6 * ones, shear_compliance=ones / shear, torsional_rigidity=1e9 * ones)
    )
    # second order in 20 elements: 0.011 %
    assert first_modes(only).bending == pytest.approx(pure, rel=2e-4)


def test_core_shear_against_influence_coefficients():
    """Compare with eigenvalues of flexibility times mass, with rise at x by a unit force at y in closed form.

    It is by bending and by shear.
    """
    shear = 640.0
    node, weight = np.polynomial.legendre.leggauss(240)
    x, weight = 0.5 * LENGTH * (node + 1), 0.5 * LENGTH * weight
    near, far = np.minimum.outer(x, x), np.maximum.outer(x, x)
    flexibility = near**2 * (3 * far - near) / (6 * BENDING) + near / shear
    root = np.sqrt(MASS * weight)
    exact = np.linalg.eigvalsh(root[:, None] * flexibility * root)[::-1][:2] ** -0.5
    motion = clamped_modes(wing(shear_compliance=np.full(21, 1 / shear)), 6)
    ours = natural_frequencies(motion)[motion.bending_share > 0.5][:2]
    # shear of the second mode is second order in 20 elements: 0.10 %; the 240 points are accurate to 0.01 %
    np.testing.assert_allclose(ours, exact, rtol=1.5e-3)
    assert ours[0] == pytest.approx(exact[0], rel=2e-4)


def test_a_heavy_tip_oscillates_as_a_point():
    """Compare a tip mass far above that of the beam: sqrt(3 EI / L^3 m), with 33/140 of the beam added (Rayleigh)."""
    heavy = 5.0
    result = first_modes(clamped_modes(wing(tip_mass=heavy))).bending
    assert result == pytest.approx(np.sqrt(3 * BENDING / LENGTH**3 / (heavy + 33 / 140 * MASS * LENGTH)), rel=1e-4)
    twisting = clamped_modes(wing(tip_mass=heavy, tip_radius=0.05, tip_offset=0.0), 2)
    inertia = heavy * 0.05**2 + MASS * RADIUS**2 * LENGTH / 3
    slowest = first_modes(twisting).torsion
    # a third of the bar is added: Rayleigh
    assert slowest == pytest.approx(np.sqrt(TORSION / LENGTH / inertia), rel=1e-3)


def test_free_wing_without_a_body():
    """Compare symmetric bending of the free wing: 4.730041 / 2 over its half length (any vibration text)."""
    sections = wing()
    free = free_modes(clamped_modes(sections, 12), sections, 0.075, 0.0, 0.0, 0.0, 0.0)
    exact = (4.730041 / 2 / LENGTH) ** 2 * np.sqrt(BENDING / MASS)
    # twelve clamped modes and plunge; tolerance 0.5 %, as convergence with the number of modes is slow
    lowest = natural_frequencies(free)
    assert np.min(np.abs(lowest / exact - 1)) < 5e-3
    assert free.bending_share[:2].tolist() == [0.0, 0.0]  # plunge and pitch bend nothing
    # not the clamped frequency
    assert np.all(np.abs(lowest / ((1.875104 / LENGTH) ** 2 * np.sqrt(BENDING / MASS)) - 1) > 0.3)


def test_rigid_masses_are_exact_sums_and_a_heavy_body_fixes_the_root():
    sweep, root = np.radians(25.0), 0.07
    sections = wing(offset=0.02, tip_mass=0.01, tip_offset=0.03, tip_radius=0.05)
    clamped = clamped_modes(sections)
    free = free_modes(clamped, sections, root, sweep, 0.6, 0.15, 0.08)
    s = np.linspace(0, LENGTH, 200001)
    x = root + s * np.sin(sweep) + 0.02 * np.cos(sweep)
    tip = root + LENGTH * np.sin(sweep) + 0.03 * np.cos(sweep)
    turned = np.cos(sweep) ** 2
    first = np.trapezoid(MASS * x, s) + 0.01 * tip + 0.6 * 0.15
    second = (
        np.trapezoid(MASS * (x**2 + RADIUS**2 * turned), s)
        + 0.01 * (tip**2 + 0.05**2 * turned)
        + 0.6 * (0.15**2 + 0.08**2)
    )
    expected = [[MASS * LENGTH + 0.01 + 0.6, -first], [-first, second]]
    np.testing.assert_allclose(free.mass[:2, :2], expected, rtol=1e-9)
    fixed = free_modes(clamped, sections, root, sweep, 1e7, 0.15, 50.0)
    np.testing.assert_allclose(natural_frequencies(fixed), natural_frequencies(clamped), rtol=1e-6)


def test_shapes_give_a_cubic_and_its_slope():
    """Check that elements of any width hold w = 1 - 2 y + 3 y^2 - 4 y^3 and a linear twist exactly."""
    station, law = np.array([0.0, 0.2, 0.5, 0.6]), np.polynomial.Polynomial([1.0, -2.0, 3.0, -4.0])
    nodes = np.column_stack([law(station), law.deriv()(station), 0.5 - 3 * station]).ravel()
    points, *matrices, length = vibration._shapes(station)
    found = [matrix @ nodes for matrix in matrices]
    np.testing.assert_allclose(found, [law(points), law.deriv()(points), 0.5 - 3 * points, -3 + 0 * points], rtol=1e-12)
    assert length @ points**2 == pytest.approx(0.6**3 / 3, rel=1e-12)
