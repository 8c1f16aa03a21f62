"""A wing that twists under its own air loads: lattice and beam in one small linear system.

Every wing strip has one unknown, its elastic incidence: how far the loads turn it nose up in the flight direction. The
lattice tells what one radian of incidence on each strip alone does to lift and moment of all strips
(`lattice.strip_columns`), the beam tells how a newton or newton metre on each strip turns all strips (``compliance``).
With S the first, C the second, q the dynamic pressure, R the rigid unit columns and a their weights,

    incidence = q C (R a + S incidence) + load factor x (turn by the wing's own weight),

so that incidence = (I - q F)^-1 (q C R a + ...) with the feedback F = C S: one solve for each dynamic pressure, and
every rigid column gets an elastic tail. Incidence from torsion and, on a swept axis, from bending; core shear moves the
axis without turning a section, and so takes no part. Each half is clamped at the centre line, in symmetric and in
antisymmetric flow alike. Air loads act along the middle line of each strip; fins count in the flow, with their mass and
with the lift of canted ones, but the side force on an upright fin does not bend its tip. All is steady: no flutter.

Cautions: foam modulus and film bond are uncertain by a factor of two and more, and so is torsion. Estimates for
choosing between shapes, not proof that a wing holds at a speed.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.aero import lateral, lattice, trim
from tradestudy.physics.structure.beam import beam_twist
from tradestudy.physics.structure.loads import wing_loads
from tradestudy.physics.structure.wing_beam import with_covering_share

ALPHA, ELEVON = 1, 2  # columns of the symmetric set; see lattice
ROLLING = [lateral.ROLL, lateral.DIFFERENTIAL_ELEVON]  # the two antisymmetric columns that a steady roll needs


class Compliance(NamedTuple):
    """Elastic incidence of every strip, nose up in the flight direction, per load on every strip."""

    lift: Any  # per lift acting at the nose datum's x and the strip's y (..., n, n) [rad/N]
    moment: Any  # per nose-up moment (..., n, n) [rad/(N m)]
    weight: Any  # per unit of load factor, from the wing's own mass (..., n) [rad]


class AirLoads(NamedTuple):
    """Unit responses of the air, each with the n strip columns behind the rigid ones."""

    unit: lattice.UnitLoads  # symmetric flow, 4 + n columns, all strips
    strip_lift: Any  # on the wing's strips, fins hung on (..., n, 4 + n) [m^2]
    strip_moment: Any  # the same about the nose datum (..., n, 4 + n) [m^3]
    roll_lift: Any  # strip lift over dynamic pressure, per roll rate over airspeed and elevon (..., n, 2 + n) [m^2]
    roll_moment: Any  # strip moment about the nose datum (..., n, 2 + n) [m^3]
    roll_volume: Any  # whole wing's rolling moment over dynamic pressure, right wing down (..., 2 + n) [m^3]


class Coupling(NamedTuple):
    """Beam and air together, for one symmetry of flow."""

    driven: Any  # incidence per unit of each rigid column and dynamic pressure (..., n, n_rigid) [rad/Pa per unit]
    feedback: Any  # incidence per incidence and dynamic pressure (..., n, n) [1/Pa]
    weight: Any  # as in Compliance (..., n) [rad]


class FlexibleTrim(NamedTuple):
    """Trimmed state of each flight condition on the twisted wing."""

    amplitude: Any  # weights of the 4 + n columns of AirLoads.unit (..., n_condition, 4 + n)
    elevon: Any  # real deflection, trailing edge up negative (..., n_condition) [rad]
    alpha: Any  # of the root chord, about the centre of gravity, before any gust (..., n_condition) [rad]
    incidence: Any  # elastic, every strip (..., n_condition, n) [rad]


def compliance(beam, strip_y, strip_mass, mass_x, tip_mass=0.0, tip_mass_x=0.0, force_y=None):
    """Return the Compliance of half a wing clamped at the centre line.

    Parameters
    ----------
    beam : structure.WingBeam
        Stiffness and axis at the strips' edges (..., n + 1).
    strip_y : (..., n) array
        Where along y each strip's incidence is asked for, and its force acts. [m]
    strip_mass, mass_x : (..., n) arrays
        [kg], [m]
    tip_mass, tip_mass_x : (...) arrays or floats
        Fin. [kg], [m]
    force_y : (..., n) array, optional
        Where the force acts, if elsewhere. [m]
    """
    loads = _unit_loads(beam, strip_y if force_y is None else force_y, strip_mass, mass_x, tip_mass, tip_mass_x)
    return _turned(beam, loads, strip_y)


def compliances(covering_shares, beam, strip_y, *masses):
    """Return a list of Compliance, one for each share [-] of what the covering carries (a doubtful bond).

    The rest as for ``compliance``; the loads are worked out once.
    """
    loads = _unit_loads(beam, strip_y, *masses)
    return [_turned(with_covering_share(beam, share), loads, strip_y) for share in covering_shares]


def _unit_loads(beam, force_y, strip_mass, mass_x, tip_mass=0.0, tip_mass_x=0.0):
    """Loads (..., 2 n + 1, n + 1) along the axis: a force on each strip, a moment on each, the weight of all."""
    n = np.shape(force_y)[-1]
    one = np.eye(2 * n + 1)
    return wing_loads(
        beam.station_y,
        beam.axis_x,
        beam.axis_sweep,
        one[:, :n],
        one[:, -1],
        strip_mass,
        np.zeros(1),
        mass_x,
        one[:, n:-1],
        tip_mass,
        tip_mass_x,
        force_y,
    )


def _turned(beam, loads, strip_y):
    """The Compliance of a beam from its twist under ``_unit_loads``, read at the strips."""
    n = np.shape(strip_y)[-1]
    turned = beam_twist(beam.station_y, beam.axis_sweep, beam.bending_rigidity, beam.torsional_rigidity, *loads)
    inner, outer = beam.station_y[..., :-1], beam.station_y[..., 1:]
    share = ((strip_y - inner) / (outer - inner))[..., None, :]
    at_strip = turned[..., :-1] + share * (turned[..., 1:] - turned[..., :-1])
    per_load = np.swapaxes(at_strip, -1, -2)
    return Compliance(per_load[..., :n], per_load[..., n:-1], per_load[..., -1])


def air_loads(mesh, symmetric, antisymmetric):
    """Return the AirLoads of a mesh.Mesh from both flows' panel circulations, strip columns behind the rigid ones.

    ``symmetric`` (..., n_strip, n_panel, 4 + n) and ``antisymmetric`` (..., n_strip, n_panel, 6 + n) [m], as
    `lattice.circulations` and `lateral.circulations` give them with ``strips``.
    """
    rolling = np.concatenate([antisymmetric[..., ROLLING], antisymmetric[..., lateral.N_ANTISYMMETRIC :]], axis=-1)
    unit = lattice.unit_loads(mesh, symmetric)
    forces = (unit.strip_lift, unit.strip_moment, *lattice.strip_loads(mesh, rolling))
    step = mesh.outer_edge - mesh.inner_edge
    arm = (mesh.middle[..., 1:] * step[..., 1:]).sum(-1)
    volume = -4 * (arm[..., None, :] @ rolling.sum(-2))[..., 0, :]
    return AirLoads(unit, *(lattice.carried_by_wing(mesh, force) for force in forces), volume)


def coupling(compliance, strip_lift, strip_moment):
    """Return the Coupling of a beam with any air.

    ``strip_lift`` (..., n, n_rigid + n) [m^2] and ``strip_moment`` about the nose datum [m^3], over dynamic pressure,
    are strip loads per unit of the rigid columns and, behind them, per radian of incidence on each strip alone.
    """
    turned = compliance.lift @ strip_lift + compliance.moment @ strip_moment
    n = turned.shape[-2]
    return Coupling(turned[..., :-n], turned[..., -n:], compliance.weight)


def couplings(compliance, air):
    """Return the Couplings of symmetric and of rolling flow from a Compliance and AirLoads."""
    return (
        coupling(compliance, air.strip_lift, air.strip_moment),
        coupling(compliance, air.roll_lift, air.roll_moment),
    )


def elastic_incidences(coupling, dynamic_pressure):
    """Return the elastic tail of every rigid column, and last that of the wing's own weight at load factor 1.

    ``dynamic_pressure`` (..., n_condition) [Pa]; result (..., n_condition, n, n_rigid + 1) [rad] per unit of a column.
    """
    pressure = np.asarray(dynamic_pressure)[..., None, None]
    matrix = np.eye(coupling.feedback.shape[-1]) - pressure * coupling.feedback[..., None, :, :]
    weight = coupling.weight[..., None, :, None] + 0 * pressure
    driven = pressure * coupling.driven[..., None, :, :]
    return _solved(matrix, np.concatenate([driven, np.broadcast_to(weight, (*driven.shape[:-1], 1))], axis=-1))


def _solved(matrix, wanted):
    """Solve (..., n, n) x = (..., n, m); complex inputs by value and slope, values once where directions share them."""
    if not (np.iscomplexobj(matrix) or np.iscomplexobj(wanted)):
        return np.linalg.solve(matrix, wanted)
    inverse = np.linalg.inv(shared_values(matrix))
    value = inverse @ shared_values(wanted)
    return value + 1j * (inverse @ (np.imag(wanted) - np.imag(matrix) @ value))


def shared_values(matrix):
    """Return the real part (..., n, m); its first direction alone (1, ...) where all directions share it. [-]"""
    real = np.real(matrix)
    return real[:1] if real.ndim > 2 and np.array_equal(real, np.broadcast_to(real[:1], real.shape)) else real


def with_elastic_part(whole, tails):
    """Return what every rigid column of the flexible wing does, and last its weight: (..., n_condition, n_rigid + 1).

    ``whole`` (..., n_rigid + n): a whole-wing quantity over dynamic pressure, such as lift area [m^2], of the rigid
    and strip columns; ``tails`` from ``elastic_columns``. The last is per unit of load factor, over dynamic pressure.
    """
    n = tails.shape[-2]
    by_strip = (whole[..., None, None, -n:] @ tails)[..., 0, :]
    rigid = np.concatenate([whole[..., :-n], 0 * whole[..., :1]], axis=-1)
    return rigid[..., None, :] + by_strip


def flexible_trim(
    unit,
    tails,
    centre_of_gravity,
    weight,
    dynamic_pressure,
    load_factor,
    speed,
    effectiveness,
    thrust_moment_volume=0.0,
    gust_load_factor=0.0,
):
    """Return the FlexibleTrim of every condition: lift and pitching moment balanced on the twisted wing.

    Parameters
    ----------
    unit : lattice.UnitLoads
        With strip columns: AirLoads.unit.
    tails : (..., n_condition, n, 5) array
        ``elastic_columns`` of the symmetric coupling at the same dynamic pressures.
    gust_load_factor : (..., n_condition) array or float
        What a gust adds at held elevon; quasi-steady, so the wing has time to twist. [-]

    The rest as for ``trim.trimmed``. `trim.strip_forces` takes the amplitude with ``strip_lift`` and ``strip_moment``
    of AirLoads, `trim.strip_lift_coefficients` and `trim.induced_drag_areas` with ``unit``.
    """
    lift, moment = with_elastic_part(unit.lift_area, tails), with_elastic_part(unit.moment_volume, tails)
    held = trim.trim_of_columns(
        _loaded(lift, load_factor),
        _loaded(moment, load_factor),
        centre_of_gravity,
        weight,
        dynamic_pressure,
        load_factor,
        speed,
        effectiveness,
        thrust_moment_volume,
    )
    extra = gust_load_factor * (weight[..., None] / dynamic_pressure - lift[..., -1]) / lift[..., ALPHA]
    columns = np.arange(lattice.N_SYMMETRIC)
    rigid = held.amplitude + extra[..., None] * (columns == ALPHA)
    total = np.asarray(load_factor + gust_load_factor)[..., None] + 0 * rigid[..., :1]
    incidence = (tails @ np.concatenate([rigid, total], axis=-1)[..., None])[..., 0]
    return FlexibleTrim(np.concatenate([rigid, incidence], axis=-1), held.elevon, held.alpha, incidence)


def _loaded(columns, load_factor):
    """The four rigid columns, what the wing's weight does at ``load_factor`` added to the first."""
    built = columns[..., 0] + np.asarray(load_factor) * columns[..., -1]
    rest = columns[..., 1:-1]
    return np.concatenate([built[..., None], np.broadcast_to(rest, (*built.shape, rest.shape[-1]))], axis=-1)


