"""The plan in tiles with a key plan, and small templates side by side, on sheets with check lines for the scale.

Without a check square the whole sheet is free for the drawing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from itertools import product
from typing import NamedTuple

import numpy as np

from tradestudy.report.figures import style
from tradestudy.report.words.phrases import number_text

from .drawing import CAPITAL, STYLES, Drawing, Stroke, Words
from .paper import (
    BODY,
    CHECK_STRIP,
    GAP,
    HEAD,
    MM_PER_INCH,
    NOTE_SIZE,
    POINTS_PER_INCH,
    SIZES,
    Box,
    Sheet,
    drawing_area,
    line_height,
    text_width,
    wrapped,
)
from .tiled_sheets import OVERLAP, diamond, draw_lines, note_sheets, write_notes

_AIR = 3.0  # mm of empty space around a drawing
_MARK_INSETS = (24.0, 50.0)  # mm from the ends of an upright and of a level joint to its marks
_CLEAR = 7.0  # mm round a mark that words keep off
_DENSE = 5.0  # mm between the points at which lines are looked for on a tile
_SHIFTS = (0.0, 5.0, -5.0, 10.0, -10.0, 15.0, -15.0, 22.0, -22.0, 30.0, -30.0)  # mm by which words may move on a tile
_ASIDE = (0.0, 25.0, -25.0, 50.0, -50.0)  # mm by which they may move along it, if that is not enough
_BETWEEN = 6.0  # mm between templates on one sheet
_LEAST_CAPTION = 150.0  # mm, least width of a template's caption where the sheet has that room
_KEPT = 6.0  # mm beside a foot where no template is cut
_LEGEND = {
    "wing": "outline of foam and elevon",
    "elevon": "elevon",
    "strips": "fixed strip behind the hinge",
    "hinge line": "hinge line",
    "rods": "slots at top and bottom",
    "rods top": "slot at the top alone",
    "rods bottom": "slot at the bottom alone",
    "transverse rods": "slots across the centre",
    "transverse rods top": "slot across, top",
    "transverse rods bottom": "slot across, bottom",
    "stations": "stations of the table of slots",
    "bays": "bay",
    "lids": "lid",
    "boards": "board",
    "joiner": "joiner",
    "joiner channel": "channel of the joiner",
    "pack": "pack",
    "pockets": "pocket",
    "slots": "motor slot",
    "motor": "motor",
    "fins": "fin",
    "joint": "joint of old and new foam",
    "balance mark": "balance marks",
    "equipment": "equipment",
    "parts": "other parts",
}  # layer -> its meaning on the key plan


class _Grid(NamedTuple):
    """Tiles over a drawing: the paper's side, the window, the upper left corner, and the tiles that show something."""

    landscape: bool
    window: Box
    left: float
    top: float
    used: list[tuple[int, int]]  # row and column

    @property
    def step(self) -> tuple[float, float]:
        """Distances between neighbouring tiles across and down. [mm]"""
        return self.window.width - OVERLAP, self.window.height - OVERLAP

    def name(self, row: int, column: int) -> str:
        """Return the name of a tile: a letter for its column, and the number of its row."""
        return f"{chr(65 + column)}{row + 1}"


def plan_sheets(drawing: Drawing, paper: str) -> list[Sheet]:
    """Return the key plan of a drawing, then its tiles, row by row. Tiles on which nothing is drawn are left out."""
    grid = _best_grid(drawing, paper)
    tiles = [_tile(drawing, grid, paper, row, column) for row, column in grid.used]
    return [*_key_plan(drawing, grid, paper), *tiles]


def _window(paper: str, landscape: bool, warning: str) -> Box:
    """Return the area for drawings on a sheet with check lines. [mm]"""
    short, long = SIZES[paper]
    inside = drawing_area(*((long, short) if landscape else (short, long)), warning)
    return Box(inside.left + CHECK_STRIP, inside.bottom + CHECK_STRIP, inside.right, inside.top)


def _best_grid(drawing: Drawing, paper: str) -> _Grid:
    """Return the grid with the fewest used tiles, from both sides of the paper and a few places of the corner."""
    points = np.concatenate([_dense(shape) for shape in drawing.shapes])
    low, high = points.min(0) - _AIR, points.max(0) + _AIR
    grids = []
    for landscape in (False, True):
        window = _window(paper, landscape, drawing.warning)
        spare = np.array([0.0, 0.0])
        for axis, room in enumerate((window.width, window.height)):
            count = 1 if high[axis] - low[axis] <= room else math.ceil((high - low)[axis] / (room - OVERLAP))
            spare[axis] = count * (room - OVERLAP) + OVERLAP - (high - low)[axis]
        for share in np.linspace(0.0, 1.0, 5):
            for other in np.linspace(0.0, 1.0, 5):
                left, top = float(low[0] - share * spare[0]), float(high[1] + other * spare[1])
                step = np.array([window.width, window.height]) - OVERLAP
                place = ((points - [left, top]) * [1.0, -1.0] - 0.5 * OVERLAP) // step
                cells = np.unique(np.maximum(place, 0).astype(int)[:, ::-1], axis=0)
                grids.append(_Grid(landscape, window, left, top, [(int(row), int(column)) for row, column in cells]))
    return min(grids, key=lambda grid: len(grid.used))


