"""The straight lines of all rods and of the joiner seen from above, in both halves, with what lies around them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from tradestudy.physics.body import rod_limits, straight_rods
from tradestudy.physics.body.plan_distance import PlanBox, PlanSegment, box_to_segment
from tradestudy.physics.flight import layout, rod_sets
from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.stretch_schemes import stock_planform
from tradestudy.study.schema.study import Study

from .stock_shape import stock_wing

_GAP = 0.001  # foam between the slot of a rod and a thing below it; common practice, no source [m]


class RodTrack(NamedTuple):
    """One rod, or a rod near the top and the one below it, seen from above."""

    name: str
    surface: str
    slot_depth: float  # [m]
    material: str
    line: PlanSegment


class _SetLines(NamedTuple):
    rods: straight_rods.PlanLine
    across: straight_rods.PlanLine | None
    diameter: float


def stock_tracks(study: Study) -> list[RodTrack]:
    """Return the tracks of the stock wing. No layout of the model is needed for it."""
    outline, sets = stock_planform(stock_wing(study)), []
    for rod in study.rods:
        ends = straight_rods.rod_ends(outline, np.asarray(rod.inner_end), np.asarray(rod.outer_end))
        tip = rod.chord_fraction if rod.tip_chord_fraction is None else rod.tip_chord_fraction
        line = straight_rods.line_between(ends, rod.chord_fraction, tip)
        lap = rod_limits.USUAL_LAP * rod.diameter if rod.lap is None else rod.lap
        if rod.at_centre == "cross over":
            line = straight_rods.carried_on(line, lap)
        lines = straight_rods.parallel_lines(ends, line, rod.pairs)
        across = straight_rods.transverse_rod(lines, rod.diameter, lap) if rod.at_centre == "lap" else None
        sets.append(_SetLines(lines, across, rod.diameter))
    return _tracks(study, sets)


def design_tracks(
    study: Study, laid: layout.LayoutData, wing: planform.Planform, rod_diameter: float, rod_pairs: int
) -> list[RodTrack]:
    """Return the tracks of a design. ``rod_diameter`` [m] and ``rod_pairs`` are those of the first set."""
    sets = []
    for chosen in layout.chosen_rods(laid, rod_diameter, rod_pairs):
        rods, across = straight_rods.PlanLine(*np.zeros((4, 0))), None
        if chosen.pairs >= 1:
            rods, across = rod_sets.pair_lines(laid, wing, chosen)
        sets.append(_SetLines(rods, across, float(chosen.diameter)))
    return _tracks(study, sets)


def _tracks(study: Study, sets: Iterable[_SetLines]) -> list[RodTrack]:
    tracks = []
    for rod, lines in zip(study.rods, sets, strict=True):
        for group in (lines.rods, lines.across):
            for line in straight_rods.each_line(group) if group is not None else ():
                for side in (1.0, -1.0):
                    axis = PlanSegment(
                        line.inner_x, side * line.inner_y, line.outer_x, side * line.outer_y, 0.5 * lines.diameter
                    )
                    tracks.append(RodTrack(f"rods {rod.name}", rod.surface, rod.slot_depth, rod.material, axis))
    if joiner := study.joiner:
        half, x = 0.5 * joiner.length, joiner.from_nose
        axis = PlanSegment(x, -half, x, half, 0.5 * joiner.diameter)
        tracks.append(RodTrack("joiner", "middle", 0.0, joiner.material, axis))
    return tracks


def rods_over(box: PlanBox, tracks: Iterable[RodTrack]) -> list[RodTrack]:
    """Return the tracks that run over a box, or through it. The joiner is left out: it has a channel of its own."""
    looked_at = [track for track in tracks if track.name != "joiner"]
    if not looked_at:
        return []
    apart = box_to_segment(box, PlanSegment(*np.array([track.line for track in looked_at]).T))
    return [track for track, distance in zip(looked_at, apart, strict=True) if distance <= 0.0]


def cover_under(boxes: Iterable[PlanBox], tracks: list[RodTrack], usual: float) -> tuple[float, float]:
    """Return the foam that a thing of these boxes needs above and below it. [m]

    ``usual`` [m] is what it needs without rods. A rod over it takes its slot and a gap, if that is more.
    """
    above = below = usual
    for track in (track for box in boxes for track in rods_over(box, tracks)):
        if track.surface in ("both", "top"):
            above = max(above, track.slot_depth + _GAP)
        if track.surface in ("both", "bottom"):
            below = max(below, track.slot_depth + _GAP)
    return above, below
