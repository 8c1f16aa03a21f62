"""Antisymmetric lattice: properties at any accuracy, limits of strip theory, derivatives, order of convergence."""

import numpy as np
import pytest
from helpers.references.lateral_answers import sideways
from helpers.wings.wings import FLAT, answer, bound_corners, outline, points_behind, tapered

from tradestudy.physics.aero import lateral, lattice
from tradestudy.physics.aero.horseshoe import influence
from tradestudy.physics.aero.thin_airfoil import three_quarter_points
from tradestudy.physics.flight import trimmed_flight
from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.fins import SheetFin
from tradestudy.physics.geometry.mesh import half_wing_mesh

ROUNDING = 1e-10  # relative rounding error of linear systems of some hundred unknowns
CAMBER = lattice.SectionCamber(0.12, -0.015)
FIN = SheetFin(*(np.asarray(length) for length in (0.13, 0.15, 0.09, 0.06, 0.02)))


def bent_wing(scale=1.0, twist=(0, 0, -0.03, -0.05)):
    return outline(
        scale * np.array([0, 0.05, 0.5, 0.7]),
        scale * np.array([0, 0, 0.2, 0.27]),
        scale * np.array([0.28, 0.28, 0.18, 0.14]),
        twist=twist,
        height=scale * np.array([0, 0, 0.02, 0.05]),
        elevon_chord=np.full(4, scale * 0.04),
        elevon=(0.07 * scale, 0.6 * scale),
    )


def scaled_fin(scale):
    return SheetFin(*(scale * length for length in FIN[:5]))


def as_array(result):
    return np.array([float(value) for value in result])


def whole_wing_solution(wing, fin, downwash):
    """Return circulations of right and left panels with both halves as separate unknowns, without a mirror image.

    ``downwash``, of shape (m,), is that at the right control points. At the left ones it has the opposite sign.
    """
    mesh, n_panel = half_wing_mesh(wing, (fin,) if fin else ()), 4
    corners = bound_corners(mesh, n_panel)
    control = points_behind(mesh.middle, mesh.chord, three_quarter_points(n_panel)).reshape(-1, 3)
    normal = np.repeat(mesh.normal, n_panel, axis=-2)
    flip = np.array([1.0, -1.0, 1.0])
    controls, normals = np.concatenate([control, control * flip]), np.concatenate([normal, normal * flip])
    right = np.concatenate(
        [influence(controls, normals, corner, slice(None, -n_panel), slice(n_panel, None)) for corner in corners],
        axis=1,
    )
    # the left horseshoes also run from left to right, so the outer corner comes first
    left = np.concatenate(
        [
            influence(controls, normals, corner * flip, slice(n_panel, None), slice(None, -n_panel))
            for corner in corners
        ],
        axis=1,
    )
    return np.linalg.solve(np.hstack([right, left]), -np.concatenate([downwash, -downwash]))


@pytest.mark.parametrize("fin", [None, FIN], ids=["plain", "fins"])
def test_half_model_equals_whole_wing(fin):
    """Check for every right-hand side that left circulations are minus the right ones, and those of the half model."""
    wing = bent_wing()
    mesh = half_wing_mesh(wing, (fin,) if fin else ())
    angles = trimmed_flight.strip_angles(wing, mesh)
    sides = lateral.antisymmetric_velocities(mesh, lattice.symmetric_downwash(mesh, angles, CAMBER))
    half = lateral.antisymmetric_circulations(mesh, angles, CAMBER).reshape(sides.shape)
    for column in range(lateral.N_ANTISYMMETRIC):
        right, left = np.split(whole_wing_solution(wing, fin, sides[:, column]), 2)
        size = np.abs(right).max()
        assert left == pytest.approx(-right, rel=1e-9, abs=ROUNDING * size)
        assert half[:, column] == pytest.approx(right, rel=1e-9, abs=ROUNDING * size)


def test_shared_kernel_gives_the_same():
    wing = bent_wing()
    mesh = half_wing_mesh(wing, (FIN,))
    angles = trimmed_flight.strip_angles(wing, mesh)
    shared = lattice.normalwash(mesh)
    for solve in (lattice.symmetric_circulations, lateral.antisymmetric_circulations):
        alone, from_shared = (solve(mesh, angles, CAMBER, influences=given) for given in (None, shared))
        assert np.array_equal(alone, from_shared)


