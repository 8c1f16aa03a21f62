"""The acceptance form: one page on which a second person signs that a new wing is as it was designed.

Tolerances of weight, balance and shape are those of the build sheet (`build_tolerance` of the study). Others are common
practice, no source.
"""

from __future__ import annotations

from io import BytesIO

import matplotlib
from matplotlib.backends.backend_pdf import PdfPages

from tradestudy.errors import LimitsViolated
from tradestudy.quantities import printed, printed_in
from tradestudy.report.build_sheet.sheet import wing_to_build
from tradestudy.report.build_sheet.sheet_text import TextSheets
from tradestudy.report.build_sheet.sheet_words import wing_words
from tradestudy.report.placed import plain_text
from tradestudy.report.tolerance_words import check_values
from tradestudy.report.words.gains import keeps_panels
from tradestudy.report.words.load_test import is_grounded, is_held_back, load_test_rows
from tradestudy.report.words.phrases import Rows, number_text
from tradestudy.report.words.violated_limits import refusal, violated_limits, warning_words
from tradestudy.results.cutting import BuildCheck
from tradestudy.results.design import Design
from tradestudy.results.result import Result

_TITLE = "Acceptance of a new wing"
ACCEPTANCE_HEADS = ("Check", "As designed", "Accepted", "Measured", "Signed")
FLIGHT_HEADS = ("Flight", "What", "Date, wind", "Minutes", "Put back [mAh]", "Signed")
_BLANK, _LONG = "..........", "................................"
_THROW, _AMPS = 1.0, 0.10  # mm, share
_FIRST = {"weight": 0, "balance": 1}  # checks in front of all others
_BEFORE_THE_GLUE = ("rod_depth", "core_chord")  # checks that a finished wing hides; the build sheet has them
_STOCK, _BAGS = "stock", "(below)"  # first word of rows of the stock wing; where its words say that the bags stand
_FLIGHTS = (
    ("1", "trim, stall high up, slow only"),
    ("2", "the same in roll and turns"),
    ("3", "up to the card's speed, in steps"),
    ("4", "a long one at cruise"),
)
_NOTE = (
    "Measured by the builder, signed by a second person. One value outside: no flight, find the cause. Load test "
    "first. Estimates, no proof of airworthiness; local rules and the cell maker's limits stand above this page."
)


def acceptance_rows(design: Design) -> Rows:
    """Return one row for each thing to weigh, measure or try, with the columns of ACCEPTANCE_HEADS."""
    numbers, throws = design.numbers, design.cut.throws
    checks = sorted(design.cut.checks, key=lambda check: _FIRST.get(check.name, len(_FIRST)))
    rows = [
        *((check.what, *_accepted(check, design)) for check in checks if check.name not in _BEFORE_THE_GLUE),
        ("balance left and right, on both ends of the root", "level", "a coin on the lighter tip at most"),
        (
            "throws in pitch, at the trailing edge",
            f"{number_text(throws.up_mm, 1)} mm up, {number_text(throws.down_mm, 1)} mm down",
            f"within {number_text(_THROW)} mm, both alike; first flights 60 % of it",
        ),
        (
            "throws in roll",
            f"{number_text(throws.roll_mm, 1)} mm each way",
            f"within {number_text(_THROW)} mm; stick right lifts the right elevon",
        ),
    ]
    if numbers.full_throttle_current_a is not None:
        amps = numbers.full_throttle_current_a
        rows.append(
            (
                "full throttle, strapped down, ten seconds",
                f"{number_text(amps, 1)} A",
                f"at most {number_text((1 + _AMPS) * amps, 1)} A, nothing hot",
            )
        )
    rows.append(("radio range, motor running; failsafe stops the motor", "yes", "yes"))
    return [(*row, _BLANK, _BLANK) for row in rows]


