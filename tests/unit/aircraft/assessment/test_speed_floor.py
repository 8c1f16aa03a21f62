"""The lower limit of 1.3 times stall: if a slower cruise would be better, every search reports this limit."""

from dataclasses import replace

import numpy as np
import pytest

from tradestudy.aircraft.anchor.trim_calibration import with_moment_and_losses
from tradestudy.aircraft.assessment.parts_comparison import part_combinations, parts_comparison
from tradestudy.aircraft.assessment.pilot_card import flyable, flyable_speeds, pilot_card
from tradestudy.aircraft.model.best_speeds import at_best_speed
from tradestudy.aircraft.model.designs import many_designs
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.speed_sweep import SpeedSweep, best_speed, best_speed_near
from tradestudy.physics.flight.built_wing import BuiltFactors
from tradestudy.search.search_space import starting_points

FLOOR = 1.3
KMH = 3.6
ROUNDED = 1e-4  # km/h; a card has five places


@pytest.fixture(scope="module")
def sweep(turnstone_anchor):
    return SpeedSweep(turnstone_anchor.data, turnstone_anchor.choice, turnstone_anchor.variables)


@pytest.fixture(scope="module")
def card(sweep):
    return sweep.speed_card


@pytest.fixture(scope="module")
def slowly(card):
    """Return the same wing with an endurance that falls with the fourth power of speed, so that slower is better."""
    steep = 4e3 * (10 / card.speed) ** 4
    gain = {"endurance": steep, "range": steep * card.speed, "usual_time": steep, "radius": 0.5 * steep * card.speed}
    return replace(card, columns=card.columns | gain)


def test_speeds_that_may_be_cruised_at_begin_at_the_floor(card):
    floor = FLOOR * card.stall_speed
    assert card.speed[0] < 0.9 * floor  # the card itself begins at lower speeds
    np.testing.assert_array_equal(flyable(card), (card.speed >= floor) & (card.columns["throttle"] <= 1))
    speeds = flyable_speeds(card)
    assert speeds[0] == pytest.approx(floor, rel=1e-12) and np.all(np.diff(speeds) > 0)
    assert speeds[-1] == card.speed[card.columns["throttle"] <= 1].max()


def test_the_card_gives_the_floor_where_slower_would_be_better(turnstone_study, sweep, slowly):
    """Check the card without wind, with head wind and with tail wind.

    The band of good speeds and the longest flight begin at the limit as well.
    """
    winds = turnstone_study.card.model_copy(update={"winds": (0.0, 2.0)})
    design = EvaluatedDesign(
        replace(turnstone_study, card=winds),
        sweep.data,
        sweep.choice,
        sweep.variables | {"cruise_speed": 14.0},
        sweep.wings,
    )
    design.speed_card = slowly
    pilot = pilot_card(design)
    floor = KMH * FLOOR * slowly.stall_speed
    assert [row.speed_kmh for row in pilot.legs] == pytest.approx([floor] * 3, abs=ROUNDED)
    assert pilot.band_low_kmh == pilot.longest_kmh == pytest.approx(floor, abs=ROUNDED)
    assert pilot.stall_kmh == pytest.approx(floor / FLOOR, abs=ROUNDED)
    # tolerance: 2 % of a gain that depends on speed to the power of minus three or four
    assert 1 + 0.02 / 4 < pilot.band_high_kmh / floor < 1 + 0.02 / 2.5


def test_the_best_speed_for_a_long_flight_is_the_floor(sweep):
    """Check a wing whose longest endurance, by the model itself, is below 1.3 times its stall. Its wake is clean."""
    data = with_moment_and_losses(sweep.data, 0.0, BuiltFactors(wake_drag=1 / sweep.data.flight.wake_drag_factor))
    sweep = SpeedSweep(data, sweep.choice, sweep.variables)
    floor = FLOOR * sweep.stall().speed
    below, at, above = sweep.gain_at(floor * np.array([0.97, 1.0, 1.03]), "usual_flight")
    assert below > at > above
    for speed in (
        best_speed(sweep, "usual_flight"),
        best_speed_near(sweep, "usual_flight", floor),
        best_speed_near(sweep, "usual_flight", 1.1 * floor),
    ):
        # a search within 1 mm/s, or a straight line between speeds 3 % apart
        assert floor * (1 - 1e-6) <= speed < floor * (1 + 2e-3)
    assert best_speed(sweep, "distance") > 1.05 * floor  # here the limit has no effect


def test_the_best_speed_among_many_designs_is_the_floor(turnstone_space):
    """Check the same for many designs: the table of speeds against each wing's own stall."""
    space = turnstone_space
    choice, start = space.choices[0], starting_points(space)[0]
    designs = [start | {"extension": extension} for extension in (0.02, 0.12)]
    chosen, _ = at_best_speed(space.data(choice), many_designs([choice] * 2, designs), "usual_flight", 25.0)
    for design, speed in zip(designs, chosen.cruise_speed, strict=True):
        stall = SpeedSweep(space.data(choice), choice, design).stall().speed
        assert speed == pytest.approx(FLOOR * stall, rel=1e-3)  # straight lines between ever closer speeds


def test_parts_are_compared_at_no_less_than_the_floor(turnstone_study, turnstone_anchor):
    study = replace(
        turnstone_study,
        fly=turnstone_study.fly.model_copy(update={"purpose": "usual_flight"}),
        choices=turnstone_study.choices.model_copy(update={"propeller": None, "parallel": None}),
        motor_choice=(),
        pack_choice=(),
    )
    choice = turnstone_anchor.choice
    assert len(part_combinations(study, choice)) == 1
    (row,) = parts_comparison(study, turnstone_anchor, choice, turnstone_anchor.variables, 9.0)
    assert row.speed_kmh == pytest.approx(FLOOR * row.stall_speed_kmh, abs=2 * ROUNDED)
