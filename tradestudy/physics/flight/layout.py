"""Outline, areas and weights of a design: all stages that need no aerodynamics.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.arrays import stacked, unstacked
from tradestudy.physics.body import clearance, skin, straight_rods
from tradestudy.physics.body.pack_bay import BayClearOfRods, PackBay
from tradestudy.physics.body.removed_foam import FoamCuts
from tradestudy.physics.body.rod_runs import ChosenRods, RodRun
from tradestudy.physics.geometry import fins as fin
from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.mesh import strip_counts
from tradestudy.physics.geometry.stretch_schemes import stretched_planform
from tradestudy.physics.weights import mass
from tradestudy.physics.weights import unlisted as not_listed
from tradestudy.physics.weights.pack_dimensions import pack_mass

from . import gear


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
    rod_bays: tuple[BayClearOfRods, ...] = ()  # bays of which rods must stay clear
    second_pack: mass.Lump = mass.Lump(0.0, 0.0)  # share of the pack in another bay, and that share times its place


class WingChoice(NamedTuple):
    """Design values that determine the wing, without its pack and equipment. Fields have the shape (...)."""

    extension: Any  # length added to the half span [m]
    sweep: Any  # sweep angle [rad]
    washout: Any  # washout of the tip [rad]
    rod_diameter: Any  # rod diameter of the first set [m]
    rod_pairs: Any  # number of pairs of the first set in each half wing [-]
    tip_chord: Any = None  # foam chord at the tip [m]; None is that of the stock wing


@dataclass(frozen=True)
class StretchedWing:
    """A stretched wing with its fins, rods and skin. Each part is drawn when it is first asked for, and once."""

    data: LayoutData
    choice: WingChoice

    @cached_property
    def outline(self) -> planform.Planform:
        """The outline (...), as in ``wing_outline``."""
        one = self.choice
        return wing_outline(self.data, one.extension, one.sweep, one.washout, one.tip_chord)

    @cached_property
    def areas(self) -> planform.Areas:
        """The areas (...), as in ``planform.areas``."""
        return planform.areas(self.outline)

    @cached_property
    def chords(self) -> np.ndarray:
        """The chords (3, ..., n_break) at the breaks, as in ``planform.section_chords``. [m]"""
        return planform.section_chords(self.outline)

    @cached_property
    def fins(self) -> tuple[fin.SheetFin, ...]:
        """The fins (...), as in ``fins_on``."""
        return fins_on(self.data, self.outline, self.areas)

    @cached_property
    def fin_lumps(self) -> list[mass.Lump]:
        """The Lump (...) of every fin with its like on the other side, as in ``mass.fin_lump``."""
        return [mass.fin_lump(one, self.outline) for one in self.fins]

    @cached_property
    def rods(self) -> list[ChosenRods]:
        """Every set of rods, as in ``chosen_rods``."""
        return chosen_rods(self.data, self.choice.rod_diameter, self.choice.rod_pairs)

    @cached_property
    def half_lines(self) -> straight_rods.PlanLine:
        """The middle lines of all sets of rods in the right half alone (..., n_set). Geometry, no source needed."""
        fractions = np.array([run.chord_fractions for run in self.data.rods]).reshape(-1, 2)
        return straight_rods.line_between(self.marks.rods, *fractions.T)

    @cached_property
    def rod_lines(self) -> list[straight_rods.PlanLine]:
        """The middle line (...) of every set of rods, as in ``rod_line``."""
        lines = [straight_rods.PlanLine(*one) for one in zip(*map(unstacked, self.half_lines), strict=True)]
        return [_crossed_over(rods, line) for rods, line in zip(self.rods, lines, strict=True)]

    @cached_property
    def transverse_lines(self) -> list[straight_rods.PlanLine | None]:
        """The right half (...) of the rod across the centre beside every set, as in ``transverse_line``."""
        return [transverse_line(*each) for each in zip(self.rods, self.rod_lines, strict=True)]

    @cached_property
    def marks(self) -> straight_rods.Marks:
        """The outline (...) at rods, pockets, equipment, hinges and boxes, as in ``rod_line`` and ``pocket_places``.

        The walls are those of boxes at fixed places, then of holes of equipment, then of the bay that moves.
        """
        data, wing, extension = self.data, self.outline, self.choice.extension
        zero = 0.0 * wing.semi_span
        inner = [rod_inner_end(run, data, wing) for run in data.rods]
        outer = [rod_outer_end(run, data.stock, wing) for run in data.rods]
        items = [gear.gear_station(one, data.scheme, data.stock.span, extension) + zero for one in data.gear]
        holes = [gear.hole_walls(one, y) for one, y in zip(data.gear, items, strict=True) if one.size is not None]
        bays = [(box.inner, box.half_width) for box in data.in_foam]
        moving = [(data.pack_bay.box.inner, data.pack_bay.box.half_width)] if data.pack_bay else []
        walls = [wall + zero for pair in (*bays, *holes, *moving) for wall in pair]
        return straight_rods.marks(wing, inner, outer, _pocket_stations(data, wing, extension), items, walls)

    @cached_property
    def pockets(self) -> list[tuple[Any, Any]]:
        """The places (...) of all pockets, as in ``pocket_places``. [m]"""
        return _pockets_at(self.data, self.marks.pocket_y, unstacked(self.marks.pocket_edge))

    @cached_property
    def skin(self) -> skin.Skin:
        """The outer skin (...), as in ``outer_skin``."""
        return skin.wing_skin(self.outline, self.data.sections, self.chords)


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


def gear_places(drawn: StretchedWing, equipment_position: Any) -> list[gear.GearPlace]:
    """Return the GearPlace (...) of every item of equipment, as in ``gear.gear_place``.

    Movable equipment is at ``equipment_position`` (...) [m] behind the nose datum.
    """
    shift, edges = equipment_position - drawn.data.movable_place, unstacked(drawn.marks.gear_edge)
    items = zip(drawn.data.gear, drawn.marks.gear_y, edges, strict=True)
    return [gear.gear_at(one, y, edge, shift) for one, y, edge in items]


def fins_on(data: LayoutData, wing: planform.Planform, areas: planform.Areas) -> tuple[fin.SheetFin, ...]:
    """Return the fins of a stretched wing, as in ``fins.fitted_fins``. A wing without fins gives an empty tuple."""
    return fin.fitted_fins(data.fins, data.stock, wing, areas, data.fins_rule)


def rod_outer_end(run: RodRun, stock: planform.StockWing, wing: planform.Planform) -> Any:
    """Return the station (...) of a rod's outer end, by definition as far from the tip as in the stock wing. [m]"""
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
    ends = straight_rods.rod_ends(wing, rod_inner_end(rods.run, data, wing), rod_outer_end(rods.run, data.stock, wing))
    return _crossed_over(rods, straight_rods.line_between(ends, *rods.run.chord_fractions))


