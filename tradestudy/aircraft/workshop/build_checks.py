"""What to measure on a finished wing, with which ruler, and what is accepted: tolerances of the shop in mm and g."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.quantities import from_edge, in_unit
from tradestudy.results.cutting import BuildCheck, RodSet, SectionTemplate
from tradestudy.results.numbers import DesignNumbers

from .as_built import ERRORS_OF, OF_KEPT_PANELS
from .template_sections import rounded_mm

_SIDES = ("left", "right")
_MIDDLE = "middle"  # surface of a rod that lies in no slot from the skin


def build_checks(
    design: EvaluatedDesign, numbers: DesignNumbers, ends: list[SectionTemplate], rods: list[RodSet]
) -> list[BuildCheck]:
    """Return what to measure on one finished wing. ``ends`` are its sections with a template, from the root out.

    A band never leaves the balance window, nor the flying weight that the study allows.
    """
    names = OF_KEPT_PANELS if design.keeps_panels else ERRORS_OF[design.data.layout.scheme]
    found = [
        *_twist(design, ends[-1]),
        *_set_back(design),
        *_chords(design, ends),
        *_slots(design, rods),
        *_balance_and_weight(design, numbers),
    ]
    return [one for one in found if one.name in names]


def _check(name: str, what: str, how: str, value: float, low: float, high: float, unit: str = "mm") -> BuildCheck:
    return BuildCheck(name, what, how, rounded_mm(value), rounded_mm(low), rounded_mm(high), unit)


def _twist(design: EvaluatedDesign, tip: SectionTemplate) -> Iterator[BuildCheck]:
    table, washout = design.study.build_tolerance, from_edge("washout_deg", tip.washout_deg)

    def raised(angle: float) -> float:
        """Return how much higher the end of the foam lies above the leading edge than at the root. [mm]"""
        return float(np.sin(angle)) * tip.foam_chord_mm

    value, low, high = (raised(washout + side * table.washout) for side in (0.0, -1.0, 1.0))
    how = (
        "steel rule, wing on a flat table, or on equal blocks if fins reach below it, root level: end of the foam "
        "above the leading edge, more than at the root"
    )
    for side in _SIDES:
        yield _check("washout", f"washout, {side} tip", how, value, low, high)
    most = raised(table.twist_difference)
    how = "the same readings, left less right"
    yield _check("twist_difference", "washout, left over right", how, 0.0, -most, most)


def _set_back(design: EvaluatedDesign) -> Iterator[BuildCheck]:
    wing, most = design.solution.wing, design.study.build_tolerance.sweep
    panel = float(wing.semi_span - design.data.layout.stock.panel_start)
    back = float(wing.leading_edge[-1])
    angle = np.arctan2(back, panel)
    value, low, high = (in_unit(panel * float(np.tan(angle + side * most)), "mm") for side in (0.0, -1.0, 1.0))
    how = "taut thread through the nose, square to the centre line: leading edge of the tip behind it"
    for side in _SIDES:
        yield _check("sweep", f"set-back, {side} tip", how, value, low, high)


def _chords(design: EvaluatedDesign, ends: list[SectionTemplate]) -> Iterator[BuildCheck]:
    most = in_unit(design.study.build_tolerance.core_chord, "mm")
    for end in (ends[0], ends[-1]):
        chord, how = end.foam_chord_mm, "steel rule on the core, leading edge to the cut for the elevon"
        yield _check("core_chord", f"foam chord, {end.name}", how, chord, chord - most, chord + most)


def _slots(design: EvaluatedDesign, rods: list[RodSet]) -> Iterator[BuildCheck]:
    most = in_unit(design.study.build_tolerance.rod_depth, "mm")
    for rod in rods:
        if rod.surface != _MIDDLE:
            depth, how = rod.slot_depth_mm, "depth gauge of the calipers, skin to slot bottom, before the glue"
            flush = min(depth, max(depth - most, rod.diameter_mm))
            yield _check("rod_depth", f"slots, {rod.name}", how, depth, flush, depth + most)


def _balance_and_weight(design: EvaluatedDesign, numbers: DesignNumbers) -> Iterator[BuildCheck]:
    table, mark = design.study.build_tolerance, numbers.cg_mm
    off = in_unit(table.balance, "mm")
    front, back = numbers.cg_front_mm, numbers.cg_back_mm
    window = (front, back) if front is not None and back is not None and front <= mark <= back else (mark, mark)
    how = "steel rule from the nose, wing ready to fly on two points"
    yield _check("balance", "balance mark", how, mark, max(mark - off, window[0]), min(mark + off, window[1]))
    weight, limit = numbers.auw_g, design.study.limits.flying_weight
    most = (1.0 + table.weight) * weight
    if limit is not None:
        most = max(weight, min(most, in_unit(limit, "g")))
    yield _check("weight", "flying weight", "kitchen scale", weight, (1.0 - table.weight) * weight, most, "g")
