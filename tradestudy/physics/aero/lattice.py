"""Thin-surface horseshoe lattice of a half wing and its mirror image: one LU, four right-hand sides.

The four columns are unit responses, per metre per second of airspeed:

0. twist, camber and toe of the fins as built,
1. one radian of angle of attack,
2. one radian of elevon (thin-airfoil ideal; effectiveness is applied where it is used),
3. one radian per metre of pitch rate over airspeed, about the nose datum.

Elevon and camber never touch the matrix: their downwash columns reproduce thin-airfoil lift and
moment exactly in two dimensions, weighted by how much of each strip the elevon covers.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from scipy.linalg import lu_factor, lu_solve

from tradestudy.physics.geometry.mesh import CHORDWISE_PANELS, Mesh

from .horseshoe import Gradient, influence, influence_with_gradient

MIRROR = np.array([1.0, -1.0, 1.0])
N_COLUMN = 4


class SectionCamber(NamedTuple):
    """What the lattice needs to know of a section: its lift and moment at zero angle of attack, undeflected."""

    lift_coefficient: float  # two-dimensional, thin-airfoil equivalent [-]
    moment_coefficient: float  # about the quarter chord, nose up positive [-]
    tip_lift_change: float = 0.0  # the tip's section less the root's, where they differ [-]
    tip_moment_change: float = 0.0  # [-]


class StripAngles(NamedTuple):
    """Per strip of the wing and fin: what makes downwash besides angle of attack. All (..., n_strip)."""

    twist: np.ndarray  # nose up positive [rad]
    camber_share: np.ndarray  # 1 on the wing, 0 on a flat fin [-]
    hinge_fraction: np.ndarray  # hinge behind the leading edge over chord [-]
    elevon_coverage: np.ndarray  # share of the strip width with an elevon [-]
    tip_share: np.ndarray | float = 0.0  # of the tip's section in the strip's, 0 on a fin [-]


def panel_matrix(n_panel=CHORDWISE_PANELS):
    """Return the two-dimensional matrix of downwash at 3/4 points per circulation at 1/4 points, unit chord. [-]"""
    index = np.arange(n_panel)
    bound, control = (index + 0.25) / n_panel, (index + 0.75) / n_panel
    return 1 / (2 * np.pi * (control[:, None] - bound[None, :]))


def thin_airfoil_flap(hinge_fraction):
    """Return lift and quarter-chord moment slopes of a plain flap, trailing edge down. [1/rad]

    Glauert, thin-airfoil theory: with theta = arccos(1 - 2 x_h), cl = 2 (pi - theta + sin theta) and
    cm = -sin(theta) (1 - cos(theta)) / 2.
    """
    theta = np.arccos(1 - 2 * hinge_fraction)
    return 2 * (np.pi - theta + np.sin(theta)), -0.5 * np.sin(theta) * (1 - np.cos(theta))


def flap_downwash(hinge_fraction, n_panel=CHORDWISE_PANELS):
    """Return the downwash column (..., n_panel) of a unit flap deflection on a strip of n panels. [1/rad]

    Panel circulations are the exact Glauert distribution integrated over each panel, then corrected (the
    least change) so that lift and quarter-chord moment of the panel vortices are exact.
    """
    theta_hinge = np.arccos(1 - 2 * np.asarray(hinge_fraction))[..., None]
    edges = np.arccos(1 - 2 * np.arange(n_panel + 1) / n_panel)
    circulation = np.diff(_flap_circulation(theta_hinge, edges), axis=-1)
    lift, moment = thin_airfoil_flap(hinge_fraction)
    # unit speed and chord: lift = 2 sum(G), moment about c/4 = -2 sum(G (x - 1/4))
    arm, correction, matrix = _panel_constants(n_panel)
    missing_lift = 0.5 * lift - circulation.sum(-1)
    missing_moment = -0.5 * moment - (circulation * arm).sum(-1)
    circulation = circulation + missing_lift[..., None] * correction[0] + missing_moment[..., None] * correction[1]
    return circulation @ matrix.T


@lru_cache(maxsize=8)
def _panel_constants(n_panel):
    """Arms about the quarter chord, least-change corrections of lift and moment, and the panel matrix."""
    arm = (np.arange(n_panel) + 0.25) / n_panel - 0.25
    basis = np.stack([np.ones(n_panel), arm])
    return arm, np.linalg.solve(basis @ basis.T, basis), panel_matrix(n_panel)


def _flap_circulation(theta_hinge, theta):
    """Circulation ahead of theta for unit deflection and chord, Glauert's plain flap summed in closed form.

    gamma = 2 (a0 (1 + cos)/sin + L/pi), a0 = 1 - th/pi, L = ln|sin((t + th)/2) / sin((t - th)/2)|; by parts
    the integral over x is a0 (t + sin t) + ((cos th - cos t) L + t sin th)/pi.
    """
    a0 = 1 - theta_hinge / np.pi
    ratio = np.sin(0.5 * (theta + theta_hinge)) ** 2 / (np.sin(0.5 * (theta - theta_hinge)) ** 2 + 1e-200)
    log = 0.5 * np.log(ratio + 1e-200)
    return (
        a0 * (theta + np.sin(theta))
        + ((np.cos(theta_hinge) - np.cos(theta)) * log + theta * np.sin(theta_hinge)) / np.pi
    )


@lru_cache(maxsize=8)
def camber_downwash(camber, n_panel=CHORDWISE_PANELS):
    """Return the downwash (n_panel,) that gives the section's lift and moment exactly in two dimensions. [-]"""
    bound = (np.arange(n_panel) + 0.25) / n_panel
    # pure moment: the A1 = 1, A0 = -1/2 loading, integrated per panel, freed of any lift
    edges = np.arccos(1 - 2 * np.arange(n_panel + 1) / n_panel)
    shape = np.diff(-0.5 * (edges + np.sin(edges)) + 0.5 * edges - 0.25 * np.sin(2 * edges))
    shape = shape - shape.mean()
    shape = shape * (-0.5 * camber.moment_coefficient) / (shape * bound).sum()
    return panel_matrix(n_panel) @ shape + camber.lift_coefficient / (2 * np.pi)


