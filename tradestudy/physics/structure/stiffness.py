"""Bending, torsion and shear stiffness of a foam wing with rods near its surfaces.

The rods are the caps of an I-beam, the foam between them is its web. Stations run along half the
wing, from the centre line to the tip; values at a station stand for its own stretch of span, from
the middle of the strip inboard to the middle of the strip outboard.

Rod values carry the axis ``n_set`` last, station values ``n_station`` last, and the two together
come out as (..., n_set, n_station). All lengths of sections are measured along the flight
direction; ``axis_sweep`` turns them square to the swept axis.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.sections import airfoil

from . import rods as rod_sets
from .rods import RodSets, cap_spacing, least_thickness, web_factor

# Over how much span a rod's share of the moment fades at its end. The caps of a foam beam pick up
# their load over sqrt(own rigidity of foam and rod / shear stiffness of the web), 20 to 40 mm here; a
# smooth step of this scale goes from a tenth to nine tenths over 44 mm.
_END_BLEND = 0.010  # [m]
SOLID_SHEAR_CENTRE = 0.3646  # chord fraction, solid NACA 00xx section, closed trailing edge [-]


class FoamSection(NamedTuple):
    """Foam section by its closed forms; every field (...), for unit foam chord."""

    area_coefficient: Any  # area / chord^2 [-]
    inertia_coefficient: Any  # second moment about the chord line / chord^4 [-]
    torsion_coefficient: Any  # torsion constant of the solid section / chord^4 [-]
    perimeter_coefficient: Any  # outline length / chord [-]
    thickness_coefficient: Any  # greatest thickness / chord [-]
    skin_inertia_coefficient: Any = 0.0  # integral of z^2 along the outline / chord^3 [-]


class StationSections(NamedTuple):
    """Foam sections that differ along the span, for unit foam chord; every field (..., n_station) but the last."""

    area_coefficient: Any  # area / chord^2 [-]
    inertia_coefficient: Any  # second moment about the chord line / chord^4 [-]
    torsion_coefficient: Any  # torsion constant of the solid section / chord^4 [-]
    perimeter_coefficient: Any  # outline length / chord [-]
    thickness_coefficient: Any  # greatest thickness / chord [-]
    thickness_fraction: Any  # thickness at the rods' inner ends over foam chord (..., n_set, n_station) [-]
    skin_inertia_coefficient: Any = 0.0  # integral of z^2 along the outline / chord^3, a number or (..., 1) [-]
    thickness_change: Any = 0.0  # at the rods' outer ends, what it is more (..., n_set, n_station) [-]


class Foam(NamedTuple):
    """Foam of the core; every field (...)."""

    youngs_modulus: Any  # [Pa]
    shear_modulus: Any  # [Pa]
    shear_strength: Any  # [Pa]
    compressive_strength: Any  # [Pa]
    poisson_ratio: Any  # [-]


class Covering(NamedTuple):
    """Film on both surfaces; every field (...)."""

    youngs_modulus: Any  # [Pa]
    shear_modulus: Any  # [Pa]
    thickness: Any  # [m]
    bond: Any  # share of the film's ideal shear stiffness that the bond passes on [-]


class Joiner(NamedTuple):
    """Stiff rod across the middle, near the section's mid-plane; every field (...)."""

    youngs_modulus: Any  # [Pa]
    strength: Any  # bending strength [Pa]
    diameter: Any  # zero for no joiner [m]
    length: Any  # whole length, both halves [m]


class SectionConstants(NamedTuple):
    """Foam section square to the swept axis; every field (..., n_station)."""

    area: Any  # [m^2]
    inertia: Any  # second moment [m^4]
    torsion_constant: Any  # of the solid section [m^4]
    perimeter: Any  # [m]
    skin_inertia: Any  # second moment of the outline [m^3]
    thickness: Any  # greatest [m]


class Stiffness(NamedTuple):
    """What the sections give; shapes with n_set and n_station last."""

    presence: Any  # share of a station's own stretch that holds the rod (..., n_set, n_station) [-]
    spacing: Any  # distance between the rods of a pair (..., n_set, n_station) [m]
    web_factor: Any  # equivalent web width / spacing (..., n_set, n_station) [-]
    pair_rigidity: Any  # EI of one pair where it is whole (..., n_set, n_station) [N m^2]
    lever: Any  # farthest rod's centre from the neutral axis (..., n_set, n_station) [m]
    flow_rigidity: Any  # shear flow into a rod, times EI over shear force (..., n_set, n_station) [N m]
    neutral_axis: Any  # above the mid-plane (..., n_station); 0.0 where all sets are pairs [m]
    rod_rigidity: Any  # share of EI from each set (..., n_set, n_station) [N m^2]
    foam_rigidity: Any  # share of EI from the foam (..., n_station) [N m^2]
    joiner_presence: Any  # share of a station's own stretch that holds the joiner (..., n_station) [-]
    bending_rigidity: Any  # EI square to the axis (..., n_station) [N m^2]
    torsional_rigidity: Any  # GJ (..., n_station) [N m^2]
    shear_compliance: Any  # shear slope per newton (..., n_station) [1/N]
    elastic_axis: Any  # chord fraction of the elastic axis (..., n_station) [-]
    rod_mass_per_length: Any  # rods of the half wing, along the axis (..., n_station) [kg/m]
    shape: SectionConstants  # foam section square to the axis


