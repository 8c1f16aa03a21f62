"""Data for hot-wire cutting: foam outlines at the ends of the cores, the cores, and their heights in the jig.

Coordinates are in mm along the chord line of a section. x is behind its leading edge, and z above the line. "Level"
means turned by the washout about the leading edge. The root's chord line is then parallel to the table.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.aircraft.model import materials
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.physics.body import skin, straight_rods
from tradestudy.physics.flight import layout, rod_sets
from tradestudy.physics.geometry import planform
from tradestudy.quantities import at_edge, from_edge, in_unit
from tradestudy.results.cutting import Core, JigBlock, RodSlot, SectionTemplate

_FRONT_BLOCK = 0.15  # place of the jig's front block as a share of the foam chord
_LEAST_BLOCK = 10.0  # mm, least height of a block of the jig; a lower one cannot be cut; judgement, no source
_CHORD_ALLOWANCE, _THICKNESS_ALLOWANCE = 10.0, 5.0  # mm added at each edge of a block; common practice, no source
_MM = from_edge("mm", 1.0)  # one millimetre in metres
_TOUCHING = 1e-6  # m; a rod that ends this near to a section reaches it
_SHORTEST_CORE = 1.0  # mm; shorter pieces count as absent


def end_sections(design: EvaluatedDesign) -> list[SectionTemplate]:
    """Return the sections for which templates are cut, from root to tip."""
    wing = design.solution.wing
    outer = layout.outer_skin(design.data.layout, wing)
    return [_section(name, index, outer, design) for name, index in _ends(wing)]


def _ends(wing: planform.Planform) -> list[tuple[str, int]]:
    """Return name and index of the station of every core end that differs from its neighbour."""
    panel = [index for index, piece in enumerate(wing.pieces) if piece == "panel"]
    start, end, last = panel[0], panel[-1] + 1, len(wing.pieces)
    if last > end and in_unit(float(wing.station[last] - wing.station[end]), "mm") > _SHORTEST_CORE:
        return [("root", start), ("joint", end), ("tip", last)]
    return [("root", start), ("tip", end)]


def _section(name: str, index: int, outer: skin.Skin, design: EvaluatedDesign) -> SectionTemplate:
    """Return the template of one core end, at the station ``index`` of the wing."""
    wing, film = design.solution.wing, in_unit(materials.covering(design.study)["thickness"], "mm")
    foam, elevon = (in_unit(float(chord[index]), "mm") for chord in (wing.foam_chord, wing.elevon_chord))
    drawn = foam + elevon if design.study.stock.airfoil_covers == "whole" else foam  # chord of its coordinates
    covered = foam_outline(outer, index, wing)
    bare = without_film(covered, film)
    twist = float(wing.twist[index])
    x, z = bare.T
    level = z * np.cos(twist) - x * np.sin(twist)
    places = at_edge(
        station_mm=float(wing.station[index]),
        leading_edge_mm=float(wing.leading_edge[index]),
        height_mm=float(wing.height[index]),
    )
    return SectionTemplate(
        name=name,
        **{key: rounded_mm(value) for key, value in places.items()},
        foam_chord_mm=rounded_mm(foam),
        elevon_chord_mm=rounded_mm(elevon),
        section_chord_mm=rounded_mm(drawn),
        washout_deg=round(in_unit(-twist, "deg"), 4) + 0.0,
        film_mm=round(film, 4),
        thickness_mm=rounded_mm(_thickness(covered)),
        foam_thickness_mm=rounded_mm(_thickness(bare)),
        foam_area_cm2=round(in_unit(_MM**2 * abs(_area(bare)), "cm2"), 4),
        x_mm=[rounded_mm(value) for value in x],
        z_mm=[rounded_mm(value) for value in z],
        lowest_mm=rounded_mm(level.min()),
        highest_mm=rounded_mm(level.max()),
        rods=_slots(design, index),
    )


def foam_outline(outer: skin.Skin, index: int, wing: planform.Planform) -> np.ndarray:
    """Return the foam outline (n, 2) of the section ``index`` of a skin, along and above its own chord line. [mm]

    It runs from the top of the hinge round the nose to the bottom.
    """
    sides = []
    for x, z in ((outer.upper_x, outer.upper_z), (outer.lower_x, outer.lower_z)):
        foam = slice(outer.hinge + 1)
        sides.append(turned_back(wing, index, x[index, foam], z[index, foam]))
    upper, lower = sides
    return in_unit(np.concatenate([upper[::-1], lower[1:]]), "mm")


def turned_back(wing: planform.Planform, index: int, x: Any, z: Any) -> np.ndarray:
    """Return points (n, 2) of the section ``index``, along and above its chord line, from places in the wing. [m]"""
    aft, up = x - wing.leading_edge[index], z - wing.height[index]
    cosine, sine = np.cos(wing.twist[index]), np.sin(wing.twist[index])
    return np.column_stack([aft * cosine - up * sine, aft * sine + up * cosine])


def without_film(outline: np.ndarray, film: float) -> np.ndarray:
    """Return an outline (n, 2) reduced by the thickness ``film`` on all sides except the face of the hinge. [mm]"""
    along = np.gradient(outline, axis=0)
    inward = np.column_stack([-along[:, 1], along[:, 0]]) / np.hypot(*along.T)[:, None]
    inward[[0, -1], 0] = 0.0  # the face of the hinge is not moved
    bare = outline + film * inward
    count = len(bare) // 2
    top, bottom = bare[: count + 1, 1], bare[count:, 1][::-1]
    crossed = top < bottom  # where the trailing edge is thinner than two films
    middle = 0.5 * (top + bottom)
    bare[: count + 1, 1] = np.where(crossed, middle, top)
    bare[count:, 1] = np.where(crossed, middle, bottom)[::-1]
    return bare


def _thickness(outline: np.ndarray) -> float:
    """Return the largest height between top and bottom. [mm]"""
    count = len(outline) // 2
    top, bottom = outline[: count + 1][::-1], outline[count:]
    x = np.linspace(outline[:, 0].min(), outline[:, 0].max(), 2001)
    return float((np.interp(x, *top.T) - np.interp(x, *bottom.T)).max())


def _area(outline: np.ndarray) -> float:
    x, z = outline.T
    return 0.5 * float(np.sum(x * np.roll(z, -1) - z * np.roll(x, -1)))


def rounded_mm(value: Any) -> float:
    """Return a length [mm] rounded to three decimal places."""
    return round(float(value), 3) + 0.0  # turns -0.0 into 0.0


def _slots(design: EvaluatedDesign, index: int) -> list[RodSlot]:
    """Return the slot of every rod pair at one section. If a rod ends before the section, ``inside`` is False.

    Near the centre, rods across it have slots too, and so have the ends of rods that cross over from the left half.
    Those ends lie below the rods of the right half.
    """
    laid, choice, wing = design.data.layout, design.choice, design.solution.wing
    station, edge = float(wing.station[index]), float(wing.leading_edge[index])
    chosen = layout.chosen_rods(laid, choice.rod_diameter, choice.rod_pairs)
    slots: list[RodSlot] = []

    def add(rod: Any, name: str, place: Any, diameter: Any, depth: Any, inside: Any) -> None:
        sizes = at_edge(
            behind_leading_edge_mm=float(place) - edge, diameter_mm=float(diameter), slot_depth_mm=float(depth)
        )
        rounded_sizes = {key: rounded_mm(value) for key, value in sizes.items()}
        slots.append(RodSlot(name=name, surface=rod.surface, inside=bool(inside), **rounded_sizes))

    for rod, rods in zip(design.study.rods, chosen, strict=True):
        lines, transverse = rod_sets.pair_lines(laid, wing, rods)
        for line in straight_rods.each_line(lines):
            here, there = straight_rods.x_at(line, np.array([station, -station]))
            inside = line.inner_y - _TOUCHING <= station <= line.outer_y + _TOUCHING
            add(rod, rod.name, here, rods.diameter, rod.slot_depth, inside)
            if 0.0 < station <= -line.inner_y:
                deeper = rod.slot_depth + rods.diameter + straight_rods.LAP_GAP
                add(rod, f"{rod.name} from the left", there, rods.diameter, deeper, True)
        for line in straight_rods.each_line(transverse) if transverse else ():
            if station <= line.outer_y:
                add(rod, f"{rod.name} across", line.inner_x, rods.diameter, rod.slot_depth, True)
    return slots


def core_pieces(
    laid: layout.LayoutData, ends: list[SectionTemplate], added: float, keeps_panels: bool = False
) -> list[Core]:
    """Return every piece of foam from centre to tip.

    ``added`` is the length added to each side [mm]. With ``keeps_panels``, the panels are those of the stock wing.
    """
    stock, scheme = laid.stock, laid.scheme
    centre, root, panel_end = in_unit(stock.panel_start, "mm"), ends[0].station_mm, ends[1].station_mm
    pieces = []
    if centre > _SHORTEST_CORE:
        pieces.append(_core("centre piece", False, 1, 0.0, centre, ends[0], ends[0]))
    if scheme == "plug" and added > _SHORTEST_CORE:
        sides = 2 if centre > _SHORTEST_CORE else 1
        pieces.append(_core("plug", True, sides, root - added, root, ends[0], ends[0]))
    pieces.append(_core("panel", scheme == "scaled" and not keeps_panels, 2, root, panel_end, *ends[:2]))
    if len(ends) > 2:
        pieces.append(_core("tip piece", True, 2, panel_end, ends[2].station_mm, *ends[1:3]))
    return pieces


def _core(
    name: str, new: bool, count: int, start: float, end: float, inner: SectionTemplate, outer: SectionTemplate
) -> Core:
    """Return one kind of core. A core with ``count`` 1 spans the centre line. The block includes allowances."""
    front = min(inner.leading_edge_mm, outer.leading_edge_mm)
    back = max(one.leading_edge_mm + one.foam_chord_mm for one in (inner, outer))
    rise = outer.height_mm - inner.height_mm if outer is not inner else 0.0
    width = (2 if count == 1 else 1) * (end - start)
    thick = max(one.highest_mm for one in (inner, outer)) - min(one.lowest_mm for one in (inner, outer))
    volume = 2 * from_edge("mm", end - start) * from_edge("cm2", _mean_area(inner, outer))  # volume of both sides
    return Core(
        name=name,
        new=new,
        count=count,
        from_mm=rounded_mm(start),
        to_mm=rounded_mm(end),
        inner=inner.name,
        outer=outer.name,
        width_mm=rounded_mm(np.hypot(width, rise)),
        set_back_mm=rounded_mm(outer.leading_edge_mm - inner.leading_edge_mm),
        block_length_mm=rounded_mm(np.hypot(width, rise)),
        block_chord_mm=rounded_mm(back - front + 2 * _CHORD_ALLOWANCE),
        block_thickness_mm=rounded_mm(thick + 2 * _THICKNESS_ALLOWANCE),
        litres=round(float(in_unit(volume, "litre")), 4),
    )


def _mean_area(inner: SectionTemplate, outer: SectionTemplate) -> float:
    """Return the mean area of a core cut by a straight wire between two ends. [cm^2]

    It is exact for ends of similar shape (a frustum).
    """
    a, b = inner.foam_area_cm2, outer.foam_area_cm2
    return (a + b + np.sqrt(a * b)) / 3


def jig(ends: list[SectionTemplate], on_blocks: bool = False) -> list[JigBlock]:
    """Return the height of each section above the table when the root's chord line is level. [mm]

    Without dihedral, leading edges lie on one straight line. The lowest point of all sections touches the table, or
    lies high enough above it for blocks that can be cut.
    """
    table = min(one.height_mm + one.lowest_mm for one in ends) - (_LEAST_BLOCK if on_blocks else 0.0)
    rows = []
    for one in ends:
        count = len(one.x_mm) // 2
        x, z = np.array(one.x_mm[count:]), np.array(one.z_mm[count:])
        turn = -from_edge("deg", one.washout_deg)
        front = _FRONT_BLOCK * one.foam_chord_mm
        ahead, back = (np.interp(place, x, z) * np.cos(turn) - place * np.sin(turn) for place in (front, x[-1]))
        rise = np.sin(-turn) * (one.foam_chord_mm + one.elevon_chord_mm)
        rows.append(
            JigBlock(
                name=one.name,
                station_mm=one.station_mm,
                front_block_behind_edge_mm=rounded_mm(front),
                front_block_mm=rounded_mm(one.height_mm - table + ahead),
                hinge_block_mm=rounded_mm(one.height_mm - table + back),
                trailing_edge_raised_mm=rounded_mm(rise),
                foam_raised_mm=rounded_mm(np.sin(-turn) * one.foam_chord_mm),
            )
        )
    return rows
