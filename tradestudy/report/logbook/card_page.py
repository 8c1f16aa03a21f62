"""The card of the day as one HTML file: a phone page, and the strip when it is printed. It needs no network."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from tradestudy.files import as_typed, write_atomically
from tradestudy.quantities import from_edge, in_unit, is_imperial
from tradestudy.report.page.policy import policy_of
from tradestudy.report.words.pilot_card import card_units
from tradestudy.results.flight import DayCard

from .card_words import DAY_CAUTION, NO_HEADWAY, WHICHEVER, day_lines, day_text

_TEMPLATES = Path(__file__).parent / "templates"
_SCRIPTS = ("note_words.js", "card.js")


def day_page(card: DayCard, study_file: str) -> str:
    """Return the page of a card. ``study_file`` is the path of its study, as in the command that notes a flight."""
    script = "".join((_TEMPLATES / name).read_text(encoding="utf-8") for name in _SCRIPTS)
    text = day_text(card)
    wind_unit, degrees = ("mph", "F") if is_imperial() else ("m/s", "C")
    wind = in_unit(from_edge("wind_kmh", card.wind_kmh), wind_unit)
    temperature = in_unit(from_edge("temperature_c", card.temperature_c), degrees)
    return (
        _environment()
        .get_template("card.html.j2")
        .render(
            text=text,
            know=[text.sure, text.known, *text.notes, DAY_CAUTION],
            whichever=WHICHEVER,
            no_headway=NO_HEADWAY,
            policy=policy_of(script),
            script=Markup(script),
            style=Markup((_TEMPLATES / "card.css").read_text(encoding="utf-8")),
            strip="\n".join(day_lines(card)),
            command=f"tradestudy note {as_typed(study_file)} --wing {as_typed(card.wing)}",
            far=card_units(card.unit)[1],
            wind_unit=wind_unit,
            degrees=degrees,
            wind=f"{wind:.3g}",
            temperature=f"{temperature:.3g}",
            pack=card.pack.partition(":")[0] if ":" in card.pack else "",
        )
    )


def save_day_page(card: DayCard, study_file: str, folder: Path) -> Path:
    """Write the page of a card into a folder, complete or not at all, and return its path."""
    return write_atomically(folder / f"card-{card.wing}.html", day_page(card, study_file).encode("utf-8"))


@lru_cache(maxsize=1)
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("tradestudy.report.logbook"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
