"""The wings that a search found can be put on the sliders, and a stopped search gives the best so far."""

from dataclasses import replace

import pytest
from helpers.wings.half_way import half_way

from tradestudy.commands.look.found import best_so_far, found_wings
from tradestudy.commands.look.looks import look
from tradestudy.commands.study_session import StudySession
from tradestudy.results.json_form import json_data
from tradestudy.search.branch_and_bound import Ranking


@pytest.fixture(scope="module")
def result(godwit_study):
    """Return a Result with the wing half way to the longest span as best, and two others beside it."""
    session = StudySession(godwit_study, "optimise", tasks=1)
    best = half_way(session).result
    longer = replace(best, variables=best.variables | {"extension": 0.2})
    named = [(best, "best"), (longer, "span trade"), (longer, "recommended")]
    full, trade, built = session.designs(named)
    shown = replace(session.stock_result(), best=full, alternatives=[trade], span_trade=[trade], recommended=built)
    return replace(shown, front=[built, trade])


@pytest.mark.parametrize(
    "kind, labels",
    [
        ("best", ["recommended", "best", "span trade"]),
        ("spans", ["span trade", "recommended"]),
        ("front", ["recommended", "span trade"]),
    ],
)
def test_found_wings_put_on_the_sliders_show_their_numbers(work, result, kind, labels):
    found = found_wings(work, kind, result)
    assert (found.kind, found.stopped, found.study_id) == (kind, False, work.study_id)
    assert [wing.label for wing in found.wings] == labels
    for wing in found.wings:
        seen = look(work, {"choice": json_data(wing.look.choices), "variables": json_data(wing.look.variables)})
        assert seen.numbers == wing.look.numbers
        assert seen.name == wing.name
    first = found.wings[0]
    assert first.look.numbers.range_km == pytest.approx(result.recommended.numbers.range_km, rel=1e-6)


def test_where_nothing_fits_the_nearest_wing_is_shown(work, result):
    found = found_wings(work, "spans", replace(result, conflict=["stall speed and weight"]))
    assert [wing.label for wing in found.wings] == ["best"]
    assert "stall speed and weight" in found.sentence


def test_a_stopped_search_gives_what_it_found(work, result, turnstone_space):
    ranking = Ranking(turnstone_space)
    assert ranking.known == []
    assert best_so_far(work, "best", []).wings == []
    session_wing = half_way(StudySession(work.study, "optimise", tasks=1)).result
    better = replace(session_wing, feasible=True, gain=3.0)
    worse = replace(better, gain=2.0, variables=better.variables | {"extension": 0.02})
    missed = replace(worse, feasible=False)
    ranking._results = {turnstone_space.choices[0]: worse, turnstone_space.choices[1]: missed}
    ranking._improved = {(turnstone_space.choices[0], True): better}
    assert ranking.known == [better]
    found = best_so_far(work, "best", ranking.known)
    assert found.stopped and [wing.label for wing in found.wings] == ["best so far"]
    assert "1 set of parts" in found.sentence