def _dense(shape: Stroke) -> np.ndarray:
    """Return points (n, 2) along a line, no farther apart than _DENSE. [mm]"""
    points = np.concatenate([shape.points, shape.points[:1]]) if shape.closed else shape.points
    pieces = [
        one + np.linspace(0.0, 1.0, int(np.hypot(*(other - one)) / _DENSE) + 2)[:, None] * (other - one)
        for one, other in zip(points[:-1], points[1:], strict=True)
    ]
    return np.concatenate(pieces)


def _tile(drawing: Drawing, grid: _Grid, paper: str, row: int, column: int) -> Sheet:
    """Return one tile with its joints, and the words that lie on it."""
    name, window = grid.name(row, column), grid.window
    sheet = Sheet(f"{drawing.title}, tile {name}", paper, grid.landscape, drawing.warning, check_lines=True)
    x = grid.left + column * grid.step[0] - window.left
    y = grid.top - row * grid.step[1] - window.top
    draw_lines(sheet, drawing, window, x, y)
    joints = [
        (there, *line)
        for there, line in (
            ((row, column - 1), _upright(window, window.left + 0.5 * OVERLAP)),
            ((row, column + 1), _upright(window, window.right - 0.5 * OVERLAP)),
            ((row - 1, column), _level(window, window.top - 0.5 * OVERLAP)),
            ((row + 1, column), _level(window, window.bottom + 0.5 * OVERLAP)),
        )
        if there in grid.used
    ]
    taken: list[Box] = []
    for there, start, stop in joints:
        sheet.stroke([start, stop], style.MARK, 0.6, (3.0, 2.0))
        names = "–".join(sorted([name, grid.name(*there)]))
        along = np.subtract(stop, start) / np.hypot(*np.subtract(stop, start))
        inset = _MARK_INSETS[0 if there[0] == row else 1] * along
        for place in (start + inset, stop - inset):
            taken.append(_joining_mark(sheet, float(place[0]), float(place[1]), names, window))
    corner = (window.left + 0.5 * OVERLAP + 16.0, window.top - 0.5 * OVERLAP - 14.0)
    sheet.words(*corner, name, 3 * HEAD, bold=True, colour=style.FAINT, zorder=0.5)
    _words(sheet, drawing.words, window, x, y, taken)
    return sheet


def _upright(window: Box, x: float) -> tuple[tuple[float, float], tuple[float, float]]:
    return (x, window.bottom), (x, window.top)


def _level(window: Box, y: float) -> tuple[tuple[float, float], tuple[float, float]]:
    return (window.left, y), (window.right, y)


def _joining_mark(sheet: Sheet, x: float, y: float, names: str, window: Box) -> Box:
    """Draw a mark with the names of both tiles towards the middle of the tile. Return the area that it takes."""
    diamond(sheet, x, y)
    right = x > 0.5 * (window.left + window.right)
    sheet.words(
        x + (-5.0 if right else 5.0),
        y + 1.0,
        names,
        NOTE_SIZE,
        bold=True,
        colour=style.MARK,
        ha="right" if right else "left",
    )
    wide = text_width(names, NOTE_SIZE, True) + _CLEAR
    return Box(x - (wide if right else _CLEAR), y - _CLEAR, x + (_CLEAR if right else wide), y + _CLEAR)


def _words(sheet: Sheet, words: Iterable[Words], window: Box, x: float, y: float, taken: list[Box]) -> None:
    """Write the words whose place lies in a window, moved so that they end within it and keep off each other."""
    for one in words:
        size = one.height / CAPITAL * POINTS_PER_INCH / MM_PER_INCH
        wide = text_width(one.words, size)
        left, bottom = one.x - x, one.y - y
        if not (window.left <= left <= window.right and window.bottom <= bottom <= window.top):
            continue
        start = left - {"start": 0.0, "middle": 0.5, "end": 1.0}[one.side] * wide
        for aside, shift in product(_ASIDE, _SHIFTS):
            left = float(np.clip(start + aside, window.left + 1.0, max(window.right - wide - 1.0, window.left + 1.0)))
            low = float(np.clip(bottom + shift, window.bottom + 1.0, window.top - 1.5 * one.height))
            box = Box(left - 1.0, low - 0.4 * one.height, left + wide + 1.0, low + 1.3 * one.height)
            if not any(_overlap(box, other) for other in taken):
                taken.append(box)
                sheet.words(left, low, one.words, size)
                break


