"""Rods of one design for the beam: the chosen diameter and number, their true places, and what they pass across.

Of the pairs of a set the middle line counts. In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.arrays import stacked
from tradestudy.physics.body import rod_limits, straight_rods
from tradestudy.physics.body.rod_runs import ChosenRods
from tradestudy.physics.geometry import planform
from tradestudy.physics.structure import rod_ends
from tradestudy.physics.structure.foam_section import ThicknessCurve, thickness_at
from tradestudy.physics.structure.local_failure import GLUE_SHEAR_STRENGTH
from tradestudy.physics.structure.rods import RodSets, rod_area
from tradestudy.physics.structure.wing_parts import Foam, RodPlaces, WingParts

from . import layout


class StripEdges(NamedTuple):
    """The outline at the strip edges, each (..., n_station)."""

    y: Any  # distance from the centre line [m]
    leading_edge: Any  # distance of the leading edge behind the nose datum [m]
    foam_chord: Any  # [m]
    axis_slope: Any  # distance aft over distance outward of the structural axis [-]
    tip_share: Any  # share of the tip's section [-]


class PlacedRods(NamedTuple):
    """Rods of one design with their places, and their mass."""

    rods: RodSets
    places: RodPlaces | None
    mass_per_length: Any  # of all rods in one half wing (..., 1) [kg/m]


def placed_rods(
    stock_rods: RodSets, drawn: layout.StretchedWing, edges: StripEdges, materials: tuple[Foam, ThicknessCurve]
) -> PlacedRods:
    """Return the PlacedRods of a StretchedWing. This is bookkeeping; `rod_ends` holds the formulas.

    ``stock_rods`` are those of the stock wing. ``materials`` are the foam and the thickness of its section.
    """
    sets = drawn.rods
    if not sets:
        return PlacedRods(stock_rods, None, 0.0)
    inner, line = drawn.marks.rods.inner, drawn.half_lines
    zero = 0.0 * inner
    rods = stock_rods._replace(
        diameter=stacked([one.diameter for one in sets]) + zero,
        pairs=stacked([one.pairs for one in sets]) + zero,
        inner_end=inner,
        outer_end=line.outer_y,
    )
    foam, curve = materials
    if any(one.run.at_centre == "cross over" for one in sets):
        rods = rods._replace(**_across(sets, line, inner, rods, foam))
    linear = np.asarray(sum(one.mass_per_length for one in sets))
    return PlacedRods(rods, _places(line, inner, edges, curve), linear[..., None])


def _places(line: straight_rods.PlanLine, inner: np.ndarray, edges: StripEdges, curve: ThicknessCurve) -> RodPlaces:
    """Return the RodPlaces of sets with lines (..., n_set).

    Inboard of their inner ends the rods across the centre count, square to the centre line.
    """
    y, edge, chord, axis = (value[..., None, :] for value in edges[:4])
    first, slope = inner[..., None], line.slope[..., None]
    outboard = y.real >= first.real - 1e-9
    turned = np.where(outboard, slope, 0.0)
    reach = np.where(outboard, y, first) - line.outer_y[..., None]
    fraction = (line.outer_x[..., None] + slope * reach - edge) / chord
    cosine = (1.0 + axis * turned) / np.sqrt((1.0 + axis * axis) * (1.0 + turned * turned))
    return RodPlaces(fraction, thickness_at(curve, fraction, edges.tip_share), cosine)


def _across(
    sets: list[ChosenRods], line: straight_rods.PlanLine, inner: np.ndarray, rods: RodSets, foam: Foam
) -> dict[str, Any]:
    """Return the fields continuity and lap_weakness (..., n_set) of RodSets. Sets without a lap keep what they have.

    Rods beside a transverse rod pass on nothing here. Soft foam passes on little, and it may tear without harm if
    joiner and foam hold alone. So counting nothing is on the safe side; ``transverse_laps`` is for reports.
    """
    crossing = np.array([one.run.at_centre == "cross over" for one in sets])
    laps = _laps(sets, line, inner, rods, foam, crossing, "cross over")
    zero = 0.0 * inner
    return {
        "continuity": np.where(crossing, laps.continuity, np.asarray(rods.continuity) + zero),
        "lap_weakness": np.where(crossing, laps.weakness, zero),
    }


class Laps(NamedTuple):
    """What the laps of every set pass on at the centre, each (..., n_set)."""

    continuity: Any  # share of the force of a rod in one piece [-]
    weakness: Any  # one over the force at which the lap tears out [1/N]


def transverse_laps(
    laid: layout.LayoutData, wing: planform.Planform, chosen: tuple[Any, Any], parts: WingParts
) -> Laps:
    """Return the Laps of sets that end beside a transverse rod; 0 for the other sets. See `rod_ends` for the source.

    ``chosen`` are diameter [m] and number of pairs [-] of the first set, and ``parts`` the WingParts of this wing. The
    result has the shape (n_set,).
    """
    sets = layout.chosen_rods(laid, *chosen)
    lapped = np.array([one.run.at_centre == "lap" for one in sets], bool)
    if not lapped.any():
        return Laps(np.zeros(len(sets)), np.zeros(len(sets)))
    lines = [layout.rod_line(laid, wing, one) for one in sets]
    line = straight_rods.PlanLine(*(stacked(ends) for ends in zip(*lines, strict=True)))
    inner = stacked([layout.rod_inner_end(run, laid, wing) for run in laid.rods])
    laps = _laps(sets, line, inner, parts.rods, parts.foam, lapped, "lap")
    return Laps(np.where(lapped, laps.continuity, 0.0), np.where(lapped, laps.weakness, 0.0))


def _laps(
    sets: list[ChosenRods],
    line: straight_rods.PlanLine,
    inner: np.ndarray,
    rods: RodSets,
    foam: Foam,
    here: np.ndarray,
    way: str,
) -> Laps:
    """Return the Laps (..., n_set) of the sets marked in ``here``; the values of other sets have no meaning."""
    zero = 0.0 * inner
    lap = stacked([one.lap + zero[..., 0] for one in sets])
    sweep, axial = np.arctan(line.slope), rods.youngs_modulus * rod_area(rods)
    reach = inner + lap * np.cos(sweep)
    modulus, strength = (np.asarray(value)[..., None] for value in (foam.shear_modulus, foam.shear_strength))
    length = np.where(here, lap, 1.0)  # any length where there is no such lap
    if way == "lap":
        two = rod_ends.RodLap(rods.diameter, axial, sweep, rods.diameter + rod_limits.LAP_GAP, length)
        holds, springs = rod_ends.adjacent_lap(two, modulus, strength), 1.0
    else:
        two = rod_ends.RodLap(rods.diameter, axial, 2.0 * sweep, rods.diameter, length)
        holds = rod_ends.crossing_lap(two, modulus, strength, rod_limits.LAP_GAP, GLUE_SHEAR_STRENGTH)
        springs = 2.0  # half of the slip belongs to either half wing
    passed = rod_ends.passed_share(holds._replace(stiffness=springs * holds.stiffness), axial, reach + 1e-6)
    return Laps(passed, 1.0 / holds.force)


class PairLines(NamedTuple):
    """The line of each pair of a set in the right half (..., n_pair)."""

    rods: straight_rods.PlanLine
    transverse: straight_rods.PlanLine | None  # right half of the rod across the centre beside each of them


def pair_lines(data: layout.LayoutData, wing: planform.Planform, rods: ChosenRods) -> PairLines:
    """Return the PairLines of a set with a whole number of pairs, as in ``straight_rods.parallel_lines``."""
    middle = layout.rod_line(data, wing, rods)
    ends = straight_rods.rod_ends(wing, layout.rod_inner_end(rods.run, data, wing), middle.outer_y)
    lines = straight_rods.parallel_lines(ends, middle, int(rods.pairs))
    return PairLines(lines, layout.transverse_line(rods, lines))


def longest_rod(data: layout.LayoutData, wing: planform.Planform) -> Any:
    """Return the length (...) of the longest rod of a wing, or 0 without rods. [m]

    Rods across the centre count in full. This is geometry and needs no source. Rods have the diameters of the stock
    wing.
    """
    zero, lengths = 0 * wing.semi_span, []
    for rods in (ChosenRods(run, run.diameter, run.pairs, 0.0) for run in data.rods):
        line = layout.rod_line(data, wing, rods)
        across = layout.transverse_line(rods, line)
        lengths.append(line.length * (2.0 if rods.run.at_centre == "whole" else 1.0) + zero)
        lengths += [2.0 * across.length + zero] if across else []
    return np.max(lengths, axis=0) if lengths else zero
