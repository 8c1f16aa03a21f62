"""Range over payload of the recommended wing, the stock wing, and the best wing at each payload: `payload`."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.designs import one_design
from tradestudy.aircraft.model.evaluation import evaluate
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE
from tradestudy.commands.assess import Shares, expected_shares
from tradestudy.commands.kept_results import versions
from tradestudy.commands.recommended_wing import recommended_wing
from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.commands.study_session import StudySession, StudySource, opened
from tradestudy.errors import CommandError
from tradestudy.quantities import at_edge, from_edge, in_unit
from tradestudy.results.payload.payload_result import PackTrade, PayloadCurve, PayloadPoint, PayloadResult
from tradestudy.search.best_at_points import Contender, MapPoint, best_at_points
from tradestudy.search.carrying.largest_payload import MOST, Carrier, Loaded
from tradestudy.search.carrying.payload_on_board import Payload, loaded, refuse_unknown_bay
from tradestudy.search.parallel import sent_to_workers
from tradestudy.search.search_space import SearchSpace, choice_fault
from tradestudy.search.search_task import SearchResult, VariableValues

from .carried import stock_carrier

_POINTS = 6  # points of a curve from no payload to the largest
_FIRST = 0.1  # kg; payload at which the search for the end begins
_CLOSE = 0.03  # share of the largest payload to which its end is found


class _State(NamedTuple):
    """One wing with one payload, SI: the search result or evaluated design, and its places."""

    choice: Choice
    variables: VariableValues
    outputs: dict[str, Any]
    margins: dict[str, float]
    space: SearchSpace
    found: SearchResult | None = None

    @property
    def met(self) -> bool:
        return min(self.margins.values()) > MET_ABOVE


_At = Callable[[float], _State]  # payload [kg] -> the wing


def payload(
    study: StudySource, carried: Payload | None = None, most: float | None = None, best: bool = True, **options: Any
) -> PayloadResult:
    """Return how far the recommended, the stock and the best wing fly with a payload, and what ends it.

    ``carried`` says where it lies, how large it is and what it draws. ``most`` is the largest payload to look at [kg],
    by default the one at which a limit is broken. Without ``best``, no wing is searched for each payload. Keywords are
    those of `SearchOptions`. Ranges are those to expect. Raises CommandError if no wing meets every limit.

    ::

        ts.payload(study, best=False).curves[0].points
    """
    carried = carried or Payload()
    with opened(study, "payload", **options) as session:
        refuse_unknown_bay(session.study, carried)
        wing = recommended_wing(session).result
        if not wing.feasible:
            raise CommandError("No wing of this study meets every limit, so none can carry more. Try: optimise.")
        shares = expected_shares(session, wing)
        return _result(session, carried, most, best, wing, shares)


def _result(
    session: StudySession, carried: Payload, most: float | None, best: bool, wing: SearchResult, shares: Shares
) -> PayloadResult:
    say, space = session.report_progress, session.space
    mark = _mark(space, wing.choice, wing.variables)
    built, stock = _recommended(space, carried, wing), stock_carrier(space, carried)
    let_go = [limit.words for limit in space.limits(stock.choice) if limit.name in stock.let_go]
    say("payloads of the recommended wing and of the stock wing")
    curves = [_built_curve("recommended", built, most, shares), _built_curve("stock", stock, most, shares)]
    if best:
        say("the best wing at each payload")
        curves.append(_best_curve(_best_wing(session, carried, mark), most, shares))
    say("pack against payload")
    trade, weight = _pack_trade(session, carried, wing, shares)
    purpose = space.purpose
    return PayloadResult(
        study_name=session.study.study.name,
        study_text=session.study.text,
        command=session.command,
        versions=versions(),
        gain=purpose.number,
        gain_words=purpose.quantity.label,
        gain_unit=purpose.quantity.unit,
        place=carried.words,
        watts=carried.power,
        curves=curves,
        trade=trade,
        trade_weight_g=round(in_unit(weight, "g"), 3),
        let_go=let_go,
    )


def _mark(space: SearchSpace, choice: Choice, variables: VariableValues) -> float:
    """Return the balance mark of a wing. [m]"""
    return float(evaluate(space.data(choice), one_design(choice, variables)).by_name()["centre_of_gravity"])


# --- wings with a payload ----------------------------------------------------------------------------------


def _state(space: SearchSpace, choice: Choice, variables: VariableValues, let_go: tuple[str, ...] = ()) -> _State:
    outputs = evaluate(space.data(choice), one_design(choice, variables)).by_name()
    margins = {
        limit.name: float(np.min(limit.margin(outputs[limit.output])))
        for limit in space.limits(choice)
        if limit.name not in let_go
    }
    return _State(choice, variables, outputs, margins, space)


def _recommended(space: SearchSpace, carried: Payload, wing: SearchResult) -> Carrier:
    """Return the recommended wing as one that carries. Raise CommandError if the payload leaves no room for parts."""
    carrier = Carrier(space, wing.choice, wing.variables, carried)
    if carrier.loaded_space is not space and (fault := choice_fault(carrier.loaded_space, wing.choice)):
        raise CommandError(f"With the payload, {fault}.")
    return carrier


def _carried(carrier: Carrier, wing: Loaded) -> _State:
    return _State(carrier.choice, wing.variables, wing.outputs, wing.margins, carrier.loaded_space)


@dataclass
class _BestWing:
    """The best wing at each payload. Each search starts from the results of the last payload."""

    session: StudySession
    carried: Payload
    mark: float
    starts: dict[Choice, VariableValues]

    def at(self, mass: float) -> _State:
        """Return the best wing with a payload [kg], or the one that misses the limits least."""
        base, ranked = self.session.space, self.session.ranked()
        space = loaded(base, self.carried, mass, self.mark)
        if space is base:
            return _state(base, ranked[0].choice, ranked[0].variables)._replace(found=ranked[0])
        able = {replace(choice, raised_lid=0.0): choice for choice in space.choices}
        # more weight gains nothing, so the gain without a payload is a bound
        contenders = [
            Contender(choice, each.gain, self.starts.get(choice, each.variables))
            for each in ranked
            if each.feasible and (choice := able.get(replace(each.choice, raised_lid=0.0), each.choice))
        ]
        with sent_to_workers(base, space):
            ((result,),) = best_at_points(space, [([MapPoint({}, contenders)], 0)], self.session.report_progress)
        if result is None:
            raise CommandError("Every worker that searched this payload ended; see the warnings.")
        if result.feasible:
            self.starts[result.choice] = result.variables
        return _state(space, result.choice, result.variables)._replace(found=result)


def _best_wing(session: StudySession, carried: Payload, mark: float) -> _At:
    return _BestWing(session, carried, mark, {}).at


class CarryingWing(NamedTuple):
    """The best wing with a payload [kg], and the search space of the study with that payload."""

    mass: float
    result: SearchResult
    space: SearchSpace


def best_carrying(session: StudySession, points: int) -> list[CarryingWing]:
    """Return the best wing at about ``points`` payloads, from the largest that meets every limit down to none.

    The payload lies at the balance mark of the best wing without one, and draws nothing.
    """
    best = session.ranked()[0]
    at = _best_wing(session, Payload(), _mark(session.space, best.choice, best.variables))
    known = {0.0: at(0.0)}
    end, _ = _end(at, None, known)
    if end is None:
        return []
    for mass in _between(end, max(points, 2)):
        session.report_progress(f"the best wing with a payload of {in_unit(mass, 'g'):.0f} g")
        known[mass] = known[mass] if mass in known else at(mass)
    wings: list[CarryingWing] = []
    for mass, state in sorted(known.items(), reverse=True):
        # a lighter payload never gains less: a wing that gains less than one with a heavier payload is no point
        if state.met and state.found is not None and (not wings or state.found.gain > wings[-1].result.gain):
            wings.append(CarryingWing(mass, state.found, state.space))
    return wings


# --- curves ------------------------------------------------------------------------------------------------


def _built_curve(name: str, carrier: Carrier, most: float | None, shares: Shares) -> PayloadCurve:
    """Return the curve of one built wing: its points from no payload to the largest that meets every limit."""
    found = carrier.largest(MOST if most is None else most)
    words = carrier.words(found.end)
    if found.wing is None:
        return PayloadCurve(name, [], None, words)
    end = found.wing.mass
    known = {mass: carrier.at(mass) for mass in (0.0, *_between(end))} | {end: found.wing}
    points = [_point(mass, _carried(carrier, wing), shares) for mass, wing in sorted(known.items()) if wing.met]
    return PayloadCurve(name, points, round(in_unit(end, "g"), 3), words)


def _between(end: float, points: int = _POINTS) -> list[float]:
    """Return payloads between none and the largest, in whole ten grams, which read better. [kg]"""
    tens = {from_edge("auw_g", round(in_unit(float(mass), "g"), -1)) for mass in np.linspace(0.0, end, points)[1:-1]}
    return sorted(mass for mass in tens if 0.0 < mass < end)


def _best_curve(at: _At, most: float | None, shares: Shares) -> PayloadCurve:
    """Return the curve of the best wing at each payload, up to the largest with which one meets every limit."""
    known = {0.0: at(0.0)}
    end, beyond = _end(at, most, known)
    known |= {mass: at(mass) for mass in _between(end or 0.0) if mass not in known}
    masses = sorted(mass for mass in known if end is not None and mass <= end and known[mass].met)
    words = ""
    if beyond is not None:
        state = known[beyond]
        worst = min(state.margins, key=lambda limit: state.margins[limit])
        words = next(limit.words for limit in state.space.limits(state.choice) if limit.name == worst)
    points = [_point(mass, known[mass], shares) for mass in masses]
    return PayloadCurve("best", points, None if end is None else round(in_unit(end, "g"), 3), words)


def _end(at: _At, most: float | None, known: dict[float, _State]) -> tuple[float | None, float | None]:
    """Return the largest payload that meets every limit, and the least that was found to break one. [kg]"""
    if not known[0.0].met:
        return None, 0.0
    low, high, step = 0.0, None, _FIRST if most is None else most
    while high is None:
        known[step] = at(step)
        if known[step].met:
            low = step
            if most is not None or step >= MOST:
                return low, None
            step *= 2
        else:
            high = step
    while high - low > max(_CLOSE * high, from_edge("auw_g", 5.0)):
        middle = from_edge("auw_g", round(in_unit(0.5 * (low + high), "g")))
        known[middle] = at(middle)
        low, high = (middle, high) if known[middle].met else (low, middle)
    return low, high


def _point(mass: float, state: _State, shares: Shares) -> PayloadPoint:
    outputs, space = state.outputs, state.space
    nearest = min(state.margins, key=lambda name: state.margins[name])
    words = next(limit.words for limit in space.limits(state.choice) if limit.name == nearest)
    number = space.purpose.number
    span = space.anchor.data.layout.stock.span + 2 * state.variables["extension"]
    values = {
        "auw_g": outputs["all_up_mass"],
        "range_km": shares.range * outputs["range"],
        number: shares.gain * outputs[space.purpose.output],
        "cruise_speed_kmh": state.variables["cruise_speed"],
        "span_mm": span,
        "balance_mm": outputs["centre_of_gravity"],
        "pack_mm": outputs["pack_position"],
    }
    edge = {name: float(value) for name, value in at_edge(**values).items()}
    shown = {name: round(value, 4) if math.isfinite(value) else None for name, value in edge.items()}
    gain = shown[number]
    if number not in PayloadPoint._fields:
        shown.pop(number)
    return PayloadPoint(
        payload_g=round(in_unit(mass, "g"), 3),
        gain=gain,
        met=state.met,
        limit=nearest,
        limit_words=words,
        parts=state.choice.words,
        **shown,
    )


# --- pack against payload ----------------------------------------------------------------------------------


def _pack_trade(
    session: StudySession, carried: Payload, wing: SearchResult, shares: Shares
) -> tuple[list[PackTrade], float]:
    """Return the recommended wing with fewer and fewer cells in parallel, and its flying weight [kg].

    The payload makes up for the cells, so the flying weight stays.
    """
    base = session.space
    own = Carrier(base, wing.choice, wing.variables)
    weight = float(own.empty().outputs["all_up_mass"])
    rows = [PackTrade(f"{wing.choice.series}S{wing.choice.parallel}P", _point(0.0, _carried(own, own.empty()), shares))]
    for parallel in range(wing.choice.parallel - 1, 0, -1):
        choice = session.requested_choice(RequestedWing(parallel=parallel), wing.choice)
        fewer = Carrier(base, choice, wing.variables, carried)
        mass = weight - fewer.own_mass
        rows.append(PackTrade(f"{choice.series}S{parallel}P", _point(mass, _carried(fewer, fewer.at(mass)), shares)))
    return rows, weight
