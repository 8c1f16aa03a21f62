"""The search against itself: samples that it must beat, conditions of an optimum, and curves with known results."""

import itertools
from contextlib import closing
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from helpers.places import GODWIT
from helpers.wings.random_builds import beaten, random_feasible
from pymoo.util.nds.non_dominated_sorting import NonDominatedSorting

from tradestudy.aircraft.assessment.full_design import assess_design
from tradestudy.aircraft.model.best_speeds import at_best_speed
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.designs import WING_SHAPE, many_designs
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE
from tradestudy.aircraft.model.speed_sweep import SpeedSweep, best_speed
from tradestudy.commands.kept_results import inputs_text
from tradestudy.commands.optimise import violation_sentences
from tradestudy.commands.study_session import StudySession
from tradestudy.errors import CommandError
from tradestudy.physics.flight import layout
from tradestudy.physics.propulsion import drive_train, pack
from tradestudy.quantities.objectives import OPTIMISED, PURPOSES, TRADED, traded_names, traded_pair
from tradestudy.search import epsilon_constraint, front, optimum, parallel, span_trade
from tradestudy.search.branch_and_bound import ROUNDING, Ranking
from tradestudy.search.builds.build_front import build_front
from tradestudy.search.builds.build_keys import Build, kept_builds
from tradestudy.search.engines.record import Record
from tradestudy.search.limit_prices import first_order
from tradestudy.search.scaled_problem import TOLERANCE
from tradestudy.search.search_space import search_space, starting_points
from tradestudy.search.search_task import SearchResult, SearchTask, from_json, to_json
from tradestudy.study.reader import read_study
from tradestudy.study.schema.flight import PriceTable

ONE = Choice(4, 2, 0.003, 2, "10x6")


@pytest.fixture(scope="module")
def space(godwit_study, godwit_anchor):
    """Return the Godwit with one propeller, two packs and two rods: four sets of parts."""
    lists = godwit_study.choices.model_copy(
        update={"parallel": (2, 4), "rod_pairs": (2, 3), "rod_diameter": (0.003,), "propeller": ("10x6",)}
    )
    return search_space(replace(godwit_study, choices=lists), godwit_anchor)


@pytest.fixture(scope="module")
def remembering(space, tmp_path_factory):
    """Return the space with a record, so that results of one test are reused by others."""
    record = Record(tmp_path_factory.mktemp("record") / "record.sqlite", "study", pytest.fail)
    yield replace(space, record=record)
    record.close()


@pytest.fixture(scope="module")
def ranked(remembering):
    """Return one result per set of parts, best first."""
    return Ranking(remembering).complete()


def made(mass, reach, choice=ONE, feasible=True, **variables):
    """Return a result with the given flying weight [kg] and range [m]."""
    return SearchResult(
        choice,
        variables,
        reach,
        reach,
        {"some": np.zeros(1)},
        [],
        feasible,
        1,
        mass,
        {"range": reach, "flying_weight": mass},
    )


# --- the optimum -------------------------------------------------------------------------------------------


@pytest.mark.thorough
def test_left_out_by_a_bound_is_what_searching_all_would_leave_behind(remembering, ranked):
    ranking = Ranking(remembering)
    found = ranking.best(1)
    assert to_json(found[0]) == to_json(ranked[0])  # equal to the last bit: no search depends on what else is searched
    left = ranking.left_out
    assert {choice.parallel for choice in left} == {2} and len(left) == 2  # half of the charge cannot win
    gains = {answer.choice: answer.gain for answer in ranked if answer.feasible}
    assert all(gains[choice] <= left[choice] * (1 + ROUNDING) for choice in left)
    assert all(left[choice] < found[0].gain for choice in left)
    # relaxed rods are only a little better than the best, so the bound is useful
    for branch, bound in ranking.bounds.items():
        best = max(gains[choice] for choice in ranking.branches[branch] if choice in gains)
        assert best <= bound * (1 + ROUNDING) < 1.01 * best


@pytest.mark.thorough
def test_bound_that_is_beaten_ends_all_trust_in_bounds(remembering, ranked, monkeypatch):
    ranking = Ranking(remembering)

    def too_low(loosen):
        def loosened(self, branches):
            loosen(self, branches)
            self.bounds |= {branch: 0.98 * ranked[0].gain for branch in branches if branch in self.bounds}

        return loosened

    for name in ("_search_relaxed", "_search_relaxed_again"):
        monkeypatch.setattr(Ranking, name, too_low(getattr(Ranking, name)))
    found = ranking.best(1)
    assert [to_json(answer) for answer in found] == [to_json(answer) for answer in ranked]
    assert not ranking.left_out


