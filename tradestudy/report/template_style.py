"""How each layer of a full-size drawing is stroked: told apart by width and dashes on a grey printer too."""

from __future__ import annotations

from typing import NamedTuple

from . import drawing as ink


class Style(NamedTuple):
    """Colour, width [mm] and dashes (line, gap ... [mm])."""

    colour: str
    width_mm: float
    dashes: tuple[float, ...] = ()


STYLES = {
    "foam": Style(ink.INK, 0.3),
    "wing": Style(ink.INK, 0.3),
    "elevon": Style(ink.STRETCHED, 0.3),
    "fin": Style(ink.INK, 0.3),
    "fin foot": Style(ink.MARK, 0.3, (4.0, 1.5)),
    "hinge line": Style(ink.STRETCHED, 0.4, (6.0, 1.5)),
    "chord line": Style(ink.QUIET, 0.18, (8.0, 1.5, 1.5, 1.5)),
    "level line": Style(ink.MARK, 0.25, (3.0, 1.5)),
    "wire steps": Style(ink.INK, 0.18),
    "rod slots": Style(ink.LIMIT, 0.3),
    "rod lines": Style(ink.LIMIT, 0.25, (1.2, 0.8)),
    "rods": Style(ink.LIMIT, 0.4),
    "nail holes": Style(ink.INK, 0.18),
    "bays": Style(ink.QUIET, 0.25, (2.0, 1.0)),
    "pockets": Style(ink.QUIET, 0.3),
    "joint": Style(ink.MARK, 0.4, (5.0, 1.5, 1.0, 1.5)),
    "balance mark": Style(ink.MARK, 0.6),
    "check square": Style(ink.INK, 0.2),
}
