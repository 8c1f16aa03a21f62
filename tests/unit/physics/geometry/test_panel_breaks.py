"""Breaks at inboard fins and kinks of the elevon: their places in the three schemes, and the shape between."""

import numpy as np
import pytest

from tradestudy.physics.flight import trimmed_flight
from tradestudy.physics.geometry import mesh
from tradestudy.physics.geometry.planform import StockWing, areas, interpolated
from tradestudy.physics.geometry.stretch_schemes import stock_planform, stretched_planform

ROUNDING = 1e-12
OUTLINE = ((0.07, 0.045), (0.30, 0.045), (0.53, 0.022))
PLAIN = StockWing(1.24, 0.08, 0.235, 0.15, 0.265, 0.026, 0.03, 0.045, 0.022, 0.07, 0.53)
STOCK = PLAIN._replace(elevon_outline=OUTLINE)
FLOOR = 1e-4  # m, least width of a piece


def grown(scheme, stock=STOCK, extension=0.2, fins=(0.4,), **rules):
    return stretched_planform(stock, scheme, "sweep_angle", extension, 0.45, 0.04, fin_stations=fins, **rules)


def chord_at(wing, station):
    return interpolated(wing, (wing.elevon_chord,), np.atleast_1d(station))[0]


def test_stock():
    wing = stock_planform(STOCK, (0.4,))
    # at 70 mm there is no kink: the strip inside of it is as deep as the elevon
    assert wing.station == pytest.approx([0, 0.04, 0.3, 0.4, 0.53, 0.62], rel=ROUNDING)
    assert wing.marks == (3,) and wing.pieces == ("centre", *["panel"] * 4)
    # a fixed strip with the chord of the elevon's end, inside and outside
    assert chord_at(wing, [0, 0.05, 0.2, 0.415, 0.54]) == pytest.approx([0.045, 0.045, 0.045, 0.0335, 0.022])
    assert (wing.elevon_inner_end, wing.elevon_outer_end) == pytest.approx((0.07, 0.53), rel=ROUNDING)
    # nothing else changes: foam, sweep, twist and height continue straight
    plain = stock_planform(PLAIN)
    for name in ("leading_edge", "height", "foam_chord", "twist"):
        (there,) = interpolated(plain, (getattr(plain, name),), wing.station)
        assert getattr(wing, name) == pytest.approx(there, rel=ROUNDING, abs=1e-15)


@pytest.mark.parametrize(
    ("scheme", "stations"),
    [
        ("scaled", [0, 0.04, 0.3 * 41 / 31, 0.4 * 41 / 31, 0.53 * 41 / 31, 0.82]),
        ("plug", [0, 0.24, 0.5, 0.6, 0.73, 0.82]),
        ("tip", [0, 0.04, 0.3, 0.4, 0.53, 0.62, 0.82 + FLOOR]),
    ],
)
def test_schemes(scheme, stations):
    """Check that kinks and fins keep their share of the half span, move out with the panel, or stay."""
    wing = grown(scheme)
    assert wing.station == pytest.approx(stations, rel=ROUNDING)
    inner = {"scaled": 0.07 * 41 / 31, "plug": 0.27, "tip": 0.07}[scheme]
    assert chord_at(wing, [inner, stations[2], stations[4]]) == pytest.approx([0.045, 0.045, 0.022], rel=1e-9)
    assert (wing.elevon_inner_end, wing.elevon_outer_end) == pytest.approx((inner, stations[4]), rel=ROUNDING)
    assert wing.station[wing.marks[0]] == pytest.approx(stations[3], rel=ROUNDING)
    carried = grown("tip", elevon_to_tip=True)
    assert carried.elevon_outer_end == pytest.approx(0.73 + FLOOR, rel=ROUNDING)


def test_two_points_on_the_panels_ends_are_the_straight_elevon():
    """Check that the same elevon stated in two ways has equal areas, coverage and hinge."""
    ends = STOCK._replace(elevon_outline=((0.04, 0.045), (0.62, 0.022)), elevon_inner_end=0.04, elevon_outer_end=0.62)
    plain = PLAIN._replace(elevon_inner_end=0.04, elevon_outer_end=0.62)
    for scheme in ("scaled", "plug"):
        one, other = grown(scheme, ends, fins=()), grown(scheme, plain, fins=())
        assert one.station == pytest.approx(other.station, rel=ROUNDING)  # merged with the existing breaks
        assert one.elevon_chord == pytest.approx(other.elevon_chord, rel=ROUNDING)
        assert np.array(areas(one)) == pytest.approx(np.array(areas(other)), rel=ROUNDING)
    assert ends.elevon_chord == pytest.approx(plain.elevon_chord, rel=ROUNDING)
    assert ends.hinge_fraction == pytest.approx(plain.hinge_fraction, rel=ROUNDING)


