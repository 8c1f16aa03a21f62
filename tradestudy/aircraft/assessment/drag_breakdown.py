"""Drag of one design in cruise, part by part, and its glide with the motor off."""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np

from tradestudy.aircraft.anchor.drag_calibration import factor_spreads
from tradestudy.aircraft.model.drag_list import SizedItem, total_with_band
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.limit_bounds import CRUISE
from tradestudy.aircraft.model.model_data import drag_items, raised_lids
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.flight.built_wing import BuiltFactors
from tradestudy.physics.sections import polar
from tradestudy.quantities import in_unit
from tradestudy.results.flight import DragBreakdown, DragPart
from tradestudy.study.schema.built import BAND_END


def section_drag_band(section_drag: Any, strip_area: Any, log_reynolds: Any) -> float:
    """Return the scatter of section drag: the band of the strips (n_strip,), averaged by their drag. [-]"""
    weight = section_drag * strip_area
    return float((polar.drag_band(log_reynolds) * weight).sum() / weight.sum())


def drag_breakdown(design: EvaluatedDesign) -> DragBreakdown:
    """Return the drag areas of one design at its cruise speed.

    The glide is at the same speed with the motor off. It includes the study's items for a stopped propeller.
    """
    data, shape, section = design.data.level, design.shape, design.evaluation.section
    trimmed = design.evaluation.flow.trimmed
    total, lift, other = (
        float(areas[CRUISE]) for areas in (section.drag_area, trimmed.induced_drag_area, section.other_drag_area)
    )
    built = BuiltFactors(data.section_drag_factor, data.flight.wake_drag_factor)
    listed = [*drag_items(design.study), *raised_lids(design.study)]
    flying = [item for item in listed if not item.in_glide_only]
    gliding = [item for item in listed if item.in_glide_only]
    items, low, high = total_with_band(flying)
    section, wake = (total - lift - other) / built.section_drag, lift / built.wake_drag
    fins = (other - items) / built.section_drag
    band = section_drag_band(
        design.evaluation.section.section_drag[CRUISE], trimmed.strip_area, trimmed.log_reynolds[CRUISE]
    )
    rows = [
        _row(
            "section drag",
            section,
            total,
            section * (1 - band),
            section * (1 + band),
            how="strip by strip, a smooth wing; scatter of the section model, part of the doubt of what is built",
        ),
        _row("drag due to lift", wake, total, how="from the wake behind the wing"),
    ]
    if design.study.fin:
        rows.append(_row("fins", fins, total, how="two rubbed sides of a sheet and its edges"))
    spreads = factor_spreads(design.study)
    rows += [
        _built_row("section and fins as built", section + fins, built.section_drag, spreads.section_drag, total),
        _built_row("drag due to lift as built", wake, built.wake_drag, spreads.wake_drag, total),
    ]
    rows += _item_rows(flying, total)
    gliding_total = total + total_with_band(gliding)[0]
    weight = float(shape.all_up_mass) * GRAVITY
    pressure = float(trimmed.dynamic_pressure[CRUISE])
    return DragBreakdown(
        cruise_speed_kmh=round(in_unit(design.cruise_speed, "km/h"), 2),
        parts=rows,
        total_cm2=_cm2(total),
        items_cm2=_cm2(items),
        items_low_cm2=_cm2(low),
        items_high_cm2=_cm2(high),
        lift_to_drag=round(weight / (pressure * total), 3),
        glide_ratio=round(weight / (pressure * gliding_total), 3),
        glide_parts=_item_rows(gliding, total),
    )


def _item_rows(items: list[SizedItem], total: float) -> list[DragPart]:
    """Return one row for each item. Items of the same kind are numbered."""
    count, seen, rows = Counter(item.kind for item in items), Counter[str](), []
    for item in items:
        seen[item.kind] += 1
        name = f"{item.kind} {seen[item.kind]}" if count[item.kind] > 1 else item.kind
        low, area, high = (item.number * each for each in (item.low, item.drag_area, item.high))
        rows.append(_row(name, area, total, low, high, item.number, item.how, listed=True))
    return rows


def _built_row(part: str, clean: float, factor: float, spread: float, total: float) -> DragPart:
    """Return the row of what a built wing adds to a ``clean`` drag area [m^2], with the band of its factor."""
    low, high = (clean * (factor * float(np.exp(side * BAND_END * spread)) - 1) for side in (-1, 1))
    how = f"{factor:.2f} times the clean value: dents, seams, gaps, judged by measured wings"
    return _row(part, clean * (factor - 1), total, low, high, how=how)


def _row(
    part: str,
    area: float,
    total: float,
    low: float | None = None,
    high: float | None = None,
    count: int = 1,
    how: str = "",
    listed: bool = False,
) -> DragPart:
    return DragPart(
        part=part,
        listed=listed,
        count=count,
        cm2=_cm2(area),
        share_pct=round(in_unit(area / total, "%"), 2),
        low_cm2=None if low is None else _cm2(low),
        high_cm2=None if high is None else _cm2(high),
        how=how,
    )


def _cm2(area: float) -> float:
    return round(float(in_unit(area, "cm2")), 3)
