"""Order of convergence of what a design is judged by, and how far the mesh in use is from converged.

Strips and chordwise panels are refined together, x1 to x4, and limit + constant / refinement^order is fitted to the
four answers. On straight wings strips alone are second order (test_mesh.py); the kink of a swept wing at the root and
the chordwise quarter-point rule near root and tip leave it at first order and some: measured 1.1 to 1.3 for lift, 1.3
to 1.5 for the neutral point, 1.2 for span efficiency, 1.3 for elevon lift. Of the elevon's moment, a difference of two
nearly equal arms, 0.7. At least one is asserted for all but that, 0.6 there.

Tolerances claimed for the mesh in use: 0.25 % of lift slope, 0.2 % of the mean chord, 0.2 % of span efficiency. Plain
wings hold them. With tip fins the corner costs more (measured 0.25 % of the mean chord, 0.3 to 0.45 % of e, always
high), so that is what is asserted there: it depends on the first fin strip over the wing's last, nothing at 1, 0.4 % at
0.7 (tests/invariants/test_mesh.py has wings of both kinds).
"""

from functools import cache
from typing import NamedTuple

import numpy as np
import pytest
from wings import answer, tapered

from tradestudy.physics.geometry.fins import SheetFin

REFINEMENTS = np.array([1.0, 2.0, 3.0, 4.0])
NAMES = ("lift_slope", "neutral_point", "span_efficiency", "elevon_lift", "elevon_moment")
LEAST_ORDER = dict(zip(NAMES, (1.0, 1.0, 1.0, 1.0, 0.6), strict=True))
WINGS = ((6, 0.5, 25), (8, 0.5, 20), (5, 0.6, 30))
# height, chords, set-back and place over a semi-span of 1; first strip 0.8 of the wing's last
FIN = SheetFin(*(np.asarray(length) for length in (0.2, 0.22, 0.14, 0.08, 0.03)))


class Fitted(NamedTuple):
    """Answers on the four meshes (4,), the order of their error and where they tend."""

    values: np.ndarray
    order: float
    limit: float


@cache
def answers(wing, finned):
    """Return every quantity on every mesh (n_quantity, 4); lengths over the mean chord, elevon along the whole span."""
    shape = tapered(*wing)
    shape = shape._replace(
        foam_chord=0.8 * shape.chord, elevon_chord=0.2 * shape.chord, elevon_outer_end=np.asarray(1.0)
    )

    def numbers(refinement):
        found = answer(shape, FIN if finned else None, refinement=refinement, n_panel=4 * refinement)
        area, chord = found.areas.area, found.areas.mean_aerodynamic_chord
        lift, moment = found.unit.lift_area[2], found.unit.moment_volume[2]
        return [
            found.lift_slope,
            found.neutral_point / chord,
            found.span_efficiency(),
            lift / area,
            (moment + found.neutral_point * lift) / (area * chord),
        ]

    return np.transpose([numbers(int(refinement)) for refinement in REFINEMENTS])


def fitted(values):
    """Least squares over a fine grid of orders."""
    best = None
    for order in np.linspace(0.3, 5.0, 471):
        powers = np.stack([np.ones(4), REFINEMENTS**-order], axis=1)
        solution = np.linalg.lstsq(powers, values, rcond=None)[0]
        miss = np.sum((powers @ solution - values) ** 2)
        if best is None or miss < best[0]:
            best = miss, order, solution[0]
    return Fitted(values, *best[1:])


def every(wing, finned):
    return {name: fitted(values) for name, values in zip(NAMES, answers(wing, finned), strict=True)}


@pytest.mark.parametrize("wing", WINGS)
def test_order_of_plain_swept_wings(wing):
    for name, found in every(wing, False).items():
        assert found.order > LEAST_ORDER[name], name
        # one way, as a fit of one power must be
        assert np.all(np.diff(np.abs(found.values - found.limit)) < 0), name


@pytest.mark.parametrize("wing", WINGS)
def test_mesh_in_use_of_plain_swept_wings(wing):
    found = every(wing, False)
    lift, centre, efficiency = (found[name] for name in NAMES[:3])
    assert lift.values[0] == pytest.approx(lift.limit, rel=0.0025)
    assert centre.values[0] == pytest.approx(centre.limit, abs=0.002)
    assert efficiency.values[0] == pytest.approx(efficiency.limit, rel=0.0021)  # 0.2 %, and the fit's own last digit
    # no claim was made; measured 0.24 and 0.9 %
    assert found["elevon_lift"].values[0] == pytest.approx(found["elevon_lift"].limit, rel=0.003)
    assert found["elevon_moment"].values[0] == pytest.approx(found["elevon_moment"].limit, rel=0.01)


@pytest.mark.parametrize("wing", WINGS)
def test_wings_with_tip_fins(wing):
    """Span efficiency and neutral point by their order; lift and elevon change sign of error on the way.

    Those are held to what first order leaves: from x2 on within half the first step of the finest.
    """
    found = every(wing, True)
    for name in ("neutral_point", "span_efficiency"):
        assert found[name].order > 1.0, name
    for name in ("lift_slope", "elevon_lift", "elevon_moment"):
        away = np.abs(found[name].values - found[name].values[-1])
        assert np.all(away[1:] < 0.5 * away[0]), name


@pytest.mark.parametrize("wing", WINGS)
def test_mesh_in_use_with_tip_fins(wing):
    found = every(wing, True)
    lift, centre, efficiency = (found[name] for name in NAMES[:3])
    assert lift.values[0] == pytest.approx(lift.values[-1], rel=0.0025)
    assert centre.values[0] == pytest.approx(centre.limit, abs=0.003)
    assert 0 < efficiency.values[0] / efficiency.limit - 1 < 0.0045
