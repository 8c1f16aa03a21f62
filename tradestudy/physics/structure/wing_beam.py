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
from .stiffness import (
    Covering,
    Foam,
    FoamSection,
    Joiner,
    StationSections,
    covering_rigidity,
    covering_torsional_rigidity,
    wing_stiffness,
)

SAFETY_FACTOR = 1.5  # limit load factor = failure load factor / this; CS-VLA 303 and 14 CFR 23.303 [-]


class Stations(NamedTuple):
    """Where half a wing lies: strip edges from the centre line to the tip (..., n_station)."""

    y: Any  # from the centre line [m]
    chord: Any  # of foam [m]
    leading_edge_x: Any  # behind the nose datum [m]
    axis_sweep: Any  # of the structural axis, or one float [rad]
    thickness_scale: Any = 1.0  # local thickness ratio over that of the section [-]


class WingParts(NamedTuple):
    """What half a wing is made of; no sets of rods, or no pairs, is a wing of foam alone."""

    section: FoamSection | StationSections
    foam: Foam
    covering: Covering
    rods: RodSets
    joiner: Joiner


class CutCentre(NamedTuple):
    """What bays leave at the centre line; the defaults are an uncut centre. All (...) or float."""

    bay_half_width: Any = 0.0  # [m]
    remaining_foam: Any = 1.0  # share of the foam section left [-]
    added_shear: Any = 0.0  # what dividers between bays carry across it beyond the foam [N]


class StripLoads(NamedTuple):
    """What the air does to the strips of half a wing; n = n_station - 1."""

    lift: Any  # square to each strip (..., n_condition, n) [N]
    load_factor: Any  # of the condition that the lift belongs to, not zero (..., n_condition) [-]
    lift_x: Any  # where it acts (..., n) [m]
    moment: Any = 0.0  # about ``lift_x``, nose up (..., n_condition, n) or float [N m]
    y: Any = None  # where along y it acts; None: in the middle (..., n) [m]


class HalfWingMasses(NamedTuple):
    """What half a wing weighs, and where; n = n_station - 1."""

    mass: Any  # (..., n) [kg]
    x: Any  # (..., n) [m]
    tip_mass: Any = 0.0  # fins on the tip (...) or float [kg]
    tip_mass_x: Any = 0.0  # (...) or float [m]


_UNCUT = CutCentre()


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


def wing_beam(stations, made_of, cut=_UNCUT):
    """Return the WingBeam (...) of Stations, MadeOf and CutCentre that no load has touched yet."""
    chord = np.asarray(stations.chord)
    stiff = wing_stiffness(
        stations.y,
        chord,
        stations.axis_sweep,
        made_of.section,
        made_of.foam,
        made_of.covering,
        made_of.rods,
        made_of.joiner,
        stations.thickness_scale,
    )
    unit = failure_modes.unit_utilisations(
        stiff, made_of.foam, made_of.rods, made_of.joiner, cut.bay_half_width, cut.remaining_foam, cut.added_shear
    )
    return WingBeam(
        station_y=stations.y,
        axis_sweep=stations.axis_sweep,
        bending_rigidity=stiff.bending_rigidity,
        torsional_rigidity=stiff.torsional_rigidity,
        shear_compliance=stiff.shear_compliance,
        elastic_axis=stiff.elastic_axis,
        axis_x=stations.leading_edge_x + stiff.elastic_axis * chord,
        rod_mass_per_length=stiff.rod_mass_per_length,
        unit_utilisation=unit,
        covering_rigidity=covering_rigidity(stiff.shape, made_of.covering),
        covering_torsional_rigidity=covering_torsional_rigidity(stiff.shape, made_of.covering),
        one_way=failure_modes.one_way_modes(made_of.rods),
    )


def with_covering_share(beam, share):
    """Return the WingBeam whose covering carries ``share`` (a number or (...,)) [-] of what it carried: stiffness only.

    What else the bond touches (core shear, strength) stays: that wants a WingBeam of its own, with another Covering.
    """
    lost = 1.0 - np.asarray(share)[..., None]
    return beam._replace(
        bending_rigidity=beam.bending_rigidity - lost * beam.covering_rigidity,
        torsional_rigidity=beam.torsional_rigidity - lost * beam.covering_torsional_rigidity,
        covering_rigidity=(1.0 - lost) * beam.covering_rigidity,
        covering_torsional_rigidity=(1.0 - lost) * beam.covering_torsional_rigidity,
    )


