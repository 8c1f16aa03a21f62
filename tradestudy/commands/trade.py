"""The commands ``stretch`` (the span trade), ``front`` (two or three quantities), and ``run`` (all at once)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Unpack

from tradestudy.aircraft.assessment.club import club_over_span, club_wings
from tradestudy.aircraft.assessment.second_opinion import second_opinion, second_opinion_flags
from tradestudy.aircraft.model.choices import choice_of, variables_of
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.aircraft.workshop.shopping import shopping_list
from tradestudy.errors import CommandError
from tradestudy.quantities import at_edge
from tradestudy.quantities.objectives import PAYLOAD, PRICE, TRADED, WEIGHT, purpose_quantity, traded_names
from tradestudy.quantities.variables import BOUNDED
from tradestudy.results.design import Design
from tradestudy.results.result import Result
from tradestudy.results.trade import BuildsTrade, FrontQuantity, FrontTrade, RuleCost
from tradestudy.search import epsilon_constraint
from tradestudy.search.branch_and_bound import Ranking
from tradestudy.search.builds.build_front import build_front
from tradestudy.search.front import POINTS, front_knee, front_of
from tradestudy.search.limit_prices import edge_gain
from tradestudy.search.single_changes import single_changes
from tradestudy.search.without_limits import whose_bound, without_limits
from tradestudy.study.schema.study import Study

from .assess import drawn_result, to_expect, with_input_effects, with_recommended
from .kept_results import kept_flips
from .optimise import best_at_medians, left_out
from .payload.carried import with_largest_payloads
from .payload.curves import best_carrying
from .recommended_wing import recommended_search
from .study_session import SearchOptions, StudySession, StudySource, full_design, opened

_POINTS_OF_A_RUN = 12  # points of the front in the command ``run``
_SAME_SPAN = 0.5  # mm; wings whose spans differ by less are one row of a club's table
_SAME_BUILD = 10.0  # mm; a span moves no further to a whole centimetre of the flat band


def stretch(study: StudySource, **options: Unpack[SearchOptions]) -> Result:
    """Return the best wing at each span (``span_trade``), the flat band, and the wing to build (``recommended``).

    For a club, ``club_spans`` holds each member's wing at each span. Raises RunFailed if the study has no result.

    ::

        ts.stretch(study).to_dataframe()
    """
    with opened(study, "stretch", **options) as session:
        return drawn_result(session, span_trade_at_medians(session))


def span_trade_at_medians(session: StudySession) -> Result:
    """Return the result of `stretch` with the numbers of all wings at the medians of the inputs, as in the search."""
    result = best_at_medians(session, every_choice=True)
    if result.conflict:
        return result
    ranked = session.ranked()
    result = replace(result, solved=len(ranked), pruned=left_out(session))
    found = recommended_search(session)
    result = replace(
        result,
        band=found.band,
        span_trade=session.designs((each, "span trade") for each in found.trade),
        recommended=session.design(found.recommended, "recommended"),
    )
    return _with_club_spans(session, result)


def front(
    study: StudySource,
    of: str | None = None,
    against: str | Sequence[str] = WEIGHT,
    points: int = POINTS,
    **options: Unpack[SearchOptions],
) -> Result:
    """Return the best of one quantity at each level of one or two others, and the gain of single steps from stock.

    ``of`` and ``against`` are names in `objectives.TRADED`. If ``of`` is None, it is the quantity that the study
    maximises. Against one quantity the wings are in ``front``. Against two, or against the price, they are in
    ``builds``. ``points`` is the approximate number of wings or of combinations of levels. Raises CommandError for
    unknown names, or names that cannot be traded.

    ::

        ts.front(study, against="span").front
    """
    with opened(study, "front", **options) as session:
        of, others = traded_in(session.study, of, against)
        own = of == purpose_quantity(session.study.fly.purpose)
        result = with_recommended(session, best_at_medians(session, every_choice=own and others != (PAYLOAD,)))
        if others == (PAYLOAD,):
            made = _with_payloads(session, result, of, points)
        elif len(others) == 1 and others[0] != PRICE:
            made = _with_front(session, result, of, others[0], points)
        else:
            made = _with_builds(session, result, of, others, points)
        return drawn_result(session, with_largest_payloads(session, made))


def weight_front_at_medians(session: StudySession) -> Result:
    """Return the result of `front` as it is without options, with the numbers of all wings at the medians."""
    result = with_recommended(session, best_at_medians(session, every_choice=True))
    return _with_front(session, result, purpose_quantity(session.study.fly.purpose), WEIGHT, POINTS)


def traded_in(study: Study, of: str | None, against: str | Sequence[str]) -> tuple[str, tuple[str, ...]]:
    """Return the names of the quantities of a front, as `front` takes them. Raises CommandError as it does."""
    purpose = purpose_quantity(study.fly.purpose)
    of, others = traded_names(of or purpose, [against] if isinstance(against, str) else list(against))
    if PRICE in others and not study.price:
        raise CommandError("--against price: the study has no [[price]]; tradestudy keys lists what it holds.")
    if PAYLOAD in others and of != purpose:
        raise CommandError(f"--of {of}: against payload, only the study's purpose can be optimised (fly.purpose).")
    return of, others


def run(study: StudySource, **options: Unpack[SearchOptions]) -> Result:
    """Return all results: optimum, span trade, front, input effects, club and shopping.

    What flips the answer is shown if the command ``flips`` found it earlier.
    `tradestudy.save` writes them. Raises RunFailed if the study has no result.

    ::

        ts.save(ts.run(study, workers=2, record="results/godwit/record.sqlite"), "results/godwit")
    """
    with opened(study, "run", **options) as session:
        result = span_trade_at_medians(session)
        result = _with_front(session, result, purpose_quantity(session.study.fly.purpose), WEIGHT, _POINTS_OF_A_RUN)
        if session.study.price:
            result = _with_builds(
                session, result, purpose_quantity(session.study.fly.purpose), (WEIGHT, PRICE), _POINTS_OF_A_RUN
            )
        result = _with_second_opinions(session, _with_rule_costs(session, result))
        result = replace(with_largest_payloads(session, result), flips=kept_flips(session.record))
        return to_expect(session, _with_club(session, with_input_effects(session, result)))


def _with_second_opinions(session: StudySession, result: Result) -> Result:
    """Return ``result`` with the stock wing and the proposed wings by another lattice. Disagreements become flags."""
    session.report_progress("asking another lattice")

    def with_opinion(design: Design | None) -> Design | None:
        if design is None:
            return None
        choice = choice_of(design)
        data = session.anchor.data if design is result.stock else session.space.data(choice)
        opinion = second_opinion(SpeedSweep(data, choice, variables_of(design)))
        return replace(design, second_opinion=opinion, flags=[*design.flags, *second_opinion_flags(opinion)])

    stock = with_opinion(result.stock) or result.stock
    return replace(result, stock=stock, best=with_opinion(result.best), recommended=with_opinion(result.recommended))


def _with_front(session: StudySession, result: Result, of: str, against: str, points: int) -> Result:
    """Return ``result`` with the front of two quantities."""
    if result.conflict:
        return result
    space, report_progress = session.space, session.report_progress
    own = of == purpose_quantity(session.study.fly.purpose)
    ranked = session.ranked() if own else Ranking(space, report_progress, of).complete()
    line = front_of(space, ranked, of, against, report_progress, points)
    traded = FrontTrade(
        FrontQuantity(**TRADED[of].front_axis()),
        FrontQuantity(**TRADED[against].front_axis()),
        front_knee(line, of, against),
    )
    front = session.designs((each, "knee" if index == traded.knee else "front") for index, each in enumerate(line))
    return replace(
        result,
        front=_with_recommended(front, result.recommended) if own else front,
        steps=session.designs((each, label) for label, each in single_changes(session.space, session.ranked())),
        traded=traded,
    )


def _with_recommended(front: list[Design], built: Design | None) -> list[Design]:
    """Return a front of the study's own measure whose best wing is the recommended one, if they are one build.

    The best wing has a span that is no whole centimetre. The recommended one has the next that is.
    """
    if not front or built is None:
        return front
    *others, best = sorted(front, key=lambda wing: wing.numbers.auw_g or 0.0)
    apart = abs(built.numbers.span_mm - best.numbers.span_mm)
    is_heaviest = all((wing.numbers.auw_g or 0.0) < (built.numbers.auw_g or 0.0) for wing in others)
    if built.choices != best.choices or apart > _SAME_BUILD or not is_heaviest:
        return front
    return [replace(built, label=best.label) if wing is best else wing for wing in front]


def _with_payloads(session: StudySession, result: Result, of: str, points: int) -> Result:
    """Return ``result`` with the front of the study's measure against the payload on board."""
    if result.conflict:
        return result
    wings = best_carrying(session, points)
    gains, masses = [TRADED[of].sense * one.result.traded[of] for one in wings], [one.mass for one in wings]
    knee = epsilon_constraint.knee([-mass for mass in masses], gains)

    def carrying(design: Design, mass: float) -> Design:
        return replace(design, numbers=replace(design.numbers, **at_edge(payload_g=mass)))

    return replace(
        result,
        stock=carrying(result.stock, 0.0),
        front=[
            carrying(full_design(one.space, (one.result, "knee" if index == knee else "front")), one.mass)
            for index, one in enumerate(wings)
        ],
        traded=FrontTrade(
            FrontQuantity(**TRADED[of].front_axis()), FrontQuantity(**TRADED[PAYLOAD].front_axis()), knee
        ),
    )


