"""Sideslip, rolling, yawing and differential elevon: the antisymmetric flow of the half-wing lattice.

The matrix is that of the own half minus that of the mirror image. Six antisymmetric columns (unit load cases, see
`lattice`) are solved with it at once. None depends on the trimmed state; ``derivatives`` adds them up for any lift:

0. sideslip, which acts on dihedral and fins,
1. rolling about the nose datum,
2. yawing about the nose datum,
3. differential elevon,
4. twist and camber in the airspeed difference that yawing makes along the span,
5. elevon in the airspeed difference that yawing makes along the span.

Sideslip, rolling and yawing also act on the circulation that carries the weight. The force on every bound vortex is
density x circulation x (air velocity x leg vector). This gives a flat swept wing its dihedral effect, in proportion to
lift. The effect is exact for an infinite sheared wing, whose circulation sideslip does not change. Induced drag of a
strip is computed with half the wash far behind it. The sum is exact; the distribution along the span is that of the
lifting line.

The sideways drift and curvature of the wake are left out. They make 10 % of the dihedral effect of a tapered swept wing
and 20 % of an untapered one (tests/published/air/test_yawed_wing.py). Separation at leading edges and tips, body and
propeller are left out too.

Sideslip is positive with the wind from the right. Differential elevon is positive with the right one up and the left
one down. Results hold in stability axes: rolling is about the free stream through the centre of gravity. "(...)" means
arrays of any batch shape.
"""

from __future__ import annotations

from typing import NamedTuple, TypeAlias

import numpy as np

from tradestudy.physics.arrays import stacked
from tradestudy.physics.geometry.mesh import Mesh
from tradestudy.physics.geometry.planform import Areas

from . import lattice, wake
from .thin_airfoil import CHORDWISE_PANELS, quarter_points, three_quarter_points

Vector: TypeAlias = tuple[np.ndarray, np.ndarray, np.ndarray]  # components along x, y and z
N_ANTISYMMETRIC = 6
SIDESLIP, ROLL, YAW, DIFFERENTIAL_ELEVON, YAW_BUILT, YAW_ELEVON = range(N_ANTISYMMETRIC)


class LateralDerivatives(NamedTuple):
    """Moments and side force per radian in stability axes. All fields are (..., n_condition) [1/rad].

    Roll and yaw moments are over dynamic pressure, area and span. Side force is positive to the right, over dynamic
    pressure and area. Rolling and yawing rates are rate x span / (2 airspeed) [-].
    """

    roll_sideslip: np.ndarray  # dihedral effect; negative if the wing on the wind's side rises
    roll_roll: np.ndarray  # damping in roll, negative
    roll_yaw: np.ndarray
    roll_elevon: np.ndarray
    yaw_sideslip: np.ndarray  # positive if the wing turns into the wind
    yaw_roll: np.ndarray
    yaw_yaw: np.ndarray  # damping in yaw, negative
    yaw_elevon: np.ndarray  # adverse yaw, negative
    side_sideslip: np.ndarray
    side_roll: np.ndarray
    side_yaw: np.ndarray
    side_elevon: np.ndarray


def antisymmetric_circulations(
    mesh: Mesh,
    angles: lattice.StripAngles,
    camber: lattice.SectionCamber,
    n_panel: int = CHORDWISE_PANELS,
    influences: lattice.Normalwash | lattice.MovingNormalwash | None = None,
    strips: bool = False,
) -> np.ndarray:
    """Return the panel circulations of the six antisymmetric columns per airspeed: (..., n_strip, n_panel, 6). [m]

    Each strip has ``n_panel`` panels [-]. ``mesh``, ``influences``, ``strips`` and the source are as for
    ``lattice.panel_circulations``.
    """
    velocity = -antisymmetric_velocities(mesh, lattice.symmetric_downwash(mesh, angles, camber, n_panel))
    return lattice.panel_circulations(mesh, velocity, -1.0, influences, strips)


def antisymmetric_velocities(mesh: Mesh, straight: np.ndarray) -> np.ndarray:
    """Return the six columns of normal velocity (..., n_strip * n_panel, 6) that the vortices must cancel.

    ``straight`` (..., n_strip * n_panel, 4) is the result of ``lattice.symmetric_downwash``. Velocities are over
    airspeed, by definition. Columns 0 and 3 are per radian [-], the others per radian per metre of flight path [m].
    """
    n_panel = straight.shape[-2] // mesh.chord.shape[-1]
    x = lattice.flat(mesh.middle[..., 0, None] + mesh.chord[..., None] * three_quarter_points(n_panel))
    y, z, ny, nz = (
        np.repeat(values, n_panel, axis=-1)
        for values in (mesh.middle[..., 1], mesh.middle[..., 2], mesh.normal[..., 1], mesh.normal[..., 2])
    )
    elevon = straight[..., 2]
    return stacked([-ny, nz * y - ny * z, ny * x, -elevon, -y * straight[..., 0], -y * elevon])


