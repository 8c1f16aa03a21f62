"""One look at a design: the record that a live page shows while a slider moves."""

from __future__ import annotations

from dataclasses import fields

from tradestudy.aircraft.assessment.design_numbers import moving_numbers
from tradestudy.aircraft.assessment.full_design import curve_points, limit_states, speed_curves
from tradestudy.aircraft.model.choices import choices_at_edge, variables_at_edge
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.limit_bounds import Limit
from tradestudy.aircraft.model.pack_fit import pack_reach
from tradestudy.aircraft.model.speed_sweep import NeverFlies
from tradestudy.quantities import at_edge, from_edge, rounded, with_unit
from tradestudy.quantities.objectives import PURPOSES
from tradestudy.results.flight import Curves
from tradestudy.results.look.look import LookNumbers, PackReach, WingLook

from .drawing import drawing_of


def look_at(design: EvaluatedDesign, limits: list[Limit], study_id: str = "") -> WingLook:
    """Return the WingLook of one design. ``limits`` are those of its choice.

    A wing that stalls somewhere at every speed has no curves, and no limits on speeds.
    """
    cannot_fly = _cannot_fly(design)
    if cannot_fly:
        limits = [limit for limit in limits if limit.declared.speeds is None]
    numbers, drawing = moving_numbers(design, flies=not cannot_fly), drawing_of(design)
    states = sorted(limit_states(design, limits), key=lambda state: state.margin)
    least = 0.0 if cannot_fly else design.speed_card.least_cruise
    return WingLook(
        study_id=study_id,
        name=wing_in_words(from_edge("span_mm", numbers["span_mm"]), design.choice.words),
        choices=choices_at_edge(design.choice),
        variables=variables_at_edge(design.variables),
        numbers=LookNumbers(**{each.name: numbers[each.name] for each in fields(LookNumbers) if each.name in numbers}),
        purpose=PURPOSES[design.study.fly.purpose].number,
        expected=False,
        about=False,
        bands=[],
        limits=states,
        worst_limit=states[0].name,
        all_met=not cannot_fly and all(state.met for state in states),
        layouts=[],
        pack_reach=_reach(design),
        curves=Curves() if cannot_fly else curve_points(speed_curves(design)),
        **at_edge(least_cruise_kmh=least),
        outline=drawing.outline,
        body=drawing.body,
        cannot_fly=cannot_fly,
    )


def _cannot_fly(design: EvaluatedDesign) -> str:
    """Return why a design cannot fly at any speed, or an empty text for one that can."""
    try:
        _ = design.stall_ahead, design.speed_card  # both are kept
    except NeverFlies as error:
        return str(error)
    return ""


def wing_in_words(span: float, parts: str) -> str:
    """Return the name of a wing: its span [m] and its parts in words."""
    return f"{with_unit(span, 'mm')}, {parts}"


def _reach(design: EvaluatedDesign) -> PackReach:
    front, back = pack_reach(design.study, design.choice)
    place = float(design.evaluation.balance.pack_position)
    left = min(place - front, back - place)
    return PackReach(**rounded(at_edge(at_mm=place, front_mm=front, back_mm=back, left_mm=left), 4))
