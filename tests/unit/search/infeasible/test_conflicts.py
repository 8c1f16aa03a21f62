"""Reasons why a study has no result: conflicts computed by hand, and real ones in which a limit is relaxed as
advised."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import Limit
from tradestudy.quantities.limits import LIMITS, FixedBound, LimitDeclaration, Step
from tradestudy.quantities.objectives import PURPOSES, TRADED
from tradestudy.quantities.variables import VARIABLES
from tradestudy.search import optimum
from tradestudy.search import search_space as spaces
from tradestudy.search.infeasible import conflicts

ONE = Choice(4, 2, 0.003, 1, "10x6")
BOX = dict.fromkeys(VARIABLES, (0.0, 0.0)) | {"extension": (0.0, 1.0), "sweep": (0.0, 1.0)}


class Sheet:
    """A model of two variables with given outputs as (value, derivatives)."""

    usual = False

    def __init__(self, outputs):
        sizes = {name: 4 if traded.condition else 1 for traded in TRADED.values() for name in traded.outputs}
        flat = {name: (np.ones(size) if size > 1 else 1.0, (0, 0)) for name, size in sizes.items()}
        self.outputs = {name: lambda x, y, both=both: both for name, both in flat.items()} | outputs

    def run(self, choice, variables, along):
        self.at, self.along = (variables["extension"], variables["sweep"]), along

    def value(self, name):
        return self.outputs[name](*self.at)[0]

    def slopes(self, outputs):
        return {
            (name, variable): np.array([slope])
            for name in outputs
            for variable, slope in zip(self.along, self.outputs[name](*self.at)[1], strict=True)
        }


def told(limits, start=(0.4, 0.3)):
    """Return the conflict of limits (name, output, at least or at most, bound) on outputs of x and y between 0 and
    1."""
    sides = {"at least": 1, "at most": -1}
    made = [Limit(name, name, output, bound, 1.0, sides[side]) for name, output, side, bound in limits]
    declared = {
        name: LimitDeclaration(name, name, output, sides[side], FixedBound(bound, ""), Step(1.0, ""))
        for name, output, side, bound in limits
    }
    model = Sheet(OUTPUTS)
    space = SimpleNamespace(
        model=lambda propeller, usual: model,
        data=lambda propeller: None,
        limits=lambda choice: made,
        bounds_of=lambda choice: BOX,
        choices=[ONE],
        study=SimpleNamespace(fly=SimpleNamespace(purpose="distance"), price=[]),
        purpose=PURPOSES["distance"],
        own=None,
    )
    variables = dict.fromkeys(VARIABLES, 0.0) | {"extension": start[0], "sweep": start[1]}
    answer = SimpleNamespace(choice=ONE, variables=variables)
    with pytest.MonkeyPatch.context() as patch:
        for name in declared:
            patch.setitem(LIMITS, name, declared[name])
        found = conflicts.conflict(space, [answer])
    lines = found.lines
    assert found.one_suffices == any(line.endswith("would do") for line in lines)
    return lines


OUTPUTS = {
    "x": lambda x, y: (x, (1, 0)),
    "y": lambda x, y: (y, (0, 1)),
    "sum": lambda x, y: (x + y, (1, 1)),
    "disc": lambda x, y: (x**2 + y**2, (2 * x, 2 * y)),
}


def test_three_limits_in_the_plane():
    """Check x + y of 1.6 with x up to 0.7 and y up to 0.6, where 1.3 is the most. x could rise to 0.95 only: not
    enough."""
    lines = told(
        [
            ("idle", "x", "at most", 0.95),
            ("reach", "sum", "at least", 1.6),
            ("bend", "x", "at most", 0.7),
            ("weight", "y", "at most", 0.6),
            ("climb", "y", "at least", 0.1),
        ]
    )
    assert lines == [
        "reach at least 1.6, bend at most 0.7 and weight at most 0.6 cannot all hold, even with every other limit "
        "dropped",
        "letting the reach go to 1.300 would do",
        "letting the bend go, however far, would not do by itself",
        "letting the weight go to 0.900 would do",
    ]


def test_disc_and_line():
    """Check x^2 + y^2 = 1/4, where the sum is at most sqrt(1/2). The nearest point of x + y = 1 has x^2 + y^2 = 1/2."""
    lines = told(
        [("shade", "x", "at least", 0.1), ("reach", "sum", "at least", 1.0), ("weight", "disc", "at most", 0.25)]
    )
    assert lines == [
        "reach at least 1 and weight at most 0.25 cannot both hold, even with every other limit dropped",
        "letting the reach go to 0.707 would do",
        "letting the weight go to 0.500 would do",
    ]


def test_bounds_that_take_part_are_named():
    """Check that bounds are named: x + y is at most 1.2, as y has the bound 1 and x the limit 0.2. y cannot be
    relaxed."""
    lines = told([("reach", "sum", "at least", 1.5), ("bend", "x", "at most", 0.2)])
    assert lines == [
        "reach at least 1.5 and bend at most 0.2 cannot both hold, even with every other limit dropped"
        "; the most sweep that the study allows takes part in it",
        "letting the reach go to 1.200 would do",
        "letting the bend go to 0.500 would do",
    ]


def test_two_conflicts_at_once_are_not_mended_by_one_limit():
    lines = told(
        [
            ("long", "x", "at least", 0.8),
            ("short", "x", "at most", 0.6),
            ("swept", "y", "at least", 0.9),
            ("straight", "y", "at most", 0.5),
        ]
    )
    assert lines == [
        "swept at least 0.9 and straight at most 0.5 cannot both hold, even with every other limit dropped",
        "letting the swept go, however far, would not do by itself",
        "letting the straight go, however far, would not do by itself",
    ]


# --- the Godwit --------------------------------------------------------------------------------------------

BOUGHT = Choice(4, 2, 0.003, 2, "10x6")


def ready(godwit_study, anchor, **asked):
    """Return the Godwit with one set of parts, and values of its tables [fly] and [limits] replaced [SI]."""
    lists = godwit_study.choices.model_copy(
        update={"parallel": (2,), "rod_pairs": (2,), "rod_diameter": (0.003,), "propeller": ("10x6",)}
    )
    tables = {}
    for name in ("fly", "limits"):
        table = getattr(godwit_study, name)
        tables[name] = table.model_copy(update={key: asked[key] for key in asked if key in type(table).model_fields})
    return spaces.search_space(replace(godwit_study, choices=lists, **tables), anchor)


def is_met(space, answer):
    """Return whether some design meets every limit, by searches from two starts."""
    pose = optimum.ScaledProblem(space, BOUGHT)
    starts = [pose.scaled(answer.variables), np.full(len(pose.free), 0.5)]
    return any(optimum.least_violation(pose, start).feasible for start in starts)


@pytest.mark.thorough
def test_a_limit_that_gives_as_reported_suffices_and_a_little_less_does_not(godwit_study, godwit_anchor):
    asked = {"launch_speed": 1.1 * 8.2, "failure_load_factor": 11.0}
    keys = {"slowest_flight": "launch_speed", "failure_load_factor": "failure_load_factor"}
    per_bound = {"slowest_flight": 1.1, "failure_load_factor": 1.0}  # no strip may stall at the launch speed over 1.1
    space = ready(godwit_study, godwit_anchor, **asked)
    start = SimpleNamespace(choice=BOUGHT, variables=spaces.starting_points(space)[0])
    assert [limit.name for limit in conflicts.smallest_conflict(space, start)] == list(keys)
    for name, key in keys.items():
        found = conflicts.least_relaxation(space, [start], name)
        enough = per_bound[name] * found.bound
        give = enough - asked[key]
        assert abs(give) > 0.01 * asked[key]  # otherwise the check shows nothing
        assert is_met(ready(godwit_study, godwit_anchor, **asked | {key: enough}), start), name
        assert not is_met(ready(godwit_study, godwit_anchor, **asked | {key: asked[key] + 0.98 * give}), start), name


def test_figures_are_rounded_to_the_side_that_does():
    climb = Limit("climb", "climb at full throttle", "climb_speed", 12.0, 5.0, 1)
    strong = Limit(
        "failure_load_factor", "load factor at which it breaks in a pull-up", "failure_load_factor", 12.0, 12.0, 1
    )
    up = Limit("up_elevon", "up-elevon in cruise", "elevon", -np.radians(4), 0.1, 1)
    heavy = Limit("flying_weight", "flying weight", "all_up_mass", 2.0, 2.0, -1)
    space = SimpleNamespace(slowest_speed=10.0, choices=[ONE])
    slow = Limit("slowest_flight", "stall at launch speed", "stall_margin", 0.0, 1.0, 1)
    lines = conflicts.conflict_sentences(
        space,
        [climb, strong, up, heavy, slow],
        [
            conflicts.LimitRelaxation(climb, 4.8762, ONE),
            conflicts.LimitRelaxation(strong, 11.98761, ONE),
            conflicts.LimitRelaxation(up, -np.radians(5.2341), ONE),
            conflicts.LimitRelaxation(heavy, 2.10277, ONE),
            conflicts.LimitRelaxation(slow, 11.12345, ONE),
        ],
        ONE,
        ["least sweep", "most washout"],
    )
    assert lines == [
        "climb at full throttle at least 12 m/s, load factor at which it breaks in a pull-up at least 12, up-elevon "
        "in cruise at most 4 deg, flying weight at most 2000 g and stall at launch speed at most 36 km/h cannot all "
        "hold, even with every other limit dropped; the least sweep and most washout that the study allows take part "
        "in it",
        "letting the climb at full throttle go to 4.87 m/s would do",
        "letting the load factor at which it breaks in a pull-up go to 11.9876 would do",
        "letting the up-elevon in cruise go to 5.24 deg would do",
        "letting the flying weight go to 2103 g would do",
        "letting the stall at launch speed go to 40.05 km/h would do",
    ]


@pytest.mark.parametrize("margin, starts", [(0.01, 1), (-0.01, 2), (-1e3, 1)])
def test_a_near_miss_is_searched_again_from_the_middle(monkeypatch, margin, starts):
    asked = []

    def violation(problem, start):
        asked.append(start)
        return SimpleNamespace(feasible=margin > 0, worst_margin=margin)

    problem = SimpleNamespace(free=["sweep", "washout"])
    monkeypatch.setattr(conflicts, "_problem_of_limits", lambda space, choice, names: problem)
    monkeypatch.setattr(conflicts, "_inside", lambda problem, result: "near")
    monkeypatch.setattr(conflicts, "least_violation", violation)
    conflicts._best_for_limits(None, SimpleNamespace(choice=None), ["climb"])
    assert asked[0] == "near" and len(asked) == starts
    assert starts == 1 or list(asked[1]) == [0.5, 0.5]
