"""Load test of the finished wing with bags on the bench: bend, twist, strength, and bags equivalent to a pull-up.

The wing lies upside down, and its middle is fixed on a board along the flight direction. So each half is clamped at the
centre line, and bags pull in the direction of lift. Readings start from the wing under its own weight. Bend and twist
are linear in the load, so own weight matters only for strength and for the bags of a proof load.

Cautions: a wing may break on the bench. Stand to the side of it, have a soft floor below, wear gloves, and add one bag
at a time. End the test when you hear a crack.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY

from .beam import BeamShape, beam_shape
from .failure_modes import loaded_utilisations
from .loads import WingLoads, wing_loads
from .wing_beam import HalfWingMasses, WingBeam

_BAG_GAP = 1e-9  # distance between a bag and the stations on both sides of it [m]
_STOP_SHARE = 0.8  # utilisation of the weakest part at which a test of stiffness stops [-]


class StopMass(NamedTuple):
    """Mass of a bag at which the first utilisation reaches _STOP_SHARE."""

    mass: float  # mass of the bag; infinite where bags load nothing [kg]
    mode: int  # index of the failure mode in ``failure_modes.mode_names`` [-]
    station: int  # index of the beam's station where it occurs [-]


class ProofBags(NamedTuple):
    """Bags on one half wing. Every field has the shape (n_bag,)."""

    mass: Any  # mass of each bag [kg]
    station: Any  # distance of each bag from the centre line [m]


def bag_loads(beam: WingBeam, mass: Any, station: Any, place: Any) -> WingLoads:
    """Return the internal loads of half a wing by bags alone.

    Parameters
    ----------
    beam : WingBeam
        Beam without batch axes.
    mass, place : (n_condition, n_bag) arrays
        Mass of each bag, and the distance behind the nose datum at which it pulls. [kg], [m]
    station : (n_bag,) array
        Distance of each bag from the centre line. [m]

    Returns
    -------
    bag_loads : WingLoads
        Loads (n_condition, n_station). A pull towards the wing's top side is positive. [N], [N m], [N m]

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
    cosine, sine = beam.axis_direction
    return WingLoads(shear, roll * cosine + pitch * sine, roll * sine - pitch * cosine)


