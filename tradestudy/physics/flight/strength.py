"""Structure of one design: the beam of `structure` with the outline of `layout`, under the loads of all conditions.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.mesh import half_wing_mesh, strip_counts
from tradestudy.physics.structure import wing_beam
from tradestudy.physics.structure.cut_centre import CutCentre
from tradestudy.physics.structure.foam_section import ThicknessCurve
from tradestudy.physics.structure.rods import RodSets
from tradestudy.physics.structure.stiffness import Stiffness, wing_stiffness
from tradestudy.physics.structure.wing_parts import Covering, Foam, FoamSection, Joiner, StationSections, WingParts
from tradestudy.physics.weights import mass

from . import layout, rod_sets


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


class WingChoice(NamedTuple):
    """Design values that determine the half wing. Fields have the shape (...)."""

    extension: Any  # length added to the half span [m]
    sweep: Any  # sweep angle [rad]
    washout: Any  # washout of the tip [rad]
    rod_diameter: Any  # rod diameter of the first set [m]
    rod_pairs: Any  # number of pairs of the first set in each half wing [-]
    tip_chord: Any = None  # foam chord at the tip [m]; None is that of the stock wing


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
    """Return the HalfWing of a WingChoice, as in ``wing_beam.wing_beam`` and ``mass.mass_per_length``."""
    wing = layout.wing_outline(data.layout, choice.extension, choice.sweep, choice.washout, choice.tip_chord)
    edge_shares, middle_shares, swept = _strip_shares(wing.pieces, wing.piece_shares)
    edges, edge_x, edge_foam = (values @ edge_shares for values in (wing.station, wing.leading_edge, wing.foam_chord))
    middle, middle_x, foam, elevon = (
        values @ middle_shares for values in (wing.station, wing.leading_edge, wing.foam_chord, wing.elevon_chord)
    )
    sweep = _axis_sweep(wing, swept)
    tip_share = planform.tip_section_chord(wing, wing.foam_chord) @ edge_shares / edge_foam
    rods, places, rod_mass = _placed_rods(
        data, wing, choice, rod_sets.StripEdges(edges, edge_x, edge_foam, sweep, tip_share)
    )
    width = edges[..., 1:] - edges[..., :-1]
    share = (
        planform.tip_section_chord(wing, wing.foam_chord) @ middle_shares / foam
        if data.layout.materials.tip_change is not None
        else 0.0
    )
    per_length = mass.mass_per_length(data.layout.materials, foam, elevon, share)
    strip_mass = (sum(per_length.values()) + rod_mass) * width
    fins = list(_fin_masses(data, wing))
    strip_mass, mass_x = _with_inboard_fins(fins, wing, strip_mass, middle_x + 0.45 * (foam + elevon))
    beam = wing_beam.wing_beam(
        wing_beam.Stations(y=edges, chord=edge_foam, leading_edge_x=edge_x, axis_sweep=sweep),
        WingParts(data.section, data.foam, data.covering, rods, data.joiner, places),
        CutCentre(data.bay_half_width, data.remaining_foam, data.added_shear, data.remaining_film),
    )
    tip_mass, tip_mass_x = _tip_mass(fins)
    return HalfWing(
        beam=_with_test_factors(beam, data),
        strip_y=middle,
        strip_mass=strip_mass,
        mass_x=mass_x,
        tip_mass=tip_mass,
        tip_mass_x=tip_mass_x,
    )


def _axis_sweep(wing: planform.Planform, swept: np.ndarray) -> np.ndarray:
    """Return the sweep of the structural axis at strip edges. [rad]

    It is that of the outermost piece of the wing, and zero in the unswept centre piece.
    """
    panel_sweep = np.arctan(
        (wing.leading_edge[..., -1] - wing.leading_edge[..., -2]) / (wing.station[..., -1] - wing.station[..., -2])
    )
    return panel_sweep[..., None] * swept


class DetailedHalfWing(NamedTuple):
    """Half wing of one design with its parts and stiffness, for the checks of a report. It has no batch axes."""

    wing: planform.Planform
    half: HalfWing
    stiffness: Stiffness
    parts: WingParts  # parts with the chosen rods and their ends in this wing
    chord: np.ndarray  # foam chord (n_station,) [m]


def detailed_half_wing(data: StrengthData, choice: WingChoice) -> DetailedHalfWing:
    """Return the DetailedHalfWing of a WingChoice without batch axes, as in ``half_wing``."""
    half = half_wing(data, choice)
    wing = layout.wing_outline(data.layout, choice.extension, choice.sweep, choice.washout, choice.tip_chord)
    edge_shares, _, swept = _strip_shares(wing.pieces, wing.piece_shares)
    edges, edge_x, foam = (values @ edge_shares for values in (wing.station, wing.leading_edge, wing.foam_chord))
    sweep = _axis_sweep(wing, swept)
    tip_share = planform.tip_section_chord(wing, wing.foam_chord) @ edge_shares / foam
    rods, places, _ = _placed_rods(data, wing, choice, rod_sets.StripEdges(edges, edge_x, foam, sweep, tip_share))
    parts = WingParts(data.section, data.foam, data.covering, rods, data.joiner, places)
    stiffness = wing_stiffness(edges, foam, sweep, parts)
    return DetailedHalfWing(wing=wing, half=half, stiffness=stiffness, parts=parts, chord=foam)


def _with_test_factors(beam: wing_beam.WingBeam, data: StrengthData) -> wing_beam.WingBeam:
    """Return a WingBeam with the stiffness measured in a load test, and the strength known from flight.

    A load test of the stiffness says nothing of the strength, so each has its own factor.
    """
    if data.strength_factor != 1.0:
        beam = beam._replace(unit_utilisation=beam.unit_utilisation / data.strength_factor)
    if data.bending_factor == 1.0 == data.torsion_factor:
        return beam
    return beam._replace(
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
    edges = _strip_shares(wing.pieces, wing.piece_shares)[0]
    return planform.tip_section_chord(wing, wing.foam_chord) @ edges / (wing.foam_chord @ edges)


@lru_cache(maxsize=8)
def _strip_shares(
    pieces: tuple[str, ...], piece_shares: tuple[float, ...]
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return three arrays that give values at strip edges and middles from values at the breaks of the outline.

    They are the weight of each break at strip edges (n_break, n_station) and at strip middles (n_break, n_strip). The
    third says whether each edge is swept (n_station,). Between breaks all values are linear, so those of
    the strips are weighted means of those at the breaks.
    """
    n_break = len(pieces) + 1
    breaks, zero, none = np.eye(n_break), np.zeros((n_break, n_break)), np.zeros(())
    wing = planform.Planform(
        station=zero + np.arange(n_break),
        leading_edge=breaks,
        height=zero,
        foam_chord=zero,
        elevon_chord=zero,
        twist=zero,
        elevon_inner_end=none,
        elevon_outer_end=none,
        stock_part_start=none,
        stock_part_end=none,
        pieces=pieces,
        piece_shares=piece_shares,
    )
    mesh = half_wing_mesh(wing)
    edges = np.concatenate([mesh.inner_edge[..., 0], mesh.outer_edge[..., -1:, 0]], axis=-1)
    # the structural axis has a kink where the unswept centre piece ends
    unswept = sum(count for piece, count in zip(pieces, strip_counts(wing), strict=True) if piece == "centre")
    return edges, mesh.middle[..., 0], 1.0 * (np.arange(edges.shape[1]) >= unswept)


