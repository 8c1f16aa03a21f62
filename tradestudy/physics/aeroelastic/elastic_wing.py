"""A wing that twists under its own air loads: lattice and beam in a small linear system.

Every wing strip has one unknown, its elastic incidence: its rotation nose up in the flight direction under load. The
lattice gives S, the lift and moment of all strips per radian of incidence on each strip alone
(`lattice.strip_columns`). The beam gives C, the rotation of all strips per newton or newton metre on each strip
(``compliance``). The rigid unit columns R are the load cases of the lattice, and a are their weights. With dynamic
pressure q,

    incidence = q C (R a + S incidence) + load factor x (rotation by the wing's own weight).

So incidence = (I - q F)^-1 (q C R a + ...) with the feedback F = C S. The system is solved once for each dynamic
pressure. This gives the elastic incidence of every rigid column.

Incidence comes from torsion and, on a swept axis, from bending. Core shear moves the axis without turning a section, so
it is left out here. Each half is clamped at the centre line, in symmetric and in antisymmetric flow. Air loads act
along the middle line of each strip.

The flow includes the fins. The beam carries their mass and the lift of canted fins. The side force on an upright fin
does not bend its tip. The flow is steady, so there is no flutter.

Cautions: foam modulus, film bond and torsion are uncertain by a factor of two and more. These are estimates for
choosing between shapes, not proof that a wing survives a speed.

"(...)" means arrays of any batch shape, and n is the number of wing strips.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.aero import lateral, lattice, trim, wake
from tradestudy.physics.aero.lattice import ALPHA, ELEVON
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.geometry.mesh import Mesh
from tradestudy.physics.linear import inverse, solved
from tradestudy.physics.structure.beam import beam_twist
from tradestudy.physics.structure.loads import WingLoads, unit_strip_loads
from tradestudy.physics.structure.wing_beam import WingBeam, with_covering_share

# the two antisymmetric columns of a steady roll: ROLL and DIFFERENTIAL_ELEVON
ROLLING = slice(lateral.ROLL, lateral.DIFFERENTIAL_ELEVON + 1, lateral.DIFFERENTIAL_ELEVON - lateral.ROLL)


class Compliance(NamedTuple):
    """Elastic incidence of every strip per load on every strip. Incidence is nose up in the flight direction."""

    lift: np.ndarray  # incidence per lift that acts at the nose datum's x and the strip's y (..., n, n) [rad/N]
    moment: np.ndarray  # incidence per nose-up moment (..., n, n) [rad/(N m)]
    weight: np.ndarray  # incidence from the wing's own weight at load factor 1 (..., n) [rad]


class AirLoads(NamedTuple):
    """Unit responses of the air. In each field the n strip columns follow the rigid columns."""

    unit: lattice.UnitLoads  # unit loads of all strips in symmetric flow, 4 + n columns, with the drag of the first 4
    strip_lift: np.ndarray  # lift on the wing's strips, fins included (..., n, 4 + n) [m^2]
    strip_moment: np.ndarray  # moment on the wing's strips about the nose datum (..., n, 4 + n) [m^3]
    roll_lift: (
        np.ndarray
    )  # strip lift over dynamic pressure, per roll rate over airspeed and per elevon (..., n, 2 + n) [m^2]
    roll_moment: np.ndarray  # strip moment about the nose datum (..., n, 2 + n) [m^3]
    roll_volume: np.ndarray  # total wing's rolling moment over dynamic pressure, right wing down (..., 2 + n) [m^3]


class Coupling(NamedTuple):
    """Beam and air combined, for symmetric or for antisymmetric flow."""

    driven: (
        np.ndarray
    )  # incidence per unit of each rigid column and dynamic pressure (..., n, n_rigid) [rad/Pa per unit]
    feedback: np.ndarray  # incidence per incidence and dynamic pressure (..., n, n) [1/Pa]
    weight: np.ndarray  # incidence from the wing's own weight at load factor 1 (..., n) [rad]


class FlexibleTrim(NamedTuple):
    """Trimmed state of each flight condition on the twisted wing."""

    amplitude: np.ndarray  # weights of the columns of AirLoads.unit (..., n_condition, 4 + n) [-, rad, rad, rad/m, rad]
    elevon: np.ndarray  # real deflection, trailing edge up negative (..., n_condition) [rad]
    alpha: (
        np.ndarray
    )  # angle of attack of the root chord at the centre of gravity, before a gust (..., n_condition) [rad]
    incidence: np.ndarray  # elastic incidence of every strip (..., n_condition, n) [rad]


def compliance(
    beam: WingBeam,
    strip_y: np.ndarray,
    strip_mass: np.ndarray,
    mass_x: np.ndarray,
    tip_mass: float | np.ndarray = 0.0,
    tip_mass_x: float | np.ndarray = 0.0,
    force_y: np.ndarray | None = None,
) -> Compliance:
    """Return the Compliance of half a wing clamped at the centre line. Source: statics of `structure.beam`.

    Parameters
    ----------
    beam : structure.WingBeam
        Stiffness and axis at the strips' edges (..., n + 1).
    strip_y : (..., n) array
        Place along y of each strip's incidence and force. [m]
    strip_mass, mass_x : (..., n) arrays
        Masses of the strips and their places behind the nose datum. [kg], [m]
    tip_mass, tip_mass_x : (...) arrays or floats
        Mass of a tip fin and its place behind the nose datum. [kg], [m]
    force_y : (..., n) array, optional
        Place along y of each strip's force, if it differs from ``strip_y``. [m]
    """
    loads = unit_strip_loads(beam.station_y, beam.axis_x, beam.axis_direction, strip_y if force_y is None else force_y)
    return _compliance(beam, loads, strip_y, _weights(strip_mass, mass_x, tip_mass, tip_mass_x))


def compliances(
    covering_shares: Sequence[float], beam: WingBeam, strip_y: np.ndarray, *masses: float | np.ndarray
) -> list[Compliance]:
    """Return a list of Compliance, one for each covering share: the part of the covering's stiffness left by a weak
    bond.

    ``covering_shares`` are in [-]; the other arguments, with shapes (..., n), are as for ``compliance``. The loads are
    computed once.
    """
    loads, weights = unit_strip_loads(beam.station_y, beam.axis_x, beam.axis_direction, strip_y), _weights(*masses)
    return [_compliance(with_covering_share(beam, share), loads, strip_y, weights) for share in covering_shares]


def _weights(
    strip_mass: Any, mass_x: Any, tip_mass: float | np.ndarray = 0.0, tip_mass_x: float | np.ndarray = 0.0
) -> np.ndarray:
    """Return the forces and moments (..., 2 n + 2) of the wing's own weight, in the order of ``unit_strip_loads``."""
    moment = strip_mass * mass_x
    on_tip = np.asarray(tip_mass)[..., None] + 0.0 * moment[..., :1]
    parts = -strip_mass, -on_tip, moment, on_tip * np.asarray(tip_mass_x)[..., None]
    return GRAVITY * np.concatenate(parts, axis=-1)


