"""One choice (set of parts) as an OpenMDAO problem for any driver. It is available from Python only."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tradestudy.aircraft.model.choices import Choice
from tradestudy.search.posed_problem import posed_problem

from .requested_wing import RequestedWing, requested_wing
from .study_session import StudySource, opened

if TYPE_CHECKING:
    import openmdao.api as om


def problem(
    study: StudySource,
    choice: Choice | Mapping[str, Any] | None = None,
    *,
    recorder: str | os.PathLike[str] | None = None,
) -> om.Problem:
    """Return an ``om.Problem`` after its setup, with scaled design variables, objective and constraints.

    ``choice`` names the parts: parallel and rod_pairs as numbers, rod_diameter as text with its unit, propeller as
    ``"10x6"``. Other parts are the stock wing's. ``recorder`` is a file in which the driver's iterations are stored.
    Raises CommandError for parts that cannot be read.

    ::

        problem = ts.problem("studies/godwit.toml", {"parallel": 3})
        problem.run_driver()
        problem.get_val("range", units="km")
    """
    requested = RequestedWing() if choice is None or isinstance(choice, Choice) else requested_wing(dict(choice))
    with opened(study, "problem") as session:
        parts = choice if isinstance(choice, Choice) else session.requested_choice(requested)
        return posed_problem(session.space, parts, Path(recorder) if recorder else None)
