"""The chapters of the page below its first screen.

A chapter shows what most readers want at once. Everything else of its subject is in folds, each with a title.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from tradestudy.report.words.first_screen import first_screen
from tradestudy.results.result import Result

from .section_parts import PageSection, Part, Table
from .sections import report_sections

Figures = Sequence[Mapping[str, Any]]


class Fold(NamedTuple):
    """A part of a chapter that opens on request: its id, its title, its sections and its figures."""

    key: str
    title: str
    sections: Sequence[PageSection]
    figures: Figures


class Chapter(NamedTuple):
    """A chapter of the page: its id, the words of the link to it, its title, the figures it shows, and its folds."""

    key: str
    link: str
    title: str
    figures: Figures
    folds: Sequence[Fold]


class _FoldPlan(NamedTuple):
    title: str
    sections: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()


class _ChapterPlan(NamedTuple):
    key: str
    link: str
    title: str
    figures: tuple[str, ...]
    folds: tuple[_FoldPlan, ...]


FLIGHT = "fly"  # the chapter that holds the speed cards
_PLANS = (
    _ChapterPlan(
        "trade",
        "Span and weight",
        "What span and weight give",
        ("span_trade", "weight_range", "builds"),
        (
            _FoldPlan("The answer in full", ("in-full",)),
            _FoldPlan("Other wings to consider", ("others", "robust", "club")),
            _FoldPlan("What stops it, and what each limit costs", ("limits", "slack")),
        ),
    ),
    _ChapterPlan(
        FLIGHT,
        "Fly it",
        "How to fly it",
        ("speed",),
        (
            _FoldPlan("First flight", ("first-flight",)),
            _FoldPlan("Handling and control", ("handling", "control"), ("handling", "control")),
            _FoldPlan("The mission, part by part", ("mission",)),
        ),
    ),
    _ChapterPlan(
        "build",
        "Build it",
        "How to build it",
        (),
        (
            _FoldPlan("Out of the shop, and what to measure", ("as-built",)),
            _FoldPlan("Where everything goes", ("balance", "places"), ("side_view", "pack_section")),
            _FoldPlan("Shopping list", ("shopping",)),
            _FoldPlan("Load test on the bench", ("load-test",)),
            _FoldPlan("What breaks first, and where", ("structure", "section"), ("structure_span", "loading")),
        ),
    ),
    _ChapterPlan(
        "losses",
        "Power, drag, weight",
        "Where power, drag and weight go",
        (),
        (
            _FoldPlan("Power", ("power", "compared"), ("watts",)),
            _FoldPlan("Drag", ("drag",), ("drag",)),
            _FoldPlan("Weight", (), ("masses",)),
        ),
    ),
    _ChapterPlan(
        "sure",
        "How sure",
        "How sure this is",
        (),
        (
            _FoldPlan("What moves the range, and what changes the answer", (), ("tornado",)),
            _FoldPlan("What to believe, and what built wings lose", ("believe", "second")),
            _FoldPlan("What was assumed, and what to measure", ("assumed",)),
            _FoldPlan("The stock wing, measured and modelled", ("measured",)),
        ),
    ),
)


def chapters(result: Result, figures: Figures) -> list[Chapter]:
    """Return the chapters for which there is anything to show.

    A figure or a section that no plan names is shown in the first chapter, so that nothing is lost.
    """
    drawn = {figure["name"]: figure for figure in figures}
    sections = {section.key: section for section in (_in_full(result), *report_sections(result))}
    all_folds = [fold for plan in _PLANS for fold in plan.folds]
    planned = [name for plan in _PLANS for name in plan.figures]
    planned += [name for fold in all_folds for name in fold.figures]
    kept = [key for fold in all_folds for key in fold.sections]
    found = []
    for index, plan in enumerate(_PLANS):
        folds = [
            Fold(
                f"{plan.key}-{number}",
                fold.title,
                [sections[key] for key in fold.sections if key in sections],
                [drawn[name] for name in fold.figures if name in drawn],
            )
            for number, fold in enumerate(plan.folds, 1)
        ]
        shown = [drawn[name] for name in plan.figures if name in drawn]
        if index == 0:
            shown += [figure for name, figure in drawn.items() if name not in planned]
            folds += [Fold(f"{one.key}-fold", one.title, [one], []) for key, one in sections.items() if key not in kept]
        folds = [fold for fold in folds if fold.sections or fold.figures]
        if shown or folds or plan.key == FLIGHT:
            found.append(Chapter(plan.key, plan.link, plan.title, shown, folds))
    return found


def _in_full(result: Result) -> PageSection:
    """Return what the first view leaves out: every main result with its reasons."""
    table = Table(("Question", "Answer"), first_screen(result))
    return PageSection("in-full", "In full", "The answer in full", [Part(table=table)])
