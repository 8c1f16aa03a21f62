"""From a handful of choices to outline, areas and weights: everything that does not need air."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics import air
from tradestudy.physics.geometry import fins as fin
from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.mesh import strip_counts
from tradestudy.physics.geometry.stretch_schemes import stretched_planform
from tradestudy.physics.weights import mass
from tradestudy.physics.weights.pack_dimensions import pack_mass


class RodRun(NamedTuple):
    """One set of rods as it lies in the stock wing. Lengths [m]."""

    density: float  # [kg/m^3]
    diameter: float
    pairs: float  # top-and-bottom pairs in each half wing
    chord_fraction: float  # of the foam chord
    inner_end: float
    outer_end: float
    tip_chord_fraction: float | None = None  # at the outer end; straight in between; None is the same
    bore: float = 0.0  # inside over outside diameter [-]
    rods_per_place: float = 2.0  # rods that one of ``pairs`` holds: one where only one skin has them [-]

    @property
    def fractions(self):
        """Chord fractions at the inner and outer end, (2,), or one number for both. [-]"""
        if self.tip_chord_fraction is None:
            return self.chord_fraction
        return np.array([self.chord_fraction, self.tip_chord_fraction])

    def fraction_at(self, station, outer_end):
        """Return the chord fraction at stations of a wing in which the rod ends at ``outer_end`` (...) [m]. [-]"""
        if self.tip_chord_fraction is None:
            return self.chord_fraction
        along = (station - self.inner_end) / (outer_end - self.inner_end)
        return self.chord_fraction + (self.tip_chord_fraction - self.chord_fraction) * along


class LayoutData(NamedTuple):
    """What stays the same while the choices vary. SI."""

    stock: planform.StockWing
    scheme: str
    keep: str
    tip_chord_rule: str
    elevon_to_tip: bool
    fins: tuple[fin.SheetFin, ...]
    fins_rule: str  # "keep" or "hold_volume"
    materials: mass.WingMaterials
    rods: tuple[RodRun, ...]  # the first set takes the chosen diameter and number
    fixed: mass.Lump  # joiner, motor, controller, propeller, equipment that stays
    movable_mass: float
    unlisted: mass.Lump  # what the scale finds beyond the list
    cell_mass: float
    wiring_place: float


class DesignShape(NamedTuple):
    """Outline numbers and weights of a design; every field (...) but ``mass_items``."""

    span: Any  # [m]
    area: Any  # [m^2]
    mean_aerodynamic_chord: Any  # [m]
    aspect_ratio: Any  # [-]
    set_back: Any  # of the tip's leading edge behind the nose datum [m]
    fin_area: Any  # of all fins, rubbed on both sides [m^2]
    fin_mean_chord: Any  # [m]
    fin_side_area: Any  # as seen from the side [m^2]
    fin_quarter_chord: Any  # behind the nose datum [m]
    mass_items: Any  # in the order of ``mass_item_names``, pack last (..., n_item) [kg]
    pack_mass: Any  # [kg]
    moment_without_pack: Any  # of all weights but the pack's, about the nose datum [kg m]
    all_up_mass: Any  # [kg]


def strip_count(data):
    """Return how many lattice strips the half wing has; fixed for a whole study."""
    stock = data.stock
    return sum(strip_counts(wing_outline(data, 0.0, stock.sweep, stock.washout)))


def wing_outline(data, extension, sweep, washout):
    """Return the stretched planform.Planform for the study's scheme."""
    return stretched_planform(
        data.stock,
        data.scheme,
        data.keep,
        extension,
        sweep,
        washout,
        data.tip_chord_rule,
        data.elevon_to_tip,
        fin.inboard_stations(data.fins),
    )


def fins_on(data, wing, areas):
    """Return the fins of a stretched wing (tuple of fins.SheetFin, each number (...)); empty without fins."""
    return fin.fitted_fins(data.fins, data.stock, wing, areas, data.fins_rule)


