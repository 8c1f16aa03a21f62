"""Elevon, linkage and servo: hinge moment, deflection lost in a flexible linkage, slop, mass balance.

Thin-aerofoil hinge moments hold for a sealed gap in attached flow. A real elevon, thick and with a model's boundary
layer, has 0.5 to 0.9 of them (common practice, no source). So the choice of a servo is on the safe side.

Moments are positive trailing edge down, like deflections. The moment on an elevon that is down is negative. Flutter of
the elevon about its hinge is not computed anywhere. "(...)" means arrays of any batch shape.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

_WEDGE_CENTROID = (
    5.0 / 12.0
)  # centroid behind the hinge over chord, of a wedge whose thickness falls to a third; by integration [-]
_WEDGE_RADIUS = 0.5  # radius of gyration of that wedge about the hinge, over its chord; by integration [-]
TORQUE_RESERVE = 1.5  # required servo torque over hinge moment, both steady; common practice, no source [-]


class HingeCoefficients(NamedTuple):
    """Hinge moment over dynamic pressure, elevon area and elevon chord. Every field is (...)."""

    camber: float | np.ndarray  # b0, coefficient at zero angle of attack and zero deflection [-]
    incidence: float | np.ndarray  # b1, derivative by angle of attack [1/rad]
    deflection: float | np.ndarray  # b2, derivative by deflection at constant angle of attack [1/rad]


class ElevonLinkage(NamedTuple):
    """Push rod from servo to elevon. Every field is a number or an array (...)."""

    servo_arm: float | np.ndarray  # distance from the rod's hole to the servo axis [m]
    horn: float | np.ndarray  # distance from the rod's hole to the hinge line [m]
    stiffness: float | np.ndarray  # stiffness of rod, horns and servo combined, force over travel at the horn [N/m]
    slop: float | np.ndarray  # free travel at the horn, from end to end [m]


def hinge_coefficients(
    chord_share: float | np.ndarray,
    zero_lift_incidence: float | np.ndarray = 0.0,
    moment_coefficient: float | np.ndarray = 0.0,
) -> HingeCoefficients:
    r"""Return the HingeCoefficients of a plain flap on a thin aerofoil.

    Parameters
    ----------
    chord_share : (...) array
        Elevon chord over total chord, E, between 0 and 1. [-]
    zero_lift_incidence, moment_coefficient : (...) array or float
        Values of the section without deflection. The moment is about the quarter chord, nose up. [rad], [-]

    Notes
    -----
    Source: H. Glauert, ARC R&M 1095 (1927), and The Elements of Aerofoil and Airscrew Theory (1926), chapter X. The
    integrals were solved again here. The hinge is at the angle phi with cos phi = 2 E - 1, and chi = pi - phi. Then

    .. math:: b_1 &= -[(\cos\phi - 1/2)\chi + \sin\phi (1 - \cos\phi / 2)] / E^2

              b_2 &= \chi b_1 / \pi - \sin\phi (\chi \cos\phi + \sin\phi) / (2 \pi E^2)

    b0 is computed for the cubic mean line that has the two given values. It is exact for a cubic line and a guess for
    any other.

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
    # the cubic mean line has the slope second / 3 + first cos(theta) + second cos(2 theta)
    second = 12.0 * moment_coefficient / np.pi - 6.0 * zero_lift_incidence
    first = second - 4.0 * moment_coefficient / np.pi
    from_first = 0.5 * cosine * (rest + sine * cosine) + sine**3 / 3.0
    from_second = -2.0 / 3.0 * cosine * sine**3 - 0.25 * rest - np.sin(4.0 * angle) / 16.0
    camber = -second / 3.0 * incidence - (first * from_first + second * from_second) / share**2
    return HingeCoefficients(camber, incidence, deflection)


def chord_moment(station_y: np.ndarray, elevon_chord: np.ndarray, inner_end: Any, outer_end: Any) -> Any:
    """Return the integral (...) of elevon chord squared along one elevon, by exact integration. [m^3]

    Parameters
    ----------
    station_y, elevon_chord : (..., n) arrays
        Breaks of half the wing and the elevon's chords there. The chord is linear between them. [m]
    inner_end, outer_end : (...) arrays
        Distances of the elevon's ends from the centre line. [m]
    """
    start, stop = station_y[..., :-1], station_y[..., 1:]
    inner, outer = (np.asarray(end)[..., None] for end in (inner_end, outer_end))
    low = np.where(start.real > inner.real, start, inner)
    high = np.where(stop.real < outer.real, stop, outer)
    slope = (elevon_chord[..., 1:] - elevon_chord[..., :-1]) / (stop - start)
    first, last = (elevon_chord[..., :-1] + slope * (place - start) for place in (low, high))
    width = np.where(high.real > low.real, high - low, 0.0)
    return (width * (last**2 + last * first + first**2)).sum(axis=-1) / 3.0  # exact for chords linear between breaks


