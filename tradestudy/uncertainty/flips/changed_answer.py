"""The answer to a changed study, compared with today's: screened first, then searched in full.

Both functions here run on a worker. The screening searches today's parts again, and the sets of parts whose gain is
near enough to overtake them. It can miss a set of parts that it does not search, and never reports a flip that another
set of parts does not show. `settled` searches every set of parts that is not far outside the limits today, and finds
the place of the flip.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from tradestudy.aircraft.model.choices import SCHEME_WORDS, Choice, rod_words
from tradestudy.aircraft.model.limit_bounds import ACTIVE_BELOW
from tradestudy.quantities import in_unit
from tradestudy.search.parallel import run_tasks
from tradestudy.search.search_space import SearchSpace, choice_fault, starting_points
from tradestudy.search.search_task import SearchResult, SearchTask, VariableValues, from_json, merit, to_json

from .changes import FlipChange, ShiftedLimit

MATTERS = 0.005  # share of the gain by which other parts must beat today's before that is a flip; judgement
NOTHING_LEFT = "no wing meets every limit"
_OTHER_SPAN = 0.02  # share of the span by which the best span must move; less is nothing a builder decides; judgement
_REACH = 3.0  # times today's change of gain that a set of parts may lie behind and still overtake; judgement
_NEAR = 0.01  # share of the gain that a set of parts may lie behind in any case
_ALMOST = -0.06  # worst scaled margin of a set of parts that may yet be feasible
_RIVALS = 6  # most sets of parts searched again in a screening
_HOPELESS = -0.25  # worst scaled margin today, below which no change of one step makes parts feasible; judgement
_TWICE = 2  # best sets of parts that are searched from another start as well
_NARROWINGS = 3  # how often the place of a flip is narrowed
_SET_IN_FLIGHT = ("cruise_speed", "static_margin", "equipment_position")  # what a built wing still leaves open
_SIDE = 0.1  # least part of the bracket that a narrowing cuts off


@dataclass(frozen=True)
class FlipTask:
    """A change to examine, today's best result, those of all other choices, and today's flat band of spans [m].

    ``screening`` is the answer that `screened` returned, once it has.
    """

    change: FlipChange
    best: SearchResult
    others: list[SearchResult]
    flat: tuple[float, float]
    screening: ChangedAnswer | None = None

    @property
    def words(self) -> str:
        """The task in words for the user."""
        return self.change.words

    @property
    def key(self) -> tuple:
        """The key of the result in the record."""
        return "flip", self.change.kind, self.change.name, self.change.words, self.best.gain, self.flat


@dataclass(frozen=True)
class ChangedAnswer:
    """The best result under a change, and the result of today's parts.

    ``own`` is None if today's parts cannot be built. ``winner`` is None if no set of parts meets every limit.
    ``built`` is today's wing as built, flown within the changed limits, or None if it cannot be built. ``place`` is the
    share of the change at which the answer flips, or None if it is not known. ``in_full`` is True after `settled`.
    """

    own: SearchResult | None
    winner: SearchResult | None
    differences: list[str]
    built: SearchResult | None = None
    place: float | None = None
    in_full: bool = False

    @property
    def flips(self) -> bool:
        """Whether the answer differs from today's."""
        return bool(self.differences)

    def loss(self, today: SearchResult) -> float:
        """Return how much is lost, SI: with today's wing built, or else with today's parts, or else to all."""
        if self.winner is None:
            return math.inf
        for mine in (self.built, self.own):
            if mine is not None and mine.feasible:
                return max(self.winner.gain - mine.gain, 0.0)
        return abs(today.gain - self.winner.gain)

    def to_record(self) -> dict[str, Any]:
        """Return the answer as values that JSON can store."""
        found = {name: getattr(self, name) for name in ("own", "winner", "built")}
        stored = {name: None if each is None else to_json(each) for name, each in found.items()}
        return stored | {"differences": self.differences, "place": self.place, "in_full": self.in_full}


def answer_from_record(raw: dict[str, Any]) -> ChangedAnswer:
    """Return the answer from the values that `ChangedAnswer.to_record` returned."""
    found = {name: None if raw[name] is None else from_json(raw[name]) for name in ("own", "winner", "built")}
    return ChangedAnswer(**{**raw, **found})


def screened(space: SearchSpace, task: FlipTask) -> ChangedAnswer | None:
    """Return the answer to a changed study from a search of the few sets of parts that may be best.

    None means that the change contradicts other values of the study.
    """
    changed = task.change.at(space, 1.0)
    if changed is None:
        return None
    own = _own_result(changed, task.best)
    loss = abs(task.best.gain - own.gain) if own is not None and own.feasible else math.inf
    rivals = [(choice, each) for each in _rivals(task, loss) if (choice := _counterpart(changed, each.choice))]
    results = run_tasks(changed, [SearchTask("solve", choice, [each.variables]) for choice, each in rivals])
    return _answer(changed, task, own, [result for result in results if result is not None])


