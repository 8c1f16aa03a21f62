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

# Over how much span a rod's share of the moment fades at its end. The caps of a foam beam pick up
# their load over sqrt(own rigidity of foam and rod / shear stiffness of the web), 20 to 40 mm here; a
# smooth step of this scale goes from a tenth to nine tenths over 44 mm.
END_BLEND = 0.010  # [m]
LEAST_GAP = 1e-4  # rounds the corner where two rods of a pair would touch; 0.003 % of EI otherwise [m]
WEB_FIT = (0.893, 0.362, 17.1, 1.48, 0.262)  # see web_factor [-]
SOLID_SHEAR_CENTRE = 0.3646  # chord fraction, solid NACA 00xx section, closed trailing edge [-]


class RodSets(NamedTuple):
    """Rods by set; every field (..., n_set). A pair is one rod near the top, one near the bottom."""

    youngs_modulus: Any  # [Pa]
    density: Any  # [kg/m^3]
    tensile_strength: Any  # [Pa]
    compressive_strength: Any  # [Pa]
    diameter: Any  # [m]
    pairs: Any  # pairs in each half wing, may be a fraction inside a search [-]
    chord_fraction: Any  # of the foam chord [-]
    inner_end: Any  # from the centre line [m]
    outer_end: Any  # from the centre line [m]
    slot_depth: Any  # from the skin to the bottom of the slot, where the rod lies [m]
    crosses_centre: Any  # 1 runs through or is sleeved at the centre line, 0 is cut [-]
    thickness_fraction: Any  # section thickness at the rod over foam chord [-]


class Section(NamedTuple):
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
    thickness_fraction: Any  # thickness at the rods over foam chord (..., n_set, n_station) [-]
    skin_inertia_coefficient: Any = 0.0  # integral of z^2 along the outline / chord^3, a number or (..., 1) [-]


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


class SectionShape(NamedTuple):
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
    rod_rigidity: Any  # share of EI from each set (..., n_set, n_station) [N m^2]
    foam_rigidity: Any  # share of EI from the foam (..., n_station) [N m^2]
    joiner_presence: Any  # share of a station's own stretch that holds the joiner (..., n_station) [-]
    bending_rigidity: Any  # EI square to the axis (..., n_station) [N m^2]
    torsional_rigidity: Any  # GJ (..., n_station) [N m^2]
    shear_compliance: Any  # shear slope per newton (..., n_station) [1/N]
    elastic_axis: Any  # chord fraction of the elastic axis (..., n_station) [-]
    rod_mass_per_length: Any  # rods of the half wing, along the axis (..., n_station) [kg/m]
    shape: SectionShape  # foam section square to the axis


def smooth_step_integral(distance):
    """Return the integral of a smooth step, for an end that fades over END_BLEND.

    From how far a point lies inboard of the end (...) [m]; tends to zero outboard and to that distance
    inboard [m]. It is w ln(1 + exp(x/w)), written so that no exponent overflows.
    """
    scaled = distance / END_BLEND
    if not np.iscomplexobj(scaled):
        return END_BLEND * np.logaddexp(0.0, scaled)
    inboard = scaled.real > 0.0
    folded = np.where(inboard, -scaled, scaled)
    return END_BLEND * (np.where(inboard, scaled, 0.0) + np.log1p(np.exp(folded)))


def station_bounds(station_y):
    """Return the edges of each station's own stretch of span.

    From stations (..., n_station) [m]: centre line, middles of the strips, tip (..., n_station + 1) [m].
    """
    middle = 0.5 * (station_y[..., 1:] + station_y[..., :-1])
    return np.concatenate([station_y[..., :1], middle, station_y[..., -1:]], axis=-1)


def presence(station_y, inner_end, outer_end, crosses_centre):
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


def rod_depth(slot_depth, diameter):
    """Return how deep below the skin a rod's centre lies: it rests on the bottom of its slot.

    Slot depth and diameter (...) [m] give a depth (...) [m]: a 3 mm rod in a 5 mm slot lies 3.5 mm deep.
    """
    return slot_depth - 0.5 * diameter


