"""Pitch damping and the five small motions about level flight.

The linear equations hold in stability axes, for level flight. Sources: Nelson, *Flight Stability and Automatic Control*
(1998), chapters 4 and 5; Etkin and Reid, *Dynamics of Flight* (1996), chapter 4 (from memory).

The lag of the wash is left out, because there is no tail. Pilot and autopilot are left out too. So is the air that
moves with the wing; it would make quick motions of a light wing slower, by its share in the inertia. "(...)" means
arrays of any batch shape.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY
from tradestudy.physics.geometry.planform import Areas
from tradestudy.physics.weights.inertia import Inertia

from .lateral import LateralDerivatives
from .lattice import ALPHA, PITCH_RATE, UnitLoads


class PitchDerivatives(NamedTuple):
    """Coefficients of lift and pitching moment of the total wing about the centre of gravity. All fields are (...).

    Lift is over dynamic pressure and area; moments are also over the mean aerodynamic chord. The pitch rate is rate x
    mean aerodynamic chord / (2 airspeed) [-].
    """

    lift_alpha: np.ndarray  # [1/rad]
    moment_alpha: np.ndarray  # [1/rad]
    lift_rate: np.ndarray  # [1/rad]
    moment_rate: np.ndarray  # damping in pitch, negative [1/rad]


def pitch_derivatives(unit: UnitLoads, areas: Areas, centre_of_gravity: np.ndarray) -> PitchDerivatives:
    """Return the PitchDerivatives about ``centre_of_gravity`` (...), its distance behind the nose datum [m].

    These are definitions.
    """
    chord, area = areas.mean_aerodynamic_chord, areas.area
    lift = unit.lift_area / area[..., None]
    moment = (unit.moment_volume + centre_of_gravity[..., None] * unit.lift_area) / (area * chord)[..., None]
    # the wing pitches about the centre of gravity, while the unit column pitches about the nose datum
    rate = 2 / chord
    turning = (column[..., PITCH_RATE] - centre_of_gravity * column[..., ALPHA] for column in (lift, moment))
    lift_rate, moment_rate = (rate * column for column in turning)
    return PitchDerivatives(lift[..., ALPHA], moment[..., ALPHA], lift_rate, moment_rate)


class FlightState(NamedTuple):
    """A level flight condition. All fields are (...)."""

    speed: np.ndarray  # [m/s]
    dynamic_pressure: np.ndarray  # [Pa]
    lift_coefficient: np.ndarray  # [-]
    drag_coefficient: np.ndarray  # [-]
    drag_slope: np.ndarray  # drag coefficient per angle of attack [1/rad]


def longitudinal_matrix(
    pitch: PitchDerivatives, areas: Areas, inertia: Inertia, flight: FlightState, thrust_speed_power: float = 0.0
) -> np.ndarray:
    """Return the matrix (..., 4, 4) of the linear equations of motion in pitch. [1/s and mixed]

    The variables are the speed changes u and w along and across the flight path [m/s], pitch rate [rad/s] and pitch
    angle [rad]. ``thrust_speed_power`` is d ln(thrust) / d ln(speed): 0 for constant thrust, -1 for constant power [-].
    Source: Nelson (1998) eq. 4.51, with thrust through the centre of gravity and no wash lag.
    """
    force = flight.dynamic_pressure * areas.area / (inertia.mass * flight.speed)
    chord = areas.mean_aerodynamic_chord
    turn = flight.dynamic_pressure * areas.area * chord / inertia.pitch
    rate = 0.5 * chord / flight.speed
    zero = 0 * (force + turn)
    rows = [
        [
            force * flight.drag_coefficient * (thrust_speed_power - 2),
            force * (flight.lift_coefficient - flight.drag_slope),
            zero,
            zero - GRAVITY,
        ],
        [
            -2 * force * flight.lift_coefficient,
            -force * (pitch.lift_alpha + flight.drag_coefficient),
            flight.speed * (1 - force * rate * pitch.lift_rate),
            zero,
        ],
        [zero, turn * pitch.moment_alpha / flight.speed, turn * rate * pitch.moment_rate, zero],
        [zero, zero, zero + 1, zero],
    ]
    return _matrix(rows, zero)


def lateral_matrix(lateral: LateralDerivatives, areas: Areas, inertia: Inertia, flight: FlightState) -> np.ndarray:
    """Return the matrix (..., 4, 4) of the linear equations of sideways motion. [1/s and mixed]

    The variables are sideslip [rad], rolling rate, yawing rate [rad/s] and bank [rad]. ``lateral`` has no condition
    axis. ``inertia`` is about the stability axes (``turned_inertia``). Source: Nelson (1998) eq. 5.33, product of
    inertia included.
    """
    force = flight.dynamic_pressure * areas.area / (inertia.mass * flight.speed)
    turn = flight.dynamic_pressure * areas.area * areas.span
    rate = 0.5 * areas.span / flight.speed
    determinant = inertia.roll * inertia.yaw - inertia.roll_yaw**2

    def turning(roll: np.ndarray, yaw: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return (
            turn * (inertia.yaw * roll + inertia.roll_yaw * yaw) / determinant,
            turn * (inertia.roll_yaw * roll + inertia.roll * yaw) / determinant,
        )

    zero = 0 * (force + determinant)
    roll, yaw = zip(
        turning(lateral.roll_sideslip, lateral.yaw_sideslip),
        turning(rate * lateral.roll_roll, rate * lateral.yaw_roll),
        turning(rate * lateral.roll_yaw, rate * lateral.yaw_yaw),
        strict=True,
    )
    rows = [
        [
            force * lateral.side_sideslip,
            force * rate * lateral.side_roll,
            force * rate * lateral.side_yaw - 1,
            GRAVITY / flight.speed + zero,
        ],
        [*roll, zero],
        [*yaw, zero],
        [zero, zero + 1, zero, zero],
    ]
    return _matrix(rows, zero)


def _matrix(rows: list[list[np.ndarray]], zero: np.ndarray) -> np.ndarray:
    return np.stack([np.stack([part + zero for part in row], axis=-1) for row in rows], axis=-2)


def turned_inertia(inertia: Inertia, alpha: np.ndarray) -> Inertia:
    """Return the Inertia about axes that are turned nose up by ``alpha`` (...) [rad] from the wing's own; any text."""
    cos, sin = np.cos(alpha), np.sin(alpha)
    difference, product = inertia.roll - inertia.yaw, inertia.roll_yaw
    # the roll axis is the free stream, (cos, sin) in (aft, up)
    roll = inertia.roll * cos**2 + inertia.yaw * sin**2 - 2 * product * sin * cos
    return inertia._replace(
        roll=roll, yaw=inertia.roll + inertia.yaw - roll, roll_yaw=product * (cos**2 - sin**2) + difference * sin * cos
    )


