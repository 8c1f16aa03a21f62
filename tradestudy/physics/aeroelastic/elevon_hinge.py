"""Elevon, linkage and servo: hinge moment, deflection lost in a soft linkage, slop, mass balance.

Thin-aerofoil hinge moments hold for a sealed gap in attached flow. A real elevon, thick and with the boundary layer of
a model, has 0.5 to 0.9 of them (common practice, no source). So servos are chosen on the safe side.
Moments are positive trailing edge down, like deflections; the moment on an elevon that is down is negative. Flutter of
the elevon about its hinge is not computed anywhere.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

_WEDGE_CENTROID = (
    5.0 / 12.0
)  # of the chord behind the hinge: a wedge from full thickness to a third, by integration [-]
_WEDGE_RADIUS = 0.5  # radius of gyration of that wedge about the hinge, of its chord, by integration [-]
TORQUE_RESERVE = 1.5  # servo torque over hinge moment, both steady: common practice, no source [-]


class HingeCoefficients(NamedTuple):
    """Hinge moment over dynamic pressure, elevon area and elevon chord; every field (...)."""

    camber: float | np.ndarray  # b0, at no angle of attack and no deflection [-]
    incidence: float | np.ndarray  # b1, per angle of attack [1/rad]
    deflection: float | np.ndarray  # b2, per deflection at constant angle of attack [1/rad]


class ElevonLinkage(NamedTuple):
    """Push rod from servo to elevon; every field a number or (...)."""

    servo_arm: float | np.ndarray  # hole to servo axis [m]
    horn: float | np.ndarray  # hole to hinge line [m]
    stiffness: float | np.ndarray  # of rod, horns and servo combined, force over travel at the horn [N/m]
    slop: float | np.ndarray  # travel at the horn that moves nothing, end to end [m]


def hinge_coefficients(
    chord_share: float | np.ndarray,
    zero_lift_incidence: float | np.ndarray = 0.0,
    moment_coefficient: float | np.ndarray = 0.0,
) -> HingeCoefficients:
    r"""Return the HingeCoefficients of a plain flap on a thin aerofoil.

    Parameters
    ----------
    chord_share : (...) array
        Elevon chord over total chord E, between 0 and 1. [-]
    zero_lift_incidence, moment_coefficient : (...) array or float
        Of the section without deflection; the latter about the quarter chord, nose up. [rad], [-]

    Notes
    -----
    H. Glauert, ARC R&M 1095 (1927), and The Elements of Aerofoil and Airscrew Theory (1926), chapter X; integrated
    anew. With the hinge at phi, cos phi = 2 E - 1, and chi = pi - phi,

    .. math:: b_1 &= -[(\cos\phi - 1/2)\chi + \sin\phi (1 - \cos\phi / 2)] / E^2

              b_2 &= \chi b_1 / \pi - \sin\phi (\chi \cos\phi + \sin\phi) / (2 \pi E^2)

    b0 assumes the mean line to be the cubic that has the two given numbers: exact for a cubic, a guess for another.

    Examples
    --------
    >>> coefficients = hinge_coefficients(0.2)
    >>> round(float(coefficients.incidence), 3), round(float(coefficients.deflection), 3)
    (-0.499, -0.923)
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


def chord_moment(station_y: np.ndarray, elevon_chord: np.ndarray, inner_end: float, outer_end: float) -> float:
    """Return the integral of elevon chord squared along one elevon; exact integration. [m^3]

    Parameters
    ----------
    station_y, elevon_chord : (n,) array
        Breaks of half the wing and the chords there, linear between them. [m]
    inner_end, outer_end : float
        From the centre line. [m]
    """
    inside = station_y[(station_y > inner_end) & (station_y < outer_end)]
    edges = np.concatenate([[inner_end], inside, [outer_end]])
    chord = np.interp(edges, station_y, elevon_chord)
    # exact for chords that are straight between breaks
    return float((np.diff(edges) * (chord[1:] ** 2 + chord[1:] * chord[:-1] + chord[:-1] ** 2)).sum() / 3.0)