def test_flat_unswept_wing_has_no_sideslip_derivatives():
    # no dihedral, sweep or fins (for sweep, mid-points of all bound legs are in line only with constant chord)
    result = sideways(tapered(6, 1, 0), 0.8).derivatives
    for name in ("roll_sideslip", "yaw_sideslip", "side_sideslip"):
        assert getattr(result, name) == pytest.approx(0.0, abs=1e-12)


def test_without_lift_a_flat_wing_only_damps_in_roll():
    result = sideways(tapered(6, 0.5, 25), 0.0).derivatives
    assert result.roll_roll < -0.3
    quiet = as_array(result._replace(roll_roll=0.0))
    assert quiet == pytest.approx(np.zeros(12), abs=1e-12)


@pytest.mark.parametrize("scale", [0.3, 2.5])
def test_size_and_speed_do_not_matter(scale):
    """Check that coefficients do not change if all lengths of a wing are scaled. Airspeed is in no formula."""
    small = sideways(bent_wing(), 0.5, FIN, camber=CAMBER, height=0.01, profile_drag=0.01).derivatives
    large = sideways(
        bent_wing(scale), 0.5, scaled_fin(scale), camber=CAMBER, height=0.01 * scale, profile_drag=0.01
    ).derivatives
    assert as_array(large) == pytest.approx(as_array(small), rel=ROUNDING, abs=1e-12)


def test_mirror_image():
    """Check that the mirrored wing has the same derivatives: its antisymmetric solutions change sign with its y."""
    wing = bent_wing()
    mesh = half_wing_mesh(wing, (FIN,))
    angles = trimmed_flight.strip_angles(wing, mesh)
    flip = np.array([1.0, -1.0, 1.0])
    # edges swap, so that the inner one has the smaller y; the order of strips stays
    other = mesh._replace(
        inner_edge=mesh.outer_edge * flip,
        outer_edge=mesh.inner_edge * flip,
        middle=mesh.middle * flip,
        normal=mesh.normal * flip,
        inner_chord=mesh.outer_chord,
        outer_chord=mesh.inner_chord,
    )
    right, left = (
        lateral.antisymmetric_velocities(one, lattice.symmetric_downwash(one, angles, CAMBER)) for one in (mesh, other)
    )
    # right elevon up means left elevon down: the column as built is that of the right half
    elevon = lateral.DIFFERENTIAL_ELEVON
    signs = np.where(np.arange(lateral.N_ANTISYMMETRIC) == elevon, 1.0, -1.0)
    assert left == pytest.approx(right * signs, rel=1e-12, abs=1e-14)


def test_lift_dependent_parts_add_up():
    """Check that without symmetric circulation the constant part is left, and the rest is linear and quadratic in lift.

    Three lifts determine a parabola, and a fourth must lie on it. Exceptions are profile drag and the turn into
    stability axes, which adds one power to each moment.
    """
    at = {lift: as_array(sideways(bent_wing(), lift, FIN).derivatives) for lift in (-0.2, 0.1, 0.4, 0.7, 1.0)}
    lifts = np.array(list(at))
    # roll and yaw contain alpha up to the fourth power, which needs five points, so only side force is checked here
    side = np.array([values[8:] for values in at.values()])
    for power, column in zip((1, 2, 2, 1), side.T, strict=True):
        fitted = np.polynomial.Polynomial.fit(lifts, column, power + 1)
        assert fitted(lifts) == pytest.approx(column, rel=1e-9, abs=1e-12)


def test_elevon_halves_add_up():
    """Check that the rolling moment of the complete elevon is that of its inner plus its outer part."""

    def rolled(inner, outer):
        wing = bent_wing()._replace(elevon_inner_end=np.asarray(inner), elevon_outer_end=np.asarray(outer))
        result = sideways(wing, 0.4).derivatives
        return np.array([result.roll_elevon, result.yaw_elevon, result.side_elevon])

    assert rolled(0.1, 0.3) + rolled(0.3, 0.6) == pytest.approx(rolled(0.1, 0.6), rel=1e-9)


