"""Structure of half a wing in one pure function: stiffness, loads, deflection and what breaks first.

Cautions for whoever reads the numbers: estimates for comparing wings, not airworthiness. Load the
finished wing on the ground to the load factor you mean to fly before you fly it.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from . import failure_modes
from .beam import beam_shape
from .failure_modes import mode_names, smooth_greatest
from .loads import wing_loads
from .rods import RodSets
from .stiffness import Covering, Foam, Joiner, covering_rigidity, covering_torsional_rigidity, wing_stiffness

SAFETY_FACTOR = 1.5  # limit load factor = failure load factor / this; CS-VLA 303 and 14 CFR 23.303 [-]


class WingStructure(NamedTuple):
    """What the structure answers; ``n_station`` strip edges from the centre line to the tip."""

    bending_rigidity: Any  # EI (..., n_station) [N m^2]
    torsional_rigidity: Any  # GJ (..., n_station) [N m^2]
    shear_compliance: Any  # shear slope per newton (..., n_station) [1/N]
    elastic_axis: Any  # chord fraction (..., n_station) [-]
    axis_x: Any  # elastic axis behind the nose datum (..., n_station) [m]
    rod_mass_per_length: Any  # half wing, along the axis (..., n_station) [kg/m]
    shear: Any  # (..., n_condition, n_station) [N]
    bending_moment: Any  # positive lifts the tip (..., n_condition, n_station) [N m]
    torsion: Any  # positive nose up (..., n_condition, n_station) [N m]
    utilisation: Any  # order of ``mode_names`` (..., n_condition, n_mode, n_station) [-]
    greatest_utilisation: Any  # smooth, never below the true one (..., n_condition) [-]
    failure_load_factor: Any  # smooth, never above the true one in size (..., n_condition) [-]
    deflection: Any  # rise of the axis (..., n_condition, n_station) [m]
    twist: Any  # nose up, in the flight direction (..., n_condition, n_station) [rad]
    tip_deflection: Any  # (..., n_condition) [m]


class WingBeam(NamedTuple):
    """Half a wing as a beam before any load; fields as in ``WingStructure`` where they share a name."""

    station_y: Any  # strip edges (..., n_station) [m]
    axis_sweep: Any  # (..., n_station) or float [rad]
    bending_rigidity: Any
    torsional_rigidity: Any
    shear_compliance: Any
    elastic_axis: Any
    axis_x: Any
    rod_mass_per_length: Any
    unit_utilisation: Any  # see failure.unit_utilisations (..., n_mode, n_station) [1/N], [1/N m]
    covering_rigidity: Any = 0.0  # the covering's part of EI (..., n_station) [N m^2]
    covering_torsional_rigidity: Any = 0.0  # and of GJ (..., n_station) [N m^2]
    one_way: frozenset = frozenset()  # see failure.one_way_modes [-]


def wing_structure(station_y, chord, leading_edge_x, axis_sweep, section, foam, covering, rods, joiner,
                   strip_lift, load_factor, strip_mass, lift_x, mass_x, strip_moment=0.0, tip_mass=0.0,
                   tip_mass_x=0.0, bay_half_width=0.0, remaining_foam=1.0, thickness_scale=1.0, strip_y=None):
    """Return stiffness, internal loads, utilisations and shape of half a wing.

    Parameters
    ----------
    station_y, chord, leading_edge_x : (..., n_station) array
        Strip edges from the centre line, foam chord, leading edge behind the nose datum. [m]
    axis_sweep : (..., n_station) array or float
        Sweep of the structural axis. [rad]
    section, foam, covering, rods, joiner
        Tuples of ``stiffness``; an axis of no sets, or no pairs, is a wing of foam alone.
    strip_lift : (..., n_condition, n) array
        Force square to each strip, n = n_station - 1. [N]
    load_factor : (..., n_condition) array
        Of the condition that ``strip_lift`` belongs to, not zero. [-]
    strip_mass, lift_x, mass_x : (..., n) array
        Strip masses, where lift and mass of a strip act. [kg], [m], [m]
    strip_moment : (..., n_condition, n) array or float
        About ``lift_x``, nose up. [N m]
    tip_mass, tip_mass_x : (...) array or float
        Fin. [kg], [m]
    bay_half_width, remaining_foam : (...) array or float
        Half the width of the cut at the centre line and the share of foam section left there; 0 and
        1 for an uncut centre. [m], [-]
    thickness_scale : (..., n_station) array or float
        Local thickness ratio over that of ``section``. [-]
    strip_y : (..., n) array, optional
        Where along y a strip's force acts. [m]

    Returns
    -------
    wing_structure : WingStructure
        See there.

    Notes
    -----
    The failure load factor takes loads as proportional to the load factor, so a condition near the
    one that breaks gives the better answer. Weak materials: call again with ``foam_of(part, True)`` and
    ``covering_of(part, bond, bond_pessimistic)``.
    """
    beam = wing_beam(station_y, chord, leading_edge_x, axis_sweep, section, foam, covering, rods, joiner,
                     bay_half_width, remaining_foam, thickness_scale)
    return loaded_beam(beam, strip_lift, load_factor, strip_mass, lift_x, mass_x, strip_moment, tip_mass,
                       tip_mass_x, strip_y)


def wing_beam(station_y, chord, leading_edge_x, axis_sweep, section, foam, covering, rods, joiner,
              bay_half_width=0.0, remaining_foam=1.0, thickness_scale=1.0, added_shear=0.0):
    """Return the WingBeam (...) that no load has touched yet; arguments as for ``wing_structure``.

    ``added_shear`` (...) is what dividers between bays carry across the cut centre beyond the foam. [N]
    """
    chord = np.asarray(chord)
    stiff = wing_stiffness(station_y, chord, axis_sweep, section, foam, covering, rods, joiner,
                           thickness_scale)
    unit = failure_modes.unit_utilisations(stiff, foam, rods, joiner, bay_half_width, remaining_foam, added_shear)
    return WingBeam(station_y, axis_sweep, stiff.bending_rigidity, stiff.torsional_rigidity,
                    stiff.shear_compliance, stiff.elastic_axis, leading_edge_x + stiff.elastic_axis * chord,
                    stiff.rod_mass_per_length, unit, covering_rigidity(stiff.shape, covering),
                    covering_torsional_rigidity(stiff.shape, covering), failure_modes.one_way_modes(rods))


def with_loose_covering(beam, share):
    """Return the WingBeam whose covering carries ``share`` (a number or (...,)) [-] of what it carried: stiffness only.

    What else the bond touches (core shear, strength) stays: that wants a WingBeam of its own, with another Covering.
    """
    lost = 1.0 - np.asarray(share)[..., None]
    return beam._replace(
        bending_rigidity=beam.bending_rigidity - lost * beam.covering_rigidity,
        torsional_rigidity=beam.torsional_rigidity - lost * beam.covering_torsional_rigidity,
        covering_rigidity=(1.0 - lost) * beam.covering_rigidity,
        covering_torsional_rigidity=(1.0 - lost) * beam.covering_torsional_rigidity)


def loaded_beam(beam, strip_lift, load_factor, strip_mass, lift_x, mass_x, strip_moment=0.0, tip_mass=0.0,
                tip_mass_x=0.0, strip_y=None):
    """Return the WingStructure (...) of a WingBeam under its loads; arguments as for ``wing_structure``."""
    load_factor = np.asarray(load_factor)
    loads = wing_loads(beam.station_y, beam.axis_x, beam.axis_sweep, strip_lift, load_factor, strip_mass,
                       lift_x, mass_x, strip_moment, tip_mass, tip_mass_x, strip_y)
    utilisation = failure_modes.loaded_utilisations(
        beam.unit_utilisation, loads.shear, loads.bending_moment, beam.one_way
    )
    greatest = smooth_greatest(utilisation)
    shape = beam_shape(beam.station_y, beam.axis_sweep, beam.bending_rigidity, beam.torsional_rigidity,
                       beam.shear_compliance, loads.shear, loads.bending_moment, loads.torsion)
    return WingStructure(
        *beam[2:8], loads.shear, loads.bending_moment, loads.torsion, utilisation, greatest,
        load_factor / greatest, shape.deflection, shape.twist, shape.deflection[..., -1])


class FirstFailure(NamedTuple):
    """The first thing to break in one condition, for a report."""

    mode: str
    station_y: float  # [m]
    utilisation: float  # [-]
    load_factor: float  # at which it breaks [-]


def first_failures(utilisation, load_factor, station_y, set_names):
    """Return what breaks first in each condition, exactly: no smoothing, no derivatives.

    Parameters
    ----------
    utilisation : (n_condition, n_mode, n_station) array
        From ``wing_structure``. [-]
    load_factor : (n_condition,) array
        [-]
    station_y : (n_station,) array
        [m]
    set_names : sequence of str
        One per rod set.

    Returns
    -------
    first_failures : list of FirstFailure
        One per condition.
    """
    names = mode_names(set_names)
    utilisation, found = np.asarray(utilisation).real, []
    for values, factor in zip(utilisation, np.asarray(load_factor).real, strict=True):
        mode, station = np.unravel_index(int(values.argmax()), values.shape)
        greatest = float(values[mode, station])
        found.append(FirstFailure(names[mode], float(np.real(station_y[station])), greatest,
                                  float(factor) / greatest))
    return found


def structure_flags(chord, rods, thickness_scale=1.0):
    """Return what a reader must be told about a structure that still gets a finite answer.

    Parameters
    ----------
    chord, thickness_scale : (n_station,) array or float
        Foam chord [m] and local over nominal thickness ratio [-].
    rods : RodSets
        Fields (n_set,).

    Returns
    -------
    structure_flags : list of str
        Empty when there is nothing to say.
    """
    pairs = np.asarray(rods.pairs, float)
    if pairs.size == 0 or pairs.sum() < 0.5:
        return ["no rods: the foam carries all bending alone"]
    flags = []
    thinnest = float(np.min(np.asarray(chord) * thickness_scale))
    needed = np.maximum(2.0 * np.asarray(rods.slot_depth), 2.0 * np.asarray(rods.diameter))
    if np.any((np.asarray(rods.thickness_fraction) * thinnest < needed) & (pairs > 0.0)):
        flags.append("the top and bottom rod slots meet where the section is thinnest")
    if not np.any(np.asarray(rods.crosses_centre) * pairs > 0.5):
        flags.append("no rod crosses the centre line: joiner and foam carry the largest moment")
    return flags


def foam_of(part, pessimistic=False):
    """Return a Foam from a catalogue entry ({field: SI value}); the weak variant where asked."""
    return Foam(*(_pick(part, field, pessimistic) for field in Foam._fields))


def covering_of(part, bond, bond_pessimistic=None):
    """Return a Covering from a catalogue entry and the bond factor [-].

    With ``bond_pessimistic`` given, that factor and the film's weak values are taken.
    """
    pessimistic = bond_pessimistic is not None
    return Covering(_pick(part, "youngs_modulus", pessimistic), _pick(part, "shear_modulus", pessimistic),
                    part["thickness"], bond_pessimistic if pessimistic else bond)


def rods_of(parts, diameter, pairs, chord_fraction, inner_end, outer_end, slot_depth, crosses_centre,
            thickness_fraction):
    """Return RodSets from catalogue entries, one per set, and the builder's (..., n_set) numbers.

    Shapes and units of the numbers as in ``stiffness.RodSets``.
    """
    fields = ("youngs_modulus", "density", "tensile_strength", "compressive_strength")
    materials = (np.array([part[field] for part in parts], float) for field in fields)
    geometry = (diameter, pairs, chord_fraction, inner_end, outer_end, slot_depth, crosses_centre,
                thickness_fraction)
    return RodSets(*materials, *(np.asarray(value) for value in geometry))


def joiner_of(part, diameter, length):
    """Return a Joiner from a rod's catalogue entry, diameter [m] and whole length [m]; 0 is no joiner.

    Its bending strength is the lesser of the tensile and compressive strengths.
    """
    return Joiner(part["youngs_modulus"], min(part["tensile_strength"], part["compressive_strength"]),
                  diameter, length)


def _pick(part, field, pessimistic):
    """Return a field's weak value where there is one and it is asked for, its nominal value otherwise."""
    return np.asarray(part.get(f"{field}_pessimistic", part[field]) if pessimistic else part[field], float)
