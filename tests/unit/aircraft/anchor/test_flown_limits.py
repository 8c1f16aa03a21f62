"""What the stock wing is known to do bounds unknown film and foam, and nothing else."""

from dataclasses import replace

import numpy as np
import pytest

from tradestudy.aircraft.anchor.calibration import stretched_data
from tradestudy.aircraft.anchor.flown_limits import fastest_known, flown_limits
from tradestudy.aircraft.assessment import full_design
from tradestudy.aircraft.assessment.full_design import _cautious_speed
from tradestudy.aircraft.assessment.pilot_card import pilot_card
from tradestudy.aircraft.assessment.twist_and_flutter import control_curves, flutter_numbers, is_stock_wing
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.flight.control import LOOSE_BOND
from tradestudy.study.schema.search import KnownFlightTable

KMH = 3.6


def flown_at(study, kmh=None, **keys):
    """Return a study whose stock wing has flown that fast."""
    fastest = None if kmh is None else kmh / KMH
    return replace(study, fly=study.fly.model_copy(update={"fastest_flown": fastest, **keys}))


def stretched(study, anchor, limits, extension=0.1):
    """Return a wing longer by 0.1 m on each side, with bounds on its materials."""
    anchor = replace(anchor, flown=limits)
    data = stretched_data(study, anchor, anchor.choice, anchor.data.flight.slowest_speed)
    return EvaluatedDesign(study, data, anchor.choice, anchor.variables | {"extension": extension})


def advice(design):
    """Return the numbers on speed of a design."""
    return flutter_numbers(design, control_curves(design, np.array([15.0, 20.0])).numbers)


@pytest.fixture(scope="module")
def stock(godwit_anchor):
    return SpeedSweep(godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables)


def test_nothing_known_leaves_the_weak_film(godwit_study, godwit_anchor):
    assert godwit_anchor.flown == (LOOSE_BOND, 1.0)
    assert godwit_anchor.data.strength.least_covering == LOOSE_BOND


def test_the_weakest_film_just_stands_the_fastest_flight(godwit_study, godwit_anchor, stock):
    """Check that the stock wing, with the film so found, reverses in roll just at the speed that it has flown."""
    limits = flown_limits(flown_at(godwit_study, 152), stock)
    assert LOOSE_BOND < limits.least_covering < 1.0
    same = stretched(godwit_study, godwit_anchor, limits, 0.0)
    assert control_curves(same, np.array([15.0])).numbers["roll_reversal_weak_kmh"] == pytest.approx(152, rel=1e-3)


def test_a_faster_flight_never_lowers_the_cautious_speed_of_a_stretched_wing(godwit_study, godwit_anchor, stock):
    speeds = []
    for kmh in (None, 90, 125, 160, 200):
        study = flown_at(godwit_study, kmh)
        speeds.append(advice(stretched(study, godwit_anchor, flown_limits(study, stock)))["advised_speed_weak_kmh"])
    assert np.all(np.diff(speeds) >= 0.0) and speeds[-1] > 1.1 * speeds[0]


def test_the_stock_wing_is_not_advised_against_what_it_has_flown(godwit_study, godwit_anchor, stock):
    study = flown_at(godwit_study, 110)
    limits = flown_limits(study, stock)
    wing = EvaluatedDesign(study, godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables)
    assert advice(wing)["advised_speed_weak_kmh"] == pytest.approx(110)
    assert advice(stretched(study, godwit_anchor, limits))["advised_speed_weak_kmh"] < 110  # that one never flew


def test_known_flight_and_cruise_count_as_flown(godwit_study):
    flight = KnownFlightTable(distance="60 km", time="40 min", charge_used="6 Ah")
    known = replace(flown_at(godwit_study), known_flight=flight)
    assert fastest_known(known, 14.0) == pytest.approx(60e3 / 2400)
    assert fastest_known(flown_at(godwit_study), 14.0) == 14.0
    assert fastest_known(flown_at(godwit_study, 110), 14.0) == pytest.approx(110 / KMH)


