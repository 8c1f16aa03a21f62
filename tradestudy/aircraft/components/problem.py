"""The OpenMDAO problem of one study and one choice, for users with their own driver."""

from __future__ import annotations

from collections.abc import Mapping

import openmdao.api as om

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.model_data import ModelData

from .aircraft import Aircraft

CHOICE_INPUTS = ("series", "parallel", "rod_diameter", "rod_pairs")  # model inputs that are set from a choice


def aircraft_problem(data: ModelData, usual: bool = False) -> om.Problem:
    """Return an OpenMDAO problem of the aircraft, before its setup.

    With ``usual``, the duration of the usual flight is an output.
    """
    problem = om.Problem(reports=False)
    problem.options["group_by_pre_opt_post"] = False  # every component affects every limit
    problem.model = Aircraft(
        flight=data.flight,
        level=data.level,
        strength=data.strength,
        power=data.power,
        launch=data.launch,
        servo=data.servo,
        usual=usual,
    )
    return problem


def set_parts(problem: om.Problem, choice: Choice, values: Mapping[str, float] | None = None) -> None:
    """Set the numbers of a choice in a problem after its setup. A number in ``values`` takes precedence."""
    for name in CHOICE_INPUTS:
        problem.set_val(name, float((values or {}).get(name, getattr(choice, name))))
