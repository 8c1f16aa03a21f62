"""A wing half way to the longest span, in place of the recommended one: tests of what is shown need no search."""

from tradestudy.aircraft.model.designs import one_design
from tradestudy.aircraft.model.evaluation import evaluate
from tradestudy.aircraft.model.speed_sweep import SpeedSweep, best_speed
from tradestudy.commands.assess import as_drawn as as_drawn_outside_tests
from tradestudy.commands.recommended_wing import RecommendedWing
from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.search.search_task import SearchResult

WORDS = "half way to the longest span"
AS_DRAWN = as_drawn_outside_tests  # kept here before the fixture `without_search` replaces it


def half_way(session):
    """Return the wing half way to the longest span with the stock wing's parts (RecommendedWing)."""
    space = session.space
    choice = space.laid(session.anchor.choice)
    data = space.data(choice)
    variables = session.requested_variables(RequestedWing())
    variables["extension"] = 0.5 * sum(space.bounds["extension"])
    variables["cruise_speed"] = best_speed(SpeedSweep(data, choice, variables), session.study.fly.purpose)
    outputs = evaluate(data, one_design(choice, variables)).by_name()
    margins = {limit.name: limit.margin(outputs[limit.output]) for limit in space.limits(choice)}
    return RecommendedWing(SearchResult(choice, variables, 0.0, 0.0, margins, [], False, 1, 0.0, {}), WORDS)
