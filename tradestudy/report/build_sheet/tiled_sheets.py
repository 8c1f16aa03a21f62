"""A full-size drawing tiled over as many sheets as it needs, with marks for joining them and a map of the sheets."""

from __future__ import annotations

import math

import numpy as np

from tradestudy.report.figures import style

from .drawing import CAPITAL, STYLES, Drawing
from .paper import (
    BODY,
    GAP,
    MM_PER_INCH,
    NOTE_SIZE,
    POINTS_PER_INCH,
    SIZES,
    SQUARE,
    Box,
    Sheet,
    drawing_area,
    line_height,
    wrapped,
)
from .sheet_text import TextSheets

OVERLAP = 14.0  # mm that neighbouring sheets share; they are joined along its middle
_AIR = 3.0  # mm of empty space around a drawing
_MARK = 4.0  # mm, half the size of a joining mark
_MARKS = 14.0  # mm above and below a drawing on one row of sheets, for joining marks
_MAP = 80.0  # mm, size of the map within the check square


def window_of(width: float, height: float, warning: str = "") -> Box:
    """Return the area for drawings on paper of a given size [mm], above the check square and below any warning."""
    inside = drawing_area(width, height, warning)
    return Box(inside.left, inside.bottom + SQUARE + GAP, inside.right, inside.top)


def tiles_along(length: float, room: float) -> int:
    """Return the number of sheets for a length [mm] if one sheet shows ``room`` of it [mm]."""
    return 1 if length <= room else math.ceil((length - OVERLAP) / (room - OVERLAP) - 1e-9)


def tile_sheets(drawing: Drawing, paper: str) -> list[Sheet]:
    """Return the sheets of one drawing, row by row from the upper left.

    They are portrait or landscape, whichever needs fewer sheets.
    """
    left, bottom, right, top = drawing.bounds
    left, bottom, right, top = left - _AIR, bottom - _AIR, right + _AIR, top + _AIR
    short, long = SIZES[paper]

    def counts(across: bool) -> tuple[int, int]:
        window = window_of(*((long, short) if across else (short, long)), drawing.warning)
        return tiles_along(right - left, window.width), tiles_along(top - bottom, window.height)

    landscape = math.prod(counts(True)) < math.prod(counts(False))
    columns, rows = counts(landscape)
    sheets: list[Sheet] = []
    notes = list(drawing.notes)
    for row in range(rows):
        for column in range(columns):
            name = f"{row * columns + column + 1} of {rows * columns}"
            sheet = Sheet(
                drawing.title + (f", part {name}" if rows * columns > 1 else ""), paper, landscape, drawing.warning
            )
            window = window_of(sheet.width, sheet.height, drawing.warning)
            # position of the paper's lower left corner in the drawing
            wide, tall = right - left, top - bottom
            above = min(_MARKS if columns > 1 else 0.0, 0.5 * (window.height - tall)) if rows == 1 else 0.0
            if rows == 1:
                window = window._replace(bottom=window.top - tall - 2 * above)
            x = (
                left
                + column * (window.width - OVERLAP)
                - window.left
                - (0.5 * (window.width - wide) if columns == 1 else 0.0)
            )
            y = top + above - row * (window.height - OVERLAP) - window.top
            _draw(sheet, drawing, window, x, y)
            _joints(sheet, window, row, column, rows, columns)
            free = [Box(window.left, sheet.square.top + GAP, window.right, window.bottom - GAP)] if rows == 1 else []
            narrow = Box(sheet.inside.left, sheet.inside.bottom, sheet.square.left - GAP, sheet.square.top)
            notes = write_notes(sheet, notes, [*free, narrow])
            _map(sheet, drawing, (left, top), window, row, column, rows, columns)
            sheets.append(sheet)
    return [*sheets, *note_sheets(drawing, notes, paper)]


def draw_lines(sheet: Sheet, drawing: Drawing, window: Box, x: float, y: float) -> None:
    """Draw the lines of a drawing that a window shows. ``x`` and ``y`` are the paper's lower left corner in it. [mm]"""
    for shape in drawing.shapes:
        look = STYLES[shape.layer]
        points = shape.points - np.array([x, y])
        low, high = points.min(0), points.max(0)
        if high[0] < window.left or low[0] > window.right or high[1] < window.bottom or low[1] > window.top:
            continue
        sheet.stroke(
            points, look.colour, look.width_mm * POINTS_PER_INCH / MM_PER_INCH, look.dashes, window, closed=shape.closed
        )


def _draw(sheet: Sheet, drawing: Drawing, window: Box, x: float, y: float) -> None:
    draw_lines(sheet, drawing, window, x, y)
    for one in drawing.words:
        left, bottom = one.x - x, one.y - y
        if window.left <= left <= window.right and window.bottom <= bottom <= window.top:
            sheet.words(
                left,
                bottom,
                one.words,
                one.height / CAPITAL * POINTS_PER_INCH / MM_PER_INCH,
                ha={"start": "left", "middle": "center", "end": "right"}[one.side],
            )


