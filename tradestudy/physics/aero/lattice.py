"""Thin-surface horseshoe lattice of a half wing and its mirror image. It is solved once for four load cases.

A column is one right-hand side of the linear system, a unit load case, or the response to it. The four symmetric
columns are per metre per second of airspeed:

0. twist, camber and toe of the fins as built,
1. one radian of angle of attack,
2. one radian of elevon by thin-airfoil theory (the user of the result applies the elevon's effectiveness),
3. one radian per metre of pitch rate over airspeed, about the nose datum.

Elevon and camber do not enter the matrix. Their downwash columns reproduce thin-airfoil lift and moment exactly in two
dimensions (`thin_airfoil`), weighted by the share of each strip that the elevon covers. `lateral` solves the
antisymmetric columns with the same kernel. tests/published checks the lattice against known values (Bertin, DeYoung,
Weber and others).

"(...)" means arrays of any batch shape. The shape letters are m for control points and k for directions of a
derivative.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from tradestudy.physics.geometry.mesh import Mesh, strip_edges
from tradestudy.physics.linear import inverse, solved

from .horseshoe import Horseshoes, Sight, velocities, velocities_with_slopes
from .thin_airfoil import (
    CHORDWISE_PANELS,
    camber_downwash,
    flap_downwash,
    moment_sums,
    quarter_points,
    three_quarter_points,
)
from .wake import WakeWash, wake_wash

_MIRRORED = np.array([1.0, -1.0])[:, None, None, None]  # y of the own half wing and of its mirror image
_STEP = 1e-30  # imaginary step that gives a slope to full precision
N_SYMMETRIC = 4
ALPHA, ELEVON, PITCH_RATE = 1, 2, 3  # indices of the symmetric columns; column 0 is the wing as built


class SectionCamber(NamedTuple):
    """A section's lift and moment at zero angle of attack with the elevon undeflected."""

    lift_coefficient: float  # two-dimensional lift coefficient of the equivalent thin airfoil [-]
    moment_coefficient: float  # moment coefficient about the quarter chord, nose up positive [-]
    tip_lift_change: float = 0.0  # lift coefficient of the tip's section minus the root's [-]
    tip_moment_change: float = 0.0  # moment coefficient of the tip's section minus the root's [-]


class StripAngles(NamedTuple):
    """Sources of downwash other than angle of attack, per strip of wing and fins. All fields are (..., n_strip)."""

    twist: np.ndarray  # twist, nose up positive [rad]
    camber_share: np.ndarray  # factor on the camber: 1 on the wing, 0 on a flat fin [-]
    hinge_fraction: np.ndarray  # distance of the hinge behind the leading edge over chord [-]
    elevon_coverage: np.ndarray  # share of the strip width with an elevon [-]
    tip_share: np.ndarray | float = 0.0  # share of the tip's section in the strip's section, 0 on a fin [-]


def symmetric_downwash(
    mesh: Mesh, angles: StripAngles, camber: SectionCamber, n_panel: int = CHORDWISE_PANELS
) -> np.ndarray:
    """Return the four downwash columns (..., n_strip * n_panel, 4) that the vortices must cancel. This is a definition.

    Each strip has ``n_panel`` panels [-]. The columns are over airspeed: [-], [1/rad], [1/rad], [m/rad].
    """
    upright = mesh.normal[..., 2:]
    cambered = camber_downwash(camber.lift_coefficient, camber.moment_coefficient, n_panel)
    turned = angles.twist * mesh.normal[..., 2] + mesh.toe
    built = turned[..., None] + angles.camber_share[..., None] * cambered
    if camber.tip_lift_change or camber.tip_moment_change:  # lift and moment are linear in the downwash, so blends add
        change = camber_downwash(camber.tip_lift_change, camber.tip_moment_change, n_panel)
        built = built + np.asarray(angles.tip_share)[..., None] * change
    elevon = angles.elevon_coverage[..., None] * _flap_downwash(angles.hinge_fraction, n_panel)
    aft = mesh.middle[..., :1] + mesh.chord[..., None] * three_quarter_points(n_panel)
    columns = np.empty((*built.shape, N_SYMMETRIC), np.result_type(built, elevon, aft))
    columns[..., 0], columns[..., ALPHA], columns[..., ELEVON] = built, upright, elevon
    columns[..., PITCH_RATE] = upright * aft
    return columns.reshape(*columns.shape[:-3], -1, N_SYMMETRIC)


