"""What the live page shows of a look at a wing: texts formatted as in the report, SVG paths, and places of controls.

The script of the page formats nothing. Texts that it receives are set as text, so no name can be markup.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from tradestudy.quantities import is_imperial, printed, printed_axis, printed_table
from tradestudy.report.page.side_paths import side_frame, side_paths
from tradestudy.report.page.wing_view import Frame, frame_of, outline_path, paths_of
from tradestudy.report.words.phrases import (
    NUMBER_WORDS,
    band_words,
    comma_list,
    gain_text,
    letter_of,
    number_text,
    with_capital,
)
from tradestudy.report.words.purpose import measure_of_number
from tradestudy.results.json_form import json_data
from tradestudy.results.look.look import PartOption, WingLook
from tradestudy.results.look.sliders import Controls, FoundWings, Slider, StudyKey

from .speed_curve import speed_curve
from .strip import Shown, limit_row, look_number, strip_entries

_FIRST_LIMITS = 5  # limits shown before the fold is opened
_MOST_NAMED = 3  # broken limits that a sentence names
SPEED, SPAN, PACK, PAYLOAD = "cruise_speed_kmh", "span_mm", "pack_position_mm", "payload_g"
# key of a slider -> variable of a wing whose place it takes while it is moved
REPLACES = {SPAN: "extension_mm", PACK: "static_margin_pct"}
# rows of the table of pinned wings, besides the purpose
_COMPARED = (
    SPAN,
    "auw_g",
    SPEED,
    "cruise_current_a",
    "stall_speed_kmh",
    "cg_mm",
    PACK,
    "sweep_deg",
    "washout_deg",
    "tip_chord_mm",
    "endurance_min",
    "climb_ms",
    "failure_load_factor",
)
_FOUND = (SPAN, "auw_g", SPEED, "cruise_current_a", "stall_speed_kmh")


def look_answer(controls: Controls, look: WingLook, pinned: Sequence[WingLook] = ()) -> Shown:
    """Return everything that the page shows of one wing. Differences are from the first pinned, or the stock wing."""
    against = pinned[0] if pinned else controls.stock
    frame = drawing_frame(controls)
    strip = strip_entries(look, against)
    has_rods = bool(look.choices.rod_pairs)
    return {
        "wing": wing_data(look),
        "sliders": {slider.key: slider_value(look, slider.key) for slider in controls.sliders},
        "boxes": {slider.key: f"{_boxed_value(look, slider):.{slider.digits}f}" for slider in controls.sliders},
        "spoken": {slider.key: _amount(_boxed_value(look, slider), slider) for slider in controls.sliders},
        "ends": _pack_ends(controls, look),
        "layouts": [_option(each) for each in look.layouts],
        "strip": strip,
        "fields": printed(
            {
                "basis": _basis_words(look, bool(pinned)),
                "pack": _pack_words(look),
                "stopping": _stopping_words(look),
                "curve-title": f"{with_capital(measure_of_number(look.purpose).axis)} over speed",
                "curve-words": _curve_words(look),
            }
        ),
        "paths": {**paths_of(look, frame), **side_paths(look.body, look.numbers.cg_mm)},
        "dashed": {
            "pinned": outline_path(pinned[0]) if pinned else "",
            "side-pinned": side_paths(pinned[0].body, None)["side-skin"] if pinned else "",
        },
        "limits": {
            "first": [limit_row(state, has_rods) for state in look.limits[:_FIRST_LIMITS]],
            "others": [limit_row(state, has_rods) for state in look.limits[_FIRST_LIMITS:]],
        },
        "curve": speed_curve(controls.stock, look, pinned[0] if pinned else None),
        "pins": pin_table(look, pinned),
        "said": _said_words(look, strip),
        "expected": look.expected and not look.about,
    }


def first_view(controls: Controls, look: WingLook) -> Shown:
    """Return the first answer with what never changes: both frames, and the outlines of the stock wing."""
    stock = controls.stock
    return look_answer(controls, look) | {
        "view_box": drawing_frame(controls).view_box,
        "side_box": side_frame([stock.body, look.body]),
        "stock_path": outline_path(stock),
        "side_stock": side_paths(stock.body, None)["side-skin"],
    }


def controls_shown(controls: Controls) -> Shown:
    """Return sliders, parts and keys of a study as the page shows them."""
    return {
        "stock": wing_data(controls.stock),
        "sliders": [
            {
                "key": slider.key,
                "words": with_capital(slider.words),
                "unit": slider.unit,
                "low": slider.low,
                "high": slider.high,
                "step": _step(slider),
                "stock": slider.stock,
                "replaces": REPLACES.get(slider.key, ""),
                "best": slider.key == SPEED,
                "folded": slider.key == PAYLOAD,
                "held": slider.fixed_why,
                **{
                    f"{end}_text": _amount(value, slider) if is_imperial() else number_text(value, slider.digits)
                    for end, value in (("low", slider.low), ("high", slider.high), ("stock", slider.stock))
                },
            }
            for slider in controls.sliders
        ],
        "parts": [
            {
                "key": part.key,
                "words": with_capital(part.words),
                "options": [_option(each) for each in part.options],
            }
            for part in controls.parts
            if len(part.options) > 1
        ],
        "keys": [_key_shown(key) for key in controls.study_keys],
    }


def _step(slider: Slider) -> float:
    """Return the step of a slider in its unit. In an imperial study it is the nearest 1, 2 or 5 of a decimal place."""
    scale = printed_axis(f"[{slider.unit}]")
    if scale is None:
        return slider.step
    there = float(scale.there(slider.step))
    size = 10.0 ** math.floor(math.log10(there))
    steps = [digit * size for digit in (1.0, 2.0, 5.0, 10.0)]
    return float(scale.back(min(steps, key=lambda each: abs(math.log(each / there)))))


def _key_shown(key: StudyKey) -> Shown:
    """Return one key of the study. What is assumed by a rule in words is no value, so it stands as a hint."""
    is_value = key.given or (key.value in key.options if key.options else key.value[:1].isdigit())
    absent = f"not given, in {key.unit}" if key.unit else "not given"
    return {
        "key": key.key,
        "words": with_capital(key.words),
        "value": key.value if is_value else "",
        "hint": absent if is_value or not key.value else with_capital(printed(key.value)),
        "options": key.options,
    }


def _amount(value: float, slider: Slider) -> str:
    """Return a value of a slider with its unit, as it is printed."""
    return printed(f"{number_text(value, slider.digits)} {slider.unit}")


def _option(option: PartOption) -> Shown:
    return {"value": option.value, "words": option.words, "why": option.not_possible}


def _pack_ends(controls: Controls, look: WingLook) -> Shown:
    """Return the ends of the slider of the pack, which depend on the parts of a wing."""
    slider = next((slider for slider in controls.sliders if slider.key == PACK), None)
    ends = {"low": look.pack_reach.front_mm, "high": look.pack_reach.back_mm}
    if slider is None:
        return ends | {f"{end}_text": "" for end in ends}
    return ends | {
        f"{end}_text": _amount(value, slider) if is_imperial() else number_text(value, slider.digits)
        for end, value in ends.items()
    }


def wing_data(look: WingLook) -> Shown:
    """Return a wing as a request names it: its parts and its variables."""
    return {"choice": json_data(look.choices), "variables": json_data(look.variables)}


def slider_value(look: WingLook, key: str) -> float:
    """Return where a slider stands for this wing, in the unit at the end of its name."""
    value = getattr(look.variables, key, None)
    return getattr(look.numbers, key) if value is None else value


def _boxed_value(look: WingLook, slider: Slider) -> float:
    """Return the number in the box of a slider. If it cannot move, that of this wing."""
    return getattr(look.numbers, slider.key) if slider.fixed_why else slider_value(look, slider.key)


def drawing_frame(controls: Controls) -> Frame:
    """Return the space that every wing of the sliders fits into, seen from above."""
    stock, highest = frame_of([controls.stock]), {slider.key: slider.high for slider in controls.sliders}
    span, numbers = highest.get(SPAN, controls.stock.numbers.span_mm), controls.stock.numbers
    grown = 0.5 * (span - numbers.span_mm)
    return Frame(stock.half + grown, stock.length + grown * numbers.set_back_mm / (0.5 * numbers.span_mm))


def found_answer(found: FoundWings) -> Shown:
    """Return the sentence of a search, and one row for each wing that it found, with the columns of `found_heads`."""
    rows: list[Shown] = [
        {
            "wing": wing_data(each.look),
            "cells": [
                each.label,
                gain_text(getattr(each.look.numbers, measure_of_number(each.look.purpose).key)),
                *(look_number(each.look, key) for key in _FOUND),
                each.look.choices.words,
            ],
        }
        for each in found.wings
    ]
    if found.wings:
        heads = found_heads(found.wings[0].look.purpose)
        table = printed_table(heads, [each["cells"] for each in rows])[1]
        rows = [each | {"cells": list(cells)} for each, cells in zip(rows, table, strict=True)]
    return {"message": printed(found.sentence), "shown": rows}


def found_heads(purpose: str) -> list[str]:
    """Return the heads of the columns of `found_answer`, in metric units, for what a study maximises."""
    known = measure_of_number(purpose)
    shown = [f"{words} [{unit}]" for words, unit, _ in (NUMBER_WORDS[key] for key in _FOUND)]
    return ["Wing", f"{with_capital(known.axis)} [{known.unit}]", *shown, "Built with"]


# --- sentences ----------------------------------------------------------------------------------------------


def _stopping_words(look: WingLook) -> str:
    if look.cannot_fly:
        return with_capital(look.cannot_fly)
    broken = list(dict.fromkeys(state.words for state in look.limits if not state.met))
    active = list(dict.fromkeys(state.words for state in look.limits if state.met and state.active))
    if broken:
        count = "a limit" if len(broken) == 1 else f"{len(broken)} limits"
        more = len(broken) - _MOST_NAMED
        named = comma_list([*broken[:_MOST_NAMED], *([f"{more} more"] if more > 0 else [])])
        return f"Do not build this wing: it breaks {count}: {named}."
    return f"Every limit is met. Limited by: {comma_list(active)}." if active else "Every limit is met."


def _basis_words(look: WingLook, is_pinned: bool) -> str:
    """Return what differences are from, and what the numbers are: those to expect, or those at the medians."""
    against = "wing A, pinned" if is_pinned else "the stock wing"
    known = "Ranges, times and currents: to expect."
    if not look.expected:
        known = "Ranges, times and currents: a first estimate. Those to expect, often some per cent lower, follow."
    elif look.about:
        known = "Ranges, times and currents: about those to expect."
    return f"Differences: from {against}. {known}"


def _pack_words(look: WingLook) -> str:
    reach = look.pack_reach
    ends = band_words(reach.front_mm, reach.back_mm)
    place = f"Pack {number_text(reach.at_mm)} mm behind the nose; it may lie from {ends} mm."
    return f"{place} It is {number_text(-reach.left_mm)} mm out of its bay." if round(reach.left_mm) < 0 else place


def _curve_words(look: WingLook) -> str:
    known, numbers = measure_of_number(look.purpose), look.numbers
    if look.cannot_fly:
        return with_capital(look.cannot_fly)
    gain, speed = gain_text(getattr(numbers, known.key)), number_text(numbers.cruise_speed_kmh)
    best = look.best_speed_kmh
    at_best = "" if best is None else f" The best speed is {number_text(best)} km/h."
    floor = f" The study cruises no slower than {number_text(look.least_cruise_kmh)} km/h."
    return f"{gain} {known.unit} at {speed} km/h.{at_best}{floor}"


def _said_words(look: WingLook, strip: Sequence[Shown]) -> str:
    """Return what a screen reader speaks when a slider is let go."""
    shown = [f"{each['head']} {each['value']} {each['unit']}" for each in strip[:-1]]
    return f"{'. '.join(shown)}. {printed(_stopping_words(look))}"


# --- pinned wings -------------------------------------------------------------------------------------------


def pin_table(look: WingLook, pinned: Sequence[WingLook]) -> Shown:
    """Return the table of this wing beside the pinned ones."""
    wings, known = [look, *pinned], measure_of_number(look.purpose)
    gain = f"{with_capital(known.axis)} [{known.unit}]"
    rows = [[gain, *(gain_text(getattr(each.numbers, known.key)) for each in wings)]]
    for key in _COMPARED:
        words, unit, _ = NUMBER_WORDS[key]
        rows.append([f"{words} [{unit}]" if unit else words, *(look_number(each, key) for each in wings)])
    rows.append(["Built with", *(each.choices.words for each in wings)])
    rows.append(["Limits", *map(_standing, wings)])
    names = ["This wing", *map(letter_of, range(len(pinned)))]
    table = printed_table(["", *names], rows)[1]
    return {
        "columns": [{"name": name} for name in names],
        "rows": [{"head": head, "cells": cells} for head, *cells in table],
    }


def _standing(look: WingLook) -> str:
    broken = sum(not state.met for state in look.limits)
    return "all met" if not broken else f"breaks {broken}: {look.limits[0].words}"
