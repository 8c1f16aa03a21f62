"""Where every gram sits: foam, covering, rods, elevons, fins, wiring, pack and listed equipment."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.geometry.fins import fin_parts
from tradestudy.physics.geometry.planform import interpolated, tip_section_share

FOAM_CENTROID = 0.42  # of the foam chord: area centroid of a streamlined section (0.418 for a NACA 00xx)
COVERING_CENTROID = 0.48  # of the whole chord: both skins, slightly ahead of the middle for nose curvature
COVERING_OVERLAP = 1.08  # seams and folds; common practice, no source
WIRING_PER_METRE = 0.014  # kg per metre of semi-span beyond the stock one, both servo leads; common practice


class WingMaterials(NamedTuple):
    """What the bare wing is made of. Section constants are per unit of foam chord (see airfoil.SectionShape).

    They are the root's; ``tip_..._change`` is what the tip's has more, where the two differ.
    """

    section_area: float  # [-]
    section_perimeter: float  # [-]
    foam_density: float  # [kg/m^3]
    covering_areal_mass: float  # film and glue [kg/m^2]
    elevon_density: float  # [kg/m^3]
    elevon_thickness: float  # [m]
    tip_area_change: float = 0.0  # [-]
    tip_perimeter_change: float = 0.0  # [-]


class Lump(NamedTuple):
    """A mass with its first moments. All (...): [kg], [kg m] about the nose datum."""

    mass: Any
    moment: Any


_NODE, _WEIGHT = np.polynomial.legendre.leggauss(3)  # exact for the cubics that appear below


def gauss_stations(planform):
    """Return stations (..., n) [m] and weights (..., n) [m] that integrate cubics exactly over the straight pieces."""
    share, weight = 0.5 * (_NODE + 1), 0.5 * _WEIGHT
    left, width = planform.station[..., :-1, None], np.diff(planform.station, axis=-1)[..., None]
    station = left + width * share
    return station.reshape(*station.shape[:-2], -1), (width * weight).reshape(*station.shape[:-2], -1)


def section_share(planform, materials, station):
    """Return the tip section's share at stations (..., n) [m], or 0 where all sections are the root's. [-]"""
    if not (materials.tip_area_change or materials.tip_perimeter_change):
        return 0.0
    return tip_section_share(planform, planform.foam_chord, station)


def mass_per_length(materials, foam_chord, elevon_chord, share=0.0):
    """Return mass per metre of half span of foam, covering (elevon wrapped too) and trailing strip, by name.

    The trailing strip is a wedge from full thickness to a third. Chords (..., n) [m]; masses (..., n) [kg/m].
    ``share`` (..., n) is the tip section's [-]: the foam's area is exactly linear in it, the perimeter nearly so.
    """
    area = materials.section_area + materials.tip_area_change * share
    perimeter = materials.section_perimeter + materials.tip_perimeter_change * share
    wrapped = perimeter * foam_chord + 2 * elevon_chord
    return {
        "foam": materials.foam_density * area * foam_chord**2,
        "covering": materials.covering_areal_mass * COVERING_OVERLAP * wrapped,
        "elevons": materials.elevon_density * materials.elevon_thickness * (2 / 3) * elevon_chord,
    }


def centroids(leading_edge, foam_chord, elevon_chord):
    """Return where foam, covering and trailing strip sit behind the nose datum, by name. (..., n) [m]"""
    return {
        "foam": leading_edge + FOAM_CENTROID * foam_chord,
        "covering": leading_edge + COVERING_CENTROID * (foam_chord + elevon_chord),
        "elevons": leading_edge + foam_chord + 0.4 * elevon_chord,
    }


def bare_wing_lumps(planform, materials):
    """Return foam, covering and elevon lumps of the whole wing as a dict of Lump."""
    station, weight = gauss_stations(planform)
    edge, foam_chord, elevon_chord = interpolated(
        planform, (planform.leading_edge, planform.foam_chord, planform.elevon_chord), station
    )
    place = centroids(edge, foam_chord, elevon_chord)
    lumps = {}
    share = section_share(planform, materials, station)
    for name, per_length in mass_per_length(materials, foam_chord, elevon_chord, share).items():
        part = 2 * per_length * weight
        lumps[name] = Lump(part.sum(-1), (part * place[name]).sum(-1))
    return lumps


def rod_lump(planform, linear_mass, inner_end, outer_end, chord_fraction):
    """Return the lump of straight rods laid at a foam-chord fraction on both half wings.

    ``linear_mass`` [kg/m] is that of all rods of one half wing together; ends in m from the centre line.
    """
    length, place = rod_length(planform, inner_end, outer_end, chord_fraction)
    mass = 2 * linear_mass * length
    return Lump(mass, mass * place.mean(-1))


def rod_length(planform, inner_end, outer_end, chord_fraction):
    """Return the true length of a rod laid straight between its ends (...) and where these lie aft (..., 2). [m]"""
    ends = np.stack(np.broadcast_arrays(inner_end, outer_end), axis=-1)
    edge, chord = interpolated(planform, (planform.leading_edge, planform.foam_chord), ends)
    place = edge + chord_fraction * chord
    return np.sqrt((outer_end - inner_end) ** 2 + (place[..., 1] - place[..., 0]) ** 2), place


def fin_lump(fins, planform):
    """Return the lump of all fins (tuple of fins.SheetFin) of both sides: flat sheets of trapezoidal outline."""
    return total_lump([part for fin in fins for part in _fin_parts(fin, planform)])


def _fin_parts(fin, planform):
    for part in fin_parts(fin):
        mass = 2 * fin.areal_mass * part.area
        middle = fin.behind_leading_edge + 0.5 * part.set_back + 0.25 * (part.root_chord + part.tip_chord)
        yield Lump(mass, mass * (planform.leading_edge[..., fin.stands_on] + middle))


def wiring_growth(extension, place):
    """Return the Lump of servo leads that grow with the span; nothing when the wing shrinks is not modelled."""
    mass = 2 * WIRING_PER_METRE * extension
    return Lump(mass, mass * place)


def total_lump(lumps):
    """Return one Lump for many."""
    return Lump(sum(lump.mass for lump in lumps), sum(lump.moment for lump in lumps))


def pack_position(centre_of_gravity, all_up_mass, moment_without_pack, pack_mass):
    """Return where the pack's centre must sit for the wing to balance. (...) [m behind the nose datum]"""
    return (centre_of_gravity * all_up_mass - moment_without_pack) / pack_mass
