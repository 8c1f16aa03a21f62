"""The span that serves all members of a club best: of the sets of equipment in one study, or of several studies."""

from __future__ import annotations

import os
from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from typing import Any, Unpack

import numpy as np

from tradestudy.commands.kept_results import RECORD
from tradestudy.commands.study_session import SearchOptions, StudySession, StudySource, opened
from tradestudy.errors import CommandError, RunFailed
from tradestudy.files import as_typed
from tradestudy.quantities import in_unit, rounded
from tradestudy.search.club.common_span import CommonSpan, common_span
from tradestudy.search.club.members import ClubMember, members_of
from tradestudy.search.engines.progress import Progress, no_progress
from tradestudy.study.logbook.club_folder import member_studies
from tradestudy.study.reader import read_study
from tradestudy.study.schema.study import Study
from tradestudy.uncertainty.logbook.register import same_airframe

_DECIMALS = 4


def club_span(study: StudySource, by_number: bool = False, **options: Unpack[SearchOptions]) -> dict[str, Any]:
    """Return the span that serves all sets of equipment of a study best, and what each member keeps of their own best.

    The worst share counts; with ``by_number``, the mean of all members does. Raise RunFailed if the study has fewer
    than two sets, or no span lets all of them fly.
    """
    with opened(study, "club", **options) as session:
        members = members_of(session.space)
        if len(members) < 2:
            raise RunFailed(
                f"{session.study.path} has fewer than two [[equipment_set]]; a common span needs two members or more."
            )
        return span_document(session, members, by_number)


def folder_span(
    folder: str | os.PathLike[str],
    by_number: bool = False,
    report_progress: Progress = no_progress,
    records: Path | None = None,
    workers: int | None = 1,
    cluster: str | None = None,
) -> dict[str, Any]:
    """Return the span that serves all members of a folder best: a member for each study, or each of its sets.

    ``records`` is a folder in which each study gets a record in a folder of its name: one record keeps few studies.
    ``workers`` and ``cluster`` are those of `StudySession`; all members share them.

    Raises CommandError if the wings are not of one type, or are flown for several purposes.
    """
    studies = [read_study(path) for path in member_studies(Path(folder))]
    for study in studies[1:]:
        _refuse_unlike(studies[0], study)
    with ExitStack() as stack:
        sessions: list[StudySession] = []
        for study in studies:
            record = records / study.path.stem / RECORD if records else None
            command = f"tradestudy club {as_typed(study.path.name)}"
            theirs = (1, None) if sessions else (workers, cluster)
            sessions.append(StudySession(study, command, report_progress, record, *theirs))
            stack.callback(sessions[-1].close)
            sessions[-1].space.engine = sessions[0].engine
        members = [
            member
            for session in sessions
            for member in (
                [replace(one, name=f"{session.study.study.name}, {one.name}") for one in members_of(session.space)]
                or [ClubMember(session.study.study.name, 1, session.space)]
            )
        ]
        if len(members) < 2:
            raise RunFailed(f"{folder} holds one member; a common span needs two or more.")
        return span_document(sessions[0], members, by_number) | {"study": str(folder)}


def _refuse_unlike(first: Study, study: Study) -> None:
    """Raise CommandError if a study is of another type of wing than the first, or for another purpose."""
    if not same_airframe(first, study):
        raise CommandError(
            f"{study.path} and {first.path} are wings of different types: span, chords or set-back differ by more than "
            "a few per cent. One span can only be cut for wings of one type."
        )
    if study.fly.purpose != first.fly.purpose:
        raise CommandError(
            f'{study.path}: fly.purpose is "{study.fly.purpose}", and "{first.fly.purpose}" in {first.path}. A common '
            "span needs one purpose."
        )


def span_document(session: StudySession, members: Sequence[ClubMember], by_number: bool = False) -> dict[str, Any]:
    """Return the common span of members as numbers in the units shown to the user. Raise RunFailed if there is none."""
    weights = np.array([float(member.count) for member in members]) if by_number else None
    found = common_span(members, weights, session.report_progress)
    if found is None:
        raise RunFailed(
            "No span lets all members fly within their limits, with lead, lower throttle caps or more rods either. "
            "Search for each alone: tradestudy optimise says which limits are in the way."
        )
    quantity = session.space.purpose.quantity

    def shown(gain: float) -> float:
        return round(float(quantity.in_unit(gain)), _DECIMALS)

    rows = []
    for place, member in enumerate(found.members):
        trade, result = found.trades[place], found.results[place]
        rows.append(
            {
                "name": member.name,
                "members": member.count,
                "share_pct": round(in_unit(float(found.shares[place]), "%"), 2),
                "gain": shown(result.gain),
                "own_gain": shown(trade.best.gain),
                "own_span_mm": round(in_unit(member.span_of(trade.best), "mm")),
                "parts": result.choice.words,
                "remedy": member.remedy,
                **rounded({"auw_g": in_unit(result.all_up_mass, "g")}, _DECIMALS),
                "spans": [[round(in_unit(member.span_of(each), "mm"), 1), shown(each.gain)] for each in trade.trade],
            }
        )
    return {
        "study": session.study.study.name,
        "quantity": quantity.label,
        "unit": quantity.suffix,
        "gains_at": "the medians of all inputs",
        "rule": "mean share of all members" if by_number else "worst share of a member's own best",
        "span_mm": round(in_unit(found.span, "mm"), 1),
        "worst": found.members[found.worst].name,
        "bound_pct": round(in_unit(found.bound, "%"), 2),
        "outline": _outline(found),
        "members": rows,
    }


def _outline(found: CommonSpan) -> dict[str, float]:
    """Return the common outline in the units shown to the user."""
    values = found.results[0].variables
    units = {"sweep": "deg", "washout": "deg", "tip_chord": "mm"}
    return {f"{name}_{unit}": round(in_unit(values[name], unit), 2) for name, unit in units.items()}
