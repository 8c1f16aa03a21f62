"""One stretched wing compared with the stock wing, and its error bands: the commands ``assess`` and ``bands``."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, replace
from typing import Any, NamedTuple

from tradestudy.aircraft.assessment.mission import simulate_mission
from tradestudy.aircraft.assessment.notes import BELOW_BELIEF, energy_remarks
from tradestudy.aircraft.assessment.parts_comparison import parts_comparison
from tradestudy.aircraft.model.choices import Choice, choice_of, variables_of
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.model_data import ModelData
from tradestudy.aircraft.workshop.shopping import shopping_list
from tradestudy.quantities import from_edge
from tradestudy.results.design import Design
from tradestudy.results.inputs import AsBuilt, InputEffect, SpreadResult, Uncertainty
from tradestudy.results.json_form import json_data, part_from_json
from tradestudy.results.result import Result
from tradestudy.search.search_task import SearchResult, VariableValues
from tradestudy.study.schema.study import Study
from tradestudy.uncertainty.build_tolerance import as_built_result
from tradestudy.uncertainty.expected import expected_result
from tradestudy.uncertainty.input_effects import input_effects
from tradestudy.uncertainty.variants import fixed_design

from .kept_results import kept_flips
from .payload.carried import with_largest_payloads
from .recommended_wing import recommended_wing
from .requested_wing import RequestedWing, requested_wing
from .study_session import SearchOptions, StudySession, StudySource, opened


class Shares(NamedTuple):
    """Values to expect over those at the medians of all inputs: of the range and of the study's measure. [-]"""

    range: float
    gain: float


MEDIANS = Shares(1.0, 1.0)


def assess(study: StudySource, wing: RequestedWing | None = None, **options: Any) -> Result:
    """Return one stretched wing in full (``best``) with its shopping list, and the stock wing.

    It is the wing that `run` recommends, with the changes that ``wing`` or keywords request. Values of span, sweep,
    washout, tip_chord, static_margin, cruise_speed and rod_diameter are text with a unit, such as ``span="1300 mm"``.
    Values of parallel and rod_pairs are numbers, and propeller is text such as ``"10x6"``. All other keywords are those
    of `SearchOptions`. Raises CommandError for other keywords or values.

    The recommended wing is taken from the record of the session or of ``results/<study>``, or else found.

    ::

        ts.assess(study, span="1400 mm", parallel=3).to_dataframe()
    """
    with _opened("assess", study, wing, options) as (session, requested):
        result, recommended = _assessed(session, requested)
        return as_drawn(session, result, recommended, requested == RequestedWing())


def bands(study: StudySource, wing: RequestedWing | None = None, **options: Any) -> Result:
    """Return the result of `assess` with the effect of every uncertain input on that wing. Errors are the same.

    What changes the answer is in it if `flips` found it earlier.

    ::

        ts.bands(study).input_effects[0]  # what to measure first
    """
    with _opened("bands", study, wing, options) as (session, requested):
        result = replace(_assessed(session, requested)[0], flips=kept_flips(session.record))
        return to_expect(session, with_input_effects(session, result))


@contextmanager
def _opened(
    command: str, study: StudySource, wing: RequestedWing | None, options: dict[str, Any]
) -> Iterator[tuple[StudySession, RequestedWing]]:
    """Yield the open session of a study and the wing that is requested from it."""
    of_search: Any = {name: value for name, value in options.items() if name in SearchOptions.__annotations__}
    design = {name: value for name, value in options.items() if name not in of_search}
    requested = requested_wing(design) if wing is None else wing
    with opened(study, command, **of_search) as session:
        yield session, requested


def _assessed(session: StudySession, requested: RequestedWing) -> tuple[Result, SearchResult]:
    """Return a requested wing at the medians of its inputs, and the recommended wing that it changes."""
    session.requested_variables(requested)  # an impossible request is refused before any search
    recommended = recommended_wing(session)
    stretched = session.requested_design(requested, recommended.result)
    bought = shopping_list(session.study, session.anchor, stretched, session.space.slowest_speed)
    changes = f"; as asked for: {requested.words}; all else as recommended" if requested.words else ""
    words = f"The stretched wing is {recommended.words}{changes}."
    result = replace(session.stock_result(), best=stretched, shopping=bought, which_wing=words)
    if changes:
        result = replace(result, instead=session.design(recommended.result, "recommended"))
    return with_largest_payloads(session, result), recommended.result


def as_drawn(session: StudySession, result: Result, recommended: SearchResult, is_recommended: bool) -> Result:
    """Return ``result`` with the values to expect, by the draws of the recommended wing.

    A wing that a request changed has no draws of its own here. It differs by the same share, as wings of a search do.
    """
    known = remembered_effects(session, recommended.choice, recommended.variables)
    expected = to_expect(session, replace(result, spread=known.spread, as_built=known.as_built))
    if is_recommended or result.best is None:
        return expected
    return replace(expected, spread=None, as_built=shop_alone(session, result.best))