def own_weight_loads(beam: WingBeam, masses: HalfWingMasses, strip_y: Any = None) -> WingLoads:
    """Return the WingLoads (1, n_station) of half a wing's own weight, upside down. [N], [N m], [N m]

    ``strip_y`` (n,) [m] is as for ``loads.wing_loads``.
    """
    return wing_loads(
        station_y=beam.station_y,
        axis_x=beam.axis_x,
        axis_direction=beam.axis_direction,
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
    """Return the sum of two WingLoads.

    This is statics and needs no source.
    """
    return WingLoads(
        shear=first.shear + second.shear,
        bending_moment=first.bending_moment + second.bending_moment,
        torsion=first.torsion + second.torsion,
    )


def shape_under_bags(beam: WingBeam, mass: Any, station: Any, place: Any) -> BeamShape:
    """Return the BeamShape of a WingBeam under bags. [m], [rad], [rad]

    The arguments are as for ``bag_loads``. Stations are added on both sides of each bag, where shear and torsion jump.
    So the fields have the shape (n_condition, n_station + 2 n_bag), with the tip last. Between stations stiffness is
    linear, as ``beam.beam_shape`` assumes.
    """
    bags = np.asarray(station)
    near_bags = np.clip([bags - _BAG_GAP, bags + _BAG_GAP], 0.0, beam.station_y[-1])
    points = np.sort(np.concatenate([beam.station_y, *near_bags]))

    def at_points(field: Any) -> np.ndarray:
        return np.interp(points, beam.station_y, field + 0.0 * beam.station_y)

    finer = replace(
        beam,
        station_y=points,
        axis_sweep=at_points(beam.axis_sweep),
        axis_x=at_points(beam.axis_x),
        bending_rigidity=at_points(beam.bending_rigidity),
        torsional_rigidity=at_points(beam.torsional_rigidity),
    )
    return beam_shape(finer.strips, at_points(beam.shear_compliance), *bag_loads(finer, mass, bags, place))


def point_rise(shape: BeamShape, axis_x: Any, place: Any) -> Any:
    """Return the rise of a point on the tip.

    Parameters
    ----------
    shape : BeamShape
        Deformed axis with fields (..., n_condition, n_station).
    axis_x, place : (...) array or float
        Distances of the elastic axis at the tip and of the point behind the nose datum. [m]

    Returns
    -------
    point_rise : (..., n_condition) array
        Geometry: rise of the axis, less its twist times the distance of the point behind it. [m]
    """
    return shape.deflection[..., -1] - shape.twist[..., -1] * (place - axis_x)


def greatest_utilisation(beam: WingBeam, loads: WingLoads) -> np.ndarray:
    """Return the greatest utilisation (n_condition,) of a WingBeam under loads, without smoothing. [-]

    This is a definition and needs no source.
    """
    return _utilisations(beam, loads).max(axis=(-2, -1))


def _utilisations(beam: WingBeam, loads: WingLoads) -> np.ndarray:
    return loaded_utilisations(beam.unit_utilisation, loads.shear, loads.bending_moment, beam.one_way)


def stop_mass(beam: WingBeam, own: WingLoads, bag: WingLoads) -> StopMass:
    """Return the mass of a bag at which the first utilisation reaches _STOP_SHARE.

    This is statics and needs no source.

    Parameters
    ----------
    beam : WingBeam
        Beam without batch axes.
    own, bag : WingLoads
        Loads (1, n_station) of the wing's own weight, and of a bag of one kilogram.

    Returns
    -------
    stop_mass : StopMass
        Utilisations are linear in the load, except for a rounding below 0.001 at zero. So two points are enough.
    """
    at_rest, loaded = (_utilisations(beam, loads)[0] for loads in (own, combined_loads(own, bag)))
    rise = loaded - at_rest
    mass = np.where(rise > 0.0, (_STOP_SHARE - at_rest) / np.where(rise > 0.0, rise, 1.0), np.inf)
    mode, station = np.unravel_index(int(mass.argmin()), mass.shape)
    return StopMass(float(mass[mode, station]), int(mode), int(station))


def proof_bags(station_y: Any, strip_force: Any, count: int) -> ProofBags:
    """Return equal bags and their places, equivalent to a load distributed over the strips.

    This is statics and needs no source.

    Parameters
    ----------
    station_y : (n_station,) array
        Strip edges. [m]
    strip_force : (n_station - 1,) array
        Lift less inertia force of each strip, even along the strip. Negative forces are replaced by zero. [N]
    count : int
        Number of bags on each side. [-]

    Returns
    -------
    proof_bags : ProofBags
        The span is cut into equal shares of the load, and a bag pulls at the centre of each share. Shear and bending
        are exact at every cut. Between cuts the bending moment of the bags is slightly lower.

    Examples
    --------
    The weight of 10 kg, even along one metre, is replaced by two bags at the quarter points:

    >>> bags = proof_bags(np.linspace(0.0, 1.0, 11), np.full(10, GRAVITY), count=2)
    >>> bags.mass.round(6).tolist(), bags.station.round(6).tolist()
    ([5.0, 5.0], [0.25, 0.75])
    """
    station_y, force = np.asarray(station_y), np.maximum(np.asarray(strip_force), 0.0)
    inboard = np.concatenate([[0.0], np.cumsum(force)])
    total = inboard[-1]
    cut = np.interp(np.linspace(0.0, total, count + 1), inboard, station_y)
    # first moment of the load inboard of each cut; the force of a strip is even along it
    density = force / np.diff(station_y)
    strip = np.clip(np.searchsorted(station_y, cut, side="right") - 1, 0, len(force) - 1)
    strips_inboard = np.concatenate([[0.0], np.cumsum(0.5 * force * (station_y[1:] + station_y[:-1]))])
    moment = strips_inboard[strip] + 0.5 * density[strip] * (cut**2 - station_y[strip] ** 2)
    share = total / count
    return ProofBags(np.full(count, share / GRAVITY), np.diff(moment) / share)
