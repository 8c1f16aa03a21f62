"""Sheet fins on the wing: their place and size, and the growth that keeps the stock fin volume.

A fin has a foot chord on the wing. It reaches ``height`` above the wing and ``depth_below`` below it, in one plane.
Each of these two parts has its own taper and sweep. Every fin has its mirror image on the other half wing. "(...)"
means arrays of any batch shape.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.air import equal_friction_chord

from . import planform
from .stretch_schemes import stock_planform

# Newton steps from a growth of 1. A growth of 0.5 or 2 is then exact to rounding, and a complex step keeps its
# derivative.
_NEWTON_STEPS = 6
_LENGTHS = ("height", "root_chord", "tip_chord", "set_back", "depth_below", "tip_chord_below", "set_back_below")


class SheetFin(NamedTuple):
    """One fin of the right half wing. Lengths [m] and angles [rad] have any batch shape (...).

    The fields ``from_centre``, ``areal_mass`` and ``stands_on`` are single values.
    """

    height: Any  # measured along the fin; 0 for a fin that is below the wing only
    root_chord: Any  # foot chord, common to both parts
    tip_chord: Any
    set_back: Any  # distance of the top's leading edge behind the foot's
    behind_leading_edge: Any  # distance of the foot's leading edge behind the wing's at that station
    depth_below: Any = 0.0
    tip_chord_below: Any = 0.0
    set_back_below: Any = 0.0
    cant: Any = 0.0  # positive with the top tipped outward
    toe: Any = 0.0  # rotation about the fin's own span, positive with the leading edge inward
    from_centre: float | None = None  # station on the stock wing; None means on the tip, also after stretching
    areal_mass: float = 0.0  # [kg/m^2]
    stands_on: int = -1  # index of the outline's break on which the fin stands; -1 is the tip


class FinPart(NamedTuple):
    """The part of a fin above or below the wing, a trapezoid. ``length`` is measured along the fin. Each field is (...)
    [m].
    """

    direction: float  # 1 up, -1 down
    length: Any
    root_chord: Any
    tip_chord: Any
    set_back: Any

    @property
    def area(self) -> np.ndarray:
        """Area of the part (...). Geometry, no source needed. [m^2]"""
        return 0.5 * (self.root_chord + self.tip_chord) * self.length


def fin_parts(fin: SheetFin) -> tuple[FinPart, FinPart]:
    """Return the parts of a fin above and below the wing. Geometry, no source needed.

    A part that the fin does not have is of length zero.
    """
    return (
        FinPart(1.0, fin.height, fin.root_chord, fin.tip_chord, fin.set_back),
        FinPart(-1.0, fin.depth_below, fin.root_chord, fin.tip_chord_below, fin.set_back_below),
    )


def inboard_stations(fins: tuple[SheetFin, ...]) -> tuple[float, ...]:
    """Return the stations of the inboard fins on the stock wing: all fins that do not stand on the tip. [m]

    Geometry, no source needed.
    """
    return tuple(fin.from_centre for fin in fins if fin.from_centre is not None)


def sheet_area(fins: tuple[SheetFin, ...]) -> np.ndarray:
    """Return the area (...) of all fins of both half wings, one face of each. Geometry, no source needed. [m^2]

    >>> fin = SheetFin(height=0.1, root_chord=0.12, tip_chord=0.08, set_back=0.04, behind_leading_edge=0.0)
    >>> round(sheet_area((fin,)), 4)
    0.02
    """
    one_side: Any = sum(part.area for fin in fins for part in fin_parts(fin))
    return 2 * one_side


class FinTotals(NamedTuple):
    """All fins of both half wings together. Fields are (...)."""

    area: Any  # as in ``sheet_area`` [m^2]
    side_area: Any  # sum of area x cos(cant), in side view; fins that hide each other there are still added [m^2]
    quarter_chord: Any  # mean place of the quarter chords behind the nose datum, weighted by side area [m]
    friction_chord: Any  # one chord for all of them, see ``air.equal_friction_chord`` [m]


def fin_totals(fins: tuple[SheetFin, ...], wing: planform.Planform) -> FinTotals:
    """Return the FinTotals (...) of fins on a ``wing``. Geometry, no source needed.

    Without fins areas and place are 0, and the friction chord may be any number.
    """
    if not fins:
        return FinTotals(0.0, 0.0, 0.0, 0.1)
    parts = [(fin, part) for fin in fins for part in fin_parts(fin)]
    areas = [part.area for _, part in parts]
    sides = [area * np.cos(fin.cant) for area, (fin, _) in zip(areas, parts, strict=True)]
    side: Any = sum(sides)
    moment = sum(area * _quarter(fin, part, wing) for area, (fin, part) in zip(sides, parts, strict=True))
    chords = [0.5 * (part.root_chord + part.tip_chord) for _, part in parts]
    return FinTotals(2 * sum(areas), 2 * side, moment / side, equal_friction_chord(areas, chords))


def _quarter(fin: SheetFin, part: FinPart, wing: planform.Planform) -> np.ndarray:
    return _foot(fin, wing) + _behind_foot(part)


def _foot(fin: SheetFin, wing: planform.Planform) -> np.ndarray:
    """Return the place (...) of the foot's leading edge behind the nose datum. [m]"""
    return wing.leading_edge.T[fin.stands_on].T + fin.behind_leading_edge


