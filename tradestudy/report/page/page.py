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

from tradestudy.quantities import to_edge
from tradestudy.report.figures.all_figures import FIGURES, as_bytes
from tradestudy.report.placed import joined, plain, said, with_places
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
from tradestudy.report.words.drag_table import NOTE as DRAG_NOTE
from tradestudy.report.words.drag_table import drag_heads, drag_rows, glide_words
from tradestudy.report.words.first_screen import first_screen
from tradestudy.report.words.flight_tables import flight_pieces
from tradestudy.report.words.input_effects import assumed_rows, chosen_rows, ruler_rows, summary
from tradestudy.report.words.limit_prices import SURE_HEADS, slack_heads, slack_rows, slack_words, sure_rows, sure_words
from tradestudy.report.words.limits_and_answer import (
    choice_words,
    figure_of,
    gain_figure,
    gain_words,
    limit_words,
    searched_words,
    short_figure,
    speed_answer,
    step_words,
    stops,
    stretched,
    told,
    weight_figure,
    weight_prices,
)
from tradestudy.report.words.load_test import BAG_HEADS, HEADS, bag_rows, load_test_rows, load_test_words
from tradestudy.report.words.number_table import number_groups, section_heads, section_notes, section_rows
from tradestudy.report.words.purpose import measure, purpose_answer
from tradestudy.report.words.verdicts import NOTE, verdicts
from tradestudy.results.design import Design, LimitState
from tradestudy.results.result import Result

from .captions import caption, title
from .span_slide import front_drawn, slide, spots, wing_heads, wing_rows
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
    design = stretched(result)
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
        slide=slide(result),
        figures=_figures(result, found),
        wings=[name for name, _ in wings],
        numbers=number_groups(result, [wing for _, wing in wings]),
        measure=measure(result),
        handled=verdicts(result),
        handled_note=NOTE,
        drag=drag_rows(result),
        drag_heads=drag_heads(result),
        drag_words=[*glide_words(result), DRAG_NOTE],
        load_rows=structure.load_rows(result),
        load_heads=structure.LOAD_HEADS,
        check_rows=structure.check_rows(result),
        check_heads=structure.CHECK_HEADS,
        check_notes=structure.check_notes(result),
        obeys_rows=structure.obeys_rows(result),
        structure_words=structure.structure_words(result),
        obeys_words=structure.obeys_words(result),
        load_test_rows=load_test_rows(result),
        load_test_heads=HEADS,
        load_test_words=load_test_words(result),
        bag_rows=bag_rows(result),
        bag_heads=BAG_HEADS,
        places=_place_rows(shown),
        limits=_limit_rows(shown, result.spread.holds if result.spread else {}),
        slack_rows=slack_rows(result),
        slack_heads=slack_heads(result),
        slack_words=slack_words(result),
        others=_other_rows(result),
        searched=searched_words(result),
        sure_rows=sure_rows(result),
        sure_heads=SURE_HEADS,
        sure_words=sure_words(result),
        ties=_tie_rows(result),
        assumed=assumed_rows(result),
        chosen=chosen_rows(result),
        rulers=ruler_rows(result),
        worth=summary(result),
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
        **flight_pieces(result, anyway),
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
    environment.filters.update(kept=kept_together, plain=plain)
    return environment


def _facts(result: Result) -> list[tuple[str, list[tuple[str, str]]]]:
    rows = {row[0]: row[1] for row in first_screen(result)}
    return [(title, [(head, rows[head]) for head in heads if head in rows]) for title, heads in FACTS.items()]


