"""Words on a wing that breaks limits: by how much, the warning on its cards and sheets, or why it gets none.

Where nothing fits, they tell what to change in the study: the changes together, then those that suffice alone.
"""

from __future__ import annotations

from typing import NamedTuple

from tradestudy.quantities import printed
from tradestudy.quantities.limit_remedies import REMEDIES, ROOM_FOR_PACK
from tradestudy.quantities.limits import ROOM
from tradestudy.report.placed import fill, join
from tradestudy.results.design import Design, LimitState
from tradestudy.results.result import Result
from tradestudy.results.trade import AdvisedChange

from .phrases import limit_words, number_text, short_number, stretched_wing, violated_limit_words, violated_limits

_CARRIES = (
    "[joiner]: a rod or tube across the middle",
    "rods.at_centre and rods.inner_end: rods that go on across the centre",
    "rods.pairs and rods.diameter: all rods, as thick as they are",
    "fly.pull_up: the hardest pull that you fly",
)
_PACK_ENDS, _OWN_BAY = ("pack_forward", "pack_aft"), "the bay "  # see `aircraft.model.pack_fit.words_at_ends`
HARDLY_MISSED = "less than two builds of one plan differ"
_MOST_DIGITS = 6  # most decimal places, used if a bound is missed by very little


def violation_lines(design: Design) -> list[str]:
    """Return one line for each limit that a wing breaks, with its value, its bound and what would help, worst first."""
    lines = []
    for state in violated_limits(design):
        value, bound = distinct_texts(state.value, state.bound)
        lines.append(
            fill(
                "{}: {}, required: {}",
                limit_words(state.name, design),
                join(" ", fill("{} {}", value, state.unit).split()),
                join(" ", fill("{} {} {}", state.side, bound, state.unit).split()),
            )
            + what_helps(state, design.choices.rod_pairs > 0)
        )
    return lines


def what_helps(state: LimitState, has_rods: bool) -> str:
    """Return what would help against one broken limit, and whether the miss is smaller than the model can tell."""
    remedy = REMEDIES.get(state.name)  # None for a limit from another version of the program
    if remedy is None:
        return ""
    small, missed = f"; {HARDLY_MISSED}" if is_hardly_missed(state) else "", abs(state.value - state.bound)
    if state.name in _PACK_ENDS and state.whose == ROOM and not state.origin.startswith(_OWN_BAY):
        return fill("{}; {} ends the room there. What helps: {}", small, state.origin, ROOM_FOR_PACK.filled(missed))
    return f"{small}; what helps: {remedy.filled(missed, has_rods)}"


def is_hardly_missed(state: LimitState) -> bool:
    """Return whether a limit is missed by no more than two builds of one plan differ."""
    remedy = REMEDIES.get(state.name)
    return remedy is not None and abs(state.value - state.bound) <= remedy.scatter


def key_of_limit(state: LimitState) -> str:
    """Return the key of the study that moves a limit, or an empty text. Two keys move a bay: it is told in words."""
    remedy = REMEDIES.get(state.name)
    key = remedy.key.key if remedy and remedy.key else ""
    return "the bay's length" if key == "bay" else key


def distinct_texts(value: float, bound: float) -> tuple[str, str]:
    """Return two numbers as texts with enough digits to show that they differ."""
    pair = short_number(value), short_number(bound)
    for digits in range(1, _MOST_DIGITS + 1):
        if pair[0] != pair[1]:
            break
        pair = number_text(value, digits), number_text(bound, digits)
    return pair


def warning_words(design: Design | None) -> str:
    """Return the warning on every card and sheet of a wing that breaks a limit, or an empty text."""
    if design is None or not violated_limits(design):
        return ""
    return fill("BREAKS A LIMIT: {}. NOT TO BE BUILT AS IT STANDS", join(", ", violated_limit_words(design)))


