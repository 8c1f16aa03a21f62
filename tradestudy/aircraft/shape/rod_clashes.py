"""Rods that run over a bay, or that cross one another, seen from above."""

from __future__ import annotations

from itertools import combinations
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.body.straight_rods import PlanLine, each_line
from tradestudy.physics.flight import layout, rod_sets
from tradestudy.physics.geometry import planform
from tradestudy.study.schema.study import Study

_SIDES = {"both": {"top", "bottom"}, "top": {"top"}, "bottom": {"bottom"}, "middle": {"middle"}}
RUN_OVER = "run over bay"
_PLACES = 100  # places along a rod at which it is compared with a bay


class _Laid(NamedTuple):
    """One rod of the right half wing."""

    of_set: int
    of_pair: int
    line: PlanLine
    diameter: float

    def at(self, y: Any) -> Any:
        """Return its distance behind the nose at stations ``y``. [m]"""
        return self.line.inner_x + self.line.slope * (y - self.line.inner_y)


def rod_clashes(
    study: Study, laid: layout.LayoutData, wing: planform.Planform, rod_diameter: float, rod_pairs: int
) -> list[str]:
    """Return a sentence for each set of rods that runs over a bay, with its divider, or crosses another rod.

    ``rod_diameter`` [m] and ``rod_pairs`` are those of the first set. A set that states how it crosses bays may do so.
    """
    return [
        *_over_bays(study, _laid_rods(laid, wing, rod_diameter, rod_pairs)),
        *rods_that_cross(study, laid, wing, rod_diameter, rod_pairs),
    ]


def rods_that_cross(
    study: Study, laid: layout.LayoutData, wing: planform.Planform, rod_diameter: float, rod_pairs: int
) -> list[str]:
    """Return a sentence for each set of rods that crosses another one. The arguments are as for ``rod_clashes``."""
    clashes = []
    for one, other in combinations(_laid_rods(laid, wing, rod_diameter, rod_pairs), 2):
        tables = study.rods[one.of_set], study.rods[other.of_set]
        if (one.of_set, one.of_pair) == (other.of_set, other.of_pair):
            continue  # a rod and the one across the centre beside it
        if _SIDES[tables[0].surface] & _SIDES[tables[1].surface] and _cross(one, other):
            clashes.append(f"rods {tables[0].name} cross rods {tables[1].name}")
    return list(dict.fromkeys(clashes))


def _laid_rods(laid: layout.LayoutData, wing: planform.Planform, rod_diameter: float, rod_pairs: int) -> list[_Laid]:
    rods: list[_Laid] = []
    for index, chosen in enumerate(layout.chosen_rods(laid, rod_diameter, rod_pairs)):
        if chosen.pairs < 1:
            continue
        for lines in rod_sets.pair_lines(laid, wing, chosen):
            for pair, line in enumerate(each_line(lines) if lines is not None else ()):
                rods.append(_Laid(index, pair, line, float(chosen.diameter)))
    return rods


def _over_bays(study: Study, rods: list[_Laid]) -> list[str]:
    clashes = []
    for rod in rods:
        table = study.rods[rod.of_set]
        for bay in study.bay if table.crosses_bay is None else ():
            y = np.linspace(rod.line.inner_y, rod.line.outer_y, _PLACES)
            radius = 0.5 * rod.diameter
            over = (np.abs(y) > bay.inner_side - radius) & (np.abs(y) < bay.outer_side + radius)
            over &= rod.at(y) > bay.from_nose - radius
            back = bay.from_nose + bay.length + (bay.divider or 0.0)
            if np.any(over & (rod.at(y) < back + radius)):
                clashes.append(f"rods {table.name} {RUN_OVER} {bay.name}")
    return list(dict.fromkeys(clashes))


def _cross(one: _Laid, other: _Laid) -> bool:
    start, end = max(one.line.inner_y, other.line.inner_y), min(one.line.outer_y, other.line.outer_y)
    if end <= start:
        return False
    at_start, at_end = (one.at(y) - other.at(y) for y in (start, end))  # rods are straight: ends decide
    return bool(min(abs(at_start), abs(at_end)) < 0.5 * (one.diameter + other.diameter) or at_start * at_end < 0.0)
