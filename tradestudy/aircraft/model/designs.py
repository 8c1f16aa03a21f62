"""Designs as numbers: the input of `evaluation.evaluate`. A shape (...) means any batch axes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.flight import strength
from tradestudy.physics.flight.records import STEP
from tradestudy.quantities.variables import VARIABLES

from .choices import Choice

WING_SHAPE = ("extension", "sweep", "washout", "tip_chord")  # variables that change the lattice
_CHOICE_NUMBERS = ("rod_diameter", "rod_pairs", "series", "parallel")


class Designs(NamedTuple):
    """The numbers of one design, or of many. Fields have any batch shape (...) and broadcast."""

    extension: Any  # length added to each half of the stock wing [m]
    sweep: Any  # sweep of the leading edge [rad]
    washout: Any  # nose-down twist of the tip [rad]
    tip_chord: Any  # foam chord at the tip [m]
    static_margin: Any  # share of the mean aerodynamic chord [-]
    cruise_speed: Any  # NaN until it is chosen [m/s]
    equipment_position: Any  # distance behind the nose datum [m]
    rod_diameter: Any  # diameter of the first set of rods [m]
    rod_pairs: Any  # pairs of the first set in each half wing [-]
    series: Any  # cells in series [-]
    parallel: Any  # cells in parallel [-]

    @property
    def wing(self) -> strength.WingChoice:
        """The numbers that the half wing depends on."""
        return strength.WingChoice(
            self.extension, self.sweep, self.washout, self.rod_diameter, self.rod_pairs, self.tip_chord
        )


def one_design(choice: Choice, variables: dict[str, float]) -> Designs:
    """Return one design without batch axes, from its choice and its variables by name, SI.

    A number of the choice that is among the variables has that value.
    """
    free = {name: np.float64(variables.get(name, np.nan)) for name in VARIABLES}
    return Designs(**free, **{name: np.float64(variables.get(name, getattr(choice, name))) for name in _CHOICE_NUMBERS})


def many_designs(choices: Sequence[Choice], variables: Sequence[dict[str, float]]) -> Designs:
    """Return n designs from n choices and n sets of SI variables. Every field has shape (n,)."""
    single = [one_design(*each) for each in zip(choices, variables, strict=True)]
    return Designs(*(np.array(column) for column in zip(*single, strict=True)))


def stepped_designs(choice: Choice, variables: dict[str, float], names: Sequence[str]) -> Designs:
    """Return one design k times, with a complex step along each of k ``names``. Every field has shape (k,).

    The real part is the same in all. The imaginary part of a result is then STEP times its exact slope. ``names`` are
    variables, or numbers of the choice.
    """
    directions = 1j * STEP * np.eye(len(names))
    along, still = dict(zip(names, directions, strict=True)), np.zeros(len(names), complex)
    alone = one_design(choice, variables)._asdict()
    return Designs(**{name: value + along.get(name, still) for name, value in alone.items()})