def derivatives(
    mesh: Mesh,
    areas: Areas,
    symmetric: np.ndarray,
    antisymmetric: np.ndarray,
    amplitude: np.ndarray,
    centre_of_gravity: np.ndarray,
    centre_height: float | np.ndarray = 0.0,
    effectiveness: float = 1.0,
    profile_drag: float | np.ndarray = 0.0,
    wash: wake.WakeWash | None = None,
) -> LateralDerivatives:
    """Return the LateralDerivatives of trimmed level flight in any number of conditions. [1/rad]

    Parameters
    ----------
    mesh, areas : mesh.Mesh, planform.Areas
        Mesh and areas with batch axes (...).
    symmetric, antisymmetric : (..., n_strip, n_panel, 4) and (..., n_strip, n_panel, 6) arrays
        Panel circulations of the unit columns. [m]
    amplitude : (..., n_condition, 4) array
        Weights of the symmetric columns (trim.Trim.amplitude). The pitch rate is taken as zero. [-, rad, rad]
    centre_of_gravity, centre_height : (...) arrays
        Distances of the centre of gravity behind and above the nose datum. [m]
    effectiveness : float
        Real effect of the elevon over that of thin-airfoil theory. [-]
    profile_drag : float or (..., n_condition) array
        Mean section drag coefficient. [-]
    wash : wake.WakeWash or None
        The wash far behind this mesh, if it is known already.

    Notes
    -----
    Source: the Kutta-Joukowski law on every bound vortex (any aerodynamics text). See also the top of the module.
    """
    alpha = amplitude[..., lattice.ALPHA]
    *batch, n_strip, n_panel, _ = symmetric.shape
    panels = *batch, n_strip * n_panel
    steady = amplitude[..., :3] @ np.swapaxes(symmetric.reshape(*panels, -1)[..., :3], -1, -2)
    steady = steady.reshape(*steady.shape[:-1], n_strip, n_panel)
    weights = _motion_weights(amplitude, centre_of_gravity, centre_height, effectiveness)
    change = antisymmetric.reshape(*panels, -1)[..., None, :, :] @ weights
    change = change.reshape(*change.shape[:-2], n_strip, n_panel, -1)
    centre = centre_of_gravity + 0 * centre_height, centre_height + 0 * centre_of_gravity
    friction = np.asarray(profile_drag)[..., None] * _friction(mesh, alpha, centre)
    loads = _bound_legs(mesh, wash or wake.wake_wash(mesh), steady, change, alpha, centre) + friction
    side, roll, yaw = loads
    lean = alpha[..., None]
    roll, yaw = roll + lean * yaw, yaw - lean * roll
    span, area = areas.span[..., None], areas.area[..., None]
    rate = np.ones(4) * span[..., None] ** 0
    rate[..., 1:3] = (2 / span)[..., None]
    side, roll, yaw = (
        2 * part * rate / below[..., None] for part, below in ((side, area), (roll, area * span), (yaw, area * span))
    )
    return LateralDerivatives._make(part[..., motion] for part in (roll, yaw, side) for motion in range(4))


def _motion_weights(
    amplitude: np.ndarray, centre: np.ndarray, height: float | np.ndarray, effectiveness: float
) -> np.ndarray:
    """Return the weights (..., n_condition, 6, 4) of the columns in sideslip, rolling, yawing and differential elevon.

    Rolling and yawing are about the stability axes through the centre of gravity. Rolling about the free stream is
    rolling about the wing's own axis plus angle of attack times yawing. Yawing is composed in the same way.
    """
    alpha = amplitude[..., lattice.ALPHA]
    centre, height = (np.asarray(value)[..., None] for value in (centre, height))
    weights = np.zeros((*alpha.shape, N_ANTISYMMETRIC, 4), dtype=np.result_type(amplitude, centre, height))
    weights[..., SIDESLIP, 0] = 1
    weights[..., ROLL, 1], weights[..., YAW, 1] = 1, alpha
    weights[..., SIDESLIP, 1] = alpha * centre - height
    weights[..., ROLL, 2], weights[..., YAW, 2] = -alpha, 1
    weights[..., SIDESLIP, 2] = centre + alpha * height
    weights[..., YAW_BUILT, 2], weights[..., YAW_ELEVON, 2] = amplitude[..., 0], amplitude[..., 2]
    weights[..., DIFFERENTIAL_ELEVON, 3] = effectiveness
    return weights