def shop_alone(session: StudySession, wing: Design) -> AsBuilt:
    """Return a wing as it may come out of the shop, with the inputs as assumed."""
    design = fixed_design(session.study, session.anchor, choice_of(wing), variables_of(wing))
    return as_built_result(session.study, design)


def with_input_effects(session: StudySession, result: Result) -> Result:
    """Return ``result`` with the effect of every uncertain input on its recommended or best design."""
    design = result.recommended or result.best
    if design is None:
        return result
    rows, uncertainty, drawn, built = remembered_effects(session, choice_of(design), variables_of(design))
    return replace(result, input_effects=rows, uncertainty=uncertainty, spread=drawn, as_built=built)


def drawn_result(session: StudySession, result: Result) -> Result:
    """Return the result of a search with the recommended wing, and the values to expect from the draws of that wing.

    So every command tells one number of one wing. A robust search has drawn its own wing already.
    """
    if result.conflict or result.robust or result.spread is not None:
        return result
    return to_expect(session, with_input_effects(session, with_recommended(session, result)))


def with_recommended(session: StudySession, result: Result) -> Result:
    """Return the result of a search with the recommended wing at the medians, which is that of every other command."""
    if result.conflict or result.recommended is not None:
        return result
    return replace(result, recommended=session.design(recommended_wing(session).result, "recommended"))


def expected_shares(session: StudySession, wing: SearchResult) -> Shares:
    """Return the values to expect of a wing over those at the medians of all inputs."""
    drawn = remembered_effects(session, wing.choice, wing.variables).spread
    return Shares(*(drawn.over_medians.get(name, 1.0) for name in ("range_km", session.space.purpose.number)))


class WingEffects(NamedTuple):
    """The effects of all uncertain inputs on one wing, its draws, and the wing as it may come out of the shop."""

    rows: list[InputEffect]
    uncertainty: Uncertainty
    spread: SpreadResult
    as_built: AsBuilt


def remembered_effects(session: StudySession, choice: Choice, variables: VariableValues) -> WingEffects:
    """Return the WingEffects of one wing. The record keeps them."""

    def computed() -> Any:
        rows, uncertainty, drawn, built = input_effects(
            session.study, session.anchor, choice, variables, session.report_progress, session.engine
        )
        return json_data([rows, uncertainty, drawn.reported(), built])

    rows, uncertainty, drawn, built = session.record.remembered(effects_key(choice, variables), computed)
    return WingEffects(
        [part_from_json(InputEffect, row) for row in rows],
        part_from_json(Uncertainty, uncertainty),
        part_from_json(SpreadResult, drawn),
        part_from_json(AsBuilt, built),
    )


def effects_key(choice: Choice, variables: VariableValues) -> tuple[Any, ...]:
    """Return the key of the WingEffects of one wing in a record: a list of rows, uncertainty, draws, and as built."""
    return "effects and shop", asdict(choice), {name: round(value, 9) for name, value in sorted(variables.items())}


def to_expect(session: StudySession, result: Result) -> Result:
    """Return ``result`` with the values to expect. Missions are flown again with the power that they imply."""
    changed = expected_result(result)
    if changed is result or result.spread is None:
        return result
    drawn = result.spread

    def flown(design: Design | None) -> Design | None:
        if design is None:
            return None
        data = session.anchor.data if design.label == "stock" else session.space.data(choice_of(design))
        return flown_as_expected(session.study, data, design, drawn)

    return replace(
        changed,
        stock=flown(changed.stock) or changed.stock,
        best=flown(changed.best),
        recommended=flown(changed.recommended),
    )


def flown_as_expected(study: Study, data: ModelData, design: Design, drawn: SpreadResult) -> Design:
    """Return a wing whose values are those to expect with its mission flown again, and the remark on its energy.

    ``data`` are those of its choice. The power that the mission needs follows the range to expect.
    """
    share = drawn.over_medians["range_km"]
    if share == 1:
        return design
    numbers = design.numbers
    wing = [from_edge(key, getattr(numbers, key)) for key in ("auw_g", "span_mm", "area_dm2")]
    kept = [line for line in design.flags if BELOW_BELIEF not in line]
    remarks = [] if study.known_flight is not None else energy_remarks(numbers.wh_per_km, *wing)
    design = replace(design, flags=[*remarks, *kept])
    if design.mission is None:
        return design
    train = data.power.powertrain
    power = data.power._replace(
        powertrain=train._replace(drive_power_factor=train.drive_power_factor / share),
        avionics_power=data.power.avionics_power / share,
    )
    flown = EvaluatedDesign(study, replace(data, power=power), choice_of(design), variables_of(design))
    return replace(design, mission=simulate_mission(flown))


def with_compared_parts(session: StudySession, result: Result) -> Result:
    """Return ``result`` with propellers, motors and packs compared on its recommended or best wing."""
    design = result.recommended or result.best or result.stock
    rows = parts_comparison(
        session.study, session.anchor, choice_of(design), variables_of(design), session.space.slowest_speed
    )
    return replace(result, compared=rows)
