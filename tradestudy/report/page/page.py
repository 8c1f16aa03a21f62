"""The report as one HTML page that needs nothing else: figures and one small script inside, no network."""

from __future__ import annotations

import re
from base64 import b64encode
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from tradestudy.quantities import in_unit
from tradestudy.report.figures.all_figures import FIGURES, as_bytes
from tradestudy.report.placed import fill, join, plain_text, with_places
from tradestudy.report.words import structure
from tradestudy.report.words.club import (
    SHOPPING_HEADS,
    balance_lines,
    club_heads,
    club_rows,
    mark_words,
    shopping_rows,
    wings_to_build,
)
from tradestudy.report.words.drag_table import DRAG_NOTE as DRAG_NOTE
from tradestudy.report.words.drag_table import drag_heads, drag_rows, glide_words
from tradestudy.report.words.first_screen import first_screen
from tradestudy.report.words.flight_tables import template_values
from tradestudy.report.words.input_effects import assumed_rows, measurement_rows, open_choice_rows, uncertainty_words
from tradestudy.report.words.limit_prices import (
    ROBUST_HEADS,
    robust_rows,
    robust_words,
    slack_heads,
    slack_rows,
    slack_words,
)
from tradestudy.report.words.load_test import BAG_HEADS, LOAD_TEST_HEADS, bag_rows, load_test_rows, load_test_words
from tradestudy.report.words.number_table import number_groups, section_heads, section_notes, section_rows
from tradestudy.report.words.phrases import (
    choice_words,
    cruise_words,
    design_number,
    gain_text,
    gain_words,
    limit_words,
    number_text,
    search_words,
    short_number,
    step_words,
    stopping_limits,
    stretched_wing,
    weight_prices,
    weight_text,
)
from tradestudy.report.words.purpose import measure, purpose_words
from tradestudy.report.words.verdicts import HANDLING_NOTE, verdicts
from tradestudy.results.design import Design, LimitState
from tradestudy.results.result import Result

from .captions import caption, title
from .span_slider import front_wings, slider_values, spots, wing_heads, wing_rows
from .wing_view import wings_along_span

CAUTIONS = (
    "These are estimates for comparing builds. They are not proof of airworthiness.",
    "Load the finished wing on the bench to the load factor you mean to fly, both ways up, before its first "
    "flight. If it creaks, buckles or stays bent, do not fly it.",
    "Balance it on the mark, check the throws, and make the first flights short, high and over open ground.",
    "Keep to the cell maker's limits for charge, discharge, temperature and storage. Damaged or puffed "
    "lithium cells are not flown.",
    "Keep to the flying rules where you live: height, line of sight, radio, registration. Ask your club's "
    "safety officer before long-distance flights.",
    "Never fly over people, roads or animals.",
)


FACTS = {
    "What to buy and cut": ("Built with", "Gear", "Balance mark", "What limits it", "Measure first"),
    "How to fly it": ("Hold", "Elevons in cruise", "Fly no faster", "How far"),
}
NO_BREAK = "\N{NO-BREAK SPACE}"
SCRIPT = Path(__file__).parent / "templates" / "page.js"
# nothing is fetched, nothing is sent, and no script runs but the page's own
POLICY = ("default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src '{}'; base-uri 'none'; "
          "form-action 'none'")  # fmt: skip
_UNIT = r" (?=(?:mm|km|g|A|W|V|mAh|Wh|min|deg|m/s|s|cm²|%)(?![a-z]))"
_UNIT_AFTER_NUMBER, _UNIT_AT_START = re.compile(rf"(?<=\d){_UNIT}"), re.compile(rf"^{_UNIT}")
_TAG = re.compile("(<[^>]*>)")