def _overlap(one: Box, other: Box) -> bool:
    return one.left < other.right and other.left < one.right and one.bottom < other.top and other.bottom < one.top


def _key_plan(drawing: Drawing, grid: _Grid, paper: str) -> list[Sheet]:
    """Return the sheet with the map of all tiles, their names, the meaning of the lines, and notes."""
    sheet = Sheet(f"{drawing.title}: key plan", paper, warning=drawing.warning)
    inside, square = sheet.inside, sheet.square
    step = np.array(grid.step)
    rows, columns = (max(cell[axis] for cell in grid.used) + 1 for axis in (0, 1))
    whole = step * [columns, rows] + OVERLAP
    area = Box(inside.left, square.top + 2 * GAP, inside.right, inside.top - 2 * GAP)
    scale = min(area.width / whole[0], area.height / whole[1])
    corner = np.array([area.left + 0.5 * (area.width - scale * whole[0]), area.top])
    sheet.words(area.left, area.top + 3.0, f"About 1 : {number_text(1 / scale, 1)}, not for measuring", NOTE_SIZE)
    for row, column in grid.used:
        low = corner + scale * (np.array([column, -row - 1]) * step + [0.5 * OVERLAP, -0.5 * OVERLAP])
        high = low + scale * step
        sheet.stroke([low, (high[0], low[1]), high, (low[0], high[1])], style.QUIET, 0.8, (2.0, 1.2), closed=True)
    for shape in drawing.shapes:
        points = (shape.points - [grid.left, grid.top]) * scale + corner
        sheet.stroke(points, STYLES[shape.layer].colour, 0.5, closed=shape.closed)
    for row, column in grid.used:
        low = corner + scale * (np.array([column, -row - 1]) * step + [0.5 * OVERLAP, -0.5 * OVERLAP])
        sheet.words(low[0] + 2.0, low[1] + 2.0, grid.name(row, column), HEAD, bold=True, colour=style.MARK)
    layers = [layer for layer in _LEGEND if any(shape.layer == layer for shape in drawing.shapes)]
    sheet.words(square.left + 3.0, square.top - 5.0, "The lines", NOTE_SIZE, bold=True)
    apart = min(5.0, 84.0 / max(len(layers), 1))
    for index, layer in enumerate(layers):
        look, height = STYLES[layer], square.top - 10.0 - apart * index
        points_wide = look.width_mm * POINTS_PER_INCH / MM_PER_INCH
        sheet.stroke([(square.left + 3, height), (square.left + 21, height)], look.colour, points_wide, look.dashes)
        sheet.words(square.left + 24.0, height - 1.0, _LEGEND[layer], NOTE_SIZE)
    names = ", ".join(grid.name(*cell) for cell in grid.used)
    notes = [f"{len(grid.used)} tiles: {names}.", *drawing.notes]
    narrow = Box(inside.left, inside.bottom, square.left - GAP, square.top)
    left = write_notes(sheet, notes, [narrow])
    return [sheet, *note_sheets(drawing, left, paper)]


class _Piece(NamedTuple):
    """A part of a template that fits on a sheet: its drawing, what it shows, joints, and the lines of its caption."""

    drawing: Drawing
    shown: Box  # in the drawing
    joints: list[tuple[str, float, str]]  # direction, place in the drawing, name
    caption: list[str]

    @property
    def height(self) -> float:
        """Height on the sheet with its caption. [mm]"""
        return self.shown.height + line_height(BODY) * len(self.caption) + 2.0


def nested_sheets(drawings: list[Drawing], paper: str, title: str) -> list[Sheet]:
    """Return small templates side by side on as few sheets as fit, none of them cut through a foot.

    A template that is longer than the sheet is cut into parts with joining marks.
    """
    if not drawings:
        return []
    layouts = []
    for landscape in (False, True):
        window = _window(paper, landscape, drawings[0].warning)
        pieces = [piece for number, drawing in enumerate(drawings) for piece in _pieces(drawing, window, number)]
        layouts.append((landscape, window, _shelves(pieces, window)))
    landscape, window, pages = min(layouts, key=lambda one: len(one[2]))
    sheets = []
    for number, page in enumerate(pages, 1):
        words = f", sheet {number} of {len(pages)}" if len(pages) > 1 else ""
        sheet = Sheet(f"{title}{words}", paper, landscape, drawings[0].warning, check_lines=True)
        for left, top, piece in page:
            _draw_piece(sheet, piece, left, top)
        sheets.append(sheet)
    return sheets


