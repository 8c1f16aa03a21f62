"""A wing that flies for the first time: as options request it, or else as the study recommends it.

It opens a session, which may search. So `note` imports this module only when a name is new.
"""

from __future__ import annotations

import datetime

from tradestudy.commands.kept_results import kept_result, results_folder
from tradestudy.commands.recommended_wing import recommended_wing
from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.commands.study_session import opened
from tradestudy.errors import CommandError
from tradestudy.search.engines.progress import Progress
from tradestudy.study.logbook.wings_file import BuiltWing, wing_name_fault
from tradestudy.study.schema.study import Study

from .built_wing import built_from_design


def new_wing(
    study: Study,
    name: str,
    requested: RequestedWing | None,
    built: datetime.date | None,
    report_progress: Progress,
) -> BuiltWing:
    """Return a wing that flies for the first time. Raise CommandError if it cannot have this name."""
    if fault := wing_name_fault(name):
        raise CommandError(f"--wing {fault}")
    requested = requested or RequestedWing()
    kept = kept_result(results_folder(study), study) if requested == RequestedWing() else None
    if kept is not None and kept.recommended is not None:
        design = kept.recommended
    else:
        with opened(study.path, "note", tell=report_progress) as session:
            session.requested_variables(requested)  # an impossible request is refused before any search
            design = session.requested_design(requested, recommended_wing(session).result)
    return built_from_design(name, design, built)