def smooth_step_integral(distance):
    """Return the integral of a smooth step, for an end that fades over END_BLEND.

    From how far a point lies inboard of the end (...) [m]; tends to zero outboard and to that distance
    inboard [m]. It is w ln(1 + exp(x/w)), written so that no exponent overflows.
    """
    scaled = distance / _END_BLEND
    if not np.iscomplexobj(scaled):
        return _END_BLEND * np.logaddexp(0.0, scaled)
    inboard = scaled.real > 0.0
    folded = np.where(inboard, -scaled, scaled)
    return _END_BLEND * (np.where(inboard, scaled, 0.0) + np.log1p(np.exp(folded)))


def station_bounds(station_y):
    """Return the edges of each station's own stretch of span.

    From stations (..., n_station) [m]: centre line, middles of the strips, tip (..., n_station + 1) [m].
    """
    middle = 0.5 * (station_y[..., 1:] + station_y[..., :-1])
    return np.concatenate([station_y[..., :1], middle, station_y[..., -1:]], axis=-1)


def rod_presence(station_y, inner_end, outer_end, crosses_centre):
    """Return the share of each station's own stretch of span that holds a rod.

    Averaged over the stretch in closed form, so that the rod length in the whole wing is right
    wherever an end falls between stations, and differentiable in both ends.

    Parameters
    ----------
    station_y : (..., n_station) array
        Stations from the centre line to the tip. [m]
    inner_end, outer_end : (..., n_set) array
        Ends of the rods, from the centre line. [m]
    crosses_centre : (..., n_set) array
        1 where the rod runs on through the centre line, and so does not fade there. [-]

    Returns
    -------
    presence : (..., n_set, n_station) array
        Between 0 and 1. [-]
    """
    bounds = station_bounds(np.asarray(station_y))
    inner, outer = np.asarray(inner_end)[..., None], np.asarray(outer_end)[..., None]
    cut = 1.0 - np.asarray(crosses_centre)[..., None]
    bounds = bounds[..., None, :]
    primitive = -smooth_step_integral(outer - bounds)
    if cut.any():
        primitive = primitive + cut * smooth_step_integral(inner - bounds)
    return (primitive[..., 1:] - primitive[..., :-1]) / (bounds[..., 1:] - bounds[..., :-1])


def section_constants(section, chord, axis_sweep, thickness_scale):
    """Return the section constants at each station, square to the swept axis.

    Parameters
    ----------
    section : Section or StationSections
        Closed forms, of one section or station by station.
    chord : (..., n_station) array
        Foam chord along the flight direction. [m]
    axis_sweep, thickness_scale : (..., n_station) array or float
        Sweep of the structural axis, local thickness ratio over that of ``section``. [rad], [-]

    Returns
    -------
    section_shape : SectionShape
        Square to the axis the chord shrinks by cos(sweep) and the thickness stays.
    """
    width = chord * np.cos(axis_sweep)
    height = chord * thickness_scale
    cubed = width * height * height * height
    placed = np.asarray if isinstance(section, StationSections) else _with_station
    return SectionConstants(
        placed(section.area_coefficient) * width * height,
        placed(section.inertia_coefficient) * cubed,
        placed(section.torsion_coefficient) * cubed,
        placed(section.perimeter_coefficient) * width,
        placed(section.skin_inertia_coefficient) * width * height * height,
        placed(section.thickness_coefficient) * height,
    )


def torsional_rigidity(shape, foam, covering):
    """Return the torsional rigidity of foam and covering, twisted together.

    Parameters
    ----------
    shape, foam, covering : SectionShape, Foam, Covering
        Section constants and materials.

    Returns
    -------
    torsional_rigidity : (..., n_station) array
        G J. [N m^2]

    Notes
    -----
    Solid foam G J plus the film as a closed cell, G 4 A^2 t / perimeter (Bredt and Batho; Megson,
    Aircraft Structures for Engineering Students, single-cell torsion), times the bond factor. The
    sum is 12 to 14 % below the field solution of foam and film together. A bonded film gives 85 to
    95 % of the total, so the bond is the largest unknown; a slack or hot film gives next to nothing.
    """
    return _with_station(foam.shear_modulus) * shape.torsion_constant + covering_torsional_rigidity(shape, covering)


