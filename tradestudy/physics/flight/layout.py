"""Outline, areas and weights of a design: all stages that need no aerodynamics.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics import air
from tradestudy.physics.body import clearance, rod_limits, skin, straight_rods
from tradestudy.physics.body.pack_bay import PackBay
from tradestudy.physics.body.removed_foam import FoamCuts
from tradestudy.physics.geometry import fins as fin
from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.mesh import strip_counts
from tradestudy.physics.geometry.stretch_schemes import stretched_planform
from tradestudy.physics.weights import mass
from tradestudy.physics.weights import unlisted as not_listed
from tradestudy.physics.weights.pack_dimensions import pack_mass

from . import gear


class RodRun(NamedTuple):
    """A set of straight rods in the stock wing."""

    density: float  # density of the material [kg/m^3]
    diameter: float  # outside diameter [m]
    pairs: float  # number of top-and-bottom pairs in each half wing [-]
    chord_fraction: float  # place as a share of the foam chord, see ``straight_rods.straight_rod`` [-]
    inner_end: float  # distance of the inner end from the centre line [m]
    outer_end: float  # distance of the outer end from the centre line [m]
    tip_chord_fraction: float | None = None  # chord fraction at the outer end; None means the same [-]
    bore: float = 0.0  # inside over outside diameter [-]
    rods_per_place: float = 2.0  # rods at each place: two for pairs, one where only one skin has rods [-]
    at_centre: str = "ends"  # how the two halves meet: "ends", "lap", "cross over", "sleeve" or "whole"
    lap: float | None = None  # length of the lap at the centre; None means the usual number of diameters [m]


class ChosenRods(NamedTuple):
    """A set of rods with the chosen diameter and number. Numbers have the shape (...)."""

    run: RodRun
    diameter: Any  # outside diameter [m]
    pairs: Any  # number of pairs in each half wing [-]
    mass_per_length: Any  # mass per length of all its rods in one half wing [kg/m]

    @property
    def lap(self) -> Any:
        """Length (...) of the lap at the centre, 0 without one. By definition USUAL_LAP diameters if not given. [m]"""
        if self.run.at_centre not in rod_limits.LAPPED:
            return 0.0
        return rod_limits.USUAL_LAP * self.diameter if self.run.lap is None else self.run.lap

    @property
    def displaced_area(self) -> Any:
        """Area (...) of the sections of all its rods in one half wing, bores included, by definition. [m^2]"""
        return 0.25 * np.pi * self.diameter**2 * self.run.rods_per_place * self.pairs


class LayoutData(NamedTuple):
    """Constants of a study for outline, fins and weights, in SI units."""

    stock: planform.StockWing
    scheme: str
    keep: str
    tip_chord_rule: str
    elevon_to_tip: bool
    fins: tuple[fin.SheetFin, ...]
    fins_rule: str  # "keep" or "hold_volume"
    materials: mass.WingMaterials
    rods: tuple[RodRun, ...]  # sets of rods; the first one gets the chosen diameter and number
    fixed: mass.Lump  # joiner, motor, controller, propeller, and equipment at a fixed place
    movable_mass: float  # mass of equipment that may be moved [kg]
    unlisted: not_listed.UnlistedMass  # measured weight less that of the listed parts
    cell_mass: float  # mass of one battery cell [kg]
    wiring_place: float  # distance of the wiring behind the nose datum [m]
    sections: skin.SectionPoints  # sections of root and tip
    in_foam: tuple[clearance.FoamBox, ...]  # bays and joiner at fixed places, which must lie inside the skin
    cuts: FoamCuts  # foam cut out of the wing at fixed places, but for the rods
    gear: tuple[gear.Gear, ...] = ()  # equipment beside the centre line, or in a hole of its own
    movable_place: float = 0.0  # mean place of the movable equipment in the stock wing [m]
    pack_bay: PackBay | None = None  # the pack's bay, if it moves with the pack
    second_pack: mass.Lump = mass.Lump(0.0, 0.0)  # share of the pack in another bay, and that share times its place


class DesignShape(NamedTuple):
    """Outline and weights of a design. Fields have the shape (...) unless stated."""

    span: Any  # [m]
    area: Any  # [m^2]
    mean_aerodynamic_chord: Any  # [m]
    aspect_ratio: Any  # [-]
    set_back: Any  # distance of the tip's leading edge behind the nose datum [m]
    fin_area: Any  # area of all fins, which are wetted on both sides [m^2]
    fin_mean_chord: Any  # mean chord of the fins for friction drag [m]
    fin_side_area: Any  # area of all fins as seen from the side [m^2]
    fin_quarter_chord: Any  # distance of the fins' quarter chord behind the nose datum [m]
    mass_items: Any  # masses in the order of ``mass_item_names``, pack last (..., n_item) [kg]
    pack_mass: Any  # mass of the pack [kg]
    sliding_mass: Any  # mass that moves with the pack: the pack, less the foam of a bay that is cut to it [kg]
    moment_without_pack: Any  # mass moment about the nose datum of all that stays where the pack is moved [kg m]
    all_up_mass: Any  # total mass [kg]
    clearance: Any  # room left round bays and joiner (..., 32 for each of them) [m]; None if nothing lies in the foam


def strip_count(data: LayoutData) -> int:
    """Return the total of ``mesh.strip_counts`` for the half wing, by definition the same for every design. [-]"""
    return sum(strip_counts(wing_outline(data, 0.0, data.stock.sweep, data.stock.washout)))


def wing_outline(
    data: LayoutData, extension: Any, sweep: Any, washout: Any, tip_chord: Any = None
) -> planform.Planform:
    """Return the stretched Planform for the scheme of the study, as for ``stretched_planform``.

    ``extension`` and ``tip_chord`` [m], ``sweep`` and ``washout`` [rad] are (...). None is the stock tip chord.
    """
    return stretched_planform(
        stock=data.stock,
        scheme=data.scheme,
        keep=data.keep,
        extension=extension,
        sweep=sweep,
        washout=washout,
        tip_chord_rule=data.tip_chord_rule,
        elevon_to_tip=data.elevon_to_tip,
        fin_stations=fin.inboard_stations(data.fins),
        tip_chord=tip_chord,
    )


def outer_skin(data: LayoutData, wing: planform.Planform) -> skin.Skin:
    """Return the Skin of an outline (...), as in ``skin.wing_skin``."""
    return skin.wing_skin(wing, data.sections)


def clearances(data: LayoutData, wing: planform.Planform, extension: Any, equipment_position: Any) -> Any:
    """Return the room (..., n) round everything that must lie inside the skin, as in ``clearance.box_margins``. [m]

    ``extension`` and ``equipment_position`` (...) [m] are as for ``design_lumps``. The result is None if nothing lies
    in the foam.
    """
    if not clearance_count(data):
        return None
    boxes = [*data.in_foam, *gear.gear_boxes(data.gear, gear_places(data, wing, extension, equipment_position))]
    outer = skin.wing_skin(wing, data.sections, clearance.farthest_out(boxes))
    return clearance.box_margins(clearance.box_heights(outer, boxes), boxes)


def gear_places(
    data: LayoutData, wing: planform.Planform, extension: Any, equipment_position: Any
) -> list[gear.GearPlace]:
    """Return the places (...) of ``LayoutData.gear`` in a stretched wing, as in ``gear.gear_place``. [m]

    ``extension`` and ``equipment_position`` (...) [m] are as for ``design_lumps``.
    """
    shift = equipment_position - data.movable_place
    return [gear.gear_place(one, data.scheme, data.stock.span, wing, extension, shift) for one in data.gear]


def clearance_count(data: LayoutData) -> int:
    """Return the number of elements of ``DesignShape.clearance``, by definition. [-]"""
    holes = sum(one.size is not None for one in data.gear)
    return (len(data.in_foam) + holes) * clearance.MARGINS_OF_BOX


def fins_on(data: LayoutData, wing: planform.Planform, areas: planform.Areas) -> tuple[fin.SheetFin, ...]:
    """Return the fins of a stretched wing, as in ``fins.fitted_fins``. A wing without fins gives an empty tuple."""
    return fin.fitted_fins(data.fins, data.stock, wing, areas, data.fins_rule)


def rod_outer_end(run: RodRun, stock: planform.StockWing, wing: planform.Planform) -> Any:
    """Return the station (...) of a rod's outer end. By definition its distance from the tip is that of the stock wing.

    The station is in [m] from the centre line.
    """
    return wing.semi_span - (stock.semi_span - run.outer_end)


def rod_inner_end(run: RodRun, data: LayoutData, wing: planform.Planform) -> Any:
    """Return the station (...) of a rod's inner end, by definition that of the stock wing. [m]

    With the scheme "plug" it moves out with the panel. The added piece has no rods of its own but the transverse rod.
    """
    return run.inner_end + (wing.semi_span - data.stock.semi_span if data.scheme == "plug" else 0 * wing.semi_span)


def rod_line(data: LayoutData, wing: planform.Planform, rods: ChosenRods) -> straight_rods.PlanLine:
    """Return the middle line (...) of a set of rods in the right half, as in ``straight_rods.straight_rod``.

    Rods that cross over at the centre include the part in the other half.
    """
    run = rods.run
    outer = rod_outer_end(run, data.stock, wing)
    tip = run.chord_fraction if run.tip_chord_fraction is None else run.tip_chord_fraction
    line = straight_rods.straight_rod(wing, run.chord_fraction, tip, rod_inner_end(run, data, wing), outer)
    return straight_rods.carried_on(line, rods.lap) if run.at_centre == "cross over" else line


def transverse_line(rods: ChosenRods, line: straight_rods.PlanLine) -> straight_rods.PlanLine | None:
    """Return the right half (...) of the rod across the centre beside a ``line``, or None if the set has none.

    This is a definition, see ``straight_rods.transverse_rod``.
    """
    return straight_rods.transverse_rod(line, rods.diameter, rods.lap) if rods.run.at_centre == "lap" else None


class PairLines(NamedTuple):
    """The line of each pair of a set in the right half (..., n_pair)."""

    rods: straight_rods.PlanLine
    transverse: straight_rods.PlanLine | None  # right half of the rod across the centre beside each of them


def pair_lines(data: LayoutData, wing: planform.Planform, rods: ChosenRods) -> PairLines:
    """Return the PairLines of a set with a whole number of pairs, as in ``straight_rods.parallel_lines``."""
    middle = rod_line(data, wing, rods)
    fixed = straight_rods.first_fixed_station(wing, rod_inner_end(rods.run, data, wing), middle.outer_y)
    lines = straight_rods.parallel_lines(wing, middle, int(rods.pairs), fixed)
    return PairLines(lines, transverse_line(rods, lines))


def pocket_station(data: LayoutData, station: float, extension: Any) -> Any:
    """Return the distance (...) of a pocket in the stretched wing from the centre line, as in ``gear.moved_station``.

    ``station`` [m] is that in the stock wing. ``extension`` (...) [m] is the length added to the half span. [m]
    """
    return gear.moved_station(data.scheme, data.stock.span, station, extension)


def cut_foam(data: LayoutData, wing: planform.Planform, extension: Any) -> mass.Lump:
    """Return volume [m^3] and first moment [m^4] of the foam cut out of both halves, but for the rods. Each is (...).

    ``extension`` (...) [m] is the length added to the half span. Bays and joiner stay in their places, and pockets move
    as in ``pocket_station``. This is bookkeeping and needs no source.
    """
    zero = 0 * wing.semi_span
    parts = [mass.Lump(zero + box.volume, zero + box.volume * box.place) for box in data.cuts.boxes]
    parts += [
        mass.Lump(zero + 2 * pocket.volume, 2 * pocket.volume * place)
        for pocket, (_, place) in zip(data.cuts.pockets, pocket_places(data, wing, extension), strict=True)
    ]
    return mass.total_lump([mass.Lump(zero, zero), *parts])


def pocket_places(data: LayoutData, wing: planform.Planform, extension: Any) -> list[tuple[Any, Any]]:
    """Return the places of the middle of every pocket: from the centre line, and behind the nose datum. [m]

    ``extension`` and the places are (...) in [m]. Geometry, no source needed.
    """
    places = []
    for pocket in data.cuts.pockets:
        y = pocket_station(data, pocket.from_centre, extension) + 0 * wing.semi_span
        (edge,) = planform.interpolated(wing, (wing.leading_edge,), y[..., None])
        places.append((y, edge[..., 0] + pocket.behind_leading_edge))
    return places


def chosen_rods(data: LayoutData, rod_diameter: Any, rod_pairs: Any) -> list[ChosenRods]:
    """Return the ChosenRods of every set of rods. This is a definition.

    The first set gets ``rod_diameter`` (...) [m] and ``rod_pairs`` (...) [-]. The others are those of the stock wing.
    """
    chosen = []
    for index, run in enumerate(data.rods):
        diameter, pairs = (rod_diameter, rod_pairs) if index == 0 else (run.diameter, run.pairs)
        linear = run.density * 0.25 * np.pi * diameter**2 * run.rods_per_place * pairs * (1.0 - run.bore**2)
        chosen.append(ChosenRods(run, diameter, pairs, linear))
    return chosen


class DesignLumps(NamedTuple):
    """Weights of a design without its pack, and its outline, areas and fins."""

    lumps: dict[str, mass.Lump]
    wing: planform.Planform
    areas: planform.Areas
    fins: tuple[fin.SheetFin, ...]
    glued: not_listed.GluedParts


def design_lumps(
    data: LayoutData,
    extension: Any,
    sweep: Any,
    washout: Any,
    rod_diameter: Any,
    rod_pairs: Any,
    equipment_position: Any,
    tip_chord: Any = None,
) -> DesignLumps:
    """Return the DesignLumps of a design.

    ``extension``, ``rod_diameter``, ``equipment_position`` and ``tip_chord`` [m], ``sweep`` and ``washout`` [rad] and
    ``rod_pairs`` [-] are (...). None is the stock tip chord. This is bookkeeping and needs no source.
    """
    wing = wing_outline(data, extension, sweep, washout, tip_chord)
    areas = planform.areas(wing)
    fins = fins_on(data, wing, areas)
    lumps = mass.bare_wing_lumps(wing, data.materials)
    zero = 0 * wing.semi_span
    shift, places = equipment_position - data.movable_place, gear_places(data, wing, extension, equipment_position)
    slots: list[mass.Lump] = []
    removed = [cut_foam(data, wing, extension), *([gear.holes_lump(data.gear, places)] if data.gear else [])]
    if data.pack_bay:  # its moment is that of the pack, see ``design_shape``
        removed.append(mass.Lump(data.pack_bay.removed + zero, zero))
    for index, rods in enumerate(chosen_rods(data, rod_diameter, rod_pairs)):
        line = rod_line(data, wing, rods)
        across = transverse_line(rods, line)
        lines = [line, *([across] if across else [])]
        lumps[f"rods {index + 1}"] = mass.rod_lump(rods.mass_per_length, lines)
        removed.append(mass.rod_lump(rods.displaced_area, lines))
        slots.append(mass.rod_lump(rods.run.rods_per_place * rods.pairs, lines))
    density = data.materials.foam_density
    lumps["foam"] = mass.total_lump(
        [lumps["foam"], *(mass.Lump(-density * one.mass, -density * one.moment) for one in removed)]
    )
    if fins:
        lumps["fins"] = mass.fin_lump(fins, wing)
    lumps["wiring"] = mass.wiring_growth(extension, data.wiring_place)
    lumps["listed parts"] = data.fixed
    if any(one.leading_edge is not None for one in data.gear):
        lumps["listed parts"] = mass.total_lump([data.fixed, gear.panel_lump(data.gear, places, shift)])
    lumps["movable equipment"] = mass.Lump(data.movable_mass, data.movable_mass * equipment_position)
    if data.pack_bay and data.pack_bay.lid_mass:
        lumps["raised lid"] = mass.Lump(data.pack_bay.lid_mass + zero, zero)
    glued = not_listed.GluedParts(not_listed.surface_lump(wing, data.materials), not_listed.joint_lump(wing, slots))
    lumps["not listed"] = not_listed.unlisted_lump(data.unlisted, *glued)
    return DesignLumps(lumps, wing, areas, fins, glued)


def design_shape(
    data: LayoutData,
    extension: Any,
    sweep: Any,
    washout: Any,
    rod_diameter: Any,
    rod_pairs: Any,
    series: Any,
    parallel: Any,
    equipment_position: Any,
    tip_chord: Any = None,
) -> DesignShape:
    """Return the DesignShape (...) of a design. Definitions are as in ``planform.areas`` and ``mass``.

    ``series`` and ``parallel`` (...) are numbers of cells [-]. The other arguments are as for ``design_lumps``.
    """
    lumps, wing, areas, fins, _ = design_lumps(
        data=data,
        extension=extension,
        sweep=sweep,
        washout=washout,
        rod_diameter=rod_diameter,
        rod_pairs=rod_pairs,
        equipment_position=equipment_position,
        tip_chord=tip_chord,
    )
    pack = pack_mass(data.cell_mass, series * parallel)
    zero = np.zeros_like(extension)
    share, second = data.second_pack
    sliding, from_pack = (1.0 - share) * pack, 0.0
    if bay := data.pack_bay:
        foam = data.materials.foam_density * bay.removed
        sliding = sliding - foam + bay.lid_mass
        from_pack = bay.lid_mass * bay.lid_place - foam * bay.removed_place
    items = np.stack(np.broadcast_arrays(*(lump.mass + zero for lump in lumps.values()), pack + zero), axis=-1)
    empty = mass.total_lump(list(lumps.values()))
    parts = [part for one in fins for part in fin.fin_parts(one)]
    chords = [0.5 * (part.root_chord + part.tip_chord) for part in parts]
    fin_chord = air.equal_friction_chord([part.area for part in parts], chords) if fins else 0.1
    return DesignShape(
        span=2 * wing.semi_span,
        area=areas.area,
        mean_aerodynamic_chord=areas.mean_aerodynamic_chord,
        aspect_ratio=areas.aspect_ratio,
        set_back=wing.leading_edge[..., -1],
        fin_area=zero + fin.sheet_area(fins),
        fin_mean_chord=zero + fin_chord,
        fin_side_area=zero + fin.side_area(fins),
        fin_quarter_chord=fin.quarter_chord(fins, wing) if fins else zero,
        mass_items=items,
        pack_mass=pack + zero,
        sliding_mass=sliding + zero,
        moment_without_pack=empty.moment + second * pack + from_pack + zero,
        all_up_mass=empty.mass + pack + zero,
        clearance=clearances(data, wing, extension, equipment_position),
    )


def mass_item_names(data: LayoutData) -> list[str]:
    """Return the names of ``DesignShape.mass_items`` in order, by definition. [words]"""
    names = ["foam", "covering", "elevons"] + [f"rods {i + 1}" for i in range(len(data.rods))]
    if data.fins:
        names.append("fins")
    lid = ["raised lid"] if data.pack_bay and data.pack_bay.lid_mass else []
    return [*names, "wiring", "listed parts", "movable equipment", *lid, "not listed", "pack"]
