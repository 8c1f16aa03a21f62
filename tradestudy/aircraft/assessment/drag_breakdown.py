"""What holds one design back in cruise, part by part, and how it glides with the motor off."""

from __future__ import annotations

from collections import Counter
from typing import Any

from tradestudy.aircraft.model.drag_list import SizedItem, total_with_band
from tradestudy.aircraft.model.model_data import drag_items
from tradestudy.physics.aero import viscous_drag
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.flight.level_drag import LevelData
from tradestudy.physics.sections import polar
from tradestudy.quantities import in_unit
from tradestudy.results.flight import DragBreakdown, DragPart
from tradestudy.study.schema.study import Study


def section_drag_band(values: dict[str, Any]) -> float:
    """Return the share by which section drag at cruise scatters: each strip's band, weighted by its drag. [-]"""
    weight = values["section_drag"][0] * values["strip_area"]
    return float((polar.drag_band(values["log_reynolds"][0]) * weight).sum() / weight.sum())


def drag_breakdown(study: Study, data: LevelData, values: dict[str, Any], speed: float) -> DragBreakdown:
    """Return the drag areas of one design at its cruise ``speed`` [m/s], from all outputs of the model.

    In the glide the motor is off at that speed, with what the study's list says of the propeller then.
    """
    whole, lift, other = (float(values[name][0]) for name in ("drag_area", "induced_drag_area", "other_drag_area"))
    factor = data.drag_factor
    listed = drag_items(study)
    flying = [item for item in listed if not item.in_glide_only]
    gliding = [item for item in listed if item.in_glide_only]
    items, low, high = (factor * area for area in total_with_band(flying))
    fins = (
        factor
        * float(
            viscous_drag.fin_drag_area(
                values["fin_area"], values["fin_mean_chord"], speed, data.flight.kinematic_viscosity
            )
        )
        if study.fin
        else 0.0
    )
    section, band = whole - lift - other, section_drag_band(values)
    rows = [
        _row(
            "section drag",
            section,
            whole,
            section * (1 - band),
            section * (1 + band),
            how="strip by strip; scatter of the section model",
        ),
        _row("drag due to lift", lift, whole, how="from the wake behind the wing"),
    ]
    if fins:
        rows.append(_row("fins", fins, whole, how="two rubbed sides of a sheet and its edges"))
    rows.append(_row("middle of the wing", other - fins - items, whole, how="0.1 % of the wing area, common practice"))
    rows += _item_rows(flying, factor, whole)
    off = whole + factor * total_with_band(gliding)[0]
    weight = float(values["all_up_mass"]) * GRAVITY
    pressure = float(values["dynamic_pressure"][0])
    return DragBreakdown(
        cruise_speed_kmh=round(in_unit(speed, "km/h"), 2),
        parts=rows,
        total_cm2=_cm2(whole),
        items_cm2=_cm2(items),
        items_low_cm2=_cm2(low),
        items_high_cm2=_cm2(high),
        lift_to_drag=round(weight / (pressure * whole), 3),
        glide_ratio=round(weight / (pressure * off), 3),
        glide_parts=_item_rows(gliding, factor, whole),
    )


def _item_rows(items: list[SizedItem], factor: float, whole: float) -> list[DragPart]:
    """Rows of the list; where a kind stands twice, they are numbered."""
    total, seen, rows = Counter(item.kind for item in items), Counter[str](), []
    for item in items:
        seen[item.kind] += 1
        name = f"{item.kind} {seen[item.kind]}" if total[item.kind] > 1 else item.kind
        low, area, high = (factor * item.number * each for each in (item.low, item.drag_area, item.high))
        rows.append(_row(name, area, whole, low, high, item.number, item.how, listed=True))
    return rows


def _row(
    part: str,
    area: float,
    whole: float,
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
        share_pct=round(in_unit(area / whole, "%"), 2),
        low_cm2=None if low is None else _cm2(low),
        high_cm2=None if high is None else _cm2(high),
        how=how,
    )


def _cm2(area: float) -> float:
    return round(float(in_unit(area, "cm2")), 3)
