"""Full-size templates of sections, elevon and fins. All lengths are in mm.

The outline of a template runs from the hinge along the top to the nose, and back along the bottom. The top line and the
bottom line are called surfaces; as arguments both run from the hinge to the nose.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tradestudy.quantities import from_edge
from tradestudy.report.body_slots import inboard_plates
from tradestudy.report.body_views import FlatShape, cut_along
from tradestudy.report.words.phrases import comma_list, number_text, rod_as_sold
from tradestudy.report.words.violated_limits import warning_words
from tradestudy.results.body import Body
from tradestudy.results.cutting import FinSheet, RodSlot, SectionTemplate
from tradestudy.results.design import Design

from .body_drawings import pack_section_drawing, side_view_drawing, strokes_of
from .drawing import LETTER, Drawing, Stroke, Words

_STEPS = 10  # equal parts of each surface, numbered so that both ends of the hot wire move in step
_TICK, _LONG_TICK = 3.0, 5.5  # mm, lengths of short and long ticks
_LINE_ENDS = 5.0  # mm by which chord line and level line are longer than the foam at each end
_NAIL = 1.2  # mm, radius of a nail hole
_NAME_AT = 0.45  # position of the template's name, as a share of the foam chord
_NAILS_AT = (0.2, 0.7)  # positions of the nail holes, as shares of the foam chord
_CIRCLE = 24  # sides of the polygon for a round hole
_LEAST_LEFT = 3.0  # mm, least foam between or under slots; judgement, no source
_SKINS = {"both": "top and bottom"}
_SHOWN_IN_SECTIONS = ("bay", "board", "channel", "joiner", "lid", "pack", "pocket", "slot")  # kinds of parts
_BLOCK, _BETWEEN_BLOCKS = 40.0, 12.0  # mm, width of a block of the jig, and room between two on paper
_LEVEL_FROM = 0.005  # deg; with less washout no level line is drawn


def templates(design: Design) -> list[Drawing]:
    """Return every template in the order of the work, then the sections of the centre.

    A design without data for building has none.
    """
    if not design.cutting:
        return []
    return [*section_templates(design), *small_templates(design), *centre_sections(design)]


def section_templates(design: Design) -> list[Drawing]:
    """Return the templates of all ends of cores."""
    return _warned(design, [section_template(section, design.body) for section in design.cut.sections])


def small_templates(design: Design) -> list[Drawing]:
    """Return the templates of elevon and fins, and jig blocks where the beds of the cores are lost."""
    return _warned(design, [elevon_template(design), *fin_templates(design), *jig_blocks(design)])


def centre_sections(design: Design) -> list[Drawing]:
    """Return the section along the centre line, and that through the pack."""
    return _warned(design, [side_view_drawing(design), pack_section_drawing(design)])


def _warned(design: Design, drawings: list[Drawing | None]) -> list[Drawing]:
    return [replace(drawing, warning=warning_words(design)) for drawing in drawings if drawing]


def section_template(section: SectionTemplate, body: Body | None = None) -> Drawing:
    """Return the template of one end of a core, with x behind the leading edge and z above the chord line.

    It shows bays, pack, joiner and other parts of the body where this section cuts them.
    """
    outline = np.column_stack([section.x_mm, section.z_mm])
    foam, washout = section.foam_chord_mm, section.washout_deg
    nose = len(outline) // 2
    top, bottom = outline[: nose + 1], outline[nose:][::-1]  # both from the hinge to the nose
    shapes = [
        Stroke("foam", outline, closed=True),
        Stroke("chord line", np.array([[-_LINE_ENDS, 0.0], [foam + _LINE_ENDS, 0.0]])),
    ]
    middle = 0.5 * (_at(top, _NAME_AT * foam) + _at(bottom, _NAME_AT * foam))
    words = [
        Words(foam + 4.0, float(top[0, 1]) + _LONG_TICK + 2.0, "hinge: 0", side="end"),
        Words(-7.0, 3.5, str(_STEPS), side="end"),
        Words(_NAME_AT * foam, middle + 1.0, f"{section.name}, top up", side="middle"),
    ]
    if abs(washout) > _LEVEL_FROM:
        turn = from_edge("deg", washout)
        level = np.array([np.cos(turn), -np.sin(turn)])
        shapes.append(Stroke("level line", np.array([-_LINE_ENDS * level, (foam + _LINE_ENDS) * level])))
        words.append(Words(foam + 1.0 + _LINE_ENDS, float((foam + _LINE_ENDS) * level[1]) - 1.0, "level"))
    for index in range(_STEPS + 1):
        for side, way in ((top, 1.0), (bottom, -1.0)):
            shape, place = _step(side, index, way)
            shapes.append(shape)
            if 0 < index < _STEPS:
                words.append(Words(place[0], place[1] - 0.5 * LETTER, str(index), LETTER, "middle"))
    shapes += [slot for rod in section.rods for slot in _slots(rod, top, bottom)]
    cut = _parts_cut(section, body)
    shapes += strokes_of(cut)
    for share in _NAILS_AT:
        x = share * foam
        shapes.append(Stroke("nail holes", _circle(x, 0.5 * (_at(top, x) + _at(bottom, x))), closed=True))
    return Drawing(
        section.name, f"{section.name.capitalize()} template, 1:1", shapes, words, _section_notes(section, outline, cut)
    )


def _parts_cut(section: SectionTemplate, body: Body | None) -> list[FlatShape]:
    """Return the parts of the body that a section cuts, along and above its chord line.

    Rods are left out: their slots are drawn.
    """
    if body is None:
        return []
    turn = from_edge("deg", section.washout_deg)
    back = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    nose = np.array([section.leading_edge_mm, section.height_mm])
    return [
        shape._replace(points=(shape.points - nose) @ back)
        for shape in cut_along(body, section.station_mm)
        if shape.kind in _SHOWN_IN_SECTIONS
    ]


def _section_notes(section: SectionTemplate, outline: np.ndarray, cut: list[FlatShape]) -> list[str]:
    notes = [
        f"{section.name.capitalize()}, {number_text(section.station_mm)} mm from the centre line: foam chord "
        f"{number_text(section.foam_chord_mm, 1)} mm, section chord {number_text(section.section_chord_mm, 1)} "
        f"mm, thickest {number_text(section.foam_thickness_mm, 1)} mm "
        f"({number_text(section.thickness_mm, 1)} mm covered). Full line: bare foam. Long dashes: its chord "
        f"line. The wire starts at 0 on the hinge's face and reaches the nose at {_STEPS}.",
        "Ticks divide the top and bottom of every template into ten equal lengths. Call the numbers out, so that both "
        "ends of the bow pass equal numbers at the same time. Small circles: nails, at equal shares of each chord.",
    ]
    if abs(section.washout_deg) > _LEVEL_FROM:
        notes.append(
            "Pin it with the short-dashed level line parallel to the block's bottom, as high above it as the "
            f"root's chord line: that gives {number_text(section.washout_deg, 2)} deg of washout, nose "
            "down."
        )
    else:
        notes.append(
            "Pin it with the chord line parallel to the block's bottom; the other ends are turned relative to it."
        )
    if cut:
        names = comma_list(list(dict.fromkeys(shape.name[:40] for shape in cut)))
        notes.append(f"Also drawn, where this section cuts them: {names}.")
    for name in dict.fromkeys(rod.name for rod in section.rods):
        rods = [rod for rod in section.rods if rod.name == name]
        notes.append(_rod_note(rods, outline, section.rods[0]))
    return notes


def _rod_note(rods: list[RodSlot], outline: np.ndarray, first: RodSlot) -> str:
    """Return words on where and how deep the rods of one set pass a section, and on too little foam under slots.

    The note of the ``first`` slot of the section says how pairs are spread.
    """
    rod, nose = rods[0], len(outline) // 2
    places = comma_list([number_text(each.behind_leading_edge_mm, 1) for each in rods])
    deep = (
        "halfway between the skins"
        if rod.surface == "middle"
        else (f"{number_text(rod.slot_depth_mm, 1)} mm deep, {_SKINS.get(rod.surface, rod.surface)}")
    )
    words = f"Rod {rod.name}, {rod_as_sold(rod.diameter_mm)}: {places} mm behind the leading edge, {deep}."
    if len(rods) > 1 and rod is first:
        words += " Pairs of a set are 45 mm apart where there is room (common practice, no source)."
    if not rod.inside:
        return words + " It does not reach this section: the dotted marks only show its direction."
    slots = {"both": 2, "middle": 0}.get(rod.surface, 1)
    top, bottom = outline[: nose + 1], outline[nose:][::-1]
    thin = min(_at(top, each.behind_leading_edge_mm) - _at(bottom, each.behind_leading_edge_mm) for each in rods)
    left = max(thin - slots * rod.slot_depth_mm, 0.0)
    if slots and left < _LEAST_LEFT:
        words += (
            f" Its slots leave {number_text(left, 1)} mm of foam here: too little. Lay fewer rods, or lay them "
            "further back."
        )
    return words


def _step(side: np.ndarray, index: int, way: float) -> tuple[Stroke, np.ndarray]:
    """Return the tick that ends part number ``index`` of a surface, and the position of its number.

    The tick points to the left of the surface's direction if ``way`` is -1, to the right if it is 1.
    """
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(side, axis=0).T))])
    distance = along[-1] * index / _STEPS
    place = np.array([np.interp(distance, along, side[:, 0]), np.interp(distance, along, side[:, 1])])
    ahead = np.array([np.interp(min(distance + 1.0, along[-1]), along, row) for row in side.T])
    behind = np.array([np.interp(max(distance - 1.0, 0.0), along, row) for row in side.T])
    run = (ahead - behind) / np.hypot(*(ahead - behind))
    outward = way * np.array([run[1], -run[0]])
    long = _LONG_TICK if index in (0, _STEPS // 2, _STEPS) else _TICK
    return Stroke("wire steps", np.array([place, place + long * outward])), place + (_LONG_TICK + 2.2) * outward


def _at(side: np.ndarray, x: float) -> float:
    """Return the height of a surface at ``x``. [mm]"""
    return float(np.interp(x, side[::-1, 0], side[::-1, 1]))


def _slots(rod: RodSlot, top: np.ndarray, bottom: np.ndarray) -> list[Stroke]:
    """Return the slots of one rod or pair, square to the chord line.

    For a rod that ends before this section, return a dash on the skin instead.
    """
    x, half, deep = rod.behind_leading_edge_mm, 0.5 * rod.diameter_mm, rod.slot_depth_mm
    if rod.surface == "middle":
        middle = 0.5 * (_at(top, x) + _at(bottom, x))
        return [Stroke("rod slots" if rod.inside else "rod lines", _circle(x, middle, half), closed=True)]
    shapes = []
    for side, way, name in ((top, 1.0, "top"), (bottom, -1.0, "bottom")):
        if rod.surface not in ("both", name):
            continue
        skin = _at(side, x)
        if rod.inside:
            floor, left, right = skin - way * deep, x - half, x + half
            corners = [[left, _at(side, left)], [left, floor], [right, floor], [right, _at(side, right)]]
            shapes.append(Stroke("rod slots", np.array(corners)))
        else:
            shapes.append(Stroke("rod lines", np.array([[x, skin + way * _TICK], [x, skin - way * deep]])))
    return shapes


def _circle(x: float, y: float, radius: float = _NAIL) -> np.ndarray:
    angle = 2 * np.pi * np.arange(_CIRCLE) / _CIRCLE
    return np.column_stack([x + radius * np.cos(angle), y + radius * np.sin(angle)])


def elevon_template(design: Design) -> Drawing:
    """Return the right elevon from above. Its hinge line is at the top and starts at the inner end."""
    outline, elevon = design.outline, design.cut.elevon
    x, y = np.array(outline.elevon_x_mm[:-1]), np.array(outline.elevon_y_mm[:-1])
    count = len(x) // 2  # the outline runs out along the hinge, then back along the trailing edge
    run = np.array([y[count - 1] - y[0], x[count - 1] - x[0]])
    run = run / np.hypot(*run)
    along = (y - y[0]) * run[0] + (x - x[0]) * run[1]
    aft = (x - x[0]) * run[0] - (y - y[0]) * run[1]
    points = np.column_stack([along, -aft])
    inner, outer = float(x[-1] - x[0]), float(x[count] - x[count - 1])
    notes = [
        f"Right elevon from above, {elevon.material} {number_text(elevon.thickness_mm, 1)} mm at the hinge, "
        f"tapering to a third (as in the model). Turn it over for the left one. Cut the ends along the flight "
        f"direction: {number_text(inner, 1)} mm at the inner end, {number_text(outer, 1)} mm at the outer one.",
        f"Inner end {number_text(elevon.inner_end_mm)} mm, outer end {number_text(elevon.outer_end_mm)} mm from "
        "the centre line, without gaps: leave 1 mm at both ends (common practice, no source). Outside "
        "of them a fixed strip of the same depth continues.",
    ]
    shapes = [Stroke("elevon", points, closed=True), Stroke("hinge line", points[:count])]
    words = [
        Words(float(points[0, 0]) + 2.0, 2.5, "inner end"),
        Words(float(points[count - 1, 0]), 2.5, "outer end", side="end"),
    ]
    return Drawing("elevon", "Elevon, 1:1", shapes, words, notes)


def fin_templates(design: Design) -> list[Drawing]:
    """Return every flat piece of the fins, with its nose to the left and the front of its foot at the origin.

    A fin further inboard has a piece above the wing and perhaps one below, whose feet follow the skin.
    """
    plates = inboard_plates(design.body) if design.body else []
    pieces: list[tuple[FinSheet, np.ndarray, np.ndarray, str]] = []
    for fin in design.cut.fins:
        if fin.from_centre_mm is None or not plates:
            foot = np.array([[0.0, 0.0], [fin.foot_mm, 0.0]])
            where = f"one on each tip: front of its foot {number_text(fin.behind_leading_edge_mm, 1)} mm behind the "
            pieces.append((fin, np.column_stack([fin.x_mm, fin.z_mm]), foot, where + "leading edge, foot on its chord"))
            continue
        for height, side in ((max(fin.z_mm), "on top"), (min(fin.z_mm), "below")):
            if height:
                plate = plates.pop(0)
                where = (
                    f"one on each half {side}, {number_text(plate.station, 1)} mm from the centre line: front of its "
                    f"foot {number_text(plate.behind_edge, 1)} mm behind the leading edge there, foot cut to the skin"
                )
                pieces.append((fin, plate.points, plate.foot, where))
    return [_fin_template(*piece, number if len(pieces) > 1 else None) for number, piece in enumerate(pieces, 1)]


def _fin_template(fin: FinSheet, points: np.ndarray, foot: np.ndarray, where: str, number: int | None) -> Drawing:
    name = "fin" if number is None else f"fin {number}"
    notes = [
        f"{name.capitalize()}, {fin.material}, {where}. Canted {number_text(fin.cant_deg, 1)} deg outward, toed in "
        f"{number_text(fin.toe_deg, 1)} deg. Foot {number_text(float(np.ptp(foot[:, 0])), 1)} mm. Cut two, mirrored."
    ]
    return Drawing(
        name.replace(" ", "_"),
        f"{name.capitalize()}, 1:1",
        [Stroke("fin", points, closed=True), Stroke("fin foot", foot)],
        [Words(2.0, 2.0, "foot")],
        notes,
    )


def jig_blocks(design: Design) -> list[Drawing]:
    """Return the two blocks under each section on which the wing is glued, or none where it lies in its beds.

    Their tops follow the covered lower skin, turned by the washout. Their feet stand on the table along y = 0.
    """
    if design.cut.beds_kept:
        return []
    drawings = []
    for section, row in zip(design.cut.sections, design.cut.jig, strict=True):
        count = len(section.x_mm) // 2
        x, z = np.array(section.x_mm[count:]), np.array(section.z_mm[count:])
        turn = from_edge("deg", section.washout_deg)
        level = np.column_stack([x * np.cos(turn) - z * np.sin(turn), z * np.cos(turn) + x * np.sin(turn)])
        level[:, 1] += row.hinge_block_mm - level[-1, 1]  # the block under the hinge supports the end of the foam
        front, back = row.front_block_behind_edge_mm, float(level[-1, 0])
        shapes, words, left = [], [], 0.0
        for name, middle in (("front", front), ("hinge", back - 0.5 * _BLOCK)):
            where = np.linspace(middle - 0.5 * _BLOCK, middle + 0.5 * _BLOCK, 13)
            top = np.interp(where, *level.T)
            outline = np.column_stack([where, top])
            foot = np.array([[where[-1], 0.0], [where[0], 0.0]])
            shift = left - where[0]
            shapes.append(Stroke("jig blocks", np.concatenate([outline, foot]) + [shift, 0.0], closed=True))
            words.append(Words(left + 0.5 * _BLOCK, -2.0 * LETTER, name, side="middle"))
            left += _BLOCK + _BETWEEN_BLOCKS
        notes = [
            f"Blocks under the {section.name} section, {number_text(section.station_mm)} mm from the centre line, from "
            f"any stiff board; two of each. Middle of the front block {number_text(front)} mm behind the leading edge, "
            "rear edge of the other under the hinge line."
        ]
        drawings.append(Drawing(f"jig_{section.name}", f"Jig, {section.name}, 1:1", shapes, words, notes))
    return drawings
