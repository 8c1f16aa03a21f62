"""One set of parts as an OpenMDAO problem: another driver's optimum, its limits, derivatives, diagram and record."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import openmdao.api as om
import pytest

from tradestudy.search import posed_problem as module
from tradestudy.search.optimum import solve
from tradestudy.search.posed_problem import posed_problem
from tradestudy.search.scaled_problem import posing
from tradestudy.search.search_space import search_space, starting_points


@pytest.fixture(scope="module")
def choice(space):
    """Return the only choice, with its pack in a bay that is cut to it."""
    (only,) = space.choices
    assert only.layout
    return only


@pytest.fixture(scope="module")
def space(godwit_study, godwit_anchor):
    """Return the Godwit with that one set of parts."""
    lists = godwit_study.choices.model_copy(
        update={"parallel": (2,), "rod_pairs": (2,), "rod_diameter": (0.003,), "propeller": ("10x6",)}
    )
    return search_space(replace(godwit_study, choices=lists), godwit_anchor)


@pytest.fixture(scope="module")
def solved(space, choice):
    problem = posed_problem(space, choice)
    assert problem.run_driver().success
    return problem


@pytest.mark.thorough
def test_a_stock_driver_ends_at_the_same_optimum(space, choice, solved):
    """Check that both optima agree within 0.01 %, at the same design.

    Both are scipy's SLSQP, posed by different code.
    """
    ours = solve(space, choice, starting_points(space)[:1])
    output = space.purpose.output
    assert ours.feasible
    assert float(solved.get_val(output)[0]) == pytest.approx(ours.gain, rel=1e-4)
    for name, (low, high) in posing(space, choice).bounds.items():
        assert float(solved.get_val(name)[0]) == pytest.approx(ours.variables[name], abs=0.02 * (high - low) + 1e-9)


def test_every_limit_that_a_variable_moves_is_a_constraint(space, choice, solved):
    """Check side and bound of each limit, whether it is alone on its elements or one of two."""
    constraints = solved.model.get_constraints()
    for limit in space.limits(choice):
        alike = [
            each for alias, each in constraints.items() if limit.name in alias.removesuffix("_limit").split("_and_")
        ]
        if limit.declared.depends_on_parts:
            assert not alike, limit.name
            continue
        (one,) = alike
        bound = one["lower" if limit.sign > 0 else "upper"]
        assert bound == pytest.approx(limit.bound), limit.name
        value = limit.elements(solved.get_val(limit.output))
        # room in the section: the root never changes, so pairs of two places on the centre line are left out. The two
        # surfaces have 2 and 4 places on it, so these are 8 of the 32 pairs of the joiner. The pack's bay moves
        never = 2 * 4 if limit.name == "fits_section" else 0
        assert one["size"] == value.size - never, limit.name
        assert (limit.margin(solved.get_val(limit.output)) > -1e-4).all(), limit.name


def test_objective_and_design_variables_are_of_order_one(solved, space):
    (objective,) = solved.model.get_objectives().values()
    scaled = solved.get_val(space.purpose.output)[0] / objective["ref"]
    assert -10 < scaled < -0.1
    for each in solved.model.get_design_vars().values():
        assert (each["ref0"], each["ref"]) == (each["lower"], each["upper"])  # 0 to 1 between its bounds
    for alias, each in solved.model.get_constraints().items():
        assert (np.abs(solved.get_val(each["name"])) / each["ref"]).max() < 30, alias


def test_totals_agree_with_differences(solved):
    """Check by OpenMDAO's own function: the objective and curved limits, with its own step sizes.

    At the optimum the range hardly moves with the cruise speed: its slope is lost in the rounding of differences. So it
    is checked at a twentieth more.
    """
    best = solved.get_val("cruise_speed").copy()
    solved.set_val("cruise_speed", 1.05 * best)
    solved.run_model()
    checked = solved.check_totals(
        of=["range", "failure_load_factor"],
        wrt=["extension", "cruise_speed"],
        step=1e-4,
        form="central",
        out_stream=None,
    )
    for pair, data in checked.items():
        exact, difference = (np.asarray(data[name]) for name in ("J_fwd", "J_fd"))
        assert exact == pytest.approx(difference, rel=1e-3, abs=1e-4 * np.abs(difference).max()), pair
    solved.set_val("cruise_speed", best)
    solved.run_model()


# a redrawn panel keeps its chords at each share of the span, so that its Reynolds numbers do not change with extension
@pytest.mark.filterwarnings("ignore::openmdao.api.DerivativesWarning")
def test_partials_agree_with_differences(space, choice):
    """Check every component by OpenMDAO's own function, where the search starts.

    Steps are a share of the inputs' size.
    """
    problem = posed_problem(space, choice)
    problem.run_model()
    checked = problem.check_partials(out_stream=None, form="central", step=1e-5, step_calc="rel_avg")
    compared = 0
    for component, pairs in checked.items():
        for pair, data in pairs.items():
            exact, difference = (np.asarray(data[name]) for name in ("J_fwd", "J_fd"))
            largest = np.abs(difference).max(initial=0.0)
            assert exact == pytest.approx(difference, rel=2e-3, abs=2e-3 * largest + 1e-9), (component, pair)
            compared += largest > 0
    assert compared > 60


def test_it_is_recorded_and_drawn(space, choice, tmp_path):
    problem = posed_problem(space, choice, recorder=tmp_path / "cases.sql")
    problem.driver.options["maxiter"] = 2
    problem.run_driver()
    problem.cleanup()
    reader = om.CaseReader(next(tmp_path.rglob("cases.sql")))
    assert len(reader.list_cases("driver", out_stream=None)) >= 2
    om.n2(problem, outfile=str(tmp_path / "n2.html"), show_browser=False)
    assert (tmp_path / "n2.html").stat().st_size > 100_000  # the data of the diagram are compressed


def test_bounds_of_a_tighter_study_are_kept(space, choice):
    low, high = space.bounds["extension"]
    short = replace(space, bounds=space.bounds | {"extension": (low, 0.5 * (low + high))})
    problem = posed_problem(short, choice)
    problem.run_driver()
    assert float(problem.get_val("extension")[0]) <= 0.5 * (low + high) + 1e-9


def test_elements_to_watch_move_or_are_broken(monkeypatch):
    """Check three elements of one output: a variable moves the first, the second is broken at any design."""
    monkeypatch.setattr(module, "starting_points", lambda space: [{}, {}])
    model = SimpleNamespace(
        run=lambda choice, start, along: None,
        slopes=lambda outputs: {("room", "sweep"): np.array([2.0, 0.0, 0.0])},
        value=lambda output: np.array([0.1, -0.1, 0.0]),
    )
    space = SimpleNamespace(model=lambda choice: model)
    limit = SimpleNamespace(output="room", margin=lambda values: values)
    assert list(module._elements_to_watch(space, None, [limit], ["sweep"])) == [0, 1]


def test_limits_of_parts_alone_are_those_that_no_variable_moves(space, choice):
    model, free, limits = space.model(choice), posing(space, choice).free, posing(space, choice).limits
    model.run(choice, starting_points(space)[0], along=free)
    slopes = model.slopes([limit.output for limit in limits])
    still = {limit.name for limit in limits if not any(np.any(slopes[limit.output, name]) for name in free)}
    assert still == {limit.name for limit in limits if limit.declared.depends_on_parts}
    assert {"full_throttle_cells", "full_throttle_motor"} <= still


def test_slopes_at_a_given_outline_are_those_with_all_variables(space, choice):
    """Check slopes along cruise speed and static margin alone, which leave every vortex where it is."""
    model, start, limits = space.model(choice), starting_points(space)[0], posing(space, choice).limits
    outputs, found = ["range", *{limit.output for limit in limits}], []
    for along in (["cruise_speed", "static_margin"], posing(space, choice).free):
        model.run(choice, start, along=along)
        found.append(model.slopes(outputs))
    few, all_of_them = found
    assert {name for _, name in few} == {"cruise_speed", "static_margin"} and np.any(few["range", "cruise_speed"])
    for key, slope in few.items():
        np.testing.assert_allclose(slope, all_of_them[key], rtol=1e-9, atol=1e-12, err_msg=str(key))
