"""What breaks first and where, what twist and linkage leave of control: the stretched wing beside the stock one."""

from __future__ import annotations

from tradestudy.report.placed import fill
from tradestudy.results.design import Design
from tradestudy.results.result import Result
from tradestudy.results.structure import StructureCheck

from .phrases import CONDITION_WORDS, NUMBER_WORDS, design_number, number_text, stretched_wing
from .purpose import number_words

LOAD_HEADS = (
    "Load",
    "Wing",
    "Asked [g]",
    "Breaks at [g]",
    "Weak materials [g]",
    "Tips rise [mm]",
    "What breaks first, and how far from the centre line",
)
CHECK_HEADS = ("Checked apart", "Wing", "Load", "Asked [g]", "Breaks at [g]", "What, and how far from the centre line")
# How far the wing obeys: these stand in the structure's own table, all others side by side.
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
PROVEN_BY_PRACTICE = 0.5  # deg of free play that common practice allows; no source
TAKE_CARE = "Take care: "
NOT_COMPUTED = (
    "NOT COMPUTED: flutter of the elevons about their hinges. Keep elevons light, stiff and without slop; a fast wing "
    "wants them mass-balanced (common practice, no source)."
)
NO_LINKAGE = (
    "NOT COMPUTED: whether the servos hold the elevons at speed, and what free play and a soft linkage give away. The "
    "study has no [linkage]: servo_torque, servo_arm and horn are enough for a start."
)
LANDED = (
    "The cut centre, splices, belly landing and launch are told here; of them the search holds only what the load "
    "cases above hold."
)


def load_rows(result: Result) -> list[tuple[str, ...]]:
    """Return a row of text under LOAD_HEADS for each load case of the stock wing and of the stretched one."""
    wings = _wings(result)
    return [(_condition(row.condition), name, number_text(row.load_factor, 1),
             number_text(row.failure_load_factor, 1), number_text(row.weak_failure_load_factor, 1),
             number_text(row.tip_deflection_mm), fill("{}, {} mm", row.mode, number_text(row.at_mm)))
            for index in range(max(len(design.structure) for _, design in wings))
            for name, design in wings for row in design.structure[index: index + 1]]  # fmt: skip


def check_rows(result: Result) -> list[tuple[str, ...]]:
    """Return a row of text under CHECK_HEADS for each thing checked apart from the load cases."""
    wings = _wings(result)
    kinds = dict.fromkeys(_kind(row) for _, design in wings for row in design.structure_checks)
    return [(kind, name, _condition(row.condition), number_text(row.load_factor, 1),
             "does not" if row.failure_load_factor is None else number_text(row.failure_load_factor, 1),
             fill("{}, {} mm", row.mode, number_text(row.at_mm)))
            for kind in kinds for name, design in wings for row in design.structure_checks
            if _kind(row) == kind]  # fmt: skip


def check_notes(result: Result) -> list[str]:
    """Return what must be known of the rows checked apart, one text each; by wing where it differs."""
    told_of: dict[str, dict[str, str]] = {}
    for name, design in _wings(result):
        for row in design.structure_checks:
            if row.note:
                told_of.setdefault(_kind(row), {})[name] = row.note
    notes = []
    for kind, by_wing in told_of.items():
        if len(set(by_wing.values())) == 1:
            by_wing = {"": next(iter(by_wing.values()))}
        notes += [
            fill("{}{}{}: {}.", kind[:1].upper(), kind[1:], fill(", {} wing", name) if name else "", note)
            for name, note in by_wing.items()
        ]
    return notes + ([LANDED] if notes else [])


def control_rows(result: Result) -> list[tuple[str, str, list[str]]]:
    """Return rows of (words, unit, one text for each wing) on how far the wing obeys; without what nobody knows."""
    wings = [design for _, design in _wings(result)]
    return [(number_words(key, NUMBER_WORDS[key][0], result), NUMBER_WORDS[key][1], [design_number(wing, key) for wing in wings])
            for key in CONTROL_KEYS
            if key.endswith("_kmh") or any(getattr(wing.numbers, key) is not None for wing in wings)]  # fmt: skip


