"""The build sheet: every dimension, setting, weight and test for building one wing, with full-size templates."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from io import BytesIO
from pathlib import Path

import matplotlib
from matplotlib.backends.backend_pdf import PdfPages

from tradestudy.errors import LimitsViolated
from tradestudy.files import write_atomically
from tradestudy.quantities import printed, printed_in
from tradestudy.report.balance_words import MOVE_HEADS, MOVE_NOTE, balance_sentences, move_rows
from tradestudy.report.bench_tables import (
    FILM_HEADS,
    GLUE_HEADS,
    PART_HEADS,
    SLOT_HEADS,
    body_part_rows,
    film_rows,
    glue_rows,
    glue_words,
    slot_rows,
    slot_station_heads,
    slot_station_rows,
    slot_words,
)
from tradestudy.report.first_flight import (
    INSPECTION_HEADS,
    INSPECTION_TITLE,
    NOTE_HEADS,
    card_parts,
    inspection_rows,
    note_rows,
    note_words,
)
from tradestudy.report.page.page import CAUTIONS
from tradestudy.report.placed import plain_text
from tradestudy.report.tolerance_words import MEASURE_HEADS, MEASURE_TITLE, as_built_lines, measure_rows
from tradestudy.report.words.club import cutting_lines, owned_words, price_words, shopping_heads, shopping_rows
from tradestudy.report.words.gains import advice_words, keeps_panels
from tradestudy.report.words.load_test import BAG_HEADS, LOAD_TEST_HEADS, bag_rows, load_test_rows, load_test_words
from tradestudy.report.words.phrases import stretched_wing
from tradestudy.report.words.violated_limits import refusal, violated_limits, violation_lines, warning_words
from tradestudy.report.work_order.kept_panels import KeptParts, kept_parts, stay_words
from tradestudy.report.work_order.order import work_steps
from tradestudy.results.design import Design
from tradestudy.results.result import Result

from . import gear_words, kept_words, sketches
from . import sheet_words as words
from .body_file import BODY_FILE, body_file, body_file_is_possible
from .compact_sheets import nested_sheets, plan_sheets
from .paper import SIZES, Sheet
from .plan_drawing import planform_drawing
from .sheet_text import TextSheets, lines_to_write_on
from .template_files import dxf, svg
from .template_shapes import centre_sections, section_templates, small_templates, templates
from .tiled_sheets import tile_sheets

PAPERS = tuple(SIZES)
SHEETS = "build sheet and no templates"
_STOCK_ROW = ("stock", "Proof load, stock", "Write the readings of the stock wing")  # load test of the stock wing


def build_sheet(result: Result, paper: str = "a4", anyway: bool = False) -> bytes | None:
    """Return the build sheet of the stretched wing as PDF, or None if the result holds no wing to build.

    Raises LimitsViolated if that wing breaks a limit. With ``anyway`` every sheet carries a warning instead.
    """
    design = wing_to_build(result)
    if design is None:
        return None
    if violated_limits(design) and not anyway:
        raise LimitsViolated(refusal(result, SHEETS))
    with printed_in(result.units):
        return _drawn(result, design, paper)


def _drawn(result: Result, design: Design, paper: str) -> bytes:
    wing, stream = printed(words.wing_words(result, design)), BytesIO()
    # Matplotlib must not simplify outlines. Without a date in the file, equal wings give equal files.
    with matplotlib.rc_context({"pdf.fonttype": 3, "pdf.compression": 6, "path.simplify": False}):
        sheets = all_sheets(result, paper)
        with PdfPages(stream, metadata={"CreationDate": None, "Title": "Build sheet"}) as pages:
            for number, sheet in enumerate(sheets, 1):
                sheet.finish(wing, number, len(sheets))
                pages.savefig(sheet.figure)
    return stream.getvalue()


def wing_to_build(result: Result) -> Design | None:
    """Return the wing to build, or None if the result has none or was stored without data for building."""
    design = stretched_wing(result)
    return design if design is not None and design.cutting else None


def all_sheets(result: Result, paper: str) -> list[Sheet]:
    """Return every sheet in order, without title lines. If the wing breaks a limit, each sheet carries a warning."""
    design = wing_to_build(result)
    if design is None:
        return []
    text = TextSheets(paper, warning_words(design))
    if keeps_panels(design):
        _keep(text, result, design)
        return text.sheets
    kept = kept_parts(design, result.stock)
    _cut(text, result, design, kept)
    _order(text, design, kept)
    _glue_and_film(text, result, design, kept)
    _lay_out(text, design)
    _balance(text, design)
    _weigh(text, design)
    _measure(text, result, design)
    _load(text, result, design)
    _fly(text, result, design)
    plan, small = planform_drawing(design), small_templates(design)
    return [
        *text.sheets,
        *(sheet for drawing in section_templates(design) for sheet in tile_sheets(drawing, paper)),
        *nested_sheets(small, paper, "Templates, 1:1"),
        *(sheet for drawing in centre_sections(design) for sheet in tile_sheets(drawing, paper)),
        *(plan_sheets(plan, paper) if plan else ()),
    ]


def _keep(text: TextSheets, result: Result, design: Design) -> None:
    """Write the sheets of a wing that keeps its panels: no more than what is of use for it."""
    steps = kept_words.change_steps(result, design)
    text.start(kept_words.kept_title(result, design), lines_to_write_on)
    for line in kept_words.as_it_is_words(result, design):
        text.paragraph(line)
    for step in steps:
        text.paragraph(step, tick=True)
    if not steps:
        _balance(text, design)
        _cautions(text, design)
        return
    _shop(text, result)
    _balance(text, design)
    _measure(text, result, design)
    _load(text, result, design)
    _fly(text, result, design)


def _cut(text: TextSheets, result: Result, design: Design, kept: KeptParts) -> None:
    text.start("Cut", partial(sketches.wing_sketch, design))
    if result.violated_limits:
        text.head("Not to be built as it is")
        text.paragraph("This wing breaks limits of the study. Change the design or the limits first.")
        for line in violation_lines(design):
            text.paragraph(f"{line[:1].upper()}{line[1:]}.")
    for line in advice_words(result):
        text.paragraph(plain_text(line))
    text.paragraph(words.lead_words(design))
    text.head("Where to cut")
    for line in words.stretch_words(design):
        text.paragraph(line)
    for line in stay_words(design, kept):
        text.paragraph(line)
    text.table(words.CORE_HEADS, words.core_rows(design), title="Foam")
    text.table(words.ROD_HEADS, words.rod_rows(design, kept), title="Rods")
    text.table(words.STOCK_HEADS, words.stock_rows(design))
    for line in (*words.rod_notes(design), *words.core_notes(design)):
        text.paragraph(line)


def _order(text: TextSheets, design: Design, kept: KeptParts) -> None:
    text.start("Work order")
    for head, steps in work_steps(design, kept):
        text.head(head)
        for step in steps:
            text.paragraph(step, tick=True)


def _glue_and_film(text: TextSheets, result: Result, design: Design, kept: KeptParts) -> None:
    text.start("Glue, film and shopping")
    if design.cut.glue:
        text.table(GLUE_HEADS, glue_rows(design), title="Glue")
        for line in glue_words(design):
            text.paragraph(line)
    if design.cut.film:
        text.table(FILM_HEADS, film_rows(design), title="Film")
    _shop(text, result)
    for line in gear_words.not_listed_notes(design, result):
        text.paragraph(line)
    for line in stay_words(design, kept)[1:2]:  # what is new, as on the first sheet
        text.paragraph(line)


def _shop(text: TextSheets, result: Result) -> None:
    if result.shopping:
        text.table(
            shopping_heads(result),
            [tuple(map(plain_text, row)) for row in shopping_rows(result)],
            tick=True,
            title="Shopping list",
        )
        for line in [*price_words(result), *filter(None, [owned_words(result)]), *cutting_lines(result)]:
            text.paragraph(plain_text(line))


def _lay_out(text: TextSheets, design: Design) -> None:
    text.start("Lay out", partial(sketches.jig_sketch, design))
    text.table(words.STATION_HEADS, words.station_rows(design), title="The outline, all in mm")
    if rows := slot_rows(design):
        text.table(SLOT_HEADS, rows, title="Slots of the right half")
        text.table(
            slot_station_heads(design),
            slot_station_rows(design),
            title="Slots, behind the leading edge at stations from the centre line [mm]",
        )
        for line in slot_words(design):
            text.paragraph(line)
    if rows := body_part_rows(design):
        text.table(PART_HEADS, rows, title="Bays, lids, joiner, pockets, fins and gear")
        text.paragraph("A front is measured behind the leading edge at the middle of the part along the span.")
    title = "Heights of the wing as it lies level" if design.cut.beds_kept else "Washout jig"
    text.table(words.JIG_HEADS, words.jig_rows(design), title=title)
    text.paragraph(words.jig_words(design))


def _balance(text: TextSheets, design: Design) -> None:
    text.start("Balance and throws", partial(sketches.balance_sketch, design))
    text.table(words.PLACE_HEADS, words.mark_rows(design), title="Balance, marked on the underside left and right")
    for line in balance_sentences(design):
        text.paragraph(line)
    text.table(MOVE_HEADS, move_rows(design))
    text.paragraph(MOVE_NOTE)
    for line in gear_words.side_notes(design):
        text.paragraph(line)
    text.table(words.THROW_HEADS, words.throw_rows(design), title="Control throws at the trailing edge")
    text.paragraph(words.throw_words(design))
    text.head("Equipment, middle of each item")
    numbered = [
        (name if index == 0 else f"{index}  {name}", *places)
        for index, (name, *places) in enumerate(gear_words.gear_rows(design))
    ]
    text.table(gear_words.gear_heads(design), numbered)
    for line in gear_words.apart_notes(design):
        text.paragraph(line)


def _weigh(text: TextSheets, design: Design) -> None:
    text.start("Weigh", lines_to_write_on)
    text.table(words.MASS_HEADS, words.mass_rows(design), tick=True, title="Mass budget: tick off what is on the scale")
    text.paragraph(
        "A heavier item moves the balance and raises the stall speed: weigh as you build, and enter the true weights "
        "in the study."
    )
    if "not listed" in design.masses_g:
        text.paragraph(
            "Not listed is what the stock wing weighs beyond its list of parts: leads, glue, paint, tape, and gear "
            "that the study does not name. Weigh the finished wing to see it."
        )


def _measure(text: TextSheets, result: Result, design: Design) -> None:
    """Write what to measure on the finished wing. A result of an earlier version does not say it."""
    if rows := measure_rows(design):
        text.start(MEASURE_TITLE, lines_to_write_on)
        text.table(MEASURE_HEADS, rows, tick=True)
        for line in as_built_lines(result):
            text.paragraph(plain_text(line))


def _load(text: TextSheets, result: Result, design: Design) -> None:
    tests = [row for row in load_test_rows(result) if not row[0].startswith(_STOCK_ROW)]
    if not tests:
        return
    text.start("Load test", partial(sketches.bags_sketch, design))
    text.table(LOAD_TEST_HEADS, tests)
    text.table(
        BAG_HEADS[1:],
        [row[1:] for row in bag_rows(result) if not row[0].startswith(_STOCK_ROW)],
        title="Bags of the proof load, on each side",
    )
    for line in load_test_words(result):
        if not line.startswith(_STOCK_ROW):
            text.paragraph(line)


def _fly(text: TextSheets, result: Result, design: Design) -> None:
    text.start("First flights", own_sheet=True)
    for part in card_parts(result, design):
        text.head(part.title)
        for point in part.points:
            text.paragraph(plain_text(point), tick=True)
    text.start("After the flights", own_sheet=True)
    text.table(INSPECTION_HEADS, inspection_rows(), title=INSPECTION_TITLE)
    text.table(NOTE_HEADS, note_rows(), title="Write down after each flight")
    for line in note_words(result, design):
        text.paragraph(plain_text(line))
    _cautions(text, design)


def _cautions(text: TextSheets, design: Design) -> None:
    text.head("Cautions")
    for line in (*CAUTIONS, *(f"{flag[:1].upper()}{flag[1:]}." for flag in design.flags)):
        text.paragraph(line)


def save_build_sheet(
    result: Result,
    folder: str | Path,
    paper: str = "a4",
    with_dxf: bool = False,
    anyway: bool = False,
    sheet: Callable[[], bytes | None] | None = None,
) -> list[Path]:
    """Write build_sheet.pdf, templates/ and body.glb into a folder, or nothing if there is no wing to build.

    A wing that keeps its panels has no templates. Without the library trimesh there is no body.glb.

    ``sheet`` returns the build sheet if another process draws it. If the wing breaks a limit, raises LimitsViolated and
    writes nothing, unless ``anyway`` is set.

    Raises OSError if a file cannot be written.

    ::

        ts.buildsheet(ts.assess(study), "results/wing")
    """
    folder = Path(folder)
    content, design = sheet() if sheet else build_sheet(result, paper, anyway), wing_to_build(result)
    if content is None or design is None:
        return []
    written = [write_atomically(folder / "build_sheet.pdf", content)]
    with printed_in(result.units):
        plan = planform_drawing(design)
        drawings = [] if keeps_panels(design) else [*([plan] if plan else ()), *templates(design)]
        for drawing in drawings:
            written.append(write_atomically(folder / "templates" / f"{drawing.name}.svg", svg(drawing).encode("utf-8")))
            if with_dxf:
                file = folder / "templates" / f"{drawing.name}.dxf"
                written.append(write_atomically(file, dxf(drawing).encode("utf-8")))
    if design.body is not None and body_file_is_possible():
        written.append(write_atomically(folder / BODY_FILE, body_file(design.body)))
    return written
