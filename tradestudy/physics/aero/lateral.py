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

from typing import NamedTuple

import numpy as np

from tradestudy.physics.geometry.mesh import Mesh
from tradestudy.physics.geometry.planform import Areas

from . import lattice, wake
from .thin_airfoil import CHORDWISE_PANELS, quarter_points, three_quarter_points

N_ANTISYMMETRIC = 6
SIDESLIP, ROLL, YAW, DIFFERENTIAL_ELEVON, YAW_BUILT, YAW_ELEVON = range(N_ANTISYMMETRIC)

# Directions in which a place moves if the wing moves right, rolls right wing down and yaws nose right: for each motion
# x, y and z per 1, x, y and z of the place. They are (0, 1, 0), (0, z, -y) and (y, -x, 0).
_DIRECTIONS = np.zeros((3, 3, 4))
_DIRECTIONS[0, 1, 0] = _DIRECTIONS[1, 1, 3] = _DIRECTIONS[2, 0, 2] = 1
_DIRECTIONS[1, 2, 2] = _DIRECTIONS[2, 1, 1] = -1
# A force velocity x leg has the part velocity . (leg x direction) along a direction. Here per component of velocity
# (motion and velocity are the rows), times a component of the leg, times 1, x, y or z of its place.
_CROSSED = np.cross(np.eye(3)[:, None], _DIRECTIONS.swapaxes(1, 2)[:, None])  # (motion, leg, place, velocity)
_LEG_EFFECT = _CROSSED.transpose(0, 3, 1, 2).reshape(9, 12)
# The air moves against the wing (velocity, place, motion; the last motion is that of the elevon). Rolling and yawing
# about the free stream take angle of attack times the other.
_AIR_MOTIONS, _AIR_LEAN = np.zeros((2, 3, 4, 4))
_AIR_MOTIONS[..., :3] = -_DIRECTIONS.transpose(1, 2, 0)
_AIR_LEAN[..., 1], _AIR_LEAN[..., 2] = -_DIRECTIONS[2], _DIRECTIONS[1]
# Section drag is along the velocity. Along x the speed counts twice, since the dynamic pressure grows too.
_DRAG_EFFECT = (_DIRECTIONS * np.array([2, 1, 1])[:, None]).reshape(9, 4)


class LateralDerivatives(NamedTuple):
    """Moments and side force per radian in stability axes. All fields are (...) [1/rad].

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
    ``lattice.symmetric_circulations``.
    """
    velocity = -antisymmetric_velocities(mesh, lattice.symmetric_downwash(mesh, angles, camber, n_panel))
    alone = lattice.strip_columns(mesh, n_panel) if strips else None
    return lattice.panel_circulations(mesh, velocity, -1.0, influences, alone)


