"""Rows and sentences on what breaks first and where, and on the control that is left at high speed.

They cover the stock wing and the stretched wing. Control is lost as the wing twists and the linkage bends.
"""

from __future__ import annotations

from tradestudy.report.placed import fill
from tradestudy.results.design import Design
from tradestudy.results.result import Result
from tradestudy.results.structure import StructureCheck

from .phrases import (
    CONDITION_WORDS,
    NUMBER_WORDS,
    Rows,
    design_number,
    from_centre,
    number_text,
    stock_and_stretched,
    with_capital,
)
from .purpose import number_words

LOAD_HEADS = (
    "Load",
    "Wing",
    "Must carry [times its weight]",
    "Breaks at [times its weight]",
    "With weak materials [times its weight]",
    "Tips rise [mm]",
    "What breaks first, and how far from the centre line",
)
CHECK_HEADS = (
    "Separate check",
    "Wing",
    "Load",
    "Must carry [times its weight]",
    "Breaks at [times its weight]",
    "What, and how far from the centre line",
)
# numbers on control at speed, which are shown in their own table
CONTROL_KEYS = (
    "control_speed_kmh",
    "control_speed_weak_kmh",
    "roll_reversal_kmh",
    "roll_reversal_weak_kmh",
    "pitch_reversal_kmh",
    "twist_off_kmh",
    "natural_frequency_hz",
    "second_natural_frequency_hz",
    "flutter_low_kmh",
    "flutter_kmh",
    "flutter_high_kmh",
    "servo_torque_ncm",
    "servo_needed_ncm",
    "servo_speed_kmh",
    "hinge_moment_ncm",
    "elevon_left_pct",
    "elevon_play_deg",
    "elevon_natural_frequency_hz",
    "elevon_unbalance_gcm",
)
_MOST_PLAY = 0.5  # deg of free play that common practice allows; no source
TAKE_CARE = "Take care: "
_NOT_COMPUTED = (
    "NOT COMPUTED: flutter of the elevons about their hinges. Keep elevons light, stiff and without play; a fast wing "
    "needs them mass-balanced (common practice, no source)."
)
_NO_LINKAGE = (
    "NOT COMPUTED: how far the servos hold the elevons, and how much free play and a soft linkage lose. The study has "
    "no [linkage]: servo_torque, servo_arm and horn are enough to begin with. Usual servos are assumed for their limit."
)
_CHECKS_NOTE = (
    "The cut centre, laps, splices, belly landing and launch are reported here. The search constrains them only as "
    "far as the load cases above do."
)


def load_rows(result: Result) -> Rows:
    """Return one row for each load case of the stock wing and of the stretched one, with the columns of LOAD_HEADS."""
    wings = stock_and_stretched(result)
    return [
        (
            _condition(row.condition),
            name,
            number_text(row.load_factor, 1),
            number_text(row.failure_load_factor, 1),
            number_text(row.weak_failure_load_factor, 1),
            number_text(row.tip_deflection_mm),
            fill("{}, {} mm", row.mode, number_text(row.at_mm)),
        )
        for index in range(max(len(design.structure) for _, design in wings))
        for name, design in wings
        for row in design.structure[index : index + 1]
    ]


def check_rows(result: Result) -> Rows:
    """Return one row for each check outside the load cases, with the columns of CHECK_HEADS."""
    wings = stock_and_stretched(result)
    kinds = dict.fromkeys(_kind(row) for _, design in wings for row in design.structure_checks)
    return [
        (
            kind,
            name,
            _condition(row.condition),
            number_text(row.load_factor, 1),
            "never" if row.failure_load_factor is None else number_text(row.failure_load_factor, 1),
            fill("{}, {} mm", row.mode, number_text(row.at_mm)),
        )
        for kind in kinds
        for name, design in wings
        for row in design.structure_checks
        if _kind(row) == kind
    ]


def check_notes(result: Result) -> list[str]:
    """Return one text for each note on the separate checks. Notes that differ between the wings name the wing."""
    notes_by_kind: dict[str, dict[str, str]] = {}
    for name, design in stock_and_stretched(result):
        for row in design.structure_checks:
            if row.note:
                notes_by_kind.setdefault(_kind(row), {})[name] = row.note
    notes = []
    for kind, by_wing in notes_by_kind.items():
        if len(set(by_wing.values())) == 1:
            by_wing = {"": next(iter(by_wing.values()))}
        notes += [
            fill("{}{}: {}.", with_capital(kind), fill(", {} wing", name) if name else "", note)
            for name, note in by_wing.items()
        ]
    return notes + ([_CHECKS_NOTE] if notes else [])


