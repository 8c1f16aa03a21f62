"""What the wings of a result carry: the largest payload of each as it is built, and how far it flies with it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple

from tradestudy.aircraft.model.choices import Choice, choice_of, variables_of
from tradestudy.commands.study_session import StudySession
from tradestudy.quantities import at_edge, rounded
from tradestudy.results.design import Design
from tradestudy.results.result import Result
from tradestudy.search.carrying.largest_payload import Carrier
from tradestudy.search.carrying.payload_on_board import Payload
from tradestudy.search.engines.processes import LostTask, completed_tasks
from tradestudy.search.search_space import SearchSpace
from tradestudy.search.search_task import VariableValues


class _Built(NamedTuple):
    """One built wing; ``is_stock`` if it is the one that flies today."""

    choice: Choice
    variables: VariableValues
    is_stock: bool = False


def stock_carrier(space: SearchSpace, payload: Payload | None = None) -> Carrier:
    """Return the stock wing as one that carries. It flies, so limits that it breaks without payload do not count."""
    anchor = space.anchor
    own = Carrier(space, anchor.choice, anchor.variables)
    return replace(own, payload=payload or Payload(), let_go=own.broken())


def with_largest_payloads(session: StudySession, result: Result) -> Result:
    """Return ``result`` with what its wings carry: stock, recommended and best, those of each span, and of fronts.

    Each has the largest payload at its balance mark with which it meets every limit. A front whose wings carry a
    payload already stays as it is.
    """
    one_by_one = ("stock", "recommended", "best", "instead")
    lists = ("span_trade", "front", "builds")
    wings: list[Design] = [design for name in one_by_one if (design := getattr(result, name)) is not None]
    wings += [design for name in lists for design in getattr(result, name)]
    wings = [design for design in wings if design.numbers.payload_g is None]
    keys = [_Built(choice_of(each), variables_of(each), each is result.stock) for each in wings]
    items = [each for place, each in enumerate(keys) if each not in keys[:place]]
    if items:
        session.report_progress("what each wing can carry")
    known: list[tuple[_Built, dict[str, Any]]] = []
    for place, made in completed_tasks(session.engine, payload_numbers, items, lambda item: item.choice.words):
        found = payload_numbers(session.space, items[place]) if isinstance(made, LostTask) else made
        known.append((items[place], found))

    def carrying(design: Design) -> Design:
        own = next((key for key, wing in zip(keys, wings, strict=True) if wing is design), None)
        found = next((numbers for built, numbers in known if built == own), {})
        return replace(design, numbers=replace(design.numbers, **found)) if found else design

    changed: dict[str, Any] = {
        name: carrying(design) for name in one_by_one if (design := getattr(result, name)) is not None
    }
    changed |= {name: [carrying(each) for each in getattr(result, name)] for name in lists}
    return replace(result, **changed)


def payload_numbers(space: SearchSpace, wing: _Built) -> dict[str, Any]:
    """Return the numbers of `DesignNumbers` that tell what a wing carries. This is a task for an engine."""
    carrier = stock_carrier(space) if wing.is_stock else Carrier(space, wing.choice, wing.variables)
    found = carrier.largest()
    if found.wing is None:
        return {"payload_end": carrier.words(found.end)}
    outputs, variables = found.wing.outputs, found.wing.variables
    numbers = at_edge(
        most_payload_g=found.wing.mass,
        loaded_range_km=outputs["range"],
        loaded_radius_km=outputs["radius"],
        loaded_flight_min=outputs["usual_time"],
        loaded_cruise_kmh=variables["cruise_speed"],
        loaded_cg_mm=outputs["centre_of_gravity"],
    )
    return rounded(numbers, 4) | {"payload_end": carrier.words(found.end)}