def _crossed_over(rods: ChosenRods, line: straight_rods.PlanLine) -> straight_rods.PlanLine:
    return straight_rods.carried_on(line, rods.lap) if rods.run.at_centre == "cross over" else line


def transverse_line(rods: ChosenRods, line: straight_rods.PlanLine) -> straight_rods.PlanLine | None:
    """Return the right half (...) of the rod across the centre beside a ``line``, if the set has one. Definition."""
    return straight_rods.transverse_rod(line, rods.diameter, rods.lap) if rods.run.at_centre == "lap" else None


def pocket_station(data: LayoutData, station: float, extension: Any) -> Any:
    """Return the distance (...) of a pocket in the stretched wing from the centre line, as in ``gear.moved_station``.

    ``station`` [m] is that in the stock wing. ``extension`` (...) [m] is the length added to the half span. [m]
    """
    return gear.moved_station(data.scheme, data.stock.span, station, extension)


def pocket_places(data: LayoutData, wing: planform.Planform, extension: Any) -> list[tuple[Any, Any]]:
    """Return the places of the middle of every pocket: from the centre line, and behind the nose datum. [m]

    ``extension`` and the places are (...) in [m]. Geometry, no source needed.
    """
    stations = _pocket_stations(data, wing, extension)
    edges = [planform.interpolated(wing, (wing.leading_edge,), y[..., None])[0][..., 0] for y in stations]
    return _pockets_at(data, stations, edges)


def _pocket_stations(data: LayoutData, wing: planform.Planform, extension: Any) -> list[Any]:
    zero = 0 * wing.semi_span
    return [pocket_station(data, pocket.from_centre, extension) + zero for pocket in data.cuts.pockets]


def _pockets_at(data: LayoutData, stations: Sequence[Any], edges: Sequence[Any]) -> list[tuple[Any, Any]]:
    pockets = zip(stations, edges, data.cuts.pockets, strict=True)
    return [(y, edge + pocket.behind_leading_edge) for y, edge, pocket in pockets]


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
    """Weights of a design without its pack."""

    lumps: dict[str, mass.Lump]
    glued: not_listed.GluedParts


