"""Loads of launch and landing: a throw or bungee pulls the wing forward, and a belly landing stops its middle.

The loads are those of inertia and of the lift at one g. Ground forces on tips, fins or nose are left out.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY

from . import failure_modes
from .foam_bed import BUCKLING_KNOCKDOWN, foundation_modulus, rod_buckling_load
from .loads import outboard_sum, wing_loads
from .rods import rod_area, rods_per_place
from .stiffness import Stiffness
from .wing_beam import HalfWingMasses, WingBeam
from .wing_parts import WingParts

FOAM_CENTRE, FOAM_SPREAD = 0.4179, 0.0544  # centroid / chord, radius of gyration squared / chord^2, NACA 00xx [-]
_FILM_CENTRE, _FILM_SPREAD = 0.5, 1.0 / 12.0  # same ratios for the film on both skins, even along the chord [-]
LAUNCH_MODES = ("rod pressed along the chord", "foam crushed at its trailing edge")


class GroundLoad(NamedTuple):
    """Greatest utilisation under one ground load, and the load factor at which the first part breaks."""

    load_factor: float  # load factor of this ground load [-]
    utilisation: float  # greatest utilisation at that load factor [-]
    failure_load_factor: float  # load factor at failure; infinite where nothing breaks at any load factor [-]
    mode: int  # index of the mode in `failure_modes.mode_names`; for a launch in LAUNCH_MODES [-]
    station: int  # index of the strip edge where it occurs [-]


def landing_load(
    beam: WingBeam,
    masses: HalfWingMasses,
    strip_y: np.ndarray,
    lift: np.ndarray,
    moment: np.ndarray,
    load_factor: float,
) -> GroundLoad:
    """Return the GroundLoad of a belly landing. The middle stops, and inertia bends the half wings down.

    Parameters
    ----------
    beam, masses : WingBeam, HalfWingMasses
        Half a wing without batch axes.
    strip_y : (n,) array
        Places along y where the forces of the strips act. [m]
    lift, moment : (n,) array
        Lift of each strip at one g, and its pitching moment about the nose datum. [N], [N m]
    load_factor : float
        Upward acceleration of the middle over gravity, including the one g that the lift still carries. [-]

    Returns
    -------
    landing_load : GroundLoad
        The higher utilisation and the lower failure load factor of two cases: without and with lift.

    Notes
    -----
    Statics. A utilisation is a + n b, where a comes from lift, b from inertia and n is the load factor. So the failure
    load factor is exact. Lift relieves the tips but may already have vanished, so both cases are computed.
    """
    still = np.zeros_like(lift)
    loads = wing_loads(
        station_y=beam.station_y,
        axis_x=beam.axis_x,
        axis_direction=beam.axis_direction,
        strip_lift=np.stack([lift, still]),
        load_factor=np.array([0.0, 1.0]),
        strip_mass=masses.mass,
        lift_x=np.zeros(1),
        mass_x=masses.x,
        strip_moment=np.stack([moment, still]),
        tip_mass=masses.tip_mass,
        tip_mass_x=masses.tip_mass_x,
        strip_y=strip_y,
    )
    fixed, growing = failure_modes.signed_utilisations(beam.unit_utilisation, loads.shear, loads.bending_moment)
    one_way = np.isin(np.arange(fixed.shape[0]), list(beam.one_way))[:, None]
    cases = [_ground_load(share * fixed, growing, one_way, load_factor) for share in (0.0, 1.0)]
    first = min(case.failure_load_factor for case in cases)
    return max(cases, key=lambda case: case.utilisation)._replace(failure_load_factor=first)


def _ground_load(fixed: np.ndarray, growing: np.ndarray, one_way: np.ndarray, load_factor: float) -> GroundLoad:
    """Return the GroundLoad of the utilisations ``fixed`` + load factor x ``growing``, both (n_mode, n_station).

    Modes with ``one_way`` break only where their utilisation is positive.
    """
    signed = fixed + load_factor * growing
    used = np.where(one_way, signed, np.abs(signed))
    mode, station = np.unravel_index(int(used.argmax()), used.shape)
    return GroundLoad(
        load_factor=load_factor,
        utilisation=float(used[mode, station]),
        failure_load_factor=float(np.min(_failure_load_factors(fixed, growing, one_way))),
        mode=int(mode),
        station=int(station),
    )


def _failure_load_factors(fixed: np.ndarray, growing: np.ndarray, one_way: np.ndarray) -> np.ndarray:
    """Return the load factor at which each utilisation reaches 1, or 0 where the fixed part alone exceeds it. [-]"""
    with np.errstate(divide="ignore", invalid="ignore"):
        up, down = (1.0 - fixed) / growing, np.where(one_way, np.inf, (-1.0 - fixed) / growing)
    first = np.minimum(*(np.where(np.isfinite(root) & (root > 0.0), root, np.inf) for root in (up, down)))
    return np.where(np.where(one_way, fixed, np.abs(fixed)) < 1.0, first, 0.0)


class EdgewiseStiffness(NamedTuple):
    """Bending stiffness in the plane of the wing. Every field has the shape (n_station,)."""

    rigidity: Any  # EI about the vertical axis [N m^2]
    centre: Any  # chord fraction of the neutral axis [-]
    width: Any  # chord square to the axis [m]


def edgewise_stiffness(
    stiffness: Stiffness, parts: WingParts, chord: np.ndarray, axis_sweep: np.ndarray
) -> EdgewiseStiffness:
    """Return the EdgewiseStiffness along half a wing.

    Parameters
    ----------
    stiffness, parts : Stiffness, WingParts
        Stiffness and parts of the wing.
    chord, axis_sweep : (n_station,) array
        Foam chord and sweep of the structural axis. [m], [rad]

    Notes
    -----
    Statics: EI of rods, foam and half the film by the parallel-axis theorem about their common centre of E A. All rods
    of a set lie on its middle line. The foam is a solid section with its centroid at 0.418 of the chord and
    a radius of gyration of 0.233 chord. These are values of the NACA 00xx thickness by quadrature.
    """
    foam, covering, rods = parts.foam, parts.covering, parts.rods
    width = chord * np.cos(axis_sweep)
    count = stiffness.presence * np.asarray(rods.pairs)[:, None]
    slant = np.asarray(stiffness.axis_cosine) ** 3  # as for bending
    axial = [
        (slant * count * np.asarray(rods_per_place(rods) * rods.youngs_modulus * rod_area(rods))[:, None]),
        foam.youngs_modulus * stiffness.shape.area,
        0.5 * covering.bond * covering.youngs_modulus * covering.thickness * stiffness.shape.perimeter,
    ]
    place = _rod_fractions(stiffness, parts)
    total = axial[0].sum(0) + axial[1] + axial[2]
    centre = ((axial[0] * place).sum(0) + axial[1] * FOAM_CENTRE + axial[2] * _FILM_CENTRE) / total
    rigidity = width**2 * (
        (axial[0] * (place - centre) ** 2).sum(0)
        + axial[1] * (FOAM_SPREAD + (FOAM_CENTRE - centre) ** 2)
        + axial[2] * (_FILM_SPREAD + (_FILM_CENTRE - centre) ** 2)
    )
    return EdgewiseStiffness(rigidity, centre, width)


def _rod_fractions(stiffness: Stiffness, parts: WingParts) -> np.ndarray:
    """Return the chord fraction (n_set, n_station) of each set. [-]"""
    if parts.places is None:
        return np.asarray(parts.rods.chord_fraction)[:, None] + 0.0 * stiffness.presence
    return parts.places.fraction + 0.0 * stiffness.presence


def launch_load(
    edgewise: EdgewiseStiffness,
    stiffness: Stiffness,
    parts: WingParts,
    station_y: np.ndarray,
    strip_y: np.ndarray,
    masses: HalfWingMasses,
    lift_moment: np.ndarray,
    acceleration: float,
) -> GroundLoad:
    """Return the GroundLoad of a launch. The middle is pulled forward, and inertia bends the half wings back.

    Parameters
    ----------
    edgewise, stiffness, parts, masses : EdgewiseStiffness, Stiffness, WingParts, HalfWingMasses
        The wing without batch axes.
    station_y, strip_y : (n_station,), (n,) array
        Strip edges, and places along y where the forces of the strips act. [m], [m]
    lift_moment : (n_station,) array
        Bending moment of level flight. [N m]
    acceleration : float
        Forward acceleration over gravity. [-]

    Returns
    -------
    launch_load : GroundLoad
        Its mode is an index into LAUNCH_MODES. A rod fails by crushing or by buckling in its bed, at the lower load.

    Notes
    -----
    Statics. The bending moment of one g of lift is added.
    """
    foam, rods = parts.foam, parts.rods
    force, tip_force = GRAVITY * masses.mass, GRAVITY * masses.tip_mass
    moment = outboard_sum(force * strip_y) + tip_force * station_y[-1] - (outboard_sum(force) + tip_force) * station_y
    curvature = moment / edgewise.rigidity  # edgewise curvature at an acceleration of one g
    area = rod_area(rods)
    buckling = BUCKLING_KNOCKDOWN * rod_buckling_load(foundation_modulus(foam, rods), rods) / area
    allowed = np.minimum(buckling, rods.compressive_strength)
    per_strain = (np.asarray(rods.youngs_modulus) / allowed)[:, None]
    reach = np.abs(_rod_fractions(stiffness, parts) - edgewise.centre) * edgewise.width
    presence = stiffness.presence * (np.asarray(rods.pairs) > 0.0)[:, None]
    per_strain = per_strain * np.asarray(stiffness.axis_cosine) ** 2
    growing = [
        (per_strain * reach * curvature * presence).max(0, initial=0.0),
        foam.youngs_modulus / foam.compressive_strength * (1.0 - edgewise.centre) * edgewise.width * curvature,
    ]
    flat = lift_moment / stiffness.bending_rigidity
    fixed = [(per_strain * stiffness.lever * np.abs(flat) * presence).max(0, initial=0.0), np.zeros_like(flat)]
    return _ground_load(np.stack(fixed), np.stack(growing), np.ones((2, 1), bool), acceleration)
