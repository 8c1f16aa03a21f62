"""How half a wing swings: natural modes of bending and twist, clamped at the root or free in plunge and pitch.

Along the elastic axis a beam of two-node elements carries bending (cubic, with core shear) and twist (linear);
the mass of every section sits behind the axis and so ties the two together. The axis is straight, swept by one
angle. For the report only: one wing at a time, no slopes for a search.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from scipy.linalg import eigh

_NODE, _WEIGHT = np.polynomial.legendre.leggauss(4)  # exact for the product of two cubics
_SHARE, _WEIGHT = 0.5 * (_NODE + 1), 0.5 * _WEIGHT


class BeamSections(NamedTuple):
    """Half a wing along its elastic axis; every field (n_station,) but the last three, root first.

    Lengths of sections are square to the axis, twist and its offsets positive nose up and aft.
    """

    axis_station: Any  # along the axis from the root [m]
    bending_rigidity: Any  # EI [N m^2]
    torsional_rigidity: Any  # GJ [N m^2]
    shear_compliance: Any  # shear slope per newton [1/N]
    mass_per_length: Any  # along the axis [kg/m]
    mass_offset: Any  # centre of mass behind the axis [m]
    mass_radius: Any  # radius of gyration about the section's own centre of mass [m]
    tip_mass: float = 0.0  # a fin, as a lump [kg]
    tip_offset: float = 0.0  # its centre of mass behind the axis [m]
    tip_radius: float = 0.0  # radius of gyration about its own centre of mass; height counts [m]


class WingModes(NamedTuple):
    """Shapes of motion of half a wing, and what resists them; modes in the last axis.

    Points are the Gauss points of the elements, ``n_point`` of them. Modes are scaled to a modal mass of 1 kg
    where they are elastic; plunge (1 m up) and pitch (1 rad nose up) come first where the wing is free.
    """

    mass: Any  # (n_mode, n_mode) [kg] and so on by mode
    stiffness: Any  # (n_mode, n_mode) [N/m] and so on by mode
    axis_station: Any  # (n_point,) [m]
    length: Any  # of axis that a point stands for (n_point,) [m]
    rise: Any  # of the axis (n_point, n_mode) [m]
    slope: Any  # of the rise along the axis (n_point, n_mode) [-]
    twist: Any  # about the axis, nose up (n_point, n_mode) [rad]
    twist_slope: Any  # of the twist along the axis (n_point, n_mode) [rad/m]
    bending_share: Any  # of the elastic energy, bending and shear (n_mode,) [-]
    n_rigid: int  # 0 clamped, 2 free [-]


def clamped_modes(sections, n_mode=6):
    """Return the WingMotion of the lowest ``n_mode`` natural modes with the root held.

    Parameters
    ----------
    sections : WingSections
        See there; elements lie between its stations, 20 of them are within 0.1 % in the first modes.
    n_mode : int
        How many modes.

    Notes
    -----
    Bending elements with shear after Przemieniecki, Theory of Matrix Structural Analysis (1968), from memory:
    the shear slope softens the cubic by 12 EI / (S l^2). EI, GJ and S of an element by the mean compliance of
    its ends. Core shear is left out of the shape that spreads the mass, which matters above the first modes.
    """
    points, rise, slope, twist, twist_slope, length = _shapes(np.asarray(sections.axis_station, float))
    bend, torsion = _stiffness(sections)
    mass = _mass_matrix(sections, points, length, rise, twist)
    free = np.arange(3, bend.shape[0])  # the root's rise, slope and twist are held
    inside = np.ix_(free, free)
    square, vector = eigh((bend + torsion)[inside], mass[inside], subset_by_index=[0, n_mode - 1])
    share = np.einsum("im,ij,jm->m", vector, bend[inside], vector) / square
    shapes = (matrix[:, free] @ vector for matrix in (rise, slope, twist, twist_slope))
    return WingModes(np.eye(n_mode), np.diag(square), points, length, *shapes, share, 0)


def free_modes(clamped, sections, axis_root_x, axis_sweep, body_mass, body_x, body_radius):
    """Return the WingMotion with plunge and pitch of the whole aircraft added to a clamped one.

    Parameters
    ----------
    clamped : WingMotion
        From ``clamped_motion``.
    sections : WingSections
        The same ones.
    axis_root_x : float
        Elastic axis at the root behind the nose datum. [m]
    axis_sweep : float
        [rad]
    body_mass, body_x, body_radius : float
        HALF of what sits at the middle (pack, motor, equipment, centre): mass, centre behind the nose datum,
        radius of gyration about that centre. [kg], [m], [m]

    Notes
    -----
    Pitch turns about the nose datum. Both halves move alike; the antisymmetric modes are not covered.
    """
    points = clamped.axis_station
    sine, cosine = np.sin(axis_sweep), np.cos(axis_sweep)
    ones, zeros = np.ones_like(points), np.zeros_like(points)
    rigid = ((ones, -(axis_root_x + points * sine)), (zeros, -sine * ones), (zeros, cosine * ones), (zeros, zeros))
    shapes = [np.column_stack([*pair, shape]) for pair, shape in zip(rigid, clamped[4:8], strict=True)]
    mass = _modal_mass(sections, clamped, shapes[0], shapes[2], axis_root_x, axis_sweep)
    mass[:2, :2] += body_mass * np.array([[1.0, -body_x], [-body_x, body_x**2 + body_radius**2]])
    stiffness = np.zeros_like(mass)
    stiffness[2:, 2:] = clamped.stiffness
    share = np.concatenate([[0.0, 0.0], clamped.bending_share])
    return WingModes(mass, stiffness, points, clamped.length, *shapes, share, 2)


def natural_frequencies(motion):
    """Return the frequencies (n_elastic,) of the elastic modes in still vacuum, lowest first. [rad/s]"""
    square = eigh(motion.stiffness, motion.mass, eigvals_only=True)
    return np.sqrt(np.maximum(square[motion.n_rigid :], 0.0))


class FirstModes(NamedTuple):
    """The two modes a builder can feel by hand. [rad/s]"""

    bending: float
    torsion: float


def first_modes(motion):
    """Return the FirstModes of a clamped WingMotion: lowest of mostly bending, lowest of mostly twist energy.

    nan where none of the computed modes is mostly of that kind.
    """
    frequency, bends = np.sqrt(np.diag(motion.stiffness)), motion.bending_share > 0.5
    return FirstModes(*(float(frequency[kind][0]) if kind.any() else np.nan for kind in (bends, ~bends)))


def _shapes(station):
    """Return Gauss points, shape matrices (n_point, 3 n_station) of w, w', twist, twist' and lengths."""
    n_element = station.size - 1
    width = np.diff(station)
    points = (station[:-1, None] + width[:, None] * _SHARE).ravel()
    length = (width[:, None] * _WEIGHT).ravel()
    rise, slope, twist, twist_slope = np.zeros((4, points.size, 3 * station.size))
    row = np.arange(points.size)
    first = 3 * np.repeat(np.arange(n_element), _SHARE.size)
    e, h = np.tile(_SHARE, n_element), np.repeat(width, _SHARE.size)
    cubic = (1 - 3 * e**2 + 2 * e**3, h * (e - 2 * e**2 + e**3), 3 * e**2 - 2 * e**3, h * (e**3 - e**2))
    change = ((6 * e**2 - 6 * e) / h, 1 - 4 * e + 3 * e**2, (6 * e - 6 * e**2) / h, 3 * e**2 - 2 * e)
    for place, value, along in zip((0, 1, 3, 4), cubic, change, strict=True):
        rise[row, first + place], slope[row, first + place] = value, along
    for place, value, along in ((2, 1 - e, -1 / h), (5, e, 1 / h)):
        twist[row, first + place], twist_slope[row, first + place] = value, along
    return points, rise, slope, twist, twist_slope, length


def _stiffness(sections):
    """Return the stiffness of bending with core shear and that of twist, each (3 n_station, 3 n_station)."""
    width = np.diff(sections.axis_station)

    def compliance(value):
        value = np.broadcast_to(np.asarray(value, float), np.shape(sections.axis_station))
        return 0.5 * (value[1:] + value[:-1])

    rigidity = 1.0 / compliance(1.0 / np.asarray(sections.bending_rigidity, float))
    twisting = 1.0 / compliance(1.0 / np.asarray(sections.torsional_rigidity, float)) / width
    soft = 12.0 * rigidity * compliance(sections.shear_compliance) / width**2
    size = 3 * (width.size + 1)
    bend, torsion = np.zeros((2, size, size))
    for i, (h, ei, p, gj) in enumerate(zip(width, rigidity, soft, twisting, strict=True)):
        near, far = (4 + p) * h * h, (2 - p) * h * h
        block = np.array(
            [[12, 6 * h, -12, 6 * h], [6 * h, near, -6 * h, far], [-12, -6 * h, 12, -6 * h], [6 * h, far, -6 * h, near]]
        )
        at = 3 * i + np.array([0, 1, 3, 4])
        bend[np.ix_(at, at)] += ei / (h**3 * (1 + p)) * block
        at = 3 * i + np.array([2, 5])
        torsion[np.ix_(at, at)] += gj * np.array([[1, -1], [-1, 1]])
    return bend, torsion


def _section_masses(sections, points):
    """Return mass, first and second moment about the axis at the points, per metre of axis."""
    mass, offset, radius = (
        np.interp(points, sections.axis_station, np.broadcast_to(value, np.shape(sections.axis_station)))
        for value in (sections.mass_per_length, sections.mass_offset, sections.mass_radius)
    )
    return mass, mass * offset, mass * (offset**2 + radius**2)


def _energy(rise, twist, mass, first, second):
    """Return the mass matrix of w - n theta over points: n is how far a gram lies behind the axis."""
    cross = rise.T @ (first[:, None] * twist)
    return rise.T @ (mass[:, None] * rise) - cross - cross.T + twist.T @ (second[:, None] * twist)


def _tip_masses(sections):
    lump = float(sections.tip_mass)
    return tuple(
        np.array([value])
        for value in (lump, lump * sections.tip_offset, lump * (sections.tip_offset**2 + sections.tip_radius**2))
    )


def _mass_matrix(sections, points, length, rise, twist):
    masses = (value * length for value in _section_masses(sections, points))
    matrix = _energy(rise, twist, *masses)
    size = matrix.shape[0]
    tip_rise, tip_twist = np.zeros((2, 1, size))
    tip_rise[0, size - 3] = tip_twist[0, size - 1] = 1.0
    return matrix + _energy(tip_rise, tip_twist, *_tip_masses(sections))


def _modal_mass(sections, clamped, rise, twist, axis_root_x, axis_sweep):
    masses = (value * clamped.length for value in _section_masses(sections, clamped.axis_station))
    matrix = _energy(rise, twist, *masses)
    tip = float(np.asarray(sections.axis_station)[-1])
    at_tip = _at_tip(sections, clamped)
    tip_rise = np.array([[1.0, -(axis_root_x + tip * np.sin(axis_sweep)), *at_tip[0]]])
    tip_twist = np.array([[0.0, np.cos(axis_sweep), *at_tip[1]]])
    return matrix + _energy(tip_rise, tip_twist, *_tip_masses(sections))


def _at_tip(sections, clamped):
    """Rise and twist of the clamped modes at the tip, carried on from the last element's points (exact: cubic)."""
    place, last = np.asarray(sections.axis_station, float)[-1], slice(-_SHARE.size, None)
    points = clamped.axis_station[last]
    weight = np.array(
        [np.prod([(place - other) / (point - other) for other in points if other != point]) for point in points]
    )
    return weight @ clamped.rise[last], weight @ clamped.twist[last]
