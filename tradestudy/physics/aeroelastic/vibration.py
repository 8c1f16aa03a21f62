"""Natural modes of half a wing in bending and twist, clamped at the root or free in plunge and pitch.

A beam of two-node elements along the elastic axis has bending (cubic, with core shear) and twist (linear). The mass of
every section lies behind the axis and couples the two. The axis is straight with a single angle of sweep.

The module serves the report only: one wing at a time, no slopes for a search.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.linalg import eigh

from tradestudy.physics.weights.mass import gauss_points

_SHARE, _WEIGHT = gauss_points(4)  # four Gauss points are exact for the product of two cubics


class BeamSections(NamedTuple):
    """Half a wing along its elastic axis. Fields are (n_station,) from the root outward; the last three are numbers.

    Lengths in a section are square to the axis. Twist is positive nose up, offsets are positive aft.
    """

    axis_station: np.ndarray  # distance along the axis from the root [m]
    bending_rigidity: np.ndarray  # EI [N m^2]
    torsional_rigidity: np.ndarray  # GJ [N m^2]
    shear_compliance: np.ndarray  # slope of the axis by core shear per shear force [1/N]
    mass_per_length: np.ndarray  # mass per metre of axis [kg/m]
    mass_offset: np.ndarray  # distance of the section's centre of mass behind the axis [m]
    mass_radius: np.ndarray  # radius of gyration about the section's own centre of mass [m]
    tip_mass: float = 0.0  # mass of a tip fin, as a lump [kg]
    tip_offset: float = 0.0  # distance of the fin's centre of mass behind the axis [m]
    tip_radius: float = 0.0  # radius of gyration about the fin's own centre of mass, its height included [m]


class WingModes(NamedTuple):
    """Mode shapes of half a wing with their mass and stiffness. Modes are in the last axis.

    The n_point points are the Gauss points of the elements. Elastic modes are scaled to a modal mass of 1 kg. If the
    wing is free, plunge (1 m up) and pitch (1 rad nose up) come first.
    """

    mass: np.ndarray  # modal mass matrix (n_mode, n_mode) [kg], other units for pitch
    stiffness: np.ndarray  # modal stiffness matrix (n_mode, n_mode) [N/m], other units for pitch
    axis_station: np.ndarray  # distance of the points along the axis from the root (n_point,) [m]
    length: np.ndarray  # length of axis around each point (n_point,) [m]
    rise: np.ndarray  # rise of the axis (n_point, n_mode) [m]
    slope: np.ndarray  # slope of the rise along the axis (n_point, n_mode) [-]
    twist: np.ndarray  # twist about the axis, nose up (n_point, n_mode) [rad]
    twist_slope: np.ndarray  # slope of the twist along the axis (n_point, n_mode) [rad/m]
    bending_share: np.ndarray  # share of bending and shear in the elastic energy (n_mode,) [-]
    n_rigid: int  # number of rigid modes: 0 if clamped, 2 if free [-]


def clamped_modes(sections: BeamSections, n_mode: int = 6) -> WingModes:
    """Return the WingModes of the lowest ``n_mode`` natural modes with the root clamped.

    Parameters
    ----------
    sections : WingSections
        Properties at the ends of the elements. With 20 elements the first modes are within 0.1 %.
    n_mode : int
        Number of modes. [-]

    Notes
    -----
    Bending elements with shear are those of Przemieniecki, Theory of Matrix Structural Analysis (1968), from memory.
    The shear slope softens the cubic by 12 EI / (S l^2), with shear stiffness S and length l of the element. EI, GJ and
    S of an element follow from the mean of the compliances (1 / stiffness) at its ends. The shapes of the mass matrix
    leave out core shear; this affects only the higher modes.

    Examples
    --------
    The first bending frequency of a uniform cantilever is (1.8751 / length)^2 sqrt(EI / mass per length):

    >>> one = np.ones(21)
    >>> sections = BeamSections(axis_station=np.linspace(0.0, 0.6, 21), bending_rigidity=5 * one,
    ...                         torsional_rigidity=8 * one, shear_compliance=0 * one, mass_per_length=0.2 * one,
    ...                         mass_offset=0 * one, mass_radius=0.05 * one)
    >>> first = natural_frequencies(clamped_modes(sections, n_mode=2))[0]
    >>> round(float(first), 1), round((1.8751 / 0.6) ** 2 * 5, 1)
    (48.8, 48.8)
    """
    points, rise, slope, twist, twist_slope, length = _shapes(np.asarray(sections.axis_station, float))
    bend, torsion = _stiffness(sections)
    mass = _mass_matrix(sections, points, length, rise, twist)
    free = np.arange(3, bend.shape[0])  # the root's rise, slope and twist are fixed
    inside = np.ix_(free, free)
    square, vector = eigh((bend + torsion)[inside], mass[inside], subset_by_index=[0, n_mode - 1])
    share = np.einsum("im,ij,jm->m", vector, bend[inside], vector) / square
    return WingModes(
        mass=np.eye(n_mode),
        stiffness=np.diag(square),
        axis_station=points,
        length=length,
        rise=rise[:, free] @ vector,
        slope=slope[:, free] @ vector,
        twist=twist[:, free] @ vector,
        twist_slope=twist_slope[:, free] @ vector,
        bending_share=share,
        n_rigid=0,
    )


def free_modes(
    clamped: WingModes,
    sections: BeamSections,
    axis_root_x: float,
    axis_sweep: float,
    body_mass: float,
    body_x: float,
    body_radius: float,
) -> WingModes:
    """Return the WingModes with plunge and pitch of the total aircraft added to the clamped modes.

    Parameters
    ----------
    clamped : WingModes
        Result of ``clamped_modes``.
    sections : BeamSections
        Sections from which ``clamped`` was computed.
    axis_root_x : float
        Distance of the elastic axis at the root behind the nose datum. [m]
    axis_sweep : float
        Sweep of the axis, positive with the tip aft. [rad]
    body_mass, body_x, body_radius : float
        HALF of the masses at the middle (pack, motor, equipment, centre): mass, distance of its centre behind the nose
        datum, and radius of gyration about that centre. [kg], [m], [m]

    Notes
    -----
    By definition pitch is about the nose datum. Both halves move alike; antisymmetric modes are left out.
    """
    points = clamped.axis_station
    sine, cosine = np.sin(axis_sweep), np.cos(axis_sweep)
    ones, zeros = np.ones_like(points), np.zeros_like(points)
    rise = np.column_stack([ones, -(axis_root_x + points * sine), clamped.rise])
    twist = np.column_stack([zeros, cosine * ones, clamped.twist])
    mass = _modal_mass(sections, clamped, rise, twist, axis_root_x, axis_sweep)
    mass[:2, :2] += body_mass * np.array([[1.0, -body_x], [-body_x, body_x**2 + body_radius**2]])
    stiffness = np.zeros_like(mass)
    stiffness[2:, 2:] = clamped.stiffness
    return WingModes(
        mass=mass,
        stiffness=stiffness,
        axis_station=points,
        length=clamped.length,
        rise=rise,
        slope=np.column_stack([zeros, -sine * ones, clamped.slope]),
        twist=twist,
        twist_slope=np.column_stack([zeros, zeros, clamped.twist_slope]),
        bending_share=np.concatenate([[0.0, 0.0], clamped.bending_share]),
        n_rigid=2,
    )


def natural_frequencies(modes: WingModes) -> np.ndarray:
    """Return the frequencies (n_elastic,) of the elastic modes in vacuum, lowest first. This is a definition.
    [rad/s]
    """
    square = eigh(modes.stiffness, modes.mass, eigvals_only=True)
    return np.sqrt(np.maximum(square[modes.n_rigid :], 0.0))


class FirstModes(NamedTuple):
    """Frequencies of the two modes that a builder can feel by hand. [rad/s]"""

    bending: float
    torsion: float


def first_modes(clamped: WingModes) -> FirstModes:
    """Return the FirstModes of a clamped wing: the lowest with mostly bending and the lowest with mostly twist energy.

    A frequency is nan if none of the computed modes is mostly of that kind. This is a definition.
    """
    frequency, bends = np.sqrt(np.diag(clamped.stiffness)), clamped.bending_share > 0.5
    return FirstModes._make(float(frequency[kind][0]) if kind.any() else np.nan for kind in (bends, ~bends))


def _shapes(station: np.ndarray) -> tuple[np.ndarray, ...]:
    """Return the Gauss points, four shape matrices (n_point, 3 n_station), and the length of axis around each point.

    The matrices give rise w, its slope w', twist and the slope of the twist.
    """
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


def _stiffness(sections: BeamSections) -> tuple[np.ndarray, np.ndarray]:
    """Return the stiffness matrices of bending with core shear and of twist, each (3 n_station, 3 n_station)."""
    width = np.diff(sections.axis_station)

    def element_mean(value: float | np.ndarray) -> np.ndarray:
        value = np.broadcast_to(np.asarray(value, float), np.shape(sections.axis_station))
        return 0.5 * (value[1:] + value[:-1])

    rigidity = 1.0 / element_mean(1.0 / np.asarray(sections.bending_rigidity, float))
    twisting = 1.0 / element_mean(1.0 / np.asarray(sections.torsional_rigidity, float)) / width
    soft = 12.0 * rigidity * element_mean(sections.shear_compliance) / width**2
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


def _section_masses(sections: BeamSections, points: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return mass, first and second moment about the axis at ``points``, each per metre of axis."""
    mass, offset, radius = (
        np.interp(points, sections.axis_station, np.broadcast_to(value, np.shape(sections.axis_station)))
        for value in (sections.mass_per_length, sections.mass_offset, sections.mass_radius)
    )
    return mass, mass * offset, mass * (offset**2 + radius**2)


