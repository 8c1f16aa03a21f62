"""Many designs at once against single designs, against the OpenMDAO model, and best speeds against the search's."""

import numpy as np
import pytest

from tradestudy.aircraft.components.problem import aircraft_problem, set_parts
from tradestudy.aircraft.model.best_speeds import at_best_speed
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.designs import WING_SHAPE, Designs, many_designs, one_design
from tradestudy.aircraft.model.evaluation import evaluate
from tradestudy.aircraft.model.slopes import Model
from tradestudy.aircraft.model.speed_sweep import SpeedSweep, best_speed
from tradestudy.quantities.variables import VARIABLES
from tradestudy.search import search_space as spaces

# both in a bay that is cut to the pack and moves with it
CHOICES = [
    Choice(4, 2, 0.003, 1, "10x6", layout="2 x 8 x 1 fore and aft"),
    Choice(4, 4, 0.004, 2, "10x6", layout="2 x 8 x 1 fore and aft"),
]


@pytest.fixture(scope="module")
def space(godwit_study, godwit_anchor):
    return spaces.search_space(godwit_study, godwit_anchor)


def designs(space, random, count):
    """Return sets of parts and variables of random designs between 10 % and 90 % of every bound. Two share a wing."""
    low, width = np.array([(low, high - low) for low, high in (space.bounds[name] for name in VARIABLES)]).T
    rows = [
        dict(zip(VARIABLES, (low + width * random.uniform(0.1, 0.9, len(low))).tolist(), strict=True))
        for _ in range(count)
    ]
    rows[1] |= {name: rows[0][name] for name in WING_SHAPE}
    return [CHOICES[index % 2] for index in range(count)], rows


def leaves(record, place=""):
    """Yield (place, value) for every field of a nested record. A stage that does not exist is None."""
    for name, value in record._asdict().items():
        if hasattr(value, "_fields"):
            yield from leaves(value, f"{place}{name}.")
        elif place or value is not None:
            yield f"{place}{name}", value


def assert_same(many, index, one):
    for (place, value), (_, alone) in zip(leaves(many), leaves(one), strict=True):
        # a product of matrices with more rows sums in another order, and roots are accurate to 1e-12 or better
        np.testing.assert_allclose(np.asarray(value)[index], alone, rtol=1e-11, atol=1e-12, err_msg=place)


def test_many_designs_are_what_each_is_alone(space, random):
    choices, rows = designs(space, random, 4)
    data = space.data(CHOICES[0])
    many = evaluate(data, many_designs(choices, rows))
    for index, (choice, row) in enumerate(zip(choices, rows, strict=True)):
        alone = evaluate(data, one_design(choice, row))
        assert np.shape(alone.power.range) == () and many.power.range.shape == (4,)
        assert_same(many, index, alone)
        assert_same(evaluate(data, many_designs([choice], [row])), 0, alone)


def test_axes_of_designs_broadcast(space, random):
    """Check that wings down and speeds across in one evaluation equal each design alone."""
    choices, rows = designs(space, random, 3)
    data = space.data(CHOICES[0])
    column = Designs(*(value[:, None] for value in many_designs(choices, rows)))
    speeds = np.array([13.0, 17.0])
    table = evaluate(data, column._replace(cruise_speed=speeds))
    assert table.power.range.shape == (3, 2) and table.shape.span.shape == (3, 1)
    for index, (choice, row) in enumerate(zip(choices, rows, strict=True)):
        for place, speed in enumerate(speeds):
            alone = evaluate(data, one_design(choice, row | {"cruise_speed": speed})).by_name()
            for name, value in table.by_name().items():
                here = np.broadcast_to(value, (3, 2, *np.shape(alone[name])))[index, place]
                np.testing.assert_allclose(here, alone[name], rtol=1e-11, atol=1e-12, err_msg=name)