def _behind_foot(part: FinPart) -> np.ndarray:
    return 0.5 * part.set_back + 0.125 * (part.root_chord + part.tip_chord)


def fin_volume(side_area: np.ndarray, fin_arm: np.ndarray, wing_area: np.ndarray, span: np.ndarray) -> np.ndarray:
    """Return the fin volume coefficient (...): side area x arm / (wing area x span). This is a definition. [-]

    ``side_area`` [m^2], ``fin_arm`` behind the balance point [m], ``wing_area`` [m^2] and ``span`` [m] have shape
    (...). A canted fin enters with its projection on the plane of symmetry, area x cos(cant). Its true effect on yaw
    varies with the square of the cosine; the lattice's yaw stiffness includes that exactly.
    """
    return side_area * fin_arm / (wing_area * span)


def fitted_fins(
    fins: tuple[SheetFin, ...],
    stock: planform.StockWing,
    wing: planform.Planform,
    areas: planform.Areas,
    rule: str,
) -> tuple[SheetFin, ...]:
    """Return the fins of a stretched wing, each with the break of the outline on which it stands. Numbers have shape
    (...).

    Geometry, no source needed.

    Parameters
    ----------
    fins : tuple of SheetFin
        Fins of the stock wing.
    stock : planform.StockWing
    wing, areas : planform.Planform, planform.Areas
        The stretched wing, with a break for every inboard fin (``marks``).
    rule : str
        ``"keep"`` keeps the sizes. ``"hold_volume"`` scales every length of every fin by the same factor. The fin
        volume then stays that of the stock wing. Its arm runs from the quarter point of the mean aerodynamic chord to
        the fin's own quarter chord. Place, cant and toe are kept.
    """
    if not fins:
        return ()
    placed = _placed(fins, wing)
    growth = 1.0 + 0 * areas.area if rule == "keep" else _growth(placed, _stock_volume(stock, fins), wing, areas)
    return tuple(_grown(fin, growth) for fin in placed)


def _placed(fins: tuple[SheetFin, ...], wing: planform.Planform) -> tuple[SheetFin, ...]:
    tip = wing.station.shape[-1] - 1
    marks = iter([-1 if mark == tip else mark for mark in wing.marks])
    return tuple(fin if fin.from_centre is None else fin._replace(stands_on=next(marks)) for fin in fins)


def _grown(fin: SheetFin, growth: float | np.ndarray) -> SheetFin:
    lengths = {name: getattr(fin, name) * growth for name in _LENGTHS}
    return fin._replace(**lengths, behind_leading_edge=fin.behind_leading_edge + 0 * growth)


def _growth(
    fins: tuple[SheetFin, ...], stock_volume: float, wing: planform.Planform, areas: planform.Areas
) -> np.ndarray:
    """Return the growth g that keeps the stock fin volume V, by Newton's method.

    It solves g^2 (V0 + g V1) = V. V0 is the volume of the fins at stock size with the arms that fins of no size would
    have. V0 + V1 is the volume at stock size with the true arms.
    """
    start, rest = _volumes(fins, wing, areas)
    growth = 1.0 + 0.0 * rest
    for _ in range(_NEWTON_STEPS):
        slope = growth * (2 * start + 3 * growth * rest)
        growth = growth - (growth**2 * (start + growth * rest) - stock_volume) / slope
    return growth


@lru_cache(maxsize=8)
def _stock_volume(stock: planform.StockWing, fins: tuple[SheetFin, ...]) -> float:
    wing = stock_planform(stock, inboard_stations(fins))
    return float(sum(_volumes(_placed(fins, wing), wing, planform.areas(wing))))


def _volumes(fins: tuple[SheetFin, ...], wing: planform.Planform, areas: planform.Areas) -> tuple[Any, Any]:
    """Return the fin volume (...) with the arms that fins of no size would have, and the rest of it (...). [-]"""
    quarter = areas.mean_aerodynamic_chord_leading_edge + 0.25 * areas.mean_aerodynamic_chord
    start: Any = 0.0
    rest: Any = 0.0
    for fin in fins:
        foot = _foot(fin, wing)
        for part in fin_parts(fin):
            side = 2 * np.cos(fin.cant) * part.area
            start = start + side * (foot - quarter)
            rest = rest + side * _behind_foot(part)
    whole = areas.area * areas.span
    return start / whole, rest / whole