def test_dihedral_and_sweep_add_up():
    """Check that dihedral effect without lift plus the effect of lift equals both together."""

    def bent(angle):
        return outline([0, 1], [0, 0.466], [0.44, 0.22], height=[0, np.tan(angle)])

    both = sideways(bent(0.1), 0.5).derivatives.roll_sideslip
    dihedral = sideways(bent(0.1), 0.0).derivatives.roll_sideslip
    sweep = sideways(bent(0.0), 0.5).derivatives.roll_sideslip
    # tolerance 3 %: with dihedral, panels are 0.5 % longer, lift slope is 1 % lower, and angle of attack 1 % higher
    assert both == pytest.approx(dihedral + sweep, rel=0.03)


def test_signs():
    """Check signs: the windward wing rises, fins turn into the wind, rates are damped, yaw to the right rolls right."""
    result = sideways(bent_wing(), 0.5, FIN).derivatives
    assert result.roll_sideslip < 0 < result.yaw_sideslip
    assert result.roll_roll < 0 and result.yaw_yaw < 0 < result.roll_yaw
    assert result.side_sideslip < 0
    assert result.roll_elevon > 0  # the right elevon up rolls the right wing down
    plain = sideways(bent_wing(twist=np.zeros(4)), 0.5).derivatives
    assert plain.yaw_elevon < 0  # adverse yaw: the lifting left wing has more drag
    assert plain.yaw_roll < 0


def test_dihedral_effect_of_sweep_by_strips():
    """Compare with Cl_beta = -CL tan(sweep) x spanwise centre of lift / span, with the sweep of each bound leg.

    With aspect ratio A, tan(sweep) differs between rows of panels by (A/4)(1 - taper)/(1 + taper) of their distance in
    chords: 2 %.
    """
    solved = sideways(tapered(6, 0.5, 25), 0.5)
    strips = -0.5 * np.tan(np.radians(25)) * 0.5 * solved.plain.centre_of_pressure
    assert solved.derivatives.roll_sideslip == pytest.approx(strips, rel=0.02)
    assert solved.derivatives.roll_sideslip == pytest.approx(-0.05, abs=0.005)  # common practice, no source
    double = sideways(tapered(6, 0.5, 25), 1.0).derivatives.roll_sideslip
    assert double == pytest.approx(2 * solved.derivatives.roll_sideslip, rel=0.02)  # plus alpha^2 yaw stiffness x alpha
    forward = sideways(tapered(6, 0.5, -25), 0.5).derivatives.roll_sideslip
    assert forward > 0.03


def test_profile_drag_by_hand():
    """Compare with strip sums: profile drag cd damps roll by cd <y^2>, yaw by twice that, and sideslip by cd."""
    wing = tapered(6, 1, 0)
    without, with_drag = (as_array(sideways(wing, 0.0, counts=[24], profile_drag=cd).derivatives) for cd in (0.0, 0.02))
    added = lateral.LateralDerivatives(*(with_drag - without))
    # mean of (y / half span)^2 is 1/3; the sum over N mid-angle points has an error of order 1/N^2: 0.2 % at 24
    assert added.roll_roll == pytest.approx(-0.02 / 6, rel=5e-3)
    assert added.yaw_yaw == pytest.approx(-0.02 / 3, rel=5e-3)
    assert added.side_sideslip == pytest.approx(-0.02, rel=1e-9)


def fin_lift_slope(aspect_ratio):
    return 2 * np.pi * aspect_ratio / (2 + np.sqrt(aspect_ratio**2 + 4))


@pytest.mark.parametrize("height", [0.1, 0.2, 0.35])
def test_fins_lie_between_bare_and_end_plated(height):
    """Check that the side force of both fins is between that of fins alone and that of fins on an infinite wall.

    Both are by Helmbold's formula. The wall doubles the aspect ratio; a wing is a wall of finite chord.
    """
    fin = SheetFin(*(np.asarray(length) for length in (height, 0.2, 0.12, 0.1, 0.03)))
    solved = sideways(tapered(6, 0.5, 25), 0.0, fin)
    area = 0.5 * (0.2 + 0.12) * height
    alone, walled = (2 * area / solved.plain.areas.area * fin_lift_slope(k * height**2 / area) for k in (1, 2))
    assert alone < -solved.derivatives.side_sideslip < walled
    # it acts near the quarter chord of the fins: within 5 % of the mean fin chord times their force
    chord = 0.16
    place = solved.plain.wing.leading_edge[-1] + 0.03 + 0.05 + 0.25 * chord
    arm = (place - solved.plain.neutral_point) / 2.0
    found_arm = solved.derivatives.yaw_sideslip / -solved.derivatives.side_sideslip
    # small fins also induce load ahead of or behind their quarter chord
    assert found_arm == pytest.approx(arm, abs=0.25 * chord / 2.0)


