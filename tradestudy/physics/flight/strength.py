"""Structure of one design: the beam of `structure` with the outline of `layout`, under the loads of all conditions.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.mesh import strip_counts, strip_shares
from tradestudy.physics.structure import wing_beam
from tradestudy.physics.structure.cut_centre import CutCentre
from tradestudy.physics.structure.foam_section import ThicknessCurve
from tradestudy.physics.structure.rods import RodSets
from tradestudy.physics.structure.stiffness import Stiffness, wing_stiffness
from tradestudy.physics.structure.wing_parts import Covering, Foam, FoamSection, Joiner, StationSections, WingParts
from tradestudy.physics.weights import mass

from . import layout, rod_sets
from .layout import StretchedWing, WingChoice


class StrengthData(NamedTuple):
    """Constants of a study for section, materials, rods and the cut centre, in SI units."""

    layout: layout.LayoutData
    section: FoamSection | StationSections
    foam: Foam
    covering: Covering
    rods: RodSets  # rods of the stock wing; the first set gets the chosen diameter and number
    joiner: Joiner
    thickness: ThicknessCurve  # of the foam, wherever rods lie
    bay_half_width: float  # half the width of the cut [m]
    remaining_foam: float  # share of the foam section left at the cut centre [-]
    bending_factor: float = 1.0  # measured over modelled stiffness in bending and core shear, from a load test [-]
    torsion_factor: float = 1.0  # measured over modelled stiffness in torsion, from a load test [-]
    added_shear: float = 0.0  # shear force that dividers across the cut centre carry in addition to the foam [N]
    remaining_film: float = 1.0  # share of the film at the centre that runs past the bays [-]
    least_covering: float = 0.0  # least share of the covering's stiffness with which the stock wing flies as known [-]
    weak_strength_factor: float = 1.0  # more strength of weak materials, with which it carries what is known [-]
    strength_factor: float = 1.0  # known over modelled strength of every part, from loads carried in flight [-]


class StripForces(NamedTuple):
    """Air loads on the lattice strips of half a wing in the load conditions."""

    load_factor: Any  # load factor of each condition (..., n_load) [-]
    lift: Any  # lift of each strip (..., n_load, n_strip) [N]
    moment: Any  # moment of each strip about the nose datum, positive nose up (..., n_load, n_strip) [N m]


class DesignStructure(NamedTuple):
    """Half a wing under the loads of every load condition."""

    beam: wing_beam.WingStructure
    utilisation: Any  # smooth maximum over all modes and stations (..., n_load) [-]
    failure_load_factor: Any  # load factor at failure (..., n_load) [-]
    tip_deflection: Any  # rise of the tip (..., n_load) [m]
    deflection_share: Any  # tip deflection over semi-span (..., n_load) [-]


class HalfWing(NamedTuple):
    """The beam and the masses of half a wing, which do not depend on the load. SI units."""

    beam: wing_beam.WingBeam
    strip_y: Any  # middles of the strips (..., n_strip) [m]
    strip_mass: Any  # mass of each strip (..., n_strip) [kg]
    mass_x: Any  # distance of that mass behind the nose datum (..., n_strip) [m]
    tip_mass: Any  # mass of the fins on the tip (...) [kg]
    tip_mass_x: Any  # distance of that mass behind the nose datum (...) [m]

    @property
    def masses(self) -> wing_beam.HalfWingMasses:
        """Masses of strips and fins, without the beam, by definition."""
        return wing_beam.HalfWingMasses(self.strip_mass, self.mass_x, self.tip_mass, self.tip_mass_x)


def wing_structure(data: StrengthData, choice: WingChoice, forces: StripForces) -> DesignStructure:
    """Return the DesignStructure of a WingChoice under StripForces, as in ``wing_beam.loaded_beam``."""
    return design_structure(data, half_wing(data, choice), choice.extension, forces)


def design_structure(data: StrengthData, half: HalfWing, extension: Any, forces: StripForces) -> DesignStructure:
    """Return the DesignStructure of a HalfWing under StripForces, as in ``wing_beam.loaded_beam``.

    ``extension`` (...) [m] is the length added to the half span.
    """
    # The moment is about the nose datum, so lift is taken as acting there.
    loads = wing_beam.StripLoads(
        lift=forces.lift, load_factor=forces.load_factor, lift_x=np.zeros(1), moment=forces.moment, y=half.strip_y
    )
    beam = wing_beam.loaded_beam(half.beam, loads, half.masses)
    semi_span = np.asarray(data.layout.stock.semi_span + extension)
    return DesignStructure(
        beam=beam,
        utilisation=beam.greatest_utilisation,
        failure_load_factor=beam.failure_load_factor,
        tip_deflection=beam.tip_deflection,
        deflection_share=beam.tip_deflection / semi_span[..., None],
    )


def half_wing(data: StrengthData, choice: WingChoice) -> HalfWing:
    """Return the HalfWing of a WingChoice, as in ``drawn_half_wing``."""
    return drawn_half_wing(data, StretchedWing(data.layout, choice))


def drawn_half_wing(data: StrengthData, drawn: StretchedWing) -> HalfWing:
    """Return the HalfWing of a StretchedWing, as in ``wing_beam.wing_beam`` and ``mass.mass_per_length``."""
    laid = _laid_out(data, drawn)
    foam, elevon = laid.foam_chord, laid.elevon_chord
    width = laid.edges.y[..., 1:] - laid.edges.y[..., :-1]
    per_length = mass.mass_per_length(data.layout.materials, foam, elevon, laid.tip_share)
    strip_mass = (sum(per_length.values()) + laid.placed.mass_per_length) * width
    strip_mass, mass_x = _with_inboard_fins(drawn, strip_mass, laid.leading_edge + 0.45 * (foam + elevon))
    edges = laid.edges
    beam = wing_beam.wing_beam(
        wing_beam.Stations(
            y=edges.y, chord=edges.foam_chord, leading_edge_x=edges.leading_edge, axis_sweep=np.arctan(edges.axis_slope)
        ),
        laid.parts,
        CutCentre(data.bay_half_width, data.remaining_foam, data.added_shear, data.remaining_film),
    )
    tip_mass, tip_mass_x = _tip_mass(drawn)
    return HalfWing(
        beam=_with_test_factors(beam, data),
        strip_y=laid.middle,
        strip_mass=strip_mass,
        mass_x=mass_x,
        tip_mass=tip_mass,
        tip_mass_x=tip_mass_x,
    )


class _LaidOut(NamedTuple):
    """A drawn wing at the strips' edges and middles, with its parts. Fields are (..., n_strip) unless stated."""

    edges: rod_sets.StripEdges
    parts: WingParts
    placed: rod_sets.PlacedRods
    middle: Any  # distance from the centre line [m]
    leading_edge: Any  # distance behind the nose datum [m]
    foam_chord: Any  # [m]
    elevon_chord: Any  # [m]
    tip_share: Any  # share of the tip's section [-]


