"""Text of the study that `tradestudy new` writes: the answers with comments, and the next steps for the user."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tradestudy.catalogue import catalogue_parts
from tradestudy.files import as_typed
from tradestudy.quantities import IMPERIAL, METRIC, from_si, in_imperial

from .answers import QuestionAnswer, mass_text, power_text, read_answer, slot_type, toml_value
from .questions import NO_ANSWER, QUESTIONS, QUESTIONS_BY_NAME

_COMMENT_COLUMN = 36  # column at which comments start, unless the value is longer


def _comment_in(units: str, line: str) -> str:
    """Return a line whose comment is in a system of units. Values stay as they were typed."""
    return in_imperial(line) if units == IMPERIAL and line.startswith("# No ") else line


def study_text(name: str, answers: Mapping[str, QuestionAnswer], units: str = METRIC) -> str:
    """Return the study as TOML text with comments.

    ``answers`` must contain an answer to every question whose `Question.if_empty` is empty. ``units`` is one of
    `quantities.SYSTEMS`.
    """
    file = as_typed(f"{name}.toml")
    lines = [
        '# Measured at the bench and written by `tradestudy new`. Values are text with a unit, such as "52 in" or '
        '"1321 mm".',
        f"# Values that are not here are assumed; `tradestudy check {file}` lists them, each with its band.",
        "[study]",
        _line("name", name, "also names the folder of the results"),
        *([_line("units", units, "of all that is printed; each value may have its own")] if units != METRIC else []),
    ]
    for table in ("stock", "rods", "joiner", "power", "stretch"):
        bare = table == "rods" and answers["rods"].text == NO_ANSWER
        lines += ["", *(["# No rods: foam and covering carry all loads."] if bare else _table(table, answers))]
        if table == "stock":
            lines.append(
                "# Fins are assumed on the tips. Others: a table [[fin]] with from_centre, height, root_chord."
            )
        if table == "stretch" and answers["stretch"].values["stretch", "scheme"] == "scaled":
            lines.append(_line("keep", "sweep_angle", 'the longer panel keeps its sweep; "set_back" keeps the tip\'s'))
    lines += [_comment_in(units, line) for line in _equipment(answers)]
    lines += ["", *_table("known_flight", answers)]
    lines += [
        "",
        "# Next, in this order:",
        f"#   tradestudy check {file}    every assumed value and its effect: measure those next",
        f"#   tradestudy assess {file}   one stretched wing compared with the stock wing",
        f"#   tradestudy run {file}      the complete study, with its report",
        "# Results are estimates, not proof of airworthiness: load the finished wing on the bench before it flies.",
    ]
    return "\n".join(lines) + "\n"


def _table(table: str, answers: Mapping[str, QuestionAnswer]) -> list[str]:
    """Return the lines of one table. Keys without a value are written as comments, for the user to fill in."""
    rows, any_given = [], False
    for question in QUESTIONS:
        given = answers.get(question.name, QuestionAnswer("")).values
        if not any(slot.table == table for slot in question.slots):
            continue
        usual = read_answer(question, question.example, Path()).values
        for slot in question.slots:
            place = (slot.table, slot.key)
            if place in given:
                rows.append(_line(slot.key, given[place], slot.comment))
            elif place in usual:
                rows.append(_line(slot.key, usual[place], f"left out: {slot.comment}", given=False))
            any_given = any_given or place in given
    return [f"{'' if any_given else '# '}[{table}]", *rows]


USUAL_MOUNTS = (("motor mount", 1), ("servo horn and rod", 2), ("hatch edge", 2))  # (kind of drag item, count)


def _equipment(answers: Mapping[str, QuestionAnswer]) -> list[str]:
    """Return the lines of the tables [[equipment]] and [[drag_item]]."""
    names = answers.get("equipment", QuestionAnswer("")).ticked
    if not names:
        return ["", "# No [[equipment]] and [[drag_item]] are listed yet: 6 W and 20 cm2 are assumed for them."]
    chord = QUESTIONS_BY_NAME["chords"].slots[0]
    root = slot_type(chord).read(answers["chords"].values[chord.table, chord.key])
    lines, drag_lines = [], []
    for name in names:
        part = catalogue_parts("equipment")[name]
        band = part["band"]
        lines += [
            "",
            "[[equipment]]",
            _line("name", name, f"common values, could be {band}"),
            _line("mass", mass_text(part), "weigh yours, with its leads"),
            _line(
                "from_nose",
                f"{from_si(part['place_share'] * root, 'mm', 'length'):.0f} mm",
                "a guess: measure from the nose to its middle",
            ),
            _line("power", power_text(part), "mean electric power in flight"),
        ]
        if "drag_area" in part:
            drag_lines += [
                "",
                "[[drag_item]]",
                _line("kind", name, "the part of it in the air stream"),
                _line(
                    "drag_area", f"{from_si(part['drag_area'], 'cm2', 'area'):.4g} cm2", "drag over dynamic pressure"
                ),
            ]
    for kind, count in USUAL_MOUNTS:
        drag_lines += [
            "",
            "[[drag_item]]",
            _line("kind", kind, "from the catalogue of drag items"),
            _line("count", count, "how many of them"),
        ]
    return lines + drag_lines


def _line(key: str, value: Any, comment: str, given: bool = True) -> str:
    return f"{'' if given else '# '}{key} = {toml_value(value)}".ljust(_COMMENT_COLUMN) + f"  # {comment}"
