"""Induced drag at given lift and bending moment: R. T. Jones 1950, L. Prandtl 1933, and upright tip fins.

Jones, NACA TN 2249 (Dec 1950), summary: 15 % more span with the same root bending moment saves about 15 % of drag.
Prandtl, ZFM 24 (1933): with equal integrated bending moment, 1.2247 times the span saves 1/9.

The closed forms were derived again. A loading of least drag whose moment is f times that of the elliptic loading has 1
+ K (1 - f)^2 times its drag. K is 8 for the root bending moment and 3 for the second moment of lift.

The rows for fins of height h on a span b were recomputed by another program (second source from memory: I. Kroo's
course notes, 1.41 at h/b 0.2). Here the drag by our wake matrix is minimised directly over the circulations of the
strips.
"""

import numpy as np
import pytest
from helpers.wings.wings import curved_wing, outline, tapered

from tradestudy.physics.aero.wake import wake_wash
from tradestudy.physics.geometry.fins import SheetFin
from tradestudy.physics.geometry.mesh import half_wing_mesh
from tradestudy.search.optimum import slsqp_minimum


def wake(mesh):
    """Return the symmetric drag matrix and the lift of each strip per circulation, for both halves, per q."""
    drag = -2 * mesh.width[:, None] * wake_wash(mesh).symmetric
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
    """Return the least-drag loading and its drag over that of the elliptic loading.

    Its moment of lift, with arm |y|^power, is ``share`` times that of the elliptic loading.
    """
    drag, lift, station = flat_wake
    elliptic = best_loading(drag, lift[None], [1.0])
    weights = np.stack([lift, lift * station**power])
    found = best_loading(drag, weights, [1.0, share * (weights[1] @ elliptic)])
    return found, (found @ drag @ found) / (elliptic @ drag @ elliptic)


def test_ellipse_is_best(flat_wake):
    drag, lift, station = flat_wake
    elliptic = best_loading(drag, lift[None], [1.0])
    assert elliptic / elliptic[0] == pytest.approx(np.sqrt(1 - station**2) / np.sqrt(1 - station[0] ** 2), rel=1e-9)
    # with this spacing the result is exact
    assert 1 / (4 * np.pi * (elliptic @ drag @ elliptic)) == pytest.approx(1.0, rel=1e-9)
    # tolerance: the sum over N strips has an error of order 1/N^2
    assert (lift * station) @ elliptic == pytest.approx(4 / (3 * np.pi), rel=1e-3)


@pytest.mark.parametrize(("power", "cost"), [(1, 8.0), (2, 3.0)])
@pytest.mark.parametrize("share", [0.75, 0.9, 1.05])
def test_cost_of_moving_lift_inboard(flat_wake, power, cost, share):
    _, ratio = loading(flat_wake, power, share)
    # tolerance: error of order 1/N^2 with N = 60 strips
    assert (ratio - 1) / (1 - share) ** 2 == pytest.approx(cost, rel=2e-3)


@pytest.mark.parametrize(
    ("growth", "jones"),
    [(1.05, 0.92348), (1.10, 0.88109), (1.15, 0.85906), (1.20, 0.84877), (1.25, 0.84480), (4 / 3, 0.84375)],
)
def test_jones_span_at_equal_bending(flat_wake, growth, jones):
    """Compare with a table of the drag ratio (9 k^2 - 16 k + 8) / k^4, where k is the span ratio.

    The tolerance of 0.1 % is for 60 strips.
    """
    _, ratio = loading(flat_wake, 1, 1 / growth)
    assert ratio / growth**2 == pytest.approx(jones, rel=1e-3)


def test_jones_headline(flat_wake):
    # the report says "15 per cent more span, about 15 per cent less drag", rounded from 14.1
    _, ratio = loading(flat_wake, 1, 1 / 1.15)
    assert 1 - ratio / 1.15**2 == pytest.approx(0.15, abs=0.01)


@pytest.mark.parametrize(
    ("growth", "prandtl"),
    [(1.05, 0.93055), (1.10, 0.90113), (1.15, 0.89104), (1.2, 0.88895), (np.sqrt(1.5), 8 / 9)],
)
def test_prandtl_span_at_equal_integrated_bending(flat_wake, growth, prandtl):
    _, ratio = loading(flat_wake, 2, 1 / growth**2)
    assert ratio / growth**2 == pytest.approx(prandtl, rel=1e-3)  # tolerance for 60 strips


def test_jones_loading(flat_wake):
    """Compare with the loading recomputed and derived, within 1 % for 40 strips or more.

    Beyond a third more span the lift at the tips is negative.
    """
    found, _ = loading(flat_wake, 1, 0.75)
    shape = np.interp([0.2, 0.4, 0.6, 0.8, 0.9], flat_wake[2], found / found[0])
    assert shape == pytest.approx([0.888, 0.666, 0.405, 0.156, 0.0575], rel=0.01)
    assert found.min() > -1e-4 * found.max()
    beyond, _ = loading(flat_wake, 1, 1 / 1.4)
    assert beyond[-1] < 0