def antisymmetric_velocities(mesh: Mesh, straight: np.ndarray) -> np.ndarray:
    """Return the six columns of normal velocity (..., n_strip * n_panel, 6) that the vortices must cancel.

    ``straight`` (..., n_strip * n_panel, 4) is the result of ``lattice.symmetric_downwash``. Velocities are over
    airspeed, by definition. Columns 0 and 3 are per radian [-], the others per radian per metre of flight path [m].
    """
    n_panel = straight.shape[-2] // mesh.chord.shape[-1]
    built, elevon = (straight[..., column].reshape(*mesh.chord.shape, n_panel) for column in (0, lattice.ELEVON))
    x = mesh.middle[..., :1] + mesh.chord[..., None] * three_quarter_points(n_panel)
    y, z, ny, nz = mesh.middle[..., 1:2], mesh.middle[..., 2:], mesh.normal[..., 1:2], mesh.normal[..., 2:]
    columns = np.empty((*elevon.shape, N_ANTISYMMETRIC), np.result_type(straight, x))
    columns[..., SIDESLIP], columns[..., ROLL], columns[..., YAW] = -ny, nz * y - ny * z, ny * x
    columns[..., DIFFERENTIAL_ELEVON] = -elevon
    columns[..., YAW_BUILT], columns[..., YAW_ELEVON] = -y * built, -y * elevon
    return columns.reshape(*straight.shape[:-1], N_ANTISYMMETRIC)


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
    """Return the LateralDerivatives of trimmed level flight. [1/rad]

    Parameters
    ----------
    mesh, areas : mesh.Mesh, planform.Areas
        Mesh and areas with batch axes (...).
    symmetric, antisymmetric : (..., n_strip, n_panel, 4) and (..., n_strip, n_panel, 6) arrays
        Panel circulations of the unit columns. [m]
    amplitude : (..., 4) array
        Weights of the symmetric columns (trim.Trim.amplitude). The pitch rate is taken as zero. [-, rad, rad]
    centre_of_gravity, centre_height : (...) arrays
        Distances of the centre of gravity behind and above the nose datum. [m]
    effectiveness : float
        Real effect of the elevon over that of thin-airfoil theory. [-]
    profile_drag : float or (...) array
        Mean section drag coefficient. [-]
    wash : wake.WakeWash or None
        The wash far behind this mesh, if it is known already.

    Notes
    -----
    Source: the Kutta-Joukowski law on every bound vortex (any aerodynamics text). See also the top of the module.
    """
    *batch, n_strip, n_panel, _ = symmetric.shape
    steady = symmetric[..., :3].reshape(*batch, n_strip * n_panel, 3) @ amplitude[..., :3, None]
    alpha = amplitude[..., lattice.ALPHA]
    centre = np.asarray(centre_of_gravity), np.asarray(centre_height)
    loads = _loads(
        mesh,
        wash or wake.wake_wash(mesh),
        steady.reshape(*steady.shape[:-2], n_strip, n_panel),
        antisymmetric,
        _motion_weights(amplitude, *centre, effectiveness),
        alpha,
        centre,
        profile_drag,
    )
    lean = alpha[..., None]  # from the wing's own axes to those of the free stream
    roll, yaw = loads[..., 1, :], loads[..., 2, :]
    loads[..., 1, :], loads[..., 2, :] = roll + lean * yaw, yaw - lean * roll
    span, area = areas.span[..., None, None], areas.area[..., None, None]
    loads *= 2 / area  # of both wings
    loads[..., 1:, :] /= span
    loads[..., 1:3] *= 2 / span
    return LateralDerivatives._make(loads[..., part, motion] for part in (1, 2, 0) for motion in range(4))


def _motion_weights(amplitude: np.ndarray, centre: np.ndarray, height: np.ndarray, effectiveness: float) -> np.ndarray:
    """Return the weights (..., 6, 4) of the columns in sideslip, rolling, yawing and differential elevon.

    Rolling and yawing are about the stability axes through the centre of gravity. Rolling about the free stream is
    rolling about the wing's own axis plus angle of attack times yawing. Yawing is composed in the same way.
    """
    alpha = amplitude[..., lattice.ALPHA]
    weights = np.zeros((*alpha.shape, N_ANTISYMMETRIC, 4), dtype=np.result_type(amplitude, centre, height))
    weights[..., SIDESLIP, 0] = 1
    weights[..., ROLL, 1], weights[..., YAW, 1] = 1, alpha
    weights[..., SIDESLIP, 1] = alpha * centre - height
    weights[..., ROLL, 2], weights[..., YAW, 2] = -alpha, 1
    weights[..., SIDESLIP, 2] = centre + alpha * height
    weights[..., YAW_BUILT, 2], weights[..., YAW_ELEVON, 2] = amplitude[..., 0], amplitude[..., 2]
    weights[..., DIFFERENTIAL_ELEVON, 3] = effectiveness
    return weights


def _air_motions(alpha: np.ndarray) -> np.ndarray:
    """Return how the air moves in sideslip, rolling, yawing and differential elevon (..., 3, 4, 4).

    The axes are the velocity's components, then what each is per: 1, x, y and z from the centre of gravity, then the
    motions. The elevon moves no air by itself.
    """
    return _AIR_MOTIONS + alpha[..., None, None, None] * _AIR_LEAN