def _air_velocity(arm: Vector, alpha: np.ndarray) -> Vector:
    """Return the x, y and z components (..., 4) of the air's velocity at ``arm`` in four unit motions.

    The motions are sideslip, rolling, yawing and none. ``arm`` holds x, y and z from the centre of gravity, each
    without the last axis.
    """
    x, y, z = arm
    zero = 0 * (y + alpha)
    # about the wing's own axes, rolling gives the direction (0, -z, y) and yawing gives (-y, x, 0)
    turned = alpha * y
    along = stacked([zero, -turned, zero - y, zero])
    across = stacked([zero - 1, alpha * x - z, x + alpha * z, zero])
    up = stacked([zero, y + zero, -turned, zero])
    return along, across, up


def _loads(arm: Vector, force: Vector) -> np.ndarray:
    """Return side force, roll and yaw of forces, summed over strips and panels: (3, ..., 4).

    Roll is positive right wing down, yaw is positive nose right.
    """
    x, y, z = (part[..., None] for part in arm)
    fx, fy, fz = force
    parts = [fy, z * fy - y * fz, y * fx - x * fy]
    return np.array([part.sum((-3, -2)) for part in parts])


def _arm(point: np.ndarray, centre: tuple[np.ndarray, np.ndarray]) -> Vector:
    """Return the components of ``point`` (..., n_strip, n_panel, 3) from the centre of gravity, with a
    condition axis.
    """
    x, z = (value[..., None, None] for value in centre)
    return (
        (point[..., 0] - x)[..., None, :, :],
        point[..., 1][..., None, :, :],
        (point[..., 2] - z)[..., None, :, :],
    )


def _bound_legs(
    mesh: Mesh,
    wash: wake.WakeWash,
    steady: np.ndarray,
    change: np.ndarray,
    alpha: np.ndarray,
    centre: tuple[np.ndarray, np.ndarray],
) -> np.ndarray:
    """Return side force, roll and yaw (3, ..., n_condition, 4) on the right wing's bound legs, over dynamic
    pressure.
    """
    fractions = quarter_points(steady.shape[-1])
    arm = _arm(lattice.points_behind(mesh.middle, mesh.chord, fractions), centre)
    leg = lattice.points_behind(mesh.outer_edge, mesh.outer_chord, fractions) - lattice.points_behind(
        mesh.inner_edge, mesh.inner_chord, fractions
    )
    lx, ly, lz = (leg[..., None, :, :, axis, None] for axis in range(3))
    ny, nz = (mesh.normal[..., None, :, None, axis, None] for axis in (1, 2))
    alpha = alpha[..., None, None]
    along, across, up = _air_velocity(arm, alpha)
    # half the wash far behind the wing: that of the steady circulation, and that of the change in circulation
    steady_wash, change_wash = 0.5 * wash.symmetric, 0.5 * wash.antisymmetric
    steady_wash = (steady_wash[..., None, :, :] @ steady.sum(-1)[..., None])[..., None]
    change_wash = (change_wash[..., None, :, :] @ change.sum(-2))[..., None, :]
    steady = steady[..., None]
    # first-order change of circulation times velocity
    vx = change + steady * along
    vy = change * steady_wash * ny + steady * (across + change_wash * ny)
    vz = change * (alpha[..., None] + steady_wash * nz) + steady * (up + change_wash * nz)
    force = vy * lz - vz * ly, vz * lx - vx * lz, vx * ly - vy * lx
    return 2 * _loads(arm, force)


def _friction(mesh: Mesh, alpha: np.ndarray, centre: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    """Return side force, roll and yaw (3, ..., n_condition, 4) of a section drag of 1 that follows the local wind."""
    quarter = lattice.points_behind(mesh.middle, mesh.chord, np.array([0.25]))
    arm = _arm(quarter, centre)
    area = (0.5 * (mesh.inner_chord + mesh.outer_chord) * mesh.width)[..., None, :, None, None]
    along, across, up = _air_velocity(arm, alpha[..., None, None])
    return _loads(arm, (2 * area * along, area * across, area * up))


def roll_per_metre(sideways: LateralDerivatives, elevon_difference: float | np.ndarray, span: np.ndarray) -> np.ndarray:
    """Return the steady rate of roll over airspeed (...) with both elevons moved by ``elevon_difference``. [rad/m]

    The two elevons move in opposite directions. ``elevon_difference`` (...) is in [rad] and ``span`` (...) in [m]. By
    definition the wing only rolls, without sideslip: the elevons' rolling moment equals the damping. A flexible wing
    rolls slower by its elevon effectiveness.

    >>> derivatives = LateralDerivatives(*np.zeros(12))._replace(roll_roll=-0.4, roll_elevon=-0.2)
    >>> round(float(roll_per_metre(derivatives, 0.1, 1.25)), 3)
    -0.08
    """
    return -sideways.roll_elevon * elevon_difference / sideways.roll_roll * 2 / span