def refusal(result: Result, what: str, study: str = "") -> str:
    """Return the message on why the stretched wing gets no card or sheet, and what to do about it.

    ``what`` names the card or sheet. ``study`` is the study as typed on a command line. If it is empty, the advice is
    for use from Python.
    """
    design = stretched_wing(result)
    assert design is not None
    violations = violation_lines(design)
    count = "a limit" if len(violations) == 1 else fill("{} limits", len(violations))
    optimise = fill("tradestudy optimise {}", study) if study else "tradestudy.optimise(study)"
    lead = (
        "No wing of this study meets every limit. To see which limits conflict, and by how much each would have to give"
        if result.conflict
        else "To find a wing that meets every limit"
    )
    lines = [
        fill("No {} for the wing of {} mm span: it breaks {}.", what, number_text(design.numbers.span_mm), count),
        *(fill("  {}", line) for line in violations),
        fill("{}: {}", lead, optimise),
        fill("To get it anyway, marked as not to be built: {}", "--anyway" if study else "anyway=True"),
    ]
    return printed(join("\n", lines))


# --- what to change where nothing fits ----------------------------------------------------------------------


class AdviceBlock(NamedTuple):
    """A sentence and the changes that belong to it, one line each."""

    lead: str
    lines: list[str]
    each_alone: bool = False  # any one of the lines will do, so a few of them are an answer too


def conflict_lines(result: Result) -> list[str]:
    """Return the sentences on a conflict. Where advice says how far each limit must give, the first one alone."""
    return result.conflict[:1] if result.advice else result.conflict


def advice_blocks(result: Result) -> list[AdviceBlock]:
    """Return the changes that together make the study feasible, then those that suffice alone."""
    joint = [change for change in result.advice if not change.alone]
    alone = [change for change in result.advice if change.alone]
    blocks = _stock_breaks(result)
    if joint:
        blocks.append(AdviceBlock(_lead(joint), _lines(joint)))
    if alone:
        lead = "Each of these limits, changed alone, would do as well:" if joint else "One of these would do:"
        blocks.append(AdviceBlock(lead, _lines(alone), each_alone=True))
    return blocks


def _stock_breaks(result: Result) -> list[AdviceBlock]:
    """Return a block that says so if the stock wing, which flies, would break by its own description, or none."""
    case = next((one for one in result.stock.structure if one.condition.replace("_", " ") == "pull up"), None)
    if not result.conflict or case is None or case.failure_load_factor is None:
        return []
    if case.failure_load_factor >= case.load_factor:
        return []
    lead = fill(
        "As the study describes it, the stock wing itself breaks in a pull-up at {} times its weight ({}). {} times "
        "are asked. If yours flies, the study leaves out what carries it, or asks for harder pulls than you fly. Look "
        "at:",
        number_text(case.failure_load_factor, 1),
        case.mode,
        number_text(case.load_factor, 1),
    )
    return [AdviceBlock(lead, list(_CARRIES))]


def _lead(changes: list[AdvisedChange]) -> str:
    words = changes[0].words
    if not changes[0].proven:
        return fill("No change that was tried makes it feasible. The nearest wing, with {}, needs:", words)
    subject = "this change" if len(changes) == 1 else "these changes together"
    return fill("With {}, a wing with {} meets every limit; a new search found it:", subject, words)


def _lines(changes: list[AdvisedChange]) -> list[str]:
    """Return one line for each change. Several limits that one key moves share its line."""
    lines: dict[tuple[str, str], list[AdvisedChange]] = {}
    for change in changes:
        lines.setdefault((change.key or change.limit, change.value), []).append(change)
    return [_line(same) for same in lines.values()]


def _line(same: list[AdvisedChange]) -> str:
    change = same[0]
    limits = join(", ", [fill("{} (from {})", each.limit_words, each.whose) for each in same])
    if not change.key:
        return fill("{}: {} instead of {}; what helps: {}", limits, change.to_bound, change.from_bound, change.value)
    now = fill("now {}; ", change.now) if change.now else ""
    return fill("{} = {} ({}for the {})", change.key, change.value, now, limits)
