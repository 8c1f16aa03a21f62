"""Additional breaks in an outline: at inboard fins and at kinks of the elevon's chord.

Number and order of the breaks depend on the stock wing alone, so the number of strips is fixed for a study.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise
from math import isclose
from typing import NamedTuple

import numpy as np

from .planform import Planform, StockWing

# Least distance between two breaks on the stock wing, in m. A kink or fin that is nearer to a break uses that break,
# because no strips would fit between.
_MERGED = 2e-3
_SAME_SLOPE = 1e-6  # smallest change in the slope of the chord along the span that is a kink; less is rounding
_INTERPOLATED = ("station", "leading_edge", "height", "foam_chord", "elevon_chord", "twist")


class BreakPlan(NamedTuple):
    """The breaks of the finished outline and where each comes from. Stations are in [m], shares are pure numbers [-].

    ``fins`` and ``kinks`` hold indices of breaks of the finished outline.
    """

    sources: tuple[
        tuple[int, float | None], ...
    ]  # per break: (index of an old break, None) or (index of an old piece, station on the stock wing)
    pieces: tuple[str, ...]
    shares: tuple[float, ...]  # width of each piece over the width of the old piece that contains it
    fins: tuple[int, ...]  # break on which each fin stands
    kinks: tuple[int, ...]  # break at each kink of the elevon's chord


def with_breaks(wing: Planform, stock: StockWing, scheme: str, fin_stations: tuple[float, ...]) -> Planform:
    """Return a stretched outline with breaks at inboard fins and at every kink of the elevon's chord.

    Geometry, no source needed.

    Parameters
    ----------
    wing : planform.Planform
        Outline of `stretch_schemes.stretched_planform`, without these breaks.
    stock : planform.StockWing
    scheme : str
        ``"scaled"``: a break on the panel keeps its share of the semi-span; a break on the flat centre piece keeps
        its station. ``"plug"``: every break moves out with the panel. ``"tip"``: every break keeps its station.
    fin_stations : tuple of float
        Stations of inboard fins on the stock wing. [m]
    """
    plan = _plan(stock, wing.pieces, fin_stations)
    fields: dict[str, list[np.ndarray]] = {name: [] for name in _INTERPOLATED}
    for index, station in plan.sources:
        values = {name: getattr(wing, name)[..., index] for name in _INTERPOLATED}
        if station is not None:
            place = _moved(wing, stock, scheme, station)
            share = (place - values["station"]) / (wing.station[..., index + 1] - values["station"])
            values = {
                name: value + (getattr(wing, name)[..., index + 1] - value) * share for name, value in values.items()
            } | {"station": place}
        for name, value in values.items():
            fields[name].append(value)
    if stock.elevon_outline:
        chords = _elevon_chords(fields["station"], plan.kinks, stock.elevon_outline)
        fields["elevon_chord"] = [
            chord * _tip_growth(wing, stock, station) for chord, station in zip(chords, fields["station"], strict=True)
        ]
    cut = wing._replace(
        **{name: np.stack(np.broadcast_arrays(*values), axis=-1) for name, values in fields.items()},
        pieces=plan.pieces,
        piece_shares=plan.shares,
        marks=plan.fins,
    )
    if stock.elevon_outline:
        carried = wing.elevon_outer_end - stock.elevon_outer_end if scheme == "tip" else 0.0
        cut = cut._replace(
            elevon_inner_end=_moved(wing, stock, scheme, stock.elevon_inner_end),
            elevon_outer_end=_moved(wing, stock, scheme, stock.elevon_outer_end) + carried,
        )
    return cut


def _moved(wing: Planform, stock: StockWing, scheme: str, station: float) -> np.ndarray:
    """Return the place of a station of the stock wing on the stretched one. The result has shape (...). [m]"""
    semi_span = wing.semi_span
    if scheme == "plug":
        return station + (semi_span - stock.semi_span)
    if scheme == "scaled" and station > stock.panel_start:
        return station * semi_span / stock.semi_span
    return station + 0 * semi_span


def _tip_growth(wing: Planform, stock: StockWing, station: np.ndarray) -> np.ndarray:
    """Return the factor (...) on the elevon's chord at a ``station`` (...) [m] of a wing with another tip chord.

    At the tip it is the ratio of the foam chords, at the root of the panel 1, and between them linear. So the elevon
    keeps its share of the chord at both ends, as without an outline.
    """
    panel_end = wing.pieces.index("panel") + 1
    start, end = wing.station[..., panel_end - 1], wing.station[..., panel_end]
    share = (station - start) / (end - start)
    inside = np.where(np.real(share) < 0, 0.0 * share, np.where(np.real(share) > 1, 1.0 + 0.0 * share, share))
    return 1.0 + (wing.foam_chord[..., panel_end] / stock.tip_chord - 1.0) * inside


def elevon_kinks(outline: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    """Return the points (station, chord) [m] of an elevon's ``outline`` [m] at which its chord kinks.

    A constant chord has none. Inside the first point and outside the last one the chord is taken as constant. Geometry,
    no source needed.

    >>> elevon_kinks(((0.1, 0.05), (0.3, 0.05), (0.5, 0.03)))
    [(0.3, 0.05), (0.5, 0.03)]
    """
    slopes = [0.0, *((b[1] - a[1]) / (b[0] - a[0]) for a, b in pairwise(outline)), 0.0]
    return [
        point
        for point, before, after in zip(outline, slopes, slopes[1:], strict=False)
        if not isclose(before, after, abs_tol=_SAME_SLOPE)
    ]


def _elevon_chords(
    stations: list[np.ndarray], kinks: tuple[int, ...], outline: tuple[tuple[float, float], ...]
) -> list[np.ndarray]:
    """Return the elevon's chord at every break: linear between kinks, constant inside the first and outside the last
    kink.
    """
    at_kinks = [chord for _, chord in elevon_kinks(outline)]
    chords = []
    for number, here in enumerate(stations):
        after = sum(number >= kink for kink in kinks)
        if after in (0, len(kinks)):
            chords.append((at_kinks[max(after - 1, 0)] if at_kinks else outline[0][1]) + 0 * here)
            continue
        left, right = stations[kinks[after - 1]], stations[kinks[after]]
        chords.append(at_kinks[after - 1] + (at_kinks[after] - at_kinks[after - 1]) * ((here - left) / (right - left)))
    return chords


@lru_cache(maxsize=64)
def _plan(stock: StockWing, pieces: tuple[str, ...], fin_stations: tuple[float, ...]) -> BreakPlan:
    """Return the BreakPlan of a stock wing whose outline consists of ``pieces``."""
    ends = {"centre": stock.panel_start, "panel": stock.semi_span, "tip": np.inf}
    old = [0.0, *(ends[piece] for piece in pieces)]
    kinks = tuple(station for station, _ in elevon_kinks(stock.elevon_outline))
    cuts: list[float] = []
    merged: dict[float, float] = {}  # station of a kink or fin -> station of its break
    for station in (*kinks, *fin_stations):
        # where two old breaks share a station, take the outer one, which is the panel's root
        near = [other for other in (*old[::-1], *cuts) if abs(other - station) < _MERGED]
        merged[station] = near[0] if near else station
        if not near:
            cuts.append(station)
    places: list[tuple[float, int, float | None]] = [(station, index, None) for index, station in enumerate(old)]
    for station in cuts:
        piece = max(index for index in range(len(pieces)) if old[index] < station)
        places.append((station, piece, station))
    places.sort(key=lambda place: (place[0], place[2] is not None, place[1]))
    numbers = {station: number for number, (station, _, _) in enumerate(places)}
    names, shares = [], []
    for (left, index, _), (right, _, _) in pairwise(places):
        width = old[index + 1] - old[index]
        names.append(pieces[index])
        shares.append((right - left) / width if 0 < width < np.inf else 1.0)
    return BreakPlan(
        sources=tuple((index, station) for _, index, station in places),
        pieces=tuple(names),
        shares=tuple(shares),
        fins=tuple(numbers[merged[station]] for station in fin_stations),
        kinks=tuple(numbers[merged[station]] for station in kinks),
    )