def _loads(
    mesh: Mesh,
    wash: wake.WakeWash,
    steady: np.ndarray,
    columns: np.ndarray,
    weights: np.ndarray,
    alpha: np.ndarray,
    centre: tuple[np.ndarray, np.ndarray],
    profile_drag: float | np.ndarray,
) -> np.ndarray:
    """Return side force, roll and yaw of the right wing over dynamic pressure, by motion (..., 3, 4).

    They come from the force on every bound leg, and from a section drag that follows the local wind. Roll is positive
    right wing down, yaw is positive nose right. The circulation is ``steady`` (..., n_strip, n_panel), and
    changes by ``columns`` (..., n_strip, n_panel, 6) times ``weights`` (..., 6, 4).

    Two parts are linear in the motions: the air moves over the steady circulation, and the circulation changes in the
    steady air. In both, half the wash far behind the wing moves the air along the normals too.
    """
    *batch, n_strip, n_panel, _ = columns.shape
    m = n_strip * n_panel
    place, quarter = _places(mesh, centre, n_panel)
    effect = _leg_effect(mesh, place)
    # the steady circulation, and half the section drag, in the moving air
    flow = effect * steady[..., None, None, :, :]
    moved = flow.reshape(*flow.shape[:-4], 9, m) @ place.reshape(*place.shape[:-2], m).swapaxes(-1, -2)
    drag = _DRAG_EFFECT @ quarter * (0.25 * (mesh.inner_chord + mesh.outer_chord) * mesh.width)[..., None, :]
    moved += np.asarray(profile_drag)[..., None, None] * (drag @ quarter.swapaxes(-1, -2))
    loads = moved.reshape(*moved.shape[:-2], 3, 12) @ _air_motions(alpha).reshape(*alpha.shape, 12, 4)
    # the change of circulation in the steady air, and what its own wash does to the steady circulation
    by_normal = effect[..., 1, :, :] * mesh.normal[..., None, :, 1, None]
    by_normal += effect[..., 2, :, :] * mesh.normal[..., None, :, 2, None]
    downwash = 0.5 * (steady.sum(-1)[..., None, :] @ wash.symmetric.swapaxes(-1, -2))
    by_change = by_normal * downwash[..., None]
    by_change += effect[..., 0, :, :] + alpha[..., None, None, None] * effect[..., 2, :, :]
    by_strip = 0.5 * (by_normal * steady[..., None, :, :]).sum(-1) @ wash.antisymmetric
    by_column = by_change.reshape(*by_change.shape[:-2], m) @ columns.reshape(*batch, m, N_ANTISYMMETRIC)
    by_column += by_strip @ columns.sum(-2)
    loads += by_column @ weights
    return 2 * loads


def _places(mesh: Mesh, centre: tuple[np.ndarray, np.ndarray], n_panel: int) -> tuple[np.ndarray, np.ndarray]:
    """Return 1, x, y and z from the centre of gravity, of every bound leg and of the quarter chord of every strip.

    They are (..., 4, n_strip, n_panel) and (..., 4, n_strip). ``centre`` holds its places along x and z, each (...).
    """
    x, z = mesh.middle[..., 0] - centre[0][..., None], mesh.middle[..., 2] - centre[1][..., None]
    vortices = quarter_points(n_panel)
    place = np.empty((*x.shape[:-1], 4, x.shape[-1], n_panel), np.result_type(x, z))
    place[..., 0, :, :], place[..., 1, :, :] = 1, x[..., None] + mesh.chord[..., None] * vortices
    place[..., 2, :, :], place[..., 3, :, :] = mesh.middle[..., 1, None], z[..., None]
    quarter = place[..., 0].copy()
    quarter[..., 1, :] = x + 0.25 * mesh.chord
    return place, quarter


def _leg_effect(mesh: Mesh, place: np.ndarray) -> np.ndarray:
    """Return side force, roll and yaw per velocity along x, y and z at every bound leg (..., 3, 3, n_strip, n_panel).

    ``place`` is that of ``_places``. The force is velocity x leg for a unit of circulation.
    """
    *batch, _, n_strip, n_panel = place.shape
    leg = np.empty((*batch, 3, 1, n_strip, n_panel), place.dtype)
    leg[..., 0, :, :] = (mesh.outer_edge - mesh.inner_edge).swapaxes(-1, -2)[..., None]
    leg[..., 0, 0, :, :] += (mesh.outer_chord - mesh.inner_chord)[..., None] * quarter_points(n_panel)
    products = (leg * place[..., None, :, :, :]).reshape(*batch, 12, n_strip * n_panel)
    return (_LEG_EFFECT @ products).reshape(*batch, 3, 3, n_strip, n_panel)


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
