"""The list of runners-up: its designs, their order and their number.

Searches are answered by an engine with known results, so that only the ranking is tested.
"""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from helpers.invented.invented_result import sample_result
from helpers.wings.turnstone import KnownResults, space_with_known_results

from tradestudy.aircraft.model.choices import Choice, choice_of, choices_at_edge
from tradestudy.commands import optimise as command
from tradestudy.commands.study_session import StudySession
from tradestudy.search.branch_and_bound import Ranking


def rods(pairs, millimetres, propeller):
    return Choice(3, 2, 1e-3 * millimetres, pairs, propeller)


# range [m] of each set of parts of the Turnstone; the best three are not the best three of a branch
GAIN = {
    rods(1, 2, "8x5"): 41e3,
    rods(1, 3, "8x5"): 47e3,
    rods(2, 2, "8x5"): 44e3,
    rods(2, 3, "8x5"): 39e3,
    rods(1, 2, "8x6"): 42e3,
    rods(1, 3, "8x6"): 45e3,
    rods(2, 2, "8x6"): 48e3,
    rods(2, 3, "8x6"): 37e3,
}
BEST_FIRST = sorted(GAIN, key=lambda choice: -GAIN[choice])


def known(gain):
    """Return the function that the engine uses: a gain for each set of parts, whatever the wing."""
    return lambda choice, variables: gain[choice]


@pytest.fixture()
def ranking(turnstone_space):
    """Return a function for a Ranking of the Turnstone with known results: ``ranking(gain)``."""
    return lambda gain: Ranking(space_with_known_results(turnstone_space, known(gain)))


class Brief(StudySession):
    """A study session whose designs only have a label, parts and limits. All other numbers are invented."""

    def __init__(self, study):
        super().__init__(study, "test")
        self.space.record = None  # results of another test must not be used

    def told(self, gain):
        """Set the gains that the engine uses from now on."""
        self.space.engine = KnownResults(self.space, known(gain))
        self.ranking = Ranking(self.space)
        return self

    def stock_result(self):
        """Return an invented result. Its designs come from the search."""
        return sample_result(excluded=[], conflict=[], best=None, alternatives=[])

    def design(self, answer, label):
        """Return a design with only these fields."""
        one = SAMPLE.limits[0]
        return replace(
            SAMPLE,
            label=label,
            choices=choices_at_edge(answer.choice),
            limits=[replace(one, name=limit.name, words=limit.words) for limit in self.space.limits(answer.choice)],
        )


SAMPLE = sample_result().best


@pytest.fixture(scope="module")
def work(turnstone_study):
    made = Brief(turnstone_study)
    yield made
    made.space.engine = None
    made.close()


def listed(result):
    """Return the best design of a search and its runners-up, as sets of parts."""
    return choice_of(result.best), [choice_of(design) for design in result.alternatives]


def test_all_choices_best_first(ranking):
    assert [answer.choice for answer in ranking(GAIN).complete()] == BEST_FIRST


@pytest.mark.parametrize("count", [1, 2, 4, 8])
def test_the_first_few_are_the_best_of_all(ranking, count):
    found = ranking(GAIN).best(count)
    assert [answer.choice for answer in found[:count]] == BEST_FIRST[:count]


def test_a_choice_that_misses_its_limits_comes_after_all_that_meet_them(ranking):
    broken = {choice: None if gain in (48e3, 45e3) else gain for choice, gain in GAIN.items()}
    found = [answer.choice for answer in ranking(broken).complete()]
    assert found[:6] == [choice for choice in BEST_FIRST if broken[choice]]
    assert set(found[6:]) == {choice for choice, gain in broken.items() if gain is None}


def test_three_runners_up_in_their_order_without_the_winner(work):
    result = command.best_at_medians(work.told(GAIN))
    assert listed(result) == (BEST_FIRST[0], BEST_FIRST[1:4])
    assert [result.best.label, *(design.label for design in result.alternatives)] == ["best"] + 3 * ["alternative"]


def test_runners_up_meet_every_limit(work):
    """Check that runners-up meet every limit: three do, one is the winner, so two are left."""
    flying = [BEST_FIRST[place] for place in (1, 4, 6)]
    result = command.best_at_medians(
        work.told({choice: gain if choice in flying else None for choice, gain in GAIN.items()})
    )
    assert listed(result) == (flying[0], flying[1:])
    assert not result.conflict


def judged(answer):
    """Return a search result as a robust search judges it, with one limit."""
    spread = SimpleNamespace(reported=lambda: None)
    drawn = SimpleNamespace(
        result=answer, low=answer.gain, expected=lambda purpose: answer.gain, spread=spread, design=None, inputs=None
    )
    true = SimpleNamespace(met=0.8, error=0.01, met_share=lambda: {"climb": 0.8})
    return SimpleNamespace(drawn=drawn, true=true, short={"climb": (0.25, "m/s")})


def test_a_robust_winner_puts_the_plain_one_first_among_three(work, monkeypatch):
    """Check that after a robust winner the best wing is first among the runners-up.

    The list is as long as before.
    """
    ranked = work.told(GAIN).best_results()
    looks = [judged(answer) for answer in (ranked[0], ranked[5])]
    monkeypatch.setattr(
        command,
        "most_robust",
        lambda *asked: SimpleNamespace(
            nominal=looks[0], robust=looks[1], rounds=1, reached=True, looked=2, may_win=3, trade=[]
        ),
    )
    monkeypatch.setattr(command, "as_built_result", lambda *asked: None)
    monkeypatch.setattr(command, "to_expect", lambda session, result: result)
    result = command.robust(work, 0.9)
    assert listed(result) == (ranked[5].choice, BEST_FIRST[:3])
    plain = result.robust.nominal
    assert plain.all_met_pct == 80.0 and [(one.short, one.unit) for one in plain.lacking] == [(0.25, "m/s")]
