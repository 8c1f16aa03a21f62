"""The register of a club on paper: all builds, what they share, and the next builder's band."""

from __future__ import annotations

from typing import Any

from tradestudy.report.build_sheet.sheet_text import TextSheets

from .acceptance_form import pdf_of
from .register_words import BUILD_HEADS, TYPE_HEADS, build_rows, factor_rows, register_lines

_TITLE = "Register of the club"


def register_sheet(found: dict[str, Any], paper: str = "a4") -> bytes:
    """Return the register as PDF. ``found`` is the document of the command."""
    text = TextSheets(paper)
    text.start(_TITLE)
    text.table(BUILD_HEADS, build_rows(found), title="Builds: as measured, in brackets as designed")
    text.table(TYPE_HEADS, factor_rows(found), title="Factors on the model")
    for line in register_lines(found):
        text.paragraph(line)
    return pdf_of(text, _TITLE, found["folder"])
