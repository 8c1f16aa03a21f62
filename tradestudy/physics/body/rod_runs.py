"""Sets of rods: as they lie in the stock wing, and with the diameter and number that a design has.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from . import rod_limits


class RodRun(NamedTuple):
    """A set of straight rods in the stock wing."""

    density: float  # density of the material [kg/m^3]
    diameter: float  # outside diameter [m]
    pairs: float  # number of top-and-bottom pairs in each half wing [-]
    chord_fraction: float  # place as a share of the foam chord, see ``straight_rods.straight_rod`` [-]
    inner_end: float  # distance of the inner end from the centre line [m]
    outer_end: float  # distance of the outer end from the centre line [m]
    tip_chord_fraction: float | None = None  # chord fraction at the outer end; None means the same [-]
    bore: float = 0.0  # inside over outside diameter [-]
    rods_per_place: float = 2.0  # rods at each place: two for pairs, one where only one skin has rods [-]
    at_centre: str = "ends"  # how the two halves meet: "ends", "lap", "cross over", "sleeve" or "whole"
    lap: float | None = None  # length of the lap at the centre; None means the usual number of diameters [m]

    @property
    def chord_fractions(self) -> tuple[float, float]:
        """Shares of the foam chord at both places where they hold, by definition as in `straight_rods`. [-]"""
        return self.chord_fraction, self.chord_fraction if self.tip_chord_fraction is None else self.tip_chord_fraction


class ChosenRods(NamedTuple):
    """A set of rods with the chosen diameter and number. Numbers have the shape (...)."""

    run: RodRun
    diameter: Any  # outside diameter [m]
    pairs: Any  # number of pairs in each half wing [-]
    mass_per_length: Any  # mass per length of all its rods in one half wing [kg/m]

    @property
    def lap(self) -> Any:
        """Length (...) of the lap at the centre, 0 without one. By definition USUAL_LAP diameters if not given. [m]"""
        if self.run.at_centre not in rod_limits.LAPPED:
            return 0.0
        return rod_limits.USUAL_LAP * self.diameter if self.run.lap is None else self.run.lap

    @property
    def displaced_area(self) -> Any:
        """Area (...) of the sections of all its rods in one half wing, bores included, by definition. [m^2]"""
        return 0.25 * np.pi * self.diameter**2 * self.run.rods_per_place * self.pairs