def hinge_moment(
    coefficients: HingeCoefficients,
    dynamic_pressure: float | np.ndarray,
    chord_moment: float,
    incidence: float | np.ndarray,
    deflection: float | np.ndarray,
    hinge_sweep: float | np.ndarray = 0.0,
) -> np.ndarray:
    """Return the air's moment about one elevon's hinge, trailing edge down positive; a definition.

    Parameters
    ----------
    coefficients : HingeCoefficients
        Of the total elevon, at its middle chord share.
    dynamic_pressure, chord_moment : (...) array
        [Pa], [m^3] as in ``chord_moment``.
    incidence, deflection : (...) array
        Angle of attack of the section's chord less the downwash; trailing edge down positive. Both in the flight
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


def servo_torque(hinge_moment: float | np.ndarray, linkage: ElevonLinkage) -> float | np.ndarray:
    """Return the servo torque (...) for a ``hinge_moment`` (...) [N m] with arms near square; statics. [N m]"""
    return hinge_moment * linkage.servo_arm / linkage.horn


def torque_speed(
    torque: float,
    linkage: ElevonLinkage,
    coefficients: HingeCoefficients,
    chord_moment: float,
    incidence: float,
    deflection: float,
    density: float,
    hinge_sweep: float = 0.0,
) -> float:
    """Return the speed at which a servo's torque over TORQUE_RESERVE just maintains a deflection; statics. [m/s]

    Parameters
    ----------
    torque : float
        Of the servo at stall. [N m]
    linkage, coefficients, chord_moment, incidence, deflection, hinge_sweep
        As for ``servo_torque`` and ``hinge_moment``. [m^3], [rad]
    density : float
        Of the air. [kg/m^3]
    """
    per_pressure = servo_torque(
        hinge_moment(coefficients, 1.0, chord_moment, incidence, deflection, hinge_sweep), linkage
    )
    return float(np.sqrt(2.0 * torque / (TORQUE_RESERVE * density * np.abs(per_pressure))))


def remaining_deflection_share(
    linkage: ElevonLinkage,
    coefficients: HingeCoefficients,
    dynamic_pressure: float | np.ndarray,
    chord_moment: float,
    hinge_sweep: float | np.ndarray = 0.0,
) -> float | np.ndarray:
    """Return the share (...) of a commanded deflection that remains against the air, with the linkage's spring. [-]

    Arguments as for ``hinge_moment``. Statics: the spring s horn^2 in series with the air's -b2 q; the deflection is
    that about the hinge.
    """
    spring = linkage.stiffness * linkage.horn**2
    air = -coefficients.deflection * dynamic_pressure * chord_moment * np.cos(hinge_sweep) ** 3
    return spring / (spring + air)


def free_play(linkage: ElevonLinkage) -> float | np.ndarray:
    """Return the angle (...) by which an elevon moves freely, end to end, with the servo still. [rad]

    More than half a degree invites flutter that no calculation here sees (common practice, no source).
    """
    return linkage.slop / linkage.horn


class MassBalance(NamedTuple):
    """One elevon about its hinge."""

    unbalance: float  # mass behind the hinge times its distance [kg m]
    balance_mass: float  # mass that would balance it at the given arm ahead of the hinge [kg]
    inertia: float  # about the hinge, without the balance [kg m^2]
    frequency: float  # of the elevon on its linkage in still air, servo still [rad/s]


def mass_balance(elevon_mass: float, elevon_chord: float, linkage: ElevonLinkage, balance_arm: float) -> MassBalance:
    """Return the MassBalance of one elevon; statics.

    Parameters
    ----------
    elevon_mass, elevon_chord : float
        One elevon, horn included; its mean chord. [kg], [m]
    linkage : ElevonLinkage
    balance_arm : float
        Distance of a balance weight ahead of the hinge. [m]
    """
    unbalance = elevon_mass * _WEDGE_CENTROID * elevon_chord
    inertia = elevon_mass * (_WEDGE_RADIUS * elevon_chord) ** 2
    frequency = np.sqrt(linkage.stiffness * linkage.horn**2 / inertia)
    return MassBalance(unbalance, unbalance / balance_arm, inertia, float(frequency))
