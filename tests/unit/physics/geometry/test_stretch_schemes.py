"""Stretch schemes by hand from their definitions."""

import numpy as np
import pytest

from tradestudy.physics.geometry.planform import StockWing, areas, interpolated, with_tip_chord
from tradestudy.physics.geometry.stretch_schemes import (
    SHORTEST_PIECE,
    extended_tip_washout,
    stock_planform,
    stretched_planform,
)

STOCK = StockWing(
    span=1.24,
    centre_width=0.08,
    root_chord=0.235,
    tip_chord=0.15,
    tip_set_back=0.265,
    washout=0.026,
    dihedral=0.03,
    elevon_root_chord=0.045,
    elevon_tip_chord=0.03,
    elevon_inner_end=0.07,
    elevon_outer_end=0.60,
)
NO_CENTRE = STOCK._replace(centre_width=0.0)
EXTENSION, SWEEP, WASHOUT = 0.2, 0.5, 0.05
FLOOR = SHORTEST_PIECE  # 0.1 mm: least width of a piece
GROWN = 0.2 + FLOOR
ROUNDING = 1e-12


def grown(scheme, stock=STOCK, keep="sweep_angle", extension=EXTENSION, **rules):
    return stretched_planform(stock, scheme, keep, extension, SWEEP, WASHOUT, **rules)


def at(wing, values, station):
    return interpolated(wing, (values,), np.atleast_1d(station))[0][0]


def test_stock_as_measured():
    wing = stock_planform(STOCK)
    assert wing.station == pytest.approx([0, 0.04, 0.62], rel=ROUNDING)
    assert wing.leading_edge == pytest.approx([0, 0, 0.265], rel=ROUNDING)
    assert wing.chord == pytest.approx([0.28, 0.28, 0.18], rel=ROUNDING)
    assert wing.twist == pytest.approx([0, 0, -0.026], rel=ROUNDING)  # washout turns the tip nose down
    assert wing.height == pytest.approx([0, 0, 0.58 * np.tan(0.03)], rel=ROUNDING)
    assert STOCK.sweep == pytest.approx(np.arctan(0.265 / 0.58), rel=ROUNDING)
    assert stock_planform(NO_CENTRE).station == pytest.approx([0, 0.62], rel=ROUNDING)


@pytest.mark.parametrize(
    "stock", [STOCK, NO_CENTRE, NO_CENTRE._replace(elevon_outline=((0.07, 0.045), (0.3, 0.04), (0.6, 0.02)))]
)
def test_another_tip_chord(stock):
    """Check a panel with 120 mm of foam at the tip, 0.8 of the stock tip. The elevon there has 0.8 of its chord too."""
    wing, same = (grown("scaled", stock, tip_chord=chord) for chord in (0.12, 0.15))
    for field, plain in zip(same, grown("scaled", stock), strict=True):
        assert np.array_equal(field, plain)
    assert (wing.foam_chord[0], wing.foam_chord[-1]) == pytest.approx((0.235, 0.12), rel=ROUNDING)
    assert wing.elevon_chord[0] == pytest.approx(same.elevon_chord[0], rel=ROUNDING)
    assert wing.elevon_chord[-1] == pytest.approx(0.8 * same.elevon_chord[-1], rel=ROUNDING)
    for name in ("station", "leading_edge", "height", "twist", "elevon_inner_end", "elevon_outer_end"):
        assert np.array_equal(getattr(wing, name), getattr(same, name))
    # the panel is 0.82 m less half the centre piece long, and each half loses half of 30 mm of foam over it
    foam = areas(same._replace(elevon_chord=0 * same.elevon_chord)).area
    less = areas(wing._replace(elevon_chord=0 * wing.elevon_chord)).area
    assert foam - less == pytest.approx((0.82 - stock.panel_start) * 0.03, rel=1e-9)
    # the elevon has the chords of a stock wing that is measured with that tip
    measured = with_tip_chord(stock, 0.12)
    if not stock.elevon_outline:
        assert wing.elevon_chord[-1] == pytest.approx(measured.elevon_tip_chord, rel=1e-9)
    for station, chord in measured.elevon_outline:
        assert at(wing, wing.elevon_chord, station * 0.82 / 0.62) == pytest.approx(chord, rel=1e-9)
    assert with_tip_chord(stock, 0.15) == stock