@pytest.mark.thorough
def test_optimum_is_met_and_beats_a_random_sample(space, ranked, random):
    best = ranked[0]
    pose = optimum.ScaledProblem(space, best.choice)
    pose.allowed = np.inf
    assert best.feasible
    # 50 over the complete box, 250 close to the result: these would show an end that is no optimum. So many limits are
    # active there that few of them meet all.
    near = pose.scaled(best.variables) + random.normal(0, 0.003, (250, len(pose.free)))
    points = np.vstack([random.random((50, len(pose.free))), np.clip(near, 0, 1)])
    reached = []
    for point in points:
        pose.model.run(best.choice, pose.variables(point))
        met = all(limit.margin(pose.model.value(limit.output)).min() > MET_ABOVE for limit in pose.limits)
        reached += [float(pose.model.value("range"))] if met else []
    assert len(reached) > 5  # otherwise the sample shows nothing
    # 1e-4: a sampled point may gain this because limits need only be met to MET_ABOVE
    assert max(reached) < best.range * (1 + 1e-4)


def test_searches_from_near_and_far_end_at_one_optimum_after_few_evaluations(space):
    """Check that a search does not stop early where the objective is nearly flat."""
    ends = [optimum.solve(space, space.choices[0], [start]) for start in starting_points(space)]
    assert all(end.feasible and end.evaluations <= 25 for end in ends)
    assert ends[0].gain == pytest.approx(ends[1].gain, rel=1e-5)


def test_a_search_from_beyond_a_curved_limit_comes_back_within_it(godwit_study, godwit_anchor):
    """Check a start short of room in the section, from where a steep search turns back at every step."""
    bays = tuple(bay.model_copy(update={"cut_to_pack": False}) for bay in godwit_study.bay)
    limits = godwit_study.limits.model_copy(update={"tips_left": 0.0})
    lists = godwit_study.choices.model_copy(
        update={"parallel": (2,), "rod_pairs": (2,), "rod_diameter": (0.003,), "propeller": ("10x6",)}
    )
    roomy = search_space(replace(godwit_study, choices=lists, bay=bays, limits=limits), godwit_anchor)
    best = optimum.solve(roomy, ONE, starting_points(roomy)[:1])
    kept = {"fits_section": float(best.margins["fits_section"].min()) + 0.02}
    assert optimum.solve(replace(roomy, required_margins=kept), ONE, [best.variables]).feasible


def test_optimum_beats_a_grid(space, ranked):
    """Compare with a grid of shapes and static margins at best speeds. tests/bench/speed/search.py has more."""
    best = ranked[0]
    box = space.bounds_of(best.choice)
    # few places beside so many active limits meet them all, so the grid reaches farther towards those that do
    reach = {
        "extension": (0.02, 0.01, 4),
        "sweep": (0.02, 0.02, 5),
        "washout": (0.005, 0.005, 3),
        "tip_chord": (0.002, 0.006, 3),
        "static_margin": (0.0, 0.005, 2),
    }
    near = {
        name: np.linspace(*np.clip([best.variables[name] - below, best.variables[name] + above], *box[name]), count)
        for name, (below, above, count) in reach.items()
    }
    rows = [
        best.variables | dict(zip(near, map(float, place), strict=True)) for place in itertools.product(*near.values())
    ]
    _, evaluation = at_best_speed(
        space.data(best.choice),
        many_designs([best.choice] * len(rows), rows),
        "distance",
        box["cruise_speed"][1],
        False,
    )
    found = evaluation.by_name()
    met = [
        all(limit.margin(found[limit.output][index]).min() > MET_ABOVE for limit in space.limits(best.choice))
        for index in range(len(rows))
    ]
    assert 3 < sum(met) < len(met)  # some grid points meet the limits, some do not
    assert found["range"][met].max() <= best.gain * (1 + 1e-6)  # accuracy of the search


def test_first_order_conditions_hold_at_the_optimum(space, ranked):
    """Check Kuhn and Tucker (1951): the gradient is a nonnegative sum of the gradients of active margins."""
    for best in [answer for answer in ranked if answer.feasible]:
        pose = optimum.ScaledProblem(space, best.choice)
        x = pose.scaled(best.variables)
        slope, step = pose.objective_slope(x), 1e-4 * np.sign(0.5 - x)
        curvature = max(abs(pose.objective_slope(x + move) - slope) @ np.ones(len(x)) / 1e-4 for move in np.diag(step))
        # The search stops when the objective changes by less than TOLERANCE. The rest is at most the slope of a
        # parabola of that curvature at that height.
        assert first_order(pose, x).left_over < np.sqrt(2 * curvature * TOLERANCE)
        away = x + 0.02 * (np.array(pose.free) == "cruise_speed")
        assert first_order(pose, away).left_over > np.sqrt(2 * curvature * TOLERANCE)  # the check can fail


