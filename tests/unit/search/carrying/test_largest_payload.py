"""What a built wing carries, recomputed with the payload as an item of the study's own list of equipment."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.places import STUDIES
from helpers.wings.turnstone import written

from tradestudy.aircraft.model.designs import one_design
from tradestudy.aircraft.model.evaluation import evaluate
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE
from tradestudy.commands.payload.carried import _Built as Built
from tradestudy.commands.payload.carried import payload_numbers, stock_carrier
from tradestudy.commands.study_session import StudySession
from tradestudy.search.carrying.largest_payload import JUST_BEYOND, LEAST_BEYOND, SET_IN_FLIGHT, Carrier
from tradestudy.search.carrying.payload_on_board import Payload, loaded
from tradestudy.study.reader import read_study

AHEAD = Payload(place=0.05)  # in the nose, where the pack has to make up for it


@pytest.fixture(scope="module")
def work(tmp_path_factory):
    return StudySession(read_study(written(tmp_path_factory.mktemp("carried"))), "tradestudy run")


def longer_wing(work, payload=None):
    """Return a wing with 60 mm more on each side as one that carries, held to the limits that it meets empty."""
    anchor = work.anchor
    own = Carrier(work.space, anchor.choice, anchor.variables | {"extension": 0.06})
    return replace(own, payload=payload or Payload(), let_go=own.broken())


def wings(work):
    return {
        "stock": stock_carrier(work.space),
        "longer": longer_wing(work),
        "in the nose": longer_wing(work, AHEAD),
    }


@pytest.fixture(scope="module", params=["stock", "longer", "in the nose"])
def carried(work, request):
    """Return a wing and its largest payload."""
    carrier = wings(work)[request.param]
    return carrier, carrier.largest()


def listed(carrier, mass, variables):
    """Return outputs and least margins of a wing whose payload is an item of the list of equipment of its study."""
    space = loaded(carrier.space, carrier.payload, mass, carrier.mark)
    outputs = evaluate(space.data(carrier.choice), one_design(carrier.choice, variables)).by_name()
    margins = {limit.name: float(np.min(limit.margin(outputs[limit.output]))) for limit in space.limits(carrier.choice)}
    return outputs, {name: margin for name, margin in margins.items() if name not in carrier.let_go}


def test_with_the_largest_payload_every_limit_just_holds(carried):
    carrier, found = carried
    mass, own = found.wing.mass, found.wing.variables
    assert mass > 0.02 and mass == pytest.approx(round(mass, 3), abs=1e-12)
    outputs, margins = listed(carrier, mass, own)
    assert min(margins.values()) > MET_ABOVE
    assert margins == pytest.approx(found.wing.margins, abs=1e-9)
    assert float(outputs["range"]) == pytest.approx(float(found.wing.outputs["range"]), rel=1e-12)
    # shape and parts are those of the wing; only what is set in flight differs
    assert {name for name, value in own.items() if value != carrier.variables[name]} <= set(SET_IN_FLIGHT)


def test_a_payload_just_beyond_breaks_the_limit_that_is_named(carried):
    carrier, found = carried
    beyond = max((1 + JUST_BEYOND) * found.wing.mass, found.wing.mass + LEAST_BEYOND)
    _, margins = listed(carrier, beyond, found.wing.variables)
    assert margins[found.end] < MET_ABOVE and margins[found.end] == min(margins.values())


@pytest.mark.parametrize("more", [(), ("climb",)])
def test_just_beyond_is_a_twentieth_heavier_or_five_grams(work, more):
    masses = []

    class Noting(Carrier):
        def outputs(self, mass, *given, **others):
            masses.append(mass)
            return super().outputs(mass, *given, **others)

    stock = stock_carrier(work.space)
    largest = Noting(stock.space, stock.choice, stock.variables, let_go=(*stock.let_go, *more)).largest().wing.mass
    assert (largest > 0.1) == bool(more)
    assert masses[-1] == pytest.approx(1.05 * largest if more else largest + 0.005, abs=1e-12)


def test_what_is_set_in_flight_has_the_bounds_of_the_study_and_reaches_the_wing_itself(work):
    choice = work.anchor.choice
    ends = {name: work.space.bounds_of(choice)[name] for name in SET_IN_FLIGHT}
    middles = {name: 0.5 * (low + high) for name, (low, high) in ends.items()}

    def bounds(**own):
        return Carrier(work.space, choice, work.anchor.variables | middles | own).bounds

    (slowest, fastest), (least, most) = ends["cruise_speed"], ends["static_margin"]
    assert slowest < fastest and least < most and bounds() == ends
    outside = bounds(cruise_speed=slowest - 1.0, static_margin=most + 0.01)
    assert outside == ends | {"cruise_speed": (slowest - 1.0, fastest), "static_margin": (least, most + 0.01)}


def drawn(carrier, mass, middles, seed, count=400):
    """Return outputs, least margins (n,) of random settings: up to a tenth from ``middles``, or anywhere in bounds."""
    random = np.random.default_rng(seed)
    if middles:
        near = {name: middles[name] * random.uniform(0.9, 1.1, count) for name in carrier.bounds}
        own = {name: np.clip(near[name], *ends) for name, ends in carrier.bounds.items()}
    else:
        own = {name: random.uniform(*ends, count) for name, ends in carrier.bounds.items()}
    designs = one_design(carrier.choice, carrier.variables)._replace(**own)
    outputs = carrier.outputs(mass, designs)
    sizes = carrier.sizes
    margins = [
        limit.least_margins(np.broadcast_to(outputs[limit.output], (count, *sizes[limit.output])))
        for limit in carrier.limits
    ]
    return outputs, np.min(margins, axis=0)


def test_no_other_setting_carries_more(carried):
    """Check random settings with 3 % more, at any cruise: none meets every limit."""
    carrier, found = carried
    _, least = drawn(carrier, 1.03 * found.wing.mass + 0.001, None, 7)
    assert least.max() < MET_ABOVE


def test_no_other_setting_flies_farther_with_half_of_it(carried):
    carrier, found = carried
    half = carrier.at(0.5 * found.wing.mass)
    outputs, least = drawn(carrier, half.mass, half.variables, 8)
    met = least > MET_ABOVE
    assert half.met and met.any()
    assert np.broadcast_to(outputs["range"], met.shape)[met].max() <= float(half.outputs["range"]) * (1 + 1e-5)


def test_without_payload_it_is_the_wing_itself(carried):
    carrier, found = carried
    empty = carrier.at(0.0)
    assert empty.variables == carrier.variables
    own = evaluate(carrier.space.data(carrier.choice), one_design(carrier.choice, carrier.variables)).by_name()
    assert float(empty.outputs["range"]) == float(own["range"])
    ranges = [float(carrier.at(share * found.wing.mass).outputs["range"]) for share in (0.0, 0.25, 0.5, 0.75)]
    assert ranges[0] > ranges[1] > ranges[2] > ranges[3] > float(found.wing.outputs["range"])


def test_a_payload_ahead_moves_pack_or_mark_and_one_with_power_costs_range(work):
    at_mark, ahead, hungry = (longer_wing(work, each) for each in (None, AHEAD, Payload(power=4.0)))
    assert ahead.largest().wing.mass < at_mark.largest().wing.mass
    outputs, _ = listed(hungry, 0.05, hungry.at(0.05).variables)
    assert float(outputs["range"]) == pytest.approx(float(hungry.at(0.05).outputs["range"]), rel=1e-12)
    assert float(outputs["range"]) < 0.97 * float(at_mark.at(0.05).outputs["range"])


def test_the_search_goes_on_to_the_last_gram():
    """Check a plugged wing whose search ended 18 g short where the cruise was tied to its own lift coefficient."""
    session = StudySession(read_study(STUDIES / "sanderling.toml"), "tradestudy run")
    stock, (low, high) = stock_carrier(session.space), session.space.bounds["extension"]
    own = Carrier(session.space, stock.choice, stock.variables | {"extension": low + 0.4 * (high - low)})
    wing = replace(own, let_go=own.broken())
    found = wing.largest().wing
    assert found.met and not wing.at(found.mass + 0.002).met


def test_a_wing_that_breaks_a_limit_carries_nothing_and_says_which(work):
    anchor = work.anchor
    broken = Carrier(work.space, anchor.choice, anchor.variables | {"cruise_speed": 8.0})
    found = broken.largest()
    assert found.wing is None and found.end in broken.broken()
    numbers = payload_numbers(work.space, Built(broken.choice, broken.variables))
    assert numbers == {"payload_end": broken.words(found.end)}


def test_no_more_is_looked_at_than_asked(work):
    found = longer_wing(work).largest(most=0.03)
    assert found.wing.mass == pytest.approx(0.03) and found.end == ""