def settled(space: SearchSpace, task: FlipTask) -> ChangedAnswer | None:
    """Return the answer to a changed study from `_all_results`, with the place of the flip."""
    changed, screening = task.change.at(space, 1.0), task.screening or screened(space, task)
    if changed is None or screening is None:
        return None
    ranked = _all_results(changed, task)
    known = [each for each in (screening.own, screening.winner) if each is not None]
    own_choice = _counterpart(changed, task.best.choice)
    mine = max((each for each in [*ranked, *known] if each.choice == own_choice), key=merit, default=None)
    answer = replace(_answer(changed, task, mine, [*ranked, *known]), in_full=True)
    return replace(answer, place=_place(space, task, answer)) if answer.flips else answer


def _all_results(changed: SearchSpace, task: FlipTask) -> list[SearchResult]:
    """Return the result of every set of parts in a changed study, each from its own optimum of today.

    The best two are searched again from another start. Left out are sets of parts that miss a limit by far today.
    """
    today = {replace(each.choice, raised_lid=0.0): each for each in (task.best, *task.others)}
    near, far = starting_points(changed)
    tasks = []
    searched = (_counterpart(changed, each.choice) for each in (task.best, *task.others))
    for choice in dict.fromkeys([*changed.choices, *(each for each in searched if each is not None)]):
        known = today.get(replace(choice, raised_lid=0.0))
        if known is None or known.feasible or known.worst_margin > _HOPELESS:
            tasks.append(SearchTask("solve", choice, [known.variables if known else near]))
    results = [result for result in run_tasks(changed, tasks) if result is not None]
    results.sort(key=merit, reverse=True)
    again = [SearchTask("solve", result.choice, [far]) for result in results[:_TWICE]]
    return [*results, *(result for result in run_tasks(changed, again) if result is not None)]


def _answer(
    changed: SearchSpace, task: FlipTask, own: SearchResult | None, results: list[SearchResult]
) -> ChangedAnswer:
    """Return the answer from the results of a changed study. Parts flip if others beat today's by what matters."""
    winner = max((each for each in [own, *results] if each is not None and each.feasible), key=merit, default=None)
    if winner is None:
        return ChangedAnswer(own, None, [NOTHING_LEFT])
    if own is not None and own.feasible and winner.gain <= own.gain + MATTERS * abs(own.gain):
        winner = own
    parts = [] if own is not None and winner.choice == own.choice else _other_parts(task.best.choice, winner.choice)
    span, (low, high) = winner.traded["span"], task.flat
    beyond = not low <= span <= high and abs(span - task.best.traded["span"]) > _OTHER_SPAN * span
    if not parts and not beyond:
        return ChangedAnswer(own, winner, [])
    built = _built(changed, task.best)
    if not parts and built is not None and built.feasible and winner.gain <= built.gain + MATTERS * abs(built.gain):
        return ChangedAnswer(own, winner, [])  # today's wing is then as good
    spans = [f"span {in_unit(span, 'mm'):.0f} mm"] if beyond else []
    return ChangedAnswer(own, winner, [*parts, *spans], built)


def _rivals(task: FlipTask, loss: float) -> list[SearchResult]:
    """Return the sets of parts that may overtake today's, largest gain first."""
    best, change = task.best, task.change
    reach = max(_REACH * loss, _NEAR * abs(best.gain))
    relaxed = change.name if isinstance(change, ShiftedLimit) and change.shift < 0 else None
    near = []
    for each in task.others:
        if each.feasible:
            near += [each] if best.gain - each.gain <= reach else []
        elif each.gain > best.gain - reach and each.worst_margin > _ALMOST:
            stops = {name for name, margin in each.margins.items() if margin.min() < ACTIVE_BELOW}
            near += [each] if relaxed is None or relaxed in stops else []
    near.sort(key=lambda each: -each.gain)
    packs = {each.choice.pack_key: each for each in reversed(near)}  # the best of each pack
    first = [*near[:_RIVALS], *packs.values()]
    return [each for index, each in enumerate(first) if each not in first[:index]]


def _counterpart(space: SearchSpace, choice: Choice) -> Choice | None:
    """Return a choice as a changed study has it, or None. Its bay may need a lid of another height.

    A pack in the bay of the stock wing is in no list of choices. It stays possible as long as nothing is in its way.
    """
    alike = (each for each in space.choices if replace(each, raised_lid=choice.raised_lid) == choice)
    found = next(alike, None)
    return choice if found is None and not choice.layout and choice_fault(space, choice) is None else found


