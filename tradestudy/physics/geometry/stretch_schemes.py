"""The three schemes of stretching the stock wing: panel redrawn, plug at the root, added tip.

"(...)" means arrays of any batch shape.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from .panel_breaks import with_breaks
from .planform import Planform, StockWing

SHORTEST_PIECE = (
    1e-4  # shortest piece of an outline in m; a piece of zero width would make a lattice strip of zero width
)


def stretched_planform(
    stock: StockWing,
    scheme: str,
    keep: str,
    extension: float | np.ndarray,
    sweep: float | np.ndarray,
    washout: float | np.ndarray,
    tip_chord_rule: str = "continue",
    elevon_to_tip: bool = False,
    fin_stations: tuple[float, ...] = (),
    tip_chord: float | np.ndarray | None = None,
) -> Planform:
    """Return the outline of the wing when each side gains ``extension``. Geometry, no source needed.

    Parameters
    ----------
    stock : StockWing
        The stock wing as measured.
    scheme : str
        ``"scaled"``: the panel is redrawn to the new semi-span, with ``tip_chord``. ``"plug"``: a piece of constant
        chord and no sweep is inserted at the root. ``"tip"``: the panel is extended outward.
    keep : str
        Used by ``scaled`` only. ``"set_back"`` keeps the tip set-back and ignores ``sweep``; ``"sweep_angle"`` uses
        ``sweep``.
    extension : (...) array
        Added semi-span. [m]
    sweep : (...) array
        Leading-edge sweep of the redrawn panel. Used by ``scaled`` with ``keep = "sweep_angle"`` only. [rad]
    washout : (...) array
        Washout at the new tip. Twist is linear along the panel (``scaled``) or along the added piece (``tip``).
        ``plug`` ignores it. [rad]
    tip_chord_rule : str
        Used by ``tip`` only. ``"continue"`` extends the taper; ``"constant"`` keeps the tip chord.
    elevon_to_tip : bool
        Used by ``tip`` only. If true, the elevon ends as far from the new tip as from the stock tip.
    fin_stations : tuple of float
        Stations of inboard fins on the stock wing. Each gets a break. [m]
    tip_chord : (...) array or None
        Foam chord at the tip, used by ``scaled`` only. The root keeps its chord, and the elevon keeps its share of the
        chord at the tip. None means the stock tip chord. [m]

    Returns
    -------
    Planform
        The outline. It has breaks at the centre line, at the end of a centre piece that has width, and at the tip.
        ``tip`` adds the end of the stock panel. `panel_breaks.with_breaks` adds its own.

    Examples
    --------
    >>> stock = StockWing(span=1.2, centre_width=0.0, root_chord=0.2, tip_chord=0.2, tip_set_back=0.0, washout=0.0,
    ...                   dihedral=0.0, elevon_root_chord=0.0, elevon_tip_chord=0.0, elevon_inner_end=0.0,
    ...                   elevon_outer_end=0.6)
    >>> stretched_planform(stock, "tip", "set_back", extension=0.1, sweep=0.0, washout=0.0).station.round(3)
    array([0. , 0.6, 0.7])
    """
    given: tuple[Any, ...] = (extension, sweep, washout, stock.tip_chord if tip_chord is None else tip_chord)
    if len({np.shape(value) for value in given}) > 1:
        given = np.broadcast_arrays(*given)
    # numbers are faster than arrays of no axes
    extension, sweep, washout, chord = (np.asarray(value)[()] for value in given)
    if scheme == "scaled":
        wing = _scaled(stock, keep, extension, sweep, washout, chord)
    elif scheme == "plug":
        wing = _plug(stock, extension)
    else:
        wing = _tip(stock, extension, washout, tip_chord_rule, elevon_to_tip)
    return with_breaks(wing, stock, scheme, fin_stations) if stock.elevon_outline or fin_stations else wing


def stock_planform(stock: StockWing, fin_stations: tuple[float, ...] = ()) -> Planform:
    """Return the Planform of the stock wing itself, with breaks at ``fin_stations`` [m]. Geometry, no source needed."""
    return stretched_planform(stock, "scaled", "set_back", 0.0, stock.sweep, stock.washout, fin_stations=fin_stations)


def _scaled(
    stock: StockWing, keep: str, extension: np.ndarray, sweep: np.ndarray, washout: np.ndarray, tip_chord: np.ndarray
) -> Planform:
    zero = 0.0 * extension
    start = stock.panel_start + zero
    tip = stock.semi_span + extension
    set_back = stock.tip_set_back + zero if keep == "set_back" else np.tan(sweep) * (tip - start)
    growth = tip / stock.semi_span
    return _panel(
        stock,
        start,
        tip,
        set_back,
        -washout,
        tip_chord,
        has_centre=stock.panel_start > 0,
        elevon_inner_end=stock.elevon_inner_end * growth,
        elevon_outer_end=stock.elevon_outer_end * growth,
        stock_part_start=zero,
        stock_part_end=zero,
    )


def _plug(stock: StockWing, extension: np.ndarray) -> Planform:
    zero = 0.0 * extension
    added = extension + (SHORTEST_PIECE if stock.panel_start == 0 else 0.0)
    start = stock.panel_start + added
    tip = stock.semi_span + added
    return _panel(
        stock,
        start,
        tip,
        stock.tip_set_back + zero,
        -stock.washout + zero,
        stock.tip_chord + zero,
        has_centre=True,
        elevon_inner_end=stock.elevon_inner_end + extension,
        elevon_outer_end=stock.elevon_outer_end + extension,
        stock_part_start=start,
        stock_part_end=tip,
    )


def _panel(
    stock: StockWing,
    start: np.ndarray,
    tip: np.ndarray,
    set_back: np.ndarray,
    tip_twist: np.ndarray,
    tip_chord: np.ndarray,
    has_centre: bool,
    **ends: Any,
) -> Planform:
    """Return one straight panel with the stock root chord from ``start`` to ``tip`` (...) [m], and the centre piece."""
    zero = 0.0 * tip
    return _outline(
        stock,
        has_centre,
        ("panel",),
        station=[start, tip],
        leading_edge=[zero, set_back],
        height=[zero, np.tan(stock.dihedral) * (tip - start)],
        foam=[stock.root_chord + zero, tip_chord + zero],
        elevon=[stock.elevon_root_chord + zero, stock.elevon_tip_chord * (tip_chord / stock.tip_chord) + zero],
        twist=[zero, tip_twist],
        **ends,
    )


def _tip(
    stock: StockWing, extension: np.ndarray, washout: np.ndarray, tip_chord_rule: str, elevon_to_tip: bool
) -> Planform:
    zero = 0.0 * extension
    panel = stock.semi_span - stock.panel_start
    added = extension + SHORTEST_PIECE
    growth = 0.0 if tip_chord_rule == "constant" else added / panel
    foam_tip = stock.tip_chord + (stock.tip_chord - stock.root_chord) * growth
    elevon_tip = stock.elevon_tip_chord + (stock.elevon_tip_chord - stock.elevon_root_chord) * growth
    rise = np.tan(stock.dihedral)
    return _outline(
        stock,
        stock.panel_start > 0,
        ("panel", "tip"),
        station=[stock.panel_start + zero, stock.semi_span + zero, stock.semi_span + added],
        leading_edge=[zero, stock.tip_set_back + zero, stock.tip_set_back * (1 + added / panel)],
        height=[zero, rise * panel + zero, rise * (panel + added)],
        foam=[stock.root_chord + zero, stock.tip_chord + zero, foam_tip + zero],
        elevon=[stock.elevon_root_chord + zero, stock.elevon_tip_chord + zero, elevon_tip + zero],
        twist=[zero, -stock.washout + zero, -washout],
        elevon_inner_end=stock.elevon_inner_end + zero,
        elevon_outer_end=stock.elevon_outer_end + (added if elevon_to_tip else 0.0) + zero,
        stock_part_start=zero,
        stock_part_end=stock.semi_span + zero,
    )


def _outline(
    stock: StockWing,
    has_centre: bool,
    pieces: tuple[str, ...],
    station: list[np.ndarray],
    leading_edge: list[np.ndarray],
    height: list[np.ndarray],
    foam: list[np.ndarray],
    elevon: list[np.ndarray],
    twist: list[np.ndarray],
    **ends: Any,
) -> Planform:
    """Return the Planform of the panel's breaks, with the flat centre piece inside them if the wing has one.

    Each list holds the values at the breaks from the panel's start outward.
    """
    zero = 0.0 * station[-1]
    if has_centre:
        station, leading_edge, height = [zero, *station], [zero, *leading_edge], [zero, *height]
        foam, elevon = [stock.root_chord + zero, *foam], [stock.elevon_root_chord + zero, *elevon]
        twist, pieces = [zero, *twist], ("centre", *pieces)
    # one array with axes (field, ..., break) is faster than one stack per field
    fields = np.array([station, leading_edge, height, foam, elevon, twist])
    fields = fields.transpose(0, *range(2, fields.ndim), 1)
    return Planform(fields[0], fields[1], fields[2], fields[3], fields[4], fields[5], pieces=pieces, **ends)


def extended_tip_washout(stock: StockWing, extension: float | np.ndarray) -> float | np.ndarray:
    """Return the tip washout (...) that continues the stock twist over an ``extension`` (...) [m]. [rad]

    Geometry, no source needed.
    """
    panel = stock.semi_span - stock.panel_start
    return stock.washout * (1 + extension / panel)
