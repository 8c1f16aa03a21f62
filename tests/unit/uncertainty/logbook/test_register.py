"""The flights of a club as one fit: hidden clubs, what is shared by whom, and the next builder with flights or none."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.invented.hidden_clubs import club_factors, seventh
from helpers.invented.hidden_flights import flown, invented_pilot

from tradestudy.study.schema.fitted import FACTOR_NAMES
from tradestudy.uncertainty.fit.mixed_flight import AIR_HABIT, HABITS
from tradestudy.uncertainty.logbook.flown_wings import FlownWings
from tradestudy.uncertainty.logbook.register import flown_of_fit, labels_of, next_wing, prior_of, same_airframe
from tradestudy.uncertainty.logbook.shared_factors import NAMES, SHARES


@pytest.fixture(scope="module")
def wings(godwit_study):
    return FlownWings(godwit_study, {})


def changed(study, table, **values):
    return replace(study, **{table: getattr(study, table).model_copy(update=values)})


def test_the_band_of_the_next_wing_is_narrower_and_holds_the_truth(wings):
    """The bench tests/bench/truth/club.py measures this with 400 clubs; four show a gross mistake."""
    tries = [seventh(wings, seed, flights=(1, 3, 2, 4)) for seed in range(4)]
    assert all(one.width("after") < 0.97 * one.width("before") for one in tries)
    assert sum(one.holds("after") for one in tries) >= 2  # four times 0.8, less two deviations


def test_factors_of_clubs_have_the_shares_that_are_stated(wings):
    """Check the draws of `hidden_clubs`: wings of one type correlate by the share, each alone has its prior."""
    random = np.random.default_rng(1)
    clubs = [club_factors(wings.stock, random, 2, 0.0) for _ in range(2000)]
    drawn = [[one["induced"], other["induced"]] for one, other in clubs]
    logs = np.log(drawn)
    assert np.corrcoef(logs.T)[0, 1] == pytest.approx(SHARES["induced"], abs=0.04)  # two deviations of 2000 draws
    assert logs.std() == pytest.approx(prior_of(wings.stock.study)[FACTOR_NAMES.index("induced")], rel=0.05)


def test_a_fit_is_split_into_prior_and_readings(wings):
    """Check that prior and readings give the fit back, and that habits of the pilot are part of both."""
    random = np.random.default_rng(5)
    notes = [flown(wings.stock, dict.fromkeys(FACTOR_NAMES, 1.0), invented_pilot(random), random) for _ in range(3)]
    fit = wings.fit(notes)
    one = flown_of_fit(fit, range(len(NAMES)))
    precision = one.information + np.diag(one.prior**-2.0)
    places = [fit.names.index(name) for name in NAMES]
    assert np.allclose(np.linalg.inv(precision), fit.covariance[np.ix_(places, places)], atol=1e-9)
    assert np.allclose(np.linalg.solve(precision, one.pull), fit.mean[places], atol=1e-9)
    assert one.information[NAMES.index(AIR_HABIT), NAMES.index(AIR_HABIT)] > 0
    nothing = flown_of_fit(wings.fit([]), range(len(NAMES)))
    known = wings.stock.study.known_flight is not None
    assert known or np.abs(nothing.information).max() < 1e-6


def test_what_is_not_alike_is_not_shared(godwit_study):
    other = changed(godwit_study, "propeller", size="11x7")
    longer = changed(godwit_study, "stock", span=1.2 * godwit_study.stock.span)
    same = changed(godwit_study, "stock", span=1.02 * godwit_study.stock.span)
    labels = [dict(zip(NAMES, row, strict=True)) for row in labels_of([godwit_study, other, longer, same])]
    assert labels[0] == labels[3] and same_airframe(godwit_study, same)
    differ = {name for name in NAMES if labels[1][name] != labels[0][name]}
    assert differ == {"propeller_power", "drive_power"}
    differ = {name for name in NAMES if labels[2][name] != labels[0][name]}
    assert differ == {"drag", "induced", "drive_power"} and set(HABITS).isdisjoint(differ)


def test_own_flights_narrow_what_the_club_has_said(wings):
    random = np.random.default_rng(8)
    (labels,) = labels_of([wings.stock.study])
    factors = club_factors(wings.stock, random, 3, 0.0)
    fits = [wings.fit([flown(wings.stock, one, invented_pilot(random), random) for _ in range(3)]) for one in factors]
    members = [flown_of_fit(one, labels) for one in fits[:2]]
    alone, _ = next_wing(wings.stock, members, labels)
    with_own, _ = next_wing(wings.stock, members, labels, fits[2])
    widths = [np.log(band.high / band.low) for band in (with_own.after, alone.after, alone.before)]
    assert widths[0] < 0.95 * widths[1] < 0.95 * widths[2]
    unheard, _ = next_wing(wings.stock, [], labels)
    assert unheard.after == pytest.approx(unheard.before)