def covering_torsional_rigidity(shape, covering):
    """Return what the covering adds to GJ (..., n_station), as a closed cell times the bond factor. [N m^2]"""
    film = _with_station(covering.bond * covering.shear_modulus * covering.thickness)
    return film * 4.0 * shape.area**2 / shape.perimeter


def covering_rigidity(shape, covering):
    """Return what the covering adds to EI (..., n_station): the stretched side only. [N m^2]

    Half of E t times the outline's second moment, times the bond factor: the pressed side wrinkles at
    about the strain where a glass rod buckles, and is left out at any load.
    """
    return 0.5 * _with_station(covering.bond * covering.youngs_modulus * covering.thickness) * shape.skin_inertia


def wing_stiffness(station_y, chord, axis_sweep, section, foam, covering, rods, joiner, thickness_scale=1.0):
    r"""Return every stiffness along half the wing.

    Parameters
    ----------
    station_y, chord, axis_sweep, thickness_scale : (..., n_station) array
        Stations, foam chord, sweep of the structural axis, local over nominal thickness ratio;
        the last two may be numbers. [m], [m], [rad], [-]
    section, foam, covering, rods, joiner
        The tuples above.

    Returns
    -------
    wing_stiffness : Stiffness
        See there.

    Notes
    -----
    EI = sum over sets of pairs E (A h^2/2 + 2 I) + foam + covering + joiner, with A and I of a solid
    rod or a tube. Where a set has rods near one skin alone, everything turns about the neutral axis of
    rods, foam and half the film (parallel axes; a joiner pulls too weakly through its glue to count
    there, which is on the safe side). Between its ends a rod's chord fraction and the section's
    thickness there run straight; a thickness bulges above that line, so this too is on the safe side.
    The foam's shear centre stays. Shear: each
    part carries the share of the shear force that its EI is of the whole; energies added,

    .. math:: 1/S = \sum_i (EI_i/EI)^2 / S_i, \quad S_{rods} = n G K h^2, \quad S_{foam} = 5 G A/6

    which is the thin-face sandwich formula (Allen, Analysis and Design of Structural Sandwich
    Panels, 1969) where rods carry all, and the plain foam beam where there are none. Elastic axis:
    centre of the EI of rods and solid foam, within 0.03 chord of the field solution. The centre
    section's cut-outs are not taken off EI here; ``failure`` judges their strength.
    """
    station_y, chord = np.asarray(station_y), np.asarray(chord)
    thickness_scale = np.asarray(thickness_scale)
    shape = section_constants(section, chord, axis_sweep, thickness_scale)
    share = rod_presence(station_y, rods.inner_end, rods.outer_end, rods.crosses_centre)
    column = rod_sets.with_station_axis(rods)
    fraction, place = _places(station_y, section, column)
    thickness = fraction * (chord * thickness_scale)[..., None, :]
    thickness = least_thickness(thickness, column.diameter)
    spacing = cap_spacing(thickness, column.slot_depth, column.diameter)
    film_length = _with_station(covering.bond * covering.shear_modulus * covering.thickness / foam.shear_modulus)
    web = web_factor(thickness, column.slot_depth, column.diameter, spacing, film_length[..., None])
    shear_modulus = _with_station(foam.shear_modulus)
    count = share * column.pairs
    caps = _caps(column, count, spacing, shape, foam, covering)
    by_set = count * caps.of_pair
    of_rods, of_foam = by_set.sum(axis=-2), _with_station(foam.youngs_modulus) * shape.inertia
    joiner_share = joiner_presence(station_y, joiner.length)
    of_joiner = joiner_share * _with_station(joiner.youngs_modulus * np.pi * np.asarray(joiner.diameter) ** 4 / 64.0)
    total = of_rods + of_foam + covering_rigidity(shape, covering) + of_joiner + caps.offset
    # the count enters once, not squared over itself, so that no rod at all divides nothing by zero
    by_web = (count * caps.flow_squared / (shear_modulus[..., None] * web)).sum(axis=-2)
    compliance = (by_web + 1.2 * of_foam * of_foam / (shear_modulus * shape.area)) / (total * total)
    axis = (by_set * place).sum(axis=-2) + of_foam * SOLID_SHEAR_CENTRE
    area, each = rod_sets.rod_area(column), rod_sets.rods_per_place(column)
    mass = (count * each * column.density * area).sum(axis=-2)
    axis = axis / (of_rods + of_foam)
    twisting = torsional_rigidity(shape, foam, covering)
    if not isinstance(column.shear_modulus, float):
        # a tube's polar second moment is twice its second moment
        own = 2.0 * column.shear_modulus / column.youngs_modulus * rod_sets.rod_rigidity(column)
        twisting = twisting + (count * each * own).sum(axis=-2)
    return Stiffness(
        share,
        spacing,
        web,
        caps.of_pair,
        caps.lever,
        caps.flow,
        caps.axis,
        by_set,
        of_foam,
        joiner_share,
        total,
        twisting,
        compliance,
        axis,
        mass,
        shape,
    )