class Motion(NamedTuple):
    """A small motion. All fields are (...): growth [1/s] and angular frequency [rad/s].

    A negative growth is a motion that dies out. The frequency is 0 if the motion does not oscillate. The properties
    give damping ratio, period and the time to half or double.
    """

    growth: np.ndarray
    frequency: np.ndarray

    @property
    def damping_ratio(self) -> np.ndarray:
        """Share of critical damping (...). It is 1 or -1 if the motion does not oscillate. This is a definition. [-]"""
        return -self.growth / np.sqrt(self.growth**2 + self.frequency**2)

    @property
    def period(self) -> np.ndarray:
        """Time of one oscillation (...). It is infinite if the motion does not oscillate. This is a definition. [s]"""
        oscillates = self.frequency.real > 0
        return np.where(oscillates, 2 * np.pi / np.where(oscillates, self.frequency, 1.0), np.inf)

    @property
    def time_to_half(self) -> np.ndarray:
        """Time in which the motion halves (...); if it grows, minus the time in which it doubles. This is a definition.
        [s]
        """
        return -np.log(2) / self.growth


def motions(matrix: np.ndarray) -> Motion:
    """Return the Motion of every eigenvalue of ``matrix`` (..., 4, 4) [1/s], with fields (..., 4).

    An oscillation has two eigenvalues and appears twice. Eigenvalues are sorted by size, largest first. Slopes follow
    by algebra: with left vector y, right vector x and matrix A, an eigenvalue changes by y dA x.

    >>> pair = motions(np.array([[0.0, 1, 0, 0], [-4, -0.4, 0, 0], [0, 0, -9, 0], [0, 0, 0, -0.1]]))
    >>> pair.growth.round(2).tolist(), pair.frequency.round(2).tolist()
    ([-9.0, -0.2, -0.2, -0.1], [0.0, 1.99, 1.99, 0.0])
    """
    root, vector = np.linalg.eig(matrix.real)
    order = np.argsort(-np.abs(root), axis=-1, kind="stable")
    root = np.take_along_axis(root, order, -1) + 0j
    vector = np.take_along_axis(vector, order[..., None, :], -1)
    growth, frequency = root.real, np.abs(root.imag)
    if np.iscomplexobj(matrix):
        slope = np.einsum("...ij,...jk,...ki->...i", np.linalg.inv(vector), matrix.imag, vector)
        growth = growth + 1j * slope.real
        frequency = frequency + 1j * slope.imag * np.sign(root.imag)
    return Motion(growth, frequency)


