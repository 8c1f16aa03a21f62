"""The wing that a logbook names: the stock wing of the study, or a built wing by its name."""

from __future__ import annotations

from dataclasses import dataclass

from tradestudy.aircraft.assessment.full_design import assess_design
from tradestudy.aircraft.model.choices import choice_from_edge, variables_from_edge
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.commands.study_session import StudySession
from tradestudy.errors import CommandError, near_match
from tradestudy.quantities import from_edge
from tradestudy.results.design import Design, DesignChoices, DesignVariables
from tradestudy.results.json_form import part_from_json
from tradestudy.study.logbook.flights import STOCK
from tradestudy.study.logbook.wings_file import BuiltWing, built_wings, wings_path
from tradestudy.uncertainty.day_band import FlownFactors


@dataclass(frozen=True)
class FlownWing:
    """A wing of a logbook: its design in the air of the study, and what its flights say."""

    name: str
    design: EvaluatedDesign
    cautious: float | None = None  # advised maximum speed with weak film and foam, of a wing that never flew [m/s]
    built: Design | None = None  # the built wing in full, with its limits; None for the stock wing
    flown: FlownFactors | None = None
    factors: dict[str, float] | None = None
    flown_flights: int = 0  # flights of this wing in the logbook
    counted: int = 0  # those from which it is known


def flown_wing(session: StudySession, name: str) -> FlownWing:
    """Return a wing by its name. Raise CommandError if there is no such wing, or its file is of another study."""
    if name == STOCK:
        anchor = session.anchor
        return FlownWing(STOCK, EvaluatedDesign(session.study, anchor.data, anchor.choice, anchor.variables))
    path = session.study.path
    known = built_wings(path)
    if name not in known:
        names = [STOCK, *known]
        raise CommandError(
            f"--wing {name}: there is no such wing.{near_match(name, names)} Known: {', '.join(names)}. "
            f"Built wings stand in {wings_path(path)}."
        )
    return _built(session, known[name])


def _built(session: StudySession, wing: BuiltWing) -> FlownWing:
    # words describe the parts; the wing is made from the parts themselves
    try:
        choice = choice_from_edge(part_from_json(DesignChoices, {"words": "", **wing.choice}))
        variables = variables_from_edge(part_from_json(DesignVariables, wing.variables))
        data = session.space.data(choice)
        limits = session.space.limits(choice)
        full = assess_design(session.study, data, choice, variables, "stretched", limits=limits)
    except (CommandError, KeyError, StopIteration, ValueError) as error:
        raise CommandError(
            f"{wings_path(session.study.path)}, line {wing.line}: the wing {wing.name} cannot be made from this study. "
            "Write choice and variables as assess --json prints them."
        ) from error
    weak = full.numbers.advised_speed_weak_kmh
    cautious = None if weak is None else from_edge("advised_speed_weak_kmh", weak)
    return FlownWing(wing.name, EvaluatedDesign(session.study, data, choice, variables), cautious, full)
