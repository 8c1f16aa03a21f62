"""The finished wing under bags on the bench: bend, twist, strength, and the bags that replace a pull-up.

The wing lies upside down, its middle fixed on a board along the flight direction. So each half is clamped at the
centre line and bags pull the way lift does. Readings start from the wing under its own weight. Bend and twist are
linear, so that weight counts only for strength and for the bags of a proof load.

Cautions: a wing may break on the bench. Stand aside of it, a soft floor below, gloves on, one bag after the other;
a crack heard is the end of the test.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY

from .beam import BeamShape, beam_shape
from .failure_modes import loaded_utilisations
from .loads import WingLoads, cosine_and_sine, wing_loads
from .wing_beam import HalfWingMasses, WingBeam

_BAG_GAP = 1e-9  # between a bag and the stations on both sides of it [m]
_STOP_SHARE = 0.8  # of the strength of the weakest part; a test of stiffness stops there [-]


class StopMass(NamedTuple):
    """The bag at which something first uses _STOP_SHARE of its strength."""

    mass: float  # infinite where bags load nothing [kg]
    mode: int  # place in ``failure_modes.mode_names`` [-]
    station: int  # place in the beam's stations [-]


class ProofBags(NamedTuple):
    """Bags of one half wing; every field (n_bag,)."""

    mass: Any  # [kg]
    station: Any  # from the centre line [m]


def bag_loads(beam: WingBeam, mass: Any, station: Any, place: Any) -> WingLoads:
    """Return the loads of bags alone on half a wing.

    Parameters
    ----------
    beam : WingBeam
        Without batch axes.
    mass, place : (n_condition, n_bag) arrays
        Of each bag, and the distance behind the nose datum at which it pulls. [kg], [m]
    station : (n_bag,) array
        From the centre line. [m]

    Returns
    -------
    bag_loads : WingLoads
        (n_condition, n_station); a pull towards the wing's top side is positive. [N], [N m], [N m]

    Notes
    -----
    Statics of the bags outboard of each station, as in ``loads.wing_loads``.
    """
    arm = np.asarray(station)[:, None] - beam.station_y  # (n_bag, n_station)
    outboard = np.where(arm > 0.0, 1.0, 0.0)
    force = GRAVITY * np.asarray(mass)
    shear = force @ outboard
    roll = force @ (outboard * arm)
    pitch = (force * place) @ outboard - shear * beam.axis_x
    cosine, sine = cosine_and_sine(beam.axis_sweep + 0.0 * beam.station_y)
    return WingLoads(shear, roll * cosine + pitch * sine, roll * sine - pitch * cosine)


def own_weight_loads(beam: WingBeam, masses: HalfWingMasses, strip_y: Any = None) -> WingLoads:
    """Return the WingLoads (1, n_station) of half a wing's own weight, upside down. [N], [N m], [N m]

    ``strip_y`` (n,) [m] as for ``loads.wing_loads``.
    """
    return wing_loads(
        station_y=beam.station_y,
        axis_x=beam.axis_x,
        axis_sweep=beam.axis_sweep,
        strip_lift=np.zeros((1, np.shape(masses.mass)[-1])),
        load_factor=np.array([-1.0]),
        strip_mass=masses.mass,
        lift_x=np.zeros(1),
        mass_x=masses.x,
        tip_mass=masses.tip_mass,
        tip_mass_x=masses.tip_mass_x,
        strip_y=strip_y,
    )


def combined_loads(first: WingLoads, second: WingLoads) -> WingLoads:
    """Return the sum of two WingLoads, statics."""
    return WingLoads(
        shear=first.shear + second.shear,
        bending_moment=first.bending_moment + second.bending_moment,
        torsion=first.torsion + second.torsion,
    )


def shape_under_bags(beam: WingBeam, mass: Any, station: Any, place: Any) -> BeamShape:
    """Return the BeamShape of a WingBeam under bags, arguments as for ``bag_loads``.

    (n_condition, n_station + 2 n_bag), the tip last: stations are added on both sides of each bag, where shear
    and torsion jump. Between stations stiffness is linear, as ``beam.beam_shape`` assumes. [m], [rad], [rad]
    """
    bags = np.asarray(station)
    beside = np.clip([bags - _BAG_GAP, bags + _BAG_GAP], 0.0, beam.station_y[-1])
    points = np.sort(np.concatenate([beam.station_y, *beside]))

    def at_points(field: Any) -> np.ndarray:
        return np.interp(points, beam.station_y, field + 0.0 * beam.station_y)

    sweep = at_points(beam.axis_sweep)
    finer = beam._replace(station_y=points, axis_sweep=sweep, axis_x=at_points(beam.axis_x))
    loads = bag_loads(finer, mass, bags, place)
    return beam_shape(
        station_y=points,
        axis_sweep=sweep,
        bending_rigidity=at_points(beam.bending_rigidity),
        torsional_rigidity=at_points(beam.torsional_rigidity),
        shear_compliance=at_points(beam.shear_compliance),
        shear=loads.shear,
        bending_moment=loads.bending_moment,
        torsion=loads.torsion,
    )


def point_rise(shape: BeamShape, axis_x: Any, place: Any) -> Any:
    """Return the rise of a point of the tip, from rise and twist of its axis; geometry.

    Parameters
    ----------
    shape : BeamShape
        (..., n_condition, n_station).
    axis_x, place : (...) array or float
        Elastic axis of the tip, and the point, behind the nose datum. [m]

    Returns
    -------
    point_rise : (..., n_condition) array
        Turning the nose up lowers points behind the axis. [m]
    """
    return shape.deflection[..., -1] - shape.twist[..., -1] * (place - axis_x)


def greatest_utilisation(beam: WingBeam, loads: WingLoads) -> np.ndarray:
    """Return the greatest utilisation (n_condition,) of a WingBeam under loads, exactly; a definition. [-]"""
    return _utilisations(beam, loads).max(axis=(-2, -1))


def _utilisations(beam: WingBeam, loads: WingLoads) -> np.ndarray:
    return loaded_utilisations(beam.unit_utilisation, loads.shear, loads.bending_moment, beam.one_way)


def stop_mass(beam: WingBeam, own: WingLoads, bag: WingLoads) -> StopMass:
    """Return the mass of a bag at which something first uses _STOP_SHARE of its strength, statics.

    Parameters
    ----------
    beam : WingBeam
        Without batch axes.
    own, bag : WingLoads
        Of the wing's own weight, and of one kilogram of bag, (1, n_station).

    Returns
    -------
    stop_mass : StopMass
        Utilisations are linear in the load, except for a rounding below 0.001 at zero, so two points are enough.
    """
    at_rest, loaded = (_utilisations(beam, loads)[0] for loads in (own, combined_loads(own, bag)))
    rise = loaded - at_rest
    mass = np.where(rise > 0.0, (_STOP_SHARE - at_rest) / np.where(rise > 0.0, rise, 1.0), np.inf)
    mode, station = np.unravel_index(int(mass.argmin()), mass.shape)
    return StopMass(float(mass[mode, station]), int(mode), int(station))


def proof_bags(station_y: Any, strip_force: Any, count: int) -> ProofBags:
    """Return equal bags and their places, equivalent to a load spread over the strips; statics.

    Parameters
    ----------
    station_y : (n_station,) array
        Strip edges. [m]
    strip_force : (n_station - 1,) array
        Lift less inertia of each strip, even along the strip; parts that pull the other way count as zero. [N]
    count : int
        Bags on each side. [-]

    Returns
    -------
    proof_bags : ProofBags
        The span is cut into equal shares of the load; a bag pulls at the centre of each share. Shear and bending are
        exact at every cut; between cuts the bending moment of the bags is slightly lower.

    Examples
    --------
    The weight of 10 kg, even along a metre, becomes two bags at the quarter points:

    >>> bags = proof_bags(np.linspace(0.0, 1.0, 11), np.full(10, GRAVITY), count=2)
    >>> bags.mass.round(6).tolist(), bags.station.round(6).tolist()
    ([5.0, 5.0], [0.25, 0.75])
    """
    station_y, force = np.asarray(station_y), np.maximum(np.asarray(strip_force), 0.0)
    inboard = np.concatenate([[0.0], np.cumsum(force)])
    total = inboard[-1]
    cut = np.interp(np.linspace(0.0, total, count + 1), inboard, station_y)
    # first moment of the load inboard of a cut; the force of a strip is even along it
    density = force / np.diff(station_y)
    strip = np.clip(np.searchsorted(station_y, cut, side="right") - 1, 0, len(force) - 1)
    strips_inboard = np.concatenate([[0.0], np.cumsum(0.5 * force * (station_y[1:] + station_y[:-1]))])
    moment = strips_inboard[strip] + 0.5 * density[strip] * (cut**2 - station_y[strip] ** 2)
    share = total / count
    return ProofBags(np.full(count, share / GRAVITY), np.diff(moment) / share)
