"""More breaks in an outline: where a fin stands inboard, and where the elevon's chord kinks.

Which breaks there are, and in which order, follows from the stock wing alone, so that a study keeps its strips.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise
from math import isclose
from typing import Any, NamedTuple

import numpy as np

_MERGED = 2e-3  # m, on the stock wing; nearer to another break than this, no strips would fit between
_SAME_SLOPE = 1e-6  # of chord over span; less is rounding, not a kink


class BreakPlan(NamedTuple):
    """What is cut where; numbers count the breaks of the finished outline. Stations [m], shares [-]."""

    sources: tuple[tuple[int, float | None], ...]  # each break: (old break, None) or (old piece, stock station)
    pieces: tuple[str, ...]
    shares: tuple[float, ...]  # of the width of its own old piece
    fins: tuple[int, ...]  # where each fin stands
    kinks: tuple[int, ...]  # where each kink of the elevon's chord lies


def with_breaks(wing, stock, scheme, fin_stations):
    """Return a stretched outline cut at inboard fins and at every kink of the elevon's outline.

    Parameters
    ----------
    wing : planform.Planform
        As `planform.stretched_planform` builds it, without them.
    stock : planform.StockWing
    scheme : str
        ``"scaled"``: a break on the panel stays at its share of the semi-span, one on the flat centre piece stays.
        ``"plug"``: it moves out with the panel. ``"tip"``: it stays.
    fin_stations : tuple of float
        Where inboard fins stand on the stock wing. [m]
    """
    plan = _plan(stock, wing.pieces, fin_stations)
    fields = {name: [] for name in ("station", "leading_edge", "height", "foam_chord", "elevon_chord", "twist")}
    for index, station in plan.sources:
        share: Any = 0.0
        if station is not None:
            left, right = wing.station[..., index], wing.station[..., index + 1]
            place = _moved(wing, stock, scheme, station)
            share = (place - left) / (right - left)
        for name, values in fields.items():
            old = getattr(wing, name)
            values.append(
                old[..., index]
                if station is None
                else old[..., index] + (old[..., index + 1] - old[..., index]) * share
            )
        if station is not None:
            fields["station"][-1] = place
    if stock.elevon_outline:
        fields["elevon_chord"] = _elevon_chords(fields["station"], plan.kinks, stock.elevon_outline)
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


def _moved(wing, stock, scheme, station):
    """Where a station of the stock wing lies on the stretched one. (...) [m]"""
    now = wing.semi_span
    if scheme == "plug" or (scheme == "scaled" and station <= stock.panel_start):
        return station + (now - stock.semi_span if scheme == "plug" else 0 * now)
    return station * now / stock.semi_span if scheme == "scaled" else station + 0 * now


def elevon_kinks(outline):
    """Return the points (station, chord) [m] of an elevon's outline at which its chord kinks; none if it is even.

    Inside of the first and outside of the last point the chord stays as it is there.
    """
    slopes = [0.0, *((b[1] - a[1]) / (b[0] - a[0]) for a, b in pairwise(outline)), 0.0]
    return [
        point
        for point, before, after in zip(outline, slopes, slopes[1:], strict=False)
        if not isclose(before, after, abs_tol=_SAME_SLOPE)
    ]


def _elevon_chords(stations, kinks, outline):
    """Chord at every break: straight between the kinks, constant inside the first and outside the last."""
    chords = [chord for _, chord in elevon_kinks(outline)]
    found = []
    for number, here in enumerate(stations):
        after = sum(number >= kink for kink in kinks)
        if after in (0, len(kinks)):
            found.append((chords[max(after - 1, 0)] if chords else outline[0][1]) + 0 * here)
            continue
        left, right = stations[kinks[after - 1]], stations[kinks[after]]
        found.append(chords[after - 1] + (chords[after] - chords[after - 1]) * ((here - left) / (right - left)))
    return found


@lru_cache(maxsize=64)
def _plan(stock, pieces, fin_stations):
    """Return the Plan of a stock wing whose outline has ``pieces``."""
    ends = {"centre": stock.panel_start, "panel": stock.semi_span, "tip": np.inf}
    old = [0.0, *(ends[piece] for piece in pieces)]
    kept = [(station, index) for index, station in enumerate(old)]  # the later of two at one place: the panel's root
    cuts: list[float] = []
    found: dict[float, float] = {}  # a wanted station -> the break that stands for it

    def settle(wanted):
        near = [station for station in (*old[::-1], *cuts) if abs(station - wanted) < _MERGED]
        if near:
            found[wanted] = near[0]
        else:
            found[wanted] = wanted
            cuts.append(wanted)

    kinks = tuple(station for station, _ in elevon_kinks(stock.elevon_outline))
    for station in (*kinks, *fin_stations):
        settle(station)
    places: list[tuple[float, int, float | None]] = [(station, index, None) for station, index in kept]
    for station in cuts:
        piece = max(index for index in range(len(pieces)) if old[index] < station)
        places.append((station, piece, station))
    places.sort(key=lambda place: (place[0], place[2] is not None, place[1]))
    numbers = {station: number for number, (station, _, _) in enumerate(places)}
    names, shares = [], []
    for (left, index, _), (right, _, _) in zip(places[:-1], places[1:], strict=True):
        whole = old[index + 1] - old[index]
        names.append(pieces[index])
        shares.append((right - left) / whole if 0 < whole < np.inf else 1.0)
    return BreakPlan(
        tuple((index, station) for _, index, station in places),
        tuple(names),
        tuple(shares),
        tuple(numbers[found[station]] for station in fin_stations),
        tuple(numbers[found[station]] for station in kinks),
    )