@pytest.mark.parametrize(("name", "lift", "least"), [("roll_roll", 0.0, 1.4), ("roll_sideslip", 0.5, 1.0)])
@pytest.mark.parametrize("wing", [(6, 0.5, 25), (5, 1, 45)])
def test_order_of_convergence(name, lift, least, wing):
    """Check orders with panels doubled both ways, three times: 1.6 to 2.0 for damping, 1.1 to 1.6 for dihedral effect.

    The second is of sweep, and the kink at the root reduces it to first order. The mesh in use is within 0.5 % of the
    finest.
    """
    values = np.array(
        [
            getattr(sideways(tapered(*wing), lift, counts=[n], n_panel=m).derivatives, name)
            for n, m in ((6, 2), (12, 4), (24, 8), (48, 16))
        ]
    )
    change = np.abs(np.diff(values))
    assert np.all(np.log2(change[:-1] / change[1:]) > least)
    assert values[1] == pytest.approx(values[-1], rel=5e-3)


def shape(inputs):
    """Return mesh, angles and areas of a wing with dihedral, from six numbers with any batch shape."""
    tip, set_back, chord, rise, twist, hinge = np.moveaxis(np.asarray(inputs), -1, 0)
    zero = 0 * tip

    def ends(root, end):
        return np.stack([root + zero, root + zero, end + zero], axis=-1)

    wing = planform.Planform(
        np.stack([zero, 0.05 + zero, tip], axis=-1),
        ends(0, set_back),
        ends(0, rise),
        ends(0.235, chord),
        ends(0.04, hinge),
        ends(0, twist),
        0.1 + zero,
        0.9 * tip,
        zero,
        zero,
        ("centre", "panel"),
    )
    fin = SheetFin(0.13 + zero, chord, 0.6 * chord, 0.06 + zero, 0.02 + zero)
    mesh = half_wing_mesh(wing, (fin,))
    return mesh, trimmed_flight.strip_angles(wing, mesh), planform.areas(wing)


START = np.array([0.6, 0.25, 0.15, 0.03, -0.04, 0.03])


def everything(inputs):
    mesh, angles, areas = shape(inputs)
    plain = lattice.symmetric_circulations(mesh, angles, CAMBER)
    skew = lateral.antisymmetric_circulations(mesh, angles, CAMBER)
    lean = np.asarray(inputs)[..., 1]  # lift, elevon and balance also change with the shape
    amplitude = np.stack([1 + 0 * lean, 0.2 * lean, -0.1 * lean, 0 * lean], axis=-1)
    result = lateral.derivatives(mesh, areas, plain, skew, amplitude, 0.6 * lean, 0.1 * lean, 0.8, 0.012)
    return np.stack(result, axis=-1)


def test_slopes():
    """Compare derivatives with fourth-order differences of the values, within 1e-6 of the largest.

    Derivatives are by tangents on the LU decomposition and sums that are safe for complex numbers.
    """
    step = 1e-20
    exact = everything(START + 1j * step * np.eye(6)).imag / step
    for direction, along in enumerate(np.eye(6)):
        small = 2e-4 * along * np.abs(START[direction])
        values = [everything(START + k * small) for k in (-2, -1, 1, 2)]
        difference = np.array([1, -8, 8, -1]) @ values / (12 * small[direction])
        # truncation (2e-4)^4 = 2e-15, rounding 1e-13 / 2e-4 of the values
        scale = np.abs(exact).max(axis=0) + 1e-3
        assert np.all(np.abs(exact[direction] - difference) < 1e-6 * scale)


def test_values_of_a_batch_are_those_alone():
    batch = everything(START + 1e-20j * np.eye(6))
    assert batch.real == pytest.approx(np.broadcast_to(everything(START), batch.shape), rel=1e-10, abs=1e-13)


