"""The front of a study over known results: what breaks a limit is never on it."""

from dataclasses import replace

import pytest
from helpers.wings.turnstone import KnownResults, answer_of

from tradestudy.search.builds.build_front import build_front

NEAR, FAR = {"range": 10e3, "flying_weight": 0.8}, {"range": 99e3, "flying_weight": 0.5}


class TooGood(KnownResults):
    """Searches at a level end at a light wing that flies far, but breaks a limit; the lightest wing breaks none."""

    def answer(self, task):
        """Return a result by the kind of its search."""
        lightest = task.kind == "extreme"
        found = answer_of(self.space, task.choice, task.starts[0], 10e3 if lightest else None)
        return replace(found, traded=found.traded | (NEAR if lightest else FAR))


def test_a_wing_that_breaks_a_limit_is_not_on_the_front(turnstone_space):
    space = replace(turnstone_space, record=None, engine=None, choices=turnstone_space.choices[:1])
    space.engine = TooGood(space, None)
    best = answer_of(space, space.choices[0], space.anchor.variables, 50e3)
    best = replace(best, traded=best.traded | {"range": 50e3, "flying_weight": 1.2})
    line, _ = build_front(space, [best], "range", ("flying_weight",), points=3)
    assert any(task.levels for task in space.engine.tasks)
    assert all(one.feasible for one in line)
    assert [one.traded["range"] for one in line] == pytest.approx([50e3, 10e3])
