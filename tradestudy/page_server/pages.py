"""The HTML of the live page: the page of one study, and the page to start from without a study."""

from __future__ import annotations

from functools import lru_cache
from pathlib import PurePath
from typing import NamedTuple

from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined

from tradestudy.quantities import in_unit, printed_table
from tradestudy.report.page.page import CAUTIONS
from tradestudy.report.page.side_paths import SIDE_PARTS
from tradestudy.results.look.look import WingLook
from tradestudy.results.look.sliders import Controls
from tradestudy.study.dialog.questions import QUESTIONS

from .shown import PACK, SPEED, controls_shown, first_view, found_heads

_TEMPLATES = ("tradestudy.page_server", "tradestudy.report.page", "tradestudy.report.logbook")
_SEARCHES = {
    "best": ("Best wing", "Tries every set of parts, and finds the wing that goes farthest within every limit."),
    "spans": ("Span trade", "Finds the best wing of each span, and the span to build."),
    "front": ("Weight and range", "Finds how far each flying weight goes."),
}


class PageState(NamedTuple):
    """What a page of the server is made of. ``controls`` and ``look`` are None for the page to start from."""

    token: str
    file: str  # the study as the user named it
    units: str
    controls: Controls | None
    look: WingLook | None
    search_seconds: dict[str, float]  # kind of search -> expected time


def study_page(state: PageState) -> str:
    """Return the page of one study, with its first look, in the units that are printed."""
    assert state.controls is not None and state.look is not None
    controls, first = controls_shown(state.controls), first_view(state.controls, state.look)
    return (
        _environment()
        .get_template("study.html.j2")
        .render(
            token=state.token,
            file=state.file,
            file_stem=PurePath(state.file).stem,
            name=state.controls.study_name,
            controls=controls,
            first=first,
            state={
                "study": state.controls.study_id,
                "controls": controls,
                "look": first | {"study": state.controls.study_id, "sequence": 0},
                "speed_key": SPEED,
                "pack_key": PACK,
            },
            side_parts=SIDE_PARTS,
            searches=[
                {
                    "kind": kind,
                    "title": title,
                    "words": words,
                    "time": _time_words(state.search_seconds.get(kind)),
                    "heads": printed_table(found_heads(state.controls.purpose), [])[0],
                }
                for kind, (title, words) in _SEARCHES.items()
            ],
            report_time=_time_words(state.search_seconds.get("report")),
            cautions=CAUTIONS,
        )
    )


def start_page(state: PageState) -> str:
    """Return the page to start from: studies, worked examples, and the questions for a new study."""
    template = _environment().get_template("start.html.j2")
    return template.render(token=state.token, units=state.units, questions=QUESTIONS)


def _time_words(seconds: float | None) -> str:
    """Return how long a search is expected to take, in words."""
    if seconds is None:
        return ""
    if seconds < 90.0:
        return f"takes about {max(5, 5 * round(seconds / 5.0))} seconds"
    return f"takes about {in_unit(seconds, 'min'):.0f} minutes"


@lru_cache(maxsize=1)
def _environment() -> Environment:
    return Environment(
        loader=ChoiceLoader([PackageLoader(each) for each in _TEMPLATES]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