class _Caps(NamedTuple):
    """What rods do as caps; as in Stiffness, and the squared flow [N^2 m^2] that strains the web."""

    of_pair: Any
    lever: Any
    flow: Any
    flow_squared: Any
    axis: Any
    offset: Any  # what foam and film about the neutral axis have beyond that about the mid-plane [N m^2]


def _caps(column: RodSets, count, spacing, shape, foam, covering):
    """Return the _Caps of all sets, about the neutral axis they share with foam and film.

    The web's K is the conductance from rod to rod; from one rod to the mid-plane it is 2 K.
    """
    stretch = column.youngs_modulus * rod_sets.rod_area(column)
    own = 0.0625 * column.diameter**2 * (1.0 + column.bore**2)
    if not rod_sets.has_uneven_sets(column):
        squared = spacing * spacing
        of_pair = stretch * (0.5 * squared + 2.0 * own)
        return _Caps(of_pair, 0.5 * spacing, of_pair / spacing, of_pair * of_pair / squared, 0.0, 0.0)
    # the film counts half: its pressed side wrinkles
    axial = (
        _with_station(foam.youngs_modulus) * shape.area
        + 0.5 * _with_station(covering.bond * covering.youngs_modulus * covering.thickness) * shape.perimeter
    )
    axis = rod_sets.neutral_axis(count, column, spacing, axial)
    levers = rod_sets.squared_levers(column, spacing, axis)
    lever = rod_sets.rod_lever(column, spacing, axis)
    return _Caps(
        stretch * (levers + rod_sets.rods_per_place(column) * own),
        lever,
        stretch * lever,
        0.5 * stretch**2 * levers,
        axis,
        axial * axis**2,
    )


def _places(station_y, section, column: RodSets):
    """Return thickness over foam chord and chord fraction at the rods, each (..., n_set, n_station or 1). [-]"""
    varied = isinstance(section, StationSections)
    fraction = section.thickness_fraction if varied else column.thickness_fraction
    if isinstance(column.chord_change, float):
        return fraction, column.chord_fraction
    along = rod_sets.along_rod(station_y, column)
    change = section.thickness_change if varied else column.thickness_change
    return fraction + change * along, column.chord_fraction + column.chord_change * along


def joiner_presence(station_y, length):
    """Return the share of each station's own stretch of span (..., n_station) that the joiner reaches. [-]

    Stations (..., n_station) [m], whole length of the joiner (...) [m]. Its channel is taken to hold it
    along its whole length, so that it bends with the wing about its own middle.
    """
    half = 0.5 * np.asarray(length)[..., None]
    return rod_presence(station_y, np.zeros(1), half, np.ones(1))[..., 0, :]


def _with_station(value):
    """Append the station axis to a (...) value."""
    return np.asarray(value)[..., None]


def blended_outline(root, tip, share):
    """Return the outline (n, 2) between two resampled ones, ``share`` of the tip's. [-]"""
    return root + (tip - root) * share


def foam_sections(root, tip, share, front_fraction, rod_fractions):
    """Return stiffness.StationSections of stations whose tip share is ``share`` (n_station,) [-].

    ``root`` and ``tip`` are outlines (n, 2) on their own chord, ``front_fraction`` is foam over that chord,
    ``rod_fractions`` (n_set,) are of the foam chord. [-]
    """
    outlines = [blended_outline(root, tip, one) for one in share]
    shapes = [airfoil.section_shape(outline, front_fraction) for outline in outlines]
    area, perimeter, second_moment, torsion, thickness = np.array(shapes, float).T
    places = np.asarray(rod_fractions, float) * front_fraction
    at_rods = np.array([airfoil.section_thickness(outline, places) / front_fraction for outline in outlines]).T
    return StationSections(area, second_moment, torsion, perimeter, thickness, at_rods)