def test_jones_loading_in_fourier_terms(flat_wake):
    """Compare the Fourier terms A_n of the loading with m_n / n, where m_n = -(-1)^((n-1)/2) / (n^2 - 4).

    At a third more span they are -0.4, 0.05714, -0.01905 relative to the first. Our terms are sums over the sines of
    strips with equal steps in angle. The tolerance of 5e-4 is for 60 strips.
    """
    found, _ = loading(flat_wake, 1, 0.75)
    angle = np.arccos(flat_wake[2])
    terms = [4 / np.pi * (found * np.sin(n * angle)).sum() * 0.5 * np.pi / len(angle) for n in (1, 3, 5, 7)]
    assert np.array(terms[1:]) / terms[0] == pytest.approx([-0.4, 0.05714, -0.01905], abs=5e-4)


def test_bell_loading(flat_wake):
    found, _ = loading(flat_wake, 2, 2 / 3)
    station = flat_wake[2]
    # tolerance as a share of the peak, for 60 strips
    assert found / found[0] == pytest.approx((1 - station**2) ** 1.5, abs=5e-3)
    # spanwise centre of pressure
    assert (flat_wake[1] * station) @ found == pytest.approx(16 / (15 * np.pi), rel=2e-3)


@pytest.mark.parametrize(("height", "efficiency"), [(0.025, 1.057), (0.05, 1.112), (0.10, 1.219), (0.20, 1.419)])
def test_upright_fins(height, efficiency):
    """Compare the span efficiency of least drag with fins on both tips of span 1, within 0.5 %.

    It is based on the projected span. The first fin strip is 0.7 to 1.2 of the last wing strip, since free circulations
    exploit a step in strip size. With a ratio of a fifth (small fins on the usual mesh) least drag is 1.5 % low.
    Circulations of a real flow do not exploit it (tests/invariants/test_mesh.py).
    """
    wing = tapered(6, 1.0, 0, span=1.0)
    chord = wing.chord[0]
    fin = SheetFin(*(np.asarray(length) for length in (height, chord, chord, 0.0, 0.0)))
    drag, lift = wake(half_wing_mesh(wing, (fin,), counts=[round(6 / np.sqrt(2 * height))]))
    best = best_loading(drag, lift[None], [1.0])
    assert 1 / (np.pi * (best @ drag @ best)) == pytest.approx(efficiency, rel=0.005)


def test_dihedral_instead_of_fins():
    """Compare the span efficiency of a wing with straight dihedral, whose tips are 0.2 of the span higher.

    It is 1.029 recomputed, and 1.03 in the same notes (from memory).
    """
    wing = outline([0, 0.5], [0, 0], [0.1, 0.1], height=[0, 0.2])
    drag, lift = wake(half_wing_mesh(wing, counts=[60]))
    best = best_loading(drag, lift[None], [1.0])
    assert 1 / (np.pi * (best @ drag @ best)) == pytest.approx(1.029, abs=2e-3)


def least_drag_efficiency(fin, height):
    """Return the span efficiency, on span 1, of the best loading of a wing with this fin on both tips."""
    wing = tapered(6, 1.0, 0, span=1.0)
    drag, lift = wake(half_wing_mesh(wing, (fin,), counts=[round(6 / np.sqrt(2 * height))]))
    best = best_loading(drag, lift[None], [1.0])
    return 1 / (np.pi * (best @ drag @ best))


@pytest.mark.parametrize(("height", "efficiency"), [(0.05, 1.112), (0.10, 1.219)])
def test_fins_below(height, efficiency):
    """Compare fins below the wing with the rows for fins above, which are equal by symmetry, within 0.5 %."""
    chord = tapered(6, 1.0, 0, span=1.0).chord[0]
    below = SheetFin(0.0, chord, chord, 0.0, 0.0, height, chord, 0.0)
    assert least_drag_efficiency(below, height) == pytest.approx(efficiency, rel=0.005)


@pytest.mark.parametrize("height", [0.05, 0.10])
def test_canted_fins(height):
    """Compare fins canted upwards and downwards, which must be equal.

    Laid flat they are additional span, with the efficiency (1 + 2 h)^2 of the planar wing. The tolerance is 0.5 %.
    """
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
    """Search span and the load of every strip together, with at least the lift and at most the bending of an ellipse.

    Negative lift at the tips is excluded. With it, drag keeps falling past the optimum, which is an inflection. Span
    beyond the optimum carries no load, so the loaded part of the span is compared.
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
    assert objective(end) == pytest.approx(drag_left, rel=1e-3)  # tolerance: error of order 1/N^2 with 60 strips
    loaded = end[n] * station[end[:n] > 2e-3].max()
    assert loaded == pytest.approx(best, rel=0.03)  # the drag is flat near the optimum, to third order in span
