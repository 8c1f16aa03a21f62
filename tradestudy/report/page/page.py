"""The report as one self-contained HTML page, which holds its figures and one small script and needs no network."""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from tradestudy.quantities import printed_in, without_hidden
from tradestudy.report.builds_words import (
    CARRYING_CAUTION,
    CARRYING_RULE,
    carries_anything,
    front_build_heads,
    front_build_rows,
)
from tradestudy.report.figures.all_figures import Drawn, draw_all
from tradestudy.report.figures.dark import with_dark_variant
from tradestudy.report.placed import join, plain_text, with_places
from tradestudy.report.words.first_screen import answers
from tradestudy.report.words.gains import weight_prices
from tradestudy.report.words.number_table import number_groups
from tradestudy.report.words.phrases import (
    ENERGY_ONLY,
    letter_of,
    set_key_words,
    stock_and_stretched,
    stretched_wing,
    with_capital,
)
from tradestudy.report.words.pilot_card import cards, is_withheld, longest_words, no_card
from tradestudy.report.words.violated_limits import advice_blocks, conflict_lines
from tradestudy.results.result import Result

from .captions import caption, title
from .chapters import FLIGHT, chapters
from .facts import facts, lead
from .policy import policy_of
from .printed_page import printed_page
from .section_parts import Table
from .sections import flags, unit_last
from .span_slider import front_wings, point_spots, slider_values, wing_heads, wing_rows
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

SCRIPT = Path(__file__).parent / "templates" / "page.js"
_NO_BREAK = "\N{NO-BREAK SPACE}"
_UNIT = r" (?=(?:mm|km|g|A|W|V|mAh|Wh|min|deg|m/s|s|cm²|%)(?![a-z]))"
_UNIT_AFTER_NUMBER = re.compile(rf"(?<=\d){_UNIT}|(?<=\d) (?=x \d)|(?<=\d x) (?=\d)")
_UNIT_AT_START = re.compile(rf"^{_UNIT}")
_TAG = re.compile("(<[^>]*>)")


def page(result: Result, anyway: bool = False, drawn: Mapping[str, Drawn] | None = None) -> str:
    """Return the complete report as the text of one HTML file.

    Each number of the page carries its place in summary.json. With ``anyway`` a wing that breaks a limit has a speed
    card too, and the card says that it breaks a limit. ``drawn`` holds the figures if they have been drawn already.
    """
    with printed_in(result.units):
        return printed_page(_page(result, anyway, drawn))


def _page(result: Result, anyway: bool, drawn: Mapping[str, Drawn] | None) -> str:
    # figures are of the Result whose numbers carry no place in summary.json
    drawn = draw_all(result) if drawn is None else drawn
    result = with_places(result)
    wings = stock_and_stretched(result)
    heads = ["Measure", *(name.capitalize() for name, _ in wings)]
    groups = number_groups(result, [wing for _, wing in wings])
    script = SCRIPT.read_text(encoding="utf-8")
    return (
        _environment()
        .get_template("page.html.j2")
        .render(
            script=script,
            policy=policy_of(script),
            result=result,
            set_keys=set_key_words(result.set_keys),
            shown=stretched_wing(result) or result.stock,
            conflict=conflict_lines(result),
            advice=advice_blocks(result),
            answers=answers(result),
            lead=lead(result),
            facts=facts(result),
            slide=slider_values(result),
            cards=cards(result, anyway),
            no_card=no_card(result, anyway),
            energy_only=ENERGY_ONLY,
            longest=[
                (name.capitalize(), longest_words(design))
                for name, design in reversed(wings)
                if design.pilot_card and not is_withheld(design, anyway)
            ],
            chapters=chapters(result, _figures(result, drawn)),
            flight=FLIGHT,
            numbers=[(subject, is_open, unit_last(heads, rows)) for subject, is_open, rows in groups],
            flags=flags(result),
            cautions=CAUTIONS,
        )
    )


@lru_cache(maxsize=1)
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("tradestudy.report.page"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(kept=unbroken_units, plain=plain_text, capital=with_capital)
    environment.filters["letters"] = lambda words: len(without_hidden(plain_text(words)))
    return environment


def _figures(result: Result, drawn: Mapping[str, Drawn]) -> list[dict[str, Any]]:
    """Return every figure except the wing from above, which is on the first screen."""
    wings_of = {"span_trade": wings_along_span, "weight_range": front_wings}
    figures = []
    for name, each in drawn.items():
        if name == "planform":
            continue
        words = [caption(name, result), *(weight_prices(result) if name == "weight_range" else [])]
        table, table_words = None, ""
        if name in wings_of:
            wings = wings_of[name](result)
            heads = wing_heads(result, wings)
            rows = wing_rows(result, wings, lettered=name == "weight_range")
            table = Table(heads, rows, numbers=range(1, heads.index("Built with")), sorts=True)
            table_words = join(" ", [CARRYING_RULE, CARRYING_CAUTION] if carries_anything(wings) else [])
        elif name == "builds":
            heads = front_build_heads(result)
            letters = [letter_of(index) for index in range(len(result.builds))]
            numbers = range(1, heads.index("Built with"))
            table = Table(heads, front_build_rows(result, letters), numbers=numbers, sorts=True)
        figures.append(
            {
                "name": name,
                "title": title(name, result),
                "words": join(" ", words),
                "variants": [
                    {"width": width, "source": _source(one.svg), "spots": point_spots(name, one.figure, result)}
                    for width, one in (("wide" if each.narrow else "", each), ("narrow", each.narrow))
                    if one
                ],
                "table": table,
                "table_words": table_words,
            }
        )
    return figures


def _source(svg: bytes) -> str:
    return "data:image/svg+xml;base64," + b64encode(with_dark_variant(svg)).decode("ascii")


def unbroken_units(words: str) -> str:
    """Return words with a no-break space between each number and its unit."""
    if not isinstance(words, Markup):
        return _UNIT_AFTER_NUMBER.sub(_NO_BREAK, words)
    pieces, after_figure = [], False
    for piece in _TAG.split(words):  # texts and tags alternate, and tags stay unchanged
        if not piece.startswith("<"):
            piece = _UNIT_AFTER_NUMBER.sub(_NO_BREAK, _UNIT_AT_START.sub(_NO_BREAK, piece) if after_figure else piece)
        pieces.append(piece)
        after_figure = piece == "</span>"
    return Markup("".join(pieces))  # safe, since the input was markup already