def _energy(rise: np.ndarray, twist: np.ndarray, mass: np.ndarray, first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """Return the mass matrix of the motion w - n theta over points.

    w is the rise of the axis, theta the twist, and n the distance of a mass behind the axis.
    """
    cross = rise.T @ (first[:, None] * twist)
    return rise.T @ (mass[:, None] * rise) - cross - cross.T + twist.T @ (second[:, None] * twist)


def _tip_masses(sections: BeamSections) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return mass, first and second moment about the axis of the lump at the tip, each (1,)."""
    lump, offset = np.array([float(sections.tip_mass)]), sections.tip_offset
    return lump, lump * offset, lump * (offset**2 + sections.tip_radius**2)


def _mass_matrix(
    sections: BeamSections, points: np.ndarray, length: np.ndarray, rise: np.ndarray, twist: np.ndarray
) -> np.ndarray:
    mass, first, second = (value * length for value in _section_masses(sections, points))
    matrix = _energy(rise, twist, mass, first, second)
    size = matrix.shape[0]
    tip_rise, tip_twist = np.zeros((2, 1, size))
    tip_rise[0, size - 3] = tip_twist[0, size - 1] = 1.0
    return matrix + _energy(tip_rise, tip_twist, *_tip_masses(sections))


def _modal_mass(
    sections: BeamSections,
    clamped: WingModes,
    rise: np.ndarray,
    twist: np.ndarray,
    axis_root_x: float,
    axis_sweep: float,
) -> np.ndarray:
    mass, first, second = (value * clamped.length for value in _section_masses(sections, clamped.axis_station))
    matrix = _energy(rise, twist, mass, first, second)
    tip = float(np.asarray(sections.axis_station)[-1])
    tip_shapes = _at_tip(sections, clamped)
    tip_rise = np.array([[1.0, -(axis_root_x + tip * np.sin(axis_sweep)), *tip_shapes[0]]])
    tip_twist = np.array([[0.0, np.cos(axis_sweep), *tip_shapes[1]]])
    return matrix + _energy(tip_rise, tip_twist, *_tip_masses(sections))


def _at_tip(sections: BeamSections, clamped: WingModes) -> tuple[np.ndarray, np.ndarray]:
    """Return rise and twist of the clamped modes at the tip.

    They are extrapolated from the last element's points. This is exact, because the shapes are cubic.
    """
    place, last = np.asarray(sections.axis_station, float)[-1], slice(-_SHARE.size, None)
    points = clamped.axis_station[last]
    weight = np.array(
        [np.prod([(place - other) / (point - other) for other in points if other != point]) for point in points]
    )
    return weight @ clamped.rise[last], weight @ clamped.twist[last]
