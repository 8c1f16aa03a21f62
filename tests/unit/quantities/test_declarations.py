"""The declarations agree with one another and with the physics on which they depend."""

import re
from dataclasses import fields

import pytest

from tradestudy.aircraft.model.limit_bounds import COMPUTED_BOUNDS, StockReference, condition_place
from tradestudy.physics.flight.trimmed_flight import LEVEL_CONDITIONS, LOAD_CONDITIONS
from tradestudy.quantities import UNITS, to_si
from tradestudy.quantities.design_inputs import QUANTITY_INPUTS
from tradestudy.quantities.limit_remedies import REMEDIES
from tradestudy.quantities.limits import LIMITS, ComputedBound, FixedBound, KeyBound, StockShareBound
from tradestudy.quantities.objectives import PURPOSES, TRADED
from tradestudy.quantities.quantities import QUANTITIES, output_quantity
from tradestudy.quantities.variables import VARIABLE_BOUNDS, VARIABLES
from tradestudy.search.limit_prices import BY_SPEED
from tradestudy.study.schema.study import Study


@pytest.mark.parametrize("key", QUANTITIES)
def test_a_quantity_converts_both_ways(key):
    known = QUANTITIES[key]
    assert known.unit in UNITS[known.kind]
    assert to_si(known.in_unit(0.37), known.unit, known.kind) == pytest.approx(0.37, rel=1e-13)


def test_a_value_is_in_the_unit_of_its_key():
    assert QUANTITIES["endurance_min"].in_unit(90.0) == 1.5
    assert QUANTITIES["failure_load_factor"].in_unit(4.2) == 4.2


def test_an_undeclared_output_is_a_pure_number():
    assert output_quantity("anything").in_unit(0.5) == 0.5 and output_quantity("anything").unit == ""
    assert output_quantity("all_up_mass") is QUANTITIES["auw_g"]


@pytest.mark.parametrize("name", LIMITS)
def test_a_limit_can_be_computed(name):
    known = LIMITS[name]
    assert known.name == name and known.sense in (-1, 1) and known.step.size > 0 and known.step.words
    assert not known.condition or known.condition in LEVEL_CONDITIONS + LOAD_CONDITIONS
    hints = Study.__dataclass_fields__
    match known.bound:
        case ComputedBound(rule):
            assert rule in COMPUTED_BOUNDS
        case KeyBound(key) | StockShareBound(_, key):
            assert key.split(".")[0] in hints
        case FixedBound(bound):
            assert bound == 0.0 and known.speeds.value in BY_SPEED
    if isinstance(known.bound, StockShareBound):
        assert known.bound.stock in {each.name for each in fields(StockReference)}


def test_every_limit_has_a_remedy_and_no_strength_is_missed_by_little():
    assert set(REMEDIES) == set(LIMITS)
    hard = ("utilisation", "failure_load_factor", "roll_control", "pitch_control", "twist_off_share")
    for name, known in LIMITS.items():
        assert REMEDIES[name].words and (known.output not in hard or REMEDIES[name].scatter == 0.0)


def test_every_rule_for_a_bound_is_used():
    rules = {known.bound.rule for known in LIMITS.values() if isinstance(known.bound, ComputedBound)}
    assert rules == set(COMPUTED_BOUNDS)
    assert {known.speeds.value for known in LIMITS.values() if known.speeds} == set(BY_SPEED)


def test_strength_is_limited_in_every_load_condition():
    limited = [known.condition for known in LIMITS.values() if known.output == "utilisation"]
    assert limited == list(LOAD_CONDITIONS) and [condition_place(each) for each in limited] == [0, 1, 2, 3]


@pytest.mark.parametrize("name", LIMITS)
def test_a_step_is_as_large_as_its_words_say(name):
    step = LIMITS[name].step
    amount, unit = re.search(r"([\d.]+) (%|times|deg|km/h|m/s|mm|m|g|A|V|N cm)(?= )", step.words).groups()
    kinds = {unit: kind for kind, units in UNITS.items() for unit in units}
    pure = unit == "times" or (unit == "g" and "pull-up" in step.words)
    assert step.size == pytest.approx(float(amount) if pure else to_si(float(amount), unit, kinds[unit]))


def test_a_traded_quantity_is_declared_with_a_better_side():
    for known in TRADED.values():
        assert known.words and known.sense in (-1, 1) and known.number in QUANTITIES
        assert not known.condition or known.condition in LOAD_CONDITIONS
    assert {each.number for each in PURPOSES.values()} <= {each.number for each in TRADED.values()}


def test_every_bound_of_a_variable_has_a_name_and_a_step():
    assert len(VARIABLE_BOUNDS) == 2 * len(VARIABLES)
    assert VARIABLES["extension"].bound_name(True) == "largest_span" and "largest_sweep" in VARIABLE_BOUNDS
    assert all(bound.words and bound.step for bound in VARIABLE_BOUNDS.values())


def test_an_option_and_a_variable_share_one_name_at_the_edges():
    """Check a command-line option that requests a variable, and a search that varies it: they have one name."""
    for name in QUANTITY_INPUTS.keys() & VARIABLES.keys():
        assert QUANTITY_INPUTS[name].key == VARIABLES[name].key
