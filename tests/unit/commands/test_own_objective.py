"""Objectives and limits of the user's own: the same optimum as the built-in ones that they copy."""

import math
from dataclasses import replace

import numpy as np
import pytest

import tradestudy as ts
from tradestudy.aircraft.model.choices import Choice
from tradestudy.commands.study_session import StudySession
from tradestudy.errors import CommandError
from tradestudy.physics.flight.records import STEP
from tradestudy.search.optimum import run_search
from tradestudy.search.own.functions import OwnFunctions, OwnLimit
from tradestudy.search.search_task import SearchTask

PARTS = Choice(series=4, parallel=2, rod_diameter=0.004, rod_pairs=1, propeller="10x6")


@pytest.fixture(scope="module")
def one_choice():
    """Return an open session on the Godwit with one set of parts, and its built-in optimum."""
    changes = {"choices.parallel": [3], "choices.rod_pairs": [2], "choices.rod_diameter": "4 mm"}
    study = ts.edit(ts.load("studies/godwit.toml"), changes | {"choices.propeller": "10x6"})
    session = StudySession(study, "own")
    return session, session.ranked()[0]


def all_up_mass(wing):
    """Return the flying weight. [kg]"""
    return wing.all_up_mass


def own_range(wing):
    """Return the range, as the built-in objective of the Godwit. [m]"""
    return wing.range


@pytest.mark.thorough
def test_an_objective_that_copies_the_built_in_one_has_its_optimum(one_choice):
    session, built_in = one_choice
    found = ts.optimise(session, objective=own_range)
    assert found.feasible and found.by_differences == []
    assert found.objective == pytest.approx(built_in.range, rel=1e-6)
    assert found.best.numbers.span_mm == pytest.approx(1e3 * built_in.traded["span"], abs=2.0)
    assert found.choices[0]["objective"] == found.objective and len(found.to_dataframe()) == len(found.choices)


def searched(session, start, own):
    space = replace(session.space, own=own, record=None, _models={})
    return run_search(space, SearchTask("solve", start.choice, [start.variables]))


@pytest.mark.thorough
def test_slopes_by_differences_lead_to_the_same_optimum(one_choice):
    session, built_in = one_choice
    own = OwnFunctions(lambda wing: float(np.abs(wing.range)))  # neither takes complex numbers
    near = replace(built_in, variables=built_in.variables | {"extension": 0.9 * built_in.variables["extension"]})
    found = searched(session, near, own)
    assert own.by_differences == {"objective"}
    assert found.gain * own.scales["objective"] == pytest.approx(built_in.range, rel=1e-5)


def test_a_limit_of_ones_own_stops_the_search_at_its_bound(one_choice):
    session, built_in = one_choice
    bound = built_in.all_up_mass / 1.02
    found = searched(session, built_in, OwnFunctions(None, (OwnLimit("light", all_up_mass, at_most=bound),)))
    assert found.feasible and found.all_up_mass == pytest.approx(bound, rel=1e-4)  # heavier flies farther
    assert 0.9 * built_in.range < found.gain < built_in.range


def rows_of(variables, outputs):
    """Return rows with steps along two variables, for outputs with given slopes along both."""
    return [
        {name: value + (STEP * 1j if name == along else 0) for name, value in variables.items()}
        | {name: value + 1j * STEP * slopes[at] for name, (value, slopes) in outputs.items()}
        for at, along in enumerate(variables)
    ]


def test_slopes_through_a_function_are_exact_or_differences():
    rows = rows_of({"a": 2.0, "b": 3.0}, {"mass": (4.0, (0.5, -1.0)), "way": (9.0, (2.0, 0.0))})
    widths = np.array([1.0, 10.0])
    own = OwnFunctions(lambda wing: wing.way / wing.mass + wing.b**2, (OwnLimit("m", lambda w: w.mass, at_most=8.0),))
    gain, slopes = own.gain(rows, PARTS, widths)
    assert gain == pytest.approx(1.0) and own.scales == {"objective": pytest.approx(9 / 4 + 9)}
    by_hand = np.array([2 / 4 - 9 / 16 * 0.5, 9 / 16 + 6.0]) * widths / (9 / 4 + 9)
    assert slopes == pytest.approx(by_hand, rel=1e-12) and not own.by_differences
    margins, margin_slopes = own.margins(rows, PARTS, widths)
    assert margins == pytest.approx([0.5]) and margin_slopes[0] == pytest.approx([-0.5 / 8, 10 / 8])
    # the size of a complex number has no slope here, so that the exact one would be wrong
    rough = OwnFunctions(lambda wing: abs(wing.way / wing.mass + wing.b**2))
    assert rough.gain(rows, PARTS, widths)[1] == pytest.approx(by_hand, rel=1e-6)
    assert rough.by_differences == {"objective"}


@pytest.mark.parametrize(
    "function, words",
    [
        (lambda wing: wing.rnge, "objective: A wing has no rnge. Did you mean range?"),
        (lambda wing: wing.range / 0, "objective cannot be computed of a wing: float division by zero"),
        (lambda wing: math.nan, "objective is nan for one of the wings"),
        (lambda wing: "far", "objective cannot be computed of a wing: could not convert"),
    ],
)
def test_functions_that_fail_are_named(function, words):
    with pytest.raises(CommandError) as error:
        OwnFunctions(function).gain([{"range": 9.0}], PARTS, np.zeros(0))
    assert words in str(error.value)


def test_names_and_bounds_of_limits(one_choice):
    session, _ = one_choice
    with pytest.raises(CommandError, match="needs one of at_least and at_most"):
        OwnLimit("x", own_range)
    twice = [OwnLimit("x", own_range, at_least=1.0)] * 2
    for limits in (twice, [OwnLimit("climb", own_range, at_least=1.0)]):
        with pytest.raises(CommandError, match="is taken; choose another one"):
            ts.optimise(session, limits=limits)
