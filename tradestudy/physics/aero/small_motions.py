"""How the wing answers: pitch damping, the five small motions about level flight, roll rate.

The linear equations are those of Nelson, *Flight Stability and Automatic Control* (1998), chapters 4 and 5, and
Etkin and Reid, *Dynamics of Flight* (1996), chapter 4 (from memory); stability axes, level flight. Left out: lag of
the wash (no tail to meet it), the air that moves along with the wing (makes quick motions of a light wing slower by
its share in the inertia), and what the pilot or autopilot does.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY


class PitchDerivatives(NamedTuple):
    """Whole-wing lift and pitching moment about the centre of gravity. All (...).

    Over dynamic pressure and area, moments over the mean aerodynamic chord too; the pitch rate is rate x mean
    aerodynamic chord / (2 airspeed) [-].
    """

    lift_alpha: np.ndarray  # [1/rad]
    moment_alpha: np.ndarray  # [1/rad]
    lift_rate: np.ndarray  # [1/rad]
    moment_rate: np.ndarray  # damping in pitch, negative [1/rad]


def pitch_derivatives(unit, areas, centre_of_gravity):
    """Return PitchDerivatives of a lattice.UnitLoads about a centre of gravity (...) behind the nose datum [m]."""
    chord, area = areas.mean_aerodynamic_chord, areas.area
    lift = unit.lift_area / area[..., None]
    moment = (unit.moment_volume + centre_of_gravity[..., None] * unit.lift_area) / (area * chord)[..., None]
    # turning about the centre of gravity: the unit column turns about the nose datum
    rate = 2 / chord
    turning = (column[..., 3] - centre_of_gravity * column[..., 1] for column in (lift, moment))
    lift_rate, moment_rate = (rate * column for column in turning)
    return PitchDerivatives(lift[..., 1], moment[..., 1], lift_rate, moment_rate)


class LevelFlight(NamedTuple):
    """One level flight condition. All (...)."""

    speed: np.ndarray  # [m/s]
    dynamic_pressure: np.ndarray  # [Pa]
    lift_coefficient: np.ndarray  # [-]
    drag_coefficient: np.ndarray  # [-]
    drag_slope: np.ndarray  # drag coefficient per angle of attack [1/rad]


def longitudinal_matrix(pitch, areas, inertia, flight, thrust_speed_power=0.0):
    """Return the matrix (..., 4, 4) of u, w [m/s], pitch rate [rad/s] and pitch angle [rad]. [1/s and mixed]

    ``thrust_speed_power`` is d ln(thrust) / d ln(speed): 0 for constant thrust, -1 for constant power [-].
    Nelson eq. 4.51 with thrust through the centre of gravity and no wash lag.
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


def lateral_matrix(lateral, areas, inertia, flight):
    """Return the matrix (..., 4, 4) of sideslip [rad], rolling, yawing [rad/s] and bank [rad]. [1/s and mixed]

    ``lateral`` is a lateral.LateralDerivatives without the condition axis, ``inertia`` about the stability axes
    (``turned_inertia``). Nelson eq. 5.33, product of inertia kept.
    """
    force = flight.dynamic_pressure * areas.area / (inertia.mass * flight.speed)
    turn = flight.dynamic_pressure * areas.area * areas.span
    rate = 0.5 * areas.span / flight.speed
    determinant = inertia.roll * inertia.yaw - inertia.roll_yaw**2

    def turning(roll, yaw):
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


def _matrix(rows, zero):
    return np.stack([np.stack([part + zero for part in row], axis=-1) for row in rows], axis=-2)


def turned_inertia(inertia, alpha):
    """Return the inertia.Inertia about axes turned nose up by ``alpha`` (...) [rad] against the wing's own."""
    cos, sin = np.cos(alpha), np.sin(alpha)
    difference, product = inertia.roll - inertia.yaw, inertia.roll_yaw
    # along the free stream (cos, sin) in (aft, up): second moments turn with twice the angle
    roll = inertia.roll * cos**2 + inertia.yaw * sin**2 - 2 * product * sin * cos
    return inertia._replace(
        roll=roll, yaw=inertia.roll + inertia.yaw - roll, roll_yaw=product * (cos**2 - sin**2) + difference * sin * cos
    )


class Motion(NamedTuple):
    """One small motion, all (...): growth [1/s] (negative dies out) and angular frequency [rad/s], 0 if it only decays.

    From these: damping ratio, period and the time to half or double.
    """

    growth: np.ndarray
    frequency: np.ndarray

    @property
    def damping_ratio(self):
        """Share of critical damping; 1 or -1 for a motion that does not swing. [-]"""
        return -self.growth / np.sqrt(self.growth**2 + self.frequency**2)

    @property
    def period(self):
        """Time of one swing, infinite without one. [s]"""
        swings = self.frequency.real > 0
        return np.where(swings, 2 * np.pi / np.where(swings, self.frequency, 1.0), np.inf)

    @property
    def time_to_half(self):
        """Time in which it halves; negative: minus the time in which it doubles. [s]"""
        return -np.log(2) / self.growth


def motions(matrix):
    """Return the Motion of every root of ``matrix`` (..., 4, 4), each swinging pair twice: fields (..., 4).

    Roots come quickest first (by size). Slopes ride along: with left and right vectors y and x a root moves by
    y dA x.
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
    """The two motions in pitch, each a Motion of (...): quick nodding and slow rise and fall."""

    short_period: Motion
    phugoid: Motion


class LateralMotions(NamedTuple):
    """The motions out of the plane of symmetry, each a Motion of (...).

    When roll and spiral join into one slow swing both hold that swing.
    """

    dutch_roll: Motion
    roll: Motion
    spiral: Motion


def pitch_motions(matrix):
    """Return PitchMotions: the two larger and the two smaller roots of ``longitudinal_matrix`` (..., 4, 4).

    A pair that does not swing is told by its slower root, the one that is felt.
    """
    found = motions(matrix)
    return PitchMotions(_slower(found, 0, 1), _slower(found, 2, 3))


def _slower(found, first, second):
    """The root of two with the larger growth."""
    second_slower = found.growth[..., second].real > found.growth[..., first].real
    return Motion(*(np.where(second_slower, field[..., second], field[..., first]) for field in found))


def lateral_motions(matrix):
    """Return LateralMotions of ``lateral_matrix`` (..., 4, 4).

    The quicker swing is the dutch roll; of the other two roots the quicker is roll, the slower spiral. Without
    any swing (too little fin) the dutch roll is the root that dies out slowest or grows quickest.
    """
    found = motions(matrix)
    swings = found.frequency.real > 0
    any_swing = swings.any(-1)
    first = np.where(any_swing, np.argmax(swings, axis=-1), np.argmax(found.growth.real, axis=-1))
    mate = np.where(any_swing, first + 1, first)
    index = np.arange(4)
    taken = (index == first[..., None]) | (index == mate[..., None])
    rest = np.argsort(taken, axis=-1, kind="stable")  # those left over first, quickest first

    def pick(where):
        return Motion(*(np.take_along_axis(field, where[..., None], -1)[..., 0] for field in found))

    last = np.where(any_swing, rest[..., 1], rest[..., 2])
    return LateralMotions(pick(first), pick(rest[..., 0]), pick(last))
