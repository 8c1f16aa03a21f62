"""Induced drag at given lift and bending moment: R. T. Jones 1950, L. Prandtl 1933, and upright tip fins.

Jones, NACA TN 2249 (Dec 1950), summary: 15 % more span with the same root bending moment saves about 15 %.
Prandtl, ZFM 24 (1933): equal integrated bending moment, span x 1.2247 saves 1/9. Closed forms derived again:
loading of least drag at a bending moment f times the elliptic one costs 1 + K (1 - f)^2, K = 8 for the root
bending moment and 3 for the second moment of lift. Rows for fins recomputed by another program (second source
from memory: I. Kroo's course notes, 1.41 at h/b 0.2). Our wake matrix is minimised directly.
"""

import numpy as np
import pytest
from wings import curved_wing, outline, tapered

from tradestudy.physics.aero.lattice import trefftz_normalwash
from tradestudy.physics.geometry.fins import SheetFin
from tradestudy.physics.geometry.mesh import half_wing_mesh
from tradestudy.search.optimum import slsqp_minimum


def wake(mesh):
    """Return the symmetric drag matrix and the lift of each strip per circulation, whole wing, per q."""
    drag = -2 * mesh.width[:, None] * trefftz_normalwash(mesh)
    return 0.5 * (drag + drag.T), 4 * (mesh.outer_edge - mesh.inner_edge)[:, 1]


def best_loading(drag, constraints, values):
    """Return the circulations of least drag that meet linear constraints exactly."""
    reach = np.linalg.solve(drag, constraints.T)
    return reach @ np.linalg.solve(constraints @ reach, values)


@pytest.fixture(scope="module")
def flat_wake():
    mesh = curved_wing(np.ones_like, np.zeros_like, 1.0, 60)
    return (*wake(mesh), mesh.middle[:, 1])


def loading(flat_wake, power, share):
    """Return least-drag loading with ``share`` of the elliptic |y|^power moment, and its drag ratio."""
    drag, lift, station = flat_wake
    elliptic = best_loading(drag, lift[None], [1.0])
    weights = np.stack([lift, lift * station**power])
    found = best_loading(drag, weights, [1.0, share * (weights[1] @ elliptic)])
    return found, (found @ drag @ found) / (elliptic @ drag @ elliptic)


def test_ellipse_is_best(flat_wake):
    drag, lift, station = flat_wake
    elliptic = best_loading(drag, lift[None], [1.0])
    assert elliptic / elliptic[0] == pytest.approx(np.sqrt(1 - station**2) / np.sqrt(1 - station[0] ** 2), rel=1e-9)
    # exact on this spacing
    assert 1 / (4 * np.pi * (elliptic @ drag @ elliptic)) == pytest.approx(1.0, rel=1e-9)
    assert (lift * station) @ elliptic == pytest.approx(4 / (3 * np.pi), rel=1e-3)  # strip quadrature, 1/N^2


@pytest.mark.parametrize(("power", "cost"), [(1, 8.0), (2, 3.0)])
@pytest.mark.parametrize("share", [0.75, 0.9, 1.05])
def test_cost_of_moving_lift_inboard(flat_wake, power, cost, share):
    _, ratio = loading(flat_wake, power, share)
    assert (ratio - 1) / (1 - share) ** 2 == pytest.approx(cost, rel=2e-3)  # 60 strips: 1/N^2


@pytest.mark.parametrize(
    ("growth", "jones"),
    [(1.05, 0.92348), (1.10, 0.88109), (1.15, 0.85906), (1.20, 0.84877), (1.25, 0.84480), (4 / 3, 0.84375)],
)
def test_jones_span_at_equal_bending(flat_wake, growth, jones):
    """Table from the closed form (9 k^2 - 16 k + 8) / k^4; 0.1 % covers 60 strips."""
    _, ratio = loading(flat_wake, 1, 1 / growth)
    assert ratio / growth**2 == pytest.approx(jones, rel=1e-3)