def test_other_schemes_keep_the_tip_chord():
    for scheme in ("plug", "tip"):
        for field, plain in zip(grown(scheme, tip_chord=0.12), grown(scheme), strict=True):
            assert np.array_equal(field, plain)


@pytest.mark.parametrize(("keep", "set_back"), [("sweep_angle", np.tan(SWEEP) * 0.78), ("set_back", 0.265)])
def test_scaled(keep, set_back):
    """Check that the panel is redrawn to the new tip with the same chords. The elevon keeps its shares of the span."""
    wing = grown("scaled", keep=keep)
    assert wing.station == pytest.approx([0, 0.04, 0.82], rel=ROUNDING)
    assert wing.leading_edge == pytest.approx([0, 0, set_back], rel=ROUNDING)
    assert wing.foam_chord == pytest.approx([0.235, 0.235, 0.15], rel=ROUNDING)
    assert wing.elevon_chord == pytest.approx([0.045, 0.045, 0.03], rel=ROUNDING)
    assert wing.twist == pytest.approx([0, 0, -WASHOUT], rel=ROUNDING)
    assert wing.elevon_inner_end / 0.82 == pytest.approx(0.07 / 0.62, rel=ROUNDING)
    assert wing.elevon_outer_end / 0.82 == pytest.approx(0.60 / 0.62, rel=ROUNDING)


def test_kept_sweep_angle_grows_the_set_back():
    """Check that with constant sweep angle, set-back grows as x_t (s0 + d - y0) / (s0 - y0).

    x_t is the set-back, s0 the half span, d the extension, and y0 the half width of the centre piece.
    """
    wing = stretched_planform(STOCK, "scaled", "sweep_angle", EXTENSION, STOCK.sweep, WASHOUT)
    assert wing.leading_edge[-1] == pytest.approx(0.265 * 0.78 / 0.58, rel=ROUNDING)


@pytest.mark.parametrize(("stock", "floor"), [(STOCK, 0.0), (NO_CENTRE, FLOOR)])
def test_plug_moves_the_panel_unchanged(stock, floor):
    """Check a piece of constant chord without sweep at the root. The panel keeps its twist, elevon and angle."""
    wing, stock_wing = grown("plug", stock), stock_planform(stock)
    moved = EXTENSION + floor
    assert wing.station == pytest.approx([0, stock.panel_start + moved, 0.62 + moved], rel=ROUNDING)
    for name in ("leading_edge", "foam_chord", "elevon_chord", "twist", "height"):
        assert getattr(wing, name)[-2:] == pytest.approx(getattr(stock_wing, name)[-2:], rel=ROUNDING)
        assert getattr(wing, name)[0] == pytest.approx(getattr(wing, name)[1], rel=ROUNDING)
    assert wing.elevon_inner_end == pytest.approx(0.07 + EXTENSION, rel=ROUNDING)
    assert wing.elevon_outer_end == pytest.approx(0.60 + EXTENSION, rel=ROUNDING)
    assert (wing.stock_part_start, wing.stock_part_end) == pytest.approx(
        (stock.panel_start + moved, 0.62 + moved), rel=ROUNDING
    )