def cap_spacing(thickness, slot_depth, diameter):
    """Return the distance between the centres of the rods of a pair.

    Parameters
    ----------
    thickness, slot_depth, diameter : (...) array
        Section thickness at the rods, slot, rod. [m]

    Returns
    -------
    cap_spacing : (...) array
        Thickness less twice the rod depth; never less than a diameter, where the rods touch. [m]
    """
    free = thickness - 2.0 * rod_depth(slot_depth, diameter) - diameter
    return diameter + 0.5 * (free + np.sqrt(free * free + LEAST_GAP**2))


def least_thickness(thickness, diameter):
    """Return the thickness at a rod, never less than two diameters, where a pair no longer fits. [m]"""
    free = thickness - 2.0 * diameter
    return 2.0 * diameter + 0.5 * (free + np.sqrt(free * free + LEAST_GAP**2))


def web_factor(thickness, slot_depth, diameter, spacing, film_length):
    r"""Return the equivalent width of foam web of one rod pair, over the rod spacing.

    Parameters
    ----------
    thickness, slot_depth, diameter, spacing : (...) array
        Section thickness at the rods, slot, rod, distance between rod centres. [m]
    film_length : (...) array
        Bonded film's shear modulus times thickness over the foam's shear modulus. [m]

    Returns
    -------
    web_factor : (...) array
        K in S = G K h^2. [-]

    Notes
    -----
    The rod's shear spreads through the foam like an electrostatic (Laplace) field between the two
    rods; K is the conductance of that field. Bare: image sources of a slab, in closed form,

    .. math:: K_b = \pi / [\ln\frac{\tan(\pi h/2T)}{\sin(\pi d/4T)} - 0.235 (d/2z)^{1.33}]

    with T the thickness, z the rod depth; the last term, for a rod near its own image, is fitted.
    Film: a membrane of length r = film_length, reached through the cover c of foam over the rod,

    .. math:: K_f = [\sqrt{T/2r} + a/r + b]^{-1}

    where the first term is an endless membrane on the slab and a, b are fitted. Within 1 % of the
    tabulated finite-element values for flush rods (2 to 4 mm rods, 18 to 30 mm slabs) and within
    4 % of finite-difference fields for slots up to 3.5 mm deeper than the rod (7 % once the rods of
    a pair are closer than 2.5 diameters). A deep slot costs: 5 mm for a 3 mm rod loses a quarter of
    the filmed web of a flush rod, because the film no longer touches the rod.
    """
    cover = slot_depth - diameter
    cover = 0.5 * (cover + np.sqrt(cover * cover + 1e-12))  # never negative; half a um at zero
    depth_ratio = diameter / (diameter + 2.0 * cover)
    image = np.tan(0.5 * np.pi * spacing / thickness) / np.sin(0.25 * np.pi * diameter / thickness)
    bare = np.pi / (np.log(image) - 0.235 * depth_ratio**1.33)
    slimness = diameter / thickness
    reach = WEB_FIT[0] * thickness * slimness ** WEB_FIT[1] * (1.0 + WEB_FIT[2] * cover / thickness)
    share = cover / diameter
    through_cover = WEB_FIT[3] * share / (share + 0.02) ** WEB_FIT[4]
    film = film_length / (np.sqrt(0.5 * thickness * film_length) + reach + through_cover * film_length)
    return bare + film


def section_shape(section, chord, axis_sweep, thickness_scale):
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
    placed = np.asarray if isinstance(section, StationSections) else _last
    return SectionShape(
        placed(section.area_coefficient) * width * height, placed(section.inertia_coefficient) * cubed,
        placed(section.torsion_coefficient) * cubed, placed(section.perimeter_coefficient) * width,
        placed(section.skin_inertia_coefficient) * width * height * height,
        placed(section.thickness_coefficient) * height)


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
    return _last(foam.shear_modulus) * shape.torsion_constant + covering_torsional_rigidity(shape, covering)


def covering_torsional_rigidity(shape, covering):
    """Return what the covering adds to GJ (..., n_station), as a closed cell times the bond factor. [N m^2]"""
    film = _last(covering.bond * covering.shear_modulus * covering.thickness)
    return film * 4.0 * shape.area**2 / shape.perimeter


