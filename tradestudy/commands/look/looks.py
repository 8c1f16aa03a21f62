"""What a live page asks of one wing: a look while a slider moves, and what follows after its release."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, NamedTuple

from tradestudy.aircraft.assessment.full_design import assess_design
from tradestudy.aircraft.look.record import look_at
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.designs import one_design
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.evaluation import balance_marks, margin_of_pack_place, wings_of
from tradestudy.aircraft.model.limit_bounds import Limit
from tradestudy.aircraft.model.speed_sweep import NeverFlies, best_speed
from tradestudy.commands.assess import flown_as_expected
from tradestudy.quantities import at_edge, rounded
from tradestudy.results.look.look import AfterRelease, LookBand, WingLook
from tradestudy.search.carrying.payload_on_board import Payload, study_with_payload
from tradestudy.search.engines.progress import no_progress
from tradestudy.search.search_space import SearchSpace
from tradestudy.search.search_task import VariableValues
from tradestudy.uncertainty.expected import expected_look, expected_wing
from tradestudy.uncertainty.input_effects import drawn_wing

from .bands import RelativeBand, look_bands, relative_bands
from .page_wing import page_wing
from .work import Work


def look(work: Work, wing: Mapping[str, Any], at_best_speed: bool = False) -> WingLook:
    """Return the look at a wing as a live page asks for it (`page_wing`).

    With ``at_best_speed``, or without a cruise speed in ``wing``, it flies at its best one. Its numbers are those of
    `assess` for the same wing. Bands are the last that were worked out, in proportion.

    Raises CommandError for a wing that cannot be read. One that stalls somewhere at every speed says so in its look.
    """
    return _look_of(work, _wing(work, wing, at_best_speed))


def look_of(work: Work, choice: Choice, variables: VariableValues) -> WingLook:
    """Return the look at the wing of a search. ``variables`` are SI."""
    design = EvaluatedDesign(work.study, work.space.data(choice), choice, variables)
    return _look_of(work, _Wing(work.space, design))


def stock_look(work: Work) -> WingLook:
    """Return the look at the stock wing as it flies today."""
    anchor = work.anchor
    design = EvaluatedDesign(work.study, anchor.data, anchor.choice, anchor.variables)
    return _look_of(work, _Wing(work.space, design))


def after_release(work: Work, wing: Mapping[str, Any], at_best_speed: bool = False) -> AfterRelease:
    """Return handling, flutter, balance range, mission and warnings of a wing. Arguments and errors as in `look`.

    Raises NeverFlies for a wing that stalls somewhere at every speed.
    """
    made = _wing(work, wing, at_best_speed)
    study, data, choice = made.space.study, made.design.data, made.design.choice
    full = assess_design(study, data, choice, made.design.variables, "stretched", limits=made.limits(work))
    if work.draws is not None:
        full = expected_wing(full, work.draws, _farthest(work))
        full = flown_as_expected(study, data, full, work.draws)
    return AfterRelease(
        study_id=work.study_id,
        choices=full.choices,
        variables=full.variables,
        numbers=full.numbers,
        expected=work.draws is not None,
        balance=full.balance,
        mission=full.mission,
        flags=full.flags,
    )


def wing_bands(work: Work, wing: Mapping[str, Any], at_best_speed: bool = False) -> list[LookBand]:
    """Return the bands of a wing by draws of its own, which take seconds. Later looks take them in proportion.
    A payload is left out of the draws: with one, the bands are those without it in proportion.

    Arguments and errors as in `look`.
    """
    made = _wing(work, wing, at_best_speed)
    design = made.design
    drawn = drawn_wing(work.study, work.anchor, design.choice, design.variables, no_progress).reported()
    work.bands = relative_bands(drawn)
    medians = look_at(design, made.limits(work)).numbers
    return look_bands(work.bands, medians, about=made.payload > 0)


class _Wing(NamedTuple):
    """A wing as a page names it, the study with its payload on board, and whether its speed was searched."""

    space: SearchSpace
    design: EvaluatedDesign
    searched: bool = False
    payload: float = 0.0  # [kg]

    def limits(self, work: Work) -> list[Limit]:
        """Return the limits of its parts."""
        choice = self.design.choice
        return self.space.limits(choice) if self.payload else work.limits(choice)


def _wing(work: Work, wing: Mapping[str, Any], best: bool) -> _Wing:
    choice, variables, place, payload = page_wing(work, wing)
    space, data, wings = work.space, work.space.data(choice), None
    if place is not None or payload:
        wings = wings_of(data, one_design(choice, variables))
    if wings is not None and place is not None:
        variables = variables | {"static_margin": float(margin_of_pack_place(wings, place))}
        wings = replace(wings, designs=one_design(choice, variables))
    if wings is not None and payload:  # it lies at the mark, which it does not move
        space = space.of_study(study_with_payload(space.study, Payload(), payload, float(balance_marks(wings))))
        data, wings = space.data(choice), None
    design = EvaluatedDesign(space.study, data, choice, variables, wings)
    if not best and "cruise_speed" in variables:
        return _Wing(space, design, False, payload)
    try:
        return _Wing(space, design.at_cruise(best_speed(design, work.study.fly.purpose)), True, payload)
    except NeverFlies:
        speed = variables.get("cruise_speed", work.anchor.variables["cruise_speed"])
        return _Wing(space, design.at_cruise(speed), False, payload)


def _look_of(work: Work, wing: _Wing) -> WingLook:
    made = look_at(wing.design, wing.limits(work), work.study_id)
    known = look_bands(_known_bands(work), made.numbers, about=True)
    carried = at_edge(payload_g=wing.payload)
    numbers = replace(made.numbers, **rounded(carried, 4))
    made = replace(made, bands=known, numbers=numbers, layouts=work.layouts(wing.design.choice))
    if wing.searched:
        made = replace(made, best_speed_kmh=made.numbers.cruise_speed_kmh)
    if work.draws is not None:
        made = replace(expected_look(made, work.draws.over_medians, _farthest(work)), expected=True)
        made = replace(made, about=not work.draws_are_own)
    return made


def _known_bands(work: Work) -> dict[str, RelativeBand]:
    return work.bands or (relative_bands(work.draws) if work.draws else {})


def _farthest(work: Work) -> float | None:
    return at_edge(farthest_km=work.study.fly.farthest_out)["farthest_km"]