def test_values_and_slopes_are_those_of_openmdao(space, random):
    """Check the search's model against the group of components: each computes its slopes in a way of its own."""
    choices, rows = designs(space, random, 2)
    problem, model = aircraft_problem(space.data(CHOICES[0]), usual=True), Model(space.data(CHOICES[0]), usual=True)
    problem.setup(mode="fwd", check=False)
    outputs = sorted({limit.output for limit in space.limits(CHOICES[0])} | {"range", "radius", "usual_time"})
    along = [*(name for name in VARIABLES if name != "equipment_position"), "rod_diameter", "series"]
    for choice, row in zip(choices, rows, strict=True):
        set_parts(problem, choice, row)
        for name, number in row.items():
            problem.set_val(name, number)
        problem.run_model()
        totals = problem.compute_totals(outputs, along)
        model.run(choice, row, along)
        slopes = model.slopes(outputs)
        alone = evaluate(space.data(CHOICES[0]), one_design(choice, row)).by_name()
        for output in outputs:
            value = np.ravel(problem.get_val(output))
            # tolerance: rounding; sums in another order, ten digits through roots accurate to 1e-11
            np.testing.assert_allclose(np.ravel(model.value(output)), value, rtol=1e-9, atol=1e-11, err_msg=output)
            np.testing.assert_allclose(np.ravel(alone[output]), value, rtol=1e-9, atol=1e-11, err_msg=output)
            for name in along:
                exact = totals[output, name][:, 0]
                allowed = 1e-8 * np.abs(exact).max() + 1e-15  # where nothing depends on it, one may round to zero
                np.testing.assert_allclose(
                    slopes[output, name], exact, rtol=1e-8, atol=allowed, err_msg=f"{output} {name}"
                )


def test_wings_give_half_wing_and_powertrain(space, random):
    choices, rows = designs(space, random, 2)
    sweep = SpeedSweep(space.data(CHOICES[0]), choices[0], rows[0])
    faster = sweep.cruising_at(20.0)
    assert faster.wings is sweep.wings and faster.variables == rows[0] | {"cruise_speed": 20.0}
    assert_same(
        many=evaluate(faster.data, many_designs([choices[0]], [faster.variables])), index=0, one=faster.evaluation
    )
    level, whole = sweep.level(rows[0]["cruise_speed"]), sweep.evaluation
    assert level.drag[0] == pytest.approx(
        whole.section.drag_area[0] * whole.flow.trimmed.dynamic_pressure[0], rel=1e-12
    )
    assert sweep.power_at(rows[0]["cruise_speed"]).range[0] == pytest.approx(whole.power.range, rel=1e-12)
    assert_same(sweep.structure_of(sweep.data.strength), ..., whole.structure)


def test_names_are_unique_and_the_usual_flight_is_optional(space, random):
    choices, rows = designs(space, random, 2)
    data, many = space.data(CHOICES[0]), many_designs(choices, rows)
    found, without = evaluate(data, many), evaluate(data, many, usual=False)
    named = found.by_name()
    names = [place.rpartition(".")[2] for place, _ in leaves(found) if not place.startswith("structure.beam.")]
    assert sorted(names) == sorted(named)  # no two fields have the same name
    assert set(named) - set(without.by_name()) == {"usual_time"} and without.power.usual_time is None


@pytest.mark.parametrize("purpose", ["distance", "out_and_home", "usual_flight"])
def test_best_speed_is_that_of_the_search(space, random, purpose):
    choices, rows = designs(space, random, 3)
    data = space.data(CHOICES[0])
    chosen, found = at_best_speed(data, many_designs(choices, rows), purpose, space.bounds["cruise_speed"][1])
    for index, (choice, row) in enumerate(zip(choices, rows, strict=True)):
        sweep = SpeedSweep(data, choice, row)
        best, mine = best_speed(sweep, purpose), chosen.cruise_speed[index]
        # The search stops within 1 mm/s of the maximum, or of 1.5 times stall, which is within 1e-4 m/s. The last step
        # of the table is 20 mm/s, and its parabola is far more accurate.
        assert mine == pytest.approx(best, abs=5e-3)
        assert found.section.stall_margin[index, 1].min() > -1e-4  # cruise is at no less than 1.5 times stall
        gain = sweep.gain_at(np.array([best, mine]), purpose)
        assert gain[1] > gain[0] * (1 - 1e-6)  # a maximum is flat: a change of 5 mm/s costs less than this
