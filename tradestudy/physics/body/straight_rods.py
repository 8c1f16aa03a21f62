"""Rods as straight stock: their lines seen from above, and how the two halves meet.

x is the distance behind the nose datum, and y that from the centre line. A line is that of the right half wing. In
shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.arrays import stacked, unstacked
from tradestudy.physics.geometry.planform import Planform, break_shares, interpolated

from .rod_limits import LAP_GAP, PAIRS_APART

_FOREMOST, _REARMOST = 0.12, 0.9  # shares of the foam chord between which the pairs of a set are spread


class PlanLine(NamedTuple):
    """A straight line seen from above, or several in one record. Fields are (...) in [m]."""

    inner_x: Any  # place of the inner end behind the nose datum
    inner_y: Any  # distance of the inner end from the centre line; negative in the other half wing
    outer_x: Any  # place of the outer end behind the nose datum
    outer_y: Any  # distance of the outer end from the centre line

    @property
    def length(self) -> Any:
        """Length (...) by Pythagoras. Geometry, no source needed. [m]"""
        return np.sqrt((self.outer_x - self.inner_x) ** 2 + (self.outer_y - self.inner_y) ** 2)

    @property
    def slope(self) -> Any:
        """Distance aft over distance outward (...), by definition. [-]"""
        return (self.outer_x - self.inner_x) / (self.outer_y - self.inner_y)


class RodEnds(NamedTuple):
    """Where rods end in a half wing, and where their chord fractions hold. Fields are (...) in [m].

    A station is a distance from the centre line, and an edge the place of the leading edge behind the nose datum.
    """

    inner: Any  # station of the inner end
    fixed: Any  # station where the first chord fraction holds, see ``first_fixed_station``
    fixed_edge: Any
    fixed_chord: Any  # chord of the foam
    outer: Any  # station of the outer end
    outer_edge: Any
    outer_chord: Any  # chord of the foam


class Marks(NamedTuple):
    """What a layout asks of the outline of a half wing, found in one look-up. Lengths are in [m]."""

    rods: RodEnds  # fields are (..., n_set)
    pocket_y: Sequence[Any]  # distance of each pocket from the centre line (...)
    pocket_edge: Any  # place of the leading edge there behind the nose datum (..., n_pocket)
    gear_y: Sequence[Any]  # distance of each item of equipment from the centre line (...)
    gear_edge: Any  # place of the leading edge there behind the nose datum (..., n_item)
    hinge_x: Any  # place of the inner and outer end of the elevon's hinge behind the nose datum (..., 2)
    shares: Any  # weights of breaks at the rods' outer ends, at pockets and at walls (..., n, n_break) [-]


def marks(
    wing: Planform,
    inner_ends: Sequence[Any] = (),
    outer_ends: Sequence[Any] = (),
    pockets: Sequence[Any] = (),
    items: Sequence[Any] = (),
    walls: Sequence[Any] = (),
) -> Marks:
    """Return the Marks (...) of a half wing. Geometry, no source needed.

    ``inner_ends`` and ``outer_ends`` of sets of rods, ``pockets``, ``items`` of equipment, and ``walls`` of boxes hold
    distances (...) from the centre line [m].
    """
    inner, fixed = np.zeros(0), []
    if inner_ends:
        inner, start = stacked(inner_ends), _panel_start(wing)[..., None]
        fixed = unstacked(first_fixed_station(start, inner, stacked(outer_ends)))
    hinge = wing.elevon_inner_end, wing.elevon_outer_end
    stations = stacked([*hinge, *items, *fixed, *outer_ends, *pockets, *walls])
    shares = break_shares(wing.station, stations)
    edge, chord = unstacked(shares @ stacked([wing.leading_edge, wing.foam_chord]))
    counts = len(hinge), len(items), len(fixed), len(outer_ends), len(pockets)
    ends, item, first, outer, pocket = (
        slice(stop - n, stop) for n, stop in zip(counts, accumulate(counts), strict=True)
    )
    return Marks(
        rods=RodEnds(
            inner=inner,
            fixed=stations[..., first],
            fixed_edge=edge[..., first],
            fixed_chord=chord[..., first],
            outer=stations[..., outer],
            outer_edge=edge[..., outer],
            outer_chord=chord[..., outer],
        ),
        pocket_y=pockets,
        pocket_edge=edge[..., pocket],
        gear_y=items,
        gear_edge=edge[..., item],
        hinge_x=edge[..., ends] + chord[..., ends],
        shares=shares[..., outer.start :, :],
    )


def rod_ends(wing: Planform, inner_end: Any, outer_end: Any) -> RodEnds:
    """Return the RodEnds (...) of one rod that reaches from ``inner_end`` to ``outer_end`` (...) [m]. Geometry."""
    fixed = first_fixed_station(_panel_start(wing), inner_end, outer_end)
    y = stacked([fixed, outer_end + 0 * fixed])
    edge, chord = interpolated(wing, (wing.leading_edge, wing.foam_chord), y)
    return RodEnds(
        inner=inner_end + 0 * fixed,
        fixed=fixed,
        fixed_edge=edge[..., 0],
        fixed_chord=chord[..., 0],
        outer=outer_end + 0 * fixed,
        outer_edge=edge[..., 1],
        outer_chord=chord[..., 1],
    )


def line_between(ends: RodEnds, chord_fraction: Any, tip_chord_fraction: Any) -> PlanLine:
    """Return the PlanLine (...) of straight rods. Geometry, no source needed.

    ``chord_fraction`` and ``tip_chord_fraction`` (...) [-] are as in ``straight_rod``.
    """
    first = ends.fixed_edge + chord_fraction * ends.fixed_chord
    last = ends.outer_edge + tip_chord_fraction * ends.outer_chord
    slope = (last - first) / (ends.outer - ends.fixed)
    return PlanLine(first + slope * (ends.inner - ends.fixed), ends.inner, last, ends.outer)


def x_at(line: PlanLine, y: Any) -> Any:
    """Return the place (..., n) of a line (...) behind the nose datum, at stations ``y`` (..., n) [m]. [m]

    Geometry, no source needed. Beyond its ends the line continues.
    """
    inner_x, inner_y, slope = (np.asarray(value)[..., None] for value in (line.inner_x, line.inner_y, line.slope))
    return inner_x + slope * (y - inner_y)


def straight_rod(wing: Planform, chord_fraction: Any, tip_chord_fraction: Any, inner_end: Any, outer_end: Any) -> Any:
    """Return the PlanLine of a straight rod in a half wing. Geometry, no source needed.

    Parameters
    ----------
    wing : Planform
        The stretched wing (...).
    chord_fraction, tip_chord_fraction : (...) array
        Shares of the foam chord where the tapered panel starts, and at the outer end. If the rod starts outboard of
        there, or ends inboard of there, the first is that at its inner end. [-]
    inner_end, outer_end : (...) array
        Ends of the rod in this wing, as distances from the centre line. [m]

    Returns
    -------
    PlanLine
        Its fields are (...) in [m]. Inboard of the panel the line goes straight on. It does not follow a centre piece
        without sweep.

    Examples
    --------
    The chord is 0.2 m, and the sweep of the panel 45 degrees outboard of 0.1 m. Straight on, the rod would leave the
    nose at the centre line 0.1 m farther forward than at the panel.

    >>> from tradestudy.physics.geometry.planform import StockWing
    >>> from tradestudy.physics.geometry.stretch_schemes import stock_planform
    >>> stock = StockWing(span=1.2, centre_width=0.2, root_chord=0.2, tip_chord=0.2, tip_set_back=0.5, washout=0.0,
    ...                   dihedral=0.0, elevon_root_chord=0.0, elevon_tip_chord=0.0, elevon_inner_end=0.0,
    ...                   elevon_outer_end=0.6)
    >>> [round(float(value), 6) for value in straight_rod(stock_planform(stock), 0.6, 0.6, 0.0, 0.5)]
    [0.02, 0.0, 0.52, 0.5]
    """
    return line_between(rod_ends(wing, inner_end, outer_end), chord_fraction, tip_chord_fraction)


def first_fixed_station(start: Any, inner_end: Any, outer_end: Any) -> Any:
    """Return the station (...) where the first chord fraction of a rod holds. By definition as in ``straight_rod``. [m]

    The tapered panel starts at ``start``, and the rod reaches from ``inner_end`` to ``outer_end``. All are distances
    (...) from the centre line [m].
    """
    inside = (inner_end.real < start.real) & (outer_end.real > start.real)
    return np.where(inside, start, inner_end)


def _panel_start(wing: Planform) -> Any:
    return wing.station.T[wing.pieces.index("panel")].T


def parallel_lines(ends: RodEnds, line: PlanLine, count: int) -> PlanLine:
    """Return the lines (..., count) of the pairs of a set, parallel to its middle ``line`` (...).

    They are PAIRS_APART from each other along the chord if there is room, on both sides of the middle line. So the mean
    of their places and their length are those of the middle line. ``count`` is the number of pairs [-]. The room is
    that where the chord fractions hold, at ``ends`` (...). Geometry, no source needed.
    """
    apart = 2.0 * _least_room(ends, line)[..., None] / max(count - 1, 1)
    apart = np.where(np.real(apart) > PAIRS_APART, PAIRS_APART, np.where(np.real(apart) > 0.0, apart, 0.0))
    offset = apart * (np.arange(count) - 0.5 * (count - 1))
    inner_x, inner_y, outer_x, outer_y = (np.asarray(value)[..., None] for value in line)
    return PlanLine(inner_x + offset, inner_y + 0 * offset, outer_x + offset, outer_y + 0 * offset)


def half_spread(ends: RodEnds, line: PlanLine, count: Any) -> Any:
    """Return how far the outer pairs of a set lie from its middle ``line`` (...) along the chord. [m]

    It is that of ``parallel_lines``, for a ``count`` (...) that need not be whole [-]. Geometry, no source needed.
    """
    usual = 0.5 * PAIRS_APART * (count - 1.0) * (count.real > 1.0)
    return np.maximum(np.minimum(_least_room(ends, line), usual), 0.0)


def _least_room(ends: RodEnds, line: PlanLine) -> Any:
    """Return the least room (...) beside the middle ``line`` of a set for its other pairs, along the chord. [m]"""
    first = line.outer_x + line.slope * (ends.fixed - line.outer_y) - ends.fixed_edge
    last = line.outer_x - ends.outer_edge
    room = [
        first - _FOREMOST * ends.fixed_chord,
        last - _FOREMOST * ends.outer_chord,
        _REARMOST * ends.fixed_chord - first,
        _REARMOST * ends.outer_chord - last,
    ]
    return np.minimum.reduce(room)  # numbers of complex steps are compared by their real parts first


def transverse_rod(line: PlanLine, diameter: Any, lap: Any) -> PlanLine:
    """Return the right half of the straight rod across the centre, beside which a rod on a ``line`` (...) ends.

    It lies square to the centre line, one ``diameter`` and LAP_GAP from the rod's inner end, from middle to middle. It
    is ahead of that end where the rod runs aft, and behind it where the rod runs forward, so that they never cross. It
    reaches beyond that end by the ``lap``, measured along the rod. Diameter and lap are (...) in [m]. This is a
    definition. It jumps where the slope changes its sign, by some millimetres of a rod of some grams.
    """
    reach = line.inner_y + lap * cosine(line)
    apart = diameter + LAP_GAP
    place = line.inner_x + apart * (2.0 * (line.slope.real < 0.0) - 1.0)
    return PlanLine(place, 0 * reach, place + 0 * reach, reach)


def carried_on(line: PlanLine, lap: Any) -> PlanLine:
    """Return a ``line`` (...) carried on straight beyond its inner end by a length ``lap`` (...) [m]. Geometry."""
    across = lap * cosine(line)
    return line._replace(inner_x=line.inner_x - line.slope * across, inner_y=line.inner_y - across)


def cosine(line: PlanLine) -> Any:
    """Return the cosine (...) of the angle between a line and the square to the centre line. Geometry. [-]"""
    slope = line.slope
    return 1.0 / np.sqrt(1.0 + slope * slope)


def each_line(lines: PlanLine) -> list[PlanLine]:
    """Return the lines (n,) of a record as records of single numbers. This is bookkeeping."""
    return [PlanLine(*(float(end) for end in ends)) for ends in zip(*lines, strict=True)]
