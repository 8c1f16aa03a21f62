"""All that may be moved on the live page of one study: sliders, parts with their options, and keys of its text."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from typing import Any

from tradestudy.aircraft.model.choices import SCHEME_WORDS, Choice, choice_from_edge, choices_at_edge
from tradestudy.aircraft.model.pack_fit import pack_reach
from tradestudy.quantities import from_edge, from_si, short_with_unit, split_quantity, to_si, unit_of_name
from tradestudy.quantities.objectives import PURPOSES
from tradestudy.results.look.look import PartOption
from tradestudy.results.look.sliders import Controls, PartChoice, Slider, StudyKey
from tradestudy.search.search_space import choice_fault
from tradestudy.study.schema.study import STUDY_TABLES
from tradestudy.study.value_text import value_as_text

from .looks import stock_look
from .page_wing import PACK, PAYLOAD, SPAN, part_values
from .work import Work

# variable or key -> name in a wing, words, step of a key press in its unit, decimals
_SLIDERS = {
    "extension": (SPAN, "span", 5.0, 0),
    "sweep": ("sweep_deg", "sweep", 0.25, 2),
    "washout": ("washout_deg", "washout", 0.1, 1),
    "tip_chord": ("tip_chord_mm", "tip chord", 2.0, 0),
    "pack": (PACK, "pack place", 1.0, 0),
    "cruise_speed": ("cruise_speed_kmh", "cruise speed", 0.5, 1),
    "equipment_position": ("equipment_position_mm", "movable equipment", 1.0, 0),
}
_PART_WORDS = {
    "parallel": "cells in parallel",
    "rod_diameter_mm": "rod diameter",
    "rod_pairs": "rod pairs in each half",
    "propeller": "propeller",
    "motor": "motor",
    "pack": "pack",
    "scheme": "way to stretch",
    "throttle_cap_pct": "largest throttle",
    "bays": "bays of the equipment",
}
# keys of the study that the page may edit, with their words
_STUDY_KEYS = {
    "fly.purpose": "what to fly for",
    "fly.reserve": "charge kept for the landing",
    "fly.wind": "wind, out and home",
    "fly.pull_up": "hardest pull-up",
    "fly.launch": "launch",
    "fly.launch_speed": "speed at launch",
    "limits.flying_weight": "flying weight at most",
}
_ROUNDING = 1e-9
_LARGEST_PAYLOAD = 0.3  # share of the flying weight of the stock wing at which its slider ends [-]


def controls(work: Work) -> Controls:
    """Return the Controls of a study."""
    return Controls(
        study_id=work.study_id,
        study_name=work.study.study.name,
        sliders=_sliders(work),
        parts=[_part_choice(work, key, values) for key, values in part_values(work).items()],
        study_keys=[_study_key(work, key, words) for key, words in _STUDY_KEYS.items()],
        purpose=PURPOSES[work.study.fly.purpose].number,
        stock=stock_look(work),
    )


def _sliders(work: Work) -> list[Slider]:
    bounds, stock, study = work.space.bounds, work.anchor.variables, work.study
    made = []
    for name, (key, words, step, digits) in _SLIDERS.items():
        if name == "pack":
            low, high = pack_reach(study, work.stock_choice)
            value = study.pack.from_nose
        elif name == "extension":
            span = work.anchor.data.layout.stock.span
            low, high = (span + 2 * end for end in bounds[name])
            value = span
        else:
            low, high = bounds[name]
            value = stock[name]
        kind, unit = unit_of_name(key)
        low, high, value = (float(from_si(each, unit, kind)) for each in (low, high, value))
        fixed = "" if high - low > _ROUNDING else _fixed_why(work, name)
        if name == "equipment_position" and fixed:
            continue
        made.append(Slider(key, words, unit, round(low, 4), round(high, 4), round(value, 4), step, digits, fixed))
    kind, unit = unit_of_name(PAYLOAD)
    largest = round(float(from_si(_LARGEST_PAYLOAD * study.stock.flying_weight, unit, kind)), -2)
    made.append(Slider(PAYLOAD, "payload", unit, 0.0, largest, 0.0, 10.0, 0))
    return made


def _fixed_why(work: Work, name: str) -> str:
    """Return why a variable cannot be moved. The study always frees the span."""
    if name in ("washout", "tip_chord") and work.study.stretch.scheme == "tip":
        ways = {"washout": "stretch.washout frees it", "tip_chord": 'stretch.scheme = "scaled" draws the panels anew'}
        return f"added pieces carry the panel on; {ways[name]}"
    if name in ("sweep", "tip_chord") and work.study.stretch.scheme != "scaled":
        return 'the panels stay as they are; stretch.scheme = "scaled" draws them anew'
    if name in ("sweep", "washout", "tip_chord"):
        return f"the study holds it; stretch.{name} frees it"
    return "there is one place for it"


def _part_choice(work: Work, key: str, values: list[Any]) -> PartChoice:
    own = values[0]
    options = [PartOption(value, _option_words(work, key, value), _fault(work, key, value)) for value in values]
    return PartChoice(key, _PART_WORDS[key], own, options)


def _option_words(work: Work, key: str, value: Any) -> str:
    study = work.study
    if key == "rod_diameter_mm":
        return short_with_unit(from_edge(key, value), "mm")
    if key == "rod_pairs":
        return {0: "no rods", 1: "1 pair"}.get(value, f"{value} pairs")
    if key == "parallel":
        return f"{study.pack.series}S{value}P"
    if key == "scheme":
        return SCHEME_WORDS[value or study.stretch.scheme]
    if key == "throttle_cap_pct":
        return "all of it" if value is None else f"{value:g} %"
    if key == "motor":
        return value or "the one on the wing"
    if key == "pack":
        return value or f"cells as on the wing, {study.pack.cell}"
    if key == "bays":
        return value or "as the study has it"
    return str(value)


def _fault(work: Work, key: str, value: Any) -> str:
    """Return why no wing can have a part, with all else as on the stock wing; empty if one can."""
    edge = replace(choices_at_edge(work.anchor.choice), **{key: value})
    choice: Choice = choice_from_edge(edge)
    if key == "pack" and value:
        named = next(one for one in work.study.pack_choice if one.name == value)
        choice = replace(choice, series=named.series, parallel=named.parallel)
    if choice == work.anchor.choice:
        return ""
    ways = work.space.ways(choice)
    if ways.fault:
        return ways.fault
    text, lid = next(iter(ways.tried), ("", 0.0))
    return choice_fault(work.space, replace(choice, layout=text, raised_lid=lid)) or ""


def _study_key(work: Work, key: str, words: str) -> StudyKey:
    """Return one value of the study with what is allowed for it. Numbers are in the unit of the file, or of the key."""
    table, name = key.split(".")
    kind = STUDY_TABLES[table].key_type(name)
    given = tomllib.loads(work.study.text).get(table, {}).get(name)
    assumed = {used.key: used.value for used in work.study.defaults_used}
    text = value_as_text(given) if given is not None else assumed.get(key, "")
    options = [str(option) for option in kind.form.get("enum", ())]
    if options:
        return StudyKey(key, words, text, given is not None, None, "", None, None, options)
    ends = [_number_in(end) for end in kind.allowed.split(" to ")]
    value, unit = _number_in(text) if given is not None else (None, "")
    value = getattr(getattr(work.study, table), name) if value is None else value
    unit = unit or ends[1][1]
    quantity_kind = kind.kind.rpartition(", ")[2]
    low, high = (_converted(number, written, unit, quantity_kind) for number, written in ends)
    if given is None and value is not None and unit:
        value = round(float(from_si(value, unit, quantity_kind)), 6)
    return StudyKey(key, words, text, given is not None, value, unit, low, high, [])


def _number_in(text: str) -> tuple[float | None, str]:
    """Return the number and the unit of a written value. The number is None for a word."""
    try:
        return split_quantity(text)
    except ValueError:
        return None, ""


def _converted(number: float | None, unit: str, into: str, kind: str) -> float | None:
    """Return a number in another unit of its kind."""
    if number is None or unit == into:
        return number
    return round(float(from_si(to_si(number, unit, kind), into, kind)), 6)
