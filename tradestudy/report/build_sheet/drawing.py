"""Drawings at full size: named lines and words in mm, their look, and what is added where they are written to files.

PDF, SVG and DXF share them. Each layer has a look in `STYLES`.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np

from tradestudy.quantities import printed, printed_dimensions
from tradestudy.report.figures import style

from .paper import MM_PER_INCH, POINTS_PER_INCH, SQUARE, check_size, wrapped

LETTER = 2.8  # mm, height of a digit
CAPITAL = 0.73  # height of a capital letter divided by the font size: DejaVu Sans, 1493 of 2048 units
CROSS = 2.0  # mm, half the size of the mark of a piece of equipment
_LEAST_BAND = 180.0  # mm, least width of the warning above a drawing
_WARNING_LETTER = (4.0, 10.0)  # mm, least and greatest letter height of a warning
_LETTERS_ACROSS = 60.0  # width of a warning divided by its letter height


# kind of a part -> layer in which it is drawn
_LAYERS = {
    "bay": "bays",
    "board": "boards",
    "channel": "joiner channel",
    "elevon": "elevon",
    "equipment": "equipment",
    "fin": "fins",
    "joiner": "joiner",
    "lid": "lids",
    "motor": "motor",
    "pack": "pack",
    "pocket": "pockets",
    "rod": "rod sections",
    "slot": "slots",
    "strip": "strips",
}


def layer_of(kind: str) -> str:
    """Return the layer for parts of a kind."""
    return _LAYERS.get(kind, "parts")


@dataclass(frozen=True)
class Stroke:
    """A line through points of shape (n, 2) [mm]. Its ``layer`` names what the line shows."""

    layer: str
    points: np.ndarray
    closed: bool = False


@dataclass(frozen=True)
class Words:
    """A line of words at a position [mm].

    ``side`` says which part of the line is at that position: "start", "middle" or "end". ``layer`` is "words" or
    "warning".
    """

    x: float
    y: float
    words: str
    height: float = LETTER
    side: str = "start"
    layer: str = "words"

    def __post_init__(self) -> None:
        object.__setattr__(self, "words", printed_dimensions(self.words))


@dataclass(frozen=True)
class Drawing:
    """Shapes and words at full size. ``name`` is the name of its file, and ``notes`` are written beside it.

    ``warning`` is written on every sheet and file of the drawing. It is empty if the wing breaks no limit.
    """

    name: str
    title: str
    shapes: list[Stroke]
    words: list[Words] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    warning: str = ""
    is_printed: bool = False  # whether notes and warning are in the units that are printed; a copy's are

    def __post_init__(self) -> None:
        if not self.is_printed:
            object.__setattr__(self, "notes", [printed_dimensions(line) for line in self.notes])
            object.__setattr__(self, "warning", printed(self.warning))
            object.__setattr__(self, "is_printed", True)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Return left, bottom, right and top of everything that is drawn or written. [mm]"""
        points = [shape.points for shape in self.shapes]
        for one in self.words:
            wide = 0.62 * one.height * len(one.words) * {"start": 1.0, "middle": 0.5, "end": 0.0}[one.side]
            left = 0.62 * one.height * len(one.words) - wide
            points.append(np.array([[one.x - left, one.y - 0.3 * one.height], [one.x + wide, one.y + one.height]]))
        every = np.concatenate(points)
        return (*every.min(0), *every.max(0))


def file_drawing(drawing: Drawing) -> Drawing:
    """Return a drawing as it is written to its own file: with a check square, and any warning across the top."""
    drawing = with_check_square(drawing)
    if not drawing.warning:
        return drawing
    left, _, right, top = drawing.bounds
    wide = max(right - left, _LEAST_BAND)
    tall = float(np.clip(wide / _LETTERS_ACROSS, *_WARNING_LETTER))
    lines = wrapped(drawing.warning, wide - 2 * tall, tall / CAPITAL * POINTS_PER_INCH / MM_PER_INCH, bold=True)
    bottom = top + 8.0
    top = bottom + (1.8 * len(lines) + 1.0) * tall
    box = np.array([[left, bottom], [left + wide, bottom], [left + wide, top], [left, top]])
    words = [
        Words(left + 0.5 * wide, top - (1.8 * index + 1.9) * tall, line, tall, "middle", "warning")
        for index, line in enumerate(lines)
    ]
    return replace(
        drawing, shapes=[*drawing.shapes, Stroke("warning", box, closed=True)], words=[*drawing.words, *words]
    )


