"""Properties of any lattice, whatever its accuracy: mirror image, scale, superposition, batches."""

import numpy as np
import pytest
from helpers.wings.wings import FLAT, answer, bound_corners, outline, points_behind, tapered

from tradestudy.physics.aero import lattice
from tradestudy.physics.aero.horseshoe import influence
from tradestudy.physics.aero.thin_airfoil import three_quarter_points
from tradestudy.physics.flight import trimmed_flight
from tradestudy.physics.geometry.fins import SheetFin
from tradestudy.physics.geometry.mesh import half_wing_mesh

ROUNDING = 1e-10  # relative rounding error of linear systems of some hundred unknowns
CAMBER = lattice.SectionCamber(0.12, -0.015)
FIN = SheetFin(*(np.asarray(length) for length in (0.13, 0.15, 0.09, 0.06, 0.02)))


def bent_wing(scale=1.0, elevon=0.04):
    return outline(
        scale * np.array([0, 0.05, 0.5, 0.7]),
        scale * np.array([0, 0, 0.2, 0.27]),
        scale * np.array([0.28, 0.28, 0.18, 0.14]),
        twist=[0, 0, -0.03, -0.05],
        height=scale * np.array([0, 0, 0.02, 0.05]),
        elevon_chord=np.full(4, scale * elevon),
        elevon=(0.07 * scale, 0.6 * scale),
    )


@pytest.mark.parametrize("fin", [None, FIN], ids=["plain", "fins"])
def test_half_model_equals_whole_wing(fin):
    """Solve both halves as separate unknowns, without a mirror image.

    Both must have the circulations of the half model.
    """
    half = answer(bent_wing(), fin, camber=CAMBER)
    mesh, n_panel = half.mesh, 4
    corners = bound_corners(mesh, n_panel)
    control = points_behind(mesh.middle, mesh.chord, three_quarter_points(n_panel)).reshape(-1, 3)
    normal = np.repeat(mesh.normal, n_panel, axis=-2)
    first, last, flip = slice(None, -n_panel), slice(n_panel, None), np.array([1.0, -1.0, 1.0])
    controls, normals = np.concatenate([control, control * flip]), np.concatenate([normal, normal * flip])
    right = [influence(controls, normals, corner, first, last) for corner in corners]
    # The left half has mirrored corners. Its horseshoes also run from left to right, so the outer edge comes first.
    left = [influence(controls, normals, corner * flip, last, first) for corner in corners]
    downwash = lattice.symmetric_downwash(mesh, trimmed_flight.strip_angles(half.wing, mesh), CAMBER, n_panel)
    whole = np.linalg.solve(np.hstack(right + left), -np.concatenate([downwash, downwash]))
    right, left = np.split(whole, 2)
    assert right == pytest.approx(left, rel=ROUNDING, abs=ROUNDING)
    assert half.circulation.reshape(right.shape) == pytest.approx(right, rel=ROUNDING, abs=ROUNDING)


def test_induced_drag_is_never_negative():
    drag = answer(bent_wing(), camber=CAMBER).unit.drag_area_matrix
    assert drag == pytest.approx(drag.T)
    assert np.linalg.eigvalsh(drag)[0] > -ROUNDING * np.abs(drag).max()


@pytest.mark.parametrize("scale", [0.3, 2.5])
def test_scale(scale):
    """Check that with lengths times s, circulation grows as s, forces s^2, moments s^3, and by pitch rate one power
    more."""
    small, large = answer(bent_wing(), camber=CAMBER).unit, answer(bent_wing(scale), camber=CAMBER).unit
    powers = np.array([0, 0, 0, 1])
    for field, power in (
        ("strip_circulation", 1),
        ("lift_area", 2),
        ("moment_volume", 3),
        ("strip_moment", 3),
    ):
        assert getattr(large, field) == pytest.approx(getattr(small, field) * scale ** (power + powers), rel=1e-9)
    grown = small.drag_area_matrix * scale ** (2.0 + powers[:, None] + powers)
    assert large.drag_area_matrix == pytest.approx(grown, rel=1e-8, abs=1e-12)


