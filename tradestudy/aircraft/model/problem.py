"""The OpenMDAO problem of one study and one choice, for values and derivatives."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import openmdao.api as om

from tradestudy.aircraft.components.aircraft import Aircraft
from tradestudy.aircraft.model.choices import Choice
from tradestudy.quantities.variables import VARIABLES

from .model_data import ModelData

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
        usual=usual,
    )
    return problem


def set_parts(problem: om.Problem, choice: Choice, values: Mapping[str, float] | None = None) -> None:
    """Set the numbers of a choice in a problem after its setup. A number in ``values`` takes precedence."""
    for name in CHOICE_INPUTS:
        problem.set_val(name, float((values or {}).get(name, getattr(choice, name))))


class Model:
    """One OpenMDAO problem.

    The fields of a choice are float inputs, except those in `Choice.model_key`, which are part of the data.

    With ``usual``, the duration of the usual flight is an output.
    """

    def __init__(self, data: ModelData, usual: bool = False):
        self.data, self.usual, self._ahead = data, usual, False
        self._problem = aircraft_problem(data, usual)
        self._problem.setup(mode="fwd", check=False)
        self._problem.final_setup()

    def run(self, choice: Choice, variables: dict[str, float], slopes_ahead: bool = False) -> None:
        """Evaluate the model at one design.

        With ``slopes_ahead``, the components compute their derivatives in the same pass.

        If ``variables`` holds a number of the choice, that value is used.
        """
        problem = self._problem
        if slopes_ahead != self._ahead:
            self._ahead = slopes_ahead
            for part in problem.model.stepped_parts():
                part.ahead = slopes_ahead
        set_parts(problem, choice, variables)
        for name in VARIABLES:
            problem.set_val(name, variables[name])
        problem.run_model()

    def value(self, name: str) -> Any:
        """Return an output of the last run as an array, SI. An array of one element is returned as a float."""
        value = self._problem.get_val(name)
        return float(value[0]) if value.shape == (1,) else value.copy()

    def slopes(self, outputs: list[str], variables: list[str]) -> dict[tuple[str, str], np.ndarray]:
        """Return exact total derivatives of the last run. Each has shape (output size,)."""
        self._problem.model.run_linearize()
        slopes = {}
        for name in variables:  # one product per variable costs less than a complete Jacobian
            column = self._problem.compute_jacvec_product(outputs, [name], "fwd", {name: np.ones(1)})
            slopes.update({(output, name): np.ravel(slope) for output, slope in column.items()})
        return slopes