@pytest.mark.parametrize("stock", [STOCK, NO_CENTRE])
def test_tip_extends_the_edges(stock):
    """Check that both edges of the panel continue straight in the added piece. The stock part does not change."""
    wing, stock_wing = grown("tip", stock), stock_planform(stock)
    assert wing.station[-1] == pytest.approx(0.62 + GROWN, rel=ROUNDING)
    for name in ("station", "leading_edge", "foam_chord", "elevon_chord", "twist"):
        assert getattr(wing, name)[:-1] == pytest.approx(getattr(stock_wing, name), rel=ROUNDING)
    for edge in (
        wing.leading_edge,
        wing.leading_edge + wing.foam_chord,
        wing.leading_edge + wing.chord,
        wing.height,
    ):
        panel, added = np.diff(edge)[-2:] / np.diff(wing.station)[-2:]
        assert added == pytest.approx(panel, rel=1e-9)
    assert wing.twist[-1] == pytest.approx(-WASHOUT, rel=ROUNDING)
    assert wing.elevon_outer_end == pytest.approx(0.60, rel=ROUNDING)
    assert (wing.stock_part_start, wing.stock_part_end) == pytest.approx((0.0, 0.62), rel=ROUNDING)


def test_tip_of_constant_chord_keeps_the_leading_edge_angle():
    wing = grown("tip", tip_chord_rule="constant")
    assert wing.chord[-1] == pytest.approx(wing.chord[-2], rel=ROUNDING)
    panel, added = np.diff(wing.leading_edge)[-2:] / np.diff(wing.station)[-2:]
    assert added == pytest.approx(panel, rel=1e-9)


def test_tip_elevon_extended():
    assert grown("tip", elevon_to_tip=True).elevon_outer_end == pytest.approx(0.60 + GROWN, rel=ROUNDING)


def test_washout_extended_at_the_same_rate():
    rate = STOCK.washout / 0.58
    assert extended_tip_washout(STOCK, EXTENSION) == pytest.approx(STOCK.washout + rate * EXTENSION, rel=ROUNDING)


@pytest.mark.parametrize("scheme", ["scaled", "plug", "tip"])
@pytest.mark.parametrize("stock", [STOCK, NO_CENTRE], ids=["centre", "no centre"])
def test_no_extension_gives_the_stock_wing(scheme, stock):
    """Check that nothing moves by more than the effect of the least width of 0.1 mm."""
    wing = stretched_planform(stock, scheme, "sweep_angle", 0.0, stock.sweep, stock.washout)
    stock_wing = stock_planform(stock)
    for name in ("leading_edge", "foam_chord", "elevon_chord", "height", "twist"):
        for station in (0.02, 0.1, 0.3, 0.5, 0.549):
            result = at(wing, getattr(wing, name), station), at(stock_wing, getattr(stock_wing, name), station)
            assert result[0] == pytest.approx(result[1], abs=FLOOR)
    assert wing.semi_span == pytest.approx(stock.semi_span, abs=1.001 * FLOOR)
    ours, theirs = areas(wing), areas(stock_wing)
    assert ours.area == pytest.approx(theirs.area, abs=2.001 * FLOOR * 0.28)
    assert ours.mean_aerodynamic_chord == pytest.approx(theirs.mean_aerodynamic_chord, abs=FLOOR)


@pytest.mark.parametrize("scheme", ["scaled", "plug", "tip"])
def test_batch_equals_loop(scheme, random):
    extension, sweep, washout = random.uniform(0.05, 0.4, (3, 4))
    batch = stretched_planform(STOCK, scheme, "sweep_angle", extension, sweep, washout)
    for index in range(4):
        one = stretched_planform(STOCK, scheme, "sweep_angle", extension[index], sweep[index], washout[index])
        layouts = [(wing.pieces, wing.piece_shares, wing.marks) for wing in (batch, one)]
        assert layouts[0] == layouts[1]
        for many, single in zip(batch[:-3], one[:-3], strict=True):
            assert np.broadcast_to(many, (4, *np.shape(single)))[index] == pytest.approx(single, rel=ROUNDING)
        for many, single in zip(areas(batch), areas(one), strict=True):
            assert many[index] == pytest.approx(single, rel=ROUNDING)