def _fractions(n_panel):
    index = np.arange(n_panel)
    return (index + 0.25) / n_panel, (index + 0.75) / n_panel


def _panel_points(mesh: Mesh, n_panel):
    """Return bound-vortex corners of wing and fins, a list of (..., p, 3), control points and normals (..., m, 3).

    Corners run edge by edge, ``n_panel`` on each; control points strip by strip.
    """
    bound, three_quarter = _fractions(n_panel)
    corners = []
    for part in mesh.surfaces:
        edge = np.concatenate([mesh.inner_edge[..., part, :], mesh.outer_edge[..., part, :][..., -1:, :]], axis=-2)
        chord = np.concatenate([mesh.inner_chord[..., part], mesh.outer_chord[..., part][..., -1:]], axis=-1)
        corners.append(_aft(edge, chord, bound))
    control = _aft(mesh.middle, mesh.chord, three_quarter)
    return corners, control, np.repeat(mesh.normal, n_panel, axis=-2)


def _aft(point, chord, fractions):
    """Points behind ``point`` by fractions of ``chord``: (..., n, 3) and (..., n) to (..., n * f, 3)."""
    shift = np.zeros((*chord.shape, len(fractions), 3), dtype=chord.dtype)
    shift[..., 0] = chord[..., None] * fractions
    points = point[..., None, :] + shift
    return points.reshape(*points.shape[:-3], -1, 3)


