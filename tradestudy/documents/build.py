"""The pages of the documents: those that are written by hand, those that are made from the code, and the built ones."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path
from typing import Any

from tradestudy import __version__
from tradestudy.errors import CommandError

from .command_pages import command_pages
from .glossary_page import glossary_page
from .key_pages import key_pages
from .python_pages import python_pages

FOLDER = Path(__file__).parent
FIRST = "index"
GUIDE = ("first_wing", "measure", "stretch", "fly", "feed_back")
LOOKED_UP = ("what_to_believe", "which_command", "glossary")
GENERATED = ("keys/index", "commands/index", "python/index")
DRAWING, STYLE = "wing_measures.svg", "style.css"
# what Sphinx is told; nothing is fetched when the pages are built or read
SETTINGS: dict[str, Any] = {
    "project": "tradestudy",
    "version": __version__,
    "extensions": ["myst_parser"],
    "root_doc": FIRST,
    "myst_enable_extensions": ["deflist"],
    "myst_heading_anchors": 3,
    "smartquotes": False,  # quotes of commands are typed as they stand
    "html_theme": "furo",
    "html_title": "tradestudy",
    "html_copy_source": False,
    "html_show_copyright": False,
    "html_show_sphinx": False,
    "html_static_path": ["_static"],
    "html_css_files": [STYLE],
}


def pages() -> dict[str, str]:
    """Return the Markdown of every page by its name, such as ``keys/stock``: by hand and from the code."""
    by_hand = {name: (FOLDER / f"{name}.md").read_text(encoding="utf-8") for name in (FIRST, *GUIDE, *LOOKED_UP)}
    commands = command_pages()
    by_hand["glossary"] = glossary_page(by_hand["glossary"])
    by_hand[FIRST] += _contents("Guide", GUIDE) + _contents("Look up", (*LOOKED_UP, *GENERATED))
    made = {**key_pages(), **commands, **python_pages()}
    drawn = (FOLDER / DRAWING).read_text(encoding="utf-8")
    return {name: _with_drawing(text, drawn) for name, text in (by_hand | made).items()}


def _contents(caption: str, names: tuple[str, ...]) -> str:
    """Return the list of pages that stands beside every page."""
    return "\n".join(["\n```{toctree}", ":hidden:", f":caption: {caption}", "", *names, "```", ""])


def _with_drawing(text: str, drawn: str) -> str:
    """Return a page with the drawing inside, so that it takes the colours of the page, light or dark."""
    picture = "\n".join(["```{raw} html", '<div class="drawing">', drawn.strip(), "</div>", "```"])
    return re.sub(rf"!\[[^\]]*\]\({re.escape(DRAWING)}\)", lambda found: picture, text)


def write_sources(folder: Path) -> Path:
    """Write what the pages are built from into a folder, and return the folder."""
    for page, text in pages().items():
        file = folder / f"{page}.md"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    (folder / "_static").mkdir()
    (folder / "_static" / STYLE).write_text((FOLDER / STYLE).read_text(encoding="utf-8"), encoding="utf-8")
    return folder


def build(folder: Path) -> Path:
    """Write all pages as HTML into a folder, and return the first page.

    Raises CommandError if a library for building is missing, a page has a fault, or a file cannot be written.
    """
    try:
        from sphinx.application import Sphinx
        from sphinx.errors import SphinxError
    except ImportError:
        raise CommandError('Building the documents needs: pip install "tradestudy[documents]"') from None
    with tempfile.TemporaryDirectory() as name:
        sources = write_sources(Path(name) / "sources")
        try:
            sphinx = Sphinx(
                sources, None, folder, Path(name) / "trees", "html", SETTINGS, status=None,
                exception_on_warning=True, freshenv=True, parallel=1,
            )  # fmt: skip
            sphinx.build(force_all=True)
        except (SphinxError, OSError) as error:
            raise CommandError(f"The documents cannot be built: {error}") from None
    return folder / f"{FIRST}.html"
