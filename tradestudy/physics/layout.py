"""From a handful of choices to outline, areas and weights: everything that does not need air."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from . import mass, planform
from .mesh import TipFin
from .pack_box import pack_mass

NEWTON_STEPS = 6  # from 1; half or twice the fin is met to rounding, and a complex step rides along


class RodRun(NamedTuple):
    """One set of rods as it lies in the stock wing. Lengths [m]."""

    density: float  # [kg/m^3]
    diameter: float
    pairs: float  # top-and-bottom pairs in each half wing
    chord_fraction: float  # of the foam chord
    inner_end: float
    outer_end: float


class LayoutData(NamedTuple):
    """What stays the same while the choices vary. SI."""

    stock: planform.StockWing
    scheme: str
    keep: str
    tip_chord_rule: str
    elevon_to_tip: bool
    fin: TipFin | None
    fins_rule: str  # "keep" or "hold_volume"
    fin_areal_mass: float
    materials: mass.WingMaterials
    rods: tuple[RodRun, ...]  # the first set takes the chosen diameter and number
    fixed: mass.Lump  # joiner, motor, controller, propeller, equipment that stays
    movable_mass: float
    unlisted: mass.Lump  # what the scale finds beyond the list
    cell_mass: float
    wiring_place: float


def outline(data, extension, sweep, washout):
    """Return the stretched planform.Planform for the study's scheme."""
    return planform.stretched(data.stock, data.scheme, data.keep, extension, sweep, washout,
                              data.tip_chord_rule, data.elevon_to_tip)


def tip_fin(data, wing, areas):
    """Return the tip fins of a stretched wing (mesh.TipFin, each (...)), or None without fins.

    ``hold_volume`` scales every length of the fin so that area times arm over wing area and span stays that
    of the stock wing; the arm runs from the quarter of the mean aerodynamic chord to the fin's own quarter.
    """
    if data.fin is None:
        return None
    if data.fins_rule == "keep":
        zero = np.zeros_like(areas.area)
        return TipFin(*(length + zero for length in data.fin))
    growth = _fin_growth(data, wing, areas)
    return TipFin(*(length * growth for length in data.fin[:4]), data.fin.behind_leading_edge + 0 * growth)


def _fin_growth(data, wing, areas):
    """Solve growth^2 (arm of a fin of no size + growth x its own quarter) = stock fin volume, by Newton."""
    wanted = _stock_fin_lever(data.stock, data.fin)
    whole = _fin_lever(data.fin, wing, areas)
    start = _fin_lever(TipFin(0.0, 0.0, 0.0, 0.0, data.fin.behind_leading_edge), wing, areas)
    own = whole - start
    growth = np.ones_like(whole)
    for _ in range(NEWTON_STEPS):
        slope = growth * (2 * start + 3 * growth * own)
        growth = growth - (growth**2 * (start + growth * own) - wanted) / slope
    return growth


@lru_cache(maxsize=8)
def _stock_fin_lever(stock, fin):
    wing = planform.stock_planform(stock)
    return float(_fin_lever(fin, wing, planform.areas(wing)))


def _fin_lever(fin, wing, areas):
    """Fin arm over wing area and span. [1/m^2]"""
    quarter = areas.mean_aerodynamic_chord_leading_edge + 0.25 * areas.mean_aerodynamic_chord
    return (fin_quarter_chord(fin, wing) - quarter) / (areas.area * areas.span)


def fin_quarter_chord(fin, wing):
    """Return where the quarter chord of the fins' mean chord lies behind the nose datum. (...) [m]"""
    middle = fin.behind_leading_edge + 0.5 * fin.set_back + 0.125 * (fin.root_chord + fin.tip_chord)
    return wing.leading_edge[..., -1] + middle


def fin_area(fin):
    """Return the area of both tip fins, one side each. (...) [m^2]"""
    return (fin.root_chord + fin.tip_chord) * fin.height