def _accepted(check: BuildCheck, design: Design) -> tuple[str, str]:
    """Return value and accepted band of a check of the build sheet. Without a balance window nothing is accepted."""
    front, back = design.numbers.cg_front_mm, design.numbers.cg_back_mm
    value, band = check_values(check)
    if check.name == "balance" and (front is None or back is None or front > back):
        return value, "no room: do not fly"
    return value, band


def load_test_checks(result: Result) -> Rows:
    """Return one row for each load test of the new wing, with the columns of ACCEPTANCE_HEADS."""
    rows: Rows = []
    for name, hang, expect, weak, stop in load_test_rows(result):
        if not plain_text(name).startswith(_STOCK):
            words = f"{plain_text(name).rpartition(', ')[2]}: {plain_text(hang)}".replace(
                _BAGS, "as on the build sheet"
            )
            twist = _most_twist(result) if words.startswith("twist") else ""
            accepted = f"{twist or f'at most {plain_text(weak)}'}; stop at {plain_text(stop)}; back to zero, no crack"
            rows.append((words, plain_text(expect), accepted, _BLANK, _BLANK))
    return rows


def _most_twist(result: Result) -> str:
    """Return the twist with which a wing may fly at its advised speed, or an empty text if no test decides on that.

    A wing of weak film and foam twists more. It is not as designed, so it keeps the speed of a wing without a test.
    """
    design = wing_to_build(result)
    if design is None or design.load_test is None or design.pilot_card is None or not is_held_back(design):
        return ""
    held = number_text(design.pilot_card.until_tested_kmh)
    more = "no flight" if is_grounded(design) else f"no faster than {held} km/h"
    return f"at most {number_text(design.load_test.twist.edge_mm, 1)} mm; more: {more}"


def flight_rows() -> Rows:
    """Return one row for each of the first flights, with the columns of FLIGHT_HEADS."""
    return [(*row, _BLANK, _BLANK, _BLANK, _BLANK) for row in _FLIGHTS]


def acceptance_form(result: Result, paper: str = "a4", anyway: bool = False) -> bytes | None:
    """Return the form as PDF of one page, or None if the result holds no new wing: the stock wing is accepted.

    Raises LimitsViolated if that wing breaks a limit. With ``anyway`` the page carries a warning instead.
    """
    design = wing_to_build(result)
    if design is None or keeps_panels(design):
        return None
    if violated_limits(design) and not anyway:
        raise LimitsViolated(refusal(result, "acceptance form"))
    with printed_in(result.units):
        return _drawn(result, design, paper)


def _drawn(result: Result, design: Design, paper: str) -> bytes:
    text = TextSheets(paper, warning_words(design))
    text.start(_TITLE)
    text.paragraph(f"Wing no. {_BLANK}  Builder {_LONG}  Second person {_LONG}")
    text.table(ACCEPTANCE_HEADS, acceptance_rows(design), title="Before the load test")
    text.table(ACCEPTANCE_HEADS, load_test_checks(result), title="Load test")
    if is_held_back(design):
        words = "No flight" if is_grounded(design) else "Not above the first speed of the card"
        text.paragraph(f"{words} before the twist test is passed.")
    text.table(FLIGHT_HEADS, flight_rows(), title="First flights")
    text.paragraph(_NOTE)
    text.paragraph(f"Accepted on {_BLANK}  by {_LONG}")
    return pdf_of(text, _TITLE, printed(wing_words(result, design)))


def pdf_of(text: TextSheets, title: str, foot: str) -> bytes:
    """Return sheets of text as PDF. Equal sheets give equal files: it holds no date."""
    stream = BytesIO()
    with (
        matplotlib.rc_context({"pdf.fonttype": 3, "pdf.compression": 6}),
        PdfPages(stream, metadata={"CreationDate": None, "Title": title}) as pages,
    ):
        for number, sheet in enumerate(text.sheets, 1):
            sheet.finish(foot, number, len(text.sheets))
            pages.savefig(sheet.figure)
    return stream.getvalue()