def _compliance(beam: WingBeam, loads: WingLoads, strip_y: np.ndarray, weights: np.ndarray) -> Compliance:
    """Return the Compliance of a beam from its twist at the strips under ``unit_strip_loads``."""
    n = np.shape(strip_y)[-1]
    rotation = beam_twist(beam.strips, *loads)
    inner, outer = beam.station_y[..., :-1], beam.station_y[..., 1:]
    share = ((strip_y - inner) / (outer - inner))[..., None, :]
    at_strip = rotation[..., :-1] + share * (rotation[..., 1:] - rotation[..., :-1])
    per_load = np.swapaxes(at_strip, -1, -2)
    weight = (per_load @ weights[..., None])[..., 0]
    return Compliance(per_load[..., :n], per_load[..., n + 1 : -1], weight)


def air_loads(
    mesh: Mesh, symmetric: np.ndarray, antisymmetric: np.ndarray, wash: wake.WakeWash | None = None
) -> AirLoads:
    """Return the AirLoads from the panel circulations of both flows, strip columns after the rigid columns.

    ``symmetric`` (..., n_strip, n_panel, 4 + n) and ``antisymmetric`` (..., n_strip, n_panel, 6 + n) are circulations
    [m]. They are results of `lattice.symmetric_circulations` and `lateral.antisymmetric_circulations` with ``strips``.
    Forces are computed as for ``lattice.unit_loads``. ``wash`` is that of the mesh, if it is
    known already.
    """
    n_symmetric = symmetric.shape[-1]
    alone = antisymmetric[..., lateral.N_ANTISYMMETRIC :]
    both = np.concatenate([symmetric, antisymmetric[..., ROLLING], alone], axis=-1)
    loads = lattice.circulation_loads(mesh, both)
    circulation, lift, moment = (part[..., :n_symmetric] for part in loads)
    carried_lift, carried_moment = (lattice.carried_by_wing(mesh, part) for part in loads[1:])
    arms = mesh.middle * (mesh.outer_edge - mesh.inner_edge)
    arm = arms[..., 1] + arms[..., 2]
    return AirLoads(
        unit=lattice.summed_loads(
            mesh, circulation, lift, moment, wash or wake.wake_wash(mesh), drag_columns=lattice.N_SYMMETRIC
        ),
        strip_lift=carried_lift[..., :n_symmetric],
        strip_moment=carried_moment[..., :n_symmetric],
        roll_lift=carried_lift[..., n_symmetric:],
        roll_moment=carried_moment[..., n_symmetric:],
        roll_volume=-4 * (arm[..., None, :] @ loads[0][..., n_symmetric:])[..., 0, :],
    )