def test_jones_headline(flat_wake):
    # "15 per cent more span, about 15 per cent less drag": the report rounds 14.1
    _, ratio = loading(flat_wake, 1, 1 / 1.15)
    assert 1 - ratio / 1.15**2 == pytest.approx(0.15, abs=0.01)


@pytest.mark.parametrize(
    ("growth", "prandtl"),
    [(1.05, 0.93055), (1.10, 0.90113), (1.15, 0.89104), (1.2, 0.88895), (np.sqrt(1.5), 8 / 9)],
)
def test_prandtl_span_at_equal_integrated_bending(flat_wake, growth, prandtl):
    _, ratio = loading(flat_wake, 2, 1 / growth**2)
    assert ratio / growth**2 == pytest.approx(prandtl, rel=1e-3)  # 60 strips


def test_jones_loading(flat_wake):
    """Recomputed and derived; 1 % from 40 strips or more. Beyond a third more span the tips push down."""
    found, _ = loading(flat_wake, 1, 0.75)
    shape = np.interp([0.2, 0.4, 0.6, 0.8, 0.9], flat_wake[2], found / found[0])
    assert shape == pytest.approx([0.888, 0.666, 0.405, 0.156, 0.0575], rel=0.01)
    assert found.min() > -1e-4 * found.max()
    beyond, _ = loading(flat_wake, 1, 1 / 1.4)
    assert beyond[-1] < 0


def test_jones_loading_in_fourier_terms(flat_wake):
    """A_n proportional to m_n / n, m_n = -(-1)^((n-1)/2) / (n^2 - 4): at a third more span -0.4, 0.05714, -0.01905.

    Terms of our loading by its sines on strips of even angle; 60 strips leave 5e-4.
    """
    found, _ = loading(flat_wake, 1, 0.75)
    angle = np.arccos(flat_wake[2])
    terms = [4 / np.pi * (found * np.sin(n * angle)).sum() * 0.5 * np.pi / len(angle) for n in (1, 3, 5, 7)]
    assert np.array(terms[1:]) / terms[0] == pytest.approx([-0.4, 0.05714, -0.01905], abs=5e-4)


def test_bell_loading(flat_wake):
    found, _ = loading(flat_wake, 2, 2 / 3)
    station = flat_wake[2]
    assert found / found[0] == pytest.approx((1 - station**2) ** 1.5, abs=5e-3)  # of the peak; 60 strips
    # spanwise pressure centre
    assert (flat_wake[1] * station) @ found == pytest.approx(16 / (15 * np.pi), rel=2e-3)


@pytest.mark.parametrize(("height", "efficiency"), [(0.025, 1.057), (0.05, 1.112), (0.10, 1.219), (0.20, 1.419)])
def test_upright_fins(height, efficiency):
    """Least drag with fins on both tips of span 1, e on the projected span; rows hold to 0.5 %.

    Strips at the corner are made equal, as a mesh that is minimised over needs: the first fin strip
    0.7 to 1.2 of the last wing strip. At a fifth (small fins on the usual counts) least drag comes out 1.5 %
    low, since free circulations then harvest the step; circulations of a real flow do not
    (tests/invariants/test_mesh.py).
    """
    wing = tapered(6, 1.0, 0, span=1.0)
    chord = wing.chord[0]
    fin = SheetFin(*(np.asarray(length) for length in (height, chord, chord, 0.0, 0.0)))
    drag, lift = wake(half_wing_mesh(wing, (fin,), counts=[round(6 / np.sqrt(2 * height))]))
    best = best_loading(drag, lift[None], [1.0])
    assert 1 / (np.pi * (best @ drag @ best)) == pytest.approx(efficiency, rel=0.005)


def test_dihedral_instead_of_fins():
    """Tips of a straight V raised by 0.2 of the span: e 1.029 recomputed, 1.03 in the same notes (from memory)."""
    wing = outline([0, 0.5], [0, 0], [0.1, 0.1], height=[0, 0.2])
    drag, lift = wake(half_wing_mesh(wing, counts=[60]))
    best = best_loading(drag, lift[None], [1.0])
    assert 1 / (np.pi * (best @ drag @ best)) == pytest.approx(1.029, abs=2e-3)