def _flap_downwash(hinge_fraction: np.ndarray, n_panel: int) -> np.ndarray:
    """Return ``flap_downwash``. A complex batch (k, n_strip) has the same real part in all directions."""
    if not np.iscomplexobj(hinge_fraction) or hinge_fraction.ndim == 1:
        return flap_downwash(hinge_fraction, n_panel)
    stepped = flap_downwash(hinge_fraction[:1].real + 1j * _STEP, n_panel)
    return stepped.real + 1j * (stepped.imag / _STEP * hinge_fraction.imag[..., None])


def strip_columns(mesh: Mesh, n_panel: int = CHORDWISE_PANELS) -> np.ndarray:
    """Return one column per wing strip: the downwash (..., n_strip * n_panel, n_wing) of incidence on it alone. [1/rad]

    Each strip has ``n_panel`` panels [-]. The same columns serve symmetric and antisymmetric flow. In antisymmetric
    flow the strip of the mirror image turns nose down. This is a definition.
    """
    return mesh.normal[..., 2:].repeat(n_panel, axis=-2) * _own_panels(mesh.n_wing, mesh.normal.shape[-2], n_panel)


@lru_cache(maxsize=32)
def _own_panels(n_wing: int, n_strip: int, n_panel: int) -> np.ndarray:
    """Return 1 for the panels of each wing strip and 0 for others (n_strip * n_panel, n_wing)."""
    return np.eye(n_strip, n_wing).repeat(n_panel, axis=0)


def _whole(own: np.ndarray, image: np.ndarray, image_sign: float) -> np.ndarray:
    """Return the matrix of both halves, whose image has the circulation of the own half times 1 or -1."""
    return own + image if image_sign > 0 else own - image


class Normalwash(NamedTuple):
    """Normal velocity at every control point per panel circulation, of the own half wing and of its mirror image."""

    own: np.ndarray  # (..., m, m) [1/m]
    image: np.ndarray  # (..., m, m) [1/m]

    def solved(self, image_sign: float, velocity: np.ndarray) -> np.ndarray:
        """Return the circulations (..., m, n) [m] that make ``velocity`` (..., m, n) [-] at the control points.

        ``image_sign`` [-] is 1 in symmetric flow and -1 in antisymmetric flow. For the source of the matrix see
        `horseshoe`; the rest is linear algebra.
        """
        return solved(_whole(self.own, self.image, image_sign), velocity)


def normalwash(mesh: Mesh, n_panel: int = CHORDWISE_PANELS) -> Normalwash:
    """Return the Normalwash (..., m, m) [1/m] of a real mesh.

    Each strip has ``n_panel`` panels [-]. For kernel and source see `horseshoe`.
    """
    *batch, n_strip = mesh.chord.shape
    arrays = mesh.middle, mesh.chord, mesh.normal, *strip_edges(mesh)
    wings = []  # wing by wing, since the arrays of one wing stay in the processor's cache
    for one in zip(*(part.reshape(-1, *part.shape[len(batch) :]) for part in arrays), strict=True):
        points, corners = _strip_points(n_panel, *one[:3]), _corners(n_panel, *one[3:])
        wings.append(velocities(_sight(points, corners), _horseshoes(mesh, _squared_lengths(corners))))
    # the kernel's last axis is that of the control points
    value = wings[0] if len(wings) == 1 else np.array(wings)
    value = value.reshape(*batch, 2, n_strip * n_panel, -1).swapaxes(-1, -2)
    return Normalwash(value[..., 0, :, :], value[..., 1, :, :])


class _Points(NamedTuple):
    """Points in three dimensions: corners (..., 1, e, c or 1, 1), or control points (..., 2 or 1, 1, 1, m)."""

    x: np.ndarray  # [m]
    y: np.ndarray  # [m]
    z: np.ndarray  # [m]


def _strip_points(n_panel: int, middle: np.ndarray, chord: np.ndarray, normal: np.ndarray) -> Sight:
    """Return the control points of the own half wing and of its mirror image, and the normals there.

    The fields are (..., 2 or 1, 1, 1, m), from ``middle`` (..., n_strip, 3), ``chord`` (..., n_strip) and ``normal``
    (..., n_strip, 3).
    """
    x = middle[..., :1] + chord[..., None] * three_quarter_points(n_panel)
    x = x.reshape(*chord.shape[:-1], 1, 1, 1, chord.shape[-1] * n_panel)  # not -1: a batch may be empty
    lines = np.concatenate([middle[..., 1:], normal[..., 1:]], axis=-1).swapaxes(-1, -2).repeat(n_panel, axis=-1)
    y, z, ny, nz = (lines[..., part, None, None, None, :] for part in range(4))
    return Sight(x, _MIRRORED * y, z, _MIRRORED * ny, nz)