def _joints(sheet: Sheet, window: Box, row: int, column: int, rows: int, columns: int) -> None:
    """Draw the lines along which this sheet is joined to others, each with two diamonds and the joint's name."""
    left, right = window.left + 0.5 * OVERLAP, window.right - 0.5 * OVERLAP
    bottom, top = window.bottom + 0.5 * OVERLAP, window.top - 0.5 * OVERLAP
    for has_neighbour, start, stop, name in (
        (column > 0, (left, window.bottom), (left, window.top), f"{chr(64 + column)}{row + 1}"),
        (column < columns - 1, (right, window.bottom), (right, window.top), f"{chr(65 + column)}{row + 1}"),
        (row > 0, (window.left, top), (window.right, top), f"{chr(96 + row)}{column + 1}"),
        (row < rows - 1, (window.left, bottom), (window.right, bottom), f"{chr(97 + row)}{column + 1}"),
    ):
        if has_neighbour:
            sheet.stroke([start, stop], style.MARK, 0.6, (3.0, 2.0))
            along = np.subtract(stop, start)
            inset = min(0.06, 7.0 / float(np.hypot(*along))) * along
            for x, y in (start + inset, stop - inset):
                diamond(sheet, x, y)
                sheet.words(x - _MARK - 0.5, y + 1.0, name, NOTE_SIZE, bold=True, colour=style.MARK, ha="right")
                sheet.words(x + _MARK + 0.5, y + 1.0, name, NOTE_SIZE, bold=True, colour=style.MARK)


def diamond(sheet: Sheet, x: float, y: float) -> None:
    """Draw a joining mark: a cross in a diamond. [mm]"""
    corners = [(x - _MARK, y), (x, y + _MARK), (x + _MARK, y), (x, y - _MARK)]
    sheet.stroke(corners, style.MARK, 0.7, closed=True)
    sheet.stroke([(x - _MARK, y), (x + _MARK, y)], style.MARK, 0.5)
    sheet.stroke([(x, y - _MARK), (x, y + _MARK)], style.MARK, 0.5)


def note_sheets(drawing: Drawing, notes: list[str], paper: str) -> list[Sheet]:
    """Return sheets with the notes of a drawing that did not fit beside it."""
    text = TextSheets(paper, drawing.warning)
    if notes:
        text.start(f"{drawing.title}, notes")
    for note in notes:
        text.paragraph(note)
    return text.sheets


def write_notes(sheet: Sheet, notes: list[str], boxes: list[Box]) -> list[str]:
    """Write notes into boxes, one after the other, and return what is left when they are full."""
    left = list(notes)
    for box in boxes:
        top = box.top
        while left and top - line_height(BODY) >= box.bottom:
            lines = wrapped(left.pop(0), box.width, BODY)
            fits = int((top - box.bottom) / line_height(BODY) + 1e-6)
            for line in lines[:fits]:
                top -= line_height(BODY)
                sheet.words(box.left, top + 0.6, line)
            top -= 0.4 * line_height(BODY)
            if lines[fits:]:
                left.insert(0, " ".join(lines[fits:]))
                break
    return left


def _map(
    sheet: Sheet,
    drawing: Drawing,
    corner: tuple[float, float],
    window: Box,
    row: int,
    column: int,
    rows: int,
    columns: int,
) -> None:
    """Draw a map of all sheets of the drawing into the check square, with this sheet marked."""
    if rows * columns == 1:
        return
    step = np.array([window.width - OVERLAP, window.height - OVERLAP])
    whole = step * [columns, rows] + OVERLAP
    scale = _MAP / max(whole)
    square = sheet.square
    left, top = square.left + 0.5 * (SQUARE - scale * whole[0]), square.top - 12.0
    sheet.words(
        square.left + 3.0,
        square.top - 6.0,
        "Map of the sheets: join equal letters, diamonds on top of each other",
        NOTE_SIZE,
    )
    for r in range(rows):
        for c in range(columns):
            low = (left + scale * c * step[0], top - scale * (r * step[1] + window.height))
            high = (low[0] + scale * window.width, low[1] + scale * window.height)
            here = (r, c) == (row, column)
            sheet.stroke(
                [low, (high[0], low[1]), high, (low[0], high[1])],
                style.MARK if here else style.QUIET,
                1.4 if here else 0.5,
                closed=True,
                fill=style.BAND if here else None,
            )
            sheet.words(low[0] + 1.5, low[1] + 1.5, str(r * columns + c + 1), NOTE_SIZE)
    for shape in drawing.shapes:
        points = (shape.points - np.array(corner)) * scale + np.array([left, top])
        sheet.stroke(points, style.INK, 0.4, closed=shape.closed)