@pytest.mark.thorough
def test_far_starts_find_nothing_better(space, ranked, random):
    """Check four corners of the box; tests/bench/speed/search.py has all. Here transition is at a fixed place."""
    best = ranked[0]
    pose = optimum.ScaledProblem(space, best.choice)
    corners = random.permutation(list(itertools.product((0.0, 1.0), repeat=len(pose.free))))[:4]
    found = [optimum._best_from(pose, corner) for corner in corners]
    assert sum(answer.feasible for answer in found) >= 2  # otherwise the starts show nothing
    assert max(answer.range for answer in found if answer.feasible) < best.range * (1 + 1e-5)  # 2 m of 226 km


@pytest.mark.thorough
def test_choice_given_up_is_infeasible_from_everywhere(godwit_anchor, space, ranked, random):
    """Check a wing with the big pack that would have to fly as slowly as 9 m/s, a launch speed over 1.1."""
    fly = space.study.fly.model_copy(update={"launch_speed": 1.1 * 9.0})
    tight = search_space(replace(space.study, fly=fly), godwit_anchor)
    given_up = optimum.solve(tight, ranked[0].choice, starting_points(tight))
    assert not given_up.feasible
    pose = optimum.ScaledProblem(tight, given_up.choice)
    ends = [optimum.least_violation(pose, random.random(len(pose.free))).worst_margin for _ in range(4)]
    assert max(ends) < MET_ABOVE
    assert np.ptp(ends) < 1e-4  # one result for any start; margins are scaled to one


def test_one_variable_left_is_the_best_of_a_grid(space):
    """Compare cruise speed alone with 60 speeds."""
    stock = {name: float(np.clip(value, *space.bounds[name])) for name, value in space.anchor.variables.items()}
    held = {name: value for name, value in stock.items() if name != "cruise_speed"}
    found = optimum.solve(space, ONE, [stock], held)
    reached = []
    pose = optimum.ScaledProblem(space, ONE, held)
    for speed in np.linspace(12, 18, 60):
        pose.model.run(ONE, held | {"cruise_speed": speed})
        met = all(limit.margin(pose.model.value(limit.output)).min() > MET_ABOVE for limit in pose.limits)
        reached.append(float(pose.model.value("range")) if met else 0.0)
    assert found.feasible
    # grid step 0.1 m/s, and a maximum about 5 m/s wide: the best differs by at most (0.05 / 5)^2
    assert found.range == pytest.approx(max(reached), rel=1e-4)


@pytest.mark.thorough
def test_conflict_names_the_limits_that_stand_against_each_other(godwit_study, godwit_anchor):
    """Check that half the stock stall speed at launch is refused at these weights: lift grows with speed squared."""
    fly = godwit_study.fly.model_copy(update={"launch_speed": 0.5 * godwit_anchor.reference.stall_speed})
    lists = godwit_study.choices.model_copy(
        update={"parallel": None, "rod_pairs": None, "rod_diameter": None, "propeller": None}
    )
    work = StudySession(replace(godwit_study, fly=fly, choices=lists), "test")
    answer = work.ranked()[0]
    lines = violation_sentences(work, answer)
    assert not answer.feasible
    assert any(line.startswith("stall speed against launch speed") for line in lines)
    assert len(lines) == sum(float(value.min()) < MET_ABOVE for value in answer.margins.values())


def test_roll_limit_holds_the_span_back(godwit_study, godwit_anchor, space, ranked):
    """Check that 0.92 of the roll rate allows a twelfth more span: with elevons in proportion, roll falls as one over
    span."""
    asked = godwit_study.limits.model_copy(update={"roll_rate_share": 0.92})
    tight = search_space(replace(space.study, limits=asked), godwit_anchor)
    found = optimum.solve(tight, ranked[0].choice, starting_points(tight))
    assert found.feasible and found.gain < ranked[0].gain
    assert "roll_per_metre" in optimum.active_limits(tight, found)
    span = 1.30 + 2 * found.variables["extension"]
    assert span == pytest.approx(1.30 / 0.92, rel=0.02)  # sweep and aspect ratio have a small effect


# --- what the study is for ---------------------------------------------------------------------------------

WIND = {"wind": 6.0, "full_throttle_share": 0.05}


@pytest.fixture(scope="module")
def spaces(godwit_study, godwit_anchor):
    """Return one search space for each purpose, with one set of parts, wind of 6 m/s and 5 % at full throttle."""
    lists = godwit_study.choices.model_copy(
        update={"parallel": (2,), "rod_pairs": (2,), "rod_diameter": (0.003,), "propeller": ("10x6",)}
    )
    return {
        purpose: search_space(
            replace(godwit_study, choices=lists, fly=godwit_study.fly.model_copy(update=WIND | {"purpose": purpose})),
            godwit_anchor,
        )
        for purpose in PURPOSES
    }


@pytest.fixture(scope="module")
def optima(spaces):
    return {purpose: optimum.solve(space, ONE, starting_points(space)) for purpose, space in spaces.items()}