def _laid_out(data: StrengthData, drawn: StretchedWing) -> _LaidOut:
    wing = drawn.outline
    counts = tuple(strip_counts(wing))
    shares = strip_shares(counts)
    edges, edge_x = wing.station @ shares.edge, wing.leading_edge @ shares.edge
    middle, middle_x = wing.station @ shares.middle, wing.leading_edge @ shares.middle
    edge_foam, _, edge_tip = drawn.chords @ shares.edge
    foam, elevon, tip_chord = drawn.chords @ shares.middle
    strips = rod_sets.StripEdges(edges, edge_x, edge_foam, _axis_slope(wing, counts), edge_tip / edge_foam)
    placed = rod_sets.placed_rods(data.rods, drawn, strips, (data.foam, data.thickness))
    parts = WingParts(data.section, data.foam, data.covering, placed.rods, data.joiner, placed.places)
    return _LaidOut(strips, parts, placed, middle, middle_x, foam, elevon, tip_chord / foam)


def _axis_slope(wing: planform.Planform, counts: tuple[int, ...]) -> np.ndarray:
    """Return distance aft over distance outward of the structural axis at strip edges (..., n_station). [-]

    It is that of the outermost piece of the wing, and zero in the unswept centre piece. ``counts`` are the numbers of
    strips on its pieces.
    """
    edge, station = wing.leading_edge, wing.station
    slope = (edge[..., -1] - edge[..., -2]) / (station[..., -1] - station[..., -2])
    return slope[..., None] * _swept_edges(wing.pieces, counts)


