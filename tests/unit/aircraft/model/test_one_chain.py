"""The chain of the complete aircraft is wired once in `aircraft.model.evaluation`, and by components for OpenMDAO.

This is checked at run time. A design is assessed, a grid is computed, a search uses values and derivatives, and so does
the OpenMDAO problem. Meanwhile every call into physics is recorded with the module that makes it.
"""

import ast
import sys
from pathlib import Path

import numpy as np
import pytest

import tradestudy
from tradestudy.aircraft.assessment.full_design import assess_design
from tradestudy.aircraft.components.problem import aircraft_problem, set_parts
from tradestudy.aircraft.model.choices import Choice
from tradestudy.commands.design_grid import Chunk, GridDesign, chunk_rows
from tradestudy.physics.flight import level_drag
from tradestudy.search.optimum import ScaledProblem
from tradestudy.search.search_space import search_space, starting_points

CHAIN, DOORS = "tradestudy.aircraft.model.evaluation", "tradestudy.aircraft.components."
PHYSICS, FLIGHT = "tradestudy.physics.", "tradestudy.physics.flight."
# stages of the chain; a module that calls one of these puts the aircraft together
STAGES = {
    FLIGHT + "layout": {"design_shape", "shape_of"},
    FLIGHT + "trimmed_flight": {"unit_solution", "solution_of", "trim_conditions", "lateral_handling"},
    FLIGHT + "control": {"design_flow", "twist_effects"},
    FLIGHT + "level_drag": {"strip_state", "level_drag", "other_drag_area", "wing_profile_drag_area"},
    FLIGHT + "strength": {"design_structure", "wing_structure"},
    FLIGHT + "balance": {"design_balance"},
    FLIGHT + "room": {"room"},
    FLIGHT + "power": {"design_power", "steady_cruise_power", "usual_time_in_cruise", "chosen_powertrain"},
}
# a lattice for the neutral point of the wing as measured, which is not a design; the weight of the lightest wing that a
# set of parts allows
ELSEWHERE = {("tradestudy.aircraft.anchor.calibration", "unit_solution"), ("tradestudy.search.front", "design_shape")}

# other physics that limits and the study use: size of a pack, charge left, number of strips
LIMITS_ASK = {"laid_size", "layout_from_text", "strip_count", "age_factor", "cold_factor"}


def calls_into_physics(work):
    """Return {(calling module, called module, called function)} for all calls of physics while ``work`` runs."""
    found = set()

    def watch(frame, event, _):
        if event == "call" and frame.f_back is not None:
            called, calling = frame.f_globals.get("__name__", ""), frame.f_back.f_globals.get("__name__", "")
            if called.startswith(PHYSICS) and calling.startswith("tradestudy.") and not calling.startswith(PHYSICS):
                found.add((calling, called, frame.f_code.co_name))

    before = sys.getprofile()
    sys.setprofile(watch)
    try:
        work()
    finally:
        sys.setprofile(before)
    return found


def is_stage(called, name):
    return name in STAGES.get(called, ())


def wired_elsewhere(calls):
    """Return calls of stages that come neither from the chain nor from a component."""
    return {
        (calling, called, name)
        for calling, called, name in calls
        if is_stage(called, name) and calling != CHAIN and not calling.startswith(DOORS)
    }


@pytest.fixture(scope="module")
def space(godwit_study, godwit_anchor):
    return search_space(godwit_study, godwit_anchor)


@pytest.fixture(scope="module")
def start(space):
    return starting_points(space)[0]


CHOICE = Choice(4, 2, 0.003, 1, "9x6")


def test_a_report_evaluates_by_the_one_chain(space, start, godwit_study):
    limits, data = space.limits(CHOICE), space.data(CHOICE)
    calls = calls_into_physics(lambda: assess_design(godwit_study, data, CHOICE, start, "best", limits))
    assert not wired_elsewhere(calls)
    by_chain = {(called, name) for calling, called, name in calls if calling == CHAIN}
    # weak materials use `wing_structure`; `twist_effects` and `lateral_handling` are called inside `design_flow`; the
    # chain draws a wing before it asks for its shape and its solution
    stages = {(called, name) for called, names in STAGES.items() for name in names}
    assert stages - by_chain == {
        (FLIGHT + "control", "twist_effects"),
        (FLIGHT + "trimmed_flight", "lateral_handling"),
        (FLIGHT + "trimmed_flight", "unit_solution"),
        (FLIGHT + "layout", "design_shape"),
    }