def covering_rigidity(shape, covering):
    """Return what the covering adds to EI (..., n_station): the stretched side only. [N m^2]

    Half of E t times the outline's second moment, times the bond factor: the pressed side wrinkles at
    about the strain where a glass rod buckles, and is left out at any load.
    """
    return 0.5 * _last(covering.bond * covering.youngs_modulus * covering.thickness) * shape.skin_inertia


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
    EI = sum over sets of pairs E (A h^2/2 + 2 pi d^4/64) + foam + covering + joiner. Shear: each
    part carries the share of the shear force that its EI is of the whole; energies added,

    .. math:: 1/S = \sum_i (EI_i/EI)^2 / S_i, \quad S_{rods} = n G K h^2, \quad S_{foam} = 5 G A/6

    which is the thin-face sandwich formula (Allen, Analysis and Design of Structural Sandwich
    Panels, 1969) where rods carry all, and the plain foam beam where there are none. Elastic axis:
    centre of the EI of rods and solid foam, within 0.03 chord of the field solution. The centre
    section's cut-outs are not taken off EI here; ``failure`` judges their strength.
    """
    station_y, chord = np.asarray(station_y), np.asarray(chord)
    thickness_scale = np.asarray(thickness_scale)
    shape = section_shape(section, chord, axis_sweep, thickness_scale)
    share = presence(station_y, rods.inner_end, rods.outer_end, rods.crosses_centre)
    column = RodSets(*(np.asarray(field)[..., None] for field in rods))
    fraction = section.thickness_fraction if isinstance(section, StationSections) else column.thickness_fraction
    thickness = fraction * (chord * thickness_scale)[..., None, :]
    thickness = least_thickness(thickness, column.diameter)
    spacing = cap_spacing(thickness, column.slot_depth, column.diameter)
    film_length = _last(covering.bond * covering.shear_modulus * covering.thickness / foam.shear_modulus)
    web = web_factor(thickness, column.slot_depth, column.diameter, spacing, film_length[..., None])
    shear_modulus = _last(foam.shear_modulus)
    area = 0.25 * np.pi * column.diameter**2
    squared = spacing * spacing
    # A h^2/2 for the pair and A d^2/16 for each rod about itself
    of_pair = column.youngs_modulus * area * (0.5 * squared + 0.125 * column.diameter**2)
    count = share * column.pairs
    by_set = count * of_pair
    of_rods, of_foam = by_set.sum(axis=-2), _last(foam.youngs_modulus) * shape.inertia
    joiner_share = joiner_presence(station_y, joiner.length)
    of_joiner = joiner_share * _last(joiner.youngs_modulus * np.pi * np.asarray(joiner.diameter)**4 / 64.0)
    total = of_rods + of_foam + covering_rigidity(shape, covering) + of_joiner
    # the count enters once, not squared over itself, so that no rod at all divides nothing by zero
    by_web = (by_set * of_pair / (shear_modulus[..., None] * web * squared)).sum(axis=-2)
    compliance = (by_web + 1.2 * of_foam * of_foam / (shear_modulus * shape.area)) / (total * total)
    axis = (by_set * column.chord_fraction).sum(axis=-2) + of_foam * SOLID_SHEAR_CENTRE
    mass = (count * 2.0 * column.density * area).sum(axis=-2)
    axis = axis / (of_rods + of_foam)
    return Stiffness(share, spacing, web, of_pair, by_set, of_foam, joiner_share, total,
                     torsional_rigidity(shape, foam, covering), compliance, axis, mass, shape)


def joiner_presence(station_y, length):
    """Return the share of each station's own stretch of span (..., n_station) that the joiner reaches. [-]

    Stations (..., n_station) [m], whole length of the joiner (...) [m]. Its channel is taken to hold it
    along its whole length, so that it bends with the wing about its own middle.
    """
    half = 0.5 * np.asarray(length)[..., None]
    return presence(station_y, np.zeros(1), half, np.ones(1))[..., 0, :]


def _last(value):
    """Append the station axis to a (...) value."""
    return np.asarray(value)[..., None]
