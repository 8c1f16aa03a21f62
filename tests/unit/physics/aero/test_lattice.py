"""Right-hand sides and forces of the lattice. Published values and invariants have their own folders."""

import numpy as np
import pytest
from helpers.wings.wings import FLAT, answer, outline, tapered

from tradestudy.physics.aero import lattice, thin_airfoil
from tradestudy.physics.flight import trimmed_flight
from tradestudy.physics.geometry.fins import SheetFin
from tradestudy.physics.geometry.mesh import half_wing_mesh

CAMBER = lattice.SectionCamber(0.15, -0.02)


def test_upright_fins_have_no_lift_or_camber():
    """Check that an upright fin has no downwash by angle of attack, twist or elevon. It is only loaded by the wing."""
    wing = outline([0, 0.5], [0, 0.2], [0.28, 0.18], twist=[0, -0.03], elevon_chord=[0.04, 0.03], elevon=(0.1, 0.4))
    mesh = half_wing_mesh(wing, (SheetFin(*(np.asarray(length) for length in (0.1, 0.12, 0.08, 0.03, 0.02))),))
    sides = lattice.symmetric_downwash(mesh, trimmed_flight.strip_angles(wing, mesh), CAMBER)
    assert sides[4 * mesh.n_wing :] == pytest.approx(np.zeros((4 * 6, 4)), abs=1e-12)
    result = answer(wing, SheetFin(*(np.asarray(length) for length in (0.1, 0.12, 0.08, 0.03, 0.02))))
    # only strips with width in y have lift, so the fin has none
    assert result.unit.strip_lift[mesh.n_wing :] == pytest.approx(np.zeros((6, 4)), abs=1e-12)
    assert np.all(np.abs(result.unit.strip_circulation[mesh.n_wing :, 1]) > 1e-3)


def test_very_long_wing_tends_to_the_section():
    """Check that in the middle of a wing of aspect ratio 200 every column gives nearly its two-dimensional lift.

    By the lifting line, the middle of a long rectangular wing has less lift by about 2/(A + 2), with aspect ratio A: 1
    %. The tolerance is twice that.
    """
    wing = tapered(200, 1, 0)._replace(
        elevon_chord=np.array([0.002, 0.002]),
        foam_chord=np.array([0.008, 0.008]),
        elevon_outer_end=np.asarray(1.0),
    )
    result = answer(wing, counts=[24], camber=CAMBER)
    lift = 2 * result.unit.strip_circulation[0] / result.mesh.chord[0]
    flap = thin_airfoil.flap_slopes(0.8)[0]
    assert lift[:3] == pytest.approx([0.15, 2 * np.pi, flap], rel=0.02)


@pytest.mark.parametrize(("aspect_ratio", "moment_error"), [(1e2, 1e-4), (1e3, 1e-6), (1e4, 1e-8)])
def test_strip_of_a_very_long_wing_is_the_section(aspect_ratio, moment_error):
    """Check the middle strip: lift by camber, alpha and elevon is short by 1/A, moment by 1/A^2 or less.

    The two-dimensional thin-airfoil values are met to rounding (tests/published/sections/test_glauert_1926.py), so only
    the effect of the rest of the wing is left. For aspect ratios A above 1e6 the vortices lose digits due to the length
    of the wing.
    """
    wing = tapered(aspect_ratio, 1, 0, span=2 * aspect_ratio)
    wing = wing._replace(
        foam_chord=0.8 * wing.chord, elevon_chord=0.2 * wing.chord, elevon_outer_end=np.asarray(aspect_ratio)
    )
    mesh = half_wing_mesh(wing, counts=[8])
    circulation = lattice.symmetric_circulations(mesh, trimmed_flight.strip_angles(wing, mesh), CAMBER)[0, :, :3]
    arm = (np.arange(4) + 0.25) / 4 - 0.25
    lift, moment = 2 * circulation.sum(0) / mesh.chord[0], -2 * arm @ circulation / mesh.chord[0]
    section_lift, section_moment = np.transpose([CAMBER[:2], (2 * np.pi, 0.0), thin_airfoil.flap_slopes(0.8)])
    # Prandtl's downwash in the middle of a long wing of eight strips on each side: 1.00 to 1.04 over A
    assert (1 - lift / section_lift) * aspect_ratio == pytest.approx(np.ones(3), abs=0.04)
    assert moment == pytest.approx(section_moment, abs=moment_error)


