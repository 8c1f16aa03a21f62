"""The span that serves all members of a club best, on one airframe: cut once, with the same outline and rods.

Each member first gets the best wing at each span, with an outline of their own (`span_trade`). The worst share of a
member's own best is then greatest at some span. No common outline can do better there, so this is an upper bound. Next
the outline of one member is given to all, and each searches the rest: pack, balance, propeller, cruise. The outline
with the greatest worst share is taken.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tradestudy.search.branch_and_bound import Ranking
from tradestudy.search.engines.progress import Progress, no_progress
from tradestudy.search.parallel import run_tasks
from tradestudy.search.search_task import SearchResult, SearchTask, merit
from tradestudy.search.span_trade import SPAN_POINTS, span_trade

from .members import Airframe, ClubMember, airframe, at_work, common_airframes, common_score
from .remedies import remedied

_STEP = 0.01  # m; spans are built in whole centimetres
_TRIED = 3  # spans that are searched in full, best first by interpolation
_SAME = 1e-3  # share of a gain within which an outline counts as good as the upper bound
_OUTLINE = ("sweep", "washout", "tip_chord")


@dataclass(frozen=True)
class MemberTrade:
    """A member's results at each span with one airframe, and the best at any span with any airframe."""

    member: ClubMember
    best: SearchResult
    trade: list[SearchResult]


@dataclass(frozen=True)
class CommonSpan:
    """One airframe for all members.

    ``results`` are their wings on it, ``shares`` (n_member,) what is left of each one's own best. ``bound`` is what no
    common outline can exceed at this span. ``trades`` holds the best wings of each at other spans.
    """

    span: float  # [m]
    members: list[ClubMember]
    results: list[SearchResult]
    shares: np.ndarray
    bound: float
    trades: list[MemberTrade]

    @property
    def worst(self) -> int:
        """The member with the least share."""
        return int(self.shares.argmin())


def common_span(
    members: Sequence[ClubMember], weights: np.ndarray | None = None, report_progress: Progress = no_progress
) -> CommonSpan | None:
    """Return the airframe that serves all ``members`` best, or None if no span lets all of them fly.

    The worst share of a member's own best counts, or with ``weights`` (n_member,) the weighted mean. If no span lets
    all fly, the members in the way get remedies, the cheapest first.
    """
    now = list(members)
    while True:
        ranked = [_ranked(member, report_progress) for member in now]
        found = _best_airframe(now, ranked, weights, report_progress)
        if found is not None:
            return found
        helped = remedied(now, ranked)
        if helped is None:
            return None
        now = helped


def _ranked(member: ClubMember, report_progress: Progress) -> list[SearchResult]:
    with at_work(member):
        return Ranking(member.space, report_progress).complete()


def _best_airframe(
    members: list[ClubMember], ranked: list[list[SearchResult]], weights: np.ndarray | None, report_progress: Progress
) -> CommonSpan | None:
    """Return the best of all airframes that every member may build."""
    if not all(results and results[0].feasible for results in ranked):
        return None
    found: list[CommonSpan] = []
    for frame in common_airframes(members):
        trades = [
            _trade(member, results, frame, report_progress) for member, results in zip(members, ranked, strict=True)
        ]
        if all(one.trade for one in trades) and (one := _on_frame(trades, frame, weights, report_progress)):
            found.append(one)
    return max(found, key=lambda one: _score(one, weights), default=None)


def _trade(member: ClubMember, ranked: list[SearchResult], frame: Airframe, report_progress: Progress) -> MemberTrade:
    own = [result for result in ranked if airframe(result.choice) == frame]
    if not own or not own[0].feasible:
        return MemberTrade(member, ranked[0], [])
    with at_work(member):
        trade = span_trade(member.space, own, report_progress)
        every = sorted([*trade, own[0]], key=member.span_of)
        shorter, longer = (_beyond(member, every[end], side, report_progress) for end, side in ((0, -1), (-1, 1)))
    return MemberTrade(member, ranked[0], [*shorter, *every, *longer])


def _beyond(member: ClubMember, last: SearchResult, side: int, report_progress: Progress) -> list[SearchResult]:
    """Return the farthest feasible result beyond the ``last`` one of a trade, in whole centimetres; empty without any.

    The trade goes on in steps of several centimetres, so up to one step more may be feasible.
    """
    low, high = member.space.bounds["extension"]
    bounds = member.stock_span + 2.0 * low, member.stock_span + 2.0 * high
    start, step = member.span_of(last), (bounds[1] - bounds[0]) / (SPAN_POINTS - 1)
    whole = [round(start / _STEP + side * count) * _STEP for count in range(1, math.ceil(step / _STEP) + 1)]
    whole = [span for span in whole if 0 < side * (span - start) < step and bounds[0] <= span <= bounds[1]]
    found: list[SearchResult] = []
    while whole:
        middle = len(whole) // 2
        task = SearchTask("solve", last.choice, [last.variables], {"extension": member.extension(whole[middle])})
        (result,) = run_tasks(member.space, [task], report_progress)
        if result is not None and result.feasible:
            found, whole = [result], whole[middle + 1 :]
        else:
            whole = whole[:middle]
    return found


