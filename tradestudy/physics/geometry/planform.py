"""Outline of the half wing: the stock wing as measured, straight pieces between breaks, and exact area integrals.

"(...)" means arrays of any batch shape.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from tradestudy.physics.arrays import stacked


class StockWing(NamedTuple):
    """The stock wing as measured. Lengths are in [m], angles in [rad]. The chords are those of the foam alone.

    ``elevon_outline`` gives points (station, chord) of the elevon from its inner to its outer end. The elevon's root
    chord, tip chord, inner end and outer end are then those of the first and last point. Inside and outside of these
    ends a fixed strip continues the chord of the nearest end. Without an outline the elevon's chord is linear over the
    panel.
    """

    span: float
    centre_width: float
    root_chord: float
    tip_chord: float
    tip_set_back: float
    washout: float
    dihedral: float
    elevon_root_chord: float
    elevon_tip_chord: float
    elevon_inner_end: float
    elevon_outer_end: float
    elevon_outline: tuple[tuple[float, float], ...] = ()

    @property
    def semi_span(self) -> float:
        """Half the span. Geometry, no source needed. [m]"""
        return 0.5 * self.span

    @property
    def elevon_chord(self) -> float:
        """Mean chord of the elevon: over its outline if there is one, else of root and tip. Geometry, no source needed.
        [m]
        """
        if not self.elevon_outline:
            return 0.5 * (self.elevon_root_chord + self.elevon_tip_chord)
        return _mean(*np.transpose(self.elevon_outline))

    @property
    def hinge_fraction(self) -> float:
        """Foam chord over total chord, each a mean along the elevon, or of root and tip without an outline. [-]

        Geometry, no source needed.
        """
        foam = 0.5 * (self.root_chord + self.tip_chord)
        if self.elevon_outline:  # the foam chord is linear over the panel and constant on the centre piece
            ends = np.array([self.elevon_inner_end, self.panel_start, self.elevon_outer_end])
            ends[1] = np.clip(ends[1], ends[0], ends[2])
            chord = np.interp(ends, [self.panel_start, self.semi_span], [self.root_chord, self.tip_chord])
            foam = _mean(ends, chord)
        return foam / (foam + self.elevon_chord)

    @property
    def panel_start(self) -> float:
        """Station where the flat centre piece ends and the tapered panel begins. Geometry, no source needed. [m]"""
        return 0.5 * self.centre_width

    @property
    def sweep(self) -> float:
        """Leading-edge sweep of the stock panel. Geometry, no source needed. [rad]"""
        return np.arctan(self.tip_set_back / (self.semi_span - self.panel_start))


def with_tip_chord(stock: StockWing, tip_chord: float) -> StockWing:
    """Return a stock wing with another foam chord ``tip_chord`` [m] at the tip. The elevon keeps its share of it.

    The elevon's chord at the root stays. Between them the change is linear over the panel. Geometry, no source needed.
    """
    ratio = tip_chord / stock.tip_chord
    panel = stock.semi_span - stock.panel_start
    outline = tuple(
        (station, chord * (1.0 + (ratio - 1.0) * min(max((station - stock.panel_start) / panel, 0.0), 1.0)))
        for station, chord in stock.elevon_outline
    )
    return stock._replace(tip_chord=tip_chord, elevon_tip_chord=ratio * stock.elevon_tip_chord, elevon_outline=outline)


def _mean(station: np.ndarray, value: np.ndarray) -> float:
    """Return the mean over the span of a value that is linear between stations."""
    return float((0.5 * (value[1:] + value[:-1]) * np.diff(station)).sum() / (station[-1] - station[0]))


class Planform(NamedTuple):
    """A half wing from the centre line to the tip, straight between the breaks in ``station``.

    Arrays have shape (..., n_break); those named ``_start`` or ``_end`` have shape (...). Lengths are in [m]; ``twist``
    is in [rad], nose up positive.

    ``pieces`` names the pieces between the breaks, from the centre line out: "centre"
    (flat, unswept), "panel", "tip" (added to the panel). If additional breaks cut a piece, its name is repeated.
    ``piece_shares`` is then the share of each part in the width of the stock wing's piece; it is empty if nothing is
    cut. ``marks`` holds the index of the break on which each inboard fin stands.
    """

    station: np.ndarray
    leading_edge: np.ndarray
    height: np.ndarray
    foam_chord: np.ndarray
    elevon_chord: np.ndarray
    twist: np.ndarray
    elevon_inner_end: np.ndarray
    elevon_outer_end: np.ndarray
    stock_part_start: np.ndarray
    stock_part_end: np.ndarray
    pieces: tuple[str, ...] = ("panel",)
    piece_shares: tuple[float, ...] = ()
    marks: tuple[int, ...] = ()

    @property
    def chord(self) -> np.ndarray:
        """Total chord (..., n_break): foam plus elevon, or foam plus fixed strip. This is a definition. [m]"""
        return self.foam_chord + self.elevon_chord

    @property
    def semi_span(self) -> np.ndarray:
        """Half the span (...). Geometry, no source needed. [m]"""
        return self.station.T[-1].T  # without batch axes a number, which is faster than an array of no axes


def break_shares(station: np.ndarray, where: np.ndarray) -> np.ndarray:
    """Return the weights (..., n, n_break) of values at breaks in those at places ``where`` (..., n). Geometry. [-]

    Values are linear between breaks. The distances of breaks, ``station`` (..., n_break), and of places are those from
    the centre line [m]. Beyond the breaks the outer pieces go straight on. The result stays exact for complex steps,
    also at the breaks.
    """
    left, right, place = station[..., None, :-1], station[..., None, 1:], where[..., None]
    inside = place.real > left.real
    inside[..., 0] = True
    inside[..., :-1] &= ~inside[..., 1:]  # the last piece that starts before the place
    share = np.where(inside, (place - left) / (right - left), 0.0)
    weights = np.zeros((*share.shape[:-1], station.shape[-1]), share.dtype)
    weights[..., 1:] = share
    weights[..., :-1] += inside - share
    return weights


def interpolated(planform: Planform, values: tuple[np.ndarray, ...], where: np.ndarray) -> list[np.ndarray]:
    """Return ``values`` (..., n_break) [as given] at the stations ``where`` (..., n) [m], linear between breaks.

    Each result has shape (..., n) [as given]. The interpolation stays exact for complex steps, also at the breaks.
    """
    found = break_shares(planform.station, where) @ stacked(values)
    return [found[..., index] for index in range(len(values))]


class Areas(NamedTuple):
    """Area integrals of the total wing. Each field has any batch shape (...)."""

    span: np.ndarray  # [m]
    area: np.ndarray  # [m^2]
    mean_aerodynamic_chord: np.ndarray  # [m]
    mean_aerodynamic_chord_leading_edge: np.ndarray  # [m]
    aspect_ratio: np.ndarray  # [-]


def areas(planform: Planform) -> Areas:
    """Return the Areas. The integrals are exact, because the pieces are straight.

    These are definitions, for cranked wings too. S is the wing area, c the chord, y the station and x the place of the
    leading edge. The mean aerodynamic chord is (2/S) int c^2 dy over the half wing. Its leading edge is the
    chord-weighted mean (2/S) int x c dy. For straight taper both equal the textbook formulas.

    >>> from tradestudy.physics.geometry.stretch_schemes import stock_planform
    >>> stock = StockWing(span=1.2, centre_width=0.0, root_chord=0.25, tip_chord=0.15, tip_set_back=0.1, washout=0.0,
    ...                   dihedral=0.0, elevon_root_chord=0.05, elevon_tip_chord=0.05, elevon_inner_end=0.1,
    ...                   elevon_outer_end=0.6)
    >>> numbers = areas(stock_planform(stock))
    >>> round(float(numbers.area), 3), round(float(numbers.mean_aerodynamic_chord), 4)
    (0.3, 0.2533)
    """
    station, chord = planform.station, planform.chord
    width, inner, outer = station[..., 1:] - station[..., :-1], chord[..., :-1], chord[..., 1:]
    # on a piece, the integral of the chord times what is linear there is exact with these weights of its two ends
    first, last = width * (2 * inner + outer) / 6, width * (inner + 2 * outer) / 6
    values = np.array([np.ones_like(chord), chord, planform.leading_edge])
    half_area, chord_squared, edge = (values[..., :-1] * first + values[..., 1:] * last).sum(-1)
    return Areas(
        span=2 * planform.semi_span,
        area=2 * half_area,
        mean_aerodynamic_chord=chord_squared / half_area,
        mean_aerodynamic_chord_leading_edge=edge / half_area,
        aspect_ratio=2 * planform.semi_span**2 / half_area,
    )


def tip_section_share(wing: Planform, chord: np.ndarray, where: np.ndarray) -> np.ndarray:
    """Return the share of the tip's section in the local section (..., n) at the stations ``where`` (..., n) [m]. [-]

    ``chord`` (..., n_break) is the chord that the section covers [m]. Geometry, no source needed.
    """
    part, total = interpolated(wing, (tip_section_chord(wing, chord), chord), where)
    return part / total


def section_chords(wing: Planform) -> np.ndarray:
    """Return foam chord, elevon chord and ``tip_section_chord`` of the foam at the breaks (3, ..., n_break). [m]

    They are linear between breaks. Geometry, no source needed.
    """
    return np.array([wing.foam_chord, wing.elevon_chord, tip_section_chord(wing, wing.foam_chord)])


def tip_section_chord(wing: Planform, chord: np.ndarray) -> np.ndarray:
    """Return the tip section's share times the chord at the breaks (..., n_break). It is linear between breaks. [m]

    ``chord`` (..., n_break) is the chord that the section covers [m]. Geometry, no source needed.
    """
    start, end = _panel_breaks(wing.pieces)
    station = wing.station
    along = (station - station[..., start, None]) / (station[..., end, None] - station[..., start, None])
    # on the panel the tip's section enters with the panel's tip chord, outside the panel with the local chord
    found = along * chord[..., end, None]
    found[..., :start] = 0.0
    found[..., end + 1 :] = chord[..., end + 1 :]
    return found


@lru_cache(maxsize=32)
def _panel_breaks(pieces: tuple[str, ...]) -> tuple[int, int]:
    """Return the indices of the first and last break of the tapered panel."""
    panels = [index for index, piece in enumerate(pieces) if piece == "panel"]
    return panels[0], panels[-1] + 1