def test_each_purpose_has_its_own_best_speed(godwit_anchor, spaces):
    """Check that wind needs more speed, and bursts of full throttle do not.

    Least power is below the speed of best range.
    """
    data = spaces["distance"].model(ONE).data
    flown = SpeedSweep(data, godwit_anchor.choice, godwit_anchor.variables)
    speed = {purpose: best_speed(flown, purpose) for purpose in PURPOSES}
    assert speed["out_and_home"] > speed["distance"] + 0.5
    assert speed["usual_flight"] <= speed["distance"]
    for purpose in PURPOSES:
        around = flown.gain_at(speed[purpose] + np.array([0.0, 0.05, 0.5]), purpose)
        # the search stops within 1 mm/s, at a maximum that loses some 1e-3 in 1 m/s
        assert np.all(around[1:] < around[0] * (1 + 1e-8))


@pytest.mark.thorough
def test_card_and_model_agree(spaces, optima):
    for purpose, answer in optima.items():
        flown = SpeedSweep(spaces[purpose].model(ONE).data, answer.choice, answer.variables)
        # rounding, and 1e-11 of each root
        assert flown.gain_at(answer.variables["cruise_speed"], purpose)[0] == pytest.approx(answer.gain, rel=1e-9)


def test_optimum_of_each_purpose_beats_the_others_in_its_own_measure(spaces, optima):
    assert all(answer.feasible for answer in optima.values())
    for purpose, answer in optima.items():
        pose = optimum.ScaledProblem(spaces[purpose], ONE)
        others = []
        for other in optima.values():
            pose.model.run(ONE, other.variables)
            others.append(pose.model.value(PURPOSES[purpose].output))
        best, second = sorted(others, reverse=True)[:2]
        assert best == pytest.approx(answer.gain, rel=1e-9) and second < 0.999 * best
    assert optima["distance"].range == optima["distance"].gain
    assert optima["usual_flight"].variables["extension"] > optima["out_and_home"].variables["extension"]


def test_charge_left_where_radio_or_law_ends_the_way_out(spaces, optima):
    """Compare by steps through the flight: the charge left is that after a flight to the legal or radio range."""
    answer = optima["out_and_home"]
    flown = SpeedSweep(spaces["out_and_home"].model(ONE).data, answer.choice, answer.variables)
    speed = answer.variables["cruise_speed"]
    assert flown.charge_left(speed, None) == flown.charge_left(speed, 2 * answer.gain) == flown.data.power.reserve
    left = flown.charge_left(speed, 0.3 * answer.gain)
    charge = np.linspace(left, 1, 2001)
    power = flown.data.power
    current = drive_train.match(
        flown.powertrain, speed, flown.drag(speed)[0], power.air_density, charge, power.avionics_power
    ).pack_current
    time = pack.pack_capacity(flown.powertrain.pack) * np.trapezoid(1 / current, charge)
    legs = 0.3 * answer.gain * (1 / (speed - WIND["wind"]) + 1 / (speed + WIND["wind"]))
    # 16 nodes on the cells' kinked curve
    assert time == pytest.approx(legs, rel=1e-4)
    assert 0.7 < left < 0.78  # near 1 - 0.3 x 0.8 of the charge, a little more: the current grows as the voltage falls


# --- the front ---------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def line(remembering, ranked):
    return front.front_of(remembering, ranked, points=6)


@pytest.mark.thorough
def test_front_is_what_following_every_choice_down_every_level_finds(remembering, ranked, line, monkeypatch):
    """Compare the front with the greatest gain of any set of parts below each weight. No set or bound is skipped."""
    space = remembering
    assert len(line) >= 5 and {answer.choice.parallel for answer in line} == {2, 4}
    monkeypatch.setattr(front, "_least_weight", lambda *any_: 0.0)  # no extreme is as light: no set is left out
    utmost = front._extremes(space, [a for a in ranked if a.feasible], "range", "flying_weight", print)
    assert len(utmost) == sum(answer.feasible for answer in ranked) > 1
    assert line[0].all_up_mass == min(answer.all_up_mass for answer in utmost.values())
    assert line[-1] is ranked[0]
    starts = {each.choice: [utmost[each.choice].variables, each.variables] for each in ranked if each.feasible}
    for answer in line[::2]:
        weight = answer.all_up_mass
        every = [
            optimum.solve(space, light.choice, starts[light.choice], level=("flying_weight", weight * (1 + 1e-9)))
            for light in utmost.values()
            if light.all_up_mass <= weight
        ]
        # both ends of each search are accurate to TOLERANCE of an objective of order two: some ten metres
        assert max(each.gain for each in every if each.feasible) == pytest.approx(answer.gain, rel=1e-4)


def test_front_points_carry_choices_and_limits(space, line):
    for answer in line:
        assert optimum.active_limits(space, answer) and optimum.LEVEL_MARGIN not in optimum.active_limits(space, answer)
    held = [float(answer.margins[optimum.LEVEL_MARGIN][0]) for answer in line if optimum.LEVEL_MARGIN in answer.margins]
    assert min(np.abs(held)) < 1e-4