def _with_builds(session: StudySession, result: Result, of: str, against: Sequence[str], points: int) -> Result:
    """Return ``result`` with the front of several quantities over all builds."""
    if result.conflict:
        return result
    space, report_progress = session.space, session.report_progress
    own = of == purpose_quantity(session.study.fly.purpose)
    ranked = session.ranked() if own else Ranking(space, report_progress, of).complete()
    line, knee = build_front(space, ranked, of, against, report_progress, points)
    report_progress("looking at the builds of the front in full")
    axes = [FrontQuantity(**TRADED[name].front_axis()) for name in (of, *against)]
    axes = [replace(axis, unit=result.currency) if axis.number == "build_price" else axis for axis in axes]
    carried = sum(thing.mass for thing in session.study.equipment)
    return replace(
        result,
        builds=[session.design(each, "knee" if place == knee else "build") for place, each in enumerate(line)],
        builds_traded=BuildsTrade(axes[0], axes[1:], knee, **at_edge(carried_g=float(carried))),
    )


def _with_rule_costs(session: StudySession, result: Result) -> Result:
    """Return ``result`` with the gain of letting each active rule go."""
    if result.conflict:
        return result
    ranked = session.ranked()
    best, rows = ranked[0], []
    for each in without_limits(session.space, best, ranked, session.report_progress):
        moved = "" if each.moved_to is None else BOUNDED[each.names[0]][0].text(each.moved_to)
        rows.append(
            RuleCost(
                limits=list(each.names),
                moved_to=moved,
                gain=edge_gain(session.space, each.result.gain - best.gain),
                **at_edge(span_mm=each.result.traded["span"], auw_g=each.result.all_up_mass),
                words=each.result.choice.words,
                whose=whose_bound(session.study, session.anchor.reference.static_margin, each.names),
            )
        )
    return replace(result, rule_costs=rows)


def _with_club_spans(session: StudySession, result: Result) -> Result:
    """Return ``result`` with each member's wing at each span of the trade and on the recommended airframe."""
    if not session.study.equipment_set or result.recommended is None:
        return result
    session.report_progress("each member's wing at each span")
    wings, built = result.span_trade, result.recommended
    wings = [wing for wing in wings if abs(wing.numbers.span_mm - built.numbers.span_mm) > _SAME_SPAN] + [built]
    wings.sort(key=lambda wing: wing.numbers.span_mm)
    rows = club_over_span(session.study, session.anchor, wings, session.space.slowest_speed)
    return replace(result, club_spans=rows)


def _with_club(session: StudySession, result: Result) -> Result:
    """Return ``result`` with each member's wing on its recommended or best airframe, and a shopping list for all."""
    design = result.recommended or result.best
    if design is None:
        return result
    airframe = session.study, session.anchor, design, session.space.slowest_speed
    return replace(result, club=club_wings(*airframe), shopping=shopping_list(*airframe))
