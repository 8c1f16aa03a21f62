"""The tip chord as a variable of the search: no grid of spans and tip chords beats it, and its bounds have reasons."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from tradestudy.aircraft.model.best_speeds import at_best_speed
from tradestudy.aircraft.model.designs import many_designs
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE
from tradestudy.physics.sections.polar import TABLE_REYNOLDS
from tradestudy.search import optimum
from tradestudy.search.search_space import _shape_bounds, starting_points


@pytest.fixture(scope="module")
def best(turnstone_space):
    return optimum.solve(turnstone_space, turnstone_space.anchor.choice, starting_points(turnstone_space)[:1])


def test_no_grid_of_spans_and_tip_chords_is_better(turnstone_space, best):
    """Compare with five spans, four tip chords and three static margins, each at its best speed."""
    box = turnstone_space.bounds_of(best.choice)
    margin = best.variables["static_margin"]
    axes = {
        "extension": np.linspace(*box["extension"], 5),
        "tip_chord": np.linspace(*box["tip_chord"], 4),
        "static_margin": (margin, margin + 0.01, margin + 0.03),
    }
    rows = [
        best.variables | dict(zip(axes, map(float, place), strict=True)) for place in itertools.product(*axes.values())
    ]
    choices = [best.choice] * len(rows)
    _, evaluation = at_best_speed(
        turnstone_space.data(best.choice), many_designs(choices, rows), "distance", box["cruise_speed"][1], False
    )
    found = evaluation.by_name()
    limits = turnstone_space.limits(best.choice)
    met = np.array(
        [all(limit.margin(found[limit.output][row]).min() > MET_ABOVE for limit in limits) for row in range(len(rows))]
    )
    assert best.feasible and 3 < met.sum() < len(met)
    assert found["range"][met].max() <= best.gain * (1 + 1e-3)


def test_a_held_tip_chord_gives_less(turnstone_space, best):
    """Hold the tip chord on both sides of the best, where the bounds allow it: each loses range."""
    low, high = turnstone_space.bounds_of(best.choice)["tip_chord"]
    at, sides = best.variables["tip_chord"], 0
    for chord in (at - 0.008, at + 0.008):
        if low <= chord <= high:
            held = optimum.solve(turnstone_space, best.choice, [best.variables], {"tip_chord": chord})
            assert held.gain < best.gain or not held.feasible
            sides += 1
    assert sides


def test_the_smallest_tip_lies_in_the_table_of_the_sections(turnstone_study, turnstone_anchor):
    """Fly so slowly that three quarters of the stock tip chord would have a Reynolds number below the table."""
    stock, viscosity = turnstone_anchor.data.layout.stock, turnstone_anchor.data.flight.kinematic_viscosity
    chord = stock.tip_chord + stock.elevon_tip_chord
    slow = TABLE_REYNOLDS[0] * viscosity / (0.9 * chord)  # m/s; nine tenths of the chord are at the edge of the table
    low, _ = _shape_bounds(turnstone_study, turnstone_anchor, slow)["tip_chord"]
    assert low == pytest.approx(0.9 * stock.tip_chord, rel=1e-12)
    assert _shape_bounds(turnstone_study, turnstone_anchor, 2 * slow)["tip_chord"][0] == 0.75 * stock.tip_chord
    held = replace(turnstone_study, stretch=turnstone_study.stretch.model_copy(update={"tip_chord": (0.18, 0.18)}))
    assert _shape_bounds(held, turnstone_anchor, slow)["tip_chord"] == (0.18, 0.18)
