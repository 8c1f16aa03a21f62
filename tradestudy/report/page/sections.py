"""The sections of the page below its figures. Each has a title, paragraphs, tables and notes from `report.words`."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from markupsafe import Markup

from tradestudy.quantities import in_unit, is_imperial
from tradestudy.report.balance_words import MOVE_HEADS, MOVE_NOTE, balance_sentences, move_rows
from tradestudy.report.first_flight import INSPECTION_HEADS, INSPECTION_TITLE, card_parts, inspection_rows, note_words
from tradestudy.report.placed import fill, join
from tradestudy.report.second_opinion_words import OPINION_HEADS, opinion_rows, opinion_words
from tradestudy.report.tolerance_words import (
    LIMIT_HEADS,
    MEASURE_HEADS,
    MEASURE_TITLE,
    TOLERANCE_HEADS,
    as_built_lines,
    as_built_rows,
    measure_rows,
    tolerance_rows,
)
from tradestudy.report.words import club, limit_prices, structure
from tradestudy.report.words.flight_tables import (
    DRAG_NOTE,
    MISSION_HEADS,
    MISSION_NOTE,
    PART_NOTE,
    WATT_HEADS,
    drag_heads,
    drag_rows,
    glide_words,
    mission_rows,
    mission_words,
    part_heads,
    part_names,
    part_rows,
    part_words,
    watt_rows,
    watt_words,
)
from tradestudy.report.words.gains import is_as_today, keeps_panels
from tradestudy.report.words.input_effects import (
    LEDGER_HEADS,
    LEDGER_WORDS,
    assumed_inputs,
    ledger_rows,
    ledger_sources,
    measurement_rows,
    uncertainty_words,
)
from tradestudy.report.words.limit_prices import (
    RULE_HEADS,
    RULE_NOTE,
    robust_heads,
    robust_rows,
    robust_words,
    rule_rows,
    slack_heads,
    slack_rows,
    slack_words,
)
from tradestudy.report.words.load_test import (
    BAG_HEADS,
    LOAD_TEST_HEADS,
    bag_rows,
    load_test_rows,
    load_test_words,
)
from tradestudy.report.words.number_table import section_heads, section_notes, section_rows
from tradestudy.report.words.phrases import (
    Rows,
    choice_words,
    design_number,
    gain_text,
    limit_words,
    number_text,
    search_words,
    short_number,
    stock_and_stretched,
    stopping_limits,
    stretched_wing,
    violated_limit_words,
    with_capital,
)
from tradestudy.report.words.purpose import measure
from tradestudy.report.words.verdicts import HANDLING_NOTE, verdicts
from tradestudy.results.result import Result

from .section_parts import PageSection, Part, Table

_APOSTROPHE = "\N{RIGHT SINGLE QUOTATION MARK}"


def report_sections(result: Result) -> list[PageSection]:
    """Return the sections for which the Result holds data, in the order of the page."""
    load_test = [
        *_part(Table(LOAD_TEST_HEADS, load_test_rows(result)), notes=load_test_words(result)),
        *_part(Table(BAG_HEADS, bag_rows(result), numbers=(1, 2, 3)), title="Bags of the proof load, on each side"),
    ]
    drag = Table(drag_heads(result), drag_rows(result), numbers=range(1, len(drag_heads(result)) - 1))
    slack = Table(slack_heads(result), slack_rows(result), numbers=(2,))
    robust = Table(robust_heads(result), robust_rows(result), numbers=(1, 2))
    sure = Table(limit_prices.sure_heads(result), limit_prices.sure_rows(result), numbers=(1, 2, 3))
    ledger = Table(LEDGER_HEADS, ledger_rows(result), numbers=(2, 3, 4, 6), units=(5,))
    airfoils = unit_last(["Number", *section_heads(result)], section_rows(result))
    sections = [
        PageSection("handling", "Handling", "How it will handle", _handling(result)),
        PageSection("balance", "Balance", "Where it balances", _balance(result)),
        PageSection("power", "Power", "Where the power goes", _power(result)),
        PageSection("mission", "Mission", "The mission, part by part", _mission(result)),
        PageSection("compared", "Parts", "Propellers, motors and packs on this wing", _compared(result)),
        PageSection("drag", "Drag", "What makes the drag in cruise", _part(drag, [*glide_words(result), DRAG_NOTE])),
        PageSection("second", "Second opinion", "What another lattice finds", _second_opinion(result)),
        PageSection("structure", "Structure", "What breaks first, and where", _structure(result)),
        PageSection("control", "Control", "Control at high speed", _control(result)),
        PageSection("load-test", "Load test", "Load test on the bench", load_test),
        PageSection("first-flight", "First flight", "First-flight card", _first_flight(result)),
        PageSection("places", "Positions", "Where the equipment goes", _places(result)),
        PageSection("limits", "Limits", "Every limit", _limits(result)),
        PageSection("as-built", "Workshop", "Out of the shop", _as_built(result)),
        PageSection("slack", "Slack", "What relaxing a limit would gain", _part(slack, slack_words(result))),
        PageSection(
            "robust",
            "Robust wing",
            "The robust wing",
            [*_part(robust, robust_words(result)), *_part(sure, title=limit_prices.SURE_TITLE)],
        ),
        PageSection("others", "Other wings", "Other wings to consider", _others(result)),
        PageSection("measured", "Stock wing", "The stock wing, measured and modelled", _calibration(result)),
        PageSection("section", "Section", "The section", _part(airfoils, section_notes(result))),
        PageSection("club", f"Members{_APOSTROPHE} wings", f"Each member{_APOSTROPHE}s wing", _club(result)),
        PageSection("shopping", "Shopping", "Shopping list", _shopping(result)),
        PageSection("believe", "Believe", "What to believe", _part(ledger, LEDGER_WORDS, ledger_sources(result))),
        PageSection("assumed", "Assumed", "What was assumed", _assumed(result)),
    ]
    return [section for section in sections if section.parts]


def flags(result: Result) -> list[str]:
    """Return the warnings about each wing, then the notes on models and study."""
    wings = stock_and_stretched(result)
    return [
        *(fill("{} wing: {}.", name.capitalize(), flag) for name, design in wings for flag in design.flags),
        *(fill("{}.", with_capital(note)).replace("..", ".") for note in result.notes),
    ]


def _strong(words: str, strong: bool = True) -> str:
    return Markup("<strong>{}</strong>").format(words) if strong else words


def _code(words: str) -> str:
    return Markup("<code>{}</code>").format(words)


def _part(table: Table, paragraphs: Sequence[str] = (), notes: Sequence[str] = (), title: str = "") -> list[Part]:
    """Return a list of one part with this table, or an empty list if the table has no rows."""
    return [Part(paragraphs, table, notes, title)] if table.rows else []


def _handling(result: Result) -> list[Part]:
    rows = [(row.what, row.stock, row.stretched, _strong(row.words, row.warns)) for row in verdicts(result)]
    return _part(Table(["Property", "Stock", "Stretched", "In plain words"], rows), [HANDLING_NOTE])


def _as_built(result: Result) -> list[Part]:
    design = stretched_wing(result)
    checks = measure_rows(design) if design is not None and design.cutting else []
    return [
        *([Part(lines)] if (lines := as_built_lines(result)) else []),
        *_part(Table(LIMIT_HEADS, as_built_rows(result), numbers=(1, 2, 3))),
        *_part(Table(TOLERANCE_HEADS, tolerance_rows(result), numbers=(3,))),
        *_part(Table(MEASURE_HEADS, checks), title=MEASURE_TITLE),
    ]


def _balance(result: Result) -> list[Part]:
    return [
        Part(
            balance_sentences(design),
            Table(MOVE_HEADS, move_rows(design), numbers=(1,)) if move_rows(design) else None,
            [MOVE_NOTE] if move_rows(design) else [],
            fill("{} wing", name.capitalize()),
        )
        for name, design in reversed(stock_and_stretched(result))
        if design.balance
    ]


def _power(result: Result) -> list[Part]:
    wings = [design for _, design in reversed(stock_and_stretched(result))]
    return [
        part
        for design in wings
        for part in _part(
            Table(WATT_HEADS, watt_rows(design), numbers=range(1, 5), total=True), [watt_words(result, design)]
        )
    ]


def _mission(result: Result) -> list[Part]:
    wings = [(name, design) for name, design in reversed(stock_and_stretched(result)) if design.mission]
    parts = [
        Part(
            [_strong(mission_words(design), bool(design.mission and design.mission.end_reason))],
            Table(MISSION_HEADS, mission_rows(design), numbers=range(1, 9), total=True),
            title=fill("{} wing", name.capitalize()),
        )
        for name, design in wings
    ]
    return [*parts, Part([MISSION_NOTE])] if parts else []


def _compared(result: Result) -> list[Part]:
    table = Table(part_heads(result), part_rows(result), numbers=range(1, 10), sorts=True)
    parts = _part(table, [*part_names(result), *part_words(result)])
    return [*parts, Part([PART_NOTE])] if parts else []


def _second_opinion(result: Result) -> list[Part]:
    return [
        part
        for name, design in reversed(stock_and_stretched(result))
        for part in _part(
            unit_last(OPINION_HEADS, opinion_rows(design)),
            opinion_words(design),
            title=fill("{} wing", name.capitalize()),
        )
    ]


def _structure(result: Result) -> list[Part]:
    cases = Table(structure.LOAD_HEADS, structure.load_rows(result), numbers=range(2, 6))
    checks = Table(structure.CHECK_HEADS, structure.check_rows(result), numbers=(3, 4))
    title = "The cut centre, splices, launch and landing"
    return [
        *_part(cases, structure.structure_words(result)),
        *_part(checks, notes=structure.check_notes(result), title=title),
    ]


def _control(result: Result) -> list[Part]:
    if not structure.load_rows(result):
        return []
    lines = []
    for line in structure.control_words(result):
        lead, colon, rest = line.partition(": ")
        warns = line.startswith((structure.TAKE_CARE, "NOT COMPUTED"))
        lines.append(_strong(lead + ":") + " " + rest if warns and colon else line)
    wings = [name.capitalize() for name, _ in stock_and_stretched(result)]
    return _part(unit_last(["Number", *wings], structure.control_rows(result)), lines)


def _first_flight(result: Result) -> list[Part]:
    design = stretched_wing(result)
    if design is None or not design.cutting or is_as_today(design, result.stock):
        return []
    parts = [Part(notes=part.points, title=part.title) for part in card_parts(result, design)]
    checks = Part(table=Table(INSPECTION_HEADS, inspection_rows()), title=INSPECTION_TITLE)
    note = "After each flight: time, mAh put back, distance, wind, and the share of time at full throttle."
    return [*parts, checks, Part([note, *note_words(result, design)], title="Write down")]


def unit_last(heads: Sequence[str], rows: Iterable[tuple[str, str, list[str]]]) -> Table:
    """Return a table of rows (words, unit, texts), with the unit moved to the last column."""
    last = len(heads)
    cells = [(words, *texts, unit) for words, unit, texts in rows]
    return Table([*heads, "Unit"], cells, numbers=range(1, last), units=(last,))


def _places(result: Result) -> list[Part]:
    design = stretched_wing(result) or result.stock
    rows = [(each.name, number_text(each.x_mm), number_text(each.mass_g)) for each in design.outline.equipment]
    packs, grams = design.outline.packs, design.masses_g.get("pack")
    for number, pack in enumerate(packs, 1):
        out = f", half of it on each side, {number_text(pack.from_centre_mm)} mm out" if pack.from_centre_mm else ""
        name = f"pack, half {number} of 2, middle" if len(packs) > 1 else f"pack, middle{out}"
        rows.append((name, number_text(pack.x_mm), number_text(grams / len(packs) if grams else None)))
    return _part(Table(["Part", "Behind the nose [mm]", "Weight [g]"], rows, numbers=(1, 2)))


def _limits(result: Result) -> list[Part]:
    design, holds = stretched_wing(result) or result.stock, result.spread.met_share if result.spread else {}
    rows = []
    for state in design.limits:
        standing = _strong("broken") if not state.met else Markup("<b>active</b>") if state.active else "met"
        met = number_text(in_unit(holds[state.name], "%")) if state.name in holds else ""
        rows.append(
            (
                limit_words(state.name, design),
                short_number(state.value),
                fill("{} {}", state.side, short_number(state.bound)).strip(),
                state.unit,
                state.whose,
                state.origin,
                standing,
                *([met] if result.spread else []),
            )
        )
    met_in = ["Met in [%]"] if result.spread else []
    heads = ["Limit", "This wing", "Bound", "Unit", "From", "Set by", "State", *met_in]
    lead = "Met in: how many of a hundred draws of all uncertain inputs. On an active limit it is about half of them."
    table = Table(heads, rows, numbers=(1, 2, 7), units=(3,), sorts=True)
    stopping = _part(Table(RULE_HEADS, rule_rows(result)), [RULE_NOTE], title="What each active rule costs")
    flips = Table(limit_prices.FLIP_HEADS, limit_prices.flip_rows(result))
    flipping = _part(flips, limit_prices.flip_words(result), title="What flips the answer")
    return [*stopping, *flipping, *_part(table, [lead] if result.spread else [])]


def _others(result: Result) -> list[Part]:
    rows, known = [], measure(result)
    for design in (*result.alternatives, *result.steps):
        violated, limiting = violated_limit_words(design), join(", ", stopping_limits(design, result))
        rows.append(
            (
                design.label,
                choice_words(design),
                design_number(design, "span_mm"),
                design_number(design, "auw_g"),
                gain_text(getattr(design.numbers, known.key)),
                _strong(fill("breaks: {}", join(", ", violated))) if violated else limiting or "nothing",
            )
        )
    gain = fill("{} [{}]", known.axis.capitalize(), known.unit)
    heads = ["Wing", "Built with", "Span [mm]", "Flying weight [g]", gain, "What limits it"]
    parts = _part(Table(heads, rows, numbers=(2, 3, 4), sorts=True))
    if parts and result.solved:
        parts.append(Part([search_words(result)]))
    if parts and result.excluded:
        parts.append(Part(notes=result.excluded, title="Excluded"))
    return parts


def _calibration(result: Result) -> list[Part]:
    rows = [
        (row.what, *(number_text(value, 1) for value in (row.measured, row.before, row.after)), row.unit, row.how)
        for row in result.calibration
    ]
    heads = ["Measurement", "Measured", "Model before", "Model after", "Unit", "Calibrated by"]
    lead = "How the model is calibrated to the wing that flies. The same calibration applies to every stretched wing."
    parts = _part(Table(heads, rows, numbers=(1, 2, 3), units=(4,)), [lead], result.calibration_notes)
    return parts or ([Part(notes=result.calibration_notes)] if result.calibration_notes else [])


def _club(result: Result) -> list[Part]:
    heads = club.club_heads()
    rows = [(*row[:-1], _strong(row[-1], row[-1] != "nothing")) for row in club.club_rows(result)]
    lead = fill(
        "One airframe, each with its own equipment on board. {} The pack is moved to reach that mark.",
        club.mark_words(result),
    )
    table = Table(heads, rows, numbers=range(1, len(heads) - 1), sorts=True)
    heads = club.club_span_heads(result)
    spans = Table(heads, club.club_span_rows(result), numbers=range(1, len(heads) - 1))
    over = _part(spans, club.club_span_words(result), [club.SPAN_NOTE], "At each span")
    return [*_part(table, [lead], club.balance_lines(result)), *over]


def _shopping(result: Result) -> list[Part]:
    wings, design = club.wings_to_build(result), stretched_wing(result)
    how = "whose panels stay" if design is not None and keeps_panels(design) else "built new"
    lead = fill("For one wing, {}.", how) if wings == 1 else fill("For {} wings, {}.", wings, how)
    table = Table(club.shopping_heads(result), club.shopping_rows(result), numbers=(2, 3, 5), units=(4,))
    words = [lead, *club.price_words(result), *filter(None, [club.owned_words(result)])]
    return _part(table, words, club.cutting_lines(result))


def _assumed(result: Result) -> list[Part]:
    effects, known = uncertainty_words(result), bool(result.uncertainty)
    changed = ["Range [km]", "Balance [mm]", "Breaks at [times its weight]"]
    rows: Rows = []
    for each, changes in assumed_inputs(result):
        value = Markup("{}<br><small>{}</small>").format(each.value, each.origin)
        last = [changes[name] for name in ("range_km", "balance_mm", "failure_load_factor")] if known else [each.moves]
        rows.append((_code(each.key), value, each.band, *last))
    lead = (
        "The study file does not give these; the largest effects are first. Three columns show the changes at the low "
        "and at the high end of the band."
        if known
        else "The study file does not give these."
    )
    heads = ["Key", "Assumed", "Could be", *(changed if known else ["Affects"])]
    own = [(_code(key), *rest) for key, *rest in measurement_rows(result)]
    own_heads = ["Key", "Measured", "Off by", *changed[:2], "Pack [mm]", changed[2]]
    moot = "card.unit" if is_imperial() else ""
    left_open = (each for each in result.defaults_used if each.is_choice and each.key != moot)
    choices = [(_code(each.key), each.value, each.origin) for each in left_open]
    parts = [
        Part(effects),
        *_part(Table(heads, rows, numbers=range(3, 6) if known else (), sorts=True), [lead]),
        *_part(Table(own_heads, own, numbers=range(3, 7), sorts=True), title="How accurately you measured"),
        *_part(Table(["Key", "Value used", "Because"], choices), title="Your choices that the study leaves open"),
    ]
    if not result.defaults_used:
        parts.append(Part(["The study file gives everything; no default was used."]))
    if lines := flags(result):
        parts.append(Part(notes=lines, title="Flags and notes"))
    return parts