def with_check_square(drawing: Drawing) -> Drawing:
    """Return a drawing with a 100 mm square below it, for files that a printer may scale."""
    left, bottom, _, _ = drawing.bounds
    top = bottom - 8.0
    corners = np.array([[left, top], [left + SQUARE, top], [left + SQUARE, top - SQUARE], [left, top - SQUARE]])
    shapes = [*drawing.shapes, Stroke("check square", corners, closed=True)]
    words = [*drawing.words, Words(left + 2.0, top - SQUARE + 2.0, f"{check_size()} check square")]
    return replace(drawing, shapes=shapes, words=words)


class LineStyle(NamedTuple):
    """The look of a line: colour, width [mm] and dashes, given as lengths of line and gap [mm]."""

    colour: str
    width_mm: float
    dashes: tuple[float, ...] = ()


STYLES = {
    "foam": LineStyle(style.INK, 0.3),
    "wing": LineStyle(style.INK, 0.3),
    "elevon": LineStyle(style.STRETCHED_LINE, 0.3),
    "fin": LineStyle(style.INK, 0.3),
    "fins": LineStyle(style.INK, 0.3),
    "strips": LineStyle(style.STRETCHED_LINE, 0.2),
    "stations": LineStyle(style.QUIET, 0.18, (0.6, 1.2)),
    "jig blocks": LineStyle(style.INK, 0.3),
    "fin foot": LineStyle(style.MARK, 0.3, (4.0, 1.5)),
    "hinge line": LineStyle(style.STRETCHED_LINE, 0.4, (6.0, 1.5)),
    "chord line": LineStyle(style.QUIET, 0.18, (8.0, 1.5, 1.5, 1.5)),
    "level line": LineStyle(style.MARK, 0.25, (3.0, 1.5)),
    "wire steps": LineStyle(style.INK, 0.18),
    "rod slots": LineStyle(style.LIMIT, 0.3),
    "rod lines": LineStyle(style.LIMIT, 0.25, (1.2, 0.8)),
    "rods": LineStyle(style.LIMIT, 0.4),
    "rods top": LineStyle(style.LIMIT, 0.4),
    "rods bottom": LineStyle(style.LIMIT, 0.4, (2.5, 1.2)),
    "transverse rods top": LineStyle(style.LIMIT, 0.4, (4.0, 1.0)),
    "transverse rods bottom": LineStyle(style.LIMIT, 0.4, (2.0, 1.0)),
    "transverse rods": LineStyle(style.LIMIT, 0.4, (4.0, 1.0)),
    "rod sections": LineStyle(style.LIMIT, 0.3),
    "skin": LineStyle(style.INK, 0.3),
    "joiner": LineStyle(style.INK, 0.4),
    "joiner channel": LineStyle(style.QUIET, 0.2, (1.5, 0.8)),
    "lids": LineStyle(style.STRETCHED_LINE, 0.25),
    "boards": LineStyle(style.INK, 0.3),
    "pack": LineStyle(style.MARK, 0.4),
    "motor": LineStyle(style.STRETCHED_LINE, 0.3),
    "slots": LineStyle(style.QUIET, 0.3),
    "parts": LineStyle(style.STRETCHED_LINE, 0.3),
    "equipment": LineStyle(style.STRETCHED_LINE, 0.2),
    "free height": LineStyle(style.MARK, 0.6),
    "nail holes": LineStyle(style.INK, 0.18),
    "bays": LineStyle(style.QUIET, 0.25, (2.0, 1.0)),
    "pockets": LineStyle(style.QUIET, 0.3),
    "joint": LineStyle(style.MARK, 0.4, (5.0, 1.5, 1.0, 1.5)),
    "balance mark": LineStyle(style.MARK, 0.6),
    "check square": LineStyle(style.INK, 0.2),
    "warning": LineStyle(style.WARNING, 1.2),
}
