"""Elevon, linkage and servo: hinge moment, what a soft linkage gives away, slop, mass balance.

Thin-aerofoil hinge moments are those of a sealed gap in air that stays attached. A real elevon, thick and with the
boundary layer of a model, feels 0.5 to 0.9 of them (common practice, no source), so servos are chosen on the safe
side. Moments are positive trailing edge down, as deflections are; a servo that holds an elevon down carries a
negative one. Flutter of the elevon about its hinge is not computed anywhere.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

_WEDGE_CENTROID = (
    5.0 / 12.0
)  # of the chord behind the hinge: a wedge from full thickness to a third, by integration [-]
_WEDGE_RADIUS = 0.5  # radius of gyration of that wedge about the hinge, of its chord, by integration [-]
TORQUE_RESERVE = 1.5  # servo torque over hinge moment, both steady: common practice, no source [-]


class HingeCoefficients(NamedTuple):
    """Hinge moment over dynamic pressure, elevon area and elevon chord; every field (...)."""

    camber: Any  # b0, at no angle of attack and no deflection [-]
    incidence: Any  # b1, per angle of attack [1/rad]
    deflection: Any  # b2, per deflection at a held angle of attack [1/rad]


class ElevonLinkage(NamedTuple):
    """Push rod from servo to elevon."""

    servo_arm: Any  # hole to servo axis [m]
    horn: Any  # hole to hinge line [m]
    stiffness: Any  # of rod, horns and servo together, force over travel at the horn [N/m]
    slop: Any  # travel at the horn that moves nothing, end to end [m]


def hinge_coefficients(chord_share, zero_lift_incidence=0.0, moment_coefficient=0.0):
    r"""Return the HingeCoefficients of a plain flap on a thin aerofoil.

    Parameters
    ----------
    chord_share : (...) array
        Elevon chord over whole chord E, between 0 and 1. [-]
    zero_lift_incidence, moment_coefficient : (...) array or float
        Of the section without deflection; the latter about the quarter chord, nose up. [rad], [-]

    Notes
    -----
    H. Glauert, ARC R&M 1095 (1927), and The Elements of Aerofoil and Airscrew Theory (1926), chapter X; integrated
    anew. With the hinge at phi, cos phi = 2 E - 1, and chi = pi - phi,

    .. math:: b_1 &= -[(\cos\phi - 1/2)\chi + \sin\phi (1 - \cos\phi / 2)] / E^2

              b_2 &= \chi b_1 / \pi - \sin\phi (\chi \cos\phi + \sin\phi) / (2 \pi E^2)

    b0 takes the mean line as the cubic that has the two given numbers: exact for a cubic, a guess for another.
    """
    share = np.asarray(chord_share)
    cosine = 2.0 * share - 1.0
    sine = 2.0 * np.sqrt(share * (1.0 - share))
    angle = np.arccos(cosine)
    rest = np.pi - angle
    incidence = -((cosine - 0.5) * rest + sine * (1.0 - 0.5 * cosine)) / share**2
    deflection = rest * incidence / np.pi - sine * (cosine * rest + sine) / (2.0 * np.pi * share**2)
    # slope of the cubic's mean line: second / 3 + first cos + second cos 2 theta
    second = 12.0 * moment_coefficient / np.pi - 6.0 * zero_lift_incidence
    first = second - 4.0 * moment_coefficient / np.pi
    from_first = 0.5 * cosine * (rest + sine * cosine) + sine**3 / 3.0
    from_second = -2.0 / 3.0 * cosine * sine**3 - 0.25 * rest - np.sin(4.0 * angle) / 16.0
    camber = -second / 3.0 * incidence - (first * from_first + second * from_second) / share**2
    return HingeCoefficients(camber, incidence, deflection)


def chord_moment(station_y, elevon_chord, inner_end, outer_end):
    """Return the integral of elevon chord squared along one elevon: its area times its mean chord. [m^3]

    Parameters
    ----------
    station_y, elevon_chord : (n,) array
        Breaks of half the wing, straight between them. [m]
    inner_end, outer_end : float
        From the centre line. [m]
    """
    inside = station_y[(station_y > inner_end) & (station_y < outer_end)]
    edges = np.concatenate([[inner_end], inside, [outer_end]])
    chord = np.interp(edges, station_y, elevon_chord)
    # exact for chords that are straight between breaks
    return float((np.diff(edges) * (chord[1:] ** 2 + chord[1:] * chord[:-1] + chord[:-1] ** 2)).sum() / 3.0)


def hinge_moment(coefficients, dynamic_pressure, chord_moment, incidence, deflection, hinge_sweep=0.0):
    """Return the air's moment about one elevon's hinge, trailing edge down positive.

    Parameters
    ----------
    coefficients : HingeCoefficients
        Of the whole elevon, at its middle chord share.
    dynamic_pressure, chord_moment : (...) array
        [Pa], [m^3]
    incidence, deflection : (...) array
        Angle of attack of the section's chord, downwash taken off; trailing edge down positive. Both in the flight
        direction: an angle turned about a swept hinge times cos(sweep). [rad]
    hinge_sweep : (...) array or float
        Of the hinge line. [rad]

    Returns
    -------
    hinge_moment : (...) array
        [N m]
    """
    turned = coefficients.incidence * incidence + coefficients.deflection * deflection
    cosine = np.cos(hinge_sweep)
    # flow square to the hinge: q cos^2, c^2 cos^2, width / cos, and every angle (camber too) / cos
    return dynamic_pressure * chord_moment * cosine**2 * (coefficients.camber + turned)


def servo_torque(hinge_moment, linkage):
    """Return the torque (...) that holds a hinge moment (...) [N m] through a Linkage, arms near square. [N m]"""
    return hinge_moment * linkage.servo_arm / linkage.horn


def torque_speed(torque, linkage, coefficients, chord_moment, incidence, deflection, density, hinge_sweep=0.0):
    """Return the speed at which a servo's torque, less TORQUE_RESERVE, just holds a deflection. [m/s]

    Parameters
    ----------
    torque : float
        Of the servo at stall. [N m]
    linkage, coefficients, chord_moment, incidence, deflection, hinge_sweep
        As for ``servo_torque`` and ``hinge_moment``.
    density : float
        [kg/m^3]
    """
    per_pressure = servo_torque(
        hinge_moment(coefficients, 1.0, chord_moment, incidence, deflection, hinge_sweep), linkage
    )
    return float(np.sqrt(2.0 * torque / (TORQUE_RESERVE * density * np.abs(per_pressure))))


def remaining_deflection_share(linkage, coefficients, dynamic_pressure, chord_moment, hinge_sweep=0.0):
    """Return how much of a commanded deflection (...) is left against the air, by the linkage's spring alone. [-]

    Arguments as for ``hinge_moment``: the spring s horn^2 in series with the air's -b2 q;
    the deflection is that about the hinge.
    """
    spring = linkage.stiffness * linkage.horn**2
    air = -coefficients.deflection * dynamic_pressure * chord_moment * np.cos(hinge_sweep) ** 3
    return spring / (spring + air)


def free_play(linkage):
    """Return the angle (...) an elevon can be wagged, end to end, without the servo moving. [rad]

    More than half a degree is asking for flutter that no calculation here sees (common practice, no source).
    """
    return linkage.slop / linkage.horn


class MassBalance(NamedTuple):
    """One elevon about its hinge."""

    unbalance: float  # mass behind the hinge times its distance [kg m]
    balance_mass: float  # that would balance it at the given arm ahead of the hinge [kg]
    inertia: float  # about the hinge, without the balance [kg m^2]
    frequency: float  # of the elevon on its linkage in still air, servo held [rad/s]


def mass_balance(elevon_mass, elevon_chord, linkage, balance_arm):
    """Return the MassBalance of one elevon: sums, no judgement.

    Parameters
    ----------
    elevon_mass, elevon_chord : float
        One elevon, horn included; its mean chord. [kg], [m]
    linkage : Linkage
        See there.
    balance_arm : float
        How far ahead of the hinge a balance weight would sit. [m]
    """
    unbalance = elevon_mass * _WEDGE_CENTROID * elevon_chord
    inertia = elevon_mass * (_WEDGE_RADIUS * elevon_chord) ** 2
    frequency = np.sqrt(linkage.stiffness * linkage.horn**2 / inertia)
    return MassBalance(unbalance, unbalance / balance_arm, inertia, float(frequency))