@lru_cache(maxsize=32)
def _swept_edges(pieces: tuple[str, ...], counts: tuple[int, ...]) -> np.ndarray:
    """Return 1 for the strip edges (n_station,) outboard of the unswept centre piece, where the axis has a kink."""
    unswept = sum(count for piece, count in zip(pieces, counts, strict=True) if piece == "centre")
    return 1.0 * (np.arange(sum(counts) + 1) >= unswept)


class DetailedHalfWing(NamedTuple):
    """Half wing of one design with its parts and stiffness, for the checks of a report. It has no batch axes."""

    wing: planform.Planform
    half: HalfWing
    stiffness: Stiffness
    parts: WingParts  # parts with the chosen rods and their ends in this wing
    chord: np.ndarray  # foam chord (n_station,) [m]


def detailed_half_wing(data: StrengthData, choice: WingChoice) -> DetailedHalfWing:
    """Return the DetailedHalfWing of a WingChoice without batch axes, as in ``drawn_half_wing``."""
    drawn = StretchedWing(data.layout, choice)
    laid = _laid_out(data, drawn)
    foam = laid.edges.foam_chord
    return DetailedHalfWing(
        wing=drawn.outline,
        half=drawn_half_wing(data, drawn),
        stiffness=wing_stiffness(laid.edges.y, foam, np.arctan(laid.edges.axis_slope), laid.parts),
        parts=laid.parts,
        chord=foam,
    )


def _with_test_factors(beam: wing_beam.WingBeam, data: StrengthData) -> wing_beam.WingBeam:
    """Return a WingBeam with the stiffness measured in a load test, and the strength known from flight.

    A load test of the stiffness says nothing of the strength, so each has its own factor.
    """
    if data.strength_factor != 1.0:
        beam = replace(beam, unit_utilisation=beam.unit_utilisation / data.strength_factor)
    if data.bending_factor == 1.0 == data.torsion_factor:
        return beam
    return replace(
        beam,
        bending_rigidity=data.bending_factor * beam.bending_rigidity,
        torsional_rigidity=data.torsion_factor * beam.torsional_rigidity,
        covering_rigidity=data.bending_factor * beam.covering_rigidity,
        covering_torsional_rigidity=data.torsion_factor * beam.covering_torsional_rigidity,
        shear_compliance=beam.shear_compliance / data.bending_factor,
    )


def station_tip_shares(laid: layout.LayoutData) -> np.ndarray:
    """Return the share (n_station,) of the tip section at every strip edge. [-]

    It is the same for all designs of a study. ``laid`` is the LayoutData. This is geometry and needs no source.
    """
    wing = layout.wing_outline(laid, 0.0, laid.stock.sweep, laid.stock.washout)
    edges = strip_shares(tuple(strip_counts(wing))).edge
    return planform.tip_section_chord(wing, wing.foam_chord) @ edges / (wing.foam_chord @ edges)


def _with_inboard_fins(
    drawn: StretchedWing, strip_mass: np.ndarray, strip_x: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Return strip masses [kg] and their places [m], with each inboard fin added to the strip inboard of its foot."""
    for fin, lump in zip(drawn.fins, drawn.fin_lumps, strict=True):
        if fin.stands_on < 0:
            continue
        counts = strip_counts(drawn.outline)
        here = 0.5 * (np.arange(sum(counts)) == sum(counts[: fin.stands_on]) - 1)  # half of both fins
        with_fin = strip_mass + lump.mass[..., None] * here
        strip_x = (strip_mass * strip_x + lump.moment[..., None] * here) / with_fin
        strip_mass = with_fin
    return strip_mass, strip_x


def _tip_mass(drawn: StretchedWing) -> tuple[Any, Any]:
    """Return the mass (...) of the fins on one tip, and its distance (...) behind the nose datum. [kg], [m]"""
    on_tip = [lump for fin, lump in zip(drawn.fins, drawn.fin_lumps, strict=True) if fin.stands_on < 0]
    if not on_tip:
        return 0.0, 0.0
    both = mass.total_lump(on_tip)
    return 0.5 * both.mass, both.moment / both.mass