@pytest.mark.parametrize("best_speed", [True, False])
def test_a_grid_asks_physics_by_the_one_chain_alone(space, start, best_speed):
    points = [GridDesign(CHOICE, start), GridDesign(CHOICE, start | {"extension": start["extension"] + 0.02})]
    chunk_rows(space, Chunk(points, best_speed))  # so that what a space works out once is stored
    calls = calls_into_physics(lambda: chunk_rows(space, Chunk(points, best_speed)))
    assert not wired_elsewhere(calls)
    assert {calling for calling, _, name in calls if name not in LIMITS_ASK} == {CHAIN}


def test_a_search_asks_physics_by_the_one_chain_alone(space):
    pose = ScaledProblem(space, CHOICE)
    here = np.full(len(pose.free), 0.4)

    def look():
        pose.objective(here)
        pose.objective_slope(here)
        pose.margins(here)
        pose.margin_slopes(here)

    calls = calls_into_physics(look)
    assert not wired_elsewhere(calls)
    assert {calling for calling, _, name in calls if name != "fields_by_name"} == {CHAIN}


def test_openmdao_asks_physics_by_the_doors_alone(space, start):
    problem = aircraft_problem(space.data(CHOICE))
    problem.setup(mode="fwd", check=False)
    set_parts(problem, CHOICE, start)
    for name, number in start.items():
        problem.set_val(name, number)

    def look():
        problem.run_model()
        problem.model.run_linearize()

    calls = calls_into_physics(look)
    assert not wired_elsewhere(calls)
    assert all(calling.startswith(DOORS) for calling, _, _ in calls)
    called = {(called, name) for _, called, name in calls}
    doors = {
        "layout": "design_shape",
        "control": "design_flow",
        "level_drag": "level_drag",
        "strength": "design_structure",
        "balance": "design_balance",
        "power": "design_power",
    }
    assert {(FLIGHT + module, name) for module, name in doors.items()} <= called


def test_nothing_that_did_not_run_here_wires_it_either():
    """Check the same in the source of all modules, for code that did not run here."""
    root, found = Path(tradestudy.__file__).parent, set()
    for path in sorted(root.rglob("*.py")):
        module = ".".join(path.relative_to(root.parent).with_suffix("").parts)
        if module != CHAIN and not module.startswith((DOORS, FLIGHT)):
            found |= {(module, name) for name in stages_named(ast.parse(path.read_text(encoding="utf-8")))}
    assert found == ELSEWHERE


def stages_named(tree):
    """Yield stages that a module names, by whatever name it imports them or their modules."""
    modules = {}
    for node in ast.walk(tree):
        for alias in node.names if isinstance(node, ast.ImportFrom) else ():
            whole = f"{node.module}.{alias.name}"
            modules[alias.asname or alias.name] = whole
            if is_stage(node.module, alias.name):
                yield alias.name
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            if is_stage(modules.get(node.value.id), node.attr):
                yield node.attr


def test_another_wiring_would_be_detected(space, start):
    """Test the two checks: with a stage called from another module, and one named in its source."""
    text = (
        "from tradestudy.physics.flight import level_drag as drags\n"
        "def again(data, *strips):\n    return drags.strip_state(data, *strips)\n"
    )
    elsewhere = {"__name__": "tradestudy.aircraft.model.elsewhere"}
    exec(compile(text, "elsewhere.py", "exec"), elsewhere)
    data = space.data(CHOICE)
    level, strips = data.level, [np.full((4, data.strip_count), value) for value in (0.4, 12.0, 0.0)]
    assert wired_elsewhere(calls_into_physics(lambda: elsewhere["again"](level, *strips))) == {
        ("tradestudy.aircraft.model.elsewhere", FLIGHT + "level_drag", "strip_state")
    }
    assert not wired_elsewhere(calls_into_physics(lambda: level_drag.strip_state(level, *strips)))  # a test may call it
    assert list(stages_named(ast.parse(text))) == ["strip_state"]