def test_conditions_are_an_axis():
    """Check that two conditions at once equal each alone, with real balance and effectiveness."""
    wing = bent_wing()
    plain = answer(wing, FIN, camber=FLAT)
    skew = lateral.antisymmetric_circulations(plain.mesh, trimmed_flight.strip_angles(wing, plain.mesh), FLAT)
    amplitude = np.array([[1, 0.05, -0.02, 0], [1, 0.12, 0.03, 0]])

    def at(which):
        return np.array(
            lateral.derivatives(
                plain.mesh,
                plain.areas,
                plain.circulation,
                skew,
                amplitude[which],
                np.asarray(0.2),
                np.asarray(0.0),
                0.8,
                0.01,
            )
        )

    assert at(slice(None)) == pytest.approx(np.concatenate([at([0]), at([1])], axis=1), rel=1e-12)


def test_datum_does_not_matter():
    """Check that nothing changes if the wing and its balance point move aft and up."""
    wing = bent_wing()
    moved = wing._replace(leading_edge=wing.leading_edge + 0.4, height=wing.height + 0.3)
    here = sideways(wing, 0.6, FIN, centre=0.2, height=0.01, camber=CAMBER, profile_drag=0.01).derivatives
    there = sideways(moved, 0.6, FIN, centre=0.6, height=0.31, camber=CAMBER, profile_drag=0.01).derivatives
    assert as_array(there) == pytest.approx(as_array(here), rel=1e-8, abs=1e-12)


def test_air_velocity_is_a_turn_about_the_stability_axes():
    """Check that air moves against the wing by axis x arm: roll about (1, 0, a), yaw about (-a, 0, 1).

    Here a is the angle of attack, and axes are aft, right, up.
    """
    arm, alpha = np.array([0.3, -0.4, 0.12]), 0.07
    along, across, up = np.array([1, *arm]) @ lateral._air_motions(np.array(alpha))
    assert (along[1], across[1], up[1]) == pytest.approx(np.cross([1, 0, alpha], arm))
    assert (along[2], across[2], up[2]) == pytest.approx(np.cross([-alpha, 0, 1], arm))
    assert (along[0], across[0], up[0]) == (0, -1, 0)


@pytest.mark.parametrize("source", ["twist", "elevon"])
def test_yawing_derivatives_do_not_depend_on_the_source_of_lift(source):
    """Check that derivatives by yaw rate are equal for lift by angle of attack, by even twist, or by a full-chord
    elevon.

    Twist turns each strip about itself, and angle of attack the complete wing. They differ by alpha squared (0.3 %)
    times factors of order one. The elevon keeps 2 % of chord ahead of its hinge, so its lift is 1.5 % short.
    """
    angle = 0.05
    wing = tapered(6, 1, 0)
    chord = wing.chord[0]
    wing = wing._replace(
        foam_chord=np.full(2, 0.02 * chord),
        elevon_chord=np.full(2, 0.98 * chord),
        elevon_outer_end=np.asarray(1.0),
        twist=np.full(2, angle),
    )
    plain = answer(wing)
    skew = lateral.antisymmetric_circulations(plain.mesh, trimmed_flight.strip_angles(wing, plain.mesh), FLAT)

    def result(amplitude):
        return as_array(
            lateral.LateralDerivatives(
                *lateral.derivatives(
                    plain.mesh, plain.areas, plain.circulation, skew, np.array(amplitude), np.asarray(0.25 * chord)
                )
            )
        )

    by_alpha = result([0.0, angle, 0.0, 0.0])
    other = result([1.0, 0, 0, 0] if source == "twist" else [0.0, 0, angle, 0])
    for name in ("roll_yaw", "yaw_yaw", "yaw_roll"):
        index = lateral.LateralDerivatives._fields.index(name)
        assert other[index] == pytest.approx(by_alpha[index], rel=0.02 if source == "twist" else 0.05)


def test_elevon_effectiveness_is_a_factor():
    total, part = (sideways(bent_wing(), 0.4, effectiveness=share).derivatives for share in (1.0, 0.8))
    for name in ("roll_elevon", "yaw_elevon", "side_elevon"):
        assert getattr(part, name) == pytest.approx(0.8 * getattr(total, name), rel=1e-12)
    assert part.roll_roll == total.roll_roll
