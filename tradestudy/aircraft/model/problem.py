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

CHOICE_INPUTS = ("series", "parallel", "rod_diameter", "rod_pairs")  # inputs of the model that a choice of parts sets


def aircraft_problem(data: ModelData, usual: bool = False) -> om.Problem:
    """Return an OpenMDAO problem of the aircraft, not yet set up; with ``usual`` the usual flight is timed as well."""
    problem = om.Problem(reports=False)
    problem.options["group_by_pre_opt_post"] = False  # every component serves every limit
    problem.model = Aircraft(
        flight=data.flight, level=data.level, strength=data.strength, power=data.power, usual=usual
    )
    return problem


def set_parts(problem: om.Problem, choice: Choice, values: Mapping[str, float] | None = None) -> None:
    """Set the parts of a choice in a problem that is set up; a number among ``values`` takes precedence."""
    for name in CHOICE_INPUTS:
        problem.set_val(name, float((values or {}).get(name, getattr(choice, name))))


class Model:
    """One OpenMDAO problem. Choices are float inputs, but for those in `Choice.model_key`, which its data hold.

    With ``usual`` the usual flight is timed as well.
    """

    def __init__(self, data: ModelData, usual: bool = False):
        self.data, self.usual, self._ahead = data, usual, False
        self._problem = aircraft_problem(data, usual)
        self._problem.setup(mode="fwd", check=False)
        self._problem.final_setup()

    def run(self, choice: Choice, variables: dict[str, float], slopes_ahead: bool = False) -> None:
        """Evaluate the model at one design; with ``slopes_ahead`` the components prepare their slopes on the way.

        A number of the choice that stands among ``variables`` is taken from there.
        """
        problem = self._problem
        if slopes_ahead != self._ahead:
            self._ahead = slopes_ahead
            components = problem.model
            for part in (
                components.shape.stepped,
                components.flow.stepped,
                components.power.stepped,
                components.structure,
            ):
                part.ahead = slopes_ahead
        set_parts(problem, choice, variables)
        for name in VARIABLES:
            problem.set_val(name, variables[name])
        problem.run_model()

    def value(self, name: str) -> Any:
        """Return an output of the last run as an array (SI); arrays of one element as plain floats."""
        value = self._problem.get_val(name)
        return float(value[0]) if value.shape == (1,) else value.copy()

    def slopes(self, outputs: list[str], variables: list[str]) -> dict[tuple[str, str], np.ndarray]:
        """Return exact total derivatives of the last run, each flattened to (output size,)."""
        self._problem.model.run_linearize()
        slopes = {}
        for name in variables:  # one product a variable costs less than setting up a whole Jacobian
            column = self._problem.compute_jacvec_product(outputs, [name], "fwd", {name: np.ones(1)})
            slopes.update({(output, name): np.ravel(slope) for output, slope in column.items()})
        return slopes