def _on_frame(
    trades: list[MemberTrade], frame: Airframe, weights: np.ndarray | None, report_progress: Progress
) -> CommonSpan | None:
    """Return the best common span of one airframe. Candidates are whole centimetres and the spans of the trades."""
    spans = _candidates(trades)
    if not len(spans):
        return None
    best = np.array([one.best.gain for one in trades])
    expected = common_score(np.array([gain_at(one, spans) for one in trades]), best, weights)
    order = [int(at) for at in np.argsort(-expected, kind="stable") if np.isfinite(expected[at])]
    found: list[CommonSpan] = []
    for at in order[:_TRIED]:
        if found and max(_score(one, weights) for one in found) >= expected[at] * (1 - _SAME):
            break
        if one := _at_span(trades, float(spans[at]), frame, weights, report_progress):
            found.append(one)
    return max(found, key=lambda one: _score(one, weights), default=None)


def _score(found: CommonSpan, weights: np.ndarray | None) -> float:
    return float(found.shares.min() if weights is None else np.average(found.shares, weights=weights))


def _candidates(trades: list[MemberTrade]) -> np.ndarray:
    """Return the spans to compare: whole centimetres that all trades hold, or their ends if there is none. [m]"""
    low = max(one.member.span_of(one.trade[0]) for one in trades)
    high = min(one.member.span_of(one.trade[-1]) for one in trades)
    if high < low - 1e-9:
        return np.zeros(0)
    whole = np.arange(math.ceil(low / _STEP - 1e-6), math.floor(high / _STEP + 1e-6) + 1) * _STEP
    return whole if len(whole) else np.array([0.5 * (low + high)])


def gain_at(one: MemberTrade, spans: np.ndarray) -> np.ndarray:
    """Return the gain (n_span,) of a member at ``spans`` [m], interpolated in the trade; not a number outside it.

    Between two results with other parts, the smaller gain stands.
    """
    known = np.array([one.member.span_of(result) for result in one.trade])
    gains = np.array([result.gain for result in one.trade])
    found = np.interp(spans, known, gains, left=np.nan, right=np.nan)
    for place, span in enumerate(spans):
        after = int(np.searchsorted(known, span - 1e-9))
        if 0 < after < len(known) and abs(known[after] - span) > 1e-9:
            pair = one.trade[after - 1 : after + 1]
            if pair[0].choice != pair[1].choice:
                found[place] = min(pair[0].gain, pair[1].gain)
    return found


def _at_span(
    trades: list[MemberTrade], span: float, frame: Airframe, weights: np.ndarray | None, report_progress: Progress
) -> CommonSpan | None:
    """Return the best common outline at a span [m]."""
    members, best = [one.member for one in trades], np.array([one.best.gain for one in trades])
    own = [_solved(one, {"extension": one.member.extension(span)}, frame, span, report_progress) for one in trades]
    feasible = [result for result in own if result is not None]
    if len(feasible) < len(own):
        return None
    bound = float(common_score(np.array([[result.gain] for result in feasible]), best, weights)[0])
    found: list[CommonSpan] = []
    shares = np.array([result.gain for result in feasible]) / best
    outlines: list[tuple[float, ...]] = []
    for place in np.argsort(shares):  # the outline of the member who loses most is likely to do
        outline = {name: feasible[place].variables[name] for name in _OUTLINE}
        if any(np.allclose(list(outline.values()), other, rtol=1e-4, atol=1e-6) for other in outlines):
            continue
        outlines.append(tuple(outline.values()))
        results = []
        for one in trades:
            fixed = {**outline, "extension": one.member.extension(span)}
            result = _solved(one, fixed, frame, span, report_progress)
            if result is None:
                break
            results.append(result)
        if len(results) == len(trades):
            left = np.array([result.gain for result in results]) / best
            found.append(CommonSpan(span, members, results, left, bound, trades))
            if _score(found[-1], weights) >= bound * (1 - _SAME):
                break
    return max(found, key=lambda one: _score(one, weights), default=None)


def _solved(
    one: MemberTrade, fixed: dict[str, float], frame: Airframe, span: float, report_progress: Progress
) -> SearchResult | None:
    """Return the best feasible result of a member with ``fixed`` variables, or None.

    Parts are those of the wings nearest in span, and of the best wing; each search starts from the nearest of its kind.
    """
    near = sorted(one.trade, key=lambda result: abs(one.member.span_of(result) - span))
    starts = {result.choice: result for result in reversed(near)}
    tasks = [
        SearchTask("solve", choice, [start.variables], fixed)
        for choice, start in starts.items()
        if airframe(choice) == frame
    ]
    with at_work(one.member):
        results = [result for result in run_tasks(one.member.space, tasks, report_progress) if result is not None]
    top = max(results, key=merit, default=None)
    return top if top is not None and top.feasible else None