def _corners(n_panel: int, edge: np.ndarray, chord: np.ndarray) -> _Points:
    """Return the corners of the bound vortices on edges (..., e, 3) with chords (..., e)."""
    x = edge[..., :1] + chord[..., None] * quarter_points(n_panel)
    return _Points(x[..., None, :, :, None], edge[..., None, :, 1, None, None], edge[..., None, :, 2, None, None])


def _sight(points: Sight, corners: _Points) -> Sight:
    """Return the Sight of control points from corners."""
    return Sight(points.x - corners.x, points.y - corners.y, points.z - corners.z, points.ny, points.nz)


def _squared_lengths(corners: _Points, moved: _Points | None = None) -> np.ndarray:
    """Return the squared distances (..., e - 1, c, 1) of corners from those on the next edge. [m^2]

    If ``moved`` holds slopes of the corners, return the slopes of the squared distances.
    """
    steps = [place[..., 1:, :, :] - place[..., :-1, :, :] for place in corners]
    if moved is None:
        x, y, z = steps
        return x * x + (y * y + z * z)
    x, y, z = (step * (slope[..., 1:, :, :] - slope[..., :-1, :, :]) for step, slope in zip(steps, moved, strict=True))
    return 2 * (x + y + z)


def _horseshoes(mesh: Mesh, squared_lengths: np.ndarray) -> list[Horseshoes]:
    """Return the Horseshoes of each surface, with lengths (..., e - 1, c, 1) as from ``_squared_lengths``."""
    return [
        Horseshoes(first, slice(first.start + 1, first.stop + 1), squared_lengths[..., first, :, :])
        for first in mesh.first_edges
    ]


class MovingNormalwash(NamedTuple):
    """The Normalwash of a mesh, and its slopes along k directions in which the mesh moves."""

    own: np.ndarray  # (m, m) [1/m]
    image: np.ndarray  # (m, m) [1/m]
    moving: np.ndarray  # indices of the directions that move any point (n_moving,) [-]
    slopes: np.ndarray  # slopes of ``own`` and of ``image`` along the moving directions (n_moving, 2, m, m) [1/m]

    def solved(self, image_sign: float, velocity: np.ndarray) -> np.ndarray:
        """Return the circulations as a complex batch (k, m, n): the value and its exact slope along each direction. [m]

        ``velocity`` (k, m, n) [-] is complex and has the same real part in all directions. ``image_sign`` [-] is as for
        Normalwash. By definition dG = A^-1 (dR - dA G), with matrix A, right-hand side R and circulation G.
        """
        inverted = inverse(_whole(self.own, self.image, image_sign))
        value = inverted @ velocity[0].real
        change = velocity.imag.copy()
        change[self.moving] -= _whole(self.slopes[:, 0], self.slopes[:, 1], image_sign) @ value
        circulation = np.empty(velocity.shape, complex)
        circulation.real, circulation.imag = value, inverted @ change
        return circulation


def moving_normalwash(mesh: Mesh, n_panel: int = CHORDWISE_PANELS) -> MovingNormalwash:
    """Return the MovingNormalwash of a complex ``mesh``, whose only batch axis is that of the directions.

    The real part must be the same in all directions. Each strip has ``n_panel`` panels [-]. For kernel and source see
    `horseshoe`.
    """
    arrays = mesh.middle, mesh.chord, mesh.normal, *strip_edges(mesh)
    moving = np.flatnonzero(np.concatenate([part.imag.reshape(len(part), -1) for part in arrays], axis=1).any(axis=1))
    here, steps = [part[0].real for part in arrays], [part.imag[moving] for part in arrays]
    points, corners = _strip_points(n_panel, *here[:3]), _corners(n_panel, *here[3:])
    moved, dragged = _strip_points(n_panel, *steps[:3]), _corners(n_panel, *steps[3:])
    value, slopes = velocities_with_slopes(
        _sight(points, corners),
        _horseshoes(mesh, _squared_lengths(corners)),
        _sight(moved, dragged),
        _horseshoes(mesh, _squared_lengths(corners, dragged)),
    )
    m = mesh.chord.shape[-1] * n_panel
    own, image = value.reshape(2, m, m).swapaxes(1, 2)
    return MovingNormalwash(own, image, moving, slopes.reshape(len(moving), 2, m, m).swapaxes(2, 3))


