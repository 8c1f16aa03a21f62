"""Loads that no air makes: a throw or bungee pulls the wing forward, a belly landing stops its middle.

Only inertia counts, beside the lift of one g; what the ground does to tips, fins or nose does not.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.air import GRAVITY

from . import failure_modes
from .foam_bed import BUCKLING_KNOCKDOWN, foundation_modulus, rod_buckling_load
from .loads import outboard_sum, wing_loads
from .rods import rod_area, rods_per_place

FOAM_CENTRE, FOAM_SPREAD = 0.4179, 0.0544  # centroid / chord, radius of gyration squared / chord^2, NACA 00xx [-]
_FILM_CENTRE, _FILM_SPREAD = 0.5, 1.0 / 12.0  # of two skins, even along the chord [-]


class GroundLoad(NamedTuple):
    """What one ground load uses at its load factor, and at which one the first thing breaks."""

    load_factor: float  # [-]
    utilisation: float  # [-]
    failure_load_factor: float  # infinite where nothing breaks however hard [-]
    mode: int  # place in `failure.mode_names`; for a launch in LAUNCH_MODES [-]
    station: int  # place among the strip edges [-]


LAUNCH_MODES = ("rod pressed along the chord", "foam crushed at its trailing edge")


def landing_load(beam, strip_y, strip_mass, mass_x, tip_mass, tip_mass_x, lift, moment, load_factor):
    """Return what a belly landing uses: the middle stops, the half wings want to go on down.

    Parameters
    ----------
    beam : structure.WingBeam
        Half a wing without a batch.
    strip_y, strip_mass, mass_x, tip_mass, tip_mass_x
        As for `loads.wing_loads`. [m], [kg], [m], [kg], [m]
    lift, moment : (n,) array
        Lift and pitching moment about the nose datum of the strips at one g. [N], [N m]
    load_factor : float
        Upward acceleration of the middle over gravity, one included that the lift still carries. [-]

    Returns
    -------
    landing : Used
        See there.

    Notes
    -----
    Utilisations are a + n b, a from lift and b from inertia, so the breaking load factor is exact. The lift
    relieves the tips and may be gone by then: without it and with it, whichever uses more.
    """
    still = np.zeros_like(lift)
    loads = wing_loads(
        beam.station_y,
        beam.axis_x,
        beam.axis_sweep,
        np.stack([lift, still]),
        np.array([0.0, 1.0]),
        strip_mass,
        np.zeros(1),
        mass_x,
        np.stack([moment, still]),
        tip_mass,
        tip_mass_x,
        strip_y,
    )
    fixed, growing = failure_modes.signed_utilisations(beam.unit_utilisation, loads.shear, loads.bending_moment)
    one_way = np.isin(np.arange(fixed.shape[0]), list(beam.one_way))[:, None]
    cases = [_ground_load(share * fixed, growing, one_way, load_factor) for share in (0.0, 1.0)]
    first = min(case.failure_load_factor for case in cases)
    return max(cases, key=lambda case: case.utilisation)._replace(failure_load_factor=first)


def _ground_load(fixed, growing, one_way, load_factor):
    """Return the Used of utilisations (n_mode, n_station) that are ``fixed`` and grow with the load factor."""
    here = fixed + load_factor * growing
    used = np.where(one_way, here, np.abs(here))
    mode, station = np.unravel_index(int(used.argmax()), used.shape)
    return GroundLoad(
        load_factor,
        float(used[mode, station]),
        float(np.min(_breaking(fixed, growing, one_way))),
        int(mode),
        int(station),
    )


def _breaking(fixed, growing, one_way):
    """Return the load factor at which each utilisation reaches one; 0 where what is ``fixed`` breaks it already. [-]"""
    with np.errstate(divide="ignore", invalid="ignore"):
        up, down = (1.0 - fixed) / growing, np.where(one_way, np.inf, (-1.0 - fixed) / growing)
    first = np.minimum(*(np.where(np.isfinite(root) & (root > 0.0), root, np.inf) for root in (up, down)))
    return np.where(np.where(one_way, fixed, np.abs(fixed)) < 1.0, first, 0.0)


class EdgewiseStiffness(NamedTuple):
    """Bending in the plane of the wing; every field (n_station,)."""

    rigidity: Any  # EI about the vertical [N m^2]
    centre: Any  # chord fraction of the neutral axis [-]


def edgewise_stiffness(stiffness, rods, foam, covering, chord, axis_sweep, count):
    """Return the Edgewise stiffness along half a wing.

    Parameters
    ----------
    stiffness, rods, foam, covering
        Of one wing.
    chord, axis_sweep : (n_station,) array
        Foam chord, sweep of the axis. [m], [rad]
    count : (n_set, n_station) array
        Places with rods, each with all its rods at one chord fraction. [-]

    Notes
    -----
    Rods by parallel axes about the common centre of E A; foam as a solid section of thickness t(x), its
    centroid at 0.418 and radius of gyration 0.233 of the chord (NACA 00xx by quadrature); half the film.
    """
    width = chord * np.cos(axis_sweep)
    axial = [
        (count * np.asarray(rods_per_place(rods) * rods.youngs_modulus * rod_area(rods))[:, None]),
        foam.youngs_modulus * stiffness.shape.area,
        0.5 * covering.bond * covering.youngs_modulus * covering.thickness * stiffness.shape.perimeter,
    ]
    place = rod_fractions(stiffness, rods)
    whole = axial[0].sum(0) + axial[1] + axial[2]
    centre = ((axial[0] * place).sum(0) + axial[1] * FOAM_CENTRE + axial[2] * _FILM_CENTRE) / whole
    rigidity = width**2 * (
        (axial[0] * (place - centre) ** 2).sum(0)
        + axial[1] * (FOAM_SPREAD + (FOAM_CENTRE - centre) ** 2)
        + axial[2] * (_FILM_SPREAD + (_FILM_CENTRE - centre) ** 2)
    )
    return EdgewiseStiffness(rigidity, centre)


def rod_fractions(stiffness, rods):
    """Return the chord fraction of each set, halfway along a leaning one (n_set, n_station). [-]"""
    halfway = np.asarray(rods.chord_fraction) + 0.5 * np.asarray(rods.chord_change)
    return halfway[:, None] + 0.0 * stiffness.presence


def launch_load(
    bent, stiffness, rods, foam, station_y, chord, axis_sweep, strip_y, strip_mass, tip_mass, lift_moment, acceleration
):
    """Return what a launch uses: pulled forward at the middle, the half wings lag behind; one g of lift besides.

    Parameters
    ----------
    bent : Edgewise
        Of the wing.
    stiffness, rods, foam, station_y, chord, axis_sweep, strip_y, strip_mass, tip_mass
        Of the wing. [m], [m], [rad], [m], [kg], [kg]
    lift_moment : (n_station,) array
        Bending moment of level flight. [N m]
    acceleration : float
        Forward, over gravity. [-]

    Returns
    -------
    launch : Used
        Modes are LAUNCH_MODES; a rod's strength is crushing or buckling in its bed, whichever is less.
    """
    force = GRAVITY * strip_mass
    moment = (
        outboard_sum(force * strip_y)
        + GRAVITY * tip_mass * station_y[-1]
        - (outboard_sum(force) + GRAVITY * tip_mass) * station_y
    )
    curvature = moment / bent.rigidity  # per g
    width = chord * np.cos(axis_sweep)
    area = rod_area(rods)
    buckling = BUCKLING_KNOCKDOWN * rod_buckling_load(foundation_modulus(foam, rods), rods) / area
    allowed = np.minimum(buckling, rods.compressive_strength)
    strained = (np.asarray(rods.youngs_modulus) / allowed)[:, None]
    reach = np.abs(rod_fractions(stiffness, rods) - bent.centre) * width
    held = stiffness.presence * (np.asarray(rods.pairs) > 0.0)[:, None]
    growing = [
        (strained * reach * curvature * held).max(0, initial=0.0),
        foam.youngs_modulus / foam.compressive_strength * (1.0 - bent.centre) * width * curvature,
    ]
    flat = lift_moment / stiffness.bending_rigidity
    fixed = [(strained * stiffness.lever * np.abs(flat) * held).max(0, initial=0.0), np.zeros_like(flat)]
    growing, fixed = np.stack(growing), np.stack(fixed)
    return _ground_load(fixed, growing, np.ones((2, 1), bool), acceleration)