def coupling(compliance: Compliance, strip_lift: np.ndarray, strip_moment: np.ndarray) -> Coupling:
    """Return the Coupling of a beam with any air. The definition is at the top of the module.

    ``strip_lift`` (..., n, n_rigid + n) [m^2] and ``strip_moment`` about the nose datum [m^3] are strip loads over
    dynamic pressure. The first columns are per unit of the rigid columns. The last n are per radian of incidence on
    each strip alone.
    """
    turned = compliance.lift @ strip_lift + compliance.moment @ strip_moment
    n = turned.shape[-2]
    return Coupling(turned[..., :-n], turned[..., -n:], compliance.weight)


def couplings(compliance: Compliance, air: AirLoads) -> tuple[Coupling, Coupling]:
    """Return the Couplings of symmetric and of rolling flow. These are definitions."""
    return (
        coupling(compliance, air.strip_lift, air.strip_moment),
        coupling(compliance, air.roll_lift, air.roll_moment),
    )


def elastic_incidences(coupling: Coupling, dynamic_pressure: np.ndarray) -> np.ndarray:
    """Return the elastic incidence of every rigid column, and last that of the wing's own weight at load factor 1.

    ``dynamic_pressure`` is (..., n_condition) [Pa]. The result is (..., n_condition, n, n_rigid + 1) [rad] per unit of
    a column. The algebra is at the top of the module. In the example q F = 0.5 doubles the incidence.

    >>> one_strip = Coupling(driven=np.array([[0.01]]), feedback=np.array([[0.002]]), weight=np.array([0.03]))
    >>> elastic_incidences(one_strip, np.array([250.0])).round(3)
    array([[[5.  , 0.06]]])
    """
    pressure = np.asarray(dynamic_pressure)[..., None, None]
    feedback, driven = coupling.feedback[..., None, :, :], coupling.driven[..., None, :, :]
    matrix = -pressure * feedback
    matrix.reshape(*matrix.shape[:-2], -1)[..., :: matrix.shape[-1] + 1] += 1
    forced = pressure * driven
    right = np.empty((*forced.shape[:-1], forced.shape[-1] + 1), forced.dtype)
    right[..., :-1], right[..., -1] = forced, coupling.weight[..., None, :]
    return _solved(matrix, right)


def _solved(matrix: np.ndarray, right: np.ndarray) -> np.ndarray:
    """Return the solution x of (..., n, n) x = (..., n, m).

    Complex inputs are solved for value and slope. If all directions share the real part, the value is solved once.
    """
    if not (np.iscomplexobj(matrix) or np.iscomplexobj(right)):
        return solved(matrix, right)
    inverted = inverse(shared_values(matrix))
    value = inverted @ shared_values(right)
    return value + 1j * (inverted @ (np.imag(right) - np.imag(matrix) @ value))


def shared_values(matrix: np.ndarray) -> np.ndarray:
    """Return the real part of ``matrix`` (..., n, m) [as given], for one direction alone if all are equal.

    The result is (..., n, m) or (1, n, m) [as given]. Bookkeeping, no source needed.
    """
    real = np.real(matrix)
    return real[:1] if real.ndim > 2 and (real == real[:1]).all() else real


def with_elastic_part(total: np.ndarray, incidences: np.ndarray) -> np.ndarray:
    """Return the effect of every rigid column on the flexible wing, and last that of its own weight. [as given]

    ``total`` (..., n_rigid + n) is a quantity of the total wing over dynamic pressure, such as lift area [m^2]. It has
    rigid and strip columns. ``incidences`` are those of ``elastic_incidences`` [rad]. The result is (..., n_condition,
    n_rigid + 1). Its last entry is per unit of load factor, over dynamic pressure. Algebra, no source needed.
    """
    n = incidences.shape[-2]
    effect = (total[..., None, None, -n:] @ incidences)[..., 0, :]
    effect[..., :-1] += total[..., None, :-n]
    return effect