def longest_rod(data, wing):
    """Return the length of the longest rod of a wing (...), along its sweep; 0 without rods. [m]"""
    lengths = [mass.rod_length(wing, run.inner_end + 0 * wing.semi_span, rod_outer_end(run, data.stock, wing),
                               run.chord_fraction)[0] for run in data.rods]
    return np.max(lengths, axis=0) if lengths else 0 * wing.semi_span


def rod_outer_end(run, stock, wing):
    """Return where a rod ends: it keeps its distance from the tip as the wing grows. (...) [m]"""
    return wing.semi_span - (stock.semi_span - run.outer_end)


def rods_as_chosen(data, rod_diameter, rod_pairs):
    """Return (run, diameter [m], pairs, mass of all rods of one half per length [kg/m]) of every set of rods.

    The first set is the one that is bought in steps; the others stay as they are.
    """
    found = []
    for index, run in enumerate(data.rods):
        diameter, pairs = (rod_diameter, rod_pairs) if index == 0 else (run.diameter, run.pairs)
        found.append((run, diameter, pairs, run.density * 0.25 * np.pi * diameter**2 * 2 * pairs))
    return found


def lumps(data, extension, sweep, washout, rod_diameter, rod_pairs, equipment_position):
    """Return every weight but the pack's as name -> mass.Lump, with the outline, areas and fins they come from."""
    wing = outline(data, extension, sweep, washout)
    areas = planform.areas(wing)
    fin = tip_fin(data, wing, areas)
    found = mass.bare_wing(wing, data.materials)
    for index, (run, _, _, linear) in enumerate(rods_as_chosen(data, rod_diameter, rod_pairs)):
        zero = np.zeros_like(wing.semi_span)
        found[f"rods {index + 1}"] = mass.rod_lump(
            wing, linear, run.inner_end + zero, rod_outer_end(run, data.stock, wing), run.chord_fraction)
    if fin is not None:
        found["fins"] = mass.fin_lump(fin, data.fin_areal_mass, wing.leading_edge[..., -1])
    found["wiring"] = mass.wiring_growth(extension, data.wiring_place)
    found["listed parts"] = data.fixed
    found["movable equipment"] = mass.Lump(data.movable_mass, data.movable_mass * equipment_position)
    found["not listed"] = data.unlisted
    return found, wing, areas, fin


def laid_out(data, extension, sweep, washout, rod_diameter, rod_pairs, series, parallel, equipment_position):
    """Return outline numbers and weights of one choice as name -> array (...).

    ``mass_items`` has shape (..., n_item), in the order of ``mass_item_names(data)``, pack last. [kg]
    """
    found, wing, areas, fin = lumps(data, extension, sweep, washout, rod_diameter, rod_pairs, equipment_position)
    pack = pack_mass(data.cell_mass, series * parallel)
    zero = np.zeros_like(extension)
    items = np.stack(np.broadcast_arrays(*(lump.mass + zero for lump in found.values()), pack + zero), axis=-1)
    empty = mass.total(list(found.values()))
    return {
        "span": 2 * wing.semi_span,
        "area": areas.area,
        "mean_aerodynamic_chord": areas.mean_aerodynamic_chord,
        "aspect_ratio": areas.aspect_ratio,
        "set_back": wing.leading_edge[..., -1],
        "fin_area": zero if fin is None else fin_area(fin),
        "fin_mean_chord": zero + 0.1 if fin is None else 0.5 * (fin.root_chord + fin.tip_chord),
        "fin_quarter_chord": zero if fin is None else fin_quarter_chord(fin, wing),
        "mass_items": items,
        "pack_mass": pack + zero,
        "moment_without_pack": empty.moment + zero,
        "all_up_mass": empty.mass + pack + zero,
    }


def mass_item_names(data):
    """Return the names of ``mass_items`` in order. [words]"""
    names = ["foam", "covering", "elevons"] + [f"rods {i + 1}" for i in range(len(data.rods))]
    if data.fin is not None:
        names.append("fins")
    return [*names, "wiring", "listed parts", "movable equipment", "not listed", "pack"]
