"""The best design at every point of a map, with invented gains: as good as trying every set of parts everywhere."""

import math
from dataclasses import replace

import numpy as np
import pytest
from helpers.wings.turnstone import KnownResults, space_with_known_results

from tradestudy.search.best_at_points import Contender, MapPoint, best_at_points
from tradestudy.search.search_space import starting_points

PLACES = np.linspace(0.0, 0.2, 9)  # extensions of a line [m]


def reach(choice):
    """Return the extension [m] beyond which an invented choice breaks a limit: more rods, and 8x5, hold farther."""
    return 0.03 * choice.rod_pairs + 20 * (choice.rod_diameter - 0.002) + (0.04 if choice.propeller == "8x5" else 0.0)


def gain(choice, variables):
    """Return the invented gain [m], best at an extension of 50 mm; rods cost 1 km a pair, the propeller 8x5 costs 4."""
    if variables["extension"] > reach(choice) + 1e-9:
        return None
    cost = 1e3 * choice.rod_pairs + 1e6 * (choice.rod_diameter - 0.002) + (4e3 if choice.propeller == "8x5" else 0.0)
    return 90e3 - cost - 2e5 * (variables["extension"] - 0.05) ** 2


class KnownMargins(KnownResults):
    """Known results whose worst margin is how far the extension is within reach, where a limit is broken."""

    def answer(self, task):
        """Return the result of a search task."""
        found = super().answer(task)
        if found.feasible:
            return found
        branch = [each for each in self.space.choices if each.propeller == task.choice.propeller]
        held = max(map(reach, branch)) if task.relaxed else reach(task.choice)
        short = min(held - found.variables["extension"], -1e-3)
        return replace(found, margins={name: np.full(1, short) for name in found.margins})


def known_space(space, known):
    """Return a search space whose searches end with the known gain."""
    own = space_with_known_results(space, known)
    own.engine = KnownMargins(own, known)
    return own


def contenders(space, bounded=True):
    """Return every choice, with the best gain that it has anywhere, best first."""
    start = starting_points(space)[0]
    known = []
    for choice in space.choices:
        best = gain(choice, {"extension": min(0.05, reach(choice))})
        known.append(Contender(choice, best if bounded else math.inf, start))
    return sorted(known, key=lambda each: -gain(each.choice, {"extension": min(0.05, reach(each.choice))}))


@pytest.mark.parametrize("first", [0, 2, 8])
@pytest.mark.parametrize("bounded", [True, False])
def test_as_good_as_trying_every_set_of_parts_at_every_point(turnstone_space, first, bounded):
    space = known_space(turnstone_space, gain)
    points = [MapPoint({"extension": place}, contenders(space, bounded)) for place in PLACES]
    (found,) = best_at_points(space, [(points, first)])
    for place, result in zip(PLACES, found, strict=True):
        known = [each for choice in space.choices if (each := gain(choice, {"extension": place})) is not None]
        assert result.variables["extension"] == place
        assert result.feasible == bool(known)
        if known:
            assert result.gain == max(known)
    parts = {result.choice for result in found if result.feasible}
    assert len({choice.propeller for choice in parts}) == 2 and len({choice.rod_pairs for choice in parts}) == 2


def test_bounds_and_ended_branches_save_searches(turnstone_space):
    space = known_space(turnstone_space, gain)
    points = [MapPoint({"extension": place}, contenders(space)) for place in PLACES]
    best_at_points(space, [(points, 2)])
    everywhere = len(space.choices) * len(PLACES)
    assert len(space.engine.tasks) < 0.6 * everywhere
    beyond = [task for task in space.engine.tasks if task.fixed["extension"] > max(map(reach, space.choices)) + 1e-9]
    last = sum(place > max(map(reach, space.choices)) + 1e-9 for place in PLACES)
    assert last > 2
    # where the last branch ends, two ways to miss the limits least are compared; farther out one is followed
    assert [task.kind for task in beyond].count("least_violation") == last + 1
    assert len(beyond) == last + 2  # and one relaxed search that finds the end


def test_a_branch_that_meets_the_limits_again_is_found(turnstone_space):
    """Check a line that crosses a gap: the nearest choice is followed through it."""

    def with_gap(choice, variables):
        inside = reach(choice) > 0.1 and not 0.09 < variables["extension"] < 0.13
        return 90e3 - 1e3 * choice.rod_pairs if inside else None

    space = known_space(turnstone_space, with_gap)
    points = [MapPoint({"extension": place}, contenders(space)) for place in PLACES]
    (found,) = best_at_points(space, [(points, 0)])
    assert [result.feasible for result in found] == [not 0.09 < place < 0.13 for place in PLACES]