class PitchMotions(NamedTuple):
    """The two motions in pitch: quick pitching (short period) and slow rise and fall (phugoid). Each is a Motion of
    (...).
    """

    short_period: Motion
    phugoid: Motion


class LateralMotions(NamedTuple):
    """The motions out of the plane of symmetry, each a Motion of (...).

    If roll and spiral join into one slow oscillation, both fields hold that oscillation.
    """

    dutch_roll: Motion
    roll: Motion
    spiral: Motion


def pitch_motions(matrix: np.ndarray) -> PitchMotions:
    """Return the PitchMotions of a longitudinal ``matrix`` (..., 4, 4) [1/s].

    By definition the two larger eigenvalues are the short period and the two smaller ones the phugoid. If such a pair
    does not oscillate, its slower eigenvalue is used, because the pilot feels that one.
    """
    roots = motions(matrix)
    return PitchMotions(_slower(roots, 0, 1), _slower(roots, 2, 3))


def _slower(roots: Motion, first: int, second: int) -> Motion:
    """Return whichever of the two eigenvalues has the larger growth."""
    second_slower = roots.growth[..., second].real > roots.growth[..., first].real
    return Motion._make(np.where(second_slower, field[..., second], field[..., first]) for field in roots)


def lateral_motions(matrix: np.ndarray) -> LateralMotions:
    """Return the LateralMotions of a lateral ``matrix`` (..., 4, 4) [1/s].

    By definition the quicker oscillation is the dutch roll. Of the other two eigenvalues the quicker is roll and the
    slower spiral. Without any oscillation (too little fin) the dutch roll is the eigenvalue that decays slowest or
    grows quickest.
    """
    roots = motions(matrix)
    oscillates = roots.frequency.real > 0
    any_pair = oscillates.any(-1)
    first = np.where(any_pair, np.argmax(oscillates, axis=-1), np.argmax(roots.growth.real, axis=-1))
    second = np.where(any_pair, first + 1, first)
    index = np.arange(4)
    dutch = (index == first[..., None]) | (index == second[..., None])
    rest = np.argsort(
        dutch, axis=-1, kind="stable"
    )  # first the eigenvalues that are not the dutch roll, quickest first

    def root_at(place: np.ndarray) -> Motion:
        return Motion._make(np.take_along_axis(field, place[..., None], -1)[..., 0] for field in roots)

    last = np.where(any_pair, rest[..., 1], rest[..., 2])
    return LateralMotions(root_at(first), root_at(rest[..., 0]), root_at(last))
