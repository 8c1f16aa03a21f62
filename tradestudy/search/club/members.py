"""Members of a club as search spaces: one airframe, each with equipment, parts and limits of their own."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.search.parallel import sent_to_workers
from tradestudy.search.search_space import SearchSpace, choice_fault
from tradestudy.search.search_task import SearchResult
from tradestudy.study.consistency.equipment import equipment_on_board

Airframe = tuple[float, int, str]  # rod diameter [m], pairs of rods and stretch scheme: what is cut once for all


@dataclass(frozen=True)
class ClubMember:
    """A member, or several who build alike: ``count`` is their number. ``remedy`` says what was changed for them."""

    name: str
    count: int
    space: SearchSpace
    remedy: str = ""
    before: SearchSpace | None = None  # the space without the remedy

    @property
    def stock_span(self) -> float:
        """Span of the stock wing. [m]"""
        return float(self.space.anchor.data.layout.stock.span)

    def span_of(self, result: SearchResult) -> float:
        """Return the span of a result. [m]"""
        return self.stock_span + 2.0 * result.variables["extension"]

    def extension(self, span: float) -> float:
        """Return how much each half is longer than on the stock wing, at a span [m]. [m]"""
        return 0.5 * (span - self.stock_span)


def members_of(space: SearchSpace) -> list[ClubMember]:
    """Return a member for each set of equipment of a study. Parts that do not fit beside a set are left out of it."""
    members = []
    for one in space.study.equipment_set:
        study = replace(space.study, equipment=equipment_on_board(space.study.all_equipment, one.name))
        members.append(ClubMember(one.name, one.members, changed(space, space.of_study(study), one.name)))
    return members


def changed(base: SearchSpace, own: SearchSpace, name: str) -> SearchSpace:
    """Return a member's space with the record and the workers of ``base``. ``name`` tells its results from others'."""
    own = replace(own, record=base.record, engine=base.engine, member=name)
    own.choices = [choice for choice in own.choices if not choice_fault(own, choice)]
    return own


@contextmanager
def at_work(member: ClubMember) -> Iterator[None]:
    """Let the workers search for one member for a while."""
    with sent_to_workers(member.space, member.space):
        yield


def airframe(choice: Choice) -> Airframe:
    """Return what all members share of a choice."""
    return float(choice.rod_diameter), int(choice.rod_pairs), choice.scheme


def common_airframes(members: list[ClubMember]) -> list[Airframe]:
    """Return the rods and schemes that every member may build, in the order of the first member's choices."""
    every = [{airframe(choice): None for choice in member.space.choices} for member in members]
    return [one for one in every[0] if all(one in others for others in every[1:])] if every else []


def common_score(gains: np.ndarray, best: np.ndarray, weights: np.ndarray | None = None) -> np.ndarray:
    """Return how well each span serves all members (n_span,), not a number where one of them breaks a limit. [-]

    ``gains`` (n_member, n_span) are what each gains at each span, not a number where the wing breaks a limit. ``best``
    (n_member,) is what each would gain with a span of their own. The worst share of it counts; with ``weights``
    (n_member,), it is the weighted mean of all shares.
    """
    shares = np.asarray(gains, float) / np.asarray(best, float)[:, None]
    return shares.min(axis=0) if weights is None else np.average(shares, axis=0, weights=weights)