def _answers(result: Result, shown: Design) -> list[dict[str, Any]]:
    """The three questions, each with one large figure and a few plain sentences."""
    more = 0.5 * (shown.numbers.span_mm - result.stock.numbers.span_mm)
    span = [
        said("{} mm more on each side than the stock wing.", figure_of(more)) if more >= 0.5 else "As the stock wing."
    ]
    if result.band:
        low, high = result.band.low_mm, result.band.high_mm
        span.append(
            said(
                "Anything from {} to {} mm stays within 2 % of the best {}.",
                figure_of(low),
                figure_of(high),
                measure(result).noun,
            )
        )
        if low <= result.stock.numbers.span_mm <= high:
            span.append("The stock span lies in that band: with these parts, more span buys little.")
    known, purpose = measure(result), purpose_answer(result, shown)
    weight = [
        *(purpose if known.told != "range_km" else []),
        said("The stock wing flies {} at {} g.", gain_words(result.stock, result), weight_figure(result.stock)),
        *step_words(result),
        *(purpose if known.told == "range_km" else []),
    ]
    return [
        {
            "question": "How far to stretch the span?",
            "value": told(shown, "span_mm"),
            "unit": "mm",
            "lines": span,
        },
        {
            "question": "How fast to cruise?",
            "value": told(shown, "cruise_speed_kmh"),
            "unit": "km/h",
            "lines": [
                _sentence(speed_answer(result).partition(": ")[2]),
                said(
                    "{} minutes in the air; stall at {} km/h.",
                    told(shown, "endurance_min"),
                    told(shown, "stall_speed_kmh"),
                ),
            ],
        },
        {
            "question": "What does weight buy?",
            "value": gain_figure(getattr(shown.numbers, known.told)),
            "unit": said("{}{} at {} g", known.unit, known.after, weight_figure(shown)),
            "lines": weight if stretched(result) else ["Nothing was stretched: this is the stock wing."],
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
                "words": joined(" ", words),
                "source": source,
                "spots": spots(name, figure, result),
                **_wings_drawn(name, result),
            }
        )
    return shown


def _wings_drawn(name: str, result: Result) -> dict[str, Any]:
    """The wings of a figure as a table, where no other table tells of them."""
    wings = {"span_trade": wings_along_span, "weight_range": front_drawn}.get(name)
    if wings is None:
        return {"rows": []}
    return {"rows": wing_rows(result, wings(result), name == "weight_range"), "heads": wing_heads(result)}


def kept_together(words: str) -> str:
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
    rows = [(thing.name, figure_of(thing.x_mm), figure_of(thing.mass_g)) for thing in design.outline.equipment]
    if design.outline.pack:
        pack = design.outline.pack
        rows.append(("pack, its middle", figure_of(pack.x_mm), figure_of(design.masses_g.get("pack"))))
    return rows


def _limit_rows(design: Design, holds: dict[str, float]) -> list[dict[str, Any]]:
    return [
        {
            "words": limit_words(state.name, design),
            "value": short_figure(state.value),
            "bound": _bound_words(state),
            "unit": state.unit,
            "origin": state.origin,
            "holds": figure_of(to_edge("pct", holds[state.name])) if state.name in holds else "",
            "state": "broken" if not state.met else ("stops it" if state.active else "met"),
        }
        for state in design.limits
    ]


def _bound_words(state: LimitState) -> str:
    """Return the bound with its side."""
    return said("{} {}", state.side, short_figure(state.bound)).strip()


def _other_rows(result: Result) -> list[dict[str, str]]:
    """Rows of the next best wings and the single steps; what breaks is told before what stops."""
    rows = []
    for design in (*result.alternatives, *result.steps):
        broken = dict.fromkeys(limit_words(state.name, design) for state in design.limits if not state.met)
        rows.append(
            {
                "kind": design.label,
                "bought": choice_words(design),
                "span": told(design, "span_mm"),
                "weight": told(design, "auw_g"),
                "gain": gain_figure(getattr(design.numbers, measure(result).key)),
                "broken": joined(", ", broken),
                "stops": joined(", ", stops(design, result)),
            }
        )
    return rows


def _tie_rows(result: Result) -> list[dict[str, str]]:
    """Rows of the stock wing, measured and modelled."""
    numbers = ("measured", "before", "after")
    return [
        {
            **{name: getattr(tie, name) for name in ("what", "unit", "how")},
            **{name: figure_of(getattr(tie, name), 1) for name in numbers},
        }
        for tie in result.ties
    ]


def _flags(result: Result, wings: list[tuple[str, Design]]) -> list[str]:
    told_by = [said("{} wing: {}", name, flag) for name, wing in wings for flag in wing.flags]
    return [*told_by, *result.notes]