def hinge_moment(
    coefficients: HingeCoefficients,
    dynamic_pressure: float | np.ndarray,
    chord_moment: float | np.ndarray,
    incidence: float | np.ndarray,
    deflection: float | np.ndarray,
    hinge_sweep: float | np.ndarray = 0.0,
) -> np.ndarray:
    """Return the air's moment about the hinge of one elevon, trailing edge down positive. This is a definition.

    Parameters
    ----------
    coefficients : HingeCoefficients
        Coefficients of the total elevon, for the mean of its chord share.
    dynamic_pressure, chord_moment : (...) array
        Dynamic pressure, and the result of the function ``chord_moment``. [Pa], [m^3]
    incidence, deflection : (...) array
        Angle of attack of the section's chord minus the downwash, and deflection, trailing edge down positive. Both
        are in the flight direction: multiply an angle about a swept hinge by cos(sweep). [rad]
    hinge_sweep : (...) array or float
        Sweep of the hinge line. [rad]

    Returns
    -------
    hinge_moment : (...) array
        Moment about the hinge. [N m]
    """
    turned = coefficients.incidence * incidence + coefficients.deflection * deflection
    cosine = np.cos(hinge_sweep)
    # In the flow square to the hinge, pressure and chord^2 have the factor cos^2 each. Width and every angle, that of
    # camber too, are divided by cos.
    return dynamic_pressure * chord_moment * cosine**2 * (coefficients.camber + turned)


def servo_torque(hinge_moment: float | np.ndarray, linkage: ElevonLinkage) -> float | np.ndarray:
    """Return the servo torque (...) for a ``hinge_moment`` (...) [N m], with arms nearly square to the rod. [N m]

    Statics, no source needed.
    """
    return hinge_moment * linkage.servo_arm / linkage.horn


def remaining_deflection_share(
    linkage: ElevonLinkage,
    coefficients: HingeCoefficients,
    dynamic_pressure: float | np.ndarray,
    chord_moment: float,
    hinge_sweep: float | np.ndarray = 0.0,
) -> float | np.ndarray:
    """Return the share (...) of a commanded deflection that remains when the air bends the linkage. [-]

    Arguments are as for ``hinge_moment``. Statics: the linkage's spring, stiffness x horn^2, acts in series with the
    air's spring. The deflection is that about the hinge.
    """
    spring = linkage.stiffness * linkage.horn**2
    air = -coefficients.deflection * dynamic_pressure * chord_moment * np.cos(hinge_sweep) ** 3
    return spring / (spring + air)


def free_play(linkage: ElevonLinkage) -> float | np.ndarray:
    """Return the angle (...) by which an elevon moves freely from end to end while the servo is still. [rad]

    More than half a degree invites flutter that is not computed here (common practice, no source).
    """
    return linkage.slop / linkage.horn


class MassBalance(NamedTuple):
    """Mass properties of one elevon about its hinge."""

    unbalance: float  # mass behind the hinge times its distance [kg m]
    balance_mass: float  # mass that would balance the elevon at the given arm ahead of the hinge [kg]
    inertia: float  # moment of inertia about the hinge, without the balance mass [kg m^2]
    frequency: float  # natural frequency of the elevon on its linkage in still air, with the servo still [rad/s]


def mass_balance(elevon_mass: float, elevon_chord: float, linkage: ElevonLinkage, balance_arm: float) -> MassBalance:
    """Return the MassBalance of one elevon. Statics, no source needed.

    Parameters
    ----------
    elevon_mass, elevon_chord : float
        Mass of one elevon with its horn, and its mean chord. [kg], [m]
    linkage : ElevonLinkage
    balance_arm : float
        Distance of a balance weight ahead of the hinge. [m]
    """
    unbalance = elevon_mass * _WEDGE_CENTROID * elevon_chord
    inertia = elevon_mass * (_WEDGE_RADIUS * elevon_chord) ** 2
    frequency = np.sqrt(linkage.stiffness * linkage.horn**2 / inertia)
    return MassBalance(unbalance, unbalance / balance_arm, inertia, float(frequency))