def _placed_rods(
    data: StrengthData, wing: planform.Planform, choice: WingChoice, edges: rod_sets.StripEdges
) -> rod_sets.PlacedRods:
    """Return the rods of a wing with the chosen first set, at their places."""
    chosen = choice.rod_diameter, choice.rod_pairs
    return rod_sets.placed_rods(data.layout, data.rods, chosen, wing, edges, (data.foam, data.thickness))


def _fin_masses(data: StrengthData, wing: planform.Planform) -> Iterator[tuple[Any, Any, int]]:
    """Yield mass, moment about the nose datum and break for each fin on one side. [kg], [kg m], [-]

    The break is the index of the point of the outline where the fin is fixed. It is negative for a fin on the tip.
    """
    for fin in layout.fins_on(data.layout, wing, planform.areas(wing)) if data.layout.fins else ():
        lump = mass.fin_lump((fin,), wing)
        yield 0.5 * lump.mass, 0.5 * lump.moment, fin.stands_on


def _with_inboard_fins(
    fins: list[tuple[Any, Any, int]], wing: planform.Planform, strip_mass: np.ndarray, strip_x: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Return strip masses [kg] and their places [m], with each inboard fin added to the strip inboard of its foot."""
    counts = strip_counts(wing)
    for fin_mass, fin_moment, stands_on in fins:
        if stands_on < 0:
            continue
        here = np.arange(sum(counts)) == sum(counts[:stands_on]) - 1
        added = fin_mass[..., None] * here
        strip_x = (strip_mass * strip_x + fin_moment[..., None] * here) / (strip_mass + added)
        strip_mass = strip_mass + added
    return strip_mass, strip_x


def _tip_mass(fins: list[tuple[Any, Any, int]]) -> tuple[Any, Any]:
    """Return the mass (...) of the fins on one tip, and its distance (...) behind the nose datum. [kg], [m]"""
    on_tip = [(fin_mass, fin_moment) for fin_mass, fin_moment, stands_on in fins if stands_on < 0]
    if not on_tip:
        return 0.0, 0.0
    total, moment = (sum(column) for column in zip(*on_tip, strict=True))
    return total, moment / total