def design_lumps(drawn: StretchedWing, equipment_position: Any) -> DesignLumps:
    """Return the DesignLumps of a design.

    ``equipment_position`` is (...) in [m]. This is bookkeeping and needs no source.
    """
    data, wing, extension = drawn.data, drawn.outline, drawn.choice.extension
    lumps, surface = mass.bare_wing(wing, data.materials, drawn.chords)
    shift = equipment_position - data.movable_place
    places = gear_places(drawn, equipment_position) if data.gear else []
    slots: list[mass.Lump] = []
    removed = [gear.cut_foam(data.cuts, drawn.pockets), *([gear.holes_lump(data.gear, places)] if data.gear else [])]
    if data.pack_bay:  # its moment is that of the pack, see ``shape_of``
        removed.append(mass.Lump(data.pack_bay.removed, 0.0))
    sets = zip(drawn.rods, drawn.rod_lines, drawn.transverse_lines, strict=True)
    for index, (rods, line, across) in enumerate(sets):
        per_metre = mass.rod_lump(1.0, (line, across) if across else (line,))
        lumps[f"rods {index + 1}"] = mass.scaled_lump(per_metre, rods.mass_per_length)
        removed.append(mass.scaled_lump(per_metre, rods.displaced_area))
        slots.append(mass.scaled_lump(per_metre, rods.run.rods_per_place * rods.pairs))
    lost = mass.scaled_lump(mass.total_lump(removed), -data.materials.foam_density)
    lumps["foam"] = mass.total_lump([lumps["foam"], lost])
    if drawn.fins:
        lumps["fins"] = mass.total_lump(drawn.fin_lumps)
    lumps["wiring"] = mass.wiring_growth(extension, data.wiring_place)
    lumps["listed parts"] = data.fixed
    if any(one.leading_edge is not None for one in data.gear):
        lumps["listed parts"] = mass.total_lump([data.fixed, gear.panel_lump(data.gear, places, shift)])
    lumps["movable equipment"] = mass.Lump(data.movable_mass, data.movable_mass * equipment_position)
    if data.pack_bay and data.pack_bay.lid_mass:
        lumps["raised lid"] = mass.Lump(data.pack_bay.lid_mass, 0.0)
    glued = not_listed.GluedParts(surface, not_listed.joint_lump(wing, drawn.marks.hinge_x, slots))
    lumps["not listed"] = not_listed.unlisted_lump(data.unlisted, *glued)
    return DesignLumps(lumps, glued)


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
    """Return the DesignShape (...) of a design, as in ``shape_of``.

    ``extension``, ``rod_diameter``, ``equipment_position`` and ``tip_chord`` [m], ``sweep`` and ``washout`` [rad] and
    ``rod_pairs`` [-] are (...). None is the stock tip chord. ``series`` and ``parallel`` (...) are numbers of cells
    [-].
    """
    choice = WingChoice(extension, sweep, washout, rod_diameter, rod_pairs, tip_chord)
    return shape_of(StretchedWing(data, choice), series, parallel, equipment_position)


def shape_of(drawn: StretchedWing, series: Any, parallel: Any, equipment_position: Any) -> DesignShape:
    """Return the DesignShape (...) of a StretchedWing. Definitions are as in ``planform.areas`` and ``mass``.

    ``series`` and ``parallel`` (...) are numbers of cells [-], and ``equipment_position`` is (...) in [m].
    """
    data, wing, areas, fins = drawn.data, drawn.outline, drawn.areas, drawn.fins
    lumps, _ = design_lumps(drawn, equipment_position)
    pack = pack_mass(data.cell_mass, series * parallel)
    zero = 0.0 * wing.semi_span
    share, second = data.second_pack
    sliding, from_pack = (1.0 - share) * pack, 0.0
    if bay := data.pack_bay:
        foam = data.materials.foam_density * bay.removed
        sliding = sliding - foam + bay.lid_mass
        from_pack = bay.lid_mass * bay.lid_place - foam * bay.removed_place
    empty = mass.total_lump(list(lumps.values()))
    whole = fin.fin_totals(fins, wing)
    return DesignShape(
        span=2 * wing.semi_span,
        area=areas.area,
        mean_aerodynamic_chord=areas.mean_aerodynamic_chord,
        aspect_ratio=areas.aspect_ratio,
        set_back=wing.leading_edge.T[-1].T,
        fin_area=whole.area + zero,
        fin_mean_chord=whole.friction_chord + zero,
        fin_side_area=whole.side_area + zero,
        fin_quarter_chord=whole.quarter_chord + zero,
        mass_items=stacked([*(lump.mass + zero for lump in lumps.values()), pack + zero]),
        pack_mass=pack + zero,
        sliding_mass=sliding + zero,
        moment_without_pack=empty.moment + second * pack + from_pack + zero,
        all_up_mass=empty.mass + pack + zero,
    )


def mass_item_names(data: LayoutData) -> list[str]:
    """Return the names of ``DesignShape.mass_items`` in order, by definition. [words]"""
    rods, fins = [f"rods {i + 1}" for i in range(len(data.rods))], ["fins"] if data.fins else []
    lid = ["raised lid"] if data.pack_bay and data.pack_bay.lid_mass else []
    fixed = "wiring", "listed parts", "movable equipment"
    return ["foam", "covering", "elevons", *rods, *fins, *fixed, *lid, "not listed", "pack"]
