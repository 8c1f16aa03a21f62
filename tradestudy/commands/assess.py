"""One stretched wing compared with the stock wing, and its error bands: the commands ``assess`` and ``bands``."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tradestudy.aircraft.assessment.mission import simulate_mission
from tradestudy.aircraft.assessment.notes import energy_remarks
from tradestudy.aircraft.assessment.parts_comparison import parts_comparison
from tradestudy.aircraft.model.choices import choice_of, variables_of
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.workshop.shopping import shopping_list
from tradestudy.quantities import from_edge
from tradestudy.results.design import Design
from tradestudy.results.result import Result
from tradestudy.search.engines.progress import Progress
from tradestudy.uncertainty.expected import expected_result
from tradestudy.uncertainty.input_effects import input_effects

from .requested_wing import RequestedWing, requested_wing
from .study_session import StudySession, StudySource, opened


def assess(
    study: StudySource, wing: RequestedWing | None = None, *, tell: Progress | None = None, **design: Any
) -> Result:
    """Return one stretched wing in full (``best``) with its shopping list, and the stock wing.

    Keywords in ``design`` request the wing. Values of span, sweep, washout, static_margin, cruise_speed and
    rod_diameter are text with a unit, such as ``span="1300 mm"``. Values of parallel and rod_pairs are numbers, and
    propeller is text such as ``"10x6"``. The default span is half way to the longest. Raises CommandError for other
    keywords or values.
    """
    requested = requested_wing(design) if wing is None else wing
    with opened(study, "assess", tell) as session:
        stretched = session.requested_design(requested)
        bought = shopping_list(session.study, session.anchor, stretched, session.space.slowest_speed)
        return replace(session.stock_result(), best=stretched, shopping=bought)


def bands(
    study: StudySource, wing: RequestedWing | None = None, *, tell: Progress | None = None, **design: Any
) -> Result:
    """Return the result of `assess` with the effect of every uncertain input on that wing."""
    requested = requested_wing(design) if wing is None else wing
    with opened(study, "bands", tell) as session:
        return to_expect(session, with_input_effects(session, assess(session, requested)))


def with_input_effects(session: StudySession, result: Result) -> Result:
    """Return ``result`` with the effect of every uncertain input on its recommended or best design."""
    design = result.recommended or result.best
    if design is None:
        return result
    rows, uncertainty, drawn = input_effects(
        session.study, session.anchor, choice_of(design), variables_of(design), session.report_progress
    )
    return replace(result, input_effects=rows, uncertainty=uncertainty, spread=drawn.reported())


def to_expect(session: StudySession, result: Result) -> Result:
    """Return ``result`` with the values to expect. Missions are flown again with the power that they imply."""
    changed = expected_result(result)
    if changed is result or result.spread is None:
        return result
    share, flew = result.spread.over_medians["range_km"], session.study.known_flight is not None

    def remarked(design: Design) -> Design:
        """Return the wing with a remark on the energy to expect in place of that on the energy at the medians."""
        used, weight = design.numbers.wh_per_km, from_edge("auw_g", design.numbers.auw_g)
        kept = [line for line in design.flags if line not in energy_remarks(share * used, weight)]
        return replace(design, flags=[*([] if flew else energy_remarks(used, weight)), *kept])

    def flown(design: Design | None) -> Design | None:
        if design is None or share == 1:
            return design
        design = remarked(design)
        if design.mission is None:
            return design
        choice = choice_of(design)
        data = session.anchor.data if design.label == "stock" else session.space.data(choice)
        train = data.power.powertrain
        power = data.power._replace(
            powertrain=train._replace(drive_power_factor=train.drive_power_factor / share),
            avionics_power=data.power.avionics_power / share,
        )
        wing = EvaluatedDesign(session.study, replace(data, power=power), choice, variables_of(design))
        return replace(design, mission=simulate_mission(wing))

    return replace(
        changed,
        stock=flown(changed.stock) or changed.stock,
        best=flown(changed.best),
        recommended=flown(changed.recommended),
    )


def with_compared_parts(session: StudySession, result: Result) -> Result:
    """Return ``result`` with propellers, motors and packs compared on its recommended or best wing."""
    design = result.recommended or result.best or result.stock
    rows = parts_comparison(
        session.study, session.anchor, choice_of(design), variables_of(design), session.space.slowest_speed
    )
    return replace(result, compared=rows)
