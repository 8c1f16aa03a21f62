"""Sheet fins on the wing: their place and size, and the growth that keeps the stock fin volume.

A fin stands on its foot chord and reaches ``height`` above the wing and ``depth_below`` below it in one plane. Both
parts are tapered and swept by themselves. Every fin has its mirror image on the other half wing.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from . import planform
from .stretch_schemes import stock_planform

_NEWTON_STEPS = 6  # from 1; half or twice the fin is met to rounding, and a complex step keeps its slope
_LENGTHS = ("height", "root_chord", "tip_chord", "set_back", "depth_below", "tip_chord_below", "set_back_below")


class SheetFin(NamedTuple):
    """One fin of the right half wing. Lengths [m] and angles [rad], each of shape (...); the rest does not vary."""

    height: Any  # along the fin, 0 for a fin below the wing alone
    root_chord: Any  # the foot, of both parts
    tip_chord: Any
    set_back: Any  # top leading edge behind the foot's
    behind_leading_edge: Any  # foot's leading edge behind the wing's at that station
    depth_below: Any = 0.0
    tip_chord_below: Any = 0.0
    set_back_below: Any = 0.0
    cant: Any = 0.0  # top tipped outward positive
    toe: Any = 0.0  # leading edge turned inward positive, about the fin's own span
    from_centre: float | None = None  # station on the stock wing; None: on the tip, wherever that moves
    areal_mass: float = 0.0  # [kg/m^2]
    stands_on: int = -1  # break of the outline it stands on, -1 the tip


class FinPart(NamedTuple):
    """The part of a fin above or below the wing, a trapezoid; ``length`` counts along the fin. Each (...) [m]."""

    direction: float  # 1 up, -1 down
    length: Any
    root_chord: Any
    tip_chord: Any
    set_back: Any

    @property
    def area(self) -> np.ndarray:
        """Area of one part (...), geometry. [m^2]"""
        return 0.5 * (self.root_chord + self.tip_chord) * self.length


def fin_parts(fin: SheetFin) -> tuple[FinPart, FinPart]:
    """Return the parts of a fin above and below the wing, geometry; one of the two may have no length."""
    return (
        FinPart(1.0, fin.height, fin.root_chord, fin.tip_chord, fin.set_back),
        FinPart(-1.0, fin.depth_below, fin.root_chord, fin.tip_chord_below, fin.set_back_below),
    )


def inboard_stations(fins: tuple[SheetFin, ...]) -> tuple[float, ...]:
    """Return the stations on the stock wing of the fins that do not stand on the tip, geometry. [m]"""
    return tuple(fin.from_centre for fin in fins if fin.from_centre is not None)


def sheet_area(fins: tuple[SheetFin, ...]) -> np.ndarray:
    """Return the area (...) of all fins of both sides, one face of each; geometry. [m^2]

    >>> fin = SheetFin(height=0.1, root_chord=0.12, tip_chord=0.08, set_back=0.04, behind_leading_edge=0.0)
    >>> round(sheet_area((fin,)), 4)
    0.02
    """
    one_side: Any = sum(part.area for fin in fins for part in fin_parts(fin))
    return 2 * one_side


def side_area(fins: tuple[SheetFin, ...]) -> np.ndarray:
    """Return the area (...) of all fins seen from the side, without overlap: area x cos(cant), geometry. [m^2]"""
    return 2 * sum(part.area * np.cos(fin.cant) for fin in fins for part in fin_parts(fin))


def quarter_chord(fins: tuple[SheetFin, ...], wing: planform.Planform) -> np.ndarray:
    """Return the mean place (...) of the fins' quarter chords behind the nose datum, by side area; geometry. [m]"""
    shares = [(part.area * np.cos(fin.cant), _quarter(fin, part, wing)) for fin in fins for part in fin_parts(fin)]
    return sum(share * place for share, place in shares) / sum(share for share, _ in shares)


def _quarter(fin: SheetFin, part: FinPart, wing: planform.Planform) -> np.ndarray:
    middle = fin.behind_leading_edge + 0.5 * part.set_back + 0.125 * (part.root_chord + part.tip_chord)
    return wing.leading_edge[..., fin.stands_on] + middle


def fin_volume(side_area: np.ndarray, fin_arm: np.ndarray, wing_area: np.ndarray, span: np.ndarray) -> np.ndarray:
    """Return the fin volume coefficient (...), a definition: side area times arm over wing area and span. [-]

    ``side_area`` [m^2], ``fin_arm`` behind the balance point [m], ``wing_area`` [m^2] and ``span`` [m] are (...). A
    canted fin counts with its projection on the plane of symmetry, area x cos(cant). Its effect on yaw varies with the
    square of the cosine; the lattice's yaw stiffness has that exactly.
    """
    return side_area * fin_arm / (wing_area * span)


def fitted_fins(
    fins: tuple[SheetFin, ...],
    stock: planform.StockWing,
    wing: planform.Planform,
    areas: planform.Areas,
    rule: str,
) -> tuple[SheetFin, ...]:
    """Return the fins of a stretched wing, each number (...), each with the break it stands on; geometry.

    Parameters
    ----------
    fins : tuple of SheetFin
        Those of the stock wing.
    stock : planform.StockWing
    wing, areas : planform.Planform, planform.Areas
        Stretched, with a break for every inboard fin (``marks``).
    rule : str
        ``"keep"`` leaves the sizes. ``"hold_volume"`` scales every length of every fin by one factor. Side area times
        arm over wing area and span then stays that of the stock wing. The arm runs from the quarter of the mean
        aerodynamic chord to the fin's own quarter. Place, cant and toe are kept.
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
    """Solve growth^2 (volume at the arms of fins of no size + growth x the rest) = stock fin volume, by Newton."""
    full = _volume(fins, fins, wing, areas)
    start = _volume(fins, tuple(_grown(fin, 0.0) for fin in fins), wing, areas)
    rest = full - start
    growth = np.ones_like(full)
    for _ in range(_NEWTON_STEPS):
        slope = growth * (2 * start + 3 * growth * rest)
        growth = growth - (growth**2 * (start + growth * rest) - stock_volume) / slope
    return growth


@lru_cache(maxsize=8)
def _stock_volume(stock: planform.StockWing, fins: tuple[SheetFin, ...]) -> float:
    wing = stock_planform(stock, inboard_stations(fins))
    fins = _placed(fins, wing)
    return float(_volume(fins, fins, wing, planform.areas(wing)))


def _volume(
    sizes: tuple[SheetFin, ...], places: tuple[SheetFin, ...], wing: planform.Planform, areas: planform.Areas
) -> np.ndarray:
    """Side area of ``sizes`` times the arm of ``places``, over wing area and span (...). [-]"""
    quarter = areas.mean_aerodynamic_chord_leading_edge + 0.25 * areas.mean_aerodynamic_chord
    moment: Any = 0.0
    for size, place in zip(sizes, places, strict=True):
        for part, at in zip(fin_parts(size), fin_parts(place), strict=True):
            moment = moment + 2 * np.cos(size.cant) * part.area * (_quarter(place, at, wing) - quarter)
    return moment / (areas.area * areas.span)