def flexible_trim(
    unit: lattice.UnitLoads,
    incidences: np.ndarray,
    inputs: trim.TrimInputs,
    gust_load_factor: float | np.ndarray = 0.0,
) -> FlexibleTrim:
    """Return the FlexibleTrim of every condition: lift and pitching moment balance on the twisted wing.

    Statics, no source needed.

    Parameters
    ----------
    unit : lattice.UnitLoads
        AirLoads.unit, which has strip columns.
    incidences : (..., n_condition, n, 5) array
        Result of ``elastic_incidences`` for the symmetric coupling at the same dynamic pressures. [rad]
    inputs : trim.TrimInputs
    gust_load_factor : (..., n_condition) array or float
        Load factor that a gust adds with fixed elevon. It is quasi-steady, so the wing has time to twist. [-]

    Notes
    -----
    Pass the resulting amplitude to `trim.strip_forces` with ``strip_lift`` or ``strip_moment`` of AirLoads. Pass it to
    `trim.strip_lift_coefficients` with ``unit``. `trim.induced_drag_areas` needs the drag of all columns too
    (`lattice.with_all_drag`).
    """
    lift, moment = with_elastic_part(unit.lift_area, incidences), with_elastic_part(unit.moment_volume, incidences)
    load_factor = inputs.load_factor
    steady = trim.trim_of_columns(_loaded(lift, load_factor), _loaded(moment, load_factor), inputs)
    per_load_factor = inputs.weight[..., None] / inputs.dynamic_pressure - lift[..., -1]
    extra = gust_load_factor * per_load_factor / lift[..., ALPHA]
    columns = np.arange(lattice.N_SYMMETRIC)
    rigid = steady.amplitude + extra[..., None] * (columns == ALPHA)
    total = np.asarray(load_factor + gust_load_factor)[..., None] + 0 * rigid[..., :1]
    incidence = (incidences @ np.concatenate([rigid, total], axis=-1)[..., None])[..., 0]
    return FlexibleTrim(np.concatenate([rigid, incidence], axis=-1), steady.elevon, steady.alpha, incidence)


def _loaded(columns: np.ndarray, load_factor: np.ndarray) -> np.ndarray:
    """Return the four rigid columns, with the effect of the wing's weight at ``load_factor`` added to the first."""
    built = columns[..., 0] + np.asarray(load_factor) * columns[..., -1]
    rest = columns[..., 1:-1]
    return np.concatenate([built[..., None], np.broadcast_to(rest, (*built.shape, rest.shape[-1]))], axis=-1)


def pitch_effectiveness(unit: lattice.UnitLoads, incidences: np.ndarray) -> np.ndarray:
    """Return the elevon's pitching moment at constant lift, flexible over rigid wing (..., n_condition). [-]

    ``incidences`` (..., n_condition, n, 5) [rad] are those of the symmetric coupling. The result holds for any centre
    of gravity, because the moment at constant lift is the moment about the neutral point. This is a definition.
    """
    lift, moment = with_elastic_part(np.array([unit.lift_area, unit.moment_volume]), incidences)
    rigid = _moment_at_constant_lift(unit.lift_area, unit.moment_volume)[..., None]
    return _moment_at_constant_lift(lift, moment) / rigid


def _moment_at_constant_lift(lift: np.ndarray, moment: np.ndarray) -> np.ndarray:
    return moment[..., ELEVON] - lift[..., ELEVON] * moment[..., ALPHA] / lift[..., ALPHA]


def roll_effectiveness(roll_volume: np.ndarray, incidences: np.ndarray) -> np.ndarray:
    """Return the steady roll rate at the same differential elevon, flexible over rigid wing (..., n_condition). [-]

    ``roll_volume`` (..., 2 + n) is that of AirLoads [m^3]. ``incidences`` (..., n_condition, n, 3) [rad] are those of
    the rolling coupling. This is a definition.
    """
    flexible = with_elastic_part(roll_volume, incidences)
    return flexible[..., 1] / roll_volume[..., None, 1] / (flexible[..., 0] / roll_volume[..., None, 0])
