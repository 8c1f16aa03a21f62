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
    *batch, n_strip, n_panel, _ = symmetric.shape
    panels = *batch, n_strip * n_panel
    steady = amplitude[..., :3] @ np.swapaxes(symmetric[..., :3].reshape(*panels, 3), -1, -2)
    weights = _motion_weights(amplitude, centre_of_gravity, centre_height, effectiveness)
    change = antisymmetric.reshape(*panels, -1)[..., None, :, :] @ weights
    loads = _loads(
        mesh,
        wash or wake.wake_wash(mesh),
        steady.reshape(*steady.shape[:-1], n_strip, n_panel, 1),
        change.reshape(*change.shape[:-2], n_strip, n_panel, -1),
        amplitude[..., lattice.ALPHA],
        (centre_of_gravity, centre_height),
        profile_drag,
    )
    side, roll, yaw = (2 * loads[..., part, :] for part in range(3))
    lean = amplitude[..., lattice.ALPHA, None]
    roll, yaw = roll + lean * yaw, yaw - lean * roll
    span, area = areas.span[..., None], areas.area[..., None]
    rate = np.ones(4) * span[..., None] ** 0
    rate[..., 1:3] = (2 / span)[..., None]
    over_area = rate / area[..., None]
    over_volume = over_area / span[..., None]
    parts = roll * over_volume, yaw * over_volume, side * over_area
    return LateralDerivatives._make(part[..., motion] for part in parts for motion in range(4))


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


def _air_velocity(arm: Vector, alpha: np.ndarray) -> np.ndarray:
    """Return x, y and z of the air's velocity in four unit motions (..., n_condition, 3, n_strip, n_point, 4).

    The motions are sideslip, rolling, yawing and none. ``arm`` holds x (..., n_strip, n_point), y and z (..., n_strip,
    1) from the centre of gravity, and ``alpha`` is (..., n_condition).
    """
    x, y, z = (part[..., None, :, :] for part in arm)
    lean = alpha[..., None, None]
    turned = lean * y
    velocity = np.zeros((*turned.shape[:-2], 3, *x.shape[-2:], 4), np.result_type(turned, x))
    along, across, up = (velocity[..., part, :, :, :] for part in range(3))
    # about the wing's own axes, rolling gives the direction (0, -z, y) and yawing gives (-y, x, 0)
    across[..., 0] = -1
    along[..., 1], across[..., 1], up[..., 1] = -turned, lean * x - z, y
    along[..., 2], across[..., 2], up[..., 2] = -y, x + lean * z, -turned
    return velocity


def _loads(
    mesh: Mesh,
    wash: wake.WakeWash,
    steady: np.ndarray,
    change: np.ndarray,
    alpha: np.ndarray,
    centre: tuple[float | np.ndarray, float | np.ndarray],
    profile_drag: float | np.ndarray,
) -> np.ndarray:
    """Return side force, roll and yaw of the right wing over dynamic pressure (..., n_condition, 3, 4).

    They come from the force on every bound leg, and from a section drag that follows the local wind. Roll is positive
    right wing down, yaw is positive nose right. ``steady`` (..., n_condition, n_strip, n_panel, 1) and its ``change``
    (..., n_condition, n_strip, n_panel, 4) are circulations.
    """
    n_panel = steady.shape[-2]
    vortices = quarter_points(n_panel)
    x = mesh.middle[..., 0, None] + mesh.chord[..., None] * np.append(vortices, 0.25)
    arm = x - np.asarray(centre[0])[..., None, None], mesh.middle[..., 1, None], mesh.middle[..., 2, None]
    arm = arm[0], arm[1], arm[2] - np.asarray(centre[1])[..., None, None]
    air = _air_velocity(arm, alpha)
    drag = np.asarray(profile_drag)[..., None, None] * (_drag_effect(mesh, arm) @ _flat(air[..., n_panel:, :]))
    # the circulation times the velocity of the air over it, and the change of this
    ny, nz = mesh.normal[..., None, :, 1, None], mesh.normal[..., None, :, 2, None]
    # half the wash far behind the wing: that of the steady circulation, and that of the change in circulation
    steady_wash = (0.5 * wash.symmetric)[..., None, :, :] @ steady.sum(-2)
    change_wash = (0.5 * wash.antisymmetric)[..., None, :, :] @ change.sum(-2)
    air = air[..., :n_panel, :]
    air[..., 1, :, :, :] += (change_wash * ny)[..., None, :]
    air[..., 2, :, :, :] += (change_wash * nz)[..., None, :]
    flow = air * steady[..., None, :, :, :]
    flow[..., 0, :, :, :] += change
    flow[..., 1, :, :, :] += change * (steady_wash * ny)[..., None]
    flow[..., 2, :, :, :] += change * (alpha[..., None, None] + steady_wash * nz)[..., None]
    return 2 * (_leg_effect(mesh, arm, vortices) @ _flat(flow)) + drag


def _leg_effect(mesh: Mesh, arm: Vector, vortices: np.ndarray) -> np.ndarray:
    """Return side force, roll and yaw per velocity along x, y and z at every bound leg: (..., 1, 3, m).

    The force is velocity x leg. Its part along a direction d is velocity . (leg x d). Roll and yaw are parts along the
    directions in which the leg moves if the wing rolls and yaws: (0, z, -y) and (y, -x, 0).
    """
    x, y, z = arm[0][..., :-1], arm[1], arm[2]
    across = mesh.outer_edge - mesh.inner_edge
    leg_x = across[..., 0, None] + (mesh.outer_chord - mesh.inner_chord)[..., None] * vortices
    leg_y, leg_z = across[..., 1, None], across[..., 2, None]
    effect = np.zeros((*x.shape[:-2], 3, 3, *x.shape[-2:]), np.result_type(x, leg_x, z))
    side, roll, yaw = (effect[..., part, :, :, :] for part in range(3))
    side[..., 0, :, :], side[..., 2, :, :] = -leg_z, leg_x
    roll[..., 0, :, :], roll[..., 1, :, :], roll[..., 2, :, :] = -(leg_y * y + leg_z * z), leg_x * y, leg_x * z
    yaw[..., 0, :, :], yaw[..., 1, :, :], yaw[..., 2, :, :] = leg_z * x, leg_z * y, -(leg_x * x + leg_y * y)
    return effect.reshape(*x.shape[:-2], 1, 3, -1)


def _drag_effect(mesh: Mesh, arm: Vector) -> np.ndarray:
    """Return side force, roll and yaw per velocity at the quarter chord for a section drag of 1: (..., 1, 3, m).

    Along x the speed counts twice, since the dynamic pressure grows too.
    """
    x, y, z = arm[0][..., -1], arm[1][..., 0], arm[2][..., 0]
    area = 0.5 * (mesh.inner_chord + mesh.outer_chord) * mesh.width
    effect = np.zeros((*x.shape[:-1], 3, 3, x.shape[-1]), np.result_type(x, z, area))
    effect[..., 0, 1, :] = area
    effect[..., 1, 1, :], effect[..., 1, 2, :] = area * z, -area * y
    effect[..., 2, 0, :], effect[..., 2, 1, :] = 2 * area * y, -area * x
    return effect.reshape(*x.shape[:-1], 1, 3, -1)


def _flat(velocity: np.ndarray) -> np.ndarray:
    """Return velocities (..., 3, n_strip, n_point, 4) in rows (..., 3 n_strip n_point, 4)."""
    return velocity.reshape(*velocity.shape[:-4], -1, velocity.shape[-1])


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