def _own_result(space: SearchSpace, best: SearchResult) -> SearchResult | None:
    """Return the result of today's parts in a changed study. More starts follow if the first just misses."""
    choice = _counterpart(space, best.choice)
    if choice is None:
        return None
    found = _solved(space, choice, [best.variables])
    if found is not None and not found.feasible and found.worst_margin > _ALMOST:
        again = _solved(space, choice, starting_points(space))
        found = max((each for each in (found, again) if each is not None), key=merit)
    return found


def _solved(
    space: SearchSpace, choice: Choice, starts: list[VariableValues], fixed: VariableValues | None = None
) -> SearchResult | None:
    return run_tasks(space, [SearchTask("solve", choice, starts, fixed)])[0]


def _built(space: SearchSpace, best: SearchResult) -> SearchResult | None:
    """Return today's wing in a changed study: its shape is built, and speed and balance are set anew."""
    choice = _counterpart(space, best.choice)
    if choice is None:
        return None
    bounds = space.bounds_of(choice)
    fixed = {
        name: min(max(best.variables[name], bounds[name][0]), bounds[name][1])
        for name in bounds
        if name not in _SET_IN_FLIGHT and bounds[name][1] > bounds[name][0]
    }
    return _solved(space, choice, [best.variables], fixed)


# --- the place of a flip -----------------------------------------------------------------------------------


class _Lead(NamedTuple):
    """How far today's answer is ahead at a share of a change; below 0 where the answer has flipped."""

    share: float
    lead: float


def _place(space: SearchSpace, task: FlipTask, answer: ChangedAnswer) -> float | None:
    """Return about the share of a change at which the answer flips, or None if it is not known."""
    winner = answer.winner
    parts_flip = winner is not None and (answer.own is None or winner.choice != answer.own.choice)
    before = next((each for each in task.others if winner and each.choice == winner.choice), None)
    if not parts_flip:
        start = _slack(task, task.best) if winner else math.inf
    else:
        start = task.best.gain - before.gain if before is not None and before.feasible else math.inf
    low, high = _Lead(0.0, start), _Lead(1.0, _lead(task, answer.own, winner, parts_flip))
    if low.lead <= 0.0:
        return 0.0
    for _ in range(_NARROWINGS if task.change.divisible else 0):
        width = high.share - low.share
        share = min(max(_crossing(low, high), low.share + _SIDE * width), high.share - _SIDE * width)
        changed = task.change.at(space, share)
        if changed is None:
            break
        own = _own_result(changed, task.best)
        choice = _counterpart(changed, winner.choice) if winner and parts_flip else None
        other = _solved(changed, choice, [winner.variables]) if winner and choice else None
        lead = _lead(task, own, other, parts_flip)
        low, high = (_Lead(share, lead), high) if lead > 0 else (low, _Lead(share, lead))
    known = math.isfinite(low.lead) and math.isfinite(high.lead)
    return _crossing(low, high) if known or task.change.divisible else None


def _crossing(low: _Lead, high: _Lead) -> float:
    """Return the share where the lead is zero: by interpolation, or the middle if a lead is not finite."""
    if math.isfinite(low.lead) and math.isfinite(high.lead):
        return low.share + (high.share - low.share) * low.lead / (low.lead - high.lead)
    return 0.5 * (low.share + high.share)


def _lead(task: FlipTask, own: SearchResult | None, other: SearchResult | None, parts_flip: bool) -> float:
    """Return how far today's parts are ahead of other parts, or how far their span is inside the flat band."""
    if own is None or not own.feasible:
        return -math.inf
    if not parts_flip:
        return _slack(task, own)
    return own.gain - other.gain if other is not None and other.feasible else math.inf


def _slack(task: FlipTask, result: SearchResult) -> float:
    """Return how far a span is inside today's flat band. [m]"""
    span, (low, high) = result.traded["span"], task.flat
    return min(span - low, high - span)


def _other_parts(own: Choice, other: Choice) -> list[str]:
    """Return phrases on the parts of another choice that differ from today's."""
    phrases = []
    if other.pack_key != own.pack_key:
        phrases.append(f"pack {other.series}S{other.parallel}P {other.pack}".strip())
    elif other.layout != own.layout:
        phrases.append("pack laid another way")
    if (other.rod_pairs, other.rod_diameter) != (own.rod_pairs, own.rod_diameter):
        phrases.append(rod_words(other.rod_pairs, other.rod_diameter))
    if other.propeller != own.propeller:
        phrases.append(f"{other.propeller} propeller")
    if other.motor != own.motor:
        phrases.append(f"motor {other.motor or 'of the stock wing'}")
    if other.scheme != own.scheme:
        phrases.append(SCHEME_WORDS[other.scheme] if other.scheme else "the scheme of the study")
    if other.throttle_cap != own.throttle_cap:
        phrases.append(
            "throttle as today" if other.throttle_cap is None else f"throttle to {in_unit(other.throttle_cap, '%'):g} %"
        )
    if other.bays != own.bays:
        phrases.append(other.bays or "all equipment where it is")
    return phrases