def least_drag_efficiency(fin, height):
    """Span efficiency, on span 1, of the best loading of a wing with this fin on both tips."""
    wing = tapered(6, 1.0, 0, span=1.0)
    drag, lift = wake(half_wing_mesh(wing, (fin,), counts=[round(6 / np.sqrt(2 * height))]))
    best = best_loading(drag, lift[None], [1.0])
    return 1 / (np.pi * (best @ drag @ best))


@pytest.mark.parametrize(("height", "efficiency"), [(0.05, 1.112), (0.10, 1.219)])
def test_fins_below(height, efficiency):
    """The rows for upright fins hold below the wing too; by symmetry, so to 0.5 % as above."""
    chord = tapered(6, 1.0, 0, span=1.0).chord[0]
    below = SheetFin(0.0, chord, chord, 0.0, 0.0, height, chord, 0.0)
    assert least_drag_efficiency(below, height) == pytest.approx(efficiency, rel=0.005)


@pytest.mark.parametrize("height", [0.05, 0.10])
def test_canted_fins(height):
    """Above and below alike; laid flat they are span: (1 + 2 h)^2, the planar wing's, to the 0.5 % of the rows."""
    chord = tapered(6, 1.0, 0, span=1.0).chord[0]
    found = []
    for cant in (0.0, 0.5, 1.0, np.pi / 2):
        above = SheetFin(height, chord, chord, 0.0, 0.0, cant=cant)
        below = SheetFin(0.0, chord, chord, 0.0, 0.0, height, chord, 0.0, cant=-cant)
        found.append(least_drag_efficiency(above, height))
        assert least_drag_efficiency(below, height) == pytest.approx(found[-1], rel=1e-9)
    assert np.all(np.diff(found) > 0)
    assert found[-1] == pytest.approx((1 + 2 * height) ** 2, rel=0.005)


@pytest.mark.parametrize(
    ("power", "drag_left", "best"), [(1, 27 / 32, 4 / 3), (2, 8 / 9, np.sqrt(1.5))], ids=["Jones", "Prandtl"]
)
def test_span_and_loading_searched_together(flat_wake, power, drag_left, best):
    """Our search frees span and every strip's load at once, lift at least and bending at most the elliptic wing's.

    Without tips that push down: with them drag keeps falling past the optimum, which is an inflection. Beyond it the
    span is idle, so the loaded part is what tells.
    """
    drag, lift, station = flat_wake
    elliptic = best_loading(drag, lift[None], [1.0])
    least, arm = elliptic @ drag @ elliptic, lift * station**power
    moment, size, n = arm @ elliptic, elliptic.max(), len(lift)

    def objective(z):
        return (z[:n] @ drag @ z[:n]) * size**2 / z[n] ** 2 / least

    def slope(z):
        return np.append(2 * (drag @ z[:n]) * size**2 / z[n] ** 2 / least, -2 * objective(z) / z[n])

    def margins(z):
        return np.array([size * lift @ z[:n] - 1, 1 - z[n] ** power * size * (arm @ z[:n]) / moment])

    def margin_slopes(z):
        return np.array(
            [
                np.append(size * lift, 0.0),
                np.append(
                    -(z[n] ** power) * size * arm / moment, -power * z[n] ** (power - 1) * size * (arm @ z[:n]) / moment
                ),
            ]
        )

    end = slsqp_minimum(
        objective,
        slope,
        np.append(elliptic / size, 1.0),
        [(0, None)] * n + [(0.8, 1.6)],
        margins,
        margin_slopes,
        1e-10,
        iterations=400,
    )
    assert margins(end).min() > -1e-7
    assert objective(end) == pytest.approx(drag_left, rel=1e-3)  # 60 strips, 1/N^2
    loaded = end[n] * station[end[:n] > 2e-3].max()
    assert loaded == pytest.approx(best, rel=0.03)  # flat there: to the third order in span
