"""Area integrals against textbook formulas and quadrature."""

import numpy as np
import pytest
from helpers.wings.wings import outline, tapered
from scipy.integrate import quad

from tradestudy.physics.geometry.planform import areas, interpolated

ROUNDING = 1e-12


@pytest.mark.parametrize("taper", [0.3, 0.5, 1.0])
def test_mean_chord_of_straight_taper(taper):
    """Compare with the textbook, taper l: MAC 2/3 c_r (1 + l + l^2)/(1 + l) at (b/6)(1 + 2 l)/(1 + l), on the c/4
    line."""
    wing = tapered(6, taper, 25)
    root, result = wing.chord[0], areas(wing)
    station = 2 / 6 * (1 + 2 * taper) / (1 + taper)
    assert result.mean_aerodynamic_chord == pytest.approx(2 / 3 * root * (1 + taper + taper**2) / (1 + taper))
    quarter = result.mean_aerodynamic_chord_leading_edge + 0.25 * result.mean_aerodynamic_chord
    assert quarter == pytest.approx(0.25 * root + station * np.tan(np.radians(25)), rel=ROUNDING)
    assert result.area == pytest.approx(2.0 * 0.5 * root * (1 + taper), rel=ROUNDING)
    assert result.aspect_ratio == pytest.approx(6, rel=ROUNDING)


def test_mean_chord_of_cranked_wing_by_quadrature():
    """Compare MAC (2/S) int c^2 dy, and its edge (2/S) int x c dy, with quadrature between breaks."""
    wing = outline(
        [0, 0.2, 0.5, 0.8], [0, 0.01, 0.12, 0.3], [0.3, 0.28, 0.2, 0.1], elevon_chord=[0.05, 0.05, 0.04, 0.02]
    )

    def integral(function):
        pieces = zip(wing.station, wing.station[1:], strict=False)
        return sum(quad(lambda y: function(y), left, right, epsabs=1e-13)[0] for left, right in pieces)

    def chord(y):
        return np.interp(y, wing.station, wing.chord)

    area, result = 2 * integral(chord), areas(wing)
    assert result.area == pytest.approx(area, rel=1e-10)
    assert result.mean_aerodynamic_chord == pytest.approx(2 / area * integral(lambda y: chord(y) ** 2), rel=1e-10)
    edge = 2 / area * integral(lambda y: chord(y) * np.interp(y, wing.station, wing.leading_edge))
    assert result.mean_aerodynamic_chord_leading_edge == pytest.approx(edge, rel=1e-10)


@pytest.mark.parametrize(("aspect_ratio", "taper"), [(4, 0.4), (6, 0.5), (8, 1.0)])
def test_sweep_of_other_chord_lines(aspect_ratio, taper):
    """Check tan L_n = tan L_m - (4/A)(n - m)(1 - l)/(1 + l) (any text) for edge, half chord and trailing edge.

    L_n is the sweep at the share n of the chord, A the aspect ratio and l the taper.
    """
    wing = tapered(aspect_ratio, taper, 25)
    for fraction in (0.0, 0.5, 1.0):
        line = np.diff(wing.leading_edge + fraction * wing.chord)[0] / wing.semi_span
        expected = np.tan(np.radians(25)) - 4 / aspect_ratio * (fraction - 0.25) * (1 - taper) / (1 + taper)
        assert line == pytest.approx(expected, rel=ROUNDING)


def test_interpolated_is_linear_between_breaks():
    wing = outline([0, 0.2, 0.5], [0, 0.1, 0.1], [0.3, 0.3, 0.15])
    where = np.array([0.0, 0.1, 0.2, 0.35, 0.5])
    edge, chord = interpolated(wing, (wing.leading_edge, wing.chord), where)
    assert edge == pytest.approx([0, 0.05, 0.1, 0.1, 0.1], rel=ROUNDING)
    assert chord == pytest.approx([0.3, 0.3, 0.3, 0.225, 0.15], rel=ROUNDING)