def page(found: Result, anyway: bool = False) -> str:
    """Return the whole report as the text of one HTML file; figures carry their place in summary.json.

    ``anyway``: with the speed card of a wing that breaks a limit, which then says so.
    """
    result = with_places(found)
    design = stretched_wing(result)
    shown = design or result.stock
    wings = [("Stock", result.stock), *([("Stretched", design)] if design else [])]
    environment, script = _environment(), SCRIPT.read_text(encoding="utf-8")
    return environment.get_template("page.html.j2").render(
        script=script,
        policy=POLICY.format(hash_of(script)),
        result=result,
        shown=shown,
        stretched=design,
        answers=_answers(result, shown),
        facts=_facts(result),
        slide=slider_values(result),
        figures=_figures(result, found),
        wings=[name for name, _ in wings],
        numbers=number_groups(result, [wing for _, wing in wings]),
        measure=measure(result),
        handled=verdicts(result),
        handled_note=HANDLING_NOTE,
        drag=drag_rows(result),
        drag_heads=drag_heads(result),
        drag_words=[*glide_words(result), DRAG_NOTE],
        load_rows=structure.load_rows(result),
        load_heads=structure.LOAD_HEADS,
        check_rows=structure.check_rows(result),
        check_heads=structure.CHECK_HEADS,
        check_notes=structure.check_notes(result),
        control_rows=structure.control_rows(result),
        structure_words=structure.structure_words(result),
        control_words=structure.control_words(result),
        load_test_rows=load_test_rows(result),
        load_test_heads=LOAD_TEST_HEADS,
        load_test_words=load_test_words(result),
        bag_rows=bag_rows(result),
        bag_heads=BAG_HEADS,
        places=_place_rows(shown),
        limits=_limit_rows(shown, result.spread.met_share if result.spread else {}),
        slack_rows=slack_rows(result),
        slack_heads=slack_heads(result),
        slack_words=slack_words(result),
        others=_other_rows(result),
        searched=search_words(result),
        robust_rows=robust_rows(result),
        robust_heads=ROBUST_HEADS,
        robust_words=robust_words(result),
        ties=_tie_rows(result),
        assumed=assumed_rows(result),
        chosen=open_choice_rows(result),
        rulers=measurement_rows(result),
        worth=uncertainty_words(result),
        section_rows=section_rows(result),
        section_heads=section_heads(result),
        section_notes=section_notes(result),
        club=club_rows(result),
        club_heads=club_heads(),
        mark=mark_words(result),
        balance_lines=balance_lines(result),
        shopping=shopping_rows(result),
        shopping_heads=SHOPPING_HEADS,
        wings_to_build=wings_to_build(result),
        flags=_flags(result, wings),
        cautions=CAUTIONS,
        **template_values(result, anyway),
    )


def hash_of(script: str) -> str:
    """Return the hash by which a page's policy knows a script."""
    return "sha256-" + b64encode(sha256(script.encode()).digest()).decode("ascii")