def test_zero_lift_moment_is_the_sections_own():
    # untwisted and unswept: Cm0 about the aerodynamic centre is that of the section, weighted by chord squared; all
    # chords are equal
    result = answer(tapered(24, 1, 0), camber=CAMBER)
    unit, volume = result.unit, result.areas.area * result.areas.mean_aerodynamic_chord
    zero = unit.moment_volume[0] + result.neutral_point * unit.lift_area[0]
    # the tips lose the moment over about an eighth of a chord each: 1/A of the total (3.3 % at A 8), here 1.1 %
    assert zero / volume == pytest.approx(CAMBER.moment_coefficient, rel=0.015)


def test_pitch_rate_column_by_hand():
    """Check that rotation about the datum adds an angle proportional to the distance aft of each control point."""
    wing = tapered(6, 0.5, 25)
    mesh = half_wing_mesh(wing)
    sides = lattice.symmetric_downwash(mesh, trimmed_flight.strip_angles(wing, mesh), FLAT)
    fractions = (np.arange(4) + 0.75) / 4
    aft = mesh.middle[:, :1] + mesh.chord[:, None] * fractions
    assert sides[:, 3] == pytest.approx(aft.ravel(), rel=1e-12)


@pytest.mark.parametrize("batch", [False, True], ids=["one wing", "one of a batch"])
def test_slope_along_the_hinge_of_each_strip(batch):
    """Compare a complex step with differences, on strips whose hinges lie at different shares of the chord."""
    wing = outline([0, 1.0], [0, 0], [0.3, 0.3], elevon_chord=[0.03, 0.12], elevon=(0.1, 0.9))
    mesh = half_wing_mesh(wing)
    angles = trimmed_flight.strip_angles(wing, mesh)
    change = np.linspace(1.0, 2.0, len(mesh.chord))  # of each strip's own

    def elevon_column(step):
        moved = angles.hinge_fraction + step * change
        moved = moved[None] if batch else moved
        return np.squeeze(lattice.symmetric_downwash(mesh, angles._replace(hinge_fraction=moved), FLAT)[..., 2])

    differences = (elevon_column(1e-6) - elevon_column(-1e-6)) / 2e-6
    assert elevon_column(1e-30j).imag / 1e-30 == pytest.approx(differences, rel=1e-5, abs=1e-7)


def test_partly_covered_strip_counts_in_part():
    wing = outline([0, 1.0], [0, 0], [0.3, 0.3], elevon_chord=[0.06, 0.06], elevon=(0.2, 0.7))
    mesh = half_wing_mesh(wing)
    width = mesh.width
    covered = trimmed_flight.elevon_coverage(wing, mesh) * width
    assert covered.sum() == pytest.approx(0.5, rel=1e-12)
    assert np.all((covered >= 0) & (covered <= width * (1 + 1e-12)))


def test_drag_from_circulation_and_downwash():
    """Check that drag in the Trefftz plane equals minus circulation times downwash, summed over strips."""
    result = answer(tapered(6, 0.5, 25))
    gamma = result.unit.strip_circulation[:, 1]
    y, edge = result.mesh.middle[:, 1], np.append(result.mesh.inner_edge[:, 1], result.mesh.outer_edge[-1, 1])
    downwash = np.zeros_like(y)
    for strength, left, right in zip(gamma, edge[:-1], edge[1:], strict=True):
        for a, b in ((left, right), (-right, -left)):
            # two full legs a and b: downwash G/(2 pi) (1/(y - a) - 1/(y - b))
            downwash += strength / (2 * np.pi) * (1 / (y - a) - 1 / (y - b))
    drag = 2 * (gamma * downwash * result.mesh.width).sum()
    assert result.unit.drag_area_matrix[1, 1] == pytest.approx(drag, rel=1e-10)