def test_superposition():
    """Check that twist and camber add, that double twist doubles its column, and that even twist equals alpha."""
    wing = bent_wing()
    plain = wing._replace(twist=np.zeros(4))
    both, twist, camber = (answer(w, camber=c).unit for w, c in ((wing, CAMBER), (wing, FLAT), (plain, CAMBER)))
    for field in ("strip_circulation", "lift_area", "moment_volume"):
        total = getattr(twist, field)[..., 0] + getattr(camber, field)[..., 0]
        assert getattr(both, field)[..., 0] == pytest.approx(total, rel=1e-9)
    doubled = answer(wing._replace(twist=2 * wing.twist)).unit.strip_circulation[:, 0]
    assert doubled == pytest.approx(2 * twist.strip_circulation[:, 0], rel=1e-9)
    turned = answer(plain._replace(twist=np.full(4, 0.05))).unit
    # With dihedral the wing is twisted about its own axis, but alpha turns the complete wing. Both act on the upright
    # part of the normals.
    assert turned.strip_circulation[:, 0] == pytest.approx(0.05 * turned.strip_circulation[:, 1], rel=1e-9)


def test_camber_moment_and_elevon_column_are_free_of_the_matrix():
    # the same wing with another hinge: only the elevon's column may change
    one, other = answer(bent_wing(elevon=0.04), camber=CAMBER), answer(bent_wing(elevon=0.06), camber=CAMBER)
    kept = [0, 1, 3]
    assert one.circulation[..., kept] == pytest.approx(other.circulation[..., kept], rel=1e-9)
    assert np.all(other.unit.lift_area[2] > 1.05 * one.unit.lift_area[2])


def test_signs():
    """Check signs: nose up lifts, elevon down lifts and pitches down about the neutral point, pitching nose up is
    damped."""
    found = answer(
        tapered(6, 0.5, 25)._replace(
            foam_chord=np.array([0.35, 0.17]),
            elevon_chord=np.array([0.09, 0.05]),
            elevon_inner_end=np.asarray(0.1),
            elevon_outer_end=np.asarray(0.95),
        )
    )
    lift, moment = found.unit.lift_area, found.unit.moment_volume + found.neutral_point * found.unit.lift_area
    assert lift[1] > 0 and lift[2] > 0
    assert moment[2] < 0
    about_neutral = moment[3] - found.neutral_point * moment[1]
    assert about_neutral < 0


def test_slopes_share_the_value():
    """Check that the real part of the batch with derivatives equals the circulations of the simple solution."""
    wing = bent_wing()
    batch = wing._replace(
        **{
            name: getattr(wing, name) + 1e-20j * np.eye(3)[:, k, None]
            for k, name in enumerate(("station", "leading_edge", "twist"))
        }
    )
    batch = batch._replace(
        **{
            name: np.broadcast_to(getattr(batch, name), (3, 4)) + 0j
            for name in ("station", "leading_edge", "height", "foam_chord", "elevon_chord", "twist")
        }
    )
    batch = batch._replace(
        **{name: np.full(3, getattr(batch, name)) + 0j for name in ("elevon_inner_end", "elevon_outer_end")}
    )
    mesh = half_wing_mesh(batch)
    found = lattice.symmetric_circulations(mesh, trimmed_flight.strip_angles(batch, mesh), CAMBER)
    plain = answer(wing, camber=CAMBER).circulation
    for direction in found:
        assert direction.real == pytest.approx(plain, rel=ROUNDING, abs=ROUNDING)
    # moving the complete wing aft changes the pitch-rate column only, by a multiple of the alpha column
    assert found[1, ..., 1].imag == pytest.approx(np.zeros_like(plain[..., 1]), abs=1e-28)
    assert found[1, ..., 3].imag / 1e-20 == pytest.approx(plain[..., 1], rel=1e-9)
