"""What is declared once: that it hangs together, and that what hangs on physics agrees with it."""

from dataclasses import fields

import pytest

from tradestudy.aircraft.model.limit_bounds import WORKED_OUT, StockReference, condition_place
from tradestudy.physics.flight.trimmed_flight import CONDITIONS, CRUISE_OVER_SLOW, LOAD_CONDITIONS
from tradestudy.quantities import UNITS, to_si
from tradestudy.quantities.design_inputs import QUANTITY_INPUTS
from tradestudy.quantities.limits import LIMITS, ComputedBound, FixedBound, KeyBound, StockShareBound
from tradestudy.quantities.objectives import PURPOSES, TRADED
from tradestudy.quantities.quantities import QUANTITIES, of_output
from tradestudy.quantities.variables import ENDS, VARIABLES
from tradestudy.search.limit_prices import BY_SPEED
from tradestudy.study.schema.study import Study


@pytest.mark.parametrize("key", QUANTITIES)
def test_a_quantity_goes_out_and_comes_back(key):
    known = QUANTITIES[key]
    assert known.unit in UNITS[known.kind] and known.imperial in UNITS[known.kind]
    assert to_si(known.told(0.37), known.unit, known.kind) == pytest.approx(0.37, rel=1e-13)


def test_imperial_units_by_their_definitions():
    """0.0254 m, 28.349523125 g, 0.44704 m/s, 1609.344 m."""
    assert QUANTITIES["span_mm"].told(0.0254, imperial=True) == pytest.approx(1.0)
    assert QUANTITIES["auw_g"].told(0.028349523125, imperial=True) == pytest.approx(1.0)
    assert QUANTITIES["cruise_speed_kmh"].told(0.44704, imperial=True) == pytest.approx(1.0)
    assert QUANTITIES["range_km"].told(1609.344, imperial=True) == pytest.approx(1.0)
    assert QUANTITIES["endurance_min"].told(90.0, imperial=True) == 1.5
    assert QUANTITIES["failure_load_factor"].told(4.2, imperial=True) == 4.2


def test_an_output_that_nobody_declared_is_a_pure_number():
    assert of_output("anything").told(0.5) == 0.5 and of_output("anything").unit == ""
    assert of_output("all_up_mass") is QUANTITIES["auw_g"]


@pytest.mark.parametrize("name", LIMITS)
def test_a_limit_can_be_worked_out(name):
    known = LIMITS[name]
    assert known.name == name and known.sense in (-1, 1) and known.step.size > 0 and known.step.words
    assert not known.condition or known.condition in CONDITIONS
    hints = Study.__dataclass_fields__
    match known.bound:
        case ComputedBound(rule):
            assert rule in WORKED_OUT
        case KeyBound(key) | StockShareBound(_, key):
            assert key.split(".")[0] in hints
        case FixedBound(bound):
            assert bound == 0.0 and known.speeds.value in BY_SPEED
    if isinstance(known.bound, StockShareBound):
        assert known.bound.stock in {each.name for each in fields(StockReference)}


def test_no_rule_stands_idle():
    assert {known.bound.rule for known in LIMITS.values() if isinstance(known.bound, ComputedBound)} == set(WORKED_OUT)
    assert {known.speeds.value for known in LIMITS.values() if known.speeds} == set(BY_SPEED)


def test_every_condition_that_loads_the_wing_is_held():
    held = [known.condition for known in LIMITS.values() if known.output == "utilisation"]
    assert held == list(LOAD_CONDITIONS) and [condition_place(each) for each in held] == [0, 1, 2, 3]


def test_cruise_over_stall_tells_the_ratio_that_physics_holds():
    known = LIMITS["cruise_over_stall"]
    assert f"{CRUISE_OVER_SLOW:g} times" in known.words
    assert f"{CRUISE_OVER_SLOW - known.step.size:g} instead of {CRUISE_OVER_SLOW:g} times" in known.step.words


def test_what_is_traded_is_a_quantity_with_a_better_side():
    for known in TRADED.values():
        assert known.words and known.sense in (-1, 1) and known.number in QUANTITIES
        assert not known.condition or known.condition in LOAD_CONDITIONS
    assert {each.number for each in PURPOSES.values()} <= {each.number for each in TRADED.values()}


def test_ends_have_a_name_and_a_step_each():
    assert len(ENDS) == 2 * len(VARIABLES)
    assert VARIABLES["extension"].end_name(True) == "largest_span" and "largest_sweep" in ENDS
    assert all(end.words and end.step for end in ENDS.values())


def test_one_variable_has_one_name_at_the_edges():
    """Asked for by hand, and free in a search."""
    for name in QUANTITY_INPUTS.keys() & VARIABLES.keys():
        assert QUANTITY_INPUTS[name].key == VARIABLES[name].key
