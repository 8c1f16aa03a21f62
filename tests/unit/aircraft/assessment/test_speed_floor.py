"""The least cruise, usually 1.5 times stall: if a slower cruise would be better, every search reports this limit."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from tradestudy.aircraft.anchor.trim_calibration import with_moment_and_losses
from tradestudy.aircraft.assessment import notes
from tradestudy.aircraft.assessment.parts_comparison import part_combinations, parts_comparison
from tradestudy.aircraft.assessment.pilot_card import flyable, flyable_speeds, pilot_card
from tradestudy.aircraft.model.best_speeds import at_best_speed
from tradestudy.aircraft.model.designs import many_designs
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.speed_sweep import SpeedSweep, best_speed, best_speed_near
from tradestudy.physics.flight.built_wing import BuiltFactors
from tradestudy.search.search_space import search_space, starting_points
from tradestudy.study.schema.key_types import LeastCruise
from tradestudy.study.schema.search import KnownFlightTable

FLOOR = 1.5  # default of fly.cruise_at_least: common practice, no source
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
    """Check a wing whose longest endurance, by the model itself, is below the least cruise. Its wake is clean."""
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


def test_a_cruise_given_as_a_speed_holds_every_search(turnstone_study, turnstone_anchor, turnstone_space):
    """Check 70 km/h, far above the best speed and 1.5 times the stall: every way to the best speed stops there."""
    speed = 70 / KMH
    flight = turnstone_anchor.data.flight._replace(cruise_over_stall=1.3, least_cruise_speed=speed)
    data = replace(turnstone_anchor.data, level=turnstone_anchor.data.level._replace(flight=flight))
    sweep = SpeedSweep(data, turnstone_anchor.choice, turnstone_anchor.variables)
    assert best_speed(turnstone_sweep := SpeedSweep(turnstone_anchor.data, sweep.choice, sweep.variables)) < speed
    assert best_speed(sweep) == pytest.approx(speed, abs=2e-3)
    assert best_speed_near(sweep, "distance", best_speed(turnstone_sweep)) == pytest.approx(speed, abs=2e-3)
    designs = many_designs([sweep.choice], [sweep.variables])
    chosen, _ = at_best_speed(data, designs, "distance", 30.0)
    assert float(chosen.cruise_speed[0]) == pytest.approx(speed, abs=2e-3)
    assert sweep.speed_card.least_cruise == speed and flyable_speeds(sweep.speed_card)[0] == speed
    fly = turnstone_study.fly.model_copy(update={"cruise_at_least": LeastCruise(1.3, speed)})
    space = search_space(replace(turnstone_study, fly=fly), turnstone_anchor)
    assert space.bounds["cruise_speed"][0] == speed > turnstone_space.bounds["cruise_speed"][0]


def test_a_card_names_the_better_speed_below_the_floor(turnstone_study, sweep, slowly, card):
    """Check the slowest speed of a card whose gain falls all the way, and none where the best is above the floor."""
    design = EvaluatedDesign(
        turnstone_study, sweep.data, sweep.choice, sweep.variables | {"cruise_speed": 14.0}, sweep.wings
    )
    design.speed_card = slowly
    pilot = pilot_card(design)
    assert pilot.slower_kmh == pytest.approx(KMH * slowly.speed[0], abs=ROUNDED)
    assert pilot.slower_kmh / pilot.stall_kmh == pytest.approx(1.02, abs=ROUNDED)
    assert pilot.slower_km == pytest.approx(slowly.at("range", slowly.speed[0]) / 1e3, abs=2 * ROUNDED)
    quick = {"range": card.speed * 1e3}
    design.speed_card = replace(card, columns=card.columns | quick)
    assert pilot_card(design).slower_kmh is None


def test_an_energy_that_builders_do_not_believe_gets_a_remark(turnstone_study, sweep):
    """Check both sides of the line between what is believed and what is not, and a wing that has flown."""
    design = EvaluatedDesign(
        replace(turnstone_study, known_flight=None), sweep.data, sweep.choice, sweep.variables, sweep.wings
    )
    speed = best_speed(sweep)
    wing = float(sweep.shape.all_up_mass), 2 * float(sweep.solution.wing.semi_span), float(sweep.shape.area)
    least = 3.6 * notes.least_believed(*wing)  # J/m
    for energy, said in ((0.99 * least, True), (1.01 * least, False)):
        design.__dict__["power_at"] = lambda _, energy=energy: SimpleNamespace(energy_per_metre=np.array([energy]))
        design.variables = sweep.variables | {"cruise_speed": speed}
        assert bool(notes._hard_to_believe(design)) is said
    design.__dict__["power_at"] = lambda _: SimpleNamespace(energy_per_metre=np.array([0.5 * least]))
    flown = KnownFlightTable(distance="40 km", time="50 min", charge_used="5 Ah")
    design._study = replace(design.study, known_flight=flown)
    del design.__dict__["study"]
    assert not notes._hard_to_believe(design)  # what was flown is believed


def test_the_least_energy_that_is_believed_follows_the_least_drag_of_a_parabolic_polar():
    """Check 1.2 Wh/km at 2.05 kg (common practice, no source), and least drag 2 W sqrt(CD0 / (pi e A)) of other wings.

    CD0 goes with chord to the power -1/5.
    """
    assert notes.least_believed(2.05, 1.25, 0.35) == pytest.approx(1.2)
    span, area, weight = 2.2, 0.847, 5.0

    def least_drag(weight, span, area):
        friction = 0.02 * (area / span) ** -0.2
        return 2 * weight * np.sqrt(friction * area / (np.pi * 0.8 * span**2))

    expected = 1.2 * least_drag(weight, span, area) / least_drag(2.05, 1.25, 0.35)
    assert notes.least_believed(weight, span, area) == pytest.approx(expected)
    assert expected < 0.9 * 1.2 * weight / 2.05  # in proportion to weight alone it would be too strict


def test_the_remark_says_where_practice_is_known():
    assert notes.energy_remarks(1.3, 2.05, 1.25, 0.35) == []
    (near,), (far,) = notes.energy_remarks(1.0, 2.05, 1.25, 0.35), notes.energy_remarks(2.0, 5.0, 2.2, 0.847)
    assert near.startswith("1.00 Wh/km at 2050 g is less than builders believe: such wings rarely need less than 1.20")
    assert "practice is known near 2 kg only, and taken to its weight and span it says at least 2.5" in far