@pytest.mark.parametrize("name", OPTIMISED)
def test_slopes_of_every_quantity(space, name):
    """Compare with central differences of the quantity. Steps of 1e-4 of the box have an error of 1e-6 by curvature."""
    pose = optimum.ScaledProblem(space, ONE, aim=name)
    pose.allowed = np.inf
    middle, step = np.full(len(pose.free), 0.4), 1e-4
    slope = pose.objective_slope(middle)
    around = [
        (pose.objective(middle + move) - pose.objective(middle - move)) / (2 * step)
        for move in step * np.eye(len(middle))
    ]
    assert slope == pytest.approx(np.array(around), rel=1e-4, abs=1e-5 * np.abs(slope).max())
    assert np.abs(slope).max() > 0.01


def test_quantities_are_the_numbers_of_a_design(space, ranked, godwit_study, godwit_anchor):
    answer = ranked[0]
    shown = assess_design(godwit_study, space.data(answer.choice), answer.choice, answer.variables, "best")
    for name, value in answer.traded.items():
        if not TRADED[name].is_proxy:
            # numbers of a design are rounded
            told = TRADED[name].quantity.in_unit(value)
            # the search has a smooth bound on the first of several failures that come together, on the safe side
            # lift is taken as linear between two speeds for the stall
            rounding = {"failure_load_factor": 5e-3, "stall_speed": 2e-3}.get(name, 1e-3)
            assert getattr(shown.numbers, TRADED[name].number) == pytest.approx(told, rel=rounding), name


@pytest.mark.parametrize(("sense", "end", "level"), [(1, 2000.0, 1999.8), (-1, -2000.0, -1999.8), (-1, 0.5, 0.5005)])
def test_equally_good_is_a_ten_thousandth(monkeypatch, sense, end, level):
    """Check the worst value that counts as the best one, of a quantity with the scale 50; near zero, of a tenth of
    it."""
    asked, aim = [], SimpleNamespace(sense=sense, scale=50.0)
    problem = SimpleNamespace(aim=aim, quantity=lambda of: end, scaled=lambda values: None)
    best = SimpleNamespace(feasible=True, variables={"cruise_speed": 12.0})
    monkeypatch.setattr(optimum, "ScaledProblem", lambda *given, **others: problem)
    monkeypatch.setattr(optimum, "_best_from", lambda *given: best)
    monkeypatch.setattr(optimum, "run_search", lambda space, task: asked.append(task.level) or best)
    optimum._extreme(None, SearchTask("extreme", ONE, [best.variables], aim="range", extreme="climb"))
    assert asked == [("climb", pytest.approx(level, rel=1e-12))]


@pytest.mark.thorough
def test_the_lightest_wing_cruises_at_its_best_speed(remembering, ranked):
    best = ranked[0]
    task = SearchTask("extreme", best.choice, [best.variables], aim="range", extreme="flying_weight")
    found = optimum.search_result(remembering, task)
    sweep = SpeedSweep(remembering.data(found.choice), found.choice, found.variables)
    assert found.feasible and found.all_up_mass < best.all_up_mass - 0.005
    # a limit on the tips moves with cruise speed, so the two differ a little
    assert found.variables["cruise_speed"] == pytest.approx(best_speed(sweep), rel=0.1)


@pytest.mark.thorough
def test_front_against_another_quantity(remembering, ranked):
    """Check that a faster cruise costs range. Both ends are the best wing and the fastest that any parts allow."""
    space = remembering
    found = front.front_of(space, ranked, "range", "cruise_speed", points=3)
    speed, reach = ([answer.traded[name] for answer in found] for name in ("cruise_speed", "range"))
    assert found[-1] is ranked[0] and len(found) >= 3
    assert np.all(np.diff(speed) < 0) and np.all(np.diff(reach) > 0)
    fastest = [
        optimum.search_result(
            space, SearchTask("extreme", a.choice, [a.variables], aim="range", extreme="cruise_speed")
        )
        for a in ranked
        if a.feasible
    ]
    assert speed[0] == max(answer.traded["cruise_speed"] for answer in fastest)


@pytest.mark.parametrize(
    ("of", "against", "words"),
    [
        ("rnage", "span", "--of rnage is no quantity to trade. Did you mean range?"),
        ("range", "range", "--of and --against are both range; give two different quantities."),
        ("pack-energy", "span", "--of pack_energy: this quantity changes in steps; give it as --against."),
    ],
)
def test_invalid_pairs_are_refused(of, against, words):
    with pytest.raises(CommandError) as told:
        traded_pair(of, against)
    assert str(told.value).startswith(words)