def pitch_effectiveness(unit, tails):
    """Return the elevon's pitching moment at constant lift, flexible over rigid (..., n_condition). [-]

    About any centre of gravity: what angle of attack takes back makes it the moment about the neutral point.
    """
    lift, moment = with_elastic_part(unit.lift_area, tails), with_elastic_part(unit.moment_volume, tails)
    return (
        _moment_at_constant_lift(lift, moment) / _moment_at_constant_lift(unit.lift_area, unit.moment_volume)[..., None]
    )


def _moment_at_constant_lift(lift, moment):
    return moment[..., ELEVON] - lift[..., ELEVON] * moment[..., ALPHA] / lift[..., ALPHA]


class RollEffectiveness(NamedTuple):
    """Flexible over rigid, each (..., n_condition) [-]."""

    roll_rate: Any  # steady rolling at the same differential elevon
    elevon: Any  # rolling moment of the elevons at no rolling
    damping: Any  # rolling moment against a given rolling


def roll_effectiveness(roll_volume, tails):
    """Return the RollEffectiveness; ``roll_volume`` of AirLoads, ``tails`` of the rolling coupling."""
    ratio = with_elastic_part(roll_volume, tails)[..., :2] / roll_volume[..., None, :2]
    return RollEffectiveness(ratio[..., 1] / ratio[..., 0], ratio[..., 1], ratio[..., 0])
