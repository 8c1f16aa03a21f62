"""The longest rod by Pythagoras, in the numbers of a design and in the choice of the span to build."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.wings.turnstone import answer_of, space_with_known_results
from scipy.optimize import brentq

from tradestudy.aircraft.assessment.full_design import assess_design
from tradestudy.physics.flight import layout, rod_sets
from tradestudy.search.search_space import starting_points
from tradestudy.search.span_trade import flat_band

STOCK_HALF, ROOT, TIP, TAN_SWEEP = 0.490, 0.300, 0.190, 190 / 490
# inner end, outer end and share of the foam chord on the stock wing; the main rods start beside the bay
MAIN, REAR = (0.036, 0.340, 0.28), (0.010, 0.455, 0.62)
BEST, LEFT = 1.300, 0.3  # m: the best span here, and the distance from it over which range falls


def length(rod, half):
    """Return the length of a rod from its inner end to as far from the tip as on the stock wing. [m]

    It lies at its share of the foam chord.
    """
    inner, outer, share = rod
    outer = half - (STOCK_HALF - outer)
    aft = [TAN_SWEEP * y + share * (ROOT + (TIP - ROOT) * y / half) for y in (inner, outer)]
    return np.hypot(outer - inner, aft[1] - aft[0])


def wing_of(data, extension):
    extension = np.asarray(extension)
    return layout.wing_outline(
        data, extension, np.full(extension.shape, np.arctan(TAN_SWEEP)), np.zeros(extension.shape)
    )


@pytest.fixture(scope="module")
def data(turnstone_space):
    return turnstone_space.data(turnstone_space.choices[0]).layout


def test_the_longest_of_all_sets_counts(data):
    """Check that the longest rod of all sets is used: here that of the second set, then that of the first."""
    extension = np.array([0.0, 0.07, 0.19])
    wing = wing_of(data, extension)
    assert data.scheme == "scaled"
    assert rod_sets.longest_rod(data, wing) == pytest.approx(length(REAR, STOCK_HALF + extension), rel=1e-12)
    assert np.all(length(REAR, STOCK_HALF + extension) > 1.1 * length(MAIN, STOCK_HALF + extension))
    for runs in (data.rods[:1], (data.rods[0], data.rods[1]._replace(outer_end=0.2))):
        found = rod_sets.longest_rod(data._replace(rods=runs), wing)
        assert found == pytest.approx(length(MAIN, STOCK_HALF + extension), rel=1e-12)
    assert rod_sets.longest_rod(data._replace(rods=()), wing).tolist() == [0.0, 0.0, 0.0]


def test_a_design_has_the_rod_of_its_own_span(turnstone_study, turnstone_space):
    choice = turnstone_space.choices[0]
    design = starting_points(turnstone_space)[0] | {"extension": 0.085}
    told = assess_design(turnstone_study, turnstone_space.data(choice), choice, design, "alternative")
    # tolerance: rounded
    assert told.numbers.rod_length_mm == pytest.approx(1e3 * length(REAR, STOCK_HALF + 0.085), abs=1e-4)


@pytest.fixture(scope="module")
def banded(turnstone_space):
    """Return a function for the flat band of a trade that falls slowly away from its best span, with rods of length
    [m]."""

    def gain(choice, variables):
        return 1e5 * (1 - LEFT * (0.98 + 2 * variables["extension"] - BEST) ** 2)

    def band(sold):
        stretch = turnstone_space.study.stretch.model_copy(update={"rod_length_sold": sold})
        space = space_with_known_results(
            replace(turnstone_space, study=replace(turnstone_space.study, stretch=stretch)), gain
        )
        choice, start = space.choices[0], starting_points(space)[0]
        trade = []
        for span in np.linspace(0.98, 1.37, 14):
            design = start | {"extension": 0.5 * (span - 0.98)}
            trade.append(answer_of(space, choice, design, gain(choice, design)))
        best = start | {"extension": 0.5 * (BEST - 0.98)}
        return flat_band(space, answer_of(space, choice, best, gain(choice, best)), trade)

    return band


@pytest.mark.parametrize("sold", [0.56, 0.60])
def test_the_span_to_build_is_the_longest_whose_rods_need_no_splice(banded, sold):
    """Check that the span to build is the longest whose rods need no splice, rounded down to a centimetre.

    Another rod, or another end of it, would change it by centimetres.
    """
    uncut = 2e3 * brentq(lambda half: length(REAR, half) - sold, 0.49, 0.69)
    assert 0.5 < uncut % 10 < 9.5  # mm; not close to a complete centimetre, so that rounding does not matter
    found = banded(sold)
    assert found.span_mm == 10 * int(uncut // 10) and found.low_mm < found.span_mm < 1e3 * BEST
    assert found.reason == f"rods of {1e3 * sold:.0f} mm then need no splice"


@pytest.mark.parametrize("sold", [0.40, 0.70, 0.90])
def test_rods_that_are_long_enough_anyway_or_never_decide_nothing(banded, sold):
    """Check lengths without effect: 0.40 m is too short for all wings, 0.70 m only helps beyond the best, 0.90 m fits
    all."""
    assert length(REAR, STOCK_HALF) > 0.40 and length(REAR, 0.5 * BEST) < 0.70
    found = banded(sold)
    assert found.span_mm == round(1e3 * BEST) and "splice" not in found.reason