def test_mean_chord_and_hinge_of_an_outline():
    """Compare by hand: 45 mm over half the length, 33.5 mm mean over the other; foam 235 to 150 mm over 40 to 620
    mm."""
    assert STOCK.elevon_chord == pytest.approx(0.5 * (0.045 + 0.0335), rel=ROUNDING)
    foam = 0.235 - 0.085 * (0.30 - 0.04) / 0.58  # at the middle of 70 to 530 mm
    assert STOCK.hinge_fraction == pytest.approx(foam / (foam + 0.03925), rel=1e-9)


def test_breaks_on_the_centre_piece_stay_when_the_panel_is_redrawn():
    outline = (0.02, 0.045), (0.3, 0.03)
    inside = STOCK._replace(elevon_outline=outline, elevon_inner_end=0.02, elevon_outer_end=0.3)
    for extension in (0.0, 0.2, 0.6):
        wing = grown("scaled", inside, extension, fins=(0.03,))
        assert wing.station[:4] == pytest.approx([0, 0.02, 0.03, 0.04], rel=ROUNDING)
        ends = wing.elevon_inner_end, wing.elevon_outer_end
        assert ends == pytest.approx((0.02, 0.3 * (0.62 + extension) / 0.62), rel=ROUNDING)
        assert np.all(np.diff(wing.station) > 0)


def test_strips_are_shared_and_fixed():
    """Check that the panel's 12 strips are shared by its pieces, at least 3 each, and are the same at every
    extension."""
    cut = stock_planform(PLAIN, (0.33,))
    assert mesh.strip_counts(cut) == [3, 6, 6]
    assert mesh.strip_counts(cut, 2) == [6, 12, 12]
    assert mesh.strip_counts(stock_planform(PLAIN, (0.43,))) == [3, 8, 4]
    assert mesh.strip_counts(stock_planform(PLAIN, (0.57,)))[2] == 3
    for scheme in ("scaled", "plug", "tip"):
        counts = {tuple(mesh.strip_counts(grown(scheme, extension=extension))) for extension in (0.0, 0.1, 0.4)}
        assert len(counts) == 1


def test_an_outline_changes_hinge_and_coverage_by_strip():
    wing = stock_planform(STOCK)
    strips = mesh.half_wing_mesh(wing)
    angles, y = trimmed_flight.strip_angles(wing, strips), strips.middle[:, 1]
    share = np.clip((y - 0.30) / 0.23, 0, 1)
    elevon = 0.045 + (0.022 - 0.045) * share
    foam = 0.235 - 0.085 * np.clip((y - 0.04) / 0.58, 0, 1)
    assert angles.hinge_fraction == pytest.approx(foam / (foam + elevon), rel=1e-9)
    covered = (angles.elevon_coverage * (strips.outer_edge - strips.inner_edge)[:, 1]).sum()
    assert covered == pytest.approx(0.53 - 0.07, rel=1e-9)


def test_a_straight_outline_has_no_kinks():
    even = STOCK._replace(elevon_outline=((0.07, 0.04), (0.3, 0.04), (0.53, 0.04)))
    wing = stock_planform(even)
    assert wing.station == pytest.approx([0, 0.04, 0.62], rel=ROUNDING)
    assert wing.elevon_chord == pytest.approx([0.04] * 3, rel=ROUNDING)


@pytest.mark.parametrize("scheme", ["scaled", "plug", "tip"])
def test_batch_and_complex_step(scheme):
    """Check that a batch equals single wings, and that derivatives of breaks follow from the scheme."""
    extension = np.array([0.1, 0.3])
    batch = stretched_planform(STOCK, scheme, "sweep_angle", extension, 0.45 + 0 * extension, 0.04, fin_stations=(0.4,))
    one, two = (grown(scheme, extension=value) for value in extension)
    assert batch.station == pytest.approx(np.stack([one.station, two.station]), rel=ROUNDING)
    step = grown(scheme, extension=0.2 + 1e-20j)
    for name in ("station", "leading_edge", "foam_chord", "elevon_chord", "twist"):
        slope = np.imag(getattr(step, name)) / 1e-20
        near = [getattr(grown(scheme, extension=0.2 + k * 1e-3), name) for k in (-2, -1, 1, 2)]
        difference = (near[0] - 8 * near[1] + 8 * near[2] - near[3]) / 12e-3
        # derivatives are of size 0.01 to 2; tolerance: rounding 1e-16 / 1e-3
        assert slope == pytest.approx(difference, rel=1e-8, abs=1e-10)
