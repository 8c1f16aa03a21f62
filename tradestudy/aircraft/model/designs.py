"""Designs as numbers: what `evaluation.evaluate` takes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.flight import strength
from tradestudy.quantities.variables import VARIABLES

from .choices import Choice

WING_SHAPE = ("extension", "sweep", "washout")  # the variables that a lattice depends on
_CHOICE_NUMBERS = ("rod_diameter", "rod_pairs", "series", "parallel")


class Designs(NamedTuple):
    """The numbers of one design, or of many; fields (...) broadcast."""

    extension: Any  # of either half of the stock wing [m]
    sweep: Any  # [rad]
    washout: Any  # [rad]
    static_margin: Any  # of the mean aerodynamic chord [-]
    cruise_speed: Any  # not a number until it is chosen [m/s]
    equipment_position: Any  # behind the nose datum [m]
    rod_diameter: Any  # of the first set [m]
    rod_pairs: Any  # of the first set, in each half wing [-]
    series: Any  # cells [-]
    parallel: Any  # cells [-]

    @property
    def wing(self) -> strength.WingChoice:
        """The numbers that the half wing depends on."""
        return strength.WingChoice(self.extension, self.sweep, self.washout, self.rod_diameter, self.rod_pairs)


def one_design(choice: Choice, variables: dict[str, float]) -> Designs:
    """Return one design (no axes) from its choice and its variables by name, SI."""
    free = {name: np.float64(variables.get(name, np.nan)) for name in VARIABLES}
    return Designs(**free, **{name: np.float64(getattr(choice, name)) for name in _CHOICE_NUMBERS})


def many_designs(choices: Sequence[Choice], variables: Sequence[dict[str, float]]) -> Designs:
    """Return many designs, every field (n,), from a choice and variables (SI) for each."""
    single = [one_design(*each) for each in zip(choices, variables, strict=True)]
    return Designs(*(np.array(column) for column in zip(*single, strict=True)))
