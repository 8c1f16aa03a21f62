"""The finished wing on the bench: bags hung on it, how far it bends and twists, which bags stand for a pull-up.

The wing lies upside down, its middle held on a board along the flight direction, so each half is clamped at the
centre line and bags pull the way lift does. Readings are taken from the wing as it hangs by its own weight, which
is the zero: bend and twist are linear, so that weight only counts for strength and for the bags of a proof load.

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

_BAG_GAP = 1e-9  # where a jump is told beside a bag [m]
_STOP_SHARE = 0.8  # of the strength of whatever gives first; a test of stiffness stops there [-]


class StopMass(NamedTuple):
    """The bag at which something first uses STOP_SHARE of its strength."""

    mass: float  # infinite where bags load nothing [kg]
    mode: int  # place in ``failure.mode_names``
    station: int  # place in the beam's stations


class ProofBags(NamedTuple):
    """Bags of one half wing; every field (n_bag,)."""

    mass: Any  # [kg]
    station: Any  # from the centre line [m]


def bag_loads(beam, mass, station, place):
    """Return what bags alone load half a wing with.

    Parameters
    ----------
    beam : structure.WingBeam
        Without batch axes.
    mass, place : (n_condition, n_bag) arrays
        Of each bag, and how far behind the nose datum it pulls. [kg], [m]
    station : (n_bag,) array
        From the centre line. [m]

    Returns
    -------
    bag_loads : loads.WingLoads
        (n_condition, n_station); a pull towards the wing's top side is positive. [N], [N m], [N m]

    Notes
    -----
    Equilibrium of the bags outboard of each station, as in ``loads.wing_loads``.
    """
    arm = np.asarray(station)[:, None] - beam.station_y  # (n_bag, n_station)
    outboard = np.where(arm > 0.0, 1.0, 0.0)
    force = GRAVITY * np.asarray(mass)
    shear = force @ outboard
    roll = force @ (outboard * arm)
    pitch = (force * place) @ outboard - shear * beam.axis_x
    cosine, sine = cosine_and_sine(beam.axis_sweep + 0.0 * beam.station_y)
    return WingLoads(shear, roll * cosine + pitch * sine, roll * sine - pitch * cosine)


def own_weight_loads(beam, strip_mass, mass_x, tip_mass=0.0, tip_mass_x=0.0, strip_y=None):
    """Return what half a wing's own weight loads it with while it lies upside down.

    Arguments as for ``loads.wing_loads``; gives a loads.WingLoads (1, n_station). [N], [N m], [N m]
    """
    nothing = np.zeros((1, np.shape(strip_mass)[-1]))
    return wing_loads(
        beam.station_y,
        beam.axis_x,
        beam.axis_sweep,
        nothing,
        np.array([-1.0]),
        strip_mass,
        np.zeros(1),
        mass_x,
        0.0,
        tip_mass,
        tip_mass_x,
        strip_y,
    )


def combined_loads(*loads: WingLoads) -> WingLoads:
    """Return loads.WingLoads that act together. [N], [N m], [N m]"""
    return WingLoads(*(sum(parts) for parts in zip(*loads, strict=True)))


def shape_under_bags(beam, mass, station, place) -> BeamShape:
    """Return the beam.BeamShape of a WingBeam under bags, arguments as for ``bag_loads``.

    (n_condition, n_station + 2 n_bag), the tip last: stations are put in on both sides of each bag, where shear
    and torsion jump. Between stations stiffness runs straight, as ``beam.beam_shape`` takes it. [m], [rad], [rad]
    """
    bags = np.asarray(station)
    beside = np.clip([bags - _BAG_GAP, bags + _BAG_GAP], 0.0, beam.station_y[-1])
    points = np.sort(np.concatenate([beam.station_y, *beside]))
    fields = (
        beam.axis_sweep + 0.0 * beam.station_y,
        beam.axis_x,
        beam.bending_rigidity,
        beam.torsional_rigidity,
        beam.shear_compliance + 0.0 * beam.station_y,
    )
    sweep, axis_x, bending, torsional, compliance = (np.interp(points, beam.station_y, field) for field in fields)
    finer = beam._replace(station_y=points, axis_sweep=sweep, axis_x=axis_x)
    return beam_shape(points, sweep, bending, torsional, compliance, *bag_loads(finer, mass, bags, place))


def point_rise(shape, axis_x, place):
    """Return how far a point of the tip rises, from how far its axis rises and turns.

    Parameters
    ----------
    shape : beam.BeamShape
        (..., n_condition, n_station).
    axis_x, place : (...) array or float
        Elastic axis of the tip, and the point, behind the nose datum. [m]

    Returns
    -------
    point_rise : (..., n_condition) array
        A nose that turns up takes what lies behind the axis down. [m]
    """
    return shape.deflection[..., -1] - shape.twist[..., -1] * (place - axis_x)


def greatest_utilisation(beam, loads):
    """Return the greatest utilisation (n_condition,) of a WingBeam under loads, exactly. [-]"""
    used = loaded_utilisations(beam.unit_utilisation, loads.shear, loads.bending_moment, beam.one_way)
    return used.max(axis=(-2, -1))


def stop_mass(beam, own, bag) -> StopMass:
    """Return at which mass of a bag something first uses STOP_SHARE of its strength.

    Parameters
    ----------
    beam : structure.WingBeam
    own, bag : loads.WingLoads
        Of the wing's own weight, and of one kilogram of bag, (1, n_station).

    Returns
    -------
    stop_mass : StopMass
        Utilisations follow the load (but for a rounding below 0.001 at none), so two points tell.
    """
    at_rest, loaded = (
        loaded_utilisations(beam.unit_utilisation, each.shear, each.bending_moment, beam.one_way)[0]
        for each in (own, combined_loads(own, bag))
    )
    rise = loaded - at_rest
    mass = np.where(rise > 0.0, (_STOP_SHARE - at_rest) / np.where(rise > 0.0, rise, 1.0), np.inf)
    mode, station = np.unravel_index(int(mass.argmin()), mass.shape)
    return StopMass(float(mass[mode, station]), int(mode), int(station))


def proof_bags(station_y, strip_force, count) -> ProofBags:
    """Return equal bags in the places where they stand for a load spread over the strips.

    Parameters
    ----------
    station_y : (n_station,) array
        Strip edges. [m]
    strip_force : (n_station - 1,) array
        Lift less inertia of each strip, even along the strip; parts that pull the other way count as none. [N]
    count : int
        How many bags on each side.

    Returns
    -------
    proof_bags : ProofBags
        The span is cut where equal shares of the load end, and a bag hung at the middle of each share's load: shear
        is right at every cut, and bending too, between which the bags' moment is a little less.
    """
    station_y, force = np.asarray(station_y), np.maximum(np.asarray(strip_force), 0.0)
    inboard = np.concatenate([[0.0], np.cumsum(force)])
    total = inboard[-1]
    cut = np.interp(np.linspace(0.0, total, count + 1), inboard, station_y)
    # first moment of the load inboard of a cut, where the force of a strip lies even along it
    density = force / np.diff(station_y)
    strip = np.clip(np.searchsorted(station_y, cut, side="right") - 1, 0, len(force) - 1)
    whole = np.concatenate([[0.0], np.cumsum(0.5 * force * (station_y[1:] + station_y[:-1]))])
    moment = whole[strip] + 0.5 * density[strip] * (cut**2 - station_y[strip] ** 2)
    share = total / count
    return ProofBags(np.full(count, share / GRAVITY), np.diff(moment) / share)