def longest_rod(data, wing):
    """Return the length of the longest rod of a wing (...), along its sweep; 0 without rods. [m]"""
    lengths = [
        mass.rod_length(wing, run.inner_end + 0 * wing.semi_span, rod_outer_end(run, data.stock, wing), run.fractions)[
            0
        ]
        for run in data.rods
    ]
    return np.max(lengths, axis=0) if lengths else 0 * wing.semi_span


def rod_outer_end(run, stock, wing):
    """Return where a rod ends: it keeps its distance from the tip as the wing grows. (...) [m]"""
    return wing.semi_span - (stock.semi_span - run.outer_end)


def chosen_rods(data, rod_diameter, rod_pairs):
    """Return (run, diameter [m], pairs, mass of all rods of one half per length [kg/m]) of every set of rods.

    The first set is the one that is bought in steps; the others stay as they are.
    """
    found = []
    for index, run in enumerate(data.rods):
        diameter, pairs = (rod_diameter, rod_pairs) if index == 0 else (run.diameter, run.pairs)
        linear = run.density * 0.25 * np.pi * diameter**2 * run.rods_per_place * pairs * (1.0 - run.bore**2)
        found.append((run, diameter, pairs, linear))
    return found


def design_lumps(data, extension, sweep, washout, rod_diameter, rod_pairs, equipment_position):
    """Return every weight but the pack's as name -> mass.Lump, with the outline, areas and fins they come from."""
    wing = wing_outline(data, extension, sweep, washout)
    areas = planform.areas(wing)
    fins = fins_on(data, wing, areas)
    found = mass.bare_wing_lumps(wing, data.materials)
    for index, (run, _, _, linear) in enumerate(chosen_rods(data, rod_diameter, rod_pairs)):
        zero = np.zeros_like(wing.semi_span)
        found[f"rods {index + 1}"] = mass.rod_lump(
            wing, linear, run.inner_end + zero, rod_outer_end(run, data.stock, wing), run.fractions
        )
    if fins:
        found["fins"] = mass.fin_lump(fins, wing)
    found["wiring"] = mass.wiring_growth(extension, data.wiring_place)
    found["listed parts"] = data.fixed
    found["movable equipment"] = mass.Lump(data.movable_mass, data.movable_mass * equipment_position)
    found["not listed"] = data.unlisted
    return found, wing, areas, fins


def design_shape(data, extension, sweep, washout, rod_diameter, rod_pairs, series, parallel, equipment_position):
    """Return the Shape (...) of one choice; lengths [m], angles [rad], the rest [-]."""
    found, wing, areas, fins = design_lumps(
        data, extension, sweep, washout, rod_diameter, rod_pairs, equipment_position
    )
    pack = pack_mass(data.cell_mass, series * parallel)
    zero = np.zeros_like(extension)
    items = np.stack(np.broadcast_arrays(*(lump.mass + zero for lump in found.values()), pack + zero), axis=-1)
    empty = mass.total_lump(list(found.values()))
    rubbed = [(part.area, 0.5 * (part.root_chord + part.tip_chord)) for one in fins for part in fin.fin_parts(one)]
    return DesignShape(
        span=2 * wing.semi_span,
        area=areas.area,
        mean_aerodynamic_chord=areas.mean_aerodynamic_chord,
        aspect_ratio=areas.aspect_ratio,
        set_back=wing.leading_edge[..., -1],
        fin_area=zero + fin.sheet_area(fins),
        fin_mean_chord=zero + air.equal_friction_chord(*zip(*rubbed, strict=True)) if fins else zero + 0.1,
        fin_side_area=zero + fin.side_area(fins),
        fin_quarter_chord=fin.quarter_chord(fins, wing) if fins else zero,
        mass_items=items,
        pack_mass=pack + zero,
        moment_without_pack=empty.moment + zero,
        all_up_mass=empty.mass + pack + zero,
    )


def mass_item_names(data):
    """Return the names of ``mass_items`` in order. [words]"""
    names = ["foam", "covering", "elevons"] + [f"rods {i + 1}" for i in range(len(data.rods))]
    if data.fins:
        names.append("fins")
    return [*names, "wiring", "listed parts", "movable equipment", "not listed", "pack"]
