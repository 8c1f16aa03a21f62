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

OVERLAP = 14.0  # mm that neighbouring sheets share; they are joined along its middle
_AIR = 3.0  # mm of empty space around a drawing
_MARK = 4.0  # mm, half the size of a joining mark
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
    sheets = []
    for row in range(rows):
        for column in range(columns):
            name = f"{row * columns + column + 1} of {rows * columns}"
            sheet = Sheet(
                drawing.title + (f", part {name}" if rows * columns > 1 else ""), paper, landscape, drawing.warning
            )
            window = window_of(sheet.width, sheet.height, drawing.warning)
            # position of the paper's lower left corner in the drawing
            wide, tall = right - left, top - bottom
            x = (
                left
                + column * (window.width - OVERLAP)
                - window.left
                - (0.5 * (window.width - wide) if columns == 1 else 0.0)
            )
            y = (
                top
                - row * (window.height - OVERLAP)
                - window.top
                + (0.5 * (window.height - tall) if rows == 1 else 0.0)
            )
            _draw(sheet, drawing, window, x, y)
            _joints(sheet, window, row, column, rows, columns)
            _notes(sheet, drawing)
            _map(sheet, drawing, (left, top), window, row, column, rows, columns)
            sheets.append(sheet)
    return sheets


def _draw(sheet: Sheet, drawing: Drawing, window: Box, x: float, y: float) -> None:
    for shape in drawing.shapes:
        look = STYLES[shape.layer]
        points = shape.points - np.array([x, y])
        low, high = points.min(0), points.max(0)
        if high[0] < window.left or low[0] > window.right or high[1] < window.bottom or low[1] > window.top:
            continue
        sheet.stroke(
            points, look.colour, look.width_mm * POINTS_PER_INCH / MM_PER_INCH, look.dashes, window, closed=shape.closed
        )
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
            for share in (0.06, 0.94):
                x, y = np.array(start) + share * (np.array(stop) - np.array(start))
                _diamond(sheet, x, y, name)


def _diamond(sheet: Sheet, x: float, y: float, name: str) -> None:
    corners = [(x - _MARK, y), (x, y + _MARK), (x + _MARK, y), (x, y - _MARK)]
    sheet.stroke(corners, style.MARK, 0.7, closed=True)
    sheet.stroke([(x - _MARK, y), (x + _MARK, y)], style.MARK, 0.5)
    sheet.stroke([(x, y - _MARK), (x, y + _MARK)], style.MARK, 0.5)
    sheet.words(x - _MARK - 0.5, y + 1.0, name, NOTE_SIZE, bold=True, colour=style.MARK, ha="right")
    sheet.words(x + _MARK + 0.5, y + 1.0, name, NOTE_SIZE, bold=True, colour=style.MARK)


def _notes(sheet: Sheet, drawing: Drawing) -> None:
    """Write the notes of a drawing beside the check square, in a smaller font if they are long."""
    width = sheet.square.left - GAP - sheet.inside.left
    for size in (BODY, NOTE_SIZE):
        paragraphs = [wrapped(note, width, size) for note in drawing.notes]
        tall = sum(len(lines) + 0.4 for lines in paragraphs) * line_height(size)
        if tall <= SQUARE:
            break
    top = sheet.square.top
    for lines in paragraphs:
        for line in lines:
            top -= line_height(size)
            sheet.words(sheet.inside.left, top, line, size)
        top -= 0.4 * line_height(size)


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