@lru_cache(maxsize=1)
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("tradestudy.report.page"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(kept=unbroken_units, plain=plain_text)
    return environment


def _facts(result: Result) -> list[tuple[str, list[tuple[str, str]]]]:
    rows = {row[0]: row[1] for row in first_screen(result)}
    return [(title, [(head, rows[head]) for head in heads if head in rows]) for title, heads in FACTS.items()]


def _answers(result: Result, shown: Design) -> list[dict[str, Any]]:
    """The three questions, each with one large figure and a few plain sentences."""
    more = 0.5 * (shown.numbers.span_mm - result.stock.numbers.span_mm)
    span = [
        fill("{} mm more on each side than the stock wing.", number_text(more)) if more >= 0.5 else "As the stock wing."
    ]
    if result.band:
        low, high = result.band.low_mm, result.band.high_mm
        span.append(
            fill(
                "Anything from {} to {} mm stays within 2 % of the best {}.",
                number_text(low),
                number_text(high),
                measure(result).noun,
            )
        )
        if low <= result.stock.numbers.span_mm <= high:
            span.append("The stock span lies in that band: with these parts, more span buys little.")
    known, purpose = measure(result), purpose_words(result, shown)
    weight = [
        *(purpose if known.headline_key != "range_km" else []),
        fill("The stock wing flies {} at {} g.", gain_words(result.stock, result), weight_text(result.stock)),
        *step_words(result),
        *(purpose if known.headline_key == "range_km" else []),
    ]
    return [
        {
            "question": "How far to stretch the span?",
            "value": design_number(shown, "span_mm"),
            "unit": "mm",
            "lines": span,
        },
        {
            "question": "How fast to cruise?",
            "value": design_number(shown, "cruise_speed_kmh"),
            "unit": "km/h",
            "lines": [
                _sentence(cruise_words(result).partition(": ")[2]),
                fill(
                    "{} minutes in the air; stall at {} km/h.",
                    design_number(shown, "endurance_min"),
                    design_number(shown, "stall_speed_kmh"),
                ),
            ],
        },
        {
            "question": "What does weight buy?",
            "value": gain_text(getattr(shown.numbers, known.headline_key)),
            "unit": fill("{}{} at {} g", known.unit, known.suffix, weight_text(shown)),
            "lines": weight if stretched_wing(result) else ["Nothing was stretched: this is the stock wing."],
        },
    ]


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


def _figures(result: Result, found: Result) -> list[dict[str, Any]]:
    """Every figure but the wing itself, which stands on the first screen; drawn from numbers without places."""
    shown = []
    for name, draw in FIGURES.items():
        figure = None if name == "planform" else draw(found)
        if figure is None:
            continue
        source = "data:image/svg+xml;base64," + b64encode(as_bytes(figure, "svg")).decode("ascii")
        words = [caption(name, result), *(weight_prices(result) if name == "weight_range" else [])]
        shown.append(
            {
                "name": name,
                "title": title(name, result),
                "words": join(" ", words),
                "source": source,
                "spots": spots(name, figure, result),
                **_wings_drawn(name, result),
            }
        )
    return shown


def _wings_drawn(name: str, result: Result) -> dict[str, Any]:
    """The wings of a figure as a table, where no other table tells of them."""
    wings = {"span_trade": wings_along_span, "weight_range": front_wings}.get(name)
    if wings is None:
        return {"rows": []}
    return {"rows": wing_rows(result, wings(result), name == "weight_range"), "heads": wing_heads(result)}


def unbroken_units(words: str) -> str:
    """Return words in which no line breaks between a number and its unit."""
    if not isinstance(words, Markup):
        return _UNIT_AFTER_NUMBER.sub(NO_BREAK, words)
    pieces, after_figure = [], False
    for piece in _TAG.split(words):  # texts and tags by turns; what stands in a tag stays as it is
        if not piece.startswith("<"):
            piece = _UNIT_AFTER_NUMBER.sub(NO_BREAK, _UNIT_AT_START.sub(NO_BREAK, piece) if after_figure else piece)
        pieces.append(piece)
        after_figure = piece == "</span>"
    return Markup("".join(pieces))  # of what was markup already


def _place_rows(design: Design) -> list[tuple[str, str, str]]:
    """Rows of (thing, place of its middle or front behind the nose, weight)."""
    rows = [(thing.name, number_text(thing.x_mm), number_text(thing.mass_g)) for thing in design.outline.equipment]
    if design.outline.pack:
        pack = design.outline.pack
        rows.append(("pack, its middle", number_text(pack.x_mm), number_text(design.masses_g.get("pack"))))
    return rows


def _limit_rows(design: Design, holds: dict[str, float]) -> list[dict[str, Any]]:
    return [
        {
            "words": limit_words(state.name, design),
            "value": short_number(state.value),
            "bound": _bound_words(state),
            "unit": state.unit,
            "origin": state.origin,
            "holds": number_text(in_unit(holds[state.name], "%")) if state.name in holds else "",
            "state": "broken" if not state.met else ("stops it" if state.active else "met"),
        }
        for state in design.limits
    ]


def _bound_words(state: LimitState) -> str:
    """Return the bound with its side."""
    return fill("{} {}", state.side, short_number(state.bound)).strip()


def _other_rows(result: Result) -> list[dict[str, str]]:
    """Rows of the next best wings and the single steps; what breaks is told before what stops."""
    rows = []
    for design in (*result.alternatives, *result.steps):
        broken = dict.fromkeys(limit_words(state.name, design) for state in design.limits if not state.met)
        rows.append(
            {
                "kind": design.label,
                "bought": choice_words(design),
                "span": design_number(design, "span_mm"),
                "weight": design_number(design, "auw_g"),
                "gain": gain_text(getattr(design.numbers, measure(result).key)),
                "broken": join(", ", broken),
                "stops": join(", ", stopping_limits(design, result)),
            }
        )
    return rows


def _tie_rows(result: Result) -> list[dict[str, str]]:
    """Rows of the stock wing, measured and modelled."""
    numbers = ("measured", "before", "after")
    return [
        {
            **{name: getattr(tie, name) for name in ("what", "unit", "how")},
            **{name: number_text(getattr(tie, name), 1) for name in numbers},
        }
        for tie in result.calibration
    ]


def _flags(result: Result, wings: list[tuple[str, Design]]) -> list[str]:
    told_by = [fill("{} wing: {}", name, flag) for name, wing in wings for flag in wing.flags]
    return [*told_by, *result.notes]