def test_no_design_weighs_less_than_the_bound_a_choice_is_left_out_by(space, random, monkeypatch):
    """Check that a light rival just heavier than the lightest of 4000 outlines does not exclude the set of parts."""
    (least, most), laid = np.array(list(space.bounds.values())).T, space.model(ONE).data.layout
    columns = (least + (most - least) * random.random((4000, len(least))).round(1)).T
    extension, sweep, washout, tip_chord = (columns[list(space.bounds).index(name)] for name in WING_SHAPE)
    weights = layout.design_shape(laid, extension, sweep, washout, 0.003, 2.0, 4.0, 2.0, 0.2, tip_chord).all_up_mass
    answer = made(1.5, 1e5, **{name: 0.5 * sum(space.bounds[name]) for name in space.bounds})
    other, least_weight = replace(ONE, rod_diameter=0.002), float(weights.min())

    def left_out(weight, reach):
        """Return whether a rival, followed down to its lightest design, leaves out the answer's set of parts."""
        rival = made(weight, reach, choice=other)
        ends = {other: rival, answer.choice: answer}
        monkeypatch.setattr(front, "run_tasks", lambda space, tasks, progress: [ends[task.choice] for task in tasks])
        return answer.choice not in front._extremes(space, [rival, answer], "range", "flying_weight", print)

    assert not left_out((1 + 1e-4) * least_weight, 1.1e5)
    assert left_out(0.9 * least_weight, 1.1e5)  # it can exclude
    assert not left_out(0.9 * least_weight, 0.9e5)  # but not what flies farther


def test_parts_whose_designs_are_all_dominated_are_not_on_the_front(space, monkeypatch):
    best, other = made(1.9, 1.1e5), replace(made(1.8, 1e5), choice=replace(ONE, rod_pairs=ONE.rod_pairs + 1))
    monkeypatch.setattr(front, "_extremes", lambda *given: {best.choice: made(1.7, 0.9e5)})
    monkeypatch.setattr(epsilon_constraint, "front_points", lambda ends, solve, points: [*sum(ends.values(), ())])
    assert [each.all_up_mass for each in front.front_of(space, [best, other])] == [1.9, 1.7]


# --- the span trade ----------------------------------------------------------------------------------------


@pytest.mark.thorough
def test_span_trade_is_the_best_of_every_choice(space, ranked):
    trade = {
        round(answer.variables["extension"], 9): answer for answer in span_trade.span_trade(space, ranked, points=2)
    }
    stock_span = space.anchor.data.layout.stock.span
    extensions = [round(0.5 * (float(span) - stock_span), 9) for span in span_trade.spans(space, 2)]
    assert trade and set(trade) <= set(extensions)
    for extension in extensions:
        answer = trade.get(extension)
        others = [other for other in ranked if other.feasible][: 1 if answer is None else None]
        every = [
            optimum.solve(space, other.choice, [other.variables], {"extension": extension})
            for other in others
            if answer is None or other.range > answer.range
        ]  # sets whose best range is smaller cannot be better at a fixed span
        # tolerance 1e-5: two ways to one optimum
        assert not any(
            other.feasible and (answer is None or other.range > answer.range * (1 + 1e-5)) for other in every
        )


def test_span_trade_does_not_lose_longer_spans_when_the_nearest_is_too_short(space, ranked, monkeypatch):
    """Check a best span of 1.11 m on a grid that starts at 1.10 m, where no shorter wing can fly."""

    def fake(space, task):
        fixed = task.fixed
        can = fixed["extension"] > 0.004
        return replace(made(1.5, 1e5 - 1e4 * fixed["extension"], task.choice, can), variables=dict(fixed))

    monkeypatch.setattr(parallel, "search_result", fake)
    best = replace(ranked[0], variables=ranked[0].variables | {"extension": 0.005})
    trade = span_trade.span_trade(space, [best], points=5)
    assert len(trade) == 4 and all(answer.feasible for answer in trade)


def test_a_trade_of_few_spans_is_filled_up_half_way(space, ranked, monkeypatch):
    """Check that if of five spans the first two can fly, up to 1.30 m, more spans are tried.

    These are half way between them and half a step beyond.
    """

    def fake(space, task):
        fixed = task.fixed
        can = fixed["extension"] < 0.1001
        return replace(made(1.5, 1e5 + 1e4 * fixed["extension"], task.choice, can), variables=dict(fixed))

    monkeypatch.setattr(parallel, "search_result", fake)
    trade = span_trade.span_trade(
        space, [replace(ranked[0], variables=ranked[0].variables | {"extension": 0.0})], points=5
    )
    step = 0.5 * (span_trade.spans(space, 5)[1] - span_trade.spans(space, 5)[0])
    wanted = [0.0, 0.5 * step, step, 1.5 * step]
    assert [answer.variables["extension"] for answer in trade] == pytest.approx([x for x in wanted if x < 0.1001])