def right_hand_sides(mesh, angles, camber, n_panel=CHORDWISE_PANELS):
    """Return the four downwash columns (..., n_strip * n_panel, 4) that the vortices must cancel.

    Over airspeed: [-], [1/rad], [1/rad], [m/rad].
    """
    upright = mesh.normal[..., 2]
    ones = np.ones(n_panel)
    built = (angles.twist * upright + mesh.toe)[..., None] * ones + angles.camber_share[..., None] * camber_downwash(
        camber, n_panel
    )
    if camber.tip_lift_change or camber.tip_moment_change:  # both are linear in the downwash: so is any blend
        change = SectionCamber(camber.tip_lift_change, camber.tip_moment_change)
        built = built + np.asarray(angles.tip_share)[..., None] * camber_downwash(change, n_panel)
    alpha = upright[..., None] * ones
    elevon = angles.elevon_coverage[..., None] * flap_downwash(angles.hinge_fraction, n_panel)
    three_quarter = _fractions(n_panel)[1]
    aft = mesh.middle[..., 0, None] + mesh.chord[..., None] * three_quarter
    columns = np.stack([built, alpha + 0 * built, elevon + 0 * built, alpha * aft + 0 * built], axis=-1)
    return columns.reshape(*columns.shape[:-3], -1, N_COLUMN)


def strip_columns(mesh, n_panel=CHORDWISE_PANELS):
    """Return the downwash (..., n_strip * n_panel, n_wing) of one radian of incidence on each wing strip alone. [1/rad]

    The same columns serve both flows: in antisymmetric flow the mirror image's strip turns nose down.
    """
    alone = mesh.normal[..., 2, None] * np.eye(mesh.normal.shape[-2], mesh.n_wing)
    return np.repeat(alone, n_panel, axis=-2)


def normalwash(mesh, n_panel=CHORDWISE_PANELS):
    """Return the normal velocity at every control point per panel circulation: own half, mirror image. (m, m) [1/m]

    Their sum is the matrix of symmetric flow, their difference that of antisymmetric flow.
    """
    corners, control, normal = _panel_points(mesh, n_panel)
    both = np.concatenate([control, control * MIRROR]), np.concatenate([normal, normal * MIRROR])
    value = np.concatenate(
        [influence(*both, corner, slice(None, -n_panel), slice(n_panel, None)) for corner in corners], axis=1
    )
    return value[: len(control)], value[len(control) :]


class MovingNormalwash(NamedTuple):
    """``normalwash`` of a mesh that moves along k directions, and what its slopes are made of."""

    own: np.ndarray  # (m, m) [1/m]
    image: np.ndarray  # (m, m) [1/m]
    gradients: list[Gradient]  # by surface: rows of the own half, then of its mirror image
    control_slope: np.ndarray  # (k, 2 m, 3), as the rows
    normal_slope: np.ndarray
    corner_slopes: list[np.ndarray]  # by surface (k, p, 3)
    matrices: np.ndarray | None = None  # slopes (n_moving, 2 m, m) along the directions that move anything [1/m]

    def slope_times(self, image_sign, vector):
        """Return the slopes of own + ``image_sign`` x image times ``vector`` (m, c): (k, m, c)."""
        half = len(self.own)
        if self.matrices is not None:
            product = np.zeros((len(self.control_slope), *vector.shape))
            product[self._moving()] = (self.matrices[:, :half] + image_sign * self.matrices[:, half:]) @ vector
            return product
        total, first = 0.0, 0
        for gradient, *points in self._surfaces():
            count = gradient.by_normal.shape[-1]
            total = total + gradient.slope_times(*points, vector[first : first + count])
            first += count
        return total[:, :half] + image_sign * total[:, half:]

    def with_matrices(self):
        """Return the MovingNormalwash with its slope matrices made, which pays from a dozen columns on."""
        moving = self._moving()
        parts = [gradient.slopes(*(points[moving] for points in moved)) for gradient, *moved in self._surfaces()]
        return self._replace(matrices=np.concatenate(parts, axis=-1))

    def _moving(self):
        """Directions that move anything."""
        return np.flatnonzero(
            sum(part.any(axis=(1, 2)) for part in (self.control_slope, self.normal_slope, *self.corner_slopes))
        )

    def _surfaces(self):
        """By surface: its gradient, and how control points, normals, first and second corners move."""
        for gradient, corner in zip(self.gradients, self.corner_slopes, strict=True):
            n_panel = corner.shape[1] - gradient.by_normal.shape[-1]  # the corners of one edge more than horseshoes
            yield gradient, self.control_slope, self.normal_slope, corner[:, :-n_panel], corner[:, n_panel:]