def test_a_pull_that_it_survived_bounds_weak_foam(godwit_study, stock):
    """Check that weak materials carry at least the known pull on the stock wing, and that nominal ones do too."""
    weak = min(
        float(stock.structure_of(each).failure_load_factor[0])
        for each in EvaluatedDesign(godwit_study, stock.data, stock.choice, stock.variables).weak_strength
    )
    pulled = flown_limits(flown_at(godwit_study, hardest_pull=1.5 * weak), stock)
    assert pulled.weak_strength_factor == pytest.approx(1.5)
    assert flown_limits(flown_at(godwit_study, hardest_pull=0.9 * weak), stock).weak_strength_factor == 1.0


def test_cells_motor_and_balance_do_not_know_of_it(godwit_study, godwit_anchor, stock):
    limits = flown_limits(flown_at(godwit_study, 200, hardest_pull=20.0), stock)
    free, bound = (stretched(godwit_study, godwit_anchor, each) for each in (godwit_anchor.flown, limits))
    assert bound.data.strength.least_covering > free.data.strength.least_covering
    one, other = bound.evaluation.by_name(), free.evaluation.by_name()
    for name, value in one.items():
        np.testing.assert_array_equal(value, other[name], err_msg=name)


def test_a_card_stays_below_the_cautious_speed(godwit_study, godwit_anchor):
    """Check every speed of a card that is held back, also where the cautious speed is below cruise."""
    design = stretched(godwit_study, godwit_anchor, godwit_anchor.flown)
    free = pilot_card(design)
    fastest = max(leg.speed_kmh for leg in free.legs)
    assert free.until_tested_kmh is None
    assert pilot_card(design, 1.06 * fastest / KMH) == free
    for cautious in (0.95 * fastest, 0.95 * free.speed_kmh):
        held = pilot_card(design, cautious / KMH)
        assert held.until_tested_kmh == pytest.approx(cautious / 1.05, abs=1e-3)
        assert max(held.speed_kmh, *(leg.speed_kmh for leg in held.legs)) <= held.until_tested_kmh + 1e-3
    assert held.speed_kmh < free.speed_kmh and held.hold_a != free.hold_a
    assert _cautious_speed("stock", {"advised_speed_weak_kmh": 40.0}) is None  # it flies already
    assert _cautious_speed("recommended", {"advised_speed_weak_kmh": 36.0}) == pytest.approx(10.0)


def test_panels_are_kept_where_shape_and_rods_are_those_of_the_stock_wing(godwit_study, godwit_anchor):
    """Check each change that needs a knife or a hot wire, and one that needs neither."""
    stock, choice = godwit_anchor.variables, godwit_anchor.choice
    own, thicker = choice, replace(choice, rod_diameter=choice.rod_diameter + 1e-3)
    for chosen, changed, kept in (
        (own, {}, True),
        (replace(own, parallel=own.parallel + 1), {}, True),
        (own, {"static_margin": stock["static_margin"] + 0.02}, True),
        (own, {"extension": 0.01}, False),
        (own, {"sweep": stock["sweep"] + 0.02}, False),
        (own, {"washout": stock["washout"] + 0.02}, False),
        (own, {"tip_chord": stock["tip_chord"] - 0.002}, False),
        (thicker, {}, False),
        (replace(own, rod_pairs=own.rod_pairs + 1), {}, False),
    ):
        data = replace(godwit_anchor.data)
        design = EvaluatedDesign(godwit_study, data, chosen, stock | changed)
        assert design.keeps_panels is kept, (chosen.words, changed)


def test_a_recommended_wing_that_is_the_stock_wing_is_not_held_back(godwit_study, godwit_anchor, monkeypatch):
    """Check a search that finds nothing better: within rounding of the stock wing, it has flown already."""
    monkeypatch.setattr(full_design, "_cautious_speed", lambda label, numbers: 9.0)
    for extension, held in ((2e-4, False), (0.1, True)):
        design = stretched(godwit_study, godwit_anchor, godwit_anchor.flown, extension)
        assert is_stock_wing(design) is not held
        found = full_design.assess_design(
            godwit_study, design.data, design.choice, design.variables, "recommended"
        ).pilot_card
        assert (found.until_tested_kmh is not None) is held