def band_space():
    """Return a space with a stock span of 1 m and without rods."""
    laid = SimpleNamespace(stock=SimpleNamespace(span=1.0), rods=[])
    stretch = SimpleNamespace(rod_length_sold=9.0, scheme="scaled")
    anchor = SimpleNamespace(data=SimpleNamespace(layout=laid))
    return SimpleNamespace(engine=None, study=SimpleNamespace(stretch=stretch), anchor=anchor)


def band(monkeypatch, curve, spans, top):
    """Return the flat band of a given curve range(span) over spans [m], where None cannot fly.

    The stock span is 1 m, without rods.
    """
    space = band_space()

    def at(span):
        reach = curve(span)
        return made(1.0, reach or 0.0, feasible=reach is not None, extension=0.5 * (span - 1))

    monkeypatch.setattr(parallel, "search_result", lambda space, task: at(1 + 2 * task.fixed["extension"]))
    return span_trade.flat_band(space, at(top), [at(span) for span in spans])


def test_flat_band_of_a_parabola(monkeypatch):
    """Check that 100 (1 - (s - 1.4)^2 / 2) loses 2 % at 1.4 +- 0.2."""
    found = band(monkeypatch, lambda s: 100 * (1 - 0.5 * (s - 1.4) ** 2), np.linspace(1, 2, 11), 1.4)
    # a step of 0.1 m halved four times: the edge is located from inside to 6.3 mm
    assert 1200 <= found.low_mm <= 1206.3 and 1593.7 <= found.high_mm <= 1600
    assert found.span_mm == 1400


def test_flat_band_ends_where_the_best_choice_cannot_fly(monkeypatch):
    """Check that if nothing flies below 1.17 m, this is the edge, not an interpolation to the next wing of the
    trade."""
    found = band(monkeypatch, lambda s: 100.0 if s >= 1.17 else 50.0, [1.0, 1.1, 1.2, 1.3], 1.25)
    assert 1170 <= found.low_mm <= 1176.3  # the same four halvings
    assert found.high_mm == pytest.approx(1300)


SMALL = replace(ONE, parallel=1)
STIFF = replace(ONE, rod_pairs=3)


def band_of_choices(monkeypatch, gains, spans, top):
    """Return the flat band where ``gains`` maps a set of parts to its range(span), None where it violates a limit."""

    def best_of(span):
        results = [(gain(span), choice) for choice, gain in gains.items() if gain(span) is not None]
        return max(results, key=lambda each: each[0])

    def at(span, choice=None):
        reach, best = best_of(span) if choice is None else (gains[choice](span), choice)
        return made(1.0, reach or 0.0, best, feasible=reach is not None, extension=0.5 * (span - 1))

    space = band_space()
    monkeypatch.setattr(parallel, "search_result", lambda space, task: at(1 + 2 * task.fixed["extension"], task.choice))
    trade = [at(span) for span in spans]
    return span_trade.flat_band(space, at(top), [each for each in trade if each.feasible])


def test_flat_band_ends_where_the_best_wing_needs_a_smaller_pack_though_wings_beyond_are_as_good(monkeypatch):
    """Check one rod pair that is strong enough up to 1.43 m, and two that balance from 1.47 m: between, a small pack
    flies."""
    gains = {
        ONE: lambda span: 100.0 if span <= 1.43 else None,
        STIFF: lambda span: 99.5 if span >= 1.47 else None,
        SMALL: lambda span: 80.0,
    }
    found = band_of_choices(monkeypatch, gains, np.linspace(1.2, 1.7, 6), 1.35)
    assert found.low_mm == pytest.approx(1200) and 1423.7 <= found.high_mm <= 1430
    assert found.span_mm == 1350


def test_flat_band_goes_on_where_another_choice_takes_over(monkeypatch):
    gains = {
        ONE: lambda span: 100.0 if span <= 1.46 else None,
        STIFF: lambda span: 99.5 if span >= 1.44 else None,
        SMALL: lambda span: 80.0,
    }
    found = band_of_choices(monkeypatch, gains, np.linspace(1.2, 1.7, 6), 1.35)
    assert (found.low_mm, found.high_mm) == pytest.approx((1200, 1700))


def test_recommended_span_lies_in_the_band(monkeypatch):
    found = band(monkeypatch, lambda s: 100.0 if abs(s - 1.4142) < 1e-4 else 10.0, [1.40, 1.4142, 1.42], 1.4142)
    assert found.low_mm - 0.5 <= found.span_mm <= found.high_mm + 0.5  # in whole millimetres


# --- the record --------------------------------------------------------------------------------------------


def test_record_keeps_an_answer_to_the_last_digit(tmp_path):
    kept, path = replace(made(1.25, 1e5 / 3, extension=0.1), margins={"some": np.array([1 / 3])}), tmp_path / "a.sqlite"
    first = Record(path, "study")
    first.keep([(("solve", ONE.words), to_json(kept))])
    first.close()
    with closing(Record(path, "study")) as again:
        found = from_json(again.known(("solve", ONE.words)))
    assert (found.choice, found.variables, found.range, found.all_up_mass) == (ONE, {"extension": 0.1}, 1e5 / 3, 1.25)
    np.testing.assert_array_equal(found.margins["some"], kept.margins["some"])