def control_rows(result: Result) -> list[tuple[str, str, list[str]]]:
    """Return rows (words, unit, one text for each wing) on control at speed.

    Numbers that are unknown for all wings are left out, except speeds.
    """
    wings = [design for _, design in stock_and_stretched(result)]
    return [
        (
            number_words(key, NUMBER_WORDS[key][0], result),
            NUMBER_WORDS[key][1],
            [design_number(wing, key) for wing in wings],
        )
        for key in CONTROL_KEYS
        if key.endswith("_kmh") or any(getattr(wing.numbers, key) is not None for wing in wings)
    ]


def structure_words(result: Result) -> list[str]:
    """Return sentences on the strength of the wings, most important first."""
    wings = stock_and_stretched(result)
    words = [_breaks_words(name, design) for name, design in wings if design.structure]
    words += [line for name, design in wings for line in _weak_words(name, design)]
    words += [line for name, design in wings for line in _centre_words(name, design)]
    return words


def control_words(result: Result) -> list[str]:
    """Return texts on the control that both wings keep at speed, and on what was not computed."""
    wings = stock_and_stretched(result)
    words = [_control_words(name, design) for name, design in wings if design.numbers.roll_reversal_kmh]
    for name, design in wings:
        words += _servo_words(name, design)
    play = result.stock.numbers.elevon_play_deg
    if play is not None and play > _MOST_PLAY:
        words.append(
            fill(
                "{}free play of {} deg at the elevon is more than the half degree of common practice (no source): "
                "tighten the linkage before flying fast.",
                TAKE_CARE,
                number_text(play, 1),
            )
        )
    return [*words, *([_NO_LINKAGE] if result.stock.numbers.servo_torque_ncm is None else []), _NOT_COMPUTED]


def _condition(name: str) -> str:
    return CONDITION_WORDS.get(name.replace(" ", "_"), name)


def _kind(row: StructureCheck) -> str:
    """Return the name of a check. For ground loads it is the name of the load."""
    return row.condition if row.what == "ground load" else row.what


def _breaks_words(name: str, design: Design) -> str:
    numbers = design.numbers
    return fill(
        "The {} wing breaks at {} times its weight in the hardest pull-up. First goes: {}, {}. Fly it to no more than "
        "{} times its weight. Its tips rise {} mm in that pull-up.",
        name,
        number_text(numbers.failure_load_factor, 1),
        numbers.first_failure,
        from_centre(numbers.first_failure_at_mm),
        number_text(numbers.limit_load_factor, 1),
        number_text(numbers.tip_deflection_mm),
    )


def _weak_words(name: str, design: Design) -> list[str]:
    """Return a sentence on the load case in which weak materials leave the smallest margin."""
    shares = [
        (row.weak_failure_load_factor / row.load_factor, row)
        for row in design.structure
        if row.weak_failure_load_factor and row.load_factor
    ]
    if not shares:
        return []
    share, row = min(shares, key=lambda pair: pair[0])
    words = fill(
        "With every material at the weak end of its band, the smallest margin is in the {}: the {} wing breaks at {} "
        "times the required load.",
        _condition(row.condition),
        name,
        number_text(share, 2),
    )
    return [words + (" That is less than required: do not fly it like this." if share < 1 else "")]


def _centre_words(name: str, design: Design) -> list[str]:
    """Return a sentence on the strength of the cut centre section, unless it is what breaks first."""
    row = next((row for row in design.structure_checks if row.what == "cut centre"), None)
    if row is None or row.failure_load_factor is None or row.mode == design.numbers.first_failure:
        return []
    return [
        fill(
            "The cut centre of the {} wing by itself breaks at {} times the weight ({}): {}.",
            name,
            number_text(row.failure_load_factor, 1),
            _condition(row.condition),
            row.mode,
        )
    ]


def _control_words(name: str, design: Design) -> str:
    return fill(
        "Twist takes away the {} wing's roll control as it flies faster. Of it, 40 % is left at {} km/h and none at {} "
        "km/h ({} km/h with the film debonded). Full throttle reaches {} km/h.",
        name,
        design_number(design, "control_speed_kmh"),
        design_number(design, "roll_reversal_kmh"),
        design_number(design, "roll_reversal_weak_kmh"),
        design_number(design, "top_speed_kmh"),
    )


def _servo_words(name: str, design: Design) -> list[str]:
    needed, has = (getattr(design.numbers, key) for key in ("servo_needed_ncm", "servo_torque_ncm"))
    if needed is None or has is None or needed <= has:
        return []
    return [
        fill(
            "{}full elevon at top speed needs {} N cm from each servo of the {} wing, reserve included; they have {}. "
            "They are strong enough up to {} km/h.",
            TAKE_CARE,
            number_text(needed, 1),
            name,
            number_text(has, 1),
            design_number(design, "servo_speed_kmh"),
        )
    ]
