"""Structure of half a wing: stiffness, loads, deflection and the part that breaks first.

Cautions: the numbers are estimates for comparing wings and do not show airworthiness. Load the finished wing on the
ground to the intended load factor before you fly it.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from . import failure_modes
from .beam import BeamStrips, beam_shape, beam_strips
from .cut_centre import CutCentre
from .failure_modes import mode_names, smooth_greatest
from .loads import cosine_and_sine, wing_loads
from .rods import RodSets
from .stiffness import wing_stiffness
from .wing_parts import WingParts

SAFETY_FACTOR = 1.5  # limit load factor = failure load factor / this; CS-VLA 303 and 14 CFR 23.303 [-]


class Stations(NamedTuple):
    """Outline of half a wing at its strip edges, from the centre line to the tip. Fields are (..., n_station)."""

    y: Any  # distance from the centre line [m]
    chord: Any  # foam chord [m]
    leading_edge_x: Any  # distance of the leading edge behind the nose datum [m]
    axis_sweep: Any  # sweep of the structural axis; may be one float [rad]
    thickness_scale: Any = 1.0  # local thickness ratio over that of the section [-]


class StripLoads(NamedTuple):
    """Air loads on the n = n_station - 1 strips of half a wing."""

    lift: Any  # lift normal to each strip (..., n_condition, n) [N]
    load_factor: Any  # load factor of each condition, not zero (..., n_condition) [-]
    lift_x: Any  # distance behind the nose datum where lift acts (..., n) [m]
    moment: Any = 0.0  # moment about ``lift_x``, positive nose up (..., n_condition, n) or float [N m]
    y: Any = None  # place along y where lift acts; None means the middle of the strip (..., n) [m]


class HalfWingMasses(NamedTuple):
    """Masses of the n = n_station - 1 strips of half a wing, and their positions."""

    mass: Any  # mass of each strip (..., n) [kg]
    x: Any  # distance of each strip's mass behind the nose datum (..., n) [m]
    tip_mass: Any = 0.0  # mass of the fins on the tip (...) or float [kg]
    tip_mass_x: Any = 0.0  # distance of the tip mass behind the nose datum (...) or float [m]


class WingStructure(NamedTuple):
    """Half a wing under load, at ``n_station`` strip edges from the centre line to the tip."""

    bending_rigidity: Any  # EI (..., n_station) [N m^2]
    torsional_rigidity: Any  # GJ (..., n_station) [N m^2]
    shear_compliance: Any  # slope by core shear over shear force (..., n_station) [1/N]
    elastic_axis: Any  # chord fraction of the elastic axis (..., n_station) [-]
    axis_x: Any  # distance of the elastic axis behind the nose datum (..., n_station) [m]
    shear: Any  # shear force (..., n_condition, n_station) [N]
    bending_moment: Any  # bending moment, positive when it lifts the tip (..., n_condition, n_station) [N m]
    torsion: Any  # torsion, positive nose up (..., n_condition, n_station) [N m]
    utilisation: Any  # utilisation in the order of ``mode_names`` (..., n_condition, n_mode, n_station) [-]
    greatest_utilisation: Any  # smooth maximum, never below the exact maximum (..., n_condition) [-]
    failure_load_factor: Any  # load factor over that maximum, on the safe side (..., n_condition) [-]
    deflection: Any  # rise of the axis (..., n_condition, n_station) [m]
    twist: Any  # twist in the flight direction, positive nose up (..., n_condition, n_station) [rad]
    tip_deflection: Any  # rise of the tip (..., n_condition) [m]


@dataclass(frozen=True)
class WingBeam:
    """Half a wing as a beam before any load. Fields that ``WingStructure`` also has mean the same as there."""

    station_y: Any  # strip edges (..., n_station) [m]
    axis_sweep: Any  # sweep of the structural axis (..., n_station) or float [rad]
    bending_rigidity: Any  # EI (..., n_station) [N m^2]
    torsional_rigidity: Any  # GJ (..., n_station) [N m^2]
    shear_compliance: Any  # as in WingStructure (..., n_station) [1/N]
    elastic_axis: Any  # as in WingStructure (..., n_station) [-]
    axis_x: Any  # as in WingStructure (..., n_station) [m]
    unit_utilisation: Any  # result of failure_modes.unit_utilisations (..., n_mode, n_station) [1/N], [1/N m]
    covering_rigidity: Any = 0.0  # part of EI from the covering (..., n_station) [N m^2]
    covering_torsional_rigidity: Any = 0.0  # part of GJ from the covering (..., n_station) [N m^2]
    one_way: frozenset[int] = frozenset()  # result of failure_modes.one_way_modes [-]

    @cached_property
    def strips(self) -> BeamStrips:
        """The BeamStrips (..., 1, n_station - 1), as in ``beam.beam_strips``."""
        return beam_strips(self.station_y, self.axis_sweep, self.bending_rigidity, self.torsional_rigidity)

    @cached_property
    def axis_direction(self) -> tuple[Any, Any]:
        """Cosine and sine of the sweep of the axis, each (..., n_station) or float, by definition. [-]"""
        return cosine_and_sine(self.axis_sweep)


_UNCUT = CutCentre()


def wing_beam(stations: Stations, parts: WingParts, cut: CutCentre = _UNCUT) -> WingBeam:
    """Return the WingBeam (...) of Stations, WingParts and CutCentre, before any load.

    Example: one pair of 3 mm glass rods in half a metre of foam, without film and joiner. EI at the centre is E A h^2 /
    2 of the pair, plus the rods' own EI and that of the foam. At the tip it is EI of the foam alone. This is statics
    and needs no source.

    >>> from tradestudy.physics.structure.wing_parts import Covering, Foam, FoamSection, Joiner
    >>> rods = RodSets(
    ...     youngs_modulus=np.array([40e9]), density=np.array([2000.0]), tensile_strength=np.array([690e6]),
    ...     compressive_strength=np.array([414e6]), diameter=np.array([0.003]), pairs=np.array([1.0]),
    ...     chord_fraction=np.array([0.3]), inner_end=np.array([0.0]), outer_end=np.array([0.3]),
    ...     slot_depth=np.array([0.005]), continuity=np.array([1.0]), thickness_fraction=np.array([0.1]),
    ... )
    >>> parts = WingParts(
    ...     FoamSection(0.0681, 3.922e-5, 1.544e-4, 2.03, 0.1), Foam(4e6, 1.6e6, 0.25e6, 0.11e6, 0.25),
    ...     Covering(4.5e9, 1.63e9, 38e-6, bond=0.0), rods, Joiner(130e9, 800e6, diameter=0.0, length=0.4),
    ... )
    >>> stations = Stations(y=np.linspace(0.0, 0.5, 6), chord=np.full(6, 0.25), leading_edge_x=0.0, axis_sweep=0.0)
    >>> wing_beam(stations, parts).bending_rigidity[[0, -1]].round(2).tolist()
    [46.74, 0.61]
    """
    chord = np.asarray(stations.chord)
    stiffness = wing_stiffness(stations.y, chord, stations.axis_sweep, parts, stations.thickness_scale)
    return WingBeam(
        station_y=stations.y,
        axis_sweep=stations.axis_sweep,
        bending_rigidity=stiffness.bending_rigidity,
        torsional_rigidity=stiffness.torsional_rigidity,
        shear_compliance=stiffness.shear_compliance,
        elastic_axis=stiffness.elastic_axis,
        axis_x=stations.leading_edge_x + stiffness.elastic_axis * chord,
        unit_utilisation=failure_modes.unit_utilisations(stiffness, parts, cut),
        covering_rigidity=stiffness.covering_rigidity,
        covering_torsional_rigidity=stiffness.covering_torsional_rigidity,
        one_way=failure_modes.one_way_modes(parts.rods),
    )


def with_covering_share(beam: WingBeam, share: Any) -> WingBeam:
    """Return the WingBeam whose covering keeps only a ``share`` (...) [-] of its nominal part of EI and GJ.

    This is a definition. Core shear and strength also depend on the bond, but stay unchanged here. To change them,
    compute a WingBeam with another Covering.
    """
    lost = 1.0 - np.asarray(share)[..., None]
    return replace(
        beam,
        bending_rigidity=beam.bending_rigidity - lost * beam.covering_rigidity,
        torsional_rigidity=beam.torsional_rigidity - lost * beam.covering_torsional_rigidity,
        covering_rigidity=(1.0 - lost) * beam.covering_rigidity,
        covering_torsional_rigidity=(1.0 - lost) * beam.covering_torsional_rigidity,
    )


def loaded_beam(beam: WingBeam, loads: StripLoads, masses: HalfWingMasses) -> WingStructure:
    """Return the WingStructure (...) of a WingBeam under StripLoads and the inertia of its HalfWingMasses.

    For the failure load factor, loads are assumed to be proportional to the load factor. So a condition near failure
    gives the better estimate. For weak materials, pass a WingBeam with ``foam_from_catalogue(part, True)`` and
    ``covering_from_catalogue(part, bond, bond_pessimistic)``. This is statics and needs no source.
    """
    load_factor = np.asarray(loads.load_factor)
    internal = wing_loads(
        station_y=beam.station_y,
        axis_x=beam.axis_x,
        axis_direction=beam.axis_direction,
        strip_lift=loads.lift,
        load_factor=load_factor,
        strip_mass=masses.mass,
        lift_x=loads.lift_x,
        mass_x=masses.x,
        strip_moment=loads.moment,
        tip_mass=masses.tip_mass,
        tip_mass_x=masses.tip_mass_x,
        strip_y=loads.y,
    )
    utilisation = failure_modes.loaded_utilisations(
        beam.unit_utilisation, internal.shear, internal.bending_moment, beam.one_way
    )
    greatest = smooth_greatest(utilisation)
    shape = beam_shape(beam.strips, beam.shear_compliance, *internal)
    return WingStructure(
        bending_rigidity=beam.bending_rigidity,
        torsional_rigidity=beam.torsional_rigidity,
        shear_compliance=beam.shear_compliance,
        elastic_axis=beam.elastic_axis,
        axis_x=beam.axis_x,
        shear=internal.shear,
        bending_moment=internal.bending_moment,
        torsion=internal.torsion,
        utilisation=utilisation,
        greatest_utilisation=greatest,
        failure_load_factor=load_factor / greatest,
        deflection=shape.deflection,
        twist=shape.twist,
        tip_deflection=shape.deflection[..., -1],
    )


class FirstFailure(NamedTuple):
    """The failure that comes first in one load condition, for a report."""

    mode: str
    station_y: float  # distance of its place from the centre line [m]
    utilisation: float  # utilisation in this condition [-]
    load_factor: float  # load factor at failure [-]


def first_failures(utilisation: Any, load_factor: Any, station_y: Any, set_names: Sequence[str]) -> list[FirstFailure]:
    """Return the FirstFailure of each load condition, without smoothing and without derivatives.

    Parameters
    ----------
    utilisation : (n_condition, n_mode, n_station) array
        Utilisation from ``loaded_beam``, which states its source. [-]
    load_factor : (n_condition,) array
        Load factor of each condition. [-]
    station_y : (n_station,) array
        Strip edges. [m]
    set_names : sequence of str
        Name of each rod set.

    Returns
    -------
    first_failures : list of FirstFailure
        One entry for each condition.
    """
    names, failures = mode_names(set_names), []
    for values, factor in zip(np.asarray(utilisation).real, np.asarray(load_factor).real, strict=True):
        mode, station = np.unravel_index(int(values.argmax()), values.shape)
        greatest = float(values[mode, station])
        place = float(np.real(station_y[station]))
        failures.append(FirstFailure(names[mode], place, greatest, float(factor) / greatest))
    return failures


def structure_flags(rods: RodSets, thickness: Any) -> list[str]:
    """Return warnings about a structure that is unusual but can be computed. [words]

    This is geometry and needs no source.

    Parameters
    ----------
    rods : RodSets
        Rods with fields (n_set,).
    thickness : (n_set,) array
        Least thickness of the section along the rods of each set. [m]

    Returns
    -------
    structure_flags : list of str
        The warnings; empty when there is nothing to report.
    """
    pairs = np.asarray(rods.pairs, float)
    if pairs.size == 0 or pairs.sum() < 0.5:
        return ["no rods: foam and film carry the bending, helped by a joiner if there is one"]
    flags = []
    needed = np.maximum(2.0 * np.asarray(rods.slot_depth), 2.0 * np.asarray(rods.diameter))
    if np.any((np.asarray(thickness) < needed) & (pairs > 0.0)):
        flags.append("the top and bottom rod slots meet where the section is thinnest")
    passed = np.asarray(rods.continuity) * (pairs > 0.5)
    if not np.any(passed):
        flags.append("no rod passes its force across the centre line: joiner, foam and film carry the largest moment")
    elif np.max(passed) < 0.5:
        flags.append(
            f"the rods pass on at most {np.max(passed):.2f} of their force across the centre line: joiner and foam "
            "carry the rest"
        )
    return flags