def normalwash_with_slopes(mesh, n_panel=CHORDWISE_PANELS):
    """Return the MovingNormalwash of a complex ``mesh``, whose one leading axis of directions shares its real part."""
    corners, control, normal = _panel_points(mesh, n_panel)
    real_control, real_normal, *real_corners = (a[0].real for a in (control, normal, *corners))
    control_slope, normal_slope, *corner_slopes = (a.imag for a in (control, normal, *corners))
    both = (np.concatenate([real_control, real_control * MIRROR]), np.concatenate([real_normal, real_normal * MIRROR]))
    both_slopes = (
        np.concatenate([control_slope, control_slope * MIRROR], axis=1),
        np.concatenate([normal_slope, normal_slope * MIRROR], axis=1),
    )
    values, gradients = zip(
        *(
            influence_with_gradient(*both, corner, slice(None, -n_panel), slice(n_panel, None))
            for corner in real_corners
        ),
        strict=True,
    )
    value, half = np.concatenate(values, axis=-1), len(real_control)
    return MovingNormalwash(value[:half], value[half:], list(gradients), *both_slopes, corner_slopes)


def circulations(mesh, angles, camber, n_panel=CHORDWISE_PANELS, influences=None, strips=False):
    """Return panel circulations of the four unit columns, per airspeed: (n_strip, n_panel, 4) [m].

    ``mesh`` and ``angles`` are real and without batch axes. The flow is symmetric. ``influences`` spares the kernel
    when ``normalwash`` of this mesh is at hand; ``strips`` appends ``strip_columns``.
    """
    own, image = influences or normalwash(mesh, n_panel)
    wanted = -right_hand_sides(mesh, angles, camber, n_panel)
    wanted = with_strip_columns(wanted, mesh, n_panel) if strips else wanted
    circulation = lu_solve(lu_factor(own + image, check_finite=False), wanted, check_finite=False)
    return circulation.reshape(-1, n_panel, wanted.shape[-1])


def with_strip_columns(wanted, mesh, n_panel=CHORDWISE_PANELS):
    """Return wanted normal velocities (..., m, n) with those of ``strip_columns`` behind: (..., m, n + n_wing). [-]"""
    return np.concatenate([wanted, -strip_columns(mesh, n_panel)], axis=-1)


def circulations_with_slopes(mesh, angles, camber, n_panel=CHORDWISE_PANELS, influences=None, strips=False):
    """Return ``circulations`` as a complex batch (k, n_strip, n_panel, 4) whose imaginary part is the exact slope. [m]

    ``mesh`` and ``angles`` are complex with one leading axis of k directions that share their real part. The
    slopes are tangents on the same LU: dG = A^-1 (dR - dA G). ``influences`` (``normalwash_with_slopes``) spares
    the kernel; ``strips`` appends ``strip_columns``.
    """
    influences = influences or normalwash_with_slopes(mesh, n_panel)
    wanted = -right_hand_sides(mesh, angles, camber, n_panel)
    wanted = with_strip_columns(wanted, mesh, n_panel) if strips else wanted
    answer = solved_with_slopes(influences, 1.0, wanted)
    return answer.reshape(len(wanted), -1, n_panel, wanted.shape[-1])


def solved_with_slopes(influences, image_sign, wanted):
    """Return the circulations that give ``wanted`` as a complex batch (k, m, n) [m]: value and exact slopes.

    ``influences``: MovingNormalwash; ``image_sign``: 1 in symmetric flow, -1 in antisymmetric flow; ``wanted``
    (k, m, n) complex, all with one real part.
    """
    factors = lu_factor(influences.own + image_sign * influences.image, check_finite=False)
    value = lu_solve(factors, wanted[0].real, check_finite=False)
    tangent = wanted.imag - influences.slope_times(image_sign, value)
    active = tangent.any(axis=1)  # most directions leave most columns alone
    slopes = np.zeros_like(tangent)
    stacked = lu_solve(factors, np.swapaxes(tangent, 1, 2)[active].T, check_finite=False)
    np.swapaxes(slopes, 1, 2)[active] = stacked.T
    return value + 1j * slopes


