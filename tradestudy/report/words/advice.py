"""What to change in a study where nothing fits: the changes together, then those that suffice alone."""

from __future__ import annotations

from typing import NamedTuple

from tradestudy.report.placed import fill, join
from tradestudy.results.result import Result
from tradestudy.results.trade import AdvisedChange


class AdviceBlock(NamedTuple):
    """A sentence and the changes that belong to it, one line each."""

    lead: str
    lines: list[str]


def conflict_lines(result: Result) -> list[str]:
    """Return the sentences on a conflict. Where advice says how far each limit must give, the first one alone."""
    return result.conflict[:1] if result.advice else result.conflict


def advice_blocks(result: Result) -> list[AdviceBlock]:
    """Return the changes that together make the study feasible, then those that suffice alone."""
    together = [change for change in result.advice if not change.alone]
    alone = [change for change in result.advice if change.alone]
    blocks = []
    if together:
        blocks.append(AdviceBlock(_lead(together), _lines(together)))
    if alone:
        lead = "Each of these limits, changed alone, would do as well:" if together else "One of these would do:"
        blocks.append(AdviceBlock(lead, _lines(alone)))
    return blocks


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