def loaded_beam(beam, loads, masses):
    """Return the WingStructure (...) of a WingBeam under StripLoads, its StripMasses pulling the other way.

    The failure load factor takes loads as proportional to the load factor, so a condition near the one that breaks
    gives the better answer. Weak materials: a WingBeam of ``foam_of(part, True)`` and
    ``covering_of(part, bond, bond_pessimistic)``.
    """
    load_factor = np.asarray(loads.load_factor)
    inside = wing_loads(
        beam.station_y,
        beam.axis_x,
        beam.axis_sweep,
        loads.lift,
        load_factor,
        masses.mass,
        loads.lift_x,
        masses.x,
        loads.moment,
        masses.tip_mass,
        masses.tip_mass_x,
        loads.y,
    )
    utilisation = failure_modes.loaded_utilisations(
        beam.unit_utilisation, inside.shear, inside.bending_moment, beam.one_way
    )
    greatest = smooth_greatest(utilisation)
    shape = beam_shape(
        beam.station_y,
        beam.axis_sweep,
        beam.bending_rigidity,
        beam.torsional_rigidity,
        beam.shear_compliance,
        inside.shear,
        inside.bending_moment,
        inside.torsion,
    )
    return WingStructure(
        bending_rigidity=beam.bending_rigidity,
        torsional_rigidity=beam.torsional_rigidity,
        shear_compliance=beam.shear_compliance,
        elastic_axis=beam.elastic_axis,
        axis_x=beam.axis_x,
        rod_mass_per_length=beam.rod_mass_per_length,
        shear=inside.shear,
        bending_moment=inside.bending_moment,
        torsion=inside.torsion,
        utilisation=utilisation,
        greatest_utilisation=greatest,
        failure_load_factor=load_factor / greatest,
        deflection=shape.deflection,
        twist=shape.twist,
        tip_deflection=shape.deflection[..., -1],
    )


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
        From ``loaded_beam``. [-]
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
        found.append(FirstFailure(names[mode], float(np.real(station_y[station])), greatest, float(factor) / greatest))
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


def foam_from_catalogue(part, pessimistic=False):
    """Return a Foam from a catalogue entry ({field: SI value}); the weak variant where asked."""
    return Foam(*(_catalogue_value(part, field, pessimistic) for field in Foam._fields))


def covering_from_catalogue(part, bond, bond_pessimistic=None):
    """Return a Covering from a catalogue entry and the bond factor [-].

    With ``bond_pessimistic`` given, that factor and the film's weak values are taken.
    """
    pessimistic = bond_pessimistic is not None
    return Covering(
        _catalogue_value(part, "youngs_modulus", pessimistic),
        _catalogue_value(part, "shear_modulus", pessimistic),
        part["thickness"],
        bond_pessimistic if pessimistic else bond,
    )


def rods_from_catalogue(
    parts, diameter, pairs, chord_fraction, inner_end, outer_end, slot_depth, crosses_centre, thickness_fraction
):
    """Return RodSets from catalogue entries, one per set, and the builder's (..., n_set) numbers.

    Shapes and units of the numbers as in ``stiffness.RodSets``.
    """
    fields = ("youngs_modulus", "density", "tensile_strength", "compressive_strength")
    materials = (np.array([part[field] for part in parts], float) for field in fields)
    geometry = (diameter, pairs, chord_fraction, inner_end, outer_end, slot_depth, crosses_centre, thickness_fraction)
    return RodSets(*materials, *(np.asarray(value) for value in geometry))


def joiner_from_catalogue(part, diameter, length):
    """Return a Joiner from a rod's catalogue entry, diameter [m] and whole length [m]; 0 is no joiner.

    Its bending strength is the lesser of the tensile and compressive strengths.
    """
    return Joiner(part["youngs_modulus"], min(part["tensile_strength"], part["compressive_strength"]), diameter, length)


def _catalogue_value(part, field, pessimistic):
    """Return a field's weak value where there is one and it is asked for, its nominal value otherwise."""
    return np.asarray(part.get(f"{field}_pessimistic", part[field]) if pessimistic else part[field], float)
