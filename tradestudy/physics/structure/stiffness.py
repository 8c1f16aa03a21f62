"""Bending, torsion and shear stiffness of a foam wing with rods near its surfaces.

The rods are the caps of an I-beam, and the foam between them is its web. Stations lie along half the wing, from the
centre line to the tip. Values at a station apply from the middle of the strip inboard to the middle of the strip
outboard.

Rod values have the shape (..., n_set), station values (..., n_station), and values of a rod at a station
(..., n_set, n_station). In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from . import rods as rod_sets
from .foam_section import (
    SOLID_SHEAR_CENTRE,
    SectionConstants,
    covering_rigidity,
    covering_torsional_rigidity,
    section_constants,
    with_station,
)
from .rod_ends import joiner_presence, rod_presence, station_spans
from .rods import RodSets, cap_spacing, least_thickness, web_factor
from .wing_parts import RodPlaces, WingParts, joiner_rigidity, joiner_torsion


class Stiffness(NamedTuple):
    """Stiffness along half a wing."""

    presence: Any  # share of the span around a station that holds the rod (..., n_set, n_station) [-]
    spacing: Any  # distance between the rods of a pair (..., n_set, n_station) [m]
    web_factor: Any  # equivalent web width / spacing (..., n_set, n_station) [-]
    pair_rigidity: Any  # EI of one pair where it is fully present (..., n_set, n_station) [N m^2]
    axis_cosine: Any  # cosine of the angle between rod and axis (..., n_set, n_station); 1.0 without RodPlaces [-]
    lever: Any  # distance of the farthest rod's centre from the neutral axis (..., n_set, n_station) [m]
    flow_rigidity: Any  # shear flow into a rod, times EI over shear force (..., n_set, n_station) [N m]
    neutral_axis: Any  # height above the mid-plane (..., n_station); 0.0 where all sets are pairs [m]
    rod_rigidity: Any  # share of EI from each set (..., n_set, n_station) [N m^2]
    rod_axial: Any  # E A of one rod (..., n_set) [N]
    foam_rigidity: Any  # share of EI from the foam (..., n_station) [N m^2]
    covering_rigidity: Any  # share of EI from the covering (..., n_station) [N m^2]
    covering_torsional_rigidity: Any  # share of GJ from the covering (..., n_station) [N m^2]
    joiner_presence: Any  # share of the span around a station that holds the joiner (..., n_station) [-]
    bending_rigidity: Any  # total EI square to the axis (..., n_station) [N m^2]
    torsional_rigidity: Any  # total GJ (..., n_station) [N m^2]
    shear_compliance: Any  # slope by core shear over shear force (..., n_station) [1/N]
    elastic_axis: Any  # chord fraction of the elastic axis (..., n_station) [-]
    shape: SectionConstants  # foam section square to the axis


def wing_stiffness(
    station_y: Any, chord: Any, axis_sweep: Any, parts: WingParts, thickness_scale: Any = 1.0
) -> Stiffness:
    r"""Return every stiffness along half the wing.

    Parameters
    ----------
    station_y, chord, axis_sweep, thickness_scale : (..., n_station) array
        Stations, foam chord, sweep of the structural axis, and local over nominal thickness ratio. The last two may be
        numbers. [m], [m], [rad], [-]
    parts : WingParts
        Section, materials, rods and joiner.

    Returns
    -------
    wing_stiffness : Stiffness
        Shapes are given with its fields.

    Notes
    -----
    EI is the sum of n E (A h^2/2 + 2 I) over the sets of pairs, plus EI of foam, covering and joiner. Here n is the
    number of pairs and h the distance between their rods. A and I are area and second moment of a rod or tube. Where a
    set has rods near one skin alone, all parts bend about the neutral axis of rods, foam and half the film (parallel
    axes). The joiner is left out of that axis, on the safe side, because its glue transmits too little force.

    A rod at an angle a to the axis is strained by cos^2 a of the bending strain, and its force has the share cos a
    along the axis. So its part of EI is multiplied by cos^3 a (strain transformation, any text on mechanics of
    materials). The foam's shear centre is fixed.

    Shear: each part i carries a share of the shear force equal to its share of EI. The strain energies are added:

    .. math:: 1/S = \sum_i (EI_i/EI)^2 / S_i, \quad S_{rods} = n G K h^2, \quad S_{foam} = 5 G A/6

    S is the shear stiffness, G the shear modulus of the foam and K the ``web_factor``. In the last term A is the foam
    area. Where rods carry all bending this is the thin-face sandwich formula (Allen, Analysis and Design of Structural
    Sandwich Panels, 1969). Without rods it is a plain foam beam.

    The elastic axis is the centre of EI of rods and solid foam, within 0.03 chord of the field solution. Cut-outs of
    the centre section do not reduce EI here. ``failure_modes`` checks their strength.
    """
    station_y, chord = np.asarray(station_y), np.asarray(chord)
    section, foam, covering, rods, joiner, places = parts
    shape = section_constants(section, chord, axis_sweep, thickness_scale)
    spans = station_spans(station_y)
    presence = rod_presence(spans, rods.inner_end, rods.outer_end, rods.continuity)
    joiner_share = joiner_presence(spans, joiner.length)
    fraction, place, cosine = _rod_places(rods, places)
    diameter, slot_depth = rods.diameter[..., None], rods.slot_depth[..., None]
    thickness = least_thickness(fraction * (chord * thickness_scale)[..., None, :], diameter)
    spacing = cap_spacing(thickness, slot_depth, diameter)
    film_length = with_station(covering.bond * covering.shear_modulus * covering.thickness / foam.shear_modulus)
    web = web_factor(thickness, slot_depth, diameter, spacing, with_station(film_length))
    count = presence * rods.pairs[..., None]
    axial = rods.youngs_modulus * rod_sets.rod_area(rods)
    caps = _caps(rods, count, spacing, shape, parts, axial[..., None] * cosine * cosine * cosine)
    by_set = count * caps.of_pair
    of_rods, of_foam = np.add.reduce(by_set, axis=-2), with_station(foam.youngs_modulus) * shape.inertia
    of_film, film_torsion = covering_rigidity(shape, covering), covering_torsional_rigidity(shape, covering)
    total = of_rods + of_foam + of_film + joiner_share * with_station(joiner_rigidity(joiner)) + caps.offset
    # The count enters to the first power (not count^2 / count), so a set without rods gives no division by zero.
    by_web = np.add.reduce(count * caps.flow_squared / web, axis=-2)
    sheared = (by_web + 1.2 * of_foam * of_foam / shape.area) / (with_station(foam.shear_modulus) * total * total)
    axis = np.add.reduce(by_set * place, axis=-2) + of_foam * SOLID_SHEAR_CENTRE
    twisting = with_station(foam.shear_modulus) * shape.torsion_constant + film_torsion
    twisting = twisting + joiner_share * with_station(joiner_torsion(joiner))
    if not isinstance(rods.shear_modulus, float):
        # a tube's polar second moment is twice its second moment
        own = 2.0 * rods.shear_modulus / rods.youngs_modulus * rod_sets.rod_rigidity(rods)
        twisting = twisting + (count * (rod_sets.rods_per_place(rods) * own)[..., None]).sum(axis=-2)
    return Stiffness(
        presence=presence,
        spacing=spacing,
        web_factor=web,
        pair_rigidity=caps.of_pair,
        axis_cosine=cosine,
        lever=caps.lever,
        flow_rigidity=caps.flow,
        neutral_axis=caps.axis,
        rod_rigidity=by_set,
        rod_axial=axial,
        foam_rigidity=of_foam,
        covering_rigidity=of_film,
        covering_torsional_rigidity=film_torsion,
        joiner_presence=joiner_share,
        bending_rigidity=total,
        torsional_rigidity=twisting,
        shear_compliance=sheared,
        elastic_axis=axis / (of_rods + of_foam),
        shape=shape,
    )


class _Caps(NamedTuple):
    """Rods as caps of the I-beam. Uncommented fields are those of Stiffness with similar names."""

    of_pair: Any
    lever: Any
    flow: Any
    flow_squared: Any  # square of the flow rigidity that strains the web [N^2 m^2]
    axis: Any
    offset: Any  # EI of foam and film about the neutral axis less that about the mid-plane [N m^2]


def _caps(
    rods: RodSets, count: np.ndarray, spacing: np.ndarray, shape: SectionConstants, parts: WingParts, stretch: Any
) -> _Caps:
    """Return the _Caps of all sets about the neutral axis of rods, foam and film.

    ``stretch`` (..., n_set, n_station) is the part of a rod's E A that acts along the axis [N].

    K of the web is the conductance from rod to rod. From one rod to the mid-plane it is 2 K.
    """
    own = (0.0625 * rods.diameter**2 * (1.0 + rods.bore**2))[..., None]
    if not rod_sets.has_uneven_sets(rods):
        of_pair = stretch * (0.5 * spacing * spacing + 2.0 * own)
        flow = of_pair / spacing
        return _Caps(of_pair=of_pair, lever=0.5 * spacing, flow=flow, flow_squared=flow * flow, axis=0.0, offset=0.0)
    covering, column = parts.covering, rod_sets.with_station_axis(rods)
    # half of the film is included, because its pressed side wrinkles
    axial = (
        with_station(parts.foam.youngs_modulus) * shape.area
        + 0.5 * with_station(covering.bond * covering.youngs_modulus * covering.thickness) * shape.perimeter
    )
    axis = rod_sets.neutral_axis(count, column, spacing, stretch, axial)
    levers = rod_sets.squared_levers(column, spacing, axis)
    lever = rod_sets.rod_lever(column, spacing, axis)
    return _Caps(
        of_pair=stretch * (levers + rod_sets.rods_per_place(column) * own),
        lever=lever,
        flow=stretch * lever,
        flow_squared=0.5 * stretch**2 * levers,
        axis=axis,
        offset=axial * axis**2,
    )


def _rod_places(rods: RodSets, places: RodPlaces | None) -> tuple[Any, Any, Any]:
    """Return thickness over foam chord, chord fraction and cosine, each (..., n_set, n_station or 1). [-]"""
    if places is None:
        return rods.thickness_fraction[..., None], rods.chord_fraction[..., None], 1.0
    return places.thickness_fraction, places.fraction, places.axis_cosine