def panel_circulations(
    mesh: Mesh,
    velocity: np.ndarray,
    image_sign: float,
    influences: Normalwash | MovingNormalwash | None = None,
    strips: np.ndarray | None = None,
) -> np.ndarray:
    """Return the panel circulations (..., n_strip, n_panel, n) that make a normal velocity at the control points. [m]

    Parameters
    ----------
    mesh : Mesh
        A real mesh without batch axes, or a complex mesh with one leading axis of k directions. In the second case the
        real part is the same in all directions, and the imaginary part of the result is the exact slope.
    velocity : (..., n_strip * n_panel, n) array
        Normal velocity over airspeed. [-]
    image_sign : float
        Sign of the mirror image's circulation: 1 in symmetric flow, -1 in antisymmetric flow. [-]
    influences : Normalwash, MovingNormalwash or None
        The kernel's result for this mesh, if it is known already. It is the same for both flows.
    strips : (..., n_strip * n_panel, n_wing) array, optional
        The ``strip_columns``, which are appended with their sign turned: (..., n_strip, n_panel, n + n_wing). [1/rad]

    Notes
    -----
    For the source of the matrix see `horseshoe`; the rest is linear algebra.
    """
    n_panel = velocity.shape[-2] // mesh.chord.shape[-1]
    if influences is None:
        influences = (moving_normalwash if np.iscomplexobj(mesh.middle) else normalwash)(mesh, n_panel)
    if strips is not None:
        velocity = np.concatenate([velocity, -strips], axis=-1)
    circulation = influences.solved(image_sign, velocity)
    return circulation.reshape(*circulation.shape[:-2], -1, n_panel, velocity.shape[-1])


def symmetric_circulations(
    mesh: Mesh,
    angles: StripAngles,
    camber: SectionCamber,
    n_panel: int = CHORDWISE_PANELS,
    influences: Normalwash | MovingNormalwash | None = None,
    strips: bool = False,
) -> np.ndarray:
    """Return the panel circulations of the four unit columns per airspeed: (..., n_strip, n_panel, 4). [m]

    Each strip has ``n_panel`` panels [-]. ``mesh``, ``influences`` and the source are as for ``panel_circulations``.
    With ``strips`` the columns of ``strip_columns`` follow: (..., n_strip, n_panel, 4 + n_wing).
    """
    alone = strip_columns(mesh, n_panel) if strips else None
    return panel_circulations(mesh, -symmetric_downwash(mesh, angles, camber, n_panel), 1.0, influences, alone)


class UnitLoads(NamedTuple):
    """Forces and moments of the unit columns over dynamic pressure. Without strip columns there are four columns."""

    strip_circulation: np.ndarray  # circulation over airspeed (..., n_strip, 4) [m]
    strip_lift: np.ndarray  # lift of the half wing's strips (..., n_strip, 4) [m^2]
    strip_moment: np.ndarray  # pitching moment of the half wing's strips about the nose datum (..., n_strip, 4) [m^3]
    lift_area: np.ndarray  # lift of the total wing (..., 4) [m^2]
    moment_volume: np.ndarray  # pitching moment of the total wing about the nose datum (..., 4) [m^3]
    drag_area_matrix: np.ndarray  # matrix of induced drag as a quadratic form of column weights (..., 4, 4) [m^2]


def unit_loads(
    mesh: Mesh, circulation: np.ndarray, wash: WakeWash | None = None, drag_columns: int | None = None
) -> UnitLoads:
    """Return the UnitLoads of panel circulations (..., n_strip, n_panel, n_column).

    ``circulation`` is in [m]. Forces follow from Kutta-Joukowski with the free stream, drag from the Trefftz plane far
    behind the wing (any aerodynamics text). ``wash`` is that of the mesh, if it is known already.
    ``drag_columns`` [-] is the number of columns, the first ones, whose drag is computed; None means all.

    The example is the lift slope of a rectangular wing of aspect ratio 6, per radian:

    >>> from tradestudy.physics.geometry.mesh import half_wing_mesh
    >>> from tradestudy.physics.geometry.planform import StockWing
    >>> from tradestudy.physics.geometry.stretch_schemes import stock_planform
    >>> stock = StockWing(span=1.2, centre_width=0.0, root_chord=0.2, tip_chord=0.2, tip_set_back=0.0, washout=0.0,
    ...                   dihedral=0.0, elevon_root_chord=0.0, elevon_tip_chord=0.0, elevon_inner_end=0.0,
    ...                   elevon_outer_end=0.6)
    >>> mesh, flat = half_wing_mesh(stock_planform(stock)), np.zeros(12)
    >>> angles = StripAngles(flat, flat, hinge_fraction=flat + 0.8, elevon_coverage=flat)
    >>> unit = unit_loads(mesh, symmetric_circulations(mesh, angles, SectionCamber(0.0, 0.0)))
    >>> round(float(unit.lift_area[ALPHA] / 0.24), 2)
    4.21
    """
    return summed_loads(mesh, *circulation_loads(mesh, circulation), wash or wake_wash(mesh), drag_columns)


