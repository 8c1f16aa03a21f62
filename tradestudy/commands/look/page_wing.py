"""A wing as a live page asks for it: parts and variables by their names in a result, in the units at their ends."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.model.choices import (
    Choice,
    bay_alternatives,
    choice_from_edge,
    choices_at_edge,
    study_with_choice,
)
from tradestudy.aircraft.shape.pack_bay import pack_bay
from tradestudy.commands.requested_wing import refuse_tip_chord
from tradestudy.errors import CommandError, near_match
from tradestudy.physics.weights.pack_layouts import layout_from_text, layouts
from tradestudy.quantities import from_edge, with_unit
from tradestudy.quantities.design_inputs import QUANTITY_INPUTS
from tradestudy.quantities.variables import VARIABLES
from tradestudy.results.design import DesignChoices

from .work import Work

SPAN, PACK, PAYLOAD = "span_mm", "pack_position_mm", "payload_g"
MOST_PAYLOAD = 5.0  # kg; far more than any of these wings lifts
_SAME_CHORD = 1e-6  # m
_LARGEST = 1e6  # of any number, far beyond every bound in its unit
_SHOWN = 40  # characters of a refused value that a message quotes
_FARTHEST_PACK = 3.0  # m from the nose, either way; half the longest span that is allowed
_HIGHEST_LID = 0.03  # m above the skin, as in a study
_MOST_MARGIN = 1.0  # of the mean chord, either way
_KEYS = {each.key: name for name, each in VARIABLES.items()}
PARTS = (  # those that a person chooses; the number of cells in series goes with the pack, the way it is laid too
    "parallel",
    "rod_diameter_mm",
    "rod_pairs",
    "propeller",
    "motor",
    "pack",
    "scheme",
    "throttle_cap_pct",
    "bays",
)
_TEXTS = ("propeller", "motor", "pack", "scheme", "bays", "layout")
_COUNTS = ("series", "parallel", "rod_pairs")


class PageWing(NamedTuple):
    """The parts and the variables (SI) of one wing.

    Without a cruise speed it flies at its best one. If ``pack_place`` [m] is given, the static margin follows from it.
    A ``payload`` [kg] lies at the balance mark.
    """

    choice: Choice
    variables: dict[str, float]
    pack_place: float | None = None
    payload: float = 0.0


def page_wing(work: Work, wing: Mapping[str, Any]) -> PageWing:
    """Return the wing of ``{"choice": {...}, "variables": {...}}``. What is left out is as on the stock wing.

    Raises CommandError, in one sentence, for a name that is unknown or a value that no such wing can have.
    """
    unknown = set(wing) - {"choice", "variables"}
    if unknown:
        raise CommandError(f"A wing has no {min(unknown)}. It has choice and variables.")
    parts, values = wing.get("choice") or {}, wing.get("variables") or {}
    if not isinstance(parts, Mapping) or not isinstance(values, Mapping):
        raise CommandError("A wing is a table of parts and a table of variables.")
    choice = _choice(work, parts)
    return _with_variables(work, choice, values)


def _with_variables(work: Work, choice: Choice, values: Mapping[str, Any]) -> PageWing:
    bounds, stock = work.space.bounds_of(choice), work.anchor.variables
    variables = {name: float(np.clip(stock[name], *bounds[name])) for name in VARIABLES if name != "cruise_speed"}
    known, payload = [*_KEYS, SPAN, PACK, PAYLOAD], 0.0
    for key, value in values.items():
        if key not in known:
            raise CommandError(f"{key} is no variable.{near_match(str(key), known)} Variables: {', '.join(known)}.")
        if value is None:
            continue
        number = from_edge(key, _number(key, value))
        if key == SPAN:
            variables["extension"] = _extension(work, number)
        elif key == PAYLOAD:
            payload = _payload(number)
        elif key == PACK:
            _refuse_beyond(key, number, -_FARTHEST_PACK, _FARTHEST_PACK)
        else:
            _refuse_impossible(_KEYS[key], key, number)
            variables[_KEYS[key]] = number
    low, high = bounds["washout"]
    if low == high and variables["extension"] > 0:
        variables["washout"] = low  # as in every search: what the study holds is no matter of the page
    if "extension_mm" in values:
        _extension(work, work.anchor.data.layout.stock.span + 2 * variables["extension"])
    if abs(variables["tip_chord"] - stock["tip_chord"]) > _SAME_CHORD:
        refuse_tip_chord(study_with_choice(work.study, choice), variables["tip_chord"], "tip_chord_mm")
    place = values.get(PACK) if values.get("static_margin_pct") is None else None
    return PageWing(choice, variables, None if place is None else float(from_edge(PACK, place)), payload)


def _number(key: str, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= _LARGEST:
        raise CommandError(f"{key} is {str(value)[:_SHOWN]}; a number is wanted, none beyond a million.")
    return float(value)


def _refuse_impossible(name: str, key: str, value: float) -> None:
    if name == "static_margin" and abs(value) < _MOST_MARGIN:
        return  # a pack at one end of its bay gives margins at which nobody flies, and the look says so
    allowed = QUANTITY_INPUTS.get(name)
    if allowed is not None and not allowed.allows(value):
        raise CommandError(f"{key}: {allowed.in_unit(value):g} {allowed.unit} is beyond what these wings can be.")


def _refuse_beyond(key: str, value: float, low: float, high: float) -> None:
    """Raise CommandError if a length [m] is not between two ends."""
    if not low <= value <= high:
        ends = f"from {with_unit(low, 'mm')} to {with_unit(high, 'mm')}"
        raise CommandError(f"{key}: {with_unit(value, 'mm')} is not possible: {ends}.")


def _payload(mass: float) -> float:
    if not 0.0 <= mass <= MOST_PAYLOAD:
        raise CommandError(f"A payload of {with_unit(mass, 'g')} is not possible: from 0 to {MOST_PAYLOAD:g} kg.")
    return mass


def _extension(work: Work, span: float) -> float:
    """Return the length that each side gains for a span. [m]"""
    stock = work.anchor.data.layout.stock.span
    if not stock - 1e-9 <= span <= QUANTITY_INPUTS["span"].most:
        most = with_unit(QUANTITY_INPUTS["span"].most, "mm")
        raise CommandError(
            f"A span of {with_unit(span, 'mm')} is not possible: from {with_unit(stock, 'mm')} as it is to {most}."
        )
    return max(0.0, 0.5 * (span - stock))


def _choice(work: Work, parts: Mapping[str, Any]) -> Choice:
    """Return the set of parts. A pack is laid as asked if that is a way to lay it, or else as a search would.

    A layout of None leaves it in the bay of the stock wing if it fits, where else a bay is cut to it.
    """
    own = choices_at_edge(work.anchor.choice)
    known = [each.name for each in fields(DesignChoices)]
    given: dict[str, Any] = {}
    options = part_values(work) if parts else {}
    for key, value in parts.items():
        if key not in known:
            raise CommandError(f"{key} is no part of a wing.{near_match(str(key), known)} Parts: {', '.join(known)}.")
        if key != "words" and value not in (None, ""):
            given[key] = _part(options, key, value)
    choice = choice_from_edge(replace(own, **given))
    if "pack" in given:
        named = next(one for one in work.study.pack_choice if one.name == given["pack"])
        choice = replace(choice, series=named.series, parallel=named.parallel)
    elif choice.series != work.anchor.choice.series:
        raise CommandError(f"series is {choice.series}; the study has packs of {work.anchor.choice.series} in series.")
    if "layout" in parts and not parts["layout"] and None in [way.value for way in work.layouts(choice)]:
        return replace(choice, layout="", raised_lid=0.0)
    tried = [way.value for way in work.layouts(choice) if way.value]
    if choice.layout and tried and (choice.layout in tried or choice.layout in _all_layouts(work, choice)):
        return choice
    return work.space.laid(choice)


def _all_layouts(work: Work, choice: Choice) -> list[str]:
    """Return every way to lay the pack of a choice, as text."""
    made = study_with_choice(work.study, replace(choice, layout="", raised_lid=0.0))
    count = made.pack.pieces_in(pack_bay(made).from_centre, choice.series, choice.parallel)
    return [way.text for way in layouts(count, made.pack.piece)]


def _part(options: Mapping[str, list[Any]], key: str, value: Any) -> Any:
    """Return the value of one part. Raises CommandError if it has the wrong type, or if the study has no such part."""
    if key in _COUNTS:
        if _number(key, value) != int(value):
            raise CommandError(f"{key} is {value!r}; a whole number is wanted.")
        value = int(value)
    elif key in _TEXTS:
        if not isinstance(value, str):
            raise CommandError(f"{key} is {str(value)[:_SHOWN]}; text is wanted.")
    else:
        value = _number(key, value)
    if key == "layout":
        _checked_layout(value)
    elif key == "raised_lid_mm":
        _refuse_beyond(key, from_edge(key, value), 0.0, _HIGHEST_LID)
    elif key != "series":
        if value not in options[key]:
            shown = ", ".join(str(one) for one in options[key] if one not in (None, ""))
            raise CommandError(f"The study has no {key} {value}. It has {shown or 'none'}.")
    return value


def _checked_layout(text: str) -> None:
    try:
        layout_from_text(text)
    except ValueError:
        raise CommandError(f"layout {text!r} is no way to lay a pack.") from None


def part_values(work: Work) -> dict[str, list[Any]]:
    """Return the values of each part that wings of a study may have, in the units of a result, that of stock first."""
    study, stock, lists = work.study, work.anchor.choice, work.study.choices
    tried: list[Choice] = [stock]
    tried += [replace(stock, parallel=one) for one in lists.parallel or ()]
    tried += [replace(stock, rod_diameter=one) for one in lists.rod_diameter or ()]
    tried += [replace(stock, rod_pairs=one) for one in lists.rod_pairs or ()]
    tried += [replace(stock, propeller=one) for one in lists.propeller or ()]
    tried += [replace(stock, motor=one.name) for one in study.motor_choice]
    tried += [replace(stock, pack=one.name) for one in study.pack_choice]
    tried += [replace(stock, scheme=one) for one in lists.scheme or () if one != study.stretch.scheme]
    tried += [
        replace(stock, throttle_cap=one) for one in lists.throttle_cap or () if one != study.controller.throttle_cap
    ]
    tried += [replace(stock, bays=words) for words in bay_alternatives(study) if words]
    edges = [choices_at_edge(choice) for choice in tried]
    return {name: list(dict.fromkeys(getattr(edge, name) for edge in edges)) for name in PARTS}