class UnitLoads(NamedTuple):
    """Responses of the four unit columns, speed squared and density divided out.

    ``strip_circulation``: (..., n_strip, 4) [m]; ``strip_lift``: lift of the half-wing strips over dynamic
    pressure (..., n_strip, 4) [m^2]; ``lift_area``, ``moment_volume``: whole-wing lift and pitching moment
    about the nose datum over dynamic pressure (..., 4) [m^2], [m^3]; ``drag_area_matrix``: induced drag over
    dynamic pressure as a quadratic form (..., 4, 4) [m^2].
    """

    strip_circulation: np.ndarray
    strip_lift: np.ndarray
    strip_moment: np.ndarray
    lift_area: np.ndarray
    moment_volume: np.ndarray
    drag_area_matrix: np.ndarray


def unit_loads(mesh, circulation):
    """Return UnitLoads of the columns by Kutta-Joukowski with the free stream, drag from the Trefftz plane."""
    strip = circulation.sum(-2)
    strip_lift, strip_moment = strip_loads(mesh, circulation)
    wake = trefftz_normalwash(mesh)
    drag = -2 * np.swapaxes(strip, -1, -2) @ ((mesh.width[..., :, None] * wake) @ strip)
    drag = 0.5 * (drag + np.swapaxes(drag, -1, -2))
    return UnitLoads(strip, strip_lift, strip_moment, 2 * strip_lift.sum(-2), 2 * strip_moment.sum(-2), drag)


def first_columns(unit):
    """Return the UnitLoads of the four rigid columns alone, strip columns left off."""
    rigid = slice(0, N_COLUMN)
    return UnitLoads(*(part[..., rigid] for part in unit[:-1]), unit.drag_area_matrix[..., rigid, rigid])


def strip_loads(mesh, circulation):
    """Return lift and moment about the nose datum of half-wing strips over dynamic pressure, by Kutta-Joukowski.

    ``circulation`` (..., n_strip, n_panel, n_column) [m]; both (..., n_strip, n_column) [m^2], [m^3].
    """
    bound = _fractions(circulation.shape[-2])[0]
    spread = mesh.outer_edge[..., 1] - mesh.inner_edge[..., 1]
    bound_aft = mesh.middle[..., 0, None] + mesh.chord[..., None] * bound
    first_moment = (bound_aft[..., None] * circulation).sum(-2)
    return 2 * spread[..., None] * circulation.sum(-2), -2 * spread[..., None] * first_moment


def hung_on_wing(mesh, strip_force):
    """Return what wing strips carry, that of each fin hung on the strip inside of its foot: (..., n_wing, n_column).

    ``strip_force`` (..., n_strip, n_column), lift [m^2] or moment [m^3] over dynamic pressure, or times it.
    """
    carried = strip_force[..., : mesh.n_wing, :] + 0.0
    for foot, strips in zip(mesh.fin_feet, mesh.surfaces[1:], strict=True):
        carried[..., foot, :] += strip_force[..., strips, :].sum(-2)
    return carried


def trefftz_normalwash(mesh, image=1.0):
    """Return normal velocity at the mid-angle wake points per strip circulation, mirror image included. [1/m]

    ``image`` is the sign of the mirror image's circulation: 1 in symmetric flow, -1 in antisymmetric flow.
    """
    point, normal = mesh.middle, mesh.normal
    total = 0.0
    for side, share in ((1.0, 1.0), (-1.0, image)):
        for edge, sign in ((mesh.outer_edge, share), (mesh.inner_edge, -share)):
            y = side * point[..., :, None, 1] - edge[..., None, :, 1]
            z = point[..., :, None, 2] - edge[..., None, :, 2]
            ny, nz = side * normal[..., :, None, 1], normal[..., :, None, 2]
            total = total + sign * (nz * y - ny * z) / (2 * np.pi * (y * y + z * z))
    return total