def summed_loads(
    mesh: Mesh,
    circulation: np.ndarray,
    lift: np.ndarray,
    moment: np.ndarray,
    wash: WakeWash,
    drag_columns: int | None = None,
) -> UnitLoads:
    """Return the UnitLoads of strips' ``circulation`` [m], ``lift`` [m^2] and ``moment`` [m^3], as for ``unit_loads``.

    These are (..., n_strip, n_column), the results of ``circulation_loads``. ``wash`` and ``drag_columns`` [-] are as
    for ``unit_loads``, with the source.
    """
    drag = _drag_area_matrix(mesh, wash, circulation[..., :drag_columns])
    return UnitLoads(circulation, lift, moment, 2 * lift.sum(-2), 2 * moment.sum(-2), drag)


def _drag_area_matrix(mesh: Mesh, wash: WakeWash, circulation: np.ndarray) -> np.ndarray:
    """Return the matrix (..., n, n) of induced drag as a quadratic form of the weights of n columns. [m^2]"""
    drag = circulation.swapaxes(-1, -2) @ (mesh.width[..., :, None] * (wash.symmetric @ circulation))
    return -(drag + drag.swapaxes(-1, -2))


def with_all_drag(mesh: Mesh, wash: WakeWash, unit: UnitLoads) -> UnitLoads:
    """Return UnitLoads with the ``drag_area_matrix`` (..., n, n) [m^2] of all n columns, those of the strips included.

    The ``mesh`` and the ``wash`` behind it are those of the loads. The source is as for ``unit_loads``.
    """
    return unit._replace(drag_area_matrix=_drag_area_matrix(mesh, wash, unit.strip_circulation))


def rigid_loads(unit: UnitLoads) -> UnitLoads:
    """Return the UnitLoads of the four rigid columns alone, without strip columns. This is a definition."""
    *loads, drag = [part[..., :N_SYMMETRIC] for part in unit]
    return UnitLoads._make([*loads, drag[..., :N_SYMMETRIC, :]])


def circulation_loads(mesh: Mesh, circulation: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return circulation [m] of half-wing strips, and their lift [m^2] and moment [m^3] over dynamic pressure.

    All results have shape (..., n_strip, n_column); the moment is about the nose datum. ``circulation`` (..., n_strip,
    n_panel, n_column) is that of the panels [m]. Source: Kutta-Joukowski, any aerodynamics text.
    """
    sums = moment_sums(circulation.shape[-2]) @ circulation
    strip, aft = sums[..., 0, :], sums[..., 1, :]
    twice_spread = 2 * (mesh.outer_edge[..., 1:2] - mesh.inner_edge[..., 1:2])
    lift = twice_spread * strip
    return strip, lift, -(mesh.middle[..., :1] * lift + (twice_spread * mesh.chord[..., None]) * aft)


def carried_by_wing(mesh: Mesh, strip_force: np.ndarray) -> np.ndarray:
    """Return the loads that the wing strips carry (..., n_wing, n_column) [as given].

    Each fin adds its load to the wing strip just inside its foot. ``strip_force`` (..., n_strip, n_column) is lift
    [m^2] or moment [m^3] over dynamic pressure, or lift [N] or moment [N m]. This is a definition. It neglects that a
    canted fin's lift acts farther outboard.
    """
    return _carriers(mesh.n_wing, mesh.fin_strips, mesh.fin_feet) @ strip_force


@lru_cache(maxsize=32)
def _carriers(n_wing: int, fin_strips: tuple[int, ...], fin_feet: tuple[int, ...]) -> np.ndarray:
    """Return which wing strip (n_wing, n_strip) carries each strip: itself, or the one inside its fin's foot."""
    return np.eye(n_wing)[:, [*range(n_wing), *np.repeat(fin_feet, fin_strips).astype(int)]]