def test_record_is_not_used_when_a_companion_file_of_the_study_changes(godwit_study, tmp_path):
    """Check that files named by a study count as well: its section and propeller files."""
    section = tmp_path / "section.dat"
    stock = godwit_study.stock.model_copy(update={"airfoil": "section.dat"})
    study = replace(godwit_study, path=tmp_path / "study.toml", stock=stock)
    found = []
    for turn, content in enumerate(("one", "one", "two")):
        section.write_text(content)
        record = Record(tmp_path / "record.sqlite", inputs_text(study))
        found.append(record.remembered(("lightest", ONE.words), lambda turn=turn: turn))
        record.close()
    assert found == [0, 0, 2]


def test_record_is_not_used_for_a_study_changed_by_other_means_than_its_text(godwit_study, tmp_path):
    """Check that a study changed in Python gets its own results, and one read again those that are kept."""
    faster = godwit_study.limits.model_copy(update={"climb": 12.0})
    found = []
    for study in (godwit_study, replace(godwit_study, limits=faster), read_study(GODWIT)):
        record = Record(tmp_path / "record.sqlite", inputs_text(study))
        found.append(record.remembered("best", lambda study=study: study.limits.climb))
        record.close()
    assert found == [godwit_study.limits.climb, 12.0, godwit_study.limits.climb] and found[0] != 12.0


def test_record_tells_rods_and_bounds_apart_that_differ_in_the_seventh_digit(turnstone_space):
    """Check that choices with the same words, and spaces with other bounds or another speed, have keys of their own."""
    thicker = replace(ONE, rod_diameter=ONE.rod_diameter * (1 + 1e-8))
    assert thicker.words == ONE.words
    slower = replace(turnstone_space, slowest_speed=turnstone_space.slowest_speed - 1e-9)
    wider = replace(turnstone_space, bounds=turnstone_space.bounds | {"sweep": (0.1, 0.2)})
    tasks = [(turnstone_space, ONE), (turnstone_space, thicker), (slower, ONE), (wider, ONE)]
    assert len({repr(space.key(SearchTask("solve", choice, []))) for space, choice in tasks}) == 4


def test_a_level_is_told_with_its_side(turnstone_space):
    choice = turnstone_space.choices[0]
    told = [SearchTask("solve", choice, [], level=level).words for level in (("climb", 2.5), ("flying_weight", 1.9))]
    ends = [words.removeprefix(choice.words) for words in told]
    assert ends == [", climb at full throttle at least 2.5 m/s", ", flying weight at most 1900 g"]


@pytest.mark.thorough
def test_front_of_three_quantities_is_beaten_by_no_random_design(space, ranked, random):
    """Check one set of parts and the stock panels at few levels. tests/bench/checks/builds.py tries 20,000 designs."""
    prices = [("cells", 4.0, 8), ("rods", 2.0, 0), ("foam", 1.5, 0), ("covering", 3.0, 0)]  # invented
    rows = tuple(PriceTable(part=part, each=each, owned=owned) for part, each, owned in prices)
    best = ranked[0]
    priced = replace(space, study=replace(space.study, price=rows), choices=[best.choice], record=None)
    price = priced.build_price(best.choice).of(best.variables)
    known = [replace(best, traded=best.traded | {"price": price})]
    line, _ = build_front(priced, known, "range", ("flying_weight", "price"), points=4)
    values = np.array([(-one.traded["range"], one.all_up_mass, one.traded["price"]) for one in line])
    assert len(line) > 3 and values[0, 0] == -best.range
    assert len(NonDominatedSorting().do(values, only_non_dominated_front=True)) == len(line)
    for one in line:
        assert one.feasible
        assert one.traded["price"] == pytest.approx(priced.build_price(one.choice).of(one.variables))
    builds = [Build(best.choice), *kept_builds(priced)[:2]]
    found = random_feasible(priced, builds, line, 300, random)
    assert len(found) > 5  # otherwise the sample shows nothing
    assert beaten(line, found) == 0
    better = [replace(each, traded=each.traded | {"range": 0.5 * each.range}, all_up_mass=9.0) for each in line]
    assert beaten(better, found) > 0


def test_names_of_a_front_are_checked():
    assert traded_names("range", ["flying-weight", "price"]) == ("range", ("flying_weight", "price"))
    for against, words in (
        (["price", "price"], "given twice"),
        (["span", "price", "climb"], "given 3 times"),
        (["pric"], "price"),
        (["range"], "different quantities"),
    ):
        with pytest.raises(CommandError, match=words):
            traded_names("range", against)
    with pytest.raises(CommandError, match="changes in steps"):
        traded_names("price", ["range"])