def structure_words(result: Result) -> list[str]:
    """Return the structure in sentences, the most pressing first."""
    wings = _wings(result)
    words = [_breaks_words(name, design) for name, design in wings if design.structure]
    words += [line for name, design in wings for line in _weak_words(name, design)]
    words += [line for name, design in wings for line in _centre_words(name, design)]
    return words


def control_words(result: Result) -> list[str]:
    """Return how far stock and stretched wing obey, and what was not computed, one text each."""
    wings = _wings(result)
    words = [_control_words(name, design) for name, design in wings if design.numbers.roll_reversal_kmh]
    for name, design in wings:
        words += _servo_words(name, design)
    play = result.stock.numbers.elevon_play_deg
    if play is not None and play > PROVEN_BY_PRACTICE:
        words.append(
            fill(
                "{}free play of {} deg at the elevon is more than the half degree of common practice (no "
                "source): tighten the linkage before flying fast.",
                TAKE_CARE,
                number_text(play, 1),
            )
        )
    return [*words, *([NO_LINKAGE] if result.stock.numbers.servo_torque_ncm is None else []), NOT_COMPUTED]


def _wings(result: Result) -> list[tuple[str, Design]]:
    design = stretched_wing(result)
    return [("stock", result.stock), *([("stretched", design)] if design else [])]


def _condition(name: str) -> str:
    return CONDITION_WORDS.get(name.replace(" ", "_"), name)


def _kind(row: StructureCheck) -> str:
    """What a row checks: ground loads by their own name."""
    return row.condition if row.what == "ground load" else row.what


def _breaks_words(name: str, design: Design) -> str:
    numbers = design.numbers
    return fill(
        "The {} wing breaks at {} g in the hardest pull-up, first by {} {}; fly it to no more than {} g. "
        "Its tips rise {} mm in that pull-up.",
        name,
        number_text(numbers.failure_load_factor, 1),
        numbers.first_failure,
        _out(numbers.first_failure_at_mm),
        number_text(numbers.limit_load_factor, 1),
        number_text(numbers.tip_deflection_mm),
    )


def _weak_words(name: str, design: Design) -> list[str]:
    """Return the load case in which weak materials come nearest to what is asked."""
    shares = [
        (row.weak_failure_load_factor / row.load_factor, row)
        for row in design.structure
        if row.weak_failure_load_factor and row.load_factor
    ]
    if not shares:
        return []
    share, row = min(shares, key=lambda pair: pair[0])
    words = fill(
        "With every material at the weak end of what is known, the {} leaves least in hand: the {} wing "
        "breaks at {} times the load asked for.",
        _condition(row.condition),
        name,
        number_text(share, 2),
    )
    return [words + (" That is less than what is asked: do not fly it like this." if share < 1 else "")]


def _centre_words(name: str, design: Design) -> list[str]:
    """Return how the cut centre stands by itself, where that is not already the first to go."""
    row = next((row for row in design.structure_checks if row.what == "cut centre"), None)
    if row is None or row.failure_load_factor is None or row.mode == design.numbers.first_failure:
        return []
    return [
        fill(
            "The cut centre of the {} wing by itself goes at {} g ({}): {}.",
            name,
            number_text(row.failure_load_factor, 1),
            _condition(row.condition),
            row.mode,
        )
    ]


def _control_words(name: str, design: Design) -> str:
    return fill(
        "Twist takes the {} wing's roll control away as it flies faster: {} km/h leaves 0.4 of it, at {} "
        "it is gone ({} with the film gone loose); full throttle reaches {}.",
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
            "{}full elevon at top speed asks {} N cm of each servo of the {} wing, reserve included; they "
            "have {}. Up to {} km/h they hold.",
            TAKE_CARE,
            number_text(needed, 1),
            name,
            number_text(has, 1),
            design_number(design, "servo_speed_kmh"),
        )
    ]


def _out(at_mm: float) -> str:
    return "at the centre line" if at_mm < 1 else fill("{} mm from the centre line", number_text(at_mm))