def _pieces(drawing: Drawing, window: Box, number: int) -> list[_Piece]:
    """Return a template in pieces that fit into a window."""
    left, bottom, right, top = drawing.bounds
    box = Box(left - _AIR, bottom - _AIR, right + _AIR, top + _AIR)
    notes = drawing.notes or [drawing.title]
    foot = [shape.points for shape in drawing.shapes if shape.layer == "fin foot"]
    kept_x = [(float(line[:, 0].min()), float(line[:, 0].max())) for line in foot]
    kept_y = [(float(line[:, 1].min()) - _KEPT, float(line[:, 1].max()) + _KEPT) for line in foot]
    across = _cuts(box.left, box.right, window.width, kept_x)
    caption_wide = min(max(across[0][1] - across[0][0], _LEAST_CAPTION), window.width)
    caption = [line for note in notes for line in wrapped(note, caption_wide, BODY)]
    down = _cuts(box.bottom, box.top, window.height - line_height(BODY) * len(caption) - 4.0, kept_y)
    pieces = []
    for column, (start, end) in enumerate(across):
        for row, (low, high) in enumerate(down):
            joints = []
            for index, cuts, here, way in ((column, across, (start, end), "x"), (row, down, (low, high), "y")):
                mark = chr(65 + number) if way == "x" else chr(97 + number)
                if index > 0:
                    joints.append((way, here[0] + 0.5 * OVERLAP, f"{mark}{index}"))
                if index < len(cuts) - 1:
                    joints.append((way, here[1] - 0.5 * OVERLAP, f"{mark}{index + 1}"))
            first = column == 0 and row == 0
            part = f"{drawing.title}, part {column * len(down) + row + 1} of {len(across) * len(down)}"
            pieces.append(_Piece(drawing, Box(start, low, end, high), joints, caption if first else [part]))
    return pieces


def _cuts(low: float, high: float, room: float, kept: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the ends of the pieces of a length that fit into ``room``, with overlaps outside what is ``kept``. [mm]"""
    pieces, start = [], low
    while high - start > room:
        end = start + room
        for first, last in kept:
            if first < end - 0.5 * OVERLAP < last and first - start > 2 * OVERLAP:
                end = first + 0.5 * OVERLAP
        pieces.append((start, end))
        start = end - OVERLAP
    return [*pieces, (start, high)]


def _shelves(pieces: list[_Piece], window: Box) -> list[list[tuple[float, float, _Piece]]]:
    """Return the pieces of each sheet with their upper left corners, the highest first, each where it first fits."""
    pages: list[list[tuple[float, float, _Piece]]] = []
    shelves: list[list[float]] = []  # of each: page, top, height, and the right end that is taken
    for piece in sorted(pieces, key=lambda one: -one.height):
        wide = max(piece.shown.width, max(text_width(line) for line in piece.caption))
        for shelf in shelves:
            page, top, height, right = shelf
            if piece.height <= height and right + _BETWEEN + wide <= window.right:
                pages[int(page)].append((right + _BETWEEN, top, piece))
                shelf[3] = right + _BETWEEN + wide
                break
        else:
            last = shelves[-1] if shelves else None
            top = last[1] - last[2] - _BETWEEN if last else window.top
            if last is None or top - piece.height < window.bottom:
                pages.append([])
                top = window.top
            shelves.append([len(pages) - 1, top, piece.height, window.left + wide])
            pages[-1].append((window.left, top, piece))
    return pages


def _draw_piece(sheet: Sheet, piece: _Piece, left: float, top: float) -> None:
    """Draw one piece with its caption above it, its upper left corner at a place on the sheet."""
    for line in piece.caption:
        top -= line_height(BODY)
        sheet.words(left, top + 0.6, line)
    top -= 2.0
    shown = piece.shown
    window = Box(left, top - shown.height, left + shown.width, top)
    x, y = shown.left - left, shown.bottom - window.bottom
    draw_lines(sheet, replace(piece.drawing, words=[]), window, x, y)
    taken: list[Box] = []
    for way, place, name in piece.joints:
        if way == "x":
            start, stop = _upright(window, place - x)
        else:
            start, stop = _level(window, place - y)
        sheet.stroke([start, stop], style.MARK, 0.6, (3.0, 2.0))
        middle = 0.5 * np.add(start, stop)
        taken.append(_joining_mark(sheet, float(middle[0]), float(middle[1]), name, window))
    _words(sheet, piece.drawing.words, window, x, y, taken)
